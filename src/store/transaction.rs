//! A transaction that writes: begun, followed in memory, and over on disk and in memory alike.

use rusqlite::ErrorCode;

use super::Store;
use super::error::StoreError;

impl Store {
    // Begun, committed and rolled back by name: what is in memory has to follow either way.
    pub(super) fn begin(&mut self) -> Result<(), StoreError> {
        let begun = self
            .execute(include_str!("sql/begin.sql"), [])
            .and_then(|()| self.data_version())
            .map(|version| self.writing = Some(version))
            .and_then(|()| self.follow_settings());
        if begun.is_err() {
            self.roll_back();
        }
        begun
    }

    pub(super) fn commit(&mut self) -> Result<(), StoreError> {
        let done = self.connection.prepare_cached(include_str!("sql/commit.sql")).and_then(|mut s| s.execute([]));
        let committed = match done {
            // Interrupted when it was done: the transaction is over, and all of it is on disk.
            Err(e) if e.sqlite_error_code() == Some(ErrorCode::OperationInterrupted) && self.is_over() => Ok(()),
            other => other.map(drop).map_err(|e| self.sql(e)),
        };
        self.writing = None;
        if committed.is_err() {
            self.roll_back();
        }
        committed
    }

    /// Leaves nothing of the transaction, neither on disk nor in memory.
    pub(super) fn roll_back(&mut self) {
        if !self.is_over() {
            // SQLite has rolled back by itself where this fails.
            let _ = self.execute(include_str!("sql/roll_back.sql"), []);
        }
        self.kept.clear();
        self.writing = None;
        self.settings_of = None;
    }

    fn is_over(&self) -> bool {
        self.connection.is_autocommit()
    }

    fn data_version(&self) -> Result<i64, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/data_version.sql")).map_err(|e| self.sql(e))?;
        statement.query_row([], |r| r.get(0)).map_err(|e| self.sql(e))
    }

    pub(super) fn execute(&self, sql: &str, params: impl rusqlite::Params) -> Result<(), StoreError> {
        let mut statement = self.connection.prepare_cached(sql).map_err(|e| self.sql(e))?;
        statement.execute(params).map(drop).map_err(|e| self.sql(e))
    }
}
