//! `export`: everything out again, as tables for people, as entries for programs, as a copy for any SQLite client.

use std::fs::File;
use std::io::{BufWriter, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};

use serde::Serialize;
use uuid::Uuid;

use super::guarded::guarded;
use super::{Context, Error};
use crate::ledger::fold::Recorded;
use crate::ledger::hash::Hash;
use crate::store::{Cell, EXPORTED, Exported, Store, StoreError, Stored};

/// So that a spreadsheet reads UTF-8 as what it is.
const MARK: &[u8] = b"\xef\xbb\xbf";
/// What is written at once.
const BUFFER: usize = 1 << 18;

/// What was written.
#[derive(Debug, Default)]
pub struct Out {
    /// A name and how many rows or entries.
    pub counted: Vec<(String, u64)>,
    pub files: u64,
}

/// A line of the JSON Lines: an entry's bytes as texts. What the dossier's entries are, without what is left out of those.
#[derive(Serialize)]
struct Line<'a> {
    envelope: &'a str,
    hash: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    body: Option<&'a str>,
}

/// One CSV file (RFC 4180) a table, in a folder that is not there yet.
pub fn csv(context: &Context, key: Option<&str>, to: &Path) -> Result<Out, Error> {
    let (store, property) = of(context, key)?;
    absent(to)?;
    let made = std::fs::DirBuilder::new().mode(0o700).create(to);
    made.map_err(|e| io(to, &e))?;
    let mut out = Out::default();
    for table in EXPORTED {
        let rows = table_to(&store, table, property, &to.join(format!("{}.csv", table.name)));
        match rows {
            Ok(rows) => out.counted.push((table.name.replace('_', " "), rows)),
            Err(error) => {
                let _ = std::fs::remove_dir_all(to);
                return Err(error);
            }
        }
    }
    Ok(out)
}

fn table_to(store: &Store, table: &Exported, property: Option<Uuid>, path: &Path) -> Result<u64, Error> {
    let mut file = new(path)?;
    file.write_all(MARK).map_err(|e| io(path, &e))?;
    let writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(file);
    let writer = std::cell::RefCell::new(writer);
    let failed = |e: csv::Error| Error::Store(io(path, &std::io::Error::other(e)));
    let mut rows = 0;
    store.export_table(
        table,
        property,
        &mut |columns| writer.borrow_mut().write_record(columns).map_err(failed),
        &mut |cells| {
            rows += 1;
            let mut writer = writer.borrow_mut();
            for cell in cells {
                match cell {
                    Cell::Nothing => writer.write_field(""),
                    Cell::Whole(n) => writer.write_field(n.to_string()),
                    Cell::Number(n) => writer.write_field(n.to_string()),
                    Cell::Text(text) => writer.write_field(guarded(text).as_bytes()),
                }
                .map_err(failed)?;
            }
            writer.write_record(None::<&[u8]>).map_err(failed)
        },
    )?;
    let file = writer.into_inner().into_inner().map_err(|e| io(path, e.error()))?;
    done(path, file)?;
    Ok(rows)
}

/// JSON Lines: every entry with its hash, in a file that is not there yet; the files that entries name go beside it.
pub fn json(context: &Context, key: Option<&str>, to: &Path) -> Result<Out, Error> {
    let (store, property) = of(context, key)?;
    let beside = files_beside(to);
    absent(to)?;
    absent(&beside)?;
    let mut file = new(to)?;
    let mut entries = 0;
    let mut files: Vec<Hash> = Vec::new();
    let write = store.export_entries(property, &mut |stored: Stored| {
        entries += 1;
        // Few entries name a file, and only those are read.
        if stored.body.is_some_and(|body| body.contains("\"sha256\"")) {
            files.extend(named(&stored)?);
        }
        let hash = stored.hash.to_hex();
        let line = Line { envelope: stored.envelope, hash: &hash, body: stored.body };
        serde_json::to_writer(&mut file, &line).map_err(|e| io(to, &e.into()))?;
        file.write_all(b"\n").map_err(|e| Error::Store(io(to, &e)))
    });
    let written = write.and_then(|()| done(to, file)).and_then(|()| copy_files(&store, files, &beside));
    match written {
        Ok(files) => Ok(Out { counted: vec![("entries".into(), entries)], files }),
        Err(error) => {
            let _ = std::fs::remove_file(to);
            let _ = std::fs::remove_dir_all(&beside);
            Err(error)
        }
    }
}

/// A copy of the ledger that any SQLite client reads, with its files beside it.
pub fn sqlite(context: &Context, key: Option<&str>, to: &Path) -> Result<Out, Error> {
    let (store, property) = of(context, key)?;
    if let Some(id) = property {
        let report = super::hand_over::copy(context, &store, to, &store.raw_entries(id)?)?;
        return Ok(Out { counted: vec![("entries".into(), report.entries)], files: report.files });
    }
    let beside = files_beside(to);
    absent(to)?;
    absent(&beside)?;
    let mut entries = 0;
    let mut files: Vec<Hash> = Vec::new();
    store.backup_database(to)?;
    let copy = Store::open_to_read(to)?;
    copy.export_entries(None, &mut |stored: Stored| -> Result<(), Error> {
        entries += 1;
        if stored.body.is_some_and(|body| body.contains("\"sha256\"")) {
            files.extend(named(&stored)?);
        }
        Ok(())
    })?;
    let files = copy_files(&store, files, &beside)?;
    Ok(Out { counted: vec![("entries".into(), entries)], files })
}

/// The files that an entry names.
fn named(stored: &Stored) -> Result<Vec<Hash>, Error> {
    let raw = crate::ledger::entry::RawEntry {
        envelope: stored.envelope.to_owned(),
        hash: stored.hash,
        body: stored.body.map(str::to_owned),
    };
    let read =
        Recorded::read(&raw).map_err(|e| StoreError::BadEntry { entry: stored.hash.to_hex(), error: e.to_string() })?;
    Ok(read.body.iter().flat_map(|body| body.attachments()).map(|file| file.sha256).collect())
}

/// Copies each file once into a folder laid out like the ledger's own; gives how many there are.
fn copy_files(store: &Store, mut files: Vec<Hash>, to: &Path) -> Result<u64, Error> {
    files.sort();
    files.dedup();
    for hash in &files {
        let from = store.file_path(*hash);
        let to = path_in(to, *hash);
        let folder = to.parent().unwrap_or(Path::new("."));
        let made = std::fs::DirBuilder::new().recursive(true).mode(0o700).create(folder);
        made.and_then(|()| std::fs::copy(&from, &to)).map_err(|e| io(&from, &e))?;
    }
    Ok(files.len() as u64)
}

/// The folder of the files of an export.
pub(super) fn files_beside(path: &Path) -> PathBuf {
    let mut folder = path.as_os_str().to_owned();
    folder.push(".files");
    PathBuf::from(folder)
}

/// `ab/abcdef…` in the folder of files.
pub(super) fn path_in(folder: &Path, hash: Hash) -> PathBuf {
    let hex = hash.to_hex();
    folder.join(&hex[..2]).join(&hex)
}

fn of(context: &Context, key: Option<&str>) -> Result<(Store, Option<Uuid>), Error> {
    let mut store = context.open_to_read()?;
    let property = match key {
        None => None,
        Some(key) => Some(context.property(&mut store, Some(key))?.id),
    };
    Ok((store, property))
}

fn absent(path: &Path) -> Result<(), StoreError> {
    if path.exists() {
        return Err(StoreError::AlreadyThere { path: path.to_owned() });
    }
    match path.parent().filter(|p| !p.as_os_str().is_empty() && !p.is_dir()) {
        Some(folder) => Err(StoreError::NoFolder { path: folder.to_owned() }),
        None => Ok(()),
    }
}

fn new(path: &Path) -> Result<BufWriter<File>, StoreError> {
    let file = File::options().write(true).create_new(true).mode(0o600).open(path);
    file.map(|file| BufWriter::with_capacity(BUFFER, file)).map_err(|e| io(path, &e))
}

fn done(path: &Path, file: BufWriter<File>) -> Result<(), Error> {
    let file = file.into_inner().map_err(|e| io(path, e.error()))?;
    file.sync_all().map_err(|e| io(path, &e).into())
}

fn io(path: &Path, error: &std::io::Error) -> StoreError {
    let path = path.to_owned();
    match error.kind() {
        std::io::ErrorKind::StorageFull => StoreError::DiskFull { path },
        _ => StoreError::Io { path, error: error.to_string() },
    }
}
