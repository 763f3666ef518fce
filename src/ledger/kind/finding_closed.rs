use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::Subject;

/// A finding asks for nothing more; its history stays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FindingClosed {
    pub number: u32,
    pub why: String,
}

impl Kind for FindingClosed {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Finding(self.number)]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
        check_finding(self.number, at, property, found);
        if let Some((on, _)) = property.findings.get(&self.number).and_then(|f| f.closed.as_ref()) {
            found.push(Problem::ClosedAlready { number: self.number, closed: *on });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        if let Some(finding) = property.findings.get_mut(&self.number) {
            finding.closed = Some((at.on, self.why.clone()));
        }
    }

    fn sentence(&self) -> String {
        format!("finding {} closed: {}", self.number, self.why)
    }
}
