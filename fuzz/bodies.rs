//! What each fuzz target does with bytes that a stranger could send: no panic, and no figure that is no number.
//!
//! `tests/fuzz` runs the same bodies on a stable compiler over a corpus and its mutations.

use std::path::PathBuf;

use stemwall::calendar::almanac::Almanac;
use stemwall::cli::walk;
use stemwall::command::import::{Radon, rows};
use stemwall::command::walk::{Stop, Under, facts_of};
use stemwall::ledger::entry::{Body, Envelope};
use stemwall::ledger::kind::{Fact, KINDS};
use stemwall::ledger::subject::{Name, Subject};
use stemwall::quantity::{Currency, Money, QuantityKind, parse_si};
use stemwall::reckon;
use stemwall::trade::words::{Device, Season};

/// A body by its name.
pub type Target = (&'static str, fn(&[u8]));

/// Every body. One file a name stands in `fuzz_targets`.
pub const TARGETS: &[Target] = &[
    ("quantity", quantity),
    ("reckon_lines", reckon_lines),
    ("radon_csv", radon_csv),
    ("walk_answers", walk_answers),
    ("entry_json", entry_json),
    ("almanac_toml", almanac_toml),
];

/// What people type for a quantity or an amount of money.
pub fn quantity(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    for kind in QuantityKind::ALL {
        for signed in [false, true] {
            if let Ok(si) = parse_si(&text, kind, signed) {
                assert!(si.is_finite(), "{text:?} is {si}");
            }
        }
    }
    if let Ok(money) = Money::parse(&text, Currency::USD) {
        let again = serde_json::to_string(&money).expect("money is JSON");
        assert_eq!(serde_json::from_str::<Money>(&again).ok(), Some(money), "{text:?} is stored as {again}");
    }
}

/// Lines of `reckon --lines`.
pub fn reckon_lines(bytes: &[u8]) {
    for line in bytes.split(|byte| *byte == b'\n') {
        if let Ok(outcome) = reckon::answer(line).outcome {
            assert!(outcome.is_finite(), "{}", String::from_utf8_lossy(line));
            serde_json::to_string(&outcome).expect("an outcome is JSON");
        }
    }
}

/// A file of radon tests.
pub fn radon_csv(bytes: &[u8]) {
    let asked = Radon {
        file: PathBuf::from("survey.csv"),
        columns: "property=house,result=level,started=on,started-time=at,ended=off,section=room".to_owned(),
        dates: "%Y-%m-%d".to_owned(),
        times: "%H:%M".to_owned(),
        zone: None,
        device: "charcoal".to_owned(),
        label: None,
        prefix: "home-".to_owned(),
        dry_run: true,
        all_or_nothing: false,
    };
    if let Ok((read, _)) = rows::all(bytes, &asked, Device::Charcoal) {
        assert!(read.iter().all(|row| row.test.result.value().to_pci_l().is_finite()));
    }
}

fn walk_under() -> Under {
    let stop = |about: Subject, point: &str| Stop {
        of_section: matches!(about, Subject::Named(_)),
        about,
        point: point.to_owned(),
        title: "Floor".to_owned(),
        look: "look".to_owned(),
        cautions: Vec::new(),
        last_time: String::new(),
        ended: None,
    };
    let main = Subject::Named(Name::parse("main").expect("a name"));
    Under {
        id: uuid::Uuid::nil(),
        key: "elm".to_owned(),
        walk: 9,
        season: Season::Spring,
        resumed: false,
        begun: None,
        left: None,
        stops: vec![stop(main, "floor"), stop(Subject::Property, "grade"), stop(Subject::Finding(1), "open-finding")],
    }
}

/// A file of answers to a walk.
pub fn walk_answers(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let under = walk_under();
    if let Ok(answers) = walk::answers(&under, &text)
        && let Ok((facts, lines)) = facts_of(&under, 1, &answers)
    {
        assert_eq!(facts.len(), lines.len());
        facts.iter().for_each(|fact| assert!(!fact.sentence().is_empty()));
    }
}

/// Entries made elsewhere: envelopes, bodies, and the facts in them.
pub fn entry_json(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let _ = Envelope::read(&text);
    for kind in KINDS {
        let _ = Body::read(kind.name, &text);
        if let Ok(fact) = Fact::read(kind.name, kind.version, &text) {
            let again = serde_json::to_string(&fact).expect("a fact is JSON");
            assert_eq!(Fact::read(kind.name, kind.version, &again), Ok(fact), "{text}");
        }
    }
}

/// An almanac in its file's form.
pub fn almanac_toml(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    let _ = toml::from_str::<Almanac>(&text);
}
