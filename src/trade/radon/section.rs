//! The verdict on radon in one section, by all its tests.
//!
//! The rule in words: only tests of the present series count, those after the last start or stop of a radon system. Each place
//! is decided by itself ([`super::flow`]) and the worst decides the section. A system that was started asks for a test that
//! starts from 24 hours to 30 days after. A low result ages by its interval and asks for another; below 4 is never the end of
//! it. A test that is not valid lowers nothing, and a high one brings the next test forward. A low test on another level than
//! the lowest moves no band: the lowest level is asked for.
//!
//! Sources: those of the rules.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Months, NaiveDate};

use super::changes::{after_change, changed_since, for_a_sale, sequential, without_a_fan};
use super::flow::{Against, Grounds, Place, State, against, are_linked, began, place_of, states};
use super::locations::{LOCATIONS, locations};
use super::one_test::{RadonProblem, RadonTest};
use super::pair::STRADDLE;
use super::paired;
use super::{
    ACTION, AFTER_SYSTEM, AT_ONCE_FROM_1993, AT_ONCE_OVER, AtOnceRule, BELOW_TWO, CONDITIONS, CONSIDER, CONSIDER_BAND,
    FOLLOW_UP, FOLLOW_UP_MONTHS, INVALID_HIGH, LONG_TEST, PASSIVE, RETEST, RETEST_ON_CHANGE, RETEST_YEARS,
    RETEST_YEARS_MAH, RETEST_YEARS_SYSTEM, RetestRule, SALE, SaleRule, SectionRadon, TWO_SHORT, reported,
};
use crate::trade::choice::Choices;
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Step, Verdict, Who};
use crate::trade::wording::Wording;
use crate::trade::words::Level;
use crate::trade::{called, cautions};

/// The tests of a section on a day, sorted by what they count for; each list in order.
pub(super) struct Record<'a> {
    pub valid: Vec<&'a RadonTest>,
    /// Valid, on another level than the lowest: a high one asks for its follow-up, a low one tells nothing of the lowest.
    elsewhere: Vec<&'a RadonTest>,
    /// Not valid, or run across a change of the system: with the reasons.
    invalid: Vec<(&'a RadonTest, String, Vec<RadonProblem>)>,
    /// Of an earlier series.
    pub earlier: Vec<&'a RadonTest>,
}

/// What fired, and by which days something is asked for.
#[derive(Default)]
pub(super) struct Found {
    pub fired: Vec<Fired>,
    pub due: Vec<NaiveDate>,
    pub changes_on: Vec<NaiveDate>,
    pub not_known: Vec<String>,
    /// Asked for beside what the rule that decided asks for.
    pub steps: Vec<Step>,
    /// Days since which it is decided by tests of before the system was taken out of use.
    pub decided: Vec<NaiveDate>,
}

/// The verdict on radon in one section on `today`. Tests and changes after `today` are left out.
///
/// One test alone is the same flow with one step. Sources: the rules it fires.
pub fn verdict(of: &SectionRadon, today: NaiveDate) -> Verdict {
    let latest_of = |days: &[NaiveDate]| days.iter().copied().filter(|day| *day <= today).max();
    let (started, stopped) = (latest_of(of.starts), latest_of(of.stops));
    let record = record(of, started.max(stopped), today);
    let (states, above) = (states(&record.valid), states(&record.elsewhere));
    let latest = record.valid.last().copied();

    let mut found = Found::default();
    for state in states.values().chain(above.values()) {
        match *state {
            State::Waits(test) => waits(test, of.choices, &mut found),
            State::Apart(first, second) => apart(first, second, &mut found),
            State::High(grounds) => {
                found.fired.push(high(grounds));
                paired::after_two(
                    grounds,
                    true,
                    paired::is_tested_after(grounds, &record.valid),
                    of.choices,
                    &mut found,
                );
                sequential(grounds, of, today, &mut found);
            }
            State::Low(grounds) if grounds.latest().level == Some(Level::Other) => low_elsewhere(grounds, &mut found),
            State::Low(grounds) => {
                low(grounds, of, latest, today, &mut found);
                paired::after_two(grounds, false, false, of.choices, &mut found);
            }
        }
    }
    after_change(&record, of, started, stopped, &mut found);
    without_a_fan(&record, of, started.filter(|day| stopped.is_none_or(|stop| stop < *day)), &mut found);
    for_a_sale(&record, of, today, &mut found);
    how_many_places(&record, of, &mut found);
    brought_forward(&record, of.choices, &mut found);
    found.changes_on.extend(of.starts.iter().chain(of.stops).copied());
    what_is_not_known(&record, &states, started.max(stopped), &mut found);
    if of.system && of.starts.is_empty() {
        found.not_known.push("when the radon system started, and so which tests came before it".to_owned());
    }

    // Of two rules of one band the sooner day is the one that is asked for.
    found.fired.sort_by_key(|fired| match fired.by {
        Some(By::AtOnce) => (0, None),
        Some(By::Date(day)) => (1, Some(day)),
        Some(By::Before(_)) | None => (2, None),
    });
    not_counted(&record, &mut found.fired);
    let mut verdict = Verdict::from_fired(found.fired);
    verdict.not_known = found.not_known;
    let states: Vec<State> = states.into_values().chain(above.into_values()).collect();
    let decided = states
        .iter()
        .filter_map(|state| if let State::High(grounds) = state { Some(decided_on(*grounds)) } else { None });
    let decided = decided.chain(found.decided).min();
    let quoted = of.quotes.iter().copied().filter(|day| *day <= today && Some(*day) >= decided).max();
    found.changes_on.extend(of.quotes);
    verdict.next = next(&verdict, of, &states, quoted.is_some(), !record.elsewhere.is_empty());
    verdict.cautions = vec![cautions::LOCAL_LAW];
    found.changes_on.into_iter().filter(|day| *day > today).for_each(|day| verdict.may_change_on(day));
    found.due.into_iter().for_each(|day| verdict.ask_by(day));
    if let Some(since) = quoted.or(decided) {
        called::ask_within(&mut verdict, since);
    }
    // A test that is asked for beside a call is no day for the call.
    let steps = verdict.next.iter().cloned().chain(found.steps).collect();
    verdict.asks(steps);
    verdict
}

/// Each test that does not count, beside each rule that takes it its validity; what was not as it should be of the last valid one.
fn not_counted(record: &Record, fired: &mut Vec<Fired>) {
    for (test, _, problems) in &record.invalid {
        for of_rule in problems.chunk_by(|a, b| a.rule().name == b.rule().name) {
            let why: Vec<String> = of_rule.iter().map(ToString::to_string).collect();
            let because = format!("{} does not count: {}", test.described(), why.join("; "));
            fired.extend(of_rule.first().map(|problem| Fired::for_comparison(problem.rule(), because)));
        }
    }
    if let Some(test) = record.valid.last() {
        let doubts = test.doubts().into_iter().filter(|doubt| doubt.is_of_conditions());
        let not_met = |doubt| {
            let test = test.described();
            Fired::for_comparison(&CONDITIONS, Wording::later(move || format!("{test}: not known is {doubt}")))
        };
        fired.extend(doubts.map(not_met));
    }
}

fn record<'a>(of: &SectionRadon<'a>, changed: Option<NaiveDate>, today: NaiveDate) -> Record<'a> {
    let mut tests: Vec<&RadonTest> = of.tests.iter().filter(|t| t.on <= today).collect();
    tests.sort_by_key(|t| (t.on, t.started));
    let mut record = Record { valid: Vec::new(), elsewhere: Vec::new(), invalid: Vec::new(), earlier: Vec::new() };
    for test in tests {
        let of_rules = test.problems_by(of.choices.radon_monitor);
        let mut problems: Vec<String> = of_rules.iter().map(ToString::to_string).collect();
        match changed.map(|day| (day, against(test, day))) {
            Some((_, Against::Before)) => {
                record.earlier.push(test);
                continue;
            }
            Some((day, Against::Across)) => {
                problems
                    .push(format!("it started under 24 hours after the radon system changed on {}", told::day(day)));
            }
            Some((_, Against::After)) | None => {}
        }
        match problems.is_empty() {
            true if test.level == Some(Level::Other) => record.elsewhere.push(test),
            true => record.valid.push(test),
            false => record.invalid.push((test, problems.join("; "), of_rules)),
        }
    }
    record
}

fn waits(test: &RadonTest, choices: Choices, found: &mut Found) {
    let (by, day, when) = soon(test, choices);
    let test = test.described();
    let because = Wording::later(move || format!("{test}: at or above 4 pCi/L; {when}"));
    let since = (by == By::AtOnce).then_some(day);
    let fired = Fired { since, ..Fired::new(&FOLLOW_UP, Band::Watch, Who::Owner, Some(by), because) };
    found.fired.push(fired.by_variant(choices.radon_at_once.variant()));
    found.due.push(day);
}

/// A high test whose follow-up came too late, and low.
fn apart(first: &RadonTest, second: &RadonTest, found: &mut Found) {
    let day = month_on(second);
    let because = format!(
        "{} and {}: over a month apart, so they are not averaged; a follow-up test by {}",
        first.described(),
        second.described(),
        told::day(day)
    );
    found.fired.push(Fired::new(&FOLLOW_UP, Band::Watch, Who::Owner, Some(By::Date(day)), because));
    found.due.push(day);
}

/// Whether a high result asks for its second test at once.
fn is_at_once(test: &RadonTest, choices: Choices) -> bool {
    let result = reported(test.result);
    match choices.radon_at_once {
        AtOnceRule::OverEight => result > AT_ONCE_OVER,
        AtOnceRule::FromTen => result >= AT_ONCE_FROM_1993,
    }
}

/// How soon a high result wants another test: at once, or within a month of its end.
fn soon(test: &RadonTest, choices: Choices) -> (By, NaiveDate, String) {
    if is_at_once(test, choices) {
        return (By::AtOnce, test.on, "a second short test at once".to_owned());
    }
    within_a_month(test)
}

fn within_a_month(test: &RadonTest) -> (By, NaiveDate, String) {
    let day = month_on(test);
    (By::Date(day), day, format!("a follow-up test by {}", told::day(day)))
}

pub(super) fn month_on(test: &RadonTest) -> NaiveDate {
    test.on.checked_add_months(Months::new(FOLLOW_UP_MONTHS)).unwrap_or(NaiveDate::MAX)
}

pub(super) fn high(grounds: Grounds) -> Fired {
    let call = |rule, because| Fired::new(rule, Band::Call, Who::RadonProfessional, None, because);
    match grounds {
        Grounds::Two(..) => call(&TWO_SHORT, told_by(grounds).then(|tests| format!("{tests}: at or above 4 pCi/L"))),
        Grounds::Long(_) | Grounds::Short(_) => {
            let because = |test: String| format!("{test}: at or above 4 pCi/L, and a long test stands alone");
            call(&LONG_TEST, told_by(grounds).then(because))
        }
    }
}

/// The day the last of the tests that decided came in.
fn decided_on(grounds: Grounds) -> NaiveDate {
    match grounds {
        Grounds::Short(test) | Grounds::Long(test) => test.on,
        Grounds::Two(a, b) => a.on.max(b.on),
    }
}

pub(super) fn told_by(grounds: Grounds) -> Wording {
    match grounds {
        Grounds::Short(test) | Grounds::Long(test) => {
            let test = test.described();
            Wording::later(move || test.to_string())
        }
        Grounds::Two(a, b) => {
            let at_most = if grounds.is_at_most() { "at most " } else { "" };
            let (a, b, level) = (a.described(), b.described(), grounds.level());
            Wording::later(move || format!("{a} and {b}: mean {at_most}{}", told::activity(level)))
        }
    }
}

/// A place decided below 4: its band, its interval if it is the last word of the section, and what a pair leaves open.
fn low(grounds: Grounds, of: &SectionRadon, latest: Option<&RadonTest>, today: NaiveDate, found: &mut Found) {
    let test = grounds.latest();
    let last_day = retest_on(test, of);
    let by = Some(By::Date(last_day));
    found.fired.push(if reported(grounds.level()) >= CONSIDER {
        let because = move |tests: String| {
            let again = told::day(last_day);
            format!("{tests}: 2 to below 4 pCi/L; test again in the heating season, by {again}")
        };
        Fired::new(&CONSIDER_BAND, Band::Watch, Who::Owner, by, told_by(grounds).then(because))
    } else {
        let because = move |tests: String| {
            let again = told::day(last_day);
            format!("{tests}: below 2 pCi/L, which is not without risk; test again by {again}")
        };
        Fired::new(&BELOW_TWO, Band::Note, Who::Owner, by, told_by(grounds).then(because))
    });
    sequential(grounds, of, today, found);
    // Another place's older result stands, but the section was tested since.
    if latest.is_some_and(|latest| latest.on == test.on) {
        found.due.push(last_day);
        found.changes_on.extend(last_day.succ_opt());
        if today > last_day {
            let because = format!("{} has aged since {}", test.described(), told::day(last_day));
            let before = Some(By::Before("the heating season ends"));
            let aged = Fired::new(&RETEST, Band::Watch, Who::Owner, before, because);
            let variant = if of.system { "" } else { of.choices.radon_retest.variant() };
            found.fired.push(aged.by_variant(variant));
        }
        changed_since(test, of, today, found);
    }
}

/// A place of another level decided below 4: out of the scope of the rules, which are for the lowest level, so it moves no band.
fn low_elsewhere(grounds: Grounds, found: &mut Found) {
    let rule = if reported(grounds.level()) >= CONSIDER { &CONSIDER_BAND } else { &BELOW_TWO };
    let because = |tests: String| format!("{tests}: on another level than the lowest, of which it tells nothing");
    found.fired.push(Fired::for_comparison(rule, told_by(grounds).then(because)));
}

/// How many places the floor area asks for, beside how many were tested in this series.
fn how_many_places(record: &Record, of: &SectionRadon, found: &mut Found) {
    let Some(asked) = of.area.and_then(|area| locations(&[area]).ok().map(|n| (area, n))) else { return };
    let (area, asked) = asked;
    let places: BTreeSet<Place> = record.valid.iter().map(|test| place_of(test)).collect();
    if asked > 1 && (places.len() as u64) < asked {
        let because = format!(
            "{} of floor ask for {asked} places at the same time; tested in this series: {}",
            told::area(area),
            places.len()
        );
        found.fired.push(Fired::for_comparison(&LOCATIONS, because));
    }
}

/// Last day on which a low test has not aged.
fn retest_on(test: &RadonTest, of: &SectionRadon) -> NaiveDate {
    let years = match (of.system, of.choices.radon_retest) {
        (true, _) => RETEST_YEARS_SYSTEM,
        (false, RetestRule::FiveYears) => RETEST_YEARS_MAH,
        (false, RetestRule::TwoYears) => RETEST_YEARS,
    };
    test.on.checked_add_months(Months::new(12 * years)).unwrap_or(NaiveDate::MAX)
}

/// High tests that do not count and that no valid test has answered.
fn brought_forward(record: &Record, choices: Choices, found: &mut Found) {
    for (test, problems, _) in &record.invalid {
        let of_upstairs = record.elsewhere.iter().filter(|_| test.level == Some(Level::Other));
        let is_answered = record.valid.iter().chain(of_upstairs).any(|later| later.on > test.on);
        if reported(test.result) < ACTION || is_answered {
            continue;
        }
        let (by, day, when) = soon(test, choices);
        // A limit in place of a result is not high, but may be.
        let (by, day, when) = if test.below { within_a_month(test) } else { (by, day, when) };
        let is = if test.below { "may be" } else { "is" };
        let because = format!("{} does not count ({problems}), but it {is} high: {when}", test.described());
        let since = (by == By::AtOnce).then_some(day);
        found.fired.push(Fired { since, ..Fired::new(&INVALID_HIGH, Band::Watch, Who::Owner, Some(by), because) });
        found.due.push(day);
    }
}

fn what_is_not_known(record: &Record, states: &BTreeMap<Place, State>, changed: Option<NaiveDate>, found: &mut Found) {
    let list = &mut found.not_known;
    match (record.valid.last(), changed) {
        (Some(test), _) => {
            let said = test.described().to_string();
            list.extend(test.doubts().iter().map(|doubt| format!("{doubt} ({said})")));
        }
        (None, Some(day)) => {
            list.push(format!("radon since the system changed on {} (no valid test)", told::day(day)));
        }
        (None, None) if !record.elsewhere.is_empty() => {
            list.push("radon on the lowest level (only another level was tested)".to_owned());
        }
        (None, None) if record.invalid.is_empty() => list.push("radon (never tested)".to_owned()),
        (None, None) => list.push("radon (no valid test)".to_owned()),
    }
    if let Some((day, first)) =
        changed.zip(record.valid.first()).filter(|(day, first)| day.succ_opt() == Some(began(first)))
    {
        let after = told::day(day);
        list.push(format!("whether 24 hours had passed since the system changed on {after} ({})", first.described()));
    }
    list.extend(record.invalid.iter().map(|(t, problems, _)| format!("{} does not count: {problems}", t.described())));
    if let Some(State::Low(Grounds::Two(a, b)) | State::High(Grounds::Two(a, b))) = states.get(&None) {
        let tests = match (told::day(a.on), told::day(b.on)) {
            (one, other) if one == other => format!("both tests of {one}"),
            (one, other) => format!("the tests of {one} and {other}"),
        };
        let doubt = || format!("whether {tests} stood in one place (no room is recorded; taken as one)");
        list.extend((!are_linked(a, b)).then(doubt));
    }
}

/// What to do next, by the rule that decided.
fn next(verdict: &Verdict, of: &SectionRadon, states: &[State], quoted: bool, elsewhere: bool) -> Vec<Step> {
    let choices = of.choices;
    let test = |says: String| vec![Step::recorded_as(says, "radon-tested")];
    let for_sale = || {
        let pair = match choices.radon_sale {
            SaleRule::Either => "side by side, or the second at once after the first with an identical device",
            SaleRule::SideBySide => "side by side at the same time",
        };
        test(format!("for the sale: two short tests in the same place, {pair}, house closed from 12 hours before"))
    };
    let is_sold = verdict.comparison.iter().any(|fired| fired.rule == &SALE);
    let Some(worst) = verdict.because.first() else {
        if is_sold {
            return for_sale();
        }
        let when = if elsewhere { " now" } else { "" };
        return test(format!("test the lowest level that is or could be lived in{when}, 48 hours or longer"));
    };
    if worst.band == Some(Band::Call) {
        let quote = "a quote from a radon professional, licensed or certified where the state has it";
        let after = "test again after the work, from 24 hours to 30 days after the fan starts";
        let work = "have the work done, and record the system with the day it started";
        let first =
            if quoted { Step::recorded_as(work, "fixture-added") } else { Step::recorded_as(quote, "quote-given") };
        return vec![first, Step::recorded_as(after, "radon-tested")];
    }
    let waiting = states.iter().filter_map(|state| if let State::Waits(test) = state { Some(*test) } else { None });
    let waiting: Vec<&RadonTest> = waiting.collect();
    if waiting.iter().any(|test| is_at_once(test, choices)) {
        return test("test again in the same place at once: a second short test, not a long one".to_owned());
    }
    let is_apart = states.iter().any(|state| matches!(state, State::Apart(..)));
    if !waiting.is_empty() || is_apart {
        let place = "a second short test for a quick answer, or a long test for a better figure of the year";
        return test(format!("test again in the same place: {place}"));
    }
    if let Some(hurried) = verdict.because.iter().find(|f| f.rule == &INVALID_HIGH) {
        let when = if hurried.by == Some(By::AtOnce) { " at once" } else { "" };
        return test(format!("test again in the same place{when}, and meet the conditions that test missed"));
    }
    if verdict.because.iter().any(|f| f.rule == &AFTER_SYSTEM) {
        let window = "from 24 hours to 30 days after the system started, house closed from 12 hours before";
        let place = match of.tests {
            [] => "the lowest level that is or could be lived in",
            _ => "where the test before it stood",
        };
        return test(format!("test {place}, {window}"));
    }
    if verdict.because.iter().any(|f| f.rule == &STRADDLE) {
        return test("test again in the same place: two results that far apart are not averaged".to_owned());
    }
    if verdict.because.iter().any(|f| f.rule == &FOLLOW_UP) {
        return test("make a long test, over 90 days, in the same place".to_owned());
    }
    if is_sold {
        return for_sale();
    }
    if let Some(passive) = verdict.because.iter().find(|f| f.rule == &PASSIVE) {
        let season = if passive.because.contains("a heating season") { "heating" } else { "cooling" };
        return test(format!("test in the {season} season, house closed from 12 hours before"));
    }
    if verdict.because.iter().any(|f| f.rule == &RETEST_ON_CHANGE) {
        return test("test again, since the house has changed: house closed from 12 hours before".to_owned());
    }
    test("test again in the heating season, house closed from 12 hours before".to_owned())
}
