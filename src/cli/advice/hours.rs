//! What to do about a monitor's file that cannot be taken.

use super::super::failure::Failure;
use super::super::given;
use crate::command::hours::HoursError;

/// Why a monitor's file cannot be taken, with what to do.
pub(super) fn of(error: &HoursError) -> Failure {
    use HoursError as H;
    let (code, given, attempt) = match error {
        H::NoColumn { flag, column, header, .. } => {
            (2, format!("{flag} {column}"), format!("its columns are {}", header.join(", ")))
        }
        H::WhichColumn { flag, header, .. } => {
            (2, given::typed(), format!("name it: `{flag} COLUMN`; its columns are {}", header.join(", ")))
        }
        H::NotCsv { .. } => {
            (1, given::typed(), "a header line with the names of the columns, then a row an hour".into())
        }
        H::NotATime { typed, format: None, .. } => (
            1,
            typed.clone(),
            "say how they are written: `--times \"%m/%d/%Y %H:%M\"` reads `03/01/2026 10:00`".into(),
        ),
        H::NotATime { typed, format: Some(format), .. } => {
            (1, typed.clone(), format!("`{format}` does not read it: make `--times` as the file has them"))
        }
        H::Coarse { path, .. } => (
            1,
            path.display().to_string(),
            "a record has a row an hour or finer; give the mean of the whole to `stemwall radon add`".into(),
        ),
        H::Separator { path, .. } => (1, path.display().to_string(), "save it with commas, and give it again".into()),
        H::Discard { hours } => (
            2,
            format!("--discard {hours}"),
            "4, 12 or more for a house closed late, 24 or more after a fan start; 0 where the monitor left them out itself"
                .into(),
        ),
        H::NotALevel { typed, unit, .. } => {
            (1, typed.clone(), format!("write it as in `4.2 {unit}`, or leave the cell empty"))
        }
        H::ClockFell { at, .. } => (
            1,
            at.to_string(),
            "have the monitor write the time of the house or standard time all through, and give the file again".into(),
        ),
        H::Empty { path } => (1, path.display().to_string(), "look whether it is the right file".into()),
        H::TooLong { path, .. } => (1, path.display().to_string(), "cut it into one file a test".into()),
    };
    Failure::new(code, error.to_string()).given(given).attempt(attempt)
}
