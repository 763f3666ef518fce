//! What is due, where, and why now; each duty satisfied by the entry it asks for.

use serde_json::Value;

use crate::world::World;

fn with_pump() -> World {
    let world = World::new();
    let add = ["property", "add", "elm", "--name", "Elm Street", "--built", "1950", "--on", "2025-01-10"];
    world.run(&[&add[..], &["--last-freeze", "04-25", "--first-freeze", "10-12"]].concat()).ok();
    world.run(&["section", "add", "elm/main", "--foundation", "basement"]).ok();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--in", "main", "--pit", "18 in"]).ok();
    world
}

fn duty(world: &World, subject: &str, duty: &str) -> Option<Value> {
    let due = world.run(&["due", "--within", "2y", "--json"]).json();
    due.as_array().unwrap().iter().find(|d| d["subject"] == subject && d["duty"] == duty).cloned()
}

#[test]
fn a_sump_test_is_due_forty_five_days_before_the_usual_last_freeze() {
    // 25 April less 45 days: 11 March; open from 30 days before, 9 February.
    let world = with_pump().on("2026-02-24");
    let test = duty(&world, "elm/pump", "pump-test-spring").unwrap();
    assert_eq!((&test["opens_on"], &test["due_on"]), (&"2026-02-09".into(), &"2026-03-11".into()));
    assert_eq!(test["overdue_days"], 0);
    let fields: Vec<&str> = test.as_object().unwrap().keys().map(String::as_str).collect();
    for field in ["property", "subject", "duty", "title", "opens_on", "due_on", "overdue_days", "why"] {
        assert!(fields.contains(&field), "{field} is not in {fields:?}");
    }
    let late = world.on("2026-03-15");
    assert_eq!(duty(&late, "elm/pump", "pump-test-spring").unwrap()["overdue_days"], 4);
    let test =
        ["sump", "test", "elm/pump", "--fall", "8 in", "--fall-time", "15 s", "--rise", "2 in", "--rise-time", "60 s"];
    late.run(&test).ok();
    assert_eq!(duty(&late, "elm/pump", "pump-test-spring").unwrap()["due_on"], "2027-03-11");
    late.run(&["verify"]).ok();
}

#[test]
fn a_pump_test_is_refused_where_it_could_mean_nothing() {
    let world = with_pump();
    world.run(&["fixture", "add", "elm/spare", "--kind", "sump-pump"]).ok();
    world.run(&["fixture", "add", "elm/maple", "--kind", "tree"]).ok();
    let timed = ["--fall", "8 in", "--fall-time", "15 s", "--rise", "2 in", "--rise-time", "60 s"];
    let said = world.refused(1, &[&["sump", "test", "elm/spare"][..], &timed].concat());
    assert!(said.starts_with("error: the pit of `spare` is not known, so a fall of the water is no volume"), "{said}");
    let said = world.refused(1, &["sump", "test", "elm/maple", "--poured", "--started-times", "2"]);
    assert!(said.starts_with("error: `maple` is a tree, not a sump pump"), "{said}");
    let said = world.refused(2, &["sump", "test", "elm/pump", "--fall", "8 in"]);
    for missing in ["--fall-time", "--rise", "--rise-time"] {
        assert!(said.contains(&format!("error: {missing} is missing")), "{said}");
    }
    let zero = ["--fall", "8 in", "--fall-time", "0 s", "--rise", "2 in", "--rise-time", "60 s"];
    let said = world.refused(1, &[&["sump", "test", "elm/pump"][..], &zero].concat());
    assert!(said.starts_with("error: --fall-time `0 s` is zero"), "{said}");
}

#[test]
fn a_repair_is_looked_at_after_thirty_days_six_months_and_a_year() {
    let world = World::with_crack();
    let patch = ["repair", "add", "elm/1", "--method", "patch", "--on", "2025-06-01"];
    world.run(&patch).ok();
    // 1 June and 30, 182 and 365 days.
    let days =
        [("2025-06-10", "repair-look-30-days", "2025-07-01"), ("2026-01-01", "repair-look-6-months", "2025-11-30")];
    let mut world = world;
    for (today, code, due_on) in days {
        world = world.on(today);
        assert_eq!(duty(&world, "elm/1", code).unwrap()["due_on"], due_on, "{today}");
        // What could not be seen is no look.
        world.run(&["repair", "check", "elm#4", "--held", "unknown"]).ok();
        assert!(duty(&world, "elm/1", code).is_some(), "{today}");
        world.run(&["repair", "check", "elm#4", "--held", "yes"]).ok();
        assert!(duty(&world, "elm/1", code).is_none() || today == "2025-06-10", "{today}");
    }
    assert_eq!(duty(&world, "elm/1", "repair-look-1-year").unwrap()["due_on"], "2026-06-01");
    let said = world.refused(1, &["repair", "check", "elm#4", "--held", "yes", "--on", "2025-05-01"]);
    assert!(said.starts_with("error: 2025-05-01 is before the repair was made (2025-06-01)"), "{said}");
}

#[test]
fn done_takes_what_no_entry_can_say_and_nothing_else() {
    let world = with_pump();
    world.run(&["property", "add", "oak", "--name", "Oak Row"]).ok();
    let said = world.refused(2, &["done", "termite-look"]);
    let codes = world.run(&["due", "--within", "2y", "--json"]).json();
    let code = |of: &str| {
        let found = codes.as_array().unwrap().iter().find(|d| d["subject"] == of && d["duty"] == "termite-look");
        found.unwrap()["code"].as_str().unwrap().to_owned()
    };
    let one_of = format!("{} (elm), {} (oak)", code("elm"), code("oak"));
    assert_eq!(said, format!("error: which duty is meant?\ngiven: termite-look\n  try: name one of {one_of}\n"));
    assert_eq!(
        world.run(&["done", "oak"]).ok(),
        "recorded oak#2: done: termite-look\n  have it looked at for termites\n"
    );
    // Done today is not due today.
    assert_eq!(duty(&world, "oak", "termite-look").unwrap()["due_on"], "2027-03-01");
    let said = world.refused(2, &["done", "pump-test-spring"]);
    assert!(said.contains("`stemwall sump test elm/pump` records it"), "{said}");
    let said = world.refused(2, &["done", "elm/pump"]);
    assert!(said.contains("(clean the pump and its pit)") && !said.contains("test the sump pump"), "{said}");
    let said = world.refused(1, &["done", "termite-lok"]);
    assert!(said.contains("did you mean `termite-look`?"), "{said}");
    let said = world.run(&["due", "--within", "soon"]).fails(2);
    assert_eq!(
        said,
        "error: `soon` is not a length of time\ngiven: soon\n  try: write days, weeks, months or years, as in `30d`, \
         `6w`, `3m`, `1y`\n"
    );
}

#[test]
fn status_counts_what_is_overdue_and_a_look_ahead_changes_nothing() {
    let world = with_pump();
    let overdue = |world: &World| world.run(&["status", "--json"]).json()[0]["overdue"].as_u64().unwrap();
    let due = |world: &World| world.run(&["due", "--json"]).json();
    let count = |due: &Value| due.as_array().unwrap().iter().filter(|d| d["overdue_days"] != 0).count() as u64;
    let before = due(&world);
    assert_eq!(overdue(&world), count(&before));
    let ahead = world.on("2027-06-01");
    assert_eq!(overdue(&ahead), count(&due(&ahead)));
    let back = ahead.on(crate::world::TODAY);
    assert_eq!(due(&back), before);
    back.run(&["verify"]).ok();
}

#[test]
fn a_test_says_how_long_pit_and_battery_hold_out_where_the_figures_are_there() {
    let world = with_pump();
    let pump = ["fixture", "add", "elm/backup", "--kind", "sump-pump", "--pit", "24 in", "--freeboard", "12 in"];
    world.run(&[&pump[..], &["--battery", "100", "--draw", "15"]].concat()).ok();
    // 24 in pit: 1.9584 gal/in; 3 gpm in is a rise of 1.53186 in a minute; 12 in * 1.9584 / 3 = 7.83 min. 100 Ah * 0.5 / 15 A =
    // 3.33 h. The main pump lifts 22 + 3 = 25 gpm, which says nothing of the backup pump.
    let test = ["sump", "test", "elm/backup", "--fall", "11.2337 in", "--fall-time", "60 s", "--rise", "1.53186 in"];
    let said = world.run(&[&test[..], &["--rise-time", "60 s"]].concat()).ok();
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("with the pump off the pit overflows in about 8 min at the 3 gpm"), "{said}");
    assert!(
        said.contains("for 3.3 h on end without loss") && said.contains("is not known without what the backup"),
        "{said}"
    );
    assert!(!said.contains("has that last"), "{said}");
    // A backup pump of 15 gpm has to run 3 / 15 of the time: 3.33 h / 0.2 = 16.7 h.
    world.run(&["fixture", "add", "elm/spare", "--kind", "backup-pump", "--rated", "15 gpm"]).ok();
    let why = world.run(&["why", "elm/backup"]).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(why.contains("that lifts 15 gpm (57 L/min) as rated has that last 17 h"), "{why}");
    assert!(why.contains("the pit overflows in about 8 min"), "{why}");
    let said = world.refused(2, &["fixture", "add", "elm/other", "--kind", "backup-pump", "--battery", "75 V"]);
    assert!(said.starts_with("error: `75 V` is not a number of ampere-hours"), "{said}");
    world.run(&["fixture", "add", "elm/other", "--kind", "backup-pump", "--battery", "75 Ah", "--draw", "10 A"]).ok();
}

#[test]
fn who_is_called_stands_first_and_the_owners_reading_beside_it() {
    let world = World::new().on("2026-02-24");
    let add = ["property", "add", "elm", "--name", "Elm Street", "--built", "1950", "--on", "2026-02-10"];
    world.run(&add).ok();
    world.run(&["section", "add", "elm/main", "--foundation", "basement", "--on", "2026-02-10"]).ok();
    let opened = ["finding", "open", "elm", "--kind", "crack", "--place", "south wall", "--in", "main"];
    world.run(&[&opened[..], &["--wall", "block", "--runs", "horizontal", "--on", "2026-02-20"]].concat()).ok();
    world.run(&["reading", "add", "elm/1", "--width", "7 mm", "--on", "2026-02-20"]).ok();
    let due = world.run(&["due", "--within", "40d", "--json"]).json();
    let of_crack = |d: &&Value| d["subject"] == "elm/1";
    let lines: Vec<String> = due
        .as_array()
        .unwrap()
        .iter()
        .filter(of_crack)
        .map(|d| format!("{} {} {}", d["duty"], d["due_on"], d["band"]).replace('"', ""))
        .collect();
    // 20 February + 30 days; the reading a month after the last.
    assert_eq!(lines, ["called 2026-03-22 call", "reading 2026-03-20 null"]);
    assert_eq!(due[0]["duty"], "called", "{due}");
    let first = world.run(&["due", "--within", "40d", "--limit", "1"]).ok();
    assert!(first.contains("a judgement by a licensed\n"), "{first}");
    world.run(&["verify"]).ok();
}

#[test]
fn what_cannot_wait_is_the_first_line_and_says_what_to_do() {
    let world = World::new().on("2026-02-24");
    world.run(&["property", "add", "elm", "--name", "Elm Street", "--built", "1950", "--on", "2026-02-10"]).ok();
    world.run(&["section", "add", "elm/main", "--foundation", "basement", "--on", "2026-02-10"]).ok();
    let opened = ["finding", "open", "elm", "--kind", "crack", "--place", "south wall", "--in", "main"];
    world.run(&[&opened[..], &["--wall", "block", "--runs", "vertical", "--on", "2026-02-20"]].concat()).ok();
    // Over 25 mm is category 5, which goes to an engineer at once.
    world.run(&["reading", "add", "elm/1", "--width", "30 mm", "--on", "2026-02-20"]).ok();
    world.run(&["finding", "open", "elm", "--kind", "electrics", "--place", "by the panel", "--on", "2026-02-21"]).ok();
    let due = world.run(&["due", "--within", "40d", "--json"]).json();
    let lines: Vec<String> = due
        .as_array()
        .unwrap()
        .iter()
        .filter(|d| d["subject"] != "elm" && d["subject"] != "elm/main")
        .map(|d| format!("{} {} {} {}", d["subject"], d["band"], d["due_on"], d["title"]).replace('"', ""))
        .collect();
    assert_eq!(
        lines,
        [
            "elm/1 urgent 2026-02-20 keep people out, and have a licensed structural engineer look today",
            "elm/2 call 2026-02-21 do not step in; have the utility or a licensed electrician make the place dead first",
        ]
    );
    assert_eq!(due[0]["subject"], "elm/1", "{due}");
}

/// The day is that of the house, on whichever side of the day's border the clock of the machine stands; of a list over all
/// houses, that of whoever reads.
#[test]
fn every_command_takes_the_same_day_for_today() {
    let world = World::new();
    let on_clock = |zone: &str, args: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_stemwall"));
        command.env_clear().env("HOME", world.path("")).env("TZ", zone).arg("--ledger").arg(world.ledger());
        crate::world::finish(command, args, &world.path(""))
    };
    // 14 hours ahead of UTC, and 11 behind: at any instant one of the two has another day than UTC.
    for (key, zone, hours) in [("east", "Pacific/Kiritimati", 14), ("west", "Pacific/Pago_Pago", -11)] {
        let there = || (chrono::Utc::now() + chrono::TimeDelta::hours(hours)).date_naive();
        let (today, yesterday) = (there(), there().pred_opt().unwrap());
        let add = ["property", "add", key, "--name", "A house", "--zone", zone, "--on", "2025-01-10"];
        on_clock("UTC", &add).ok();
        let refusals = [
            on_clock("UTC", &["duty", "snooze", "termite-look", "--until", &yesterday.to_string()]),
            on_clock("UTC", &["duty", "skip", "termite-look", "--until", &yesterday.to_string()]),
            on_clock(
                "UTC",
                &["duty", "set", "letter", "--at", key, "--title", "answer it", "--once", &yesterday.to_string()],
            ),
        ];
        let due = on_clock("UTC", &["--json", "due", key]).json();
        // Due within 30 days of 10 January 2025.
        let termites = due.as_array().unwrap().iter().find(|d| d["duty"] == "termite-look").unwrap().clone();
        let of_all = on_clock(&format!("XXX{:+}", -hours), &["--json", "due"]).json();
        if there() == today {
            for refused in refusals {
                let said = &refused.stderr;
                assert!(
                    refused.code != 0 && said.starts_with(&format!("error: {yesterday} is past on {today}\n")),
                    "{said}"
                );
            }
            let since = chrono::NaiveDate::from_ymd_opt(2025, 2, 9).unwrap();
            assert_eq!(termites["overdue_days"], (today - since).num_days());
            assert!(of_all.as_array().unwrap().contains(&termites), "{of_all}");
        }
        on_clock("UTC", &["property", "archive", key, "--why", "sold"]).ok();
    }
}

#[test]
fn of_two_duties_that_are_open_done_takes_none_without_its_code() {
    let world = with_pump();
    let set = |name: &str, title: &str| {
        world.run(&["duty", "set", name, "--at", "elm/pump", "--title", title, "--once", "2026-03-01"]).ok();
    };
    let code = |name: &str| duty(&world, "elm/pump", name).unwrap()["code"].as_str().unwrap().to_owned();
    world.run(&["duty", "set", "pit-cleaned", "--at", "elm/pump", "--off"]).ok();
    // The outlet's look of last autumn was done: what is there to be done is taken before that of the next.
    world.run(&["done", &code("outlet-before-frost"), "--on", "2025-10-01"]).ok();
    set("oil", "oil the float");
    let said = world.run(&["done", "elm/pump"]).ok();
    assert!(said.contains(": done: oil\n  oil the float\n"), "{said}");
    set("lid", "look at the lid");
    set("cord", "look at the cord");
    let (lid, cord) = (code("lid"), code("cord"));
    let said = world.refused(2, &["done", "elm/pump"]);
    assert!(
        said.contains(&format!("{lid} (look at the lid)")) && said.contains(&format!("{cord} (look at the cord)")),
        "{said}"
    );
    assert!(!said.contains("oil the float") && !said.contains("outlet"), "what is not open is not offered: {said}");
    assert!(world.run(&["done", &lid]).ok().contains("  look at the lid\n"));
}
