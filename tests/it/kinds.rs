//! The kinds of entry document themselves, and what the schema says is what is stored.

use serde_json::Value;

use crate::errors::{refused, words};
use crate::world::{World, dated};

#[test]
fn every_kind_and_every_field_says_what_it_is_for() {
    let world = World::empty();
    let kinds = world.run(&["entry", "kinds", "--json"]).json();
    let kinds = kinds.as_array().unwrap();
    assert_eq!(kinds.len(), 43);
    let mut silent = Vec::new();
    for kind in kinds {
        if kind["says"].as_str().unwrap().is_empty() {
            silent.push(kind["kind"].to_string());
        }
        assert!(!kind["fields"].as_array().unwrap().is_empty(), "{kind}");
    }
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn the_schema_has_every_kind_and_every_stored_fact_fits_its_own() {
    let world = World::empty();
    world.run(&["demo", "--into", "demo"]).ok();
    std::fs::rename(world.path("demo/houses.stemwall"), world.ledger()).unwrap();
    let schema = world.run(&["entry", "schema"]).json();
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let sql = "SELECT json_extract(envelope, '$.kind'), json_extract(body, '$.fact'), body \
               FROM entries JOIN bodies USING (chain, seq)";
    let mut statement = connection.prepare(sql).unwrap();
    let read = |r: &rusqlite::Row| Ok((r.get::<_, String>(0)?, r.get::<_, String>(1)?, r.get::<_, String>(2)?));
    let rows: Vec<(String, String, String)> = statement.query_map([], read).unwrap().map(Result::unwrap).collect();
    assert!(rows.len() > 100, "{} entries in the demo", rows.len());
    for (kind, fact, body) in rows {
        let of = &schema["$defs"][&kind];
        assert!(of.is_object(), "{kind} is not in the schema");
        let fact: Value = serde_json::from_str(&fact).unwrap();
        let properties = of["properties"].as_object().unwrap();
        for field in fact.as_object().unwrap().keys() {
            assert!(properties.contains_key(field), "{kind} stores `{field}`, which the schema does not have");
        }
        for required in of["required"].as_array().into_iter().flatten() {
            assert!(fact.get(required.as_str().unwrap()).is_some(), "{kind} lacks {required}: {fact}");
        }
        let body: Value = serde_json::from_str(&body).unwrap();
        for field in body.as_object().unwrap().keys() {
            assert!(schema["properties"].get(field).is_some(), "a body stores `{field}`");
        }
    }
    let envelope = &schema["$defs"]["envelope"]["properties"]["kind"]["enum"];
    assert_eq!(envelope.as_array().map(Vec::len), Some(43));
}

#[test]
fn an_unknown_field_or_kind_in_a_body_is_refused() {
    use stemwall::ledger::kind::{Fact, KindError};
    let good = r#"{"about":"","text":"seen"}"#;
    assert!(Fact::read("note-added", 1, good).is_ok());
    let unknown = r#"{"about":"","text":"seen","more":1}"#;
    assert!(matches!(Fact::read("note-added", 1, unknown), Err(KindError::NotThisKind { kind: "note-added", .. })));
    assert!(matches!(Fact::read("note-added", 3, good), Err(KindError::NewerVersion { version: 3, known: 2, .. })));
    // A note of the first version says nothing of a look, and is none.
    assert!(matches!(Fact::read("note-added", 1, good), Ok(Fact::NoteAdded(note)) if !note.look));
    assert_eq!(Fact::read("note-sung", 1, good), Err(KindError::UnknownKind("note-sung".into())));
    // What was typed and what is stored have to agree.
    let reading = |mm: &str| format!(r#"{{"finding":1,"measured":{{"width":{{"typed":"3/16 in","mm":"{mm}"}}}}}}"#);
    assert!(Fact::read("reading-added", 1, &reading("4.7625")).is_ok());
    assert!(Fact::read("reading-added", 1, &reading("4.8")).is_err());
}

/// A kind of entry: what it refuses, with the exit code and the text, and then what it takes.
struct Case(&'static str, &'static str, i32, &'static str, &'static str);

/// In the order in which one house can live through all of them; the first number behind `#` is the place in its chain.
#[rustfmt::skip]
const CASES: &[Case] = &[
    Case("ledger-started", "init --units furlong", 2, "error: `furlong` is not a system of units
given: --units furlong
  try: one of us, metric", "init"),
    Case("setting-changed", "setting change units imperial", 2, "error: `imperial` is not a value of setting `units`
given: imperial
  try: `us` or `metric`", "setting change radon-retest-years 5"),
    Case("property-added", r#"property add elm --name """#, 2, r#"error: --name is empty
given: property add elm --name ""
  try: give --name some words"#, "property add elm --name Elm --built 1950"),
    Case("property-changed", "property change elm", 1, "error: nothing would change
given: property change elm
  try: say what is different", "property change elm --value $350000"),
    Case("section-added", r#"section add elm/main --foundation basement --area "0 ft2""#, 1, r#"error: --area `0 ft2` is zero
given: --area "0 ft2"
  try: leave it out if it is not known"#, "section add elm/main --foundation basement --walls block"),
    Case("section-changed", "section change elm/main", 1, "error: nothing would change
given: section change elm/main
  try: say what is different", r#"section change elm/main --area "1100 ft2""#),
    Case("fixture-added", r#"fixture add elm/pump --kind sump-pump --pit "0 in""#, 1, r#"error: --pit `0 in` is zero
given: --pit "0 in"
  try: leave it out if it is not known"#, r#"fixture add elm/pump --kind sump-pump --pit "18 in""#),
    Case("fixture-replaced", "fixture replace elm/pump --installed 1940-01-01", 1, "error: 1940-01-01 is before the house was built (1950)
given: 1940-01-01
  try: give a later day, or change the year: `stemwall property change KEY --built YEAR`", "fixture replace elm/pump --installed 2025-05-01"),
    Case("fixture-retired", r#"fixture retire elm/pump --why " ""#, 2, r#"error: --why is empty
given: fixture retire elm/pump --why " "
  try: give --why some words"#, "fixture retire elm/pump --why sold"),
    Case("finding-opened", "finding open elm --kind crack --place wall --surface roof", 2, "error: `roof` is not a surface
given: --surface roof
  try: one of wall, slab", "finding open elm --kind crack --place wall --in main --on 2024-01-05"),
    Case("reading-added", r#"reading add elm/1 --width "1 mm" --with """#, 2, r#"error: --with is empty
given: reading add elm/1 --width "1 mm" --with ""
  try: give --with some words"#, r#"reading add elm/1 --width "0.8 mm" --on 2024-02-01"#),
    Case("radon-tested", r#"radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12"#, 2, r#"error: --ended or --lasted is missing
given: radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12
  try: add --ended or --lasted"#, r#"radon add elm/main --device charcoal --result "5 pCi/L" --started 2025-01-12 --lasted "48 h""#),
    Case("judgement-given", r#"judgement add elm/1 --from A --licence B --says " ""#, 2, r#"error: --says is empty
given: judgement add elm/1 --from A --licence B --says " "
  try: give --says some words"#, "judgement add elm/1 --from A --licence B --says watch"),
    Case("quote-given", "quote add elm/1 --amount $1,450 --from A", 2, r#"error: `--amount` is not an amount of money
given: --amount "$1,450"
  try: there is a comma in the amount; write `$1450`"#, "quote add elm/1 --amount $1450 --from A"),
    Case("event-happened", "event add elm --kind storm --on 1940-01-01", 1, "error: 1940-01-01 is before the house was built (1950)
given: 1940-01-01
  try: give a later day, or change the year: `stemwall property change KEY --built YEAR`", "event add elm --kind storm --on 2024-06-01"),
    Case("file-attached", "attach elm/1 .", 1, "error: the file `.` cannot be read: it is not a file
given: .
  try: look at the path", "attach elm/1 letter.pdf"),
    Case("note-added", r#"note add elm/main " ""#, 2, r#"error: the note is empty
given: note add elm/main " "
  try: give the note some words"#, "note add elm/main dry"),
    Case("entry-corrected", r#"correct elm#9 --width "0,9 mm" --why misread"#, 2, r#"error: `--width` is not a length
given: --width "0,9 mm"
  try: there is a comma in the number; write `0.9 mm`"#, r#"correct elm#9 --width "0.9 mm" --why misread"#),
    Case("entry-struck", "strike elm#8 --why wrong", 1, "error: 4 entries hang on it; of elm#9: there is no finding 1 at this property on 2024-02-01
given: strike elm#8 --why wrong
  try: correct or strike first elm#9, elm#11, elm#12, elm#14", r#"strike elm#15 --why "wrong house""#),
    Case("entry-erased", "entry erase elm#1 --why private", 1, "error: entry 1 is of kind `property-added`, which cannot be erased
given: entry erase elm#1 --why private
  try: record what is right in an entry of its own; `stemwall property archive` puts a house away", "entry erase elm#13 --why private"),
    Case("finding-closed", "finding close elm/1 --why mended --on 2024-01-10", 1, "error: elm#9 is later and would not stand: finding 1 was closed on 2024-01-10
given: finding close elm/1 --why mended --on 2024-01-10
  try: give a later day with --on, or correct or strike first elm#9", "finding close elm/1 --why mended"),
    Case("finding-reopened", r#"finding reopen elm/1 --why " ""#, 2, r#"error: --why is empty
given: finding reopen elm/1 --why " "
  try: give --why some words"#, "finding reopen elm/1 --why damp"),
    Case("sump-tested", "sump test elm/pump --poured --on 2025-06-01", 2, r#"error: --started-times, --failed or a timed drawdown is missing
given: sump test elm/pump --poured --on 2025-06-01
  try: add --started-times, --failed or a timed drawdown"#, "sump test elm/pump --poured --started-times 2 --on 2025-06-01"),
    Case("repair-made", r#"repair add elm/1 --method patch --width "1 mm" --depth "8 in" --length "6 ft""#, 2, r#"error: --waste is missing
given: repair add elm/1 --method patch --width "1 mm" --depth "8 in" --length "6 ft"
  try: add `--waste "25 %"`: what is lost on the way is bought too"#, "repair add elm/1 --method patch"),
    Case("repair-checked", "repair check elm#9 --held yes", 1, r#"error: entry 9 is no repair of this property
given: repair check elm#9 --held yes
  try: `stemwall history KEY/N` shows the entry of the repair"#, "repair check elm#22 --held yes"),
    Case("air-logged", r#"air import-hours elm/main log.csv --at """#, 2, r#"error: --at is empty
given: air import-hours elm/main log.csv --at ""
  try: give --at some words"#, "air import-hours elm/main log.csv"),
    Case("level-surveyed", r#"survey add elm/main --point "door: 0 in""#, 1, r#"error: only one point has a height, and there is nothing to compare it with
given: survey add elm/main --point "door: 0 in"
  try: give two points or more with their heights, as in `--point "sink: -0.3 in"`"#, r#"survey add elm/main --point "door: 0 in" --point "sink: -0.3 in""#),
    Case("sheet-tested", r#"plastic-sheet add elm/main --surface floor --side "0 in" --kept "17 h" --wet under"#, 1, r#"error: --side `0 in` is zero
given: --side "0 in"
  try: leave it out if it is not known"#, r#"plastic-sheet add elm/main --surface floor --side "18 in" --kept "17 h" --wet under"#),
    Case("walk-begun", "walk start elm --season march", 2, r#"error: `march` is not a season
given: --season march
  try: one of spring, summer, autumn, winter"#, "walk start elm --season spring"),
    Case("point-walked", "walk start elm --from wrong.txt", 1, r#"error: line 1: `dry` is not an answer
given: ground-and-grade: dry
  try: one of `nothing seen`, `not reached, WHY`, `finding --kind …`, `reading --width …`
error: line 2: `main/floor` is no stop of this walk
given: main/floor: nothing seen
  try: did you mean `main/floor-below-ground`? `stemwall walk sheet` names every stop"#, "walk start elm --from one.txt"),
    Case("walk-ended", "walk start elm --from silent.txt", 1, r#"error: line 1: it does not say why it was not reached
given: walls-outside: not reached
  try: write `not reached, locked`"#, "walk start elm --from rest.txt"),
    Case("gauge-looked", "radon gauge elm/fan --levels full", 2, r#"error: `full` is not what a U-tube shows
given: --levels full
  try: one of unequal, equal"#, "radon gauge elm/fan --levels equal"),
    Case("duty-skipped", "duty skip termite-look --nobody-in", 2, "error: --until is missing
given: duty skip termite-look --nobody-in
  try: add --until", "duty skip termite-look --why wet"),
    Case("duty-done", "done elm/main", 2, r#"error: elm/main: `look over it, autumn` is done by recording it
given: done elm/main
  try: `stemwall walk start elm` records it"#, "done elm"),
    Case("duty-set", "duty set termite-look --at elm --every 0d", 1, "error: `every 0 days` never comes
given: duty set termite-look --at elm --every 0d
  try: give it a time that is longer than none", "duty set termite-look --at elm --every 2y"),
    Case("duty-dropped", "duty drop termite-look --at elm/main", 1, "error: nothing is set of duty `termite-look` here
given: termite-look
  try: `stemwall duty list`, or `duty list KEY`, shows what is set where", "duty drop termite-look --at elm"),
    Case("duty-set-for-all", "duty set termite-look --every 0mo", 1, "error: `every 0 days` never comes
given: duty set termite-look --every 0mo
  try: give it a time that is longer than none", "duty set termite-look --every 2y"),
    Case("duty-dropped-for-all", "duty drop radon-gauge-look", 1, "error: nothing is set of duty `radon-gauge-look` here
given: radon-gauge-look
  try: `stemwall duty list`, or `duty list KEY`, shows what is set where", "duty drop termite-look"),
    Case("duty-expected", "duty expect elm/1 --by 2026-02-01 --what plumber", 1, "error: 2026-02-01 is past on 2026-03-01
given: --by 2026-02-01
  try: give a later day", "duty expect elm/1 --by 2026-03-10 --what plumber"),
    Case("seal-given", r#"seal elm --to """#, 2, r#"error: --to is empty
given: seal elm --to ""
  try: give --to some words"#, "seal elm --to notary"),
    Case("property-archived", r#"property archive elm --why """#, 2, r#"error: --why is empty
given: property archive elm --why ""
  try: give --why some words"#, "property archive elm --why sold"),
    Case("handed-over", r#"property hand-over elm --out elm.stemwall --to """#, 2, r#"error: --to is empty
given: property hand-over elm --out elm.stemwall --to ""
  try: give --to some words"#, "property hand-over elm --out elm.stemwall --to buyer"),
];

/// What each of those leaves behind.
#[rustfmt::skip]
const AFTERWARDS: &[(&str, i32, &str)] = &[
    ("strike elm#15 --why again", 1, "error: entry 15 was struck already
given: strike elm#15 --why again
  try: record it anew"),
    ("correct elm#13 --kind flood --why wrong", 1, "error: the body of entry 13 is absent
given: correct elm#13 --kind flood --why wrong
  try: what it said is gone for good"),
    ("correct elm#16 --why wrong", 1, "error: entry 16 is of kind `entry-corrected`, which cannot be corrected
given: correct elm#16 --why wrong
  try: aim at the entry that was wrong first; the last correction wins"),
    ("note add elm more", 1, "error: property `elm` was archived on 2026-03-01
given: note add elm more
  try: its record can be corrected and struck, not added to"),
];

#[test]
fn every_kind_takes_what_fits_and_refuses_what_does_not() {
    let world = World::empty();
    let ledger = World::new();
    world.file("letter.pdf", "a letter");
    world.file("log.csv", "time,temp_f,rh\n2026-02-01 10:00,60,50\n");
    world.file("wrong.txt", "ground-and-grade: dry\nmain/floor: nothing seen\n");
    world.file("silent.txt", "walls-outside: not reached\n");
    world.file("one.txt", "ground-and-grade: nothing seen\n");
    let rest = "gutters-and-downspouts: not reached, no ladder\nwalls-outside: nothing seen\ntrees-and-roots: nothing seen\n\
                doors-and-windows: nothing seen\nmain/walls-below-ground: finding --kind damp --place corner --moisture '18 %'\n\
                main/floor-below-ground: nothing seen\nmain/beams-and-posts: nothing seen\n1: reading --width '0.9 mm'\n";
    world.file("rest.txt", rest);
    let (last, before) = CASES.split_last().unwrap();
    let try_both = |Case(kind, wrong, code, text, right): &Case| {
        // There is no ledger to refuse the first one of.
        let refusing = if *kind == "ledger-started" { &ledger } else { &world };
        if *kind == "gauge-looked" {
            world.run(&["fixture", "add", "elm/fan", "--kind", "radon-system"]).ok();
        }
        assert_eq!(refused(refusing, *code, wrong).trim_end(), *text, "{wrong}");
        world.run(&words(right).iter().map(String::as_str).collect::<Vec<_>>()).ok();
        let sql = "SELECT json_extract(envelope, '$.kind') FROM entries WHERE json_extract(envelope, '$.kind') = ?1";
        let connection = rusqlite::Connection::open(world.ledger()).unwrap();
        assert!(connection.prepare(sql).unwrap().exists([kind]).unwrap(), "`{right}` recorded no {kind}");
    };
    before.iter().for_each(try_both);
    for (line, code, text) in AFTERWARDS {
        assert_eq!(refused(&world, *code, line).trim_end(), *text, "{line}");
    }
    try_both(last);
    // The same command begins the record of the new owner, with the entry that only it writes.
    let there = rusqlite::Connection::open(world.path("elm.stemwall")).unwrap();
    let begun = "SELECT json_extract(body, '$.fact.to') FROM entries JOIN bodies USING (chain, seq)
                 WHERE json_extract(envelope, '$.kind') = 'taken-over'";
    assert_eq!(there.query_row(begun, [], |row| row.get::<_, String>(0)).unwrap(), "buyer");
    let gone = "error: property `elm` was handed over on 2026-03-01
given: strike elm#9 --why wrong
  try: its record goes on in the ledger that it was handed over to";
    assert_eq!(refused(&world, 1, "strike elm#9 --why wrong").trim_end(), gone);
    world.run(&["verify"]).ok();
    let mut shown: Vec<&str> = CASES.iter().map(|case| case.0).chain(["taken-over"]).collect();
    let mut all: Vec<&str> = stemwall::ledger::kind::KINDS.iter().map(|row| row.name).collect();
    shown.sort_unstable();
    all.sort_unstable();
    assert_eq!(shown, all);
}

/// Refusals of which the next step hangs on the command or the kind they are said to.
#[rustfmt::skip]
const NEXT_STEPS: &[(&str, i32, &str)] = &[
    ("correct elm#5 --place cellar --why misheard", 1, "error: entry 5 is of kind `entry-corrected`, which cannot be corrected
given: correct elm#5 --place cellar --why misheard
  try: aim at the entry that was wrong first; the last correction wins"),
    ("correct elm#7 --why wrong", 1, "error: entry 7 is of kind `file-attached`, which cannot be corrected
given: correct elm#7 --why wrong
  try: strike it and record it anew"),
    (r#"reading add elm/1 --width "0.7 mm" --on 2024-01-01"#, 1, "error: 2024-01-01 is before finding 1 was opened (2024-01-05)
given: 2024-01-01
  try: give a later day, or correct the day it was opened: `stemwall correct ENTRY --on DATE --why TEXT`"),
    ("finding close elm/1 --why mended --on 2024-01-01", 1, "error: 2024-01-01 is before finding 1 was opened (2024-01-05)
given: 2024-01-01
  try: give a later day, or correct the day it was opened: `stemwall correct ENTRY --on DATE --why TEXT`"),
    ("finding close elm/2 --why again", 1, "error: finding 2 was closed on 2025-06-01
given: finding close elm/2 --why again
  try: nothing needs to be done"),
    ("quote add elm/1 --amount -$5 --from A", 2, r#"error: `--amount` is not an amount of money
given: --amount "-$5"
  try: the amount is negative; write it like `1450.50 USD`"#),
    (r#"reading add elm/1 --width "0.08 mm""#, 1, "error: `0.08 mm` is 1/10 of the last reading, `0.8 mm`
given: 0.08 mm
  try: look at the unit and the decimal point; if it is right, add `--sure`"),
    (r#"reading add elm/1 --width "2000 m" --sure"#, 1, r#"error: --width `2000 m` is beyond anything a house has (more than 1 km)
given: --width "2000 m"
  try: look at the unit and the decimal point"#),
    ("section change elm/main --walls glass", 2, "error: `glass` is not a kind of wall
given: --walls glass
  try: one of poured, block, brick, stone, wood, unknown"),
    ("property change elm --value 5", 2, r#"error: `--value` is not an amount of money
given: --value "5"
  try: the currency is missing; add the currency: `5 USD`"#),
    ("fixture replace elm/tree", 1, "error: fixture `tree` was retired on 2026-03-01
given: fixture replace elm/tree
  try: add the new one under a name of its own"),
    ("why elm/attic", 1, "error: `elm/attic` is not in this ledger
given: elm/attic
  try: there are elm/main, elm/tree, elm/1, elm/2"),
    ("why elm/mian", 1, "error: `elm/mian` is not in this ledger
given: elm/mian
  try: did you mean `elm/main`?"),
    ("note add elm/1 dry --look", 1, "error: a look is of the whole house or of a section, and `1` is neither
given: note add elm/1 dry --look
  try: aim it at the house or the section, or leave `--look` out"),
    ("note add elm/tree dry --look", 1, "error: a look is of the whole house or of a section, and `tree` is neither
given: note add elm/tree dry --look
  try: aim it at the house or the section, or leave `--look` out"),
    (r#"radon add elm/main --device charcoal --result "5 pCi/L" --started DAY-1 --ended DAY+2"#, 1, "error: the test ends on DAY+2, which is in the future
given: DAY+2
  try: record it once it has ended, or look at --started, --ended and --lasted"),
    (r#"radon add elm/main --device charcoal --result "5 pCi/L" --started DAY-1T10:00 --lasted "72 h""#, 1, "error: the test ends on DAY+2T10:00, which is in the future
given: DAY+2T10:00
  try: record it once it has ended, or look at --started, --ended and --lasted"),
    ("correct elm#12 --ended DAY+2 --why misread", 1, "error: the test ends on DAY+2, which is in the future
given: DAY+2
  try: record it once it has ended, or look at --started, --ended and --lasted"),
    ("event add elm --all --kind storm", 2, "error: KEYS and --all do not go together
given: event add elm --all --kind storm
  try: `--help` shows what can be typed here"),
];

#[test]
fn the_next_step_is_one_that_helps_with_this_command() {
    let world = World::with_crack();
    world.file("letter.pdf", "a letter");
    for line in [
        "note add elm damp",
        "correct elm#3 --place attic --why misheard",
        "reading add elm/1 --width \"0.8 mm\" --on 2024-02-01",
        "attach elm letter.pdf",
        "finding open elm --kind damp --place corner --on 2024-01-05",
        "finding close elm/2 --why dry --on 2025-06-01",
        "fixture add elm/tree --kind tree",
        "fixture retire elm/tree --why felled",
        "radon add elm/main --device charcoal --result \"6 pCi/L\" --started DAY-1 --ended DAY",
    ] {
        world.run(&words(&dated(line)).iter().map(String::as_str).collect::<Vec<_>>()).ok();
    }
    let before = world.entries();
    let mut other = Vec::new();
    for (line, code, text) in NEXT_STEPS {
        let (line, text) = (dated(line), dated(text));
        let said = world.run(&words(&line).iter().map(String::as_str).collect::<Vec<_>>());
        if (said.code, said.stdout.as_str(), said.stderr.trim_end()) != (*code, "", text.as_str()) {
            other.push(format!(
                "$ {line}\n{}{}({})\nshould be\n{text}\n({code})\n",
                said.stdout, said.stderr, said.code
            ));
        }
    }
    assert!(other.is_empty(), "{}", other.join("\n"));
    assert_eq!(world.entries(), before);
}
