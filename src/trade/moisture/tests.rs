//! Damp, efflorescence and mould: both sides of every limit.

use chrono::NaiveDate;

use super::{Damp, Efflorescence, MOULD_AREA, Mould, Scale, damp, efflorescence, mould, scale};
use crate::quantity::{Area, Length, Share, Temperature};
use crate::trade::rules::tests::worded;
use crate::trade::series::tests::day;
use crate::trade::verdict::{Band, By, Standing, Who};
use crate::trade::words::{Answer, Water};

fn pct(text: &str) -> Share {
    Share::parse(&format!("{text} %")).unwrap()
}

fn today() -> NaiveDate {
    "2026-03-01".parse().unwrap()
}

fn bands(of: &Damp) -> Vec<(&'static str, Option<Band>)> {
    let verdict = worded(damp(of, today()));
    verdict.because.iter().chain(&verdict.comparison).map(|f| (f.rule.name, f.band)).collect()
}

#[test]
fn wood_is_raised_from_twenty_and_decays_from_twenty_eight_per_cent() {
    // Clemson CL-100 section J: 20 % or more excessive moisture, 28 % or more decay.
    let cases = [
        ("19.99", Answer::Yes, None),
        ("20", Answer::Yes, Some(("wood-moisture-raised", Some(Band::Watch)))),
        ("27.99", Answer::Yes, Some(("wood-moisture-raised", Some(Band::Watch)))),
        ("28", Answer::Yes, Some(("load-bearing-rot", Some(Band::Call)))),
        ("28", Answer::Unknown, Some(("load-bearing-rot", Some(Band::Call)))), // taken that it does
        ("28", Answer::No, Some(("rot-not-bearing", Some(Band::Watch)))),
    ];
    for (wood, bears, rule) in cases {
        let of = Damp { wood: Some(pct(wood)), wood_bears_load: Some(bears), ..Damp::default() };
        let fired: Vec<_> = bands(&of).into_iter().filter(|(name, _)| *name != "damp-source").collect();
        assert_eq!(fired, rule.into_iter().collect::<Vec<_>>(), "{wood} %");
    }
}

#[test]
fn air_over_sixty_per_cent_is_watched() {
    // EPA 402-K-02-003: below 60 %; the band is given to what is over it.
    for (air, over) in [("60", false), ("60.1", true)] {
        let of = Damp { humidity: Some(pct(air)), ..Damp::default() };
        assert_eq!(bands(&of).contains(&("air-humidity", Some(Band::Watch))), over, "{air} %");
    }
}

#[test]
fn a_surface_mean_speaks_within_its_temperatures() {
    // ASHRAE 160-2009: 30-day mean over 80 %, while the mean temperature is 5 to 40 C (41 to 104 F).
    let cases = [
        ("80", "20 C", None),
        ("80.1", "20 C", Some(Some(Band::Watch))),
        ("80.1", "41 F", Some(Some(Band::Watch))),
        ("80.1", "104 F", Some(Some(Band::Watch))),
        ("80.1", "40 F", Some(None)),
        ("80.1", "40.1 C", Some(None)),
    ];
    for (mean, temperature, band) in cases {
        let of = Damp {
            mean_humidity_30_days: Some(pct(mean)),
            mean_temperature_30_days: Some(Temperature::parse(temperature).unwrap()),
            ..Damp::default()
        };
        let found = bands(&of).into_iter().find(|(name, _)| *name == "surface-humidity-30-days").map(|(_, band)| band);
        assert_eq!(found, band, "{mean} % at {temperature}");
    }
}

#[test]
fn damp_is_mended_once_its_source_is_found() {
    let found = worded(damp(&Damp { source_found: Some(Answer::Yes), ..Damp::default() }, today()));
    assert_eq!((found.band, found.by.clone()), (Some(Band::Mend), Some(By::Before("the wet season"))));
    for answer in [None, Some(Answer::No), Some(Answer::Unknown)] {
        let verdict = worded(damp(&Damp { source_found: answer, ..Damp::default() }, today()));
        assert_eq!(verdict.band, Some(Band::Watch));
        assert_eq!(verdict.due_on, "2026-03-31".parse().ok(), "30 days on");
    }
    let none = worded(damp(&Damp::default(), today()));
    assert!(none.not_known.contains(&"whether plumbing is near (not asked)".to_owned()));
    assert!(none.not_known.contains(&"humidity of the air (never read)".to_owned()));
}

#[test]
fn efflorescence_follows_its_scale() {
    // IS 3495 part 3: slight to 10 %, moderate to 50 %, heavy over it, any with powdering serious.
    let cases = [
        ("0", Answer::No, Scale::Nil, Band::Note),
        ("10", Answer::No, Scale::Slight, Band::Note),
        ("10.1", Answer::No, Scale::Moderate, Band::Mend),
        ("50", Answer::No, Scale::Moderate, Band::Mend),
        ("50.1", Answer::No, Scale::Heavy, Band::Mend),
        ("5", Answer::Yes, Scale::Serious, Band::Mend),
        ("5", Answer::Unknown, Scale::Slight, Band::Watch), // powdering would make it serious
    ];
    for (face, powdering, word, band) in cases {
        assert_eq!(scale(pct(face), powdering == Answer::Yes), word, "{face} %");
        let verdict = worded(efflorescence(&Efflorescence { face: Some(pct(face)), powdering: Some(powdering) }));
        assert_eq!(verdict.band, Some(band), "{face} %, powdering {powdering}");
    }
    let unread = worded(efflorescence(&Efflorescence::default()));
    assert_eq!((unread.band, unread.not_known.len()), (Some(Band::Watch), 2));
}

#[test]
fn mould_over_ten_square_feet_goes_to_a_contractor() {
    // EPA 402-K-02-003: about 10 ft2 (3 by 3 ft); from memory.
    let at = |area: &str| worded(mould(&Mould { area: Some(Area::parse(area).unwrap()) }));
    assert_eq!(at("10 ft2").band, Some(Band::Mend));
    assert_eq!((at("10.1 ft2").band, at("10.1 ft2").who), (Some(Band::Call), Some(Who::RemediationContractor)));
    assert_eq!(MOULD_AREA.standing, Standing::Memory);
    let unread = worded(mould(&Mould::default()));
    assert_eq!((unread.band, unread.not_known), (Some(Band::Watch), vec!["area of the mould (never read)".to_owned()]));
}

#[test]
fn an_answer_of_unknown_is_not_said_to_be_missing() {
    let cases = [
        (None, "was not asked for yet", "where the water comes from (not asked)"),
        (Some(Answer::Unknown), "is not known", "where the water comes from (answered unknown)"),
        (Some(Answer::No), "was looked for and not found", "where the water comes from (not found)"),
    ];
    for (source_found, because, not_known) in cases {
        let verdict = worded(damp(&Damp { source_found, ..Damp::default() }, today()));
        assert!(verdict.because[0].because.ends_with(because), "{}", verdict.because[0].because);
        assert!(verdict.not_known.contains(&not_known.to_owned()), "{:?}", verdict.not_known);
    }
}

#[test]
fn water_that_stands_or_runs_is_let_out_at_once_until_a_later_reading_says_there_is_none() {
    let at = |water_depth: Option<(&str, &str)>, water: Option<(Water, &str)>| {
        let water_depth = water_depth.map(|(depth, on)| (Length::parse(depth).unwrap(), day(on)));
        let water = water.map(|(water, on)| (water, day(on)));
        worded(damp(&Damp { water_depth, water, ..Damp::default() }, day("2025-06-20")))
    };
    let foot = at(Some(("12 in", "2025-06-10")), Some((Water::Running, "2025-06-10")));
    assert_eq!((foot.band, foot.who), (Some(Band::Mend), Some(Who::OwnerOrPlumber)));
    assert_eq!(
        foot.because[0].because,
        "water stood 30 cm (12 in) deep, read 10 Jun 2025; water was running, read 10 Jun 2025"
    );
    assert_eq!(foot.due_on, Some(day("2025-06-10")));
    assert!(foot.next[0].says.starts_with("keep out of it until the electricity"), "{:?}", foot.next);
    assert_eq!(at(None, Some((Water::Running, "2025-06-10"))).band, Some(Band::Mend));
    for (depth, water) in [
        (Some(("0 in", "2025-06-11")), Some((Water::Running, "2025-06-10"))),
        (Some(("12 in", "2025-06-10")), Some((Water::Damp, "2025-06-11"))),
        (None, Some((Water::Seeping, "2025-06-10"))),
    ] {
        assert_eq!(at(depth, water).band, Some(Band::Watch), "{depth:?} {water:?}");
    }
}
