//! Areas: floors, roofs, vents. Stored in square metres; a square foot is 0.09290304 m2 exactly.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, rough};

const FT2: Exact = Exact::new(9_290_304, 100_000_000);
const IN2: Exact = Exact::new(64_516, 100_000_000);

measure!(
    /// An area, stored in m2. Never negative.
    Area, least: Some(Exact::ZERO), signed: false
);
sums!(Area);

impl Area {
    /// `num / den` square metres, for constants: see [`Exact::new`] for when it panics.
    pub const fn m2(num: i128, den: i128) -> Area {
        Area(Exact::new(num, den))
    }

    /// `num / den` square feet, for constants: see [`Exact::new`] for when it panics.
    pub const fn ft2(num: i128, den: i128) -> Area {
        Area(Exact::new(num, den).times(FT2))
    }

    pub fn to_m2(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_ft2(self) -> f64 {
        self.0.in_units_of(FT2).to_f64()
    }

    pub fn to_in2(self) -> f64 {
        self.0.in_units_of(IN2).to_f64()
    }

    /// A computed area, for people: `1100 ft2` or `102 m2`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} ft2", rough(self.0.in_units_of(FT2))),
            Units::Metric => format!("{} m2", rough(self.0)),
        }
    }
}
