//! Reads quantities as people write them: `3/16 in`, `1 1/2"`, `2' 3"`, `1-1/2 in`, `0.4mm`, `-4 °F`, `1e-3 m`.
//!
//! A number is a decimal (with a power of ten if wanted), a fraction or a mixed number, then the unit, with or without a
//! space. Two or three parts only as feet and inches, yards and feet (and inches), hours and minutes. Digits are ASCII;
//! commas are refused; typographic forms read as the plain ones. The value is exact wherever it fits, else the nearest.

use super::error::{QuantityError, comma};
use super::exact::Exact;
use super::kind::QuantityKind;
use super::scan::{Amount, Cursor};
use super::symbol::Symbol;
use super::unit::Unit;

/// One number with its unit.
type Part = (Amount, &'static Unit);

/// The value in the kind's stored unit.
pub(super) fn read(text: &str, kind: QuantityKind, signed: bool) -> Result<Exact, QuantityError> {
    let written = Written::parse(text, kind, signed)?;
    match written.exact() {
        Some(exact) => Ok(exact),
        None => Exact::nearest(written.stored_f64()).ok_or(QuantityError::TooLarge),
    }
}

/// Reads a quantity of a kind known only when the program runs, and gives its SI value: m, m2, m3, s, m3/s, Bq/m3, K, Pa,
/// or the bare ratio (18 % is 0.18).
///
/// `signed` allows a negative value; a temperature may always be negative in its own scale. A number too small for a
/// double is 0. Errors say which rule the text breaks.
pub fn parse_si(text: &str, kind: QuantityKind, signed: bool) -> Result<f64, QuantityError> {
    let written = Written::parse(text, kind, signed)?;
    let (factor, offset) = kind.to_si();
    let exact = written.exact().and_then(|stored| stored.checked_mul(factor)?.checked_add(offset));
    let si = match exact {
        Some(exact) => exact.to_f64(),
        None => written.si_f64(factor, offset),
    };
    if si.is_finite() { Ok(si) } else { Err(QuantityError::TooLarge) }
}

/// A quantity as written, its sign and units found to be allowed.
struct Written {
    negative: bool,
    first: Part,
    second: Option<Part>,
    third: Option<Part>,
}

impl Written {
    fn parse(text: &str, kind: QuantityKind, signed: bool) -> Result<Written, QuantityError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(QuantityError::Empty);
        }
        let mut cursor = Cursor::new(text);
        let negative = cursor.take_sign();
        if cursor.is_not_finite() {
            return Err(QuantityError::NotFinite);
        }
        let first = match part(&mut cursor, kind, QuantityError::NoUnit)? {
            Some(first) => first,
            None if text.contains(char::is_numeric) => return Err(QuantityError::Syntax),
            None => return Err(QuantityError::NoNumber),
        };
        let mut written = Written { negative, first, second: None, third: None };
        if !cursor.is_at_end() {
            written.second = Some(part(&mut cursor, kind, QuantityError::Syntax)?.ok_or(QuantityError::Syntax)?);
        }
        if !cursor.is_at_end() {
            written.third = Some(part(&mut cursor, kind, QuantityError::Syntax)?.ok_or(QuantityError::Syntax)?);
        }
        if !cursor.is_at_end() || !written.parts_belong_together() {
            return Err(QuantityError::Syntax);
        }
        written.check_sign(kind, signed)?;
        Ok(written)
    }

    fn parts_belong_together(&self) -> bool {
        let follows = |larger: &Unit, smaller: &Unit| {
            larger.is("ft") && smaller.is("in")
                || larger.is("yd") && smaller.is("ft")
                || larger.is("h") && smaller.is("min")
        };
        match (&self.second, &self.third) {
            (None, _) => true,
            (Some(second), None) => follows(self.first.1, second.1),
            (Some(second), Some(third)) => follows(self.first.1, second.1) && follows(second.1, third.1),
        }
    }

    fn check_sign(&self, kind: QuantityKind, signed: bool) -> Result<(), QuantityError> {
        if kind == QuantityKind::Temperature {
            let below = match self.exact() {
                Some(celsius) => celsius < Exact::new(-27_315, 100),
                None => self.stored_f64() < -273.15,
            };
            return if below { Err(QuantityError::BelowAbsoluteZero) } else { Ok(()) };
        }
        if self.negative && !signed && !self.parts().all(|(amount, _)| amount.is_zero()) {
            return Err(QuantityError::Negative);
        }
        Ok(())
    }

    fn parts(&self) -> impl Iterator<Item = Part> {
        [Some(self.first), self.second, self.third].into_iter().flatten()
    }

    /// The value in the stored unit, if it fits.
    fn exact(&self) -> Option<Exact> {
        let (amount, unit) = self.first;
        let mut sum = scaled(amount.exact()?, unit)?;
        for (amount, unit) in [self.second, self.third].into_iter().flatten() {
            sum = sum.checked_add(scaled(amount.exact()?, unit)?)?;
        }
        let signed = if self.negative { sum.negated() } else { sum };
        if unit.offset.is_zero() { Some(signed) } else { signed.checked_add(unit.offset) }
    }

    /// The value in the stored unit, in doubles; for what does not fit exactly.
    fn stored_f64(&self) -> f64 {
        self.si_f64(Exact::ONE, Exact::ZERO)
    }

    /// The stored value × `factor` + `offset`, in doubles. The factors are joined first: the stored value itself may be
    /// outside a double's range.
    fn si_f64(&self, factor: Exact, offset: Exact) -> f64 {
        let sign = if self.negative { -1.0 } else { 1.0 };
        let sum: f64 =
            self.parts().map(|(amount, unit)| amount.to_f64() * (unit.factor.to_f64() * factor.to_f64())).sum();
        let shift = self.first.1.offset.to_f64() * factor.to_f64() + offset.to_f64();
        sign * sum + shift
    }
}

fn scaled(number: Exact, unit: &Unit) -> Option<Exact> {
    if unit.factor == Exact::ONE { Some(number) } else { number.checked_mul(unit.factor) }
}

/// The next number and its unit; `None` if no number stands here, `without_unit` if the text ends after it.
fn part(
    cursor: &mut Cursor<'_>,
    kind: QuantityKind,
    without_unit: QuantityError,
) -> Result<Option<Part>, QuantityError> {
    let Some(amount) = cursor.take_amount()? else {
        return Ok(None);
    };
    cursor.skip_space();
    if cursor.is_at_end() {
        return Err(without_unit);
    }
    if cursor.starts_with(',') {
        return Err(comma(cursor.whole(), cursor.at()));
    }
    let written = cursor.take_unit().ok_or(QuantityError::Syntax)?;
    let unit = Symbol::plain(written).and_then(|symbol| Unit::find(symbol.as_str()));
    let unit = unit.ok_or_else(|| QuantityError::UnknownUnit { unit: written.to_owned() })?;
    if unit.kind != kind {
        return Err(QuantityError::WrongKind { unit: written.to_owned(), wanted: kind });
    }
    cursor.skip_space();
    Ok(Some((amount, unit)))
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
