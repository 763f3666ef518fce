//! What is due, the earliest first, over all houses: streamed from an index that has the earliest day of each subject.
//!
//! A subject's later duties wait, as their place and no more, until their day comes; so a list of many thousands is given
//! out in order without being held.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use chrono::NaiveDate;
use rusqlite::{Row, params};

use super::Store;
use super::error::StoreError;
use super::project::duties_in;
use super::status::Fresh;
use crate::ledger::duties::Due;
use crate::ledger::outlook::{Outlook, OutlookRow};
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;

/// A duty as the list of what is due shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct DueRow {
    pub key: String,
    /// Below the property; empty for the property itself.
    pub subject: String,
    pub duty: String,
    pub title: String,
    pub opens_on: NaiveDate,
    pub due_on: NaiveDate,
    pub why: String,
}

/// Where a duty stands in the list: by day, then by house, subject and its place among the duties of that.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Place {
    due_on: NaiveDate,
    chain: i64,
    subject: Box<str>,
    at: usize,
}

/// Gives rows out in order, those that were computed for this answer alone between the stored ones.
struct Given<'a> {
    fresh: std::iter::Peekable<std::vec::IntoIter<(Place, DueRow)>>,
    left: usize,
    each: &'a mut dyn FnMut(DueRow) -> Result<(), StoreError>,
}

impl Given<'_> {
    fn give(&mut self, place: &Place, row: DueRow) -> Result<(), StoreError> {
        while self.left > 0
            && let Some((_, before)) = self.fresh.next_if(|(before, _)| before < place)
        {
            self.left -= 1;
            (self.each)(before)?;
        }
        if self.left > 0 {
            self.left -= 1;
            (self.each)(row)?;
        }
        Ok(())
    }

    fn end(self) -> Result<(), StoreError> {
        self.fresh.take(self.left).try_for_each(|(_, row)| (self.each)(row))
    }
}

impl Store {
    /// What falls due up to `until`, the earliest first, each as it is read.
    pub fn due(
        &mut self,
        today: NaiveDate,
        until: NaiveDate,
        limit: Option<usize>,
        each: &mut dyn FnMut(DueRow) -> Result<(), StoreError>,
    ) -> Result<(), StoreError> {
        let of = |property: &Property, outlook: &Outlook| due_rows(property, outlook, until);
        let fresh = self.freshen(today, of)?;
        let anew: BTreeSet<i64> = fresh.iter().map(|property| property.chain).collect();
        let placed = |Fresh { chain, row }: Fresh<Vec<(usize, DueRow)>>| {
            row.into_iter().map(move |(at, row)| (place(row.due_on, chain, &row.subject, at), row))
        };
        let mut fresh: Vec<(Place, DueRow)> = fresh.into_iter().flat_map(placed).collect();
        fresh.sort_by(|(a, _), (b, _)| a.cmp(b));
        let mut given = Given { fresh: fresh.into_iter().peekable(), left: limit.unwrap_or(usize::MAX), each };
        let mut waiting: BinaryHeap<Reverse<Place>> = BinaryHeap::new();

        let sql = |e| self.sql(e);
        let mut statement = self.connection.prepare_cached(include_str!("sql/due.sql")).map_err(sql)?;
        let mut rows = statement.query([until.to_string()]).map_err(sql)?;
        while given.left > 0
            && let Some(row) = rows.next().map_err(sql)?
        {
            let chain = row.get(1).map_err(sql)?;
            if anew.contains(&chain) {
                continue;
            }
            let Some((first, key, list)) = read_subject(row, chain).map_err(sql)? else { continue };
            self.give_before(Some(&first), &mut waiting, &mut given)?;
            for (at, due) in duties_in(&list).into_iter().enumerate().filter(|(_, due)| due.due_on <= until) {
                let place = Place { at, due_on: due.due_on, ..first.clone() };
                match due.due_on == first.due_on {
                    true => given.give(&place, due_row(&key, &place.subject, due))?,
                    false => waiting.push(Reverse(place)),
                }
            }
        }
        self.give_before(None, &mut waiting, &mut given)?;
        given.end()
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
            let read = |r: &Row| Ok((r.get::<_, String>(0)?, r.get::<_, String>(1)?));
            let (key, list) = statement.query_row(params![first.chain, first.subject], read).map_err(sql)?;
            let due = duties_in(&list).into_iter().nth(first.at);
            let Some(Reverse(first)) = waiting.pop() else { break };
            if let Some(due) = due {
                given.give(&first, due_row(&key, &first.subject, due))?;
            }
        }
        Ok(())
    }
}

fn place(due_on: NaiveDate, chain: i64, subject: &str, at: usize) -> Place {
    Place { due_on, chain, subject: subject.into(), at }
}

/// A subject's first place, its house's key and its duties; `None` where the day does not read, which `verify` names.
fn read_subject(r: &Row, chain: i64) -> rusqlite::Result<Option<(Place, String, String)>> {
    let Ok(due_on) = r.get::<_, String>(0)?.parse() else { return Ok(None) };
    Ok(Some((place(due_on, chain, &r.get::<_, String>(2)?, 0), r.get(3)?, r.get(4)?)))
}

fn due_row(key: &str, subject: &str, due: Due) -> DueRow {
    DueRow {
        key: key.to_owned(),
        subject: subject.to_owned(),
        duty: due.code,
        title: due.title,
        opens_on: due.opens_on,
        due_on: due.due_on,
        why: due.why,
    }
}

/// What of one property falls due up to `until`, each with its place among the duties of its subject.
fn due_rows(property: &Property, outlook: &Outlook, until: NaiveDate) -> Vec<(usize, DueRow)> {
    let of = |(subject, row): (&Subject, &OutlookRow)| {
        let due = row.duties.iter().cloned().enumerate().filter(|(_, due)| due.due_on <= until);
        let subject = subject.local();
        due.map(|(at, due)| (at, due_row(&property.key, &subject, due))).collect::<Vec<_>>()
    };
    outlook.rows.iter().flat_map(of).collect()
}
