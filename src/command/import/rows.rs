//! From the bytes of a survey's file to its rows, each read or refused by itself.

use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime};
use uuid::Uuid;

use super::file::{Columns, File, Pairs, Record, check_format};
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
    #[error("`{}` is larger than 64 MiB, which is the most that is read at once", .path.display())]
    TooLarge { path: PathBuf },
    #[error("`{pair}` does not say which column holds what")]
    NotAPair { pair: String },
    #[error("`{field}` is not a field of a {of}")]
    NoField { field: String, of: &'static str, fields: Vec<String> },
    #[error("there is no column `{column}` in `{}`", .path.display())]
    NoColumn { column: String, path: PathBuf, header: Vec<String> },
    #[error("`{}` has {times} columns `{column}`", .path.display())]
    TwoColumns { column: String, path: PathBuf, times: usize },
    #[error("no column is given for `{field}`")]
    NoColumnFor { field: &'static str, fields: Vec<String> },
    #[error("`{format}` is not a way to write {what}")]
    NotAFormat { flag: &'static str, format: String, what: &'static str },
    #[error("no date of the {rows} rows is written as in `{format}`; the first is `{first}`")]
    NoDayReads { format: String, first: String, rows: usize },
    #[error("a quote that is opened on line {line} is never closed, so all behind it would be one cell")]
    OpenQuote { path: PathBuf, line: u64 },
}

/// Why a row did not go in.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RowProblem {
    #[error("{0}")]
    NotCsv(String),
    #[error("there is a NUL character in it, which no text has")]
    Nul,
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
    #[error("`{typed}` is not the number of a finding")]
    NotAFinding { column: String, typed: String },
    #[error("`{typed}` is neither yes nor no")]
    NotYesOrNo { column: String, typed: String },
    #[error("property `{key}` is not in this ledger")]
    NoProperty { column: String, key: String },
    #[error("no column gives its day, and the photograph `{typed}` does not say when it was taken")]
    NoDay { column: String, typed: String },
    #[error("the photograph `{typed}` cannot be taken: {error}")]
    Photo { column: String, typed: String, error: String },
    #[error("there is nothing to record in it")]
    Nothing,
    /// What the cells say does not go together, as the command line would have it.
    #[error("{0}")]
    Flags(String),
    /// It reads well and does not fit the ledger.
    #[error(transparent)]
    Refused(#[from] Problem),
}

/// What a column can hold.
pub const FIELDS: [&str; 7] = ["property", "result", "started", "started-time", "ended", "ended-time", "section"];
/// What a row cannot be without.
const NEEDED: [&str; 3] = ["property", "result", "started"];

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
    let file = File::read(text, &asked.file)?;
    let mut wrong = Vec::new();
    let pairs =
        Pairs { text: &asked.columns, of: "radon test", fields: FIELDS.map(str::to_owned).to_vec(), needed: &NEEDED };
    let columns = file.columns(&pairs, &asked.file, &mut wrong);
    for (flag, format, what) in [("--dates", &asked.dates, "dates"), ("--times", &asked.times, "times of day")] {
        wrong.extend(check_format(flag, format, what));
    }
    let Some(columns) = columns.filter(|_| wrong.is_empty()) else { return Err(wrong) };
    let mut rows = Rows { count: file.records.len(), ..Rows::default() };
    for Record { line, text, ordinal, cells } in file.records {
        let id = named(&["row", label, &text, &ordinal.to_string()]);
        let read =
            cells.and_then(|cells| row(&cells, &columns, asked, device, Origin { label: label.to_owned(), line }));
        match read {
            Ok((key, section, test)) => rows.read.push(Row { line, text, id, key, section, test }),
            Err(problem) => rows.refused.push(RowRefused { line, text, problem }),
        }
    }
    Ok(rows)
}

fn row(
    record: &csv::StringRecord,
    columns: &Columns,
    asked: &Radon,
    device: Device,
    origin: Origin,
) -> Result<(Name, Name, RadonTested), RowProblem> {
    let field = |name: &str| columns.cell(record, name);
    let column = |name: &str| columns.name(name);
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
        stood: None,
        left_out: None,
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
    use proptest::prelude::{Strategy, any, prop, prop_assert, prop_assert_eq, prop_oneof, proptest};

    use super::{ImportError, read, utf8};
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
            let rows = match read(&text, &asked(), Device::Other, "f.csv") {
                Ok(rows) => rows,
                Err(wrong) => {
                    // Its columns are those asked for.
                    let open = matches!(wrong[..], [ImportError::OpenQuote { .. }]);
                    prop_assert!(open && text.contains('"'), "{wrong:?}");
                    return Ok(());
                }
            };
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
