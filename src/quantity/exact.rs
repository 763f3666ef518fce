//! Exact rational numbers: what was typed, kept without rounding.
//!
//! A limit is met by what was typed: `40 F`, `0.1 mm` or the mean of 3.8 and 4.1 pCi/L lie exactly on their limits, which
//! binary fractions do not guarantee. An [`Exact`] is a reduced fraction of two 128-bit integers; arithmetic that does
//! not fit gives `None`, comparison is always exact, and nothing panics except the constructors meant for constants.
//!
//! ```
//! use stemwall::quantity::Exact;
//! let sum = Exact::from_decimal_str("3.8").unwrap().checked_add(Exact::from_decimal_str("4.1").unwrap()).unwrap();
//! assert_eq!(sum.checked_div(Exact::integer(2)), Exact::from_decimal_str("3.95"));
//! ```

use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};

use num_rational::Ratio;
use num_traits::{CheckedAdd, CheckedDiv, CheckedMul, CheckedSub};

/// A reduced fraction of 128-bit integers; the denominator is positive, the numerator never `i128::MIN`.
#[derive(Clone, Copy)]
pub struct Exact(Ratio<i128>);

/// Powers of ten that fit: 10^0 to 10^38.
const TENS: [i128; 39] = {
    let mut tens = [1; 39];
    let mut power = 1;
    while power < tens.len() {
        tens[power] = tens[power - 1] * 10;
        power += 1;
    }
    tens
};

impl Exact {
    pub const ZERO: Exact = Exact::integer(0);
    pub const ONE: Exact = Exact::integer(1);
    /// The largest number there is here, about 1.7 × 10^38.
    pub const MAX: Exact = Exact::integer(i128::MAX);

    /// The fraction `num / den`, for constants of the program: use [`Exact::ratio`] for numbers that came from outside.
    ///
    /// # Panics
    /// If `den` is zero or either is `i128::MIN`; in a constant that is an error of the build.
    pub const fn new(num: i128, den: i128) -> Exact {
        match Exact::ratio(num, den) {
            Some(exact) => exact,
            None => panic!("a constant has denominator zero or does not fit"),
        }
    }

    /// The fraction `num / den`, or `None` if `den` is zero or either is `i128::MIN`.
    pub const fn ratio(num: i128, den: i128) -> Option<Exact> {
        if den == 0 || num == i128::MIN || den == i128::MIN {
            return None;
        }
        let common = gcd(num.unsigned_abs(), den.unsigned_abs()) as i128;
        let common = if den < 0 { -common } else { common };
        Some(Exact(Ratio::new_raw(num / common, den / common)))
    }

    /// A whole number (`i128::MIN` becomes the number above it, so that every number has its negative).
    pub const fn integer(number: i128) -> Exact {
        let number = if number == i128::MIN { -i128::MAX } else { number };
        Exact(Ratio::new_raw(number, 1))
    }

    /// Reads plain decimals such as `12`, `-0.5`, `.25`; `None` for anything else, or if it does not fit.
    pub fn from_decimal_str(text: &str) -> Option<Exact> {
        let (negative, digits) = match text.strip_prefix('-') {
            Some(digits) => (true, digits),
            None => (false, text),
        };
        let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
        if whole.len() + fraction.len() == 0 {
            return None;
        }
        let exact = Exact::from_digits(whole, fraction, 0)?;
        Some(if negative { exact.negated() } else { exact })
    }

    /// `whole.fraction × 10^exponent` from ASCII digits, or `None` if another character is met or it does not fit.
    pub(super) fn from_digits(whole: &str, fraction: &str, exponent: i32) -> Option<Exact> {
        let mut mantissa: i128 = 0;
        // Zeros are held back until another digit follows, so that trailing ones never cost range.
        let mut zeros: usize = 0;
        for digit in whole.bytes().chain(fraction.bytes()) {
            match digit {
                b'0' => zeros += 1,
                b'1'..=b'9' => {
                    if mantissa != 0 {
                        mantissa = mantissa.checked_mul(*TENS.get(zeros + 1)?)?;
                    }
                    mantissa = mantissa.checked_add(i128::from(digit - b'0'))?;
                    zeros = 0;
                }
                _ => return None,
            }
        }
        if mantissa == 0 {
            return Some(Exact::ZERO);
        }
        let scale = i64::from(exponent) + i64::try_from(zeros).ok()? - i64::try_from(fraction.len()).ok()?;
        let power = *TENS.get(usize::try_from(scale.unsigned_abs()).ok()?)?;
        if scale < 0 { Exact::ratio(mantissa, power) } else { mantissa.checked_mul(power).map(Exact::integer) }
    }

    /// The nearest number there is here to a computed one: its shortest decimal form, with at most 38 places.
    ///
    /// `None` if it is not finite or its size is above [`Exact::MAX`]. For figures, not for what somebody typed.
    pub fn nearest(number: f64) -> Option<Exact> {
        if !number.is_finite() {
            return None;
        }
        let text = format!("{:e}", number.abs());
        let (mantissa, exponent) = text.split_once('e')?;
        let exponent: i32 = exponent.parse().ok()?;
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let exact = match Exact::from_digits(whole, fraction, exponent) {
            Some(exact) => exact,
            None if exponent < 0 => {
                // Too many places: those that 10^38 can hold are kept.
                let rounded = format!("{:.38}", number.abs());
                Exact::from_decimal_str(&rounded)?
            }
            None => return None,
        };
        Some(if number < 0.0 { exact.negated() } else { exact })
    }

    pub const fn numerator(self) -> i128 {
        *self.0.numer()
    }

    /// Always positive.
    pub const fn denominator(self) -> i128 {
        *self.0.denom()
    }

    pub const fn is_zero(self) -> bool {
        self.numerator() == 0
    }

    pub const fn is_negative(self) -> bool {
        self.numerator() < 0
    }

    pub const fn negated(self) -> Exact {
        Exact(Ratio::new_raw(-self.numerator(), self.denominator()))
    }

    pub const fn abs(self) -> Exact {
        if self.is_negative() { self.negated() } else { self }
    }

    /// The sum, or `None` if it does not fit.
    pub fn checked_add(self, other: Exact) -> Option<Exact> {
        Exact::fitting(self.0.checked_add(&other.0)?)
    }

    /// The difference, or `None` if it does not fit.
    pub fn checked_sub(self, other: Exact) -> Option<Exact> {
        Exact::fitting(self.0.checked_sub(&other.0)?)
    }

    /// The product, or `None` if it does not fit.
    pub fn checked_mul(self, other: Exact) -> Option<Exact> {
        Exact::fitting(self.0.checked_mul(&other.0)?)
    }

    /// The quotient, or `None` if it does not fit or `other` is zero.
    pub fn checked_div(self, other: Exact) -> Option<Exact> {
        Exact::fitting(self.0.checked_div(&other.0)?)
    }

    fn fitting(ratio: Ratio<i128>) -> Option<Exact> {
        (*ratio.numer() != i128::MIN).then_some(Exact(ratio))
    }

    /// How many times `unit` goes into this, exactly where that fits, else the nearest number, at most [`Exact::MAX`].
    pub(super) fn in_units_of(self, unit: Exact) -> Exact {
        self.checked_div(unit)
            .or_else(|| Exact::nearest(self.to_f64() / unit.to_f64()))
            .unwrap_or(if self.is_negative() { Exact::MAX.negated() } else { Exact::MAX })
    }

    /// The product, for constants.
    ///
    /// # Panics
    /// If it does not fit; in a constant that is an error of the build.
    pub(super) const fn times(self, other: Exact) -> Exact {
        let (num, den) =
            (self.numerator().checked_mul(other.numerator()), self.denominator().checked_mul(other.denominator()));
        match (num, den) {
            (Some(num), Some(den)) => Exact::new(num, den),
            _ => panic!("a constant does not fit"),
        }
    }

    /// The sum, for constants.
    ///
    /// # Panics
    /// If it does not fit; in a constant that is an error of the build.
    pub(super) const fn plus(self, other: Exact) -> Exact {
        let left = self.numerator().checked_mul(other.denominator());
        let right = other.numerator().checked_mul(self.denominator());
        match (left, right, self.denominator().checked_mul(other.denominator())) {
            (Some(left), Some(right), Some(den)) => match left.checked_add(right) {
                Some(num) => Exact::new(num, den),
                None => panic!("a constant does not fit"),
            },
            _ => panic!("a constant does not fit"),
        }
    }

    /// The nearest double, within two units of its last place.
    pub fn to_f64(self) -> f64 {
        // The same digits by the shorter road: a long series converts each of its readings at every entry.
        match (i64::try_from(self.numerator()), i64::try_from(self.denominator())) {
            (Ok(numerator), Ok(denominator)) => numerator as f64 / denominator as f64,
            _ => self.numerator() as f64 / self.denominator() as f64,
        }
    }

    /// Rounded to `places` decimals, a half away from zero (so a half of a positive number goes up).
    ///
    /// The number itself if it cannot be held with so many places.
    pub fn round_half_up(self, places: u32) -> Exact {
        if self.denominator() == 1 {
            return self;
        }
        let rounded = self.decimal(places);
        Exact::from_decimal_str(&rounded).unwrap_or(self)
    }

    /// The number in plain decimal digits: exact if it ends within `max_places` (at most 38) places, else rounded half up
    /// (a half away from zero).
    ///
    /// No exponent, no trailing zeros, `-` before a negative number, `0` for zero.
    pub fn decimal(self, max_places: u32) -> String {
        let den = self.denominator().unsigned_abs();
        let size = self.numerator().unsigned_abs();
        let (mut whole, mut rest) = if den == 1 { (size, 0) } else { (size / den, size % den) };

        let mut places = [b'0'; 38];
        let mut len = 0;
        while rest != 0 && len < places.len().min(max_places as usize) {
            let (digit, left) = next_digit(rest, den);
            places[len] = b'0' + digit;
            rest = left;
            len += 1;
        }
        // rest < den <= i128::MAX, so the double of it fits.
        if rest != 0 && rest * 2 >= den {
            whole += u128::from(carry(&mut places[..len]));
        }
        while len > 0 && places[len - 1] == b'0' {
            len -= 1;
        }

        let mut text = String::with_capacity(24);
        if self.is_negative() && (whole != 0 || len != 0) {
            text.push('-');
        }
        push_integer(&mut text, whole);
        if len > 0 {
            text.push('.');
            text.extend(places[..len].iter().map(|digit| char::from(*digit)));
        }
        text
    }
}

/// The first decimal of `rest / den` and what is left of it, for `rest < den`.
fn next_digit(rest: u128, den: u128) -> (u8, u128) {
    if let (Ok(rest), Ok(den)) = (u64::try_from(rest), u64::try_from(den))
        && let Some(ten) = rest.checked_mul(10)
    {
        return ((ten / den) as u8, u128::from(ten % den));
    }
    // Ten additions modulo den: `rest * 10` may not fit, a sum of two numbers below den always does.
    let (mut digit, mut left) = (0, 0);
    for _ in 0..10 {
        left += rest;
        if left >= den {
            left -= den;
            digit += 1;
        }
    }
    (digit, left)
}

/// Adds one to the last of these decimal digits; true if one is carried out of the first.
fn carry(digits: &mut [u8]) -> bool {
    for digit in digits.iter_mut().rev() {
        if *digit < b'9' {
            *digit += 1;
            return false;
        }
        *digit = b'0';
    }
    true
}

fn push_integer(text: &mut String, mut number: u128) {
    if let Ok(small) = u8::try_from(number)
        && small < 10
    {
        text.push(char::from(b'0' + small));
        return;
    }
    let mut digits = [0; 39];
    let mut start = digits.len();
    while number != 0 {
        start -= 1;
        digits[start] = b'0' + (number % 10) as u8;
        number /= 10;
    }
    text.extend(digits[start..].iter().map(|digit| char::from(*digit)));
}

/// Euclid's; once both fit in 64 bits the division is the machine's own.
const fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b > u64::MAX as u128 || a > u64::MAX as u128 {
        if b == 0 {
            return a;
        }
        (a, b) = (b, a % b);
    }
    let (mut a, mut b) = (a as u64, b as u64);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a as u128
}

impl PartialEq for Exact {
    /// Both are reduced, so equal numbers have equal parts.
    fn eq(&self, other: &Exact) -> bool {
        self.numerator() == other.numerator() && self.denominator() == other.denominator()
    }
}

impl Eq for Exact {}

impl Hash for Exact {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.numerator().hash(state);
        self.denominator().hash(state);
    }
}

impl Ord for Exact {
    fn cmp(&self, other: &Exact) -> Ordering {
        let left = self.numerator().checked_mul(other.denominator());
        let right = other.numerator().checked_mul(self.denominator());
        match (left, right) {
            (Some(left), Some(right)) => left.cmp(&right),
            // The library compares by continued fractions, which cannot overflow but takes longer.
            _ => self.0.cmp(&other.0),
        }
    }
}

impl PartialOrd for Exact {
    fn partial_cmp(&self, other: &Exact) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Debug for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.numerator(), self.denominator())
    }
}

#[cfg(test)]
#[path = "exact_tests.rs"]
mod tests;
