//! From the radon tests of a section, and the systems, drains and prices beside them, to the inputs of the radon rules.

use chrono::{NaiveDate, NaiveDateTime, Utc};

use super::events;
use crate::calendar::civil::moved_on;
use crate::ledger::kind::radon_tested::Stood;
use crate::ledger::property::{Fixture, Property, RadonTest};
use crate::ledger::settings::Settings;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Length, Typed};
use crate::trade::radon::{Altered, Room, SectionRadon};
use crate::trade::words::{Answer, FixtureKind};
use crate::trade::{Fired, Verdict, radon};

/// Radon in one section.
pub(in crate::ledger) fn of_radon(
    property: &Property,
    section: &Name,
    settings: &Settings,
    today: NaiveDate,
) -> Verdict {
    let tests: Vec<_> = property.radon_tests_in(section).map(|t| radon_test(property, t)).collect();
    let systems = property
        .fixtures
        .values()
        .filter(|f| f.kind == FixtureKind::RadonSystem && f.section.as_ref().is_none_or(|s| s == section));
    let starts: Vec<NaiveDate> = systems.clone().filter_map(|f| f.since).collect();
    let stops: Vec<NaiveDate> = systems.clone().filter_map(|f| f.retired.as_ref().map(|(on, _)| on.date)).collect();
    let system = systems.clone().any(|f| f.retired.as_ref().is_none_or(|(on, _)| on.date > today));
    let in_use = systems.clone().filter(|f| f.retired.is_none());
    let newest = in_use.max_by_key(|f| f.since);
    let this = Subject::Named(section.clone());
    let quotes: Vec<NaiveDate> =
        property.quotes.iter().filter(|q| q.about.contains(&this)).map(|q| q.on.date).collect();
    let of = SectionRadon {
        tests: &tests,
        system,
        starts: &starts,
        stops: &stops,
        events: &events(property),
        quotes: &quotes,
        altered: &altered(property, section),
        passive: newest.is_some_and(|f| f.fitted.fan == Some(Answer::No)),
        area: property.sections.get(section).and_then(|s| s.area.as_ref()).map(|area| area.value()),
        choices: settings.choices,
    };
    let mut verdict = radon::verdict(&of, today);
    verdict.comparison.extend(property.radon_tests_in(section).filter(|t| t.on.date <= today).filter_map(observed));
    verdict
}

/// What stands out in a monitor's record, told beside the verdict: what made it is not known.
fn observed(recorded: &RadonTest) -> Option<Fired> {
    let test = &recorded.test;
    let because = format!("monitor's record from {}: {}", test.started, test.observed.join("; "));
    (!test.observed.is_empty()).then(|| Fired::for_comparison(&radon::monitor::MONITOR_SIGNS, because))
}

/// Pits and drains that came new into a section; a pump put in the place of another alters none.
fn altered(property: &Property, section: &Name) -> Vec<Altered> {
    let counts = |f: &&Fixture| {
        matches!(f.kind, FixtureKind::SumpPump | FixtureKind::Drain) && f.section.as_ref().is_none_or(|s| s == section)
    };
    let fixtures = property.fixtures.iter().filter(|(_, f)| counts(f) && f.replaced == 0);
    let put_in =
        |(name, f): (&Name, &Fixture)| Some(Altered { what: format!("{} `{name}` put in", f.kind), on: f.since? });
    fixtures.filter_map(put_in).collect()
}

/// A recorded radon test as the rules read it.
pub fn radon_test(property: &Property, recorded: &RadonTest) -> radon::RadonTest {
    let test = &recorded.test;
    // Daylight saving is taken out where the time of day is known, so that a length is an elapsed one.
    let even = |when: When| -> NaiveDateTime {
        let local = when.moment();
        match (property.zone, when.time) {
            (Some(zone), Some(_)) => {
                // A time that the clock skips is moved on by what was skipped.
                moved_on(zone, local).map_or(local, |m| m.with_timezone(&Utc).naive_utc())
            }
            _ => local,
        }
    };
    // A pair stands in one room, whichever of the two it was recorded with.
    let linked = property
        .radon_tests
        .iter()
        .filter(|other| test.beside == Some(other.seq) || other.test.beside.is_some_and(|seq| seq == recorded.seq));
    let in_section = |other: &&RadonTest| other.test.section == test.section;
    let room = test.room.as_ref().or_else(|| linked.filter(in_section).find_map(|other| other.test.room.as_ref()));
    radon::RadonTest {
        result: test.result.value(),
        below: test.below,
        device: Some(test.device),
        started: Some(even(test.started)),
        ended: test.ended.map(even),
        started_on: Some(test.started.date),
        lasted: test.lasted.as_ref().map(|l| l.value()),
        closed: test.closed,
        level: test.level,
        place: room.cloned(),
        room: room.map(|words| Room::of_words(words)),
        placed: test.stood.as_deref().map_or_else(radon::Placed::default, placed),
        temperature: test.stood.as_ref().and_then(|stood| stood.temperature.as_ref()).map(Typed::value),
        severe_weather: test.stood.as_ref().and_then(|stood| stood.severe_weather),
        gap: test.missing_hours.map(|n| if n > 0 { Answer::Yes } else { Answer::No }),
        left_out: test.left_out,
        entry: Some(recorded.seq),
        beside: test.beside,
        on: test.end().unwrap_or(recorded.on).date.max(recorded.on.date),
    }
}

fn placed(stood: &Stood) -> radon::Placed {
    let length = |typed: &Option<Typed<Length>>| typed.as_ref().map(Typed::value);
    radon::Placed {
        above_floor: length(&stood.above_floor),
        from_opening: length(&stood.from_opening),
        from_outside_wall: length(&stood.from_outside_wall),
        from_object: length(&stood.from_object),
        from_heat: length(&stood.from_heat),
        from_sump: length(&stood.from_sump),
    }
}
