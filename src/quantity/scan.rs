//! Takes a written quantity apart, from left to right: sign, number, unit.

use super::error::QuantityError;
use super::exact::Exact;

/// A number without its sign: exact where it fits, else the nearest double.
#[derive(Clone, Copy, Debug)]
pub(super) enum Amount {
    Exact(Exact),
    Near(f64),
}

impl Amount {
    pub fn exact(self) -> Option<Exact> {
        match self {
            Amount::Exact(exact) => Some(exact),
            Amount::Near(_) => None,
        }
    }

    pub fn to_f64(self) -> f64 {
        match self {
            Amount::Exact(exact) => exact.to_f64(),
            Amount::Near(number) => number,
        }
    }

    pub fn is_zero(self) -> bool {
        match self {
            Amount::Exact(exact) => exact.is_zero(),
            Amount::Near(number) => number == 0.0,
        }
    }

    fn near(number: f64) -> Result<Amount, QuantityError> {
        match number {
            _ if !number.is_finite() => Err(QuantityError::TooLarge),
            // Too small for a double: by the rule this is zero, which is exact.
            0.0 => Ok(Amount::Exact(Exact::ZERO)),
            _ => Ok(Amount::Near(number)),
        }
    }
}

/// A place in the text; what is before it has been understood.
pub(super) struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    pub fn new(text: &'a str) -> Cursor<'a> {
        Cursor { text, at: 0 }
    }

    pub fn whole(&self) -> &'a str {
        self.text
    }

    pub fn at(&self) -> usize {
        self.at
    }

    fn rest(&self) -> &'a str {
        &self.text[self.at..]
    }

    pub fn is_at_end(&self) -> bool {
        self.at == self.text.len()
    }

    pub fn starts_with(&self, c: char) -> bool {
        self.rest().starts_with(c)
    }

    pub fn skip_space(&mut self) {
        self.at = self.text.len() - self.rest().trim_start().len();
    }

    fn take(&mut self, wanted: impl Fn(char) -> bool) -> Option<char> {
        let next = self.rest().chars().next().filter(|next| wanted(*next))?;
        self.at += next.len_utf8();
        Some(next)
    }

    /// Takes a leading sign and the space after it; true if it is a minus.
    pub fn take_sign(&mut self) -> bool {
        let sign = self.take(|c| matches!(c, '+' | '-' | '−'));
        self.skip_space();
        matches!(sign, Some('-' | '−'))
    }

    /// `nan`, `inf` or `infinity` as a word of its own.
    pub fn is_not_finite(&self) -> bool {
        let end = self.rest().find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(self.rest().len());
        let word = &self.rest()[..end];
        ["nan", "inf", "infinity"].iter().any(|known| word.eq_ignore_ascii_case(known))
    }

    /// Takes a mixed number, a fraction or a decimal; `None`, with nothing taken, if none of them starts here.
    pub fn take_amount(&mut self) -> Result<Option<Amount>, QuantityError> {
        let start = self.at;
        if let Some((num, den)) = self.take_vulgar() {
            return Ok(Some(Amount::Exact(Exact::new(num, den))));
        }
        let whole = self.take_digits();
        if !whole.is_empty() {
            if let Some(den) = self.take_denominator() {
                return fraction("0", whole, den).map(Some);
            }
            if let Some(mixed) = self.take_fraction_of(whole) {
                return mixed.map(Some);
            }
        }
        let fraction = match self.take(|c| c == '.') {
            Some(_) => self.take_digits(),
            None => "",
        };
        if whole.is_empty() && fraction.is_empty() {
            self.at = start;
            return Ok(None);
        }
        let exponent = self.take_exponent();
        match exponent.and_then(|exponent| Exact::from_digits(whole, fraction, exponent)) {
            Some(exact) => Ok(Some(Amount::Exact(exact))),
            None => {
                // Digits, a point and an exponent always read as a double; should they not, that is no number of ours.
                let number = self.text[start..self.at].parse().map_err(|_| QuantityError::Syntax)?;
                Amount::near(number).map(Some)
            }
        }
    }

    fn take_digits(&mut self) -> &'a str {
        let rest = self.rest();
        let len = rest.bytes().take_while(u8::is_ascii_digit).count();
        self.at += len;
        &rest[..len]
    }

    /// `/` and digits.
    fn take_denominator(&mut self) -> Option<&'a str> {
        let start = self.at;
        self.take(|c| matches!(c, '/' | '⁄'))?;
        let den = self.take_digits();
        if den.is_empty() {
            self.at = start;
            return None;
        }
        Some(den)
    }

    /// The fraction of a mixed number, after its whole part: ` 1/2`, `-1/2`, `½`, ` ½`.
    fn take_fraction_of(&mut self, whole: &str) -> Option<Result<Amount, QuantityError>> {
        let start = self.at;
        let dash = self.take(|c| c == '-').is_some();
        if !dash {
            self.skip_space();
        }
        let apart = self.at != start;
        if let Some((num, den)) = self.take_vulgar() {
            let part = Exact::new(num, den);
            let sum = Exact::from_digits(whole, "", 0).and_then(|whole| whole.checked_add(part));
            return Some(match sum {
                Some(sum) => Ok(Amount::Exact(sum)),
                None => Amount::near(whole.parse().unwrap_or(f64::INFINITY)),
            });
        }
        let num = if apart { self.take_digits() } else { "" };
        if !num.is_empty()
            && let Some(den) = self.take_denominator()
        {
            return Some(fraction(whole, num, den));
        }
        self.at = start;
        None
    }

    /// The power of ten, 0 if none is written; `None` if it is beyond any use.
    fn take_exponent(&mut self) -> Option<i32> {
        let start = self.at;
        if self.take(|c| matches!(c, 'e' | 'E')).is_none() {
            return Some(0);
        }
        let negative = self.take(|c| matches!(c, '+' | '-')) == Some('-');
        let digits = self.take_digits();
        if digits.is_empty() {
            self.at = start;
            return Some(0);
        }
        let exponent: i32 = digits.parse().ok()?;
        Some(if negative { -exponent } else { exponent })
    }

    fn take_vulgar(&mut self) -> Option<(i128, i128)> {
        let next = self.rest().chars().next()?;
        let fraction = vulgar(next)?;
        self.at += next.len_utf8();
        Some(fraction)
    }

    /// Takes a unit's symbol as written, `None` if no symbol can start here.
    ///
    /// A quote mark is a symbol by itself. Others are letters and signs, with an exponent after them and once more after
    /// a stroke: `mm`, `ft2`, `m^3/h`, `pCi/L`.
    pub fn take_unit(&mut self) -> Option<&'a str> {
        let rest = self.rest();
        if self.take(is_quote).is_some() {
            return Some(&rest[..rest.len() - self.rest().len()]);
        }
        if rest.starts_with(['/', '⁄', '^']) {
            return None;
        }
        self.take_factor();
        while self.at_exponent() {
            self.take(|_| true);
            if self.rest().starts_with('/') {
                self.take_factor();
            }
        }
        let symbol = &rest[..rest.len() - self.rest().len()];
        (!symbol.is_empty()).then_some(symbol)
    }

    fn take_factor(&mut self) {
        let stops = |c: char| {
            c.is_whitespace()
                || c.is_numeric()
                || is_quote(c)
                || matches!(c, '.' | '+' | '-' | '−' | ',' | ';' | '(' | ')' | '*')
        };
        self.at += self.rest().find(stops).unwrap_or(self.rest().len());
    }

    /// A 2 or 3 that belongs to the unit and not to a number after it: `2 ft3` is a volume, `2ft3in` and `5ft3/4in` are
    /// lengths.
    fn at_exponent(&self) -> bool {
        let mut ahead = self.rest().chars();
        match ahead.next() {
            Some('²' | '³') => true,
            Some('2' | '3') => match ahead.next() {
                None => true,
                Some('/' | '⁄') => !ahead.next().is_some_and(|c| c.is_ascii_digit()),
                Some(c) => !(c.is_alphanumeric() || c == '.' || c == '%' || c == '°' || is_quote(c)),
            },
            _ => false,
        }
    }
}

fn is_quote(c: char) -> bool {
    matches!(c, '\'' | '"' | '′' | '″' | '’' | '”')
}

fn vulgar(c: char) -> Option<(i128, i128)> {
    Some(match c {
        '½' => (1, 2),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '¼' => (1, 4),
        '¾' => (3, 4),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

/// `whole + num / den`, from digits.
fn fraction(whole: &str, num: &str, den: &str) -> Result<Amount, QuantityError> {
    if den.bytes().all(|digit| digit == b'0') {
        return Err(QuantityError::ZeroDenominator);
    }
    let exact = || {
        let part = Exact::from_digits(num, "", 0)?.checked_div(Exact::from_digits(den, "", 0)?)?;
        if whole == "0" { Some(part) } else { Exact::from_digits(whole, "", 0)?.checked_add(part) }
    };
    match exact() {
        Some(exact) => Ok(Amount::Exact(exact)),
        None => {
            let double = |digits: &str| digits.parse().unwrap_or(f64::INFINITY);
            Amount::near(double(whole) + double(num) / double(den))
        }
    }
}
