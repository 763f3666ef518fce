//! What is asked of the ground, the vents and the wood: answered it decides, unknown it stays unknown.

use crate::world::World;

fn run(world: &World, line: &[&str]) {
    world.run(line).ok();
}

fn why(world: &World, subject: &str) -> (String, String) {
    let json = world.run(&["why", subject, "--json"]).json();
    let verdict = &json["verdict"];
    (verdict["band"].as_str().unwrap_or("none").to_owned(), verdict.to_string())
}

const OPEN: &[&str] = &["finding", "open", "elm", "--in", "main", "--place", "north", "--kind"];

#[test]
fn clay_is_asked_of_a_tree_and_taken_from_its_section() {
    let world = World::with_house();
    run(&world, &[OPEN, &["tree", "--species", "oak", "--demand", "high"]].concat());
    run(&world, &["reading", "add", "elm/1", "--height", "20 m"]);
    run(&world, &["reading", "add", "elm/1", "--distance", "18 m"]);
    let (band, text) = why(&world, "elm/1");
    assert_eq!(band, "watch");
    assert!(text.contains("whether the soil is shrinkable clay (not asked)") && text.contains("--clay …"), "{text}");
    run(&world, &["section", "change", "elm/main", "--clay", "no"]);
    assert_eq!(why(&world, "elm/1").0, "note");
    // What was said of the tree itself goes before what is known of the section.
    run(&world, &["correct", "elm#3", "--clay", "unknown", "--why", "asked again"]);
    let (band, text) = why(&world, "elm/1");
    assert_eq!(band, "watch");
    assert!(text.contains("whether the soil is shrinkable clay (answered unknown)"), "{text}");

    let tree =
        ["fixture", "add", "elm/oak", "--kind", "tree", "--demand", "high", "--height", "20 m", "--distance", "18 m"];
    run(&world, &[&tree[..], &["--clay", "no"]].concat());
    assert_eq!(why(&world, "elm/oak").0, "note");
}

#[test]
fn a_young_tree_counts_with_what_it_grows_to_and_is_asked_for_from_its_own_day_on() {
    let world = World::with_house();
    let tree =
        ["fixture", "add", "elm/oak", "--kind", "tree", "--on", "2025-06-01", "--distance", "10 m", "--height", "6 m"];
    run(&world, &[&tree[..], &["--what", "English oak"]].concat());
    let (band, text) = why(&world, "elm/oak");
    // NHBC 4.2: an English oak grows to 20 m and asks for much water, so its zone is 25 m.
    assert!(band == "watch" && text.contains("inside its zone of 82 ft (25 m)"), "{text}");
    // The first of March after it came into the ledger, and not after the house did.
    assert!(text.contains(r#""by":"2026-03-01""#), "{text}");
}

#[test]
fn a_retarder_and_missing_vents_are_asked() {
    let world = World::with_house();
    run(&world, &["section", "change", "elm/main", "--area", "1200 ft2"]);
    run(&world, &[OPEN, &["vent"]].concat());
    run(&world, &["reading", "add", "elm/1", "--free-area", "1 ft2"]);
    let (band, text) = why(&world, "elm/1");
    // IRC R408.1: 8 ft2 without a retarder, 0.8 ft2 with one.
    assert_eq!(band, "watch");
    for open in
        ["whether a vent is missing (not asked)", "whether a Class I vapour retarder lies on the ground (not asked)"]
    {
        assert!(text.contains(open), "{text}");
    }
    run(&world, &["section", "change", "elm/main", "--retarder", "yes"]);
    assert_eq!(why(&world, "elm/1").0, "note");
    run(&world, &["correct", "elm#4", "--retarder", "no", "--why", "looked"]);
    assert_eq!(why(&world, "elm/1").0, "mend");
    run(&world, &["correct", "elm#4", "--retarder", "yes", "--missing", "yes", "--why", "looked again"]);
    let (band, text) = why(&world, "elm/1");
    assert!(band == "mend" && text.contains("a vent is missing"), "{text}");
}

#[test]
fn treated_wood_and_a_walkway_that_moved_are_asked() {
    let world = World::with_house();
    run(&world, &[OPEN, &["clearance", "--member", "joist"]].concat());
    run(&world, &["reading", "add", "elm/1", "--clearance", "10 in"]);
    let (band, text) = why(&world, "elm/1");
    assert!(band == "mend" && text.contains("whether it is durable or treated wood (not asked)"), "{text}");
    run(&world, &["correct", "elm#3", "--treated", "yes", "--why", "stamped"]);
    assert_eq!(why(&world, "elm/1").0, "note");

    run(&world, &[OPEN, &["walkway", "--paving", "slab", "--has-moved", "unknown"]].concat());
    run(&world, &["reading", "add", "elm/2", "--step", "1/8 in"]);
    let (band, text) = why(&world, "elm/2");
    assert!(band == "note" && text.contains("whether it moved since last year (answered unknown)"), "{text}");
    let opened = world.run(&["history", "elm"]).ok();
    let entry = opened.lines().find(|line| line.contains("finding 2 opened")).unwrap();
    let seq = entry.split_whitespace().find(|word| word.starts_with("elm#")).unwrap().to_owned();
    run(&world, &["correct", &seq, "--has-moved", "yes", "--why", "seen"]);
    assert_eq!(why(&world, "elm/2").0, "watch");
}

#[test]
fn a_pattern_is_shown_with_what_guides_list_and_moves_no_band() {
    let world = World::with_house();
    run(&world, &[OPEN, &["crack", "--pattern", "opening-corner", "--runs", "diagonal"]].concat());
    let shown = world.run(&["why", "elm/1"]).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    let said = "for comparison only in print: a diagonal crack from the corner of a window or a door is listed under restraint";
    assert!(shown.contains(said), "{shown}");
    assert!(shown.contains("ACI 224.1R · from memory, not read again · rule `pattern-opening-corner`"), "{shown}");
    assert_eq!(why(&world, "elm/1").0, "watch");
}

#[test]
fn who_is_named_alike_in_every_answer() {
    let world = World::with_house();
    run(&world, &[OPEN, &["crack", "--wall", "block", "--runs", "horizontal", "--retains", "yes"]].concat());
    let named = |json: &serde_json::Value| (json["who"].clone(), json["who_words"].clone());
    let engineer = ("structural-engineer".into(), "a licensed structural engineer".into());
    let verdict = world.run(&["why", "elm/1", "--json"]).json();
    assert_eq!(named(&verdict["verdict"]), engineer);
    assert_eq!(named(&verdict["verdict"]["because"][0]), engineer);
    let house = world.run(&["why", "elm", "--json"]).json();
    assert_eq!(named(&house["parts"][0]), engineer);
    let status = world.run(&["status", "--json"]).json();
    let row = status["properties"].as_array().map_or(&status[0], |rows| &rows[0]);
    assert_eq!(named(row), engineer, "{status}");
}
