//! A CSV file as every import reads it, line by line: which column holds what, and each line with its cells.

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use chrono::format::{Item, StrftimeItems};

use super::by_house::ByHouse;
use super::rows::{ImportError, RowProblem};
use super::watched::{Fault, Watched};
use super::{Imported, RowRefused};
use crate::command::Error;
use crate::command::guarded::unguarded;
use crate::store::StoreError;

/// The largest table that goes in whole or not at all, in bytes: all of it is in memory; design figure of this program.
pub(super) const MOST_WHOLE: u64 = 64 << 20;

/// The lines of a file behind its header.
pub(in crate::command) struct File<R> {
    path: PathBuf,
    header: csv::StringRecord,
    csv: csv::Reader<Watched<R>>,
    /// Bytes; `None` where nobody knows, as of a pipe.
    length: Option<u64>,
}

/// A line of a file.
pub(in crate::command) struct Record {
    pub line: u64,
    /// What reads of it.
    pub cells: csv::StringRecord,
    pub problem: Option<RowProblem>,
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

/// Opens a table; one that goes in `whole` or not at all may only be so large.
pub(in crate::command) fn open(path: &Path, whole: bool) -> Result<File<fs::File>, Error> {
    let unreadable = |e: std::io::Error| {
        let error =
            if e.kind() == std::io::ErrorKind::NotFound { "there is no such file".into() } else { e.to_string() };
        Error::Store(StoreError::File { path: path.to_owned(), error })
    };
    let file = fs::File::open(path).map_err(unreadable)?;
    let about = file.metadata().map_err(unreadable)?;
    let length = about.is_file().then_some(about.len());
    if whole && length.is_some_and(|length| length > MOST_WHOLE) {
        return Err(Error::Import(vec![ImportError::TooLarge { path: path.to_owned() }]));
    }
    File::read(file, path, length)
}

impl<R: Read> File<R> {
    /// Reads the header.
    pub fn read(from: R, path: &Path, length: Option<u64>) -> Result<File<R>, Error> {
        let unread = |e: std::io::Error| StoreError::File { path: path.to_owned(), error: e.to_string() };
        let watched = Watched::new(from).map_err(unread)?;
        let csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(watched);
        let mut file = File { path: path.to_owned(), header: csv::StringRecord::new(), csv, length };
        match file.csv.headers().cloned() {
            Ok(header) => file.header = header,
            Err(error) => return Err(file.broken(error)),
        }
        if file.header.iter().all(str::is_empty) {
            return Err(Error::Import(vec![ImportError::Empty { path: path.to_owned() }]));
        }
        Ok(file)
    }

    /// The names of the columns.
    pub fn header(&self) -> &csv::StringRecord {
        &self.header
    }

    /// The next line; `None` behind the last.
    pub fn next(&mut self) -> Result<Option<Record>, Error> {
        let mut cells = csv::StringRecord::new();
        let read = self.csv.read_record(&mut cells);
        let byte = match &read {
            Ok(false) => return Ok(None),
            Ok(true) => cells.position().map_or(0, csv::Position::byte),
            Err(error) => error.position().map_or(0, csv::Position::byte),
        };
        let problem = match read {
            Err(error) if error.is_io_error() => return Err(self.broken(error)),
            Err(error) => Some(RowProblem::NotCsv(error.to_string())),
            Ok(_) if cells.iter().any(|cell| cell.contains('\0')) => Some(RowProblem::Nul),
            Ok(_) if cells.len() != self.header.len() => {
                Some(RowProblem::Fields { found: cells.len(), wanted: self.header.len() })
            }
            Ok(_) => None,
        };
        Ok(Some(Record { line: self.csv.get_mut().line_of(byte), cells, problem }))
    }

    /// Lets every line wait with those of its house, in `folder` where there are many; the others are refused.
    pub(super) fn by_house(
        mut self,
        folder: &Path,
        house: impl Fn(&csv::StringRecord) -> String,
        imported: &mut Imported,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<ByHouse, Error> {
        let io = |e: std::io::Error| Error::Store(StoreError::io(folder, &e));
        let mut out = ByHouse::new(folder, self.length).map_err(io)?;
        while let Some(Record { line, cells, problem }) = self.next()? {
            imported.rows += 1;
            match problem {
                None => out.put(&house(&cells), line, &cells).map_err(io)?,
                Some(problem) => imported.refuse(RowRefused { line, text: text_of(&cells), problem }),
            }
            if imported.rows.is_multiple_of(10_000) {
                let read = self.csv.position().byte();
                progress(read, self.length.unwrap_or(read));
            }
        }
        Ok(out)
    }

    /// What is wrong with the whole file.
    fn broken(&mut self, error: csv::Error) -> Error {
        let path = self.path.clone();
        let fault = match self.csv.get_ref().fault.clone() {
            Some(Fault::Utf16) => ImportError::Utf16 { path },
            Some(Fault::NotUtf8 { line }) => ImportError::NotUtf8 { path, line },
            Some(Fault::OpenQuote { line }) => ImportError::OpenQuote { path, line },
            Some(Fault::LongLine { line }) => ImportError::LongLine { path, line },
            None if error.is_io_error() => return StoreError::File { path, error: error.to_string() }.into(),
            None => ImportError::NotCsv { path, error: error.to_string() },
        };
        Error::Import(vec![fault])
    }

    /// Finds the columns; what is wrong with them is added to `wrong`.
    pub(super) fn columns(&self, pairs: &Pairs, wrong: &mut Vec<ImportError>) -> Option<Columns> {
        let path = &self.path;
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

/// A row as it stands in the file, as far as it reads.
fn text_of(cells: &csv::StringRecord) -> String {
    cells.iter().collect::<Vec<_>>().join(",")
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
