//! Cracks: both sides of every limit, and what each answer changes.

use super::{Because, Crack, PencilRule, category, guide, is_above_guide, verdict};
use crate::quantity::Length;
use crate::trade::choice::Choices;
use crate::trade::epoxy::PortRule;
use crate::trade::rules::tests::worded;
use crate::trade::series::tests::{DORMANT, GROWING, day, monthly, read};
use crate::trade::series::{Measured, Series};
use crate::trade::verdict::{Band, By, Verdict, Who};
use crate::trade::words::{Answer, Exposure, Runs, Surface, Walls, Water};

fn lengths(texts: &[&str]) -> Vec<Length> {
    texts.iter().map(|text| Length::parse(text).unwrap()).collect()
}

#[test]
fn the_guide_of_each_exposure_is_the_metric_column_of_the_table() {
    // ACI 224R-01, Table 4.1 (second-hand).
    for (exposure, mm) in
        [("dry-air", 41), ("moist-or-soil", 30), ("deicing", 18), ("seawater", 15), ("water-retaining", 10)]
    {
        assert_eq!(guide(Exposure::from_word(exposure).unwrap()), Length::mm(mm, 100), "{exposure}");
    }
    assert!(Length::parse("0.35 mm").unwrap() > guide(Exposure::MoistOrSoil));
}

#[test]
fn a_width_at_either_printed_figure_does_not_pass_the_guide() {
    // ACI 224R-01, Table 4.1: the figures as printed in both columns, and the next step above each.
    for (exposure, printed, above) in [
        (Exposure::DryAir, ["0.41 mm", "0.016 in"], ["0.42 mm", "0.017 in"]),
        (Exposure::MoistOrSoil, ["0.30 mm", "0.012 in"], ["0.31 mm", "0.013 in"]),
        (Exposure::Deicing, ["0.18 mm", "0.007 in"], ["0.19 mm", "0.008 in"]),
        (Exposure::Seawater, ["0.15 mm", "0.006 in"], ["0.16 mm", "0.007 in"]),
        (Exposure::WaterRetaining, ["0.10 mm", "0.004 in"], ["0.11 mm", "0.005 in"]),
    ] {
        assert!(lengths(&printed).into_iter().all(|width| !is_above_guide(width, exposure)), "{exposure}");
        assert!(lengths(&above).into_iter().all(|width| is_above_guide(width, exposure)), "{exposure}");
    }
}

/// A dry vertical crack in a block wall that holds earth.
fn block<'a>(series: &'a [Series], widths_beside: &'a [Length]) -> Crack<'a> {
    Crack {
        surface: Some(Surface::Wall),
        wall: Some(Walls::Block),
        runs: Some(Runs::Vertical),
        water: Some(Water::Dry),
        source_known: None,
        retains: Some(Answer::Yes),
        pattern: None,
        series,
        widths_beside,
        moved_on: None,
        opened: day("2025-12-10"),
        next_round: day("2026-04-01"),
        filled: None,
        choices: Choices::default(),
    }
}

fn once(width: &str) -> Vec<Series> {
    vec![read(Measured::Width, &[("2026-01-01", width)])]
}

fn on(crack: &Crack) -> Verdict {
    worded(verdict(crack, day("2026-01-15")))
}

fn names(fired: &[crate::trade::Fired]) -> Vec<&str> {
    fired.iter().map(|f| f.rule.name).collect()
}

#[test]
fn categories_meet_the_published_edges() {
    // BRE Digest 251, Table 1; upper edges belong to the lower category, category 0 is below 0.1 mm.
    let cases: &[(&[&str], u8, Because)] = &[
        (&["0.09 mm"], 0, Because::Width),
        (&["0.10 mm"], 1, Because::Width),
        (&["1.0 mm"], 1, Because::Width),
        (&["1.01 mm"], 2, Because::Width),
        (&["5.0 mm"], 2, Because::Width),
        (&["5.1 mm"], 3, Because::Width),
        (&["1/4 in"], 3, Because::Width), // 6.35 mm
        (&["15.0 mm"], 3, Because::Width),
        (&["15.1 mm"], 4, Because::Width),
        (&["25 mm"], 4, Because::Width),
        (&["25.1 mm"], 5, Because::Width),
        // "or a number of cracks over 3 mm", read as three or more.
        (&["3.5 mm", "3.5 mm", "3.5 mm", "3.5 mm"], 3, Because::Count),
        (&["3.1 mm", "3.1 mm", "3.1 mm"], 3, Because::Count),
        (&["3.1 mm", "3.1 mm", "3.0 mm"], 2, Because::Width),
        (&["3.1 mm", "3.1 mm"], 2, Because::Width),
        (&["16 mm", "3.1 mm", "3.1 mm"], 4, Because::Width),
    ];
    for (widths, number, because) in cases {
        assert_eq!(category(&lengths(widths)), Some((*number, *because)), "{widths:?}");
    }
    assert_eq!(category(&[]), None);
}

#[test]
fn bands_follow_the_category_on_masonry_only() {
    let cases = [
        ("5.0", Walls::Block, Band::Watch),
        ("5.1", Walls::Block, Band::Call),
        ("5.1", Walls::Brick, Band::Call),
        ("5.1", Walls::Stone, Band::Call),
        ("5.1", Walls::Poured, Band::Watch),
        ("5.1", Walls::Wood, Band::Watch),
        ("5.1", Walls::Unknown, Band::Call), // taken as masonry until it is known
        ("30", Walls::Unknown, Band::Urgent),
        ("25.0", Walls::Block, Band::Call),
        ("25.1", Walls::Block, Band::Urgent),
        ("25.1", Walls::Poured, Band::Call), // by the pencil
    ];
    for (width, wall, band) in cases {
        let series = once(width);
        let verdict = on(&Crack { wall: Some(wall), ..block(&series, &[]) });
        assert_eq!(verdict.band, Some(band), "{width} mm, {wall}");
        let masonry = matches!(wall, Walls::Block | Walls::Brick | Walls::Stone | Walls::Unknown);
        assert_eq!(
            names(&verdict.comparison).contains(&"crack-category"),
            !masonry || band < Band::Call,
            "{width} mm, {wall}"
        );
    }
    let series = once("30");
    let unknown = on(&Crack { wall: Some(Walls::Unknown), ..block(&series, &[]) });
    assert!(unknown.next.iter().any(|step| step.with == Some("--wall …")), "{:?}", unknown.next);
    let series = once("5.1");
    let slab = on(&Crack { surface: Some(Surface::Slab), ..block(&series, &[]) });
    assert_eq!(slab.band, Some(Band::Watch));
    assert!(slab.comparison[0].because.contains("this is a slab"));
}

#[test]
fn a_pencil_fits_from_a_quarter_inch_whatever_the_wall() {
    // Common practice, no published source: 1/4 in is 6.35 mm.
    for (width, fits) in [("6.34", false), ("6.35", true)] {
        let series = once(width);
        for wall in [Walls::Poured, Walls::Wood, Walls::Unknown, Walls::Block] {
            let verdict = on(&Crack { wall: Some(wall), ..block(&series, &[]) });
            assert_eq!(names(&verdict.because).contains(&"pencil-fits"), fits, "{width} mm, {wall}");
        }
    }
    let series = once("6.35");
    let verdict = on(&block(&series, &[]));
    assert_eq!(names(&verdict.because)[..2], ["crack-category", "pencil-fits"], "exactly 1/4 in is both");
    assert_eq!(verdict.who, Some(Who::StructuralEngineer));
    assert_eq!(verdict.by, Some(By::Before("any repair")));
    assert_eq!(verdict.due_on, Some(day("2026-02-01")), "a month after the reading of 1 January");
}

#[test]
fn several_cracks_over_three_millimetres_on_one_wall_are_category_three() {
    let three_more = lengths(&["3.5 mm", "3.5 mm", "3.5 mm"]);
    let series = once("3.5");
    let verdict = on(&block(&series, &three_more));
    assert_eq!((verdict.band, names(&verdict.because)[0]), (Some(Band::Call), "crack-category"));
    assert!(verdict.because[0].because.starts_with("4 cracks over 3 mm"), "{}", verdict.because[0].because);
    // A narrow crack beside them is not counted itself.
    let series = once("0.5");
    assert_eq!(on(&block(&series, &three_more)).band, Some(Band::Watch));
}

#[test]
fn a_crack_that_was_wide_this_year_is_counted_with_all_the_others_though_it_is_narrow_now() {
    // Digest 251: a number of cracks over 3 mm, taken as three. 3.5 mm in summer and 2.9 mm now, beside two of 3.5 mm, are three;
    // beside one they are two.
    let series = vec![read(Measured::Width, &[("2025-08-01", "3.5"), ("2026-01-01", "2.9")])];
    let beside = lengths(&["3.5 mm", "3.5 mm"]);
    let called = on(&block(&series, &beside));
    assert_eq!(called.band, Some(Band::Call));
    assert!(called.because[0].because.starts_with("3 cracks over 3 mm"), "{}", called.because[0].because);
    assert_eq!(on(&block(&series, &beside[..1])).band, Some(Band::Watch));
    // At 3 mm exactly the others are not over it.
    assert_eq!(on(&block(&series, &lengths(&["3 mm", "3 mm"]))).band, Some(Band::Watch));
}

#[test]
fn by_a_trade_journal_the_pencil_asks_for_half_an_inch_or_movement() {
    // A trade journal, second-hand: over 1/2 in, or over 1/4 in (6.35 mm) and still moving. A poured wall has no category.
    let choices = Choices { pencil: PencilRule::StillMoving, ..Choices::default() };
    for (width, moved, fires) in [
        ("12.7", false, false),
        ("12.8", false, true),
        ("6.35", true, false),
        ("6.36", true, true),
        ("6.36", false, false),
    ] {
        let series = once(width);
        let moved_on = moved.then(|| day("2026-01-03"));
        let verdict = on(&Crack { wall: Some(Walls::Poured), choices, moved_on, ..block(&series, &[]) });
        let fired = verdict.because.iter().find(|f| f.rule.name == "pencil-fits");
        assert_eq!(fired.is_some(), fires, "{width} mm, moved {moved}");
        assert!(fired.is_none_or(|f| f.variant.is_some_and(|v| v.name == "still-moving")), "{width} mm");
    }
}

#[test]
fn width_and_offset_beyond_the_tolerances_of_warranties_are_said() {
    // NAHB as quoted: a basement wall to 1/8 in (3.175 mm) wide or displaced, a basement floor to 3/16 in (4.7625 mm) wide.
    for (surface, width, offset, said) in [
        (Surface::Wall, "3.17", "3.17", None),
        (
            Surface::Wall,
            "3.18",
            "3.18",
            Some("is beyond 3.175 mm (0.125 in); offset 3.18 mm (0.125 in) is beyond 3.175 mm"),
        ),
        (
            Surface::Wall,
            "3.18",
            "0",
            Some("is beyond 3.175 mm (0.125 in), the tolerance of warranties for a basement wall"),
        ),
        (Surface::Slab, "4.76", "3.2", Some("offset 3.2 mm (0.126 in) is beyond 3.175 mm")),
        (
            Surface::Slab,
            "4.77",
            "0",
            Some("is beyond 4.763 mm (0.188 in), the tolerance of warranties for a basement floor"),
        ),
        (Surface::Slab, "4.76", "3.1", None),
    ] {
        let series =
            [read(Measured::Width, &[("2026-01-01", width)]), read(Measured::Offset, &[("2026-01-01", offset)])];
        let verdict = on(&Crack { surface: Some(surface), wall: Some(Walls::Poured), ..block(&series, &[]) });
        let beside = verdict.comparison.iter().find(|f| f.rule.name == "workmanship-crack").map(|f| &f.because);
        assert_eq!(beside.is_some(), said.is_some(), "{width} mm, {offset} mm");
        assert!(beside.zip(said).is_none_or(|(because, said)| because.contains(said)), "{beside:?}");
    }
}

#[test]
fn a_crack_that_may_be_mended_is_told_of_ports_by_the_document_that_is_followed() {
    let series = [monthly(&DORMANT)];
    for (ports, said, variant) in [
        (PortRule::TxDot, "ports no farther apart than the crack is deep", None),
        (PortRule::Ufgs, "ports 40 cm (16 in) to 50 cm (20 in) apart", Some("ufgs-03930")),
        (PortRule::Ufc, "ports 152.4 mm (6.000 in) apart", Some("ufc-2001")),
        (PortRule::AciRap, "ports 203.2 mm (8.000 in) apart", Some("aci-rap-1")),
    ] {
        let choices = Choices { ports, ..Choices::default() };
        let verdict = on(&Crack { choices, ..block(&series, &[]) });
        assert_eq!(verdict.band, Some(Band::Mend));
        let told = verdict.comparison.iter().find(|f| f.rule.name == "epoxy-ports").unwrap();
        assert_eq!(told.because.to_string(), format!("if it is injected: {said}"));
        assert_eq!(told.variant.map(|v| v.name), variant);
    }
}

#[test]
fn a_horizontal_crack_in_a_wall_that_holds_earth_is_called() {
    // GSA, Monitoring and Evaluating Cracks in Masonry.
    let series = once("0.5");
    let level = Crack { runs: Some(Runs::Horizontal), ..block(&series, &[]) };
    assert_eq!(on(&level).because[0].rule.name, "horizontal-in-retaining-wall");
    assert_eq!(on(&Crack { wall: Some(Walls::Poured), ..level.clone() }).band, Some(Band::Call));
    assert_eq!(on(&Crack { retains: Some(Answer::No), ..level.clone() }).band, Some(Band::Watch));
    let unknown = on(&Crack { retains: Some(Answer::Unknown), ..level.clone() });
    assert_eq!(unknown.band, Some(Band::Call), "what is open is not taken as `no`");
    assert!(unknown.next.iter().any(|step| step.with == Some("--retains …")), "{:?}", unknown.next);
    assert!(unknown.not_known.contains(&"whether the wall holds earth (answered unknown)".to_owned()));
    let unasked = on(&Crack { retains: None, ..level });
    assert!(unasked.not_known.contains(&"whether the wall holds earth (not asked)".to_owned()));
}

#[test]
fn a_hairline_with_nothing_else_is_noted() {
    for (width, band) in [("0.09", Band::Note), ("0.10", Band::Watch)] {
        let series = once(width);
        assert_eq!(on(&block(&series, &[])).band, Some(band), "{width} mm");
    }
    let series = once("0.09");
    let hairline = block(&series, &[]);
    assert_eq!(on(&hairline).due_on, None);
    // Anything else, and anything not asked that could be something else, is read on.
    let others = [
        Crack { water: Some(Water::Damp), ..hairline.clone() },
        Crack { water: Some(Water::Unknown), ..hairline.clone() },
        Crack { water: None, ..hairline.clone() },
        Crack { runs: Some(Runs::Unknown), ..hairline.clone() },
    ];
    for other in others {
        assert_eq!(on(&other).band, Some(Band::Watch), "{other:?}");
    }
    let level = Crack { runs: Some(Runs::Horizontal), retains: None, ..hairline.clone() };
    assert_eq!(on(&level).band, Some(Band::Call));
    assert_eq!(on(&Crack { runs: None, retains: Some(Answer::No), ..hairline }).band, Some(Band::Note));
}

#[test]
fn a_crack_is_mended_only_under_all_conditions() {
    let series = [monthly(&DORMANT)];
    let rested = block(&series, &[]);
    let verdict = on(&rested);
    assert_eq!((verdict.band, verdict.who), (Some(Band::Mend), Some(Who::OwnerOrContractor)));
    assert!(verdict.next[0].says.contains("before filling"));
    // -0.0026 + 2.201 x 0.2139 = 0.47 mm a year by the line.
    assert!(verdict.next[1].says.contains("0.47 mm"), "growth not ruled out is said: {}", verdict.next[1].says);
    assert_eq!(on(&Crack { wall: Some(Walls::Poured), ..rested.clone() }).band, Some(Band::Mend));
    let wet = Crack { water: Some(Water::Seeping), ..rested.clone() };
    assert_eq!(on(&Crack { source_known: Some(Answer::Yes), ..wet.clone() }).band, Some(Band::Mend));

    let half = [monthly(&DORMANT[..7])];
    let wide: Vec<String> = DORMANT.iter().map(|w| format!("{:.2}", w.parse::<f64>().unwrap() + 2.8)).collect();
    let wide: Vec<&str> = wide.iter().map(String::as_str).collect();
    let wide = [monthly(&wide)]; // 5.12 mm at its widest
    let not_yet = [
        ("half a year", Crack { series: &half, ..rested.clone() }),
        ("water from somewhere", wet),
        ("water not asked", Crack { water: None, ..rested.clone() }),
        ("direction not asked", Crack { runs: None, ..rested.clone() }),
        ("over 5 mm", Crack { series: &wide, wall: Some(Walls::Poured), ..rested.clone() }),
    ];
    for (why, crack) in not_yet {
        assert_eq!(on(&crack).band, Some(Band::Watch), "{why}");
    }
    let level = Crack { runs: Some(Runs::Horizontal), ..rested };
    assert_eq!(on(&level).band, Some(Band::Call));
}

#[test]
fn the_widest_of_the_year_is_compared() {
    // 5.1 mm in August, 4.9 mm in February: the table sees 5.1 mm until a year has passed.
    let series = [read(Measured::Width, &[("2025-02-01", "4.9"), ("2025-08-01", "5.1"), ("2026-01-01", "4.9")])];
    assert_eq!(on(&block(&series, &[])).band, Some(Band::Call));
    let series = [read(Measured::Width, &[("2024-08-01", "5.1"), ("2026-01-01", "4.9")])];
    assert_eq!(on(&block(&series, &[])).band, Some(Band::Watch));
}

#[test]
fn a_superseded_series_is_compared_for_a_year_and_no_longer() {
    // 6 mm by the old gauge; 1/4 in is not reached, so category 3 by the Digest alone sends it on.
    for (old, band) in [("2025-06-01", Band::Call), ("2024-06-01", Band::Watch)] {
        let mut superseded = read(Measured::Width, &[(old, "6.0")]);
        superseded.superseded = true;
        let series = [superseded, read(Measured::Width, &[("2026-01-01", "4.0")])];
        assert_eq!(on(&block(&series, &[])).band, Some(band), "old gauge read {old}");
    }
    // A point that is still in use keeps its last width, however long ago it was read.
    let series = [read(Measured::Width, &[("2023-06-01", "6.0")]), read(Measured::Width, &[("2026-01-01", "1.0")])];
    assert_eq!(on(&block(&series, &[])).band, Some(Band::Call));
}

#[test]
fn growth_and_fast_change_are_called_whatever_the_wall() {
    let series = [monthly(&GROWING)];
    let growing = on(&Crack { wall: Some(Walls::Poured), ..block(&series, &[]) });
    assert_eq!((growing.band, growing.because[0].rule.name), (Some(Band::Call), "trend-growing"));
    let series = [read(Measured::Width, &[("2025-12-01", "0.5"), ("2026-01-01", "1.6")])];
    let fast = on(&Crack { wall: Some(Walls::Poured), ..block(&series, &[]) });
    assert_eq!((fast.because[0].rule.name, fast.by.clone()), ("fast-change", Some(By::AtOnce)));
    assert_eq!(fast.due_on, Some(day("2026-01-01")), "the day of the reading, not a day that moves on");
}

#[test]
fn what_moves_under_the_eye_is_urgent() {
    let verdict = on(&Crack { moved_on: Some(day("2026-01-03")), ..block(&[], &[]) });
    assert_eq!((verdict.band, verdict.by.clone()), (Some(Band::Urgent), Some(By::AtOnce)));
    assert!(verdict.next[0].says.contains("keep people out"));
}

#[test]
fn concrete_widths_are_a_guide_and_never_a_limit() {
    // ACI 224R-01 Table 4.1: 0.30 mm (0.012 in) in moist air or soil.
    for (width, side) in [("0.30", ": not above"), ("0.35", ": above")] {
        let series = once(width);
        let verdict = on(&Crack { wall: Some(Walls::Poured), ..block(&series, &[]) });
        let guide = verdict.comparison.iter().find(|f| f.rule.name == "concrete-crack-guide").unwrap();
        assert!(guide.because.contains(side) && guide.because.ends_with("a guide, not a limit"), "{}", guide.because);
        assert_eq!(guide.band, None);
    }
}

#[test]
fn every_open_question_is_listed() {
    let crack = Crack { surface: None, wall: None, runs: None, water: None, retains: None, ..block(&[], &[]) };
    let verdict = on(&crack);
    assert_eq!(verdict.band, Some(Band::Watch));
    assert_eq!(
        verdict.not_known,
        [
            "whether it is in a wall or a slab (not asked)",
            "what the wall is made of (not asked)",
            "whether the wall holds earth (not asked)",
            "which way it runs (not asked)",
            "whether water comes through (not asked)",
            "offset across the crack (never read)",
            "length of the crack (never read)",
            "width (never read)",
        ]
    );
    let half = [monthly(&DORMANT[..7])];
    let verdict = worded(verdict_in_july(&block(&half, &[])));
    assert_eq!(verdict.changes_on, Some(day("2026-01-01")));
}

fn verdict_in_july(crack: &Crack) -> Verdict {
    verdict(crack, day("2025-07-15"))
}

#[test]
fn the_widest_of_the_year_is_said_with_its_day_beside_the_last() {
    let series = [read(Measured::Width, &[("2025-03-01", "9.5"), ("2025-06-01", "8.0"), ("2026-01-01", "8.0")])];
    let verdict = on(&block(&series, &[]));
    let because = &verdict.because.iter().find(|f| f.rule.name == "crack-category").unwrap().because;
    assert!(
        because.starts_with("widest 9.5 mm (0.374 in), read 1 Mar 2025; last 8 mm (0.315 in): category 3"),
        "{because}"
    );
}
