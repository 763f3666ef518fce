//! Single radon tests: whether they count, and what they ask for.

use chrono::{NaiveDate, NaiveDateTime};

use super::{
    AtOnceRule, Doubt, Kind, Placed, RadonProblem, RadonTest, RetestRule, Room, SectionRadon, reported, verdict,
};
use crate::quantity::{Activity, Exact, Length, Span, Temperature};
use crate::trade::choice::Choices;
use crate::trade::rules::tests::worded;
use crate::trade::verdict::{Band, By, Verdict, Who};
use crate::trade::words::{Answer, Device, EventKind, Level};

pub(super) fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub(super) fn at(text: &str) -> NaiveDateTime {
    text.parse().unwrap()
}

/// A three-day charcoal test, closed, in the lowest lived-in level, ended 10 January 2025.
pub(super) fn short(result: &str) -> RadonTest {
    RadonTest {
        below: false,
        result: Activity::parse(result).unwrap(),
        device: Some(Device::Charcoal),
        started: Some(at("2025-01-07T10:00:00")),
        ended: Some(at("2025-01-10T10:00:00")),
        started_on: None,
        lasted: None,
        closed: Some(Answer::Yes),
        level: Some(Level::Lowest),
        place: None,
        room: Some(Room::Lived),
        placed: Placed::default(),
        temperature: None,
        severe_weather: None,
        gap: None,
        left_out: None,
        entry: None,
        beside: None,
        on: day("2025-01-10"),
    }
}

fn lasting(lasted: Span, closed: Option<Answer>) -> RadonTest {
    RadonTest { lasted: Some(lasted), closed, ..short("1.0 pCi/L") }
}

pub(super) fn section(tests: &[RadonTest]) -> SectionRadon<'_> {
    SectionRadon {
        tests,
        system: false,
        starts: &[],
        stops: &[],
        events: &[],
        quotes: &[],
        altered: &[],
        passive: false,
        area: None,
        choices: Choices::default(),
    }
}

pub(super) fn on(of: &SectionRadon, today: &str) -> Verdict {
    worded(verdict(of, day(today)))
}

pub(super) fn alone(test: RadonTest) -> Verdict {
    on(&section(&[test]), "2025-01-20")
}

#[test]
fn results_are_reported_half_up_after_averaging() {
    // ANSI/AARST MAH-2019 8.5.2 b: an average of 3.95 is reported as 4.0.
    let mean = |a: &str, b: &str| Activity::mean(&[Activity::parse(a).unwrap(), Activity::parse(b).unwrap()]).unwrap();
    assert_eq!(reported(mean("3.8 pCi/L", "4.1 pCi/L")), Exact::integer(4));
    assert_eq!(reported(mean("3.8 pCi/L", "4.0 pCi/L")), Exact::new(39, 10));
    // 4 pCi/L are 148 Bq/m3; 146.15 Bq/m3 are 3.95 pCi/L.
    let of = |text: &str| reported(Activity::parse(text).unwrap());
    assert_eq!(of("148 Bq/m3"), Exact::integer(4));
    assert_eq!(of("150 Bq/m3"), Exact::new(41, 10)); // 4.054
    assert_eq!(of("146.15 Bq/m3"), Exact::integer(4));
    assert_eq!(of("146.1 Bq/m3"), Exact::new(39, 10));
}

#[test]
fn bands_of_a_single_short_test() {
    // MAH-2019 7.1: 4 or greater; 2 to below 4; below 2. Citizen's Guide: over 8 a second short test at once.
    let month = Some(By::Date(day("2025-02-10")));
    let years = Some(By::Date(day("2027-01-10")));
    let cases = [
        ("1.9 pCi/L", Band::Note, years.clone(), "2027-01-10"),
        ("1.94 pCi/L", Band::Note, years.clone(), "2027-01-10"),
        ("1.95 pCi/L", Band::Watch, years.clone(), "2027-01-10"),
        ("2 pCi/L", Band::Watch, years.clone(), "2027-01-10"),
        ("3.94 pCi/L", Band::Watch, years, "2027-01-10"),
        ("3.95 pCi/L", Band::Watch, month.clone(), "2025-02-10"),
        ("148 Bq/m3", Band::Watch, month.clone(), "2025-02-10"),
        ("8.0 pCi/L", Band::Watch, month, "2025-02-10"),
        ("8.1 pCi/L", Band::Watch, Some(By::AtOnce), "2025-01-10"),
        ("300 Bq/m3", Band::Watch, Some(By::AtOnce), "2025-01-10"), // 8.1 pCi/L
    ];
    for (result, band, by, due) in cases {
        let verdict = alone(short(result));
        assert_eq!((verdict.band, verdict.by.clone(), verdict.due_on), (Some(band), by, Some(day(due))), "{result}");
        let high = verdict.because[0].rule.name == "radon-follow-up";
        assert_eq!(high, due.starts_with("2025"), "{result}");
    }
}

#[test]
fn the_1993_protocol_hurries_from_ten() {
    // EPA 402-R-93-003 and Illinois 32 IAC 422 (2005): 10 or more quickly.
    for (result, at_once) in [("8.1 pCi/L", false), ("9.9 pCi/L", false), ("10 pCi/L", true)] {
        let tests = [short(result)];
        let choices = Choices { radon_at_once: AtOnceRule::FromTen, ..Choices::default() };
        let verdict = on(&SectionRadon { choices, ..section(&tests) }, "2025-01-20");
        assert_eq!(verdict.by == Some(By::AtOnce), at_once, "{result}");
    }
}

#[test]
fn low_results_age_by_the_interval_that_was_chosen() {
    // Illinois and EPA advice 2 years, MAH-2019 5 years, 2 with a system.
    let tests = [short("1.0 pCi/L")];
    let mah = Choices { radon_retest: RetestRule::FiveYears, ..Choices::default() };
    let cases = [
        (section(&tests), "2027-01-10"),
        (SectionRadon { choices: mah, ..section(&tests) }, "2030-01-10"),
        (SectionRadon { choices: mah, system: true, ..section(&tests) }, "2027-01-10"),
    ];
    for (of, last_day) in cases {
        let still = on(&of, last_day);
        assert_eq!((still.band, still.changes_on), (Some(Band::Note), day(last_day).succ_opt()));
        let aged = worded(verdict(&of, day(last_day).succ_opt().unwrap()));
        assert_eq!(
            (aged.band, aged.because[0].rule.name, aged.changes_on),
            (Some(Band::Watch), "radon-retest-interval", None)
        );
    }
}

#[test]
fn a_change_to_the_house_asks_for_another_test() {
    let tests = [short("1.0 pCi/L")];
    for (kind, band) in [
        (EventKind::Works, Band::Watch),
        (EventKind::Heating, Band::Watch),
        (EventKind::Sale, Band::Watch),
        (EventKind::Storm, Band::Note),
    ] {
        let events = [(kind, day("2025-06-01"))];
        assert_eq!(on(&SectionRadon { events: &events, ..section(&tests) }, "2025-07-01").band, Some(band), "{kind}");
    }
    let before = [(EventKind::Works, day("2025-01-01"))];
    assert_eq!(on(&SectionRadon { events: &before, ..section(&tests) }, "2025-07-01").band, Some(Band::Note));
}

#[test]
fn a_long_test_stands_alone() {
    // Citizen's Guide: a long test at 4 or more asks for mending. Long is over 90 days.
    for (days, kind) in [(90, Kind::Short), (91, Kind::Long)] {
        let test = RadonTest { lasted: Some(Span::days(days, 1)), ..short("4.0 pCi/L") };
        assert_eq!(test.kind(), Some(kind));
        let verdict = alone(test);
        let (band, who) =
            if kind == Kind::Long { (Band::Call, Who::RadonProfessional) } else { (Band::Watch, Who::Owner) };
        assert_eq!((verdict.band, verdict.who), (Some(band), Some(who)), "{days} days");
    }
}

#[test]
fn a_test_counts_only_if_it_was_made_as_its_protocol_asks() {
    // 32 IAC 422.130: 48 h. HP-93 and MALB-14 4.1: closed from 12 h before if under 4 days.
    let under = Span::minutes(47 * 60 + 59, 1);
    let cases = [
        (
            lasting(under, Some(Answer::Yes)),
            vec![RadonProblem::TooShort { lasted: under, shortest: Span::hours(48, 1) }],
        ),
        (lasting(Span::hours(48, 1), Some(Answer::Yes)), vec![]),
        (lasting(Span::hours(95, 1), Some(Answer::No)), vec![RadonProblem::NotClosed]),
        (lasting(Span::days(4, 1), Some(Answer::No)), vec![]),
        (lasting(Span::hours(48, 1), Some(Answer::Unknown)), vec![]),
        (RadonTest { started: None, ..short("1.0 pCi/L") }, vec![RadonProblem::NoDuration]),
        (
            RadonTest { ended: Some(at("2025-01-05T10:00:00")), ..short("1.0 pCi/L") },
            vec![RadonProblem::EndsBeforeStart],
        ),
        (
            RadonTest { room: Some(Room::Closet), ..short("1.0 pCi/L") },
            vec![RadonProblem::WrongRoom { room: Room::Closet }],
        ),
        (
            RadonTest { room: Some(Room::Kitchen), ..short("1.0 pCi/L") },
            vec![RadonProblem::WrongRoom { room: Room::Kitchen }],
        ),
        (RadonTest { room: Some(Room::Kitchen), device: Some(Device::AlphaTrack), ..short("1.0 pCi/L") }, vec![]),
        (
            RadonTest { gap: Some(Answer::Yes), device: Some(Device::Monitor), ..short("1.0 pCi/L") },
            vec![RadonProblem::Gap],
        ),
    ];
    for (test, problems) in cases {
        assert_eq!(test.problems(), problems, "{test:?}");
    }
}

#[test]
fn a_device_has_its_place() {
    // 32 IAC 422.130 a) 1) D: 20 in to 6 ft up, 3 ft from openings, 1 ft from outside walls, 4 in, 4 ft from heat, 7 ft sump.
    type Put = fn(Length) -> Placed;
    let cases: [(Put, &str, &str); 6] = [
        (|l| Placed { above_floor: Some(l), ..Placed::default() }, "19.9 in", "20 in"),
        (|l| Placed { from_opening: Some(l), ..Placed::default() }, "35.9 in", "3 ft"),
        (|l| Placed { from_outside_wall: Some(l), ..Placed::default() }, "11.9 in", "1 ft"),
        (|l| Placed { from_object: Some(l), ..Placed::default() }, "3.9 in", "4 in"),
        (|l| Placed { from_heat: Some(l), ..Placed::default() }, "3.9 ft", "4 ft"),
        (|l| Placed { from_sump: Some(l), ..Placed::default() }, "6.9 ft", "7 ft"),
    ];
    for (put, near, enough) in cases {
        let problems =
            |text: &str| RadonTest { placed: put(Length::parse(text).unwrap()), ..short("1.0 pCi/L") }.problems().len();
        assert_eq!((problems(near), problems(enough)), (1, 0), "{near}, {enough}");
    }
    let high = |text: &str| Placed { above_floor: Some(Length::parse(text).unwrap()), ..Placed::default() };
    assert!(RadonTest { placed: high("6 ft"), ..short("1.0 pCi/L") }.problems().is_empty());
    assert_eq!(RadonTest { placed: high("6.1 ft"), ..short("1.0 pCi/L") }.problems().len(), 1);
}

#[test]
fn what_is_not_known_of_a_test_is_said() {
    assert_eq!(short("1.0 pCi/L").doubts(), []);
    let vague = RadonTest { device: None, closed: None, level: None, room: None, ..short("1.0 pCi/L") };
    assert_eq!(vague.problems(), []);
    let doubts = [Doubt::DeviceNotKnown, Doubt::ClosedNotKnown, Doubt::LevelNotKnown, Doubt::RoomNotKnown];
    assert_eq!(vague.doubts(), doubts);
    assert_eq!(alone(vague).not_known.len(), 4);
    assert_eq!(lasting(Span::days(4, 1), Some(Answer::No)).doubts(), [Doubt::NotClosedLong]);
    // MALB-14 Table 4-A: 65 to 80 F.
    for (warm, outside) in [("64.9 F", true), ("65 F", false), ("80 F", false), ("80.1 F", true)] {
        let test = RadonTest { temperature: Some(Temperature::parse(warm).unwrap()), ..short("1.0 pCi/L") };
        assert_eq!(test.doubts() == [Doubt::TemperatureOutside], outside, "{warm}");
    }
}

#[test]
fn an_invalid_test_lowers_nothing_and_a_high_one_hurries() {
    let brief = |result: &str| RadonTest { lasted: Some(Span::hours(24, 1)), ..short(result) };
    let low = alone(brief("1.0 pCi/L"));
    assert_eq!((low.band, low.due_on), (None, None));
    assert_eq!(low.not_known[0], "radon (no valid test)");
    assert!(low.not_known[1].ends_with("does not count: it lasted 24 h, under 48 h"), "{}", low.not_known[1]);

    let high = alone(brief("6.0 pCi/L"));
    assert_eq!((high.band, high.due_on), (Some(Band::Watch), Some(day("2025-02-10"))));
    assert_eq!(high.because[0].rule.name, "radon-invalid-high");
    assert_eq!(alone(brief("9.0 pCi/L")).by, Some(By::AtOnce));

    // A low invalid test after a high valid one does not take its follow-up away.
    let later = RadonTest { on: day("2025-01-15"), ..brief("1.0 pCi/L") };
    let both = [short("5.0 pCi/L"), later];
    let verdict = on(&section(&both), "2025-01-20");
    assert_eq!((verdict.because[0].rule.name, verdict.due_on), ("radon-follow-up", Some(day("2025-02-10"))));
    // A high invalid test after a low valid one brings the next forward from 2027.
    let later = RadonTest { on: day("2025-03-15"), ..brief("5.0 pCi/L") };
    let both = [short("1.0 pCi/L"), later];
    let verdict = on(&section(&both), "2025-03-20");
    assert_eq!((verdict.band, verdict.due_on), (Some(Band::Watch), Some(day("2025-04-15"))));
}

#[test]
fn a_section_never_tested_has_no_band() {
    let never = on(&section(&[]), "2025-01-20");
    assert_eq!((never.band, never.not_known), (None, vec!["radon (never tested)".to_owned()]));
    assert_eq!(never.next[0].records, Some("radon-tested"));
    let future = [short("1.0 pCi/L")];
    assert_eq!(on(&section(&future), "2025-01-09").band, None);
}

#[test]
fn a_low_result_says_that_it_is_not_the_end_of_it() {
    let verdict = alone(short("1.0 pCi/L"));
    assert!(verdict.because[0].because.contains("not without risk; test again by 10 Jan 2027"));
}
