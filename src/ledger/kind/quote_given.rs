use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::note_added::check_subject;
use super::{Kind, check_finding, check_line, findings_in_words};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Quote};
use crate::ledger::subject::{Name, Subject};
use crate::quantity::Money;

/// A price offered for mending findings, or for work on sections and fixtures: a radon system, a new pump.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct QuoteGiven {
    /// May be empty where it is about sections or fixtures.
    pub findings: Vec<u32>,
    /// The sections and fixtures it is about. Since version 2.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<String>")]
    pub named: Vec<Name>,
    pub amount: Money,
    /// Who offered it.
    pub from: String,
}

impl Kind for QuoteGiven {
    fn about(&self) -> Vec<Subject> {
        let findings = self.findings.iter().copied().map(Subject::Finding);
        findings.chain(self.named.iter().cloned().map(Subject::Named)).collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        if self.findings.is_empty() && self.named.is_empty() {
            found.push(Problem::Missing { field: "the finding, section or fixture it is about" });
        }
        for number in &self.findings {
            check_finding(*number, at, property, found);
        }
        for name in &self.named {
            check_subject(name.as_str(), property, found);
        }
        check_line("--from", &self.from, found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.quotes.push(Quote {
            seq: at.seq,
            on: at.on,
            about: self.about(),
            amount: self.amount,
            from: self.from.clone(),
        });
    }

    fn sentence(&self) -> String {
        let findings = Some(findings_in_words(&self.findings)).filter(|_| !self.findings.is_empty());
        let what: Vec<_> = findings.into_iter().chain(self.named.iter().map(|name| format!("`{name}`"))).collect();
        format!("quotation for {}: {} from {}", what.join(" and "), self.amount.show(), self.from)
    }
}
