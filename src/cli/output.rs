//! What every command writes with: a line, JSON, a list as it is read, a file that was not there.

use std::fmt::Arguments as Text;
use std::io::Write;

use serde_json::Value;

use super::failure::Failure;
use crate::store::StoreError;

/// Writes one line; a reader who has gone away ends the program quietly.
pub fn line(out: &mut dyn Write, text: Text<'_>) -> Result<(), Failure> {
    writeln!(out, "{text}").map_err(|error| written(&error))
}

/// What a failure to write to standard output ends in.
pub fn written(error: &std::io::Error) -> Failure {
    if error.kind() == std::io::ErrorKind::BrokenPipe {
        std::process::exit(0);
    }
    Failure::new(1, format!("standard output cannot be written: {error}"))
}

/// The same from inside a list that is read as it is written.
pub fn unwritten(error: &std::io::Error) -> StoreError {
    if error.kind() == std::io::ErrorKind::BrokenPipe {
        std::process::exit(0);
    }
    StoreError::Io { path: "standard output".into(), error: error.to_string() }
}

pub fn print_json(out: &mut dyn Write, value: &Value) -> Result<(), Failure> {
    line(out, format_args!("{value:#}"))
}

/// Writes the rows of a list as they come.
pub struct JsonList<'a> {
    out: &'a mut dyn Write,
    first: bool,
}

impl<'a> JsonList<'a> {
    pub fn new(out: &'a mut dyn Write) -> JsonList<'a> {
        JsonList { out, first: true }
    }

    pub fn push(&mut self, value: &Value) -> Result<(), StoreError> {
        let before = if std::mem::take(&mut self.first) { "[\n" } else { ",\n" };
        write!(self.out, "{before}{value}").map_err(|error| unwritten(&error))
    }

    pub fn end(self) -> Result<(), Failure> {
        let text = if self.first { "[]" } else { "\n]" };
        line(self.out, format_args!("{text}"))
    }
}

/// Writes a file where there is none.
pub fn write_new(path: &std::path::Path, text: &str) -> Result<(), StoreError> {
    let written = std::fs::File::create_new(path).and_then(|mut file| file.write_all(text.as_bytes()));
    written.map_err(|e| match e.kind() {
        std::io::ErrorKind::AlreadyExists => StoreError::AlreadyThere { path: path.to_owned() },
        _ => StoreError::Io { path: path.to_owned(), error: e.to_string() },
    })
}
