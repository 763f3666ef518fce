//! Every text of an error stands in a test: what a person reads is changed by nobody without seeing it.

use std::path::{Path, PathBuf};

use stemwall::calendar::cron_text::CronError;
use stemwall::calendar::recurrence::TooMuch;
use stemwall::command::Error;
use stemwall::command::air::file::FileError;
use stemwall::command::import::ImportError;
use stemwall::command::plan::PlanningError;
use stemwall::deferral::chain::ChainError;
use stemwall::deferral::ladder::LadderError;
use stemwall::deferral::plan::PlanError;
use stemwall::deferral::price::RangeError;
use stemwall::deferral::spread::SpreadError;
use stemwall::dossier::DossierError;
use stemwall::ledger::entry::EntryError;
use stemwall::ledger::kind::KindError;
use stemwall::ledger::problem::Problem;
use stemwall::quantity::{Currency, MoneyError, QuantityError};
use stemwall::reckon::Fact;
use stemwall::remind::error::RemindError;
use stemwall::store::{StoreError, Warning};
use stemwall::trade::input::InputError;

use crate::errors::words;
use crate::world::World;

/// What no line that is typed brings out, or none that a test can type: each text as it is read.
#[test]
fn texts_that_hang_on_more_than_a_line() {
    let path = || PathBuf::from("houses.stemwall");
    let when = |text: &str| stemwall::ledger::when::When::parse(text).unwrap();
    let years = format!("a plan has 1 to {} years, not 0", stemwall::deferral::plan::MOST_YEARS);
    let said: Vec<(String, &str)> = vec![
        (Problem::NumberTaken { number: 2 }.to_string(), "the finding number 2 was used before"),
        (Problem::PropertyExists.to_string(), "the property exists already"),
        (Problem::NotTheLast { seq: 3 }.to_string(), "entry 3 is not the last one"),
        (Problem::NotAWalk { seq: 3 }.to_string(), "entry 3 begins no walk of this property"),
        (
            Problem::WalkOver { seq: 3, ended: when("2026-01-02") }.to_string(),
            "the walk of entry 3 ended on 2026-01-02",
        ),
        (Problem::NoEntry { seq: 9 }.to_string(), "there is no entry 9 in this chain"),
        (
            Problem::CorrectionUnreadable { seq: 4, error: "no `width`".into() }.to_string(),
            "the correction of entry 4 cannot be read: no `width`",
        ),
        (EntryError::Hash.to_string(), "its hash is not that of its envelope"),
        (EntryError::Body("no salt".into()).to_string(), "its body cannot be read: no salt"),
        (KindError::UnknownKind("song-sung".into()).to_string(), "kind `song-sung` is not known to this program"),
        (
            KindError::NewerVersion { kind: "note-added", version: 9, known: 2 }.to_string(),
            "version 9 of kind `note-added` is newer than this program reads (2)",
        ),
        (
            KindError::NotThisKind { kind: "note-added", error: "no `text`".into() }.to_string(),
            "its body is not a `note-added`: no `text`",
        ),
        (Error::LinesRefused(Vec::new()).to_string(), "0 lines refused"),
        (Error::NotWhole { things: 3, rebuilds: false }.to_string(), "3 things are wrong with this ledger"),
        (
            StoreError::Io { path: path(), error: "a device is gone".into() }.to_string(),
            "`houses.stemwall` cannot be used: a device is gone",
        ),
        (StoreError::Sql("no such table".into()).to_string(), "the database refused: no such table"),
        (
            Warning::NetworkFileSystem { path: path(), kind: "NFS" }.to_string(),
            "`houses.stemwall` is on a network file system (NFS), where two computers at once can damage it",
        ),
        (
            Warning::SynchronisedFolder { path: path(), folder: "Dropbox".into() }.to_string(),
            "`houses.stemwall` is in a folder that is synchronised (Dropbox), which can damage a ledger in use",
        ),
        (
            RemindError::Busy { seconds: 10 }.to_string(),
            "another stemwall has been sending reminders of this ledger for 10 seconds",
        ),
        (
            DossierError::Entry { seq: 4, why: "its hash is another".into() }.to_string(),
            "entry 4 of the dossier is damaged: its hash is another",
        ),
        (
            DossierError::Shows { line: 7, found: String::new(), wanted: String::new() }.to_string(),
            "line 7 of the dossier does not show what its entries give",
        ),
        (
            DossierError::OtherProgram { by: "1.0".into(), this: "2.0".into(), entries: 7 }.to_string(),
            "the dossier was written by `1.0`, and this is `2.0`: its 7 entries are whole, what it shows cannot be compared",
        ),
        (PlanningError::NotFound.to_string(), "no plan was found in the time there is"),
        (ImportError::NotCsv { path: path(), error: "line 3".into() }.to_string(), "the file is not CSV: line 3"),
        (FileError::Changed { file: "log.csv".into() }.to_string(), "`log.csv` was changed while it was read"),
        (ChainError::TooManyYears { given: 9999 }.to_string(), "9999 years are more than 1000"),
        (ChainError::Beyond.to_string(), "the sums are beyond what can be reckoned"),
        (LadderError::Toml("line 3".into()).to_string(), "the file does not read: line 3"),
        (
            LadderError::BeyondLast { ladder: "crack".into() }.to_string(),
            "ladder `crack`: the last stage has an `advance`, but nothing comes after it",
        ),
        (LadderError::Twice("crack".into()).to_string(), "there are two ladders `crack`"),
        (RangeError::NotFinite.to_string(), "a figure of it is not finite"),
        (SpreadError::NoPaths.to_string(), "no path is to be simulated"),
        (
            SpreadError::TooLong { paths: 7, years: 9 }.to_string(),
            "7 paths over 9 years cannot be worked off in a minute",
        ),
        (SpreadError::NotAShare { given: 1.5 }.to_string(), "1.5 is not a share between 0 and 1"),
        (SpreadError::NoSuchYear { given: 7, years: 5 }.to_string(), "year 7 is beyond the 5 years looked ahead"),
        (SpreadError::Stages { given: 2, wanted: 3 }.to_string(), "there are 2 ranges of prices for 3 stages"),
        (PlanError::Years(0).to_string(), &years),
        (PlanError::Count { at: 1, given: 2, wanted: 3 }.to_string(), "repair 1 has 2 amounts, not 3"),
        (PlanError::Negative.to_string(), "an amount is negative"),
        (PlanError::TooLarge.to_string(), "the amounts add up to more than can be reckoned exactly"),
        (PlanError::NoSuch { at: 2 }.to_string(), "repair 2 waits for one that is not there"),
        (PlanError::DoesNotFit.to_string(), "no plan does what must be done within the budgets"),
        (PlanError::NotFound.to_string(), "no plan was found, nor shown that there is none"),
        (TooMuch::Steps.to_string(), "the rule takes too many steps to work off in that span"),
        (CronError::Beyond.to_string(), "it cannot be worked off"),
        (Fact::NotTogether("lasted").to_string(), "does not go together with `lasted`"),
        (InputError::TooLarge { input: "width" }.to_string(), "width is too large to reckon with"),
        (InputError::Count { input: "levels", given: 2, wanted: 3 }.to_string(), "levels has 2, wanted are 3"),
        (QuantityError::TooLarge.to_string(), "the number is too large"),
        (MoneyError::NotItsSign { sign: '¥', ledger: Currency::USD }.to_string(), "`¥` does not mean USD"),
    ];
    for (said, text) in said {
        assert_eq!(said, text);
    }
}

#[test]
fn what_is_no_quantity_and_no_money_is_said_in_its_own_words() {
    let world = World::with_crack();
    world.run(&["finding", "open", "elm", "--kind", "damp", "--place", "corner"]).ok();
    let says = |line: &str, text: &str| {
        let words = words(line);
        let said = world.refused(2, &words.iter().map(String::as_str).collect::<Vec<_>>());
        assert!(said.contains(text), "{line}: {said}");
    };
    says("reading add elm/1 --width \"\"", "try: nothing is written; ");
    says("reading add elm/1 --width \"1/0 in\"", "try: the fraction divides by zero; ");
    says("reading add elm/1 --width \"3 mm !\"", "try: it does not read as a number and its unit; ");
    says("reading add elm/2 --air \"-300 C\"", "try: the temperature is below absolute zero; ");
    says("quote add elm/1 --from A --amount \"\"", "try: nothing is written; ");
    says("quote add elm/1 --from A --amount \"1.2.3 USD\"", "try: it does not read as an amount and its currency; ");
    says("why elm#x", "error: `elm#x` is not the name of an entry\n");
    says("why elm/0", "error: `0` names no finding\n");
    says("note add elm x --on 1700-01-01", "error: `1700-01-01` is outside the years 1800 to 2199\n");
}

#[test]
fn files_of_rows_that_do_not_read_say_why() {
    let world = World::new();
    let import = |bytes: &[u8], columns: &str| {
        let file = world.file("rows.csv", bytes);
        let line = ["import", "radon", &file, "--columns", columns, "--dates", "%Y-%m-%d", "--times", "%H:%M"];
        world.run(&line).fails_saying(if columns.contains("oops") { 2 } else { 1 })
    };
    let columns = "property=id,result=pci,started=on,started-time=at";
    let head = "id,pci,on,at\n";
    for (bytes, text) in [
        (b"".to_vec(), "the file is empty"),
        (b"\xff\xfei\0d\0".to_vec(), "the file is in UTF-16, not UTF-8 (line 1)"),
        (format!("{head}7,1").into_bytes().into_iter().chain([0xff]).collect(), "the file is not in UTF-8 (line 2)"),
        (format!("{head}h7,4 ppm,2025-01-05,10:00\n").into_bytes(), "the result is not a radon concentration"),
        (format!("{head}h7,4,2025-01-05,25:00\n").into_bytes(), "`25:00` is not a time of day"),
        (
            format!("{head}h7,4,2025-01-05,25:00\nh8,4,2025-01-05,26:00\nh9,4,2025-01-05,\n").into_bytes(),
            "2 of 3 rows were refused",
        ),
    ] {
        let said = import(&bytes, columns);
        assert!(said.contains(text), "{text}: {said}");
    }
    let typed = |bytes: &str, text: &str| {
        let file = world.file("rows.csv", bytes);
        let said = world.run(&["import", "radon", &file, "--columns", columns]).fails(2);
        assert!(said.contains(text), "{said}");
    };
    typed("id,pci,on,at,id\n", "` has 2 columns `id`\n");
    typed("id,pci,on,at,id\n", "  try: give the columns names of their own in the first line\n");
    typed(
        "id;pci;on;at\n7;4;2025-01-05;10:00\n",
        "  try: its columns stand between semicolons; save it with commas, as `CSV UTF-8`\n",
    );
    let said = import(head.as_bytes(), "property=id,oops");
    assert!(said.contains("`oops` does not say which column holds what"), "{said}");
}

/// The literal text of each `#[error("…")]` in the sources, and everything that tests say.
#[test]
fn every_text_of_an_error_stands_in_a_test() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (mut errors, mut tested) = (Vec::new(), String::new());
    for path in sources(&root.join("src")) {
        let text = std::fs::read_to_string(&path).unwrap();
        let name = path.file_name().unwrap().to_str().unwrap();
        let inside = path.components().any(|part| part.as_os_str() == "tests");
        if inside || name.ends_with("tests.rs") || name.ends_with("laws.rs") {
            tested.push_str(&text);
            continue;
        }
        let (code, tests) = text.split_at(text.find("#[cfg(test)]").unwrap_or(text.len()));
        tested.push_str(tests);
        errors.extend(texts(code).into_iter().map(|said| (path.strip_prefix(root).unwrap().to_owned(), said)));
    }
    for path in sources(&root.join("tests")) {
        tested.push_str(&std::fs::read_to_string(path).unwrap());
    }
    assert!(errors.len() > 300, "only {} texts were found", errors.len());
    let tested = plain(&tested);
    let unpinned: Vec<String> = errors
        .iter()
        .filter(|(_, said)| !tested.contains(&longest_fragment(&plain(said))))
        .map(|(path, said)| format!("{}: {said}", path.display()))
        .collect();
    assert!(unpinned.is_empty(), "no test has the text of\n{}", unpinned.join("\n"));
}

fn sources(folder: &Path) -> Vec<PathBuf> {
    let inside = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let (folders, files): (Vec<_>, Vec<_>) = inside.partition(|path| path.is_dir());
    let files = files.into_iter().filter(|path| path.extension().is_some_and(|e| e == "rs"));
    files.chain(folders.iter().flat_map(|folder| sources(folder))).collect()
}

fn texts(code: &str) -> Vec<String> {
    let attributes = code.split("#[error(").skip(1).filter_map(|rest| rest.trim_start().strip_prefix('"'));
    let literal = |rest: &str| {
        let mut escaped = false;
        let end = rest.find(|c| {
            let ends = c == '"' && !escaped;
            escaped = c == '\\' && !escaped;
            ends
        });
        rest[..end.unwrap_or(rest.len())].to_owned()
    };
    attributes.map(literal).collect()
}

/// Without what formatting puts between words of a text: escapes, and lines that are broken.
fn plain(text: &str) -> String {
    let text = text.replace("\\\n", " ").replace("\\\"", "\"").replace("\\n", " ");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What stands between two values that are filled in, or before the first, or after the last.
fn longest_fragment(said: &str) -> String {
    let mut fragments = vec![String::new()];
    let mut depth = 0;
    for c in said.chars() {
        match c {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                fragments.push(String::new());
            }
            c if depth == 0 => fragments.last_mut().expect("there is one").push(c),
            _ => {}
        }
    }
    let longest = fragments.into_iter().max_by_key(String::len).unwrap_or_default();
    longest.trim_matches([' ', ';', ':', ',', '`']).to_owned()
}
