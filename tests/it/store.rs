//! The store through the library: what cannot be asked of the binary.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::AtomicU64;

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::Connection;
use stemwall::ledger::entry::Remarks;
use stemwall::ledger::fold::Draft;
use stemwall::ledger::kind::entry_corrected::EntryCorrected;
use stemwall::ledger::kind::entry_erased::EntryErased;
use stemwall::ledger::kind::file_attached::FileAttached;
use stemwall::ledger::kind::finding_opened::{FindingOpened, Particulars};
use stemwall::ledger::kind::ledger_started::LedgerStarted;
use stemwall::ledger::kind::note_added::NoteAdded;
use stemwall::ledger::kind::property_added::PropertyAdded;
use stemwall::ledger::kind::reading_added::{Measured, ReadingAdded};
use stemwall::ledger::subject::Name;
use stemwall::ledger::when::When;
use stemwall::quantity::{Currency, Typed, Units};
use stemwall::store::{Addressed, AppendError, Store, StoreError, Target};
use stemwall::trade::words::FindingKind;
use uuid::Uuid;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap()
}

fn recorded() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_366_400, 0).unwrap()
}

fn on(text: &str) -> When {
    When::parse(text).unwrap()
}

fn fresh(folder: &Path) -> (Store, PathBuf) {
    let path = folder.join("houses.stemwall");
    let started = LedgerStarted { units: Units::Us, currency: Currency::USD };
    (Store::create(&path, started, Remarks::default(), recorded()).unwrap(), path)
}

fn house(key: &str, id: Uuid) -> Addressed {
    let added = PropertyAdded {
        key: Name::parse(key).unwrap(),
        name: "House".into(),
        zone: "America/Chicago".into(),
        built: None,
        last_freeze: None,
        first_freeze: None,
        climate_zone: None,
        wet_season: None,
        value: None,
    };
    Addressed { property: Target::New(id), draft: Draft::new(on("2024-01-01"), Remarks::default(), added) }
}

fn crack(id: Uuid) -> Addressed {
    let fact = FindingOpened {
        number: 0,
        kind: FindingKind::Crack,
        place: "south wall".into(),
        section: None,
        particulars: Particulars::default(),
    };
    Addressed { property: Target::Known(id), draft: Draft::new(on("2024-01-02"), Remarks::default(), fact) }
}

fn reading(id: Uuid, day: &str, width: &str) -> Addressed {
    let fact = ReadingAdded {
        finding: 1,
        measured: Measured::Width(Typed::parse(width).unwrap()),
        over: None,
        resolution: None,
        with: None,
        at: None,
        moved: false,
    };
    Addressed { property: Target::Known(id), draft: Draft::new(on(day), Remarks::default(), fact) }
}

fn with_readings(folder: &Path) -> (Store, PathBuf, Uuid) {
    let (mut store, path) = fresh(folder);
    let id = Uuid::new_v4();
    let drafts = vec![
        house("elm", id),
        crack(id),
        reading(id, "2024-02-01", "0.8 mm"),
        reading(id, "2024-08-01", "0.9 mm"),
        reading(id, "2024-05-01", "1.0 mm"),
    ];
    store.append(drafts, recorded(), today()).unwrap();
    (store, path, id)
}

fn verified(path: &Path) -> Vec<String> {
    let report = Store::open(path).unwrap().verify(&mut |_, _| ()).unwrap();
    report.bad.into_iter().map(|b| b.what).collect()
}

/// Runs SQL on a ledger with its guards taken away, as somebody with the file in hand can.
fn tamper(path: &Path, sql: &str) {
    let connection = Connection::open(path).unwrap();
    let guards: Vec<(String, String)> = connection
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    for (name, _) in &guards {
        connection.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    connection.execute_batch(&format!("PRAGMA foreign_keys = OFF; {sql}")).unwrap();
    for (_, sql) in guards {
        connection.execute_batch(&sql).unwrap();
    }
}

#[test]
fn the_guards_refuse_to_change_delete_or_put_in_again() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path, _) = with_readings(folder.path());
    drop(store);
    let raw = Connection::open(&path).unwrap();
    for (sql, said) in [
        ("UPDATE entries SET envelope = 'x' WHERE seq = 2", "never changed"),
        ("DELETE FROM entries WHERE chain = 1 AND seq = 5", "never deleted"),
        ("INSERT OR REPLACE INTO entries SELECT * FROM entries WHERE chain = 1 AND seq = 5", "recorded once"),
        ("INSERT OR IGNORE INTO entries SELECT * FROM entries WHERE chain = 1 AND seq = 5", "recorded once"),
        ("UPDATE bodies SET body = 'x' WHERE seq = 2", "never changed"),
        ("DELETE FROM bodies WHERE chain = 1 AND seq = 5", "only when an entry erases it"),
        ("INSERT OR REPLACE INTO bodies SELECT * FROM bodies WHERE chain = 1 AND seq = 5", "recorded once"),
        ("DELETE FROM chains", "never deleted"),
    ] {
        let error = raw.execute_batch(sql).unwrap_err().to_string();
        assert!(error.contains(said), "{sql}: {error}");
    }
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn changed_bytes_in_any_column_are_named_by_entry() {
    for (sql, entry) in [
        ("UPDATE entries SET envelope = replace(envelope, '2024-02-01', '2024-02-02') WHERE chain = 1 AND seq = 3", 3),
        ("UPDATE entries SET envelope = envelope || ' ' WHERE chain = 1 AND seq = 3", 3),
        ("UPDATE entries SET hash = zeroblob(32) WHERE chain = 1 AND seq = 4", 4),
        ("UPDATE entries SET id = zeroblob(16) WHERE chain = 1 AND seq = 2", 2),
        (
            "UPDATE entries SET seq = 9 WHERE chain = 1 AND seq = 5; UPDATE bodies SET seq = 9 WHERE chain = 1 AND seq = 5",
            9,
        ),
        ("UPDATE bodies SET body = replace(body, '0.8', '0.1') WHERE chain = 1 AND seq = 3", 3),
        ("DELETE FROM entries WHERE chain = 1 AND seq = 5; DELETE FROM bodies WHERE chain = 1 AND seq = 5", 4),
        ("DELETE FROM entries WHERE chain = 1 AND seq = 3", 4),
        ("UPDATE chains SET head = zeroblob(32) WHERE chain = 1", 5),
        ("UPDATE chains SET entries = 4 WHERE chain = 1", 5),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (store, path, _) = with_readings(folder.path());
        drop(store);
        tamper(&path, sql);
        let bad = verified(&path);
        assert!(bad.contains(&format!("elm#{entry}")), "{sql}: {bad:?}");
    }
}

#[test]
fn changed_projections_are_named_by_table_and_rebuilt() {
    for (sql, table) in [
        ("UPDATE reading_rows SET value = 0.1 WHERE seq = 3", "reading_rows"),
        ("UPDATE finding_rows SET place = 'north wall'", "finding_rows"),
        ("UPDATE outlook SET band = 1", "outlook"),
        ("UPDATE overview SET worst = 0", "overview"),
        ("DELETE FROM texts", "texts"),
        ("UPDATE properties SET name = 'Other'", "properties"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (store, path, _) = with_readings(folder.path());
        drop(store);
        tamper(&path, sql);
        assert_eq!(verified(&path), [format!("table {table} of elm")], "{sql}");
        Store::open(&path).unwrap().rebuild(today(), &mut |_, _| ()).unwrap();
        assert_eq!(verified(&path), [""; 0], "{sql}");
    }
}

#[test]
fn a_changed_or_missing_file_is_named_by_its_entry() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let file = store.put_bytes("letter.txt", b"as it was").unwrap();
    let lies = store.file_path(file.sha256);
    let fact = FileAttached { about: "1".into(), entry: None, file };
    let draft = Draft::new(on("2024-09-01"), Remarks::default(), fact);
    store.append(vec![Addressed { property: Target::Known(id), draft }], recorded(), today()).unwrap();
    assert_eq!(verified(&path), [""; 0]);
    std::fs::write(&lies, b"as it was not").unwrap();
    assert_eq!(verified(&path), ["elm#6"]);
    std::fs::remove_file(&lies).unwrap();
    assert_eq!(verified(&path), ["elm#6"]);
}

#[test]
fn one_by_one_or_in_one_batch_gives_the_same() {
    let rows = |path: &Path| {
        let connection = Connection::open(path).unwrap();
        let mut out = Vec::new();
        for table in ["properties", "finding_rows", "reading_rows", "outlook", "overview"] {
            let mut statement = connection.prepare(&format!("SELECT * FROM {table}")).unwrap();
            let columns = statement.column_count();
            let read =
                |r: &rusqlite::Row| (0..columns).map(|c| r.get(c)).collect::<Result<Vec<rusqlite::types::Value>, _>>();
            out.extend(statement.query_map([], read).unwrap().map(Result::unwrap));
        }
        out
    };
    let drafts = |id| {
        let mut drafts = vec![house("elm", id), crack(id)];
        let days = (1..=9).flat_map(|month| [3, 17].map(|day| format!("2025-{month:02}-{day:02}")));
        drafts.extend(days.enumerate().map(|(i, day)| reading(id, &day, &format!("0.{} mm", 1 + i * 7 % 9))));
        drafts
    };
    let (one, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (mut store, batched) = fresh(one.path());
    store.append(drafts(Uuid::from_u128(1)), recorded(), today()).unwrap();
    let (mut store, single) = fresh(other.path());
    for draft in drafts(Uuid::from_u128(1)) {
        store.append(vec![draft], recorded(), today()).unwrap();
    }
    assert_eq!(rows(&batched), rows(&single));
    assert_eq!(verified(&single), [""; 0]);
}

#[test]
fn a_batch_with_one_bad_draft_leaves_nothing_and_says_everything() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let before = store.head(id).unwrap();
    let drafts = vec![
        reading(id, "2024-09-01", "0.9 mm"),
        reading(id, "2023-01-01", "0.9 mm"),
        reading(id, "2027-01-01", "0.9 mm"),
    ];
    let Err(AppendError::Refused(refusals)) = store.append(drafts, recorded(), today()) else { panic!("accepted") };
    assert_eq!(refusals.iter().map(|r| r.index).collect::<Vec<_>>(), [1, 2]);
    assert_eq!(store.head(id).unwrap(), before);
    // What is kept in memory went back too: the next append follows the entry on disk.
    store.append(vec![reading(id, "2024-09-02", "0.9 mm")], recorded(), today()).unwrap();
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn a_second_delivery_of_the_same_id_changes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let draft = reading(id, "2024-09-01", "0.9 mm");
    let first = store.append(vec![draft.clone()], recorded(), today()).unwrap();
    let again = store.append(vec![draft], recorded(), today()).unwrap();
    assert!(!first[0].already && again[0].already);
    assert_eq!((first[0].seq, first[0].hash), (again[0].seq, again[0].hash));
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn a_chain_is_adopted_once_and_byte_for_byte() {
    let (from, to) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (store, _, id) = with_readings(from.path());
    let chain = store.raw_entries(id).unwrap();
    let (mut other, path) = fresh(to.path());
    // In two deliveries, then the whole once more.
    assert!(!other.adopt(&chain[..3], today()).unwrap().already);
    assert!(!other.adopt(&chain, today()).unwrap().already);
    assert!(other.adopt(&chain, today()).unwrap().already);
    assert_eq!(other.raw_entries(id).unwrap(), chain);
    assert_eq!(other.head(id).unwrap(), store.head(id).unwrap());
    assert_eq!(verified(&path), [""; 0]);
    let mut broken = chain.clone();
    broken.swap(2, 3);
    let error = other.adopt(&broken, today()).unwrap_err().to_string();
    assert_eq!(error, "entry #3 is damaged: it does not follow the entry before it");
    let Err(AppendError::Refused(taken)) = other.append(vec![house("elm", Uuid::new_v4())], recorded(), today()) else {
        panic!("two houses with one key")
    };
    assert_eq!(taken[0].problem.to_string(), "property `elm` exists already");
}

#[test]
fn an_erased_body_is_gone_and_the_chain_still_checks() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let photo = store.put_bytes("face.png", b"a face").unwrap();
    let lies = store.file_path(photo.sha256);
    let remarks = Remarks { photos: vec![photo], ..Remarks::default() };
    let note = NoteAdded { about: String::new(), text: "the tenant's telephone number".into(), look: false };
    let draft = Draft::new(on("2024-09-01"), remarks, note);
    store.append(vec![Addressed { property: Target::Known(id), draft }], recorded(), today()).unwrap();
    let before = store.head(id).unwrap().unwrap();
    assert!(lies.exists());
    let erase = EntryErased { entry: 6, why: "asked for".into(), number: None, about: Vec::new() };
    let draft = Draft::new(on("2024-09-02"), Remarks::default(), erase);
    store.append(vec![Addressed { property: Target::Known(id), draft }], recorded(), today()).unwrap();
    drop(store);
    let whole = std::fs::read(&path).unwrap();
    assert!(!whole.windows(9).any(|w| w == b"telephone"), "the words are still in the file");
    assert!(!lies.exists(), "the file only it needed is still there");
    let store = Store::open(&path).unwrap();
    let entries = store.entries(id).unwrap();
    assert!(entries[5].body.is_none() && entries[5].hash == before.1);
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn a_database_with_objects_of_its_own_is_refused_before_it_can_run() {
    for (sql, object) in [
        ("CREATE TRIGGER evil AFTER INSERT ON note_rows BEGIN DELETE FROM note_rows; END", "trigger `evil`"),
        ("CREATE VIEW evil AS SELECT 1", "view `evil`"),
        ("DROP TRIGGER entries_no_update", "trigger `entries_no_update`"),
        ("ALTER TABLE note_rows ADD COLUMN evil TEXT", "table `note_rows`"),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let (store, path) = fresh(folder.path());
        drop(store);
        Connection::open(&path).unwrap().execute_batch(sql).unwrap();
        match Store::open(&path).err() {
            Some(StoreError::Gone { object: found, .. }) if sql.starts_with("DROP") => assert_eq!(found, object),
            Some(StoreError::Foreign { object: found, .. }) => assert_eq!(found, object),
            other => panic!("{sql}: {other:?}"),
        }
    }
}

#[test]
fn files_that_are_no_ledger_and_newer_ones_are_told_apart() {
    let folder = tempfile::tempdir().unwrap();
    let text = folder.path().join("notes.txt");
    std::fs::write(&text, "not a database, but longer than its header: ".repeat(9)).unwrap();
    assert!(matches!(Store::open(&text).err(), Some(StoreError::NotALedger { .. })));
    let other = folder.path().join("other.db");
    Connection::open(&other).unwrap().execute_batch("CREATE TABLE t (a)").unwrap();
    assert!(matches!(Store::open(&other).err(), Some(StoreError::NotALedger { .. })));
    assert!(matches!(Store::open(&folder.path().join("none")).err(), Some(StoreError::NotThere { .. })));
    let (store, path) = fresh(folder.path());
    drop(store);
    let newer = "CREATE TABLE later (a); INSERT INTO refinery_schema_history \
                 SELECT 99, 'later', applied_on, checksum FROM refinery_schema_history LIMIT 1";
    Connection::open(&path).unwrap().execute_batch(newer).unwrap();
    assert!(matches!(Store::open(&path).err(), Some(StoreError::NewerSchema { found: 99, known: 7, .. })));
}

#[test]
fn a_backup_of_a_ledger_in_use_restores_to_the_same_seals() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _, id) = with_readings(folder.path());
    let file = store.put_bytes("letter.txt", b"as it was").unwrap();
    let fact = FileAttached { about: "1".into(), entry: None, file: file.clone() };
    let draft = Draft::new(on("2024-09-01"), Remarks::default(), fact);
    store.append(vec![Addressed { property: Target::Known(id), draft }], recorded(), today()).unwrap();
    let archive = folder.path().join("backup.tar");
    let report = store.backup(&archive).unwrap();
    assert_eq!((report.properties, report.files), (1, 1));
    assert!(matches!(store.backup(&archive), Err(StoreError::AlreadyThere { .. })));
    let to = folder.path().join("restored.stemwall");
    Store::restore(&archive, &to).unwrap();
    let restored = Store::open(&to).unwrap();
    assert_eq!(restored.head(id).unwrap(), store.head(id).unwrap());
    assert_eq!(std::fs::read(restored.file_path(file.sha256)).unwrap(), b"as it was");
    assert!(matches!(Store::restore(&archive, &to).err(), Some(StoreError::AlreadyThere { .. })));
}

#[test]
fn an_archive_with_names_of_its_own_puts_nothing_anywhere() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path) = fresh(folder.path());
    drop(store);
    let good = std::fs::read(&path).unwrap();
    let hostile = |name: &str, kind: tar::EntryType| {
        let archive = folder.path().join("hostile.tar");
        let mut tar = tar::Builder::new(std::fs::File::create(&archive).unwrap());
        let mut add = |name: &str, kind: tar::EntryType, bytes: &[u8]| {
            let mut header = tar::Header::new_old();
            header.as_old_mut().name[..name.len()].copy_from_slice(name.as_bytes());
            header.set_entry_type(kind);
            header.set_mode(0o600);
            header.set_size(bytes.len() as u64);
            if kind == tar::EntryType::Symlink {
                header.set_link_name("/etc/passwd").unwrap();
            }
            header.set_cksum();
            tar.append(&header, bytes).unwrap();
        };
        add("ledger.db", tar::EntryType::Regular, &good);
        add(name, kind, if kind == tar::EntryType::Regular { b"evil" } else { b"" });
        tar.finish().unwrap();
        archive
    };
    for (name, kind) in [
        ("../escaped", tar::EntryType::Regular),
        ("files/../../escaped", tar::EntryType::Regular),
        ("/tmp-escaped", tar::EntryType::Regular),
        ("files/ab/short", tar::EntryType::Regular),
        ("files/link", tar::EntryType::Symlink),
        ("ledger.db", tar::EntryType::Regular),
    ] {
        let to = folder.path().join("restored.stemwall");
        let error = Store::restore(&hostile(name, kind), &to).err();
        assert!(error.is_some(), "{name}");
        let left: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
        assert_eq!(left.len(), 2, "{name} left {left:?}");
    }
}

#[test]
fn an_append_interrupted_at_any_step_is_wholly_before_or_wholly_after() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    let width = |fact: Addressed| serde_json::to_value(fact.draft.fact).unwrap();
    let correction = |typed: &str| {
        let (on, fact) = (on("2024-05-01"), width(reading(id, "2024-05-01", typed)));
        let correction = EntryCorrected { entry: 5, why: "misread".into(), on, v: 1, fact };
        Addressed { property: Target::Known(id), draft: Draft::new(on, Remarks::default(), correction) }
    };
    // One that comes last, two at once, one in the past, and a correction.
    let kinds: [&dyn Fn() -> Vec<Addressed>; 4] = [
        &|| vec![reading(id, "2024-09-01", "0.9 mm")],
        &|| vec![reading(id, "2024-10-01", "0.8 mm"), reading(id, "2024-10-02", "0.9 mm")],
        &|| vec![reading(id, "2024-03-01", "0.7 mm")],
        &|| vec![correction("1.1 mm")],
    ];
    for drafts in kinds {
        let mut interrupted = 0;
        for step in 1.. {
            let before = store.head(id).unwrap();
            let left = Arc::new(AtomicU64::new(step));
            let outcome = store.interrupted_after(left.clone(), |store| store.append(drafts(), recorded(), today()));
            let after = store.head(id).unwrap();
            match outcome {
                Ok(receipts) => {
                    let last = receipts.last().unwrap();
                    assert_eq!(after, Some((last.seq, last.hash)));
                    break;
                }
                Err(error) => {
                    assert_eq!(after, before, "step {step}");
                    assert!(error.to_string().contains("interrupt"), "step {step}: {error}");
                    interrupted += 1;
                }
            }
        }
        assert!(interrupted > 100, "{interrupted}");
    }
    assert_eq!(verified(&path), [""; 0]);
    let raw = Connection::open(&path).unwrap();
    let check: String = raw.query_row("PRAGMA integrity_check", [], |r| r.get(0)).unwrap();
    assert_eq!(check, "ok");
    assert!(raw.prepare("PRAGMA foreign_key_check").unwrap().query([]).unwrap().next().unwrap().is_none());
}
