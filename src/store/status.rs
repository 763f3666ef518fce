//! The landlord's first look: one row a property, worst first, streamed from an index.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use chrono::NaiveDate;
use rusqlite::{OptionalExtension, Row, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use super::project::called;
use super::read::whole;
use super::rebuild::AT_A_TIME;
use super::waits::Waits;
use crate::ledger::outlook::{Outlook, outlook};
use crate::ledger::property::{Finding, Property, Reading};
use crate::ledger::subject::Subject;
use crate::ledger::waiting::YearsWait;
use crate::trade::Band;

/// How many properties are computed anew for one answer without writing what was computed.
const FEW: usize = 64;

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
    /// What a year's wait costs; `None` where it was not worked out.
    pub wait: Option<YearsWait>,
}

/// The earliest thing that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct NextDue {
    pub on: NaiveDate,
    /// Below the property; empty for the property itself.
    pub subject: String,
    pub asks: String,
}

/// A row of `finding list`.
#[derive(Debug, Clone, PartialEq)]
pub struct FindingRow {
    pub key: String,
    pub number: u32,
    pub kind: String,
    pub place: String,
    pub section: Option<String>,
    pub opened: String,
    pub closed: Option<String>,
    pub band: Option<Band>,
    pub readings: u32,
    pub last_read_on: Option<String>,
    pub last_read: Option<String>,
}

/// The line on top.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StatusTotals {
    pub properties: u64,
    /// Properties with something urgent.
    pub urgent: u64,
    /// Findings, sections and properties that go to a licensed person, urgent ones included.
    pub called: u64,
    /// Properties with something overdue.
    pub overdue: u64,
}

/// What an answer needs of a property that is computed for that answer alone.
pub(super) struct Fresh<T> {
    pub chain: i64,
    pub row: T,
}

impl Store {
    /// Counts over all properties that are not archived, on `today`.
    pub fn status_totals(&mut self, today: NaiveDate) -> Result<StatusTotals, StoreError> {
        let of = |property: &Property, outlook: &Outlook| {
            let due = outlook.rows.values().flat_map(|row| &row.duties).map(|due| due.due_on).min();
            let urgent = outlook.rows.values().any(|row| row.band == Some(Band::Urgent));
            is_shown(property).then(|| StatusTotals {
                properties: 1,
                urgent: u64::from(urgent),
                called: called(outlook),
                overdue: u64::from(due.is_some_and(|day| day < today)),
            })
        };
        let fresh = self.freshen(today, of)?;
        let sql = |e| self.sql(e);
        let day = today.to_string();
        let read = |r: &Row| {
            Ok(StatusTotals {
                properties: whole(r, 0)?,
                urgent: whole(r, 1)?,
                called: whole(r, 2)?,
                overdue: whole(r, 3)?,
            })
        };
        let of_all = include_str!("sql/status_totals.sql");
        let mut totals = self.connection.query_row(of_all, [&day], read).map_err(sql)?;
        let of_chain = include_str!("sql/status_totals_of_chain.sql");
        for property in &fresh {
            let mut statement = self.connection.prepare_cached(of_chain).map_err(sql)?;
            let stored = statement.query_row(params![property.chain, day], read).optional().map_err(sql)?;
            if let Some(stored) = stored.filter(|stored| stored.properties == 1) {
                totals.properties -= 1;
                totals.urgent -= stored.urgent;
                totals.called -= stored.called;
                totals.overdue -= stored.overdue;
            }
            if let Some(now) = &property.row {
                totals.properties += 1;
                totals.urgent += now.urgent;
                totals.called += now.called;
                totals.overdue += now.overdue;
            }
        }
        Ok(totals)
    }

    /// Gives the rows in order, as they are read.
    pub fn status(
        &mut self,
        today: NaiveDate,
        limit: Option<usize>,
        waits: &Waits,
        each: &mut dyn FnMut(StatusRow) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let of =
            |property: &Property, outlook: &Outlook| is_shown(property).then(|| status_row(property, outlook, today));
        let fresh = self.freshen(today, of)?;
        let anew: BTreeSet<i64> = fresh.iter().map(|property| property.chain).collect();
        let with_wait = |property: Fresh<Option<StatusRow>>| {
            property.row.map(|row| StatusRow { wait: waits.of(property.chain), ..row })
        };
        let mut fresh: Vec<StatusRow> = fresh.into_iter().filter_map(with_wait).collect();
        fresh.sort_by(|a, b| in_order(a).cmp(&in_order(b)));
        let mut fresh = fresh.into_iter().peekable();
        let mut left = limit.unwrap_or(usize::MAX);
        let sql = |e| self.sql(e);
        // As many more as may have to be passed over.
        let asked = limit.map_or(-1, |l| i64::try_from(l.saturating_add(anew.len())).unwrap_or(i64::MAX));
        let mut statement = self.connection.prepare_cached(include_str!("sql/status.sql")).map_err(sql)?;
        let mut rows = statement.query(params![today.to_string(), asked]).map_err(sql)?;
        while left > 0
            && let Some(row) = rows.next().map_err(sql)?
        {
            let chain = row.get(11).map_err(sql)?;
            if anew.contains(&chain) {
                continue;
            }
            let row = StatusRow { wait: waits.of(chain), ..read(row).map_err(sql)? };
            while left > 0
                && let Some(before) = fresh.next_if(|before| in_order(before) < in_order(&row))
            {
                each(before)?;
                left -= 1;
            }
            if left > 0 {
                each(row)?;
                left -= 1;
            }
        }
        fresh.take(left).try_for_each(each)
    }

    /// The findings of one property, or of all that are not archived, by key and number, as they stand on `today`.
    pub fn findings(
        &mut self,
        of: Option<Uuid>,
        open_only: bool,
        today: NaiveDate,
        each: &mut dyn FnMut(FindingRow) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let asked = |property: &Property| of.map_or(is_shown(property), |id| property.id == id);
        let rows = |property: &Property, outlook: &Outlook| {
            let rows = if asked(property) { finding_rows(property, outlook) } else { Vec::new() };
            rows.into_iter().filter(|row| !open_only || row.closed.is_none()).collect::<Vec<FindingRow>>()
        };
        let fresh = self.freshen(today, rows)?;
        let anew: BTreeSet<i64> = fresh.iter().map(|property| property.chain).collect();
        let mut fresh: Vec<FindingRow> = fresh.into_iter().flat_map(|property| property.row).collect();
        let place = |row: &FindingRow| (row.key.clone(), row.number);
        fresh.sort_by_key(place);
        let mut fresh = fresh.into_iter().peekable();
        let chain = match of {
            Some(id) => Some(self.chain(id)?.map_or(super::NO_CHAIN, |c| c.number)),
            None => None,
        };
        let sql = |e| self.sql(e);
        let mut statement = self.connection.prepare_cached(include_str!("sql/findings.sql")).map_err(sql)?;
        let mut rows = statement.query(params![chain, open_only]).map_err(sql)?;
        while let Some(row) = rows.next().map_err(sql)? {
            if anew.contains(&row.get(11).map_err(sql)?) {
                continue;
            }
            let row = read_finding(row).map_err(sql)?;
            while let Some(before) = fresh.next_if(|before| place(before) < place(&row)) {
                each(before)?;
            }
            each(row)?;
        }
        fresh.try_for_each(each)
    }

    /// Computes anew the rows that the passing of time may have changed, or that were computed for a later day or with
    /// other settings; gives those that were not written.
    ///
    /// A few are computed for this one answer, so that looking ahead writes nothing. Many are written, since the next
    /// answer needs them too, unless the ledger cannot be written.
    pub(super) fn freshen<T>(
        &mut self,
        today: NaiveDate,
        of: impl Fn(&Property, &Outlook) -> T,
    ) -> Result<Vec<Fresh<T>>, StoreError> {
        self.rebuild_if_outdated(today)?;
        let mut stale = if self.is_current()? { self.stale(today)? } else { self.properties()? };
        if stale.len() > FEW {
            stale = self.write_anew(stale, today)?;
        }
        stale.iter().map(|id| self.fresh(*id, today, &of)).collect()
    }

    /// Writes the rows of `stale` as of `today`; gives those that were not: all where the ledger cannot be written, and
    /// those of houses that have a later history, which a look back must not change.
    fn write_anew(&mut self, stale: Vec<Uuid>, today: NaiveDate) -> Result<Vec<Uuid>, StoreError> {
        if self.read_only {
            return match Store::open(&self.path) {
                Ok(mut writable) => writable.write_anew(stale, today),
                Err(StoreError::ReadOnly { .. }) => Ok(stale),
                Err(error) => Err(error),
            };
        }
        let mut left = Vec::new();
        for some in stale.chunks(AT_A_TIME) {
            self.begin()?;
            let written = some.iter().try_for_each(|id| {
                if self.folded(*id)?.is_later_than(today) {
                    left.push(*id);
                    return Ok(());
                }
                self.compute_anew(*id, today)
            });
            if let Err(error) = written {
                self.roll_back();
                return Err(error);
            }
            self.commit()?;
        }
        Ok(left)
    }

    fn fresh<T>(
        &mut self,
        id: Uuid,
        today: NaiveDate,
        of: impl Fn(&Property, &Outlook) -> T,
    ) -> Result<Fresh<T>, StoreError> {
        let property = self.property_on(id, today)?;
        let outlook = outlook(&property, &self.settings, today);
        Ok(Fresh { chain: self.kept[&id].chain, row: of(&property, &outlook) })
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

fn is_shown(property: &Property) -> bool {
    property.exists() && property.archived.is_none()
}

fn status_row(property: &Property, outlook: &Outlook, today: NaiveDate) -> StatusRow {
    let overview = outlook.overview(property);
    StatusRow {
        key: property.key.clone(),
        name: property.name.clone(),
        foundations: overview.foundations,
        worst: overview.worst,
        worst_subject: overview.worst_subject.map(|s| s.local()),
        who: overview.who.map(str::to_owned),
        open_findings: overview.open_findings,
        overdue: count(outlook.rows.values().flat_map(|row| &row.duties).filter(|due| due.due_on < today)),
        next_due: overview.next_due.map(|(on, subject, asks)| NextDue { on, subject: subject.local(), asks }),
        not_known: overview.not_known,
        wait: None,
    }
}

fn finding_rows(property: &Property, outlook: &Outlook) -> Vec<FindingRow> {
    let row = |(number, finding): (&u32, &Finding)| FindingRow {
        key: property.key.clone(),
        number: *number,
        kind: finding.kind.word().to_owned(),
        place: finding.place.clone(),
        section: finding.section.as_ref().map(ToString::to_string),
        opened: finding.opened.to_string(),
        closed: finding.closed.as_ref().map(|(on, _)| on.to_string()),
        band: outlook.rows.get(&Subject::Finding(*number)).and_then(|row| row.band),
        readings: count(finding.readings.iter()),
        last_read_on: finding.readings.last().map(|r| r.on.to_string()),
        last_read: finding.readings.last().map(Reading::words),
    };
    property.findings.iter().map(row).collect()
}

/// Worst band first, then key: as the index has it.
fn in_order(row: &StatusRow) -> (Reverse<u8>, &str) {
    (Reverse(row.worst.map_or(0, Band::courses)), &row.key)
}

fn count<T>(of: impl Iterator<Item = T>) -> u32 {
    u32::try_from(of.count()).unwrap_or(u32::MAX)
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
        wait: None,
    })
}

fn read_finding(r: &Row) -> rusqlite::Result<FindingRow> {
    Ok(FindingRow {
        key: r.get(0)?,
        number: r.get(1)?,
        kind: r.get(2)?,
        place: r.get(3)?,
        section: r.get(4)?,
        opened: r.get(5)?,
        closed: r.get(6)?,
        band: r.get::<_, Option<u8>>(7)?.and_then(Band::from_courses),
        readings: r.get(8)?,
        last_read_on: r.get(9)?,
        last_read: r.get(10)?,
    })
}
