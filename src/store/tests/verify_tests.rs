//! What a check of the whole ledger names, whatever was done to the file.

use rusqlite::Connection;

use super::made_tests::{note, put, reading, tamper, today, verified, with_readings};
use crate::store::Store;

#[test]
fn a_body_that_no_entry_erased_is_missed() {
    for (sql, entry) in [
        ("DELETE FROM bodies WHERE chain = 1 AND seq = 3", "elm#3"),
        ("DELETE FROM bodies WHERE chain = 0 AND seq = 1", "ledger#1"),
        // A claim that entry 4 erased it, which it did not.
        ("INSERT INTO erasures VALUES (1, 3, 4); DELETE FROM bodies WHERE chain = 1 AND seq = 3", "elm#3"),
        ("INSERT INTO erasures VALUES (1, 3, 99); DELETE FROM bodies WHERE chain = 1 AND seq = 3", "elm#3"),
        // Leave to delete it later.
        ("INSERT INTO erasures VALUES (1, 3, 4)", "elm#3"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (store, path, _) = with_readings(folder.path());
        drop(store);
        tamper(&path, sql);
        let bad = verified(&path);
        assert!(bad.contains(&entry.to_owned()), "{sql}: {bad:?}");
    }
}

#[test]
fn a_house_that_lost_its_rows_is_missed() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path, _) = with_readings(folder.path());
    drop(store);
    tamper(&path, "DELETE FROM overview; DELETE FROM outlook");
    let bad = verified(&path);
    assert!(bad.contains(&"table overview of elm".to_owned()), "{bad:?}");
    Store::open(&path).unwrap().rebuild(today(), &mut |_, _| ()).unwrap();
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn rows_of_no_house_are_named() {
    for (sql, table) in [
        ("INSERT INTO event_rows VALUES (77, 1, '2024-01-01', 'storm')", "table event_rows"),
        ("INSERT INTO texts VALUES (77, 1, '', '2024-01-01', 'note-added', 'a word')", "table texts"),
        ("INSERT INTO outlook (chain, subject) VALUES (77, '1')", "table outlook"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (store, path, _) = with_readings(folder.path());
        drop(store);
        tamper(&path, sql);
        assert_eq!(verified(&path), [table], "{sql}");
    }
}

/// Where `bytes` stand in the file.
fn places(file: &[u8], bytes: &[u8]) -> Vec<usize> {
    file.windows(bytes.len()).enumerate().filter(|(_, w)| *w == bytes).map(|(at, _)| at).collect()
}

#[test]
fn any_byte_of_an_entry_changed_in_the_file_itself_is_named() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path, id) = with_readings(folder.path());
    let entry = store.raw_entries(id).unwrap().remove(3);
    let envelope = store.entries(id).unwrap().remove(3).envelope;
    drop(store);
    let good = std::fs::read(&path).unwrap();
    let body = entry.body.unwrap();
    let columns: [(&str, &[u8]); 4] = [
        ("hash", entry.hash.as_bytes()),
        ("id", envelope.id.as_bytes()),
        ("envelope", entry.envelope.as_bytes()),
        ("body", body.as_bytes()),
    ];
    for (column, bytes) in columns {
        // The id stands in its index too, the hash where the chain ends: those are asked about elsewhere.
        let at = *places(&good, bytes)
            .iter()
            .find(|at| column != "id" || places(&good[at.saturating_sub(64)..**at], entry.hash.as_bytes()).len() == 1)
            .unwrap();
        for offset in (0..bytes.len()).step_by(7) {
            // Another letter, and a byte that no text can hold.
            for mask in [0x01, 0xff] {
                let mut changed = good.clone();
                changed[at + offset] ^= mask;
                std::fs::write(&path, &changed).unwrap();
                let bad = verified(&path);
                assert!(bad.contains(&"elm#4".to_owned()), "{column} byte {offset} ^ {mask:#x}: {bad:?}");
            }
        }
    }
}

#[test]
fn an_index_that_says_otherwise_is_found() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path, id) = with_readings(folder.path());
    let envelope = store.entries(id).unwrap().remove(3).envelope;
    let hash = store.raw_entries(id).unwrap().remove(3).hash;
    drop(store);
    let mut file = std::fs::read(&path).unwrap();
    let in_index = *places(&file, envelope.id.as_bytes())
        .iter()
        .find(|at| places(&file[at.saturating_sub(64)..**at], hash.as_bytes()).is_empty())
        .unwrap();
    file[in_index] ^= 1;
    std::fs::write(&path, &file).unwrap();
    // Without it, a second delivery of this id would be recorded twice. Its neighbours may be out of order too.
    let bad = verified(&path);
    assert!(!bad.is_empty() && bad.iter().all(|what| what == "table entries"), "{bad:?}");
}

#[test]
fn a_ledger_cut_short_is_damaged_wherever_it_was_cut() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let texts = (0..400).map(|i| note(id, "2025-01-01", &format!("a line of some length, number {i}"))).collect();
    put(&mut store, texts);
    drop(store);
    let good = std::fs::read(&path).unwrap();
    for tenths in 1..10 {
        std::fs::write(&path, &good[..good.len() / 10 * tenths]).unwrap();
        let said = match Store::open(&path) {
            Err(error) => vec![(error.is_damage(), error.to_string())],
            Ok(store) => match store.verify(&mut |_, _| ()) {
                Err(error) => vec![(error.is_damage(), error.to_string())],
                Ok(report) => report.bad.into_iter().map(|b| (true, b.what)).collect(),
            },
        };
        assert!(!said.is_empty() && said.iter().all(|(damage, _)| *damage), "{tenths} tenths: {said:?}");
    }
}

#[test]
fn a_ledger_in_use_is_not_called_damaged() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| {
            for i in 0..150 {
                let day = format!("2025-{:02}-{:02}", 1 + i / 28, 1 + i % 28);
                put(&mut store, vec![reading(id, &day, "0.9 mm")]);
            }
        });
        let checker = Store::open_to_read(&path).unwrap();
        let mut rounds = 0;
        while !writer.is_finished() {
            let bad = checker.verify(&mut |_, _| ()).unwrap().bad;
            assert_eq!(bad, [], "round {rounds}");
            rounds += 1;
        }
        assert!(rounds > 1, "nothing was checked meanwhile");
    });
}

#[test]
fn statistics_kept_by_another_client_change_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path, _) = with_readings(folder.path());
    drop(store);
    Connection::open(&path).unwrap().execute_batch("ANALYZE").unwrap();
    assert_eq!(verified(&path), [""; 0]);
}
