//! A day that has not come: what would be told is shown, and nothing is sent or noted.

use super::{SCREEN, house, rows, set_up};
use crate::world::World;

#[test]
fn what_is_due_on_a_day_to_come_is_shown_and_not_sent() {
    let today = chrono::Utc::now().date_naive();
    let later = (today + chrono::TimeDelta::days(200)).to_string();
    let world: World = house().on(&later);
    set_up(&world, SCREEN);
    let shown = world.run(&["--json", "remind", "--dry-run"]).json();
    assert!(!shown.as_array().unwrap().is_empty());
    let refused = format!(
        "error: nothing is sent as of {later}: today is {today}\ngiven: --today {later}\n  try: `stemwall --today {later} \
         remind --dry-run` shows what would go out\n"
    );
    for verb in [&["remind"][..], &["remind", "--if-time"], &["remind", "--stay"]] {
        let said = world.run(verb).fails(2);
        // Over midnight it is another day.
        if chrono::Utc::now().date_naive() == today {
            assert_eq!(said, refused);
        }
    }
    assert!(rows(&world, "SELECT id FROM reminder_messages").is_empty());
    // Who stays would stay on a day that is past.
    let past = house();
    set_up(&past, SCREEN);
    assert!(past.run(&["remind", "--stay"]).fails(2).starts_with("error: nothing is sent as of 2026-03-01: today is "));
}
