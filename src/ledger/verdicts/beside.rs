//! What the findings beside one add to its verdict: weaker signs that count together, cracks that are counted, signs that are
//! seen where a floor slopes.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::by_kind;
use crate::ledger::kind::reading_added::Measured;
use crate::ledger::property::{Finding, Property, Reading};
use crate::ledger::readings::{length, until};
use crate::ledger::settings::Settings;
use crate::ledger::subject::{Name, Subject};
use crate::quantity::Length;
use crate::trade::signs::{AtOnePlace, Sign};
use crate::trade::words::{Answer, FindingKind};
use crate::trade::{Verdict, crack, signs};

/// What the rules of the findings beside one can see of it, besides that it is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::ledger) struct Beside {
    /// A crack over the width that is counted.
    counted: bool,
    /// A sign that is too weak to send anybody by itself.
    weak: bool,
    /// The day on which that may be another by the date alone.
    weak_until: Option<NaiveDate>,
}

pub(in crate::ledger) fn seen_beside(
    property: &Property,
    number: u32,
    finding: &Finding,
    settings: &Settings,
    today: NaiveDate,
) -> Beside {
    let counted = length(finding, "width", today).is_some_and(|w| w > crack::COUNTED_ABOVE);
    let is_sign = has_kinds_enough(property) && sign(finding.kind).is_some();
    let verdict = is_sign.then(|| by_kind(property, number, finding, settings, today));
    let weak = verdict.as_ref().is_some_and(|verdict| signs::is_weak(verdict.band));
    Beside { counted, weak, weak_until: verdict.and_then(|verdict| verdict.changes_on) }
}

/// Most houses have too few kinds of signs at all, whatever their places and bands.
fn has_kinds_enough(property: &Property) -> bool {
    let kinds: BTreeSet<Sign> = property.finding_kinds.iter().filter_map(|kind| sign(*kind)).collect();
    kinds.len() >= signs::LEAST_SIGNS
}

/// A finding's own verdict, and what it is together with the weaker signs at its place.
pub(super) fn with_signs(
    property: &Property,
    number: u32,
    finding: &Finding,
    own: Verdict,
    settings: &Settings,
    today: NaiveDate,
) -> Verdict {
    let Some(sign_of_it) = sign(finding.kind) else { return own };
    if finding.closed.is_some() || !has_kinds_enough(property) || !signs::is_weak(own.band) {
        return own;
    }
    let beside = || {
        let others = open_on(property, today).filter(|(n, other)| *n != number && at_one_place(finding, other));
        others.filter_map(|(n, other)| Some((sign(other.kind)?, n, other)))
    };
    let kinds: BTreeSet<Sign> = beside().map(|(sign, ..)| sign).chain([sign_of_it]).collect();
    if kinds.len() < signs::LEAST_SIGNS {
        return own;
    }
    let mut seen = vec![(sign_of_it, number)];
    let mut changes_on = None;
    for (sign, n, other) in beside() {
        let verdict = by_kind(property, n, other, settings, today);
        if signs::is_weak(verdict.band) {
            seen.push((sign, n));
        }
        // A sign that grows too loud by the date alone, or less so, is another sign.
        changes_on = [changes_on, verdict.changes_on].into_iter().flatten().min();
    }
    seen.sort_by_key(|(_, number)| *number);
    let subjects: Vec<(Sign, String)> =
        seen.into_iter().map(|(sign, number)| (sign, Subject::Finding(number).of(&property.key))).collect();
    let signs: Vec<(Sign, &str)> = subjects.iter().map(|(sign, subject)| (*sign, subject.as_str())).collect();
    let place = finding.section.as_ref().map_or(finding.place.as_str(), Name::as_str);
    let together = signs::verdict(&AtOnePlace { place, signs: &signs });
    let mut verdict = if together.band.is_some() { together.and(own) } else { own };
    if let Some(day) = changes_on {
        verdict.may_change_on(day);
    }
    verdict
}

/// The findings that were open on a day.
fn open_on(property: &Property, today: NaiveDate) -> impl Iterator<Item = (u32, &Finding)> {
    let open = move |f: &Finding| f.opened.date <= today && f.closed.as_ref().is_none_or(|(on, _)| on.date > today);
    property.findings.iter().filter(move |(_, f)| open(f)).map(|(n, f)| (*n, f))
}

/// One place is one section, or the same words where no section is named.
fn at_one_place(one: &Finding, other: &Finding) -> bool {
    match (&one.section, &other.section) {
        (Some(a), Some(b)) => a == b,
        (None, None) => one.place == other.place,
        _ => false,
    }
}

fn sign(kind: FindingKind) -> Option<Sign> {
    match kind {
        FindingKind::Binding => Some(Sign::Binding),
        FindingKind::Settlement => Some(Sign::SlopingFloor),
        FindingKind::Crack => Some(Sign::Crack),
        FindingKind::Walkway => Some(Sign::WalkwayHeave),
        _ => None,
    }
}

pub(super) fn visible_signs(property: &Property, finding: &Finding, today: NaiveDate) -> Option<Answer> {
    let seen = open_on(property, today).any(|(_, other)| {
        matches!(other.kind, FindingKind::Crack | FindingKind::Binding) && at_one_place(finding, other)
    });
    seen.then_some(Answer::Yes)
}

/// The same at a section.
pub(super) fn visible_signs_in(property: &Property, section: &Name, today: NaiveDate) -> Option<Answer> {
    let shows = |of: &Finding| matches!(of.kind, FindingKind::Crack | FindingKind::Binding);
    let seen = open_on(property, today).any(|(_, other)| shows(other) && other.section.as_ref() == Some(section));
    seen.then_some(Answer::Yes)
}

/// Latest widths of the other open cracks on the finding's wall; none where it never was over the width that is counted
/// itself, for then nothing is counted beside it.
pub(super) fn widths_beside(property: &Property, number: u32, finding: &Finding, today: NaiveDate) -> Vec<Length> {
    let counts = until(finding, today).filter_map(width).any(|w| w > crack::COUNTED_ABOVE);
    let others = open_on(property, today)
        .take_while(|_| counts)
        .filter(|(n, f)| *n != number && f.kind == FindingKind::Crack && f.wall() == finding.wall())
        .map(|(_, f)| f);
    others.filter_map(|f| length(f, "width", today)).collect()
}

fn width(reading: &Reading) -> Option<Length> {
    match &reading.measured {
        Measured::Width(width) => Some(width.value()),
        _ => None,
    }
}
