//! The first look on any day, from a ledger that can be written and from one that cannot.

use chrono::NaiveDate;
use uuid::Uuid;

use super::super::Waits;
use super::made_tests::{crack, day, fresh, house, radon, recorded, section, verified};
use crate::store::{StatusRow, StatusTotals, Store};

fn look(store: &mut Store, today: NaiveDate) -> (Vec<StatusRow>, StatusTotals) {
    let mut rows = Vec::new();
    store
        .status(today, None, &Waits::default(), &mut |row| {
            rows.push(row);
            Ok(())
        })
        .unwrap();
    (rows, store.status_totals(today).unwrap())
}

/// Three houses; the radon test of one runs out after two years, what is asked for then changes.
fn three_houses(folder: &std::path::Path) -> (Store, std::path::PathBuf) {
    let (mut store, path) = fresh(folder);
    let ids = [1, 2, 3].map(Uuid::from_u128);
    for (id, key) in ids.into_iter().zip(["ash", "elm", "oak"]) {
        store.append(vec![house(key, id), section(id, "main")], recorded(), day("2024-02-01")).unwrap();
    }
    let drafts = vec![radon(ids[1], "main", "1.0 pCi/L"), crack(ids[2])];
    store.append(drafts, recorded(), day("2024-02-01")).unwrap();
    (store, path)
}

#[test]
fn a_ledger_that_cannot_be_written_is_shown_as_of_today_all_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path) = three_houses(folder.path());
    let days = ["2026-03-01", "2031-03-01", "2024-02-01"].map(day);
    let mut stored = |today: &NaiveDate| {
        store.rebuild(*today, &mut |_, _| ()).unwrap();
        look(&mut store, *today)
    };
    let shown: Vec<_> = days.iter().map(&mut stored).collect();
    assert_ne!(shown[0].0, shown[2].0, "nothing changed in two years");
    stored(&days[2]);
    drop(store);
    let mut read_only = crate::store::open::immutable(&path).unwrap();
    for (today, shown) in days.iter().zip(&shown) {
        assert_eq!(&look(&mut read_only, *today), shown, "{today}");
        let mut first = Vec::new();
        let mut each = |row| {
            first.push(row);
            Ok(())
        };
        read_only.status(*today, Some(1), &Waits::default(), &mut each).unwrap();
        assert_eq!(first, shown.0[..1], "{today}");
    }
}

#[test]
fn looking_ahead_writes_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path) = three_houses(folder.path());
    drop(store);
    let as_of = || -> Vec<String> {
        let connection = rusqlite::Connection::open(&path).unwrap();
        let mut statement = connection.prepare("SELECT as_of FROM overview").unwrap();
        statement.query_map([], |r| r.get(0)).unwrap().map(Result::unwrap).collect()
    };
    let before = as_of();
    let mut store = Store::open_to_read(&path).unwrap();
    look(&mut store, day("2031-03-01"));
    drop(store);
    assert_eq!(as_of(), before);
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn rows_come_worst_first_then_by_key() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, _) = three_houses(folder.path());
    for today in ["2026-03-01", "2031-03-01"] {
        let (rows, totals) = look(&mut store, day(today));
        assert_eq!((rows.len(), totals.properties), (3, 3));
        let order: Vec<_> = rows.iter().map(|r| (std::cmp::Reverse(r.worst), r.key.clone())).collect();
        assert!(order.is_sorted(), "{today}: {order:?}");
    }
}
