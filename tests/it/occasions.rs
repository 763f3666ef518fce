//! What falls due on an occasion: the end of a warranty, a storm; and what to mind where it is done.

use serde_json::Value;

use crate::world::World;

fn due(world: &World) -> Vec<Value> {
    world.run(&["due", "--within", "2y", "--json", "--all"]).json().as_array().unwrap().clone()
}

fn of(world: &World, subject: &str, duty: &str) -> Vec<Value> {
    due(world).into_iter().filter(|d| d["subject"] == subject && d["duty"] == duty).collect()
}

fn days(world: &World, subject: &str, duty: &str) -> Vec<String> {
    of(world, subject, duty).iter().map(|d| d["due_on"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn each_warranty_ends_on_a_day_of_its_own_and_is_done_by_itself() {
    let world = World::with_crack();
    for until in ["2026-03-20", "2026-03-25"] {
        let repair = ["repair", "add", "elm/1", "--method", "patch", "--on", "2025-12-01", "--warranty-until", until];
        world.run(&repair).ok();
    }
    assert_eq!(days(&world, "elm/1", "warranty-ends"), ["2026-03-20", "2026-03-25"]);
    // The second is done by its code while the first stands.
    let second = of(&world, "elm/1", "warranty-ends")[1]["code"].as_str().unwrap().to_owned();
    world.run(&["done", &second]).ok();
    assert_eq!(days(&world, "elm/1", "warranty-ends"), ["2026-03-20"]);
    world.run(&["done", "warranty-ends"]).ok();
    assert!(days(&world, "elm/1", "warranty-ends").is_empty());
    world.run(&["verify"]).ok();

    // In a calendar each has a name that stays when the other is done.
    let world = World::with_crack();
    for until in ["2026-03-20", "2026-03-25"] {
        let repair = ["repair", "add", "elm/1", "--method", "patch", "--on", "2025-12-01", "--warranty-until", until];
        world.run(&repair).ok();
    }
    let uids = |world: &World| {
        let text = world.run(&["due", "--ics", "-"]).ok().replace("\r\n ", "");
        let of_warranty = text
            .split("BEGIN:VTODO")
            .filter(|part| part.lines().any(|line| line.starts_with("SUMMARY:") && line.contains("under warranty")));
        let uid = |part: &str| part.lines().find(|line| line.starts_with("UID:")).unwrap().to_owned();
        of_warranty.map(uid).collect::<Vec<_>>()
    };
    let before = uids(&world);
    assert_eq!(before.len(), 2);
    let first = of(&world, "elm/1", "warranty-ends")[0]["code"].as_str().unwrap().to_owned();
    world.run(&["done", &first]).ok();
    assert_eq!(uids(&world), [before[1].clone()]);
}

#[test]
fn whatever_is_done_in_a_crawl_space_has_its_cautions_beside_it() {
    let world = World::with_house();
    world.run(&["section", "add", "elm/cs", "--foundation", "crawl-space"]).ok();
    let crack = ["finding", "open", "elm", "--kind", "crack", "--place", "pier wall", "--on", "2026-02-01"];
    world.run(&[&crack[..], &["--in", "cs"]].concat()).ok();
    world.run(&[&crack[..], &["--in", "main"]].concat()).ok();
    world.run(&["reading", "add", "elm/1", "--width", "0.5 mm", "--on", "2026-02-01"]).ok();
    world.run(&["reading", "add", "elm/2", "--width", "0.5 mm", "--on", "2026-02-01"]).ok();
    world.run(&["duty", "set", "hatch", "--at", "elm/cs", "--every", "1y", "--title", "oil the hatch"]).ok();
    let cautions = |subject: &str, duty: &str| {
        let row = of(&world, subject, duty).remove(0);
        row["cautions"].as_array().unwrap().iter().map(|c| c.as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    for (subject, duty) in [("elm/1", "reading"), ("elm/cs", "hatch"), ("elm/cs", "look-under-the-floor")] {
        let all = cautions(subject, duty);
        assert_eq!(all.len(), 4, "{all:?}");
        assert!(
            all[0].starts_with("a crawl space is a confined space") && all[1].starts_with("do not go alone"),
            "{all:?}"
        );
    }
    assert!(cautions("elm/2", "reading").is_empty());
    world.run(&["verify"]).ok();
}

#[test]
fn a_storm_brings_the_look_under_the_floor_forward_once() {
    let world = World::new();
    world.run(&["property", "add", "elm", "--name", "Elm Street", "--on", "2025-01-10"]).ok();
    world.run(&["section", "add", "elm/cs", "--foundation", "crawl-space"]).ok();
    let look = |world: &World| days(world, "elm/cs", "look-under-the-floor");
    // Never looked at: within 30 days of 10 January 2025, which is sooner than what the storm asks for.
    world.run(&["event", "add", "elm", "--kind", "storm", "--on", "2026-02-20"]).ok();
    assert_eq!(look(&world), ["2025-02-09"]);
    // That one left out, four months from now are later than 20 February and 14 days.
    world.run(&["duty", "skip", "look-under-the-floor", "--why", "looked before the ledger"]).ok();
    assert_eq!(look(&world), ["2026-03-06"]);
    let row = of(&world, "elm/cs", "look-under-the-floor").remove(0);
    assert_eq!(row["opens_on"], "2026-02-20");
    assert!(row["why"].as_str().unwrap().starts_with("storm on 20 Feb 2026; never yet; "), "{row}");
    // Another one moves nothing: the first is still to be looked after.
    world.run(&["event", "add", "elm", "--kind", "storm", "--on", "2026-02-25"]).ok();
    assert_eq!(look(&world), ["2026-03-06"]);
    // Nobody asks for the same look at the house.
    assert!(of(&world, "elm", "verdict").is_empty());
    // Left out for that storm, the next one asks: 25 February and 14 days.
    world.run(&["duty", "skip", "look-under-the-floor"]).ok();
    assert_eq!(look(&world), ["2026-03-11"]);
    world.run(&["duty", "skip", "look-under-the-floor"]).ok();
    // Four months after the first was left out, on 1 March.
    assert_eq!(look(&world), ["2026-07-01"]);
    world.run(&["verify"]).ok();
}

#[test]
fn a_duty_of_ones_own_comes_by_a_recurrence_rule_or_in_any_season() {
    let world = World::with_house();
    let set = |rest: &[&str]| world.run(&[&["duty", "set"][..], rest].concat()).ok();
    let said = set(&["filter", "--at", "elm", "--title", "change the filter", "--rule", "FREQ=MONTHLY;BYDAY=1SA"]);
    assert!(said.contains("by the rule FREQ=MONTHLY;BYDAY=1SA from 2026-03-01"), "{said}");
    // 1 March 2026 is a Sunday: the first Saturdays are 7 March, 4 April and 2 May.
    assert_eq!(days(&world, "elm", "filter"), ["2026-03-07"]);
    world.run(&["done", "filter"]).ok();
    assert_eq!(days(&world, "elm", "filter"), ["2026-04-04"]);
    // A third of the four weeks to the next ahead: 4 April less 9 days, and 2 May less 9 days, on which it gives way.
    let world = world.on("2026-04-22");
    assert_eq!(days(&world, "elm", "filter"), ["2026-04-04"]);
    let world = world.on("2026-04-23");
    assert_eq!(days(&world, "elm", "filter"), ["2026-05-02"]);
    assert!(of(&world, "elm", "filter")[0]["why"].as_str().unwrap().contains("one before it missed"));
    let world = world.on("2026-03-01");
    let set = |rest: &[&str]| world.run(&[&["duty", "set"][..], rest].concat()).ok();
    set(&["twice", "--at", "elm", "--title", "twice", "--rule", "FREQ=DAILY;INTERVAL=10;COUNT=2"]);
    assert_eq!(days(&world, "elm", "twice"), ["2026-03-01"]);
    assert_eq!(days(&world.on("2026-03-08"), "elm", "twice"), ["2026-03-11"]);
    let world = world_of_seasons();
    assert_eq!(days(&world, "elm", "pipes"), ["2027-02-28"]);
    assert_eq!(days(&world, "elm", "fans"), ["2026-08-31"]);
    assert_eq!(days(&world, "elm", "drains"), ["2026-10-01"]);
    world.run(&["verify"]).ok();
    for (line, text) in [
        (
            "duty set x --at elm --title X --rule FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30",
            "error: `FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30` never comes\ngiven: FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30\n  try: name \
             a day that there is, as in `0 0 1 3,9 *` or `FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=1`\n",
        ),
        (
            "duty set x --at elm --title X --rule FREQ=SECONDLY",
            "error: `FREQ=SECONDLY` is about times of day: a duty has days\ngiven: FREQ=SECONDLY\n  try: begin with FREQ=DAILY, \
             WEEKLY, MONTHLY or YEARLY, and leave the times out\n",
        ),
        (
            "duty set x --at elm --title X --rule FREQ=SOMETIMES",
            "error: `FREQ=SOMETIMES` is not a recurrence rule: `SOMETIMES` is not a frequency\ngiven: FREQ=SOMETIMES\n  try: one of \
             SECONDLY, MINUTELY, HOURLY, DAILY, WEEKLY, MONTHLY, YEARLY\n",
        ),
        (
            "setting change rounds 0_0_30_2_*",
            "error: `0 0 30 2 *` never comes\ngiven: 0 0 30 2 *\n  try: name a day that there is, as in `0 0 1 3,9 *` or \
             `FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=1`\n",
        ),
    ] {
        let words: Vec<String> = line.split(' ').map(|word| word.replace('_', " ")).collect();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        assert_eq!(world.refused(2, &words), text, "{line}");
    }
}

/// A house with a duty in winter, one in summer and one before the wet season, on 1 March 2026.
fn world_of_seasons() -> World {
    let world = World::with_house();
    for (duty, season) in [("pipes", "winter"), ("fans", "summer"), ("drains", "wet")] {
        world.run(&["duty", "set", duty, "--at", "elm", "--title", duty, "--season", season]).ok();
    }
    world
}

#[test]
fn a_rule_that_never_comes_is_warned_of_where_it_is_reckoned() {
    let world = World::empty();
    for rule in ["0 0 30 2 *", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"] {
        let span =
            ["--from", "2026-01-01T00:00:00Z", "--until", "2027-01-01T00:00:00Z", "--zone", "UTC", "--rule", rule];
        let start: &[&str] = if rule.contains('=') { &["--start", "2026-01-01T00:00:00"] } else { &[] };
        let outcome = world.run(&[&["reckon", "occurrences"][..], &span, start].concat());
        assert_eq!(outcome.code, 0);
        assert_eq!(outcome.stderr, format!("warning: `{rule}` never comes: it is about a day that no year has\n"));
    }
}

#[test]
fn days_that_nobody_gave_are_said_to_be_taken_and_a_place_without_frost_has_no_duty_before_it() {
    let world = World::new();
    let add = |key: &str, more: &[&str]| {
        world.run(&[&["property", "add", key, "--name", "A house", "--on", "2025-01-10"][..], more].concat()).ok();
        let pump = format!("{key}/pump");
        world.run(&["fixture", "add", &pump, "--kind", "sump-pump", "--on", "2025-01-10"]).ok();
    };
    add("hot", &["--climate-zone", "1A"]);
    add("cold", &["--climate-zone", "6A"]);
    add("open", &[]);
    add("own", &["--last-freeze", "04-25", "--first-freeze", "10-12"]);
    let why = |subject: &str, duty: &str| of(&world, subject, duty)[0]["why"].as_str().unwrap().to_owned();
    assert!(of(&world, "hot/pump", "outlet-before-frost").is_empty());
    // A day that somebody gave is one all the same.
    world.run(&["property", "change", "hot", "--first-freeze", "12-20"]).ok();
    assert_eq!(days(&world, "hot/pump", "outlet-before-frost"), ["2025-12-06"]);
    assert!(why("hot/pump", "pump-test-spring").ends_with("; 04-15 is taken for the last freeze, which is not given"));
    assert!(
        why("open/pump", "outlet-before-frost").ends_with("; 10-15 is taken for the first freeze, which is not given")
    );
    assert!(
        why("open", "walk-outside-spring")
            .ends_with("; no usual last freeze is known here: the season's months are taken")
    );
    assert!(why("cold/pump", "outlet-before-frost").ends_with("; first freeze 10-01 by default of climate zone 6A"));
    assert!(why("own/pump", "outlet-before-frost").ends_with("a hose taken off that could freeze shut"));
    world.run(&["verify"]).ok();
}

#[test]
fn in_the_south_winter_and_the_wet_season_are_half_a_year_away() {
    let world = World::new();
    world.run(&["property", "add", "hob", "--name", "Hob", "--zone", "Australia/Hobart", "--on", "2025-12-10"]).ok();
    world.run(&["fixture", "add", "hob/pump", "--kind", "sump-pump", "--on", "2025-12-10"]).ok();
    world.run(&["duty", "set", "perimeter-look-winter", "--again", "--at", "hob"]).ok();
    assert_eq!(days(&world, "hob", "perimeter-look-winter"), ["2026-07-31"]);
    world.run(&["duty", "set", "pipes", "--at", "hob", "--title", "lag the pipes", "--season", "winter"]).ok();
    assert_eq!(days(&world, "hob", "pipes"), ["2026-08-31"]);
    let listed = world.run(&["duty", "list", "hob"]).ok();
    assert!(listed.contains("before the wet season\n") && !listed.contains("October"), "{listed}");
    let why = of(&world, "hob/pump", "pump-test-wet-season")[0]["why"].as_str().unwrap().to_owned();
    assert!(why.ends_with("; 04-01 is taken for the wet season, which is not given"), "{why}");
}

#[test]
fn a_season_has_a_day_from_which_it_is_best() {
    let world = World::new();
    let add = ["property", "add", "elm", "--name", "Elm Street", "--on", "2026-01-10"];
    world.run(&[&add[..], &["--last-freeze", "04-25", "--first-freeze", "10-12"]].concat()).ok();
    let spring = of(&world, "elm", "walk-outside-spring").remove(0);
    // Opens 30 days before 25 April, is best from then on, and is due 45 days after.
    assert_eq!(
        (&spring["opens_on"], &spring["best_on"], &spring["due_on"]),
        (&"2026-03-26".into(), &"2026-04-25".into(), &"2026-06-09".into())
    );
    // A month before 12 October.
    assert_eq!(of(&world, "elm", "walk-outside-autumn")[0]["best_on"], "2026-09-12");
    assert!(world.run(&["due", "--within", "1y"]).ok().contains("best from 25 Apr 2026"));
    // Moved, it has the day it was given.
    world.run(&["duty", "skip", spring["code"].as_str().unwrap(), "--until", "2026-05-01"]).ok();
    assert!(of(&world, "elm", "walk-outside-spring")[0]["best_on"].is_null());
}

#[test]
fn what_was_set_is_said_as_it_was_set_and_what_is_dropped_is_gone() {
    let world = World::with_house();
    world.run(&["duty", "set", "termite-look", "--every", "2y"]).ok();
    let why = of(&world, "elm", "termite-look")[0]["why"].as_str().unwrap().to_owned();
    assert_eq!(why, "never yet; every 2 years, as it was set");
    world.run(&["duty", "set", "paint", "--title", "paint the sill", "--every", "5y"]).ok();
    assert_eq!(world.run(&["duty", "drop", "paint"]).ok(), "recorded ledger#4: duty `paint` is gone from all houses\n");
    let said = world.run(&["duty", "drop", "termite-look"]).ok();
    assert_eq!(said, "recorded ledger#5: duty `termite-look` at all houses as in the almanac again\n");
}

#[test]
fn a_line_rests_a_year_at_most_and_an_interval_is_moved_by_one_of_it() {
    let world = World::new();
    world.run(&["property", "add", "elm", "--name", "Elm Street", "--on", "2025-01-10"]).ok();
    world.run(&["section", "add", "elm/cs", "--foundation", "crawl-space"]).ok();
    let said = world.refused(1, &["duty", "snooze", "look-under-the-floor", "--for", "99y"]);
    assert_eq!(
        said,
        "error: a line is not postponed beyond a year, to 2125-03-01\ngiven: duty snooze look-under-the-floor --for 99y\n  try: \
         `duty skip` leaves an occurrence out or gives it another day, `duty set DUTY --off` asks for it no longer\n"
    );
    world.run(&["duty", "snooze", "look-under-the-floor", "--until", "2027-03-01"]).ok();
    // Four months from 1 March 2026.
    let said = world.refused(1, &["duty", "skip", "look-under-the-floor", "--until", "2030-01-01"]);
    assert!(said.starts_with("error: the next one opens on 2026-07-01, not after 2030-01-01\n"), "{said}");
    world.run(&["duty", "skip", "look-under-the-floor", "--until", "2026-07-01"]).ok();
    assert_eq!(days(&world, "elm/cs", "look-under-the-floor"), ["2026-07-01"]);
}

#[test]
fn a_house_that_was_never_tested_is_not_told_of_the_test_before() {
    let world = World::with_house();
    let fan = ["fixture", "add", "elm/fan", "--kind", "radon-system", "--in", "main", "--installed", "2026-02-20"];
    world.run(&fan).ok();
    let title = of(&world, "elm/main", "radon-retest")[0]["title"].as_str().unwrap().to_owned();
    assert!(title.starts_with("test the lowest level that is or could be lived in, from 24 hours"), "{title}");
}
