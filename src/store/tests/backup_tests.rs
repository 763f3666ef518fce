//! A backup that is not what it was is not put back.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use super::made_tests::{erase, note, put, reading, with_readings};
use crate::ledger::entry::Attachment;
use crate::store::{Store, StoreError};

/// Names and bytes of an archive.
fn parts(archive: &Path) -> Vec<(String, Vec<u8>)> {
    let mut tar = tar::Archive::new(File::open(archive).unwrap());
    let read = |entry: std::io::Result<tar::Entry<File>>| {
        let mut entry = entry.unwrap();
        let name = entry.path().unwrap().to_string_lossy().into_owned();
        let mut bytes = Vec::new();
        entry.read_to_end(&mut bytes).unwrap();
        (name, bytes)
    };
    tar.entries().unwrap().map(read).collect()
}

fn pack(archive: &Path, parts: &[(String, Vec<u8>)]) {
    let mut tar = tar::Builder::new(File::create(archive).unwrap());
    for (name, bytes) in parts {
        let mut header = tar::Header::new_gnu();
        header.set_size(bytes.len() as u64);
        header.set_mode(0o600);
        tar.append_data(&mut header, name, bytes.as_slice()).unwrap();
    }
    tar.finish().unwrap();
}

#[test]
fn an_archive_whose_ledger_is_not_the_one_its_seals_name_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _, id) = with_readings(folder.path());
    let [old, new] = ["old.tar", "new.tar"].map(|name| folder.path().join(name));
    store.backup(&old).unwrap();
    put(&mut store, vec![reading(id, "2025-03-01", "0.9 mm")]);
    store.backup(&new).unwrap();
    let (old, new) = (parts(&old), parts(&new));
    let of = |parts: &[(String, Vec<u8>)], name: &str| parts.iter().find(|(n, _)| n == name).unwrap().clone();
    let to = folder.path().join("restored.stemwall");
    let mixed = folder.path().join("mixed.tar");
    for made in [
        vec![of(&old, "ledger.db"), of(&new, "seals.json")],
        vec![of(&new, "ledger.db")],
        vec![of(&new, "ledger.db"), ("seals.json".to_owned(), b"{}".to_vec())],
        vec![of(&new, "ledger.db"), ("seals.json".to_owned(), b"not json".to_vec())],
        vec![of(&new, "ledger.db"), of(&new, "ledger.db"), of(&new, "seals.json")],
    ] {
        pack(&mixed, &made);
        let Err(error) = Store::restore(&mixed, &to) else { panic!("it was restored") };
        assert!(matches!(error, StoreError::Archive { .. }), "{error}");
        assert!(!to.exists());
    }
    pack(&mixed, &[of(&new, "ledger.db"), of(&new, "seals.json")]);
    Store::restore(&mixed, &to).unwrap();
    assert_eq!(Store::open(&to).unwrap().head(id).unwrap(), store.head(id).unwrap());
}

#[test]
fn a_file_that_two_entries_share_stays_while_one_needs_it() {
    let folder = tempfile::tempdir().unwrap();
    let (store, _, _) = with_readings(folder.path());
    let file = store.put_bytes("letter.txt", b"as it was").unwrap();
    let again = store.put_bytes("copy.txt", b"as it was").unwrap();
    assert_eq!(file.sha256, again.sha256);
    store.drop_unused(&[again]);
    assert!(!store.file_path(file.sha256).exists(), "nobody names it");
}

#[test]
fn an_erased_body_is_gone_from_every_file_while_the_ledger_is_open() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _, id) = with_readings(folder.path());
    put(&mut store, vec![note(id, "2025-01-01", "the tenant's telephone number")]);
    put(&mut store, vec![erase(id, 6)]);
    for file in std::fs::read_dir(folder.path()).unwrap() {
        let file = file.unwrap().path();
        let bytes = std::fs::read(&file).unwrap();
        assert!(!bytes.windows(9).any(|w| w == b"telephone"), "the words are still in {}", file.display());
    }
}

#[test]
fn an_erasure_that_was_stopped_before_its_files_were_gone_is_finished_when_the_ledger_is_opened() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let erased = store.put_bytes("letter.txt", b"the tenant's telephone number").unwrap();
    let needed = store.put_bytes("photo.png", b"a photograph").unwrap();
    let with = |file: &Attachment| {
        let mut note = note(id, "2025-01-01", "see the file");
        note.draft.remarks.photos.push(file.clone());
        note
    };
    put(&mut store, vec![with(&erased), with(&needed)]);
    put(&mut store, vec![erase(id, 6)]);
    assert!(!store.file_path(erased.sha256).exists());
    // The erasure is committed, its file is there again, and what was to be done is still on the list.
    let again = store.put_bytes("letter.txt", b"the tenant's telephone number").unwrap();
    let list = store.files_folder().join("erasing");
    std::fs::write(&list, format!("{}\n{}\n", again.sha256.to_hex(), needed.sha256.to_hex())).unwrap();
    drop(store);
    let store = Store::open(&path).unwrap();
    assert!(!store.file_path(erased.sha256).exists());
    assert!(store.file_path(needed.sha256).exists(), "an entry names it");
    assert!(!list.exists());
}
