//! What is due: overdue first, then what comes; by house where one trip does it all.

use std::collections::BTreeMap;
use std::io::Write;

use chrono::NaiveDate;
use serde_json::{Value, json};

use super::failure::Failure;
use super::run::{line, unwritten};
use super::words::{counted, cut, plain, wrapped};
use crate::calendar::almanac::{By, DayOfYear, Duty, Rule, Season, Trigger};
use crate::command::{Context, duty};
use crate::store::{DueRow, Store};

/// How wide the columns of place and of what are.
const PLACE: usize = 22;
const WHAT: usize = 34;

pub fn due(
    context: &Context,
    store: &mut Store,
    within: Option<&str>,
    limit: Option<usize>,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let today = context.today_at(None);
    let until = duty::until(within, today)?;
    let mut heading = None;
    let mut per_house: BTreeMap<String, u32> = BTreeMap::new();
    duty::due(context, store, within, limit, &mut |row: DueRow| {
        let late = row.due_on < today;
        let mut text = String::new();
        if heading != Some(late) {
            heading = Some(late);
            text = if late { "overdue\n".into() } else { format!("by {}\n", day(until)) };
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
    let most = per_house.iter().filter(|(_, n)| **n > 1 && limit.is_none()).max_by_key(|(_, n)| **n);
    match most {
        Some((key, n)) => line(
            out,
            format_args!("one visit: {} has {n} things due by {} (`stemwall due --visits`)", plain(key), day(until)),
        ),
        None => Ok(()),
    }
}

/// Everything due at a house under its name, the house with the earliest day first.
pub fn visits(context: &Context, store: &mut Store, within: Option<&str>, out: &mut dyn Write) -> Result<(), Failure> {
    let today = context.today_at(None);
    let until = duty::until(within, today)?;
    let mut houses: Vec<(String, Vec<DueRow>)> = Vec::new();
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    duty::due(context, store, within, None, &mut |row: DueRow| {
        let index = *at.entry(row.key.clone()).or_insert_with(|| {
            houses.push((row.key.clone(), Vec::new()));
            houses.len() - 1
        });
        houses[index].1.push(row);
        Ok(())
    })?;
    if houses.is_empty() {
        return line(out, format_args!("nothing is due by {}", day(until)));
    }
    for (key, rows) in &houses {
        let minutes: u32 = rows.iter().filter_map(|row| minutes_of(&row.duty)).sum();
        let takes =
            if minutes == 0 { String::new() } else { format!(", about {minutes} minutes as the almanac counts") };
        let things = counted(rows.len() as u64, "thing", "things");
        line(out, format_args!("{}: {things} by {}{takes}", plain(key), day(until)))?;
        for row in rows {
            out.write_all(one(row, today).as_bytes()).map_err(|e| super::run::written(&e))?;
        }
    }
    Ok(())
}

fn minutes_of(code: &str) -> Option<u32> {
    duty::list().iter().find(|duty| duty.code == code).map(|duty| duty.minutes)
}

/// Two lines: where, what, by when; and why now.
fn one(row: &DueRow, today: NaiveDate) -> String {
    let place = if row.subject.is_empty() { row.key.clone() } else { format!("{}/{}", row.key, row.subject) };
    let when = match (row.due_on < today, row.opens_on > today) {
        (true, _) => {
            let days = (today - row.due_on).num_days();
            format!("since {} ({})", day(row.due_on), counted(days as u64, "day", "days"))
        }
        (false, true) => format!("by {}, opens {}", day(row.due_on), day(row.opens_on)),
        (false, false) => format!("by {}, open since {}", day(row.due_on), day(row.opens_on)),
    };
    let title = wrapped(&plain(&row.title), WHAT, &" ".repeat(PLACE + 4));
    let first = title.lines().last().map_or(0, |l| l.trim_start().chars().count());
    let padding = " ".repeat(WHAT.saturating_sub(first));
    let why = wrapped(&cut(&plain(&row.why), 180), 92, "      ");
    format!("  {:<PLACE$}  {title}{padding}  {when}\n      {why}\n", plain(&place))
}

fn day(day: NaiveDate) -> String {
    super::verdict::date(day)
}

pub fn duties(all: &[Duty], out: &mut dyn Write) -> Result<(), Failure> {
    for duty in all {
        line(out, format_args!("{}: {}", duty.code, duty.title))?;
        line(out, format_args!("  for {} · {} · {}", duty.of.join(", "), rule(&duty.rule), satisfied(duty.by)))?;
        let standing = duty.standing.replace("second-hand", "read second-hand");
        let why = format!("{} · {} · {standing}", duty.why, duty.source);
        line(out, format_args!("  {}", wrapped(&why, 94, "  ")))?;
    }
    line(out, format_args!("{}", counted(all.len() as u64, "duty", "duties")))
}

fn rule(rule: &Rule) -> String {
    match rule {
        Rule::Season { season: Season::Spring } => "every spring".into(),
        Rule::Season { season: Season::Autumn } => "every autumn".into(),
        Rule::Months { months: 1 } => "every month".into(),
        Rule::Months { months } => format!("every {months} months"),
        Rule::Before { before: DayOfYear::LastFreeze, days } => format!("{days} days before the usual last freeze"),
        Rule::Before { before: DayOfYear::WetSeason, .. } => {
            "before the wet season (1 October where no day is given)".into()
        }
        Rule::After { after: Trigger::Repair, days, .. } => format!("{days} days after the repair"),
        Rule::After { after: Trigger::SystemStart, from_days, days } => {
            format!("{from_days} to {days} days after the system was started")
        }
    }
}

fn satisfied(by: By) -> &'static str {
    match by {
        By::Walk => "by a walk that reached it",
        By::SumpTest => "by a sump test",
        By::RadonTest => "by a radon test",
        By::RepairCheck => "by a look at the repair, or a reading",
        By::Done => "by `stemwall done`",
    }
}

pub fn duty_json(duty: &Duty) -> Value {
    json!({
        "duty": duty.code, "title": duty.title, "of": duty.of, "rule": rule(&duty.rule), "minutes": duty.minutes,
        "why": duty.why, "source": duty.source, "standing": duty.standing,
    })
}
