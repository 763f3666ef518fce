use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// A property is no longer looked after here; its history stays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PropertyArchived {
    pub why: String,
}

impl Kind for PropertyArchived {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
        if let Some((on, _)) = &property.archived {
            found.push(Problem::Archived { key: property.key.clone(), on: *on });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.archived = Some((at.on, self.why.clone()));
    }

    fn sentence(&self) -> String {
        format!("archived: {}", self.why)
    }
}
