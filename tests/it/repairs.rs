//! What a repair leaves behind: whether it held, and what a filled crack is still asked.

use crate::world::World;

fn why(world: &World) -> String {
    world.run(&["why", "elm/1"]).ok().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_repair_that_did_not_hold_is_named_and_asks_for_the_next_step() {
    let world = World::with_house();
    world.run(&["finding", "open", "elm", "--kind", "damp", "--place", "north wall", "--on", "2025-06-01"]).ok();
    world.run(&["repair", "add", "elm/1", "--method", "sealing", "--on", "2025-11-20"]).ok();
    let said = world.run(&["repair", "check", "elm#4", "--held", "no", "--on", "2026-01-17"]).ok();
    assert!(said.contains("elm/1 now: mend"), "{said}");
    let shown = why(&world);
    assert!(
        shown.contains("mend: the repair of 20 Nov 2025 (sealing) did not hold when it was looked at on 17 Jan 2026"),
        "{shown}"
    );
    assert!(shown.contains("look why it did not hold before it is done again"), "{shown}");
    assert!(shown.contains("stemwall repair add elm/1 --method …"), "{shown}");
    let due = world.run(&["due", "--json"]).json();
    let of = |d: &&serde_json::Value| d["subject"] == "elm/1" && d["due_on"] == "2026-02-16";
    assert!(due.as_array().unwrap().iter().any(|d| of(&d)), "17 January and 30 days: {due}");
    // Another repair takes its place.
    world.run(&["repair", "add", "elm/1", "--method", "drainage", "--on", "2026-02-01"]).ok();
    assert!(!why(&world).contains("did not hold"), "{}", why(&world));
    world.run(&["verify"]).ok();
}

#[test]
fn a_filled_crack_is_looked_at_and_not_asked_for_a_width_that_cannot_be_read() {
    let world = World::with_crack();
    let add = ["repair", "add", "elm/1", "--method", "epoxy-injection", "--on", "2025-06-01"];
    world.run(&add).ok();
    let shown = why(&world);
    assert!(shown.contains("watch: filled on 1 Jun 2025 (epoxy-injection); not looked at since"), "{shown}");
    assert!(shown.contains("stemwall repair check elm#4 --held …"), "{shown}");
    assert!(!shown.contains("no reading of width") && !shown.contains("at the same mark"), "{shown}");
    let titles = |world: &World| -> Vec<String> {
        let due = world.run(&["due", "--within", "1y", "--json"]).json();
        let own = due.as_array().unwrap().iter().filter(|d| d["subject"] == "elm/1");
        own.map(|d| d["title"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(titles(&world), ["look whether the repair holds, after 6 months"]);
    // It opens again: then its width is what is read.
    world.run(&["reading", "add", "elm/1", "--width", "0.3 mm"]).ok();
    assert!(why(&world).contains("at the same mark"), "{}", why(&world));
    world.run(&["repair", "check", "elm#4", "--held", "no"]).ok();
    assert!(why(&world).contains("call: the repair of 1 Jun 2025 (epoxy-injection) did not hold"), "{}", why(&world));
    world.run(&["verify"]).ok();
}

#[test]
fn what_speaks_against_a_filling_is_asked_before_anything_is_recorded() {
    let world = World::with_crack();
    world.run(&["reading", "add", "elm/1", "--water", "seeping"]).ok();
    let fill = ["repair", "add", "elm/1", "--method", "epoxy-injection", "--width", "0.04 mm"];
    let said = world.refused(1, &fill);
    for part in [
        "error: filling 1: it leaks: epoxy does not bond to running water",
        "error: filling 1: it leaks and the source of the water is not known",
        // TxDOT: 0.002 in takes no resin; 0.04 mm is 0.0016 in.
        "error: filling 1: 0.0016 in (0.04 mm) is narrower than 0.002 in (0.05 mm)",
        "try: nothing is recorded yet; if it is filled all the same, add `--sure`",
    ] {
        assert!(said.contains(part), "{part}\n{said}");
    }
    let said = world.run(&[&fill[..], &["--sure"]].concat()).ok();
    assert!(said.contains("filling 1: it leaks") && !said.contains("never read"), "{said}");
    // What was done on an earlier day is written down as it was.
    let earlier = ["repair", "add", "elm/1", "--method", "epoxy-injection", "--on", "2025-02-01"];
    world.run(&earlier).ok();
}

#[test]
fn a_crack_that_calls_an_engineer_is_not_filled_before() {
    let world = World::with_house();
    let open = ["finding", "open", "elm", "--kind", "crack", "--place", "east wall", "--in", "main"];
    world.run(&[&open[..], &["--runs", "horizontal", "--retains", "yes"]].concat()).ok();
    let said = world.refused(1, &["repair", "add", "elm/1", "--method", "patch"]);
    let want = "error: filling 1: a licensed structural engineer looks before any repair: runs horizontally in a wall that holds earth";
    assert!(said.contains(want), "{said}");
    // Keeping water away fills nothing.
    world.run(&["repair", "add", "elm/1", "--method", "drainage"]).ok();
}
