//! Everything that is computed from the entries, computed from them again.

use chrono::NaiveDate;
use rusqlite::{OptionalExtension, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use crate::ledger::outlook::VERSION;

/// Properties rebuilt in one transaction.
pub(super) const AT_A_TIME: usize = 500;

impl Store {
    /// Rebuilds all projections and the outlook as of `today`, telling `progress` how many of how many are done; gives
    /// the number of properties.
    pub fn rebuild(&mut self, today: NaiveDate, progress: &mut dyn FnMut(u64, u64)) -> Result<u64, StoreError> {
        let ids = self.properties()?;
        let all = ids.len() as u64;
        let head = self.own.2;
        for (i, some) in ids.chunks(AT_A_TIME).enumerate() {
            progress((i * AT_A_TIME) as u64, all);
            self.begin()?;
            if let Err(error) = some.iter().try_for_each(|id| self.compute_anew(*id, today)) {
                self.roll_back();
                return Err(error);
            }
            self.commit()?;
        }
        self.begin()?;
        // Where a setting was changed meanwhile, some rows are of before: whoever reads next computes them again.
        let marked = if self.own.2 == head { self.mark_current() } else { Ok(()) };
        if let Err(error) = marked {
            self.roll_back();
            return Err(error);
        }
        self.commit()?;
        progress(all, all);
        Ok(all)
    }

    /// Whether the derived rows were computed with these rules and settings.
    pub(super) fn is_current(&self) -> Result<bool, StoreError> {
        let derived = self
            .connection
            .query_row(include_str!("sql/derived.sql"), [], |r| Ok((r.get::<_, u32>(0)?, r.get::<_, [u8; 32]>(1)?)));
        let derived = derived.optional().map_err(|e| self.sql(e))?;
        Ok(derived == Some((VERSION, *self.own.2.as_bytes())))
    }

    /// Notes, in the transaction under way, that the derived rows go with the settings as they stand.
    pub(super) fn mark_current(&self) -> Result<(), StoreError> {
        self.execute(include_str!("sql/set_derived.sql"), params![VERSION, self.own.2.as_bytes()])
    }

    /// How many properties have to be computed anew before the derived rows can be read; `None` where none has.
    pub fn outdated(&self) -> Result<Option<u64>, StoreError> {
        if self.is_current()? { Ok(None) } else { Ok(Some(self.properties()?.len() as u64)) }
    }

    pub(super) fn properties(&self) -> Result<Vec<Uuid>, StoreError> {
        let ids = || -> rusqlite::Result<Vec<(i64, String)>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/chains.sql"))?;
            statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect()
        };
        let ids = ids().map_err(|e| self.sql(e))?;
        Ok(ids.into_iter().filter(|(chain, _)| *chain != 0).filter_map(|(_, id)| id.parse().ok()).collect())
    }

    /// Rebuilds where rules or settings have changed since; a ledger that cannot be written is read as it is.
    pub(super) fn rebuild_if_outdated(&mut self, today: NaiveDate) -> Result<(), StoreError> {
        if self.is_current()? {
            return Ok(());
        }
        if self.read_only {
            return match Store::open(&self.path) {
                Ok(mut writable) => writable.rebuild(today, &mut |_, _| ()).map(drop),
                Err(StoreError::ReadOnly { .. }) => Ok(()),
                Err(error) => Err(error),
            };
        }
        self.rebuild(today, &mut |_, _| ()).map(drop)
    }
}
