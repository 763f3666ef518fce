//! Laws of a history as it grows: what is kept from entry to entry is what would be computed anew, and how entries are
//! batched changes nothing.

use std::path::Path;

use chrono::{DateTime, Days, NaiveDate, Utc};
use proptest::prelude::*;
use rusqlite::Connection;
use rusqlite::types::Value;
use stemwall::ledger::entry::Remarks;
use stemwall::ledger::fold::{Draft, Folded, Recorded};
use stemwall::ledger::kind::Fact;
use stemwall::ledger::kind::entry_corrected::EntryCorrected;
use stemwall::ledger::kind::entry_struck::EntryStruck;
use stemwall::ledger::kind::event_happened::EventHappened;
use stemwall::ledger::kind::finding_closed::FindingClosed;
use stemwall::ledger::kind::finding_opened::{FindingOpened, Particulars};
use stemwall::ledger::kind::finding_reopened::FindingReopened;
use stemwall::ledger::kind::judgement_given::JudgementGiven;
use stemwall::ledger::kind::ledger_started::LedgerStarted;
use stemwall::ledger::kind::note_added::NoteAdded;
use stemwall::ledger::kind::property_added::PropertyAdded;
use stemwall::ledger::kind::reading_added::{Measured, ReadingAdded};
use stemwall::ledger::kind::section_added::SectionAdded;
use stemwall::ledger::outlook::{Outlook, Refreshed, outlook};
use stemwall::ledger::settings::Settings;
use stemwall::ledger::subject::{Name, Subject};
use stemwall::ledger::when::When;
use stemwall::quantity::{Currency, Typed, Units};
use stemwall::store::{Addressed, Store, Target};
use stemwall::trade::words::{Answer, EventKind, FindingKind, Foundation, Runs, Walls, Water};
use uuid::Uuid;

use crate::world::World;

/// Something that is said of a house. Findings are told by number whether or not they are there: what does not fit is
/// refused, and that has to be the same too.
#[derive(Debug, Clone)]
enum Said {
    Opened { kind: FindingKind, section: bool, wall: bool },
    Read { finding: u32, tenths: u32 },
    Wet { finding: u32, water: Water },
    Closed { finding: u32 },
    Reopened { finding: u32 },
    Judged { finding: u32, holds: Option<u64> },
    Happened(EventKind),
    Noted,
    Struck { entry: u64 },
    Corrected { entry: u64, finding: u32, tenths: u32 },
}

/// What is said, days after what was said before it; some of it happened days earlier.
#[derive(Debug, Clone)]
struct Step {
    said: Said,
    after: u64,
    earlier: u64,
}

fn said() -> impl Strategy<Value = Said> {
    // Kinds that look at each other: cracks on one wall, signs at one place, a settlement beside a crack.
    let kind = prop::sample::select(vec![
        FindingKind::Crack,
        FindingKind::Crack,
        FindingKind::Settlement,
        FindingKind::Binding,
        FindingKind::Walkway,
        FindingKind::Damp,
    ]);
    let finding = 1u32..6;
    let tenths = prop_oneof![1u32..12, 1u32..12, 25u32..40, 40u32..300];
    let water = prop::sample::select(vec![Water::Dry, Water::Damp, Water::Running]);
    let event = prop::sample::select(EventKind::ALL.to_vec());
    prop_oneof![
        4 => (kind, any::<bool>(), any::<bool>()).prop_map(|(kind, section, wall)| Said::Opened { kind, section, wall }),
        16 => (finding.clone(), tenths.clone()).prop_map(|(finding, tenths)| Said::Read { finding, tenths }),
        2 => (finding.clone(), water).prop_map(|(finding, water)| Said::Wet { finding, water }),
        2 => finding.clone().prop_map(|finding| Said::Closed { finding }),
        1 => finding.clone().prop_map(|finding| Said::Reopened { finding }),
        1 => (finding.clone(), prop::option::of(0u64..200))
            .prop_map(|(finding, holds)| Said::Judged { finding, holds }),
        1 => event.prop_map(Said::Happened),
        1 => Just(Said::Noted),
        1 => (1u64..30).prop_map(|entry| Said::Struck { entry }),
        1 => (4u64..30, finding, tenths).prop_map(|(entry, finding, tenths)| Said::Corrected { entry, finding, tenths }),
    ]
}

fn history(length: usize) -> impl Strategy<Value = Vec<Step>> {
    let after = prop_oneof![3 => 0u64..8, 1 => 20u64..120];
    let earlier = prop_oneof![6 => Just(0u64), 1 => 1u64..60];
    let step = (said(), after, earlier).prop_map(|(said, after, earlier)| Step { said, after, earlier });
    prop::collection::vec(step, 10..length)
}

fn day(offset: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2020, 1, 1).unwrap().checked_add_days(Days::new(offset)).unwrap()
}

fn recorded() -> DateTime<Utc> {
    DateTime::from_timestamp(2_000_000_000, 0).unwrap()
}

fn name(text: &str) -> Name {
    Name::parse(text).unwrap()
}

fn house(key: &str) -> PropertyAdded {
    PropertyAdded {
        key: name(key),
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

fn basement() -> SectionAdded {
    SectionAdded {
        name: name("main"),
        foundation: Foundation::Basement,
        walls: Some(Walls::Block),
        area: None,
        place: None,
        retarder: None,
        clay: None,
    }
}

fn read(finding: u32, measured: Measured) -> ReadingAdded {
    let resolution = Some(Typed::parse("0.1 mm").unwrap());
    ReadingAdded { finding, measured, over: None, resolution, with: None, at: None, moved: false }
}

fn width(tenths: u32) -> Measured {
    Measured::Width(Typed::parse(&format!("{}.{} mm", tenths / 10, tenths % 10)).unwrap())
}

fn fact(said: &Said, on: When) -> Fact {
    match said.clone() {
        Said::Opened { kind, section, wall } => FindingOpened {
            number: 0,
            kind,
            place: if wall { "south wall" } else { "corner" }.into(),
            section: section.then(|| name("main")),
            particulars: match kind {
                FindingKind::Crack => Particulars {
                    runs: Some(Runs::Vertical),
                    water: Some(Water::Dry),
                    retains: Some(Answer::Yes),
                    wall: wall.then(|| "south".into()),
                    ..Particulars::default()
                },
                _ => Particulars::default(),
            },
        }
        .into(),
        Said::Read { finding, tenths } => read(finding, width(tenths)).into(),
        Said::Wet { finding, water } => {
            ReadingAdded { resolution: None, ..read(finding, Measured::Water(water)) }.into()
        }
        Said::Closed { finding } => FindingClosed { number: finding, why: "mended".into() }.into(),
        Said::Reopened { finding } => FindingReopened { number: finding, why: "open again".into() }.into(),
        Said::Judged { finding, holds } => JudgementGiven {
            findings: vec![finding],
            from: "an engineer".into(),
            licence: "PE 1".into(),
            says: "watch it".into(),
            until: holds.and_then(|days| on.date.checked_add_days(Days::new(days))),
            until_width: None,
            until_growth: None,
            until_event: Vec::new(),
            document: None,
        }
        .into(),
        Said::Happened(kind) => EventHappened { kind }.into(),
        Said::Noted => NoteAdded { about: String::new(), text: "looked at all of it".into(), look: true }.into(),
        Said::Struck { entry } => EntryStruck { entry, why: "wrong house".into() }.into(),
        Said::Corrected { entry, finding, tenths } => {
            let now = Fact::from(read(finding, width(tenths)));
            let fact = serde_json::to_value(&now).unwrap();
            EntryCorrected { entry, why: "misread".into(), on, v: now.version(), fact }.into()
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(192))]

    /// Rows refreshed entry by entry are those of the whole property computed anew, and what a refresh says is the same,
    /// is; on another day too, for a row that no day of its own has come for is the same on every day.
    #[test]
    fn refreshing_is_computing_anew(steps in history(90)) {
        let mut entries: Vec<Recorded> = Vec::new();
        let mut folded = Folded::empty(Uuid::from_u128(7));
        let settings = Settings::default();
        let (mut kept, mut now) = (Outlook::default(), 100);
        let first = [(100, 0, Fact::from(house("elm"))), (100, 0, basement().into())];
        let later = steps.iter().map(|step| {
            now += step.after;
            (now, step.earlier, fact(&step.said, When::day(day(now - step.earlier))))
        });
        for (now, earlier, fact) in first.into_iter().chain(later) {
            // Papers are entered every two months or so.
            let today = day((now / 64 + 1) * 64);
            let draft = Draft::new(When::day(day(now - earlier)), Remarks::default(), fact);
            let so_far = entries.clone();
            let Ok(joined) = folded.join(draft, recorded(), || Ok::<_, ()>(so_far)).unwrap() else { continue };
            entries.push(Recorded::read(&joined.raw).unwrap());
            let anew = outlook(&folded.property, &settings, today);
            let aged = kept.changes_on().is_some_and(|day| day <= today);
            if joined.anew || aged {
                kept = anew;
                continue;
            }
            let before = kept.clone();
            let refreshed = kept.refresh(&folded.property, &joined.subjects, &settings, today);
            if let Refreshed::Some { different, overview } = refreshed {
                let subjects = before.rows.keys().chain(kept.rows.keys());
                let mut really: Vec<&Subject> = subjects.filter(|s| before.rows.get(s) != kept.rows.get(s)).collect();
                really.sort();
                really.dedup();
                prop_assert!(really.into_iter().eq(different.iter()));
                prop_assert!(overview || before.overview(&folded.property) == kept.overview(&folded.property));
            }
            prop_assert_eq!(&kept, &anew, "after {:?} on {}", joined.body.fact, today);
        }
    }
}

/// The name of a table, and one of its rows.
type Row = (String, Vec<Value>);

/// Every row of every table that is computed from the entries.
fn projected(path: &Path) -> Vec<Row> {
    let connection = Connection::open(path).unwrap();
    let tables: Vec<String> = connection
        .prepare(
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'refinery%' \
             AND name NOT IN ('chains', 'entries', 'bodies', 'erasures', 'derived') ORDER BY name",
        )
        .unwrap()
        .query_map([], |r| r.get(0))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert!(tables.len() > 10, "{tables:?}");
    let mut rows = Vec::new();
    for table in tables {
        let mut statement = connection.prepare(&format!("SELECT * FROM {table} ORDER BY 1, 2")).unwrap();
        let columns = statement.column_count();
        let read = |r: &rusqlite::Row| (0..columns).map(|c| r.get(c)).collect::<Result<Vec<Value>, _>>();
        rows.extend(statement.query_map([], read).unwrap().map(|row| (table.clone(), row.unwrap())));
    }
    rows
}

/// Hands the drafts over in batches of the sizes given, in turn; gives what became of each draft, and the rows.
fn recorded_in(drafts: &[Addressed], sizes: &[usize], today: NaiveDate) -> (Vec<Result<u64, String>>, Vec<Row>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("houses.stemwall");
    let started = LedgerStarted { units: Units::Us, currency: Currency::USD };
    let mut store = Store::create(&path, started, Remarks::default(), recorded()).unwrap();
    let (mut rest, mut answers) = (drafts, Vec::new());
    for size in sizes.iter().cycle() {
        let (batch, after) = rest.split_at((*size).min(rest.len()));
        for answer in store.append_each(batch.to_vec(), recorded(), today).unwrap() {
            answers.push(
                answer
                    .map(|receipt| receipt.seq)
                    .map_err(|refusals| refusals.iter().map(|r| r.problem.to_string()).collect::<Vec<_>>().join("; ")),
            );
        }
        rest = after;
        if rest.is_empty() {
            break;
        }
    }
    let report = store.verify(&mut |_, _| ()).unwrap();
    assert!(report.bad.is_empty(), "{:?}", report.bad);
    (answers, projected(&path))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    /// One batch, one by one, or split anywhere: the same is accepted, refused and projected.
    #[test]
    fn batches_do_not_matter(
        steps in prop::collection::vec((any::<bool>(), history(25)), 2..4),
        sizes in prop::collection::vec(1usize..9, 1..6),
    ) {
        let houses = [("ash", Uuid::from_u128(1)), ("elm", Uuid::from_u128(2))];
        let mut drafts = Vec::new();
        for (key, id) in houses {
            let on = When::day(day(100));
            drafts.push(Addressed { property: Target::New(id), draft: Draft::new(on, Remarks::default(), house(key)) });
            drafts.push(Addressed { property: Target::Known(id), draft: Draft::new(on, Remarks::default(), basement()) });
        }
        let mut now = 100;
        for (which, steps) in &steps {
            for step in steps {
                now += step.after;
                let on = When::day(day(now - step.earlier));
                let draft = Draft::new(on, Remarks::default(), fact(&step.said, on));
                drafts.push(Addressed { property: Target::Known(houses[usize::from(*which)].1), draft });
            }
        }
        let today = day(now);
        let whole = recorded_in(&drafts, &[drafts.len()], today);
        prop_assert!(whole.1.iter().any(|(table, _)| table == "outlook"));
        prop_assert_eq!(&recorded_in(&drafts, &[1], today), &whole);
        prop_assert_eq!(&recorded_in(&drafts, &sizes, today), &whole);
    }
}

#[test]
fn an_erased_reading_leaves_its_place_and_its_erasure_in_the_history_of_its_finding() {
    let world = World::with_crack();
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01", "--note", "by the tenant"]).ok();
    world.run(&["entry", "erase", "elm#4", "--why", "asked for", "--on", "2026-02-01"]).ok();
    let lines = world.run(&["history", "elm/1", "--json"]).json();
    let told: Vec<(String, Option<&str>)> = lines
        .as_array()
        .unwrap()
        .iter()
        .map(|l| (format!("{} {}", l["on"].as_str().unwrap(), l["entry"].as_str().unwrap()), l["says"].as_str()))
        .collect();
    assert_eq!(told[1], ("2024-02-01 elm#4".to_owned(), None));
    assert_eq!(told[2], ("2026-02-01 elm#5".to_owned(), Some("erases the body of elm#4: asked for")));
    assert_eq!(told.len(), 3);
    let screen = world.run(&["history", "elm/1"]).ok();
    assert!(screen.contains("its body was erased") && screen.contains("erased by elm#5"), "{screen}");
    assert!(!screen.contains("tenant") && !screen.contains("0.8 mm"), "{screen}");
    assert!(!world.run(&["history", "elm/main"]).ok().contains("elm#4"), "it was about the finding");
    world.run(&["verify"]).ok();
}
