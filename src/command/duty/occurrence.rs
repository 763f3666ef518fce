//! One occurrence of a duty, by its code or by what it is of: done, left out, moved, or its line postponed.

use chrono::{Months, NaiveDate};
use uuid::Uuid;

use super::super::{Circumstances, Context, Error, Place, Recorded, nearest};
use super::{code_of, place_of, span};
use crate::calendar::almanac::{ALMANAC, By, Rule};
use crate::command::typed::Reading;
use crate::ledger::duties::{chosen, duties, names_of};
use crate::ledger::kind::duty_done::DutyDone;
use crate::ledger::kind::duty_skipped::DutySkipped;
use crate::ledger::occurrence_code::{code, of_property, typed as code_typed};
use crate::ledger::problem::Problem;
use crate::ledger::property::Skip;
use crate::ledger::subject::Subject;
use crate::store::{DueAsked, DueRow, Refusal, Store, StoreError, Target};
use crate::trade::Band;

/// A line is postponed for so many months at most: what is to rest longer is moved, or switched off.
const LONGEST_SNOOZE: Months = Months::new(12);

/// How many of several are named.
const NAMED: usize = 12;

// What `duty skip` can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct SkipFields {
    /// Do it by that day instead, in place of leaving it out
    #[arg(long, value_name = "DATE")]
    pub until: Option<String>,
    /// Nobody was in to open; --until says when it is tried again
    #[arg(long)]
    pub nobody_in: bool,
    #[arg(long, value_name = "TEXT")]
    pub why: Option<String>,
}

// What `duty snooze` can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct SnoozeFields {
    /// The day on which the line comes back
    #[arg(long, value_name = "DATE", conflicts_with = "for")]
    pub until: Option<String>,
    /// For how long: 3d, 2w, 1m
    #[arg(long, value_name = "TIME")]
    pub r#for: Option<String>,
}

/// A duty was done that no other entry can say.
pub fn done(context: &Context, store: &mut Store, typed: &str, c: &Circumstances) -> Result<Recorded, Error> {
    let row = find(context, store, typed, &|row| by(&row.duty) == By::Done)?;
    if by(&row.duty) != By::Done {
        return Err(Error::SaidByAnEntry {
            by: by(&row.duty),
            place: place_of(&row),
            title: row.title,
            duty: row.duty,
        });
    }
    let occurs = Some(row.occurs_on).filter(|_| is_of_warranty(&row.duty));
    let done = DutyDone { about: row.subject, duty: row.duty, occurs };
    let mut recorded = context.record(store, Target::Known(row.property), vec![done.into()], c)?;
    recorded.beside.push(row.title);
    Ok(recorded)
}

/// An occurrence is left out, or done by another day.
pub fn skip(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &SkipFields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let mut read = Reading::default();
    let until = read.day("--until", fields.until.as_deref());
    if fields.nobody_in && fields.until.is_none() {
        read.missing("--until");
    }
    let until = read.done_on(until, c)?;
    let row = find(context, store, typed, &|_| true)?;
    let today = context.today_at(Some(&store.folded(row.property)?.property));
    // By its code any occurrence can be meant, by its name only the one that is there to be done.
    if code_typed(typed).is_none() && row.opens_on > today {
        return Err(Error::NotDueYet { what: place_of(&row), title: row.title, opens: row.opens_on });
    }
    if row.band >= Some(Band::Call) {
        return Err(Error::NotMoved { what: row.title });
    }
    if row.band.is_some() && until.is_none() {
        return Err(Error::AskedByVerdict { duty: row.duty });
    }
    if let Some(until) = until {
        before_the_next(store, &row, until, today)?;
    }
    let skipped = DutySkipped {
        about: row.subject,
        duty: row.duty,
        occurs: row.occurs_on,
        until,
        nobody_in: fields.nobody_in,
        why: fields.why.clone(),
    };
    context.record(store, Target::Known(row.property), vec![skipped.into()], c)
}

/// A line is postponed; nothing is recorded of it.
pub fn snooze(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &SnoozeFields,
) -> Result<(DueRow, NaiveDate), Error> {
    let mut read = Reading::default();
    let until = read.day("--until", fields.until.as_deref());
    if fields.until.is_none() && fields.r#for.is_none() {
        read.missing("--until or --for");
    }
    let until = read.done(until)?;
    let no_length = || Error::NotASpan { given: fields.r#for.clone().unwrap_or_default() };
    let length = fields.r#for.as_deref().map(span).transpose()?;
    if length.is_some_and(|length| length.about_days() == 0) {
        return Err(no_length());
    }
    let row = find(context, store, typed, &|row| row.opens_on <= context.today_at(None))?;
    let today = context.today_at(Some(&store.folded(row.property)?.property));
    let until = match length {
        Some(length) => length.after(today),
        None => until,
    };
    let until = until.filter(|day| *day < NaiveDate::MAX).ok_or_else(no_length)?;
    if until <= today {
        return Err(Error::Typed(vec![Problem::DayPassed { field: "--until", day: until, on: today }]));
    }
    if today.checked_add_months(LONGEST_SNOOZE).is_some_and(|last| until > last) {
        return Err(Error::SnoozedTooLong { until });
    }
    if row.opens_on > today {
        return Err(Error::NotDueYet { what: place_of(&row), title: row.title, opens: row.opens_on });
    }
    store.snooze(&row, until)?;
    Ok((row, until))
}

/// Several of them can stand side by side, each on its day.
fn is_of_warranty(duty: &str) -> bool {
    ALMANAC.duty(duty).is_some_and(|duty| matches!(duty.rule, Rule::Warranty { .. }))
}

fn by(duty: &str) -> By {
    ALMANAC.duty(duty).map_or(By::Done, |duty| duty.by)
}

/// The occurrence that is meant: by its code, by the name of a duty, or by what it is of. Where several are, those that
/// `suits` are looked at first, and none is guessed.
fn find(context: &Context, store: &mut Store, typed: &str, suits: &dyn Fn(&DueRow) -> bool) -> Result<DueRow, Error> {
    if let Some(code) = code_typed(typed) {
        return by_code(context, store, &code);
    }
    if ALMANAC.duty(typed).is_some() || store.settings().duties.contains_key(typed) {
        return only(typed, of_duty(context, store, typed)?);
    }
    match context.place(store, typed) {
        Ok(place) => at_place(context, store, &place, suits),
        Err(error) => {
            // It may be the name of a duty that one house alone has.
            let rows = of_duty(context, store, typed)?;
            if rows.is_empty() { Err(near_duty(store, typed, error)) } else { only(typed, rows) }
        }
    }
}

/// The one row; where there are several, which is not guessed.
fn only(typed: &str, rows: Vec<DueRow>) -> Result<DueRow, Error> {
    match <[DueRow; 1]>::try_from(rows) {
        Ok([only]) => Ok(only),
        Err(rows) if rows.is_empty() => Err(Error::NothingStands { what: typed.to_owned() }),
        Err(rows) => {
            let codes = rows.iter().take(NAMED).map(|row| format!("{} ({})", code_of(row), place_of(row))).collect();
            Err(Error::WhichDuty { subject: typed.to_owned(), codes })
        }
    }
}

fn by_code(context: &Context, store: &mut Store, typed: &str) -> Result<DueRow, Error> {
    let prefix = typed.split('-').next().unwrap_or_default().to_owned();
    let ids: Vec<Uuid> = store.property_ids()?.into_iter().filter(|id| of_property(*id) == prefix).collect();
    let ledger = store.identifier();
    for id in ids {
        let property = store.folded(id)?.property.clone();
        let today = context.today_at(Some(&property));
        if let Some(row) = store.due_at(id, today)?.into_iter().find(|row| code_of(row) == typed) {
            return Ok(row);
        }
        let mut skips = property.skips.iter();
        let skipped = skips.find(|((about, duty, occurs), _)| code(ledger, id, &about.local(), duty, *occurs) == typed);
        if let Some(((_, duty, occurs), Skip { until: None, .. })) = skipped {
            let problem = Problem::SkippedAlready { duty: duty.clone(), occurs: *occurs };
            return Err(Error::Refused(vec![Refusal { index: 0, key: property.key, problem }]));
        }
    }
    Err(Error::UnknownOccurrence { code: typed.to_owned() })
}

fn of_duty(context: &Context, store: &mut Store, duty: &str) -> Result<Vec<DueRow>, StoreError> {
    let mut rows = Vec::new();
    let everything = DueAsked { today: context.today_at(None), until: super::far(), limit: None, snoozed: true };
    store.due(&everything, &mut |row| {
        if row.duty == duty && rows.len() <= NAMED {
            rows.push(row);
        }
        Ok(())
    })?;
    Ok(rows)
}

fn at_place(
    context: &Context,
    store: &mut Store,
    place: &Place,
    suits: &dyn Fn(&DueRow) -> bool,
) -> Result<DueRow, Error> {
    let today = context.today_at(Some(&store.folded(place.id)?.property));
    let local = place.subject.local();
    let mut here = store.due_at(place.id, today)?;
    here.retain(|row| row.subject == local);
    let what = || place.subject.of(&place.key);
    let mut suited: Vec<DueRow> = here.iter().filter(|row| suits(row)).cloned().collect();
    // Of several, what is there to be done is meant before what is far ahead; of several that are there, none is guessed.
    if suited.iter().any(|row| row.opens_on <= today) {
        suited.retain(|row| row.opens_on <= today);
    }
    match (suited.len(), here.len()) {
        (1, _) => Ok(suited.remove(0)),
        (0, 0) => Err(Error::NothingStands { what: what() }),
        // What the calendar asks for is told before what a verdict does.
        (0, _) => Ok(here.remove(here.iter().position(|row| row.band.is_none()).unwrap_or(0))),
        _ => {
            let codes = suited.iter().take(NAMED).map(|row| format!("{} ({})", code_of(row), row.title)).collect();
            Err(Error::WhichDuty { subject: what(), codes })
        }
    }
}

/// What is neither a subject nor a duty may be a duty misspelt.
pub(super) fn near_duty(store: &Store, typed: &str, error: Error) -> Error {
    let own = store.settings().duties.keys().map(String::as_str);
    match nearest(typed, ALMANAC.duties.iter().map(|d| d.code.as_str()).chain(own)) {
        Some(near) if !typed.contains('/') => Error::UnknownDuty { typed: typed.to_owned(), near },
        _ => error,
    }
}

/// A moved occurrence of a window of the year has its day before the next one opens: else there would be two to do at once.
/// What counts from when it was last done is moved by one interval at most.
fn before_the_next(store: &mut Store, row: &DueRow, until: NaiveDate, today: NaiveDate) -> Result<(), Error> {
    if is_of_warranty(&row.duty) {
        return Ok(());
    }
    let mut without = store.property_on(row.property, today)?;
    let subject = Subject::parse(&row.subject)?;
    let names = names_of(&without, &subject);
    let chosen = chosen(&without, &subject, &names, store.settings()).into_iter().find(|duty| duty.code == row.duty);
    let interval = chosen.filter(|_| row.band.is_none()).and_then(|duty| duty.falls.interval());
    let last = interval.and_then(|interval| interval.after(row.occurs_on.max(today)));
    if let Some(opens) = last.filter(|last| until > *last) {
        return Err(Error::NextOpens { until, opens });
    }
    let stands = duties(&without, &subject, store.settings(), today).into_iter().find(|due| due.code == row.duty);
    if interval.is_some() || stands.is_none_or(|due| due.changes_on.is_none()) {
        return Ok(());
    }
    let skip = Skip { on: today, until: None, nobody_in: false, why: None };
    without.skips.insert((subject.clone(), row.duty.clone(), row.occurs_on), skip);
    let next = duties(&without, &subject, store.settings(), today).into_iter().find(|due| due.code == row.duty);
    match next.filter(|next| next.occurs_on != row.occurs_on && next.opens_on <= until) {
        Some(next) => Err(Error::NextOpens { until, opens: next.opens_on }),
        None => Ok(()),
    }
}
