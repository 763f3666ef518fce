//! `import json`: entries that were exported come into a ledger as they are, byte for byte.
//!
//! Chains are taken whole, many in one transaction. What is here already changes nothing, so a file that was broken off is
//! simply given again.

use std::fs::File;
use std::io::{BufRead, BufReader, Read};
use std::path::Path;

use serde::Deserialize;

use super::export::{files_beside, path_in};
use super::{Context, Error};
use crate::ledger::entry::{Body, Envelope, RawEntry};
use crate::ledger::hash::Hash;
use crate::store::{AppendError, Store, StoreError};

/// Entries written in one transaction; a longer chain is a transaction of its own.
const AT_A_TIME: usize = 20_000;

/// The longest line, in bytes; design figure of this program.
const LONGEST: u64 = 16 << 20;

/// What came in.
#[derive(Debug, Default)]
pub struct Imported {
    pub properties: u64,
    pub entries: u64,
    /// Properties that were here with all their entries.
    pub already: u64,
}

/// Why a line is not an entry.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LineError {
    #[error("line {line} is not an entry: {error}")]
    NotAnEntry { line: u64, error: String },
    #[error("the entries of property {property} do not stand together: some begin on line {line}")]
    Apart { line: u64, property: String },
}

/// A line as it was exported.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line {
    envelope: String,
    hash: Hash,
    #[serde(default)]
    body: Option<String>,
}

/// Takes in every chain of a file.
pub fn import(context: &Context, file: &Path, progress: &mut dyn FnMut(u64)) -> Result<Imported, Error> {
    let mut store = context.open()?;
    let unreadable = |e: &std::io::Error| {
        let error = match e.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            std::io::ErrorKind::InvalidData => "it is not text in UTF-8".to_owned(),
            _ => e.to_string(),
        };
        StoreError::File { path: file.to_owned(), error }
    };
    let text = File::open(file).map_err(|e| unreadable(&e))?;
    let mut text = BufReader::with_capacity(1 << 18, text);
    let mut batch = Batch { chains: Vec::new(), entries: 0, files: files_beside(file), imported: Imported::default() };
    let (mut line, mut number) = (String::new(), 0);
    let mut of = String::new();
    loop {
        line.clear();
        number += 1;
        if text.by_ref().take(LONGEST + 1).read_line(&mut line).map_err(|e| unreadable(&e))? == 0 {
            break;
        }
        let wrong = |error: String| Error::Entries(LineError::NotAnEntry { line: number, error });
        if line.len() as u64 > LONGEST {
            return Err(wrong("it is longer than 16 MiB".into()));
        }
        let read: Line = serde_json::from_str(&line).map_err(|e| wrong(e.to_string()))?;
        let property = property_of(&read.envelope).ok_or_else(|| wrong("it has no envelope".into()))?;
        if property != of {
            // The last chain is whole: another one begins.
            if batch.entries >= AT_A_TIME {
                batch.write(context, &mut store)?;
                progress(batch.imported.entries);
            }
            property.clone_into(&mut of);
            batch.chains.push((number, Vec::new()));
        }
        let (_, chain) = batch.chains.last_mut().expect("the first line begins a chain");
        chain.push(RawEntry { envelope: read.envelope, hash: read.hash, body: read.body });
        batch.entries += 1;
    }
    batch.write(context, &mut store)?;
    Ok(batch.imported)
}

/// Chains on their way, each with the line it begins on.
struct Batch {
    chains: Vec<(u64, Vec<RawEntry>)>,
    entries: usize,
    files: std::path::PathBuf,
    imported: Imported,
}

impl Batch {
    fn write(&mut self, context: &Context, store: &mut Store) -> Result<(), Error> {
        for (line, chain) in &self.chains {
            // One that does not begin with its first entry belongs behind one that was before it.
            let first = chain.first().and_then(|raw| Envelope::read(&raw.envelope).ok());
            if let Some(first) = first.filter(|first| first.seq != 1) {
                return Err(Error::Entries(LineError::Apart { line: *line, property: first.property.to_string() }));
            }
        }
        let chains: Vec<&[RawEntry]> = self.chains.iter().map(|(_, chain)| chain.as_slice()).collect();
        let before: Vec<u64> = chains.iter().map(|chain| here(store, chain)).collect::<Result<_, _>>()?;
        let put = self.put_files(store)?;
        match store.adopt_all(&chains, context.today_at(None)) {
            Ok(receipts) => {
                for (receipt, before) in receipts.iter().zip(before) {
                    self.imported.properties += u64::from(!receipt.already);
                    self.imported.already += u64::from(receipt.already);
                    self.imported.entries += receipt.seq - before.min(receipt.seq);
                }
            }
            Err((at, error)) => {
                store.drop_unused(&put);
                let line = self.chains.get(at).map_or(0, |(line, _)| *line);
                return Err(of_line(error, line));
            }
        }
        self.chains.clear();
        self.entries = 0;
        Ok(())
    }

    /// Puts in the files that entries name and that lie beside the import.
    fn put_files(&self, store: &Store) -> Result<Vec<crate::ledger::entry::Attachment>, Error> {
        let mut put = Vec::new();
        for raw in self.chains.iter().flat_map(|(_, chain)| chain) {
            let Some(body) = raw.body.as_ref().filter(|body| body.contains("\"sha256\"")) else { continue };
            // What does not read is refused with its reason when its chain is taken.
            let Ok(envelope) = Envelope::read(&raw.envelope) else { continue };
            let Ok(body) = Body::read(&envelope.kind, body) else { continue };
            for file in body.attachments() {
                let from = path_in(&self.files, file.sha256);
                if !store.file_path(file.sha256).exists() && from.is_file() {
                    put.push(store.put_file(&from)?);
                }
            }
        }
        Ok(put)
    }
}

/// How many entries of a chain's property are here.
fn here(store: &Store, chain: &[RawEntry]) -> Result<u64, Error> {
    let id = chain.first().and_then(|raw| property_of(&raw.envelope)).and_then(|id| id.parse().ok());
    let head = match id {
        Some(id) => store.head(id)?,
        None => None,
    };
    Ok(head.map_or(0, |(entries, _)| entries))
}

/// The identifier in an envelope, whose spelling is fixed; it is read in earnest when its chain is taken.
fn property_of(envelope: &str) -> Option<&str> {
    let (_, after) = envelope.split_once("\"property\":\"")?;
    after.split_once('"').map(|(id, _)| id)
}

/// An entry that its chain cannot take is of the line it stands on: the chain begins on `line`.
fn of_line(error: AppendError, line: u64) -> Error {
    match error {
        AppendError::Store(StoreError::BadEntry { entry, error }) => {
            let at = entry.rsplit('#').next().and_then(|n| n.parse::<u64>().ok()).map_or(line, |n| line + n - 1);
            Error::Entries(LineError::NotAnEntry { line: at, error })
        }
        other => other.into(),
    }
}
