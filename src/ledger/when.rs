//! When something happened: a civil date, or a date and a time of day, in the property's zone.
//!
//! Facts are put in order by date, then time of day (a date alone comes first on its day), then place in the chain.

use std::cmp::Ordering;
use std::fmt;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, Timelike};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// A civil date, with the time of day when it is known to the minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, JsonSchema)]
#[schemars(with = "String")]
pub struct When {
    pub date: NaiveDate,
    pub time: Option<NaiveTime>,
}

/// Why a text is not a date.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WhenError {
    #[error("`{0}` is not a date")]
    NotADate(String),
    #[error("`{0}` is not in the calendar")]
    NotInCalendar(String),
    #[error("`{0}` is outside the years 1800 to 2199")]
    OutOfRange(String),
}

impl When {
    pub fn day(date: NaiveDate) -> When {
        When { date, time: None }
    }

    /// To the minute: seconds are dropped.
    pub fn at(moment: NaiveDateTime) -> When {
        When { date: moment.date(), time: moment.time().with_second(0).and_then(|t| t.with_nanosecond(0)) }
    }

    /// Reads `2026-03-02`, `2026-03-02T10:00` or `2026-03-02 10:00`.
    ///
    /// Errors: another form, a day that does not exist (30 February), a year before 1800 or after 2199.
    pub fn parse(text: &str) -> Result<When, WhenError> {
        let text = text.trim();
        let not_a_date = || WhenError::NotADate(text.to_owned());
        let (date, time) = match text.split_once(['T', ' ']) {
            Some((date, time)) => (date, Some(time)),
            None => (text, None),
        };
        let mut parts = date.split('-');
        let mut number = |digits: usize| {
            parts.next().filter(|p| p.len() == digits && p.bytes().all(|b| b.is_ascii_digit()))?.parse::<u32>().ok()
        };
        let (Some(year), Some(month), Some(day)) = (number(4), number(2), number(2)) else { return Err(not_a_date()) };
        if parts.next().is_some() {
            return Err(not_a_date());
        }
        let year = i32::try_from(year).expect("four digits fit");
        let date =
            NaiveDate::from_ymd_opt(year, month, day).ok_or_else(|| WhenError::NotInCalendar(text.to_owned()))?;
        if !(1800..=2199).contains(&year) {
            return Err(WhenError::OutOfRange(text.to_owned()));
        }
        let time = match time {
            Some(time) => Some(NaiveTime::parse_from_str(time, "%H:%M").map_err(|_| not_a_date())?),
            None => None,
        };
        Ok(When { date, time })
    }

    /// Whether something at place `seq` of a chain came after something else of that chain: by date, by time of day where
    /// both are known to the minute and differ, and else in the order in which they were entered.
    pub fn is_after(self, seq: u64, (other, other_seq): (When, u64)) -> bool {
        let times = self.time.zip(other.time).map_or(Ordering::Equal, |(one, other)| one.cmp(&other));
        self.date.cmp(&other.date).then(times).then(seq.cmp(&other_seq)).is_gt()
    }

    /// The moment, taking the start of the day where only the date is known.
    pub fn moment(self) -> NaiveDateTime {
        self.date.and_time(self.time.unwrap_or(NaiveTime::MIN))
    }
}

impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.time {
            None => write!(f, "{}", self.date),
            Some(time) => write!(f, "{}T{:02}:{:02}", self.date, time.hour(), time.minute()),
        }
    }
}

impl Serialize for When {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for When {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<When, D::Error> {
        let text = std::borrow::Cow::<str>::deserialize(d)?;
        When::parse(&text).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::{When, WhenError};

    #[test]
    fn both_forms_are_read_and_written_back() {
        for text in ["2026-03-02", "2026-03-02T10:05"] {
            assert_eq!(When::parse(text).map(|w| w.to_string()), Ok(text.to_owned()));
        }
        assert_eq!(When::parse("2026-03-02 10:05"), When::parse("2026-03-02T10:05"));
    }

    #[test]
    fn a_day_that_does_not_exist_is_named_as_such() {
        assert_eq!(When::parse("2026-02-30"), Err(WhenError::NotInCalendar("2026-02-30".into())));
        assert!(When::parse("2028-02-29").is_ok());
        assert_eq!(When::parse("1799-12-31"), Err(WhenError::OutOfRange("1799-12-31".into())));
        for text in ["", "2026", "2026-3-2", "03/02/2026", "2026-03-02T25:00", "2026-03-02-01", "+026-03-02"] {
            assert!(matches!(When::parse(text), Err(WhenError::NotADate(_))), "{text}");
        }
    }

    #[test]
    fn a_date_alone_comes_first_on_its_day() {
        let order = ["2026-03-01T23:59", "2026-03-02", "2026-03-02T00:00", "2026-03-02T10:00"];
        let read: Vec<_> = order.iter().map(|t| When::parse(t).unwrap()).collect();
        assert!(read.is_sorted());
    }

    #[test]
    fn on_one_day_times_decide_where_both_are_known_and_else_the_order_of_entry() {
        let of = |text: &str, seq| (When::parse(text).unwrap(), seq);
        for (one, other, after) in [
            (of("2026-11-02", 3), of("2026-11-01", 4), true),
            (of("2026-11-01T17:00", 3), of("2026-11-01T09:00", 4), true),
            (of("2026-11-01T09:00", 5), of("2026-11-01T17:00", 4), false),
            (of("2026-11-01", 5), of("2026-11-01T09:00", 4), true),
            (of("2026-11-01", 3), of("2026-11-01T09:00", 4), false),
            (of("2026-11-01T09:00", 5), of("2026-11-01", 4), true),
            (of("2026-11-01", 4), of("2026-11-01", 4), false),
        ] {
            assert_eq!(one.0.is_after(one.1, other), after, "{one:?} after {other:?}");
        }
    }
}
