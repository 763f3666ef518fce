use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line};
use crate::ledger::hash::Hash;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// A seal was given to somebody who keeps it: the hash of an entry, which fixes that entry and every one before it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SealGiven {
    /// The last entry that it covers.
    pub entries: u64,
    /// The hash of that entry, 64 hex digits.
    #[schemars(with = "String")]
    pub seal: Hash,
    /// Who keeps it, or where it was put.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
}

impl Kind for SealGiven {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    // Whether the hash is that of the entry is seen where the chain is checked: a state knows no hashes.
    fn problems(&self, at: &At, _: &Property, found: &mut Vec<Problem>) {
        if self.entries == 0 || self.entries >= at.seq {
            found.push(Problem::NoEntry { seq: self.entries });
        }
        if let Some(to) = &self.to {
            check_line("--to", to, found);
        }
    }

    fn apply(&self, _: &At, _: &mut Property) {}

    fn sentence(&self) -> String {
        let to = self.to.as_ref().map_or(String::new(), |to| format!(" to {to}"));
        format!("seal of entries 1 to {} given{to}: {}", self.entries, self.seal)
    }
}
