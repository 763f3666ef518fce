use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use super::note_added::check_subject;
use crate::calendar::almanac::ALMANAC;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// What was set of a duty here holds no longer: what holds for all houses holds again, and a duty of one's own is gone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyDropped {
    /// The section or fixture, or the finding's number; empty for the whole property.
    pub about: String,
    /// The name it was set under.
    pub duty: String,
}

impl Kind for DutyDropped {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        if !property.duties.contains_key(&(about, self.duty.clone())) {
            found.push(Problem::NothingSet { duty: self.duty.clone() });
        }
    }

    fn apply(&self, _: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        property.duties.remove(&(about, self.duty.clone()));
    }

    fn sentence(&self) -> String {
        match ALMANAC.duty(&self.duty) {
            Some(_) => format!("duty `{}` as for all houses again", self.duty),
            None => format!("duty `{}` is no longer set here", self.duty),
        }
    }
}
