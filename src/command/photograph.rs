//! Photographs and other files between the folder of files and the facts: the time a camera wrote goes with the file, the
//! place it wrote stays in it.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

use sha2::{Digest, Sha256};

use crate::dossier::camera::{self, Camera, Place};
use crate::dossier::picture::{self, COPY, Made, make};
use crate::ledger::entry::Attachment;
use crate::ledger::hash::Hash;
use crate::ledger::when::When;
use crate::store::{Store, StoreError};

/// What is read at once, in bytes; the first of it tells what kind of file it is.
const AT_ONCE: usize = 1 << 16;
/// Each may hold a picture as it is opened, which is hundreds of megabytes of the largest.
const MOST_THREADS: usize = 4;

/// Puts a file in; of a photograph, with when it was taken, and with the copy that dossiers show of it.
pub(super) fn put(store: &Store, path: &Path) -> Result<Attachment, StoreError> {
    let file = store.put_file(path)?;
    let taken = looked_into(store, &file).taken.map(When::at);
    keep_copy(store, &file);
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

/// Draws the smaller copy that dossiers show of a photograph, where one is needed and not there yet.
pub(super) fn keep_copy(store: &Store, file: &Attachment) {
    let copies = store.copies();
    if file.bytes > picture::MOST_BYTES || copies.kept(file.sha256, COPY).is_some() {
        return;
    }
    if let Ok(Found::Picture(bytes)) = found(&copies.original(file.sha256), file.sha256)
        && let Some(made) = make(file.sha256, &bytes, false, || None).filter(|made| made.drawn)
    {
        copies.keep(file.sha256, COPY, &made.bytes);
    }
}

/// What is wrong with a file of the folder.
pub(super) enum Wrong {
    NotThere,
    Changed,
}

/// The pictures among files, each with the bytes that a dossier shows, in their order; every file is read, and has to be the
/// one its hash names. Copies that had to be drawn are kept for the next time.
pub(super) fn pictures(store: &Store, files: &[Hash], keep_place: bool) -> Result<Vec<Made>, (Hash, Wrong)> {
    let (copies, next) = (store.copies(), AtomicUsize::new(0));
    let one = |hash: Hash| match found(&copies.original(hash), hash) {
        Err(_) => Err((hash, Wrong::NotThere)),
        Ok(Found::Changed) => Err((hash, Wrong::Changed)),
        Ok(Found::Other) => Ok(None),
        Ok(Found::Picture(bytes)) => {
            let made = make(hash, &bytes, keep_place, || copies.kept(hash, COPY));
            if let Some(made) = made.as_ref().filter(|made| made.drawn) {
                copies.keep(hash, COPY, &made.bytes);
            }
            Ok(made)
        }
    };
    let work = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(hash) = files.get(at) else { return done };
            done.push((at, one(*hash)));
        }
    };
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get).clamp(1, MOST_THREADS);
    let mut all = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..threads.min(files.len())).map(|_| scope.spawn(work)).collect();
        let done = workers.into_iter().flat_map(|worker| worker.join().expect("a worker ends by itself"));
        done.collect::<Vec<_>>()
    });
    all.sort_by_key(|(at, _)| *at);
    all.into_iter().filter_map(|(_, made)| made.transpose()).collect()
}

/// A file that was read whole to see that it is the one its hash names.
enum Found {
    /// A picture that pages show.
    Picture(Vec<u8>),
    /// Another file, or a picture too large to be opened.
    Other,
    Changed,
}

/// Reads a file of the folder; the bytes of one that is no picture are not kept.
fn found(path: &Path, hash: Hash) -> std::io::Result<Found> {
    let mut file = File::open(path)?;
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
