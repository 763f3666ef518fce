//! Rules for when: pure, on civil dates and the wall clocks of places.

pub mod almanac;
pub mod civil;
pub mod climate;
pub mod cron_text;
pub mod hemisphere;
pub mod icalendar;
pub mod occurrences;
pub mod own;
pub mod recurrence;
pub mod rounds;
pub mod windows;
