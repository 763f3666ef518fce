//! Writing: an entry's bytes, and of the rows computed from the entries what an entry made another.

use std::collections::BTreeSet;

use chrono::NaiveDate;
use rusqlite::{params, params_from_iter};
use uuid::Uuid;

use super::error::StoreError;
use super::project::{self, Difference, Row};
use super::{Kept, Store};
use crate::ledger::duties::Due;
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Folded, Recorded};
use crate::ledger::outlook::{Changed, Outlook, Refreshed};
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
                    for changed in &different {
                        self.write_changed(*chain, changed, outlook)?;
                    }
                    overview
                }
                _ => {
                    *unwritten = false;
                    *overview = None;
                    self.execute(project::OUTLOOK.clear, [*chain])?;
                    self.execute(project::DUTIES.clear, [*chain])?;
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
            self.write_rows(project::duty_rows(chain, subject, row))?;
        }
        Ok(())
    }

    /// Writes what is another in the rows of one subject, and no more: most entries change a few words.
    fn write_changed(&self, chain: i64, changed: &Changed, outlook: &Outlook) -> Result<(), StoreError> {
        let Changed { subject, was } = changed;
        let Some(now) = outlook.rows.get(subject) else { return Ok(()) };
        let row = project::outlook_row(chain, subject, now);
        if was.as_ref().is_none_or(|was| project::outlook_row(chain, subject, was).1 != row.1) {
            self.write_rows([row])?;
        }
        let duties = was.as_ref().map_or(&[][..], |was| &was.duties);
        for gone in duties.iter().filter(|due| !now.duties.iter().any(|d| d.code == due.code)) {
            self.execute(include_str!("sql/delete_duty.sql"), params![chain, subject.local(), gone.code])?;
        }
        for due in &now.duties {
            match duties.iter().find(|was| was.code == due.code) {
                Some(was) if was == due => {}
                Some(was) if Due { why: due.why.clone(), ..was.clone() } == *due => {
                    let why = params![chain, subject.local(), due.code, due.why];
                    self.execute(include_str!("sql/update_duty_why.sql"), why)?;
                }
                _ => self.write_rows([project::duty_row(chain, subject, due)])?,
            }
        }
        Ok(())
    }

    pub(super) fn update_head(&self, chain: i64, folded: &Folded) -> Result<(), StoreError> {
        let head = folded.head.as_bytes();
        self.execute(include_str!("sql/update_head.sql"), params![chain, folded.length, head])
    }

    pub(super) fn write_rows(&self, rows: impl IntoIterator<Item = Row>) -> Result<(), StoreError> {
        for (table, values) in rows {
            self.execute(table.replace, params_from_iter(values))?;
        }
        Ok(())
    }
}
