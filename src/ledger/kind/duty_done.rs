use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::note_added::check_subject;
use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, DutyDone as Done, Property};
use crate::ledger::subject::Subject;

/// A duty was done that no other entry can speak of, such as gutters that were cleared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyDone {
    /// The section or fixture, or the finding's number; empty for the property itself.
    pub about: String,
    /// The duty's name in the almanac.
    pub duty: String,
    /// The day by which its rule has the occurrence that was done, where several of one name stand side by side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub occurs: Option<NaiveDate>,
}

impl Kind for DutyDone {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        check_line("the duty", &self.duty, found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        let Self { duty, occurs, .. } = self.clone();
        property.duties_done.push(Done { seq: at.seq, on: at.on, about, duty, occurs });
    }

    fn sentence(&self) -> String {
        format!("done: {}", self.duty)
    }
}
