//! What is due: what goes to a licensed person first, then by day, streamed from two indexes that have the earliest day of
//! each subject; and the snoozes, which are rows of this ledger's reader and no entries.
//!
//! A subject's later duties wait, as their place and no more, until their day comes; so a list of many thousands is given
//! out in order without being held.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap, HashMap};

use chrono::NaiveDate;
use rusqlite::{Row, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;
use super::project::duties_in;
use super::status::Fresh;
use crate::ledger::duties::Due;
use crate::ledger::outlook::{Outlook, OutlookRow, outlook};
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::trade::Band;
use crate::trade::words::Foundation;

/// A duty as the list of what is due shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct DueRow {
    /// The ledger's own identifier, by which codes of occurrences are made.
    pub ledger: Uuid,
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
    /// The foundation of the section it is done in, where that has cautions of its own.
    pub inside: Option<Foundation>,
    /// In its season, the day from which it is best done.
    pub best_on: Option<NaiveDate>,
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
        is_called(self.band)
    }

    /// Its line is postponed, unless it goes to a licensed person and its day is past.
    pub fn is_hidden(&self, today: NaiveDate) -> bool {
        self.snoozed_until.is_some() && !(self.is_called() && self.is_overdue(today))
    }

    pub fn is_overdue(&self, today: NaiveDate) -> bool {
        self.due_on < today
    }
}

/// The houses' part of a row.
#[derive(Debug, Clone)]
struct House {
    ledger: Uuid,
    id: Uuid,
    key: String,
    notice_days: Option<u32>,
    tell: Option<String>,
}

impl House {
    fn of(ledger: Uuid, property: &Property) -> House {
        House {
            ledger,
            id: property.id,
            key: property.key.clone(),
            notice_days: property.notice_days,
            tell: property.tell.clone(),
        }
    }

    fn read(ledger: Uuid, r: &Row) -> rusqlite::Result<House> {
        Ok(House {
            ledger,
            id: r.get::<_, String>("property")?.parse().unwrap_or_default(),
            key: r.get("key")?,
            notice_days: r.get("notice_days")?,
            tell: r.get("tell")?,
        })
    }

    fn row(&self, subject: String, due: Due) -> DueRow {
        DueRow {
            ledger: self.ledger,
            property: self.id,
            key: self.key.clone(),
            subject,
            duty: due.code,
            title: due.title,
            opens_on: due.opens_on,
            due_on: due.due_on,
            occurs_on: due.occurs_on,
            band: due.band,
            minutes: due.minutes,
            inside: due.inside,
            best_on: due.best_on,
            why: due.why,
            snoozed_until: None,
            notice_days: self.notice_days,
            tell: self.tell.clone(),
        }
    }
}

/// Where a duty stands in the list: what goes to a licensed person by its band, the rest behind it; then by day, by house,
/// subject and its place among the duties of that.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Place {
    band: Reverse<u8>,
    due_on: NaiveDate,
    chain: i64,
    subject: Box<str>,
    at: usize,
}

/// Gives rows out in order, those that were computed for this answer alone between the stored ones.
struct Given<'a> {
    fresh: std::iter::Peekable<std::vec::IntoIter<(Place, DueRow)>>,
    left: usize,
    snoozes: Snoozes,
    asked: DueAsked,
    each: &'a mut dyn FnMut(DueRow) -> Result<(), StoreError>,
}

impl Given<'_> {
    fn give(&mut self, place: &Place, row: DueRow) -> Result<(), StoreError> {
        while self.left > 0
            && let Some((_, before)) = self.fresh.next_if(|(before, _)| before < place)
        {
            self.show(before)?;
        }
        if self.left > 0 { self.show(row) } else { Ok(()) }
    }

    fn end(mut self) -> Result<(), StoreError> {
        while self.left > 0
            && let Some((_, row)) = self.fresh.next()
        {
            self.show(row)?;
        }
        Ok(())
    }

    fn show(&mut self, mut row: DueRow) -> Result<(), StoreError> {
        row.snoozed_until = self.snoozes.of(&row);
        if row.is_hidden(self.asked.today) && !self.asked.snoozed {
            return Ok(());
        }
        self.left -= 1;
        (self.each)(row)
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
        let ledger = self.identifier();
        let of = |property: &Property, outlook: &Outlook| due_rows(&House::of(ledger, property), outlook, until);
        let fresh = self.freshen(today, of)?;
        let anew: BTreeSet<i64> = fresh.iter().map(|property| property.chain).collect();
        let placed = |Fresh { chain, row }: Fresh<Vec<(usize, DueRow)>>| {
            row.into_iter().map(move |(at, row)| (place(row.band, row.due_on, chain, &row.subject, at), row))
        };
        let mut fresh: Vec<(Place, DueRow)> = fresh.into_iter().flat_map(placed).collect();
        fresh.sort_by(|(a, _), (b, _)| a.cmp(b));
        let snoozes = self.snoozes(today)?;
        let left = limit.unwrap_or(usize::MAX);
        let mut given = Given { fresh: fresh.into_iter().peekable(), left, snoozes, asked: *asked, each };
        self.give_stored(include_str!("sql/due_called.sql"), true, &anew, &mut given)?;
        self.give_stored(include_str!("sql/due.sql"), false, &anew, &mut given)?;
        given.end()
    }

    /// Gives out the stored duties of one question: those that go to a licensed person, or the others.
    fn give_stored(
        &self,
        question: &str,
        called: bool,
        anew: &BTreeSet<i64>,
        given: &mut Given,
    ) -> Result<(), StoreError> {
        let mut waiting: BinaryHeap<Reverse<Place>> = BinaryHeap::new();
        let until = given.asked.until;
        let sql = |e| self.sql(e);
        let mut statement = self.connection.prepare_cached(question).map_err(sql)?;
        let mut rows = statement.query([until.to_string()]).map_err(sql)?;
        while given.left > 0
            && let Some(row) = rows.next().map_err(sql)?
        {
            let chain = row.get("chain").map_err(sql)?;
            if anew.contains(&chain) {
                continue;
            }
            let Some((first, house, list)) = read_subject(self.identifier(), row, chain).map_err(sql)? else {
                continue;
            };
            self.give_before(Some(&first), &mut waiting, given)?;
            let asked = |due: &Due| due.due_on <= until && due.is_called() == called;
            for (at, due) in duties_in(&list).into_iter().enumerate().filter(|(_, due)| asked(due)) {
                let place = Place { at, due_on: due.due_on, ..first.clone() };
                match due.due_on == first.due_on {
                    true => given.give(&place, house.row(place.subject.to_string(), due))?,
                    false => waiting.push(Reverse(place)),
                }
            }
        }
        self.give_before(None, &mut waiting, given)
    }

    /// Gives out what waits and comes before `next`; all of it where nothing comes.
    fn give_before(
        &self,
        next: Option<&Place>,
        waiting: &mut BinaryHeap<Reverse<Place>>,
        given: &mut Given,
    ) -> Result<(), StoreError> {
        let sql = |e| self.sql(e);
        while given.left > 0
            && let Some(Reverse(first)) = waiting.peek()
            && next.is_none_or(|next| first < next)
        {
            let mut statement = self.connection.prepare_cached(include_str!("sql/duties_of.sql")).map_err(sql)?;
            let read = |r: &Row| Ok((House::read(self.identifier(), r)?, r.get::<_, String>("duties")?));
            let (house, list) = statement.query_row(params![first.chain, first.subject], read).map_err(sql)?;
            let due = duties_in(&list).into_iter().nth(first.at);
            let Some(Reverse(first)) = waiting.pop() else { break };
            if let Some(due) = due {
                given.give(&first, house.row(first.subject.to_string(), due))?;
            }
        }
        Ok(())
    }

    /// What stands at one property on `today`, whenever it falls due, snoozed lines too; the same order.
    pub fn due_at(&mut self, id: Uuid, today: NaiveDate) -> Result<Vec<DueRow>, StoreError> {
        let property = self.property_on(id, today)?;
        let outlook = outlook(&property, &self.settings, today);
        let snoozes = self.snoozes(today)?;
        let house = House::of(self.identifier(), &property);
        let all = outlook.rows.iter().flat_map(|(subject, row)| row.duties.iter().map(move |due| (subject, due)));
        let mut rows: Vec<DueRow> = all.map(|(subject, due)| house.row(subject.local(), due.clone())).collect();
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

/// It goes to a licensed person, or cannot wait.
fn is_called(band: Option<Band>) -> bool {
    band >= Some(Band::Call)
}

fn place(band: Option<Band>, due_on: NaiveDate, chain: i64, subject: &str, at: usize) -> Place {
    let band = Reverse(band.filter(|band| is_called(Some(*band))).map_or(0, Band::courses));
    Place { band, due_on, chain, subject: subject.into(), at }
}

/// A subject's first place, its house and its duties; `None` where the day does not read, which `verify` names.
fn read_subject(ledger: Uuid, r: &Row, chain: i64) -> rusqlite::Result<Option<(Place, House, String)>> {
    let Ok(due_on) = r.get::<_, String>("due_on")?.parse() else { return Ok(None) };
    let band = r.get::<_, Option<u8>>("band")?.and_then(Band::from_courses);
    let first = place(band, due_on, chain, &r.get::<_, String>("subject")?, 0);
    Ok(Some((first, House::read(ledger, r)?, r.get("duties")?)))
}

/// What of one property falls due up to `until`, each with its place among the duties of its subject.
fn due_rows(house: &House, outlook: &Outlook, until: NaiveDate) -> Vec<(usize, DueRow)> {
    let of = |(subject, row): (&Subject, &OutlookRow)| {
        let due = row.duties.iter().cloned().enumerate().filter(|(_, due)| due.due_on <= until);
        let subject = subject.local();
        due.map(|(at, due)| (at, house.row(subject.clone(), due))).collect::<Vec<_>>()
    };
    outlook.rows.iter().flat_map(of).collect()
}
