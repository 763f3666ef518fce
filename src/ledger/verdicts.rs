//! From what is recorded of a subject to the inputs of the trade's rules, and so to its verdict on a day.

mod beside;
mod fixture;
mod levels;
mod radon;
mod repaired;
mod sheets;

use std::borrow::Cow;
use std::collections::BTreeMap;

use chrono::{Datelike, Months, NaiveDate};

use super::air::of_air;
use super::duties::walked;
use super::kind::reading_added::Measured;
use super::property::{Finding, Judgement, Property, Reading, Section, Walk};
use super::readings::{area, bowed, latest, leans, length, series, share, surveyed_points, surveys, temperature};
use super::readings::{until, wetness};
use super::settings::Settings;
use super::subject::{Name, Subject};
use super::when::When;
use crate::quantity::{Area, Length, leading};
use crate::trade::wording::Wording;
use crate::trade::words::{Answer, EventKind, FindingKind, Outcome, Surface, Water};
use crate::trade::{Verdict, called, concrete, crack, electrics, event, judgement, level, moisture, other, site};
use crate::trade::{timber, trend, wall};

pub use fixture::{drawdown, lifted};
pub use radon::radon_test;

pub(super) use beside::{Beside, seen_beside};

use beside::{visible_signs, widths_beside, with_signs};
use fixture::of_fixture;
pub(super) use radon::of_radon;
use repaired::{filled, looked_at_repair, of_repair};

/// A verdict as it is shown: what is asked of the owner, with what was computed beside it where a judgement decides.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// What is asked now.
    pub verdict: Verdict,
    /// What the record alone gives, where a judgement holds.
    pub computed: Option<Verdict>,
    /// The judgement that holds.
    pub held_by: Option<judgement::Judgement>,
    /// Why the latest judgement does not hold.
    pub not_held: Option<String>,
}

/// The verdict on a subject on a day; `None` where no rule speaks of such a subject.
///
/// A finding is judged by its kind's rules, a section by its radon tests, the property by what happened since the last
/// look, a tree by its zone. Readings and events after `today` are left out.
pub fn verdict_of(property: &Property, subject: &Subject, settings: &Settings, today: NaiveDate) -> Option<Shown> {
    let mut shown = compared(property, subject, settings, today)?;
    for verdict in std::iter::once(&mut shown.verdict).chain(shown.computed.as_mut()) {
        let units = settings.units;
        for fired in verdict.because.iter_mut().chain(&mut verdict.comparison) {
            let wording = std::mem::replace(&mut fired.because, Wording::from(String::new()));
            fired.because = wording.then(move |text| leading(units, text));
        }
        let texts = verdict.next.iter_mut().map(|step| &mut step.says).chain(&mut verdict.not_known);
        texts.for_each(|text| *text = leading(units, std::mem::take(text)));
    }
    Some(shown)
}

/// What the rules give, in the words of the rules.
fn compared(property: &Property, subject: &Subject, settings: &Settings, today: NaiveDate) -> Option<Shown> {
    match subject {
        Subject::Finding(number) => of_finding(property, *number, settings, today),
        Subject::Property => Some(plain(of_events(property, today))),
        Subject::Named(name) if property.sections.contains_key(name) => {
            let radon = of_radon(property, name, settings, today);
            let sheets = sheets::of_sheets(property, subject, today);
            let levels = levels::of_levels(property, name, settings, today);
            let more = [of_air(property, name, today), levels, sheets];
            Some(plain(more.into_iter().flatten().fold(radon, Verdict::and)))
        }
        Subject::Named(name) => of_fixture(property, name, settings, today).map(plain),
    }
}

fn plain(verdict: Verdict) -> Shown {
    Shown { verdict, computed: None, held_by: None, not_held: None }
}

fn of_finding(property: &Property, number: u32, settings: &Settings, today: NaiveDate) -> Option<Shown> {
    let finding = property.findings.get(&number)?;
    let computed = computed(property, number, finding, settings, today);
    let given = property.judgements.iter().filter(|j| j.about.contains(&number) && j.on.date <= today);
    // How long a crack is says nothing of how wide it may be.
    let limited = |r: &Reading| ["width", "offset", "bow"].contains(&r.measured.quantity());
    let lengths = |r: &Reading| r.measured.length().filter(|_| limited(r)).map(|l| l.value());
    let weighed = |one: &Judgement| {
        let known = known_at(property, one);
        let then = match known.findings.get(&number) {
            Some(finding) => self::computed(&known, number, finding, settings, one.on.date),
            None => Verdict::from_fired(Vec::new()),
        };
        let later = judgement::Later {
            computed_then: Some(&then),
            largest: until(finding, today)
                .filter(|r| r.on.is_after(r.seq, (one.on, one.seq)))
                .filter_map(lengths)
                .max(),
            growth_a_year: growth_a_year(finding, today),
            next_round: Some(next_round(finding, settings, today)),
            events: &events(property),
        };
        judgement::judged(computed.clone(), &[judged_by(one)], &later, today)
    };
    // The newest that has not run out decides: one that only ran out does not take the place of an earlier one that holds,
    // and one that ended by what it names, or by later evidence, leaves none in its place.
    let ran_out = |j: &Judgement| j.until.is_some_and(|until| until < today) || j.licence.trim().is_empty();
    let holding = given.clone().filter(|j| !ran_out(j)).reduce(newer);
    let Some(newest) = holding.or(given.reduce(newer)) else { return Some(plain(computed)) };
    let judged = weighed(newest);
    Some(Shown {
        computed: judged.held_by.is_some().then_some(judged.computed),
        verdict: judged.asked,
        held_by: judged.held_by,
        not_held: judged.not_held,
    })
}

fn newer<'a>(one: &'a Judgement, other: &'a Judgement) -> &'a Judgement {
    if other.on.is_after(other.seq, (one.on, one.seq)) { other } else { one }
}

/// The property as far as it was known when a judgement was given: what was read, seen or opened later on its day is evidence
/// that came after it.
fn known_at<'a>(property: &'a Property, given: &Judgement) -> Cow<'a, Property> {
    let since = (given.on, given.seq);
    let later = |on: When, seq| on.date == given.on.date && on.is_after(seq, since);
    let any = |f: &Finding| later(f.opened, f.seq) || f.readings.iter().any(|r| later(r.on, r.seq));
    if !property.findings.values().any(any) {
        return Cow::Borrowed(property);
    }
    let mut known = property.clone();
    known.findings.retain(|_, finding| !later(finding.opened, finding.seq));
    known.findings.values_mut().for_each(|finding| finding.readings.retain(|r| !later(r.on, r.seq)));
    Cow::Owned(known)
}

fn judged_by(j: &Judgement) -> judgement::Judgement {
    judgement::Judgement {
        from: j.from.clone(),
        licence: j.licence.clone(),
        says: j.says.clone(),
        asks: None,
        on: j.on.date,
        until: j.until,
        conditions: j
            .until_width
            .map(judgement::Condition::Reaches)
            .into_iter()
            .chain(j.until_growth.map(judgement::Condition::Grows))
            .chain(j.until_event.iter().copied().map(judgement::Condition::Event))
            .collect(),
    }
}

/// The largest growth in a year that a full year of any series shows.
fn growth_a_year(finding: &Finding, today: NaiveDate) -> Option<Length> {
    let grown = series(finding)
        .iter()
        .filter_map(|s| {
            let growth = trend::growth(&s.points(today), s.resolution().mm).ok()?;
            (growth.state == trend::State::Growing).then(|| growth.slope()).flatten()
        })
        .reduce(f64::max)?;
    Length::nearest(grown)
}

/// What the record alone gives: the kind's own rules, and what the findings beside it add.
fn computed(property: &Property, number: u32, finding: &Finding, settings: &Settings, today: NaiveDate) -> Verdict {
    let own = by_kind(property, number, finding, settings, today);
    let repaired = of_repair(property, number, finding, today).filter(|_| finding.closed.is_none());
    let signs = with_signs(property, number, finding, own, settings, today);
    let mut verdict = repaired.into_iter().fold(signs, |all, one| one.and(all));
    if let Some(sheets) = sheets::of_sheets(property, &Subject::Finding(number), today) {
        verdict = verdict.and(sheets);
    }
    // What was read last is the newest of the evidence.
    let since = until(finding, today).map(|r| r.on.date).max().unwrap_or(finding.opened.date);
    called::ask_within(&mut verdict, since.max(finding.opened.date));
    verdict
}

fn by_kind(property: &Property, number: u32, finding: &Finding, settings: &Settings, today: NaiveDate) -> Verdict {
    let p = &finding.particulars;
    let moved_on = until(finding, today).find(|r| r.moved).map(|r| r.on.date);
    let opened = finding.opened.date;
    let next_round = next_round(finding, settings, today);
    match finding.kind {
        FindingKind::Crack => crack::verdict(
            &crack::Crack {
                surface: p.surface.or(p.wall.as_ref().map(|_| Surface::Wall)),
                wall: property.walls_of(finding),
                runs: p.runs,
                water: wetness(finding, today),
                source_known: p.source_known,
                retains: p.retains,
                pattern: p.pattern,
                series: &series(finding),
                widths_beside: &widths_beside(property, number, finding, today),
                moved_on,
                opened,
                next_round,
                filled: filled(property, number, finding, today),
                choices: settings.choices,
            },
            today,
        ),
        FindingKind::Bow => wall::verdict(
            &wall::Bow {
                wall: property.walls_of(finding),
                retains: p.retains,
                series: &series(finding),
                leans: &leans(finding),
                bowed: bowed(finding, today),
                moved_on,
                opened,
                next_round,
            },
            today,
        ),
        FindingKind::Settlement => {
            let (points, apart) = surveyed_points(finding, today);
            let of = level::Settlement {
                series: &series(finding),
                surveys: &surveys(finding),
                points: &points,
                apart,
                visible_signs: visible_signs(property, finding, today),
                moved_on,
                next_round,
            };
            level::verdict(&of, today)
        }
        FindingKind::Binding => other::binding(&other::Binding { what: p.what.as_deref(), since: since(finding) }),
        FindingKind::Bearing => {
            timber::bearing(&timber::Bearing { member: p.member, support: p.support, moved_on, opened })
        }
        FindingKind::Spall => concrete::spall(&concrete::Spall {
            steel_shows: either(p.steel_shows, p.rust),
            depth: length(finding, "depth", today),
            across: length(finding, "across", today),
        }),
        FindingKind::Bolt => concrete::bolt(&concrete::Bolt {
            rust: p.rust,
            edge_broken_out: p.edge_broken,
            sill_loose: p.sill_loose,
            edge_distance: length(finding, "edge-distance", today),
        }),
        FindingKind::Damp => moisture::damp(
            &moisture::Damp {
                since_rain: p.since_rain,
                plumbing_near: p.near_plumbing,
                source_found: p.source_known,
                wood: share(finding, "moisture", today),
                wood_bears_load: p.bears_load,
                humidity: share(finding, "humidity", today),
                air: temperature(finding, "air", today),
                water_depth: latest(finding, "water-depth", today)
                    .and_then(|r| Some((r.measured.length()?.value(), r.on.date))),
                water: latest(finding, "water", today).and_then(|r| match r.measured {
                    Measured::Water(water) => Some((water, r.on.date)),
                    _ => None,
                }),
                read_on: until(finding, today)
                    .last()
                    .map(|r| r.on.date)
                    .max(looked_at_repair(property, number, today))
                    .or(Some(opened)),
                ..moisture::Damp::default()
            },
            today,
        ),
        FindingKind::Efflorescence => moisture::efflorescence(&moisture::Efflorescence {
            face: share(finding, "face-share", today),
            powdering: p.powdering,
            rule: settings.choices.efflorescence,
        }),
        FindingKind::Mould => moisture::mould(&moisture::Mould { area: area(finding, "area", today) }),
        FindingKind::Rot => timber::rot(&timber::Rot {
            member: p.member,
            bears_load: p.bears_load,
            moisture: share(finding, "moisture", today),
            probe_sinks: p.probe_sinks,
            probe_depth: length(finding, "probe", today),
        }),
        FindingKind::Insects => timber::insects(&timber::Insects { signs: &p.signs }),
        FindingKind::Grade => {
            let (fall, run) =
                latest(finding, "fall", today).map_or((None, None), |r| (r.measured.length(), r.over.as_ref()));
            site::grade(&site::Grade { ground: p.ground, fall: fall.map(|l| l.value()), run: run.map(|l| l.value()) })
        }
        FindingKind::Drainage => site::drainage(&site::Drainage {
            part: p.part,
            wrong: p.what.as_deref(),
            distance: length(finding, "distance", today),
            rule: settings.choices.discharge,
        }),
        FindingKind::Walkway => site::walkway(
            &site::Walkway {
                paving: p.paving,
                series: &series(finding),
                moved: moved_on.map(|_| Answer::Yes).or(p.has_moved),
                next_spring: next_spring(last_look(
                    property,
                    Subject::Finding(number),
                    finding.readings.last().map_or(opened, |r| r.on.date),
                )),
            },
            today,
        ),
        FindingKind::Tree => site::tree(&site::Tree {
            species: p.species.as_deref(),
            demand: p.demand,
            height: length(finding, "height", today),
            distance: length(finding, "distance", today),
            shrinkable_clay: p.clay.or(of_section(property, finding.section.as_ref()).and_then(|s| s.clay)),
            next_spring: next_spring(last_look(
                property,
                Subject::Finding(number),
                finding.readings.last().map_or(opened, |r| r.on.date),
            )),
        }),
        FindingKind::Vent => site::vent(&site::Vent {
            blocked: p.blocked,
            free_area: area(finding, "free-area", today),
            floor_area: floor_area(property, finding),
            missing: p.missing,
            retarder: p.retarder.or(of_section(property, finding.section.as_ref()).and_then(|s| s.retarder)),
            rule: settings.choices.vents,
        }),
        FindingKind::Clearance => site::clearance(&site::Clearance {
            member: p.member,
            clearance: length(finding, "clearance", today),
            protected: p.treated,
        }),
        FindingKind::Electrics => electrics::verdict(&electrics::Electrics {
            named: p.equipment,
            wet: wetness(finding, today) != Some(Water::Dry),
            opened,
        }),
        FindingKind::Other => other::verdict(&other::Other { what: p.what.as_deref() }),
    }
}

/// What happened since the last look. After a flood, an earthquake or works, a look is a note on the property itself that
/// says so: a reading of one crack is not one, and neither is a look at one section.
fn of_events(property: &Property, today: NaiveDate) -> Verdict {
    let events = events(property);
    let counts = |kind| matches!(kind, EventKind::Flood | EventKind::Earthquake | EventKind::Works);
    let looks = || property.notes.iter().filter(|n| n.look && n.on.date <= today);
    let noted = looks().filter(|n| n.about == Subject::Property).map(|n| n.on.date).max();
    // A walk that reached every point outside and of every section that can be reached is a look at all of it.
    let walked = property.walks.iter().filter_map(|walk| whole_walk(property, walk)).filter(|day| *day <= today).max();
    let noted = noted.max(walked);
    let mut sections: BTreeMap<&str, NaiveDate> = BTreeMap::new();
    for look in looks() {
        if let Subject::Named(name) = &look.about {
            sections.entry(name.as_str()).and_modify(|day| *day = look.on.date.max(*day)).or_insert(look.on.date);
        }
    }
    let sections: Vec<(&str, NaiveDate)> = sections.into_iter().collect();
    let unseen = events.iter().filter(|(kind, on)| counts(*kind) && noted.is_none_or(|look| *on >= look));
    let unseen = unseen.map(|(_, on)| *on).min();
    let before = |day: &NaiveDate| *day <= today && unseen.is_none_or(|event| *day < event);
    let opened = property.findings.values().map(|f| f.opened.date).filter(before);
    // Readings stand in order of happening, so the last that counts is met first from the end.
    let read = property.findings.values().filter_map(|f| f.readings.iter().rev().map(|r| r.on.date).find(before));
    let mut seen = opened.chain(read);
    // Which look was the last is told beside an event only; elsewhere it is enough that there was one.
    let seen = if unseen.is_some() { seen.max() } else { seen.next() };
    event::verdict(&event::SinceLastLook { last_look: noted.max(seen), sections: &sections, events: &events }, today)
}

/// The day of a walk that reached every point of the house and of its sections; of a section nothing of which was ever
/// reached, nothing can be asked.
fn whole_walk(property: &Property, walk: &Walk) -> Option<NaiveDate> {
    let outside = walked(property, &Subject::Property, walk)?;
    let of_section = |name: &Name| {
        let subject = Subject::Named(name.clone());
        let ever = property.walks.iter().flat_map(|w| &w.points);
        let reached = ever.clone().any(|p| p.about == subject && p.outcome != Outcome::NotReached);
        if reached { Some(walked(property, &subject, walk)) } else { None }
    };
    let days: Option<Vec<NaiveDate>> = property.sections.keys().filter_map(of_section).collect();
    days?.into_iter().chain([outside]).max()
}

/// The day a walk last reached something, or `before` where that is later.
fn last_look(property: &Property, subject: Subject, before: NaiveDate) -> NaiveDate {
    let points = property.walks.iter().flat_map(|walk| &walk.points);
    let reached = points.filter(|p| p.about == subject && p.outcome != Outcome::NotReached).map(|p| p.on.date);
    reached.max().map_or(before, |day| day.max(before))
}

fn either(one: Option<Answer>, other: Option<Answer>) -> Option<Answer> {
    match (one, other) {
        (Some(Answer::Yes), _) | (_, Some(Answer::Yes)) => Some(Answer::Yes),
        (one, other) => one.or(other),
    }
}

fn floor_area(property: &Property, finding: &Finding) -> Option<Area> {
    of_section(property, finding.section.as_ref())?.area.as_ref().map(|a| a.value())
}

/// The section something stands in; what is known of its ground is known of the thing where nobody said otherwise.
fn of_section<'a>(property: &'a Property, name: Option<&Name>) -> Option<&'a Section> {
    property.sections.get(name?)
}

fn since(finding: &Finding) -> Option<NaiveDate> {
    finding.particulars.since.as_deref().and_then(|s| When::parse(s).ok()).map(|w| w.date)
}

/// First day of the reading round after the last reading, or after the opening.
fn next_round(finding: &Finding, settings: &Settings, today: NaiveDate) -> NaiveDate {
    let last = until(finding, today).last().map_or(finding.opened.date, |r| r.on.date);
    settings.rounds.next_after(last).or(last.checked_add_months(Months::new(3))).unwrap_or(last)
}

/// The first of March after a day.
fn next_spring(after: NaiveDate) -> NaiveDate {
    let this = NaiveDate::from_ymd_opt(after.year(), 3, 1);
    let next = NaiveDate::from_ymd_opt(after.year() + 1, 3, 1);
    this.filter(|day| *day > after).or(next).unwrap_or(after)
}

fn events(property: &Property) -> Vec<(EventKind, NaiveDate)> {
    property.events.iter().map(|e| (e.kind, e.on.date)).collect()
}

#[cfg(test)]
#[path = "verdicts_tests.rs"]
mod tests;
