use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// The body of an entry was destroyed, with the files only it needed; its envelope stays and the chain still checks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryErased {
    pub entry: u64,
    pub why: String,
    /// The number a finding had, so that it is never given out again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub number: Option<u32>,
    /// What the erased entry was about, as in other entries, so that its place in a history stays. Since version 2.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub about: Vec<String>,
}

impl Kind for EntryErased {
    fn about(&self) -> Vec<Subject> {
        Vec::new()
    }

    fn problems(&self, _: &At, _: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
    }

    fn apply(&self, _: &At, property: &mut Property) {
        property.last_number = property.last_number.max(self.number.unwrap_or(0));
    }

    fn sentence(&self) -> String {
        format!("erases the body of entry {}: {}", self.entry, self.why)
    }
}
