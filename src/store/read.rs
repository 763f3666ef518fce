//! Reading: chains, folds, and the lists that come from projections.

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::{Connection, OptionalExtension, Row};
use uuid::Uuid;

use super::error::StoreError;
use super::{Kept, Store};
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Folded, Recorded, fold, property_on};
use crate::ledger::hash::Hash;
use crate::ledger::property::Property;

/// A place where a text was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Hit {
    pub key: String,
    pub seq: u64,
    /// Empty for the property itself.
    pub subject: String,
    pub on: String,
    pub kind: String,
    pub text: String,
}

/// A chain as the database knows it.
pub(super) struct Chain {
    pub number: i64,
    pub entries: u64,
    pub head: Hash,
}

pub(super) fn hash(row: &Row, column: usize) -> rusqlite::Result<Hash> {
    row.get::<_, [u8; 32]>(column).map(Hash::from_bytes)
}

pub(super) fn whole(row: &Row, column: usize) -> rusqlite::Result<u64> {
    row.get::<_, i64>(column).map(|n| u64::try_from(n).unwrap_or(0))
}

/// An entry as stored, with the columns that repeat what its envelope says.
pub(super) struct StoredEntry {
    pub seq: u64,
    pub id: Uuid,
    pub raw: RawEntry,
}

pub(super) fn stored_entries(connection: &Connection, chain: i64) -> rusqlite::Result<Vec<StoredEntry>> {
    let mut entries = Vec::new();
    each_stored_entry(connection, chain, &mut |entry| entries.push(entry))?;
    Ok(entries)
}

/// Gives the entries of a chain in order, up to the first that cannot be read.
pub(super) fn each_stored_entry(
    connection: &Connection,
    chain: i64,
    each: &mut dyn FnMut(StoredEntry),
) -> rusqlite::Result<()> {
    let mut statement = connection.prepare_cached(include_str!("sql/entries_of_chain.sql"))?;
    let read = |r: &Row| {
        let raw = RawEntry { hash: hash(r, 1)?, envelope: r.get(3)?, body: r.get(4)? };
        Ok(StoredEntry { seq: whole(r, 0)?, id: Uuid::from_bytes(r.get(2)?), raw })
    };
    statement.query_map([chain], read)?.try_for_each(|entry| entry.map(&mut *each))
}

impl Store {
    /// Keys of the properties, in order.
    pub fn keys(&self, include_archived: bool) -> Result<Vec<String>, StoreError> {
        let keys = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/keys.sql"))?;
            statement.query_map([include_archived], |r| r.get(0))?.collect()
        };
        keys().map_err(|e| self.sql(e))
    }

    /// The identifier behind a key.
    pub fn property_id(&self, key: &str) -> Result<Option<Uuid>, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/property_by_key.sql")).map_err(|e| self.sql(e))?;
        let id: Option<String> = statement.query_row([key], |r| r.get(0)).optional().map_err(|e| self.sql(e))?;
        Ok(id.and_then(|id| id.parse().ok()))
    }

    /// The key of a property; `None` where it has none yet.
    pub fn key_of(&self, id: Uuid) -> Result<Option<String>, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/key_by_property.sql")).map_err(|e| self.sql(e))?;
        statement.query_row([id.to_string()], |r| r.get(0)).optional().map_err(|e| self.sql(e))
    }

    /// When the last entry of a property was entered; `None` where it has none.
    pub fn last_recorded(&self, id: Uuid) -> Result<Option<DateTime<Utc>>, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/last_recorded.sql")).map_err(|e| self.sql(e))?;
        let recorded: Option<String> =
            statement.query_row([id.to_string()], |r| r.get(0)).optional().map_err(|e| self.sql(e))?;
        Ok(recorded.and_then(|text| text.parse().ok()))
    }

    /// Number of entries of a property and the hash of the last: its seal.
    pub fn head(&self, id: Uuid) -> Result<Option<(u64, Hash)>, StoreError> {
        Ok(self.chain(id)?.map(|chain| (chain.entries, chain.head)))
    }

    pub(super) fn chain(&self, id: Uuid) -> Result<Option<Chain>, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/chain_by_property.sql")).map_err(|e| self.sql(e))?;
        let read = |r: &Row| Ok(Chain { number: r.get(0)?, entries: whole(r, 1)?, head: hash(r, 2)? });
        statement.query_row([id.to_string()], read).optional().map_err(|e| self.sql(e))
    }

    /// The bytes of a property's chain, in order.
    pub fn raw_entries(&self, id: Uuid) -> Result<Vec<RawEntry>, StoreError> {
        let Some(chain) = self.chain(id)? else { return Ok(Vec::new()) };
        let stored = stored_entries(&self.connection, chain.number).map_err(|e| self.sql(e))?;
        Ok(stored.into_iter().map(|e| e.raw).collect())
    }

    /// A property's chain as read, in order.
    ///
    /// Errors: the first entry whose bytes are not what its hash says.
    pub fn entries(&self, id: Uuid) -> Result<Vec<Recorded>, StoreError> {
        let Some(chain) = self.chain(id)? else { return Ok(Vec::new()) };
        self.entries_of_chain(chain.number)
    }

    /// The ledger's own chain: its settings.
    pub fn ledger_entries(&self) -> Result<Vec<Recorded>, StoreError> {
        self.entries_of_chain(0)
    }

    pub(super) fn entries_of_chain(&self, chain: i64) -> Result<Vec<Recorded>, StoreError> {
        let stored = stored_entries(&self.connection, chain).map_err(|e| self.sql(e))?;
        let mut out = Vec::with_capacity(stored.len());
        for entry in stored {
            let recorded = Recorded::read(&entry.raw).map_err(|error| StoreError::BadEntry {
                entry: self.entry_name(chain, entry.seq),
                error: error.to_string(),
            })?;
            out.push(recorded);
        }
        Ok(out)
    }

    /// `elm-street#7`; `ledger#2` for the ledger's own chain.
    pub(super) fn entry_name(&self, chain: i64, seq: u64) -> String {
        format!("{}#{seq}", self.key_of_chain(chain))
    }

    pub(super) fn key_of_chain(&self, chain: i64) -> String {
        let key = self.connection.query_row(include_str!("sql/key_of_chain.sql"), [chain], |r| r.get::<_, String>(0));
        key.unwrap_or_else(|_| if chain == 0 { "ledger".into() } else { format!("chain-{chain}") })
    }

    /// A property as it stands.
    pub fn folded(&mut self, id: Uuid) -> Result<&Folded, StoreError> {
        self.keep(id, None)?;
        Ok(&self.kept[&id].folded)
    }

    /// A property as it stood on a day: what happened later is not of it.
    pub fn property_on(&mut self, id: Uuid, day: NaiveDate) -> Result<Property, StoreError> {
        let folded = self.folded(id)?;
        if folded.is_later_than(day) {
            Ok(property_on(id, &self.entries(id)?, day))
        } else {
            Ok(folded.property.clone())
        }
    }

    /// Makes sure that the fold in memory is that of the head on disk; `new` gives the number of a chain to be made.
    pub(super) fn keep(&mut self, id: Uuid, new: Option<i64>) -> Result<(), StoreError> {
        // Within a transaction nobody else writes, and before it nobody did since the head was seen.
        if self.writing.is_some() && self.kept.get(&id).is_some_and(|k| k.seen_at == self.writing) {
            return Ok(());
        }
        let chain = self.chain(id)?;
        let head = chain.as_ref().map_or(Hash::START, |c| c.head);
        if let Some(kept) = self.kept.get_mut(&id).filter(|k| k.folded.head == head) {
            if self.writing.is_some() {
                // Another program may have written the rows of another day.
                kept.unwritten = true;
                kept.seen_at = self.writing;
            }
            return Ok(());
        }
        let number = chain.map(|c| c.number).or(new).unwrap_or(super::NO_CHAIN);
        let entries = self.entries_of_chain(number)?;
        let folded = fold(id, &entries);
        if self.kept.len() >= super::KEPT {
            self.kept.clear();
        }
        let seen_at = self.writing;
        self.kept.insert(id, Kept { seen_at, ..Kept::of(number, folded) });
        Ok(())
    }

    /// Every place where `text` was written, newest first; letters of the Latin alphabet match in either case.
    pub fn find(&self, text: &str) -> Result<Vec<Hit>, StoreError> {
        let escaped = text.replace('\\', "\\\\").replace('%', "\\%").replace('_', "\\_");
        let pattern = format!("%{escaped}%");
        let hits = || -> rusqlite::Result<Vec<Hit>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/find.sql"))?;
            let read = |r: &Row| {
                Ok(Hit {
                    key: r.get(0)?,
                    seq: whole(r, 1)?,
                    subject: r.get(2)?,
                    on: r.get(3)?,
                    kind: r.get(4)?,
                    text: r.get(5)?,
                })
            };
            statement.query_map([pattern], read)?.collect()
        };
        hits().map_err(|e| self.sql(e))
    }
}
