use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// An entry should never have been made: it counts no more, and stays to be read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryStruck {
    pub entry: u64,
    pub why: String,
}

impl Kind for EntryStruck {
    fn about(&self) -> Vec<Subject> {
        Vec::new()
    }

    fn problems(&self, _: &At, _: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
    }

    fn apply(&self, _: &At, _: &mut Property) {}

    fn sentence(&self) -> String {
        format!("strikes entry {}: {}", self.entry, self.why)
    }
}
