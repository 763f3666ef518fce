//! Everything out again, and in elsewhere with the same seals.

use std::process::Command;

use proptest::prelude::{Strategy, prop_assert_eq, prop_oneof, proptest};

use crate::dossier::on_one_line;
use crate::world::World;

/// Rows of a CSV file as another reader has them: Python's.
fn by_python(path: &std::path::Path) -> Vec<Vec<String>> {
    let program = "import csv, json, sys\nprint(json.dumps(list(csv.reader(open(sys.argv[1], encoding='utf-8-sig', newline='')))))";
    let output = Command::new("python3").args(["-c", program]).arg(path).output().expect("python3 runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).unwrap()
}

pub fn demo() -> World {
    let world = World::empty();
    world.run(&["demo", "--into", "demo"]).ok();
    std::fs::rename(world.path("demo/houses.stemwall"), world.ledger()).unwrap();
    std::fs::rename(world.path("demo/houses.stemwall.files"), world.path("houses.stemwall.files")).unwrap();
    world
}

fn seals(world: &World) -> Vec<(String, i64, Vec<u8>)> {
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let mut statement =
        connection.prepare("SELECT property, entries, head FROM chains WHERE chain > 0 ORDER BY property").unwrap();
    let rows = statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?))).unwrap();
    rows.map(Result::unwrap).collect()
}

#[test]
fn entries_come_into_an_empty_ledger_with_the_same_seals_and_files() {
    let (world, other) = (demo(), World::new());
    let said = world.run(&["export", "json", "--out", "e.jsonl"]).ok();
    assert!(on_one_line(&said).starts_with("wrote e.jsonl: 345 entries, 17 files in e.jsonl.files"), "{said}");
    let file = world.path("e.jsonl");
    let file = file.to_str().unwrap();
    assert_eq!(other.run(&["import", "json", file]).ok(), "took in 4 properties, 345 entries\n");
    assert_eq!(seals(&world), seals(&other));
    assert!(other.run(&["verify"]).ok().contains("every hash, link, file and computed row agrees"));
    // Again, and nothing changes.
    let before = other.entries();
    assert_eq!(other.run(&["import", "json", file]).ok(), "took in 0 properties, 0 entries; 4 were here already\n");
    assert_eq!(other.entries(), before);
    // What goes out there is what went out here.
    other.run(&["export", "json", "--out", "e.jsonl"]).ok();
    let sorted = |world: &World| {
        let mut lines: Vec<String> =
            std::fs::read_to_string(world.path("e.jsonl")).unwrap().lines().map(str::to_owned).collect();
        lines.sort();
        lines
    };
    assert_eq!(sorted(&world), sorted(&other));
}

#[test]
fn a_later_export_adds_what_is_new() {
    let (world, other) = (World::with_crack(), World::new());
    world.run(&["export", "json", "--out", "a.jsonl"]).ok();
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01"]).ok();
    world.run(&["export", "json", "elm", "--out", "b.jsonl"]).ok();
    for (name, said) in [("a.jsonl", "took in 1 property, 3 entries\n"), ("b.jsonl", "took in 1 property, 1 entry\n")] {
        assert_eq!(other.run(&["import", "json", world.path(name).to_str().unwrap()]).ok(), said);
    }
    assert_eq!(seals(&world), seals(&other));
}

#[test]
fn lines_that_are_no_entries_are_refused_by_their_number_and_nothing_comes_in() {
    let world = World::with_crack();
    world.run(&["export", "json", "--out", "e.jsonl"]).ok();
    let text = std::fs::read_to_string(world.path("e.jsonl")).unwrap();
    let other = World::new();
    let advice = "  try: give a file that `stemwall export json` wrote, as it was written\n";
    let lines: Vec<&str> = text.lines().collect();
    let apart = format!(
        "{}\n{}\n{}\n",
        lines[0],
        lines[1],
        lines[2].replace("\\\"property\\\":\\\"", "\\\"property\\\":\\\"x")
    );
    for (name, text, says) in [
        (
            "body.jsonl",
            text.replacen("south wall", "north wall", 1),
            "line 3 is not an entry: its body is not the one its envelope names",
        ),
        (
            "cut.jsonl",
            text[..text.len() - 40].to_owned(),
            "line 3 is not an entry: EOF while parsing a string at line 1 column ",
        ),
        ("words.jsonl", "hello\n".to_owned(), "line 1 is not an entry: expected value at line 1 column 1"),
        (
            "gap.jsonl",
            format!("{}\n{}\n", lines[0], lines[2]),
            "line 2 is not an entry: it does not follow the entry before it",
        ),
        ("other.jsonl", apart, "line 3 is not an entry: its envelope is not the canonical form of an envelope"),
    ] {
        let file = other.file(name, text);
        let said = other.refused(1, &["import", "json", &file]);
        assert!(said.starts_with(&format!("error: {says}")) && said.ends_with(advice), "{name}: {said}");
    }
    let file = other.file("long.jsonl", format!("{{\"envelope\":\"{}", "x".repeat(16 << 20)));
    let said = other.refused(1, &["import", "json", &file]);
    assert!(said.starts_with("error: line 1 is not an entry: it is longer than 16 MiB\n"), "{said}");
    let file = other.file("late.jsonl", format!("{}\n{}\n", lines[1], lines[2]));
    let said = other.refused(1, &["import", "json", &file]);
    assert!(
        said.contains("do not stand together: some begin on line 1")
            && said.contains("  try: put the entries of a property in one run"),
        "{said}"
    );
    other.refused(1, &["import", "json", "nowhere.jsonl"]);
}

#[test]
fn reference_python_reads_every_table_and_every_column() {
    let world = demo();
    world.run(&["export", "csv", "--out", "tables"]).ok();
    let heads = [
        (
            "properties",
            "property name zone built last_freeze first_freeze value_minor currency added_on archived_on archived_why",
        ),
        ("sections", "property name foundation walls area_m2 place"),
        (
            "findings",
            "property number kind place section opened_on closed_on closed_why answers readings last_read_on last_read",
        ),
        (
            "readings",
            "property seq finding on_day quantity typed value unit over_mm resolution_mm gauge point moved by note private \
             corrected_by",
        ),
        ("events", "property seq on_day kind by note private corrected_by"),
        ("notes", "property seq on_day subject text by note private corrected_by"),
        ("quotes", "property seq on_day findings amount_minor currency offered_by by note private corrected_by"),
        ("entries", "property seq kind on_day recorded_at by note private corrected_by struck_by erased_by hash"),
    ];
    for (name, head) in heads {
        let rows = by_python(&world.path(&format!("tables/{name}.csv")));
        assert_eq!(rows[0].join(" "), head);
        assert!(rows.len() > 1 && rows.iter().all(|row| row.len() == rows[0].len()), "{name}");
    }
    let tables = std::fs::read_dir(world.path("tables")).unwrap().count();
    assert_eq!(tables, 17);
    let bytes = std::fs::read(world.path("tables/notes.csv")).unwrap();
    assert!(bytes.starts_with(b"\xef\xbb\xbfproperty,seq,on_day,subject,text,by,note,private,corrected_by\r\n"));
    // One house alone.
    world.run(&["export", "csv", "heron-22", "--out", "heron"]).ok();
    let rows = by_python(&world.path("heron/readings.csv"));
    assert!(rows.len() > 10 && rows[1..].iter().all(|row| row[0] == "heron-22"));
}

/// What was said with an entry, and what became of it.
#[test]
fn reference_python_has_what_was_said_with_an_entry_and_what_became_of_it() {
    let world = World::with_crack();
    let reading = |on: &str, more: &[&str]| {
        world.run(&[&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", on], more].concat()).ok();
    };
    reading("2024-02-01T14:30", &["--note", "=cold, and wet", "--by", "Ada"]);
    reading("2024-03-01", &["--private"]);
    reading("2024-04-01", &["--note", "first words"]);
    world.run(&["correct", "elm#6", "--width", "0.9 mm", "--on", "2024-04-02T09:00", "--why", "misread"]).ok();
    world.run(&["correct", "elm#6", "--note", "last words", "--why", "unclear"]).ok();
    reading("2024-05-01", &[]);
    world.run(&["strike", "elm#9", "--why", "not this crack"]).ok();
    world.run(&["note", "add", "elm", "a word too many", "--on", "2024-06-01"]).ok();
    world.run(&["entry", "erase", "elm#11", "--why", "asked for"]).ok();
    world.run(&["export", "csv", "--out", "tables"]).ok();
    let cells = |name: &str, columns: &[&str]| -> Vec<String> {
        let rows = by_python(&world.path(&format!("tables/{name}.csv")));
        let at: Vec<usize> = columns.iter().map(|c| rows[0].iter().position(|head| head == c).unwrap()).collect();
        rows[1..].iter().map(|row| at.iter().map(|at| row[*at].as_str()).collect::<Vec<_>>().join("|")).collect()
    };
    let readings = cells("readings", &["seq", "on_day", "value", "by", "note", "private", "corrected_by"]);
    let wanted = [
        "4|2024-02-01T14:30|0.8|Ada|'=cold, and wet|0|",
        "5|2024-03-01|0.8|||1|",
        "6|2024-04-02T09:00|0.9||last words|0|8",
    ];
    assert_eq!(readings, wanted);
    let entries =
        cells("entries", &["seq", "kind", "on_day", "note", "private", "corrected_by", "struck_by", "erased_by"]);
    let wanted = [
        "4|reading-added|2024-02-01T14:30|'=cold, and wet|0|||",
        "5|reading-added|2024-03-01||1|||",
        "6|reading-added|2024-04-01|first words|0|8||",
        // A correction repeats the words that it leaves standing.
        "7|entry-corrected|2026-03-01|first words|0|||",
    ];
    assert_eq!(entries[3..7], wanted);
    assert_eq!(
        entries[8..11],
        ["9|reading-added|2024-05-01||0||10|", "10|entry-struck|2026-03-01||0|||", "11|note-added|2024-06-01||0|||12"]
    );
    // The time is when it was entered, and the hash the one in the ledger.
    let seal = world.run(&["property", "show", "elm", "--json"]).json()["seal"].as_str().unwrap().to_owned();
    assert_eq!(cells("entries", &["hash"])[11], seal);
}

/// What people and their spreadsheets can do to a text.
fn hostile() -> impl Strategy<Value = String> {
    prop_oneof![
        "[=+@'\t-]{1,2}[a-z|!()]{0,6}",
        "[a-z,;\"' \n\r\t]{1,12}",
        "[\u{590}-\u{5ff}\u{600}-\u{6ff}\u{202e}\u{200f}a-z]{1,8}",
        "(🏠|🧱|👩‍🔧|é|ß|＝|中){1,4}",
        "\\PC{1,12}",
    ]
}

proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(24))]
    #[test]
    fn reference_python_has_every_text_as_it_was_entered(texts in proptest::collection::vec(hostile(), 1..6)) {
        let world = World::with_house();
        let texts: Vec<&String> = texts.iter().filter(|text| !text.trim().is_empty()).collect();
        for text in &texts {
            world.run(&["note", "add", "elm", "--on", "2026-02-01", "--", text]).ok();
        }
        world.run(&["export", "csv", "--out", "tables"]).ok();
        let rows = by_python(&world.path("tables/notes.csv"));
        let unguarded = |cell: &String| match cell.strip_prefix('\'') {
            Some(rest) if rest.starts_with(['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠', '\'']) => rest.to_owned(),
            _ => cell.clone(),
        };
        let read: Vec<String> = rows[1..].iter().map(|row| unguarded(&row[4])).collect();
        let wanted: Vec<String> = texts.iter().map(|text| (*text).clone()).collect();
        prop_assert_eq!(read, wanted);
        for row in &rows[1..] {
            assert!(!row[4].starts_with(['=', '+', '-', '@', '\t', '\r']), "a formula: {:?}", row[4]);
        }
    }
}

#[test]
fn reference_shell_reads_a_copy() {
    let world = demo();
    world.run(&["export", "sqlite", "--out", "copy.db"]).ok();
    world.run(&["export", "sqlite", "heron-22", "--out", "heron.db"]).ok();
    for (name, houses) in [("copy.db", "4\n"), ("heron.db", "1\n")] {
        let output = Command::new("sqlite3")
            .arg("-readonly")
            .arg(world.path(name))
            .arg("SELECT count(*) FROM properties")
            .output();
        assert_eq!(String::from_utf8_lossy(&output.unwrap().stdout), houses);
        // A copy is a ledger: it can be checked like one.
        let mut command = Command::new(env!("CARGO_BIN_EXE_stemwall"));
        command.env_clear().env("NO_COLOR", "1").args(["--ledger", world.path(name).to_str().unwrap(), "verify"]);
        crate::world::finish(command, &[], &world.path("")).ok();
    }
    // The house goes on here.
    world.run(&["note", "add", "heron-22", "still here"]).ok();
}

#[test]
fn nothing_is_overwritten() {
    let world = World::with_crack();
    world.file("there", "mine");
    for what in ["csv", "json", "sqlite"] {
        let said = world.run(&["export", what, "--out", "there"]).fails(1);
        assert!(said.starts_with("error: `there` exists already\n"), "{said}");
        let said = world.run(&["export", what, "--out", "no/there"]).fails(1);
        assert!(said.starts_with("error: there is no folder `no`\n"), "{said}");
    }
    assert_eq!(std::fs::read_to_string(world.path("there")).unwrap(), "mine");
}
