//! Radon tests as they are typed: where they stood, what is typed twice, pairs.

use crate::world::World;

const PLAIN: [&str; 10] =
    ["radon", "add", "elm/main", "--device", "charcoal", "--lasted", "72 h", "--closed", "yes", "--level"];

fn add<'a>(started: &'a str, result: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&PLAIN[..], &["lowest", "--started", started, "--result", result], more].concat()
}

/// The screen of `why` as one line.
fn why(world: &World) -> String {
    world.run(&["why", "elm/main"]).ok().split_whitespace().collect::<Vec<_>>().join(" ")
}

fn band(world: &World) -> serde_json::Value {
    world.run(&["why", "elm/main", "--json"]).json()["verdict"]["band"].clone()
}

#[test]
fn where_a_device_stood_decides_whether_its_test_counts() {
    // Illinois 32 IAC 422.130 a) 1) D: 20 in to 6 ft above the floor, 3 ft from openings, 1 ft from outside walls, 4 in from
    // objects, 4 ft from heat, 7 ft from a sump; rooms.
    let cases: [(&[&str], &str, &str); 11] = [
        (&["--above-floor", "19 in"], "it stood 19 in", "radon-test-placement"),
        (&["--above-floor", "73 in"], "above the floor, asked are at most 6 ft", "radon-test-placement"),
        (&["--from-opening", "35 in"], "from a door, window or duct", "radon-test-placement"),
        (&["--from-outside-wall", "11 in"], "from an outside wall", "radon-test-placement"),
        (&["--from-object", "3 in"], "from another object", "radon-test-placement"),
        (&["--from-heat", "47 in"], "from heat", "radon-test-placement"),
        (&["--from-sump", "83 in"], "from a sump", "radon-test-placement"),
        (&["--room", "bathroom upstairs"], "it stood in a bathroom", "radon-test-room"),
        (&["--room", "closet under stairs"], "it stood in a closet", "radon-test-room"),
        (&["--room", "crawlspace"], "it stood in a crawl space", "radon-test-room"),
        (&["--room", "Laundry room, 2 ft from the sump pit"], "it stood in a laundry", "radon-test-room"),
    ];
    for (more, says, rule) in cases {
        let world = World::with_house();
        world.run(&add("2026-02-02T10:00", "1.5 pCi/L", more)).ok();
        let said = why(&world);
        assert!(said.contains("does not count: ") && said.contains(says), "{more:?}: {said}");
        assert!(
            said.contains(&format!("rule `{rule}`")) && said.contains("Illinois 32 IAC 422.130"),
            "{more:?}: {said}"
        );
        assert_eq!(band(&world), serde_json::Value::Null, "{more:?}");
    }
    // On the limits it counts, and what was outside the conditions is told.
    let world = World::with_house();
    let on_the_limits =
        [
            &[
                "--above-floor",
                "6 ft",
                "--from-opening",
                "3 ft",
                "--from-outside-wall",
                "1 ft",
                "--from-object",
                "4 in",
            ][..],
            &["--from-heat", "4 ft", "--from-sump", "7 ft", "--temperature", "60 F", "--severe-weather", "yes"],
            &["--room", "den"],
        ]
        .concat();
    let said = world.run(&add("2026-02-02T10:00", "1.5 pCi/L", &on_the_limits)).ok();
    assert!(said.contains(", 6 ft above the floor, 3 ft from a door, window or duct"), "{said}");
    assert!(said.contains(", at 60 F, severe weather yes"), "{said}");
    assert_eq!(band(&world), "note");
    let said = why(&world);
    assert!(said.contains("how far a temperature outside 65 to 80 F (18 to 27 C) moved the result"), "{said}");
    assert!(said.contains("how far severe weather moved a test under 4 days"), "{said}");
    assert!(said.contains("rule `radon-test-conditions`"), "{said}");
    // A distance is corrected like everything else.
    world.run(&["correct", "elm#3", "--from-sump", "6 ft", "--why", "measured again"]).ok();
    assert!(why(&world).contains("from a sump, asked are 7 ft"));
    world.run(&["verify"]).ok();
    let said = world.refused(1, &add("2026-02-12T10:00", "1.5 pCi/L", &["--from-sump", "101 ft"]));
    assert!(
        said.starts_with("error: --from-sump `101 ft` is beyond anything a house has (more than 100 ft)"),
        "{said}"
    );
}

#[test]
fn the_same_test_typed_twice_is_asked_about() {
    let world = World::with_house();
    world.run(&add("2026-02-02T10:00", "5.0 pCi/L", &[])).ok();
    let said = world.refused(1, &add("2026-02-02T10:00", "5.0 pCi/L", &[]));
    assert!(
        said.starts_with("error: entry 3 says the same: the same result, start, device, section and room\n"),
        "{said}"
    );
    assert!(said.contains("name it with `--beside`") && said.contains("add `--sure`"), "{said}");
    assert_eq!(band(&world), "watch", "one test does not decide");
    world.run(&add("2026-02-02T10:00", "5.0 pCi/L", &["--room", "den"])).ok();
    world.run(&add("2026-02-02T10:00", "5.0 pCi/L", &["--room", "den", "--sure"])).ok();
    // Side by side two devices may well say the same.
    let world = World::with_house();
    world.run(&add("2026-02-02T10:00", "5.0 pCi/L", &[])).ok();
    world.run(&add("2026-02-02T10:00", "5.0 pCi/L", &["--beside", "elm#3"])).ok();
    assert_eq!(band(&world), "call");
}

#[test]
fn a_result_ten_times_the_last_is_asked_about() {
    let world = World::with_house();
    world.run(&add("2026-02-02T10:00", "9.0 pCi/L", &[])).ok();
    let said = world.refused(1, &add("2026-02-02T11:00", "90 pCi/L", &[]));
    assert!(said.starts_with("error: `90 pCi/L` is 10 times the last reading, `9.0 pCi/L`"), "{said}");
    world.refused(1, &add("2026-02-02T11:00", "0.9 pCi/L", &[]));
    world.run(&add("2026-02-02T11:00", "89 pCi/L", &[])).ok();
    world.run(&add("2026-02-06T11:00", "900 pCi/L", &["--sure"])).ok();
    // A limit has no multiples.
    world.run(&add("2026-02-10T11:00", "<0.4 pCi/L", &[])).ok();
    // A radon system between the two changes them.
    let world = World::with_house();
    world.run(&add("2026-01-02T10:00", "20 pCi/L", &[])).ok();
    let fan = ["fixture", "add", "elm/fan", "--kind", "radon-system", "--in", "main", "--installed", "2026-01-20"];
    world.run(&fan).ok();
    world.run(&add("2026-02-02T10:00", "1.0 pCi/L", &[])).ok();
}

#[test]
fn a_pair_ran_at_the_same_time_in_one_room() {
    let world = World::with_house();
    world.run(&add("2025-01-12T10:00", "4.0 pCi/L", &["--room", "den"])).ok();
    let said = world.refused(1, &add("2025-09-12T10:00", "8.0 pCi/L", &["--beside", "elm#3"]));
    assert_eq!(said.lines().next().unwrap_or_default(), "error: the test of entry 3 ran at another time");
    assert!(said.contains("at the same time, and that one started 2025-01-12T10:00; leave `--beside` out"), "{said}");
    // 72 h from the 12th 10:00 end on the 15th at 10:00: then it is another time.
    world.refused(1, &add("2025-01-15T10:00", "8.0 pCi/L", &["--beside", "elm#3"]));
    // The second has no room of its own: it stood in that of the first. 4.0 and 8.0: 66.67 % of 6.0, out from 36 %.
    world.run(&add("2025-01-12T10:30", "8.0 pCi/L", &["--beside", "elm#3"])).ok();
    assert_eq!(band(&world), "call");
    let said = why(&world);
    assert!(!said.contains("stood in one place"), "{said}");
    assert!(
        said.contains("66.67 % of their mean apart, limit 36 %: out of control") && said.contains("MS-QA-2019"),
        "{said}"
    );
    assert!(said.contains("ask the laboratory or the maker about the two devices"), "{said}");
}

#[test]
fn a_risk_is_told_with_its_group_and_to_two_figures() {
    // EPA 402-R-03-003 chart: 3,600 of 100,000 who never smoked at 20 pCi/L; programs get the fit's 0.03603.
    let world = World::empty();
    let line = ["reckon", "radon-risk", "--level", "20 pCi/L", "--group", "never"];
    let said = world.run(&line).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("lifetime_risk 0.036 ") && !said.contains("0.03603"), "{said}");
    assert!(
        said.contains("about 3,600 of 100,000 people who never smoked") && said.contains("a lifetime at this level"),
        "{said}"
    );
    let exact = world.run(&[&line[..], &["--json"]].concat()).ok();
    assert!(exact.contains("0.0360"), "{exact}");
}

#[test]
fn a_gauge_with_equal_levels_leads_to_a_verdict() {
    let world = World::with_house();
    let fan = ["fixture", "add", "elm/fan", "--kind", "radon-system", "--in", "main", "--installed", "2024-05-01"];
    world.run(&fan).ok();
    let band = || world.run(&["why", "elm/fan", "--json"]).json()["verdict"]["band"].clone();
    let gauge_due = || {
        let due = world.run(&["due", "--all", "--within", "2y", "--json"]).json();
        let row = due.as_array().unwrap().iter().find(|d| d["duty"] == "radon-gauge-look").cloned().unwrap();
        row["due_on"].as_str().unwrap().to_owned()
    };
    assert!(band().is_null(), "nobody looked");
    world.run(&["radon", "gauge", "elm/fan", "--levels", "unequal", "--on", "2026-02-10"]).ok();
    assert!(band().is_null());
    // Once a month, from the last look on.
    assert_eq!(gauge_due(), "2026-03-10");
    world.run(&["radon", "gauge", "elm/fan", "--levels", "equal", "--on", "2026-02-20"]).ok();
    assert_eq!(band(), "mend");
    assert_eq!(gauge_due(), "2026-03-20");
    let why = world.run(&["why", "elm/fan"]).ok();
    assert!(why.contains("mend: the levels of its gauge were equal on 20 Feb 2026: no suction was shown"), "{why}");
    assert!(why.contains("rule `radon-gauge`") && why.contains("stemwall radon gauge elm/fan --levels"), "{why}");
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--in", "main"]).ok();
    let pump = "error: `pump` is a sump-pump, which has no gauge of a radon system\ngiven: radon gauge elm/pump --levels equal\n  try: a look \
                at a gauge is of a fixture of kind `radon-system`\n";
    assert_eq!(world.refused(1, &["radon", "gauge", "elm/pump", "--levels", "equal"]), pump);
    let wrong = world.refused(2, &["radon", "gauge", "elm/fan", "--levels", "equl"]);
    let said = "error: `equl` is not what a U-tube shows\ngiven: --levels equl\n  try: did you mean `equal`? one of unequal, equal\n";
    assert_eq!(wrong, said);
    world.run(&["radon", "gauge", "elm/fan", "--levels", "unequal", "--on", "2026-02-21"]).ok();
    assert!(band().is_null());
}

#[test]
fn a_test_after_works_has_thirty_days() {
    let world = World::with_house();
    world.run(&add("2025-02-01T10:00", "1.0 pCi/L", &[])).ok();
    world.run(&["event", "add", "elm", "--kind", "works", "--on", "2026-02-20"]).ok();
    let due = world.run(&["due", "--all", "--within", "2y", "--json"]).json();
    let row =
        due.as_array().unwrap().iter().find(|d| d["subject"] == "elm/main" && d["duty"] == "radon-retest").unwrap();
    // 20 February and 30 days is 22 March 2026; it is 1 March.
    assert_eq!((row["opens_on"].as_str(), row["due_on"].as_str()), (Some("2026-02-20"), Some("2026-03-22")), "{row}");
    assert_eq!(row["overdue_days"], 0);
    let why = why(&world);
    assert!(why.contains("works on 20 Feb 2026 after"), "{why}");
    let window = "tested again by 22 Mar 2026, 30 days after the change common practice, no published source";
    assert!(why.contains(window), "{why}");
}
