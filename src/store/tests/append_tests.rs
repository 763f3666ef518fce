//! The two doors: what they refuse, what a stopped one leaves, and that batches do not matter.

use std::sync::Arc;
use std::sync::atomic::AtomicU64;

use rusqlite::Connection;
use rusqlite::types::Value;
use uuid::Uuid;

use super::made_tests::{
    added, correct, crack, erase, fresh, house, known, note, on, put, radon, reading, recorded, refused, section,
    strike, today, verified, width, with_readings,
};
use crate::ledger::entry::{Attachment, Remarks};
use crate::ledger::fold::{Draft, fold};
use crate::ledger::hash::Hash;
use crate::ledger::kind::note_added::NoteAdded;
use crate::ledger::kind::property_archived::PropertyArchived;
use crate::ledger::kind::setting_changed::SettingChanged;
use crate::ledger::subject::Subject;
use crate::store::{Addressed, AppendError, Store, StoreError, Target};

/// Every projected row but those of texts, whose words hold no salt either but stand by entry.
pub fn rows(store: &Store) -> Vec<Vec<Value>> {
    let connection = Connection::open(store.path()).unwrap();
    let mut out = Vec::new();
    for table in crate::store::project::TABLES {
        let mut statement = connection.prepare(&format!("SELECT * FROM {} ORDER BY 1, 2", table.name)).unwrap();
        let columns = statement.column_count();
        let read = |r: &rusqlite::Row| (0..columns).map(|c| r.get(c)).collect::<Result<Vec<Value>, _>>();
        out.extend(statement.query_map([], read).unwrap().map(Result::unwrap));
    }
    out
}

#[test]
fn a_correction_cannot_take_the_key_of_another_house() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path) = fresh(folder.path());
    let (elm, oak) = (Uuid::new_v4(), Uuid::new_v4());
    put(&mut store, vec![house("elm", elm), house("oak", oak)]);
    let said = refused(&mut store, vec![correct(oak, 1, "2024-01-01", added("elm"))]);
    assert_eq!(said, [(0, "property `elm` exists already".to_owned())]);
    assert_eq!(store.keys(true).unwrap(), ["elm", "oak"]);
    put(&mut store, vec![correct(oak, 1, "2024-01-01", added("ash"))]);
    assert_eq!(store.keys(true).unwrap(), ["ash", "elm"]);
    assert_eq!(store.property_id("oak").unwrap(), None);
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn every_problem_of_every_house_of_a_batch_is_reported() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _, elm) = with_readings(folder.path());
    let (one, other) = (Uuid::new_v4(), Uuid::new_v4());
    let drafts = vec![reading(elm, "2027-01-01", "0.9 mm"), house("oak", one), house("oak", other), house("elm", one)];
    let indices: Vec<usize> = refused(&mut store, drafts).iter().map(|(index, _)| *index).collect();
    assert!(indices.starts_with(&[0, 2, 3]) && !indices.contains(&1), "{indices:?}");
    assert_eq!(store.keys(true).unwrap(), ["elm"]);
}

#[test]
fn a_draft_for_a_house_that_is_not_here_says_so() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _) = fresh(folder.path());
    let nowhere = Uuid::new_v4();
    for draft in [crack(nowhere), known(nowhere, "2024-01-01", added("elm")), strike(nowhere, 1)] {
        let said = refused(&mut store, vec![draft]);
        assert!(said.iter().any(|(_, why)| why == "the property does not exist"), "{said:?}");
    }
}

#[test]
fn a_second_delivery_is_told_what_the_first_one_recorded() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, elm) = with_readings(folder.path());
    let oak = Uuid::new_v4();
    put(&mut store, vec![house("oak", oak)]);
    let opened = crack(elm);
    let first = store.append(vec![opened.clone()], recorded(), today()).unwrap().remove(0);
    assert_eq!((first.key.as_str(), &first.subjects), ("elm", &vec![Subject::Finding(2)]));
    // The same id, sent for the other house by mistake: the receipt names where the entry is.
    for again in [opened.clone(), Addressed { property: Target::Known(oak), ..opened.clone() }] {
        let receipt = store.append(vec![again], recorded(), today()).unwrap().remove(0);
        assert!(receipt.already);
        assert_eq!(crate::store::Receipt { already: false, ..receipt }, first);
    }
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn an_archived_house_takes_only_what_sets_its_record_right() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    put(&mut store, vec![known(id, "2025-02-01", PropertyArchived { why: "sold".into() })]);
    let said = refused(&mut store, vec![reading(id, "2025-03-01", "0.9 mm")]);
    assert_eq!(said, [(0, "property `elm` was archived on 2025-02-01".to_owned())]);
    put(&mut store, vec![strike(id, 6), reading(id, "2025-03-01", "0.9 mm")]);
    assert_eq!(store.keys(false).unwrap(), ["elm"]);
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn an_entry_is_not_recorded_before_its_files_are_there() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _, id) = with_readings(folder.path());
    let photo = Attachment { sha256: Hash::of(b"never put"), name: "face.png".into(), bytes: 9, taken: None };
    let remarks = Remarks { photos: vec![photo], ..Remarks::default() };
    let draft =
        Draft::new(on("2024-09-01"), remarks, NoteAdded { about: String::new(), text: "seen".into(), look: false });
    let before = store.head(id).unwrap();
    let error = store.append(vec![Addressed { property: Target::Known(id), draft }], recorded(), today()).unwrap_err();
    assert!(matches!(error, AppendError::Store(StoreError::File { .. })), "{error}");
    assert_eq!(store.head(id).unwrap(), before);
}

#[test]
fn a_setting_changed_by_another_program_holds_for_the_next_entry() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path) = fresh(folder.path());
    let id = Uuid::new_v4();
    put(&mut store, vec![house("elm", id), section(id, "main"), radon(id, "main", "1.0 pCi/L")]);
    let mut other = Store::open(&path).unwrap();
    let change = SettingChanged { name: "radon-retest-years".into(), value: "5".into() };
    other.append_setting(change, Remarks::default(), recorded()).unwrap();
    other.rebuild(today(), &mut |_, _| ()).unwrap();
    put(&mut store, vec![note(id, "2025-06-01", "looked again")]);
    assert_eq!(store.settings().choices.radon_retest.word(), "5");
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn a_refused_setting_leaves_the_ledger_free() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _, id) = with_readings(folder.path());
    let change = SettingChanged { name: "units".into(), value: "furlongs".into() };
    let error = store.append_setting(change, Remarks::default(), recorded()).unwrap_err();
    assert!(matches!(error, AppendError::Refused(_)));
    put(&mut store, vec![reading(id, "2025-03-01", "0.9 mm")]);
}

#[test]
fn houses_taken_in_turns_are_recorded_as_if_one_after_the_other() {
    let drafts = |ids: [Uuid; 3]| -> Vec<Vec<Addressed>> {
        let keys = ["ash", "elm", "oak"];
        ids.iter()
            .zip(keys)
            .map(|(id, key)| {
                let mut drafts = vec![house(key, *id), crack(*id)];
                let days = ["2024-02-01", "2024-06-01", "2024-04-01", "2024-09-01"];
                drafts.extend(days.map(|day| reading(*id, day, "0.9 mm")));
                drafts.push(correct(*id, 4, "2024-06-02", width(1, "1.1 mm")));
                drafts
            })
            .collect()
    };
    let ids = [1, 2, 3].map(Uuid::from_u128);
    let [turns, whole] = [(); 2].map(|()| tempfile::tempdir().unwrap());
    let (mut in_turns, path) = fresh(turns.path());
    let of_each = drafts(ids);
    let batch = (0..of_each[0].len()).flat_map(|i| of_each.iter().map(move |of| of[i].clone())).collect();
    let receipts = in_turns.append(batch, recorded(), today()).unwrap();
    let keys: Vec<&str> = receipts.iter().take(4).map(|r| r.key.as_str()).collect();
    assert_eq!(keys, ["ash", "elm", "oak", "ash"], "receipts come in the order of the drafts");
    let (mut single, _) = fresh(whole.path());
    for draft in drafts(ids).into_iter().flatten() {
        put(&mut single, vec![draft]);
    }
    assert_eq!(rows(&in_turns), rows(&single));
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn whatever_is_interrupted_is_wholly_before_or_wholly_after_on_disk_and_in_memory() {
    type Work = fn(&mut Store, Uuid) -> Result<(), String>;
    fn one(store: &mut Store, draft: Addressed) -> Result<(), String> {
        store.append(vec![draft], recorded(), today()).map(drop).map_err(|e| e.to_string())
    }
    let works: [(&str, Work); 8] = [
        ("an older reading", |s, id| one(s, reading(id, "2024-03-01", "0.9 mm"))),
        ("a correction", |s, id| one(s, correct(id, 3, "2024-02-01", width(1, "0.7 mm")))),
        ("a strike", |s, id| one(s, strike(id, 4))),
        ("an erasure", |s, id| one(s, erase(id, 5))),
        ("a new house", |s, _| one(s, house("oak", Uuid::from_u128(7)))),
        ("a setting", |s, _| {
            let change = SettingChanged { name: "units".into(), value: "metric".into() };
            s.append_setting(change, Remarks::default(), recorded()).map(drop).map_err(|e| e.to_string())
        }),
        ("an adoption", |s, _| {
            let other = tempfile::tempdir().unwrap();
            let (mut from, _) = fresh(other.path());
            put(&mut from, vec![house("ash", Uuid::from_u128(9)), crack(Uuid::from_u128(9))]);
            let chain = from.raw_entries(Uuid::from_u128(9)).unwrap();
            s.adopt(&chain, today()).map(drop).map_err(|e| e.to_string())
        }),
        ("a rebuild", |s, _| s.rebuild(today(), &mut |_, _| ()).map(drop).map_err(|e| e.to_string())),
    ];
    for (what, work) in works {
        let folder = tempfile::tempdir().unwrap();
        let (mut store, path, id) = with_readings(folder.path());
        let heads = |store: &Store| -> Vec<_> {
            store.listed().unwrap().into_iter().map(|c| (c.number, c.entries, c.head)).collect()
        };
        let (before, mut stopped, mut step) = (heads(&store), 0, 1);
        loop {
            let done = store.interrupted_after(Arc::new(AtomicU64::new(step)), |store| work(store, id));
            let Err(error) = done else { break };
            assert!(error.contains("interrupt"), "{what}, step {step}: {error}");
            assert_eq!(heads(&store), before, "{what}, step {step}");
            let entries = store.entries(id).unwrap();
            assert_eq!(store.folded(id).unwrap(), &fold(id, &entries), "{what}, step {step}");
            assert!(store.connection.is_autocommit(), "{what}, step {step}: a transaction was left open");
            stopped += 1;
            step += 1 + step / 16;
        }
        assert!(stopped > 10, "{what} was stopped only {stopped} times");
        let entries = store.entries(id).unwrap();
        assert_eq!(store.folded(id).unwrap(), &fold(id, &entries), "{what}");
        put(&mut store, vec![note(id, "2025-06-01", "and on it goes")]);
        if what == "a setting" {
            store.rebuild(today(), &mut |_, _| ()).unwrap();
        }
        assert_eq!(verified(&path), [""; 0], "{what}");
        let raw = Connection::open(&path).unwrap();
        let check: String = raw.query_row("PRAGMA integrity_check", [], |r| r.get(0)).unwrap();
        assert_eq!(check, "ok", "{what}");
        assert!(
            raw.prepare("PRAGMA foreign_key_check").unwrap().query([]).unwrap().next().unwrap().is_none(),
            "{what}"
        );
    }
}

#[test]
fn eight_writers_at_once_keep_every_entry() {
    const EACH: usize = 25;
    let folder = tempfile::tempdir().unwrap();
    let (store, path, id) = with_readings(folder.path());
    let before = store.head(id).unwrap().unwrap().0;
    std::thread::scope(|scope| {
        for writer in 0..8 {
            let path = &path;
            scope.spawn(move || {
                let mut store = Store::open(path).unwrap();
                for i in 0..EACH {
                    let day = format!("2025-{:02}-{:02}", 1 + writer, 1 + i);
                    put(&mut store, vec![reading(id, &day, "0.9 mm")]);
                }
            });
        }
    });
    assert_eq!(store.head(id).unwrap().unwrap().0 - before, 8 * EACH as u64);
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn an_adopted_chain_with_bodies_left_out_still_checks() {
    let [one, two] = [(); 2].map(|()| tempfile::tempdir().unwrap());
    let (mut from, _, id) = with_readings(one.path());
    put(&mut from, vec![note(id, "2025-01-01", "between us"), erase(id, 5)]);
    let mut chain = from.raw_entries(id).unwrap();
    chain[5].body = None;
    let (mut to, path) = fresh(two.path());
    to.adopt(&chain, today()).unwrap();
    assert_eq!(to.raw_entries(id).unwrap(), chain);
    assert_eq!(verified(&path), [""; 0]);
    assert_eq!(to.verify(&mut |_, _| ()).unwrap().absent, 2);
}

#[test]
fn a_chain_is_not_adopted_before_the_files_it_names_are_here() {
    let [one, two] = [(); 2].map(|()| tempfile::tempdir().unwrap());
    let (mut from, _, id) = with_readings(one.path());
    let mut with_photo = note(id, "2025-01-01", "see the photograph");
    with_photo.draft.remarks.photos.push(from.put_bytes("photo.png", b"a photograph").unwrap());
    put(&mut from, vec![with_photo]);
    let chain = from.raw_entries(id).unwrap();
    let (mut to, path) = fresh(two.path());
    assert!(matches!(to.adopt(&chain, today()), Err(AppendError::Store(StoreError::File { .. }))));
    assert_eq!(to.raw_entries(id).unwrap(), []);
    to.put_bytes("photo.png", b"a photograph").unwrap();
    to.adopt(&chain, today()).unwrap();
    assert_eq!(verified(&path), [""; 0]);
}
