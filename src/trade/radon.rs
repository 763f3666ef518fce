//! Radon in one section: what a single test asks for.
//!
//! The rule in words: a valid short test at 4 pCi/L or more asks for a follow-up test within a month of its end, over 8 at
//! once; 2 to below 4 asks for a re-test in the heating season by its interval; below 2 for one by its interval. A valid long
//! test (over 90 days) stands alone: at 4 or more a radon professional is called. A test that is not valid lowers no band,
//! and a high one brings the next test forward. A section without a valid test has no band for radon, unless an invalid one
//! was high. Below 4 is never the end of it: every result asks for another test.
//!
//! Results are compared as they are reported: half up to one decimal of pCi/L, on exact numbers, so 3.95 is 4.0 and 148 Bq/m3
//! is 4.0. Averages of several tests of one place are not decided here.

use chrono::{Months, NaiveDate};

use super::cautions;
use super::told;
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::EventKind;
use crate::quantity::{Activity, Exact};

pub mod average;
pub mod decay;
pub mod locations;
pub mod monitor;
pub mod odds;
pub mod one_test;
pub mod pair;
pub mod reduction;
#[cfg(test)]
pub(super) mod reference_tests;
pub mod risk;
#[cfg(test)]
mod tests;

pub use one_test::{Doubt, Kind, Placed, RadonProblem, RadonTest, Room};

/// EPA action level, pCi/L, "4 or greater": ANSI/AARST MAH-2019, 7.1; read.
pub const ACTION: Exact = Exact::integer(4);
/// From here to below the action level: consider mending, pCi/L: ANSI/AARST MAH-2019, 7.1; read.
pub const CONSIDER: Exact = Exact::integer(2);
/// Over this the second short test is made at once, pCi/L: EPA, A Citizen's Guide to Radon (2012); read.
pub const AT_ONCE_OVER: Exact = Exact::integer(8);
/// From here at once by the older protocol, pCi/L: EPA 402-R-93-003 (1993) and Illinois 32 IAC 422 (2005); read.
pub const AT_ONCE_FROM_1993: Exact = Exact::integer(10);
/// Months after its end by which a high test is followed up: "within a month", EPA, A Citizen's Guide to Radon; read.
pub const FOLLOW_UP_MONTHS: u32 = 1;
/// Years until a low result is tested again: Illinois 32 IAC 422 App. B and EPA advice (2020); read.
pub const RETEST_YEARS: u32 = 2;
/// The same by ANSI/AARST MAH-2019, 8.5.9.2, at least every five years; read.
pub const RETEST_YEARS_MAH: u32 = 5;
/// With a mitigation system, whichever document: ANSI/AARST MAH-2019, 8.5.9.2; read.
pub const RETEST_YEARS_SYSTEM: u32 = 2;

pub static FOLLOW_UP: Rule = Rule {
    name: "radon-follow-up",
    says: "one short test at 4 pCi/L (148 Bq/m3) or more asks for a follow-up test within a month, over 8 pCi/L for a second short test \
           at once",
    source: "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2012)",
    standing: Standing::Read,
    scope: "a valid short test, 48 hours to 90 days, in the lowest lived-in level of a home",
    variants: &[Variant {
        name: "protocol-1993",
        says: "at once from 10 pCi/L on",
        source: "EPA 402-R-93-003 (1993); Illinois 32 IAC 422 (2005)",
        standing: Standing::Read,
    }],
};

pub static LONG_TEST: Rule = Rule {
    name: "radon-long-test",
    says: "a long test stands alone: at 4 pCi/L (148 Bq/m3) or more a radon professional is called",
    source: "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2012)",
    standing: Standing::Read,
    scope: "a valid test of more than 90 days in a home",
    variants: &[],
};

pub static CONSIDER_BAND: Rule = Rule {
    name: "radon-two-to-four",
    says: "2 to below 4 pCi/L asks for a re-test in the heating season, and mending may be considered",
    source: "ANSI/AARST MAH-2019, 7.1; EPA, A Citizen's Guide to Radon",
    standing: Standing::Read,
    scope: "a valid test in a home",
    variants: &[Variant {
        name: "who",
        says: "100 Bq/m3 (2.7 pCi/L) is the reference level",
        source: "WHO Handbook on Indoor Radon (2009)",
        standing: Standing::Read,
    }],
};

pub static BELOW_TWO: Rule = Rule {
    name: "radon-below-two",
    says: "below 2 pCi/L is noted as below what devices measure well; no level is without risk, and it is tested again by its \
           interval",
    source: "ANSI/AARST MAH-2019, 7.1; EPA, A Citizen's Guide to Radon",
    standing: Standing::Read,
    scope: "a valid test in a home",
    variants: &[],
};

pub static RETEST: Rule = Rule {
    name: "radon-retest-interval",
    says: "a low result is tested again after 2 years, with a radon system after 2 years",
    source: "Illinois 32 IAC 422 Appendix B and EPA advice (2020); ANSI/AARST MAH-2019, 8.5.9.2 with a system",
    standing: Standing::Read,
    scope: "a home whose valid tests are under 4 pCi/L",
    variants: &[Variant {
        name: "mah-2019",
        says: "at least every 5 years without a system",
        source: "ANSI/AARST MAH-2019, 8.5.9.2",
        standing: Standing::Read,
    }],
};

pub static RETEST_ON_CHANGE: Rule = Rule {
    name: "radon-retest-on-change",
    says: "after works, a changed heating or a sale the section is tested again, whatever the interval",
    source: "Illinois 32 IAC 422 Appendix B; a laboratory's summary of ANSI/AARST MAH-2019 for the sale",
    standing: Standing::SecondHand,
    scope: "a home whose latest valid test is older than the change",
    variants: &[],
};

pub static INVALID_HIGH: Rule = Rule {
    name: "radon-invalid-high",
    says: "a test that is not valid lowers no band; at 4 pCi/L or more it brings the next test forward",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "tests that miss a condition of their protocol",
    variants: &[],
};

/// Where documents differ, which one is followed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct RadonChoices {
    /// [`RETEST_YEARS_MAH`] in place of [`RETEST_YEARS`].
    pub retest_mah_2019: bool,
    /// [`AT_ONCE_FROM_1993`] in place of [`AT_ONCE_OVER`].
    pub protocol_1993: bool,
}

/// Everything about radon in one section.
#[derive(Debug, Clone)]
pub struct SectionRadon<'a> {
    /// In any order.
    pub tests: &'a [RadonTest],
    /// A radon system is fitted.
    pub system: bool,
    pub events: &'a [(EventKind, NaiveDate)],
    pub choices: RadonChoices,
}

/// A result as it is reported: pCi/L to one decimal, half up. Average first, then report, then compare.
///
/// Source: ANSI/AARST MAH-2019, 8.5.2 b; MALB-2014, 8.1.1.
pub fn reported(level: Activity) -> Exact {
    level.exact_pci_l().round_half_up(1)
}

/// The verdict on radon in one section on `today`, by single tests.
pub fn verdict(of: &SectionRadon, today: NaiveDate) -> Verdict {
    let mut tests: Vec<&RadonTest> = of.tests.iter().filter(|t| t.on <= today).collect();
    tests.sort_by_key(|t| t.on);
    let (valid, invalid): (Vec<_>, Vec<_>) = tests.iter().copied().partition(|t| t.problems().is_empty());
    let latest = valid.last().copied();
    let mut fired = Vec::new();
    let mut due = Vec::new();
    let mut changes_on = None;

    for test in &valid {
        let followed = valid.iter().any(|later| later.on > test.on);
        if reported(test.result) >= ACTION {
            let (high, day) = high(test, followed, of.choices);
            fired.push(high);
            due.extend(day);
        }
    }
    if let Some(test) = latest {
        let last_day = retest_on(test, of);
        let low = low(test, last_day);
        if reported(test.result) < ACTION {
            fired.push(low);
            due.push(last_day);
            changes_on = last_day.succ_opt().filter(|day| *day > today);
            fired.extend((today > last_day).then(|| aged(test, last_day)));
            fired.extend(changed_since(test, of, today, &mut due));
        }
    }
    for test in &invalid {
        let answered = valid.iter().any(|later| later.on > test.on);
        if reported(test.result) >= ACTION && !answered {
            let (brought, day) = brought_forward(test, of.choices);
            fired.push(brought);
            due.push(day);
        }
    }

    let mut verdict = Verdict::from_fired(fired);
    verdict.not_known = not_known(latest, &valid, &invalid);
    verdict.next = next(&verdict, latest);
    verdict.cautions = vec![cautions::LOCAL_LAW];
    changes_on.into_iter().for_each(|day| verdict.may_change_on(day));
    due.into_iter().for_each(|day| verdict.ask_by(day));
    verdict
}

/// A valid test at the action level or more, and the day by which it is followed up.
fn high(test: &RadonTest, followed: bool, choices: RadonChoices) -> (Fired, Option<NaiveDate>) {
    let found = test.described();
    if test.kind() == Some(Kind::Long) {
        let because = format!("{found}: at or above 4 pCi/L, and a long test stands alone");
        return (Fired::new(&LONG_TEST, Band::Call, Who::RadonProfessional, None, because), None);
    }
    if followed {
        let because = format!("{found}: at or above 4 pCi/L; the tests after it are not weighed against it here");
        return (Fired::new(&FOLLOW_UP, Band::Watch, Who::Owner, None, because), None);
    }
    let (by, day, when) = soon(test, choices);
    let because = format!("{found}: at or above 4 pCi/L; {when}");
    let since = (by == By::AtOnce).then_some(day);
    (Fired { since, ..Fired::new(&FOLLOW_UP, Band::Watch, Who::Owner, Some(by), because) }, Some(day))
}

/// How soon a high result wants another test: at once, or within a month of its end.
fn soon(test: &RadonTest, choices: RadonChoices) -> (By, NaiveDate, String) {
    let result = reported(test.result);
    let at_once = if choices.protocol_1993 { result >= AT_ONCE_FROM_1993 } else { result > AT_ONCE_OVER };
    if at_once {
        return (By::AtOnce, test.on, "a second short test at once".to_owned());
    }
    let day = test.on.checked_add_months(Months::new(FOLLOW_UP_MONTHS)).unwrap_or(test.on);
    (By::Date(day), day, format!("a follow-up test by {}", told::day(day)))
}

fn low(test: &RadonTest, last_day: NaiveDate) -> Fired {
    let found = test.described();
    let again = told::day(last_day);
    if reported(test.result) >= CONSIDER {
        let because = format!("{found}: 2 to below 4 pCi/L; test again in the heating season, by {again}");
        return Fired::new(&CONSIDER_BAND, Band::Watch, Who::Owner, Some(By::Date(last_day)), because);
    }
    let because = format!("{found}: below 2 pCi/L, which is not without risk; test again by {again}");
    Fired::new(&BELOW_TWO, Band::Note, Who::Owner, Some(By::Date(last_day)), because)
}

/// Last day on which a low test has not aged.
fn retest_on(test: &RadonTest, of: &SectionRadon) -> NaiveDate {
    let years = match (of.system, of.choices.retest_mah_2019) {
        (true, _) => RETEST_YEARS_SYSTEM,
        (false, true) => RETEST_YEARS_MAH,
        (false, false) => RETEST_YEARS,
    };
    test.on.checked_add_months(Months::new(12 * years)).unwrap_or(NaiveDate::MAX)
}

fn aged(test: &RadonTest, last_day: NaiveDate) -> Fired {
    let because = format!("{} has aged since {}", test.described(), told::day(last_day));
    Fired::new(&RETEST, Band::Watch, Who::Owner, Some(By::Before("the heating season ends")), because)
}

fn changed_since(test: &RadonTest, of: &SectionRadon, today: NaiveDate, due: &mut Vec<NaiveDate>) -> Option<Fired> {
    let counts = |kind: EventKind| matches!(kind, EventKind::Works | EventKind::Heating | EventKind::Sale);
    let since = of.events.iter().filter(|(kind, on)| counts(*kind) && *on > test.on && *on <= today);
    let (kind, on) = since.min_by_key(|(_, on)| *on)?;
    due.push(*on);
    let because = format!("{kind} on {} after {}", told::day(*on), test.described());
    Some(Fired::new(&RETEST_ON_CHANGE, Band::Watch, Who::Owner, Some(By::Date(*on)), because))
}

fn brought_forward(test: &RadonTest, choices: RadonChoices) -> (Fired, NaiveDate) {
    let (by, day, when) = soon(test, choices);
    let problems: Vec<String> = test.problems().iter().map(ToString::to_string).collect();
    let because = format!("{} does not count ({}), but it is high: {when}", test.described(), problems.join("; "));
    let since = (by == By::AtOnce).then_some(day);
    (Fired { since, ..Fired::new(&INVALID_HIGH, Band::Watch, Who::Owner, Some(by), because) }, day)
}

fn not_known(latest: Option<&RadonTest>, valid: &[&RadonTest], invalid: &[&RadonTest]) -> Vec<String> {
    let mut list = Vec::new();
    match (latest, invalid.is_empty()) {
        (Some(test), _) => {
            list.extend(test.doubts().iter().map(|doubt| format!("{doubt} ({})", test.described())));
        }
        (None, true) => list.push("radon (never tested)".to_owned()),
        (None, false) => list.push("radon (no valid test)".to_owned()),
    }
    list.extend(invalid.iter().map(|test| {
        let problems: Vec<String> = test.problems().iter().map(ToString::to_string).collect();
        format!("{} does not count: {}", test.described(), problems.join("; "))
    }));
    if valid.len() > 1 {
        list.push("what the valid tests decide together (each is weighed by itself here)".to_owned());
    }
    list
}

fn next(verdict: &Verdict, latest: Option<&RadonTest>) -> Vec<Step> {
    match verdict.band {
        Some(Band::Call) => vec![
            Step::recorded_as(
                "a quote from a radon professional, licensed or certified where the state has it",
                "quote-given",
            ),
            Step::recorded_as(
                "test again after the work, from 24 hours to 30 days after the fan starts",
                "radon-tested",
            ),
        ],
        Some(Band::Watch) if latest.is_some_and(|t| reported(t.result) >= ACTION) => {
            let place = "in the same place: a second short test for a quick answer, or a long test, but only a short one over 8";
            vec![Step::recorded_as(format!("test again {place}"), "radon-tested")]
        }
        Some(_) => vec![Step::recorded_as(
            "test again in the heating season, house closed from 12 hours before",
            "radon-tested",
        )],
        None => vec![Step::recorded_as(
            "test the lowest level that is or could be lived in, 48 hours or longer",
            "radon-tested",
        )],
    }
}
