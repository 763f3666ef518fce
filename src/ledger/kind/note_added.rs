use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Note, Property};
use crate::ledger::subject::Subject;

/// Something worth remembering that is no reading and no finding.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NoteAdded {
    /// The finding's number, the section's or fixture's name; empty for the property itself.
    pub about: String,
    pub text: String,
}

impl Kind for NoteAdded {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        if self.text.trim().is_empty() {
            found.push(Problem::Empty { field: "the note" });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        property.notes.push(Note { seq: at.seq, on: at.on, about, text: self.text.clone() });
    }

    fn sentence(&self) -> String {
        format!("note: {}", self.text)
    }
}

/// Refuses what is not a subject of this property.
pub(super) fn check_subject(about: &str, property: &Property, found: &mut Vec<Problem>) {
    match Subject::parse(about) {
        Ok(subject) if property.knows(&subject) => {}
        Ok(Subject::Property) => found.push(Problem::NoProperty),
        Ok(subject) => found.push(Problem::NoSubject { subject: subject.local() }),
        Err(error) => found.push(error.into()),
    }
}
