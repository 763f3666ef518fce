//! Lengths of time: exposures, pump runs, cycles. Stored in seconds; a day is 24 hours.

use super::error::QuantityError;
use super::exact::Exact;
use super::kind::QuantityKind;
use super::measure::{measure, sums};
use super::show::{Units, trimmed};

const MINUTE: Exact = Exact::integer(60);
const HOUR: Exact = Exact::integer(3600);
const DAY: Exact = Exact::integer(86_400);

measure!(
    /// A length of time, stored in seconds. Never negative.
    Span, least: Some(Exact::ZERO), signed: false
);
sums!(Span);

impl Span {
    /// `num / den` seconds, for constants: see [`Exact::new`] for when it panics.
    pub const fn seconds(num: i128, den: i128) -> Span {
        Span(Exact::new(num, den))
    }

    /// `num / den` minutes, for constants: see [`Exact::new`] for when it panics.
    pub const fn minutes(num: i128, den: i128) -> Span {
        Span(Exact::new(num, den).times(MINUTE))
    }

    /// `num / den` hours, for constants: see [`Exact::new`] for when it panics.
    pub const fn hours(num: i128, den: i128) -> Span {
        Span(Exact::new(num, den).times(HOUR))
    }

    /// `num / den` days of 24 hours, for constants: see [`Exact::new`] for when it panics.
    pub const fn days(num: i128, den: i128) -> Span {
        Span(Exact::new(num, den).times(DAY))
    }

    pub fn to_seconds(self) -> f64 {
        self.0.to_f64()
    }

    pub fn to_minutes(self) -> f64 {
        self.0.in_units_of(MINUTE).to_f64()
    }

    pub fn to_hours(self) -> f64 {
        self.0.in_units_of(HOUR).to_f64()
    }

    pub fn to_days(self) -> f64 {
        self.0.in_units_of(DAY).to_f64()
    }

    /// A computed time, for people, in at most two units: `12.5 s`, `1 min 18 s`, `1 h 30 min`, `48 h`, `2 days 3 h`.
    ///
    /// Days begin above 48 hours, which is how the trade speaks of a test. The same whatever the units.
    pub fn show(self, _units: Units) -> String {
        if self < Span::minutes(1, 1) && self.0.round_half_up(1) < MINUTE {
            return format!("{} s", trimmed(self.0, 1));
        }
        if self < Span::hours(1, 1) && self.0.round_half_up(0) < HOUR {
            return parts(self.0.round_half_up(0), (MINUTE, "min", "min"), (Exact::ONE, "s"));
        }
        let minutes = self.0.in_units_of(MINUTE).round_half_up(0);
        if minutes <= Exact::integer(48 * 60) {
            return parts(minutes, (MINUTE, "h", "h"), (Exact::ONE, "min"));
        }
        let hours = self.0.in_units_of(HOUR).round_half_up(0);
        parts(hours, (Exact::integer(24), "day", "days"), (Exact::ONE, "h"))
    }
}

/// A whole `count` of the smaller unit as so many of the larger and the rest of the smaller.
fn parts(count: Exact, (size, one, many): (Exact, &str, &str), (_, small): (Exact, &str)) -> String {
    let (large, rest) = (count.numerator() / size.numerator(), count.numerator() % size.numerator());
    let word = if large == 1 { one } else { many };
    if rest == 0 { format!("{large} {word}") } else { format!("{large} {word} {rest} {small}") }
}
