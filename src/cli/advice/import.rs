//! Advice on what keeps a file from being imported, and each of its rows.

use super::{advice, subject};
use crate::cli::failure::Failure;
use crate::cli::given;
use crate::command::import::{ImportError, RowProblem, RowRefused};
use crate::quantity::QuantityKind;

/// Why a file cannot be imported, with what to do.
pub fn file(error: &ImportError) -> Failure {
    use ImportError as I;
    let columns = |attempt: String| (2, format!("--columns {}", given::after("--columns")), attempt);
    let (code, given, attempt) = match error {
        I::Utf16 { path } | I::NotUtf8 { path, .. } => {
            (1, path.display().to_string(), "save it as `CSV UTF-8` and import that".into())
        }
        I::TooLarge { path } => (
            1,
            path.display().to_string(),
            "leave --all-or-nothing away: rows that went in are known when the file comes again; `--dry-run` says before what would \
             be refused"
                .into(),
        ),
        I::NoDayReads { format, .. } => {
            (2, format!("--dates {format}"), "write how days stand in the file, as in `%d.%m.%Y`".into())
        }
        I::LongLine { path, .. } => (
            1,
            path.display().to_string(),
            "give a table: a header with the names of the columns, then a line a row".into(),
        ),
        I::OpenQuote { path, .. } => (
            1,
            path.display().to_string(),
            "close the quote, or take it away; a quote in a text is written twice".into(),
        ),
        I::NotCsv { path, .. } | I::Empty { path } => {
            (1, path.display().to_string(), "a header line with the names of the columns, then a line a test".into())
        }
        I::NotAPair { .. } => columns("write it as in `result=activity`".into()),
        I::NoField { fields, .. } | I::NoColumnFor { fields, .. } => {
            columns(format!("the fields are {}", fields.join(", ")))
        }
        I::TwoColumns { .. } => columns("give the columns names of their own in the first line".into()),
        I::NoColumn { header, .. } => {
            match header.first().and_then(|all| all.chars().find(|c| matches!(c, ';' | '\t'))) {
                Some(between) if header.len() == 1 => {
                    let between = if between == '\t' { "tabs" } else { "semicolons" };
                    columns(format!("its columns stand between {between}; save it with commas, as `CSV UTF-8`"))
                }
                _ => columns(format!("its columns are {}", header.join(", "))),
            }
        }
        I::NotAFormat { flag, format, what } => {
            let as_in = if *flag == "--dates" { "%Y-%m-%d" } else { "%H:%M" };
            (2, format!("{flag} {format}"), format!("write how {what} stand in the file, as in `{as_in}`"))
        }
    };
    Failure::new(code, error.to_string()).given(given).attempt(attempt)
}

/// A row that did not go in, with what to do about it.
pub fn row(refused: &RowRefused) -> Failure {
    use RowProblem as R;
    let of = |column: &str, typed: &str| format!("{column} {typed}");
    let (given, attempt) = match &refused.problem {
        R::NotCsv(_) => (refused.text.clone(), "mend the quotes in this line".into()),
        R::Fields { .. } => (refused.text.clone(), "quote a field that has a comma in it".into()),
        R::Empty { field, .. } => (refused.text.clone(), format!("every row needs its {field}")),
        R::NotAResult { column, typed, read_as, error } => {
            (of(column, typed), error.how_to_write(read_as, QuantityKind::Activity))
        }
        R::NotADate { column, typed, format } => {
            (of(column, typed), format!("`--dates {format}` says how they are written"))
        }
        R::NotATime { column, typed, format } => {
            (of(column, typed), format!("`--times {format}` says how they are written"))
        }
        R::NotAKey { column, typed, error } | R::NotASection { column, typed, error } => {
            (of(column, typed), subject(error))
        }
        R::NotAFinding { column, typed } => (of(column, typed), "findings are numbered from 1".into()),
        R::NotYesOrNo { column, typed } => (of(column, typed), "write yes or no, or leave the cell empty".into()),
        R::NoProperty { column, key } => (
            of(column, key),
            "`stemwall property add KEY --name TEXT` adds it, and `import csv --kind properties` many".into(),
        ),
        R::Photo { column, typed, .. } => {
            (of(column, typed), "put it into the folder of the file, under that name".into())
        }
        R::NoDay { column, typed } => (of(column, typed), "give the day in a column: `on=COLUMN`".into()),
        R::Nul => (refused.text.replace('\0', "NUL"), "take it out of this line".into()),
        R::Nothing | R::Flags(_) => (refused.text.clone(), "look at the cells of this line".into()),
        R::Refused(problem) => (refused.text.clone(), advice(problem)),
    };
    Failure::new(1, format!("line {}: {}", refused.line, refused.problem)).given(given).attempt(attempt)
}
