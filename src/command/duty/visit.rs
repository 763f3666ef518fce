//! A visit: everything that is due at one house, done on one trip; when somebody has to be told of it before.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::super::{Context, Error};
use super::{DueFields, cautions_of_row, due, today_of};
use crate::store::{DueRow, Store};

/// Everything that is due at one house.
pub struct Visit {
    /// In the order of the list; at least one.
    pub rows: Vec<DueRow>,
    pub today: NaiveDate,
}

/// When somebody has to be told of a visit, and for which day.
pub struct Notice {
    pub tell_by: NaiveDate,
    pub visit_on: NaiveDate,
}

/// A visit to each house, in the order of the list: first where a licensed person is asked for, then the earliest day.
pub fn visits(context: &Context, store: &mut Store, fields: &DueFields) -> Result<Vec<Visit>, Error> {
    let today = today_of(context, store, fields)?;
    let mut rows = Vec::new();
    due(context, store, fields, &mut |row| {
        rows.push(row);
        Ok(())
    })?;
    Ok(by_house(rows, today))
}

/// Rows put together by house, each house where its first row stands.
fn by_house(rows: Vec<DueRow>, today: NaiveDate) -> Vec<Visit> {
    let mut visits: Vec<Visit> = Vec::new();
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    for row in rows {
        let index = *at.entry(row.key.clone()).or_insert_with(|| {
            visits.push(Visit { rows: Vec::new(), today });
            visits.len() - 1
        });
        visits[index].rows.push(row);
    }
    visits
}

impl Visit {
    pub fn first(&self) -> &DueRow {
        &self.rows[0]
    }

    /// How long all of it takes.
    pub fn minutes(&self) -> u32 {
        self.rows.iter().map(|row| row.minutes).sum()
    }

    /// Told early enough for the first day that is still ahead; where that is too near, today, and the visit comes later.
    pub fn notice(&self) -> Option<Notice> {
        let first = self.first();
        if first.notice_days.is_none() && first.tell.is_none() {
            return None;
        }
        let days = Days::new(u64::from(first.notice_days.unwrap_or(0)));
        let soonest = self.today.checked_add_days(days)?;
        let ahead = self.rows.iter().map(|row| row.due_on).filter(|due| *due >= soonest).min();
        let visit_on = ahead.filter(|_| self.rows.iter().all(|row| row.due_on >= soonest)).unwrap_or(soonest);
        Some(Notice { tell_by: visit_on.checked_sub_days(days)?, visit_on })
    }

    /// The day of it: that for which they are told, else the earliest by which something is due, today where that is past.
    pub fn on(&self) -> NaiveDate {
        let first = self.rows.iter().map(|row| row.due_on).min().unwrap_or(self.today);
        self.notice().map_or(first.max(self.today), |notice| notice.visit_on)
    }

    /// What to mind at any of it, each caution once.
    pub fn cautions(&self) -> Vec<&'static str> {
        let mut all = Vec::new();
        for caution in self.rows.iter().flat_map(cautions_of_row) {
            if !all.contains(&caution) {
                all.push(caution);
            }
        }
        all
    }
}
