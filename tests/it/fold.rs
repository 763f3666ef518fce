//! Laws of the fold: how a history came about does not matter, only what it says.

use chrono::{DateTime, Days, NaiveDate, Utc};
use proptest::prelude::*;
use stemwall::ledger::entry::Remarks;
use stemwall::ledger::fold::{Draft, Folded, Recorded, fold};
use stemwall::ledger::kind::Fact;
use stemwall::ledger::kind::entry_corrected::EntryCorrected;
use stemwall::ledger::kind::entry_struck::EntryStruck;
use stemwall::ledger::kind::finding_closed::FindingClosed;
use stemwall::ledger::kind::finding_opened::{FindingOpened, Particulars};
use stemwall::ledger::kind::property_added::PropertyAdded;
use stemwall::ledger::kind::reading_added::{Measured, ReadingAdded};
use stemwall::ledger::outlook::outlook;
use stemwall::ledger::problem::Problem;
use stemwall::ledger::settings::Settings;
use stemwall::ledger::subject::{Name, Subject};
use stemwall::ledger::when::When;
use stemwall::quantity::Typed;
use stemwall::trade::words::FindingKind;
use uuid::Uuid;

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap()
}

fn day(offset: u64) -> When {
    When::day(NaiveDate::from_ymd_opt(2020, 1, 1).unwrap().checked_add_days(Days::new(offset)).unwrap())
}

fn recorded() -> DateTime<Utc> {
    DateTime::from_timestamp(1_772_366_400, 0).unwrap()
}

/// A chain kept in memory, as the store keeps one on disk.
struct Chain {
    entries: Vec<Recorded>,
    folded: Folded,
}

impl Chain {
    fn with_house() -> Chain {
        let id = Uuid::from_u128(7);
        let mut chain = Chain { entries: Vec::new(), folded: Folded::empty(id) };
        let house = PropertyAdded {
            key: Name::parse("elm").unwrap(),
            name: "Elm".into(),
            zone: "America/Chicago".into(),
            built: None,
            last_freeze: None,
            first_freeze: None,
            climate_zone: None,
            wet_season: None,
            value: None,
        };
        chain.add(day(2000), house).unwrap();
        chain
    }

    fn add(&mut self, on: When, fact: impl Into<Fact>) -> Result<u64, Vec<Problem>> {
        let draft = Draft::new(on, Remarks::default(), fact);
        let entries = self.entries.clone();
        let joined = self.folded.join(draft, recorded(), || Ok::<_, ()>(entries)).unwrap()?;
        self.entries.push(Recorded::read(&joined.raw).unwrap());
        Ok(joined.seq)
    }

    fn open_crack(&mut self, on: When) -> Result<u64, Vec<Problem>> {
        let (place, section, particulars) = ("south wall".into(), None, Particulars::default());
        self.add(on, FindingOpened { number: 0, kind: FindingKind::Crack, place, section, particulars })
    }
}

fn width(text: &str) -> ReadingAdded {
    ReadingAdded {
        finding: 1,
        measured: Measured::Width(Typed::parse(text).unwrap()),
        over: None,
        resolution: Some(Typed::parse("0.1 mm").unwrap()),
        with: None,
        at: None,
        moved: false,
    }
}

fn tenths() -> impl Strategy<Value = String> {
    (1u32..300).prop_map(|t| format!("{}.{} mm", t / 10, t % 10))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Joining one by one gives the state that folding the whole chain gives, whatever order the papers came in.
    #[test]
    fn joining_is_folding(readings in prop::collection::vec((0u64..2000, tenths()), 1..25)) {
        let mut chain = Chain::with_house();
        chain.open_crack(day(0)).unwrap();
        for (offset, text) in &readings {
            chain.add(day(*offset), width(text)).unwrap();
        }
        let again = fold(chain.folded.property.id, &chain.entries);
        prop_assert_eq!(&again, &chain.folded);
        prop_assert!(again.unplaced.is_empty());
        let days: Vec<_> = again.property.findings[&1].readings.iter().map(|r| r.on).collect();
        prop_assert!(days.is_sorted());
    }

    /// The order in which readings of different days are entered changes nothing that is computed.
    #[test]
    fn the_order_of_entering_does_not_matter(mut readings in prop::collection::btree_map(0u64..2000, tenths(), 2..20)
        .prop_map(|m| m.into_iter().collect::<Vec<_>>()).prop_shuffle())
    {
        let read = |readings: &[(u64, String)]| {
            let mut chain = Chain::with_house();
            chain.open_crack(day(0)).unwrap();
            for (offset, text) in readings {
                chain.add(day(*offset), width(text)).unwrap();
            }
            outlook(&chain.folded.property, &Settings::default(), today()).rows
        };
        let shuffled = read(&readings);
        readings.sort();
        prop_assert_eq!(shuffled, read(&readings));
    }

    /// A corrected reading counts as if it had been typed right, a struck one as if it had never been.
    #[test]
    fn corrections_and_strikes_undo_a_mistake(readings in prop::collection::vec((0u64..2000, tenths()), 2..15), which in any::<prop::sample::Index>()) {
        let which = which.index(readings.len());
        let mut wrong = Chain::with_house();
        wrong.open_crack(day(0)).unwrap();
        let mut right = Chain::with_house();
        right.open_crack(day(0)).unwrap();
        let mut without = Chain::with_house();
        without.open_crack(day(0)).unwrap();
        let mut mistaken = 0;
        for (i, (offset, text)) in readings.iter().enumerate() {
            let typed = if i == which { "29.9 mm" } else { text.as_str() };
            let seq = wrong.add(day(*offset), width(typed)).unwrap();
            right.add(day(*offset), width(text)).unwrap();
            if i == which { mistaken = seq } else { without.add(day(*offset), width(text)).unwrap(); }
        }
        let rows = |chain: &Chain| outlook(&chain.folded.property, &Settings::default(), today()).rows;
        let mut corrected = Chain { entries: wrong.entries.clone(), folded: wrong.folded.clone() };
        let fact = serde_json::to_value(Fact::from(width(&readings[which].1))).unwrap();
        let on = day(readings[which].0);
        let correction = EntryCorrected { entry: mistaken, why: "misread".into(), on, v: 1, fact };
        match corrected.add(day(2001), correction) {
            Ok(_) => prop_assert_eq!(rows(&corrected), rows(&right)),
            Err(problems) => {
                prop_assert_eq!(problems, vec![Problem::NothingToChange]);
                prop_assert_eq!(readings[which].1.as_str(), "29.9 mm");
            }
        }
        wrong.add(day(2001), EntryStruck { entry: mistaken, why: "wrong house".into() }).unwrap();
        prop_assert_eq!(rows(&wrong), rows(&without));
    }
}

#[test]
fn a_reading_typed_today_may_be_of_last_spring() {
    let mut chain = Chain::with_house();
    chain.open_crack(day(100)).unwrap();
    // The house came into the ledger on day 2000; it stood there before.
    assert!(chain.add(day(150), width("0.8 mm")).is_ok());
    let early = chain.add(day(99), width("0.8 mm")).unwrap_err();
    assert_eq!(early, vec![Problem::BeforeOpened { on: day(99), number: 1, opened: day(100) }]);
}

#[test]
fn striking_what_others_hang_on_is_refused_with_the_list() {
    let mut chain = Chain::with_house();
    let opened = chain.open_crack(day(0)).unwrap();
    let first = chain.add(day(10), width("0.8 mm")).unwrap();
    let second = chain.add(day(20), width("0.9 mm")).unwrap();
    let before = chain.folded.clone();
    let refused = chain.add(day(30), EntryStruck { entry: opened, why: "wrong house".into() }).unwrap_err();
    let hanging: Vec<u64> =
        refused.iter().map(|p| if let Problem::Orphans { seq, .. } = p { *seq } else { panic!("{p:?}") }).collect();
    assert_eq!(hanging, [first, second]);
    assert_eq!(chain.folded, before);
}

#[test]
fn a_closed_finding_takes_papers_from_before_its_closing_only() {
    let mut chain = Chain::with_house();
    chain.open_crack(day(0)).unwrap();
    chain.add(day(50), FindingClosed { number: 1, why: "mended".into() }).unwrap();
    assert!(chain.add(day(49), width("0.8 mm")).is_ok());
    let late = chain.add(day(51), width("0.8 mm")).unwrap_err();
    assert_eq!(late, vec![Problem::FindingClosed { number: 1, closed: day(50) }]);
    // Nor can the closing be moved before a reading that is there.
    let fact = serde_json::to_value(Fact::from(FindingClosed { number: 1, why: "mended".into() })).unwrap();
    let correction = EntryCorrected { entry: 3, why: "earlier".into(), on: day(40), v: 1, fact };
    assert!(matches!(chain.add(day(60), correction).unwrap_err()[..], [Problem::Orphans { seq: 4, .. }]));
}

#[test]
fn a_finding_number_is_never_given_out_again() {
    let mut chain = Chain::with_house();
    let opened = chain.open_crack(day(0)).unwrap();
    chain.add(day(1), EntryStruck { entry: opened, why: "wrong house".into() }).unwrap();
    assert!(!chain.folded.property.knows(&Subject::Finding(1)));
    chain.open_crack(day(2)).unwrap();
    assert!(chain.folded.property.knows(&Subject::Finding(2)));
}

#[test]
fn the_last_correction_wins_and_corrections_are_not_corrected() {
    let mut chain = Chain::with_house();
    chain.open_crack(day(0)).unwrap();
    let reading = chain.add(day(10), width("0.8 mm")).unwrap();
    let correct = |text: &str| EntryCorrected {
        entry: reading,
        why: "misread".into(),
        on: day(10),
        v: 1,
        fact: serde_json::to_value(Fact::from(width(text))).unwrap(),
    };
    let first = chain.add(day(11), correct("0.9 mm")).unwrap();
    chain.add(day(12), correct("0.7 mm")).unwrap();
    assert_eq!(chain.folded.property.findings[&1].readings[0].measured.words(), "0.7 mm");
    let aimed = EntryCorrected { entry: first, ..correct("0.6 mm") };
    assert!(matches!(chain.add(day(13), aimed).unwrap_err()[..], [Problem::KindCannotBe { .. }]));
}
