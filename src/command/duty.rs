//! `due`, `done`, `duty`: what is to be done by when, over all houses; that it was; and what people set about it.

use std::path::PathBuf;

use chrono::{Days, NaiveDate};
use serde_json::{Value, json};

use super::{Context, Error};
use crate::calendar::almanac::ALMANAC;
use crate::calendar::occurrences::Interval;
use crate::ledger::occurrence_code::code;
use crate::store::{DueAsked, DueRow, Store, StoreError};
use crate::trade::cautions;

mod expect;
mod fields;
mod list;
mod occurrence;
mod set;
mod visit;

pub use expect::{ExpectFields, expect};
pub use fields::SetFields;
pub use list::{Listed, almanac, at_house};
pub use occurrence::{SkipFields, SnoozeFields, done, skip, snooze};
pub use set::{drop, set};
pub use visit::{Notice, Visit, visits};

/// How far ahead is looked, unless it is said.
const AHEAD: u64 = 30;

// What `due` can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct DueFields {
    /// One house only: larkspur-14
    pub key: Option<String>,
    /// How far to look ahead: 30d, 6w, 3m, 1y [default: 30d]
    #[arg(long, value_name = "TIME")]
    pub within: Option<String>,
    /// Everything due at one house, done on one trip
    #[arg(long)]
    pub visits: bool,
    /// With --visits or --ics: who has to be told, by name
    #[arg(long)]
    pub names: bool,
    /// Snoozed lines too
    #[arg(long)]
    pub all: bool,
    /// Show this many at most
    #[arg(long, value_name = "N")]
    pub limit: Option<usize>,
    /// Write a calendar (iCalendar): things to do and a visit to each house; `-` is standard output
    #[arg(long, value_name = "FILE", conflicts_with_all = ["limit", "json"])]
    pub ics: Option<PathBuf>,
}

/// The last day of what `--within` says, from `today`: `30d`, `6w`, `3m`, `1y`.
pub fn until(within: Option<&str>, today: NaiveDate) -> Result<NaiveDate, Error> {
    let Some(text) = within else { return Ok(today.checked_add_days(Days::new(AHEAD)).unwrap_or(NaiveDate::MAX)) };
    let refused = || Error::NotASpan { given: text.to_owned() };
    span(text)?.after(today).filter(|day| *day < far()).ok_or_else(refused)
}

/// The day on which a list is read: that of the house where one is named, else that of whoever reads.
pub fn today_of(context: &Context, store: &mut Store, fields: &DueFields) -> Result<NaiveDate, Error> {
    let Some(key) = &fields.key else { return Ok(context.today_at(None)) };
    let place = context.property(store, Some(key))?;
    Ok(context.today_at(Some(&store.folded(place.id)?.property)))
}

/// A day beyond every day that is looked ahead to.
fn far() -> NaiveDate {
    NaiveDate::from_ymd_opt(2300, 1, 1).expect("a day")
}

/// Reads a length of civil time: `10d`, `6w`, `3m`, `3mo`, `1y`.
pub(super) fn span(text: &str) -> Result<Interval, Error> {
    let refused = || Error::NotASpan { given: text.to_owned() };
    let compact: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let (number, unit) = compact.split_at(compact.find(|c: char| !c.is_ascii_digit()).ok_or_else(refused)?);
    let n: u32 = number.parse().map_err(|_| refused())?;
    let (months, days) = match unit {
        "d" | "day" | "days" => (Some(0), Some(n)),
        "w" | "week" | "weeks" => (Some(0), n.checked_mul(7)),
        "m" | "mo" | "month" | "months" => (Some(n), Some(0)),
        "y" | "year" | "years" => (n.checked_mul(12), Some(0)),
        _ => (None, None),
    };
    let (months, days) = months.zip(days).ok_or_else(refused)?;
    Ok(Interval { months, days })
}

/// What is due, at one house or at all: what goes to a licensed person first, then overdue, then by day.
pub fn due(
    context: &Context,
    store: &mut Store,
    fields: &DueFields,
    each: &mut dyn FnMut(DueRow) -> Result<(), StoreError>,
) -> Result<(), Error> {
    let today = today_of(context, store, fields)?;
    let until = until(fields.within.as_deref(), today)?;
    let Some(key) = &fields.key else {
        let asked = DueAsked { today, until, limit: fields.limit, snoozed: fields.all };
        return Ok(store.due(&asked, each)?);
    };
    let place = context.property(store, Some(key))?;
    let rows = store.due_at(place.id, today)?.into_iter().filter(|row| row.due_on <= until);
    let shown = rows.filter(|row| fields.all || !row.is_hidden(today));
    Ok(shown.take(fields.limit.unwrap_or(usize::MAX)).try_for_each(each)?)
}

/// The code by which an occurrence is named.
pub fn code_of(row: &DueRow) -> String {
    code(row.ledger, row.property, &row.subject, &row.duty, row.occurs_on)
}

/// What a row is about, as people address it.
pub fn place_of(row: &DueRow) -> String {
    if row.subject.is_empty() { row.key.clone() } else { format!("{}/{}", row.key, row.subject) }
}

/// The cautions that stand beside a duty of the almanac, wherever it is done.
pub fn cautions_of(duty: &str) -> Vec<&'static str> {
    let named = ALMANAC.duty(duty).map(|duty| duty.cautions.iter().filter_map(|name| cautions::named(name)));
    named.into_iter().flatten().collect()
}

/// The cautions that stand beside a row: of what is done, and of where.
pub fn cautions_of_row(row: &DueRow) -> Vec<&'static str> {
    let mut all = cautions_of(&row.duty);
    let of_place = row.inside.map(|foundation| ALMANAC.cautions_in(&format!("section:{foundation}")));
    for caution in of_place.unwrap_or_default().iter().filter_map(|name| cautions::named(name)) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    all
}

/// A duty as programs read it.
pub fn as_json(row: &DueRow, today: NaiveDate) -> Value {
    json!({
        "code": code_of(row), "property": row.key, "subject": place_of(row), "duty": row.duty, "title": row.title,
        "opens_on": row.opens_on, "best_on": row.best_on, "due_on": row.due_on, "moved_from": (row.occurs_on != row.due_on).then_some(row.occurs_on),
        "overdue_days": (today - row.due_on).num_days().max(0), "band": row.band, "minutes": row.minutes,
        "snoozed_until": row.snoozed_until, "why": row.why, "cautions": cautions_of_row(row),
    })
}
