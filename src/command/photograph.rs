//! Photographs and other files between the folder of files and the facts: the time a camera wrote goes with the file, the
//! place it wrote stays in it.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use sha2::{Digest, Sha256};

use crate::dossier::camera::{self, Camera, Place};
use crate::dossier::picture;
use crate::ledger::entry::Attachment;
use crate::ledger::hash::Hash;
use crate::ledger::when::When;
use crate::store::{Store, StoreError};

/// What is read at once, in bytes; the first of it tells what kind of file it is.
const AT_ONCE: usize = 1 << 16;

/// Puts a file in; of a photograph, with when it was taken.
pub(super) fn put(store: &Store, path: &Path) -> Result<Attachment, StoreError> {
    let file = store.put_file(path)?;
    let taken = looked_into(store, &file).taken.map(When::at);
    Ok(Attachment { taken, ..file })
}

/// Where a photograph in the folder of files says that it was taken.
pub(super) fn place(store: &Store, file: &Attachment) -> Option<Place> {
    looked_into(store, file).place
}

fn looked_into(store: &Store, file: &Attachment) -> Camera {
    let opened = File::open(store.file_path(file.sha256)).ok().filter(|_| file.bytes <= camera::MOST_BYTES);
    opened.map_or_else(Camera::default, |opened| Camera::of(&mut BufReader::new(opened)))
}

/// A file that was read whole to see that it is the one its hash names.
pub(super) enum Found {
    /// A picture that pages show.
    Picture(Vec<u8>),
    /// Another file, or a picture too large to be opened.
    Other,
    Changed,
}

/// Reads a file of the folder; the bytes of one that is no picture are not kept.
pub(super) fn found(store: &Store, hash: Hash) -> std::io::Result<Found> {
    let mut file = File::open(store.file_path(hash))?;
    let small = file.metadata()?.len() <= picture::MOST_BYTES;
    let (mut hasher, mut buffer, mut kept) = (Sha256::new(), vec![0; AT_ONCE], None);
    loop {
        let read = file.read(&mut buffer)?;
        let bytes = buffer.get(..read).unwrap_or_default();
        hasher.update(bytes);
        let kept = kept.get_or_insert_with(|| (small && picture::media(bytes).is_some()).then(Vec::new));
        if let Some(kept) = kept {
            kept.extend_from_slice(bytes);
        }
        if read == 0 {
            break;
        }
    }
    Ok(match kept.flatten() {
        _ if Hash::from_bytes(hasher.finalize().into()) != hash => Found::Changed,
        Some(bytes) => Found::Picture(bytes),
        None => Found::Other,
    })
}
