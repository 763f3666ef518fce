//! `due`, `done`, `duty list`: what is to be done by when, over all houses, and that it was.

use chrono::{Days, Months, NaiveDate};
use serde_json::{Value, json};

use super::{Circumstances, Context, Error, Place, Recorded, nearest};
use crate::calendar::almanac::{ALMANAC, By, Duty};
use crate::ledger::duties::duties;
use crate::ledger::kind::duty_done::DutyDone;
use crate::ledger::subject::Subject;
use crate::store::{DueRow, Store, StoreError, Target};

/// How far ahead is looked, unless it is said.
const AHEAD: u64 = 30;

/// The last day of what `--within` says, from `today`: `30d`, `6w`, `3m`, `1y`.
pub fn until(within: Option<&str>, today: NaiveDate) -> Result<NaiveDate, Error> {
    let Some(text) = within else { return Ok(today.checked_add_days(Days::new(AHEAD)).unwrap_or(NaiveDate::MAX)) };
    let refused = || Error::NotASpan { given: text.to_owned() };
    let compact: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let (number, unit) = compact.split_at(compact.find(|c: char| !c.is_ascii_digit()).ok_or_else(refused)?);
    let n: u32 = number.parse().map_err(|_| refused())?;
    let days = |n: u32| today.checked_add_days(Days::new(u64::from(n)));
    let months = |n: u32| today.checked_add_months(Months::new(n));
    match unit {
        "d" | "day" | "days" => days(n),
        "w" | "week" | "weeks" => n.checked_mul(7).and_then(days),
        "m" | "month" | "months" => months(n),
        "y" | "year" | "years" => n.checked_mul(12).and_then(months),
        _ => None,
    }
    .filter(|day| *day < NaiveDate::from_ymd_opt(2300, 1, 1).expect("a day"))
    .ok_or_else(refused)
}

/// What is due: overdue first, then by day.
pub fn due(
    context: &Context,
    store: &mut Store,
    within: Option<&str>,
    limit: Option<usize>,
    each: &mut dyn FnMut(DueRow) -> Result<(), StoreError>,
) -> Result<(), Error> {
    let today = context.today_at(None);
    Ok(store.due(today, until(within, today)?, limit, each)?)
}

/// A duty as programs read it.
pub fn as_json(row: &DueRow, today: NaiveDate) -> Value {
    let subject = if row.subject.is_empty() { row.key.clone() } else { format!("{}/{}", row.key, row.subject) };
    json!({
        "property": row.key, "subject": subject, "duty": row.duty, "title": row.title,
        "opens_on": row.opens_on, "due_on": row.due_on,
        "overdue_days": (today - row.due_on).num_days().max(0), "why": row.why,
    })
}

/// Every duty of the almanac.
pub fn list() -> &'static [Duty] {
    &ALMANAC.duties
}

/// A duty was done that no other entry can say.
pub fn done(context: &Context, store: &mut Store, typed: &str, c: &Circumstances) -> Result<Recorded, Error> {
    let (place, duty) = match ALMANAC.duties.iter().find(|d| d.code == typed) {
        Some(duty) => (only_place(context, store, duty)?, duty),
        None => {
            let place = context.place(store, typed).map_err(|error| near_code(typed, error))?;
            let duty = only_duty(context, store, &place)?;
            (place, duty)
        }
    };
    if duty.by != By::Done {
        return Err(Error::SaidByAnEntry { duty: duty.code.clone(), by: duty.by });
    }
    let about = match &place.subject {
        Subject::Property => String::new(),
        other => other.local(),
    };
    context.record(store, Target::Known(place.id), vec![DutyDone { about, duty: duty.code.clone() }.into()], c)
}

/// The one duty of a subject that `done` can say; where there are several, which is not guessed.
fn only_duty(context: &Context, store: &mut Store, place: &Place) -> Result<&'static Duty, Error> {
    let property = store.folded(place.id)?.property.clone();
    let today = context.today_at(Some(&property));
    let codes: Vec<String> = duties(&property, &place.subject, today).into_iter().map(|d| d.code).collect();
    let here: Vec<&Duty> = ALMANAC.duties.iter().filter(|d| codes.contains(&d.code)).collect();
    let sayable: Vec<&&Duty> = here.iter().filter(|d| d.by == By::Done).collect();
    match (&sayable[..], &here[..]) {
        ([only], _) => Ok(*only),
        ([], [first, ..]) => Err(Error::SaidByAnEntry { duty: first.code.clone(), by: first.by }),
        _ => Err(Error::WhichDuty { subject: place.subject.of(&place.key), codes }),
    }
}

/// The one subject in the ledger that has a duty; where there are several, which is not guessed.
fn only_place(context: &Context, store: &mut Store, duty: &Duty) -> Result<Place, Error> {
    let mut places = Vec::new();
    for key in store.keys(false)? {
        let place = context.property(store, Some(&key))?;
        let property = store.folded(place.id)?.property.clone();
        let today = context.today_at(Some(&property));
        for subject in std::iter::once(Subject::Property).chain(property.subjects()) {
            if duties(&property, &subject, today).iter().any(|d| d.code == duty.code) {
                places.push(Place { id: place.id, key: key.clone(), subject });
            }
        }
    }
    match places.len() {
        1 => Ok(places.remove(0)),
        _ => {
            let codes = places.iter().take(12).map(|place| place.subject.of(&place.key)).collect();
            Err(Error::WhichDuty { subject: duty.code.clone(), codes })
        }
    }
}

/// What is neither a subject nor a duty may be a duty misspelt.
fn near_code(typed: &str, error: Error) -> Error {
    match nearest(typed, ALMANAC.duties.iter().map(|d| d.code.as_str())) {
        Some(near) if !typed.contains('/') => Error::UnknownDuty { typed: typed.to_owned(), near },
        _ => error,
    }
}
