//! `import radon`, `import csv`: a file becomes entries, every row read or refused by itself. A survey's file becomes
//! properties, sections and tests, every row kept.
//!
//! A row is the same row when the file comes again by three things: the file's label, the row's text, and which of its
//! equals it is. From them its entry's id is made, so that a second run adds nothing and twins stay two. A file is read as a
//! stream, of any size; before anything is written it has been read to its end. The rows of a house go in together, so that a
//! house or a section of which no row goes in does not come into the ledger, and a dry run says what the run will say.

use std::collections::BTreeMap;
use std::path::Path;

use chrono::NaiveDate;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::{Context, Error};
use crate::ledger::entry::Remarks;
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::when::When;
use crate::store::{Addressed, StoreError};

mod by_house;
pub(super) mod file;
mod likely;
mod line;
pub mod rows;
mod survey;
mod table;
mod trial;
mod watched;
mod write;

pub use rows::{FIELDS, ImportError, RowProblem};
pub use survey::{Radon, radon};
pub use table::{Csv, csv};

/// Rows that are refused in words; of more it is said how many.
const MOST_REFUSED: usize = 10_000;

/// What became of a file; in a dry run, what would become of it.
#[derive(Debug, Default)]
pub struct Imported {
    pub rows: usize,
    pub tests: usize,
    /// Entries that other kinds of rows became.
    pub entries: usize,
    /// Tests among them that miss a condition of a test: kept, never averaged.
    pub not_valid: usize,
    pub properties: usize,
    pub sections: usize,
    /// Rows that were here already.
    pub already: usize,
    /// Rows that are new by the file's label and say word for word what another entry here says, by the label of that one.
    pub same_as_here: BTreeMap<Option<String>, usize>,
    /// In the order of the file, the first so many.
    pub refused: Vec<RowRefused>,
    /// How many more were refused.
    pub more_refused: usize,
}

/// A row that did not go in.
#[derive(Debug, Clone)]
pub struct RowRefused {
    pub line: u64,
    /// The row as it stands in the file.
    pub text: String,
    pub problem: RowProblem,
}

/// What a file is called in the ledger.
fn label_of(typed: Option<&str>, path: &Path) -> String {
    let name = || path.file_name().map_or_else(|| "file".into(), |name| name.to_string_lossy().into_owned());
    typed.map_or_else(name, str::to_owned)
}

/// Where rows that do not fit in memory wait: beside the ledger.
fn waiting_room(context: &Context) -> &Path {
    context.path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A file of rows that wait could not be read again.
fn not_read_again(folder: &Path) -> impl Fn(std::io::Error) -> Error {
    |error| StoreError::io(folder, &error).into()
}

impl Imported {
    /// How many were refused.
    pub fn refused_in_all(&self) -> usize {
        self.refused.len() + self.more_refused
    }

    fn refuse(&mut self, row: RowRefused) {
        if self.refused.len() < MOST_REFUSED {
            self.refused.push(row);
        } else {
            self.more_refused += 1;
        }
    }

    fn refuse_all(&mut self, line: u64, text: &str, problems: impl IntoIterator<Item = impl Into<RowProblem>>) {
        problems.into_iter().for_each(|p| self.refuse(RowRefused { line, text: text.to_owned(), problem: p.into() }));
    }

    /// Counts a row that went in, or would.
    fn count(&mut self, one: &Prepared, already: bool) {
        if let (Some(label), false) = (&one.same, already) {
            *self.same_as_here.entry(label.clone()).or_default() += 1;
        }
        match &one.addressed.draft.fact {
            _ if one.row.is_some() && already => self.already += 1,
            Fact::RadonTested(_) => {
                self.tests += 1;
                self.not_valid += usize::from(!one.valid);
            }
            _ if one.row.is_some() => self.entries += 1,
            Fact::PropertyAdded(_) => self.properties += usize::from(!already),
            _ => self.sections += usize::from(!already),
        }
    }
}

/// Where rows come from, and when.
struct Source<'a> {
    context: &'a Context,
    zone: &'a str,
    all_or_nothing: bool,
    label: &'a str,
    dry_run: bool,
    today: NaiveDate,
    /// Of what has none in its row.
    day: NaiveDate,
}

/// A draft that its history takes, and the row it comes from.
struct Prepared {
    addressed: Addressed,
    row: Option<(u64, String)>,
    /// An entry with its id is in the ledger.
    already: bool,
    /// Of a test: that it meets the conditions of one.
    valid: bool,
    /// Another entry here says the same, with the label of the file it came from if it did.
    same: Option<Option<String>>,
}

impl Source<'_> {
    fn draft(&self, id: Uuid, on: When, fact: Fact) -> Draft {
        let remarks = Remarks { by: self.context.by.clone(), ..Remarks::default() };
        Draft { id, on, remarks, fact }
    }
}

/// An identifier that the same words always give.
fn named(words: &[&str]) -> Uuid {
    let mut hasher = Sha256::new();
    for word in words {
        hasher.update((word.len() as u64).to_be_bytes());
        hasher.update(word.as_bytes());
    }
    let digest: [u8; 32] = hasher.finalize().into();
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    Uuid::new_v8(bytes)
}
