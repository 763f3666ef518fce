//! The almanac as it holds for all houses, what a house has of it, and what was said of one line.

use std::io::Write;

use chrono::NaiveDate;
use serde_json::Value;

use super::arguments::Duty;
use super::due::day;
use super::failure::Failure;
use super::output::{line, print_json};
use super::words::{counted, plain, wrapped};
use crate::calendar::almanac::By;
use crate::command::duty::{self, Listed};
use crate::command::{Context, Recorded};
use crate::ledger::duties::SetBy;
use crate::ledger::settings::Settings;
use crate::store::{DueRow, Store};

/// How wide the columns of place, of the duty's name and of its rule are.
const PLACE: usize = 20;
const CODE: usize = 24;

impl Duty {
    /// Whether it makes an entry; the others show, or postpone a line.
    pub fn records(&self) -> bool {
        !matches!(self, Duty::List { .. } | Duty::Snooze { .. })
    }
}

/// Verbs that make no entry.
pub fn read(context: &Context, verb: &Duty, json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    match verb {
        Duty::Snooze { what, fields } => {
            let (row, until) = duty::snooze(context, &mut context.open()?, what, fields)?;
            snoozed(&row, until, context.today_at(None), out)
        }
        Duty::List { key } => {
            let listed = list(context, key.as_deref())?;
            match (json, key) {
                (true, _) => print_json(out, &Value::from(listed.iter().map(Listed::as_json).collect::<Vec<_>>())),
                (false, Some(_)) => at_house(&listed, out),
                (false, None) => almanac(&listed, out),
            }
        }
        other => unreachable!("{other:?} records"),
    }
}

/// Verbs that make an entry.
pub fn record(context: &Context, store: &mut Store, verb: &Duty) -> Result<Recorded, Failure> {
    let recorded = match verb {
        Duty::Done { what, circumstances: c } => duty::done(context, store, what, c),
        Duty::Set { duty, fields, circumstances: c } => duty::set(context, store, duty, fields, c),
        Duty::Drop { duty, at, circumstances: c } => duty::drop(context, store, duty, at.as_deref(), c),
        Duty::Skip { what, fields, circumstances: c } => duty::skip(context, store, what, fields, c),
        Duty::Expect { subject, fields, circumstances: c } => duty::expect(context, store, subject, fields, c),
        other => unreachable!("{other:?} reads"),
    };
    Ok(recorded?)
}

/// The almanac, as the settings of the ledger have it where there is one; or what one house has of it.
fn list(context: &Context, key: Option<&str>) -> Result<Vec<Listed>, Failure> {
    match key {
        Some(key) => Ok(duty::at_house(context, &mut context.open_to_read()?, key)?),
        None if context.path.exists() => Ok(duty::almanac(context.open_to_read()?.settings())),
        None => Ok(duty::almanac(&Settings::default())),
    }
}

/// Every duty: for what, when, satisfied by what; why, and on whose word.
pub fn almanac(all: &[Listed], out: &mut dyn Write) -> Result<(), Failure> {
    for listed in all {
        line(out, format_args!("{}: {}{}", listed.code, plain(&listed.title), state(listed)))?;
        let by = listed.row.map_or(By::Done, |row| row.by);
        let minutes = counted(u64::from(listed.minutes), "minute", "minutes");
        line(
            out,
            format_args!(
                "  {}",
                wrapped(&format!("for {} · {} · {} · {minutes}", listed.of, listed.rule, satisfied(by)), 94, "  ")
            ),
        )?;
        let source = listed.row.map_or_else(String::new, |row| {
            format!(" · {} · {}", row.source, row.standing.replace("second-hand", "read second-hand"))
        });
        line(out, format_args!("  {}", wrapped(&format!("{}{source}", plain(&listed.why)), 94, "  ")))?;
        for caution in duty::cautions_of(&listed.code) {
            line(out, format_args!("  caution: {}", wrapped(caution, 86, "  ")))?;
        }
    }
    line(out, format_args!("{}", counted(all.len() as u64, "duty", "duties")))
}

/// A line a duty: of what, when it falls due by its rule, and the day that stands.
pub fn at_house(all: &[Listed], out: &mut dyn Write) -> Result<(), Failure> {
    for listed in all {
        let next = match (&listed.next, listed.off) {
            (_, true) => "off".to_owned(),
            (Some(due), _) => format!("by {}", day(due.due_on)),
            (None, _) => "nothing to do".to_owned(),
        };
        let state = if listed.off { String::new() } else { state(listed) };
        let place = plain(&listed.of);
        line(out, format_args!("{place:<PLACE$}  {:<CODE$}  {next}", listed.code))?;
        let says = format!("{} · {}{state}", plain(&listed.title), listed.rule);
        line(out, format_args!("    {}", wrapped(&says, 94, "    ")))?;
    }
    let off = all.iter().filter(|listed| listed.off).count();
    let off = if off == 0 { String::new() } else { format!(", {off} of them off") };
    line(out, format_args!("{}{off}", counted(all.len() as u64, "duty", "duties")))
}

/// What was done to a line of the list.
pub fn snoozed(row: &DueRow, until: NaiveDate, today: NaiveDate, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("snoozed until {}: {} {}", day(until), plain(&duty::place_of(row)), plain(&row.title)))?;
    if row.is_called() && row.is_overdue(today) {
        line(out, format_args!("  its line stays all the same: it goes to a licensed person, and its day is past"))?;
    }
    Ok(())
}

/// Whose word it is, where it is not the almanac's.
fn state(listed: &Listed) -> String {
    let off = if listed.off { " (off" } else { " (on" };
    match (listed.set_by, listed.off) {
        (SetBy::Almanac, false) => String::new(),
        (SetBy::Almanac, true) => format!("{off} until you set it on)"),
        (SetBy::Choice, _) => {
            let choice = listed.row.and_then(|row| row.choice.clone().zip(row.variant.clone()));
            choice.map_or_else(String::new, |(choice, variant)| {
                format!("{off} by choice, see setting {choice} {variant})")
            })
        }
        (SetBy::AllHouses, _) => format!("{off}, set for all houses)"),
        (SetBy::Here, _) => format!("{off}, set here)"),
    }
}

fn satisfied(by: By) -> &'static str {
    match by {
        By::Walk => "by a walk that reached it",
        By::SumpTest => "by a sump test",
        By::RadonTest => "by a radon test",
        By::RepairCheck => "by a look at the repair, or a reading",
        By::Reading => "by a reading",
        By::Verdict => "by the entry it asks for",
        By::Done => "by `stemwall done`",
    }
}
