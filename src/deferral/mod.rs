//! What waiting costs, and which repair to do in which year.
//!
//! Pure: no clock, no files, no ledger.

pub mod plan;
