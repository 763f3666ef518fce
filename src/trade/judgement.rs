//! What a judgement by a licensed professional does while it holds.
//!
//! The rule in words: the latest judgement holds until the day or the condition it states. While it holds it decides what is
//! asked of the owner, and the computed verdict stays beside it, unchanged. Later evidence raises the computed verdict again:
//! a higher band than when it was given, a rule of the call or urgent band that did not speak then, or a flood, an
//! earthquake or works since. A judgement without a licence is kept and does not hold. An earlier judgement is not taken up
//! again when a later one ends.
//!
//! Design rule of this program, no published source; what a professional concluded is theirs, and is quoted, not weighed.

use chrono::NaiveDate;

use super::told;
use super::verdict::{Band, Fired, Rule, Standing, Step, Verdict, Who};
use super::words::EventKind;
use crate::quantity::Length;

#[cfg(test)]
mod tests;

pub static JUDGEMENT: Rule = Rule {
    name: "judgement-holds",
    says: "a judgement by a licensed professional decides what is asked of the owner until its date or condition, or until later \
           evidence; the computed band stays beside it",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "findings the judgement names, as the professional saw them",
    variants: &[],
};

/// A judgement as it was recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    pub from: String,
    /// Number and state of the licence; empty if none is recorded, and the judgement does not hold then.
    pub licence: String,
    pub says: String,
    /// What it asks of the owner, if it says so in one of the five words; `None` means watching.
    pub asks: Option<Band>,
    pub on: NaiveDate,
    /// Last day it holds, if it names one.
    pub until: Option<NaiveDate>,
    pub conditions: Vec<Condition>,
}

/// A condition on which a judgement ends.
#[derive(Debug, Clone, PartialEq)]
pub enum Condition {
    /// A width, offset or bow above this.
    Reaches(Length),
    /// Growth in a year above this.
    Grows(Length),
    Event(EventKind),
}

/// What came after the latest judgement.
#[derive(Debug, Clone, Default)]
pub struct Later<'a> {
    /// The verdict computed from what was recorded up to the judgement; `None` if it cannot be had, which raises.
    pub computed_then: Option<&'a Verdict>,
    /// Largest reading of the finding since.
    pub largest: Option<Length>,
    /// Growth a year by the trend, where one is shown.
    pub growth_a_year: Option<Length>,
    /// First day of the next reading round.
    pub next_round: Option<NaiveDate>,
    /// Events of the property; those on or after the day of the judgement count.
    pub events: &'a [(EventKind, NaiveDate)],
}

/// A verdict with what licensed people said about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// As computed from the record alone; never changed by a judgement.
    pub computed: Verdict,
    /// The judgement that holds now, if one does.
    pub held_by: Option<Judgement>,
    /// Why the latest judgement does not hold.
    pub not_held: Option<String>,
    /// What is asked of the owner now: the judgement's while it holds, else the computed verdict.
    pub asked: Verdict,
}

/// Weighs the computed verdict on `today` against the judgements on its subject, in any order.
pub fn judged(computed: Verdict, judgements: &[Judgement], later: &Later, today: NaiveDate) -> Judged {
    let latest = judgements.iter().filter(|j| j.on <= today).max_by_key(|j| j.on);
    let Some(latest) = latest else {
        return Judged { asked: computed.clone(), computed, held_by: None, not_held: None };
    };
    if let Some(why) = ended(latest, &computed, later, today) {
        let mut asked = computed.clone();
        asked.next.insert(0, Step::recorded_as(format!("ask {} again: {why}", latest.from), "judgement-given"));
        return Judged { asked, computed, held_by: None, not_held: Some(why) };
    }
    let asked = asked_by(latest, &computed, later);
    Judged { computed, asked, held_by: Some(latest.clone()), not_held: None }
}

/// Why the latest judgement no longer holds, or never did.
fn ended(judgement: &Judgement, computed: &Verdict, later: &Later, today: NaiveDate) -> Option<String> {
    if judgement.licence.trim().is_empty() {
        return Some("no licence is recorded with it".to_owned());
    }
    if let Some(until) = judgement.until.filter(|until| *until < today) {
        return Some(format!("it held until {}", told::day(until)));
    }
    let met = judgement.conditions.iter().find_map(|condition| reached(condition, judgement, later, today));
    met.or_else(|| shaken(judgement, later, today)).or_else(|| risen(computed, later))
}

fn reached(condition: &Condition, judgement: &Judgement, later: &Later, today: NaiveDate) -> Option<String> {
    match condition {
        Condition::Reaches(limit) => {
            let found = later.largest.filter(|found| found > limit)?;
            Some(format!("{} is over the {} it names", told::length(found), told::length(*limit)))
        }
        Condition::Grows(limit) => {
            let found = later.growth_a_year.filter(|found| found > limit)?;
            Some(format!("growth of {} a year is over the {} it names", told::length(found), told::length(*limit)))
        }
        Condition::Event(kind) => event_since(judgement, later, today, |k| k == *kind),
    }
}

/// Whether something that sends the owner to look happened since.
fn shaken(judgement: &Judgement, later: &Later, today: NaiveDate) -> Option<String> {
    event_since(judgement, later, today, |k| matches!(k, EventKind::Flood | EventKind::Earthquake | EventKind::Works))
}

fn event_since(j: &Judgement, later: &Later, today: NaiveDate, counts: impl Fn(EventKind) -> bool) -> Option<String> {
    let event = later.events.iter().find(|(kind, on)| counts(*kind) && *on >= j.on && *on <= today)?;
    Some(format!("{} on {}", event.0, told::day(event.1)))
}

/// Whether the record since speaks louder than it did when the judgement was given.
fn risen(computed: &Verdict, later: &Later) -> Option<String> {
    let then = match later.computed_then {
        Some(then) => then,
        None if computed.band >= Some(Band::Call) => {
            return Some("what was known when it was given is not known".to_owned());
        }
        None => return None,
    };
    if computed.band > then.band {
        let now = computed.band.map_or("none", Band::word);
        return Some(format!("the computed band rose to {now} since"));
    }
    let spoke_then = |fired: &Fired| then.because.iter().any(|t| t.rule == fired.rule && t.band >= fired.band);
    let new = computed.because.iter().find(|f| f.band >= Some(Band::Call) && !spoke_then(f))?;
    Some(format!("since it was given: {}", new.because))
}

/// The verdict asked of the owner while `judgement` holds; the computed rules stay in [`Judged::computed`].
fn asked_by(judgement: &Judgement, computed: &Verdict, later: &Later) -> Verdict {
    let band = judgement.asks.unwrap_or(Band::Watch);
    let until = judgement.until.map_or_else(String::new, |day| format!(", until {}", told::day(day)));
    let because = format!(
        "{} (licence {}) on {}{until}: {}",
        judgement.from,
        judgement.licence,
        told::day(judgement.on),
        judgement.says
    );
    let mut asked = Verdict::from_fired(vec![Fired::new(&JUDGEMENT, band, Who::Owner, None, because)]);
    asked.comparison = computed.because.iter().chain(&computed.comparison).cloned().collect();
    for fired in &mut asked.comparison {
        fired.band = None;
    }
    asked.not_known = computed.not_known.clone();
    // What was to be done at once has been: the judgement is its answer. Readings go on on their days.
    let read = Step::recorded_as("read on as before", "reading-added");
    let reading = computed.next.iter().filter(|step| step.records == Some("reading-added")).find_map(|step| step.by);
    // What was read monthly until an engineer looked goes back to its round.
    let read = match reading.and(later.next_round).or(reading) {
        Some(day) => read.by(day),
        None => read,
    };
    asked.asks(vec![Step::new(format!("do what {} wrote", judgement.from)), read]);
    asked.cautions = computed.cautions.clone();
    asked.changes_on = computed.changes_on;
    if let Some(after) = judgement.until.and_then(|day| day.succ_opt()) {
        asked.may_change_on(after);
    }
    asked
}
