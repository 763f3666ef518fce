//! The rows of what the rules make of a property: outlook, duties, and the overview that lists are read from.

use std::borrow::Cow;
use std::ops::Range;

use chrono::NaiveDate;
use rusqlite::types::Value;
use serde::{Deserialize, Serialize};

use super::{OUTLOOK, OVERVIEW, Row, count, maybe, number, text};
use crate::ledger::duties::Due;
use crate::ledger::outlook::{Outlook, OutlookRow};
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::trade::words::Foundation;
use crate::trade::{Band, Who};

/// A duty as it stands in the list of its subject.
#[derive(Serialize, Deserialize)]
struct Stored<'a> {
    #[serde(borrow)]
    duty: Cow<'a, str>,
    #[serde(borrow)]
    title: Cow<'a, str>,
    opens_on: NaiveDate,
    due_on: NaiveDate,
    #[serde(borrow)]
    why: Cow<'a, str>,
    /// The day by which its rule has it, where that is another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    moved_from: Option<NaiveDate>,
    /// The courses of the band of the verdict that asks for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    band: Option<u8>,
    minutes: u32,
    /// The foundation of the section it is done in, where that has cautions of its own.
    #[serde(borrow, default, skip_serializing_if = "Option::is_none")]
    inside: Option<Cow<'a, str>>,
}

/// The duties of one subject as they are stored: a JSON array, `None` where there is none.
fn list(duties: &[Due]) -> Option<String> {
    let stored = duties.iter().map(|due| Stored {
        duty: Cow::Borrowed(&due.code),
        title: Cow::Borrowed(&due.title),
        opens_on: due.opens_on,
        due_on: due.due_on,
        why: Cow::Borrowed(&due.why),
        moved_from: (due.occurs_on != due.due_on).then_some(due.occurs_on),
        band: due.band.map(Band::courses),
        minutes: due.minutes,
        inside: due.inside.map(|foundation| Cow::Borrowed(foundation.word())),
    });
    let stored: Vec<Stored> = stored.collect();
    let text = || serde_json::to_string(&stored).expect("words and days have a JSON form");
    (!stored.is_empty()).then(text)
}

/// The duties that a stored list has, in its order; none where it does not read, which `verify` names.
pub(in crate::store) fn duties_in(list: &str) -> Vec<Due> {
    let stored: Vec<Stored> = serde_json::from_str(list).unwrap_or_default();
    let due = |due: Stored| Due {
        code: due.duty.into_owned(),
        title: due.title.into_owned(),
        opens_on: due.opens_on,
        due_on: due.due_on,
        why: due.why.into_owned(),
        occurs_on: due.moved_from.unwrap_or(due.due_on),
        band: due.band.and_then(Band::from_courses),
        minutes: due.minutes,
        inside: due.inside.and_then(|word| Foundation::from_word(&word)),
        changes_on: None,
    };
    stored.into_iter().map(due).collect()
}

pub(in crate::store) fn outlook_row(chain: i64, subject: &Subject, row: &OutlookRow) -> Row {
    let row = vec![
        number(chain),
        text(subject.local()),
        row.band.map_or(Value::Null, |b| number(b.courses())),
        maybe(row.who),
        maybe(row.due_on),
        maybe(row.asks.as_ref()),
        maybe(row.changes_on),
        maybe(row.not_known.as_ref()),
        maybe(row.first_due()),
        maybe(row.first_called()),
        maybe(list(&row.duties)),
    ];
    (&OUTLOOK, row)
}

/// What goes to a licensed person: findings, radon of sections; not what the owner has to look at first.
pub(in crate::store) fn called(outlook: &Outlook) -> u64 {
    outlook.of_band(Band::Call).filter(|row| row.who != Some(Who::Owner.words())).count() as u64
}

pub(in crate::store) fn overview_row(chain: i64, property: &Property, outlook: &Outlook, as_of: NaiveDate) -> Row {
    let o = outlook.overview(property);
    let (due_on, due_subject, due_asks) = match o.next_due {
        Some((on, subject, asks)) => (text(on.to_string()), text(subject.local()), text(asks)),
        None => (Value::Null, Value::Null, Value::Null),
    };
    let row = vec![
        number(chain),
        text(&property.key),
        number(property.archived.is_some()),
        text(o.foundations),
        number(o.worst.map_or(0, Band::courses)),
        maybe(o.worst_subject.map(|s| s.local())),
        maybe(o.who),
        number(o.open_findings),
        count(called(outlook)),
        due_on,
        due_subject,
        due_asks,
        text(o.not_known.join("\n")),
        maybe(o.changes_on),
        text(as_of.to_string()),
    ];
    (&OVERVIEW, row)
}

/// Where the day, the subject and the words of what is due next stand in a row of the overview.
const DUE: Range<usize> = 9..12;

/// In what two overview rows of one property differ.
pub(in crate::store) enum Difference<'a> {
    None,
    /// Only in what is due next, which changes with every round of readings; given are the new values.
    Due(&'a [Value]),
    More,
}

pub(in crate::store) fn overview_difference<'a>(was: &[Value], now: &'a [Value]) -> Difference<'a> {
    match (was[..DUE.start] == now[..DUE.start] && was[DUE.end..] == now[DUE.end..], was[DUE] == now[DUE]) {
        (true, true) => Difference::None,
        (true, false) => Difference::Due(&now[DUE]),
        _ => Difference::More,
    }
}
