use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, bounds, check_line, check_name_is_free, check_name_is_no_key, check_section};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Fixture, Property};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Flow, Length, Typed};
use crate::trade::sump::Pit;
use crate::trade::words::{Answer, Demand, FixtureKind};

/// What is known of a fixture as it was put in.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Fitted {
    /// When it was put in or planted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub installed: Option<NaiveDate>,
    /// Inside diameter of a sump pump's pit that is round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pit: Option<Typed<Length>>,
    /// Inside length and width of a pit that is square or rectangular. Since version 4.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pit_sides: Option<[Typed<Length>; 2]>,
    /// What a pump is rated to lift.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rated: Option<Typed<Flow>>,
    /// From the highest level at which the pump switches on to where the pit would overflow. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub freeboard: Option<Typed<Length>>,
    /// Capacity of a backup battery in ampere-hours, as printed: a decimal number. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub battery_ah: Option<String>,
    /// What a backup pump draws in amperes: a decimal number. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draw_a: Option<String>,
    /// Where it is: "north-east corner".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Height a tree has, or will have.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Typed<Length>>,
    /// How far a tree or an outlet is from the nearest foundation wall.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub distance: Option<Typed<Length>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub demand: Option<Demand>,
    /// Whether the soil at a tree is shrinkable clay. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clay: Option<Answer>,
    /// Whether a radon system has a fan. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fan: Option<Answer>,
    /// Anything else that tells it apart.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub what: Option<String>,
    /// The day on which its warranty ends. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub warranty_until: Option<NaiveDate>,
}

/// A piece of equipment, or a thing outdoors that needs care.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixtureAdded {
    pub name: Name,
    pub kind: FixtureKind,
    /// The section it belongs to.
    #[serde(default, rename = "in", skip_serializing_if = "Option::is_none")]
    pub section: Option<Name>,
    #[serde(default)]
    pub fitted: Fitted,
}

impl Kind for FixtureAdded {
    const STANDING: bool = true;

    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.name.clone())]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
        check_name_is_free(&self.name, property, found);
        if let Some(section) = &self.section {
            check_section(section, property, found);
        }
        self.fitted.check(at, property, found);
    }

    fn slips(&self, _: When, property: &Property, found: &mut Vec<Problem>) {
        check_name_is_no_key(&self.name, property, found);
        self.fitted.slips(found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.fixtures.insert(
            self.name.clone(),
            Fixture {
                kind: self.kind,
                section: self.section.clone(),
                fitted: self.fitted.clone(),
                since: self.fitted.installed,
                added: at.on.date,
                retired: None,
                replaced: 0,
                seq: at.seq,
            },
        );
    }

    fn sentence(&self) -> String {
        format!("fixture `{}`: {}{}", self.name, self.kind, self.fitted.words())
    }
}

impl Fitted {
    /// The inside of a pump's pit, where it was measured.
    pub fn opening(&self) -> Option<Pit> {
        let round = self.pit.as_ref().map(|diameter| Pit::round(diameter.value()));
        round.or(self.pit_sides.as_ref().map(|[length, width]| Pit::square(length.value(), width.value())))
    }

    pub(super) fn check(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        use chrono::Datelike;
        if let Some(installed) = self.installed {
            if installed > at.on.date {
                found.push(Problem::InFuture { on: When::day(installed), today: at.on.date });
            }
            if let Some(built) = property.built.filter(|b| installed.year() < *b) {
                found.push(Problem::BeforeBuilt { on: When::day(installed), built });
            }
        }
        if let (Some(until), Some(installed)) = (self.warranty_until, self.installed)
            && until < installed
        {
            found.push(Problem::WarrantyBefore { until, from: installed });
        }
        let sides = self.pit.iter().chain(self.pit_sides.iter().flatten());
        for side in sides.filter(|side| side.value().exact().is_zero()) {
            found.push(Problem::Zero { field: "--pit", typed: side.typed().to_owned() });
        }
        for (field, text) in [("--place", &self.place), ("--what", &self.what)] {
            if let Some(text) = text {
                check_line(field, text, found);
            }
        }
    }

    /// See [`Kind::slips`].
    pub(super) fn slips(&self, found: &mut Vec<Problem>) {
        for side in self.pit.iter().chain(self.pit_sides.iter().flatten()) {
            bounds::length("--pit", Some(side), (5, "5 m"), found);
        }
        bounds::length("--freeboard", self.freeboard.as_ref(), (5, "5 m"), found);
        bounds::length("--height", self.height.as_ref(), (150, "150 m"), found);
        bounds::length("--distance", self.distance.as_ref(), (150, "150 m"), found);
        bounds::flow("--rated", self.rated.as_ref(), found);
    }

    pub(super) fn words(&self) -> String {
        let mut out = String::new();
        let mut say = |what: &str, value: Option<&str>| {
            if let Some(value) = value {
                out.push_str(&format!(", {what}{value}"));
            }
        };
        say("", self.place.as_deref());
        say("installed ", self.installed.map(|d| d.to_string()).as_deref());
        say("pit ", self.pit.as_ref().map(Typed::typed));
        let sides = self.pit_sides.as_ref().map(|[length, width]| format!("{} x {}", length.typed(), width.typed()));
        say("pit ", sides.as_deref());
        say("rated ", self.rated.as_ref().map(Typed::typed));
        say("freeboard ", self.freeboard.as_ref().map(Typed::typed));
        say("battery Ah ", self.battery_ah.as_deref());
        say("draws A ", self.draw_a.as_deref());
        say("height ", self.height.as_ref().map(Typed::typed));
        say("distance ", self.distance.as_ref().map(Typed::typed));
        say("water demand ", self.demand.map(Demand::word));
        say("clay soil ", self.clay.map(Answer::word));
        say("fan ", self.fan.map(Answer::word));
        say("", self.what.as_deref());
        say("warranty until ", self.warranty_until.map(|d| d.to_string()).as_deref());
        out
    }
}
