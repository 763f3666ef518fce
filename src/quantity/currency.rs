//! Currencies by their three-letter codes.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A currency's three capital letters, in the form of ISO 4217. Whether the code is assigned is not checked.
///
/// Two minor digits are assumed (100 cents), none for JPY and KRW. Currencies with others are not told apart.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Currency([u8; 3]);

/// Signs of currencies that people write.
const SIGNS: [char; 6] = ['$', '€', '£', '¥', '₩', '₹'];

impl Currency {
    pub const USD: Currency = Currency(*b"USD");
    pub const EUR: Currency = Currency(*b"EUR");

    /// The currency of three ASCII capitals, `None` for anything else.
    pub const fn new(code: [u8; 3]) -> Option<Currency> {
        let [a, b, c] = code;
        if a.is_ascii_uppercase() && b.is_ascii_uppercase() && c.is_ascii_uppercase() {
            Some(Currency(code))
        } else {
            None
        }
    }

    /// The currency of this code, `None` if it is not three ASCII capitals.
    pub fn from_code(code: &str) -> Option<Currency> {
        Currency::new(code.as_bytes().try_into().ok()?)
    }

    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).expect("a code is ASCII capitals")
    }

    /// Decimals of an amount: 2, or 0 for JPY and KRW.
    pub const fn minor_digits(self) -> u32 {
        match &self.0 {
            b"JPY" | b"KRW" => 0,
            _ => 2,
        }
    }

    /// The sign it is written with, where one of ours means it.
    pub fn sign(self) -> Option<char> {
        SIGNS.iter().copied().find(|sign| self.is_meant_by(*sign))
    }

    /// Whether a sign means it, at home at least: `$` a dollar, `¥` the yen and the yuan.
    pub fn is_meant_by(self, sign: char) -> bool {
        match sign {
            '$' => self.is_dollar(),
            '¥' => matches!(&self.0, b"JPY" | b"CNY"),
            sign => Currency::of_sign(sign) == Some(self),
        }
    }

    /// The one currency that a sign means wherever it is written; `$` and `¥` are the signs of several.
    pub fn of_sign(sign: char) -> Option<Currency> {
        match sign {
            '€' => Some(Currency::EUR),
            '£' => Some(Currency(*b"GBP")),
            '₩' => Some(Currency(*b"KRW")),
            '₹' => Some(Currency(*b"INR")),
            _ => None,
        }
    }

    /// The sign that a text begins with, and what stands behind it.
    pub fn signed(text: &str) -> Option<(char, &str)> {
        let sign = text.chars().next().filter(|sign| SIGNS.contains(sign))?;
        Some((sign, &text[sign.len_utf8()..]))
    }

    /// Whether `$` means it where it is at home: the Australian, Canadian, Hong Kong, New Zealand, Singapore and US
    /// dollars.
    pub const fn is_dollar(self) -> bool {
        matches!(&self.0, b"AUD" | b"CAD" | b"HKD" | b"NZD" | b"SGD" | b"USD")
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl fmt::Debug for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl Serialize for Currency {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.code())
    }
}

impl<'de> Deserialize<'de> for Currency {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Currency, D::Error> {
        let code = <Cow<'de, str>>::deserialize(deserializer)?;
        Currency::from_code(&code).ok_or_else(|| {
            serde::de::Error::custom(format_args!("`{code}` is not a currency of three capital letters"))
        })
    }
}

impl JsonSchema for Currency {
    fn schema_name() -> Cow<'static, str> {
        "currency".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string",
            "description": "a currency's three capital letters, such as USD",
            "pattern": "^[A-Z]{3}$",
        })
    }
}
