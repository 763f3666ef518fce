//! Rules for when: pure, on civil dates.

pub mod almanac;
pub mod occurrences;
pub mod own;
pub mod rounds;
pub mod windows;
