//! Days that a duty hangs on and nobody gave: whose they are, in words that stand beside it.

use super::chosen::Falls;
use crate::calendar::almanac::{DayOfYear, Rule, Season};
use crate::calendar::own::OwnRule;
use crate::ledger::property::{MonthDay, Property};

/// Says that a day the duty hangs on was not given, where it was not: a default of the climate zone, or one of this program.
pub(super) fn assumed(of: &Property, falls: &Falls) -> Option<String> {
    let (day, is_season) = match falls {
        Falls::Almanac(Rule::Season { season }) | Falls::Own(OwnRule::Season(season)) => match season {
            Season::Spring => (DayOfYear::LastFreeze, true),
            Season::Autumn => (DayOfYear::FirstFreeze, true),
            Season::Summer | Season::Winter => return None,
        },
        Falls::Almanac(Rule::Before { before, .. }) => (*before, false),
        Falls::Own(OwnRule::WetSeason {}) => (DayOfYear::WetSeason, false),
        _ => return None,
    };
    let zone = of.defaults();
    let (what, own, by_zone) = match day {
        DayOfYear::LastFreeze => ("last freeze", of.last_freeze, zone.and_then(|zone| zone.last_freeze())),
        DayOfYear::FirstFreeze => ("first freeze", of.first_freeze, zone.and_then(|zone| zone.first_freeze())),
        DayOfYear::WetSeason => ("wet season", of.wet_season, None),
    };
    if own.is_some() {
        return None;
    }
    match (by_zone.zip(zone), is_season) {
        (Some((day, zone)), _) => Some(format!("; {what} {} by default of climate zone {zone}", written(day))),
        (None, true) => Some(format!("; no usual {what} is known here: the season's months are taken")),
        (None, false) => {
            Some(format!("; {} is taken for the {what}, which is not given", written(of.year().day_of(day))))
        }
    }
}

/// The climate zone says that a freeze is too rare there to have a usual day, and nobody gave one.
pub(super) fn freezes_rarely(of: &Property) -> bool {
    of.first_freeze.is_none() && of.defaults().is_some_and(|zone| zone.first_freeze().is_none())
}

fn written((month, day): MonthDay) -> String {
    format!("{month:02}-{day:02}")
}
