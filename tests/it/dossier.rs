//! What goes to a reader outside: whole, valid, private where it should be, and found out where it was touched.

use std::process::Command;

use stemwall::dossier::proof::check;
use stemwall::ledger::hash::Hash;

use crate::world::{World, python};

/// A house with a little of everything, and secrets in it.
pub fn house() -> World {
    let world = World::with_crack();
    world.file("letter.pdf", "a letter");
    world.file("wall.png", PICTURE);
    for line in [
        &[
            "reading",
            "add",
            "elm/1",
            "--width",
            "0.8 mm",
            "--on",
            "2024-02-01",
            "--with",
            "gauge",
            "--photo",
            "wall.png",
        ][..],
        &["reading", "add", "elm/1", "--width", "0.9 mm", "--on", "2025-02-01", "--with", "gauge"],
        &["correct", "elm#4", "--width", "0.7 mm", "--why", "misread"],
        &["repair", "add", "elm/1", "--method", "patch", "--batch", "lot 7", "--cost", "350 USD", "--on", "2025-03-01"],
        &["quote", "add", "elm/1", "--amount", "1450 USD", "--from", "Brook", "--on", "2025-03-02"],
        &["note", "add", "elm", "quarrel with the neighbour", "--private"],
        &["note", "add", "elm/main", "</script><b>damp</b> \u{202e}& \"dry\""],
        &[
            "judgement",
            "add",
            "elm/1",
            "--from",
            "O. Fenwick",
            "--licence",
            "PE 1",
            "--says",
            "watch it",
            "--attach",
            "letter.pdf",
        ],
    ] {
        world.run(line).ok();
    }
    world
}

/// One pixel, after the PNG specification: a header, one deflated row, an end.
pub const PICTURE: &[u8] = &[
    0x89, b'P', b'N', b'G', 13, 10, 26, 10, 0, 0, 0, 13, b'I', b'H', b'D', b'R', 0, 0, 0, 1, 0, 0, 0, 1, 8, 2, 0, 0, 0,
    0x90, 0x77, 0x53, 0xde, 0, 0, 0, 12, b'I', b'D', b'A', b'T', 8, 0xd7, 99, 0xf8, 0xcf, 0xc0, 0, 0, 3, 1, 1, 0, 0x18,
    0xdd, 0x8d, 0xb0, 0, 0, 0, 0, b'I', b'E', b'N', b'D', 0xae, 0x42, 0x60, 0x82,
];

fn written(world: &World, name: &str, more: &[&str]) -> String {
    world.run(&[&["dossier", "elm", "--out", name], more].concat()).ok();
    std::fs::read_to_string(world.path(name)).unwrap()
}

fn ran(program: &std::path::Path, args: &[&str]) -> (bool, String) {
    let output = Command::new(program).args(args).output().unwrap_or_else(|e| panic!("{}: {e}", program.display()));
    (output.status.success(), String::from_utf8([output.stdout, output.stderr].concat()).unwrap())
}

/// Words as they were before they were broken into lines.
pub fn on_one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

const SCRIPT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tools/check_dossier.py");

#[test]
fn reference_validator_finds_no_error_in_the_page() {
    let world = house();
    written(&world, "d.html", &["--private", "--costs"]);
    let program = "import html5lib, sys\np = html5lib.HTMLParser()\np.parse(open(sys.argv[1], encoding='utf-8').read())\n\
                   print([str(e) for e in p.errors])";
    let path = world.path("d.html");
    let said = ran(&python(), &["-c", program, path.to_str().unwrap()]);
    assert_eq!(said, (true, "[]\n".to_owned()));
}

#[test]
fn reference_schema_takes_the_json() {
    let world = house();
    let schema = world.run(&["dossier", "--schema"]).ok();
    let schema = world.file("schema.json", schema);
    written(&world, "d.json", &[]);
    let program = "import json, jsonschema, sys\ns = json.load(open(sys.argv[1])); d = json.load(open(sys.argv[2]))\n\
                   jsonschema.Draft202012Validator.check_schema(s); jsonschema.validate(d, s)\n\
                   d['dossier']['entries'][0]['extra'] = 1\n\
                   print(len(list(jsonschema.Draft202012Validator(s).iter_errors(d))))";
    let path = world.path("d.json");
    assert_eq!(ran(&python(), &["-c", program, &schema, path.to_str().unwrap()]), (true, "1\n".to_owned()));
}

#[test]
fn reference_python_checks_a_dossier_without_us() {
    let world = house();
    let seal = world.run(&["property", "show", "elm", "--json"]).json()["seal"].as_str().unwrap().to_owned();
    let page = written(&world, "d.html", &[]);
    written(&world, "d.json", &[]);
    let python = std::path::Path::new("python3");
    for name in ["d.html", "d.json"] {
        let path = world.path(name);
        let said = ran(python, &[SCRIPT, path.to_str().unwrap(), &seal]);
        assert_eq!(said, (true, format!("your seal covers entries 1 to 11\n11 entries, seal {seal}\n")), "{name}");
        let said = ran(python, &[SCRIPT, path.to_str().unwrap(), &"0".repeat(64)]);
        assert!(!said.0 && said.1.contains("your seal is not in this chain"), "{said:?}");
    }
    let path = world.path("d.json");
    let said = ran(python, &[SCRIPT, path.to_str().unwrap(), &seal.to_uppercase()]);
    assert_eq!(said, (true, format!("your seal covers entries 1 to 11\n11 entries, seal {seal}\n")), "in capitals");
    let nothing = world.file("nothing.txt", "hello");
    let no_dossier = (false, "this is not a dossier, or one that was cut short\n".to_owned());
    assert_eq!(ran(python, &[SCRIPT, &nothing]), no_dossier);
    let other = world.file("other.html", page.replace("south wall\\\"", "north wall\\\""));
    assert_eq!(ran(python, &[SCRIPT, &other]), (false, "entry 3 is not what its hash says\n".to_owned()));
    // The copy inside is the one that is published, and runs as it stands there.
    let script = std::fs::read_to_string(SCRIPT).unwrap();
    let escaped = script.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
    assert!(page.contains(&format!("<pre>{escaped}</pre>")));
    let (_, after) = page.split_once("<pre>").unwrap();
    let (inside, _) = after.split_once("</pre>").unwrap();
    let inside = inside.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    let inside = world.file("inside.py", inside);
    let said = ran(python, &[&inside, world.path("d.html").to_str().unwrap(), &seal]);
    assert_eq!(said, (true, format!("your seal covers entries 1 to 11\n11 entries, seal {seal}\n")));
}

/// Ten thousand changes of one byte, each at a place and to a value taken by chance, in both spellings: every one is found,
/// whether or not it would be seen.
#[test]
fn a_change_of_any_single_byte_is_found() {
    const CHANGES: u64 = 10_000;
    let world = World::with_crack();
    world.file("wall.png", PICTURE);
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01", "--photo", "wall.png"]).ok();
    world.run(&["repair", "add", "elm/1", "--method", "patch", "--cost", "350 USD", "--on", "2025-03-01"]).ok();
    for name in ["d.html", "d.json"] {
        let whole = written(&world, name, &[]).into_bytes();
        assert!(check(&whole, None).is_ok());
        a_change_of_every_part_is_found_by_the_binary(&world, name, &whole);
        let threads = 4;
        std::thread::scope(|scope| {
            for thread in 0..threads {
                let whole = &whole;
                scope.spawn(move || {
                    // A multiplier and an increment after Knuth's MMIX.
                    let mut chance = thread + 1_u64;
                    let mut next = |below: u64| {
                        chance = chance.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                        (chance >> 33) % below
                    };
                    let mut changed = whole.clone();
                    for _ in 0..CHANGES / threads {
                        let at = next(whole.len() as u64) as usize;
                        changed[at] ^= 1 + next(255) as u8;
                        assert!(check(&changed, None).is_err(), "{name}: byte {at} is {:?}", changed[at] as char);
                        changed[at] = whole[at];
                    }
                });
            }
        });
    }
}

/// The check is the binary's: a change in each hundredth part of a file ends it with a code of its own.
fn a_change_of_every_part_is_found_by_the_binary(world: &World, name: &str, whole: &[u8]) {
    world.run(&["verify", name]).ok();
    for part in 0..100 {
        let mut changed = whole.to_vec();
        let at = whole.len() * part / 100;
        changed[at] ^= 1;
        let file = world.file(&format!("changed-{name}"), &changed);
        let said = world.run(&["verify", &file]);
        assert!([1, 3].contains(&said.code), "{name}: byte {at} changed to {:?}: {}", changed[at] as char, said.stdout);
        assert!(said.stderr.starts_with("error: "), "{}", said.stderr);
    }
}

#[test]
fn a_doctored_text_over_true_entries_is_found() {
    let world = house();
    let page = written(&world, "d.html", &[]);
    let summary = page.find("south wall").unwrap();
    world.file("doctored.html", format!("{}north{}", &page[..summary], &page[summary + 5..]));
    let said = world.run(&["verify", "doctored.html"]).fails(3);
    let (_, after) = said.split_once("it shows `").unwrap();
    assert!(said.starts_with("error: line ") && said.contains("does not show what its entries give"), "{said}");
    assert!(
        after.contains("north wall") && after.contains("its entries give") && after.contains("south wall"),
        "{said}"
    );
}

#[test]
fn a_history_made_anew_does_not_have_the_seal_that_was_given() {
    let (world, other) = (house(), house());
    let seal = world.run(&["seal", "elm", "--json"]).json()["seal"].as_str().unwrap().to_owned();
    written(&world, "d.html", &[]);
    let said = world.run(&["verify", "d.html", "--seal", &seal]).ok();
    assert!(said.contains("your seal covers entries 1 to 11; nothing is shown of the 1 after them"), "{said}");
    assert!(said.contains("a seal of entries 1 to 11 was given to somebody on 1 Mar 2026"), "{said}");
    // The same words, entered again: whole in itself, and not that history.
    written(&other, "d.html", &[]);
    assert!(other.run(&["verify", "d.html"]).ok().contains("could have made all of it yesterday"));
    let said = other.run(&["verify", "d.html", "--seal", &seal]).fails(1);
    assert_eq!(
        said,
        format!(
            "error: no entry of the dossier has the seal {seal}\ngiven: d.html\n  try: look whether the seal is of this house, \
             and copied whole; if so, this is not the history it was given for\n"
        )
    );
}

#[test]
fn a_seal_that_is_said_to_have_been_given_has_to_be_of_the_chain() {
    let world = house();
    let fact = r#"{"entries":3,"seal":"0000000000000000000000000000000000000000000000000000000000000001"}"#;
    let fact = stemwall::ledger::kind::Fact::read("seal-given", 1, fact).unwrap();
    let mut store = stemwall::store::Store::open(&world.ledger()).unwrap();
    let property = store.property_id("elm").unwrap().unwrap();
    let on = stemwall::ledger::when::When::parse("2026-03-01").unwrap();
    let draft = stemwall::ledger::fold::Draft::new(on, stemwall::ledger::entry::Remarks::default(), fact);
    let property = stemwall::store::Target::Known(property);
    let at = stemwall::store::Addressed { property, draft };
    store.append(vec![at], chrono::Utc::now(), on.date).unwrap();
    drop(store);
    let said = world.run(&["dossier", "elm", "--out", "d.html"]).fails(3);
    assert!(
        said.starts_with("error: entry 12 says that a seal was given, and it is not the seal of entry 3\n"),
        "{said}"
    );
    assert!(world.run(&["verify"]).fails_saying(3).contains("elm#12"));
}

#[test]
fn what_is_private_or_costs_stays_out_unless_asked_for() {
    let world = house();
    for name in ["d.html", "d.json"] {
        let text = written(&world, name, &[]);
        for secret in ["quarrel", "$350", "\\\"cost\\\"", "\"cost\"", "$1,450", "$1450", "Brook"] {
            assert!(!text.contains(secret), "{name} tells of {secret}");
        }
        assert!(text.contains("lot 7"), "the repair is told without what it cost");
        let said = world.run(&["verify", name]).ok();
        assert!(said.contains("left out: 3 bodies; told in part, which no hash proves: 1"), "{said}");
    }
    let page = std::fs::read_to_string(world.path("d.html")).unwrap();
    assert!(
        page.contains("note-added: left out: marked private")
            && page.contains("quote-given: left out: it holds an amount")
    );
    let text = written(&world, "all.html", &["--private", "--costs"]);
    for secret in ["quarrel", "$350", "\\\"cost\\\"", "Brook"] {
        assert!(text.contains(secret), "{secret} was asked for");
    }
    assert!(!world.run(&["verify", "all.html"]).ok().contains("left out"));
}

#[test]
fn an_entry_that_is_left_out_keeps_its_place_and_its_hash() {
    let world = house();
    let page = written(&world, "d.html", &["--leave-out", "elm#4", "--costs", "--private"]);
    // Its correction says the same again, so it goes as well.
    assert!(!page.contains("0.8 mm") && !page.contains("0.7 mm"));
    assert_eq!(page.matches("left out by whoever made this dossier").count(), 2);
    assert!(world.run(&["verify", "d.html"]).ok().contains("left out: 2 bodies"));
    let json: serde_json::Value = serde_json::from_str(&written(&world, "d.json", &["--leave-out", "4"])).unwrap();
    let entry = &json["dossier"]["entries"][3];
    let envelope: serde_json::Value = serde_json::from_str(entry["envelope"].as_str().unwrap()).unwrap();
    let body: String = rusqlite::Connection::open(world.ledger())
        .unwrap()
        .query_row("SELECT body FROM bodies WHERE chain = 1 AND seq = 4", [], |r| r.get(0))
        .unwrap();
    assert_eq!(envelope["body"], Hash::of(body.as_bytes()).to_hex(), "shown later, the body can be checked");
    assert!(entry["body"].is_null());
    // A short body could be guessed from its hash, if it were not for the salt.
    let unsalted = body.find("\"salt\":\"").map(|at| body.replace(&body[at + 8..at + 40], &"0".repeat(32))).unwrap();
    assert_ne!(envelope["body"], Hash::of(unsalted.as_bytes()).to_hex());
}

#[test]
fn the_same_ledger_gives_the_same_bytes() {
    let world = house();
    assert_eq!(written(&world, "a.html", &[]), written(&world, "b.html", &[]));
    assert_eq!(written(&world, "a.json", &[]), written(&world, "b.json", &[]));
}

#[test]
fn a_page_can_be_listed_from_a_day_on_and_holds_all_entries() {
    let world = house();
    let page = written(&world, "d.html", &["--since", "2025-03-01"]);
    assert!(page.contains("4 entries from before 1 Mar 2025 are not listed here"), "{page}");
    assert!(!page.contains("<tr id=\"entry-4\">") && page.contains("<tr id=\"entry-7\">"));
    assert!(world.run(&["verify", "d.html"]).ok().contains("11 entries"));
}

#[test]
fn the_page_runs_nothing_and_loads_nothing() {
    let world = house();
    let page = written(&world, "d.html", &["--private", "--costs"]);
    assert_eq!(page.matches("<script").count(), 1, "the block of data, which no browser runs");
    assert!(page.contains("default-src &#39;none&#39;") || page.contains("default-src 'none'"));
    for loads in ["http://", "https://", " onload", "javascript:", "@import", "url("] {
        assert!(!page.replace("xmlns=\"http://www.w3.org/2000/svg\"", "").contains(loads), "{loads}");
    }
    assert!(page.contains("&lt;/script&gt;&lt;b&gt;damp&lt;/b&gt; \\u{202e}&amp; &quot;dry&quot;"), "words stay words");
    assert!(page.contains("<html lang=\"en\">") && page.contains("alt=\"Photograph wall.png, 2024-02-01\""));
    assert!(page.contains("<svg") && page.contains("role=\"img\""));
}

#[test]
fn what_cannot_be_a_dossier_is_refused_with_what_to_do() {
    let world = house();
    let page = written(&world, "d.html", &[]);
    let json = written(&world, "d.json", &[]);
    let newer = json.replace("\"stemwall_dossier\": 1", "\"stemwall_dossier\": 2");
    world.file("newer.json", newer);
    world.file("newer.html", page.replace("{\"stemwall_dossier\":1", "{\"stemwall_dossier\":7"));
    world.file("older.html", page.replace("\"written_by\":\"stemwall 0.1.0\"", "\"written_by\":\"stemwall 0.0.1\""));
    world.file("plain.html", "<!DOCTYPE html><p>hello");
    world.file("list.json", "{\"a\": 1}");
    world.file("bytes.html", [0xff, 0xfe, 0, 1]);
    world.file("cut.html", &page[..page.len() - 400]);
    let img = page.find("<figure><img").unwrap();
    let end = img + page[img..].find("</figure>").unwrap();
    world.file("no-picture.html", format!("{}{}", &page[..img], &page[end..]));
    for (name, code, text) in [
        (
            "newer.json",
            3,
            "error: the dossier is of format 2, newer than this program reads (1)\ngiven: newer.json\n  try: use the newer stemwall; this one would not understand it\n",
        ),
        (
            "newer.html",
            3,
            "error: the dossier is of format 7, newer than this program reads (1)\ngiven: newer.html\n  try: use the newer stemwall; this one would not understand it\n",
        ),
        (
            "plain.html",
            1,
            "error: the file is not a dossier: it holds no entries of a dossier\ngiven: plain.html\n  try: give a file that `stemwall dossier` wrote, as it was sent; a ledger is checked by `stemwall --ledger FILE verify`\n",
        ),
        (
            "list.json",
            1,
            "error: the file is not a dossier: it does not say which format of a dossier it is\ngiven: list.json\n  try: give a file that `stemwall dossier` wrote, as it was sent; a ledger is checked by `stemwall --ledger FILE verify`\n",
        ),
        (
            "bytes.html",
            1,
            "error: the file is not a dossier: it is not text in UTF-8\ngiven: bytes.html\n  try: give a file that `stemwall dossier` wrote, as it was sent; a ledger is checked by `stemwall --ledger FILE verify`\n",
        ),
        (
            "cut.html",
            3,
            "error: the dossier is damaged: it was cut short\ngiven: cut.html\n  try: ask for the file again; if it comes the same, do not rely on it\n",
        ),
        (
            "no-picture.html",
            3,
            "error: the picture `wall.png` of the dossier is missing or has been changed\ngiven: no-picture.html\n  try: ask for the file again; if it comes the same, do not rely on it\n",
        ),
        (
            "nowhere.html",
            1,
            "error: the file `nowhere.html` cannot be read: there is no such file\ngiven: nowhere.html\n  try: look at the path\n",
        ),
    ] {
        assert_eq!(world.run(&["verify", name]).fails(code), text);
    }
    // A file with a hole in it: it has a length, and takes no room.
    std::fs::File::create(world.path("huge.html")).unwrap().set_len((1 << 30) + 1).unwrap();
    assert_eq!(
        world.run(&["verify", "huge.html"]).fails(1),
        "error: a dossier has at most 1 GiB, and this is more\ngiven: huge.html\n  try: one that is written gets smaller \
         without `--keep-location`, or with entries left out\n"
    );
    let short = world.run(&["verify", "d.html", "--seal", "12ab"]).fails(2);
    assert!(short.starts_with("error: `12ab` is not a seal: 64 digits and letters a to f\n"), "{short}");
}

#[test]
fn a_dossier_that_cannot_be_written_says_why() {
    let world = house();
    written(&world, "d.html", &[]);
    for (more, code, text) in [
        (
            &["--out", "d.html"][..],
            1,
            "error: `d.html` exists already\ngiven: d.html\n  try: name a path where there is nothing yet; nothing is ever overwritten\n",
        ),
        (
            &["--out", "d.doc"],
            2,
            "error: `d.doc` names no form of a dossier\ngiven: d.doc\n  try: let its name end in `.html` or `.pdf` to read and print it, or in `.json` for programs\n",
        ),
        (
            &["--out", "e.html", "--leave-out", "1"],
            1,
            "error: entry 1 cannot be left out: it says which house this is\ngiven: e.html\n  try: leave others out; its note and its value stay out without being asked\n",
        ),
        (
            &["--out", "e.html", "--leave-out", "99"],
            1,
            "error: entry `elm#99` is not in this ledger\ngiven: elm#99\n  try: the property has 11 entries; `stemwall history` shows them\n",
        ),
    ] {
        assert_eq!(world.run(&[&["dossier", "elm"], more].concat()).fails(code), text, "{more:?}");
    }
    let file = Hash::of(PICTURE).to_hex();
    std::fs::remove_file(world.path(&format!("houses.stemwall.files/{}/{file}", &file[..2]))).unwrap();
    let said = world.run(&["dossier", "elm", "--out", "e.html"]).fails(3);
    assert!(
        said.starts_with("error: entry elm#4 is damaged: its file `wall.png` is not in the folder of files\n"),
        "{said}"
    );
    assert!(!world.path("e.html").exists());
}

#[test]
fn what_was_written_is_said_in_json_too() {
    let world = house();
    let said = world.run(&["dossier", "elm", "--out", "d.html", "--json"]).json();
    let seal = world.run(&["property", "show", "elm", "--json"]).json()["seal"].clone();
    let bytes = std::fs::metadata(world.path("d.html")).unwrap().len();
    // The repair is told without what it cost; of the quotation nothing would be left, and the note is private.
    let wanted = serde_json::json!({
        "path": "d.html", "bytes": bytes, "entries": 11, "left_out": 3, "told_without_amounts": 1, "pictures": 1, "seal": seal,
    });
    assert_eq!(said, wanted);
}

#[test]
fn a_dossier_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt;
    let world = house();
    written(&world, "d.html", &[]);
    assert_eq!(std::fs::metadata(world.path("d.html")).unwrap().permissions().mode() & 0o777, 0o600);
}

#[test]
fn a_seal_is_a_short_text_and_an_entry() {
    let world = World::with_house();
    let said = world.run(&["seal", "elm", "--to", "the notary"]).ok();
    let shown = world.run(&["entry", "show", "elm#3", "--json"]).json();
    let (seal, id) = (shown["fact"]["seal"].as_str().unwrap(), said.lines().nth(1).unwrap().trim());
    assert_eq!(
        said,
        format!(
            "Seal of elm, Elm Street\n  {id}\n  entries  1 to 2\n  given    2026-03-01\n  seal     {seal}\n\
             Whoever keeps this can show later that none of these entries was changed, taken out or put in\n\
             since. It does not show that what was entered is true; dates and names are as entered.\n\n\
             recorded elm#3: seal of entries 1 to 2 given to the notary: {seal}\n"
        )
    );
    assert_eq!(shown["fact"]["entries"], 2);
    // The hash of entry 2, as the database has it.
    let stored: String = rusqlite::Connection::open(world.ledger())
        .unwrap()
        .query_row("SELECT lower(hex(hash)) FROM entries WHERE chain = 1 AND seq = 2", [], |r| r.get(0))
        .unwrap();
    assert_eq!(stored, seal);
}

#[test]
fn a_disclosure_is_facts_and_says_whose_it_is_to_answer() {
    let world = house();
    let said = world.run(&["disclosure"]).ok();
    for line in [
        "elm, Elm Street: what is recorded up to 1 Mar 2026\n",
        "What a seller has to disclose is local law.",
        "radon\n  never tested\n",
        "never looked at or tested\n  radon (never tested) in `main`\n  the house by the check list (no walk is recorded)\n",
        "judged on 1 Mar 2026 by O. Fenwick (PE 1)",
    ] {
        assert!(said.contains(line) || on_one_line(&said).contains(line), "{line}\n{said}");
    }
    for word in [" safe", "unsafe", "certif", "caused"] {
        assert!(!said.contains(word), "{word}");
    }
    assert_eq!(world.run(&["disclosure", "--json"]).json()["radon_tests"], serde_json::json!([]));
}
