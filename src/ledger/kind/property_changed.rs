use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::property_added::{check_built, check_climate_zone, check_month_day, check_particulars, month_day};
use super::{Kind, check_line};
use crate::calendar::climate::ClimateZone;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;
use crate::ledger::when::When;
use crate::quantity::Money;

/// Something about a property is different from now on; what is left out stays as it was.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PropertyChanged {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// IANA time zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub zone: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub built: Option<i32>,
    /// Usual day of the last freeze, `04-25`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_freeze: Option<String>,
    /// Usual day of the first freeze, `10-12`.
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
    /// How many days before a visit somebody has to be told. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notice_days: Option<u32>,
    /// Who has to be told of a visit. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tell: Option<String>,
}

/// The longest notice, in days.
const MOST_NOTICE: u32 = 366;

impl Kind for PropertyChanged {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
        if *self == PropertyChanged::default() {
            found.push(Problem::NothingToChange);
        }
        if let Some(tell) = &self.tell {
            check_line("--tell", tell, found);
        }
        if let Some(days) = self.notice_days.filter(|days| *days > MOST_NOTICE) {
            found.push(Problem::NoticeTooLong { days, most: MOST_NOTICE });
        }
        check_particulars(self.name.as_deref(), self.zone.as_deref(), self.built, at, found);
        check_month_day("--last-freeze", self.last_freeze.as_deref(), found);
        check_month_day("--first-freeze", self.first_freeze.as_deref(), found);
        check_month_day("--wet-season", self.wet_season.as_deref(), found);
        check_climate_zone(self.climate_zone.as_deref(), found);
    }

    fn slips(&self, _: When, property: &Property, found: &mut Vec<Problem>) {
        check_built(self.built, property, found);
    }

    fn apply(&self, _: &At, property: &mut Property) {
        if let Some(name) = &self.name {
            property.name.clone_from(name);
        }
        property.zone = self.zone.as_deref().and_then(|z| z.parse().ok()).or(property.zone);
        property.built = self.built.or(property.built);
        property.last_freeze = self.last_freeze.as_deref().and_then(month_day).or(property.last_freeze);
        property.first_freeze = self.first_freeze.as_deref().and_then(month_day).or(property.first_freeze);
        property.climate_zone = self.climate_zone.as_deref().and_then(ClimateZone::parse).or(property.climate_zone);
        property.wet_season = self.wet_season.as_deref().and_then(month_day).or(property.wet_season);
        property.value = self.value.or(property.value);
        property.notice_days = self.notice_days.or(property.notice_days);
        property.tell = self.tell.clone().or_else(|| property.tell.take());
    }

    fn sentence(&self) -> String {
        let mut parts = Vec::new();
        let mut say = |what: &str, value: Option<String>| parts.extend(value.map(|v| format!("{what} {v}")));
        say("name", self.name.clone());
        say("zone", self.zone.clone());
        say("built", self.built.map(|y| y.to_string()));
        say("last freeze", self.last_freeze.clone());
        say("first freeze", self.first_freeze.clone());
        say("climate zone", self.climate_zone.clone());
        say("wet season from", self.wet_season.clone());
        say("value", self.value.map(|v| v.show()));
        say("notice of", self.notice_days.map(|n| if n == 1 { "1 day".into() } else { format!("{n} days") }));
        say("tell", self.tell.clone());
        format!("changed: {}", parts.join(", "))
    }
}
