//! What is missing from the record that a page is made of: entries whose body is left out, and entries that are here and
//! rest on one that is not. What is left out is not the same as what never was, so every sentence that would say "none" asks
//! here first.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use uuid::Uuid;

use super::leave_out::Reason;
use crate::ledger::fold::{Fate, Recorded, fates, fold};
use crate::ledger::kind::Fact;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;

/// Kinds of entries that no verdict rests on.
const WEIGH_NOTHING: [&str; 5] = ["note-added", "quote-given", "seal-given", "file-attached", "taken-over"];

#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gaps {
    /// How many entries of a kind have no body here and are not told either.
    absent: BTreeMap<String, u64>,
    /// Entries with a body that have no place in what is left of the record.
    pub hanging: Vec<Hanging>,
    /// One of the absent ones may be what a verdict would rest on.
    weighs: bool,
}

/// An entry that rests on one that is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Hanging {
    pub seq: u64,
    pub kind: String,
    pub about: Vec<Subject>,
    /// What it says of a finding that it opens.
    pub opens: Option<(u32, String)>,
}

impl Gaps {
    /// What is missing up to the end of `day`; `reason` says why a body is not here.
    pub fn of(id: Uuid, entries: &[Recorded], day: NaiveDate, reason: impl Fn(u64) -> Option<Reason>) -> Gaps {
        let mut gaps = Gaps::default();
        let known = entries.iter().filter(|e| e.envelope.on.date <= day);
        for entry in known.clone().filter(|e| e.body.is_none()) {
            let kind = entry.envelope.kind.as_str();
            *gaps.absent.entry(kind.to_owned()).or_default() += 1;
            // What is left out whole for its amount is a quote, or what corrects one.
            let quoted = reason(entry.seq()) == Some(Reason::Costs);
            gaps.weighs |= !quoted && !WEIGH_NOTHING.contains(&kind) && !kind.starts_with("duty-");
        }
        if gaps.absent.is_empty() {
            return gaps;
        }
        let fates = fates(entries);
        let mut unplaced: Vec<u64> = fold(id, entries).unplaced.into_iter().map(|(seq, _)| seq).collect();
        unplaced.dedup();
        // One that is told without its amount may say nothing more: it hangs on nothing.
        for entry in known.filter(|e| unplaced.contains(&e.seq()) && reason(e.seq()).is_none()) {
            let Some(body) = entry.body.as_ref().filter(|_| fates.get(&entry.seq()) == Some(&Fate::Lives)) else {
                continue;
            };
            let opens = match &body.fact {
                Fact::FindingOpened(f) => Some((f.number, format!("{}, {}", f.kind, f.place))),
                _ => None,
            };
            let (seq, kind, about) = (entry.seq(), entry.envelope.kind.clone(), body.fact.about());
            gaps.hanging.push(Hanging { seq, kind, about, opens });
        }
        gaps.weighs |= !gaps.hanging.is_empty();
        gaps
    }

    /// Verdicts may rest on part of the record only.
    pub fn weigh(&self) -> bool {
        self.weighs
    }

    /// How many entries of these kinds are left out or rest on what is.
    pub fn of_kinds(&self, kinds: &[&str]) -> u64 {
        let absent: u64 = kinds.iter().filter_map(|kind| self.absent.get(*kind)).sum();
        absent + self.hanging.iter().filter(|h| kinds.contains(&h.kind.as_str())).count() as u64
    }

    /// `2 readings, 1 radon test`; what is absent, by kind.
    pub fn words(&self) -> String {
        let said: Vec<String> = self.absent.iter().map(|(kind, n)| counted(kind, *n)).collect();
        said.join(", ")
    }

    /// The sections and fixtures that entries here speak of, and that the record here does not have, with those entries.
    pub fn parts(&self, property: &Property) -> BTreeMap<Subject, Vec<u64>> {
        let mut out: BTreeMap<Subject, Vec<u64>> = BTreeMap::new();
        for hanging in &self.hanging {
            for subject in hanging.about.iter().filter(|s| matches!(s, Subject::Named(_)) && !property.knows(s)) {
                out.entry(subject.clone()).or_default().push(hanging.seq);
            }
        }
        out
    }

    /// The findings that entries here speak of, and that the record here does not open: number, what is known of each, and
    /// the entries.
    pub fn findings(&self, property: &Property) -> BTreeMap<u32, (Option<String>, Vec<u64>)> {
        let mut out: BTreeMap<u32, (Option<String>, Vec<u64>)> = BTreeMap::new();
        for hanging in &self.hanging {
            for subject in &hanging.about {
                let Subject::Finding(number) = subject else { continue };
                if !property.findings.contains_key(number) {
                    let (what, seqs) = out.entry(*number).or_default();
                    seqs.push(hanging.seq);
                    let opens = hanging.opens.as_ref().filter(|(n, _)| n == number);
                    *what = opens.map(|(_, what)| what.clone()).or(what.take());
                }
            }
        }
        out
    }
}

fn counted(kind: &str, n: u64) -> String {
    let (one, many) = match kind {
        "property-changed" => ("change of the house", "changes of the house"),
        "section-added" => ("section", "sections"),
        "section-changed" => ("change of a section", "changes of sections"),
        "fixture-added" => ("fixture", "fixtures"),
        "fixture-replaced" => ("replacement of a fixture", "replacements of fixtures"),
        "fixture-retired" => ("end of a fixture", "ends of fixtures"),
        "finding-opened" => ("finding", "findings"),
        "finding-closed" => ("closing of a finding", "closings of findings"),
        "finding-reopened" => ("reopening of a finding", "reopenings of findings"),
        "reading-added" => ("reading", "readings"),
        "radon-tested" => ("radon test", "radon tests"),
        "air-logged" => ("record of a logger", "records of loggers"),
        "level-surveyed" => ("survey of levels", "surveys of levels"),
        "sheet-tested" => ("test with a sheet", "tests with a sheet"),
        "gauge-looked" => ("look at a gauge", "looks at a gauge"),
        "sump-tested" => ("test of a pump", "tests of pumps"),
        "repair-made" => ("repair", "repairs"),
        "repair-checked" => ("look at a repair", "looks at repairs"),
        "walk-begun" => ("walk", "walks"),
        "point-walked" => ("point of a walk", "points of walks"),
        "judgement-given" => ("judgement", "judgements"),
        "quote-given" => ("quote", "quotes"),
        "note-added" => ("note", "notes"),
        "event-happened" => ("event", "events"),
        "file-attached" => ("file", "files"),
        "entry-corrected" => ("correction", "corrections"),
        other => {
            let plural = if n == 1 { "entry" } else { "entries" };
            return format!("{n} {plural} of kind {other}");
        }
    };
    format!("{n} {}", if n == 1 { one } else { many })
}

#[cfg(test)]
mod tests {
    use super::counted;

    #[test]
    fn what_is_left_out_is_counted_in_words() {
        assert_eq!(counted("reading-added", 1), "1 reading");
        assert_eq!(counted("reading-added", 2), "2 readings");
        assert_eq!(counted("level-surveyed", 2), "2 surveys of levels");
        assert_eq!(counted("walk-ended", 2), "2 entries of kind walk-ended");
    }
}
