//! When rounds of crack readings begin: a cron rule on civil dates.
//!
//! A crack is read monthly to quarterly (design rule of this program, from the reading intervals in use; the published
//! precision and purpose are those of BRE Digest 343, 1989). By default a round begins with each season of the
//! meteorological year: 1 March, 1 June, 1 September, 1 December. The rule is evaluated on civil time dressed up as
//! UTC, so that daylight-saving changes can neither skip nor repeat a round.

use std::str::FromStr;

use chrono::{NaiveDate, NaiveTime};
use cron::Schedule;

/// The first day of each season of the meteorological year.
pub const SEASONS: &str = "0 0 1 3,6,9,12 *";

/// A rule for the days on which rounds begin.
#[derive(Debug, Clone)]
pub struct Rounds {
    text: String,
    schedule: Schedule,
}

/// The text is not five fields of cron text.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("`{0}` is not five fields of cron text")]
pub struct NotCron(pub String);

impl Rounds {
    /// Reads five-field cron text; the hour and minute are allowed and of no consequence.
    ///
    /// Errors: another number of fields, or fields that cron text does not have.
    pub fn parse(text: &str) -> Result<Rounds, NotCron> {
        let refused = || NotCron(text.to_owned());
        let fields: Vec<_> = text.split_ascii_whitespace().collect();
        let [minute, hour, day, month, weekday] = fields[..] else { return Err(refused()) };
        // The crate wants a seconds field and counts weekdays from 1 = Sunday, so numbers would mean other days.
        if weekday.bytes().any(|b| b.is_ascii_digit()) {
            return Err(refused());
        }
        let with_seconds = format!("0 {minute} {hour} {day} {month} {weekday}");
        let schedule = Schedule::from_str(&with_seconds).map_err(|_| refused())?;
        Ok(Rounds { text: fields.join(" "), schedule })
    }

    pub fn text(&self) -> &str {
        &self.text
    }

    /// The first day after `day` on which a round begins; `None` when the rule never comes again.
    pub fn next_after(&self, day: NaiveDate) -> Option<NaiveDate> {
        let end_of_day = NaiveTime::from_hms_opt(23, 59, 59).expect("a time of day");
        self.schedule.after(&day.and_time(end_of_day).and_utc()).next().map(|moment| moment.date_naive())
    }
}

impl Default for Rounds {
    fn default() -> Rounds {
        Rounds::parse(SEASONS).expect("the default is cron text")
    }
}

impl PartialEq for Rounds {
    fn eq(&self, other: &Rounds) -> bool {
        self.text == other.text
    }
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::{NotCron, Rounds};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_round_begins_with_each_season_and_never_on_the_day_of_the_reading() {
        let rounds = Rounds::default();
        // Calendar arithmetic by hand.
        for (read, next) in [
            ("2026-02-28", "2026-03-01"),
            ("2026-03-01", "2026-06-01"),
            ("2026-11-30", "2026-12-01"),
            ("2026-12-01", "2027-03-01"),
        ] {
            assert_eq!(rounds.next_after(day(read)), Some(day(next)), "{read}");
        }
    }

    #[test]
    fn only_five_fields_are_cron_text() {
        for bad in ["", "monthly", "0 0 1 *", "0 0 0 1 * *", "0 0 32 * *", "0 0 * * 1"] {
            assert_eq!(Rounds::parse(bad), Err(NotCron(bad.to_owned())), "{bad}");
        }
        assert_eq!(Rounds::parse("0  0 1 * *").unwrap().next_after(day("2026-01-31")), Some(day("2026-02-01")));
    }

    #[test]
    fn a_day_that_never_comes_gives_no_round() {
        assert_eq!(Rounds::parse("0 0 30 2 *").unwrap().next_after(day("2026-01-01")), None);
    }
}
