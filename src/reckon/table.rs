//! The table of all calculations.

use super::calculation::Calculation;
use super::{crack, quantity, site};

/// All of them, by group and in the order in which they are listed.
pub static ALL: &[&Calculation] = &[
    // quantities
    &quantity::QUANTITY,
    // structure
    &crack::CRACK_CATEGORY,
    &site::STEP_HEIGHT,
];

/// The calculation of that name.
pub fn named(name: &str) -> Option<&'static Calculation> {
    ALL.iter().copied().find(|calculation| calculation.name == name)
}
