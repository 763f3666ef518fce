//! Flows of water. Stored in litres per minute; a US gallon is 3.785411784 L exactly.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, rough};

const GPM: Exact = Exact::new(3_785_411_784, 1_000_000_000);

measure!(
    /// A flow, stored in litres per minute. Never negative.
    Flow, least: Some(Exact::ZERO), signed: false
);
sums!(Flow);

impl Flow {
    /// `num / den` litres per minute, for constants: see [`Exact::new`] for when it panics.
    pub const fn l_min(num: i128, den: i128) -> Flow {
        Flow(Exact::new(num, den))
    }

    /// `num / den` US gallons per minute, for constants: see [`Exact::new`] for when it panics.
    pub const fn gpm(num: i128, den: i128) -> Flow {
        Flow(Exact::new(num, den).times(GPM))
    }

    pub fn to_l_min(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_gpm(self) -> f64 {
        self.0.in_units_of(GPM).to_f64()
    }

    /// A computed flow, for people: `18 gpm` or `68 L/min`.
    pub fn show(self, units: Units) -> String {
        match units {
            Units::Us => format!("{} gpm", rough(self.0.in_units_of(GPM))),
            Units::Metric => format!("{} L/min", rough(self.0)),
        }
    }
}
