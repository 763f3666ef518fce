//! A stranger's database: nothing of it runs before it is known to be ours.

use std::path::Path;

use rusqlite::Connection;

use super::made_tests::{fresh, put, reading, with_readings};
use crate::store::{Store, StoreError};

/// Changes the schema's own table, as the writer of a hostile file can.
fn rewrite_schema(path: &Path, sql: &str) {
    let connection = Connection::open(path).unwrap();
    connection.execute_batch(&format!("PRAGMA writable_schema = ON; {sql}; PRAGMA writable_schema = OFF;")).unwrap();
}

fn foreign(path: &Path) -> String {
    match Store::open(path) {
        Err(StoreError::Foreign { object, .. }) => object,
        Err(other) => panic!("{other}"),
        Ok(_) => panic!("it was opened"),
    }
}

#[test]
fn a_view_in_place_of_the_schema_history_is_not_read() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path) = fresh(folder.path());
    drop(store);
    // Reading it would never end.
    let view = "DROP TABLE refinery_schema_history; CREATE VIEW refinery_schema_history AS \
                WITH RECURSIVE n(version) AS (SELECT 1 UNION ALL SELECT version + 1 FROM n) SELECT version FROM n";
    Connection::open(&path).unwrap().execute_batch(view).unwrap();
    let (tell, told) = std::sync::mpsc::channel();
    std::thread::spawn(move || tell.send(foreign(&path)));
    let object = told.recv_timeout(std::time::Duration::from_secs(20)).expect("opening ends");
    assert_eq!(object, "view `refinery_schema_history`");
}

#[test]
fn an_object_named_like_statistics_is_no_statistics() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path) = fresh(folder.path());
    drop(store);
    rewrite_schema(
        &path,
        "INSERT INTO sqlite_schema VALUES ('trigger', 'sqlite_stat_evil', 'note_rows', 0, \
         'CREATE TRIGGER sqlite_stat_evil AFTER INSERT ON note_rows BEGIN DELETE FROM note_rows; END')",
    );
    assert_eq!(foreign(&path), "trigger `sqlite_stat_evil`");
}

#[test]
fn one_object_cannot_pass_for_two() {
    let folder = tempfile::tempdir().unwrap();
    let (store, path) = fresh(folder.path());
    drop(store);
    // The trigger that follows in order is folded into the text of the one before it, behind a byte that ends the text.
    rewrite_schema(
        &path,
        "UPDATE sqlite_schema SET sql = sql || char(0) || \
         (SELECT type || char(0) || name || char(0) || tbl_name || char(0) || sql FROM sqlite_schema \
          WHERE name = 'entries_no_update') WHERE name = 'entries_no_delete'; \
         DELETE FROM sqlite_schema WHERE name = 'entries_no_update'",
    );
    assert_eq!(foreign(&path), "trigger `entries_no_delete`");
}

#[test]
fn a_log_that_cannot_be_read_is_not_passed_over() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path, id) = with_readings(folder.path());
    put(&mut store, vec![reading(id, "2025-03-01", "0.9 mm")]);
    let wal = path.with_extension("stemwall-wal");
    assert!(std::fs::metadata(&wal).unwrap().len() > 0);
    let error = crate::store::open::immutable(&path).err().expect("what the log holds would be missing");
    assert!(matches!(error, StoreError::ReadOnly { .. }), "{error}");
    drop(store);
    let store = crate::store::open::immutable(&path).unwrap();
    assert_eq!(store.head(id).unwrap().unwrap().0, 6);
}

#[test]
fn files_are_private_to_the_user() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().unwrap();
    let (store, path) = fresh(folder.path());
    let file = store.put_bytes("letter.txt", b"as it was").unwrap();
    let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let lies = store.file_path(file.sha256);
    assert_eq!((mode(&path), mode(&lies)), (0o600, 0o600));
    assert_eq!((mode(&store.files_folder()), mode(lies.parent().unwrap())), (0o700, 0o700));
    store.backup(&folder.path().join("backup.tar")).unwrap();
    assert_eq!(mode(&folder.path().join("backup.tar")), 0o600);
}
