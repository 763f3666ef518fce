use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Note, Property};
use crate::ledger::subject::Subject;

/// Something worth remembering that is no reading and no finding.
///
/// Version 2 has `look`; a note of version 1 says nothing of a look and is none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NoteAdded {
    /// The finding's number, the section's or fixture's name; empty for the property itself.
    pub about: String,
    pub text: String,
    /// The note says that the place was looked over: the whole property where it is about the property itself, else that
    /// section alone.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub look: bool,
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
        let looked_over = |subject: &Subject| match subject {
            Subject::Property => true,
            Subject::Named(name) => property.sections.contains_key(name),
            Subject::Finding(_) => false,
        };
        if self.look
            && let Ok(subject) = Subject::parse(&self.about)
            && property.knows(&subject)
            && !looked_over(&subject)
        {
            found.push(Problem::LookOfAPart { subject: subject.local() });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        property.notes.push(Note { seq: at.seq, on: at.on, about, text: self.text.clone(), look: self.look });
    }

    fn sentence(&self) -> String {
        let what = if self.look { "looked over" } else { "note" };
        format!("{what}: {}", self.text)
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
