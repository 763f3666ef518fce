//! From the bytes of a survey's file to its rows, each read or refused by itself.

use std::collections::{BTreeMap, HashMap};
use std::path::{Path, PathBuf};

use chrono::format::{Item, StrftimeItems};
use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime};
use uuid::Uuid;

use super::{Radon, RowRefused, named};
use crate::ledger::kind::radon_tested::{Origin, RadonTested};
use crate::ledger::problem::Problem;
use crate::ledger::subject::{Name, SubjectError};
use crate::ledger::when::When;
use crate::quantity::{QuantityError, Typed};
use crate::trade::words::Device;

/// Why a file cannot be imported, or not as was asked.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ImportError {
    #[error("the file is in UTF-16, not UTF-8 (line 1)")]
    Utf16 { path: PathBuf },
    #[error("the file is not in UTF-8 (line {line})")]
    NotUtf8 { path: PathBuf, line: usize },
    #[error("the file is not CSV: {error}")]
    NotCsv { path: PathBuf, error: String },
    #[error("the file is empty")]
    Empty { path: PathBuf },
    #[error("`{pair}` does not say which column holds what")]
    NotAPair { pair: String },
    #[error("`{field}` is not a field of a radon test")]
    NoField { field: String },
    #[error("there is no column `{column}` in `{}`", .path.display())]
    NoColumn { column: String, path: PathBuf, header: Vec<String> },
    #[error("no column is given for `{field}`")]
    NoColumnFor { field: &'static str },
    #[error("`{format}` is not a way to write {what}")]
    NotAFormat { flag: &'static str, format: String, what: &'static str },
}

/// Why a row did not go in.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RowProblem {
    #[error("{0}")]
    NotCsv(String),
    #[error("it has {found} fields, the header has {wanted}")]
    Fields { found: usize, wanted: usize },
    #[error("column `{column}` is empty")]
    Empty { column: String, field: &'static str },
    #[error("the result is not a radon concentration")]
    NotAResult { column: String, typed: String, read_as: String, error: QuantityError },
    #[error("`{typed}` is not a date")]
    NotADate { column: String, typed: String, format: String },
    #[error("`{typed}` is not a time of day")]
    NotATime { column: String, typed: String, format: String },
    #[error("{error}")]
    NotAKey { column: String, typed: String, error: SubjectError },
    #[error("{error}")]
    NotASection { column: String, typed: String, error: SubjectError },
    /// It reads well and does not fit the ledger.
    #[error(transparent)]
    Refused(#[from] Problem),
}

/// What a column can hold.
pub const FIELDS: [&str; 7] = ["property", "result", "started", "started-time", "ended", "ended-time", "section"];
/// What a row cannot be without.
const NEEDED: [&str; 3] = ["property", "result", "started"];

/// Where each field stands in the file.
struct Columns {
    of: BTreeMap<&'static str, usize>,
    names: BTreeMap<&'static str, String>,
}

/// A row as read, on its way to its property.
pub struct Row {
    pub line: u64,
    /// As it stands in the file.
    pub text: String,
    pub id: Uuid,
    pub key: Name,
    pub section: Name,
    pub test: RadonTested,
}

/// What a file holds: rows that read, rows that do not.
#[derive(Default)]
pub struct Rows {
    pub count: usize,
    pub read: Vec<Row>,
    pub refused: Vec<RowRefused>,
}

/// The text of a file that has to be in UTF-8.
pub fn utf8<'a>(bytes: &'a [u8], path: &Path) -> Result<&'a str, ImportError> {
    let path = path.to_owned();
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(ImportError::Utf16 { path });
    }
    let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
        ImportError::NotUtf8 { path, line }
    })
}

/// Reads every row; `label` is what the file is called in the ledger.
pub fn read(text: &str, asked: &Radon, device: Device, label: &str) -> Result<Rows, Vec<ImportError>> {
    let mut csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let header = csv
        .headers()
        .cloned()
        .map_err(|error| vec![ImportError::NotCsv { path: asked.file.clone(), error: error.to_string() }])?;
    if header.iter().all(str::is_empty) {
        return Err(vec![ImportError::Empty { path: asked.file.clone() }]);
    }
    let columns = columns(asked, &header)?;
    let width = header.len();
    let mut seen: HashMap<String, u64> = HashMap::new();
    let mut rows = Rows::default();
    for record in csv.records() {
        rows.count += 1;
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                let problem = RowProblem::NotCsv(error.to_string());
                rows.refused.push(RowRefused { line, text: String::new(), problem });
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let text = record.iter().collect::<Vec<_>>().join(",");
        let ordinal = seen.entry(text.clone()).and_modify(|n| *n += 1).or_insert(0);
        let id = named(&["row", label, &text, &ordinal.to_string()]);
        let read = if record.len() == width {
            row(&record, &columns, asked, device, Origin { label: label.to_owned(), line })
        } else {
            Err(RowProblem::Fields { found: record.len(), wanted: width })
        };
        match read {
            Ok((key, section, test)) => rows.read.push(Row { line, text, id, key, section, test }),
            Err(problem) => rows.refused.push(RowRefused { line, text, problem }),
        }
    }
    Ok(rows)
}

fn columns(asked: &Radon, header: &csv::StringRecord) -> Result<Columns, Vec<ImportError>> {
    let mut columns = Columns { of: BTreeMap::new(), names: BTreeMap::new() };
    let mut wrong = Vec::new();
    for pair in asked.columns.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let Some((field, column)) = pair.split_once('=').map(|(field, column)| (field.trim(), column.trim())) else {
            wrong.push(ImportError::NotAPair { pair: pair.to_owned() });
            continue;
        };
        let Some(field) = FIELDS.iter().find(|f| **f == field) else {
            wrong.push(ImportError::NoField { field: field.to_owned() });
            continue;
        };
        columns.names.insert(field, column.to_owned());
        match header.iter().position(|name| name == column) {
            Some(at) => {
                columns.of.insert(field, at);
            }
            None => {
                let header = header.iter().map(str::to_owned).collect();
                wrong.push(ImportError::NoColumn { column: column.to_owned(), path: asked.file.clone(), header });
            }
        }
    }
    let unsaid = NEEDED.into_iter().filter(|field| !columns.names.contains_key(field));
    wrong.extend(unsaid.map(|field| ImportError::NoColumnFor { field }));
    for (flag, format, what) in [("--dates", &asked.dates, "dates"), ("--times", &asked.times, "times of day")] {
        if StrftimeItems::new(format).any(|item| matches!(item, Item::Error)) {
            wrong.push(ImportError::NotAFormat { flag, format: format.clone(), what });
        }
    }
    if wrong.is_empty() { Ok(columns) } else { Err(wrong) }
}

fn row(
    record: &csv::StringRecord,
    columns: &Columns,
    asked: &Radon,
    device: Device,
    origin: Origin,
) -> Result<(Name, Name, RadonTested), RowProblem> {
    let field = |name: &str| columns.of.get(name).and_then(|at| record.get(*at)).filter(|text| !text.is_empty());
    let column = |name: &str| columns.names.get(name).cloned().unwrap_or_default();
    let needed =
        |name: &'static str| field(name).ok_or_else(|| RowProblem::Empty { column: column(name), field: name });

    let number = needed("property")?;
    let key = Name::parse(&format!("{}{}", asked.prefix, as_name(number))).map_err(|error| RowProblem::NotAKey {
        column: column("property"),
        typed: number.to_owned(),
        error,
    })?;
    let floor = field("section").unwrap_or("unknown");
    let section = Name::parse(&format!("floor-{}", as_name(floor))).map_err(|error| RowProblem::NotASection {
        column: column("section"),
        typed: floor.to_owned(),
        error,
    })?;

    let typed = needed("result")?;
    let bare = typed.trim_start_matches('<').trim();
    let plain =
        !bare.is_empty() && bare.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'E' | b'-' | b'+'));
    let read_as = if plain { format!("{bare} pCi/L") } else { bare.to_owned() };
    let result = Typed::parse(&read_as).map_err(|error| RowProblem::NotAResult {
        column: column("result"),
        typed: typed.to_owned(),
        read_as: read_as.clone(),
        error,
    })?;

    let moment = |day: &str, time: &str| -> Result<Option<When>, RowProblem> {
        let Some(typed) = field(day) else { return Ok(None) };
        let date = NaiveDate::parse_from_str(typed, &asked.dates).ok().filter(|d| (1800..2200).contains(&d.year()));
        let date = date.ok_or_else(|| RowProblem::NotADate {
            column: column(day),
            typed: typed.to_owned(),
            format: asked.dates.clone(),
        })?;
        let Some(typed) = field(time) else { return Ok(Some(When::day(date))) };
        let time_of_day = NaiveTime::parse_from_str(typed, &asked.times).map_err(|_| RowProblem::NotATime {
            column: column(time),
            typed: typed.to_owned(),
            format: asked.times.clone(),
        })?;
        Ok(Some(When::at(NaiveDateTime::new(date, time_of_day))))
    };
    let started = moment("started", "started-time")?
        .ok_or_else(|| RowProblem::Empty { column: column("started"), field: "started" })?;
    let ended = moment("ended", "ended-time")?;
    let test = RadonTested {
        section: section.clone(),
        device,
        result,
        below: typed.starts_with('<'),
        started,
        ended: Some(ended.unwrap_or(started)),
        lasted: None,
        closed: None,
        room: None,
        level: None,
        placed_by: None,
        lab: None,
        beside: None,
        missing_hours: None,
        observed: Vec::new(),
        origin: Some(origin),
    };
    Ok((key, section, test))
}

/// A cell as part of a name.
fn as_name(cell: &str) -> String {
    cell.to_lowercase().replace([' ', '_', '/'], "-")
}

#[cfg(test)]
mod tests {
    use clap::{Args, Command, FromArgMatches};
    use proptest::prelude::{Strategy, any, prop, prop_assert_eq, prop_oneof, proptest};

    use super::{read, utf8};
    use crate::command::import::Radon;
    use crate::trade::words::Device;

    fn asked() -> Radon {
        let line = ["import", "f.csv", "--columns", "property=a,result=b,started=c,started-time=d,ended=e,section=f"];
        let matches = Radon::augment_args(Command::new("import")).get_matches_from(line);
        Radon::from_arg_matches(&matches).expect("the line reads")
    }

    proptest! {
        #[test]
        fn every_row_of_any_file_reads_or_is_refused(body in prop_oneof![
            any::<String>(),
            prop::collection::vec(
                "(7|home 7|\\PC{0,4}),(4|<0.4|1e400|-1|nan|4 Bq/m3|\"4)?,(2025-01-0[1-9]|2025-02-30|9{1,6}-1-1)?,                 (0[0-9]:00|24:00)?,(2025-01-1[0-9])?,(0|cellar|)",
                0..6,
            ).prop_map(|rows| rows.join("\n")),
        ]) {
            let text = format!("a,b,c,d,e,f\n{body}");
            let rows = read(&text, &asked(), Device::Other, "f.csv").expect("its columns are those asked for");
            prop_assert_eq!(rows.read.len() + rows.refused.len(), rows.count);
        }

        #[test]
        fn bytes_are_text_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let read = utf8(&bytes, std::path::Path::new("f.csv"));
            let plain = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
            let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
            prop_assert_eq!(read.ok(), std::str::from_utf8(plain).ok().filter(|_| !utf16));
        }
    }
}
