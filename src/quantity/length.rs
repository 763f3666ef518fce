//! Lengths: crack widths, levels, distances. Stored in millimetres; an inch is 25.4 mm exactly.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, fixed, trimmed};

const METRE: Exact = Exact::integer(1000);
const INCH: Exact = Exact::new(254, 10);
const FOOT: Exact = Exact::new(3048, 10);

measure!(
    /// A length, stored in mm. Negative only from [`Length::parse_signed`] or a difference.
    Length, least: None, signed: true
);
sums!(Length);

impl Length {
    /// Reads a number and its unit, with a minus sign if there is one (a height below the datum, a crack that closes).
    pub fn parse_signed(text: &str) -> Result<Length, QuantityError> {
        super::read::read(text, QuantityKind::Length, true).map(Length)
    }

    /// `num / den` millimetres, for constants: see [`Exact::new`] for when it panics.
    pub const fn mm(num: i128, den: i128) -> Length {
        Length(Exact::new(num, den))
    }

    /// `num / den` metres, for constants: see [`Exact::new`] for when it panics.
    pub const fn m(num: i128, den: i128) -> Length {
        Length(Exact::new(num, den).times(METRE))
    }

    /// `num / den` inches, for constants: see [`Exact::new`] for when it panics.
    pub const fn inches(num: i128, den: i128) -> Length {
        Length(Exact::new(num, den).times(INCH))
    }

    /// `num / den` feet, for constants: see [`Exact::new`] for when it panics.
    pub const fn feet(num: i128, den: i128) -> Length {
        Length(Exact::new(num, den).times(FOOT))
    }

    pub fn to_mm(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_m(self) -> f64 {
        self.0.in_units_of(METRE).to_f64()
    }

    pub fn to_inches(self) -> f64 {
        self.0.in_units_of(INCH).to_f64()
    }

    pub fn to_feet(self) -> f64 {
        self.0.in_units_of(FOOT).to_f64()
    }

    pub const fn is_negative(self) -> bool {
        self.0.is_negative()
    }

    pub const fn abs(self) -> Length {
        Length(self.0.abs())
    }

    /// A computed length of the size of a house, for people: `4 ft`, `18 in`, or `1.2 m`, `45 cm`, `4.8 mm`.
    pub fn show(self, units: Units) -> String {
        let size = self.abs();
        match units {
            Units::Us if size >= Length::feet(3, 1) => {
                in_unit(self, FOOT, if size < Length::feet(100, 1) { 1 } else { 0 }, "ft")
            }
            Units::Us => in_unit(self, INCH, if size < Length::inches(10, 1) { 1 } else { 0 }, "in"),
            Units::Metric if size >= Length::m(1, 1) => {
                in_unit(self, METRE, if size < Length::m(100, 1) { 1 } else { 0 }, "m")
            }
            Units::Metric if size >= Length::mm(10, 1) => {
                in_unit(self, Exact::integer(10), if size < Length::mm(100, 1) { 1 } else { 0 }, "cm")
            }
            Units::Metric => in_unit(self, Exact::ONE, 1, "mm"),
        }
    }

    /// A computed width of a crack, for people: `0.024 in (0.60 mm)` or `0.60 mm`. The millimetres stay beside the inches
    /// because that is what crack gauges and the published tables are in.
    pub fn show_small(self, units: Units) -> String {
        let fine = self.abs() < Length::mm(10, 1);
        let mm = fixed(self.0, if fine { 2 } else { 1 });
        match units {
            Units::Us => {
                let inches = fixed(self.0.in_units_of(INCH), if fine { 3 } else { 2 });
                format!("{inches} in ({mm} mm)")
            }
            Units::Metric => format!("{mm} mm"),
        }
    }
}

fn in_unit(length: Length, unit: Exact, places: u32, symbol: &str) -> String {
    format!("{} {symbol}", trimmed(length.0.in_units_of(unit), places))
}
