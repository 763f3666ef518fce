use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::section_added::{check_area, ground_in_words};
use super::{Kind, check_line, check_section};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::{Name, Subject};
use crate::quantity::{Area, Typed};
use crate::trade::words::{Answer, Foundation, Walls};

/// More is known of a section, or it was rebuilt; what is left out stays as it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SectionChanged {
    pub name: Name,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foundation: Option<Foundation>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub walls: Option<Walls>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Typed<Area>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<String>,
    /// Whether a Class I vapour retarder lies on the ground. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub retarder: Option<Answer>,
    /// Whether the soil is shrinkable clay. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clay: Option<Answer>,
}

impl Kind for SectionChanged {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.name.clone())]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_section(&self.name, property, found);
        check_area(self.area.as_ref(), found);
        if let Some(place) = &self.place {
            check_line("--place", place, found);
        }
        let ground = self.retarder.or(self.clay);
        let named = self.foundation.is_none() && self.walls.is_none() && self.area.is_none() && self.place.is_none();
        if named && ground.is_none() {
            found.push(Problem::NothingToChange);
        }
    }

    fn apply(&self, _: &At, property: &mut Property) {
        let Some(section) = property.sections.get_mut(&self.name) else { return };
        section.foundation = self.foundation.unwrap_or(section.foundation);
        section.walls = self.walls.or(section.walls);
        if self.area.is_some() {
            section.area.clone_from(&self.area);
        }
        if self.place.is_some() {
            section.place.clone_from(&self.place);
        }
        section.retarder = self.retarder.or(section.retarder);
        section.clay = self.clay.or(section.clay);
    }

    fn sentence(&self) -> String {
        let mut parts = Vec::new();
        parts.extend(self.foundation.map(|f| format!("foundation {f}")));
        parts.extend(self.walls.map(|w| format!("{w} walls")));
        parts.extend(self.area.as_ref().map(|a| a.typed().to_owned()));
        parts.extend(self.place.clone());
        let ground = ground_in_words(self.retarder, self.clay);
        parts.extend((!ground.is_empty()).then(|| ground.trim_start_matches(", ").to_owned()));
        format!("section `{}` changed: {}", self.name, parts.join(", "))
    }
}
