//! Whether a ledger file is whole: how many of its pages are there, and which entry is the first that is not.

use std::fs::File;
use std::io::{ErrorKind, Read};
use std::path::Path;

use rusqlite::Connection;

use super::open;
use super::read::{each_stored_entry, whole};

/// Bytes of the header of a database file, and what it begins with. Source: SQLite, "Database File Format", 1.3.
const HEADER: usize = 100;
const MAGIC: &[u8; 16] = b"SQLite format 3\0";

/// What is missing of a ledger that was cut short; `None` where nothing can be said, or the file is none.
///
/// While a log lies beside it, the file may be behind what it says of itself, and SQLite knows better.
pub(super) fn what_is_missing(path: &Path) -> Option<String> {
    if std::fs::metadata(open::log_of(path)).is_ok_and(|log| log.len() > 0) {
        return None;
    }
    let mut file = File::open(path).ok()?;
    let mut header = Vec::with_capacity(HEADER);
    // The header first: a file that another program makes longer meanwhile is not cut short.
    match file.by_ref().take(HEADER as u64).read_to_end(&mut header) {
        Err(error) if error.kind() != ErrorKind::Interrupted => return None,
        _ => {}
    }
    let there = file.metadata().ok()?.len();
    if header.is_empty() {
        return Some("it is empty".to_owned());
    }
    let begun = header.len().min(MAGIC.len());
    if header[..begun] != MAGIC[..begun] {
        return None;
    }
    if header.len() < HEADER {
        return Some(format!("it is cut short: {there} bytes are there, less than its header"));
    }
    let of_two = |at: usize| u64::from(u16::from_be_bytes([header[at], header[at + 1]]));
    let of_four = |at: usize| u32::from_be_bytes([header[at], header[at + 1], header[at + 2], header[at + 3]]);
    // Page size, pages, and whether the number of pages is that of the last change.
    let page = if of_two(16) == 1 { 65_536 } else { of_two(16) };
    let should = page * u64::from(of_four(28));
    if of_four(24) != of_four(92) || there >= should {
        return None;
    }
    let first = first_unreadable(path)
        .map_or(String::new(), |entry| format!("; the first entry that cannot be read is {entry}"));
    Some(format!("it is cut short: {there} of {should} bytes are there{first}"))
}

/// The first entry of what is left that cannot be read, where the chains themselves can.
fn first_unreadable(path: &Path) -> Option<String> {
    let connection = open::cut_short(path)?;
    let chains = chains(&connection);
    for (number, length) in chains {
        let mut read = 0;
        let stopped = each_stored_entry(&connection, number, &mut |_| read += 1).is_err();
        if stopped || read < length {
            let key = connection.query_row(include_str!("sql/key_of_chain.sql"), [number], |r| r.get::<_, String>(0));
            let key = key.unwrap_or_else(|_| if number == 0 { "ledger".into() } else { format!("chain-{number}") });
            return Some(format!("`{key}#{}`", read + 1));
        }
    }
    None
}

/// Chains and how many entries each has, up to the first that cannot be read.
fn chains(connection: &Connection) -> Vec<(i64, u64)> {
    let mut all = Vec::new();
    let mut read = || -> rusqlite::Result<()> {
        let mut statement = connection.prepare(include_str!("sql/chains.sql"))?;
        let mut rows = statement.query([])?;
        while let Some(row) = rows.next()? {
            all.push((row.get(0)?, whole(row, 2)?));
        }
        Ok(())
    };
    // What was read before it stopped is what there is.
    let _ = read();
    all
}
