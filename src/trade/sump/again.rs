//! When a pump that is watched is tested again, and a pump that no more than keeps up.
//!
//! The rule in words: in the wet season a month after its last test; outside it, on the day the wet season begins. Where no
//! day is known on which it ends, it is taken to last half a year. A pump under which the water does not fall while it runs
//! has nothing left for more water, and is watched.
//!
//! Sources: mass balance for what keeps up; the month and the half year are design rules of this program.

use chrono::{Datelike, Months, NaiveDate};

use super::PumpTest;
use super::drawdown::level_stands;
use crate::calendar::almanac::DayOfYear;
use crate::calendar::windows::Year;
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Rule, Standing, Who};

/// Months a wet season is taken to last: design rule of this program, no published source.
const WET_MONTHS: u32 = 6;
/// Months between the tests of a pump that is watched: design rule of this program, no published source.
const WATCHED_MONTHS: u32 = 1;

pub static KEEPS_UP_ONLY: Rule = Rule {
    name: "sump-only-keeps-up",
    says: "a pump under which the water does not fall while it runs lifts no more than comes in: it is tested monthly in the wet \
           season, and a stronger one is planned",
    source: "mass balance; the band is a design rule of this program",
    standing: Standing::Derived,
    scope: "the latest drawdown test of a sump pump, at the inflow of that day",
    variants: &[],
};

/// The day by which a pump that is watched since `after` is tested again.
pub(super) fn watched_again(year: &Year, after: NaiveDate) -> NaiveDate {
    let month = after.checked_add_months(Months::new(WATCHED_MONTHS)).unwrap_or(after);
    let begins = |y: i32| year.before(DayOfYear::WetSeason, 0, y).map(|window| window.due);
    let ends = |begins: NaiveDate| begins.checked_add_months(Months::new(WET_MONTHS));
    let near = [month.year() - 1, month.year(), month.year() + 1].into_iter().filter_map(begins);
    // The season that is not over on that day.
    let season = near.filter(|begins| ends(*begins).is_some_and(|end| month < end)).min();
    season.map_or(month, |begins| begins.max(month))
}

/// The latest drawdown, where the water stood while the pump ran and water came in.
pub(super) fn keeps_up_only(tests: &[&PumpTest]) -> Option<Fired> {
    let latest = tests.iter().rev().find(|test| test.drawdown.is_some())?;
    let because =
        format!("on {} the water did not fall while it ran: no more goes out than comes in", told::day(latest.on));
    let by = Some(By::Before("the wet season"));
    level_stands(latest.drawdown.as_ref()?).then(|| Fired::new(&KEEPS_UP_ONLY, Band::Watch, Who::Owner, by, because))
}

#[cfg(test)]
mod tests {
    use super::watched_again;
    use crate::calendar::windows::Year;
    use crate::trade::series::tests::day;

    #[test]
    fn a_watched_pump_is_tested_monthly_while_it_is_wet_and_else_when_that_begins() {
        // Taken from 1 October to 31 March; the day a month later decides.
        for (after, again) in [
            ("2026-09-12", "2026-10-12"),
            ("2026-08-31", "2026-10-01"),
            ("2027-02-28", "2027-03-28"),
            ("2027-03-01", "2027-10-01"),
            ("2027-01-31", "2027-02-28"),
        ] {
            assert_eq!(watched_again(&Year::default(), day(after)), day(again), "{after}");
        }
        let from_march = Year { wet_season: Some((3, 15)), ..Year::default() };
        assert_eq!(watched_again(&from_march, day("2026-05-10")), day("2026-06-10"));
        assert_eq!(watched_again(&from_march, day("2026-09-12")), day("2027-03-15"));
        assert_eq!(watched_again(&Year::default(), chrono::NaiveDate::MAX), chrono::NaiveDate::MAX);
    }
}
