//! Slips of a unit, a decimal point, a day or a name: refused or asked about when they are entered, in corrections as well.

use crate::errors::{refused, run, words};
use crate::world::World;

fn house() -> World {
    let world = World::with_crack();
    run(&world, "reading add elm/1 --width \"0.8 mm\" --at A --on 2024-02-01");
    run(&world, "finding open elm --kind bow --place \"east wall\" --in main --on 2024-01-05");
    run(&world, "finding open elm --kind damp --place corner --on 2024-01-05");
    world
}

#[test]
fn each_quantity_is_bounded_by_what_a_house_has() {
    let world = house();
    let beyond = |line: &str, field: &str, typed: &str, most: &str| {
        let want = format!(
            "error: {field} `{typed}` is beyond anything a house has (more than {most})\ngiven: {field} \"{typed}\"\n  \
             try: look at the unit and the decimal point\n"
        );
        assert_eq!(refused(&world, 1, line), want, "{line}");
    };
    beyond("reading add elm/1 --width \"900 m\" --at A --sure", "--width", "900 m", "1 m");
    beyond("reading add elm/2 --bow \"400 m\"", "--bow", "400 m", "2 m");
    beyond("reading add elm/2 --plumb \"40 mm\" --over \"1 mm\"", "--plumb", "40 mm", "1 mm");
    beyond("reading add elm/3 --water-depth \"900 m\"", "--water-depth", "900 m", "10 m");
    beyond("fixture add elm/pump --kind sump-pump --pit \"900 ft\"", "--pit", "900 ft", "5 m");
    beyond("fixture add elm/pump --kind sump-pump --rated \"99999999 gpm\"", "--rated", "99999999 gpm", "1000 gpm");
    beyond("correct elm#4 --width \"900 m\" --sure --why misread", "--width", "900 m", "1 m");
    run(&world, "reading add elm/2 --bow \"2 m\"");
    run(&world, "fixture add elm/pump --kind sump-pump --pit \"5 m\" --rated \"1000 gpm\"");
    beyond("fixture replace elm/pump --rated \"1001 gpm\"", "--rated", "1001 gpm", "1000 gpm");
}

#[test]
fn another_point_or_a_correction_is_asked_about_like_any_reading() {
    let world = house();
    let unlikely = |now: &str, times: &str, last: &str| {
        format!(
            "error: `{now}` is {times} the last reading, `{last}`\ngiven: {now}\n  try: look at the unit and the decimal \
             point; if it is right, add `--sure`\n"
        )
    };
    let at_b = "reading add elm/1 --width \"80 mm\" --at B --on 2024-03-01";
    assert_eq!(refused(&world, 1, at_b), unlikely("80 mm", "100 times", "0.8 mm"));
    // The only one of its quantity is compared with what it said.
    let corrected = "correct elm#4 --width \"9 mm\" --why misread";
    assert_eq!(refused(&world, 1, corrected), unlikely("9 mm", "11 times", "0.8 mm"));
    run(&world, &format!("{at_b} --sure"));
    // With others, with the last of them: 9 mm lies within ten times of 80 mm, and 0.7 mm does not.
    assert_eq!(
        refused(&world, 1, "correct elm#4 --width \"0.7 mm\" --why misread"),
        unlikely("0.7 mm", "1/114 of", "80 mm")
    );
    run(&world, corrected);
    run(&world, "correct elm#4 --width \"0.7 mm\" --sure --why \"misread twice\"");
}

#[test]
fn a_year_of_building_is_checked_in_a_correction_too() {
    let world = house();
    let said = refused(&world, 1, "correct elm#1 --built 2025 --why misheard");
    assert_eq!(
        said,
        "error: the house has entries from 2024-01-05, before it would have been built (2025)\ngiven: correct elm#1 --built \
         2025 --why misheard\n  try: give the year it was built, or correct the entry that is dated wrongly\n"
    );
    run(&world, "correct elm#1 --built 2024 --why misheard");
}

#[test]
fn a_day_alone_is_some_time_of_that_day() {
    let world = World::with_house();
    run(&world, "finding open elm --kind crack --place wall --on 2026-02-01T13:00");
    run(&world, "reading add elm/1 --width \"1 mm\" --on 2026-02-01");
    run(&world, "note add elm/1 seen --on 2026-02-01");
    run(&world, "reading add elm/1 --width \"1.1 mm\" --on 2026-02-01T15:00");
    run(&world, "finding close elm/1 --why mended --on 2026-02-01");
    assert_eq!(world.run(&["--json", "finding", "show", "elm/1"]).json()["closed"]["on"], "2026-02-01");
    run(&world, "verify");
    let said = refused(&world, 1, "reading add elm/1 --width \"1 mm\" --on 2026-02-01T12:59");
    assert!(said.starts_with("error: 2026-02-01T12:59 is before finding 1 was opened (2026-02-01T13:00)\n"), "{said}");
}

#[test]
fn the_key_of_a_house_is_no_name_for_a_part_of_it() {
    let world = World::new();
    run(&world, "property add elm --name Elm");
    for line in ["section add elm --foundation slab", "fixture add elm --kind sump-pump"] {
        let want = "error: `elm` is the key of the house, and no name for a part of it\ngiven: elm\n  try: write the key and \
                    a name, as in `elm/main`\n";
        assert_eq!(refused(&world, 1, line), want);
    }
    run(&world, "section add main --foundation slab");
}

#[test]
fn a_correction_that_changes_nothing_is_refused_after_another_too() {
    let world = house();
    run(&world, "correct elm#4 --width \"0.9 mm\" --why misread");
    let said = refused(&world, 1, "correct elm#4 --why again");
    assert!(said.starts_with("error: nothing would change\n"), "{said}");
    // Back to what it said first is a change.
    run(&world, "correct elm#4 --width \"0.8 mm\" --why \"it was right\"");
}

#[test]
fn a_late_correction_is_shown_as_late() {
    let world = house();
    run(&world, "correct elm#4 --width \"0.9 mm\" --why misread");
    let lines = world.run(&["--json", "history", "elm/1"]).json();
    let correction = lines.as_array().unwrap().iter().find(|line| line["entry"] == "elm#7").unwrap().clone();
    assert_eq!((&correction["on"], correction["entered_on"].is_string()), (&"2024-02-01".into(), true));
    assert!(run(&world, "history elm/1").contains("entered on"));
    let shown = run(&world, "entry show elm#7");
    assert!(shown.contains("\nhappened  2024-02-01, by this correction\n"), "{shown}");
}

#[test]
fn a_time_that_the_clock_skips_does_not_lengthen_a_radon_test() {
    let world = World::new();
    run(&world, "property add elm --name Elm --zone America/Chicago");
    run(&world, "section add elm/main --foundation slab");
    // Clocks went from 2:00 to 3:00 that morning: 2:30 is read as 3:30 CDT, 8:30 UTC; the end is 3:30 UTC two days on: 43 hours,
    // less than the 48 that a test takes.
    run(
        &world,
        "radon add elm/main --device charcoal --result \"1 pCi/L\" --started 2026-03-08T02:30 --ended 2026-03-09T22:30 \
         --closed yes",
    );
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let read = |r: &rusqlite::Row| Ok((r.get::<_, f64>(0)?, r.get::<_, bool>(1)?));
    assert_eq!(connection.query_row("SELECT hours, valid FROM radon_tests", [], read).unwrap(), (43.0, false));
}

#[test]
fn a_copy_of_a_file_under_another_name_is_said_to_be_one() {
    let world = World::new();
    let rows = "id,pci,on,end\n7,4.1,2025-01-05,2025-01-08\n7,4.1,2025-01-05,2025-01-08\n8,2.0,2025-01-05,2025-01-08\n";
    world.file("first.csv", rows);
    world.file("copy.csv", format!("{rows}8,2.5,2025-02-05,2025-02-08\n"));
    let import = |file: &str, more: &str| {
        run(
            &world,
            &format!(
                "import radon {file} --columns property=id,result=pci,started=on,ended=end --dates %Y-%m-%d --prefix h- {more}"
            ),
        )
    };
    assert!(!import("first.csv", "").contains("caution"));
    let says = "caution: 3 of them say word for word what came in under the label `first.csv`: if it is one file, they";
    let dry = import("copy.csv", "--dry-run").replace('\n', " ");
    assert!(dry.contains(&format!("{says} would stand twice; with `--label first.csv` no row goes in twice")), "{dry}");
    let relabelled = import("copy.csv", "--label first.csv");
    assert!(relabelled.contains("1 test went in") && !relabelled.contains("caution"), "{relabelled}");
    let real = import("copy.csv", "").replace('\n', " ");
    let says = "caution: 4 of them say word for word what came in under the label `first.csv`";
    assert!(real.contains(says) && real.contains("they stand twice now"), "{real}");
}

#[test]
fn what_was_taken_another_way_than_meant_is_said_beside_it() {
    let world = house();
    let says = |line: &str, text: &str| {
        let words = words(line);
        let outcome = world.run(&words.iter().map(String::as_str).collect::<Vec<_>>());
        let said = format!("{}{}", outcome.stdout, outcome.stderr).replace("\n  ", " ");
        assert_eq!((outcome.code, said.contains(text)), (0, !text.is_empty()), "{line}: {said}");
        assert!(!text.is_empty() || !said.contains("series of its own"), "{line}: {said}");
    };
    says(
        "reading add elm/1 --width \"0.9 mm\" --on 2024-03-01",
        "its width was read at `A`: without --at this begins a series of its own",
    );
    says(
        "reading add elm/1 --width \"0.9 mm\" --at a --on 2024-03-02",
        "`a` is not `A`: this begins a series of its own",
    );
    says("reading add elm/1 --width \"0.9 mm\" --at A --on 2024-03-03", "recorded elm#");
    says(
        "finding open elm --kind crack --place wall --wall blok",
        "`blok` was taken as the name of a wall; `--wall block` says what it is made of",
    );
    says("finding open elm --kind crack --place wall --wall Brick", "`--wall brick` says what it is made of");
    let said = run(&world, "finding open elm --kind crack --place wall --wall east");
    assert!(!said.contains("name of a wall"), "{said}");
}

#[test]
fn houses_put_away_are_still_named() {
    let world = house();
    run(&world, "property add oak --name Oak --zone America/Chicago --value \"350000 USD\"");
    let shown = run(&world, "property show oak");
    assert!(shown.contains("\ntime zone America/Chicago, replacing it would cost "), "{shown}");
    assert!(!run(&world, "property list").contains("archived"));
    run(&world, "property archive oak --why sold");
    assert!(run(&world, "property list").ends_with("and 1 house archived: oak\n"));
}

#[test]
fn what_can_be_computed_anew_is_not_to_be_restored() {
    let world = house();
    world.sql("UPDATE reading_rows SET typed = '9 mm'").unwrap();
    let said = world.run(&["verify"]).fails_saying(3);
    assert!(said.contains("`rebuild` computes it anew\n"), "{said}");
    assert!(said.ends_with("  try: `stemwall rebuild` computes it anew from the entries, which are whole\n"), "{said}");
    world.run(&["rebuild"]).ok();
    world.run(&["verify"]).ok();
}

#[test]
fn a_rule_without_a_source_says_so_once() {
    let world = World::new();
    let said = run(&world, "rules");
    for line in said.lines().filter(|line| line.contains("source: design rule") || line.contains("source: common")) {
        assert!(!line.contains("· common practice"), "{line}");
    }
    assert!(said.contains("source: common practice, no published source\n"), "{said}");
}

#[test]
fn a_second_demo_says_how_to_name_another_folder() {
    let world = World::empty();
    world.run(&["demo", "--into", "d"]).ok();
    let said = world.run(&["demo", "--into", "d"]).fails(1);
    assert_eq!(
        said,
        "error: `d` exists already\ngiven: d\n  try: name a folder that is not there yet: `stemwall demo --into FOLDER`\n"
    );
}

#[test]
fn a_backup_names_the_entry_whose_file_is_gone() {
    let world = house();
    let letter = world.file("letter.pdf", "a letter");
    world.run(&["attach", "elm/1", &letter]).ok();
    let files = world.path("houses.stemwall.files");
    std::fs::remove_dir_all(&files).unwrap();
    let said = world.refused(3, &["backup", "b.tar"]);
    assert_eq!(
        said,
        "error: entry elm#7 is damaged: its file `letter.pdf` is not there, and a backup would be without it\ngiven: elm#7\n  \
         try: `stemwall verify` names all that is wrong; a backup restores what was\n"
    );
    assert!(!world.path("b.tar").exists());
}

#[test]
fn the_sign_of_the_ledgers_own_currency_is_taken_and_no_other() {
    let world = house();
    run(&world, "setting change currency EUR");
    assert!(run(&world, "quote add elm/1 --amount €50 --from A").contains("50 EUR"));
    assert!(run(&world, "quote add elm/1 --amount \"1450.50 €\" --from A").contains("1,450.50 EUR"));
    let dollars = "error: `--amount` is not an amount of money\ngiven: --amount \"$50\"\n  try: `$` does not mean EUR; amounts are in EUR: write it \
                   like `1450 EUR` or `€1450`\n";
    assert_eq!(refused(&world, 2, "quote add elm/1 --amount $50 --from A"), dollars);
}
