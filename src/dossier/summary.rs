//! The history of a house in short, as facts with their dates: what stands there, what was found and what became of it,
//! what was tested, what was mended, who judged, and what was never looked at.

use chrono::NaiveDate;

use super::gaps::Gaps;
use crate::ledger::duties::{NEVER_YET, held};
use crate::ledger::outlook::outlook;
use crate::ledger::property::{Finding, Property, RadonTest, Repair, SumpTest};
use crate::ledger::settings::Settings;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::verdicts::{radon_test, verdict_of};
use crate::trade::words::{Answer, FixtureKind, Outcome};

/// A house in short.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Summary {
    /// One line a section.
    pub foundations: Vec<String>,
    pub findings: Vec<Found>,
    pub radon: Vec<Tested>,
    pub sump: Vec<Tested>,
    pub repairs: Vec<Mended>,
    pub judgements: Vec<Judged>,
    /// One line an event, with its day.
    pub events: Vec<String>,
    /// One line a thing that nobody looked at or tested.
    pub never: Vec<String>,
}

/// A finding and what became of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    pub number: u32,
    /// `None`: its opening is left out.
    pub opened: Option<NaiveDate>,
    pub what: String,
    pub became: String,
    /// The band of an open one, in a word.
    pub band: Option<&'static str>,
}

/// A test and whether it counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested {
    pub seq: u64,
    pub on: NaiveDate,
    pub place: String,
    pub what: String,
    /// Whether it meets the conditions of a test, or why not.
    pub counts: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Mended {
    pub seq: u64,
    pub on: NaiveDate,
    pub what: String,
    /// Every look at it afterwards.
    pub checked: String,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    pub seq: u64,
    pub on: NaiveDate,
    pub by: String,
    pub says: String,
    pub document: String,
    /// The hash of the document, in hex.
    pub sha256: Option<String>,
}

impl Judged {
    /// The document with its hash.
    pub fn document_and_hash(&self) -> String {
        self.sha256.as_ref().map_or_else(|| self.document.clone(), |hash| format!("{}, SHA-256 {hash}", self.document))
    }
}

/// Gathers it for a day; nothing later is known. What `gaps` says is missing is not said to have never been.
pub fn summary(property: &Property, settings: &Settings, today: NaiveDate, gaps: &Gaps) -> Summary {
    Summary {
        foundations: foundations(property),
        findings: findings(property, settings, today, gaps),
        radon: property.radon_tests.iter().map(|test| radon(property, test)).collect(),
        sump: property.sump_tests.iter().map(|test| sump(property, test)).collect(),
        repairs: property.repairs.iter().map(|repair| mended(repair, today)).collect(),
        judgements: property.judgements.iter().map(judged).collect(),
        events: property.events.iter().map(|e| format!("{} on {}", e.kind, day(e.on.date))).collect(),
        never: never(property, settings, today, gaps),
    }
}

/// How what a verdict lacks ends where nobody measured it.
const UNREAD: &str = "(never read)";

/// `2 Mar 2025`
pub fn day(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

fn foundations(property: &Property) -> Vec<String> {
    let line = |(name, section): (&Name, &crate::ledger::property::Section)| {
        let walls = section.walls.map_or(String::new(), |walls| format!(", {walls} walls"));
        let area = section.area.as_ref().map_or(String::new(), |area| format!(", {}", area.typed()));
        let place = section.place.as_ref().map_or(String::new(), |place| format!(", {place}"));
        format!("{name}: {}{walls}{area}{place}", section.foundation)
    };
    property.sections.iter().map(line).collect()
}

/// Those whose opening is left out stand among the others, by what is told of them.
fn findings(property: &Property, settings: &Settings, today: NaiveDate, gaps: &Gaps) -> Vec<Found> {
    let all = property.findings.iter();
    let mut out: Vec<Found> = all.map(|(number, f)| found(property, settings, *number, f, today, gaps)).collect();
    for (number, (what, entries)) in gaps.findings(property) {
        let told = entries.len();
        out.push(Found {
            number,
            opened: None,
            what: what.unwrap_or_else(|| "its opening is left out of this file".to_owned()),
            became: format!(
                "{told} of its entries are told here; they rest on what is left out, so nothing is computed"
            ),
            band: None,
        });
    }
    out.sort_by_key(|found| found.number);
    out
}

fn found(
    property: &Property,
    settings: &Settings,
    number: u32,
    finding: &Finding,
    today: NaiveDate,
    gaps: &Gaps,
) -> Found {
    let section = finding.section.as_ref().map_or(String::new(), |s| format!(" of {s}"));
    let mut became = Vec::new();
    match (finding.readings.first(), finding.readings.last()) {
        (Some(first), Some(last)) if finding.readings.len() > 1 => became.push(format!(
            "{} readings from {} ({}) to {} ({})",
            finding.readings.len(),
            day(first.on.date),
            first.words(),
            day(last.on.date),
            last.words()
        )),
        (Some(only), _) => became.push(format!("read once, on {}: {}", day(only.on.date), only.words())),
        _ if gaps.of_kinds(&["reading-added"]) > 0 => became.push("no reading of it in this file".to_owned()),
        _ => became.push("never read".to_owned()),
    }
    for repair in property.repairs.iter().filter(|r| r.made.findings.contains(&number)) {
        became.push(format!("{} on {}", repair.made.method, day(repair.on.date)));
    }
    for judgement in property.judgements.iter().filter(|j| j.about.contains(&number)) {
        became.push(format!("judged on {} by {} ({})", day(judgement.on.date), judgement.from, judgement.licence));
    }
    for c in &finding.was_closed {
        became.push(format!("closed on {}: {}", day(c.on.date), c.why));
        became.push(format!("opened again on {}: {}", day(c.reopened.date), c.reopened_why));
    }
    became.push(match &finding.closed {
        Some((on, why)) => format!("closed on {}: {why}", day(on.date)),
        None => "open".to_owned(),
    });
    let verdict = verdict_of(property, &Subject::Finding(number), settings, today);
    let band = verdict.and_then(|shown| shown.verdict.band).filter(|_| finding.closed.is_none());
    Found {
        number,
        opened: Some(finding.opened.date),
        what: format!("{}, {}{section}", finding.kind, finding.place),
        became: became.join("; "),
        band: band.map(|b| b.word()),
    }
}

fn radon(property: &Property, recorded: &RadonTest) -> Tested {
    let test = &recorded.test;
    let below = if test.below { "below " } else { "" };
    let length = match (&test.ended, &test.lasted) {
        (Some(ended), _) => format!("{} to {ended}", test.started),
        (None, Some(lasted)) => format!("{} for {}", test.started, lasted.typed()),
        (None, None) => format!("from {}", test.started),
    };
    let of_rules = radon_test(property, recorded);
    let problems: Vec<String> = of_rules.problems().iter().map(ToString::to_string).collect();
    let counts = if problems.is_empty() {
        "meets the conditions of a test that are recorded".to_owned()
    } else {
        format!("does not count: {}", problems.join("; "))
    };
    let doubts: Vec<String> = of_rules.doubts().iter().map(ToString::to_string).collect();
    let doubts = if doubts.is_empty() { String::new() } else { format!(" (not known: {})", doubts.join("; ")) };
    Tested {
        seq: recorded.seq,
        on: test.started.date,
        place: test.section.to_string(),
        what: format!("{below}{}, {}, {length}", test.result.typed(), test.device),
        counts: format!("{counts}{doubts}"),
    }
}

fn sump(property: &Property, recorded: &SumpTest) -> Tested {
    use crate::ledger::kind::Kind;
    let test = &recorded.test;
    let pit = property.fixtures.get(&test.fixture).and_then(|f| f.fitted.opening());
    let counts = match (&test.failed, test.drawdown(), pit) {
        (Some(_), ..) => "it failed",
        (None, Some(_), Some(_)) => "gives a rate",
        (None, Some(_), None) => "gives no rate: the pit was not measured",
        (None, None, _) => "gives no rate: no timed fall and rise",
    };
    Tested {
        seq: recorded.seq,
        on: recorded.on.date,
        place: test.fixture.to_string(),
        what: test.sentence(),
        counts: counts.to_owned(),
    }
}

fn mended(repair: &Repair, today: NaiveDate) -> Mended {
    use crate::ledger::kind::Kind;
    let looks: Vec<String> = repair.checks.iter().map(|c| format!("{}: held {}", day(c.on.date), c.held)).collect();
    let checked = match (looks.is_empty(), held(repair, today)) {
        (false, _) => looks.join("; "),
        (true, Some(Answer::Yes)) => "held, as said with the repair; not looked at since".to_owned(),
        (true, Some(Answer::No)) => "did not hold, as said with the repair".to_owned(),
        (true, _) => "not looked at since".to_owned(),
    };
    Mended { seq: repair.seq, on: repair.on.date, what: repair.made.sentence(), checked }
}

fn judged(judgement: &crate::ledger::property::Judgement) -> Judged {
    let until = judgement.until.map_or(String::new(), |until| format!(" (until {})", day(until)));
    let about: Vec<String> = judgement.about.iter().map(|n| format!("finding {n}")).collect();
    let document = match &judgement.file {
        Some(file) => format!("{}, {} bytes", file.name, file.bytes),
        None => "no document".to_owned(),
    };
    Judged {
        seq: judgement.seq,
        on: judgement.on.date,
        by: format!("{} ({}), on {}", judgement.from, judgement.licence, about.join(", ")),
        says: format!("{}{until}", judgement.says),
        document,
        sha256: judgement.file.as_ref().map(|file| file.sha256.to_hex()),
    }
}

/// What nobody looked at, what was tried and not reached, what was never tested. Missing is not zero: each says which.
fn never(property: &Property, settings: &Settings, today: NaiveDate, gaps: &Gaps) -> Vec<String> {
    let none = |kinds: &[&str]| gaps.of_kinds(kinds) == 0;
    let outlook = outlook(property, settings, today);
    let mut out = outlook.overview(property).not_known;
    if property.sections.is_empty() && none(&["section-added"]) {
        out.push("which foundations there are (no section is recorded)".to_owned());
    }
    if property.walks.is_empty() && none(&["walk-begun"]) {
        out.push("the house by the check list (no walk is recorded)".to_owned());
    }
    out.extend(never_reached(property));
    for (name, fixture) in property.fixtures.iter().filter(|(_, f)| f.retired.is_none()) {
        let tested = property.sump_tests.iter().any(|t| t.test.fixture == *name);
        if fixture.kind == FixtureKind::SumpPump && !tested && none(&["sump-tested"]) {
            out.push(format!("the pump {name} (never tested)"));
        }
    }
    let unread = property.open_findings().filter(|(_, f)| f.readings.is_empty());
    for (number, finding) in unread.filter(|_| none(&["reading-added", "level-surveyed"])) {
        out.push(format!(
            "finding {number}, {} (never measured since it was opened on {})",
            finding.kind, finding.opened
        ));
    }
    for (number, finding) in property.open_findings().filter(|(_, f)| !f.readings.is_empty()) {
        let verdict = verdict_of(property, &Subject::Finding(number), settings, today);
        let unread = verdict.iter().flat_map(|shown| &shown.verdict.not_known).filter(|what| what.ends_with(UNREAD));
        // After a repair a verdict asks for a reading anew: that is not one that nobody ever took.
        let ever =
            |what: &str| finding.readings.iter().any(|r| what.starts_with(&r.measured.quantity().replace('-', " ")));
        let unread = unread.filter(|what| !ever(what));
        out.extend(unread.map(|what| format!("finding {number}, {}: {what}", finding.kind)));
    }
    for (subject, row) in &outlook.rows {
        let of = match subject {
            Subject::Property => String::new(),
            Subject::Finding(number) => format!(", finding {number}"),
            Subject::Named(name) => format!(", {name}"),
        };
        let never = row.duties.iter().filter(|due| due.due_on <= today && due.why.starts_with(NEVER_YET));
        out.extend(never.map(|due| format!("{}{of} (never yet, due since {})", due.title, day(due.due_on))));
    }
    let mut once = Vec::new();
    out.retain(|line| {
        let fresh = !once.contains(line);
        once.push(line.clone());
        fresh
    });
    out
}

/// Points of walks that were tried and never once reached.
fn never_reached(property: &Property) -> Vec<String> {
    let points: Vec<_> = property.walks.iter().flat_map(|walk| &walk.points).collect();
    let mut out = Vec::new();
    for point in points.iter().filter(|p| p.outcome == Outcome::NotReached) {
        let same =
            |other: &&&crate::ledger::property::PointWalk| other.about == point.about && other.point == point.point;
        let reached = points.iter().filter(same).any(|p| p.outcome != Outcome::NotReached);
        let last = points.iter().filter(same).max_by_key(|p| (p.on, p.seq)).is_some_and(|p| p.seq == point.seq);
        if !reached && last {
            let of = match point.about.local() {
                local if local.is_empty() => String::new(),
                local => format!(" of {local}"),
            };
            let why = point.why.as_ref().map_or(String::new(), |why| format!(": {why}"));
            out.push(format!("{}{of} (never reached, last tried on {}{why})", point.point, day(point.on.date)));
        }
    }
    out
}
