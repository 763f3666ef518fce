//! What waiting costs: stages a finding passes through if it is left, prices over time, and how far they may lie apart; and which
//! repair to do in which year ([`plan`]).
//!
//! Pure: no clock, no files, no ledger; randomness only from a seed. Expectations are exact ([`chain`]), percentiles simulated
//! ([`spread`]). Chances and prices are assumptions with their sources beside them, and the user's to change ([`ladder`]).

pub mod case;
#[cfg(test)]
mod case_tests;
pub mod chain;
mod crowd;
#[cfg(test)]
mod crowd_tests;
pub mod index;
pub mod ladder;
mod percentile;
pub mod plan;
pub mod price;
#[cfg(test)]
mod published_tests;
pub mod random;
pub mod rate;
pub mod spread;
mod stay;

pub use case::{Assumption, Case, Preset, Quoted, Seen, Swing};
pub use chain::{Chain, ChainError, Terms, Wait, Waiting};
pub use index::{Index, Newer};
pub use ladder::{LadderError, Ladders, Standing};
pub use price::Range;
pub use rate::{RateError, rate};
pub use spread::{Prices, Simulation, Spread, SpreadError, spread};
