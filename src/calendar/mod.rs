//! Rules for when: pure, on civil dates.

pub mod almanac;
pub mod rounds;
pub mod windows;
