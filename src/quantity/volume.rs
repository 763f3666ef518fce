//! Volumes: pits, epoxy, rain. Stored in litres; a US gallon is 3.785411784 L exactly.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, rough};

const GALLON: Exact = Exact::new(3_785_411_784, 1_000_000_000);

measure!(
    /// A volume, stored in litres. Never negative.
    Volume, least: Some(Exact::ZERO), signed: false
);
sums!(Volume);

impl Volume {
    /// `num / den` litres, for constants: see [`Exact::new`] for when it panics.
    pub const fn l(num: i128, den: i128) -> Volume {
        Volume(Exact::new(num, den))
    }

    /// `num / den` US gallons, for constants: see [`Exact::new`] for when it panics.
    pub const fn gal(num: i128, den: i128) -> Volume {
        Volume(Exact::new(num, den).times(GALLON))
    }

    pub fn to_l(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_gal(self) -> f64 {
        self.0.in_units_of(GALLON).to_f64()
    }

    /// A computed volume, for people: `5 gal` or `19 L`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} gal", rough(self.0.in_units_of(GALLON))),
            Units::Metric => format!("{} L", rough(self.0)),
        }
    }
}
