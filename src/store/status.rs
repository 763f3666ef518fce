//! The landlord's first look: one row a property, worst first, streamed from an index.

use chrono::NaiveDate;
use rusqlite::{Row, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use crate::ledger::outlook::outlook;
use crate::trade::Band;

/// A property as the first look shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct StatusRow {
    pub key: String,
    pub name: String,
    /// `basement, slab`; empty where no section is known.
    pub foundations: String,
    pub worst: Option<Band>,
    /// What the worst band is of, below the property.
    pub worst_subject: Option<String>,
    pub who: Option<String>,
    pub open_findings: u32,
    pub overdue: u32,
    pub next_due: Option<NextDue>,
    pub not_known: Vec<String>,
}

/// The earliest thing that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct NextDue {
    pub on: NaiveDate,
    /// Below the property; empty for the property itself.
    pub subject: String,
    pub asks: String,
}

/// The line on top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StatusTotals {
    pub properties: u64,
    /// Open findings that go to a licensed person.
    pub called: u64,
    /// Properties with something overdue.
    pub overdue: u64,
}

impl Store {
    /// Counts over all properties that are not archived.
    ///
    /// Rows that the passing of time has changed are computed anew first, see [`Store::freshen`].
    pub fn status_totals(&mut self, today: NaiveDate) -> Result<StatusTotals, StoreError> {
        self.freshen(today)?;
        let read = |r: &Row| {
            let whole = |i| r.get::<_, i64>(i).map(|n| u64::try_from(n).unwrap_or(0));
            Ok(StatusTotals { properties: whole(0)?, called: whole(1)?, overdue: whole(2)? })
        };
        let sql = include_str!("sql/status_totals.sql");
        self.connection.query_row(sql, [today.to_string()], read).map_err(|e| self.sql(e))
    }

    /// Gives the rows in order, as they are read.
    pub fn status(
        &mut self,
        today: NaiveDate,
        limit: Option<usize>,
        each: &mut dyn FnMut(StatusRow) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        self.freshen(today)?;
        let sql = |e| self.sql(e);
        let limit = limit.map_or(-1, |l| i64::try_from(l).unwrap_or(i64::MAX));
        let mut statement = self.connection.prepare_cached(include_str!("sql/status.sql")).map_err(sql)?;
        let mut rows = statement.query(params![today.to_string(), limit]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            each(read(row).map_err(sql)?)?;
        }
        Ok(())
    }

    /// Computes anew the rows that the passing of time may have changed, or that were computed for a later day.
    ///
    /// What is computed here is a cache of what the entries say on `today`: it is written where the ledger can be
    /// written, and otherwise kept in a table of this connection alone.
    fn freshen(&mut self, today: NaiveDate) -> Result<(), StoreError> {
        self.rebuild_if_outdated(today)?;
        let stale: Vec<Uuid> = self.stale(today)?;
        if stale.is_empty() {
            return Ok(());
        }
        if self.read_only {
            let mut writable = match Store::open(&self.path) {
                Ok(store) => store,
                // A ledger that cannot be written is shown as of the day its rows were computed.
                Err(StoreError::ReadOnly { .. }) => return Ok(()),
                Err(error) => return Err(error),
            };
            return writable.freshen(today);
        }
        for some in stale.chunks(500) {
            self.begin()?;
            let done = some.iter().try_for_each(|id| self.compute_anew(*id, today));
            match done {
                Ok(()) => self.commit()?,
                Err(error) => {
                    self.roll_back();
                    return Err(error);
                }
            }
        }
        Ok(())
    }

    fn stale(&self, today: NaiveDate) -> Result<Vec<Uuid>, StoreError> {
        let ids = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/stale.sql"))?;
            statement.query_map([today.to_string()], |r| r.get(0))?.collect()
        };
        Ok(ids().map_err(|e| self.sql(e))?.iter().filter_map(|id| id.parse().ok()).collect())
    }

    /// Writes a property's rows as of `today`.
    pub(super) fn compute_anew(&mut self, id: Uuid, today: NaiveDate) -> Result<(), StoreError> {
        self.keep(id, None)?;
        let Some(mut kept) = self.kept.remove(&id) else { return Ok(()) };
        kept.outlook = outlook(&kept.folded.property, &self.settings, today);
        kept.as_of = today;
        kept.unwritten = false;
        kept.overview = None;
        let entries = self.entries_of_chain(kept.chain)?;
        self.project_anew(&kept, Some(&entries))?;
        self.kept.insert(id, kept);
        Ok(())
    }
}

fn read(r: &Row) -> rusqlite::Result<StatusRow> {
    let due_on: Option<String> = r.get(7)?;
    let (subject, asks): (Option<String>, Option<String>) = (r.get(8)?, r.get(9)?);
    let next_due = due_on.and_then(|on| on.parse().ok()).map(|on| NextDue {
        on,
        subject: subject.unwrap_or_default(),
        asks: asks.unwrap_or_default(),
    });
    let not_known: String = r.get(10)?;
    Ok(StatusRow {
        key: r.get(0)?,
        name: r.get(1)?,
        foundations: r.get(2)?,
        worst: Band::from_courses(r.get(3)?),
        worst_subject: r.get(4)?,
        who: r.get(5)?,
        open_findings: r.get(6)?,
        overdue: r.get(12)?,
        next_due,
        not_known: not_known.lines().map(str::to_owned).collect(),
    })
}
