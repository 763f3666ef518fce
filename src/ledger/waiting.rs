//! From what is recorded of a finding to what its ladder asks: size, growth, water, quotation, what makes it worse.

use chrono::{Datelike, Months, NaiveDate};

use super::property::{Finding, Property};
use super::readings::{latest, series, wetness};
use super::settings::Settings;
use super::subject::Subject;
use crate::deferral::ladder::{Aggravator, READS};
use crate::deferral::{Case, Ladders, Preset, Quoted, Range, Seen, Terms, rate};
use crate::trade::series::Measured;
use crate::trade::trend::{self, State};
use crate::trade::words::{Answer, EventKind, FixtureKind, Surface, Water};

/// The quantities that ladders are told by, as they are typed.
const READ: [(&str, Measured); READS.len()] = [
    (READS[0], Measured::Width),
    (READS[1], Measured::Bow),
    (READS[2], Measured::StepHeight),
    (READS[3], Measured::Gap),
];

/// What a year's wait with everything open at a house costs, in units of the ledger's currency.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YearsWait {
    /// With every assumption at its low end.
    pub low: f64,
    pub expected: f64,
    /// With every assumption at its high end.
    pub high: f64,
    /// Findings with a ladder: the sums are of these.
    pub priced: u32,
    /// Findings without one: counted, in no sum.
    pub not_priced: u32,
}

/// Adds up what a year's wait costs over the open findings of a house, by `ladders` and the settings' rates.
pub fn years_wait(property: &Property, settings: &Settings, ladders: &Ladders, today: NaiveDate) -> YearsWait {
    let rates = rate(&settings.price_growth).ok().zip(rate(&settings.discount_rate).ok());
    let terms = rates.and_then(|(growth, discount)| Terms::new(growth, discount).ok());
    let terms = terms.filter(|_| ladders.currency == settings.currency);
    let mut wait = YearsWait { low: 0.0, expected: 0.0, high: 0.0, priced: 0, not_priced: 0 };
    for (number, _) in property.open_findings().filter(|(_, finding)| finding.opened.date <= today) {
        let year = terms.as_ref().and_then(|terms| {
            let seen = seen(property, number, today)?;
            let ladder = ladders.of(seen.kind, seen.surface, seen.water)?;
            Case::new(ladder, &seen, Preset::default(), &settings.index(), 1).year(terms).ok()
        });
        match year {
            Some([low, expected, high]) => {
                (wait.low, wait.expected, wait.high) = (wait.low + low, wait.expected + expected, wait.high + high);
                wait.priced += 1;
            }
            None => wait.not_priced += 1,
        }
    }
    wait
}

/// What a ladder asks of an open finding on a day; `None` where there is no such finding.
pub fn seen(property: &Property, number: u32, today: NaiveDate) -> Option<Seen> {
    let finding = property.findings.get(&number)?;
    let p = &finding.particulars;
    let sizes = READ.iter().filter_map(|(typed, _)| {
        let size = latest(finding, typed, today)?.measured.length()?.value();
        Some((*typed, size.abs()))
    });
    Some(Seen {
        kind: finding.kind,
        surface: p.surface.or(p.wall.as_ref().map(|_| Surface::Wall)),
        water: wetness(finding, today),
        sizes: sizes.collect(),
        growth: READ.iter().filter_map(|(typed, of)| Some((*typed, growth(finding, *of, today)?))).collect(),
        quote: quote(property, &Subject::Finding(number), today),
        aggravators: aggravators(property, number, finding, today),
    })
}

/// The fastest growth that a full year of any present series of a quantity shows, with its interval, mm a year.
fn growth(finding: &Finding, of: Measured, today: NaiveDate) -> Option<Range> {
    let grown = series(finding).into_iter().filter(|s| s.measured == of && !s.superseded).filter_map(|s| {
        let growth = trend::growth(&s.points(today), s.resolution().mm).ok()?;
        let (low, high) = growth.ci()?;
        let slope = growth.slope().filter(|slope| growth.state == State::Growing && *slope > 0.0 && low > 0.0)?;
        Range::new(low, slope, high).ok()
    });
    grown.reduce(|a, b| if b.likely > a.likely { b } else { a })
}

/// The latest price offered for a subject; for a finding since it was opened or last mended.
pub fn quote(property: &Property, about: &Subject, today: NaiveDate) -> Option<Quoted> {
    let since = match about {
        Subject::Finding(number) => {
            let finding = property.findings.get(number)?;
            let mended = finding.mended.iter().map(|on| on.date).filter(|on| *on <= today).max();
            mended.unwrap_or(finding.opened.date)
        }
        Subject::Property | Subject::Named(_) => NaiveDate::MIN,
    };
    let offered = property.quotes.iter().filter(|q| q.about.contains(about));
    let latest = offered.filter(|q| (since..=today).contains(&q.on.date)).max_by_key(|q| (q.on, q.seq))?;
    Some(Quoted {
        amount: latest.amount.to_major(),
        year: latest.on.date.year(),
        from: latest.from.clone(),
        shared_by: latest.about.len(),
        offer: latest.seq,
    })
}

/// What makes a finding worse faster, each once.
fn aggravators(property: &Property, number: u32, finding: &Finding, today: NaiveDate) -> Vec<Aggravator> {
    let open = property.open_findings().filter(|(n, f)| *n != number && f.opened.date <= today);
    let mut found: Vec<Aggravator> = open.map(|(_, f)| Aggravator::Finding(f.kind)).collect();
    found.sort_unstable();
    found.dedup();
    if matches!(wetness(finding, today), Some(Water::Seeping | Water::Running)) {
        found.push(Aggravator::Water);
    }
    let winter = today.checked_sub_months(Months::new(12)).unwrap_or(today);
    let froze = property.events.iter().any(|e| e.kind == EventKind::Freeze && (winter..=today).contains(&e.on.date));
    // A climate zone gives usual days of freeze where none was typed.
    if froze || property.year().first_freeze.is_some() {
        found.push(Aggravator::Freeze);
    }
    if has_dead_pump(property, today) {
        found.push(Aggravator::DeadPump);
    }
    found
}

fn has_dead_pump(property: &Property, today: NaiveDate) -> bool {
    let pumps = property.fixtures.iter().filter(|(_, f)| f.kind == FixtureKind::SumpPump && f.retired.is_none());
    pumps.map(|(name, _)| name).any(|name| {
        let tests = property.sump_tests.iter().filter(|t| t.test.fixture == *name && t.on.date <= today);
        tests
            .max_by_key(|t| (t.on, t.seq))
            .is_some_and(|t| t.test.failed.is_some() || t.test.water_rising == Some(Answer::Yes))
    })
}
