//! What can be wrong with an input of a calculation, as facts that name the input.
//!
//! The names are those under which the inputs are typed (`fall_time`, `humidity`); what to do about a fact is said by
//! whoever shows it.

use crate::quantity::Exact;

/// Why a calculation has no answer. `input` is the name of the input at fault.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum InputError {
    #[error("{input} is zero")]
    Zero { input: &'static str },
    #[error("{input} is negative")]
    Negative { input: &'static str },
    #[error("{input} is not a finite number")]
    NotFinite { input: &'static str },
    /// `range` in words, with its unit: `0 to 100 %`.
    #[error("{input} is outside {range}")]
    Outside { input: &'static str, range: &'static str },
    #[error("{input} is too large to reckon with")]
    TooLarge { input: &'static str },
    #[error("{input} is empty")]
    Empty { input: &'static str },
    #[error("{input} has {given}, wanted are {wanted}")]
    Count { input: &'static str, given: usize, wanted: usize },
    /// A fact between two inputs; `input` is the one to change.
    #[error("{fact}")]
    Conflict { input: &'static str, fact: &'static str },
}

impl InputError {
    /// Name of the input at fault.
    pub fn input(&self) -> &'static str {
        match self {
            InputError::Zero { input }
            | InputError::Negative { input }
            | InputError::NotFinite { input }
            | InputError::Outside { input, .. }
            | InputError::TooLarge { input }
            | InputError::Empty { input }
            | InputError::Count { input, .. }
            | InputError::Conflict { input, .. } => input,
        }
    }
}

/// `number` if it is finite and zero or more.
pub(super) fn not_negative(input: &'static str, number: f64) -> Result<f64, InputError> {
    match number {
        n if !n.is_finite() => Err(InputError::NotFinite { input }),
        n if n < 0.0 => Err(InputError::Negative { input }),
        n => Ok(n),
    }
}

/// `number` if it is finite and above zero.
pub(super) fn positive(input: &'static str, number: f64) -> Result<f64, InputError> {
    match not_negative(input, number)? {
        0.0 => Err(InputError::Zero { input }),
        n => Ok(n),
    }
}

/// An exact quantity in doubles, if it is above zero. Lengths may be negative, other quantities cannot.
pub(super) fn above_zero(input: &'static str, exact: Exact, number: f64) -> Result<f64, InputError> {
    match () {
        () if exact.is_negative() => Err(InputError::Negative { input }),
        () if exact.is_zero() => Err(InputError::Zero { input }),
        () => Ok(number),
    }
}

/// A result that is finite, else the fact that `input` was too large for it.
pub(super) fn finite(input: &'static str, result: f64) -> Result<f64, InputError> {
    if result.is_finite() { Ok(result) } else { Err(InputError::TooLarge { input }) }
}

#[cfg(test)]
mod tests {
    use super::{InputError, above_zero, finite, not_negative, positive};
    use crate::quantity::Length;

    #[test]
    fn a_fact_names_its_input() {
        assert_eq!(positive("c", 0.0), Err(InputError::Zero { input: "c" }));
        assert_eq!(positive("c", -1.0), Err(InputError::Negative { input: "c" }));
        assert_eq!(not_negative("c", f64::NAN), Err(InputError::NotFinite { input: "c" }));
        assert_eq!(not_negative("c", f64::INFINITY), Err(InputError::NotFinite { input: "c" }));
        assert_eq!(not_negative("c", -0.0), Ok(-0.0));
        assert_eq!(finite("flow", f64::INFINITY), Err(InputError::TooLarge { input: "flow" }));
        let fall = Length::inches(-1, 1);
        assert_eq!(above_zero("fall", fall.exact(), fall.to_mm()), Err(InputError::Negative { input: "fall" }));
        let outside = InputError::Outside { input: "humidity", range: "0 to 100 %" };
        assert_eq!((outside.to_string().as_str(), outside.input()), ("humidity is outside 0 to 100 %", "humidity"));
    }
}
