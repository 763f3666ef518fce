use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;
use crate::ledger::when::When;

/// An entry was wrong: a full new fact of the same kind stands in its place, and the old one stays to be read.
///
/// It is aimed at the first entry, never at another correction; the last correction wins. Its own remarks (who, note,
/// photographs, private) take the place of the first entry's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EntryCorrected {
    /// The entry that was wrong.
    pub entry: u64,
    pub why: String,
    /// When it happened, as it should have said.
    #[schemars(with = "String")]
    pub on: When,
    /// The version the new fact is written in.
    pub v: u32,
    /// The new fact, whole.
    pub fact: Value,
}

impl Kind for EntryCorrected {
    fn about(&self) -> Vec<Subject> {
        Vec::new()
    }

    // Whether the new fact fits is seen when the history is folded again with it in place.
    fn problems(&self, _: &At, _: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
    }

    fn apply(&self, _: &At, _: &mut Property) {}

    fn sentence(&self) -> String {
        format!("corrects entry {}: {}", self.entry, self.why)
    }
}
