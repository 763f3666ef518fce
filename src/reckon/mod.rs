//! Every published calculation of the program, runnable by itself.
//!
//! A calculation is one row: name, inputs, results, rules with source and standing, and a pure function from inputs that
//! have been read to an [`Outcome`]. [`ALL`] lists the rows; help, flags, lines and people's output all come from them.
//! The functions stand in `trade` and `quantity`, where the ledger's verdicts stand on them too.
//!
//! [`answer`] takes one line of JSON and never panics: what is wrong with it is a [`Fault`] that names the input.
//!
//! ```
//! use stemwall::reckon;
//! let answer = reckon::answer(br#"{"reckon":"step-height","step":"3/8 in"}"#);
//! assert_eq!(answer.outcome.unwrap().json(), serde_json::json!({"finding": "bevel"}));
//! ```

mod air;
mod calculation;
mod crack;
mod deferral;
mod epoxy;
mod fault;
mod input;
mod inputs;
mod level;
mod life_cycle;
mod line;
mod masonry;
mod occurrences;
mod outcome;
mod plan;
#[cfg(test)]
mod published_tests;
mod quantity;
mod radon;
mod read;
mod site;
mod sump;
mod table;
mod trend;
mod water;

pub use calculation::{Calculation, Group, Output};
pub use fault::{Fact, Fault};
pub use input::{Bound, Bounds, Input, Kind, Need, flag};
pub use inputs::{Inputs, Number};
pub use line::{Answer, answer, run};
pub use occurrences::never_comes;
pub use outcome::{Authority, Found, Outcome};
pub use read::Field;
pub use table::{ALL, named};
