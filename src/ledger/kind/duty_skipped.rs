use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::note_added::check_subject;
use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Skip};
use crate::ledger::subject::Subject;

/// One occurrence of a duty is left out or, where nobody was in, done on another day. The others stay as they are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutySkipped {
    /// The section or fixture, or the finding's number; empty for the property itself.
    pub about: String,
    pub duty: String,
    /// The day on which the occurrence falls due by its rule.
    #[schemars(with = "String")]
    pub occurs: NaiveDate,
    /// The day by which it is done instead; without one it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub until: Option<NaiveDate>,
    /// Nobody was in to open.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub nobody_in: bool,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
}

impl Kind for DutySkipped {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        check_line("the duty", &self.duty, found);
        if let Some(why) = &self.why {
            check_line("--why", why, found);
        }
        if let Some(until) = self.until.filter(|until| *until <= at.on.date) {
            found.push(Problem::DayPassed { field: "--until", day: until, on: at.on.date });
        }
        if self.nobody_in && self.until.is_none() {
            found.push(Problem::Missing { field: "--until" });
        }
        if let Some(before) = property.skips.get(&self.occurrence()) {
            if before.until.is_none() {
                found.push(Problem::SkippedAlready { duty: self.duty.clone(), occurs: self.occurs });
            } else if before.until == self.until {
                found.push(Problem::NothingToChange);
            }
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let skip = Skip { on: at.on.date, until: self.until, nobody_in: self.nobody_in, why: self.why.clone() };
        property.skips.insert(self.occurrence(), skip);
    }

    fn sentence(&self) -> String {
        let why = self.why.as_ref().map_or(String::new(), |why| format!(": {why}"));
        match (self.until, self.nobody_in) {
            (Some(until), true) => format!("nobody in: `{}` of {} moved to {until}{why}", self.duty, self.occurs),
            (Some(until), false) => format!("`{}` of {} moved to {until}{why}", self.duty, self.occurs),
            (None, _) => format!("`{}` of {} left out{why}", self.duty, self.occurs),
        }
    }
}

impl DutySkipped {
    fn occurrence(&self) -> (Subject, String, NaiveDate) {
        (Subject::parse(&self.about).unwrap_or(Subject::Property), self.duty.clone(), self.occurs)
    }
}
