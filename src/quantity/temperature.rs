//! Temperatures. Stored in degrees Celsius; 40 F is 40/9 C exactly, 0 C is 273.15 K.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::measure;
use super::show::{Units, trimmed};

const ABSOLUTE_ZERO: Exact = Exact::new(-27_315, 100);
const FAHRENHEIT_STEP: Exact = Exact::new(5, 9);
const FAHRENHEIT_FREEZING: Exact = Exact::integer(32);

measure!(
    /// A temperature, stored in degrees Celsius. Never below absolute zero.
    Temperature, least: Some(ABSOLUTE_ZERO), signed: true
);

impl Temperature {
    /// `num / den` degrees Celsius, for constants: see [`Exact::new`] for when it panics.
    pub const fn celsius(num: i128, den: i128) -> Temperature {
        Temperature(Exact::new(num, den))
    }

    /// `num / den` degrees Fahrenheit, for constants: see [`Exact::new`] for when it panics.
    pub const fn fahrenheit(num: i128, den: i128) -> Temperature {
        Temperature(Exact::new(num, den).plus(FAHRENHEIT_FREEZING.negated()).times(FAHRENHEIT_STEP))
    }

    pub fn to_celsius(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_fahrenheit(self) -> f64 {
        self.exact_fahrenheit().to_f64()
    }

    fn exact_fahrenheit(self) -> Exact {
        let above_freezing = self.0.in_units_of(FAHRENHEIT_STEP);
        above_freezing
            .checked_add(FAHRENHEIT_FREEZING)
            .or_else(|| Exact::nearest(above_freezing.to_f64() + FAHRENHEIT_FREEZING.to_f64()))
            .unwrap_or(above_freezing)
    }

    /// A computed temperature, for people: `72 F` or `22.2 C`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} F", trimmed(self.exact_fahrenheit(), 1)),
            Units::Metric => format!("{} C", trimmed(self.0, 1)),
        }
    }
}
