//! Houses, cracks and readings for the tests of the store.

use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::Connection;
use uuid::Uuid;

use crate::ledger::entry::Remarks;
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::kind::entry_corrected::EntryCorrected;
use crate::ledger::kind::entry_erased::EntryErased;
use crate::ledger::kind::entry_struck::EntryStruck;
use crate::ledger::kind::finding_opened::{FindingOpened, Particulars};
use crate::ledger::kind::ledger_started::LedgerStarted;
use crate::ledger::kind::note_added::NoteAdded;
use crate::ledger::kind::property_added::PropertyAdded;
use crate::ledger::kind::radon_tested::RadonTested;
use crate::ledger::kind::reading_added::{Measured, ReadingAdded};
use crate::ledger::kind::section_added::SectionAdded;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::{Currency, Typed, Units};
use crate::store::{Addressed, AppendError, Store, Target};
use crate::trade::words::{Answer, Device, FindingKind, Foundation};

pub fn today() -> NaiveDate {
    day("2026-03-01")
}

pub fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

pub fn recorded() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_366_400, 0).unwrap()
}

pub fn on(text: &str) -> When {
    When::parse(text).unwrap()
}

pub fn fresh(folder: &Path) -> (Store, PathBuf) {
    let path = folder.join("houses.stemwall");
    let started = LedgerStarted { units: Units::Us, currency: Currency::USD };
    (Store::create(&path, started, Remarks::default(), recorded()).unwrap(), path)
}

pub fn known(id: Uuid, day: &str, fact: impl Into<Fact>) -> Addressed {
    Addressed { property: Target::Known(id), draft: Draft::new(on(day), Remarks::default(), fact) }
}

pub fn added(key: &str) -> PropertyAdded {
    PropertyAdded {
        key: Name::parse(key).unwrap(),
        name: "House".into(),
        zone: "America/Chicago".into(),
        built: None,
        last_freeze: None,
        first_freeze: None,
        climate_zone: None,
        wet_season: None,
        value: None,
    }
}

pub fn house(key: &str, id: Uuid) -> Addressed {
    Addressed { property: Target::New(id), ..known(id, "2024-01-01", added(key)) }
}

pub fn section(id: Uuid, name: &str) -> Addressed {
    let name = Name::parse(name).unwrap();
    known(
        id,
        "2024-01-01",
        SectionAdded {
            name,
            foundation: Foundation::Basement,
            walls: None,
            area: None,
            place: None,
            retarder: None,
            clay: None,
        },
    )
}

pub fn crack(id: Uuid) -> Addressed {
    let fact = FindingOpened {
        number: 0,
        kind: FindingKind::Crack,
        place: "south wall".into(),
        section: None,
        particulars: Particulars::default(),
    };
    known(id, "2024-01-02", fact)
}

pub fn width(finding: u32, width: &str) -> ReadingAdded {
    ReadingAdded {
        finding,
        measured: Measured::Width(Typed::parse(width).unwrap()),
        over: None,
        resolution: None,
        with: None,
        at: None,
        moved: false,
    }
}

pub fn reading(id: Uuid, day: &str, typed: &str) -> Addressed {
    known(id, day, width(1, typed))
}

pub fn note(id: Uuid, day: &str, text: &str) -> Addressed {
    known(id, day, NoteAdded { about: String::new(), text: text.into(), look: false })
}

pub fn radon(id: Uuid, section: &str, result: &str) -> Addressed {
    let fact = RadonTested {
        section: Name::parse(section).unwrap(),
        device: Device::Charcoal,
        result: Typed::parse(result).unwrap(),
        below: false,
        started: on("2024-01-12T10:00"),
        ended: Some(on("2024-01-14T10:00")),
        lasted: None,
        closed: Some(Answer::Yes),
        room: None,
        level: None,
        placed_by: None,
        lab: None,
        beside: None,
        missing_hours: None,
        observed: Vec::new(),
        origin: None,
        stood: None,
        left_out: None,
    };
    known(id, "2024-01-12T10:00", fact)
}

pub fn correct(id: Uuid, entry: u64, now: &str, fact: impl Into<Fact>) -> Addressed {
    let fact = fact.into();
    let body = serde_json::to_value(&fact).unwrap();
    known(id, "2025-01-01", EntryCorrected { entry, why: "misread".into(), on: on(now), v: fact.version(), fact: body })
}

pub fn strike(id: Uuid, entry: u64) -> Addressed {
    known(id, "2025-01-01", EntryStruck { entry, why: "wrong house".into() })
}

pub fn erase(id: Uuid, entry: u64) -> Addressed {
    known(id, "2025-01-01", EntryErased { entry, why: "asked for".into(), number: None, about: Vec::new() })
}

/// A house `elm` of five entries; the last is older than the one before it.
pub fn with_readings(folder: &Path) -> (Store, PathBuf, Uuid) {
    let (mut store, path) = fresh(folder);
    let id = Uuid::new_v4();
    put(
        &mut store,
        vec![
            house("elm", id),
            crack(id),
            reading(id, "2024-02-01", "0.8 mm"),
            reading(id, "2024-08-01", "0.9 mm"),
            reading(id, "2024-05-01", "1.0 mm"),
        ],
    );
    (store, path, id)
}

pub fn put(store: &mut Store, drafts: Vec<Addressed>) {
    store.append(drafts, recorded(), today()).unwrap();
}

/// What keeps the drafts out, in words, by draft.
pub fn refused(store: &mut Store, drafts: Vec<Addressed>) -> Vec<(usize, String)> {
    match store.append(drafts, recorded(), today()) {
        Err(AppendError::Refused(all)) => all.into_iter().map(|r| (r.index, r.problem.to_string())).collect(),
        other => panic!("{other:?}"),
    }
}

/// What a check of the ledger as it lies on disk names.
pub fn verified(path: &Path) -> Vec<String> {
    let report = Store::open(path).unwrap().verify(&mut |_, _| ()).unwrap();
    report.bad.into_iter().map(|b| b.what).collect()
}

/// Runs SQL on a ledger with its guards taken away, as somebody with the file in hand can.
pub fn tamper(path: &Path, sql: &str) {
    let connection = Connection::open(path).unwrap();
    let guards: Vec<(String, String)> = connection
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    for (name, _) in &guards {
        connection.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    connection.execute_batch(&format!("PRAGMA foreign_keys = OFF; {sql}")).unwrap();
    for (_, sql) in guards {
        connection.execute_batch(&sql).unwrap();
    }
}
