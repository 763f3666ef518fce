//! A judgement holds until its day, its condition or later evidence.

use chrono::NaiveDate;

use super::{Condition, Judgement, Later, judged};
use crate::quantity::Length;
use crate::trade::rules::tests::worded;
use crate::trade::series::FAST_CHANGE;
use crate::trade::verdict::{Band, By, Fired, Verdict, Who};
use crate::trade::words::EventKind;
use crate::trade::{crack, wall};

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn given() -> Judgement {
    Judgement {
        from: "R. Marlow".to_owned(),
        licence: "PE 00000, Ohio".to_owned(),
        says: "read it quarterly for two years".to_owned(),
        asks: None,
        on: day("2025-06-01"),
        until: Some(day("2027-06-01")),
        conditions: vec![Condition::Reaches(Length::mm(12, 1)), Condition::Grows(Length::mm(1, 1))],
    }
}

fn called(rules: &[&'static crate::trade::Rule]) -> Verdict {
    let fired = rules
        .iter()
        .map(|r| Fired::new(r, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), "9.5 mm"));
    Verdict::from_fired(fired.collect())
}

#[test]
fn while_it_holds_it_decides_what_is_asked_and_the_computed_band_stays() {
    let then = called(&[&crack::PENCIL_FITS]);
    let later = Later { computed_then: Some(&then), ..Later::default() };
    let now = judged(then.clone(), &[given()], &later, day("2026-01-01"));
    assert_eq!(now.computed, then);
    assert_eq!(now.held_by, Some(given()));
    let asked = worded(now.asked);
    assert_eq!((asked.band, asked.who), (Some(Band::Watch), Some(Who::Owner)));
    assert_eq!(asked.comparison[0].rule, &crack::PENCIL_FITS);
    assert_eq!(asked.changes_on, Some(day("2027-06-02")));
    let mends = Judgement { asks: Some(Band::Mend), ..given() };
    assert_eq!(judged(then.clone(), &[mends], &later, day("2026-01-01")).asked.band, Some(Band::Mend));
}

#[test]
fn it_ends_with_its_day_its_condition_or_later_evidence() {
    let then = called(&[&crack::PENCIL_FITS]);
    let calm = Later { computed_then: Some(&then), ..Later::default() };
    let flood = [(EventKind::Flood, day("2025-08-01"))];
    let before = [(EventKind::Flood, day("2025-05-31"))];
    let storm = [(EventKind::Storm, day("2025-08-01"))];
    let urgent = Verdict::from_fired(vec![crack::moved(day("2026-01-03"))]);
    let faster = called(&[&crack::PENCIL_FITS, &FAST_CHANGE]);
    let same = || then.clone();
    let cases: Vec<(&str, Verdict, Later, &str, bool)> = vec![
        ("its last day", same(), calm.clone(), "2027-06-01", true),
        ("a day after", same(), calm.clone(), "2027-06-02", false),
        ("exactly the width", same(), Later { largest: Some(Length::mm(12, 1)), ..calm.clone() }, "2026-01-01", true),
        ("over the width", same(), Later { largest: Some(Length::mm(121, 10)), ..calm.clone() }, "2026-01-01", false),
        (
            "exactly the growth",
            same(),
            Later { growth_a_year: Some(Length::mm(1, 1)), ..calm.clone() },
            "2026-01-01",
            true,
        ),
        (
            "over the growth",
            same(),
            Later { growth_a_year: Some(Length::mm(11, 10)), ..calm.clone() },
            "2026-01-01",
            false,
        ),
        ("a flood since", same(), Later { events: &flood, ..calm.clone() }, "2026-01-01", false),
        ("a flood before", same(), Later { events: &before, ..calm.clone() }, "2026-01-01", true),
        ("a flood to come", same(), Later { events: &flood, ..calm.clone() }, "2025-07-01", true),
        ("a storm", same(), Later { events: &storm, ..calm.clone() }, "2026-01-01", true),
        ("a higher band", urgent, calm.clone(), "2026-01-01", false),
        ("a new rule of the same band", faster, calm.clone(), "2026-01-01", false),
        ("what was known then is lost", same(), Later::default(), "2026-01-01", false),
    ];
    for (what, computed, later, today, holds) in cases {
        let now = judged(computed.clone(), &[given()], &later, day(today));
        assert_eq!(now.held_by.is_some(), holds, "{what}: {:?}", now.not_held);
        if !holds {
            assert_eq!(worded(now.asked).band, computed.band, "{what}");
            assert!(now.not_held.is_some(), "{what}");
        }
    }
    let stormy = Judgement { conditions: vec![Condition::Event(EventKind::Storm)], ..given() };
    let later = Later { events: &storm, ..calm };
    assert!(judged(then.clone(), &[stormy], &later, day("2026-01-01")).held_by.is_none());
}

#[test]
fn only_the_latest_counts_and_only_with_a_licence() {
    let then = called(&[&wall::BOW]);
    let later = Later { computed_then: Some(&then), ..Later::default() };
    let unlicensed = Judgement { licence: " ".to_owned(), ..given() };
    let now = judged(then.clone(), &[unlicensed], &later, day("2026-01-01"));
    assert_eq!(now.not_held.as_deref(), Some("no licence is recorded with it"));
    assert_eq!(now.asked.band, Some(Band::Call));

    let open_ended = Judgement { until: None, on: day("2024-01-01"), ..given() };
    let brief = Judgement { until: Some(day("2025-12-31")), ..given() };
    let now = judged(then.clone(), &[brief, open_ended], &later, day("2026-01-01"));
    assert!(now.held_by.is_none(), "the earlier one is not taken up again");
    let coming = Judgement { on: day("2026-02-01"), ..given() };
    let now = judged(then.clone(), &[coming], &later, day("2026-01-01"));
    assert_eq!((now.held_by, now.not_held), (None, None));
}
