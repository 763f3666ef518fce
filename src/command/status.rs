//! `status`, `property list`, `property show`, `finding list`: what stands where.

use serde_json::{Value, json};

use super::{Context, Error};
use crate::ledger::outlook::outlook;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::quantity::Currency;
use crate::store::{FindingRow, StatusRow, StatusTotals, Store, StoreError, Waits};
use crate::trade::Who;
use crate::trade::verdict::Named;

/// Counts over all houses. One pass over them, so a first screen of many thousands does without.
pub fn totals(context: &Context, store: &mut Store) -> Result<StatusTotals, Error> {
    Ok(store.status_totals(context.today_at(None))?)
}

/// The first look: each row as it is read, worst first.
pub fn status(
    context: &Context,
    store: &mut Store,
    limit: Option<usize>,
    each: &mut dyn FnMut(StatusRow) -> Result<(), StoreError>,
) -> Result<(), Error> {
    let today = context.today_at(None);
    let waits = store.waits(today, limit)?;
    Ok(store.status(today, limit, &waits, each)?)
}

/// Every house with the worst of it, and nothing of what waiting costs.
pub fn list(
    context: &Context,
    store: &mut Store,
    each: &mut dyn FnMut(StatusRow) -> Result<(), StoreError>,
) -> Result<(), Error> {
    Ok(store.status(context.today_at(None), None, &Waits::default(), each)?)
}

/// A row of the first look as programs read it.
pub fn as_json(row: &StatusRow, currency: Currency) -> Value {
    let foundations: Vec<&str> = row.foundations.split(", ").filter(|f| !f.is_empty()).collect();
    let subject = |local: &str| if local.is_empty() { row.key.clone() } else { format!("{}/{local}", row.key) };
    let who = Named::from(row.who.as_deref().and_then(Who::from_words));
    json!({
        "property": row.key,
        "name": row.name,
        "foundations": foundations,
        "worst": row.worst,
        "worst_subject": row.worst_subject.as_deref().map(subject),
        "who": who.who,
        "who_words": who.who_words,
        "open_findings": row.open_findings,
        "overdue": row.overdue,
        "next_due": row.next_due.as_ref().map(|due| json!({
            "on": due.on, "subject": subject(&due.subject), "asks": due.asks,
        })),
        "not_known": row.not_known,
        "years_wait": row.wait.map(|wait| {
            let money = |amount: f64| (wait.priced > 0).then_some(amount);
            json!({
                "currency": currency, "low": money(wait.low), "expected": money(wait.expected), "high": money(wait.high),
                "priced": wait.priced, "not_priced": wait.not_priced, "standing": "assumed",
            })
        }),
    })
}

/// A property with everything of it.
pub struct PropertyShown {
    pub property: Property,
    /// Band of each subject that has one, in words.
    pub bands: Vec<(Subject, Option<&'static str>)>,
    pub entries: u64,
    pub seal: String,
}

pub fn show(context: &Context, store: &mut Store, key: Option<&str>) -> Result<PropertyShown, Error> {
    let place = context.property(store, key)?;
    let today = context.today_at(Some(&store.folded(place.id)?.property));
    let property = store.property_on(place.id, today)?;
    let outlook = outlook(&property, store.settings(), today);
    let bands = outlook.rows.into_iter().map(|(subject, row)| (subject, row.band.map(|b| b.word()))).collect();
    let folded = store.folded(place.id)?;
    Ok(PropertyShown { property, bands, entries: folded.length, seal: folded.head.to_hex() })
}

/// The findings of one property or of all.
pub fn findings(
    context: &Context,
    store: &mut Store,
    key: Option<&str>,
    open_only: bool,
    each: &mut dyn FnMut(FindingRow) -> Result<(), StoreError>,
) -> Result<(), Error> {
    let id = match key {
        Some(key) => Some(context.property(store, Some(key))?.id),
        None => None,
    };
    Ok(store.findings(id, open_only, context.today_at(None), each)?)
}
