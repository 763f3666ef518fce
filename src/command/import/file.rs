//! A CSV file as every import reads it: which column holds what, and each line with what makes it the same line again.

use std::collections::{BTreeMap, HashMap};
use std::path::Path;

use chrono::format::{Item, StrftimeItems};

use super::rows::{ImportError, RowProblem};
use crate::command::guarded::unguarded;

/// The lines of a file behind its header.
pub(super) struct File {
    header: csv::StringRecord,
    pub records: Vec<Record>,
}

/// A line of a file.
pub(super) struct Record {
    pub line: u64,
    /// As it stands in the file, as far as it reads.
    pub text: String,
    /// Which of its equals it is, counted from 0.
    pub ordinal: u64,
    pub cells: Result<csv::StringRecord, RowProblem>,
}

/// Which column holds what, as it was typed, and what can be held.
pub(super) struct Pairs<'a> {
    pub text: &'a str,
    pub of: &'static str,
    pub fields: Vec<String>,
    pub needed: &'a [&'static str],
}

/// Where each field stands in the file.
pub(super) struct Columns {
    of: BTreeMap<String, usize>,
    names: BTreeMap<String, String>,
}

impl File {
    /// Reads the header and every line.
    pub fn read(text: &str, path: &Path) -> Result<File, Vec<ImportError>> {
        let mut csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
        let not_csv = |e: csv::Error| vec![ImportError::NotCsv { path: path.to_owned(), error: e.to_string() }];
        let header = csv.headers().cloned().map_err(not_csv)?;
        if header.iter().all(str::is_empty) {
            return Err(vec![ImportError::Empty { path: path.to_owned() }]);
        }
        let width = header.len();
        let mut seen: HashMap<String, u64> = HashMap::new();
        let mut records = Vec::new();
        let mut last = 0;
        let mut lines = Lines { text: text.as_bytes(), at: 0, line: 1 };
        for record in csv.records() {
            let record = match record {
                Ok(record) => record,
                Err(error) => {
                    let line = error.position().map_or(0, |position| lines.of(position));
                    let cells = Err(RowProblem::NotCsv(error.to_string()));
                    records.push(Record { line, text: String::new(), ordinal: 0, cells });
                    continue;
                }
            };
            let line = record.position().map_or(0, |position| lines.of(position));
            let begins = record.position().and_then(|position| usize::try_from(position.byte()).ok());
            last = begins.unwrap_or(last);
            let text = record.iter().collect::<Vec<_>>().join(",");
            let ordinal = *seen.entry(text.clone()).and_modify(|n| *n += 1).or_insert(0);
            let found = record.len();
            let cells = if record.iter().any(|cell| cell.contains('\0')) {
                Err(RowProblem::Nul)
            } else if found == width {
                Ok(record)
            } else {
                Err(RowProblem::Fields { found, wanted: width })
            };
            records.push(Record { line, text, ordinal, cells });
        }
        if let Some(at) = open_quote(&text.as_bytes()[last..]) {
            let line = text.as_bytes()[..last + at].iter().filter(|b| **b == b'\n').count() as u64 + 1;
            return Err(vec![ImportError::OpenQuote { path: path.to_owned(), line }]);
        }
        Ok(File { header, records })
    }

    /// Finds the columns; what is wrong with them is added to `wrong`.
    pub fn columns(&self, pairs: &Pairs, path: &Path, wrong: &mut Vec<ImportError>) -> Option<Columns> {
        let before = wrong.len();
        let mut columns = Columns { of: BTreeMap::new(), names: BTreeMap::new() };
        for pair in pairs.text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
            let Some((field, column)) = pair.split_once('=').map(|(field, column)| (field.trim(), column.trim()))
            else {
                wrong.push(ImportError::NotAPair { pair: pair.to_owned() });
                continue;
            };
            if !pairs.fields.iter().any(|f| f == field) {
                let (field, of, fields) = (field.to_owned(), pairs.of, pairs.fields.clone());
                wrong.push(ImportError::NoField { field, of, fields });
                continue;
            }
            columns.names.insert(field.to_owned(), column.to_owned());
            let times = self.header.iter().filter(|name| *name == column).count();
            if times > 1 {
                wrong.push(ImportError::TwoColumns { column: column.to_owned(), path: path.to_owned(), times });
                continue;
            }
            match self.header.iter().position(|name| name == column) {
                Some(at) => {
                    columns.of.insert(field.to_owned(), at);
                }
                None => {
                    let header = self.header.iter().map(str::to_owned).collect();
                    wrong.push(ImportError::NoColumn { column: column.to_owned(), path: path.to_owned(), header });
                }
            }
        }
        let unsaid = pairs.needed.iter().copied().filter(|field| !columns.names.contains_key(*field));
        wrong.extend(unsaid.map(|field| ImportError::NoColumnFor { field, fields: pairs.fields.clone() }));
        (wrong.len() == before).then_some(columns)
    }
}

/// Where the quote stands that is still open at the end of the last record; the reader takes what follows it for one cell.
fn open_quote(record: &[u8]) -> Option<usize> {
    let (mut open, mut begins) = (None, true);
    let mut at = 0;
    while let Some(byte) = record.get(at) {
        match (byte, open) {
            (b'"', None) if begins => open = Some(at),
            (b'"', Some(_)) if record.get(at + 1) == Some(&b'"') => at += 1,
            (b'"', Some(_)) => open = None,
            _ => {}
        }
        begins = matches!(byte, b',' | b'\n' | b'\r') && open.is_none();
        at += 1;
    }
    open
}

/// Counts lines as people do: the reader's own count is one behind where lines end in two characters.
struct Lines<'a> {
    text: &'a [u8],
    at: usize,
    line: u64,
}

impl Lines<'_> {
    /// The line on which a record begins; records come in order.
    fn of(&mut self, position: &csv::Position) -> u64 {
        let to = usize::try_from(position.byte()).unwrap_or(usize::MAX).min(self.text.len());
        let blank = self.text[to..].iter().take_while(|b| matches!(b, b'\r' | b'\n')).count();
        let to = (to + blank).max(self.at);
        self.line += self.text[self.at..to].iter().filter(|b| **b == b'\n').count() as u64;
        self.at = to;
        self.line
    }
}

impl Columns {
    /// What a line has for a field; `None` where the cell is empty or no column holds it.
    pub fn cell<'r>(&self, record: &'r csv::StringRecord, field: &str) -> Option<&'r str> {
        let cell = self.of.get(field).and_then(|at| record.get(*at)).map(unguarded);
        cell.filter(|text| !text.is_empty())
    }

    /// What the column of a field is called.
    pub fn name(&self, field: &str) -> String {
        self.names.get(field).cloned().unwrap_or_default()
    }

    /// The fields that have a column.
    pub fn fields(&self) -> impl Iterator<Item = &str> {
        self.of.keys().map(String::as_str)
    }
}

/// A way of writing dates or times that does not read.
pub(super) fn check_format(flag: &'static str, format: &str, what: &'static str) -> Option<ImportError> {
    let bad = StrftimeItems::new(format).any(|item| matches!(item, Item::Error));
    bad.then(|| ImportError::NotAFormat { flag, format: format.to_owned(), what })
}
