//! The first look: totals, a row a house, and what is not known.

use std::io::Write;

use chrono::NaiveDate;

use super::defer::amount;
use super::failure::Failure;
use super::output::{line, unwritten};
use super::words::{coloured, counted, courses, cut, plain};
use crate::command::remind::RemindFields;
use crate::command::{Context, status};
use crate::ledger::waiting::YearsWait;
use crate::quantity::Currency;
use crate::store::{StatusRow, StatusTotals, Store};
use crate::trade::Band;

/// Widths of the columns; a row is written as it is read, so they do not depend on what comes.
const WIDTHS: [usize; 5] = [13, 14, 20, 4, 7];
/// What a line may hold, unless the terminal is wider.
const LINE: usize = 100;

pub fn status(context: &Context, store: &mut Store, limit: Option<usize>, out: &mut dyn Write) -> Result<(), Failure> {
    match limit {
        None => heading(status::totals(context, store)?, out)?,
        Some(limit) => {
            line(out, format_args!("the first {} by urgency", counted(limit as u64, "property", "properties")))?
        }
    }
    let mut unknown: Vec<String> = Vec::new();
    let mut waits: Vec<(String, Option<YearsWait>)> = Vec::new();
    let currency = store.settings().currency;
    let mut shown = 0;
    let room = room();
    let today = context.today_at(None);
    status::status(context, store, limit, &mut |row: StatusRow| {
        let columns = if shown == 0 { format!("\n{}", columns()) } else { String::new() };
        shown += 1;
        if row.open_findings > 0 {
            waits.push((row.key.clone(), row.wait));
        }
        unknown.extend(row.not_known.iter().map(|what| format!("{} {what}", row.key)));
        let written = out.write_all(format!("{columns}{}", one(&row, today, room)).as_bytes());
        written.map_err(|error| unwritten(&error))
    })?;
    years_wait(&waits, currency, out)?;
    not_known(&unknown, out)?;
    channels_down(context, store, out)
}

/// Reminders that do not get through: by which channel, since when, and when it is tried again.
fn channels_down(context: &Context, store: &Store, out: &mut dyn Write) -> Result<(), Failure> {
    let all = store.channel_states()?;
    // A channel that was taken out of the configuration is waited for by nobody; without a configuration
    // beside the ledger all are told.
    let settings = crate::command::remind::settings(context, &RemindFields::default()).ok();
    let is_there = |name: &str| settings.as_ref().is_none_or(|s| s.channels.iter().any(|c| c.name == name));
    let down = all.iter().filter_map(|state| state.down.as_ref().map(|down| (&state.name, down)));
    let down = down.filter(|(name, _)| is_there(name));
    for (name, down) in down {
        let says = super::remind::down_in_words(down, context.now);
        line(out, format_args!("\nreminders by `{}`: {says}", plain(name)))?;
    }
    Ok(())
}

/// Room for what is due next, after the other columns.
fn room() -> usize {
    let columns = terminal_size::terminal_size().map_or(LINE, |(width, _)| usize::from(width.0));
    columns.max(LINE) - WIDTHS.iter().sum::<usize>() - 2 * WIDTHS.len()
}

fn heading(totals: StatusTotals, out: &mut dyn Write) -> Result<(), Failure> {
    let mut says = vec![counted(totals.properties, "property", "properties")];
    if totals.urgent > 0 {
        says.push(format!("{} with something urgent", totals.urgent));
    }
    says.push(format!("{} for a licensed person", counted(totals.called, "thing", "things")));
    says.push(counted(totals.overdue, "property with something overdue", "properties with something overdue"));
    line(out, format_args!("{}", says.join(" · ")))?;
    if totals.properties == 0 {
        return line(out, format_args!("`stemwall property add KEY --name TEXT` adds the first one"));
    }
    Ok(())
}

fn columns() -> String {
    let [key, foundation, worst, open, overdue] = WIDTHS;
    format!(
        "{:<key$}  {:<foundation$}  {:<worst$}  {:>open$}  {:>overdue$}  next due\n",
        "property", "foundation", "worst", "open", "overdue"
    )
}

fn one(row: &StatusRow, today: NaiveDate, room: usize) -> String {
    let [key, foundation, worst, open, overdue] = WIDTHS;
    let band = match row.worst {
        None => "not known".to_owned(),
        Some(band) => format!("{} {}", courses(row.worst), in_words(band, row.who.as_deref())),
    };
    let padding = " ".repeat(worst.saturating_sub(band.chars().count()));
    let due = row.next_due.as_ref().map_or("–".to_owned(), |due| {
        let subject = if due.subject.is_empty() { String::new() } else { format!("/{} ", due.subject) };
        cut(&format!("{}  {subject}{}", soon(due.on, today), plain(&due.asks)), room)
    });
    format!(
        "{:<key$}  {:<foundation$}  {}{padding}  {:>open$}  {:>overdue$}  {due}\n",
        plain(&row.key),
        if row.foundations.is_empty() { "not known".into() } else { cut(&row.foundations, foundation) },
        coloured(row.worst, &band),
        row.open_findings,
        row.overdue,
    )
}

/// A day as it is needed in a list: `now` once it has come, without its year while that is plain.
fn soon(day: NaiveDate, today: NaiveDate) -> String {
    match (day - today).num_days() {
        ..=0 => "now".into(),
        1..=300 => day.format("%-d %b").to_string(),
        _ => day.format("%-d %b %Y").to_string(),
    }
}

/// `call an engineer` says more in a list than `call`.
fn in_words(band: Band, who: Option<&str>) -> String {
    const SHORT: [(&str, &str, &str); 7] = [
        ("structural", "call an engineer", "urgent, engineer"),
        ("radon", "call radon pro", "urgent, radon pro"),
        ("pest", "call pest pro", "urgent, pest pro"),
        ("remediation", "call contractor", "urgent, contractor"),
        ("utility", "call the utility", "urgent, utility"),
        ("electrician", "call electrician", "urgent, electric"),
        ("owner", "look at once", "urgent, owner"),
    ];
    let short = who.and_then(|who| SHORT.iter().find(|(of, ..)| who.contains(of)));
    match (band, short) {
        (Band::Call, Some((_, call, _))) => (*call).into(),
        (Band::Urgent, Some((.., urgent))) => (*urgent).into(),
        (band, _) => band.word().into(),
    }
}

/// What a year's wait costs, house by house: a range, since nearly all of it is assumed.
fn years_wait(waits: &[(String, Option<YearsWait>)], currency: Currency, out: &mut dyn Write) -> Result<(), Failure> {
    const MOST: usize = 12;
    let known: Vec<(&String, &YearsWait)> =
        waits.iter().filter_map(|(key, wait)| Some((key, wait.as_ref()?))).filter(|(_, w)| w.priced > 0).collect();
    if currency != Currency::USD && !waits.is_empty() {
        line(out, format_args!(""))?;
        line(
            out,
            format_args!(
                "a year's wait is in no figure: the program's prices are of the United States, in USD, and nothing"
            ),
        )?;
        return line(
            out,
            format_args!("  is converted to {currency}; `stemwall defer --ladder FILE` goes by your own"),
        );
    }
    if known.is_empty() {
        return Ok(());
    }
    line(out, format_args!(""))?;
    line(out, format_args!("a year's wait, assumed: `stemwall risk` says of what, `stemwall defer` by which figures"))?;
    for (key, wait) in known.iter().take(MOST) {
        let priced = counted(u64::from(wait.priced), "finding priced", "findings priced");
        let range = format!("{} to {}", amount(wait.low, currency), amount(wait.high, currency));
        line(out, format_args!("  {:<13}  {range:<20}  {priced}, {} not priced", plain(key), wait.not_priced))?;
    }
    let more = waits.len() - known.len().min(MOST);
    if more > 0 {
        line(out, format_args!("  and {more} more with something open: `stemwall risk`"))?;
    }
    Ok(())
}

/// Things never walked or never tested: a list of their own, since they have no band.
fn not_known(unknown: &[String], out: &mut dyn Write) -> Result<(), Failure> {
    const MOST: usize = 12;
    if unknown.is_empty() {
        return Ok(());
    }
    line(out, format_args!(""))?;
    line(out, format_args!("not known"))?;
    for what in unknown.iter().take(MOST) {
        line(out, format_args!("  {}", plain(what)))?;
    }
    if unknown.len() > MOST {
        line(out, format_args!("  and {} more: `stemwall property show KEY`", unknown.len() - MOST))?;
    }
    Ok(())
}
