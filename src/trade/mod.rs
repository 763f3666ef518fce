//! The trade's arithmetic and its verdicts: pure functions of numbers and words, one file a subject.
//!
//! No input or output, no clock, no SQL. Every threshold is a named constant with its document and standing, and every
//! rule that can move a band is a [`Rule`] with source, standing and scope; [`rules::ALL`] lists them.

pub mod air;
pub mod air_log;
pub mod called;
pub mod cautions;
pub mod choice;
pub mod concrete;
pub mod crack;
pub mod earth;
pub mod electrics;
pub mod epoxy;
pub mod event;
pub mod flood;
pub mod input;
pub mod judgement;
pub mod level;
pub mod life_cycle;
pub mod moisture;
pub mod mould;
pub mod occurrence;
pub mod other;
pub mod pattern;
pub mod planning;
pub mod radon;
pub mod repaired;
pub mod rules;
pub mod runoff;
pub mod series;
pub mod sheet;
pub mod signs;
pub mod site;
pub mod strain;
pub mod sump;
pub mod survey;
pub mod timber;
mod told;
pub mod trend;
pub mod units;
pub mod uses;
pub mod verdict;
pub mod waiting;
pub mod wall;
pub mod wood;
pub mod wording;
pub mod words;

pub use verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
