//! The verdict on a screen: word first, then every rule with its source, what is not known, what to do, cautions.

use std::io::Write;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::failure::Failure;
use super::output::line;
use super::words::{coloured, counted, courses, plain, wrapped};
use crate::command::why::Answer;
use crate::ledger::duties::Due;
use crate::ledger::outlook::OutlookRow;
use crate::ledger::property::{Finding, Property};
use crate::ledger::subject::{Name, Subject};
use crate::trade::verdict::Named;
use crate::trade::{Band, By, Fired, Rule, Standing, Step, Verdict, Who, choice};

/// How wide the text under a heading may be.
const WIDTH: usize = 92;

pub fn why(answer: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("{}", wrapped(&plain(&heading(answer)), WIDTH, "  ")))?;
    line(out, format_args!(""))?;
    let Some(shown) = &answer.shown else {
        line(out, format_args!("no rule of this program speaks of it"))?;
        return duties(answer, out);
    };
    let verdict = &shown.verdict;
    if let Subject::Finding(number) = answer.place.subject
        && let Some((on, why)) = answer.property.findings.get(&number).and_then(|f| f.closed.as_ref())
    {
        line(out, format_args!("closed on {on}: {}; what its last readings say is shown below", plain(why)))?;
        line(out, format_args!(""))?;
    }
    match answer.parts.first() {
        Some((subject, row)) if verdict.band < row.band => {
            let (band, of) = (row.band.map_or("", Band::word), subject.of(&answer.property.key));
            line(out, format_args!("{} {}   the worst of it, of {of}", courses(row.band), coloured(row.band, band)))?;
        }
        _ => line(out, format_args!("{}", banner(verdict)))?,
    }
    line(out, format_args!(""))?;
    parts(answer, out)?;
    if let Some(judgement) = &shown.held_by {
        let until = judgement.until.map_or(String::new(), |day| format!(", until {}", date(day)));
        section("held by a judgement", out)?;
        let text =
            format!("{} ({}) on {}{until}: {}", judgement.from, judgement.licence, date(judgement.on), judgement.says);
        item(&text, out)?;
        if let Some(computed) = &shown.computed {
            item(&format!("the record alone gives {}", computed.band.map_or("no band", Band::word)), out)?;
        }
    }
    if let Some(why) = &shown.not_held {
        section("a judgement that no longer holds", out)?;
        item(why, out)?;
    }
    let computed = shown.computed.as_ref().unwrap_or(verdict);
    // Where a judgement decides, it has just been said; what the record gives stands beside it.
    let title = if shown.computed.is_some() { "because, by the record alone" } else { "because" };
    fired(title, &computed.because, out)?;
    fired("for comparison only", &computed.comparison, out)?;
    list("not known", &computed.not_known, out)?;
    if !verdict.next.is_empty() {
        section("next", out)?;
        for step in &verdict.next {
            let late = |day: NaiveDate| if day < answer.today { " (overdue)" } else { "" };
            let by = step.by.map_or(String::new(), |day| match step.says.contains(&date(day)) {
                true => late(day).to_owned(),
                false => format!(" · asked for by {}{}", date(day), late(day)),
            });
            item(&format!("{}{by}", step.says), out)?;
            if let Some(command) = command(step, answer) {
                line(out, format_args!("    {command}"))?;
            }
        }
    }
    duties(answer, out)?;
    let cautions: Vec<String> = verdict.cautions.iter().map(|c| (*c).to_owned()).collect();
    list("caution", &cautions, out)?;
    line(out, format_args!(""))?;
    line(out, format_args!("Stemwall compares with published tables. It does not certify, and local codes come first."))
}

/// What the almanac asks of it.
fn duties(answer: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    let all: Vec<String> = answer
        .duties
        .iter()
        .map(|due| {
            let late = if due.due_on < answer.today { " (overdue)" } else { "" };
            format!("{} by {}{late}: {}", due.title, date(due.due_on), due.why)
        })
        .collect();
    list("duties", &all, out)
}

/// What of a house has a band of its own, worst first.
fn parts(answer: &Answer, out: &mut dyn Write) -> Result<(), Failure> {
    if answer.parts.is_empty() {
        return Ok(());
    }
    section("of this house; `stemwall why` says of each why", out)?;
    for (subject, row) in &answer.parts {
        let who = row.who.map_or(String::new(), |who| format!("  {who}"));
        let by = row.due_on.map_or(String::new(), |day| format!(", by {}", date(day)));
        let band = coloured(row.band, &format!("{:<7}", row.band.map_or("", Band::word)));
        line(out, format_args!("  {} {band} {:<24}{who}{by}", courses(row.band), subject.of(&answer.property.key)))?;
    }
    Ok(())
}

/// `call · a licensed structural engineer, before any repair`
fn banner(verdict: &Verdict) -> String {
    let Some(band) = verdict.band else {
        return "not known: nothing recorded here can be compared with a rule yet".into();
    };
    let who = verdict.who.map_or("", |w| w.words());
    let by = match &verdict.by {
        None => String::new(),
        Some(By::AtOnce) => ", at once".into(),
        Some(By::Date(day)) => format!(", by {}", date(*day)),
        Some(By::Before(what)) => format!(", before {what}"),
    };
    let says = match band {
        Band::Note => format!("written down; {who} looks again at the next walk"),
        Band::Watch => format!("{who} measures again{by}"),
        Band::Mend => format!("no rule here sends it to a licensed person, local law may: {who}{by}"),
        Band::Call => format!("{who} should look{by}"),
        Band::Urgent => format!("act now: {who}{by}"),
    };
    format!("{} {}   {says}", courses(Some(band)), coloured(Some(band), band.word()))
}

fn heading(answer: &Answer) -> String {
    let property = &answer.property;
    match &answer.place.subject {
        Subject::Property => format!("{}, {}", property.key, property.name),
        Subject::Finding(number) => match property.findings.get(number) {
            Some(finding) => of_finding(property, finding),
            None => String::new(),
        },
        Subject::Named(name) => match property.sections.get(name) {
            Some(section) => {
                let tests = property.radon_tests_in(name).count() as u64;
                let logs = property.air_logs.iter().filter(|l| l.log.section == *name).count() as u64;
                let of_section = |of: &Option<Name>| of.as_ref() == Some(name);
                let surveys = property.level_surveys.iter().filter(|s| of_section(&s.survey.section)).count() as u64;
                let sheets = property.sheet_tests.iter().filter(|t| of_section(&t.test.section)).count() as u64;
                let beside = [
                    ("air", logs, "record", "records"),
                    ("levels", surveys, "survey", "surveys"),
                    ("moisture", sheets, "sheet", "sheets"),
                ];
                let there: Vec<_> = beside.iter().filter(|(_, count, ..)| *count > 0).collect();
                let what: String = (there.iter().enumerate())
                    .map(|(at, (what, ..))| format!("{}{what}", if at + 1 == there.len() { " and " } else { ", " }))
                    .collect();
                let how_many: String =
                    there.iter().map(|(_, count, one, many)| format!(", {}", counted(*count, one, many))).collect();
                let tests = counted(tests, "test", "tests");
                format!("radon{what} in `{name}` ({}), {tests}{how_many}", section.foundation)
            }
            None => of_fixture(property, name),
        },
    }
}

/// `sump-pump `pump` in `main`, since 19 Apr 2024, 5 tests`
fn of_fixture(property: &Property, name: &Name) -> String {
    let Some(fixture) = property.fixtures.get(name) else { return format!("`{name}`") };
    let section = fixture.section.as_ref().map_or(String::new(), |s| format!(" in `{s}`"));
    let since = fixture.since.map_or(String::new(), |day| format!(", since {}", date(day)));
    let tests = property.sump_tests.iter().filter(|t| t.test.fixture == *name).count() as u64;
    let tests = if tests == 0 { String::new() } else { format!(", {}", counted(tests, "test", "tests")) };
    let retired = fixture.retired.as_ref().map_or(String::new(), |(on, _)| format!(", retired {}", date(on.date)));
    format!("{} `{name}`{section}{since}{tests}{retired}", fixture.kind)
}

/// `crack, south wall of `main` (poured), opened 2 Mar 2025, 13 readings over 366 days`
pub fn of_finding(property: &Property, finding: &Finding) -> String {
    let section = finding.section.as_ref().map_or(String::new(), |s| format!(" of `{s}`"));
    let walls = property.walls_of(finding).map_or(String::new(), |w| match w.word() {
        "unknown" => " (walls not known)".to_owned(),
        word => format!(" ({word})"),
    });
    let days = match (finding.readings.first(), finding.readings.last()) {
        (Some(first), Some(last)) => (last.on.date - first.on.date).num_days(),
        _ => 0,
    };
    let readings = counted(finding.readings.len() as u64, "reading", "readings");
    let over = if days > 0 { format!(" over {days} days") } else { String::new() };
    format!(
        "{}, {}{section}{walls}, opened {}, {readings}{over}",
        finding.kind,
        finding.place,
        date(finding.opened.date)
    )
}

fn fired(title: &str, all: &[Fired], out: &mut dyn Write) -> Result<(), Failure> {
    if all.is_empty() {
        return Ok(());
    }
    section(title, out)?;
    for one in all {
        let band = one.band.map_or(String::new(), |b| format!("{}: ", b.word()));
        item(&format!("{band}{}", one.because), out)?;
        let scope = if one.band.is_none() { format!(" · scope: {}", one.rule.scope) } else { String::new() };
        let variant = one.variant.map_or(String::new(), |variant| format!(", variant `{}`", variant.name));
        let setting = choice::between(one.rule).map_or(String::new(), |c| format!(" (setting `{}`)", c.name));
        let text = format!("{} · rule `{}`{variant}{setting}{scope}", behind(one), one.rule.name);
        line(out, format_args!("    {}", wrapped(&text, WIDTH - 2, "    ")))?;
    }
    Ok(())
}

/// Source and standing of what was followed: the rule, or a variant in its place.
fn behind(fired: &Fired) -> String {
    match fired.variant {
        Some(variant) => sourced(variant.source, variant.standing),
        None => authority(fired.rule),
    }
}

pub fn authority(rule: &Rule) -> String {
    sourced(rule.source, rule.standing)
}

/// Source and standing, without saying twice that there is no source.
fn sourced(source: &str, standing: Standing) -> String {
    if standing == Standing::Practice {
        return source.to_owned();
    }
    format!("{source} · {}", standing.words())
}

fn list(title: &str, all: &[String], out: &mut dyn Write) -> Result<(), Failure> {
    if all.is_empty() {
        return Ok(());
    }
    section(title, out)?;
    all.iter().try_for_each(|text| item(text, out))
}

fn section(title: &str, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("{title}"))
}

fn item(text: &str, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("  {}", wrapped(&plain(text), WIDTH, "  ")))
}

/// The command that records a step.
fn command(step: &Step, answer: &Answer) -> Option<String> {
    let key = &answer.property.key;
    let address = answer.place.subject.of(key);
    let flags = step.with.map_or(String::new(), |flags| format!(" {flags}"));
    Some(match step.records? {
        "entry-corrected" => {
            let Subject::Finding(number) = answer.place.subject else { return None };
            let opened = answer.property.findings.get(&number)?.seq;
            format!("stemwall correct {key}#{opened}{flags} --why …")
        }
        "finding-opened" => format!("stemwall finding open {key} --kind …{flags}"),
        "reading-added" => format!("stemwall reading add {address} …"),
        "gauge-looked" => format!("stemwall radon gauge {address} --levels unequal|equal"),
        "sheet-tested" => format!("stemwall plastic-sheet steps {address} --surface …"),
        "level-surveyed" => format!("stemwall survey add {address} --point … --point …"),
        "judgement-given" => format!("stemwall judgement add {address} --from … --licence … --says …"),
        "repair-made" => format!("stemwall repair add {address} --method …"),
        "repair-checked" => {
            let Subject::Finding(number) = answer.place.subject else { return None };
            let last = answer.property.repairs.iter().rfind(|r| r.made.findings.contains(&number))?;
            format!("stemwall repair check {key}#{} --held …", last.seq)
        }
        "quote-given" => format!("stemwall quote add {address} --amount … --from …"),
        "radon-tested" => format!("stemwall radon add {address} --device … --result … --started … --lasted \"48 h\""),
        "fixture-added" => {
            format!(
                "stemwall fixture add {key}/… --kind radon-system --in {} --installed …",
                answer.place.subject.local()
            )
        }
        "sump-tested" => format!("stemwall sump test {address} --poured --started-times …"),
        "air-logged" => format!("stemwall air import-hours {address} FILE"),
        "finding-closed" => format!("stemwall finding close {address} --why …"),
        "note-added" => format!("stemwall note add {address} …{flags}"),
        "event-happened" => format!("stemwall event add {key} --kind …"),
        _ => return None,
    })
}

pub fn date(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

pub fn as_json(answer: &Answer) -> Value {
    let subject = answer.place.subject.of(&answer.property.key);
    let Some(shown) = &answer.shown else { return json!({"subject": subject, "verdict": null}) };
    let part = |(subject, row): &(Subject, OutlookRow)| {
        let who = Named::from(row.who.and_then(Who::from_words));
        json!({"subject": subject.of(&answer.property.key), "band": row.band, "who": who.who, "who_words": who.who_words,
               "due_on": row.due_on})
    };
    let parts: Vec<Value> = answer.parts.iter().map(part).collect();
    let duty = |due: &Due| json!({"duty": due.code, "title": due.title, "opens_on": due.opens_on, "due_on": due.due_on, "why": due.why});
    let duties: Vec<Value> = answer.duties.iter().map(duty).collect();
    let judgement = shown
        .held_by
        .as_ref()
        .map(|j| json!({"from": j.from, "licence": j.licence, "says": j.says, "on": j.on, "until": j.until}));
    json!({
        "subject": subject,
        "as_of": answer.today,
        "verdict": shown.verdict,
        "parts": parts,
        "duties": duties,
        "trends": answer.trends,
        "computed": shown.computed,
        "held_by": judgement,
        "not_held": shown.not_held,
    })
}
