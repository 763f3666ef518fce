//! A chain told in order of happening: each entry with both its days, in words, and what became of it.
//!
//! A correction stands where the fact happened and says what it says now; what it corrects, and what was struck, stay.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, Utc};

use super::fold::{Fate, Recorded, fates};
use super::kind::Fact;
use super::kind::entry_erased::EntryErased;
use super::subject::Subject;
use super::when::When;

/// One entry as it is told.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    pub seq: u64,
    /// When it happened; of a correction, when the fact happened by it.
    pub on: When,
    pub recorded: DateTime<Utc>,
    /// The day it was entered by the calendar of the house, where that is later than the day it happened.
    pub entered_on: Option<NaiveDate>,
    pub kind: String,
    /// `None` where the body is absent.
    pub says: Option<String>,
    pub by: Option<String>,
    pub note: Option<String>,
    pub files: Vec<String>,
    pub private: bool,
    pub corrected_by: Option<u64>,
    pub struck_by: Option<u64>,
    /// The entry that erased its body.
    pub erased_by: Option<u64>,
}

/// The entries of a property, or those about one subject of it, in order of happening. `key` is what the property is
/// called, `zone` that of its calendar.
pub fn told(entries: &[Recorded], key: &str, zone: chrono_tz::Tz, about: &Subject) -> Vec<Told> {
    let fates = fates(entries);
    let name = |seq: u64| format!("{key}#{seq}");
    let erasing: BTreeMap<u64, u64> = entries.iter().filter_map(erases).collect();
    let mut told: Vec<Told> = Vec::new();
    for entry in entries {
        let seq = entry.seq();
        if *about != Subject::Property && !subjects(entries, seq).contains(about) {
            continue;
        }
        let envelope = &entry.envelope;
        let body = entry.body.as_ref();
        let (on, says) = match body.map(|b| &b.fact) {
            Some(Fact::EntryCorrected(c)) => {
                let kind = at(entries, c.entry).map(|e| &e.envelope.kind);
                let now = kind.and_then(|kind| Fact::read(kind, c.v, &c.fact.to_string()).ok());
                let now = now.map_or(String::new(), |fact| format!("; now: {}", fact.sentence()));
                (c.on, Some(format!("corrects {}: {}{now}", name(c.entry), c.why)))
            }
            Some(Fact::EntryErased(e)) => {
                (envelope.on, Some(format!("erases the body of {}: {}", name(e.entry), e.why)))
            }
            Some(Fact::EntryStruck(s)) => (envelope.on, Some(format!("strikes {}: {}", name(s.entry), s.why))),
            Some(fact) => (envelope.on, Some(fact.sentence())),
            None => (envelope.on, None),
        };
        let fate = fates.get(&seq).copied().unwrap_or(Fate::Lives);
        let entered = envelope.recorded.with_timezone(&zone).date_naive();
        let remarks = body.map(|b| &b.remarks);
        told.push(Told {
            seq,
            on,
            recorded: envelope.recorded,
            entered_on: Some(entered).filter(|day| *day > on.date),
            kind: envelope.kind.clone(),
            says,
            by: remarks.and_then(|r| r.by.clone()),
            note: remarks.and_then(|r| r.note.clone()),
            files: body.map(|b| b.attachments().iter().map(|a| a.name.clone()).collect()).unwrap_or_default(),
            private: remarks.is_some_and(|r| r.private),
            corrected_by: if let Fate::CorrectedBy(by) = fate { Some(by) } else { None },
            erased_by: erasing.get(&seq).copied().filter(|_| body.is_none()),
            struck_by: if let Fate::StruckBy(by) = fate { Some(by) } else { None },
        });
    }
    told.sort_by_key(|one| (one.on, one.seq));
    told
}

/// The entry that one erases, and itself.
fn erases(entry: &Recorded) -> Option<(u64, u64)> {
    match entry.body.as_ref().map(|b| &b.fact) {
        Some(Fact::EntryErased(erased)) => Some((erased.entry, entry.seq())),
        _ => None,
    }
}

/// What an entry is about; of one that amends another, what that one is about.
pub fn subjects(entries: &[Recorded], seq: u64) -> Vec<Subject> {
    let of = |seq: u64| at(entries, seq).and_then(|e| e.body.as_ref()).map(|b| b.fact.about()).unwrap_or_default();
    match at(entries, seq).and_then(|e| e.body.as_ref()).map(|b| &b.fact) {
        Some(Fact::EntryCorrected(c)) => of(c.entry),
        Some(Fact::EntryStruck(s)) => of(s.entry),
        Some(Fact::EntryErased(e)) if e.about.is_empty() => of(e.entry),
        Some(Fact::EntryErased(e)) => kept(e),
        Some(fact) => fact.about(),
        // Its body is gone; what it was about stays with the entry that erased it.
        None => erased_by(entries, seq).map(kept).unwrap_or_default(),
    }
}

/// The erasure of an entry whose body is absent.
fn erased_by(entries: &[Recorded], seq: u64) -> Option<&EntryErased> {
    entries.iter().find_map(|e| match e.body.as_ref().map(|b| &b.fact) {
        Some(Fact::EntryErased(erased)) if erased.entry == seq => Some(erased),
        _ => None,
    })
}

fn kept(erased: &EntryErased) -> Vec<Subject> {
    erased.about.iter().map(|about| Subject::parse(about).unwrap_or(Subject::Property)).collect()
}

fn at(entries: &[Recorded], seq: u64) -> Option<&Recorded> {
    entries.get(usize::try_from(seq).ok()?.checked_sub(1)?)
}
