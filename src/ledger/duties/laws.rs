//! Laws of what is due, over histories that nobody thought of.

use chrono::{DateTime, Days, NaiveDate, Utc};
use proptest::prelude::{Just, ProptestConfig, Strategy, prop, prop_assert, prop_assert_eq, prop_oneof, proptest};
use uuid::Uuid;

use super::{Due, duties};
use crate::calendar::almanac::Season;
use crate::calendar::own::OwnRule;
use crate::ledger::duty_change::DutyChange;
use crate::ledger::entry::Remarks;
use crate::ledger::fold::{Draft, Folded, Recorded, fold};
use crate::ledger::kind::Fact;
use crate::ledger::kind::duty_done::DutyDone;
use crate::ledger::kind::duty_dropped::DutyDropped;
use crate::ledger::kind::duty_expected::DutyExpected;
use crate::ledger::kind::duty_set::DutySet;
use crate::ledger::kind::duty_skipped::DutySkipped;
use crate::ledger::kind::property_added::PropertyAdded;
use crate::ledger::outlook::outlook;
use crate::ledger::settings::Settings;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;

const FIRST: &str = "2024-01-10";

fn day(offset: u64) -> NaiveDate {
    FIRST.parse::<NaiveDate>().unwrap() + Days::new(offset)
}

/// A house with a duty of its own, `own`, by a rule.
struct House {
    entries: Vec<Recorded>,
    folded: Folded,
}

impl House {
    fn new(rule: &OwnRule) -> House {
        let mut house = House { entries: Vec::new(), folded: Folded::empty(Uuid::from_u128(7)) };
        let added = PropertyAdded {
            key: Name::parse("elm").unwrap(),
            name: "Elm".into(),
            zone: "UTC".into(),
            built: None,
            last_freeze: Some("04-25".into()),
            climate_zone: None,
            wet_season: None,
            first_freeze: Some("10-12".into()),
            value: None,
        };
        house.add(0, added);
        house.add(0, set(rule));
        house
    }

    fn add(&mut self, offset: u64, fact: impl Into<Fact>) {
        let draft = Draft::new(When::day(day(offset)), Remarks::default(), fact);
        let entries = self.entries.clone();
        let recorded = DateTime::<Utc>::from_timestamp(2_500_000_000, 0).unwrap();
        let joined = self.folded.join(draft, recorded, || Ok::<_, ()>(entries)).unwrap();
        let joined = joined.unwrap_or_else(|problems| panic!("{problems:?}"));
        self.entries.push(Recorded::read(&joined.raw).unwrap());
    }

    fn due(&self, offset: u64) -> Option<Due> {
        self.due_under(&Settings::default(), offset)
    }

    fn due_under(&self, settings: &Settings, offset: u64) -> Option<Due> {
        let all = duties(&self.folded.property, &Subject::Property, settings, day(offset));
        all.into_iter().find(|due| due.code == "own")
    }
}

fn set(rule: &OwnRule) -> DutySet {
    let change = DutyChange {
        rule: Some(rule.clone()),
        title: Some("clear the drain".into()),
        from: Some(day(0)),
        ..DutyChange::default()
    };
    DutySet { about: String::new(), duty: "own".into(), change }
}

fn done() -> DutyDone {
    DutyDone { about: String::new(), duty: "own".into(), occurs: None }
}

fn skip(due: &Due, until: Option<NaiveDate>) -> DutySkipped {
    let (about, duty, occurs) = (String::new(), "own".into(), due.occurs_on);
    DutySkipped { about, duty, occurs, until, nobody_in: until.is_some(), why: None }
}

fn again_and_again() -> impl Strategy<Value = OwnRule> {
    prop_oneof![
        (0_u32..30, 0_u32..60)
            .prop_filter("an interval", |(m, d)| *m > 0 || *d > 0)
            .prop_map(|(months, days)| OwnRule::Every { months, days }),
        windows(),
    ]
}

/// Rules whose windows belong to their years.
fn windows() -> impl Strategy<Value = OwnRule> {
    prop_oneof![
        prop_oneof![Just(Season::Spring), Just(Season::Autumn)].prop_map(OwnRule::Season),
        (1_u32..=12, 1_u32..=28).prop_map(|(m, d)| OwnRule::Yearly(format!("{m:02}-{d:02}"))),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Done on a day, nothing of it is open on that day, and what stands is a later occurrence.
    #[test]
    fn done_is_not_due(rule in again_and_again(), today in 0_u64..2500) {
        let mut house = House::new(&rule);
        let before = house.due(today).unwrap();
        house.add(today, done());
        let after = house.due(today).unwrap();
        prop_assert!(after.due_on > day(today), "{after:?}");
        prop_assert!(before.opens_on > day(today) || after.occurs_on > before.occurs_on, "{before:?} {after:?}");
    }

    /// A duty that comes once is gone when it was done.
    #[test]
    fn done_once_is_done(due in 0_u64..2000, today in 0_u64..2500) {
        let mut house = House::new(&OwnRule::Once(day(due)));
        prop_assert_eq!(house.due(today).map(|d| d.due_on), Some(day(due)));
        house.add(today, done());
        prop_assert_eq!(house.due(today), None);
    }

    /// Skipping leaves out the occurrence that stands and no other: those of the other years stay where they are.
    #[test]
    fn skip_moves_exactly_one_occurrence(rule in windows(), today in 0_u64..1500, later in 0_u64..1500) {
        let plain = House::new(&rule);
        let mut skipped = House::new(&rule);
        let stood = plain.due(today).unwrap();
        skipped.add(today, skip(&stood, None));
        let next = skipped.due(today).unwrap();
        prop_assert!(next.occurs_on > stood.occurs_on);
        // An untouched calendar comes to that very occurrence.
        let opens = (next.opens_on - day(0)).num_days().max(0) as u64;
        prop_assert_eq!(plain.due(opens).unwrap().occurs_on, next.occurs_on);
        let (with, without) = (skipped.due(today + later).unwrap(), plain.due(today + later).unwrap());
        if without.occurs_on != stood.occurs_on {
            prop_assert_eq!((with.occurs_on, with.opens_on, with.due_on), (without.occurs_on, without.opens_on, without.due_on));
        }
    }

    /// A moved occurrence is the same one on another day: it is known as before, done as before, and the next stays.
    #[test]
    fn a_moved_occurrence_is_not_lost(rule in windows(), today in 0_u64..1500, on in 1_u64..40) {
        let mut house = House::new(&rule);
        let stood = house.due(today).unwrap();
        let mut other = House::new(&rule);
        other.add(today, skip(&stood, None));
        let next = other.due(today).unwrap();
        let until = day(today).max(stood.opens_on) + Days::new(on);
        if until < next.opens_on {
            house.add(today, skip(&stood, Some(until)));
            let moved = house.due(today).unwrap();
            prop_assert_eq!((moved.occurs_on, moved.due_on), (stood.occurs_on, until));
            // It stands until its day, whatever lapses meanwhile.
            let offset = (until - day(0)).num_days() as u64;
            prop_assert_eq!(house.due(offset).unwrap().occurs_on, stood.occurs_on);
            house.add(offset, done());
            prop_assert_eq!(house.due(offset).unwrap().occurs_on, next.occurs_on);
        }
    }

    /// Done so late that it hurts, a window of the year comes when it would have come; an interval counts from then.
    #[test]
    fn a_duty_done_late_does_not_drift(rule in windows(), late in 0_u64..300, years in 1_u64..4) {
        let mut prompt = House::new(&rule);
        let mut tardy = House::new(&rule);
        let first = prompt.due(0).unwrap();
        let opens = (first.opens_on - day(0)).num_days().max(0) as u64;
        prompt.add(opens, done());
        let mut other = House::new(&rule);
        other.add(opens, skip(&first, None));
        let next = other.due(opens).unwrap();
        if day(opens + late) < next.opens_on {
            tardy.add(opens + late, done());
            let on = opens + late + 365 * years;
            prop_assert_eq!(prompt.due(on).unwrap().occurs_on, tardy.due(on).unwrap().occurs_on);
        }
    }

    #[test]
    fn an_interval_counts_from_when_it_was_done(months in 1_u32..30, done_on in 0_u64..2000) {
        let mut house = House::new(&OwnRule::Every { months, days: 0 });
        house.add(done_on, done());
        let due = house.due(done_on).unwrap().due_on;
        prop_assert_eq!(Some(due), day(done_on).checked_add_months(chrono::Months::new(months)));
    }

    /// What was set at a house and dropped again leaves the answer of all houses, whatever was set there.
    #[test]
    fn dropping_what_was_set_here_gives_the_answer_of_all_houses(
        all in again_and_again(), here in again_and_again(), off in prop::bool::ANY, today in 0_u64..2000,
    ) {
        let mut settings = Settings::default();
        settings.duties.insert("own".into(), set(&all).change);
        let mut house = House::new(&here);
        house.add(1, DutySet { change: DutyChange { off: Some(off), ..DutyChange::default() }, ..set(&here) });
        house.add(1, DutyDropped { about: String::new(), duty: "own".into() });
        let mut without = House::new(&here);
        without.folded.property.duties.clear();
        prop_assert_eq!(house.due_under(&settings, today), without.due_under(&settings, today));
        prop_assert!(house.due_under(&settings, today).is_some());
        prop_assert_eq!(house.due(today), None);
    }

    /// While somebody is expected nothing is overdue; and nothing is lost.
    #[test]
    fn what_waits_for_somebody_is_not_overdue(rule in again_and_again(), today in 0_u64..1500, comes in 0_u64..60) {
        let mut house = House::new(&rule);
        let stood = house.due(today).unwrap();
        let by = day(today + comes);
        house.add(today, DutyExpected { about: String::new(), by, what: "a plumber".into(), duty: None });
        let waits = house.due(today).unwrap();
        prop_assert_eq!(waits.occurs_on, stood.occurs_on);
        let expected = if stood.opens_on <= by { stood.due_on.max(by) } else { stood.due_on };
        prop_assert_eq!(waits.due_on, expected);
    }

    /// The same entries give the same list, joined one by one or folded at once, and on whatever day they were looked at.
    #[test]
    fn the_same_entries_give_the_same_list(
        rule in again_and_again(), days in prop::collection::btree_set(0_u64..2000, 0..6), which in 0_usize..6, today in 2000_u64..2500,
    ) {
        let mut house = House::new(&rule);
        for (i, offset) in days.into_iter().enumerate() {
            match house.due(offset).filter(|_| i == which) {
                Some(due) => house.add(offset, skip(&due, None)),
                None => house.add(offset, done()),
            }
            let _ = house.due(offset + 3);
        }
        let again = fold(house.folded.property.id, &house.entries).property;
        let rows = |property| outlook(property, &Settings::default(), day(today)).rows;
        prop_assert_eq!(rows(&again), rows(&house.folded.property));
    }

    /// Nothing changes by itself before the day it says, moved and skipped occurrences included.
    #[test]
    fn nothing_changes_before_the_day_it_says(
        rule in windows(), today in 0_u64..1500, later in 0_u64..800, left_out in prop::bool::ANY, on in 1_u64..40,
    ) {
        let mut house = House::new(&rule);
        let stood = house.due(today).unwrap();
        house.add(today, skip(&stood, (!left_out).then(|| day(today + on))));
        let (now, then) = (house.due(today).unwrap(), house.due(today + later).unwrap());
        if now.changes_on.is_none_or(|on| day(today + later) < on) {
            prop_assert_eq!(now, then);
        }
    }
}
