//! What a list of properties shows, kept in order while the rows it is gathered from change one by one: the worst band,
//! what is due first, the first day that can change a row, and what is not known.

use std::cmp::Reverse;
use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::outlook::OutlookRow;
use super::subject::Subject;
use crate::trade::Band;

/// The rows of one property in the orders that are asked for; among equals the first subject comes first.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Gathered {
    bands: BTreeSet<(Reverse<Band>, Subject)>,
    due: BTreeSet<(NaiveDate, Subject)>,
    changes: BTreeSet<(NaiveDate, Subject)>,
    not_known: BTreeSet<Subject>,
}

impl Gathered {
    pub fn put(&mut self, subject: &Subject, row: &OutlookRow) {
        self.bands.extend(row.band.map(|band| (Reverse(band), subject.clone())));
        self.due.extend(row.first_due().map(|day| (day, subject.clone())));
        self.changes.extend(row.changes_on.map(|day| (day, subject.clone())));
        self.not_known.extend(row.not_known.as_ref().map(|_| subject.clone()));
    }

    /// Takes out a row that was put in as it is given.
    pub fn take(&mut self, subject: &Subject, row: &OutlookRow) {
        if let Some(band) = row.band {
            self.bands.remove(&(Reverse(band), subject.clone()));
        }
        if let Some(day) = row.first_due() {
            self.due.remove(&(day, subject.clone()));
        }
        if let Some(day) = row.changes_on {
            self.changes.remove(&(day, subject.clone()));
        }
        if row.not_known.is_some() {
            self.not_known.remove(subject);
        }
    }

    /// Subjects that have a band, the worst first.
    pub fn worst_first(&self) -> impl Iterator<Item = (Band, &Subject)> {
        self.bands.iter().map(|(Reverse(band), subject)| (*band, subject))
    }

    /// The subject of which something is due first.
    pub fn first_due(&self) -> Option<&Subject> {
        self.due.first().map(|(_, subject)| subject)
    }

    pub fn changes_on(&self) -> Option<NaiveDate> {
        self.changes.first().map(|(day, _)| *day)
    }

    /// Subjects of which something is not known, in their order.
    pub fn not_known(&self) -> impl Iterator<Item = &Subject> {
        self.not_known.iter()
    }
}
