//! A rule worked off: interval after interval, the days of each, the times of each day.
//!
//! Nothing is stepped through that a rule without `COUNT` does not need: it begins at the interval that holds the start of
//! the span. Work and answers have a limit, so that no text can keep the program busy.

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Timelike, Utc};
use chrono_tz::Tz;

use super::days::DayRule;
use super::{By, End, Frequency, Recurrence};
use crate::calendar::civil::moved_on;

/// More occurrences than this are not listed.
pub const MOST_OCCURRENCES: usize = 1_000_000;
/// More days, times and intervals than this are not looked at.
const MOST_STEPS: u64 = 200_000_000;
/// A wall clock is never further from UTC, nor moved on by a gap further, than these together.
const MARGIN: TimeDelta = TimeDelta::days(2);
const SECONDS_IN_A_DAY: i64 = 86_400;

/// A rule that would keep the program busy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum TooMuch {
    #[error("the rule gives more than {MOST_OCCURRENCES} occurrences in that span")]
    Occurrences,
    #[error("the rule takes too many steps to work off in that span")]
    Steps,
}

pub(super) fn between(
    rule: &Recurrence,
    start: NaiveDateTime,
    zone: Tz,
    from: DateTime<Utc>,
    until: DateTime<Utc>,
) -> Result<Vec<DateTime<Tz>>, TooMuch> {
    let last = match rule.end {
        End::Until(end) => until.min(end + TimeDelta::seconds(1)),
        _ => until,
    };
    let included = |at: &DateTime<Tz>| match rule.end {
        End::Until(end) => *at <= end,
        _ => true,
    };
    let (first, last) = (from.naive_utc() - MARGIN, last.naive_utc() + MARGIN);
    let mut found: Vec<DateTime<Tz>> = Vec::new();
    let mut work = Work::new(rule, start, first, last);
    work.run(&mut |wall| {
        if wall < first {
            return Ok(());
        }
        let at = moved_on(zone, wall).filter(|at| *at >= from && *at < until && included(at));
        found.extend(at);
        if found.len() > MOST_OCCURRENCES { Err(TooMuch::Occurrences) } else { Ok(()) }
    })?;
    // A time that was moved on may stand behind the next, or on it.
    found.sort_unstable();
    found.dedup();
    Ok(found)
}

/// What one expansion holds.
struct Work<'a> {
    rule: &'a Recurrence,
    start: NaiveDateTime,
    first: NaiveDateTime,
    last: NaiveDateTime,
    days: DayRule,
    /// Occurrences that `COUNT` leaves.
    left: u64,
    steps: u64,
}

type Each<'a> = &'a mut dyn FnMut(NaiveDateTime) -> Result<(), TooMuch>;

impl Work<'_> {
    fn new(rule: &Recurrence, start: NaiveDateTime, first: NaiveDateTime, last: NaiveDateTime) -> Work<'_> {
        let left = if let End::After(count) = rule.end { count } else { u64::MAX };
        // What is counted is counted from the start.
        let first = if left == u64::MAX { first.max(start) } else { start };
        Work { rule, start, first, last, days: DayRule::new(rule, start.date()), left, steps: 0 }
    }

    fn run(&mut self, each: Each) -> Result<(), TooMuch> {
        match self.rule.frequency {
            Frequency::Secondly => self.by_time(1, each),
            Frequency::Minutely => self.by_time(60, each),
            Frequency::Hourly => self.by_time(3600, each),
            _ => self.by_day(each),
        }
    }

    /// Intervals of a day and more: all their days with all times of day.
    fn by_day(&mut self, each: Each) -> Result<(), TooMuch> {
        let times = self.times(Frequency::Daily);
        let interval = self.interval();
        let begun = self.unit_of(self.start.date());
        let mut unit = begun + (self.unit_of(self.first.date()) - begun) / interval * interval;
        while let Some((opens, closes)) = self.days_of(unit).filter(|(opens, _)| *opens <= self.last.date()) {
            let days = if self.rule.by.position.is_empty() {
                self.days.within(opens.max(self.first.date()), closes.min(self.last.date()))
            } else {
                self.days.within(opens, closes)
            };
            self.step(1 + days.len() as u64)?;
            let at = |n: usize| midnight(days[n / times.len()]) + TimeDelta::seconds(times[n % times.len()]);
            for n in self.chosen(days.len() * times.len()) {
                if !self.give(at(n), each)? {
                    return Ok(());
                }
            }
            let Some(next) = unit.checked_add(interval) else { break };
            unit = next;
        }
        Ok(())
    }

    /// Intervals of seconds, minutes or hours, day by day: those of the right distance from the start.
    fn by_time(&mut self, length: i64, each: Each) -> Result<(), TooMuch> {
        let by_day = SECONDS_IN_A_DAY / length;
        let allowed = self.units(length);
        let inside = self.times(self.rule.frequency);
        let inside: Vec<i64> = self.chosen(inside.len()).map(|n| inside[n]).collect();
        let interval = self.interval();
        let begun = self.start.and_utc().timestamp().div_euclid(length);
        let mut day = self.first.date();
        while day <= self.last.date() {
            self.step(1)?;
            if self.days.has(day) {
                let opens = midnight(day).and_utc().timestamp() / length;
                // The first unit of the day that lies a whole number of intervals from the start.
                let into = (begun - opens).rem_euclid(interval);
                let units: Vec<i64> = if by_day / interval < allowed.len() as i64 {
                    (into..by_day).step_by(interval as usize).filter(|u| allowed.binary_search(u).is_ok()).collect()
                } else {
                    allowed.iter().copied().filter(|unit| (unit - into) % interval == 0).collect()
                };
                self.step((by_day / interval).min(allowed.len() as i64) as u64)?;
                for unit in units {
                    for second in &inside {
                        let wall = midnight(day) + TimeDelta::seconds(unit * length + second);
                        if !self.give(wall, each)? {
                            return Ok(());
                        }
                    }
                }
            }
            let Some(next) = day.succ_opt() else { break };
            day = next;
        }
        Ok(())
    }

    /// Hands on a wall time; false when no more are wanted.
    fn give(&mut self, wall: NaiveDateTime, each: Each) -> Result<bool, TooMuch> {
        self.step(1)?;
        if wall < self.start {
            return Ok(true);
        }
        if self.left == 0 || wall > self.last {
            return Ok(false);
        }
        self.left -= 1;
        each(wall)?;
        Ok(true)
    }

    fn step(&mut self, steps: u64) -> Result<(), TooMuch> {
        self.steps = self.steps.saturating_add(steps);
        if self.steps > MOST_STEPS { Err(TooMuch::Steps) } else { Ok(()) }
    }

    fn interval(&self) -> i64 {
        i64::try_from(self.rule.interval).unwrap_or(i64::MAX)
    }

    /// Which of the occurrences of one interval are meant, by `BYSETPOS`, in order.
    fn chosen(&self, of: usize) -> Box<dyn Iterator<Item = usize>> {
        if self.rule.by.position.is_empty() {
            return Box::new(0..of);
        }
        let place = |n: &i16| {
            let size = usize::from(n.unsigned_abs());
            if *n > 0 { Some(size - 1) } else { of.checked_sub(size) }
        };
        let mut places: Vec<usize> = self.rule.by.position.iter().filter_map(place).filter(|at| *at < of).collect();
        places.sort_unstable();
        places.dedup();
        Box::new(places.into_iter())
    }

    /// The seconds into an interval of the times that are meant there; below an interval the start says what no part does.
    fn times(&self, within: Frequency) -> Vec<i64> {
        let By { hour, minute, second, .. } = &self.rule.by;
        let list = |given: &[i16], start: u32| match given {
            [] => vec![i64::from(start)],
            given => given.iter().map(|n| i64::from(*n)).collect(),
        };
        let below = |frequency| match within {
            Frequency::Secondly => false,
            Frequency::Minutely => frequency == Frequency::Secondly,
            Frequency::Hourly => frequency != Frequency::Hourly,
            _ => true,
        };
        let part = |frequency, given: &[i16], start| if below(frequency) { list(given, start) } else { vec![0] };
        let hours = part(Frequency::Hourly, hour, self.start.hour());
        let minutes = part(Frequency::Minutely, minute, self.start.minute());
        let seconds = part(Frequency::Secondly, second, self.start.second());
        product(&hours, &minutes, &seconds)
    }

    /// The units of a day (hours, minutes or seconds into it) that the parts on times of day allow.
    fn units(&self, length: i64) -> Vec<i64> {
        let By { hour, minute, second, .. } = &self.rule.by;
        let list = |given: &[i16], all: i64| match given {
            [] => (0..all).collect(),
            given => given.iter().map(|n| i64::from(*n)).collect(),
        };
        let part = |known: bool, given: &[i16], all| if known { list(given, all) } else { vec![0] };
        let all = product(&list(hour, 24), &part(length <= 60, minute, 60), &part(length == 1, second, 60));
        all.into_iter().map(|seconds| seconds / length).collect()
    }

    /// The number of the year, month, week or day that a day lies in.
    fn unit_of(&self, day: NaiveDate) -> i64 {
        let days = i64::from(day.num_days_from_ce());
        match self.rule.frequency {
            Frequency::Yearly => i64::from(day.year()),
            Frequency::Monthly => i64::from(day.year()) * 12 + i64::from(day.month0()),
            // Day 1 of the count is a Monday.
            Frequency::Weekly => (days - 1 - i64::from(self.rule.week_start.num_days_from_monday())).div_euclid(7),
            _ => days,
        }
    }

    /// The first and the last day of a numbered year, month, week or day.
    fn days_of(&self, unit: i64) -> Option<(NaiveDate, NaiveDate)> {
        let day = |days: i64| NaiveDate::from_num_days_from_ce_opt(i32::try_from(days).ok()?);
        match self.rule.frequency {
            Frequency::Yearly => {
                let year = i32::try_from(unit).ok()?;
                Some((NaiveDate::from_ymd_opt(year, 1, 1)?, NaiveDate::from_ymd_opt(year, 12, 31)?))
            }
            Frequency::Monthly => {
                let first = |unit: i64| {
                    let year = i32::try_from(unit.div_euclid(12)).ok()?;
                    NaiveDate::from_ymd_opt(year, unit.rem_euclid(12) as u32 + 1, 1)
                };
                Some((first(unit)?, first(unit + 1)?.pred_opt()?))
            }
            Frequency::Weekly => {
                let opens = unit.checked_mul(7)? + 1 + i64::from(self.rule.week_start.num_days_from_monday());
                Some((day(opens)?, day(opens)?.checked_add_days(Days::new(6))?))
            }
            _ => Some((day(unit)?, day(unit)?)),
        }
    }
}

fn midnight(day: NaiveDate) -> NaiveDateTime {
    day.and_time(NaiveTime::MIN)
}

/// Seconds of every hour with every minute with every second, in order when each list is.
fn product(hours: &[i64], minutes: &[i64], seconds: &[i64]) -> Vec<i64> {
    let mut all = Vec::with_capacity(hours.len() * minutes.len() * seconds.len());
    for hour in hours {
        for minute in minutes {
            all.extend(seconds.iter().map(|second| hour * 3600 + minute * 60 + second));
        }
    }
    all
}
