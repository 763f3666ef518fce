use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line, check_name_is_free, check_name_is_no_key};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Section};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Area, Typed};
use crate::trade::words::{Answer, Foundation, Walls};

/// Larger than any house: 10 hectares.
const MOST_AREA: Area = Area::m2(100_000, 1);

/// A part of the footprint with one kind of foundation.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionAdded {
    pub name: Name,
    pub foundation: Foundation,
    /// What its walls are made of.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walls: Option<Walls>,
    /// Its floor area.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Typed<Area>>,
    /// Where it is: "north half".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Whether a Class I vapour retarder lies on the ground. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retarder: Option<Answer>,
    /// Whether the soil is shrinkable clay. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clay: Option<Answer>,
}

impl Kind for SectionAdded {
    const STANDING: bool = true;

    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.name.clone())]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
        check_name_is_free(&self.name, property, found);
        check_area(self.area.as_ref(), found);
        if let Some(place) = &self.place {
            check_line("--place", place, found);
        }
    }

    fn slips(&self, _: When, property: &Property, found: &mut Vec<Problem>) {
        check_name_is_no_key(&self.name, property, found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.sections.insert(
            self.name.clone(),
            Section {
                foundation: self.foundation,
                walls: self.walls,
                area: self.area.clone(),
                place: self.place.clone(),
                retarder: self.retarder,
                clay: self.clay,
                seq: at.seq,
            },
        );
    }

    fn sentence(&self) -> String {
        let walls = self.walls.map_or(String::new(), |w| format!(", {w} walls"));
        let area = self.area.as_ref().map_or(String::new(), |a| format!(", {}", a.typed()));
        let ground = ground_in_words(self.retarder, self.clay);
        format!("section `{}`: {}{walls}{area}{ground}", self.name, self.foundation)
    }
}

/// `, vapour retarder yes, clay soil unknown`
pub(super) fn ground_in_words(retarder: Option<Answer>, clay: Option<Answer>) -> String {
    let said = [("vapour retarder", retarder), ("clay soil", clay)];
    said.iter().filter_map(|(what, answer)| answer.map(|answer| format!(", {what} {answer}"))).collect()
}

pub(super) fn check_area(area: Option<&Typed<Area>>, found: &mut Vec<Problem>) {
    let Some(area) = area else { return };
    if area.value().exact().is_zero() {
        found.push(Problem::Zero { field: "--area", typed: area.typed().to_owned() });
    } else if area.value() > MOST_AREA {
        found.push(Problem::Absurd { field: "--area", typed: area.typed().to_owned(), most: "100000 m2".into() });
    }
}
