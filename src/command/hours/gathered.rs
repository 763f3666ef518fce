//! Rows of a monitor's file gathered into hours that are all as long.
//!
//! The rule in words: a monitor may write the time of the house, with its changes of clocks, or one time all through. What is
//! counted are elapsed hours. The record is that of a clock which follows the changes, unless it has a time that the house did
//! not have, or had the hour that comes twice only once. Rows about an hour apart are one hour each, however their clock drifts;
//! finer rows are averaged by the hour. Half of the rows more than an hour apart are no hourly record.
//!
//! Source: ANSI/AARST MAH-2019, companion B, for the step of an hour or less; how far a clock may drift is a design rule of this
//! program, no published source.

use chrono::{LocalResult, NaiveDateTime, TimeDelta, TimeZone, Timelike, Utc};
use chrono_tz::Tz;

use super::HoursError;
use crate::quantity::Activity;
use crate::trade::radon::monitor::MOST_HOURS;

/// Rows whose step is an hour within so many seconds are an hour each: design rule of this program, no published source.
const DRIFT: i64 = 360;
const HOUR: i64 = 3600;

/// The hours of a file.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hours {
    /// By the clock of the house.
    pub first: NaiveDateTime,
    /// `None`: no row in that hour.
    pub hourly: Vec<Option<Activity>>,
}

/// More hours than a test has.
#[derive(Debug)]
pub(super) struct TooMany;

/// The same rows by both clocks a monitor may have.
pub(super) struct Gathered {
    zone: Option<Tz>,
    /// One time all through.
    even: Tally,
    /// The time of the house.
    house: Tally,
    /// A time came that the house did not have.
    never_was: bool,
    /// Times of the hour that comes twice: seen, and seen twice.
    twice: (bool, bool),
    /// Steps of more than an hour, all steps, and the smallest in seconds.
    steps: (usize, usize, i64),
    before: Option<NaiveDateTime>,
}

impl Gathered {
    pub fn new(zone: Option<Tz>) -> Gathered {
        let (even, house) = (Tally::default(), Tally::default());
        Gathered { zone, even, house, never_was: false, twice: (false, false), steps: (0, 0, i64::MAX), before: None }
    }

    /// Takes a row in.
    pub fn take(&mut self, line: u64, at: NaiveDateTime, level: Option<Activity>) -> Result<(), TooMany> {
        if let Some(step) = self.before.map(|before| (at - before).num_seconds()).filter(|step| *step > 0) {
            self.steps.0 += usize::from(step > HOUR + DRIFT);
            self.steps.1 += 1;
            self.steps.2 = self.steps.2.min(step);
        }
        self.before = Some(at);
        let by_even = self.even.take(line, at, at, level);
        let elapsed = match self.zone.map(|zone| zone.from_local_datetime(&at)) {
            None => at,
            Some(LocalResult::Single(moment)) => moment.with_timezone(&Utc).naive_utc(),
            Some(LocalResult::Ambiguous(early, late)) => {
                let [early, late] = [early, late].map(|moment| moment.with_timezone(&Utc).naive_utc());
                let again = self.house.last.is_some_and(|(last, _)| last >= early);
                self.twice = (true, self.twice.1 || again);
                if again { late } else { early }
            }
            Some(LocalResult::None) => {
                self.never_was = true;
                return by_even;
            }
        };
        self.house.take(line, elapsed, at, level).and(by_even)
    }

    /// How many minutes the rows are apart at least, where most are more than an hour apart.
    pub fn coarse_minutes(&self) -> Option<i64> {
        let (long, all, least) = self.steps;
        (long * 2 > all).then_some(least / 60)
    }

    /// The hours by the clock that the monitor has; the error of a clock that fell, or none for a file without an hour.
    pub fn done(self) -> Result<Hours, Option<HoursError>> {
        let follows = !self.never_was && self.twice.0 == self.twice.1;
        let tally = if self.zone.is_some() && follows { self.house } else { self.even };
        tally.done()
    }
}

/// Rows gathered into hours by one clock.
#[derive(Default)]
struct Tally {
    first: Option<NaiveDateTime>,
    /// Where the hour under way began.
    edge: NaiveDateTime,
    /// The last row by this clock, and as it was written.
    last: Option<(NaiveDateTime, NaiveDateTime)>,
    hourly: Vec<Option<Activity>>,
    /// The levels of the hour under way.
    now: Vec<Activity>,
    fell: Option<HoursError>,
}

impl Tally {
    fn take(
        &mut self,
        line: u64,
        at: NaiveDateTime,
        written: NaiveDateTime,
        level: Option<Activity>,
    ) -> Result<(), TooMany> {
        let Some((last, last_written)) = self.last else {
            let into_hour = TimeDelta::seconds(i64::from(written.minute() * 60 + written.second()));
            self.first = Some(written - into_hour);
            self.edge = at - into_hour;
            return self.put(1, at, written, level);
        };
        if at < last {
            self.fell.get_or_insert(HoursError::ClockFell { line, at: written, before: last_written });
            return Ok(());
        }
        let step = (at - last).num_seconds();
        let hours = if (step - HOUR).abs() <= DRIFT { 1 } else { (at - self.edge).num_seconds().div_euclid(HOUR) };
        self.put(hours, at, written, level)
    }

    /// A row that comes so many hours after the one under way; 0 is in it.
    fn put(
        &mut self,
        hours: i64,
        at: NaiveDateTime,
        written: NaiveDateTime,
        level: Option<Activity>,
    ) -> Result<(), TooMany> {
        let hours = usize::try_from(hours).unwrap_or(0);
        if self.hourly.len().saturating_add(hours) > MOST_HOURS {
            return Err(TooMany);
        }
        if hours > 0 {
            self.close();
            if !self.hourly.is_empty() {
                self.edge += TimeDelta::seconds(hours as i64 * HOUR);
            }
            self.hourly.resize(self.hourly.len() + hours, None);
            // The hour of a clock that drifted begins with its row.
            if at < self.edge || at >= self.edge + TimeDelta::seconds(HOUR) {
                self.edge = at;
            }
        }
        self.now.extend(level);
        self.last = Some((at, written));
        Ok(())
    }

    /// The hour under way is over.
    fn close(&mut self) {
        if let Some(hour) = self.hourly.last_mut() {
            *hour = Activity::mean(&self.now);
        }
        self.now.clear();
    }

    fn done(mut self) -> Result<Hours, Option<HoursError>> {
        self.close();
        match (self.fell, self.first) {
            (Some(fell), _) => Err(Some(fell)),
            (None, Some(first)) => Ok(Hours { first, hourly: self.hourly }),
            (None, None) => Err(None),
        }
    }
}

/// When a record of so many hours ended by the clock of the house, and whether that time comes twice that day.
pub(super) fn end(first: NaiveDateTime, hours: usize, zone: Option<Tz>) -> (NaiveDateTime, bool) {
    let lasted = TimeDelta::hours(i64::try_from(hours).unwrap_or(i64::MAX));
    let began = zone.and_then(|zone| zone.from_local_datetime(&first).earliest());
    let Some((zone, began)) = zone.zip(began) else { return (first + lasted, false) };
    let ended = (began + lasted).naive_local();
    (ended, matches!(zone.from_local_datetime(&ended), LocalResult::Ambiguous(..)))
}
