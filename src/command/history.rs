//! `history`: everything about a subject, in order of happening, corrections visible.

use super::{Context, Error};
use crate::ledger::fold::{Fate, fates};
use crate::ledger::kind::Fact;
use crate::ledger::subject::Subject;
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
}

/// The history of a property, or of one subject of it.
pub fn history(context: &Context, store: &mut Store, typed: Option<&str>) -> Result<Vec<Line>, Error> {
    let place = context.subject(store, typed)?;
    let entries = store.entries(place.id)?;
    let fates = fates(&entries);
    let about = |seq: u64| -> Vec<Subject> {
        let entry = usize::try_from(seq).ok().and_then(|seq| entries.get(seq.checked_sub(1)?));
        let body = entry.and_then(|e| e.body.as_ref());
        match body.map(|b| &b.fact) {
            Some(Fact::EntryCorrected(c)) => about_of(&entries, c.entry),
            Some(Fact::EntryStruck(s)) => about_of(&entries, s.entry),
            Some(Fact::EntryErased(e)) => about_of(&entries, e.entry),
            Some(fact) => fact.about(),
            None => Vec::new(),
        }
    };
    let name = |seq: u64| format!("{}#{seq}", place.key);
    let mut lines: Vec<(When, u64, Line)> = Vec::new();
    for entry in &entries {
        let seq = entry.seq();
        if place.subject != Subject::Property && !about(seq).contains(&place.subject) {
            continue;
        }
        let envelope = &entry.envelope;
        let body = entry.body.as_ref();
        // A correction shows what it says now; it stands where the fact happened.
        let (on, says) = match body.map(|b| &b.fact) {
            Some(Fact::EntryCorrected(c)) => {
                let kind = entries.get(usize::try_from(c.entry).unwrap_or(0).wrapping_sub(1)).map(|e| &e.envelope.kind);
                let now = kind.and_then(|kind| Fact::read(kind, c.v, &c.fact.to_string()).ok());
                let now = now.map_or(String::new(), |fact| format!("; now: {}", fact.sentence()));
                (c.on, Some(format!("corrects {}: {}{now}", name(c.entry), c.why)))
            }
            Some(Fact::EntryStruck(s)) => (envelope.on, Some(format!("strikes {}: {}", name(s.entry), s.why))),
            Some(fact) => (envelope.on, Some(fact.sentence())),
            None => (envelope.on, None),
        };
        let fate = fates.get(&seq).copied().unwrap_or(Fate::Lives);
        let zone = store.folded(place.id)?.property.zone.unwrap_or(chrono_tz::Tz::UTC);
        let entered = envelope.recorded.with_timezone(&zone).date_naive();
        let remarks = body.map(|b| &b.remarks);
        lines.push((
            on,
            seq,
            Line {
                entry: name(seq),
                on,
                entered_on: Some(entered).filter(|day| *day > envelope.on.date),
                kind: envelope.kind.clone(),
                says,
                by: remarks.and_then(|r| r.by.clone()),
                note: remarks.and_then(|r| r.note.clone()),
                files: body.map(|b| b.attachments().iter().map(|a| a.name.clone()).collect()).unwrap_or_default(),
                private: remarks.is_some_and(|r| r.private),
                corrected_by: if let Fate::CorrectedBy(by) = fate { Some(name(by)) } else { None },
                struck_by: if let Fate::StruckBy(by) = fate { Some(name(by)) } else { None },
            },
        ));
    }
    lines.sort_by_key(|(on, seq, _)| (*on, *seq));
    Ok(lines.into_iter().map(|(.., line)| line).collect())
}

fn about_of(entries: &[crate::ledger::fold::Recorded], seq: u64) -> Vec<Subject> {
    let entry = usize::try_from(seq).ok().and_then(|seq| entries.get(seq.checked_sub(1)?));
    entry.and_then(|e| e.body.as_ref()).map(|b| b.fact.about()).unwrap_or_default()
}
