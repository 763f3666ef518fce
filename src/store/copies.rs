//! Smaller copies of photographs, kept beside the files they are of so that they are drawn once.
//!
//! Nothing hangs on them: no entry names one, backups and exports go without, and one that is not there, or not as it was
//! written, is drawn anew. They go when the file goes.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::Store;
use super::files::path_in;
use crate::ledger::hash::Hash;

/// The length of the hash behind a copy, in bytes.
const CHECK: usize = 32;

/// The copies of a ledger's files; threads can share it.
#[derive(Debug, Clone)]
pub struct Copies {
    folder: PathBuf,
}

impl Store {
    pub fn copies(&self) -> Copies {
        Copies { folder: self.files_folder() }
    }
}

impl Copies {
    /// Where the file itself lies.
    pub fn original(&self, of: Hash) -> PathBuf {
        path_in(&self.folder, of)
    }

    /// The copy of a file that was kept under a name; `None` where there is none, or it is not as it was written.
    pub fn kept(&self, of: Hash, name: &str) -> Option<Vec<u8>> {
        let mut bytes = std::fs::read(self.path(of, name)).ok()?;
        let hash = bytes.split_off(bytes.len().checked_sub(CHECK)?);
        (Hash::of(&bytes).as_bytes() == hash.as_slice()).then_some(bytes)
    }

    /// Keeps a copy, where that can be done: who may only read goes without.
    pub fn keep(&self, of: Hash, name: &str, bytes: &[u8]) {
        let path = self.path(of, name);
        let write = || -> std::io::Result<()> {
            // Under a name of the file's, so that what a stopped program leaves goes with it too.
            let begin = format!("{}.", of.to_hex());
            let folder = path.parent().unwrap_or(Path::new("."));
            let mut file = tempfile::Builder::new().prefix(&begin).tempfile_in(folder)?;
            // No entry fixes it: its own hash says whether it is as it was written.
            file.write_all(bytes)?;
            file.write_all(Hash::of(bytes).as_bytes())?;
            file.persist(&path)?;
            Ok(())
        };
        let _ = write();
        // Another program may have erased the file meanwhile, and with it the copies there were.
        if !self.original(of).exists() {
            let _ = std::fs::remove_file(&path);
        }
    }

    fn path(&self, of: Hash, name: &str) -> PathBuf {
        self.original(of).with_extension(name)
    }
}

/// Removes every copy of a file; `false` where one could not be removed.
pub(super) fn drop_copies(original: &Path) -> bool {
    let (Some(folder), Some(name)) = (original.parent(), original.file_name().and_then(|n| n.to_str())) else {
        return true;
    };
    let Ok(all) = std::fs::read_dir(folder) else { return !folder.exists() };
    let begin = format!("{name}.");
    let of = |entry: &std::fs::DirEntry| entry.file_name().to_str().is_some_and(|name| name.starts_with(&begin));
    let mut gone = true;
    for copy in all.flatten().filter(of) {
        gone &= std::fs::remove_file(copy.path()).is_ok();
    }
    gone
}

#[cfg(test)]
mod tests {
    use super::{Copies, drop_copies};
    use crate::ledger::hash::Hash;

    #[test]
    fn a_copy_is_as_it_was_written_or_none_and_goes_with_its_file() {
        let folder = tempfile::tempdir().unwrap();
        let copies = Copies { folder: folder.path().to_owned() };
        let (one, other) = (Hash::of(b"one"), Hash::of(b"other"));
        for hash in [one, other] {
            std::fs::create_dir_all(copies.original(hash).parent().unwrap()).unwrap();
            std::fs::write(copies.original(hash), "a picture").unwrap();
            copies.keep(hash, "small", b"smaller");
        }
        assert_eq!(copies.kept(one, "small"), Some(b"smaller".to_vec()));
        assert_eq!(copies.kept(one, "large"), None);
        let path = copies.path(one, "small");
        let mut bytes = std::fs::read(&path).unwrap();
        bytes[0] ^= 1;
        std::fs::write(&path, &bytes).unwrap();
        assert_eq!(copies.kept(one, "small"), None, "changed");
        std::fs::write(&path, "short").unwrap();
        assert_eq!(copies.kept(one, "small"), None, "cut");
        assert!(drop_copies(&copies.original(one)));
        assert!(!path.exists() && copies.original(one).exists() && copies.kept(other, "small").is_some());
        // The file is gone: nothing of it may come back.
        std::fs::remove_file(copies.original(one)).unwrap();
        copies.keep(one, "small", b"smaller");
        assert!(!path.exists());
    }
}
