//! The verdict on radon in one section, by all its tests.
//!
//! The rule in words: only tests of the present series count, those after the last start or stop of a radon system. Each place
//! is decided by itself ([`super::flow`]) and the worst decides the section. A system that was started asks for a test that
//! starts from 24 hours to 30 days after. A low result ages by its interval and asks for another; below 4 is never the end of
//! it. A test that is not valid lowers nothing, and a high one brings the next test forward.
//!
//! Sources: those of the rules.

use std::collections::BTreeMap;

use chrono::{Days, Months, NaiveDate};

use super::flow::{Against, Grounds, Place, State, against, began, ran_together, states};
use super::one_test::RadonTest;
use super::pair::{STRADDLE, straddles};
use super::{
    ACTION, AFTER_SYSTEM, AT_ONCE_FROM_1993, AT_ONCE_OVER, BELOW_TWO, CONSIDER, CONSIDER_BAND, FOLLOW_UP,
    FOLLOW_UP_MONTHS, INVALID_HIGH, LATEST_DAYS, LONG_TEST, RETEST, RETEST_ON_CHANGE, RETEST_YEARS, RETEST_YEARS_MAH,
    RETEST_YEARS_SYSTEM, RadonChoices, SectionRadon, TWO_SHORT, reported,
};
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Step, Verdict, Who};
use crate::trade::words::EventKind;
use crate::trade::{called, cautions};

/// The tests of a section on a day, sorted by what they count for; each list in order.
struct Record<'a> {
    valid: Vec<&'a RadonTest>,
    /// Not valid, or run across a change of the system: with the reasons.
    invalid: Vec<(&'a RadonTest, String)>,
    /// Of an earlier series.
    earlier: Vec<&'a RadonTest>,
}

/// What fired, and by which days something is asked for.
#[derive(Default)]
struct Found {
    fired: Vec<Fired>,
    due: Vec<NaiveDate>,
    changes_on: Vec<NaiveDate>,
    not_known: Vec<String>,
}

/// The verdict on radon in one section on `today`. Tests and changes after `today` are left out.
///
/// One test alone is the same flow with one step. Sources: the rules it fires.
pub fn verdict(of: &SectionRadon, today: NaiveDate) -> Verdict {
    let latest_of = |days: &[NaiveDate]| days.iter().copied().filter(|day| *day <= today).max();
    let (started, stopped) = (latest_of(of.starts), latest_of(of.stops));
    let record = record(of, started.max(stopped), today);
    let states = states(&record.valid);
    let latest = record.valid.last().copied();

    let mut found = Found::default();
    for state in states.values() {
        match *state {
            State::Waits(test) => waits(test, of.choices, &mut found),
            State::High(grounds) => found.fired.push(high(grounds)),
            State::Low(grounds) => low(grounds, of, latest, today, &mut found),
        }
    }
    after_change(&record, started, stopped, &mut found);
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
    let mut verdict = Verdict::from_fired(found.fired);
    verdict.not_known = found.not_known;
    let states: Vec<State> = states.into_values().collect();
    let decided = states
        .iter()
        .filter_map(|state| if let State::High(grounds) = state { Some(decided_on(*grounds)) } else { None });
    let decided = decided.min();
    let quoted = of.quotes.iter().copied().filter(|day| *day <= today && Some(*day) >= decided).max();
    found.changes_on.extend(of.quotes);
    verdict.next = next(&verdict, of.choices, &states, quoted.is_some());
    verdict.cautions = vec![cautions::LOCAL_LAW];
    found.changes_on.into_iter().filter(|day| *day > today).for_each(|day| verdict.may_change_on(day));
    found.due.into_iter().for_each(|day| verdict.ask_by(day));
    if let Some(since) = quoted.or(decided) {
        called::ask_within(&mut verdict, since);
    }
    verdict
}

fn record<'a>(of: &SectionRadon<'a>, changed: Option<NaiveDate>, today: NaiveDate) -> Record<'a> {
    let mut tests: Vec<&RadonTest> = of.tests.iter().filter(|t| t.on <= today).collect();
    tests.sort_by_key(|t| (t.on, t.started));
    let mut record = Record { valid: Vec::new(), invalid: Vec::new(), earlier: Vec::new() };
    for test in tests {
        let mut problems: Vec<String> = test.problems().iter().map(ToString::to_string).collect();
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
            true => record.valid.push(test),
            false => record.invalid.push((test, problems.join("; "))),
        }
    }
    record
}

fn waits(test: &RadonTest, choices: RadonChoices, found: &mut Found) {
    let (by, day, when) = soon(test, choices);
    let because = format!("{}: at or above 4 pCi/L; {when}", test.described());
    let since = (by == By::AtOnce).then_some(day);
    found.fired.push(Fired { since, ..Fired::new(&FOLLOW_UP, Band::Watch, Who::Owner, Some(by), because) });
    found.due.push(day);
}

/// Whether a high result asks for its second test at once.
fn is_at_once(test: &RadonTest, choices: RadonChoices) -> bool {
    let result = reported(test.result);
    if choices.protocol_1993 { result >= AT_ONCE_FROM_1993 } else { result > AT_ONCE_OVER }
}

/// How soon a high result wants another test: at once, or within a month of its end.
fn soon(test: &RadonTest, choices: RadonChoices) -> (By, NaiveDate, String) {
    if is_at_once(test, choices) {
        return (By::AtOnce, test.on, "a second short test at once".to_owned());
    }
    let day = month_on(test);
    (By::Date(day), day, format!("a follow-up test by {}", told::day(day)))
}

fn month_on(test: &RadonTest) -> NaiveDate {
    test.on.checked_add_months(Months::new(FOLLOW_UP_MONTHS)).unwrap_or(NaiveDate::MAX)
}

fn high(grounds: Grounds) -> Fired {
    let call = |rule, because| Fired::new(rule, Band::Call, Who::RadonProfessional, None, because);
    match grounds {
        Grounds::Two(..) => call(&TWO_SHORT, format!("{}: at or above 4 pCi/L", told_by(grounds))),
        Grounds::Long(_) | Grounds::Short(_) => {
            call(&LONG_TEST, format!("{}: at or above 4 pCi/L, and a long test stands alone", told_by(grounds)))
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

fn told_by(grounds: Grounds) -> String {
    match grounds {
        Grounds::Short(test) | Grounds::Long(test) => test.described(),
        Grounds::Two(a, b) => {
            format!("{} and {}: mean {}", a.described(), b.described(), told::activity(grounds.level()))
        }
    }
}

/// A place decided below 4: its band, its interval if it is the last word of the section, and what a pair leaves open.
fn low(grounds: Grounds, of: &SectionRadon, latest: Option<&RadonTest>, today: NaiveDate, found: &mut Found) {
    let test = grounds.latest();
    let last_day = retest_on(test, of);
    let again = told::day(last_day);
    let by = Some(By::Date(last_day));
    found.fired.push(if reported(grounds.level()) >= CONSIDER {
        let because = format!("{}: 2 to below 4 pCi/L; test again in the heating season, by {again}", told_by(grounds));
        Fired::new(&CONSIDER_BAND, Band::Watch, Who::Owner, by, because)
    } else {
        let because = format!("{}: below 2 pCi/L, which is not without risk; test again by {again}", told_by(grounds));
        Fired::new(&BELOW_TWO, Band::Note, Who::Owner, by, because)
    });
    if let Grounds::Two(first, second) = grounds {
        open_after_two(first, second, found);
    }
    // Another place's older result stands, but the section was tested since.
    if latest.is_some_and(|latest| latest.on == test.on) {
        found.due.push(last_day);
        found.changes_on.extend(last_day.succ_opt());
        if today > last_day {
            let because = format!("{} has aged since {again}", test.described());
            let before = Some(By::Before("the heating season ends"));
            found.fired.push(Fired::new(&RETEST, Band::Watch, Who::Owner, before, because));
        }
        changed_since(test, of, today, found);
    }
}

/// A pair side by side whose mean is not accepted.
fn open_after_two(first: &RadonTest, second: &RadonTest, found: &mut Found) {
    if ran_together(first, second) && straddles(first.result, second.result, false) {
        let day = month_on(second);
        let because = format!(
            "{} and {}, side by side: one is at least twice the other, so test again",
            first.described(),
            second.described()
        );
        found.fired.push(Fired::new(&STRADDLE, Band::Watch, Who::Owner, Some(By::Date(day)), because));
        found.due.push(day);
    }
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

fn changed_since(test: &RadonTest, of: &SectionRadon, today: NaiveDate, found: &mut Found) {
    let counts = |kind: EventKind| matches!(kind, EventKind::Works | EventKind::Heating | EventKind::Sale);
    let since = of.events.iter().filter(|(kind, on)| counts(*kind) && *on > test.on && *on <= today);
    let Some((kind, on)) = since.min_by_key(|(_, on)| *on) else { return };
    let because = format!("{kind} on {} after {}", told::day(*on), test.described());
    found.due.push(*on);
    found.fired.push(Fired::new(&RETEST_ON_CHANGE, Band::Watch, Who::Owner, Some(By::Date(*on)), because));
}

/// A system that was started or stopped, and no valid test since.
fn after_change(record: &Record, started: Option<NaiveDate>, stopped: Option<NaiveDate>, found: &mut Found) {
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
        found.due.push(changed);
    }
    for (place, state) in
        states(&record.earlier.iter().copied().filter(|t| t.problems().is_empty()).collect::<Vec<_>>())
    {
        let place = place.map_or_else(String::new, |p| format!(" in `{p}`"));
        if let State::High(grounds) = state {
            let because = format!("before the change of the system{place}: {}", told_by(grounds));
            found.fired.push(Fired::for_comparison(high(grounds).rule, because));
        }
    }
}

/// High tests that do not count and that no valid test has answered.
fn brought_forward(record: &Record, choices: RadonChoices, found: &mut Found) {
    for (test, problems) in &record.invalid {
        let is_answered = record.valid.iter().any(|later| later.on > test.on);
        if reported(test.result) < ACTION || is_answered {
            continue;
        }
        let (by, day, when) = soon(test, choices);
        let because = format!("{} does not count ({problems}), but it is high: {when}", test.described());
        let since = (by == By::AtOnce).then_some(day);
        found.fired.push(Fired { since, ..Fired::new(&INVALID_HIGH, Band::Watch, Who::Owner, Some(by), because) });
        found.due.push(day);
    }
}

fn what_is_not_known(record: &Record, states: &BTreeMap<Place, State>, changed: Option<NaiveDate>, found: &mut Found) {
    let list = &mut found.not_known;
    match (record.valid.last(), changed) {
        (Some(test), _) => list.extend(test.doubts().iter().map(|doubt| format!("{doubt} ({})", test.described()))),
        (None, Some(day)) => {
            list.push(format!("radon since the system changed on {} (no valid test)", told::day(day)));
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
    list.extend(record.invalid.iter().map(|(t, problems)| format!("{} does not count: {problems}", t.described())));
    if let Some(State::Low(Grounds::Two(a, b)) | State::High(Grounds::Two(a, b))) = states.get(&None) {
        list.push(format!(
            "whether the tests of {} and {} stood in one place (no room is recorded; taken as one)",
            told::day(a.on),
            told::day(b.on)
        ));
    }
}

/// What to do next, by the rule that decided.
fn next(verdict: &Verdict, choices: RadonChoices, states: &[State], quoted: bool) -> Vec<Step> {
    let test = |says: String| vec![Step::recorded_as(says, "radon-tested")];
    let Some(worst) = verdict.because.first() else {
        return test("test the lowest level that is or could be lived in, 48 hours or longer".to_owned());
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
    if !waiting.is_empty() {
        let place = "a second short test for a quick answer, or a long test for a better figure of the year";
        return test(format!("test again in the same place: {place}"));
    }
    if let Some(hurried) = verdict.because.iter().find(|f| f.rule == &INVALID_HIGH) {
        let when = if hurried.by == Some(By::AtOnce) { " at once" } else { "" };
        return test(format!("test again in the same place{when}, and meet the conditions that test missed"));
    }
    if verdict.because.iter().any(|f| f.rule == &AFTER_SYSTEM) {
        let window = "from 24 hours to 30 days after the system started, house closed from 12 hours before";
        return test(format!("test where the test before it stood, {window}"));
    }
    if verdict.because.iter().any(|f| f.rule == &STRADDLE) {
        return test("test again in the same place: two results that far apart are not averaged".to_owned());
    }
    test("test again in the heating season, house closed from 12 hours before".to_owned())
}
