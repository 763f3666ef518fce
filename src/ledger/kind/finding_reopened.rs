use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// A closed finding is looked after again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingReopened {
    pub number: u32,
    pub why: String,
}

impl Kind for FindingReopened {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Finding(self.number)]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
        check_finding(self.number, at, property, found);
        if property.findings.get(&self.number).is_some_and(|f| f.closed.is_none()) {
            found.push(Problem::FindingOpen { number: self.number });
        }
    }

    fn apply(&self, _: &At, property: &mut Property) {
        if let Some(finding) = property.findings.get_mut(&self.number) {
            finding.closed = None;
        }
    }

    fn sentence(&self) -> String {
        format!("finding {} reopened: {}", self.number, self.why)
    }
}
