//! What one trip to each house would do: everything due there, how long it takes, who has to be told, and what to mind.

use std::collections::BTreeMap;
use std::io::Write;

use chrono::{Days, NaiveDate};
use serde_json::{Value, json};

use super::due::{day, one};
use super::failure::Failure;
use super::run::{line, written};
use super::words::{counted, plain, wrapped};
use crate::command::{Context, duty};
use crate::store::{DueRow, Store};

/// Everything that is due at one house.
struct Visit {
    rows: Vec<DueRow>,
    today: NaiveDate,
}

/// When somebody has to be told of a visit, and for which day.
struct Notice {
    tell_by: NaiveDate,
    visit_on: NaiveDate,
}

/// Each house under its name: first where a licensed person is asked for, then the house with the earliest day.
pub fn visits(
    context: &Context,
    store: &mut Store,
    fields: &duty::DueFields,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let visits = gathered(context, store, fields)?;
    let until = day(duty::until(fields.within.as_deref(), context.today_at(None))?);
    if visits.is_empty() {
        return line(out, format_args!("nothing is due by {until}"));
    }
    for visit in &visits {
        let things = counted(visit.rows.len() as u64, "thing", "things");
        let takes = match visit.minutes() {
            0 => String::new(),
            minutes => format!(", about {minutes} minutes"),
        };
        line(out, format_args!("{}: {things} by {until}{takes}", plain(&visit.first().key)))?;
        if let Some(notice) = visit.notice() {
            line(out, format_args!("  {}", wrapped(&visit.told(&notice, fields.names), 96, "  ")))?;
        }
        for row in &visit.rows {
            out.write_all(one(row, visit.today).as_bytes()).map_err(|e| written(&e))?;
        }
        for caution in visit.cautions() {
            line(out, format_args!("  caution: {}", wrapped(caution, 88, "  ")))?;
        }
    }
    Ok(())
}

/// The same as programs read it.
pub fn as_json(context: &Context, store: &mut Store, fields: &duty::DueFields) -> Result<Value, Failure> {
    let visits = gathered(context, store, fields)?;
    let one = |visit: &Visit| {
        let notice = visit.notice();
        let first = visit.first();
        json!({
            "property": first.key, "minutes": visit.minutes(), "notice_days": first.notice_days,
            "tell_by": notice.as_ref().map(|n| n.tell_by), "visit_on": notice.as_ref().map(|n| n.visit_on),
            "tell": first.tell.as_ref().filter(|_| fields.names), "cautions": visit.cautions(),
            "due": visit.rows.iter().map(|row| duty::as_json(row, visit.today)).collect::<Vec<_>>(),
        })
    };
    Ok(Value::from(visits.iter().map(one).collect::<Vec<_>>()))
}

fn gathered(context: &Context, store: &mut Store, fields: &duty::DueFields) -> Result<Vec<Visit>, Failure> {
    let today = context.today_at(None);
    let mut visits: Vec<Visit> = Vec::new();
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    duty::due(context, store, fields, &mut |row: DueRow| {
        let index = *at.entry(row.key.clone()).or_insert_with(|| {
            visits.push(Visit { rows: Vec::new(), today });
            visits.len() - 1
        });
        visits[index].rows.push(row);
        Ok(())
    })?;
    Ok(visits)
}

impl Visit {
    fn first(&self) -> &DueRow {
        &self.rows[0]
    }

    fn minutes(&self) -> u32 {
        self.rows.iter().map(|row| row.minutes).sum()
    }

    /// Told early enough for the first day that is still ahead; where that is too near, today, and the visit comes later.
    fn notice(&self) -> Option<Notice> {
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

    /// Names stay out unless they are asked for.
    fn told(&self, notice: &Notice, names: bool) -> String {
        let who = match (&self.first().tell, names) {
            (Some(tell), true) => plain(tell),
            _ => "them".to_owned(),
        };
        format!("tell {who} by {}, for a visit on {}", day(notice.tell_by), day(notice.visit_on))
    }

    fn cautions(&self) -> Vec<&'static str> {
        let mut all = Vec::new();
        for caution in self.rows.iter().flat_map(|row| duty::cautions_of(&row.duty)) {
            if !all.contains(&caution) {
                all.push(caution);
            }
        }
        all
    }
}
