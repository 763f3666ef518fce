//! What is seen at once: the first look, a verdict and its sources, a history, and the same for programs.

use crate::world::World;

fn grown(world: &World, widths: &[(&str, &str)]) {
    for (on, width) in widths {
        let args = ["reading", "add", "elm/1", "--width", width, "--resolution", "0.1 mm", "--on", on, "--sure"];
        world.run(&args).ok();
    }
}

#[test]
fn status_is_a_list_with_the_promised_fields() {
    let world = World::with_crack();
    world.run(&["property", "add", "oak", "--name", "Oak Row"]).ok();
    grown(&world, &[("2024-02-01", "7 mm")]);
    let status = world.run(&["status", "--json"]).json();
    let keys: Vec<&str> = status[0].as_object().unwrap().keys().map(String::as_str).collect();
    for key in ["property", "name", "foundations", "worst", "open_findings", "overdue", "next_due", "not_known"] {
        assert!(keys.contains(&key), "{key} is not in {keys:?}");
    }
    // Digest 251 counts 7 mm in a block wall as category 3, which goes to an engineer: worst first.
    assert_eq!(status[0]["property"], "elm");
    assert_eq!(status[0]["worst"], "call");
    assert_eq!(status[0]["foundations"], serde_json::json!(["basement"]));
    assert_eq!(status[0]["open_findings"], 1);
    // A house nobody looked at has no band, and says so.
    assert_eq!(status[1]["property"], "oak");
    assert_eq!(status[1]["worst"], serde_json::Value::Null);
    assert_eq!(status[1]["not_known"], serde_json::json!(["the foundation itself (never looked at)"]));
    let limited = world.run(&["status", "--json", "--limit", "1"]).json();
    assert_eq!(limited.as_array().map(Vec::len), Some(1));
}

#[test]
fn no_line_of_the_demo_is_wider_than_a_hundred_columns_and_none_certifies() {
    let world = World::empty();
    let said = world.run(&["demo", "--into", "demo"]).ok();
    std::fs::rename(world.path("demo/houses.stemwall"), world.ledger()).unwrap();
    let mut screens = vec![said];
    for args in [
        &["finding", "list"][..],
        &["property", "list"],
        &["property", "show", "larkspur-14"],
        &["history", "larkspur-14"],
        &["why", "larkspur-14/1"],
        &["why", "chapel-9/1"],
        &["why", "chapel-9/hall"],
        &["why", "heron-22/4"],
        &["why", "tannery-3"],
        &["rules"],
        &["find", "water"],
        &["setting", "list"],
        &["entry", "kinds"],
    ] {
        screens.push(world.run(args).ok());
    }
    let lines = screens.iter().flat_map(|screen| screen.lines());
    let wide: Vec<&str> = lines.filter(|line| line.chars().count() > 100).collect();
    assert!(wide.is_empty(), "{wide:#?}");
    // What the program itself says of a finding never is a clearance; what people wrote may be.
    for why in &screens[5..10] {
        for word in [" safe", "unsafe", " sound ", "is fine", "no problem"] {
            assert!(!why.to_lowercase().contains(word), "`{word}` in {why}");
        }
        assert!(why.contains("It does not certify, and local codes come first."), "{why}");
    }
}

#[test]
fn less_than_a_year_is_never_said_to_be_at_rest() {
    // Worked series of seven months, dormant with its season; a straight line would call it closing.
    let world = World::with_crack().on("2024-08-10");
    let widths = ["2.32", "2.23", "2.16", "2.04", "1.83", "1.74", "1.73"];
    let days = ["2024-01-10", "2024-02-10", "2024-03-10", "2024-04-10", "2024-05-10", "2024-06-10", "2024-07-10"];
    let read: Vec<(&str, String)> = days.iter().zip(widths).map(|(d, w)| (*d, format!("{w} mm"))).collect();
    let read: Vec<(&str, &str)> = read.iter().map(|(d, w)| (*d, w.as_str())).collect();
    grown(&world, &read);
    let why = world.run(&["why", "elm/1"]).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(why.contains("not enough yet to say whether it moves, 7 readings over 182 days"), "{why}");
    // 10 January 2024 and 365 days.
    assert!(why.contains("enough on 9 Jan 2025"), "{why}");
    assert!(!why.contains("not growing") && !why.contains("dormant"), "{why}");
}

#[test]
fn a_crack_that_grows_through_a_full_year_goes_to_an_engineer_with_the_rate() {
    // Worked series: 0.6 mm a year with a season of 0.3 mm; by the line 0.5974 mm a year.
    let world = World::with_crack().on("2025-02-01");
    let widths = [2.32, 2.28, 2.26, 2.19, 2.03, 1.99, 2.03, 2.05, 2.27, 2.44, 2.68, 2.79, 2.91];
    for (month, width) in widths.iter().enumerate() {
        let on = if month == 12 { "2025-01-10".to_owned() } else { format!("2024-{:02}-10", month + 1) };
        grown(&world, &[(&on, &format!("{width} mm"))]);
    }
    let why = world.run(&["why", "elm/1", "--json"]).json();
    assert_eq!(why["verdict"]["band"], "call");
    assert_eq!(why["verdict"]["who"], "structural-engineer");
    let because = why["verdict"]["because"][0]["because"].as_str().unwrap();
    assert!(because.starts_with("width growing 0.024 in (0.60 mm) a year"), "{because}");
    assert_eq!(why["verdict"]["because"][0]["rule"]["name"], "trend-growing");
}

#[test]
fn a_flood_is_called_until_somebody_has_looked() {
    let world = World::with_crack();
    world.run(&["event", "add", "--all", "--kind", "flood", "--on", "2026-02-20"]).ok();
    assert_eq!(world.run(&["status", "--json"]).json()[0]["worst"], "call");
    world.run(&["note", "add", "elm", "new phone number of the tenant", "--on", "2026-02-24"]).ok();
    assert_eq!(world.run(&["status", "--json"]).json()[0]["worst"], "call");
    assert!(world.run(&["why", "elm"]).ok().contains("stemwall note add elm … --look"));
    world.run(&["note", "add", "elm", "walked round it: dry everywhere", "--on", "2026-02-25"]).ok();
    assert_eq!(world.run(&["status", "--json"]).json()[0]["worst"], "call", "it does not say that it is a look");
    world.run(&["correct", "elm#6", "--look", "--why", "it was one"]).ok();
    assert_eq!(world.run(&["status", "--json"]).json()[0]["worst"], "watch");
}

#[test]
fn a_history_shows_what_was_corrected_struck_and_entered_late() {
    let world = World::with_crack();
    grown(&world, &[("2024-02-01", "0.8 mm"), ("2024-03-01", "0.9 mm")]);
    world.run(&["correct", "elm#4", "--width", "0.7 mm", "--why", "misread"]).ok();
    world.run(&["strike", "elm#5", "--why", "another house"]).ok();
    let history = world.run(&["history", "elm/1", "--json"]).json();
    let of = |entry: &str| history.as_array().unwrap().iter().find(|l| l["entry"] == entry).cloned().unwrap();
    assert_eq!(of("elm#4")["corrected_by"], "elm#6");
    assert_eq!(of("elm#5")["struck_by"], "elm#7");
    assert_eq!(of("elm#6")["says"], "corrects elm#4: misread; now: width 0.7 mm to 0.1 mm");
    assert!(of("elm#4")["entered_on"].is_string(), "it was entered long after it happened");
    // What counts now is the corrected width alone.
    let shown = world.run(&["finding", "show", "elm/1", "--json"]).json();
    assert_eq!(shown["readings"].as_array().map(Vec::len), Some(1));
    assert_eq!(shown["readings"][0]["width_mm"], 0.7);
}

#[test]
fn what_stands_on_another_day_is_computed_for_that_day() {
    let world = World::with_house();
    let radon = ["radon", "add", "elm/main", "--device", "charcoal", "--result", "5.1 pCi/L", "--closed", "yes"];
    world.run(&[&radon[..], &["--started", "2026-02-01T10:00", "--lasted", "48 h"]].concat()).ok();
    let due = world.run(&["status", "--json"]).json()[0]["next_due"]["on"].clone();
    // Citizen's Guide: a second test; within a month of the end on 3 February (design of the follow-up rule).
    assert_eq!(due, "2026-03-03");
    assert_eq!(world.run(&["status", "--json"]).json()[0]["overdue"], 0);
    let later = world.on("2026-03-04");
    assert_eq!(later.run(&["status", "--json"]).json()[0]["overdue"], 1);
    later.run(&["verify"]).ok();
}

#[test]
fn help_needs_no_ledger_and_every_command_explains_itself() {
    let world = World::empty();
    for args in [
        &["--help"][..],
        &["property", "add", "--help"],
        &["reading", "add", "--help"],
        &["import", "radon", "--help"],
        &["correct", "--help"],
        &["demo", "--help"],
    ] {
        let help = world.run(args).ok();
        assert!(help.contains("Usage:"), "{help}");
    }
    assert!(world.run(&["--version"]).ok().starts_with("stemwall "));
}

#[test]
fn help_on_a_correction_shows_the_flags_of_the_entry_at_hand() {
    let world = World::with_crack();
    let said = world.run(&["correct", "elm#3", "--help"]).ok();
    assert!(said.contains("--runs") && said.contains("--place") && !said.contains("--device"), "{said}");
}

#[test]
fn a_look_back_shows_what_stood_that_day_and_changes_nothing() {
    let world = World::with_crack();
    grown(&world, &[("2024-02-01", "7 mm")]);
    let before = world.run(&["status", "--json"]).json();
    let back = world.on("2024-01-20");
    assert_eq!(back.run(&["status", "--json"]).json()[0]["worst"], "watch");
    let finding = back.run(&["finding", "list", "--json"]).json();
    assert_eq!((&finding[0]["band"], &finding[0]["readings"]), (&"watch".into(), &0.into()));
    let earlier = back.on("2024-01-04");
    assert_eq!(earlier.run(&["status", "--json"]).json()[0]["open_findings"], 0);
    assert_eq!(earlier.run(&["finding", "list", "--json"]).json(), serde_json::json!([]));
    let said = earlier.refused(1, &["why", "elm/1"]);
    assert_eq!(
        said,
        "error: `elm/1` was not there yet on 2024-01-04\ngiven: elm/1 --today 2024-01-04\n  try: give a later day with \
         --today, or leave it out\n"
    );
    let now = earlier.on(crate::world::TODAY);
    assert_eq!(now.run(&["status", "--json"]).json(), before);
    now.run(&["verify"]).ok();
}

#[test]
fn the_line_on_top_counts_all_that_goes_to_a_licensed_person() {
    let world = World::with_house();
    let radon = ["radon", "add", "elm/main", "--device", "alpha-track", "--result", "6 pCi/L", "--closed", "no"];
    world.run(&[&radon[..], &["--started", "2025-06-01", "--ended", "2025-12-01"]].concat()).ok();
    let top = |world: &World| world.run(&["status"]).ok().lines().next().map(str::to_owned);
    // A valid long test at 6 pCi/L is decided: Citizen's Guide.
    assert!(top(&world).is_some_and(|line| line.starts_with("1 property · 1 thing for a licensed person")));
    let electrics = ["finding", "open", "elm", "--kind", "electrics", "--place", "panel", "--equipment", "panel"];
    world.run(&[&electrics[..], &["--water", "running"]].concat()).ok();
    let line = top(&world).unwrap();
    assert!(line.starts_with("1 property · 1 with something urgent · 2 things for a licensed person"), "{line}");
    let why = world.run(&["why", "elm", "--json"]).json();
    assert_eq!(why["parts"][0]["subject"], "elm/1");
    assert_eq!(why["parts"][0]["band"], "urgent");
    assert_eq!(why["parts"][1]["subject"], "elm/main");
}

#[test]
fn closing_what_goes_to_an_engineer_says_what_the_record_gave() {
    let world = World::with_crack();
    grown(&world, &[("2024-02-01", "7 mm")]);
    let said = world.run(&["finding", "close", "elm/1", "--why", "filled"]).ok();
    assert!(said.contains("the record gave call (a licensed structural engineer) and holds no judgement"), "{said}");
    let said = world.run(&["strike", "elm#5", "--why", "wrong house"]).ok();
    assert!(said.contains("elm/1 now: call"), "{said}");
}

#[test]
fn the_ledgers_units_lead_and_the_others_stand_beside() {
    let world = World::with_crack();
    grown(&world, &[("2024-02-01", "7 mm")]);
    let why = |world: &World| world.run(&["why", "elm/1", "--json"]).json()["verdict"]["because"][0]["because"].clone();
    assert!(
        why(&world).as_str().unwrap().starts_with("width 0.276 in (7 mm), read 1 Feb 2024: category 3"),
        "{}",
        why(&world)
    );
    world.run(&["setting", "change", "units", "metric"]).ok();
    assert!(
        why(&world).as_str().unwrap().starts_with("width 7 mm (0.276 in), read 1 Feb 2024: category 3"),
        "{}",
        why(&world)
    );
    // What lists show is computed with the settings as they stand.
    let due = world.run(&["due", "--within", "1y", "--json"]).json().to_string();
    assert!(due.contains("7 mm (0.276 in)") && !due.contains("0.276 in (7 mm)"), "{due}");
}

#[test]
fn the_newest_judgement_that_holds_decides_until_what_it_names() {
    let world = World::with_crack();
    grown(&world, &[("2024-02-01", "7 mm")]);
    let judge = |says: &str, on: &str, more: &[&str]| {
        let plain =
            ["judgement", "add", "elm/1", "--from", "O. Fenwick", "--licence", "PE 1", "--says", says, "--on", on];
        world.run(&[&plain[..], more].concat()).ok();
    };
    let held = || world.run(&["why", "elm/1", "--json"]).json()["held_by"]["says"].clone();
    judge("read it twice a year", "2024-03-01", &["--until-width", "9 mm", "--until-event", "flood"]);
    judge("prop it for a month", "2024-04-01", &["--until", "2024-05-01"]);
    // The second has ended; the first still holds.
    assert_eq!(held(), "read it twice a year");
    grown(&world, &[("2025-02-01", "9 mm")]);
    assert_eq!(held(), "read it twice a year", "9 mm is not over 9 mm");
    grown(&world, &[("2025-03-01", "9.1 mm")]);
    assert_eq!(held(), serde_json::Value::Null);
    let why = world.run(&["why", "elm/1"]).ok();
    assert!(why.contains("is over the") || why.contains("it held until 1 May 2024"), "{why}");
}

#[test]
fn a_walk_that_reached_all_of_it_is_a_look_after_a_flood_and_one_that_did_not_is_none() {
    let world = World::with_crack();
    world.run(&["event", "add", "elm", "--kind", "flood", "--on", "2026-02-20"]).ok();
    let stops = |cellar: &str| {
        format!(
            "ground-and-grade: nothing seen\ngutters-and-downspouts: nothing seen\nwalls-outside: nothing seen\n\
             trees-and-roots: nothing seen\ndoors-and-windows: nothing seen\nmain/walls-below-ground: nothing seen\n\
             main/beams-and-posts: nothing seen\nmain/floor-below-ground: {cellar}\n"
        )
    };
    let walk = |cellar: &str| {
        let file = world.file("answers.txt", stops(cellar));
        let args = ["walk", "start", "elm", "--season", "spring", "--from", &file, "--on", "2026-02-24"];
        world.run(&args).ok();
    };
    let worst = || world.run(&["status", "--json"]).json()[0]["worst"].clone();
    walk("not reached, under water");
    assert_eq!(worst(), "call");
    walk("nothing seen");
    assert_eq!(worst(), "watch");
}

#[test]
fn what_nobody_answered_is_not_taken_as_no() {
    let world = World::with_house();
    let open = |kind: &str, more: &[&str]| {
        world.run(&[&["finding", "open", "elm", "--kind", kind, "--place", "east wall"][..], more].concat()).ok();
    };
    open("bow", &[]);
    world.run(&["reading", "add", "elm/1", "--bow", "60 mm"]).ok();
    open("rot", &["--member", "sill"]);
    world.run(&["reading", "add", "elm/2", "--moisture", "29 %"]).ok();
    open("crack", &["--runs", "horizontal"]);
    for (finding, flag) in [("elm/1", "--retains"), ("elm/2", "--bears-load"), ("elm/3", "--retains")] {
        let why = world.run(&["why", finding, "--json"]).json();
        assert_eq!(why["verdict"]["band"], "call", "{finding}");
        let said = world.run(&["why", finding]).ok();
        assert!(said.contains(&format!("{flag} …")) && said.contains("stemwall correct elm#"), "{said}");
    }
}

/// A command is put together when it is typed, so its own page is the only place where its parts can be at odds.
#[test]
fn every_command_has_a_page_that_begins_with_its_line_in_the_list() {
    let world = World::empty();
    let page = |path: &[&str]| world.run(&[path, &["--help"]].concat()).ok();
    let spaced = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let mut below: Vec<(Vec<String>, String)> = vec![(Vec::new(), page(&[]))];
    let mut pages = 0;
    while let Some((path, text)) = below.pop() {
        pages += 1;
        let Some((_, list)) = text.split_once("\nCommands:\n") else { continue };
        let list = list.split("\n\n").next().unwrap();
        // A line that goes on is set in as far as the words of the first.
        let mut entries: Vec<(String, String)> = Vec::new();
        for line in list.lines() {
            let (name, words) = line.trim_start().split_once(' ').unwrap_or((line, ""));
            match line.strip_prefix("  ").is_some_and(|line| !line.starts_with(' ')) {
                true => entries.push((name.to_owned(), words.to_owned())),
                false => entries.last_mut().unwrap().1 += line,
            }
        }
        // The page of `reckon` is a list of what can be reckoned.
        for (name, words) in entries.into_iter().filter(|(name, _)| !["help", "reckon"].contains(&name.as_str())) {
            let path = [&path[..], &[name]].concat();
            let own = page(&path.iter().map(String::as_str).collect::<Vec<_>>());
            assert!(
                spaced(&own).starts_with(&spaced(&words)),
                "{path:?} is told as `{words}`, and its page says {own}"
            );
            assert!(!words.trim().is_empty(), "{path:?} has no line in the list");
            below.push((path, own));
        }
    }
    assert!(pages > 90, "{pages} pages");
}
