//! Freeze dates by the climate zone, what was typed before them, and houses south of the equator.

use crate::world::World;

/// A world on that day with a house: its zone and what else is typed of it.
fn house(today: &str, more: &[&str]) -> World {
    let world = World::new().on(today);
    world.run(&[&["property", "add", "elm", "--name", "Elm Street 4", "--on", "2025-12-01"], more].concat()).ok();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--on", "2025-12-01"]).ok();
    world
}

/// Opening day, last day and reason of a duty.
fn duty(world: &World, code: &str) -> (String, String, String) {
    let all = world.run(&["due", "--within", "2y", "--json"]).json();
    let row = all.as_array().unwrap().iter().find(|row| row["duty"] == code).unwrap_or_else(|| panic!("{code}: {all}"));
    let text = |key: &str| row[key].as_str().unwrap().to_owned();
    (text("opens_on"), text("due_on"), text("why"))
}

#[test]
fn the_climate_zone_fills_freeze_dates_and_says_so() {
    let world = house("2026-01-10", &["--zone", "America/Chicago", "--climate-zone", "5a"]);
    // 27 April less 45 days is 13 March.
    let (opens, due, why) = duty(&world, "pump-test-spring");
    assert_eq!((opens.as_str(), due.as_str()), ("2026-02-11", "2026-03-13"));
    assert!(why.ends_with("; last freeze 04-27 by default of climate zone 5A"), "{why}");
    // 13 October less 14 days.
    let (_, due, why) = duty(&world, "walk-outside-autumn");
    assert_eq!(due, "2026-09-29");
    assert!(why.ends_with("; first freeze 10-13 by default of climate zone 5A"), "{why}");

    let shown = world.run(&["property", "show", "elm"]).ok();
    let says = "climate zone 5A, last freeze 04-27 (default), first freeze 10-13 (default); default: median of\n  the places of \
                that climate zone, computed from the US climate normals 1981-2010 (NOAA NCEI),\n  derived\n";
    assert!(shown.contains(says), "{shown}");
    let json = world.run(&["property", "show", "elm", "--json"]).json();
    assert_eq!(json["freeze_defaults"]["standing"], "derived");
    let rule = world.run(&["rules", "freeze-dates"]).ok();
    assert!(rule.contains("04-27") && rule.contains("(NOAA NCEI)"), "{rule}");
    for (key, value) in [
        ("climate_zone", Some("5A")),
        ("last_freeze", None),
        ("usual_last_freeze", Some("04-27")),
        ("usual_first_freeze", Some("10-13")),
    ] {
        assert_eq!(json[key].as_str(), value, "{key}");
    }
}

#[test]
fn typed_dates_win_over_the_climate_zone() {
    let world = house("2026-01-10", &["--zone", "America/Chicago", "--climate-zone", "5A", "--last-freeze", "05-10"]);
    // 10 May less 45 days is 26 March.
    let (_, due, why) = duty(&world, "pump-test-spring");
    assert_eq!(due, "2026-03-26");
    assert!(!why.contains("default"), "{why}");
    world.run(&["property", "change", "elm", "--wet-season", "09-10", "--climate-zone", "4"]).ok();
    let (opens, due, _) = duty(&world, "pump-test-wet-season");
    assert_eq!((opens.as_str(), due.as_str()), ("2026-08-11", "2026-09-10"));
    let shown = world.run(&["property", "show", "elm"]).ok();
    let says = "climate zone 4, last freeze 05-10, first freeze 10-25 (default), wet season from 09-10; default:\n  median of the places";
    assert!(shown.contains(says), "{shown}");
    let history = world.run(&["history", "elm"]).ok();
    assert!(history.contains("changed: climate zone 4, wet season from 09-10"), "{history}");
}

#[test]
fn a_house_in_the_south_has_its_spring_in_september() {
    // In March it is autumn there: the walk of autumn is open, that of spring comes in September.
    let world = house("2026-03-10", &["--zone", "Australia/Hobart", "--climate-zone", "4"]);
    let (opens, due, why) = duty(&world, "walk-outside-autumn");
    assert_eq!((opens.as_str(), due.as_str()), ("2026-03-01", "2026-04-30"));
    assert!(!why.contains("default"), "{why}");
    let (opens, due, _) = duty(&world, "walk-outside-spring");
    assert_eq!((opens.as_str(), due.as_str()), ("2026-09-01", "2026-11-30"));
    let shown = world.run(&["property", "show", "elm"]).ok();
    assert!(shown.contains("climate zone 4, no default freeze dates south of the equator\n"), "{shown}");
}

#[test]
fn what_is_no_climate_zone_and_no_day_is_refused() {
    let world = World::new().on("2026-03-10");
    let args = ["property", "add", "elm", "--name", "Elm", "--climate-zone", "9A", "--wet-season", "02-30"];
    assert_eq!(
        world.run(&args).fails(2),
        "error: `02-30` is not a day of the year\ngiven: --wet-season 02-30\n  try: write month and day as in `04-25`\n\
         error: `9A` is not a climate zone\ngiven: --climate-zone 9A\n  \
         try: write 1 to 8, with A, B or C where it is known, as in `5A`\n"
    );
}

#[test]
fn freeze_dates_that_are_hardly_of_one_place_are_refused() {
    let world = World::new();
    for (line, text) in [
        (
            "property add elm --name Elm --last-freeze 04-25 --first-freeze 04-26",
            "error: the first freeze comes 1 day after the last one: there is no summer between them\ngiven: property add elm \
             --name Elm --last-freeze 04-25 --first-freeze 04-26\n  try: --last-freeze is that of spring, --first-freeze that of \
             autumn, as in `04-25` and `10-12`\n",
        ),
        (
            "property add elm --name Elm --zone America/Chicago --last-freeze 10-12 --first-freeze 04-25",
            "error: these freeze dates are of the south of the equator, and America/Chicago lies on its other side\ngiven: property \
             add elm --name Elm --zone America/Chicago --last-freeze 10-12 --first-freeze 04-25\n  try: see to the months and to \
             the zone: --last-freeze is that of spring\n",
        ),
    ] {
        let words: Vec<&str> = line.split(' ').collect();
        assert_eq!(world.refused(2, &words), text, "{line}");
    }
    // In the south the last freeze of spring is in September, the first of autumn in May.
    let hob = ["property", "add", "hob", "--name", "Hob", "--zone", "Australia/Hobart", "--last-freeze", "09-20"];
    world.run(&[&hob[..], &["--first-freeze", "05-10"]].concat()).ok();
}
