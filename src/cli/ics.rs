//! A calendar to a file, or to standard output.

use std::io::Write;
use std::path::Path;

use super::failure::Failure;
use super::output::{line, written};
use super::words::counted;
use crate::command::ics::{DueCalendar, put};

/// Writes a calendar; `-` is standard output.
pub fn write(calendar: &DueCalendar, to: &Path, out: &mut dyn Write) -> Result<(), Failure> {
    if to == Path::new("-") {
        return out.write_all(calendar.text.as_bytes()).map_err(|error| written(&error));
    }
    put(calendar, to)?;
    let to_dos = counted(calendar.to_dos, "thing to do", "things to do");
    let visits = counted(calendar.visits, "visit", "visits");
    let what = if calendar.to_dos == 0 && calendar.visits > 0 { visits } else { format!("{to_dos}, {visits}") };
    line(out, format_args!("wrote {}: {what}", to.display()))
}
