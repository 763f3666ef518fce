//! Ratios people write in per cent: humidity, wood moisture, slopes. Stored in per cent.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, trimmed};

measure!(
    /// A ratio, stored in per cent: `18 %` is 18. Never negative; may be above 100.
    Share, least: Some(Exact::ZERO), signed: false
);
sums!(Share);

impl Share {
    /// `num / den` per cent, for constants: see [`Exact::new`] for when it panics.
    pub const fn percent(num: i128, den: i128) -> Share {
        Share(Exact::new(num, den))
    }

    pub fn to_percent(self) -> f64 {
        self.0.to_f64()
    }

    /// The bare ratio: 18 % is 0.18.
    pub fn to_fraction(self) -> f64 {
        self.0.in_units_of(Exact::integer(100)).to_f64()
    }

    /// A computed ratio, for people: `18 %`, `12.5 %`, whatever the units.
    pub fn show(self, _units: Units) -> String {
        format!("{} %", trimmed(self.0, 1))
    }
}
