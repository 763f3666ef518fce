//! What happened to a house that asks for another radon test, whatever the interval.
//!
//! The rule in words: a system that was started asks for a test that starts from 24 hours to 30 days after, one taken out of use
//! for a test at once, and what was decided at 4 or more before it, or under it, stands again until then. Works, a changed heating, a sale, and a new or
//! altered sump or drain after the last test ask for another within 30 days, which is common practice and not published.
//! A system without a fan is tested once in a heating and once in a cooling season within its first year. For a sale two short
//! tests are made; a pair one after the other is told as such.
//!
//! Sources: those of the rules.

use chrono::{Datelike, Days, Months, NaiveDate};

use super::flow::{Against, Grounds, State, against, began, ran_together, states};
use super::one_test::RadonTest;
use super::section::{Found, Record, high, told_by};
use super::{AFTER_SYSTEM, CHANGE_WINDOW, LATEST_DAYS, PASSIVE, RETEST_ON_CHANGE, SALE, SaleRule, SectionRadon};
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Step, Who};
use crate::trade::words::EventKind;

/// Months until a system without a fan has been tested in both seasons: ANSI/AARST MAH-2019, 8.5.9.3; read.
const BOTH_SEASONS_MONTHS: u32 = 12;
/// Months of the heating season: design rule of this program, no published source.
const HEATING: [u32; 7] = [10, 11, 12, 1, 2, 3, 4];

/// Works, heating, sale, sump or drain since a low test.
pub(super) fn changed_since(test: &RadonTest, of: &SectionRadon, today: NaiveDate, found: &mut Found) {
    let counts = |kind: EventKind| matches!(kind, EventKind::Works | EventKind::Heating | EventKind::Sale);
    let events = of.events.iter().filter(|(kind, _)| counts(*kind)).map(|(kind, on)| (kind.word(), *on));
    let altered = of.altered.iter().map(|altered| (altered.what.as_str(), altered.on));
    let since = events.chain(altered).filter(|(_, on)| *on > test.on && *on <= today);
    if let Some((what, on)) = since.min_by_key(|(_, on)| *on) {
        let by = on.checked_add_days(Days::new(LATEST_DAYS)).unwrap_or(NaiveDate::MAX);
        let because = format!("{what} on {} after {}", told::day(on), test.described());
        let window = format!("tested again by {}, {LATEST_DAYS} days after the change", told::day(by));
        found.due.push(by);
        found.fired.push(Fired::for_comparison(&CHANGE_WINDOW, window));
        found.fired.push(Fired::new(&RETEST_ON_CHANGE, Band::Watch, Who::Owner, Some(By::Date(by)), because));
    }
    found.changes_on.extend(of.altered.iter().map(|altered| altered.on));
}

/// A system that was started or stopped, and no valid test since.
pub(super) fn after_change(
    record: &Record,
    of: &SectionRadon,
    started: Option<NaiveDate>,
    stopped: Option<NaiveDate>,
    found: &mut Found,
) {
    let Some(changed) = started.max(stopped) else { return };
    let last_day = changed.checked_add_days(Days::new(LATEST_DAYS)).unwrap_or(NaiveDate::MAX);
    let is_start = started == Some(changed);
    if let Some(first) = record.valid.first() {
        if is_start && began(first) > last_day {
            found
                .not_known
                .push(format!("radon in the first {LATEST_DAYS} days of the system (first {})", first.described()));
        }
        return;
    }
    let day = told::day(changed);
    if is_start {
        let by = told::day(last_day);
        let because =
            format!("radon system started {day}, not tested since; the test starts from 24 hours after, by {by}");
        found.fired.push(Fired::new(&AFTER_SYSTEM, Band::Watch, Who::Owner, Some(By::Date(last_day)), because));
        found.due.push(last_day);
    } else {
        let because = format!("radon system taken out of use {day}, not tested since");
        found.fired.push(Fired::new(&RETEST_ON_CHANGE, Band::Watch, Who::Owner, Some(By::Date(changed)), because));
        let stood = stands_again(record, of, changed, found);
        match stood {
            true => found.steps.push(Step::recorded_as("test again where it was decided", "radon-tested").by(changed)),
            false => found.due.push(changed),
        }
        if stood {
            return;
        }
    }
    for (place, state) in states(&counted(record.earlier.iter().copied(), of)) {
        let place = place.map_or_else(String::new, |p| format!(" in `{p}`"));
        if let State::High(grounds) = state {
            let because = format!("before the change of the system{place}: {}", told_by(grounds));
            found.fired.push(Fired::for_comparison(high(grounds).rule, because));
        }
    }
}

fn counted<'a>(tests: impl Iterator<Item = &'a RadonTest>, of: &SectionRadon) -> Vec<&'a RadonTest> {
    tests.filter(|test| test.problems_by(of.choices.radon_monitor).is_empty()).collect()
}

/// Without a system what was decided at 4 or more stands again: by the tests before the system that was taken out of use, or by
/// those it ran under. Gives whether anything does.
fn stands_again(record: &Record, of: &SectionRadon, stopped: NaiveDate, found: &mut Found) -> bool {
    if of.system {
        return false;
    }
    let started = of.starts.iter().copied().filter(|day| *day <= stopped).max();
    let before = of.starts.iter().chain(of.stops).copied().filter(|day| started.is_some_and(|s| *day < s)).max();
    let is_of =
        |test: &RadonTest, since: Option<NaiveDate>| since.is_none_or(|day| against(test, day) == Against::After);
    let earlier = || record.earlier.iter().copied();
    let under = counted(earlier().filter(|test| is_of(test, started)), of);
    let without = earlier().filter(|test| started.is_some_and(|day| against(test, day) == Against::Before));
    let without = counted(without.filter(|test| is_of(test, before)), of);
    let mut stood = false;
    for state in states(&without).into_values().chain(states(&under).into_values()) {
        if let State::High(grounds) = state {
            let again = high(grounds);
            let because = format!("{}; the radon system was taken out of use {}", &*again.because, told::day(stopped));
            found.fired.push(Fired { because: because.into(), ..again });
            found.decided.push(stopped);
            stood = true;
        }
    }
    stood
}

/// A system without a fan: the seasons of its first year in which it was not tested.
pub(super) fn without_a_fan(record: &Record, of: &SectionRadon, started: Option<NaiveDate>, found: &mut Found) {
    let Some(started) = started.filter(|_| of.passive && of.system) else { return };
    let is_tested =
        |heating: bool| record.valid.iter().any(|test| months(test).any(|m| HEATING.contains(&m) == heating));
    let missing: Vec<&str> = [(true, "a heating season"), (false, "a cooling season")]
        .into_iter()
        .filter(|(heating, _)| !is_tested(*heating))
        .map(|(_, season)| season)
        .collect();
    if missing.is_empty() || record.valid.is_empty() {
        return;
    }
    let by = started.checked_add_months(Months::new(BOTH_SEASONS_MONTHS)).unwrap_or(NaiveDate::MAX);
    let because = format!(
        "radon system without a fan, started {}, not tested in {} since; by {}",
        told::day(started),
        missing.join(" or "),
        told::day(by)
    );
    found.fired.push(Fired::new(&PASSIVE, Band::Watch, Who::Owner, Some(By::Date(by)), because));
    found.due.push(by);
}

/// The months in which a test ran.
fn months(test: &RadonTest) -> impl Iterator<Item = u32> {
    let first = began(test);
    let count = (test.on.year() - first.year()) * 12 + test.on.month() as i32 - first.month() as i32;
    (0..=count.clamp(0, 11)).map(move |n| (first.month0() + n.unsigned_abs()) % 12 + 1)
}

/// What a sale since the last valid test asks for, and a pair that one text does not take for one.
pub(super) fn for_a_sale(record: &Record, of: &SectionRadon, today: NaiveDate, found: &mut Found) {
    let sales = of.events.iter().filter(|(kind, on)| *kind == EventKind::Sale && *on <= today).map(|(_, on)| *on);
    let Some(sold) = sales.max() else { return };
    if record.valid.last().is_none_or(|test| test.on < sold) {
        let pair = match of.choices.radon_sale {
            SaleRule::Either => "side by side, or the second at once after the first with an identical device",
            SaleRule::SideBySide => "side by side at the same time",
        };
        let because = format!("a sale on {}: two short tests in the same place, {pair}", told::day(sold));
        let variant = if of.choices.radon_sale == SaleRule::SideBySide { "illinois" } else { "" };
        found.fired.push(Fired::for_comparison(&SALE, because).by_variant(variant));
    }
}

/// That a pair which decided stood one after the other, where the house is sold.
pub(super) fn sequential(grounds: Grounds, of: &SectionRadon, today: NaiveDate, found: &mut Found) {
    let Grounds::Two(first, second) = grounds else { return };
    let is_sold = of.events.iter().any(|(kind, on)| *kind == EventKind::Sale && *on <= today && *on <= second.on);
    if is_sold && !ran_together(first, second) {
        let (a, b) = (told::day(first.on), told::day(second.on));
        let taken = match of.choices.radon_sale {
            SaleRule::Either => "which a later text of Illinois does not take for a sale",
            SaleRule::SideBySide => "which the text that is followed does not take for a sale: test side by side",
        };
        let because = format!("the tests of {a} and {b} stood one after the other, {taken}");
        let variant = if of.choices.radon_sale == SaleRule::SideBySide { "illinois" } else { "" };
        found.fired.push(Fired::for_comparison(&SALE, because).by_variant(variant));
    }
}
