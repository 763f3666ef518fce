use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::note_added::check_subject;
use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Expected, Property};
use crate::ledger::subject::Subject;

/// Somebody was asked to come, or something was ordered: what is due there waits until then.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyExpected {
    /// The section or fixture, or the finding's number; empty for the property itself.
    pub about: String,
    /// The day by which it is expected.
    #[schemars(with = "String")]
    pub by: NaiveDate,
    /// Who comes for what, or what was ordered.
    pub what: String,
    /// The one duty that waits; without one, every duty of the subject does.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duty: Option<String>,
}

impl Kind for DutyExpected {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        check_line("--what", &self.what, found);
        if self.by < at.on.date {
            found.push(Problem::DayPassed { field: "--by", day: self.by, on: at.on.date });
        }
    }

    fn apply(&self, _: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        let Self { by, what, duty, .. } = self.clone();
        property.expected.push(Expected { about, by, what, duty });
    }

    fn sentence(&self) -> String {
        format!("expected by {}: {}", self.by, self.what)
    }
}
