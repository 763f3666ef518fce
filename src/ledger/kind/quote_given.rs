use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding, check_line, findings_in_words};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Quote};
use crate::ledger::subject::Subject;
use crate::quantity::Money;

/// A price offered for mending one or more findings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuoteGiven {
    pub findings: Vec<u32>,
    pub amount: Money,
    /// Who offered it.
    pub from: String,
}

impl Kind for QuoteGiven {
    fn about(&self) -> Vec<Subject> {
        self.findings.iter().copied().map(Subject::Finding).collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        if self.findings.is_empty() {
            found.push(Problem::Missing { field: "the finding it is about" });
        }
        for number in &self.findings {
            check_finding(*number, at, property, found);
        }
        check_line("--from", &self.from, found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.quotes.push(Quote {
            seq: at.seq,
            on: at.on,
            about: self.findings.clone(),
            amount: self.amount,
            from: self.from.clone(),
        });
    }

    fn sentence(&self) -> String {
        format!("quotation for {}: {} from {}", findings_in_words(&self.findings), self.amount.show(), self.from)
    }
}
