//! When rounds of crack readings begin: cron text, of which only the days count.
//!
//! A crack is read monthly to quarterly (design rule of this program, from the reading intervals in use; the published
//! precision and purpose are those of BRE Digest 343, 1989). By default a round begins with each season of the
//! meteorological year: 1 March, 1 June, 1 September, 1 December.

use chrono::NaiveDate;

use super::cron_text::{CronError, CronText};

/// The first day of each season of the meteorological year.
pub const SEASONS: &str = "0 0 1 3,6,9,12 *";

/// A rule for the days on which rounds begin.
#[derive(Debug, Clone, PartialEq)]
pub struct Rounds(CronText);

impl Rounds {
    /// Reads cron text; the hour and minute are allowed and of no consequence.
    ///
    /// Errors: what is not cron text.
    pub fn parse(text: &str) -> Result<Rounds, CronError> {
        CronText::parse(text).map(Rounds)
    }

    pub fn text(&self) -> &str {
        self.0.text()
    }

    /// The first day after `day` on which a round begins; `None` when the rule never comes again.
    pub fn next_after(&self, day: NaiveDate) -> Option<NaiveDate> {
        self.0.next_day_after(day)
    }
}

impl Default for Rounds {
    fn default() -> Rounds {
        Rounds::parse(SEASONS).expect("the default is cron text")
    }
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::Rounds;

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
    fn only_cron_text_says_when_rounds_begin() {
        for bad in ["", "monthly", "0 0 1 *", "0 0 0 1 * *", "0 0 32 * *"] {
            assert!(Rounds::parse(bad).is_err(), "{bad}");
        }
        assert_eq!(Rounds::parse("0  0 1 * *").unwrap().next_after(day("2026-01-31")), Some(day("2026-02-01")));
        // 5 February 2026 is a Thursday; day 1 of the week is Monday.
        assert_eq!(Rounds::parse("0 0 * * 1").unwrap().next_after(day("2026-02-05")), Some(day("2026-02-09")));
    }

    #[test]
    fn a_day_that_never_comes_gives_no_round() {
        assert_eq!(Rounds::parse("0 0 30 2 *").unwrap().next_after(day("2026-01-01")), None);
    }
}
