//! Where the tests of one place have led: a state for each place, moved on by each valid test in order.
//!
//! The rule in words: a short test at 4 pCi/L or more waits for a second that starts beside it or within a month of its end; the
//! two are decided by their plain mean, rounded once. A second that comes later lowers nothing: with a mean of 4 or more it
//! decides, else the two are apart, and another follow-up is asked for. A short test below 4 stands until another comes; one
//! beside it is decided with it by the mean, and so is one within a month where the mean is 4 or more; a high one whose mean with
//! it is low waits for its own follow-up. A long test is decided by itself and never averaged: at 4 or more it calls, and stays; below 4 it may
//! stand in for what short tests of that place had decided. What was decided at 4 or more is not undone by a short test: only a
//! radon system, which starts another series, does that. Different places are never mixed; tests without a place are taken
//! as of one place, and that is said.
//!
//! | state | short test below 4 | short test from 4 | long test below 4 | long test from 4 |
//! |---|---|---|---|---|
//! | none yet | low | waits | low | high |
//! | waits, within a month | mean decides | high | low | high |
//! | waits, later | high by the mean, else apart | high | low | high |
//! | apart, within a month of the second | mean with the second | high by the mean, else waits | low | high |
//! | apart, later | as of waits | high | low | high |
//! | low, one short test beside it | mean decides | mean decides | low | high |
//! | low, one short test within a month | mean decides | high by the mean, else waits | low | high |
//! | low otherwise | low | waits | low | high |
//! | high by short tests | high | high | low | high |
//! | high by a long test | high | high | high | high |
//!
//! Sources: EPA, A Citizen's Guide to Radon (2012), for waiting, mean and long tests; what ends a high state, and what becomes
//! of two tests apart, are design rules of this program: the louder outcome.

use std::collections::BTreeMap;

use chrono::{Days, Months, NaiveDate};

use super::one_test::{Kind, RadonTest};
use super::{ACTION, FOLLOW_UP_MONTHS, reported};
use crate::quantity::{Activity, Exact};

/// The valid tests that decided.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grounds<'a> {
    Short(&'a RadonTest),
    /// Two short tests, by their plain mean, in order.
    Two(&'a RadonTest, &'a RadonTest),
    Long(&'a RadonTest),
}

/// Where one place stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum State<'a> {
    /// A short test at the action level or more waits for its follow-up.
    Waits(&'a RadonTest),
    /// The follow-up of a high short test came later than a month, and low: the two are not averaged.
    Apart(&'a RadonTest, &'a RadonTest),
    /// Decided below the action level; never the end of it.
    Low(Grounds<'a>),
    /// Decided at the action level or more.
    High(Grounds<'a>),
}

impl<'a> Grounds<'a> {
    /// The figure that decided: the result, or the mean of the two.
    pub fn level(self) -> Activity {
        match self {
            Grounds::Short(test) | Grounds::Long(test) => test.result,
            // A mean of two always is; the higher is the cautious reading of one that could not be held.
            Grounds::Two(a, b) => Activity::mean(&[a.result, b.result]).unwrap_or(a.result.max(b.result)),
        }
    }

    /// The last of them.
    pub fn latest(self) -> &'a RadonTest {
        match self {
            Grounds::Short(test) | Grounds::Long(test) | Grounds::Two(_, test) => test,
        }
    }
}

impl<'a> State<'a> {
    /// The last test that led here.
    pub fn latest(self) -> &'a RadonTest {
        match self {
            State::Waits(test) | State::Apart(_, test) => test,
            State::Low(grounds) | State::High(grounds) => grounds.latest(),
        }
    }
}

/// A place as it is compared: without regard to case and outer spaces; `None` for tests without one.
pub type Place = Option<String>;

/// The state of every place with a valid test. `tests` are valid, of one series, in order.
pub fn states<'a>(tests: &[&'a RadonTest]) -> BTreeMap<Place, State<'a>> {
    let mut states = BTreeMap::new();
    for test in tests {
        let place = place_of(test);
        let before = states.get(&place).copied();
        states.insert(place, after(before, test));
    }
    states
}

pub(super) fn place_of(test: &RadonTest) -> Place {
    test.place.as_deref().map(|place| place.trim().to_lowercase())
}

/// The state a valid test leads to; see the table above.
fn after<'a>(before: Option<State<'a>>, test: &'a RadonTest) -> State<'a> {
    let is_high = reported(test.result) >= ACTION;
    match (test.kind(), before) {
        (Some(Kind::Long), Some(high @ State::High(Grounds::Long(_)))) if !is_high => high,
        (Some(Kind::Long), _) if is_high => State::High(Grounds::Long(test)),
        (Some(Kind::Long), _) => State::Low(Grounds::Long(test)),
        (_, Some(high @ State::High(_))) => high,
        (_, Some(State::Waits(first))) => followed(first, test),
        (_, Some(State::Apart(_, second))) if is_with(second, test) => with_low(second, test),
        (_, Some(State::Apart(first, _))) => followed(first, test),
        (_, Some(State::Low(Grounds::Short(first)))) if is_with(first, test) => with_low(first, test),
        _ if is_high => State::Waits(test),
        _ => State::Low(Grounds::Short(test)),
    }
}

/// The test after a high one.
fn followed<'a>(first: &'a RadonTest, test: &'a RadonTest) -> State<'a> {
    match by_mean(first, test) {
        State::Low(_) if !is_with(first, test) => State::Apart(first, test),
        decided => decided,
    }
}

/// The test within a month of a low one, or beside it.
fn with_low<'a>(first: &'a RadonTest, test: &'a RadonTest) -> State<'a> {
    match by_mean(first, test) {
        State::Low(_) if reported(test.result) >= ACTION && !ran_together(first, test) => State::Waits(test),
        decided => decided,
    }
}

fn by_mean<'a>(first: &'a RadonTest, second: &'a RadonTest) -> State<'a> {
    let both = Grounds::Two(first, second);
    if reported(both.level()) >= ACTION { State::High(both) } else { State::Low(both) }
}

/// Whether a second test started beside the first or within a month of its end.
fn is_with(first: &RadonTest, second: &RadonTest) -> bool {
    let month_on = first.on.checked_add_months(Months::new(FOLLOW_UP_MONTHS)).unwrap_or(NaiveDate::MAX);
    began(second) <= month_on
}

/// Whether two tests ran at the same time, as far as is known.
pub fn ran_together(a: &RadonTest, b: &RadonTest) -> bool {
    match (a.started, a.ended, b.started, b.ended) {
        (Some(a_start), Some(a_end), Some(b_start), Some(b_end)) => a_start < b_end && b_start < a_end,
        _ => began(a) < b.on && began(b) < a.on,
    }
}

/// The day a test started, or as near as its length gives it.
pub fn began(test: &RadonTest) -> NaiveDate {
    let from_length = || {
        let days = test.duration()?.exact().checked_div(Exact::integer(86_400))?.round_half_up(0);
        test.on.checked_sub_days(Days::new(u64::try_from(days.numerator()).ok()?))
    };
    test.started_on.or(test.started.map(|at| at.date())).or_else(from_length).unwrap_or(test.on)
}

/// How a test stands to a radon system that was started or stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Against {
    /// It ended by that day: of another series.
    Before,
    /// It ran across that day, or started within 24 hours of it: of neither series.
    Across,
    After,
}

/// Whether a test is of the series that a change of the system on `changed` began.
///
/// Source: ANSI/AARST MAH-2019, 7.3.2: not earlier than 24 hours after the start. A test that started the day after is taken
/// as after, because the hour of the change is not known.
pub fn against(test: &RadonTest, changed: NaiveDate) -> Against {
    match began(test) {
        day if day > changed => Against::After,
        _ if test.on <= changed => Against::Before,
        _ => Against::Across,
    }
}
