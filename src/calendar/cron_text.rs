//! Rules for when, as the five fields of cron text or a macro (`@daily`), by the conventions of Debian's cron.
//!
//! Minute, hour, day of the month, month, day of the week: a field is a list between commas of `*`, a number or a rising
//! range, the first and the last with a step; months and days of the week have names too, 0 and 7 are both Sunday. Both
//! day fields hold together if either begins with `*`, else one is enough. A step over the top of its range leaves the
//! first value.
//!
//! Where clocks change: a job whose minute or hour begins with `*` follows the clock, so it runs in both passes of a
//! repeated hour and not in a skipped one. Any other runs once in a repeated hour, and what it misses in a skipped one at
//! the first minute after. Source: crontab(5) and cron(8) of Debian's cron 3.0pl1.
//!
//! Fields are read here, since the `cron` crate means other days of the week by the same numbers; it is given what they
//! stand for and works them off on the wall clock, dressed up as UTC.
//!
//! ```
//! use chrono_tz::America::Chicago;
//! use stemwall::calendar::cron_text::CronText;
//! let first_of_the_month = CronText::parse("30 6 1 * *").unwrap();
//! let [from, until] = ["2026-01-01T00:00:00Z", "2026-03-01T00:00:00Z"].map(|text| text.parse().unwrap());
//! let at = first_of_the_month.between(Chicago, from, until).unwrap();
//! assert_eq!(at.iter().map(|at| at.to_rfc3339()).collect::<Vec<_>>(), ["2026-01-01T06:30:00-06:00", "2026-02-01T06:30:00-06:00"]);
//! ```

mod fields;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;

use std::str::FromStr;

use chrono::{DateTime, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Utc};
use chrono_tz::Tz;
use cron::Schedule;

use super::civil::{every_pass, first_minute_after};
use super::recurrence::{MOST_OCCURRENCES, TooMuch};
use fields::Fields;
pub use fields::{CronError, CronField, macros};

/// A wall clock is never further from UTC, nor moved on by a gap further, than these together.
const MARGIN: TimeDelta = TimeDelta::days(2);

/// A rule of five fields.
#[derive(Debug, Clone)]
pub struct CronText {
    text: String,
    /// One, or two of which either is enough.
    schedules: Vec<Schedule>,
    follows_clock: bool,
}

impl CronText {
    /// Reads five fields or a macro.
    ///
    /// Errors: another number of fields, an unknown macro, or what a field cannot be.
    pub fn parse(text: &str) -> Result<CronText, CronError> {
        let fields = Fields::parse(text)?;
        let schedules = fields.schedules().into_iter().map(|text| Schedule::from_str(&text));
        let schedules = schedules.collect::<Result<_, _>>().map_err(|_| CronError::Beyond)?;
        let text = text.split_ascii_whitespace().collect::<Vec<_>>().join(" ");
        Ok(CronText { text, schedules, follows_clock: fields.follows_clock() })
    }

    /// The text as it was given, single spaces between its fields.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The occurrences in `[from, until)` by the clock of `zone`, in time order, each instant once; none before 1970 and
    /// from 2100 on.
    ///
    /// Errors: more occurrences than are listed.
    pub fn between(&self, zone: Tz, from: DateTime<Utc>, until: DateTime<Utc>) -> Result<Vec<DateTime<Tz>>, TooMuch> {
        let last = until.naive_utc() + MARGIN;
        let mut found = Vec::new();
        for wall in self.walls_after(from.naive_utc() - MARGIN).take_while(|wall| *wall < last) {
            let inside = |at: &DateTime<Tz>| *at >= from && *at < until;
            if self.follows_clock {
                found.extend(every_pass(zone, wall).filter(inside));
            } else {
                found.extend(first_minute_after(zone, wall).filter(inside));
            }
            if found.len() > MOST_OCCURRENCES {
                return Err(TooMuch::Occurrences);
            }
        }
        // The second pass of a repeated hour stands among the first ones, and what a gap moves may fall on another.
        found.sort_unstable();
        found.dedup();
        Ok(found)
    }

    /// The first day after `day` that the rule is about; `None` when it never comes again.
    pub fn next_day_after(&self, day: NaiveDate) -> Option<NaiveDate> {
        let end_of_day = NaiveTime::from_hms_opt(23, 59, 59).expect("a time of day");
        self.walls_after(day.and_time(end_of_day)).next().map(|wall| wall.date())
    }

    /// The wall times after one, in order, each once.
    fn walls_after(&self, wall: NaiveDateTime) -> impl Iterator<Item = NaiveDateTime> {
        let after = wall.and_utc();
        let mut all: Vec<_> = self.schedules.iter().map(|one| one.after(&after).peekable()).collect();
        std::iter::from_fn(move || {
            let next = all.iter_mut().filter_map(|one| one.peek().copied()).min()?;
            for one in &mut all {
                one.next_if_eq(&next);
            }
            Some(next.naive_utc())
        })
    }
}

impl PartialEq for CronText {
    fn eq(&self, other: &CronText) -> bool {
        self.text == other.text
    }
}
