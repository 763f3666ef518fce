//! One archive with the ledger and its files, made while the ledger is in use; and the way back.
//!
//! A backup is a plain tar file: `ledger.db` (a snapshot by SQLite's own backup), `files/ab/abcdef…` (every file the
//! snapshot's entries name), `seals.json` (for each property how many entries and the hash of the last).

use std::collections::BTreeMap;
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::os::unix::fs::OpenOptionsExt;
use std::path::{Component, Path};

use rusqlite::Connection;

use super::Store;
use super::error::StoreError;
use super::files::{self, files_beside, make_folder, move_new, path_in, private, sync};
use super::verify::Report;
use crate::ledger::hash::Hash;

/// What a backup holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BackupReport {
    pub properties: u64,
    pub entries: u64,
    pub files: u64,
    pub bytes: u64,
}

impl Store {
    /// Writes a backup to `to`, which must not exist; it appears whole or not at all.
    pub fn backup(&self, to: &Path) -> Result<BackupReport, StoreError> {
        if to.exists() {
            return Err(StoreError::AlreadyThere { path: to.to_owned() });
        }
        let folder = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if !folder.is_dir() {
            return Err(StoreError::NoFolder { path: folder.to_owned() });
        }
        let io = |e: std::io::Error| StoreError::io(to, &e);
        let work = tempfile::Builder::new().prefix(".stemwall-backup-").tempdir_in(folder).map_err(io)?;
        let snapshot = work.path().join("ledger.db");
        self.backup_database(&snapshot)?;
        let copy = Store::open(&snapshot)?;
        let (seals, files) = copy.contents()?;
        let mut archive = tempfile::NamedTempFile::new_in(folder).map_err(io)?;
        let mut tar = tar::Builder::new(archive.as_file_mut());
        tar.mode(tar::HeaderMode::Deterministic);
        let entries = seals.values().map(|seal| seal.entries).sum();
        let properties = seals.len() as u64 - 1;
        let json = serde_json::to_vec_pretty(&seals).expect("seals are plain JSON");
        drop(copy);
        tar.append_path_with_name(&snapshot, "ledger.db").map_err(io)?;
        let mut header = tar::Header::new_gnu();
        header.set_size(json.len() as u64);
        header.set_mode(0o600);
        header.set_cksum();
        tar.append_data(&mut header, "seals.json", json.as_slice()).map_err(io)?;
        for (hash, named) in &files {
            let inside = path_in(Path::new("files"), *hash);
            let path = self.file_path(*hash);
            // A backup without it would be none of this ledger.
            if !path.is_file() {
                let entry = self.entry_name(named.chain, named.seq);
                let error = format!("its file `{}` is not there, and a backup would be without it", named.name);
                return Err(StoreError::BadEntry { entry, error });
            }
            tar.append_path_with_name(&path, inside).map_err(|e| StoreError::io(&path, &e))?;
        }
        tar.finish().map_err(io)?;
        drop(tar);
        archive.as_file_mut().flush().map_err(io)?;
        archive.as_file().sync_all().map_err(io)?;
        let bytes = archive.as_file().metadata().map_err(io)?.len();
        archive.persist_noclobber(to).map_err(|e| StoreError::io(to, &e.error))?;
        sync(folder)?;
        Ok(BackupReport { properties, entries, files: files.len() as u64, bytes })
    }

    /// A consistent copy of the database alone.
    pub fn backup_database(&self, to: &Path) -> Result<(), StoreError> {
        let sql = |e| StoreError::sql(&self.path, e);
        let new = OpenOptions::new().write(true).create_new(true).mode(0o600).open(to);
        drop(new.map_err(|e| StoreError::io(to, &e))?);
        let mut copy = Connection::open(to).map_err(sql)?;
        let backup = rusqlite::backup::Backup::new(&self.connection, &mut copy).map_err(sql)?;
        // In one step: between two, another program's entry would make it start over.
        backup.run_to_completion(i32::MAX, std::time::Duration::ZERO, None).map_err(sql)?;
        drop(backup);
        copy.close().map_err(|(_, e)| sql(e))?;
        sync(to)
    }

    /// The seals of all chains, and the hash of every file that an entry names.
    fn contents(&self) -> Result<(Seals, BTreeMap<Hash, Named>), StoreError> {
        let mut seals = Seals::new();
        let mut files = BTreeMap::new();
        for chain in self.listed()? {
            for entry in self.entries_of_chain(chain.number)? {
                for file in entry.body.iter().flat_map(|b| b.attachments()) {
                    let named = || Named { name: file.name.clone(), chain: chain.number, seq: entry.seq() };
                    files.entry(file.sha256).or_insert_with(named);
                }
            }
            seals.insert(chain.property, Seal { entries: chain.entries, seal: chain.head });
        }
        Ok((seals, files))
    }

    /// Puts a backup back where there is no ledger, checks all of it, and only then lets it appear.
    pub fn restore(archive: &Path, to: &Path) -> Result<Report, StoreError> {
        let files_to = files_beside(to);
        for path in [to, &files_to] {
            if path.exists() {
                return Err(StoreError::AlreadyThere { path: path.to_owned() });
            }
        }
        let folder = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
        if !folder.is_dir() {
            return Err(StoreError::NoFolder { path: folder.to_owned() });
        }
        let io = |e: std::io::Error| StoreError::io(to, &e);
        let work = tempfile::Builder::new().prefix(".stemwall-restore-").tempdir_in(folder).map_err(io)?;
        let ledger = work.path().join("ledger");
        let files_in = files_beside(&ledger);
        let sealed = unpack(archive, &ledger, &files_in)?;
        let store = Store::open(&ledger)?;
        let report = store.verify(&mut |_, _| ())?;
        if let Some(bad) = report.bad.first() {
            let detail = format!("{}: {}", bad.what, bad.why);
            return Err(StoreError::Archive { path: archive.to_owned(), detail });
        }
        let (seals, _) = store.contents()?;
        if seals != sealed {
            let detail = "its ledger is not the one that its `seals.json` names".into();
            return Err(StoreError::Archive { path: archive.to_owned(), detail });
        }
        drop(store);
        sync(&ledger)?;
        if files_in.exists() {
            std::fs::rename(&files_in, &files_to).map_err(io)?;
        }
        if let Err(error) = move_new(&ledger, to) {
            let _ = std::fs::remove_dir_all(&files_to);
            return Err(error);
        }
        sync(folder)?;
        Ok(report)
    }
}

/// The first entry that names a file.
struct Named {
    name: String,
    chain: i64,
    seq: u64,
}

/// By the identifier of the chain.
type Seals = BTreeMap<String, Seal>;

#[derive(Debug, PartialEq, serde::Serialize, serde::Deserialize)]
struct Seal {
    entries: u64,
    seal: Hash,
}

/// Takes out exactly what a backup holds, and gives its seals; anything else is refused.
fn unpack(archive: &Path, ledger: &Path, folder: &Path) -> Result<Seals, StoreError> {
    let wrong = |detail: String| StoreError::Archive { path: archive.to_owned(), detail };
    let file =
        File::open(archive).map_err(|e| StoreError::File { path: archive.to_owned(), error: files::plain(&e) })?;
    let mut tar = tar::Archive::new(file);
    let mut seals = None;
    // What the archive's reader says of bytes that make no sense helps nobody.
    let unreadable = |_: std::io::Error| wrong("it is no archive, or it was cut short".into());
    for entry in tar.entries().map_err(unreadable)? {
        let mut entry = entry.map_err(unreadable)?;
        let inside = entry.path().map_err(unreadable)?.into_owned();
        if entry.header().entry_type() != tar::EntryType::Regular {
            return Err(wrong(format!("`{}` in it is not a plain file", inside.display())));
        }
        let to = match destination(&inside) {
            Some(Inside::Ledger) => ledger.to_owned(),
            Some(Inside::Seals) => {
                let read: Seals =
                    serde_json::from_reader(&mut entry).map_err(|e| wrong(format!("`seals.json` in it: {e}")))?;
                seals = Some(read);
                continue;
            }
            Some(Inside::File(hash)) => {
                make_folder(folder)?;
                let path = path_in(folder, hash);
                make_folder(path.parent().expect("a file lies in a folder"))?;
                path
            }
            None => return Err(wrong(format!("`{}` in it is no part of a backup", inside.display()))),
        };
        let mut out = File::create_new(&to).map_err(|e| match e.kind() {
            std::io::ErrorKind::AlreadyExists => wrong(format!("`{}` is in it twice", inside.display())),
            _ => StoreError::io(&to, &e),
        })?;
        private(&to)?;
        std::io::copy(&mut entry, &mut out).map_err(|e| match e.kind() {
            std::io::ErrorKind::UnexpectedEof | std::io::ErrorKind::Other => unreadable(e),
            _ => StoreError::io(&to, &e),
        })?;
        out.sync_all().map_err(|e| StoreError::io(&to, &e))?;
        if let Some(parent) = to.parent() {
            files::sync(parent)?;
        }
    }
    if !ledger.exists() {
        return Err(wrong("there is no `ledger.db` in it".into()));
    }
    seals.ok_or_else(|| wrong("there is no `seals.json` in it".into()))
}

enum Inside {
    Ledger,
    Seals,
    File(Hash),
}

/// What a name in an archive stands for; `None` for every name that a backup does not have.
fn destination(inside: &Path) -> Option<Inside> {
    let mut names = Vec::new();
    for component in inside.components() {
        match component {
            Component::Normal(name) => names.push(name.to_str()?),
            _ => return None,
        }
    }
    match names[..] {
        ["ledger.db"] => Some(Inside::Ledger),
        ["seals.json"] => Some(Inside::Seals),
        ["files", start, hex] => {
            Hash::from_hex(hex).filter(|_| hex.starts_with(start) && start.len() == 2).map(Inside::File)
        }
        _ => None,
    }
}
