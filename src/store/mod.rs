//! The ledger on disk: one SQLite file and a folder of attached files beside it. The only place with SQL.
//!
//! Entries come in through two doors, [`Store::append`] and [`Store::adopt`], each one IMMEDIATE transaction that holds
//! the entries, the projections of the subjects they touch, and the outlook. Everything else only reads, or rebuilds
//! what can be computed from the entries.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use chrono::NaiveDate;
use rusqlite::Connection;
use uuid::Uuid;

use crate::ledger::fold::Folded;
use crate::ledger::hash::Hash;
use crate::ledger::outlook::Outlook;
use crate::ledger::settings::Settings;

mod adopt;
mod ahead;
mod append;
mod backup;
mod copies;
mod cut;
mod due;
mod error;
mod export;
mod files;
mod open;
mod outbox;
mod project;
mod read;
mod rebuild;
mod settings;
mod status;
mod transaction;
mod verify;
mod waits;
mod write;

#[cfg(test)]
mod tests;

pub use append::{Addressed, Receipt, Target};
pub use backup::BackupReport;
pub use copies::Copies;
pub use due::{DueAsked, DueRow};
pub use error::{AppendError, Refusal, StoreError};
pub use export::{Cell, EXPORTED, Exported, Stored};
pub use open::Warning;
pub use outbox::{Begun, ChannelState, Down, Ended, Reminder};
pub use read::Hit;
pub use status::{FindingRow, StatusRow, StatusTotals};
pub use verify::{Bad, Report};
pub use waits::Waits;

/// In place of a chain's number while there is no chain.
const NO_CHAIN: i64 = -1;
/// How many folds are kept in memory.
const KEPT: usize = 64;

/// An open ledger.
pub struct Store {
    connection: Connection,
    path: PathBuf,
    read_only: bool,
    settings: Settings,
    /// The ledger's own chain: its identifier, length and head.
    own: (Uuid, u64, Hash),
    kept: HashMap<Uuid, Kept>,
    /// The data version that the transaction under way has found; `None` where none writes.
    writing: Option<i64>,
    /// The data version at which the settings were last seen to be those on disk.
    settings_of: Option<i64>,
}

/// A property as it was last seen; good while its head is the one on disk.
struct Kept {
    chain: i64,
    folded: Folded,
    outlook: Outlook,
    /// The day the outlook was computed for.
    as_of: NaiveDate,
    /// The outlook was computed since the fold was read: its rows on disk are of another day.
    unwritten: bool,
    /// The overview row as last written by this process.
    overview: Option<Vec<rusqlite::types::Value>>,
    /// The data version at which the head was last seen to be the one on disk; our own writes keep it so.
    seen_at: Option<i64>,
}

impl Kept {
    /// A fold of which nothing was computed yet.
    fn of(chain: i64, folded: Folded) -> Kept {
        Kept {
            chain,
            folded,
            outlook: Outlook::default(),
            as_of: NaiveDate::MIN,
            unwritten: true,
            overview: None,
            seen_at: None,
        }
    }
}

impl Store {
    fn around(connection: Connection, path: PathBuf, read_only: bool) -> Result<Store, StoreError> {
        let own = (Uuid::nil(), 0, Hash::START);
        let mut store = Store {
            connection,
            path,
            read_only,
            settings: Settings::default(),
            own,
            kept: HashMap::new(),
            writing: None,
            settings_of: None,
        };
        store.read_settings()?;
        Ok(store)
    }

    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The settings as they stand.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The identifier of the ledger's own chain, drawn when it began; a dossier or a calendar of a house does not name it.
    pub fn identifier(&self) -> Uuid {
        self.own.0
    }

    /// What there is to say about where the ledger lies.
    pub fn warnings(&self) -> Vec<Warning> {
        open::warnings(&self.path)
    }

    /// Runs `work` with the database interrupting itself once, after `left` of its steps: how it is shown that
    /// a write stopped anywhere leaves nothing.
    #[doc(hidden)]
    pub fn interrupted_after<T>(&mut self, left: Arc<AtomicU64>, work: impl FnOnce(&mut Store) -> T) -> T {
        // Wraps round after its one interruption, so that rolling back is left alone.
        let step = move || left.fetch_sub(1, Ordering::Relaxed) == 0;
        // A handler that cannot be set would interrupt nothing, which its test would notice.
        let _ = self.connection.progress_handler(1, Some(step));
        let done = work(self);
        let _ = self.connection.progress_handler(0, None::<fn() -> bool>);
        done
    }

    fn sql(&self, error: rusqlite::Error) -> StoreError {
        StoreError::sql(&self.path, error)
    }
}
