//! `history`: everything about a subject, in order of happening, corrections visible.

use super::{Context, Error};
use crate::ledger::history::{Told, told};
use crate::ledger::verdicts::lifted;
use crate::ledger::when::When;
use crate::store::Store;

/// One line of a history.
#[derive(Debug, Clone, serde::Serialize)]
pub struct Line {
    pub entry: String,
    pub on: When,
    /// The day it was entered, where that is later than the day it happened.
    pub entered_on: Option<chrono::NaiveDate>,
    pub kind: String,
    /// `None` where the body is absent.
    pub says: Option<String>,
    pub by: Option<String>,
    pub note: Option<String>,
    pub files: Vec<String>,
    pub private: bool,
    /// The entry that corrected it.
    pub corrected_by: Option<String>,
    /// The entry that struck it.
    pub struck_by: Option<String>,
    /// The entry that erased its body.
    pub erased_by: Option<String>,
}

/// The history of a property, or of one subject of it.
pub fn history(context: &Context, store: &mut Store, typed: Option<&str>) -> Result<Vec<Line>, Error> {
    let place = context.subject(store, typed)?;
    let entries = store.entries(place.id)?;
    let units = store.settings().units;
    let property = store.folded(place.id)?.property.clone();
    let zone = property.zone.unwrap_or(chrono_tz::Tz::UTC);
    // A test says inches and seconds; what that is of this pit stands beside it.
    let flows = |seq: u64| {
        let rates = lifted(&property, seq);
        rates.map_or(String::new(), |r| format!("; it lifts {}, {} comes in", r.pump.show(units), r.inflow.show(units)))
    };
    let name = |seq: u64| format!("{}#{seq}", place.key);
    let line = |one: Told| Line {
        entry: name(one.seq),
        on: one.on,
        entered_on: one.entered_on,
        kind: one.kind,
        says: one.says.map(|says| says + &flows(one.seq)),
        by: one.by,
        note: one.note,
        files: one.files,
        private: one.private,
        corrected_by: one.corrected_by.map(name),
        struck_by: one.struck_by.map(name),
        erased_by: one.erased_by.map(name),
    };
    Ok(told(&entries, &place.key, zone, &place.subject).into_iter().map(line).collect())
}
