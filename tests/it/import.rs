//! The EPA/State Residential Radon Survey goes in by one command, dirt included. Counts: `tests/data/README.md`.

use crate::world::World;

const SURVEY: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/radon-survey-minnesota.csv");
const COLUMNS: &str = "property=idnum,result=activity,started=startdt,started-time=starttm,ended=stopdt,\
                       ended-time=stoptm,section=floor";

fn import<'a>(file: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let plain = ["import", "radon", file, "--columns", COLUMNS, "--dates", "%m%d%y", "--times", "%H%M"];
    [&plain[..], &["--device", "charcoal"], more].concat()
}

fn count(world: &World, condition: &str) -> i64 {
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let sql = format!("SELECT count(*) FROM radon_tests WHERE {condition}");
    connection.query_row(&sql, [], |row| row.get(0)).unwrap()
}

#[test]
fn the_survey_is_counted_as_its_documentation_counts_it() {
    let world = World::new();
    let said = world.run(&import(SURVEY, &[])).ok();
    let not_valid = count(&world, "NOT valid");
    assert!(said.contains(&format!("{not_valid} of them miss a condition of a valid test")), "{said}");
    assert_eq!(count(&world, "true"), 919);
    assert_eq!(count(&world, "pci_l >= 4.0"), 415);
    assert_eq!(count(&world, "pci_l > 4.0"), 406);
    assert_eq!(count(&world, "pci_l = 0"), 3);
    assert_eq!(count(&world, "hours = 48"), 364);
    assert_eq!(count(&world, "hours = 0"), 101);
    assert_eq!(count(&world, "hours < 0"), 23);
    assert_eq!(count(&world, "hours > 96"), 68);
    // What stops before it starts, or lasts no time, is kept with a problem and counts for nothing.
    assert_eq!(count(&world, "hours <= 0 AND (valid OR problems IS NULL OR problems = '')"), 0);
    assert_eq!(count(&world, "abs(bq_m3 - pci_l * 37) > 1e-9"), 0);
    assert_eq!(count(&world, "started < '1987-01-01' OR started > '1989-12-31'"), 0);
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let homes: i64 = connection.query_row("SELECT count(*) FROM properties", [], |r| r.get(0)).unwrap();
    assert_eq!(homes, 919);
}

#[test]
fn a_second_run_adds_nothing() {
    let world = World::new();
    world.run(&import(SURVEY, &[])).ok();
    let before = world.entries();
    world.run(&import(SURVEY, &[])).ok();
    assert_eq!(world.entries(), before);
    world.run(&["verify"]).ok();
}

#[test]
fn twins_in_one_file_stay_two_and_a_dry_run_writes_nothing() {
    let world = World::new();
    let head = "idnum,activity,startdt,starttm,stopdt,stoptm,floor\n";
    let row = "7,4.0,012088,0930,012288,0930,0\n";
    let file = world.file("twins.csv", format!("{head}{row}{row}"));
    let before = world.entries();
    assert_eq!(world.run(&import(&file, &["--dry-run"])).ok(), "2 rows: 2 tests would go in, 1 new property\n");
    assert_eq!(world.entries(), before);
    assert_eq!(world.run(&import(&file, &[])).ok(), "2 rows: 2 tests went in, 1 new property\n");
    world.run(&import(&file, &[])).ok();
    assert_eq!(count(&world, "true"), 2);
}

#[test]
fn wrong_rows_are_named_by_line_and_the_rest_goes_in() {
    let head = "idnum,activity,startdt,starttm,stopdt,stoptm,floor\n";
    let rows = "7,4.0,012088,0930,012288,0930,0\n8,abc,012088,0930,012288,0930,0\n9,2.0,023088,0930,012288,0930,0\n";
    let world = World::new();
    let file = world.file("dirty.csv", format!("{head}{rows}"));
    let outcome = world.run(&import(&file, &[]));
    assert_eq!(outcome.code, 1, "{}", outcome.stderr);
    assert!(outcome.stderr.contains("line 3") && outcome.stderr.contains("line 4"), "{}", outcome.stderr);
    assert!(!outcome.stderr.contains("line 2"), "{}", outcome.stderr);
    assert_eq!(count(&world, "true"), 1);

    let world = World::new();
    let file = world.file("dirty.csv", format!("{head}{rows}"));
    let before = world.entries();
    let outcome = world.run(&import(&file, &["--all-or-nothing"]));
    assert_eq!(outcome.code, 1, "{}", outcome.stderr);
    assert_eq!(world.entries(), before);
    assert!(outcome.stderr.contains("nothing was written"), "{}", outcome.stderr);
}

#[test]
fn a_house_of_which_no_row_goes_in_does_not_come_into_the_ledger() {
    let world = World::new();
    let rows = "idnum,activity,startdt,starttm,stopdt,stoptm,floor\n7,4.0,012088,0930,012288,0930,0\n\
                8,4.0,012030,0930,012230,0930,0\n";
    let file = world.file("future.csv", rows);
    let dry = world.run(&import(&file, &["--dry-run", "--json"]));
    let run = world.run(&import(&file, &["--json"]));
    assert_eq!((dry.code, &dry.stdout), (1, &run.stdout));
    assert!(run.stderr.contains("line 3: 2030-01-20"), "{}", run.stderr);
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let keys: String = connection.query_row("SELECT group_concat(key) FROM properties", [], |r| r.get(0)).unwrap();
    assert_eq!(keys, "home-7");
}

#[test]
fn an_unknown_column_is_named_with_those_there_are() {
    let world = World::new();
    let file = world.file("other.csv", "home,level\n1,2\n");
    let said = world.refused(2, &import(&file, &[]));
    assert!(said.contains("idnum") && said.contains("home") && said.contains("level"), "{said}");
}

#[test]
fn a_file_that_is_not_utf_8_is_refused_with_its_line() {
    let world = World::new();
    let file = world.file("latin.csv", b"idnum,activity,startdt,starttm,stopdt,stoptm,floor\n7,4\xb5,1,1,1,1,0\n");
    let said = world.refused(1, &import(&file, &["--all-or-nothing"]));
    assert!(said.contains("UTF-8") && said.contains("line 2"), "{said}");
}

#[test]
fn the_length_of_a_test_is_elapsed_time_where_the_zone_is_known() {
    // Row 5405 runs from 31 March 1988 07:00 to 4 April 07:30; clocks there went forward on 3 April: 96.5 less 1 hours.
    for (zone, hours) in [("UTC", 96.5), ("America/Chicago", 95.5)] {
        let world = World::new();
        world.run(&import(SURVEY, &["--zone", zone])).ok();
        assert_eq!(count(&world, &format!("property = 'home-5405' AND hours = {hours}")), 1, "{zone}");
    }
}
