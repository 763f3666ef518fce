//! What people make of the almanac: switched off, at another interval, of their own; left out, moved, snoozed, waited for.

use serde_json::Value;

use crate::world::World;

/// A house with a pump and a radon system, in the ledger since 10 January 2025; the day is 1 March 2026.
fn house() -> World {
    let world = World::new();
    let add = ["property", "add", "elm", "--name", "Elm Street", "--built", "1950", "--on", "2025-01-10"];
    world.run(&[&add[..], &["--last-freeze", "04-25", "--first-freeze", "10-12"]].concat()).ok();
    world.run(&["section", "add", "elm/main", "--foundation", "basement"]).ok();
    world
        .run(&["fixture", "add", "elm/fan", "--kind", "radon-system", "--in", "main", "--installed", "2025-02-01"])
        .ok();
    world
}

fn due(world: &World, more: &[&str]) -> Vec<Value> {
    let asked = [&["due", "--within", "2y", "--json"][..], more].concat();
    world.run(&asked).json().as_array().unwrap().clone()
}

fn one(world: &World, subject: &str, duty: &str) -> Option<Value> {
    due(world, &["--all"]).into_iter().find(|d| d["subject"] == subject && d["duty"] == duty)
}

fn code(world: &World, subject: &str, duty: &str) -> String {
    one(world, subject, duty).unwrap()["code"].as_str().unwrap().to_owned()
}

fn day(world: &World, subject: &str, duty: &str) -> Option<String> {
    one(world, subject, duty).map(|d| d["due_on"].as_str().unwrap().to_owned())
}

#[test]
fn a_duty_is_switched_off_and_on_for_all_houses_or_for_one() {
    let world = house();
    world.run(&["property", "add", "oak", "--name", "Oak Row"]).ok();
    let said = world.run(&["duty", "set", "termite-look", "--off"]).ok();
    assert_eq!(said, "recorded ledger#2: duty `termite-look` at all houses: off\n");
    assert_eq!((day(&world, "elm", "termite-look"), day(&world, "oak", "termite-look")), (None, None));
    let said = world.run(&["duty", "set", "termite-look", "--at", "elm", "--again"]).ok();
    assert_eq!(said, "recorded elm#4: duty `termite-look`: on\n");
    // Never done: within 30 days of 10 January 2025.
    assert_eq!(day(&world, "elm", "termite-look").unwrap(), "2025-02-09");
    assert_eq!(day(&world, "oak", "termite-look"), None);
    assert_eq!(world.run(&["duty", "drop", "termite-look", "--at", "elm"]).ok().lines().count(), 1);
    assert_eq!(day(&world, "elm", "termite-look"), None);
    world.run(&["duty", "drop", "termite-look"]).ok();
    assert_eq!(day(&world, "oak", "termite-look").unwrap(), "2026-03-31");
    world.run(&["verify"]).ok();
}

#[test]
fn another_interval_counts_from_when_it_was_last_done() {
    let world = house();
    world.run(&["done", "elm/fan", "--on", "2026-02-20"]).ok();
    // A month after 20 February.
    assert_eq!(day(&world, "elm/fan", "radon-gauge-look").unwrap(), "2026-03-20");
    world.run(&["duty", "set", "radon-gauge-look", "--every", "2w"]).ok();
    assert_eq!(day(&world, "elm/fan", "radon-gauge-look").unwrap(), "2026-03-06");
    world.run(&["duty", "set", "radon-gauge-look", "--at", "elm", "--every", "1y"]).ok();
    assert_eq!(day(&world, "elm/fan", "radon-gauge-look").unwrap(), "2027-02-20");
    world.run(&["duty", "set", "radon-gauge-look", "--at", "elm/fan", "--every", "3mo"]).ok();
    assert_eq!(day(&world, "elm/fan", "radon-gauge-look").unwrap(), "2026-05-20");
    world.run(&["duty", "drop", "radon-gauge-look", "--at", "elm/fan"]).ok();
    assert_eq!(day(&world, "elm/fan", "radon-gauge-look").unwrap(), "2027-02-20");
    let listed = world.run(&["duty", "list", "elm"]).ok();
    assert!(listed.contains("look at the gauge · every year (on, set here)"), "{listed}");
    world.run(&["verify"]).ok();
}

#[test]
fn duties_of_ones_own_have_an_interval_a_season_a_day_of_the_year_or_one_day() {
    let world = house();
    let set = |rest: &[&str]| world.run(&[&["duty", "set"][..], rest].concat()).ok();
    set(&["filter", "--title", "change the filter", "--every", "3mo", "--at", "elm/fan", "--minutes", "5"]);
    set(&["hose", "--title", "take the hose in", "--season", "autumn"]);
    set(&["chimney", "--title", "have the chimney swept", "--yearly", "09-15", "--why", "the insurer asks for it"]);
    set(&["letter", "--title", "answer the surveyor", "--once", "2026-04-10", "--at", "elm"]);
    set(&["trees", "--title", "thin the crown", "--every", "3y", "--of", "fixture:tree"]);
    // Within 30 days of the day it was set; 12 October less 14 days; the days that were named.
    assert_eq!(day(&world, "elm/fan", "filter").unwrap(), "2026-03-31");
    assert_eq!(day(&world, "elm", "hose").unwrap(), "2026-09-28");
    assert_eq!(day(&world, "elm", "chimney").unwrap(), "2026-09-15");
    assert_eq!(day(&world, "elm", "letter").unwrap(), "2026-04-10");
    let of_trees = |world: &World| due(world, &[]).iter().filter(|d| d["duty"] == "trees").count();
    assert_eq!(of_trees(&world), 0);
    world.run(&["fixture", "add", "elm/lime", "--kind", "tree"]).ok();
    assert_eq!(of_trees(&world), 1);
    assert_eq!(one(&world, "elm/fan", "filter").unwrap()["minutes"], 5);
    assert!(one(&world, "elm", "chimney").unwrap()["why"].as_str().unwrap().ends_with("; the insurer asks for it"));
    world.run(&["done", "letter"]).ok();
    assert_eq!(day(&world, "elm", "letter"), None);
    world.run(&["done", &code(&world, "elm/fan", "filter")]).ok();
    assert_eq!(day(&world, "elm/fan", "filter").unwrap(), "2026-06-01");
    world.run(&["duty", "drop", "hose"]).ok();
    assert_eq!(day(&world, "elm", "hose"), None);
    let all = world.run(&["duty", "list", "--json"]).json();
    let own: Vec<&Value> = all.as_array().unwrap().iter().filter(|d| d["source"].is_null()).collect();
    assert_eq!(own.iter().map(|d| d["duty"].as_str().unwrap()).collect::<Vec<_>>(), ["chimney", "trees"]);
    world.run(&["verify"]).ok();
}

#[test]
fn what_cannot_be_set_is_refused() {
    let world = house();
    world.run(&["fixture", "add", "elm/lime", "--kind", "tree"]).ok();
    for (line, code, text) in [
        (
            "duty set termite-lok --off",
            1,
            "error: `termite-lok` is neither a subject of this ledger nor a duty\ngiven: termite-lok\n  try: did you mean \
             `termite-look`? `stemwall duty list` shows every duty\n",
        ),
        (
            "duty set zzz --off",
            1,
            "error: there is no duty `zzz`\ngiven: zzz\n  try: `stemwall duty list` shows the almanac; one of your own needs \
             a `--title` and a rule\n",
        ),
        (
            "duty set hose --every 1y",
            2,
            "error: --title is missing\ngiven: duty set hose --every 1y\n  try: add --title\n",
        ),
        (
            "duty set hose --title Hose",
            2,
            "error: --every, --season, --yearly, --rule or --once is missing\ngiven: duty set hose --title Hose\n  try: add --every, \
             --season, --yearly, --rule or --once\n",
        ),
        (
            "duty set hose --title Hose --every soon",
            2,
            "error: `soon` is not a length of time\ngiven: soon\n  try: write days, weeks, months or years, as in `30d`, \
             `6w`, `3m`, `1y`\n",
        ),
        (
            "duty set hose --title Hose --yearly 02-30",
            2,
            "error: `02-30` is not a day of the year\ngiven: --yearly 02-30\n  try: write month and day as in `04-25`\n",
        ),
        (
            "duty set hose --title Hose --season rainy",
            2,
            "error: `rainy` is not a season\ngiven: --season rainy\n  try: one of spring, summer, autumn, winter, wet\n",
        ),
        (
            "duty set hose --title Hose --once 2026-02-28",
            2,
            "error: 2026-02-28 is past on 2026-03-01\ngiven: --once 2026-02-28\n  try: give a later day\n",
        ),
        (
            "duty set hose --title Hose --every 1y --minutes 0",
            1,
            "error: 0 minutes are outside 1 to 2400\ngiven: --minutes 0\n  try: give --minutes as a whole number\n",
        ),
        (
            "duty set hose --title Hose --every 1y --of fixture:hose",
            2,
            "error: `fixture:hose` is not a part of a house\ngiven: --of fixture:hose\n  try: one of property, finding, \
             section:basement, fixture:gutter, or another kind of either\n",
        ),
        (
            "duty set Hose --title Hose --every 1y",
            2,
            "error: `Hose` is not a name: lower-case letters, digits and hyphens, a letter first, at most 48\ngiven: duty \
             set Hose --title Hose --every 1y\n  try: write `hose`\n",
        ),
        (
            "duty set radon-retest --off",
            1,
            "error: `radon-retest` is what a verdict asks for\ngiven: radon-retest\n  try: record what it asks for \
             (`stemwall why` says what); `duty snooze` postpones the line, `duty skip --until` its day\n",
        ),
        (
            "duty set repair-look-30-days --every 1y",
            1,
            "error: `repair-look-30-days` has a rule of its own\ngiven: repair-look-30-days\n  try: switch it off, and set a \
             duty of your own with a `--title`\n",
        ),
        (
            "duty set termite-look --of fixture:tree",
            1,
            "error: `termite-look` is for property\ngiven: termite-look\n  try: a duty of your own, under another name and \
             with a `--title`, can be for any part\n",
        ),
        (
            "duty set radon-gauge-look --at elm/lime --every 1y",
            1,
            "error: `radon-gauge-look` is for fixture:radon-system, and `elm/lime` is none\ngiven: radon-gauge-look\n  try: a \
             duty of your own, under another name and with a `--title`, can be for any part\n",
        ),
        (
            "duty set termite-look",
            1,
            "error: nothing would change\ngiven: duty set termite-look\n  try: say what is different\n",
        ),
        (
            "duty set termite-look --off --every 1y",
            2,
            "error: --off and --every <TIME> do not go together\ngiven: duty set termite-look --off --every 1y\n  try: `--help` \
             shows what can be typed here\n",
        ),
    ] {
        let words: Vec<&str> = line.split(' ').collect();
        assert_eq!(world.refused(code, &words), text, "{line}");
    }
}

#[test]
fn a_document_is_chosen_by_its_setting() {
    let world = house();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in"]).ok();
    world.run(&["section", "add", "elm/back", "--foundation", "crawl-space"]).ok();
    let of = |subject: &str| -> Vec<String> {
        let here = due(&world, &[]).into_iter().filter(|d| d["subject"] == subject && d["band"].is_null());
        let mut codes: Vec<String> = here.map(|d| d["duty"].as_str().unwrap().to_owned()).collect();
        codes.sort();
        codes.retain(|code| code.starts_with("walk") || code.starts_with("look") || code.starts_with("pump"));
        codes
    };
    assert_eq!(of("elm/main"), ["walk-below-autumn", "walk-below-spring"]);
    assert_eq!(of("elm/back"), ["look-under-the-floor"]);
    assert_eq!(of("elm/pump"), ["pump-test-spring", "pump-test-wet-season"]);
    world.run(&["setting", "change", "basement-looks", "every-4-months"]).ok();
    world.run(&["setting", "change", "crawl-space-looks", "spring-and-autumn"]).ok();
    world.run(&["setting", "change", "pump-tests", "every-3-months"]).ok();
    assert_eq!(of("elm/main"), ["look-below"]);
    assert_eq!(of("elm/back"), ["look-under-autumn", "look-under-spring"]);
    assert_eq!(of("elm/pump"), ["pump-test-quarterly"]);
    // What the choice leaves out can be asked for all the same.
    world.run(&["duty", "set", "pump-test-spring", "--at", "elm/pump", "--again"]).ok();
    assert_eq!(of("elm/pump"), ["pump-test-quarterly", "pump-test-spring"]);
    let said = world.refused(2, &["setting", "change", "pump-tests", "daily"]);
    assert_eq!(
        said,
        "error: `daily` is not a value of setting `pump-tests`\ngiven: daily\n  try: `before-thaw-and-wet-season` or \
         `every-3-months`\n"
    );
    world.run(&["verify"]).ok();
}

#[test]
fn an_occurrence_is_named_by_a_code_that_stays_with_it() {
    let world = house();
    let walk = code(&world, "elm/main", "walk-below-autumn");
    let gauge = code(&world, "elm/fan", "radon-gauge-look");
    assert_ne!(walk, gauge);
    assert_eq!(walk[..5], gauge[..5], "one house, one beginning");
    world.run(&["duty", "skip", &walk, "--nobody-in", "--until", "2026-03-20"]).ok();
    assert_eq!(code(&world, "elm/main", "walk-below-autumn"), walk);
    assert_eq!(code(&world.on("2026-03-15"), "elm/main", "walk-below-autumn"), walk);
}

#[test]
fn nobody_in_moves_an_occurrence_and_loses_nothing() {
    let world = house();
    let walk = code(&world, "elm/main", "walk-below-autumn");
    let said = world.run(&["duty", "skip", &walk, "--nobody-in", "--until", "2026-03-20", "--why", "tenant away"]).ok();
    assert!(said.starts_with(
        "recorded elm#4: nobody in: `walk-below-autumn` of 2025-09-28 moved to 2026-03-20: tenant away\n"
    ));
    let moved = one(&world, "elm/main", "walk-below-autumn").unwrap();
    assert_eq!((&moved["due_on"], &moved["moved_from"]), (&"2026-03-20".into(), &"2025-09-28".into()));
    assert!(moved["why"].as_str().unwrap().starts_with("moved from 28 Sep 2025, nobody in: tenant away; never yet"));
    // Not in again: it can be moved once more, to another day.
    let said = world.refused(1, &["duty", "skip", &walk, "--nobody-in", "--until", "2026-03-20"]);
    assert!(said.starts_with("error: nothing would change\n"), "{said}");
    world.run(&["duty", "skip", &walk, "--nobody-in", "--until", "2026-04-02"]).ok();
    assert_eq!(day(&world, "elm/main", "walk-below-autumn").unwrap(), "2026-04-02");
    // The next one opens 75 days before 12 October 2026: 29 July.
    let said = world.refused(1, &["duty", "skip", &walk, "--until", "2026-07-29"]);
    assert_eq!(
        said,
        "error: the next one opens on 2026-07-29, before 2026-07-29\ngiven: --until 2026-07-29\n  try: give a day before \
         that, or leave this one out: `duty skip` without --until\n"
            .replace("before 2026-07-29", "not after 2026-07-29")
    );
    world.run(&["duty", "skip", &walk, "--until", "2026-07-28"]).ok();
    let said = world.refused(2, &["duty", "skip", &walk, "--nobody-in"]);
    assert_eq!(said, format!("error: --until is missing\ngiven: duty skip {walk} --nobody-in\n  try: add --until\n"));
    let said = world.refused(1, &["duty", "skip", &walk, "--until", "2026-03-01"]);
    assert_eq!(said, "error: 2026-03-01 is past on 2026-03-01\ngiven: --until 2026-03-01\n  try: give a later day\n");
    world.run(&["verify"]).ok();
}

#[test]
fn a_skipped_occurrence_is_left_out_once() {
    let world = house();
    let walk = code(&world, "elm", "walk-outside-autumn");
    world.run(&["duty", "skip", &walk, "--why", "scaffolding"]).ok();
    // 12 October less 14 days.
    assert_eq!(day(&world, "elm", "walk-outside-autumn").unwrap(), "2026-09-28");
    assert_eq!(day(&world, "elm", "walk-outside-spring").unwrap(), "2026-06-09");
    let said = world.refused(1, &["duty", "skip", &walk]);
    assert_eq!(
        said,
        "error: `walk-outside-autumn` of 2025-09-28 was left out already\ngiven: walk-outside-autumn\n  try: nothing needs to \
         be done; `stemwall strike` takes it back\n"
    );
    // By its name only what is there to be done is meant: the next one opens on 29 July.
    let said = world.refused(1, &["duty", "skip", "walk-outside-autumn"]);
    assert_eq!(
        said,
        "error: `elm`: walk round outside, autumn cannot be done yet, it opens on 2026-07-29\ngiven: elm\n  try: wait until \
         then; `duty skip` takes the code of a later occurrence, `duty set` changes its rule\n"
    );
    let said = world.refused(1, &["duty", "skip", "7zzz-zzzzz"]);
    assert_eq!(
        said,
        "error: no occurrence of a duty has the code `7zzz-zzzzz`\ngiven: 7zzz-zzzzz\n  try: it may be done already; \
         `stemwall due --all --within 1y` shows the codes of what stands\n"
    );
    world.run(&["strike", "elm#4", "--why", "the other house"]).ok();
    assert_eq!(code(&world, "elm", "walk-outside-autumn"), walk);
    world.run(&["verify"]).ok();
}

/// Who has a dossier or an export has the property's identifier, its parts, the names of duties and their days.
#[test]
fn a_code_hangs_on_the_ledger_too_and_not_on_what_is_handed_out() {
    let world = house();
    let code_here = code(&world, "elm", "walk-outside-autumn");
    let file = world.path("elm.jsonl");
    world.run(&["export", "json", "elm", "--out", file.to_str().unwrap()]).ok();
    let other = World::new().on("2026-03-01");
    other.run(&["import", "json", file.to_str().unwrap()]).ok();
    let seal = |world: &World| world.run(&["property", "show", "elm", "--json"]).json()["seal"].clone();
    assert_eq!(seal(&world), seal(&other));
    let code_there = code(&other, "elm", "walk-outside-autumn");
    assert_eq!(code_here[..5], code_there[..5]);
    assert_ne!(code_here, code_there);
    let said = other.refused(1, &["duty", "skip", &code_here]);
    assert!(said.starts_with(&format!("error: no occurrence of a duty has the code `{code_here}`\n")), "{said}");
    // What was told of before a disk was lost can still be answered.
    let (archive, back) = (world.path("b.tar"), World::empty().on("2026-03-01"));
    world.run(&["backup", archive.to_str().unwrap()]).ok();
    back.run(&["restore", archive.to_str().unwrap()]).ok();
    back.run(&["duty", "skip", &code_here, "--why", "scaffolding"]).ok();
}

#[test]
fn a_snooze_postpones_the_line_and_nothing_else() {
    let world = house();
    let shown = |world: &World, more: &[&str]| due(world, more).iter().any(|d| d["duty"] == "radon-gauge-look");
    let gauge = code(&world, "elm/fan", "radon-gauge-look");
    let before = world.entries();
    let said = world.run(&["duty", "snooze", &gauge, "--for", "1w"]).ok();
    assert_eq!(said, "snoozed until 8 Mar 2026: elm/fan look at the gauge\n");
    assert_eq!(world.entries(), before);
    assert!(!shown(&world, &[]) && shown(&world, &["--all"]) && !shown(&world, &["elm"]));
    let all = world.run(&["due", "--all"]).ok();
    assert!(all.contains("since 3 Mar 2025 (363 days), snoozed until 8 Mar 2026"), "{all}");
    // It is as overdue as it was.
    assert_eq!(one(&world, "elm/fan", "radon-gauge-look").unwrap()["overdue_days"], 363);
    let world = world.on("2026-03-08");
    assert!(shown(&world, &[]));
    world.run(&["verify"]).ok();
    let world = world.on("2026-03-01");
    for (line, code, text) in [
        (
            "duty snooze walk-outside-spring --for 1w",
            1,
            "error: `elm`: walk round outside, spring cannot be done yet, it opens on 2026-03-26\n",
        ),
        (
            "duty snooze elm/fan --until 2026-03-01",
            2,
            "error: 2026-03-01 is past on 2026-03-01\ngiven: --until 2026-03-01\n",
        ),
        ("duty snooze elm/main --for 0d", 2, "error: `0d` is not a length of time\ngiven: 0d\n"),
        ("duty snooze elm/main --for soon", 2, "error: `soon` is not a length of time\n"),
        ("duty snooze elm/main", 2, "error: --until or --for is missing\n"),
        ("duty snooze nothing-such --for 1w", 1, "error: property `nothing-such` is not in this ledger\n"),
        (
            "duty snooze walk-below-sprin --for 1w",
            1,
            "error: `walk-below-sprin` is neither a subject of this ledger nor a duty\n",
        ),
    ] {
        let words: Vec<&str> = line.split(' ').collect();
        let said = world.refused(code, &words);
        assert!(said.starts_with(text), "{line}: {said}");
    }
}

#[test]
fn what_goes_to_a_licensed_person_is_neither_hidden_nor_put_off() {
    let world = house();
    world.run(&["event", "add", "elm", "--kind", "flood", "--on", "2026-02-20"]).ok();
    let call = code(&world, "elm", "verdict");
    let said = world.run(&["duty", "snooze", &call, "--for", "2w"]).ok();
    assert!(
        said.ends_with("  its line stays all the same: it goes to a licensed person, and its day is past\n"),
        "{said}"
    );
    // First of all, whatever is overdue longer.
    let shown = due(&world, &[]);
    assert_eq!((shown[0]["code"].as_str(), shown[0]["band"].as_str()), (Some(call.as_str()), Some("call")));
    assert!(world.run(&["due", "--limit", "1"]).ok().starts_with("first of all\n  elm "));
    for line in [vec!["duty", "skip", &call], vec!["duty", "skip", &call, "--nobody-in", "--until", "2026-03-09"]] {
        let said = world.refused(1, &line);
        assert!(
            said.starts_with("error: what goes to a licensed person is not put off: walk round it and look"),
            "{said}"
        );
        assert!(
            said.contains("`stemwall duty expect SUBJECT --by DATE --what TEXT` says who comes and when"),
            "{said}"
        );
    }
    // What a verdict asks for below that can be given another day, and is not left out.
    world.run(&["finding", "open", "elm", "--kind", "crack", "--place", "wall", "--on", "2025-06-01"]).ok();
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2025-06-01"]).ok();
    let reading = code(&world, "elm/1", "reading");
    let said = world.refused(1, &["duty", "skip", &reading]);
    assert!(said.starts_with("error: `reading` is what a verdict asks for\n"), "{said}");
    world.run(&["duty", "skip", &reading, "--until", "2026-03-12"]).ok();
    assert_eq!(day(&world, "elm/1", "reading").unwrap(), "2026-03-12");
    let said = world.refused(2, &["done", &reading]);
    assert!(said.contains("`stemwall reading add elm/1` records it"), "{said}");
    world.run(&["verify"]).ok();
}

#[test]
fn what_waits_for_somebody_is_due_on_the_day_they_come() {
    let world = house();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in"]).ok();
    let test = day(&world, "elm/pump", "pump-test-wet-season").unwrap();
    assert_eq!(test, "2025-10-01");
    let expect = ["duty", "expect", "elm/pump", "--by", "2026-03-18", "--what", "the plumber brings a new pump"];
    assert_eq!(world.run(&expect).ok(), "recorded elm#5: expected by 2026-03-18: the plumber brings a new pump\n");
    let waits = one(&world, "elm/pump", "pump-test-wet-season").unwrap();
    assert_eq!((&waits["due_on"], &waits["moved_from"]), (&"2026-03-18".into(), &"2025-10-01".into()));
    assert!(
        waits["why"].as_str().unwrap().starts_with("expected by 18 Mar 2026: the plumber brings a new pump; never yet")
    );
    assert!(due(&world, &[]).iter().all(|d| d["subject"] != "elm/pump" || d["overdue_days"] == 0));
    // They did not come.
    let late = world.on("2026-03-20");
    assert_eq!(one(&late, "elm/pump", "pump-test-wet-season").unwrap()["overdue_days"], 2);
    let world = late.on("2026-03-01");
    for (line, code, text) in [
        ("duty expect elm/pump --what plumber", 2, "error: --by is missing\n"),
        ("duty expect elm/pump --by 2026-03-18", 2, "error: --what is missing\n"),
        ("duty expect elm/pump --by soon --what plumber", 2, "error: `soon` is not a date\n"),
        ("duty expect elm/pump --by 2026-02-18 --what plumber", 1, "error: 2026-02-18 is past on 2026-03-01\n"),
        ("duty expect elm/pmup --by 2026-03-18 --what plumber", 1, "error: `elm/pmup` is not in this ledger\n"),
        (
            "duty expect elm/pump --by 2026-03-18 --what plumber --duty pump-test-sprin",
            1,
            "error: `elm/pump` has no duty `pump-test-sprin`\ngiven: pump-test-sprin\n  try: did you mean `pump-test-spring`?\n",
        ),
    ] {
        let words: Vec<&str> = line.split(' ').collect();
        let said = world.refused(code, &words);
        assert!(said.starts_with(text), "{line}: {said}");
    }
    world.run(&["verify"]).ok();
}

#[test]
fn a_warranty_ends_on_a_day_of_the_list() {
    let world = house();
    let pump = ["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in", "--installed", "2024-04-01"];
    world.run(&[&pump[..], &["--warranty-until", "2026-03-25"]].concat()).ok();
    let ends = one(&world, "elm/pump", "warranty-ends").unwrap();
    // It can be looked over from 30 days before.
    assert_eq!((&ends["due_on"], &ends["opens_on"]), (&"2026-03-25".into(), &"2026-02-23".into()));
    world.run(&["done", "warranty-ends"]).ok();
    assert_eq!(day(&world, "elm/pump", "warranty-ends"), None);
    let replace = ["fixture", "replace", "elm/pump", "--installed", "2026-02-10", "--warranty-until", "2028-02-10"];
    world.run(&replace).ok();
    assert_eq!(day(&world, "elm/pump", "warranty-ends").unwrap(), "2028-02-10");
    world.run(&["finding", "open", "elm", "--kind", "damp", "--place", "corner", "--on", "2025-06-01"]).ok();
    let repair = ["repair", "add", "elm/1", "--method", "drainage", "--on", "2025-07-01"];
    world.run(&[&repair[..], &["--warranty-until", "2026-07-01"]].concat()).ok();
    assert_eq!(day(&world, "elm/1", "warranty-ends").unwrap(), "2026-07-01");
    // The damp is gone, the warranty is not: it is shown at the house.
    world.run(&["finding", "close", "elm/1", "--why", "dry for a year"]).ok();
    assert_eq!(
        (day(&world, "elm/1", "warranty-ends"), day(&world, "elm", "warranty-ends").unwrap()),
        (None, "2026-07-01".into())
    );
    world.run(&["verify"]).ok();
    let said = world.refused(1, &[&repair[..], &["--warranty-until", "2025-06-30"]].concat());
    assert!(
        said.contains(
            "error: the warranty would end on 2025-06-30, before 2025-07-01\ngiven: --warranty-until 2025-06-30\n"
        ),
        "{said}"
    );
    // A month after its end nobody can claim on it, and it is spoken of no more: 1 July and 31 days.
    assert!(day(&world.on("2026-07-31"), "elm", "warranty-ends").is_some());
}

#[test]
fn a_visit_does_everything_due_at_a_house_and_says_who_is_told_by_when() {
    let world = house();
    world.run(&["property", "change", "elm", "--notice", "2d", "--tell", "A. Tenant"]).ok();
    for (subject, on) in [("walk-below-autumn", "2026-03-20"), ("walk-outside-autumn", "2026-03-22")] {
        world.run(&["duty", "skip", subject, "--until", on]).ok();
    }
    world.run(&["duty", "set", "termite-look", "--off"]).ok();
    world.run(&["duty", "set", "radon-gauge-look", "--off"]).ok();
    world
        .run(&[
            "radon",
            "add",
            "elm/main",
            "--device",
            "charcoal",
            "--result",
            "1 pCi/L",
            "--started",
            "2025-12-01",
            "--ended",
            "2025-12-03",
        ])
        .ok();
    let said = world.run(&["due", "--visits"]).ok();
    // 30 minutes each; two days before the first of them.
    assert!(
        said.starts_with(
            "elm: 2 things by 31 Mar 2026, about 60 minutes\n  tell them by 18 Mar 2026, for a visit on 20 Mar 2026\n"
        ),
        "{said}"
    );
    assert!(said.contains("  caution: do not go alone, and tell somebody when you expect to be back\n"), "{said}");
    assert!(!said.contains("A. Tenant"), "{said}");
    let named = world.run(&["due", "--visits", "--names"]).ok();
    assert!(named.contains("  tell A. Tenant by 18 Mar 2026, for a visit on 20 Mar 2026\n"), "{named}");
    let visits = world.run(&["due", "--visits", "--json"]).json();
    assert_eq!(
        (&visits[0]["minutes"], &visits[0]["tell_by"], &visits[0]["tell"]),
        (&60.into(), &"2026-03-18".into(), &Value::Null)
    );
    let visits = world.run(&["due", "--visits", "--json", "--names"]).json();
    assert_eq!(visits[0]["tell"], "A. Tenant");
    // What is overdue cannot wait for its notice: told today, done in two days.
    let late = world.on("2026-03-21");
    let said = late.run(&["due", "--visits"]).ok();
    assert!(said.contains("  tell them by 21 Mar 2026, for a visit on 23 Mar 2026\n"), "{said}");
    for (line, code, text) in [
        ("property change elm --notice 2mo", 2, "error: `2mo` is not a length of time\n"),
        (
            "property change elm --notice 9999d",
            1,
            "error: a notice of 9999 days is longer than 366\ngiven: --notice 9999d\n  try: give up to 366 days\n",
        ),
    ] {
        let words: Vec<&str> = line.split(' ').collect();
        let said = late.refused(code, &words);
        assert!(said.starts_with(text), "{line}: {said}");
    }
    late.run(&["verify"]).ok();
}

#[test]
fn one_house_is_asked_by_its_key() {
    let world = house();
    world.run(&["property", "add", "oak", "--name", "Oak Row", "--on", "2025-01-10"]).ok();
    let all = due(&world, &[]);
    for key in ["elm", "oak"] {
        let here: Vec<Value> = all.iter().filter(|d| d["property"] == key).cloned().collect();
        let mut asked = due(&world, &[key]);
        // Among equal days a house goes by its subjects.
        asked.sort_by_key(|d| all.iter().position(|other| other == d));
        assert_eq!(asked, here, "{key}");
    }
    assert!(world.refused(1, &["due", "ell"]).starts_with("error: property `ell` is not in this ledger\n"));
}
