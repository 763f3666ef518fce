//! Nothing that is recorded lies beyond the clock, whatever day verdicts are computed for.

use crate::world::{World, dated};

fn happened(world: &World, entry: &str) -> String {
    world.run(&["--json", "entry", "show", entry]).json()["envelope"]["on"].as_str().expect("a day").to_owned()
}

#[test]
fn a_look_ahead_dates_nothing_beyond_the_clock() {
    let world = World::with_house().on("2199-01-01");
    world.run(&["finding", "open", "elm", "--kind", "crack", "--place", "wall"]).ok();
    assert_eq!(happened(&world, "elm#3"), dated("DAY"));
    world.run(&["correct", "elm#3", "--place", "west wall", "--why", "misheard"]).ok();
    assert_eq!(happened(&world, "elm#4"), dated("DAY"));
    let said = world.refused(1, &["note", "add", "elm", "x", "--on", "2198-12-31"]);
    let today = dated("DAY");
    let expected = format!("error: 2198-12-31 is in the future\ngiven: 2198-12-31\n  try: give a day up to {today}\n");
    assert_eq!(said, expected);
}

#[test]
fn a_look_back_dates_by_its_day_and_takes_later_days_that_have_come() {
    let world = World::with_house().on("2026-01-01");
    world.run(&["note", "add", "elm", "of that day"]).ok();
    world.run(&["note", "add", "elm", "of a later one", "--on", "2026-02-01"]).ok();
    assert_eq!([happened(&world, "elm#3"), happened(&world, "elm#4")], ["2026-01-01", "2026-02-01"]);
}

#[test]
fn a_time_of_this_day_that_has_not_come_is_refused() {
    let world = World::new();
    // Kiritimati is 14 hours ahead of UTC: its last minute of today is never past there while today is today.
    world.run(&["property", "add", "elm", "--name", "Elm", "--zone", "Pacific/Kiritimati"]).ok();
    let there = || (chrono::Utc::now() + chrono::TimeDelta::hours(14)).naive_utc();
    let day = there().date();
    let late = format!("{day}T23:59");
    let before = there().format("%Y-%m-%dT%H:%M").to_string();
    let said = world.run(&["note", "add", "elm", "x", "--on", &late]);
    let after = there().format("%Y-%m-%dT%H:%M").to_string();
    if before == late || after[..10] != before[..10] {
        return; // the last minute of the day is no time to ask
    }
    let said = said.fails(1);
    let expected = |now: &str| {
        format!(
            "error: {late} has not come yet, it is {now} at the house\ngiven: {late}\n  try: give an earlier time by the \
             clock of the house, or the day alone; `stemwall property change KEY --zone ZONE` sets its clock\n"
        )
    };
    assert!(said == expected(&before) || said == expected(&after), "{said}");
    world.run(&["note", "add", "elm", "x", "--on", &day.to_string()]).ok();
    world.run(&["note", "add", "elm", "x", "--on", &format!("{day}T00:00")]).ok();
}
