use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use super::handed_over::check_end;
use crate::ledger::hash::Hash;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// The record of the property comes from another ledger, where it ends: here it goes on behind the entry before this one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TakenOver {
    /// The last entry that was recorded there: the one before this.
    pub entries: u64,
    /// The hash of that entry, 64 hex digits.
    #[schemars(with = "String")]
    pub seal: Hash,
    /// Who has it now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
}

impl Kind for TakenOver {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    // Whether the hash is that of the entry is seen where the chain is checked: a state knows no hashes.
    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_end(self.entries, self.to.as_deref(), at, property, found);
    }

    fn apply(&self, _: &At, _: &mut Property) {}

    fn sentence(&self) -> String {
        let by = self.to.as_ref().map_or(String::new(), |to| format!(" by {to}"));
        format!("taken over{by}: entries 1 to {} come from another ledger, seal {}", self.entries, self.seal)
    }
}
