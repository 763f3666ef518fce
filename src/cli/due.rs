//! What is due: what goes to a licensed person first, then overdue, then what comes.

use std::collections::BTreeMap;
use std::io::Write;

use chrono::NaiveDate;

use super::failure::Failure;
use super::output::{line, unwritten};
use super::words::{counted, cut, plain, wrapped};
use crate::command::{Context, duty};
use crate::store::{DueRow, Store};

/// How wide the columns of place and of what are.
const PLACE: usize = 22;
const WHAT: usize = 34;

/// Under which heading a line stands.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Heading {
    Called,
    Overdue,
    Ahead,
}

pub fn due(context: &Context, store: &mut Store, fields: &duty::DueFields, out: &mut dyn Write) -> Result<(), Failure> {
    let today = duty::today_of(context, store, fields)?;
    let until = duty::until(fields.within.as_deref(), today)?;
    let mut heading = None;
    let mut per_house: BTreeMap<String, u32> = BTreeMap::new();
    duty::due(context, store, fields, &mut |row: DueRow| {
        let under = match (row.is_called(), row.is_overdue(today)) {
            (true, _) => Heading::Called,
            (false, true) => Heading::Overdue,
            (false, false) => Heading::Ahead,
        };
        let mut text = String::new();
        if heading != Some(under) {
            heading = Some(under);
            text = match under {
                Heading::Called => "first of all\n".into(),
                Heading::Overdue => "overdue\n".into(),
                Heading::Ahead => format!("by {}\n", day(until)),
            };
        }
        // A screen of many thousands is not counted house by house.
        if per_house.len() < 64 {
            *per_house.entry(row.key.clone()).or_default() += 1;
        }
        text.push_str(&one(&row, today));
        out.write_all(text.as_bytes()).map_err(|error| unwritten(&error))
    })?;
    if heading.is_none() {
        return line(out, format_args!("nothing is due by {}", day(until)));
    }
    // What was not shown was not counted.
    let most = per_house.iter().filter(|(_, n)| **n > 1 && fields.limit.is_none()).max_by_key(|(_, n)| **n);
    match most {
        Some((key, n)) => line(
            out,
            format_args!("one visit: {} has {n} things due by {} (`stemwall due --visits`)", plain(key), day(until)),
        ),
        None => Ok(()),
    }
}

/// Two lines: where, what, by when; then its code, and why now.
pub fn one(row: &DueRow, today: NaiveDate) -> String {
    let mut when = match (row.is_overdue(today), row.opens_on > today) {
        (true, _) => {
            let days = (today - row.due_on).num_days();
            format!("since {} ({})", day(row.due_on), counted(days as u64, "day", "days"))
        }
        (false, true) => format!("by {}, opens {}", day(row.due_on), day(row.opens_on)),
        (false, false) => format!("by {}, open since {}", day(row.due_on), day(row.opens_on)),
    };
    if let Some(best) = row.best_on.filter(|best| *best > today) {
        when.push_str(&format!(", best from {}", day(best)));
    }
    if let Some(until) = row.snoozed_until {
        when.push_str(&format!(", snoozed until {}", day(until)));
    }
    let title = wrapped(&plain(&row.title), WHAT, &" ".repeat(PLACE + 4));
    let first = title.lines().last().map_or(0, |l| l.trim_start().chars().count());
    let padding = " ".repeat(WHAT.saturating_sub(first));
    let place = plain(&duty::place_of(row));
    let why = wrapped(&format!("{} · {}", duty::code_of(row), cut(&plain(&row.why), 180)), 92, "      ");
    format!("  {place:<PLACE$}  {title}{padding}  {when}\n      {why}\n")
}

pub fn day(day: NaiveDate) -> String {
    super::verdict::date(day)
}
