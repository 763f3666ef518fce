//! What the mapping from a property to the rules' inputs decides by itself.

use chrono::NaiveDate;

use super::verdict_of;
use crate::ledger::kind::finding_opened::Particulars;
use crate::ledger::kind::fixture_added::Fitted;
use crate::ledger::kind::radon_tested::RadonTested;
use crate::ledger::kind::reading_added::Measured;
use crate::ledger::property::{Event, Finding, Fixture, Judgement, Note, Property, RadonTest, Reading, Section};
use crate::ledger::readings::series;
use crate::ledger::settings::Settings;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Length, Typed};
use crate::trade::Band;
use crate::trade::words::{Answer, Device, EventKind, FindingKind, FixtureKind, Foundation, Runs, Water};

fn on(text: &str) -> When {
    When::parse(text).unwrap()
}

fn day(text: &str) -> NaiveDate {
    on(text).date
}

fn width(seq: u64, day: &str, width: &str, gauge: &str) -> Reading {
    Reading {
        seq,
        on: on(day),
        measured: Measured::Width(Typed::parse(width).unwrap()),
        over: None,
        resolution: None,
        with: Some(gauge.into()),
        at: None,
        moved: false,
        by: None,
    }
}

fn finding(kind: FindingKind, place: &str, opened: &str) -> Finding {
    Finding {
        kind,
        place: place.into(),
        section: None,
        particulars: Particulars::default(),
        opened: on(opened),
        closed: None,
        was_closed: Vec::new(),
        photographed: false,
        mended: Vec::new(),
        readings: Vec::new(),
        seq: 2,
    }
}

fn house() -> Property {
    Property { key: "elm".into(), ..Property::default() }
}

#[test]
fn the_gauge_read_last_is_the_one_that_is_read() {
    let mut crack = finding(FindingKind::Crack, "south wall", "2025-01-01");
    crack.readings = vec![
        width(3, "2025-01-01", "1 mm", "a"),
        width(4, "2025-02-01", "1 mm", "b"),
        width(5, "2025-03-01", "1 mm", "a"),
    ];
    let all = series(&crack);
    let read: Vec<_> = all.iter().map(|s| (s.gauge.as_deref(), s.taken.len(), s.superseded)).collect();
    assert_eq!(read, [(Some("a"), 2, false), (Some("b"), 1, true)]);
}

#[test]
fn after_a_flood_only_a_look_at_the_whole_house_is_one() {
    let mut house = house();
    let mut crack = finding(FindingKind::Crack, "south wall", "2025-01-01");
    crack.readings = vec![width(3, "2025-06-20", "1 mm", "a")];
    house.open(1, crack);
    house.events.push(Event { seq: 4, on: on("2025-06-10"), kind: EventKind::Flood });
    let band = |house: &Property| {
        let shown = verdict_of(house, &Subject::Property, &Settings::default(), day("2025-07-01")).unwrap();
        (shown.verdict.band, shown.verdict.because.first().map(|f| f.because.clone()))
    };
    let (called, because) = band(&house);
    assert_eq!(called, Some(Band::Call), "a reading of one crack is no look at the house");
    assert_eq!(because.as_deref(), Some("flood on 10 Jun 2025, last looked at 1 Jan 2025"));
    let note = |about, look| Note { seq: 5, on: on("2025-06-25"), about, text: "words".into(), look };
    house.notes.push(note(Subject::Property, false));
    assert_eq!(band(&house).0, Some(Band::Call), "words alone, such as a new number, are no look");
    house.notes.push(note(Subject::Named(Name::parse("main").unwrap()), true));
    let (called, because) = band(&house);
    assert_eq!(called, Some(Band::Call), "a look at one section leaves the rest unseen");
    assert!(because.is_some_and(|b| b.ends_with("; since then only `main` on 25 Jun 2025")));
    house.notes.push(note(Subject::Property, true));
    assert_eq!(band(&house).0, None);
}

#[test]
fn three_kinds_of_sign_at_one_place_are_called_from_the_day_the_third_was_seen() {
    let mut house = house();
    house.open(1, finding(FindingKind::Binding, "front room", "2025-01-01"));
    house.open(2, finding(FindingKind::Walkway, "front room", "2025-02-01"));
    house.open(3, finding(FindingKind::Crack, "front room", "2025-03-01"));
    let band = |house: &Property, today| {
        verdict_of(house, &Subject::Finding(1), &Settings::default(), day(today)).unwrap().verdict.band
    };
    assert!(band(&house, "2025-02-28") < Some(Band::Call));
    assert_eq!(band(&house, "2025-03-01"), Some(Band::Call));
    house.findings.get_mut(&2).unwrap().closed = Some((on("2025-04-01"), "relaid".into()));
    assert_eq!(band(&house, "2025-03-31"), Some(Band::Call));
    assert!(band(&house, "2025-04-01") < Some(Band::Call));
    house.findings.get_mut(&3).unwrap().place = "back room".into();
    assert!(band(&house, "2025-03-31") < Some(Band::Call));
}

#[test]
fn only_signs_too_weak_to_send_anybody_count_together() {
    let mut house = house();
    house.open(1, finding(FindingKind::Binding, "front room", "2025-01-01"));
    house.open(2, finding(FindingKind::Settlement, "front room", "2025-01-01"));
    let crack = |width: &str| {
        let mut crack = finding(FindingKind::Crack, "front room", "2025-01-01");
        let p = &mut crack.particulars;
        (p.runs, p.water, p.retains) = (Some(Runs::Vertical), Some(Water::Dry), Some(Answer::No));
        crack.readings = vec![self::width(7, "2025-01-01", width, "gauge")];
        crack
    };
    let together = |house: &Property, number| {
        let shown = verdict_of(house, &Subject::Finding(number), &Settings::default(), day("2025-01-02")).unwrap();
        shown.verdict.because.iter().any(|f| f.rule.name == "several-signs")
    };
    // Digest 251: under 0.1 mm is category 0, to 5 mm category 2, over 5 mm category 3, which is called by itself.
    for (width, counts) in [("0.09 mm", false), ("0.4 mm", true), ("5 mm", true), ("6 mm", false)] {
        house.open(3, crack(width));
        for number in [1, 2, 3] {
            assert_eq!(together(&house, number), counts, "{width}, finding {number}");
        }
    }
}

#[test]
fn a_damp_place_that_was_never_read_is_due_from_its_opening_whatever_the_day() {
    let mut house = house();
    house.open(1, finding(FindingKind::Damp, "north corner", "2025-01-01"));
    for today in ["2025-01-01", "2025-01-31", "2025-06-01"] {
        let verdict = verdict_of(&house, &Subject::Finding(1), &Settings::default(), day(today)).unwrap().verdict;
        // 1 January and 30 days.
        assert_eq!(verdict.due_on, Some(day("2025-01-31")), "{today}");
    }
}

/// A closed charcoal test of 72 hours in the basement.
fn radon(seq: u64, started: &str, result: &str) -> RadonTest {
    let test = RadonTested {
        section: Name::parse("basement").unwrap(),
        device: Device::Charcoal,
        result: Typed::parse(result).unwrap(),
        below: false,
        started: on(started),
        ended: None,
        lasted: Some(Typed::parse("72 h").unwrap()),
        closed: Some(Answer::Yes),
        room: Some("den".into()),
        level: None,
        placed_by: None,
        lab: None,
        beside: None,
        missing_hours: None,
        observed: Vec::new(),
        origin: None,
        stood: None,
        left_out: None,
    };
    RadonTest { seq, on: on(started), test }
}

fn basement() -> Section {
    Section {
        foundation: Foundation::Basement,
        walls: None,
        area: None,
        place: None,
        retarder: None,
        clay: None,
        seq: 2,
    }
}

#[test]
fn the_document_that_was_chosen_says_when_a_high_test_hurries() {
    // Citizen's Guide: over 8 at once. EPA 402-R-93-003: from 10.
    let section = Name::parse("basement").unwrap();
    let mut house = house();
    house.sections.insert(section.clone(), basement());
    house.radon_tests = vec![radon(3, "2025-01-10", "9.0 pCi/L")];
    let mut settings = Settings::default();
    let due = |settings: &Settings| {
        let subject = Subject::Named(section.clone());
        verdict_of(&house, &subject, settings, day("2025-01-20")).unwrap().verdict.due_on
    };
    assert_eq!(due(&settings), Some(day("2025-01-13")));
    settings.set("radon-at-once", "10").unwrap();
    assert_eq!(due(&settings), Some(day("2025-02-13")));
    assert!(settings.set("radon-at-once", "9").is_err());
}

#[test]
fn a_radon_system_of_the_section_or_of_the_house_starts_another_series_there() {
    let name = |text: &str| Name::parse(text).unwrap();
    let mut house = house();
    for section in ["basement", "addition"] {
        house.sections.insert(name(section), basement());
    }
    // Two short tests with a mean of 6.0: called (Citizen's Guide).
    house.radon_tests = vec![radon(3, "2025-01-10", "7.0 pCi/L"), radon(4, "2025-02-10", "5.0 pCi/L")];
    let shown = |house: &Property, today: &str| {
        let verdict =
            verdict_of(house, &Subject::Named(name("basement")), &Settings::default(), day(today)).unwrap().verdict;
        (verdict.band, verdict.because.first().map(|f| f.rule.name))
    };
    let called = (Some(Band::Call), Some("radon-two-short-tests"));
    let waiting = (Some(Band::Watch), Some("radon-after-system"));
    assert_eq!(shown(&house, "2025-04-02"), called);
    let system = |section: Option<&str>| Fixture {
        added: day("2020-01-01"),
        kind: FixtureKind::RadonSystem,
        section: section.map(name),
        fitted: Fitted::default(),
        since: Some(day("2025-04-01")),
        retired: None,
        replaced: 0,
        seq: 5,
    };
    for (section, after) in [(Some("basement"), waiting), (None, waiting), (Some("addition"), called)] {
        house.fixtures.insert(name("fan"), system(section));
        assert_eq!(shown(&house, "2025-03-31"), called, "{section:?}");
        assert_eq!(shown(&house, "2025-04-02"), after, "{section:?}");
    }
    house.fixtures.insert(name("fan"), Fixture { retired: Some((on("2025-06-01"), "gone".into())), ..system(None) });
    house.radon_tests.push(radon(6, "2025-04-10", "1.0 pCi/L"));
    assert_eq!(shown(&house, "2025-05-31"), (Some(Band::Note), Some("radon-below-two")));
    // Out of use, what the two tests decided before it stands again.
    assert_eq!(shown(&house, "2025-06-01"), called);
}

#[test]
fn what_comes_after_a_judgement_on_its_own_day_is_evidence_that_came_after_it() {
    let judged = |seq, when: &str| Judgement {
        seq,
        on: on(when),
        about: vec![1],
        from: "R. Marlow".into(),
        licence: "PE 00000".into(),
        says: "read it quarterly".into(),
        until: None,
        until_width: Some(Length::mm(25, 1)),
        until_growth: None,
        until_event: Vec::new(),
        file: None,
    };
    let shown = |judgements: Vec<Judgement>, readings: Vec<Reading>, today: &str| {
        let mut house = house();
        let mut crack = finding(FindingKind::Crack, "south wall", "2025-01-01");
        crack.readings = readings;
        house.open(1, crack);
        house.judgements = judgements;
        verdict_of(&house, &Subject::Finding(1), &Settings::default(), day(today)).unwrap()
    };
    let wide = |seq, when: &str, moved| Reading { moved, ..width(seq, when, "20 mm", "a") };
    // At 9 the judgement; what was read at 17, or at no known time but entered after it, was not known then.
    for when in ["2025-11-01T17:00", "2025-11-01"] {
        let urgent = shown(vec![judged(3, "2025-11-01T09:00")], vec![wide(4, when, true)], "2025-11-01");
        assert_eq!((urgent.verdict.band, urgent.held_by), (Some(Band::Urgent), None), "{when}");
    }
    // 18 mm that evening and 19 mm nine days later: both came after.
    let readings = vec![width(4, "2025-11-01T17:00", "18 mm", "a"), width(5, "2025-11-10", "19 mm", "a")];
    let raised = shown(vec![judged(3, "2025-11-01T09:00")], readings, "2025-11-10");
    assert_eq!((raised.verdict.band, raised.held_by), (Some(Band::Call), None));
    // Read at 8, or entered before it: the judgement knew.
    for (seq, when) in [(4, "2025-11-01T08:00"), (2, "2025-11-01")] {
        let held = shown(vec![judged(3, "2025-11-01T09:00")], vec![wide(seq, when, true)], "2025-11-01");
        assert_eq!(held.verdict.band, Some(Band::Watch), "{when}");
        assert_eq!(held.computed.and_then(|c| c.band), Some(Band::Urgent), "{when}");
    }
    // Over the width it names, later on its day.
    let over = vec![width(4, "2025-11-01T17:00", "26 mm", "a")];
    let ended = shown(vec![judged(3, "2025-11-01T09:00")], over, "2025-11-01");
    assert!(ended.not_held.is_some_and(|why| why.contains("over the")));
    // Of two on one day the later one decides.
    let two = vec![Judgement { from: "A. First".into(), ..judged(3, "2025-11-01") }, judged(4, "2025-11-01")];
    let held = shown(two, vec![wide(2, "2025-10-01", false)], "2025-11-01");
    assert_eq!(held.held_by.map(|j| j.from), Some("R. Marlow".into()));
}
