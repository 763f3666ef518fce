//! A logger's files: attached, summarised, compared, and refused by line.

use std::fmt::Write;

use stemwall::command::air::again;
use stemwall::ledger::kind::Fact;
use stemwall::store::Store;

use crate::world::{World, dated};

/// A row an hour from midnight of `day`, temperature and humidity as `of` gives them.
fn log(day: &str, hours: i64, of: impl Fn(i64) -> (&'static str, &'static str)) -> String {
    let start = format!("{day} 00:00");
    let start = chrono::NaiveDateTime::parse_from_str(&start, "%Y-%m-%d %H:%M").unwrap();
    let mut out = String::from("Time,Temperature (F),Humidity (%)\n");
    for hour in 0..hours {
        let at = (start + chrono::TimeDelta::hours(hour)).format("%Y-%m-%d %H:%M");
        let (t, h) = of(hour);
        writeln!(out, "{at},{t},{h}").unwrap();
    }
    out
}

/// The words without their line breaks.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn why_of(world: &World) -> String {
    flat(&world.run(&["why", "elm/crawl"]).ok())
}

fn with_crawl_space() -> World {
    let world = World::with_house();
    world.run(&["section", "add", "elm/crawl", "--foundation", "crawl-space"]).ok();
    world
}

fn import(world: &World, more: &[&str]) -> String {
    world.run(&[&["air", "import-hours", "elm/crawl"][..], more].concat()).ok()
}

#[test]
fn a_record_is_summarised_and_the_section_is_judged_by_it() {
    let world = with_crawl_space();
    // 40 days at 68 F (20 C) and 85 %: the mean is 85, wood settles at 18.002 %; with a surface 6 F below (62 F, 16.667 C) the
    // air's vapour makes 85 x 2338.8 / 1895.9 = 104.9 % there by the Handbook's pressures, and condenses in every hour.
    let file = world.file("winter.csv", log("2026-01-10", 40 * 24, |_| ("68", "85")));
    let said = import(&world, &[&file, "--at", "north joists", "--class", "sensitive"]);
    assert_eq!(
        said,
        "960 hours of record, none missing\n  \
           air 68 F (20 C), 20.0 to 20.0 C; humidity 85 %, 85 % to 85 %; 960 hours at 80 % or more\n\
         recorded elm#4: air logged at north joists 2026-01-10T00:00 to 2026-02-19T00:00: 960 hours, mean 85 % relative humidity at \
         20 C, from winter.csv\n\
         elm/crawl now: watch · north joists, 10 Jan 2026 to 19 Feb 2026: highest 30-day mean 85 % relative humidity of the air, as at \
         surfaces no colder than it (10 Jan 2026 to 9 Feb 2026, at 68 F (20 C)), over 80 %\n\
         ask why: stemwall why elm/crawl\n"
    );
    let why = why_of(&world);
    for part in [
        "radon and air in `crawl` (crawl-space), 0 tests, 1 record",
        "rule `surface-humidity-30-days`",
        "mean of 85 % relative humidity, over 60 %",
        "wood settles at 18.0 % moisture in the air of those 30 days, under 20 %",
        "rule `mould-index-limit`",
        "radon (never tested)",
        "how cold the coldest surface at north joists is",
        "stemwall air import-hours elm/crawl FILE",
        "asked for by 21 Mar 2026",
        "confined space",
    ] {
        assert!(why.contains(part), "{part}\n{why}");
    }
    // What is not known of radon stays not known.
    assert!(world.run(&["status"]).ok().contains("radon (never tested) in `crawl`"));
    assert!(world.run(&["due", "--within", "60d"]).ok().contains("read the logger"));
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let sql =
        "SELECT mean_c, mean_humidity_pct, worst_30_days_humidity_pct, humid_hours, wood_pct, class FROM air_logs";
    let read = |r: &rusqlite::Row| {
        let reals: [f64; 3] = [r.get(0)?, r.get(1)?, r.get(2)?];
        Ok((reals, r.get::<_, i64>(3)?, r.get::<_, f64>(4)?, r.get::<_, String>(5)?))
    };
    let (reals, humid, wood, class) = connection.query_row(sql, [], read).unwrap();
    assert_eq!((reals, humid, class.as_str()), ([20.0, 85.0, 85.0], 960, "sensitive"));
    assert!((wood - 18.002).abs() < 6e-4, "{wood}");
    world.run(&["verify"]).ok();
}

#[test]
fn a_surface_is_read_or_taken_and_the_dew_point_is_compared_with_it() {
    let world = with_crawl_space();
    // psychrolib 2.5.0: 85 F and 60 % have their dew point at 69.56 F, 1.56 F (0.87 K) over a surface at 68 F.
    let text = log("2026-01-10", 31 * 24, |_| ("85", "60"));
    let file = world.file("log.csv", &text);
    import(&world, &[&file, "--surface-below", "17 F"]);
    let why = why_of(&world);
    let said = "surface (taken as 17 F below the air) 0.9 K (1.6 F) below the dew point at the least";
    assert!(why.contains(said), "{why}");
    assert!(why.contains("in 744 hours the air's vapour condenses on it"), "{why}");
    // With a probe at 70 F, 0.44 F over the dew point: nothing condenses.
    let probe =
        text.lines().map(|line| format!("{line},{}\n", if line.starts_with("Time") { "Pipe (F)" } else { "70" }));
    let file = world.file("probe.csv", probe.collect::<String>());
    import(&world, &[&file, "--surface", "Pipe (F)", "--at", "pipe"]);
    let why = why_of(&world);
    assert!(why.contains("surface (read in column `Pipe (F)`) 0.2 K (0.4 F) above the dew point"), "{why}");
}

#[test]
fn a_short_record_is_not_enough_yet_and_an_old_one_says_nothing_of_now() {
    let world = with_crawl_space();
    let file = world.file("short.csv", log("2026-02-10", 12 * 24, |_| ("60", "50")));
    let said = import(&world, &[&file]);
    // 10 February and 30 days.
    assert!(
        said.contains("not enough yet for a 30-day mean, 288 hours of 720; enough on 12 Mar 2026 if it runs on"),
        "{said}"
    );
    let world = with_crawl_space();
    let file = world.file("old.csv", log("2025-07-01", 31 * 24, |_| ("75", "90")));
    let said = import(&world, &[&file]);
    assert!(!said.contains("now:"), "{said}");
    let why = why_of(&world);
    assert!(why.contains("not known: nothing recorded here can be compared"), "{why}");
    assert!(
        why.contains("the air there now (logged 1 Jul 2025 to 1 Aug 2025)") && why.contains("it says nothing of now"),
        "{why}"
    );
    // On the day after its end it spoke.
    let then = world.on("2025-08-10").run(&["why", "elm/crawl"]).ok();
    let then = flat(&then);
    assert!(then.contains("watch: 1 Jul 2025 to 1 Aug 2025: highest 30-day mean 90 %"), "{then}");
}

#[test]
fn the_same_file_adds_nothing_and_an_overlap_is_said() {
    let world = with_crawl_space();
    let file = world.file("log.csv", log("2026-01-10", 31 * 24, |_| ("60", "50")));
    import(&world, &[&file]);
    let before = world.entries();
    let said = import(&world, &[&file]);
    assert!(said.contains("was recorded before as elm#4: nothing was added"), "{said}");
    assert_eq!(world.entries(), before);
    // Given without the place that it was recorded with, it is the same record.
    let placed = world.file("placed.csv", log("2026-01-10", 31 * 24, |_| ("61", "50")));
    assert!(import(&world, &[&placed, "--at", "north joists"]).contains("air logged at north joists"));
    let before = world.entries();
    assert!(import(&world, &[&placed]).contains("nothing was added"));
    assert_eq!(world.entries(), before);
    let longer = world.file("longer.csv", log("2026-01-10", 40 * 24, |_| ("60", "50")));
    let said = import(&world, &[&longer]);
    let overlap = "it overlaps elm#4 (2026-01-10T00:00 to 2026-02-10T00:00); the record that ends last is compared";
    assert!(flat(&said).contains(overlap), "{said}");
    // At another place it is a record of its own.
    assert!(!import(&world, &[&longer, "--at", "south"]).contains("overlaps"));
    world.run(&["verify"]).ok();
}

#[test]
fn files_given_together_are_one_record_and_their_hours_can_be_read_again() {
    let world = with_crawl_space();
    // 20 days and 20 days: 480 hours each, too few alone; a tenth of a degree and of a per cent on the way.
    let first = world.file("a.csv", log("2026-01-01", 480, |h| if h % 3 == 0 { ("60.1", "81.3") } else { ("", "") }));
    let second = world.file("b.csv", log("2026-01-21", 480, |h| (["60.1", "58.7"][h as usize % 2], "84.9")));
    let said = import(&world, &[&first, &second, "--surface-below", "3 C"]);
    assert!(said.starts_with("640 hours of record, 320 missing in 160 places (the longest 2 h)"), "{said}");
    let mut store = Store::open(&world.ledger()).unwrap();
    let id = store.property_id("elm").unwrap().unwrap();
    let log = store.folded(id).unwrap().property.air_logs[0].log.clone();
    assert_eq!(log.files.iter().map(|f| f.name.as_str()).collect::<Vec<_>>(), ["a.csv", "b.csv"]);
    let summary = again(&store, &log).unwrap().unwrap();
    let read = stemwall::ledger::kind::air_logged::AirLogged::of(
        log.section.clone(),
        &summary,
        log.read_as.clone(),
        log.files.clone(),
    );
    let as_said = |log| Fact::AirLogged(log);
    assert_eq!(
        as_said(stemwall::ledger::kind::air_logged::AirLogged { surface: log.surface.clone(), ..read }),
        as_said(log)
    );
    // Out of order they overlap.
    let said = world.refused(1, &["air", "import-hours", "elm/crawl", &second, &first]);
    assert!(said.contains("2026-01-01 00:00:00 is before 2026-02-09 23:00:00 of the row above"), "{said}");
}

#[test]
fn a_class_can_be_set_right_without_the_file() {
    let world = with_crawl_space();
    // The mould equations in Python, apart from this program: 20 C and 97 %, the most sensitive class at 3 after 20.83 days.
    let file = world.file("log.csv", log("2026-01-10", 31 * 24, |_| ("68", "97")));
    import(&world, &[&file]);
    let peak = |world: &World| {
        let connection = rusqlite::Connection::open(world.ledger()).unwrap();
        connection.query_row("SELECT mould_index_peak FROM air_logs", [], |r| r.get::<_, f64>(0)).unwrap()
    };
    assert!(peak(&world) > 3.0);
    assert!(why_of(&world).contains("watch: 10 Jan 2026 to 10 Feb 2026: mould index"));
    world.run(&["correct", "elm#4", "--class", "resistant", "--why", "it is treated wood"]).ok();
    assert!(peak(&world) < 3.0);
    assert!(why_of(&world).contains("for a resistant material"));
    world.run(&["verify"]).ok();
}

/// A file, flags, the exit code and what is said.
struct Refused(&'static str, &'static [&'static str], i32, &'static str);

#[rustfmt::skip]
const REFUSED: &[Refused] = &[
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60,50\n2026-02-02 01:00,60,50\n", &[], 1,
"error: `DIR/log.csv` line 3: 2026-02-02 01:00:00 is before 2026-02-02 02:00:00 of the row above
given: 2026-02-02 01:00:00
  try: a clock was set back, as in the night when summer time ends, or files overlap: keep the logger on standard time, cut the doubled hour out, or give the files in order
"),
    Refused("Time,Temp,RH\n2026-02-02 02:00,60,50\n", &[], 2,
"error: the unit of `Temp` is not said in `DIR/log.csv`
given: Temp
  try: add `--unit F` or `--unit C`
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60,50\n2026-02-02 03:00,16 C,50\n", &[], 1,
"error: units are mixed in `DIR/log.csv`: F by column `Temp (F)`, C in line 3
given: DIR/log.csv
  try: cut the file where the unit changes, and give each part by itself
"),
    Refused("Time,Temp (F),RH\n", &["--unit", "C"], 1,
"error: units are mixed in `DIR/log.csv`: C by --unit, F in line 1
given: DIR/log.csv
  try: cut the file where the unit changes, and give each part by itself
"),
    Refused("Time,Temp (F),RH\n02/03/2026 10:00,60,50\n", &[], 1,
"error: `DIR/log.csv` line 2: `02/03/2026 10:00` is not a time
given: 02/03/2026 10:00
  try: say how they are written, as in `--times \"%m/%d/%Y %H:%M\"`
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60,50\n02/03/2026 10:00,60,50\n", &[], 1,
"error: `DIR/log.csv` line 3: `02/03/2026 10:00` is not a time
given: 02/03/2026 10:00
  try: `--times \"%Y-%m-%d %H:%M\"` says how they are written
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,warm,50\n2026-02-02 03:00,60,damp\n", &[], 1,
"error: `DIR/log.csv` line 2: `warm` is not a temperature
given: warm
  try: write it as in `61.5`, or leave the cell empty where the sensor gave none
error: `DIR/log.csv` line 3: `damp` is not a humidity in per cent
given: damp
  try: write it as in `78.5`, or leave the cell empty where the sensor gave none
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,600,50\n2026-02-02 03:00,60,101\n2050-02-02 03:00,60,50\n", &[], 1,
"error: `DIR/log.csv` line 2: the temperature is outside -40 to 80 C (-40 to 176 F)
given: line 2
  try: look at the unit; leave the cell empty where the sensor failed
error: `DIR/log.csv` line 3: the humidity is outside 0 to 100 %
given: line 3
  try: look at the column; leave the cell empty where the sensor failed
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60,50\n2050-02-02 03:00,60,50\n", &[], 1,
"error: `DIR/log.csv` line 3: the record spans more than 200000 hours
given: line 3
  try: look at the year; where it is right, give the years as files of their own
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60\n", &[], 1,
"error: `DIR/log.csv` line 2: the row has 2 fields, and column `RH` is not among them
given: line 2
  try: mend the row, or take it out: a missing hour is kept as missing
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,,\n", &[], 1,
"error: `DIR/log.csv` has no hour with a temperature and a humidity in it
given: DIR/log.csv
  try: look whether it is the right file, and at its columns
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60,50\n", &["--humidity", "Damp"], 2,
"error: there is no column `Damp` in `DIR/log.csv`
given: --humidity Damp
  try: its columns are Time, Temp (F), RH
"),
    Refused("Time,Temp in (F),Temp out (F),RH\n2026-02-02 02:00,60,50,50\n", &[], 2,
"error: which column of `DIR/log.csv` holds the temperature?
given: air import-hours elm/crawl DIR/log.csv
  try: name it with --temperature; its columns are Time, Temp in (F), Temp out (F), RH
"),
    Refused("Time,Temp (F),RH,RH\n2026-02-02 02:00,60,50,50\n", &["--humidity", "RH"], 1,
"error: two columns of `DIR/log.csv` are called `RH`
given: RH
  try: give the columns names of their own in the first line
"),
    Refused("Time,Temp (F),RH\n2026-02-02 02:00,60,50\n", &["--surface-below", "cold", "--class", "wood", "--unit", "K"], 2,
"error: `cold` is not a difference of temperature up to 40 K (72 F)
given: --surface-below cold
  try: one of `6 F`, `3.5 C`
error: `K` is not a unit of temperature
given: --unit K
  try: one of F, C
error: `wood` is not a class of material
given: --class wood
  try: one of very-sensitive, sensitive, medium, resistant
"),
    // The last hour of the file is still to come.
    Refused("Time,Temp (F),RH\nDAY+2 02:00,60,50\n", &[], 1,
"error: DAY+2T02:59 is in the future
given: DAY+2T02:59
  try: give a day up to DAY
"),
];

#[test]
fn files_that_cannot_be_a_record_are_refused_by_line() {
    let world = with_crawl_space();
    for Refused(text, flags, code, want) in REFUSED {
        let file = world.file("log.csv", dated(text));
        let said = world.refused(*code, &[&["air", "import-hours", "elm/crawl", &file][..], flags].concat());
        assert_eq!(said, dated(want), "{text}");
    }
    let utf16: Vec<u8> = "\u{feff}Time,Temp (F),RH\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let other = [
        (utf16, "it is written in UTF-16"),
        (b"Time,Temp (F),RH\0\n".to_vec(), "there are zero bytes in it"),
        (b"Time,Temp (F),RH\n2026-02-02 02:00,60,5\xff\n".to_vec(), "a row has other bytes in it"),
    ];
    for (bytes, found) in other {
        let file = world.file("log.csv", bytes);
        let said = world.refused(1, &["air", "import-hours", "elm/crawl", &file]);
        let advice = "have the logger's program write CSV in UTF-8, and give it again";
        assert_eq!(
            said,
            format!("error: `DIR/log.csv` is not text in UTF-8: {found}\ngiven: DIR/log.csv\n  try: {advice}\n")
        );
    }
    let endless = format!("Time,Temp (F),RH\n2026-02-02 02:00,\"60,50\n{}", "x".repeat(3 << 20));
    let file = world.file("log.csv", endless);
    let said = world.refused(1, &["air", "import-hours", "elm/crawl", &file]);
    assert_eq!(
        said,
        "error: `DIR/log.csv` line 2: the row is longer than a megabyte\ngiven: DIR/log.csv\n  \
           try: look for a quotation mark that is not closed, and whether it is the right file\n"
    );
    let said = world.refused(1, &["air", "import-hours", "elm/crawl", "none.csv"]);
    assert_eq!(
        said,
        "error: the file `none.csv` cannot be read: there is no such file\ngiven: none.csv\n  try: look at the path\n"
    );
    let said = world.refused(1, &["air", "import-hours", "elm/crawl", "."]);
    assert!(said.starts_with("error: the file `.` cannot be read: "), "{said}");
    world.file("log.csv", "Time,Temp (F),RH\n2026-02-02 02:00,60,50\n");
    let said = world.refused(2, &["air", "import-hours", "elm", "log.csv"]);
    assert!(said.starts_with("error: `elm` is not a section"), "{said}");
    // Nothing of what was refused is kept.
    let files = world.path("houses.stemwall.files");
    let folders = std::fs::read_dir(files).into_iter().flatten().map(|entry| entry.unwrap().path());
    let left: Vec<_> =
        folders.flat_map(|folder| std::fs::read_dir(folder).unwrap()).map(|e| e.unwrap().path()).collect();
    assert!(left.is_empty(), "{left:?}");
}

#[test]
fn a_record_stands_in_a_dossier_and_in_a_table() {
    let world = with_crawl_space();
    world.file("a.csv", log("2026-01-01", 24, |_| ("50", "60.0")));
    import(&world, &["a.csv"]);
    world.run(&["dossier", "elm", "--out", "d.html"]).ok();
    world.run(&["verify", "d.html"]).ok();
    let page = std::fs::read_to_string(world.path("d.html")).unwrap();
    // 50 F are 10 C.
    assert!(page.contains("24 hours, mean 60 % relative humidity at 10 C, from a.csv</p>"), "{page}");
    assert!(page.contains("File a.csv, "), "{page}");
    world.run(&["export", "csv", "--out", "tables"]).ok();
    let table = std::fs::read_to_string(world.path("tables/air_logs.csv")).unwrap();
    assert!(table.lines().nth(1).is_some_and(|row| row.starts_with("elm,4,crawl,,2026-01-01T00:00,")), "{table}");
}
