//! What is told of a pump beside its pour test: its check valve, its outlet, its battery.

use crate::world::World;

fn why(world: &World) -> String {
    world.run(&["why", "elm/pump"]).ok().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_pump_is_judged_by_its_valve_its_outlet_and_its_battery_too() {
    let world = World::with_house();
    let add = ["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in", "--distance", "4 ft"];
    world.run(&[&add[..], &["--battery", "75", "--draw", "10", "--installed", "2020-05-01"]].concat()).ok();
    let test = ["sump", "test", "elm/pump", "--poured", "--started-times", "2"];
    let said = world.refused(2, &[&test[..], &["--runs-back", "much"]].concat());
    assert_eq!(said, "error: `much` is not an answer\ngiven: --runs-back much\n  try: one of yes, no, unknown\n");
    let said = world.run(&[&test[..], &["--runs-back", "yes", "--short-cycles", "no"]].concat()).ok();
    assert!(said.contains("switched on and off 2 times, runs back yes, short cycles no"), "{said}");
    let why = why(&world);
    for part in [
        // Asked are 10 ft; 10 ft of 1-1/2 in pipe hold 1.058 gal, the pit 1.1016 gal an inch.
        "mend: its outlet is 4 ft (1.2 m) from the wall, asked are 10 ft (3 m)",
        "watch: on 1 Mar 2026 water ran back into the pit after it stopped; 10 ft of 1-1/2 in pipe running back raise this pit by 0.96 in",
        "watch: its battery was put in 1 May 2020, past 5 years since 1 May 2025",
        "half of 75 Ah runs a pump of 10 A for 3.8 h on end without loss, 2.8 h with that of flooded lead-acid",
    ] {
        assert!(why.contains(part), "{part}\n{why}");
    }
    world.run(&["verify"]).ok();
}

fn due_of(world: &World, subject: &str) -> Vec<(String, String)> {
    let due = world.run(&["due", "--within", "1y", "--json"]).json();
    let own = due.as_array().unwrap().iter().filter(|d| d["subject"] == subject);
    own.map(|d| (d["title"].as_str().unwrap().to_owned(), d["due_on"].as_str().unwrap().to_owned())).collect()
}

#[test]
fn a_weak_pump_is_due_a_month_after_its_last_test_while_it_is_wet() {
    let world = World::with_house();
    world
        .run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in", "--installed", "2020-05-01"])
        .ok();
    let timed = ["--fall-time", "15 s", "--rise", "2 in", "--rise-time", "60 s", "--started-times", "2"];
    for (on, fall) in [("2024-11-02", "8 in"), ("2026-02-20", "5 in")] {
        world.run(&[&["sump", "test", "elm/pump", "--on", on, "--fall", fall], &timed[..]].concat()).ok();
    }
    // 8 in in 15 s and 2 in a minute of 1.1016 gal an inch: 37.45 gpm; 5 in: 24.24 gpm.
    let history = world.run(&["history", "elm/pump"]).ok();
    let history = history.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(history.contains("it lifts 37 gpm, 2.2 gpm comes in") && history.contains("it lifts 24 gpm"), "{history}");
    // The wet season is taken from 1 October to 31 March: 20 February and a month.
    let monthly = ("test it monthly in the wet season".to_owned(), "2026-03-20".to_owned());
    assert!(due_of(&world, "elm/pump").contains(&monthly), "{:?}", due_of(&world, "elm/pump"));
    // A pump that is not watched is left to the almanac's rounds.
    world.run(&["fixture", "replace", "elm/pump", "--on", "2026-02-25"]).ok();
    world.run(&["sump", "test", "elm/pump", "--on", "2026-02-26", "--poured", "--started-times", "2"]).ok();
    assert!(due_of(&world, "elm/pump").iter().all(|(title, _)| !title.contains("monthly")));
    world.run(&["verify"]).ok();
}

#[test]
fn water_rising_in_the_pit_is_urgent_with_its_caution_first() {
    let world = World::with_house();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump"]).ok();
    let said = world.run(&["sump", "test", "elm/pump", "--water-rising", "yes", "--failed", "does not run"]).ok();
    assert!(said.contains("water rising yes, failed: does not run"), "{said}");
    let shown = why(&world);
    assert!(shown.contains("urgent: on 1 Mar 2026 the water was rising while the pump did not run"), "{shown}");
    assert!(shown.contains("never step into water"), "{shown}");
    let first = world.run(&["due", "--json"]).json()[0].clone();
    assert_eq!((first["subject"].as_str(), first["band"].as_str()), (Some("elm/pump"), Some("urgent")));
    assert!(first["title"].as_str().unwrap().starts_with("keep out of the water"), "{first}");
    world.run(&["verify"]).ok();
}

#[test]
fn a_backup_pump_has_tests_and_duties_and_its_battery_lasts_by_its_own_rate() {
    let world = World::with_house();
    let add = ["fixture", "add", "elm/spare", "--kind", "backup-pump", "--battery", "75", "--draw", "10"];
    world.run(&[&add[..], &["--rated", "10 gpm", "--installed", "2025-05-01"]].concat()).ok();
    let shown = || world.run(&["why", "elm/spare"]).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(shown().contains("never tested") && shown().contains("with the main pump unplugged"), "{}", shown());
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in"]).ok();
    let timed = ["--fall", "8 in", "--fall-time", "15 s", "--rise", "2 in", "--rise-time", "60 s"];
    let said = world.run(&[&["sump", "test", "elm/pump"], &timed[..]].concat()).ok();
    assert!(said.contains("half of 75 Ah runs a pump of 10 A"), "{said}");
    // 2 in a minute in an 18-in pit are 2.2032 gpm, of 10: 3.75 h / 0.22032 = 17.02 h; 2.794 h / 0.22032 = 12.68 h.
    assert!(shown().contains("as rated has that last 17 h, 13 h with that loss"), "{}", shown());
    world.run(&["sump", "test", "elm/spare", "--started-times", "2"]).ok();
    assert!(shown().contains("note: on 1 Mar 2026 it switched on and off twice"), "{}", shown());
    assert!(due_of(&world, "elm/spare").iter().any(|(title, _)| title == "test the backup pump"));
    world.run(&["verify"]).ok();
}

#[test]
fn what_nobody_counts_and_a_failure_that_is_none_are_refused() {
    let world = World::with_house();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump"]).ok();
    let said = world.refused(2, &["sump", "test", "elm/pump", "--started-times", "100000", "--failed", "no"]);
    assert!(
        said.contains("--started-times \"100000\"") && said.contains("`no` is not what went wrong, in words"),
        "{said}"
    );
    let said = world.run(&["sump", "test", "elm/pump", "--poured", "--started-times", "0"]).ok();
    assert!(
        said.contains("mend · on 1 Mar 2026 it did not switch on and off by itself, asked is at least twice"),
        "{said}"
    );
}

#[test]
fn a_pit_with_four_sides_gives_rates_like_a_round_one() {
    let world = World::with_house();
    let add = ["fixture", "add", "elm/pump", "--kind", "sump-pump", "--in", "main", "--pit", "24 in x 18 in"];
    assert!(world.run(&add).ok().contains("pit 24 in x 18 in"));
    let test =
        ["sump", "test", "elm/pump", "--fall", "8 in", "--fall-time", "15 s", "--rise", "2 in", "--rise-time", "60 s"];
    let said = world.run(&test).ok();
    // 24 x 18 in are 432 in3 an inch, 432/231 = 1.87013 gal. In comes 2 x 1.87013 in a minute = 3.740 gpm; out go 8 x 1.87013 in 15 s =
    // 59.844 gpm, and what came in meanwhile: 63.584 gpm.
    assert!(said.contains("it lifts 64 gpm") && said.contains("3.7 gpm comes"), "{said}");
    // Another pump stands in the same pit; a round one that is measured takes its place.
    world.run(&["fixture", "replace", "elm/pump", "--installed", "2026-02-01"]).ok();
    assert!(world.run(&test).ok().contains("it lifts 64 gpm"));
    world.run(&["fixture", "replace", "elm/pump", "--installed", "2026-02-02", "--pit", "18 in"]).ok();
    // A round one of 18 in holds 1.1016 gal an inch: 8 of it in 15 s and 2 of it a minute are 35.25 and 2.20 gpm.
    assert!(world.run(&test).ok().contains("it lifts 37 gpm"));
    let bare = world.refused(2, &["fixture", "add", "elm/other", "--kind", "sump-pump", "--pit", "24 x 18 in"]);
    assert!(bare.starts_with("error: `--pit` is not a length\ngiven: --pit \"24\"\n"), "{bare}");
    let zero = world.refused(1, &["fixture", "add", "elm/other", "--kind", "sump-pump", "--pit", "0 in x 18 in"]);
    assert_eq!(zero, "error: --pit `0 in` is zero\ngiven: --pit \"0 in\"\n  try: leave it out if it is not known\n");
    world.run(&["rebuild"]).ok();
    world.run(&["verify"]).ok();
}
