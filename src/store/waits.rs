//! What a year's wait costs at the houses of the first look, kept until something of a house, the settings or the day changes.

use std::collections::HashMap;

use chrono::NaiveDate;
use rusqlite::{Row, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use crate::deferral::Ladders;
use crate::ledger::outlook::VERSION;
use crate::ledger::waiting::{YearsWait, years_wait};

/// Houses for which it is worked out in one answer; those further down say that it was not.
const FEW: usize = 64;

/// By chain.
#[derive(Debug, Default)]
pub struct Waits(HashMap<i64, YearsWait>);

impl Waits {
    pub(super) fn of(&self, chain: i64) -> Option<YearsWait> {
        self.0.get(&chain).copied()
    }
}

struct Known {
    chain: i64,
    property: Uuid,
    wait: Option<YearsWait>,
}

struct WorkedOut {
    chain: i64,
    entries: u64,
    wait: YearsWait,
}

impl Store {
    /// What a year's wait costs at the first of the houses in the order of `status`, `limit` of them or a few.
    ///
    /// What is worked out is written down for the next answer, where the ledger can be written at once.
    pub fn waits(&mut self, today: NaiveDate, limit: Option<usize>) -> Result<Waits, StoreError> {
        let known = self.known_waits(today, limit.map_or(FEW, |limit| limit.min(FEW)))?;
        let mut waits = Waits::default();
        let mut worked_out = Vec::new();
        let mut ladders = None;
        for Known { chain, property, wait } in known {
            let wait = match wait {
                Some(wait) => wait,
                None => {
                    let ladders = ladders.get_or_insert_with(Ladders::own);
                    let of_house = self.property_on(property, today)?;
                    let wait = years_wait(&of_house, &self.settings, ladders, today);
                    let entries = self.folded(property)?.length;
                    worked_out.push(WorkedOut { chain, entries, wait });
                    wait
                }
            };
            waits.0.insert(chain, wait);
        }
        if !worked_out.is_empty() {
            self.keep_waits(today, &worked_out);
        }
        Ok(waits)
    }

    fn known_waits(&self, today: NaiveDate, limit: usize) -> Result<Vec<Known>, StoreError> {
        let read = |row: &Row| {
            let wait = match row.get::<_, Option<f64>>(2)? {
                None => None,
                Some(low) => Some(YearsWait {
                    low,
                    expected: row.get(3)?,
                    high: row.get(4)?,
                    priced: row.get(5)?,
                    not_priced: row.get(6)?,
                }),
            };
            Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?, wait))
        };
        let rows = || -> rusqlite::Result<Vec<(i64, String, Option<YearsWait>)>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/waits.sql"))?;
            let given = params![today.to_string(), VERSION, self.own.2.as_bytes(), limit as i64];
            statement.query_map(given, read)?.collect()
        };
        let rows = rows().map_err(|e| self.sql(e))?;
        let known = |(chain, id, wait): (i64, String, _)| Some(Known { chain, property: id.parse().ok()?, wait });
        Ok(rows.into_iter().filter_map(known).collect())
    }

    /// Nobody waits for it, and nothing is lost where it cannot be kept: another program is writing, or nobody may.
    fn keep_waits(&mut self, today: NaiveDate, worked_out: &[WorkedOut]) {
        if self.read_only {
            if let Ok(mut writable) = Store::open(&self.path) {
                writable.keep_waits(today, worked_out);
            }
            return;
        }
        let patient = self.connection.busy_timeout(std::time::Duration::ZERO);
        if patient.is_ok() && self.begin().is_ok() {
            let written = worked_out.iter().try_for_each(|one| {
                let YearsWait { low, expected, high, priced, not_priced } = one.wait;
                let head = self.own.2;
                let row = params![
                    one.chain,
                    today.to_string(),
                    VERSION,
                    head.as_bytes(),
                    low,
                    expected,
                    high,
                    priced,
                    not_priced,
                    one.entries
                ];
                self.execute(include_str!("sql/replace_wait.sql"), row)
            });
            match written {
                Ok(()) => drop(self.commit()),
                Err(_) => self.roll_back(),
            }
        }
        // What follows waits for others again as it did before.
        let _ = self.connection.busy_timeout(super::open::PATIENCE);
    }
}
