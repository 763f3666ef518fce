use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line};
use crate::calendar::climate::ClimateZone;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::Money;

/// The earliest year a house in this ledger may have been built.
const EARLIEST_BUILT: i32 = 1600;

/// A house and its lot came into the ledger.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PropertyAdded {
    /// Its local name in this ledger, `larkspur-14`.
    pub key: Name,
    /// What people call it: a name or an address.
    pub name: String,
    /// IANA time zone, `America/Chicago`; dates and times of its entries are meant there.
    pub zone: String,
    /// The year it was built.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub built: Option<i32>,
    /// Usual day of the last freeze in spring, `04-25`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_freeze: Option<String>,
    /// Usual day of the first freeze in autumn, `10-12`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_freeze: Option<String>,
    /// Climate zone of the International Energy Conservation Code, `5A`: its usual freeze dates stand where none are given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub climate_zone: Option<String>,
    /// Day on which the wet season begins, `10-01`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wet_season: Option<String>,
    /// What replacing the house would cost.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Money>,
}

impl Kind for PropertyAdded {
    const STANDING: bool = true;

    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        if property.exists() {
            found.push(Problem::PropertyExists);
        }
        check_particulars(Some(&self.name), Some(&self.zone), self.built, at, found);
        check_month_day("--last-freeze", self.last_freeze.as_deref(), found);
        check_month_day("--first-freeze", self.first_freeze.as_deref(), found);
        check_month_day("--wet-season", self.wet_season.as_deref(), found);
        check_climate_zone(self.climate_zone.as_deref(), found);
    }

    fn slips(&self, _: When, property: &Property, found: &mut Vec<Problem>) {
        if self.built != property.built {
            check_built(self.built, property, found);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.key = self.key.to_string();
        property.name.clone_from(&self.name);
        property.zone = self.zone.parse().ok();
        property.built = self.built;
        property.last_freeze = self.last_freeze.as_deref().and_then(month_day);
        property.first_freeze = self.first_freeze.as_deref().and_then(month_day);
        property.climate_zone = self.climate_zone.as_deref().and_then(ClimateZone::parse);
        property.wet_season = self.wet_season.as_deref().and_then(month_day);
        property.value = self.value;
        property.added = Some(at.on);
    }

    fn sentence(&self) -> String {
        let built = self.built.map_or(String::new(), |y| format!(", built {y}"));
        format!("came into the ledger: {}{built}", self.name)
    }
}

/// What is checked alike when a property is added and when it is changed.
pub(super) fn check_particulars(
    name: Option<&str>,
    zone: Option<&str>,
    built: Option<i32>,
    at: &At,
    found: &mut Vec<Problem>,
) {
    use chrono::Datelike;
    if let Some(name) = name {
        check_line("--name", name, found);
    }
    if let Some(zone) = zone.filter(|z| z.parse::<chrono_tz::Tz>().is_err()) {
        found.push(Problem::UnknownZone { zone: zone.to_owned() });
    }
    let latest = at.on.date.year();
    if let Some(year) = built.filter(|y| !(EARLIEST_BUILT..=latest).contains(y)) {
        found.push(Problem::YearOutOfRange { year, latest });
    }
}

/// Refuses a year of building that comes after what is recorded of the house.
pub(super) fn check_built(built: Option<i32>, property: &Property, found: &mut Vec<Problem>) {
    use chrono::Datelike;
    if let (Some(built), Some(earliest)) = (built, property.earliest())
        && earliest.date.year() < built
    {
        found.push(Problem::BuiltAfter { built, earliest });
    }
}

pub(super) fn check_month_day(field: &'static str, text: Option<&str>, found: &mut Vec<Problem>) {
    if let Some(typed) = text.filter(|t| month_day(t).is_none()) {
        found.push(Problem::NotAMonthDay { field, typed: typed.to_owned() });
    }
}

pub(super) fn check_climate_zone(text: Option<&str>, found: &mut Vec<Problem>) {
    if let Some(typed) = text.filter(|t| ClimateZone::parse(t).is_none()) {
        found.push(Problem::NotAClimateZone { typed: typed.to_owned() });
    }
}

pub(super) use crate::calendar::own::month_day;

#[cfg(test)]
mod tests {
    use super::month_day;

    #[test]
    fn a_day_of_the_year_is_two_and_two_digits() {
        assert_eq!(month_day("04-25"), Some((4, 25)));
        assert_eq!(month_day("02-29"), Some((2, 29)));
        for bad in ["02-30", "13-01", "4-25", "04/25", "", "00-10"] {
            assert_eq!(month_day(bad), None, "{bad}");
        }
    }
}
