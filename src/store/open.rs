//! Opening: nothing of a stranger's database runs before it is known to be ours.

use std::os::unix::fs::OpenOptionsExt;
use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, Utc};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use sha2::{Digest, Sha256};

use super::error::StoreError;
use super::{Store, cut, files};
use crate::ledger::entry::Remarks;
use crate::ledger::kind::ledger_started::LedgerStarted;

/// `Stem`: what the first bytes of a ledger say it is.
const APPLICATION_ID: i32 = i32::from_be_bytes(*b"Stem");
/// The last migration in `migrations/`.
pub(super) const SCHEMA_VERSION: i64 = 7;
/// SHA-256 over every object of a ledger of [`SCHEMA_VERSION`]; a test computes it from the migrations.
const FINGERPRINT: &str = "a2ee08ae40a52f1a2925b21c003f3ae42f837fbd1f8127c81a5706a91614d975";
/// Where the migrations that were applied are noted.
const HISTORY: &str = "refinery_schema_history";
/// How long another program's lock is waited for.
pub(super) const PATIENCE: Duration = Duration::from_secs(10);

mod embedded {
    refinery::embed_migrations!("migrations");
}

/// Something about where a ledger lies that its owner should know.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Warning {
    #[error("`{}` is on a network file system ({kind}), where two computers at once can damage it", path.display())]
    NetworkFileSystem { path: PathBuf, kind: &'static str },
    #[error("`{}` is in a folder that is synchronised ({folder}), which can damage a ledger in use", path.display())]
    SynchronisedFolder { path: PathBuf, folder: String },
}

impl Store {
    /// Makes a ledger where there is none; it appears whole or not at all.
    pub fn create(
        path: &Path,
        started: LedgerStarted,
        remarks: Remarks,
        recorded: DateTime<Utc>,
    ) -> Result<Store, StoreError> {
        if path.exists() {
            return Err(StoreError::AlreadyThere { path: path.to_owned() });
        }
        let folder = folder_of(path)?;
        let made = tempfile::Builder::new().prefix(".stemwall-new-").tempdir_in(&folder);
        let made = made.map_err(|e| StoreError::io(path, &e))?;
        let inside = made.path().join("ledger");
        std::fs::OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(&inside)
            .map_err(|e| StoreError::io(path, &e))?;
        let sql = |e| StoreError::sql(path, e);
        let mut connection = Connection::open(&inside).map_err(sql)?;
        connection.pragma_update(None, "application_id", APPLICATION_ID).map_err(sql)?;
        prepare(&connection).map_err(sql)?;
        migrate(&mut connection, path)?;
        let mut store = Store::around(connection, inside.clone(), false)?;
        store.start(started, remarks, recorded)?;
        drop(store);
        // Everything is in the one file now: the last connection has folded the log into it.
        files::sync(&inside)?;
        files::move_new(&inside, path)?;
        files::sync(&folder)?;
        Store::open(path)
    }

    /// Opens a ledger to read and write; one of an older schema is brought up to date.
    pub fn open(path: &Path) -> Result<Store, StoreError> {
        Store::opened(path, OpenFlags::SQLITE_OPEN_READ_WRITE)
    }

    /// Opens a ledger to read only.
    pub fn open_to_read(path: &Path) -> Result<Store, StoreError> {
        match Store::opened(path, OpenFlags::SQLITE_OPEN_READ_ONLY) {
            // A ledger on a read-only medium has no room for the log's shared memory: read it as it lies.
            Err(StoreError::ReadOnly { .. }) if path.is_file() => immutable(path),
            other => other,
        }
    }

    fn opened(path: &Path, flags: OpenFlags) -> Result<Store, StoreError> {
        if !path.is_file() {
            return Err(StoreError::NotThere { path: path.to_owned() });
        }
        if let Some(detail) = cut::what_is_missing(path) {
            return Err(StoreError::Damaged { path: path.to_owned(), detail });
        }
        let sql = |e| StoreError::sql(path, e);
        let flags = flags | OpenFlags::SQLITE_OPEN_NO_MUTEX | OpenFlags::SQLITE_OPEN_EXRESCODE;
        let mut connection = Connection::open_with_flags(path, flags).map_err(sql)?;
        guard(&connection).map_err(sql)?;
        let version = check_schema(&connection, path)?;
        let read_only = connection.is_readonly("main").map_err(sql)?;
        if version < SCHEMA_VERSION {
            if read_only {
                return Store::open(path);
            }
            prepare(&connection).map_err(sql)?;
            migrate(&mut connection, path)?;
        }
        if !read_only {
            prepare(&connection).map_err(sql)?;
        }
        let store = Store::around(connection, path.to_owned(), read_only)?;
        if !read_only {
            store.finish_erasures();
        }
        Ok(store)
    }
}

/// Opens a file that nobody can change, this program included.
///
/// Errors: a log beside it holds entries; reading past them would show the ledger as it once was.
pub(super) fn immutable(path: &Path) -> Result<Store, StoreError> {
    let connection = immutable_connection(path)?;
    check_schema(&connection, path)?;
    Store::around(connection, path.to_owned(), true)
}

fn immutable_connection(path: &Path) -> Result<Connection, StoreError> {
    if std::fs::metadata(log_of(path)).is_ok_and(|log| log.len() > 0) {
        return Err(StoreError::ReadOnly { path: path.to_owned() });
    }
    let sql = |e| StoreError::sql(path, e);
    let connection = unchanging(path).map_err(sql)?;
    guard(&connection).map_err(sql)?;
    Ok(connection)
}

/// The log of writes that are not in the file yet.
pub(super) fn log_of(path: &Path) -> PathBuf {
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    log.into()
}

/// What can be read of a file whose end is missing: SQLite reads it only where the schema may be written, which a connection that
/// reads cannot do. `None` where it is not made as a ledger is, so that nothing of a stranger's runs.
pub(super) fn cut_short(path: &Path) -> Option<Connection> {
    let connection = unchanging(path).ok()?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false).ok()?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_WRITABLE_SCHEMA, true).ok()?;
    (fingerprint(&objects(&connection).ok()?) == FINGERPRINT).then_some(connection)
}

fn unchanging(path: &Path) -> rusqlite::Result<Connection> {
    let text = path.to_string_lossy().replace('%', "%25").replace('?', "%3f").replace('#', "%23");
    let uri = format!("file:{text}?immutable=1");
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_URI | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    Connection::open_with_flags(uri, flags)
}

/// One more connection to a ledger that is open, to check it beside the others.
pub(super) fn to_check(path: &Path) -> Result<Connection, StoreError> {
    let sql = |e| StoreError::sql(path, e);
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let connection = Connection::open_with_flags(path, flags).map_err(sql)?;
    guard(&connection).map_err(sql)?;
    match connection.query_row(include_str!("sql/schema_version.sql"), [], |_| Ok(())) {
        Err(error) => match sql(error) {
            StoreError::ReadOnly { .. } => immutable_connection(path),
            other => Err(other),
        },
        Ok(()) => Ok(connection),
    }
}

/// What holds before the first statement that could touch an object of the database.
fn guard(connection: &Connection) -> rusqlite::Result<()> {
    connection.busy_timeout(PATIENCE)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true)?;
    // Plans do not hang on bound values, so no statement is ever prepared again because one changed.
    connection.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    connection.set_prepared_statement_cache_capacity(96);
    Ok(())
}

/// What a connection that writes holds to.
fn prepare(connection: &Connection) -> rusqlite::Result<()> {
    guard(connection)?;
    connection.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
    connection.pragma_update(None, "synchronous", "FULL")?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "secure_delete", true)?;
    // Pages, 64 MiB: the log is folded into the file less often than after each 4 MiB, as an import would have it, and still
    // whenever the last connection closes. What is in the log is on disk either way.
    connection.pragma_update(None, "wal_autocheckpoint", 16_384)?;
    // KiB, taken as needed: with the 2 MiB that SQLite starts from, a large import reads its indexes again and again.
    connection.pragma_update(None, "cache_size", -32_768)?;
    Ok(())
}

fn migrate(connection: &mut Connection, path: &Path) -> Result<(), StoreError> {
    // In one transaction: by itself each statement would have one of its own, and so would the note that it was applied.
    let failed =
        |e: refinery::Error| StoreError::Sql(format!("`{}` cannot be brought up to date: {e}", path.display()));
    embedded::migrations::runner().set_grouped(true).run(connection).map(drop).map_err(failed)
}

/// Compares every object of the database with ours, and gives its schema version.
fn check_schema(connection: &Connection, path: &Path) -> Result<i64, StoreError> {
    let sql = |e| StoreError::sql(path, e);
    let id: i32 = connection.pragma_query_value(None, "application_id", |r| r.get(0)).map_err(sql)?;
    if id != APPLICATION_ID {
        return Err(StoreError::NotALedger { path: path.to_owned() });
    }
    if fingerprint(&self::objects(connection).map_err(sql)?) == FINGERPRINT {
        return as_noted(connection, path);
    }
    // Objects and version of one moment: another program may be bringing it up to date.
    let moment = connection.unchecked_transaction().map_err(sql)?;
    let objects = self::objects(&moment).map_err(sql)?;
    if fingerprint(&objects) == FINGERPRINT {
        return as_noted(&moment, path);
    }
    // Asked only of a table: a view of that name would run.
    let history = objects.iter().find(|o| o.name == HISTORY);
    if let Some(other) = history.filter(|o| {
        o.kind != "table" || o.sql.to_uppercase().contains("VIRTUAL") || o.sql.to_uppercase().contains(" AS ")
    }) {
        return Err(StoreError::Foreign { path: path.to_owned(), object: other.named() });
    }
    let version = match moment.query_row(include_str!("sql/schema_version.sql"), [], |r| r.get::<_, i64>(0)) {
        Ok(version) => version,
        Err(_) => return Err(StoreError::NotALedger { path: path.to_owned() }),
    };
    if version > SCHEMA_VERSION {
        return Err(StoreError::NewerSchema { path: path.to_owned(), found: version, known: SCHEMA_VERSION });
    }
    let ours = objects_of_version(version, path)?;
    let path = path.to_owned();
    if let Some(object) = objects.iter().find(|o| !ours.contains(o)) {
        return Err(StoreError::Foreign { path, object: object.named() });
    }
    match ours.iter().find(|o| !objects.contains(o)) {
        None => Ok(version),
        Some(object) => Err(StoreError::Gone { path, object: object.named() }),
    }
}

/// The version of a ledger whose objects are all those of ours: a newer program may have changed what its rows mean and no
/// object at all, so the migrations it noted are asked too.
fn as_noted(connection: &Connection, path: &Path) -> Result<i64, StoreError> {
    let noted = connection.query_row(include_str!("sql/schema_version.sql"), [], |r| r.get::<_, i64>(0));
    match noted.map_err(|e| StoreError::sql(path, e))? {
        found if found > SCHEMA_VERSION => {
            Err(StoreError::NewerSchema { path: path.to_owned(), found, known: SCHEMA_VERSION })
        }
        _ => Ok(SCHEMA_VERSION),
    }
}

#[derive(Debug, PartialEq)]
struct Object {
    kind: String,
    name: String,
    table: String,
    sql: String,
}

impl Object {
    fn named(&self) -> String {
        format!("{} `{}`", self.kind, self.name)
    }

    /// Tables that SQLite itself keeps when a client asks it to look at how the rows are spread.
    fn is_statistics(&self) -> bool {
        let known =
            ["CREATE TABLE sqlite_stat1(tbl,idx,stat)", "CREATE TABLE sqlite_stat4(tbl,idx,neq,nlt,ndlt,sample)"];
        self.kind == "table" && self.name.starts_with("sqlite_stat") && known.contains(&self.sql.as_str())
    }
}

fn objects(connection: &Connection) -> rusqlite::Result<Vec<Object>> {
    let mut statement = connection.prepare(include_str!("sql/schema.sql"))?;
    let read = |r: &rusqlite::Row| Ok(Object { kind: r.get(0)?, name: r.get(1)?, table: r.get(2)?, sql: r.get(3)? });
    let all: rusqlite::Result<Vec<_>> = statement.query_map([], read)?.collect();
    // Whether SQLite keeps statistics is no part of what a ledger is.
    all.map(|all| all.into_iter().filter(|o| !o.is_statistics()).collect())
}

fn fingerprint(objects: &[Object]) -> String {
    let mut hasher = Sha256::new();
    for object in objects {
        for part in [&object.kind, &object.name, &object.table, &object.sql] {
            // Its length goes before each part, so that no text can pass for the end of one and the start of another.
            hasher.update((part.len() as u64).to_be_bytes());
            hasher.update(part.as_bytes());
        }
    }
    crate::ledger::hash::Hash::from_bytes(hasher.finalize().into()).to_hex()
}

/// The objects of a fresh ledger of an older version, made in memory.
fn objects_of_version(version: i64, path: &Path) -> Result<Vec<Object>, StoreError> {
    let sql = |e| StoreError::sql(path, e);
    let mut fresh = Connection::open_in_memory().map_err(sql)?;
    let target = i32::try_from(version).map_err(|_| StoreError::NotALedger { path: path.to_owned() })?;
    let runner = embedded::migrations::runner().set_target(refinery::Target::Version(target));
    runner.run(&mut fresh).map_err(|e| StoreError::Sql(e.to_string()))?;
    objects(&fresh).map_err(sql)
}

fn folder_of(path: &Path) -> Result<PathBuf, StoreError> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new(".")).to_owned();
    if folder.is_dir() { Ok(folder) } else { Err(StoreError::NoFolder { path: folder }) }
}

/// What there is to say about where a ledger lies.
pub(super) fn warnings(path: &Path) -> Vec<Warning> {
    let mut out = Vec::new();
    if let Ok(stat) = rustix::fs::statfs(path) {
        // Magic numbers of statfs(2).
        #[allow(clippy::unnecessary_cast)] // the field's width differs between platforms
        let kind = match stat.f_type as u64 & 0xffff_ffff {
            0x6969 => Some("NFS"),
            0x517b | 0xff53_4d42 | 0xfe53_4d42 => Some("SMB"),
            0x0102_1997 => Some("9P"),
            0x5346_414f => Some("AFS"),
            0x00c3_6400 => Some("Ceph"),
            0x6573_5546 => Some("FUSE"),
            _ => None,
        };
        out.extend(kind.map(|kind| Warning::NetworkFileSystem { path: path.to_owned(), kind }));
    }
    let whole = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    let synchronised = [
        "dropbox",
        "onedrive",
        "icloud",
        "google drive",
        "googledrive",
        "nextcloud",
        "syncthing",
        "com~apple~clouddocs",
    ];
    let folder = whole.components().find(|c| {
        let name = c.as_os_str().to_string_lossy().to_lowercase();
        synchronised.iter().any(|s| name.starts_with(s))
    });
    out.extend(folder.map(|c| Warning::SynchronisedFolder {
        path: path.to_owned(),
        folder: c.as_os_str().to_string_lossy().into_owned(),
    }));
    out
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::{FINGERPRINT, SCHEMA_VERSION, fingerprint, objects_of_version, warnings};

    #[test]
    fn the_fingerprint_is_that_of_the_migrations() {
        let objects = objects_of_version(SCHEMA_VERSION, Path::new("memory")).unwrap();
        assert_eq!(fingerprint(&objects), FINGERPRINT);
    }

    #[test]
    fn a_synchronised_folder_is_warned_of() {
        let folder = tempfile::tempdir().unwrap();
        let inside = folder.path().join("Dropbox");
        std::fs::create_dir(&inside).unwrap();
        let ledger = inside.join("houses.stemwall");
        std::fs::write(&ledger, "").unwrap();
        let said: Vec<String> = warnings(&ledger).iter().map(ToString::to_string).collect();
        assert!(said.iter().any(|w| w.contains("synchronised (Dropbox)")), "{said:?}");
        assert!(!warnings(folder.path()).iter().any(|w| w.to_string().contains("synchronised")));
    }
}
