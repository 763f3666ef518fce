//! Grade, drainage, walkway, tree, vent, clearance: both sides of every limit.

use super::{
    Clearance, DISCHARGE, DischargeRule, Drainage, Grade, STEP, Tree, Vent, VentRule, Walkway, clearance, drainage,
    grade, tree, tree_zone, vent, vent_needed, walkway,
};
use crate::quantity::{Area, Length};
use crate::trade::rules::tests::worded;
use crate::trade::series::tests::{day, read};
use crate::trade::series::{Measured, Series};
use crate::trade::verdict::{Band, By, Verdict};
use crate::trade::words::{Answer, Demand, DrainagePart, Ground, Member, Paving};

fn length(text: &str) -> Length {
    Length::parse_signed(text).unwrap()
}

#[test]
fn ground_short_of_its_fall_is_mended() {
    // IRC 2015 R401.3: 6 in in 10 ft (5 % of a shorter run); paved 2 %.
    let cases = [
        (Some(Ground::Soil), "4.5 in", "10 ft", Band::Mend), // 1.5 in short of 6 in
        (Some(Ground::Soil), "5.99 in", "10 ft", Band::Mend),
        (Some(Ground::Soil), "6 in", "10 ft", Band::Note),
        (Some(Ground::Soil), "3 in", "5 ft", Band::Note),
        // Asked within the first 10 ft, of which a longer run tells nothing: flat for 10 ft and then 1 ft down is not enough.
        (Some(Ground::Soil), "7 in", "20 ft", Band::Watch),
        (Some(Ground::Soil), "12 in", "20 ft", Band::Watch),
        (Some(Ground::Soil), "5 in", "20 ft", Band::Mend),
        (Some(Ground::Paved), "3 in", "20 ft", Band::Watch),
        (None, "7 in", "20 ft", Band::Watch),
        (Some(Ground::Soil), "-1 in", "10 ft", Band::Mend),
        (Some(Ground::Paved), "2.4 in", "10 ft", Band::Note),
        (Some(Ground::Paved), "2.39 in", "10 ft", Band::Mend),
        (None, "2.39 in", "10 ft", Band::Mend),
        (None, "4.5 in", "10 ft", Band::Watch),
        (None, "6 in", "10 ft", Band::Note),
    ];
    for (ground, fall, run, band) in cases {
        let of = Grade { ground, fall: Some(length(fall)), run: Some(length(run)) };
        assert_eq!(worded(grade(&of)).band, Some(band), "{ground:?}: {fall} in {run}");
    }
    let short = grade(&Grade { ground: Some(Ground::Soil), fall: Some(length("4.5 in")), run: Some(length("10 ft")) });
    assert!(short.because[0].because.ends_with("short by 38.1 mm (1.500 in)"), "{}", short.because[0].because);
    let towards = Grade { ground: Some(Ground::Soil), fall: Some(length("-2 in")), run: Some(length("10 ft")) };
    let said = &grade(&towards).because[0].because;
    assert!(said.starts_with("rises 50.8 mm (2.000 in) over"), "{said}");
    let long = grade(&Grade { ground: Some(Ground::Soil), fall: Some(length("7 in")), run: Some(length("20 ft")) });
    let said = &long.because[0].because;
    assert!(said.ends_with("what counts is the fall within the first 10 ft, which is not read"), "{said}");
    assert_eq!(long.not_known, ["fall within the first 10 ft (it was read over a longer run)"]);
    let unread = worded(grade(&Grade::default()));
    assert_eq!((unread.band, unread.not_known.len()), (Some(Band::Watch), 3));
}

#[test]
fn an_outlet_too_near_is_mended_by_the_rule_that_was_chosen() {
    // IRC R801.3: 5 ft for a downspout; University of Nebraska-Lincoln: 10 ft; a press guide: 4 ft.
    let cases = [
        (DrainagePart::Downspout, DischargeRule::Irc, "4.99 ft", true),
        (DrainagePart::Downspout, DischargeRule::Irc, "5 ft", false),
        (DrainagePart::Downspout, DischargeRule::Nebraska, "5 ft", true),
        (DrainagePart::Downspout, DischargeRule::Nebraska, "10 ft", false),
        (DrainagePart::Downspout, DischargeRule::PressGuide, "4 ft", false),
        (DrainagePart::Outlet, DischargeRule::Irc, "9.99 ft", true),
        (DrainagePart::Outlet, DischargeRule::Irc, "10 ft", false),
    ];
    for (part, rule, distance, near) in cases {
        let of = Drainage { part: Some(part), wrong: Some("joint open"), distance: Some(length(distance)), rule };
        let verdict = worded(drainage(&of));
        assert_eq!(verdict.because.iter().any(|f| f.rule == &DISCHARGE), near, "{part}, {rule:?}, {distance}");
        assert_eq!((verdict.band, verdict.by), (Some(Band::Mend), Some(By::Before("the wet season"))));
    }
}

fn walk<'a>(series: &'a [Series], moved: Option<Answer>) -> Walkway<'a> {
    Walkway { paving: Some(Paving::Slab), series, moved, next_spring: day("2026-04-01") }
}

#[test]
fn a_step_over_a_quarter_inch_is_mended() {
    // 2010 ADA 303: 1/4 in vertical, to 1/2 in bevelled, above a ramp; for comparison only.
    let cases = [
        ("6.35", Band::Note, "vertical"),
        ("6.36", Band::Mend, "bevelled"),
        ("9.525", Band::Mend, "bevelled"),
        ("12.7", Band::Mend, "bevelled"),
        ("12.954", Band::Mend, "ramp"),
    ];
    for (step, band, treated) in cases {
        let series = [read(Measured::StepHeight, &[("2026-01-01", step)])];
        let verdict = worded(walkway(&walk(&series, Some(Answer::No)), day("2026-02-01")));
        assert_eq!(verdict.band, Some(band), "{step} mm");
        assert_eq!(verdict.comparison[0].rule, &STEP);
        assert!(verdict.comparison[0].because.contains(treated), "{}", verdict.comparison[0].because);
    }
}

#[test]
fn a_walkway_that_moved_since_last_year_is_watched() {
    // More than twice the resolution of 0.1 mm between readings about a year apart.
    for (last, moved) in [("2.2", false), ("2.21", true), ("1.7", true)] {
        let series = [read(Measured::StepHeight, &[("2025-04-01", "2.0"), ("2026-04-01", last)])];
        let verdict = worded(walkway(&walk(&series, None), day("2026-04-02")));
        assert_eq!(verdict.band, Some(if moved { Band::Watch } else { Band::Note }), "{last} mm");
    }
    let none = worded(walkway(&walk(&[], None), day("2026-04-02")));
    assert_eq!((none.band, none.due_on), (Some(Band::Watch), Some(day("2026-04-01"))));
    let seen = worded(walkway(&walk(&[], Some(Answer::Yes)), day("2026-04-02")));
    assert_eq!(seen.because[0].because, "seen to have moved since last year");
}

fn oak(distance: &str, clay: Option<Answer>) -> Verdict {
    worded(tree(&Tree {
        species: Some("English oak"),
        demand: Some(Demand::High),
        height: Some(length("20 m")),
        distance: Some(length(distance)),
        shrinkable_clay: clay,
        next_spring: day("2026-04-01"),
    }))
}

#[test]
fn a_tree_inside_its_zone_is_watched() {
    // NHBC 4.2 Table 3b: high demand 1.25 x 20 m = 25 m; trunk 18 m away is inside.
    assert_eq!(tree_zone(length("20 m"), Demand::High), Some(length("25 m")));
    assert_eq!(tree_zone(length("20 m"), Demand::Moderate), Some(length("15 m")));
    assert_eq!(tree_zone(length("20 m"), Demand::Low), Some(length("10 m")));
    for (distance, band) in [("18 m", Band::Watch), ("24.99 m", Band::Watch), ("25 m", Band::Note)] {
        assert_eq!(oak(distance, None).band, Some(band), "{distance}");
    }
    let rock = oak("18 m", Some(Answer::No));
    assert_eq!((rock.band, rock.comparison.len()), (Some(Band::Note), 1));
    // Outside its zone, nobody is asked to look by a day.
    assert_eq!((oak("18 m", None).due_on, oak("25 m", None).due_on), (Some(day("2026-04-01")), None));
    let unread = worded(tree(&Tree {
        species: None,
        demand: None,
        height: None,
        distance: None,
        shrinkable_clay: None,
        next_spring: day("2026-04-01"),
    }));
    assert_eq!((unread.band, unread.not_known.len()), (Some(Band::Watch), 5));
}

fn standing(species: Option<&str>, demand: Option<Demand>, height: Option<&str>, distance: &str) -> Verdict {
    worded(tree(&Tree {
        species,
        demand,
        height: height.map(length),
        distance: Some(length(distance)),
        shrinkable_clay: Some(Answer::Yes),
        next_spring: day("2026-04-01"),
    }))
}

#[test]
fn the_mature_height_counts_and_not_the_height_now() {
    let (high, low) = (Some(Demand::High), Some(Demand::Low));
    // NHBC 4.2 Table 12: English oak 20 m, high (25 m); birch 14 m, low (7 m); of the willows, crack and white 24 m (30 m).
    let cases = [
        (Some("English oak"), high, Some("6 m"), "10 m", Band::Watch), // by its 6 m it would be 7.5 m
        (Some("english OAK "), None, None, "24.99 m", Band::Watch),
        (Some("English oak"), None, Some("6 m"), "25 m", Band::Note),
        (Some("English oak"), None, Some("22 m"), "27.49 m", Band::Watch), // taller than listed: 27.5 m
        (Some("birch"), None, Some("3 m"), "6.99 m", Band::Watch),
        (Some("birch"), None, Some("3 m"), "7 m", Band::Note),
        (Some("birch"), high, Some("3 m"), "17.4 m", Band::Watch), // the higher demand counts: 17.5 m
        (Some("English oak"), low, None, "24 m", Band::Watch),
        (Some("willow"), None, Some("6 m"), "29.9 m", Band::Watch),
        (Some("willow"), None, Some("6 m"), "30 m", Band::Note),
    ];
    for (species, demand, height, distance, band) in cases {
        assert_eq!(standing(species, demand, height, distance).band, Some(band), "{species:?} {height:?} {distance}");
    }
    let young = standing(Some("English oak"), high, Some("6 m"), "10 m");
    let said = "10 m (32.8 ft) away, inside its zone of 25 m (82 ft) by the mature height 20 m (65.6 ft) \
                listed for english oak, high water demand";
    assert_eq!(young.because[0].because, said);
    assert_eq!(young.not_known, Vec::<String>::new());
}

#[test]
fn outside_the_zone_of_the_height_now_nothing_is_said_of_a_tree_that_no_list_has() {
    let young = standing(Some("bur oak"), Some(Demand::High), Some("6 m"), "10 m");
    assert_eq!(young.band, Some(Band::Watch));
    assert!(young.because[0].because.ends_with("what height it grows to is not known, and that is what counts"));
    assert_eq!(young.not_known, ["what height it grows to (`bur oak` is not in the printed list)"]);
    assert_eq!(standing(Some("bur oak"), Some(Demand::High), Some("6 m"), "7 m").band, Some(Band::Watch));
    assert_eq!(standing(None, Some(Demand::High), Some("6 m"), "10 m").band, Some(Band::Watch));
}

fn vents(free: &str, retarder: Option<Answer>, rule: VentRule) -> Option<Band> {
    let of = Vent {
        free_area: Some(Area::parse(free).unwrap()),
        floor_area: Some(Area::ft2(1200, 1)),
        retarder,
        rule,
        ..Vent::default()
    };
    worded(vent(&of)).band
}

#[test]
fn vents_short_of_their_area_are_mended() {
    // IRC R408: 1200 ft2 asks for 8 ft2 = 1152 in2, with a Class I retarder 0.8 ft2; Washington 1/300 = 4 ft2.
    assert_eq!(vent_needed(Area::ft2(1200, 1), false, VentRule::Irc), Some(Area::ft2(8, 1)));
    assert_eq!(vent_needed(Area::ft2(1200, 1), true, VentRule::Irc), Some(Area::ft2(8, 10)));
    let cases = [
        ("1151 in2", Some(Answer::No), VentRule::Irc, Band::Mend),
        ("1152 in2", Some(Answer::No), VentRule::Irc, Band::Note),
        ("115.1 in2", Some(Answer::Yes), VentRule::Irc, Band::Mend),
        ("115.2 in2", Some(Answer::Yes), VentRule::Irc, Band::Note),
        ("4 ft2", Some(Answer::No), VentRule::Washington, Band::Note),
        ("4 ft2", None, VentRule::Irc, Band::Watch), // short unless a retarder lies there
        ("0.7 ft2", None, VentRule::Irc, Band::Mend),
        ("8 ft2", None, VentRule::Irc, Band::Note),
    ];
    for (free, retarder, rule, band) in cases {
        assert_eq!(vents(free, retarder, rule), Some(band), "{free}, {retarder:?}, {rule:?}");
    }
    assert_eq!(worded(vent(&Vent { blocked: Some(Answer::Yes), ..Vent::default() })).band, Some(Band::Mend));
    assert_eq!(worded(vent(&Vent::default())).band, Some(Band::Watch));
}

#[test]
fn wood_too_near_the_soil_is_mended() {
    // IRC R317.1: joists under 18 in, girders under 12, framing on a wall under 8, siding under 6, over slabs under 2.
    let cases = [
        (Member::Joist, "17.9 in", Band::Mend),
        (Member::Joist, "18 in", Band::Note),
        (Member::Girder, "11.9 in", Band::Mend),
        (Member::Girder, "12 in", Band::Note),
        (Member::Column, "7.9 in", Band::Mend),
        (Member::Framing, "8 in", Band::Note),
        (Member::Siding, "5.9 in", Band::Mend),
        (Member::Siding, "6 in", Band::Note),
        (Member::SidingOverSlab, "1.9 in", Band::Mend),
        (Member::SidingOverSlab, "2 in", Band::Note),
        (Member::Other, "1 in", Band::Watch),
    ];
    for (member, found, band) in cases {
        let of = Clearance { member: Some(member), clearance: Some(length(found)), protected: None };
        assert_eq!(worded(clearance(&of)).band, Some(band), "{member} at {found}");
    }
    let treated =
        Clearance { member: Some(Member::Joist), clearance: Some(length("1 in")), protected: Some(Answer::Yes) };
    assert_eq!(worded(clearance(&treated)).band, Some(Band::Note));
}
