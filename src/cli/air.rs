//! What a logger's files come to, on a screen, and what to do about files that cannot be taken.

use std::io::Write;

use super::failure::Failure;
use super::given;
use super::output::line;
use super::words::counted;
use crate::command::air::Imported;
use crate::command::air::file::FileError;
use crate::quantity::Units;
use crate::trade::air_log::RowError;

/// The record in a few lines, before what was recorded of it.
pub fn imported(imported: &Imported, out: &mut dyn Write) -> Result<(), Failure> {
    let of = &imported.summary;
    let hours = counted(of.hours, "hour", "hours");
    let missing = match of.missing {
        0 => ", none missing".to_owned(),
        n => {
            let places = counted(of.gaps, "place", "places");
            format!(", {n} missing in {places} (the longest {} h)", of.longest_gap)
        }
    };
    line(out, format_args!("{hours} of record{missing}"))?;
    let (t, h) = (&of.temperature, &of.humidity);
    line(
        out,
        format_args!(
            "  air {} ({}), {:.1} to {:.1} C; humidity {}, {} to {}; {} at 80 % or more",
            t.mean.show(Units::Us),
            t.mean.show(Units::Metric),
            t.least.to_celsius(),
            t.most.to_celsius(),
            h.mean.show(Units::Us),
            h.least.show(Units::Us),
            h.most.show(Units::Us),
            counted(of.humid, "hour", "hours"),
        ),
    )
}

/// Why a logger's file cannot be taken, with what to do.
pub fn failure(error: &FileError) -> Failure {
    use FileError as F;
    let columns = |header: &[String]| format!("its columns are {}", header.join(", "));
    let (code, given, attempt): (u8, String, String) = match error {
        F::Unreadable { file, .. } => (1, file.clone(), "look at the path".into()),
        F::NotText { file, .. } => (1, file.clone(), "have the logger's program write CSV in UTF-8, and give it again".into()),
        F::NoColumn { flag, column, header, .. } => (2, format!("{flag} {column}"), columns(header)),
        F::WhichColumn { flag, header, .. } => (2, given::typed(), format!("name it with {flag}; {}", columns(header))),
        F::TwoColumns { column, .. } => (1, column.clone(), "give the columns names of their own in the first line".into()),
        F::NoUnit { column, .. } => (2, column.clone(), "add `--unit F` or `--unit C`".into()),
        F::MixedUnits { file, .. } => (1, file.clone(), "cut the file where the unit changes, and give each part by itself".into()),
        F::RowTooLong { file, .. } => {
            (1, file.clone(), "look for a quotation mark that is not closed, and whether it is the right file".into())
        }
        F::ShortRow { line, .. } => (1, format!("line {line}"), "mend the row, or take it out: a missing hour is kept as missing".into()),
        F::NotATime { typed, format: None, .. } => {
            (1, typed.clone(), "say how they are written, as in `--times \"%m/%d/%Y %H:%M\"`".into())
        }
        F::NotATime { typed, format: Some(format), .. } => {
            (1, typed.clone(), format!("`--times \"{format}\"` says how they are written"))
        }
        F::NotATemperature { typed, .. } => {
            (1, typed.clone(), "write it as in `61.5`, or leave the cell empty where the sensor gave none".into())
        }
        F::NotAHumidity { typed, .. } => {
            (1, typed.clone(), "write it as in `78.5`, or leave the cell empty where the sensor gave none".into())
        }
        F::Row { error: RowError::ClockFell { at, .. }, .. } => (
            1,
            at.to_string(),
            "a clock was set back, as in the night when summer time ends, or files overlap: keep the logger on standard time, cut \
             the doubled hour out, or give the files in order"
                .into(),
        ),
        F::Row { error: RowError::TooLong { .. }, line, .. } => {
            (1, format!("line {line}"), "look at the year; where it is right, give the years as files of their own".into())
        }
        F::Row { error: RowError::Temperature, line, .. } => {
            (1, format!("line {line}"), "look at the unit; leave the cell empty where the sensor failed".into())
        }
        F::Row { error: RowError::Humidity, line, .. } => {
            (1, format!("line {line}"), "look at the column; leave the cell empty where the sensor failed".into())
        }
        F::Empty { file } => (1, file.clone(), "look whether it is the right file, and at its columns".into()),
        F::Changed { file } => (1, file.clone(), "wait until the logger's program is done, and give it again".into()),
    };
    Failure::new(code, error.to_string()).given(given).attempt(attempt)
}
