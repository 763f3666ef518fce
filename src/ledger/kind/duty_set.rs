use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use super::note_added::check_subject;
use crate::ledger::duty_change::DutyChange;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// A duty is different at this house, or at one part of it, from what holds for all houses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutySet {
    /// The section or fixture, or the finding's number; empty for the whole property.
    pub about: String,
    /// Its name in the almanac, or a name of one's own.
    pub duty: String,
    pub change: DutyChange,
}

impl Kind for DutySet {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        self.change.check(&self.duty, found);
    }

    fn apply(&self, _: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        let set = property.duties.entry((about, self.duty.clone())).or_default();
        *set = set.with(&self.change);
    }

    fn sentence(&self) -> String {
        format!("duty `{}`: {}", self.duty, self.change.words())
    }
}
