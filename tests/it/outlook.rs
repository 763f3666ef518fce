//! A row that is kept until a day is the row of every day before it.

use chrono::{Days, NaiveDate};
use stemwall::ledger::outlook::{Outlook, outlook};
use stemwall::ledger::property::Property;
use stemwall::store::Store;
use stemwall::trade::words::FindingKind;

use crate::world::{TODAY, World};

/// Days between the days on which rows are computed; no divisor of a year's quarters, so that every part of a year is met.
const APART: u64 = 83;
/// How far on a row is followed.
const FOLLOWED: u64 = 500;

#[test]
fn a_row_of_the_demo_is_that_of_every_day_until_it_may_change() {
    let world = World::empty();
    world.run(&["demo", "--into", "demo"]).ok();
    std::fs::rename(world.path("demo/houses.stemwall"), world.ledger()).unwrap();
    followed(&world, today() - Days::new(6 * 365), 6);
}

#[test]
fn a_row_of_every_kind_of_finding_is_that_of_every_day_until_it_may_change() {
    let world = World::with_house();
    for kind in FindingKind::WORDS {
        world.run(&["finding", "open", "elm", "--kind", kind, "--place", kind, "--on", "2024-02-20"]).ok();
    }
    world.run(&["fixture", "add", "elm/lime", "--kind", "tree"]).ok();
    followed(&world, today() - Days::new(750), 5);
}

fn today() -> NaiveDate {
    TODAY.parse().unwrap()
}

/// Follows the rows computed on days from `from` on, each with what was entered up to that day.
fn followed(world: &World, from: NaiveDate, least_changes: usize) {
    let mut store = Store::open_to_read(&world.ledger()).unwrap();
    let settings = store.settings().clone();
    let mut changes = 0;
    for key in store.keys(true).unwrap() {
        let id = store.property_id(&key).unwrap().unwrap();
        let mut day = from;
        while day < today() + Days::new(400) {
            let property = store.property_on(id, day).unwrap();
            changes += checked(&property, &outlook(&property, &settings, day), day, |later| {
                outlook(&property, &settings, later)
            });
            day = day + Days::new(APART);
        }
    }
    assert!(changes >= least_changes, "only {changes} rows changed with the date alone: nothing was shown");
}

/// Compares a row with itself on days until it may change; how many are different on the day they may.
fn checked(property: &Property, rows: &Outlook, day: NaiveDate, on: impl Fn(NaiveDate) -> Outlook) -> usize {
    let mut changes = 0;
    let ends: Vec<NaiveDate> = rows.rows.values().filter_map(|row| row.changes_on).collect();
    let every = (1..FOLLOWED / 61).map(|n| day + Days::new(n * 61));
    // The last day before each change is the one that is met first where a change was forgotten.
    let eves = ends.iter().map(|end| *end - Days::new(1)).chain(ends.iter().copied());
    for later in every.chain(eves).filter(|later| *later > day) {
        let then = on(later);
        for (subject, row) in &rows.rows {
            let kept = row.changes_on.is_none_or(|end| later < end);
            if kept {
                assert_eq!(
                    then.rows.get(subject),
                    Some(row),
                    "{} of {day}, followed to {later}",
                    subject.of(&property.key)
                );
            } else if then.rows.get(subject) != Some(row) {
                changes += 1;
            }
        }
    }
    changes
}
