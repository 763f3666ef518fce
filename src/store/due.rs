//! What is due: what goes to a licensed person first, then by day, streamed from the indexes; and the snoozes, which are
//! rows of this ledger's reader and no entries.

use std::collections::{BTreeSet, HashMap};

use chrono::NaiveDate;
use rusqlite::{Row, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use super::status::Fresh;
use crate::ledger::outlook::{Outlook, outlook};
use crate::ledger::property::Property;
use crate::trade::Band;

/// A duty as the list of what is due shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct DueRow {
    pub property: Uuid,
    pub key: String,
    /// Below the property; empty for the property itself.
    pub subject: String,
    pub duty: String,
    pub title: String,
    pub opens_on: NaiveDate,
    pub due_on: NaiveDate,
    /// The day by which its rule has it: by this the occurrence is known.
    pub occurs_on: NaiveDate,
    /// The band of the verdict that asks for it.
    pub band: Option<Band>,
    pub minutes: u32,
    pub why: String,
    /// The line is postponed to that day.
    pub snoozed_until: Option<NaiveDate>,
    /// How many days before a visit somebody has to be told.
    pub notice_days: Option<u32>,
    /// Who.
    pub tell: Option<String>,
}

/// What is asked of the list.
#[derive(Debug, Clone, Copy)]
pub struct DueAsked {
    pub today: NaiveDate,
    pub until: NaiveDate,
    pub limit: Option<usize>,
    /// Snoozed lines too.
    pub snoozed: bool,
}

/// An occurrence: property, subject, duty, and the day by its rule.
type Occurrence = (Uuid, String, String, NaiveDate);

/// The days to which lines are postponed.
#[derive(Default)]
struct Snoozes(HashMap<Occurrence, NaiveDate>);

impl DueRow {
    /// It goes to a licensed person, or cannot wait.
    pub fn is_called(&self) -> bool {
        self.band >= Some(Band::Call)
    }

    /// Its line is postponed, unless it goes to a licensed person and its day is past.
    pub fn is_hidden(&self, today: NaiveDate) -> bool {
        self.snoozed_until.is_some() && !(self.is_called() && self.is_overdue(today))
    }

    pub fn is_overdue(&self, today: NaiveDate) -> bool {
        self.due_on < today
    }
}

impl Store {
    /// What falls due, what goes to a licensed person first, then the earliest, each as it is read.
    pub fn due(
        &mut self,
        asked: &DueAsked,
        each: &mut dyn FnMut(DueRow) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let DueAsked { today, until, limit, .. } = *asked;
        let fresh = self.freshen(today, |property, outlook| rows_of(property, outlook, until))?;
        let anew: BTreeSet<i64> = fresh.iter().map(|property| property.chain).collect();
        let of_chain = |Fresh { chain, row }: Fresh<Vec<DueRow>>| row.into_iter().map(move |row| (chain, row));
        let fresh = fresh.into_iter().flat_map(of_chain);
        let (mut called, mut others): (Vec<_>, Vec<_>) = fresh.partition(|(_, row)| row.is_called());
        called.sort_by(|a, b| b.1.band.cmp(&a.1.band).then_with(|| by_day(a).cmp(&by_day(b))));
        others.sort_by(|a, b| by_day(a).cmp(&by_day(b)));
        let snoozes = self.snoozes(today)?;
        let mut left = limit.unwrap_or(usize::MAX);
        let mut shown = |mut row: DueRow| {
            row.snoozed_until = snoozes.of(&row);
            if row.is_hidden(today) && !asked.snoozed { Ok(false) } else { each(row).map(|()| true) }
        };
        // A house that is computed anew, or a line that is postponed, may have any number of stored rows to pass over.
        let whole = anew.is_empty() && snoozes.0.is_empty();
        let most = limit.filter(|_| whole).map_or(-1, |l| i64::try_from(l).unwrap_or(i64::MAX));
        let sql = |e| self.sql(e);
        let questions = [(include_str!("sql/due_called.sql"), called), (include_str!("sql/due.sql"), others)];
        for (is_second, (question, fresh)) in questions.into_iter().enumerate() {
            let comes_first = |before: &(i64, DueRow), row: &(i64, DueRow)| match is_second {
                0 => (row.1.band, by_day(before)) < (before.1.band, by_day(row)),
                _ => by_day(before) < by_day(row),
            };
            let mut fresh = fresh.into_iter().peekable();
            let mut statement = self.connection.prepare_cached(question).map_err(sql)?;
            let mut rows = statement.query(params![until.to_string(), most]).map_err(sql)?;
            while left > 0
                && let Some(row) = rows.next().map_err(sql)?
            {
                let chain = row.get(7).map_err(sql)?;
                if anew.contains(&chain) {
                    continue;
                }
                let Some(row) = read_due(row).map_err(sql)? else { continue };
                let row = (chain, row);
                while left > 0
                    && let Some((_, before)) = fresh.next_if(|before| comes_first(before, &row))
                {
                    left -= usize::from(shown(before)?);
                }
                if left > 0 {
                    left -= usize::from(shown(row.1)?);
                }
            }
            while left > 0
                && let Some((_, row)) = fresh.next()
            {
                left -= usize::from(shown(row)?);
            }
        }
        Ok(())
    }

    /// What stands at one property on `today`, whenever it falls due, snoozed lines too; the same order.
    pub fn due_at(&mut self, id: Uuid, today: NaiveDate) -> Result<Vec<DueRow>, StoreError> {
        let property = self.property_on(id, today)?;
        let outlook = outlook(&property, &self.settings, today);
        let snoozes = self.snoozes(today)?;
        let mut rows = rows_of(&property, &outlook, NaiveDate::MAX);
        rows.iter_mut().for_each(|row| row.snoozed_until = snoozes.of(row));
        rows.sort_by(|a, b| {
            let called = |row: &DueRow| row.band.filter(|_| row.is_called());
            let place = |row: &DueRow| (row.due_on, row.subject.clone(), row.duty.clone());
            called(b).cmp(&called(a)).then_with(|| place(a).cmp(&place(b)))
        });
        Ok(rows)
    }

    /// Every property that is in the ledger.
    pub fn property_ids(&self) -> Result<Vec<Uuid>, StoreError> {
        self.properties()
    }

    /// Postpones the line of one occurrence.
    pub fn snooze(&mut self, row: &DueRow, until: NaiveDate) -> Result<(), StoreError> {
        if self.read_only {
            return Err(StoreError::ReadOnly { path: self.path.clone() });
        }
        let DueRow { property, subject, duty, occurs_on, .. } = row;
        self.begin()?;
        let row = params![property.to_string(), subject, duty, occurs_on.to_string(), until.to_string()];
        if let Err(error) = self.execute(include_str!("sql/snooze.sql"), row) {
            self.roll_back();
            return Err(error);
        }
        self.commit()
    }

    fn snoozes(&self, today: NaiveDate) -> Result<Snoozes, StoreError> {
        let all = || -> rusqlite::Result<Vec<[String; 5]>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/snoozes.sql"))?;
            let read = |r: &Row| Ok([r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?]);
            statement.query_map([today.to_string()], read)?.collect()
        };
        let read = |[property, subject, duty, occurs, until]: [String; 5]| {
            Some(((property.parse().ok()?, subject, duty, occurs.parse().ok()?), until.parse().ok()?))
        };
        Ok(Snoozes(all().map_err(|e| self.sql(e))?.into_iter().filter_map(read).collect()))
    }
}

impl Snoozes {
    fn of(&self, row: &DueRow) -> Option<NaiveDate> {
        if self.0.is_empty() {
            return None;
        }
        self.0.get(&(row.property, row.subject.clone(), row.duty.clone(), row.occurs_on)).copied()
    }
}

fn rows_of(property: &Property, outlook: &Outlook, until: NaiveDate) -> Vec<DueRow> {
    let rows = outlook.rows.iter().flat_map(|(subject, row)| row.duties.iter().map(move |due| (subject, due)));
    rows.filter(|(_, due)| due.due_on <= until)
        .map(|(subject, due)| DueRow {
            property: property.id,
            key: property.key.clone(),
            subject: subject.local(),
            duty: due.code.clone(),
            title: due.title.clone(),
            opens_on: due.opens_on,
            due_on: due.due_on,
            occurs_on: due.occurs_on,
            band: due.band,
            minutes: due.minutes,
            why: due.why.clone(),
            snoozed_until: None,
            notice_days: property.notice_days,
            tell: property.tell.clone(),
        })
        .collect()
}

/// The earliest first, then by house, subject and duty: as the index has it.
fn by_day((chain, row): &(i64, DueRow)) -> (NaiveDate, i64, &str, &str) {
    (row.due_on, *chain, &row.subject, &row.duty)
}

/// `None` where a day does not read, which `verify` names.
fn read_due(r: &Row) -> rusqlite::Result<Option<DueRow>> {
    let day = |at: usize| Ok::<_, rusqlite::Error>(r.get::<_, String>(at)?.parse::<NaiveDate>().ok());
    let (Some(opens_on), Some(due_on)) = (day(4)?, day(5)?) else { return Ok(None) };
    let moved_from = r.get::<_, Option<String>>(8)?.and_then(|day| day.parse().ok());
    Ok(Some(DueRow {
        property: r.get::<_, String>(13)?.parse().unwrap_or_default(),
        key: r.get(0)?,
        subject: r.get(1)?,
        duty: r.get(2)?,
        title: r.get(3)?,
        opens_on,
        due_on,
        occurs_on: moved_from.unwrap_or(due_on),
        band: r.get::<_, Option<u8>>(9)?.and_then(Band::from_courses),
        minutes: r.get(10)?,
        why: r.get(6)?,
        snoozed_until: None,
        notice_days: r.get(11)?,
        tell: r.get(12)?,
    }))
}
