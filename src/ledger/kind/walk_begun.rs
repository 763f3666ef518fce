use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Walk};
use crate::ledger::subject::Subject;
use crate::trade::words::Season;

/// A round of looking begins; its points follow one by one, so that it can stop and go on later.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WalkBegun {
    pub season: Season,
}

impl Kind for WalkBegun {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.walks.push(Walk { seq: at.seq, on: at.on, season: self.season, points: Vec::new(), ended: None });
    }

    fn sentence(&self) -> String {
        format!("{} walk begins", self.season)
    }
}
