//! The law of the door for facts: the same facts are taken, refused and projected alike however they were batched, on
//! whatever days they were entered, and whether the ledger was kept open between them.

use chrono::{Days, NaiveDate};
use proptest::prelude::*;
use rusqlite::types::Value;
use uuid::Uuid;

use super::append_tests::rows;
use super::made_tests::{crack, day, fresh, house, known, recorded, today, verified, width};
use crate::ledger::entry::Remarks;
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::kind::entry_corrected::EntryCorrected;
use crate::ledger::kind::entry_erased::EntryErased;
use crate::ledger::kind::entry_struck::EntryStruck;
use crate::ledger::kind::event_happened::EventHappened;
use crate::ledger::kind::finding_closed::FindingClosed;
use crate::ledger::kind::finding_opened::{FindingOpened, Particulars};
use crate::ledger::kind::finding_reopened::FindingReopened;
use crate::ledger::kind::judgement_given::JudgementGiven;
use crate::ledger::kind::note_added::NoteAdded;
use crate::ledger::kind::property_changed::PropertyChanged;
use crate::ledger::kind::reading_added::{Measured, ReadingAdded};
use crate::ledger::kind::section_added::SectionAdded;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::Typed;
use crate::store::{Addressed, AppendError, Receipt, Refusal, Store, Target};
use crate::trade::words::{EventKind, FindingKind, Foundation};

/// Facts of one case, some of which will be refused.
const FACTS: usize = 36;

/// A fact for one of two houses, so many days before its turn.
#[derive(Debug, Clone)]
struct Step {
    house: usize,
    back: u64,
    fact: Fact,
}

fn name(text: &str) -> Name {
    Name::parse(text).unwrap()
}

fn section() -> impl Strategy<Value = Option<Name>> {
    prop::option::of(prop::sample::select(vec![name("main"), name("east")]))
}

fn opened() -> impl Strategy<Value = Fact> {
    use FindingKind as K;
    // The kinds that see each other: cracks on one wall, and three kinds of signs at one place.
    let kinds = vec![K::Crack, K::Crack, K::Crack, K::Settlement, K::Binding, K::Walkway, K::Damp];
    (prop::sample::select(kinds), section(), prop::bool::ANY).prop_map(|(kind, section, south)| {
        let place = if south { "south wall" } else { "north wall" }.to_owned();
        FindingOpened { number: 0, kind, place, section, particulars: Particulars::default() }.into()
    })
}

fn read() -> impl Strategy<Value = Fact> {
    let quantity = prop::sample::select(vec!["width", "width", "width", "offset", "level", "step", "moisture"]);
    let gauge = prop::option::of(prop::sample::select(vec!["gauge", "caliper"]));
    let resolution = prop::option::weighted(0.8, prop::sample::select(vec!["0.1 mm", "0.5 mm"]));
    (1u32..=5, quantity, 0u32..160, gauge, resolution, prop::bool::weighted(0.05)).prop_map(
        |(finding, quantity, tenths, gauge, resolution, moved)| {
            let length = || Typed::parse(&format!("{}.{} mm", tenths / 10, tenths % 10)).unwrap();
            let measured = match quantity {
                "offset" => Measured::Offset(length()),
                "level" => Measured::Level(length()),
                "step" => Measured::Step(length()),
                "moisture" => Measured::Moisture(Typed::parse(&format!("{} %", tenths / 4)).unwrap()),
                _ => Measured::Width(length()),
            };
            let resolution = resolution.map(|text| Typed::parse(text).unwrap());
            let (over, with, at) = (None, gauge.map(str::to_owned), None);
            ReadingAdded { finding, measured, over, resolution, with, at, moved }.into()
        },
    )
}

fn about_the_house() -> impl Strategy<Value = Fact> {
    let added = section().prop_map(|name| {
        let name = name.unwrap_or(self::name("crawl"));
        SectionAdded {
            name,
            foundation: Foundation::Basement,
            walls: None,
            area: None,
            place: None,
            retarder: None,
            clay: None,
        }
        .into()
    });
    let happened = prop::sample::select(EventKind::ALL.to_vec()).prop_map(|kind| EventHappened { kind }.into());
    let about = prop::sample::select(vec!["", "1", "main", "9"]);
    let noted = about
        .prop_map(|about| NoteAdded { about: about.to_owned(), text: "looked".into(), look: about.is_empty() }.into());
    let renamed = Just(PropertyChanged { name: Some("Corner house".into()), ..PropertyChanged::default() }.into());
    prop_oneof![2 => added, 2 => happened, 2 => noted, 1 => renamed]
}

fn about_a_finding() -> impl Strategy<Value = Fact> {
    let why = || "seen again".to_owned();
    let judged = (1u32..=5, prop::option::of(0u64..400)).prop_map(|(number, until)| {
        let until = until.map(|days| day("2025-03-01") + Days::new(days));
        let (from, licence, says) = ("J. Roe".into(), "PE 1".into(), "as it stands".into());
        let (until_width, until_growth, until_event, document) = Default::default();
        JudgementGiven {
            findings: vec![number],
            from,
            licence,
            says,
            until,
            until_width,
            until_growth,
            until_event,
            document,
        }
        .into()
    });
    prop_oneof![
        2 => (1u32..=5).prop_map(move |number| FindingClosed { number, why: why() }.into()),
        1 => (1u32..=5).prop_map(move |number| FindingReopened { number, why: why() }.into()),
        1 => judged,
    ]
}

fn amending() -> impl Strategy<Value = Fact> {
    let why = || "misread".to_owned();
    prop_oneof![
        2 => (1u64..20, 1u32..=5, 1u64..500).prop_map(move |(entry, finding, days)| {
            let fact = serde_json::to_value(width(finding, "2.5 mm")).unwrap();
            let on = When::day(day("2023-09-01") + Days::new(days));
            EntryCorrected { entry, why: why(), on, v: 1, fact }.into()
        }),
        1 => (1u64..20).prop_map(move |entry| EntryStruck { entry, why: why() }.into()),
        1 => (1u64..20).prop_map(move |entry| EntryErased { entry, why: why(), number: None, about: Vec::new() }.into()),
    ]
}

fn steps() -> impl Strategy<Value = Vec<Step>> {
    let fact =
        prop_oneof![4 => opened(), 14 => read(), 3 => about_the_house(), 2 => about_a_finding(), 1 => amending()];
    let back = prop_oneof![4 => Just(0), 1 => 1u64..200];
    let step = (0usize..2, back, fact).prop_map(|(house, back, fact)| Step { house, back, fact });
    prop::collection::vec(step, FACTS)
}

/// Two houses with two cracks each, and the facts in their turns, 18 days apart: over a year and a half together.
fn drafts(steps: &[Step]) -> Vec<Addressed> {
    let ids = [1, 2].map(Uuid::from_u128);
    let mut drafts = vec![house("elm", ids[0]), house("oak", ids[1])];
    drafts.extend([ids[0], ids[1], ids[0], ids[1]].map(crack));
    for (turn, step) in steps.iter().enumerate() {
        let on = When::day(day("2024-01-02") + Days::new(18 * turn as u64) - Days::new(step.back));
        let draft = Draft::new(on, Remarks::default(), step.fact.clone());
        drafts.push(Addressed { property: Target::Known(ids[step.house]), draft });
    }
    drafts
}

/// Some of the facts at once, on a day; before them the ledger may be closed and opened again.
struct Entered {
    many: usize,
    on: NaiveDate,
    reopened: bool,
}

struct Recorded {
    answers: Vec<String>,
    rows: Vec<Vec<Value>>,
    /// What a recompute of the whole ledger finds wrong in it, before anything is computed anew.
    wrong: Vec<String>,
}

/// What was answered to each fact, and every projected row; `compute_anew` gives the rows as of today.
fn record(drafts: &[Addressed], splits: impl IntoIterator<Item = Entered>, compute_anew: bool) -> Recorded {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path) = fresh(folder.path());
    let (mut answers, mut rest) = (Vec::new(), drafts);
    for Entered { many, on, reopened } in splits {
        if reopened {
            store = Store::open(&path).unwrap();
        }
        let (now, later) = rest.split_at(many.min(rest.len()));
        rest = later;
        answers.extend(store.append_each(now.to_vec(), recorded(), on).unwrap().into_iter().map(in_words));
    }
    assert!(rest.is_empty(), "every fact was entered");
    let wrong = verified(&path);
    if compute_anew {
        store.rebuild(today(), &mut |_, _| ()).unwrap();
    }
    Recorded { answers, rows: rows(&store), wrong }
}

impl Recorded {
    /// What is not the same, each thing beside its other.
    fn unlike(&self, other: &Recorded) -> Vec<String> {
        let mut unlike = Vec::new();
        unlike.extend(differing(&self.answers, &other.answers));
        unlike.extend(differing(&self.rows, &other.rows));
        unlike.extend(differing(&self.wrong, &other.wrong));
        unlike
    }
}

fn differing<T: std::fmt::Debug + PartialEq>(ours: &[T], others: &[T]) -> Vec<String> {
    let only = |these: &[T], those: &[T], whose: &str| -> Vec<String> {
        these.iter().filter(|this| !those.contains(this)).map(|this| format!("{whose}: {this:?}")).collect()
    };
    let mut unlike = only(ours, others, "here");
    unlike.extend(only(others, ours, "there"));
    if unlike.is_empty() && ours != others {
        unlike.push("the same in another order or number".to_owned());
    }
    unlike
}

fn in_words(answer: Result<Receipt, Vec<Refusal>>) -> String {
    match answer {
        Ok(receipt) => format!("{}#{} {:?}", receipt.key, receipt.seq, receipt.subjects),
        Err(refused) => refused.iter().map(|r| format!("{}: {}", r.key, r.problem)).collect::<Vec<_>>().join("; "),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn the_same_facts_give_the_same_state_however_they_are_entered(
        steps in steps(),
        sizes in prop::collection::vec((1usize..9, prop::bool::weighted(0.3), 0u64..150), FACTS + 6),
    ) {
        let drafts = drafts(&steps);
        let all = drafts.len();
        let at_once = |many: usize| Entered { many, on: today(), reopened: false };
        let whole = record(&drafts, [at_once(all)], false);
        prop_assert_eq!(&whole.wrong, &[""; 0]);
        prop_assert!(whole.answers.iter().filter(|a| a.contains('#')).count() >= 6, "houses and cracks are taken");

        let single = record(&drafts, (0..all).map(|_| at_once(1)), false);
        prop_assert_eq!(single.unlike(&whole), [""; 0], "one by one");

        let splits = sizes.iter().map(|(many, reopened, _)| Entered { many: *many, on: today(), reopened: *reopened });
        prop_assert_eq!(record(&drafts, splits, false).unlike(&whole), [""; 0], "in parts");

        // On other days, forward and back, all of them after the last fact: rows are of those days until they are
        // computed for one.
        let splits = sizes.iter().map(|(many, reopened, days)| {
            Entered { many: *many, on: today() - Days::new(*days), reopened: *reopened }
        });
        let other_days = record(&drafts, splits, true);
        let whole = record(&drafts, [at_once(all)], true);
        prop_assert_eq!(other_days.unlike(&whole), [""; 0], "on other days");
    }
}

/// Houses of a batch that begins so many that they are made ahead.
const HOUSES: usize = 40;
/// So few that they are not.
const FEW: usize = 10;

/// A house with its facts: under the key of the house before it where `taken`, and with its first entry delivered again
/// under another house where `again`.
#[derive(Debug, Clone)]
struct Begun {
    taken: bool,
    again: bool,
    steps: Vec<Step>,
}

fn begun() -> impl Strategy<Value = Begun> {
    let fact = prop_oneof![4 => opened(), 8 => read(), 3 => about_the_house(), 1 => about_a_finding(), 1 => amending()];
    let back = prop_oneof![4 => Just(0), 1 => 1u64..60];
    let step = (back, fact).prop_map(|(back, fact)| Step { house: 0, back, fact });
    let steps = prop::collection::vec(step, 0..4);
    (prop::bool::weighted(0.1), prop::bool::weighted(0.1), steps).prop_map(|(taken, again, steps)| Begun {
        taken,
        again,
        steps,
    })
}

/// The drafts of each house.
fn houses(begun: &[Begun]) -> Vec<Vec<Addressed>> {
    let mut houses: Vec<Vec<Addressed>> = Vec::new();
    for (n, Begun { taken, again, steps }) in begun.iter().enumerate() {
        let id = Uuid::from_u128(n as u128 + 1);
        let key = |n: usize| format!("house-{n}");
        let mut drafts = vec![house(&key(if *taken && n > 0 { n - 1 } else { n }), id), crack(id)];
        for (turn, step) in steps.iter().enumerate() {
            let on = When::day(day("2024-02-02") + Days::new(18 * turn as u64) - Days::new(step.back));
            let draft = Draft::new(on, Remarks::default(), step.fact.clone());
            drafts.push(Addressed { property: Target::Known(id), draft });
        }
        if *again && let Some(before) = houses.last() {
            let draft = before[0].draft.clone();
            drafts.push(Addressed { property: Target::Known(id), draft });
        }
        houses.push(drafts);
    }
    houses
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn houses_made_ahead_are_those_made_one_after_the_other(begun in prop::collection::vec(begun(), HOUSES)) {
        let houses = houses(&begun);
        let together = houses.concat();
        let entered = |houses: &[Vec<Addressed>]| {
            Entered { many: houses.iter().map(Vec::len).sum(), on: today(), reopened: false }
        };
        let ahead = record(&together, [entered(&houses)], false);
        prop_assert_eq!(&ahead.wrong, &[""; 0]);
        prop_assert!(ahead.answers.iter().filter(|a| a.contains('#')).count() >= HOUSES, "most houses and cracks are taken");
        let few = record(&together, houses.chunks(FEW).map(entered), false);
        prop_assert_eq!(ahead.unlike(&few), [""; 0]);
    }
}

#[test]
fn a_batch_of_many_houses_with_one_that_is_refused_leaves_nothing() {
    let folder = tempfile::tempdir().unwrap();
    let (mut store, path) = fresh(folder.path());
    let mut drafts: Vec<Addressed> =
        (0..HOUSES).flat_map(|n| [house(&format!("house-{n}"), Uuid::from_u128(n as u128 + 1))]).collect();
    drafts.push(house("house-7", Uuid::from_u128(999)));
    let refused = match store.append(drafts.clone(), recorded(), today()) {
        Err(AppendError::Refused(refused)) => refused,
        other => panic!("{other:?}"),
    };
    assert_eq!(refused.iter().map(|r| r.index).collect::<Vec<_>>(), [HOUSES]);
    assert!(store.keys(true).unwrap().is_empty());
    assert_eq!(verified(&path), [""; 0]);
    drafts.pop();
    assert_eq!(store.append(drafts, recorded(), today()).unwrap().len(), HOUSES);
    assert_eq!(store.keys(true).unwrap().len(), HOUSES);
    assert_eq!(verified(&path), [""; 0]);
}

#[test]
fn a_finding_opened_and_closed_at_once_is_a_look_at_the_house() {
    let id = Uuid::from_u128(1);
    let closed = FindingClosed { number: 1, why: "a shadow".into() };
    let drafts = [house("elm", id), crack(id), known(id, "2024-01-03", closed)];
    let entered = |many| Entered { many, on: today(), reopened: false };
    let apart = record(&drafts, [1, 2].map(entered), false);
    assert_eq!(apart.wrong, [""; 0]);
    assert_eq!(apart.unlike(&record(&drafts, [entered(3)], false)), [""; 0]);
}
