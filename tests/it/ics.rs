//! `due --ics`: what is due as a calendar that other people's programs read.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::world::{World, python};

/// A house with a pump, on a day on which its spring test is open: 25 April less 45 days is 11 March.
fn house() -> World {
    let world = World::new().on("2026-02-24");
    let add = ["property", "add", "elm", "--name", "Elm; Street, 4", "--zone", "America/Chicago", "--on", "2026-02-20"];
    world.run(&[&add[..], &["--last-freeze", "04-25", "--first-freeze", "10-12"]].concat()).ok();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--on", "2026-02-20"]).ok();
    world
}

fn text_of(world: &World, name: &str) -> String {
    String::from_utf8(std::fs::read(world.path(name)).unwrap()).unwrap()
}

/// Writes the calendar and gives its text.
fn calendar(world: &World, more: &[&str]) -> String {
    let file = world.path("due.ics");
    world.run(&[&["due", "--within", "40d", "--ics", file.to_str().unwrap()], more].concat()).ok();
    text_of(world, "due.ics")
}

#[test]
fn the_same_ledger_on_the_same_day_gives_the_same_bytes_and_names() {
    let world = house();
    let first = calendar(&world, &[]);
    assert_eq!(first, calendar(&world, &[]));
    let uids = |text: &str| {
        let joined = text.replace("\r\n ", "");
        joined.lines().filter_map(|line| line.strip_prefix("UID:").map(str::to_owned)).collect::<Vec<_>>()
    };
    let before = uids(&first);
    let mut unique = before.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), before.len());
    // Nothing in a name says by what the ledger knows the house, or what it is the name of.
    assert!(before.iter().all(|uid| uid.len() == 32 && uid.bytes().all(|b| b.is_ascii_hexdigit())), "{before:?}");
    // Days later the same things to do are still called the same, and nothing in the text comes from a clock.
    let later = world.on("2026-02-26");
    let second = calendar(&later, &[]);
    for uid in &before {
        assert!(uids(&second).contains(uid), "{uid}");
    }
    let stamps: Vec<&str> = second.lines().filter(|line| line.starts_with("DTSTAMP:")).collect();
    assert!(!stamps.is_empty() && stamps.iter().all(|stamp| first.contains(stamp)), "{stamps:?}");
}

#[test]
fn a_feed_is_replaced_and_nothing_else_is() {
    let world = house();
    let file = world.path("due.ics");
    let path = file.to_str().unwrap();
    let said = world.run(&["due", "--within", "40d", "--ics", path]).ok();
    assert_eq!(said, "wrote DIR/due.ics: 3 things to do, 1 visit\n");
    let said = world.run(&["due", "--visits", "--within", "40d", "--ics", path]).ok();
    assert_eq!(said, "wrote DIR/due.ics: 1 visit\n");
    assert!(!text_of(&world, "due.ics").contains("VTODO"));
    let to_stdout = world.run(&["due", "--visits", "--within", "40d", "--ics", "-"]).ok();
    assert_eq!(to_stdout, text_of(&world, "due.ics"));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(std::fs::metadata(&file).unwrap().permissions().mode() & 0o777, 0o600);
    }

    let notes = world.file("notes.txt", "mine");
    assert_eq!(
        world.run(&["due", "--ics", &notes]).fails(1),
        "error: `DIR/notes.txt` is not a calendar, and is not overwritten\ngiven: DIR/notes.txt\n  \
         try: name a calendar that was written before, or a path where there is nothing yet\n"
    );
    assert_eq!(text_of(&world, "notes.txt"), "mine");
    let ledger = world.ledger();
    world.run(&["due", "--ics", ledger.to_str().unwrap()]).fails(1);
    world.run(&["verify"]).ok();
    let nowhere = world.path("nowhere/due.ics");
    let said = world.run(&["due", "--ics", nowhere.to_str().unwrap()]).fails(1);
    assert!(said.starts_with("error: there is no folder "), "{said}");
}

#[test]
fn with_nothing_due_the_calendar_is_emptied() {
    let world = World::new();
    let said = world.run(&["due", "--ics", world.path("due.ics").to_str().unwrap()]).ok();
    assert!(said.ends_with(": 0 things to do, 0 visits\n"), "{said}");
    let text = text_of(&world, "due.ics");
    assert!(text.starts_with("BEGIN:VCALENDAR\r\n") && text.ends_with("END:VCALENDAR\r\n"), "{text}");
}

/// Reads a calendar with the icalendar library of Python.
fn read_by_python(file: &Path) -> Vec<Value> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let script = folder.join("tests/reference/read_calendar.py");
    let output = Command::new(python()).arg(script).arg(file).output().expect("python runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

#[test]
fn icalendar_python_reads_every_component_as_it_was_meant() {
    let world = house();
    calendar(&world, &[]);
    let all = read_by_python(&world.path("due.ics"));
    let of = |kind: &str| all.iter().filter(|c| c["is"] == kind).collect::<Vec<_>>();
    let pump = of("VTODO").into_iter().find(|c| c["SUMMARY"] == "elm/pump: test the sump pump").expect("the pump");
    assert_eq!((&pump["DTSTART"], &pump["DUE"]), (&"2026-02-09".into(), &"2026-03-11".into()));
    assert_eq!(pump["LOCATION"], "Elm; Street, 4");
    let due = world.run(&["--json", "due", "--within", "40d"]).json();
    let code = due.as_array().unwrap().iter().find(|d| d["subject"] == "elm/pump").unwrap()["code"].as_str().unwrap();
    // The duty's own caution, in the words of `trade/cautions.rs`.
    let says = format!(
        "never yet; before snow melt in spring: 45 days before the usual last freeze\n\
         code {code}: stemwall done {code} (it says how, where another entry records it)\n\
         Caution: never step into water that may touch an outlet, a cord or equipment, and never stand in water to reach \
         the panel: have the utility cut the power"
    );
    assert_eq!(pump["DESCRIPTION"], says);
    // The earliest day by which something is due is that of the pump, three days after the clocks went ahead.
    let [visit] = of("VEVENT")[..] else { panic!("{all:?}") };
    assert_eq!(visit["DTSTART"], "2026-03-11T09:00:00-05:00");
    assert_eq!(visit["SUMMARY"], "elm: visit, 3 things");
    // One a thing to do, and the visit's.
    assert_eq!((of("VTIMEZONE").len(), of("VALARM").len()), (1, 4));
    assert_eq!(of("VTIMEZONE")[0]["TZID"], "America/Chicago");
}

#[test]
fn icalendar_khal_imports_a_visit_and_shows_it_at_its_hour() {
    let world = house();
    calendar(&world, &[]);
    std::fs::create_dir(world.path("calendar")).unwrap();
    let [calendar, database] = ["calendar", "khal.db"].map(|name| world.path(name).display().to_string());
    let settings = format!(
        "[calendars]\n[[house]]\npath = {calendar}\ntype = calendar\n[sqlite]\npath = {database}\n[default]\n\
         default_calendar = house\n[locale]\nlocal_timezone = America/Denver\ndefault_timezone = America/Denver\n\
         timeformat = %H:%M\ndateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\ndatetimeformat = %Y-%m-%d %H:%M\n\
         longdatetimeformat = %Y-%m-%d %H:%M\n"
    );
    let settings = world.file("khal.conf", settings);
    let khal = |args: &[&str]| {
        let output = Command::new("khal")
            .args(["--config", &settings])
            .args(args)
            .env("HOME", world.path(""))
            .output()
            .expect("khal, a calendar program that Debian has");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    };
    let file = world.path("due.ics");
    // Twice: what is imported again takes the place of the first.
    for _ in 0..2 {
        khal(&["import", "--batch", "-a", "house", file.to_str().unwrap()]);
    }
    let shown = khal(&["list", "-a", "house", "--format", "{start-time} {title}", "2026-03-01", "30d"]);
    // Nine in Chicago is eight in Denver.
    let visits: Vec<&str> = shown.lines().filter(|line| line.contains("visit")).collect();
    assert_eq!(visits, ["08:00 elm: visit, 3 things"], "{shown}");
    assert!(shown.contains("2026-03-11"), "{shown}");
}

/// The lines of a calendar, those that go on in the next joined.
fn lines_of(text: &str) -> Vec<String> {
    text.replace("\r\n ", "").lines().map(str::to_owned).collect()
}

#[test]
fn a_visit_comes_no_sooner_than_the_tenants_can_be_told_and_says_by_when() {
    let world = house().on("2026-03-10");
    world.run(&["property", "change", "elm", "--notice", "2d", "--tell", "R. Ode"]).ok();
    let set = ["duty", "set", "key-back", "--at", "elm", "--yearly", "03-20", "--title", "fetch the key"];
    world.run(&[&set[..], &["--minutes", "240"]].concat()).ok();
    let lines = lines_of(&calendar(&world, &["--visits"]));
    // Two days' notice from the 10th is for the 12th, though the pump is due on the 11th.
    assert!(lines.contains(&"DTSTART;TZID=America/Chicago:20260312T090000".to_owned()), "{lines:?}");
    let visits = world.run(&["--json", "due", "--within", "40d", "--visits"]).json();
    assert_eq!((&visits[0]["visit_on"], &visits[0]["tell_by"]), (&"2026-03-12".into(), &"2026-03-10".into()));
    assert!(lines.contains(&"TRIGGER:-P2D".to_owned()), "{lines:?}");
    assert!(
        lines.contains(&"DESCRIPTION:tell them by 2026-03-10\\, for a visit on 2026-03-12".to_owned()),
        "{lines:?}"
    );
    let named = lines_of(&calendar(&world, &["--visits", "--names"]));
    assert!(
        named.contains(&"DESCRIPTION:tell R. Ode by 2026-03-10\\, for a visit on 2026-03-12".to_owned()),
        "{named:?}"
    );
    // All of it is counted, a duty of one's own too.
    let minutes = visits[0]["minutes"].as_u64().unwrap();
    assert!(minutes > 240 && lines.contains(&format!("DURATION:PT{minutes}M")), "{minutes} {lines:?}");
}

#[test]
fn a_caution_is_of_what_is_done_and_not_of_what_else_is_walked_there() {
    let world = house();
    world.run(&["duty", "set", "key-back", "--at", "elm", "--once", "2026-03-08", "--title", "fetch the key"]).ok();
    let text = calendar(&world, &[]).replace("\r\n ", "");
    let of_key = text.split("BEGIN:VTODO").find(|part| part.contains("SUMMARY:elm: fetch the key")).unwrap();
    assert!(!of_key.split("END:VTODO").next().unwrap().contains("Caution"), "{of_key}");
}
