use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, RepairCheck};
use crate::ledger::subject::Subject;
use crate::trade::words::Answer;

/// A look at a repair afterwards: did it hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RepairChecked {
    /// The entry of the repair.
    pub repair: u64,
    /// The findings that were mended by it.
    pub findings: Vec<u32>,
    /// `unknown` where it could not be seen; that is no check.
    pub held: Answer,
}

impl Kind for RepairChecked {
    fn about(&self) -> Vec<Subject> {
        self.findings.iter().copied().map(Subject::Finding).collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        match property.repairs.iter().find(|r| r.seq == self.repair) {
            None => found.push(Problem::NotARepair { seq: self.repair }),
            Some(repair) if at.on.date < repair.on.date => {
                found.push(Problem::BeforeRepair { on: at.on, repaired: repair.on });
            }
            Some(_) => {}
        }
        for number in &self.findings {
            check_finding(*number, at, property, found);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        if let Some(repair) = property.repairs.iter_mut().find(|r| r.seq == self.repair) {
            repair.checks.push(RepairCheck { seq: at.seq, on: at.on, held: self.held });
        }
    }

    fn sentence(&self) -> String {
        format!("repair of entry {} looked at: held: {}", self.repair, self.held)
    }
}
