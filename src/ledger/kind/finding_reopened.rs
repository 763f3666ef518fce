use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Closing, Property};
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

    fn apply(&self, at: &At, property: &mut Property) {
        let Some(finding) = property.findings.get_mut(&self.number) else { return };
        if let Some((on, why)) = finding.closed.take() {
            let (reopened, reopened_why) = (at.on, self.why.clone());
            finding.was_closed.push(Closing { on, why, reopened, reopened_why });
        }
    }

    fn sentence(&self) -> String {
        format!("finding {} reopened: {}", self.number, self.why)
    }
}
