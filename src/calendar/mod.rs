//! Rules for when: pure, on civil dates.

pub mod rounds;
