//! The rows of what the rules make of a property: outlook, duties, and the overview that lists are read from.

use std::ops::Range;

use chrono::NaiveDate;
use rusqlite::types::Value;

use super::{DUTIES, OUTLOOK, OVERVIEW, Row, count, maybe, number, text};
use crate::ledger::duties::Due;
use crate::ledger::outlook::{Outlook, OutlookRow};
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::trade::{Band, Who};

/// The duties of one subject.
pub(in crate::store) fn duty_rows<'a>(
    chain: i64,
    subject: &'a Subject,
    row: &'a OutlookRow,
) -> impl Iterator<Item = Row> + 'a {
    row.duties.iter().map(move |due| duty_row(chain, subject, due))
}

pub(in crate::store) fn duty_row(chain: i64, subject: &Subject, due: &Due) -> Row {
    let row = vec![
        number(chain),
        text(subject.local()),
        text(&due.code),
        text(&due.title),
        text(due.opens_on.to_string()),
        text(due.due_on.to_string()),
        text(&due.why),
        maybe((due.occurs_on != due.due_on).then_some(due.occurs_on)),
        due.band.map_or(Value::Null, |band| number(band.courses())),
        number(due.minutes),
    ];
    (&DUTIES, row)
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
