use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::note_added::check_subject;
use super::{Kind, check_line};
use crate::ledger::entry::Attachment;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, FileAttached as Attached, Property};
use crate::ledger::subject::Subject;

/// A document or picture that belongs to a subject, or to an entry recorded earlier.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FileAttached {
    /// The finding's number, the section's or fixture's name; empty for the property itself.
    pub about: String,
    /// The entry it belongs to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub entry: Option<u64>,
    pub file: Attachment,
}

impl Kind for FileAttached {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::parse(&self.about).unwrap_or(Subject::Property)]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        check_line("the file's name", &self.file.name, found);
        if let Some(seq) = self.entry.filter(|seq| *seq == 0 || *seq >= at.seq) {
            found.push(Problem::NoEntry { seq });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        property.files.push(Attached { seq: at.seq, on: at.on, about, file: self.file.clone() });
    }

    fn sentence(&self) -> String {
        let entry = self.entry.map_or(String::new(), |seq| format!(" to entry {seq}"));
        format!("attached{entry}: {}", self.file.name)
    }
}
