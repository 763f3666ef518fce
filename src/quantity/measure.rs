//! What the nine quantity types have in common.

use std::fmt;
use std::hash::Hash;

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;

/// A quantity type: a number of its stored unit, which its kind names.
pub trait Measure: Copy + Ord + Hash + fmt::Debug + 'static {
    const KIND: QuantityKind;

    /// `exact` stored units, or `None` if the type has no such value (a negative area, 300 degrees below freezing).
    fn from_exact(exact: Exact) -> Option<Self>;

    /// The value in stored units.
    fn exact(self) -> Exact;

    /// Reads what a person wrote; negative only where the type's own `parse` allows it.
    fn parse(text: &str) -> Result<Self, QuantityError>;

    /// Reads what was accepted earlier, so whatever the type can hold.
    fn parse_stored(text: &str) -> Result<Self, QuantityError> {
        Self::parse(text)
    }
}

/// The type of one kind of quantity, with what all of them can do.
///
/// `$least` is the smallest value the type holds, in stored units, if there is one; `$signed` whether `parse_stored` reads
/// a minus.
macro_rules! measure {
    ($(#[$doc:meta])* $name:ident, least: $least:expr, signed: $signed:expr) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub(super) Exact);

        impl $name {
            /// Reads a number and its unit. Errors say which rule the text breaks.
            pub fn parse(text: &str) -> Result<$name, QuantityError> {
                crate::quantity::read::read(text, QuantityKind::$name, false).map($name)
            }

            /// The value in the stored unit.
            pub const fn exact(self) -> Exact {
                self.0
            }

            /// `exact` of the stored unit, or `None` if that is less than this type can hold.
            pub fn from_exact(exact: Exact) -> Option<$name> {
                let least: Option<Exact> = $least;
                least.is_none_or(|least| exact >= least).then_some($name(exact))
            }

            /// A computed number of the stored unit, for showing; `None` if it is not finite, too large or too small to hold.
            pub fn nearest(stored: f64) -> Option<$name> {
                $name::from_exact(Exact::nearest(stored)?)
            }

            /// The mean, exact unless it does not fit; `None` of no values.
            pub fn mean(values: &[$name]) -> Option<$name> {
                crate::quantity::measure::mean(values.iter().map(|value| value.0)).map($name)
            }
        }

        impl crate::quantity::measure::Measure for $name {
            const KIND: QuantityKind = QuantityKind::$name;

            fn from_exact(exact: Exact) -> Option<$name> {
                $name::from_exact(exact)
            }

            fn exact(self) -> Exact {
                self.0
            }

            fn parse(text: &str) -> Result<$name, QuantityError> {
                $name::parse(text)
            }

            fn parse_stored(text: &str) -> Result<$name, QuantityError> {
                crate::quantity::read::read(text, QuantityKind::$name, $signed).map($name)
            }
        }
    };
}

/// Sums and differences of a quantity that has a true zero.
macro_rules! sums {
    ($name:ident) => {
        impl $name {
            pub const ZERO: $name = $name(Exact::ZERO);

            pub const fn is_zero(self) -> bool {
                self.0.is_zero()
            }

            /// The sum, or `None` if it does not fit.
            pub fn checked_add(self, other: $name) -> Option<$name> {
                self.0.checked_add(other.0).map($name)
            }

            /// The difference, or `None` if it does not fit or is less than this type can hold.
            pub fn checked_sub(self, other: $name) -> Option<$name> {
                $name::from_exact(self.0.checked_sub(other.0)?)
            }
        }
    };
}

pub(super) use {measure, sums};

pub(super) fn mean(values: impl ExactSizeIterator<Item = Exact> + Clone) -> Option<Exact> {
    let count = i128::try_from(values.len()).ok().filter(|count| *count > 0)?;
    let sum = values.clone().try_fold(Exact::ZERO, Exact::checked_add);
    match sum.and_then(|sum| sum.checked_div(Exact::integer(count))) {
        Some(mean) => Some(mean),
        None => Exact::nearest(values.map(|value| value.to_f64() / count as f64).sum()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Length, Temperature};
    use super::*;

    #[test]
    fn a_mean_is_exact_where_it_fits_and_near_where_it_does_not() {
        // Hand arithmetic: (0.1 + 0.2 + 0.3) / 3 = 0.2; (32 F + 212 F) / 2 = 122 F = 50 C.
        let widths = [Length::mm(1, 10), Length::mm(2, 10), Length::mm(3, 10)];
        assert_eq!(Length::mean(&widths), Some(Length::mm(2, 10)));
        let water = [Temperature::fahrenheit(32, 1), Temperature::fahrenheit(212, 1)];
        assert_eq!(Temperature::mean(&water), Some(Temperature::celsius(50, 1)));
        assert_eq!(Length::mean(&[]), None);

        // The common denominator of these two is about 10^74.
        let [third, quarter] =
            [Exact::new(1, 3 * 10_i128.pow(37)), Exact::new(10_i128.pow(36), 10_i128.pow(37) * 4 + 1)];
        assert_eq!(third.checked_add(quarter), None);
        let mean = mean([third, quarter].into_iter()).unwrap();
        assert!((mean.to_f64() - 0.0125).abs() < 1e-15, "half of 0.025");
    }

    #[test]
    fn only_lengths_and_temperatures_may_be_negative() {
        assert_eq!(Length::mm(1, 1).checked_sub(Length::mm(3, 1)), Some(Length::mm(-2, 1)));
        let (small, large) = (super::super::Area::m2(1, 1), super::super::Area::m2(3, 1));
        assert_eq!(small.checked_sub(large), None);
        assert_eq!(large.checked_sub(small), Some(super::super::Area::m2(2, 1)));
        assert_eq!(small.checked_add(large), Some(super::super::Area::m2(4, 1)));
    }
}
