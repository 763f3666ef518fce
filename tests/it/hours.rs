//! A continuous monitor's file: attached, summarised, checked.

use crate::world::World;

/// Hours from 10:00 on 2 February 2026, one row each.
fn log(levels: &[&str]) -> String {
    let row = |(i, level): (usize, &&str)| {
        let (day, hour) = (2 + (10 + i) / 24, (10 + i) % 24);
        format!("2026-02-{day:02} {hour:02}:00,{level},71\n")
    };
    format!("Time,Radon,Temp\n{}", levels.iter().enumerate().map(row).collect::<String>())
}

const TAKE: [&str; 5] = ["--time", "Time", "--level", "Radon", "--closed"];

fn import(world: &World, file: &str, more: &[&str]) -> crate::world::Outcome {
    world.run(&[&["radon", "import-hours", "elm/main", file][..], &TAKE, &["yes"], more].concat())
}

#[test]
fn a_record_is_averaged_without_its_first_four_hours_and_attached() {
    let world = World::with_house();
    // Four hours at 9, then 24 at 3.0 and 24 at 5.0 in turns: the mean of those 48 is 4.0.
    let levels: Vec<&str> = (0..52)
        .map(|i| {
            if i < 4 {
                "9.0"
            } else if i % 2 == 0 {
                "3.0"
            } else {
                "5.0"
            }
        })
        .collect();
    let file = world.file("log.csv", log(&levels));
    let said = import(&world, &file, &[]).ok();
    assert!(said.starts_with("52 hours of record, 48 counted\n"), "{said}");
    assert!(
        said.contains("radon test, monitor: 4 pCi/L, 2026-02-02T10:00 to 2026-02-04T14:00, closed house yes"),
        "{said}"
    );
    assert!(said.contains("attached to entry 3: log.csv"), "{said}");
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let row = "SELECT pci_l, hours, valid FROM radon_tests";
    let row = connection.query_row(row, [], |r| Ok((r.get::<_, f64>(0)?, r.get::<_, f64>(1)?, r.get::<_, bool>(2)?)));
    assert_eq!(row.unwrap(), (4.0, 52.0, true));
    world.run(&["verify"]).ok();
}

#[test]
fn a_hole_in_a_record_takes_its_validity_and_is_not_filled() {
    let world = World::with_house();
    let mut levels = vec!["2.0"; 60];
    levels[20] = "";
    let file = world.file("log.csv", log(&levels));
    let said = import(&world, &file, &[]).ok();
    assert!(said.contains("hour 21 is missing: it does not count as a test"), "{said}");
    assert!(said.contains("1 hour of its record missing"), "{said}");
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let valid: bool = connection.query_row("SELECT valid FROM radon_tests", [], |r| r.get(0)).unwrap();
    assert!(!valid);
}

#[test]
fn what_stands_out_is_said_as_observation() {
    let world = World::with_house();
    let levels: Vec<String> =
        (0..60).map(|i| if i < 30 { format!("{}.{}", 6 + i % 3, i % 7) } else { "1.1".into() }).collect();
    let levels: Vec<&str> = levels.iter().map(String::as_str).collect();
    let file = world.file("log.csv", log(&levels));
    let said = import(&world, &file, &[]).ok();
    assert!(
        said.contains("observed: hour 31 falls from") && said.contains("observed: hours 31 to 60 all show"),
        "{said}"
    );
    assert!(!said.to_lowercase().contains("tamper"), "{said}");
    // The verdict shows it beside what decides: it moves no band, and names nothing and nobody.
    let why = world.run(&["why", "elm/main"]).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    let beside =
        "for comparison only monitor's record from 2026-02-02T10:00: observed: hours 31 to 60 all show 1.1 pCi/L";
    assert!(why.contains(beside) && why.contains("observed: hour 31 falls from"), "{why}");
    assert!(why.contains("rule `radon-monitor-signs`") && !why.to_lowercase().contains("tamper"), "{why}");
}

#[test]
fn a_file_that_cannot_be_a_record_is_refused_by_line() {
    let world = World::with_house();
    let file = |rows: &str| world.file("log.csv", format!("Time,Radon\n{rows}"));
    let refused = |file: &str, code| {
        world.refused(code, &[&["radon", "import-hours", "elm/main", file][..], &TAKE, &["yes"]].concat())
    };
    let said = refused(&file("2026-02-02 10:00,2\n2026-02-02 09:00,2\n"), 1);
    assert_eq!(
        said,
        "error: line 3: 2026-02-02 09:00:00 is before 2026-02-02 10:00:00 of the line above\n\
         given: 2026-02-02 09:00:00\n  \
           try: have the monitor write the time of the house or standard time all through, and give the file again\n"
    );
    let said = refused(&file("2/2/26 10:00,2\n2026-02-02 11:00,high\n"), 1);
    assert!(
        said.contains("line 2: `2/2/26 10:00` is not a time") && said.contains("line 3: `high` is not a radon"),
        "{said}"
    );
    let said = refused(&file(""), 1);
    assert!(said.starts_with("error: the file has no hour in it"), "{said}");
    let said = refused(&file("2026-02-02 10:00,2\n2036-02-02 11:00,2\n"), 1);
    assert!(said.starts_with("error: the file is of more than 30000 hours"), "{said}");
    let other = world.file("other.csv", "When,Level\n2026-02-02 10:00,2\n");
    let said = refused(&other, 2);
    assert!(said.contains("there is no column `Time`") && said.contains("its columns are When, Level"), "{said}");
    assert!(
        !world.path("houses.stemwall.files").exists()
            || std::fs::read_dir(world.path("houses.stemwall.files")).unwrap().count() == 0
    );
}

#[test]
fn a_pair_stands_at_one_place_and_no_charcoal_takes_half_a_year() {
    let world = World::with_house();
    world.run(&["section", "add", "elm/hall", "--foundation", "slab"]).ok();
    let test = |section: &'static str, more: &[&'static str]| {
        let plain =
            ["radon", "add", section, "--device", "charcoal", "--result", "5 pCi/L", "--started", "2025-02-02T10:00"];
        [&plain[..], more].concat()
    };
    world.run(&test("elm/main", &["--lasted", "48 h"])).ok();
    let said = world.refused(1, &test("elm/hall", &["--lasted", "48 h", "--beside", "elm#3"]));
    assert!(said.starts_with("error: entry 3 ") || said.starts_with("error: the test of entry"), "{said}");
    let said = world.refused(1, &test("elm/hall", &["--lasted", "48 h", "--beside", "elm#4"]));
    assert!(said.starts_with("error: the test of entry 4 stood at another place"), "{said}");
    let said = world.refused(1, &test("elm/main", &["--lasted", "180 days", "--room", "den"]));
    assert!(said.starts_with("error: no charcoal device takes so long: they measure up to 7 days"), "{said}");
}

#[test]
fn a_file_whose_header_tells_its_columns_needs_no_flags_and_comes_in_once() {
    let world = World::with_house();
    // 148 Bq/m3 all through: 148 / 37 = 4 pCi/L.
    let rows: String = (0..52).map(|i| format!("2026-02-{:02}T{:02}:00:00,20.5,148\n", 2 + i / 24, i % 24)).collect();
    let file = world.file("log.csv", format!("Date,Temp C,Radon (Bq/m3)\n{rows}"));
    let said = world.run(&["radon", "import-hours", "elm/main", &file]).ok();
    assert!(said.contains("radon test, monitor: 4 pCi/L, 2026-02-02T00:00 to 2026-02-04T04:00"), "{said}");
    let before = world.entries();
    let said = world.run(&["radon", "import-hours", "elm/main", &file]).ok();
    assert!(said.contains("was recorded before as elm#3: nothing was added"), "{said}");
    assert_eq!(world.entries(), before);
    let unnamed = world.file("other.csv", "When,Value\n2026-02-02 10:00,2\n");
    let said = world.refused(2, &["radon", "import-hours", "elm/main", &unnamed]);
    assert!(said.starts_with("error: which column of `DIR/other.csv` holds the time?"), "{said}");
    assert!(said.contains("try: name it: `--time COLUMN`; its columns are When, Value"), "{said}");
}

/// Rows of a record, each at so many seconds after a wall time.
fn rows(first: &str, seconds: impl Iterator<Item = i64>) -> String {
    let first: chrono::NaiveDateTime = first.parse().unwrap();
    let row = |(i, at): (usize, i64)| {
        format!("{},{}\n", (first + chrono::TimeDelta::seconds(at)).format("%Y-%m-%d %H:%M:%S"), [2.0, 2.2, 2.1][i % 3])
    };
    format!("Time,Radon\n{}", seconds.enumerate().map(row).collect::<String>())
}

fn in_chicago() -> World {
    let world = World::new().on("2026-11-20");
    world.run(&["property", "add", "elm", "--name", "Elm Street", "--zone", "America/Chicago"]).ok();
    world.run(&["section", "add", "elm/main", "--foundation", "basement"]).ok();
    world
}

fn hours_and_valid(world: &World) -> (f64, bool) {
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let row = "SELECT hours, valid FROM radon_tests ORDER BY seq DESC LIMIT 1";
    connection.query_row(row, [], |r| Ok((r.get(0)?, r.get(1)?))).unwrap()
}

#[test]
fn a_record_over_a_change_of_clocks_is_counted_in_elapsed_hours() {
    // Chicago: on 8 March 2026 02:00 is followed by 03:00, on 1 November 01:00 to 01:59 comes twice.
    let hour = 3600;
    let skipped = |i: i64| if i < 16 { i * hour } else { (i + 1) * hour }; // 10:00 and 16 h is 02:00
    let twice = |i: i64| if i < 16 { i * hour } else { (i - 1) * hour }; // 10:00 and 15 h is 01:00
    let fine_twice = |i: i64| if i < 32 { i * hour / 2 } else { (i - 2) * hour / 2 }; // 01:00 01:30 01:00 01:30
    let cases = [
        ("house in spring", rows("2026-03-07T10:00:00", (0..48).map(skipped))),
        ("standard in spring", rows("2026-03-07T10:00:00", (0..48).map(|i| i * hour))),
        ("house in autumn", rows("2026-10-31T10:00:00", (0..48).map(twice))),
        ("house in autumn, finer", rows("2026-10-31T10:00:00", (0..96).map(fine_twice))),
        ("standard in autumn", rows("2026-10-31T10:00:00", (0..48).map(|i| i * hour))),
    ];
    for (name, text) in cases {
        let world = in_chicago();
        let file = world.file("log.csv", text);
        let said = import(&world, &file, &[]).ok();
        assert!(
            said.starts_with("48 hours of record, 44 counted\n") && !said.contains("does not count"),
            "{name}: {said}"
        );
        assert_eq!(hours_and_valid(&world), (48.0, true), "{name}");
    }
    // One hour less is one hour less.
    let world = in_chicago();
    let file = world.file("log.csv", rows("2026-03-07T10:00:00", (0..47).map(skipped)));
    assert!(import(&world, &file, &[]).ok().contains("the record has 47 h, under 48 h: it does not count"));
    assert_eq!(hours_and_valid(&world), (47.0, false));
    // It ends at 01:00, which comes twice that day: its length is kept.
    let world = in_chicago();
    let file = world.file("log.csv", rows("2026-10-30T01:00:00", (0..48).map(|i| i * hour)));
    import(&world, &file, &[]).ok();
    assert_eq!(hours_and_valid(&world), (48.0, true));
}

#[test]
fn a_clock_that_drifts_leaves_no_hole_and_rows_hours_apart_are_no_record() {
    let world = World::with_house();
    for (name, step) in [("slow", 3605), ("fast", 3595)] {
        let file = world.file(name, rows("2026-02-02T10:58:00", (0..60).map(|i| i * step)));
        let said = import(&world, &file, &["--room", name]).ok();
        assert!(said.starts_with("60 hours of record, 56 counted\n") && !said.contains("missing"), "{name}: {said}");
    }
    // A row left out is a hole all the same.
    let file = world.file("hole.csv", rows("2026-02-02T10:58:00", (0..60).filter(|i| *i != 30).map(|i| i * 3605)));
    let said = import(&world, &file, &[]).ok();
    assert!(said.contains("hour 31 is missing: it does not count"), "{said}");
    let file = world.file("coarse.csv", rows("2026-02-02T10:00:00", (0..16).map(|i| i * 6 * 3600)));
    let said = world.refused(1, &[&["radon", "import-hours", "elm/main", &file][..], &TAKE, &["yes"]].concat());
    assert_eq!(
        said,
        "error: the rows of the file are 360 minutes apart and more\ngiven: DIR/coarse.csv\n  \
         try: a record has a row an hour or finer; give the mean of the whole to `stemwall radon add`\n"
    );
}

#[test]
fn what_is_left_out_is_what_the_standard_knows_and_leaves_enough() {
    // MAH-2019 8.5.3 c): the first 4, 12 or more, 24 or more. 6.1.2: 46 on end after 12 or more.
    let world = World::with_house();
    let file = world.file("log.csv", rows("2026-02-02T10:00:00", (0..60).map(|i| i * 3600)));
    for hours in ["1", "3", "5", "7", "11"] {
        let line = [&["radon", "import-hours", "elm/main", &file][..], &TAKE, &["yes", "--discard", hours]].concat();
        let said = world.refused(2, &line);
        assert_eq!(
            said,
            format!(
                "error: {hours} hours are left out at the start of no record\ngiven: --discard {hours}\n  \
                 try: 4, 12 or more for a house closed late, 24 or more after a fan start; 0 where the monitor left them \
                 out itself\n"
            )
        );
    }
    // 60 - 14 = 46 counts, 60 - 15 = 45 does not.
    let said = import(&world, &file, &["--discard", "14", "--room", "den"]).ok();
    assert!(said.starts_with("60 hours of record, 46 counted\n") && !said.contains("does not count"), "{said}");
    assert_eq!(hours_and_valid(&world), (60.0, true));
    let said = import(&world, &file, &["--discard", "15", "--room", "office"]).ok();
    assert!(said.contains("45 h are left to count, under 46 h: it does not count as a test"), "{said}");
    assert_eq!(hours_and_valid(&world), (60.0, false));
    let why = world.run(&["why", "elm/main"]).ok().split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(why.contains("does not count: 45 h of the monitor's record are left to count, under 46 h"), "{why}");
}

#[test]
fn a_file_of_another_shape_is_told_by_its_cause() {
    let world = World::with_house();
    let refused = |name: &str, text: &str, more: &[&str]| {
        let file = world.file(name, text);
        world.refused(1, &[&["radon", "import-hours", "elm/main", &file][..], &TAKE, &["yes"], more].concat())
    };
    assert_eq!(
        refused("semi.csv", "Time;Radon\n2026-02-02 10:00;2,1\n", &[]),
        "error: the columns of `DIR/semi.csv` are kept apart by semicolons\ngiven: DIR/semi.csv\n  \
         try: save it with commas, and give it again\n"
    );
    // One cause is told once.
    let rows = (1..30).map(|day| format!("2/{day}/2026 10:00,2\n")).collect::<String>();
    assert_eq!(
        refused("us.csv", &format!("Time,Radon\n{rows}"), &[]),
        "error: line 2: `2/1/2026 10:00` is not a time\ngiven: 2/1/2026 10:00\n  \
         try: say how they are written: `--times \"%m/%d/%Y %H:%M\"` reads `03/01/2026 10:00`\n"
    );
    assert_eq!(
        refused("us.csv", &format!("Time,Radon\n{rows}"), &["--times", "%d.%m.%Y %H:%M"]),
        "error: line 2: `2/1/2026 10:00` is not a time\ngiven: 2/1/2026 10:00\n  \
         try: `%d.%m.%Y %H:%M` does not read it: make `--times` as the file has them\n"
    );
    let said = refused("later.csv", &self::rows("2027-02-02T10:00:00", (0..50).map(|i| i * 3600)), &[]);
    assert!(said.contains("in the future") && !said.contains("there is no entry"), "{said}");
    let file = world.file("log.csv", self::rows("2026-02-02T10:00:00", (0..50).map(|i| i * 3600)));
    let said = import(&world, &file, &["--storey", "other", "--from-sump", "8 ft"]).ok();
    assert!(said.contains(", level other") && said.contains(", 8 ft from a sump"), "{said}");
}
