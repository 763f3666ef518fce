//! Checks a whole ledger: every byte that is hashed, every link, every file, and every row computed from the entries.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::NaiveDate;
use rusqlite::types::Value;
use rusqlite::{Connection, OptionalExtension, Row};
use uuid::Uuid;

use super::adopt::erased_by;
use super::error::StoreError;
use super::files::path_in;
use super::project::{self, TABLES};
use super::read::{StoredEntry, each_stored_entry, hash, whole};
use super::{Store, open};
use crate::ledger::entry::EntryError;
use crate::ledger::fold::{Recorded, fold};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::outlook::{VERSION, outlook};
use crate::ledger::settings::Settings;

/// How what can be computed anew is said to be wrong.
const REBUILDS: &str = "`rebuild` computes it anew";
/// Chains handed to a thread at a time.
const AT_A_TIME: usize = 64;

/// What a check found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Report {
    pub properties: u64,
    pub entries: u64,
    /// Entries whose body was erased.
    pub absent: u64,
    /// Files that entries name, each content once.
    pub files: u64,
    named: BTreeSet<Hash>,
    /// What is wrong, by chain.
    pub bad: Vec<Bad>,
}

/// One thing that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bad {
    /// `elm-street#7`, or the table.
    pub what: String,
    pub why: String,
}

/// A chain as its row says.
pub(super) struct Listed {
    pub number: i64,
    pub property: String,
    pub entries: u64,
    pub head: Hash,
}

/// What the threads share.
struct Check<'a> {
    path: &'a Path,
    files: &'a Path,
    settings: &'a Settings,
    /// The head of the ledger's own chain: with which settings rows are computed.
    settings_head: Hash,
    next: AtomicU64,
    chains: Vec<Listed>,
    progress: Mutex<&'a mut (dyn FnMut(u64, u64) + Send)>,
}

impl Report {
    /// Whether nothing is wrong but what can be computed anew.
    pub fn rebuilds(&self) -> bool {
        !self.bad.is_empty() && self.bad.iter().all(|bad| bad.why.ends_with(REBUILDS))
    }
}

impl Store {
    /// Checks everything, on two threads; `progress` is told how many chains of how many are done.
    pub fn verify(&self, progress: &mut (dyn FnMut(u64, u64) + Send)) -> Result<Report, StoreError> {
        let chains = self.listed()?;
        let files = self.files_folder();
        let check = Check {
            path: &self.path,
            files: &files,
            settings: &self.settings,
            settings_head: self.own.2,
            next: AtomicU64::new(0),
            chains,
            progress: Mutex::new(progress),
        };
        let threads = if check.chains.len() > AT_A_TIME { 2 } else { 1 };
        let (strays, reports) = std::thread::scope(|scope| {
            let workers: Vec<_> = (0..threads).map(|_| scope.spawn(|| check.work())).collect();
            let strays = self.strays();
            let reports = workers.into_iter().map(|w| w.join().expect("a worker ends by itself"));
            (strays, reports.collect::<Vec<Result<Report, StoreError>>>())
        });
        let mut whole = Report::default();
        for report in reports {
            let report = report?;
            whole.properties += report.properties;
            whole.entries += report.entries;
            whole.absent += report.absent;
            whole.named.extend(report.named);
            whole.bad.extend(report.bad);
        }
        whole.files = whole.named.len() as u64;
        whole.bad.extend(strays?);
        whole.bad.sort_by(|a, b| a.what.cmp(&b.what));
        Ok(whole)
    }

    pub(super) fn listed(&self) -> Result<Vec<Listed>, StoreError> {
        let chains = || -> rusqlite::Result<Vec<Listed>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/chains.sql"))?;
            let read = |r: &Row| {
                Ok(Listed { number: r.get(0)?, property: r.get(1)?, entries: whole(r, 2)?, head: hash(r, 3)? })
            };
            statement.query_map([], read)?.collect()
        };
        chains().map_err(|e| self.sql(e))
    }

    /// Rows that belong to no chain, or to no entry, and entries that their index does not lead to.
    fn strays(&self) -> Result<Vec<Bad>, StoreError> {
        let bad = |table: &str, why: String| Bad { what: format!("table {table}"), why };
        let strays = || -> rusqlite::Result<Vec<Bad>> {
            let mut found = Vec::new();
            let mut statement = self.connection.prepare_cached(include_str!("sql/strays.sql"))?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let (table, chain, seq): (String, i64, i64) = (row.get(0)?, row.get(1)?, row.get(2)?);
                found.push(bad(&table, format!("its row of `{}#{seq}` belongs to nothing", self.key_of_chain(chain))));
            }
            let mut statement = self.connection.prepare_cached(include_str!("sql/strays_of_tables.sql"))?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let table: String = row.get(0)?;
                if !found.iter().any(|b: &Bad| b.what == format!("table {table}")) {
                    found.push(bad(&table, "a row of it belongs to nothing".into()));
                }
            }
            let mut statement = self.connection.prepare_cached(include_str!("sql/index_of_entries.sql"))?;
            let mut rows = statement.query([])?;
            while let Some(row) = rows.next()? {
                let (chain, seq): (i64, i64) = (row.get(0)?, row.get(1)?);
                found.push(bad(
                    "entries",
                    format!("the index on ids does not lead to `{}#{seq}`", self.key_of_chain(chain)),
                ));
            }
            Ok(found)
        };
        match strays() {
            Ok(found) => Ok(found),
            // Pages that cannot be read: the workers say which entries stand there.
            Err(error) => match self.sql(error) {
                StoreError::Damaged { detail, .. } => Ok(vec![bad("entries", detail)]),
                other => Err(other),
            },
        }
    }
}

impl Check<'_> {
    fn work(&self) -> Result<Report, StoreError> {
        let connection = open::to_check(self.path)?;
        let sql = |e| StoreError::sql(self.path, e);
        let mut report = Report::default();
        loop {
            let from = self.next.fetch_add(AT_A_TIME as u64, Ordering::Relaxed) as usize;
            let Some(some) = self.chains.get(from..(from + AT_A_TIME).min(self.chains.len())).filter(|s| !s.is_empty())
            else {
                return Ok(report);
            };
            if let Ok(mut progress) = self.progress.lock() {
                (*progress)(from as u64, self.chains.len() as u64);
            }
            // One snapshot for a chain, its head and its rows: others may be writing.
            let snapshot = connection.unchecked_transaction().map_err(sql)?;
            let compare = derived_with(&snapshot).map_err(sql)? == Some((VERSION, self.settings_head));
            for listed in some {
                let Some(chain) = listed_now(&snapshot, listed).map_err(sql)? else {
                    report.bad.push(Bad { what: name(&snapshot, listed, 1), why: "its chain is gone".into() });
                    continue;
                };
                self.check_chain(&snapshot, &chain, compare, &mut report)?;
            }
        }
    }

    fn check_chain(
        &self,
        connection: &Connection,
        chain: &Listed,
        compare: bool,
        report: &mut Report,
    ) -> Result<(), StoreError> {
        report.properties += u64::from(chain.number != 0);
        let mut entries = Vec::new();
        let cut = each_stored_entry(connection, chain.number, &mut |entry| entries.push(entry)).err();
        report.entries += entries.len() as u64;
        let mut read = Vec::with_capacity(entries.len());
        let mut prev = Hash::START;
        for (i, entry) in entries.iter().enumerate() {
            match self.check_entry(chain, entry, i as u64 + 1, prev) {
                Ok(recorded) => {
                    prev = recorded.hash;
                    read.push(recorded);
                }
                // What follows the first bad entry hangs on it.
                Err(why) => {
                    report.bad.push(Bad { what: name(connection, chain, entry.seq), why });
                    return Ok(());
                }
            }
        }
        if let Some(error) = cut {
            let what = name(connection, chain, entries.len() as u64 + 1);
            report.bad.push(Bad { what, why: format!("it cannot be read: {error}") });
            return Ok(());
        }
        if (entries.len() as u64, prev) != (chain.entries, chain.head) {
            let why = format!("the chain should end after {} entries with {}", chain.entries, chain.head);
            report.bad.push(Bad { what: name(connection, chain, entries.len() as u64), why });
            return Ok(());
        }
        for entry in &read {
            if let Some(entries) = seal_of_another(&read, entry) {
                let why = format!("it says that a seal was given, and it is not the seal of entry {entries}");
                report.bad.push(Bad { what: name(connection, chain, entry.seq()), why });
            }
        }
        report.absent += read.iter().filter(|e| e.body.is_none()).count() as u64;
        self.check_absent(connection, chain, &read, report)?;
        self.check_files(connection, chain, &read, report);
        if chain.number != 0 {
            self.check_rows(connection, chain, &read, compare, report)?;
        }
        Ok(())
    }

    /// A body is absent where an entry erased it or where it never came here, and nowhere else.
    fn check_absent(
        &self,
        connection: &Connection,
        chain: &Listed,
        read: &[Recorded],
        report: &mut Report,
    ) -> Result<(), StoreError> {
        let rows = || -> rusqlite::Result<BTreeMap<u64, u64>> {
            let mut statement = connection.prepare_cached(include_str!("sql/erasures_of_chain.sql"))?;
            statement.query_map([chain.number], |r| Ok((whole(r, 0)?, whole(r, 1)?)))?.collect()
        };
        let erasures = rows().map_err(|e| StoreError::sql(self.path, e))?;
        for entry in read {
            let why = match (&entry.body, erasures.get(&entry.seq())) {
                (Some(_), None) => continue,
                (Some(_), Some(_)) => "its body is said to be erased, and is there",
                (None, None) => "its body is missing, and no entry erased it",
                (None, Some(by)) if *by == 0 || erased_by(read, entry.seq()) == Some(*by) => continue,
                (None, Some(_)) => "its body is missing, and the entry that is said to have erased it did not",
            };
            report.bad.push(Bad { what: name(connection, chain, entry.seq()), why: why.into() });
        }
        Ok(())
    }

    /// Everything that can be said of one entry.
    fn check_entry(&self, chain: &Listed, entry: &StoredEntry, seq: u64, prev: Hash) -> Result<Recorded, String> {
        let recorded = Recorded::read(&entry.raw).map_err(|e: EntryError| e.to_string())?;
        let envelope = &recorded.envelope;
        let belongs = Uuid::parse_str(&chain.property).is_ok_and(|id| id == envelope.property);
        if entry.seq != seq || envelope.seq != seq {
            return Err(format!("it stands at place {seq} and says that it is entry {}", envelope.seq));
        }
        if envelope.prev != prev {
            return Err("it does not follow the entry before it".into());
        }
        if !belongs {
            return Err("it belongs to another chain".into());
        }
        if envelope.id != entry.id {
            return Err("its id is not the one in its envelope".into());
        }
        Ok(recorded)
    }

    fn check_files(&self, connection: &Connection, chain: &Listed, read: &[Recorded], report: &mut Report) {
        for entry in read {
            for file in entry.body.iter().flat_map(|b| b.attachments()) {
                report.named.insert(file.sha256);
                let why = match hash_file(&path_in(self.files, file.sha256)) {
                    Ok(found) if found == file.sha256 => continue,
                    Ok(_) => format!("its file `{}` has been changed", file.name),
                    Err(error) => format!("its file `{}` cannot be read: {error}", file.name),
                };
                report.bad.push(Bad { what: name(connection, chain, entry.seq()), why });
            }
        }
    }

    /// Compares every row of a property with what its entries give.
    fn check_rows(
        &self,
        connection: &Connection,
        chain: &Listed,
        read: &[Recorded],
        compare: bool,
        report: &mut Report,
    ) -> Result<(), StoreError> {
        let id = Uuid::parse_str(&chain.property).unwrap_or_default();
        let folded = fold(id, read);
        let absent = read.iter().any(|e| e.body.is_none());
        for (seq, problem) in folded.unplaced.iter().filter(|_| !absent) {
            report.bad.push(Bad { what: name(connection, chain, *seq), why: problem.to_string() });
        }
        let sql = |e| StoreError::sql(self.path, e);
        let as_of = connection
            .prepare_cached(include_str!("sql/as_of.sql"))
            .and_then(|mut s| s.query_row([chain.number], |r| r.get::<_, String>(0)).optional());
        let as_of: Option<NaiveDate> = as_of.map_err(sql)?.and_then(|day| day.parse().ok());
        if as_of.is_none() && folded.property.exists() {
            let what = format!("table overview of {}", key(connection, chain));
            report.bad.push(Bad { what, why: "it has no row of this property, which no list shows".into() });
        }
        let mut rows = project::rows(chain.number, &folded.property);
        rows.extend(project::text_rows(chain.number, read));
        if let Some(as_of) = as_of {
            let outlook = outlook(&folded.property, self.settings, as_of);
            for (subject, row) in &outlook.rows {
                rows.push(project::outlook_row(chain.number, subject, row));
            }
            rows.push(project::overview_row(chain.number, &folded.property, &outlook, as_of));
        }
        for table in TABLES {
            let computed = ["outlook", "overview"].contains(&table.name);
            if computed && (!compare || as_of.is_none()) {
                continue;
            }
            let mut expected: Vec<&Vec<Value>> =
                rows.iter().filter(|(t, _)| t.name == table.name).map(|(_, values)| values).collect();
            let stored = stored_rows(connection, table.of_chain, chain.number).map_err(sql)?;
            let mut stored: Vec<&Vec<Value>> = stored.iter().collect();
            // Rows come in the order of happening or of subjects; stored ones in that of the key.
            expected.sort_by_key(|row| sort_key(row));
            stored.sort_by_key(|row| sort_key(row));
            if expected != stored {
                let what = format!("table {} of {}", table.name, key(connection, chain));
                report.bad.push(Bad { what, why: format!("it is not what the entries give; {REBUILDS}") });
            }
        }
        Ok(())
    }
}

/// The entry whose seal is said to have been given, where what was given is not its hash.
fn seal_of_another(read: &[Recorded], entry: &Recorded) -> Option<u64> {
    let (entries, seal) = match entry.body.as_ref().map(|b| &b.fact)? {
        Fact::SealGiven(given) => (given.entries, given.seal),
        Fact::HandedOver(handed) => (handed.entries, handed.seal),
        Fact::TakenOver(taken) => (taken.entries, taken.seal),
        _ => return None,
    };
    let at = usize::try_from(entries).ok().and_then(|n| read.get(n.checked_sub(1)?));
    at.is_none_or(|e| e.hash != seal).then_some(entries)
}

/// What the computed rows were computed with.
fn derived_with(connection: &Connection) -> rusqlite::Result<Option<(u32, Hash)>> {
    let read = |r: &Row| Ok((r.get(0)?, hash(r, 1)?));
    connection.prepare_cached(include_str!("sql/derived.sql"))?.query_row([], read).optional()
}

/// A chain as its row says in the snapshot at hand.
fn listed_now(connection: &Connection, listed: &Listed) -> rusqlite::Result<Option<Listed>> {
    let mut statement = connection.prepare_cached(include_str!("sql/chain_by_property.sql"))?;
    let property = listed.property.clone();
    let read = |r: &Row| Ok(Listed { number: r.get(0)?, property, entries: whole(r, 1)?, head: hash(r, 2)? });
    statement.query_row([&listed.property], read).optional()
}

fn stored_rows(connection: &Connection, sql: &str, chain: i64) -> rusqlite::Result<Vec<Vec<Value>>> {
    let mut statement = connection.prepare_cached(sql)?;
    let columns = statement.column_count();
    statement.query_map([chain], |r| (0..columns).map(|c| r.get(c)).collect())?.collect()
}

/// The second column, place in the chain, number or name; and the third, where several rows share it.
fn sort_key(row: &[Value]) -> (i64, String, String) {
    let name = |at: usize| match row.get(at) {
        Some(Value::Text(t)) => t.clone(),
        _ => String::new(),
    };
    match row.get(1) {
        Some(Value::Integer(n)) => (*n, String::new(), String::new()),
        _ => (0, name(1), name(2)),
    }
}

fn key(connection: &Connection, chain: &Listed) -> String {
    let key = connection.query_row(include_str!("sql/key_of_chain.sql"), [chain.number], |r| r.get::<_, String>(0));
    key.unwrap_or_else(|_| if chain.number == 0 { "ledger".into() } else { format!("chain-{}", chain.number) })
}

fn name(connection: &Connection, chain: &Listed, seq: u64) -> String {
    format!("{}#{seq}", key(connection, chain))
}

/// SHA-256 of a file, streamed.
pub(super) fn hash_file(path: &Path) -> std::io::Result<Hash> {
    use sha2::Digest;
    use std::io::Read;
    let mut file = std::fs::File::open(path)?;
    let mut hasher = sha2::Sha256::new();
    let mut buffer = vec![0; 1 << 16];
    loop {
        match file.read(&mut buffer)? {
            0 => return Ok(Hash::from_bytes(hasher.finalize().into())),
            read => hasher.update(&buffer[..read]),
        }
    }
}
