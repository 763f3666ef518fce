use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// A round of looking is over; points of it that were not walked stay unwalked.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WalkEnded {
    /// The entry that began the walk.
    pub walk: u64,
}

impl Kind for WalkEnded {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        match property.walks.iter().find(|w| w.seq == self.walk) {
            None => found.push(Problem::NotAWalk { seq: self.walk }),
            Some(walk) => {
                if let Some(ended) = walk.ended {
                    found.push(Problem::WalkOver { seq: self.walk, ended });
                }
            }
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        if let Some(walk) = property.walks.iter_mut().find(|w| w.seq == self.walk) {
            walk.ended = Some(at.on);
        }
    }

    fn sentence(&self) -> String {
        format!("the walk of entry {} is over", self.walk)
    }
}
