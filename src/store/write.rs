//! Writing: an entry's bytes, and of the rows computed from the entries what an entry made another.

use std::borrow::Borrow;
use std::collections::BTreeSet;

use chrono::NaiveDate;
use rusqlite::{params, params_from_iter};
use uuid::Uuid;

use super::error::StoreError;
use super::project::{self, Difference, Row, Table};
use super::{Kept, Store};
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Folded, Recorded};
use crate::ledger::outlook::{Outlook, Refreshed};
use crate::ledger::subject::Subject;

impl Store {
    pub(super) fn write_entry(&self, chain: i64, seq: u64, id: Uuid, raw: &RawEntry) -> Result<(), StoreError> {
        let hash = raw.hash.as_bytes();
        self.execute(include_str!("sql/insert_entry.sql"), params![chain, seq, hash, id.as_bytes(), raw.envelope])?;
        if let Some(body) = &raw.body {
            self.execute(include_str!("sql/insert_body.sql"), params![chain, seq, body])?;
        }
        Ok(())
    }

    /// Writes what a run of entries changed: rows of the subjects they touched, the outlook, and where the chain ends.
    pub(super) fn project(
        &self,
        kept: &mut Kept,
        touched: &BTreeSet<Subject>,
        anew: bool,
        today: NaiveDate,
    ) -> Result<(), StoreError> {
        let Kept { chain, folded, outlook, as_of, unwritten, overview, .. } = kept;
        let aged = outlook.changes_on().is_some_and(|day| day <= today) || *as_of > today;
        if anew || aged {
            let entries = if anew { Some(self.entries_of_chain(*chain)?) } else { None };
            *outlook = crate::ledger::outlook::outlook(&folded.property, &self.settings, today);
            *as_of = today;
            *unwritten = false;
            *overview = None;
            self.project_anew(kept, entries.as_deref())?;
        } else {
            let subjects: Vec<Subject> = touched.iter().cloned().collect();
            let refreshed = outlook.refresh(&folded.property, &subjects, &self.settings, today);
            let another_day = std::mem::replace(as_of, today) != today;
            // The property's own row comes first: the others refer to it.
            self.write_rows(subjects.iter().filter_map(|s| project::subject_row(*chain, &folded.property, s)))?;
            // What is on disk may be of another day, or have rows too many: then all of it is written again.
            let gathered = match refreshed {
                Refreshed::Some { different, overview } if !std::mem::take(unwritten) => {
                    let now = different.iter().filter_map(|subject| Some((subject, outlook.rows.get(subject)?)));
                    self.write_rows(now.map(|(subject, row)| project::outlook_row(*chain, subject, row)))?;
                    overview
                }
                _ => {
                    *unwritten = false;
                    *overview = None;
                    self.execute(project::OUTLOOK.clear, [*chain])?;
                    self.write_outlook(*chain, outlook)?;
                    true
                }
            };
            if gathered || another_day || overview.is_none() {
                let (table, row) = project::overview_row(*chain, &folded.property, outlook, *as_of);
                match overview.as_deref().map(|was| project::overview_difference(was, &row)) {
                    Some(Difference::None) => {}
                    Some(Difference::Due(due)) => {
                        let values = row[..1].iter().chain(due);
                        self.execute(include_str!("sql/update_overview_due.sql"), params_from_iter(values))?;
                    }
                    Some(Difference::More) | None => self.execute(table.replace, params_from_iter(&row))?,
                }
                *overview = Some(row);
            }
        }
        self.update_head(kept.chain, &kept.folded)
    }

    /// Writes every row of a property again; texts only where `entries` are given.
    pub(super) fn project_anew(&self, kept: &Kept, entries: Option<&[Recorded]>) -> Result<(), StoreError> {
        let Kept { chain, folded, outlook, as_of, .. } = kept;
        for table in project::TABLES.iter().rev().filter(|t| entries.is_some() || t.name != project::TEXTS.name) {
            self.execute(table.clear, [*chain])?;
        }
        self.write_rows(project::rows(*chain, &folded.property))?;
        self.write_outlook(*chain, outlook)?;
        if folded.property.exists() {
            self.write_rows([project::overview_row(*chain, &folded.property, outlook, *as_of)])?;
        }
        self.write_rows(entries.map(|entries| project::text_rows(*chain, entries)).unwrap_or_default())
    }

    fn write_outlook(&self, chain: i64, outlook: &Outlook) -> Result<(), StoreError> {
        for (subject, row) in &outlook.rows {
            self.write_rows([project::outlook_row(chain, subject, row)])?;
        }
        Ok(())
    }

    pub(super) fn update_head(&self, chain: i64, folded: &Folded) -> Result<(), StoreError> {
        let head = folded.head.as_bytes();
        self.execute(include_str!("sql/update_head.sql"), params![chain, folded.length, head])
    }

    /// Writes those of `rows` that are of one table, all by one statement.
    pub(super) fn write_rows_of<'a>(
        &self,
        table: &Table,
        rows: impl Iterator<Item = &'a Row>,
    ) -> Result<(), StoreError> {
        let mut statement = self.connection.prepare_cached(table.replace).map_err(|e| self.sql(e))?;
        for (_, values) in rows.filter(|(of, _)| std::ptr::eq(*of, table)) {
            statement.execute(params_from_iter(values)).map_err(|e| self.sql(e))?;
        }
        Ok(())
    }

    pub(super) fn write_rows(&self, rows: impl IntoIterator<Item = impl Borrow<Row>>) -> Result<(), StoreError> {
        for row in rows {
            let (table, values) = row.borrow();
            self.execute(table.replace, params_from_iter(values))?;
        }
        Ok(())
    }
}
