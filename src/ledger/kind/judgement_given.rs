use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding, check_line, findings_in_words};
use crate::ledger::entry::Attachment;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Judgement, Property};
use crate::ledger::subject::Subject;
use crate::ledger::when::When;
use crate::quantity::{Length, Typed};
use crate::trade::words::EventKind;

/// What a licensed professional concluded about one or more findings. This program never makes one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JudgementGiven {
    pub findings: Vec<u32>,
    /// Who judged.
    pub from: String,
    /// Under which licence.
    pub licence: String,
    /// What they concluded, in their words.
    pub says: String,
    /// The day until which it holds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub until: Option<NaiveDate>,
    /// It ends when a width, an offset or a bow is read above this. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_width: Option<Typed<Length>>,
    /// It ends when a full year shows growth above this in a year. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub until_growth: Option<Typed<Length>>,
    /// It ends with any of these. Since version 2.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub until_event: Vec<EventKind>,
    /// Their letter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub document: Option<Attachment>,
}

impl Kind for JudgementGiven {
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
        check_line("--licence", &self.licence, found);
        if self.says.trim().is_empty() {
            found.push(Problem::Empty { field: "--says" });
        }
    }

    fn slips(&self, on: When, _: &Property, found: &mut Vec<Problem>) {
        if let Some(until) = self.until.filter(|until| *until < on.date) {
            found.push(Problem::HoldsNoDay { until, on });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.judgements.push(Judgement {
            seq: at.seq,
            on: at.on,
            about: self.findings.clone(),
            from: self.from.clone(),
            licence: self.licence.clone(),
            says: self.says.clone(),
            until: self.until,
            until_width: self.until_width.as_ref().map(Typed::value),
            until_growth: self.until_growth.as_ref().map(Typed::value),
            until_event: self.until_event.clone(),
            file: self.document.clone(),
        });
    }

    fn sentence(&self) -> String {
        let mut until = self.until.map_or(String::new(), |d| format!(", holds until {d}"));
        if let Some(width) = &self.until_width {
            until.push_str(&format!(", while it stays at {} or under", width.typed()));
        }
        if let Some(growth) = &self.until_growth {
            until.push_str(&format!(", while it grows {} a year or less", growth.typed()));
        }
        for event in &self.until_event {
            until.push_str(&format!(", until the next {event}"));
        }
        let document = self.document.as_ref().map_or(String::new(), |d| format!(" [{}]", d.name));
        let about = findings_in_words(&self.findings);
        format!("judgement on {about} by {} ({}): {}{until}{document}", self.from, self.licence, self.says)
    }
}
