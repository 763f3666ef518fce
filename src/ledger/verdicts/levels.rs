//! The levels of a section's floor, which nobody has found anything wrong with yet.

use chrono::{Months, NaiveDate};

use super::beside::visible_signs_in;
use crate::ledger::property::Property;
use crate::ledger::readings::surveyed_section;
use crate::ledger::settings::Settings;
use crate::ledger::subject::Name;
use crate::trade::{Verdict, level};

/// `None` while its levels were never surveyed: that is asked of nobody.
pub(super) fn of_levels(property: &Property, section: &Name, settings: &Settings, today: NaiveDate) -> Option<Verdict> {
    let (points, apart) = surveyed_section(property, section, today);
    let last = points.last()?.on;
    let next_round = settings.rounds.next_after(last).or(last.checked_add_months(Months::new(3))).unwrap_or(last);
    let of = level::Settlement {
        series: &[],
        surveys: &[],
        points: &points,
        apart,
        visible_signs: visible_signs_in(property, section, today),
        moved_on: None,
        next_round,
    };
    Some(level::verdict(&of, today))
}
