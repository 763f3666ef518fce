//! From the ledger's list of what is due to what a channel can be told of.

use std::path::Path;

use chrono::{Days, NaiveDate};

use super::super::{Context, Error, duty, ics};
use crate::remind::channel::Failed;
use crate::remind::notice::{Notice, Occurrence, Thing};
use crate::remind::plan::Standing;
use crate::remind::settings::Channel;
use crate::store::{DueAsked, DueRow, Reminder, Store, StoreError};

/// What stands that a channel may be told of, in the order of the list, with what it was told before.
pub fn standing(store: &mut Store, channel: &Channel, today: NaiveDate) -> Result<Vec<Standing>, Error> {
    let until = today.checked_add_days(Days::new(channel.calls.furthest().into())).unwrap_or(today);
    let mut rows = Vec::new();
    store.due(&DueAsked { today, until, limit: None, snoozed: false }, &mut |row| {
        if channel.properties.is_empty() || channel.properties.contains(&row.key) {
            rows.push(row);
        }
        Ok(())
    })?;
    let all = rows.into_iter().map(|row| {
        let last = store.last_reminder(&channel.name, &reminder(&row))?;
        Ok(Standing { thing: thing(channel, row), last })
    });
    all.collect()
}

fn reminder(row: &DueRow) -> Reminder {
    Reminder {
        property: row.property,
        subject: row.subject.clone(),
        duty: row.duty.clone(),
        occurs_on: row.occurs_on,
        due_on: row.due_on,
        number: 0,
    }
}

fn thing(channel: &Channel, row: DueRow) -> Thing {
    Thing {
        code: duty::code_of(&row),
        subject: duty::place_of(&row),
        cautions: duty::cautions_of_row(&row).into_iter().map(str::to_owned).collect(),
        band: row.band.map(|band| band.word().to_owned()),
        opens_on: row.opens_on,
        due_on: row.due_on,
        minutes: row.minutes,
        number: 0,
        why: Some(row.why).filter(|why| channel.why && !why.is_empty()),
        tell: row.tell.filter(|_| channel.names),
        id: Occurrence { property: row.property, subject: row.subject, occurs_on: row.occurs_on },
        property: row.key,
        duty: row.duty,
        title: row.title,
    }
}

/// The rows of the outbox that a message stands for.
pub fn reminders(notice: &Notice) -> Vec<Reminder> {
    let row = |thing: &Thing| Reminder {
        property: thing.id.property,
        subject: thing.id.subject.clone(),
        duty: thing.duty.clone(),
        occurs_on: thing.id.occurs_on,
        due_on: thing.due_on,
        number: thing.number,
    };
    notice.things.iter().map(row).collect()
}

/// Writes a calendar file anew; the outer error is the ledger's, the inner one the file's.
pub fn calendar(
    context: &Context,
    store: &mut Store,
    channel: &Channel,
    file: &Path,
    within: u32,
    today: NaiveDate,
) -> Result<Result<(), Failed>, Error> {
    let fields = duty::DueFields { within: Some(format!("{within}d")), ..duty::DueFields::default() };
    let context = Context { path: context.path.clone(), today: Some(today), now: context.now, by: None, ask: None };
    let mut known = Vec::new();
    for key in &channel.properties {
        if store.property_id(key)?.is_some() {
            known.push(key.clone());
        }
    }
    let told = ics::Told { why: channel.why, names: channel.names, house: channel.names };
    let calendar = match channel.properties.is_empty() {
        true => ics::due(&context, store, &fields, told)?,
        false => ics::due_at(&context, store, &fields, &known, told)?,
    };
    let written = ics::put(&calendar, file);
    Ok(written.map_err(|error| Failed { problem: error.to_string(), certain: true }))
}

/// What a screen that cannot be written ends in.
pub fn unwritten(error: std::io::Error) -> Error {
    Error::Store(StoreError::Io { path: "standard output".into(), error: error.to_string() })
}
