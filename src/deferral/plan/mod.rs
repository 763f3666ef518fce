//! Which repair in which year: the plan that loses least under yearly budgets, and how far it may be from the least there is.
//!
//! Each repair is done in one year or left ("never"); each choice has its loss. What is spent in a year keeps to its budget; a
//! repair may wait for others; visits are paid once. [`Yearly::plan`] finds the plan by branch and bound. Bounds come from
//! prices on the budgets (Lagrange), found by Newton's steps, with visits paid in shares by those who need them; where each year
//! has a budget of its own from packing whole repairs into it; of repairs that are a good part of a year's budget, from how many
//! of them are done by when; all sums are whole minor units, so a bound within one unit of a plan proves it the best.
//!
//! Work is counted, not timed: the same plan comes out on any machine and with any number of threads.
//!
//! ```
//! use stemwall::deferral::plan::{Effort, Repair, Yearly};
//! let repair = |spend: [i64; 2], loss: [i64; 3]| Repair {
//!     spend: spend.to_vec(), loss: loss.to_vec(), after: vec![], allowed: u64::MAX,
//! };
//! let repairs = vec![repair([60, 66], [60, 75, 95]), repair([50, 52], [50, 54, 70])];
//! let task = Yearly { budgets: vec![60, 60], repairs, ..Yearly::default() };
//! let plan = task.plan(Effort::DEFAULT).unwrap();
//! assert_eq!(plan.chosen, [Some(0), Some(1)]);
//! assert!(plan.is_optimal());
//! ```
//!
//! Source: multi-period knapsack with precedence (Weingartner 1963; Lorie and Savage); the bounds are Lagrange's relaxation as
//! in Fisher 1981. The algorithm is a design of this program; its answers are tested against independent solvers.

mod climb;
mod counts;
mod dive;
mod habits;
mod making;
mod model;
mod order;
mod packing;
mod parts;
mod pricing;
mod problem;
#[cfg(test)]
mod published_tests;
mod search;
mod shortfall;
#[cfg(test)]
mod tests;
pub mod works;
mod yearly;

pub use problem::{Choice, Item, MOST_CHOICES, Problem, Visit};
pub use search::{Effort, Solution, solve};
pub use shortfall::Shortfall;
pub use yearly::{MOST_YEARS, Plan, PlanError, Repair, Shared, Yearly};
