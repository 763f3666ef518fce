//! Rules for when, as RFC 5545 recurrence text (3.3.10): read, and worked off between two instants.
//!
//! Steps are taken on the wall clock of the start. A wall time that does not exist is moved on by the gap (3.3.5), one
//! that occurs twice is the first of the two; the start counts only if the rule gives it; `COUNT` counts what the rule
//! gives, `UNTIL` is an instant in UTC and included. A date that never comes gives nothing.
//!
//! Where the standard leaves a choice: a rule that gives a number of the week and no day of it means all its days; days
//! of a numbered week stand in the calendar year they fall in; of a `BYDAY` with numbered and plain days each holds by
//! itself; a set of `BYSETPOS` is that of the whole interval, also where the start lies inside it.
//!
//! Own code, because intervals of any size and limits on times of day together with `INTERVAL` have to come out right: the
//! `rrule` crate (0.14.0) refuses an interval beyond 16 bits and loses its step where `BYHOUR` or `BYMINUTE` limit a rule of
//! minutes or seconds (`FREQ=MINUTELY;INTERVAL=45;BYHOUR=9,10` from nine goes on at 09:15 the next day, not at 09:00).
//!
//! ```
//! use chrono_tz::America::Chicago;
//! use stemwall::calendar::recurrence::Recurrence;
//! let rule = Recurrence::parse("FREQ=YEARLY;BYMONTH=3,9;BYDAY=1SA").unwrap();
//! let start = "2026-03-07T09:00:00".parse().unwrap();
//! let [from, until] = ["2026-01-01T00:00:00Z", "2027-01-01T00:00:00Z"].map(|text| text.parse().unwrap());
//! let at = rule.between(start, Chicago, from, until).unwrap();
//! assert_eq!(at.iter().map(|at| at.to_rfc3339()).collect::<Vec<_>>(), ["2026-03-07T09:00:00-06:00", "2026-09-05T09:00:00-05:00"]);
//! ```

mod days;
mod expand;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;
mod text;

use std::fmt;

use chrono::{DateTime, NaiveDateTime, Utc, Weekday};
use chrono_tz::Tz;

pub use expand::{MOST_OCCURRENCES, TooMuch};
pub(crate) use text::PARTS;
pub use text::RecurrenceError;

/// A recurrence rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Recurrence {
    frequency: Frequency,
    interval: u64,
    week_start: Weekday,
    end: End,
    by: By,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Frequency {
    Secondly,
    Minutely,
    Hourly,
    Daily,
    Weekly,
    Monthly,
    Yearly,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    Never,
    After(u64),
    Until(DateTime<Utc>),
}

/// The parts that begin with `BY`, each in order and each value once; an empty one was not given.
#[derive(Debug, Clone, Default, PartialEq)]
struct By {
    second: Vec<i16>,
    minute: Vec<i16>,
    hour: Vec<i16>,
    day: Vec<NthWeekday>,
    month_day: Vec<i16>,
    year_day: Vec<i16>,
    week: Vec<i16>,
    month: Vec<i16>,
    position: Vec<i16>,
}

/// A day of the week, or the nth of them (from the end where negative) in a month or year.
#[derive(Debug, Clone, Copy, PartialEq)]
struct NthWeekday {
    nth: Option<i16>,
    day: Weekday,
}

const WEEKDAYS: [(&str, Weekday); 7] = [
    ("MO", Weekday::Mon),
    ("TU", Weekday::Tue),
    ("WE", Weekday::Wed),
    ("TH", Weekday::Thu),
    ("FR", Weekday::Fri),
    ("SA", Weekday::Sat),
    ("SU", Weekday::Sun),
];

/// The most days that each month can have.
const LONGEST_MONTHS: [i16; 12] = [31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

impl Recurrence {
    /// Reads what follows `RRULE:`.
    ///
    /// Errors: whatever the grammar and the limits of RFC 5545, 3.3.10 do not allow.
    pub fn parse(text: &str) -> Result<Recurrence, RecurrenceError> {
        text::parse(text)
    }

    /// Whether no year has a day that it speaks of, such as 30 February. Told by `BYMONTH` and `BYMONTHDAY` alone: a rule that
    /// never comes for another reason is not seen.
    pub fn never_comes(&self) -> bool {
        let months = if self.by.month.is_empty() { &(1..=12).collect::<Vec<i16>>()[..] } else { &self.by.month[..] };
        let longest = months.iter().map(|month| LONGEST_MONTHS[usize::from(month.unsigned_abs() - 1) % 12]).max();
        let days = &self.by.month_day;
        !days.is_empty() && days.iter().all(|day| day.abs() > longest.unwrap_or(31))
    }

    /// Whether it is a rule of days: no times of day, no more than one occurrence a day.
    pub fn is_of_days(&self) -> bool {
        let By { second, minute, hour, .. } = &self.by;
        let by_time = !second.is_empty() || !minute.is_empty() || !hour.is_empty();
        !matches!(self.frequency, Frequency::Secondly | Frequency::Minutely | Frequency::Hourly) && !by_time
    }

    /// The occurrences in `[from, until)` of the rule begun at `start` on the wall clock of `zone`; in time order, each
    /// instant once.
    ///
    /// Errors: more occurrences, or more steps to find them, than are worked off.
    pub fn between(
        &self,
        start: NaiveDateTime,
        zone: Tz,
        from: DateTime<Utc>,
        until: DateTime<Utc>,
    ) -> Result<Vec<DateTime<Tz>>, TooMuch> {
        expand::between(self, start, zone, from, until)
    }
}

impl Frequency {
    const ALL: [(&'static str, Frequency); 7] = [
        ("SECONDLY", Frequency::Secondly),
        ("MINUTELY", Frequency::Minutely),
        ("HOURLY", Frequency::Hourly),
        ("DAILY", Frequency::Daily),
        ("WEEKLY", Frequency::Weekly),
        ("MONTHLY", Frequency::Monthly),
        ("YEARLY", Frequency::Yearly),
    ];

    fn from_word(word: &str) -> Option<Frequency> {
        Frequency::ALL.iter().find(|(known, _)| *known == word).map(|(_, frequency)| *frequency)
    }

    fn word(self) -> &'static str {
        Frequency::ALL.iter().find(|(_, known)| *known == self).map_or("", |(word, _)| word)
    }
}

impl By {
    fn sort(&mut self) {
        for list in [
            &mut self.second,
            &mut self.minute,
            &mut self.hour,
            &mut self.month_day,
            &mut self.year_day,
            &mut self.week,
            &mut self.month,
            &mut self.position,
        ] {
            list.sort_unstable();
            list.dedup();
        }
    }

    fn is_empty_but_position(&self) -> bool {
        *self == By { position: self.position.clone(), ..By::default() }
    }
}

impl fmt::Display for NthWeekday {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(nth) = self.nth {
            write!(f, "{nth}")?;
        }
        f.write_str(WEEKDAYS.iter().find(|(_, day)| *day == self.day).map_or("", |(word, _)| word))
    }
}
