//! Attached files: stored by content beside the ledger, on disk before the entry that names them.

use std::fs::{DirBuilder, File};
use std::io::{Read, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt, PermissionsExt};
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::Store;
use super::copies::drop_copies;
use super::error::StoreError;
use crate::ledger::entry::Attachment;
use crate::ledger::hash::Hash;

impl Store {
    /// The folder of attached files: the ledger's path with `.files` behind it.
    pub fn files_folder(&self) -> PathBuf {
        files_beside(&self.path)
    }

    /// Where the file of a hash lies.
    pub fn file_path(&self, sha256: Hash) -> PathBuf {
        path_in(&self.files_folder(), sha256)
    }

    /// Copies a file in; the original is only read.
    pub fn put_file(&self, path: &Path) -> Result<Attachment, StoreError> {
        let unreadable = |e: &std::io::Error| StoreError::File { path: path.to_owned(), error: plain(e) };
        let mut original = File::open(path).map_err(|e| unreadable(&e))?;
        if !original.metadata().map_err(|e| unreadable(&e))?.is_file() {
            return Err(StoreError::File { path: path.to_owned(), error: "it is not a file".into() });
        }
        let name = path.file_name().map_or_else(|| "file".into(), |n| n.to_string_lossy().into_owned());
        self.put(&name, &mut original, &unreadable)
    }

    /// Puts bytes in under a name.
    pub fn put_bytes(&self, name: &str, bytes: &[u8]) -> Result<Attachment, StoreError> {
        self.put(name, &mut &bytes[..], &|e| StoreError::io(Path::new(name), e))
    }

    fn put(
        &self,
        name: &str,
        from: &mut dyn Read,
        unreadable: &dyn Fn(&std::io::Error) -> StoreError,
    ) -> Result<Attachment, StoreError> {
        let folder = self.files_folder();
        let io = |e: &std::io::Error| StoreError::io(&folder, e);
        make_folder(&folder)?;
        sync(folder.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new(".")))?;
        let mut temporary = tempfile::NamedTempFile::new_in(&folder).map_err(|e| io(&e))?;
        let mut hasher = Sha256::new();
        let mut bytes = 0;
        let mut buffer = vec![0; 1 << 16];
        loop {
            let read = from.read(&mut buffer).map_err(|e| unreadable(&e))?;
            if read == 0 {
                break;
            }
            hasher.update(&buffer[..read]);
            temporary.write_all(&buffer[..read]).map_err(|e| io(&e))?;
            bytes += read as u64;
        }
        let sha256 = Hash::from_bytes(hasher.finalize().into());
        let path = path_in(&folder, sha256);
        let inside = path.parent().expect("a file lies in a folder");
        make_folder(inside)?;
        // One that is there already may have been put by a program that was stopped before it reached the disk.
        if path.exists() {
            sync(&path)?;
        } else {
            temporary.as_file().sync_all().map_err(|e| io(&e))?;
            temporary.persist(&path).map_err(|e| io(&e.error))?;
        }
        sync(inside)?;
        sync(&folder)?;
        Ok(Attachment { sha256, name: name.to_owned(), bytes, taken: None })
    }

    /// Takes back files that were put in for entries that were refused, unless an entry names them.
    pub fn drop_unused(&self, files: &[Attachment]) {
        if !files.is_empty() {
            self.as_only_writer(|| {
                for file in files {
                    let _ = self.drop_unnamed(file.sha256);
                }
            });
        }
    }

    /// Writes down, in the transaction of an erasure, which files go with it: a program that is stopped before it has
    /// removed them leaves the list, and the next one that opens the ledger carries it out.
    pub(super) fn note_orphaned(&self, files: &[Attachment]) -> Result<(), StoreError> {
        if files.is_empty() {
            return Ok(());
        }
        let list = self.orphaned_list();
        let io = |e: &std::io::Error| StoreError::io(&list, e);
        let hashes: String = files.iter().map(|file| format!("{}\n", file.sha256.to_hex())).collect();
        let mut file = File::options().create(true).append(true).mode(0o600).open(&list).map_err(|e| io(&e))?;
        file.write_all(hashes.as_bytes()).map_err(|e| io(&e))?;
        file.sync_all().map_err(|e| io(&e))?;
        sync(&self.files_folder())
    }

    /// Removes the files of erasures that were committed, by this program or by one that was stopped.
    pub(super) fn finish_erasures(&self) {
        let list = self.orphaned_list();
        if !list.exists() {
            return;
        }
        self.as_only_writer(|| {
            let Ok(text) = std::fs::read_to_string(&list) else { return };
            let all_gone = text.lines().filter_map(Hash::from_hex).all(|hash| self.drop_unnamed(hash));
            if all_gone {
                let _ = std::fs::remove_file(&list);
            }
        });
    }

    fn orphaned_list(&self) -> PathBuf {
        self.files_folder().join("erasing")
    }

    /// Under the one writer's lock an entry of another program that names a file is either seen, or finds the file gone
    /// and is not recorded.
    fn as_only_writer(&self, work: impl FnOnce()) {
        if self.execute(include_str!("sql/begin.sql"), []).is_ok() {
            work();
            let _ = self.execute(include_str!("sql/roll_back.sql"), []);
        }
    }

    /// Removes a file that no entry names; `false` where it could not be removed, or nobody can say whether it is named.
    fn drop_unnamed(&self, hash: Hash) -> bool {
        let named = self.connection.query_row(include_str!("sql/names_file.sql"), [hash.to_hex()], |r| r.get(0));
        match named {
            Ok(true) => true,
            Ok(false) => {
                let path = self.file_path(hash);
                let removed = std::fs::remove_file(&path);
                // After the file: a program that is drawing one looks whether the file is still there.
                let without_copies = drop_copies(&path);
                let _ = path.parent().map(sync);
                without_copies && (removed.is_ok() || !path.exists())
            }
            Err(_) => false,
        }
    }

    /// Takes what was erased out of the log too, where nobody else is reading it.
    pub(super) fn empty_log(&self) {
        let _ = self.connection.query_row(include_str!("sql/empty_log.sql"), [], |_| Ok(()));
    }
}

/// The folder of the files of a ledger.
pub(super) fn files_beside(ledger: &Path) -> PathBuf {
    let mut folder = ledger.as_os_str().to_owned();
    folder.push(".files");
    PathBuf::from(folder)
}

/// `ab/abcdef…` in the folder of files.
pub(super) fn path_in(folder: &Path, sha256: Hash) -> PathBuf {
    let hex = sha256.to_hex();
    folder.join(&hex[..2]).join(&hex)
}

pub(super) fn make_folder(path: &Path) -> Result<(), StoreError> {
    match DirBuilder::new().mode(0o700).create(path) {
        Ok(()) => Ok(()),
        Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => Ok(()),
        Err(e) => Err(StoreError::io(path, &e)),
    }
}

/// Puts a file's bytes, or a folder's names, on disk.
pub(super) fn sync(path: &Path) -> Result<(), StoreError> {
    File::open(path).and_then(|f| f.sync_all()).map_err(|e| StoreError::io(path, &e))
}

/// Moves a file to where there is none yet.
pub(super) fn move_new(from: &Path, to: &Path) -> Result<(), StoreError> {
    // A hard link fails where the name is taken; a rename would take it over.
    match std::fs::hard_link(from, to) {
        Ok(()) => std::fs::remove_file(from).map_err(|e| StoreError::io(from, &e)),
        Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists => {
            Err(StoreError::AlreadyThere { path: to.to_owned() })
        }
        // File systems without hard links.
        Err(_) if !to.exists() => std::fs::rename(from, to).map_err(|e| StoreError::io(to, &e)),
        Err(e) => Err(StoreError::io(to, &e)),
    }
}

pub(super) fn private(path: &Path) -> Result<(), StoreError> {
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o600)).map_err(|e| StoreError::io(path, &e))
}

pub(super) fn plain(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".into(),
        std::io::ErrorKind::PermissionDenied => "permission denied".into(),
        _ => error.to_string(),
    }
}
