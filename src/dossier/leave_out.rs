//! What stays out of what is handed to others, and what is told in its place.
//!
//! A body is left out whole, since its hash covers all of it: the envelope stays and the chain still checks. With an entry go
//! the entries that repeat its words: its corrections, and files attached to it. Where only a cost has to stay out, the
//! fact is told without it; a chain does not prove such a telling. What names the house always goes in, without its note.

use std::collections::{BTreeMap, BTreeSet};

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::DossierError;
use crate::ledger::entry::{Body, RawEntry, Remarks};
use crate::ledger::fold::Recorded;
use crate::ledger::kind::Fact;

/// Why a body is not in the dossier.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Reason {
    /// Whoever made the dossier left it out.
    Asked,
    /// It is marked private, or tells more of an entry that is.
    Private,
    /// It holds an amount of money.
    Costs,
    /// An entry destroyed it.
    Erased,
    /// It was not in the ledger that the dossier was made from.
    Absent,
}

impl Reason {
    pub fn words(self) -> &'static str {
        match self {
            Reason::Asked => "left out by whoever made this dossier",
            Reason::Private => "left out: marked private",
            Reason::Costs => "left out: it holds an amount of money",
            Reason::Erased => "destroyed by a later entry",
            Reason::Absent => "not in the ledger this was made from",
        }
    }
}

/// What is asked to stay in or out.
#[derive(Debug, Clone, Default)]
pub struct Choice {
    pub costs: bool,
    pub private: bool,
    pub leave_out: BTreeSet<u64>,
}

/// One body that stays out, and what is told in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    pub reason: Reason,
    pub told: Option<Body>,
}

/// Which bodies stay out, by place in the chain.
///
/// Errors: the entry that names the house was to be left out.
pub fn left_out(entries: &[Recorded], choice: &Choice) -> Result<BTreeMap<u64, LeftOut>, DossierError> {
    let mut out: BTreeMap<u64, LeftOut> = BTreeMap::new();
    for entry in entries.iter().filter(|e| e.body.is_none()) {
        let reason = if erased(entries, entry.seq()) { Reason::Erased } else { Reason::Absent };
        out.insert(entry.seq(), LeftOut { reason, told: None });
    }
    for (reason, seqs) in [(Reason::Asked, choice.leave_out.clone()), (Reason::Private, private(entries, choice))] {
        for seq in with_what_repeats_them(entries, &seqs) {
            let Some(body) = body(entries, seq) else { continue };
            let told = match &body.fact {
                Fact::PropertyAdded(_) if reason == Reason::Asked => {
                    return Err(DossierError::CannotLeaveOut { seq });
                }
                // It names the house: what goes is what was said around it.
                Fact::PropertyAdded(_) => {
                    Some(without_costs(entries, &bare(body), choice).unwrap_or_else(|| bare(body)))
                }
                _ => None,
            };
            out.entry(seq).or_insert(LeftOut { reason, told });
        }
    }
    for entry in entries.iter().filter(|_| !choice.costs) {
        let Some(body) = &entry.body else { continue };
        if out.contains_key(&entry.seq()) {
            continue;
        }
        if let Fact::QuoteGiven(_) = &body.fact {
            out.insert(entry.seq(), LeftOut { reason: Reason::Costs, told: None });
        } else if is_a_quote_corrected(entries, &body.fact) {
            out.insert(entry.seq(), LeftOut { reason: Reason::Costs, told: None });
        } else if let Some(told) = without_costs(entries, body, choice) {
            out.insert(entry.seq(), LeftOut { reason: Reason::Costs, told: Some(told) });
        }
    }
    Ok(out)
}

/// The chain with those bodies out of it.
pub fn without(entries: Vec<RawEntry>, left_out: &BTreeMap<u64, LeftOut>) -> Vec<RawEntry> {
    let keep = |(seq, raw): (u64, RawEntry)| match left_out.contains_key(&seq) {
        true => RawEntry { body: None, ..raw },
        false => raw,
    };
    (1..).zip(entries).map(keep).collect()
}

/// An entry destroyed the body of `seq`.
pub fn erased(entries: &[Recorded], seq: u64) -> bool {
    let erases =
        |e: &Recorded| matches!(e.body.as_ref().map(|b| &b.fact), Some(Fact::EntryErased(x)) if x.entry == seq);
    entries.iter().any(erases)
}

fn private(entries: &[Recorded], choice: &Choice) -> BTreeSet<u64> {
    if choice.private {
        return BTreeSet::new();
    }
    let mut out = BTreeSet::new();
    for entry in entries.iter().filter(|e| e.body.as_ref().is_some_and(|b| b.remarks.private)) {
        out.insert(entry.seq());
        // A correction that makes an entry private says so of the entry it corrects.
        if let Some(Fact::EntryCorrected(c)) = entry.body.as_ref().map(|b| &b.fact) {
            out.insert(c.entry);
        }
    }
    out
}

/// With the entries, those that tell the same again: corrections of them, and files that belong to them.
fn with_what_repeats_them(entries: &[Recorded], seqs: &BTreeSet<u64>) -> BTreeSet<u64> {
    let mut all = seqs.clone();
    for entry in entries {
        let of = match entry.body.as_ref().map(|b| &b.fact) {
            Some(Fact::EntryCorrected(c)) => Some(c.entry),
            Some(Fact::FileAttached(f)) => f.entry,
            _ => None,
        };
        if of.is_some_and(|seq| all.contains(&seq)) {
            all.insert(entry.seq());
        }
    }
    all
}

fn body(entries: &[Recorded], seq: u64) -> Option<&Body> {
    entries.get(usize::try_from(seq).ok()?.checked_sub(1)?)?.body.as_ref()
}

fn is_a_quote_corrected(entries: &[Recorded], fact: &Fact) -> bool {
    let Fact::EntryCorrected(c) = fact else { return false };
    entries.iter().any(|e| e.seq() == c.entry && e.envelope.kind == "quote-given")
}

fn bare(body: &Body) -> Body {
    Body { remarks: Remarks { by: body.remarks.by.clone(), ..Remarks::default() }, fact: body.fact.clone() }
}

/// The same body without the amounts in it; `None` where there are none.
fn without_costs(entries: &[Recorded], body: &Body, choice: &Choice) -> Option<Body> {
    if choice.costs {
        return None;
    }
    let fact = match body.fact.clone() {
        Fact::RepairMade(mut f) => f.cost.take().map(|_| f.into()),
        Fact::PropertyAdded(mut f) => f.value.take().map(|_| f.into()),
        // A change of the value alone says nothing without it.
        Fact::PropertyChanged(mut f) => f.value.take().map(|_| f.into()),
        Fact::EntryCorrected(mut c) => {
            let kind = entries.iter().find(|e| e.seq() == c.entry).map(|e| e.envelope.kind.as_str());
            let amount = match kind {
                Some("repair-made") => "cost",
                Some("property-added" | "property-changed") => "value",
                _ => return None,
            };
            let Value::Object(fields) = &mut c.fact else { return None };
            fields.remove(amount).map(|_| c.into())
        }
        _ => None,
    }?;
    Some(Body { remarks: body.remarks.clone(), fact })
}
