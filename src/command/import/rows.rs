//! From the lines of a survey's file to its rows, each read or refused by itself; and what can be wrong with any table.

use std::io::Read;
use std::path::{Path, PathBuf};

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime};
use uuid::Uuid;

use super::by_house::Line;
use super::file::{Columns, File, Pairs, check_format};
use super::{Imported, Radon, RowRefused, label_of, named};
use crate::command::Error;
use crate::ledger::kind::radon_tested::{Origin, RadonTested};
use crate::ledger::problem::Problem;
use crate::ledger::subject::{Name, SubjectError};
use crate::ledger::when::When;
use crate::quantity::{QuantityError, Typed};
use crate::store::StoreError;
use crate::trade::words::Device;

/// Why a file cannot be imported, or not as was asked.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ImportError {
    #[error("the file is in UTF-16, not UTF-8 (line 1)")]
    Utf16 { path: PathBuf },
    #[error("the file is not in UTF-8 (line {line})")]
    NotUtf8 { path: PathBuf, line: u64 },
    #[error("the file is not CSV: {error}")]
    NotCsv { path: PathBuf, error: String },
    #[error("the file is empty")]
    Empty { path: PathBuf },
    #[error("`{}` is larger than 64 MiB, which is the most that goes in whole or not at all", .path.display())]
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
    #[error("line {line} is longer than 16 MiB, which no line of a table is")]
    LongLine { path: PathBuf, line: u64 },
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

/// The house of a row, as its key; what is no key stays as it stands.
pub(super) fn house_of(columns: &Columns, asked: &Radon, cells: &csv::StringRecord) -> String {
    format!("{}{}", asked.prefix, as_name(columns.cell(cells, "property").unwrap_or_default()))
}

/// Finds the columns of a survey's table. Errors: everything that is wrong with them, and with how days are written.
pub(super) fn columns_of<R: Read>(file: &File<R>, asked: &Radon) -> Result<Columns, Error> {
    let fields = FIELDS.map(str::to_owned).to_vec();
    let pairs = Pairs { text: &asked.columns, of: "radon test", fields, needed: &NEEDED };
    let mut wrong = Vec::new();
    let columns = file.columns(&pairs, &mut wrong);
    for (flag, format, what) in [("--dates", &asked.dates, "dates"), ("--times", &asked.times, "times of day")] {
        wrong.extend(check_format(flag, format, what));
    }
    columns.filter(|_| wrong.is_empty()).ok_or(Error::Import(wrong))
}

/// All rows of a small table, house by house, and those that do not read; nothing is tried on a ledger.
pub fn all(table: impl Read, asked: &Radon, device: Device) -> Result<(Vec<Row>, Vec<RowRefused>), Error> {
    let file = File::read(table, &asked.file, Some(0))?;
    let columns = columns_of(&file, asked)?;
    let mut imported = Imported::default();
    let house = |cells: &csv::StringRecord| house_of(&columns, asked, cells);
    let waiting = file.by_house(Path::new("."), house, &mut imported, &mut |_, _| ())?;
    let mut rows = Vec::new();
    let mut take = |_: &str, _, lines: Vec<Line>| -> Result<(), Error> {
        rows.extend(read(
            lines,
            &columns,
            asked,
            device,
            &label_of(asked.label.as_deref(), &asked.file),
            &mut imported,
        ));
        Ok(())
    };
    waiting.each(&|error| StoreError::io(&asked.file, &error).into(), &mut take)?;
    Ok((rows, imported.refused))
}

/// Reads rows of a house; those that do not read are refused. `label` is what the file is called in the ledger.
pub(super) fn read(
    lines: Vec<Line>,
    columns: &Columns,
    asked: &Radon,
    device: Device,
    label: &str,
    imported: &mut Imported,
) -> Vec<Row> {
    let mut rows = Vec::with_capacity(lines.len());
    for Line { line, text, same, ordinal, cells } in lines {
        let id = named(&["row", label, &same, &ordinal.to_string()]);
        match row(&cells, columns, asked, device, Origin { label: label.to_owned(), line }) {
            Ok((key, section, test)) => rows.push(Row { line, text, id, key, section, test }),
            Err(problem) => imported.refuse_all(line, &text, [problem]),
        }
    }
    rows
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

    use super::{ImportError, all};
    use crate::command::Error;
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
            let (read, refused) = match all(text.as_bytes(), &asked(), Device::Other) {
                Ok(rows) => rows,
                Err(Error::Import(wrong)) => {
                    // Its columns are those asked for.
                    let open = matches!(wrong[..], [ImportError::OpenQuote { .. }]);
                    prop_assert!(open && text.contains('"'), "{wrong:?}");
                    return Ok(());
                }
                Err(other) => panic!("{other}"),
            };
            let mut ids: Vec<_> = read.iter().map(|row| row.id).collect();
            ids.sort();
            ids.dedup();
            prop_assert_eq!(ids.len(), read.len(), "each row is its own");
            let rows = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes()).into_records().count();
            prop_assert_eq!(read.len() + refused.len(), rows, "every row reads or is refused");
        }
    }
}
