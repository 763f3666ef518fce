//! Pressures. Stored in pascals; psi is the pound force per square inch, about 6894.76 Pa, exact as a fraction.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, rough};

const PSI: Exact = Exact::new(44_482_216_152_605, 6_451_600_000);
const KILO: Exact = Exact::integer(1000);

measure!(
    /// A pressure, stored in pascals. Never negative.
    Pressure, least: Some(Exact::ZERO), signed: false
);
sums!(Pressure);

impl Pressure {
    /// `num / den` pascals, for constants: see [`Exact::new`] for when it panics.
    pub const fn pa(num: i128, den: i128) -> Pressure {
        Pressure(Exact::new(num, den))
    }

    /// `num / den` pounds force per square inch, for constants: see [`Exact::new`] for when it panics.
    pub const fn psi(num: i128, den: i128) -> Pressure {
        Pressure(Exact::new(num, den).times(PSI))
    }

    pub fn to_pa(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_psi(self) -> f64 {
        self.0.in_units_of(PSI).to_f64()
    }

    /// A computed pressure, for people: `3 psi`, or `850 Pa`, `21 kPa`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} psi", rough(self.0.in_units_of(PSI))),
            Units::Metric if self.0 >= KILO => format!("{} kPa", rough(self.0.in_units_of(KILO))),
            Units::Metric => format!("{} Pa", rough(self.0)),
        }
    }
}
