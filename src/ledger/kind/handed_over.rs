use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line};
use crate::ledger::hash::Hash;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// The record of the property goes on in another ledger, from the entry before this one: here it takes no more entries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HandedOver {
    /// The last entry that was handed over: the one before this.
    pub entries: u64,
    /// The hash of that entry, 64 hex digits.
    #[schemars(with = "String")]
    pub seal: Hash,
    /// Who has it now.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
}

impl Kind for HandedOver {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_end(self.entries, self.to.as_deref(), at, property, found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.handed_over = Some(at.on);
        property.archived = Some((at.on, self.words()));
    }

    fn sentence(&self) -> String {
        format!("{}: entries 1 to {}, seal {}", self.words(), self.entries, self.seal)
    }
}

/// What has to hold where a record ends in one ledger and goes on in another: it is told behind the last entry of the first.
pub(super) fn check_end(entries: u64, to: Option<&str>, at: &At, property: &Property, found: &mut Vec<Problem>) {
    if entries.checked_add(1) != Some(at.seq) {
        found.push(Problem::NotTheLast { seq: entries });
    }
    if let Some(to) = to {
        check_line("--to", to, found);
    }
    if !property.exists() {
        found.push(Problem::NoProperty);
    }
}

impl HandedOver {
    fn words(&self) -> String {
        self.to.as_ref().map_or_else(|| "handed over".to_owned(), |to| format!("handed over to {to}"))
    }
}
