//! A calendar to a file, or to standard output.

use std::io::{ErrorKind, Read, Write};
use std::path::Path;

use super::failure::Failure;
use super::run::{line, written};
use super::words::counted;
use crate::command::ics::DueCalendar;
use crate::store::StoreError;

/// How every calendar begins.
const HEAD: &[u8] = b"BEGIN:VCALENDAR";

/// Writes a calendar; `-` is standard output. A file is replaced as a whole, and only where a calendar stood before:
/// a feed is written again and again.
pub fn write(calendar: &DueCalendar, to: &Path, out: &mut dyn Write) -> Result<(), Failure> {
    if to == Path::new("-") {
        return out.write_all(calendar.text.as_bytes()).map_err(|error| written(&error));
    }
    let refused = |error: std::io::Error| StoreError::Io { path: to.to_owned(), error: error.to_string() };
    match starts_with_head(to) {
        Ok(true) => {}
        Ok(false) => {
            let failure = Failure::new(1, format!("`{}` is not a calendar, and is not overwritten", to.display()));
            let attempt = "name a calendar that was written before, or a path where there is nothing yet";
            return Err(failure.given(to.display().to_string()).attempt(attempt));
        }
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(refused(error).into()),
    }
    let folder = to.parent().filter(|folder| *folder != Path::new("")).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(StoreError::NoFolder { path: folder.to_owned() }.into());
    }
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(refused)?;
    file.write_all(calendar.text.as_bytes()).map_err(refused)?;
    file.persist(to).map_err(|error| refused(error.error))?;
    let to_dos = counted(calendar.to_dos, "thing to do", "things to do");
    let visits = counted(calendar.visits, "visit", "visits");
    let what = if calendar.to_dos == 0 && calendar.visits > 0 { visits } else { format!("{to_dos}, {visits}") };
    line(out, format_args!("wrote {}: {what}", to.display()))
}

fn starts_with_head(path: &Path) -> std::io::Result<bool> {
    let mut head = Vec::new();
    std::fs::File::open(path)?.take(HEAD.len() as u64).read_to_end(&mut head)?;
    Ok(head.is_empty() || head == HEAD)
}
