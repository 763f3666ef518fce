//! Money: whole minor units of one currency, never a binary fraction.
//!
//! Written as `200000 USD`, `1234.50 USD` or `$12.50`; a sign is the ledger's currency where it means that: `$` where that is a
//! dollar, `€50` or `50 €` in euros. A number without a currency is refused, and so are commas, minus signs and parts of a cent.
//!
//! ```
//! use stemwall::quantity::{Currency, Money};
//! let cost = Money::parse("1450.50 USD", Currency::USD).unwrap();
//! assert_eq!((cost.minor, cost.show()), (145_050, "$1,450.50".to_owned()));
//! ```

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::currency::Currency;

/// An amount in minor units (cents) of one currency.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
#[schemars(rename = "money")]
pub struct Money {
    /// The amount in minor units: cents, or whole yen and won.
    pub minor: i64,
    pub currency: Currency,
}

/// Why a text is no amount of money, or two amounts do not add up.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum MoneyError {
    #[error("nothing is written")]
    Empty,
    #[error("there is no number")]
    NoNumber,
    #[error("the currency is missing")]
    NoCurrency,
    #[error("`{code}` is not a currency of three letters")]
    UnknownCurrency { code: String },
    #[error("the amount is in {given}, not in {wanted}")]
    WrongCurrency { given: Currency, wanted: Currency },
    /// The sign of several currencies was written, and the ledger's is none of them.
    #[error("`{sign}` does not mean {ledger}")]
    NotItsSign { sign: char, ledger: Currency },
    #[error("the amount is negative")]
    Negative,
    #[error("the amount is too large")]
    TooLarge,
    #[error("{currency} has {} behind the point", decimals(*most))]
    TooManyDecimals { currency: Currency, most: u32 },
    #[error("there is a comma in the amount")]
    Comma,
    #[error("it does not read as an amount and its currency")]
    Syntax,
}

fn decimals(most: u32) -> String {
    if most == 0 { "no digits".to_owned() } else { format!("at most {most} digits") }
}

impl MoneyError {
    /// What to do, for a person: `text` is what was written, `ledger` the currency wanted.
    ///
    /// Lower case, no final period, things to type in backticks.
    pub fn how_to_write(&self, text: &str, ledger: Currency) -> String {
        let text = text.trim();
        match self {
            MoneyError::NoCurrency => format!("add the currency: `{text} {ledger}`"),
            MoneyError::Comma
                if is_grouped(text)
                    && text.ends_with(|c: char| c.is_ascii_digit())
                    && Currency::signed(text).is_none() =>
            {
                format!("write `{} {ledger}`", text.replace(',', ""))
            }
            MoneyError::Comma if is_grouped(text) => format!("write `{}`", text.replace(',', "")),
            MoneyError::UnknownCurrency { code } if code == "$" && ledger.is_dollar() => {
                format!("write `${}`", text.trim_end_matches('$').trim_end())
            }
            MoneyError::NotItsSign { sign, .. } if ledger.sign().is_some_and(|own| own != *sign) => {
                let own = ledger.sign().unwrap_or_default();
                format!("amounts are in {ledger}: write it like `1450 {ledger}` or `{own}1450`")
            }
            _ if ledger.minor_digits() == 0 => format!("write it like `1450 {ledger}`"),
            _ => format!("write it like `1450.50 {ledger}`"),
        }
    }
}

/// Whether every comma stands before exactly three digits, so that it can only part thousands.
fn is_grouped(text: &str) -> bool {
    text.split(',').skip(1).all(|after| after.bytes().take_while(u8::is_ascii_digit).count() == 3)
}

impl Money {
    /// Reads an amount in the ledger's currency; another one is [`MoneyError::WrongCurrency`].
    pub fn parse(text: &str, ledger: Currency) -> Result<Money, MoneyError> {
        let money = Money::parse_any(text, ledger)?;
        if money.currency != ledger {
            return Err(MoneyError::WrongCurrency { given: money.currency, wanted: ledger });
        }
        Ok(money)
    }

    /// Reads an amount in any currency; a sign is `ledger` where it means that, else the one currency it means.
    pub fn parse_any(text: &str, ledger: Currency) -> Result<Money, MoneyError> {
        let text = text.trim();
        if text.is_empty() {
            return Err(MoneyError::Empty);
        }
        if text.starts_with(['-', '−']) {
            return Err(MoneyError::Negative);
        }
        let meant = |sign| match Currency::of_sign(sign) {
            _ if ledger.is_meant_by(sign) => Ok(ledger),
            Some(other) => Ok(other),
            None => Err(MoneyError::NotItsSign { sign, ledger }),
        };
        let (amount, currency) = match Currency::signed(text) {
            Some((sign, amount)) => (amount.trim_start(), Some(meant(sign)?)),
            None => (text, None),
        };
        let end = amount.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(amount.len());
        let (number, after) = amount.split_at(end);
        if number.is_empty() {
            return Err(match after.chars().next() {
                Some('-' | '−') => MoneyError::Negative,
                _ if after.contains(char::is_numeric) => MoneyError::Syntax,
                _ => MoneyError::NoNumber,
            });
        }
        if after.starts_with(',') {
            return Err(MoneyError::Comma);
        }
        let currency = match (currency, after.trim_start()) {
            (Some(currency), "") => currency,
            (Some(_), _) => return Err(MoneyError::Syntax),
            (None, "") => return Err(MoneyError::NoCurrency),
            // Dollars are written before the amount, others on either side.
            (None, behind) if behind != "$" && Currency::signed(behind).is_some_and(|(_, rest)| rest.is_empty()) => {
                meant(behind.chars().next().unwrap_or_default())?
            }
            (None, code) => Currency::from_code(&code.to_ascii_uppercase())
                .ok_or_else(|| MoneyError::UnknownCurrency { code: code.to_owned() })?,
        };
        Ok(Money { minor: minor_units(number, currency)?, currency })
    }

    pub const fn is_zero(self) -> bool {
        self.minor == 0
    }

    /// The amount in major units (dollars), for arithmetic whose result is not money to be paid.
    pub fn to_major(self) -> f64 {
        self.minor as f64 / self.minor_per_major() as f64
    }

    /// The sum of two amounts of one currency.
    pub fn checked_add(self, other: Money) -> Result<Money, MoneyError> {
        if self.currency != other.currency {
            return Err(MoneyError::WrongCurrency { given: other.currency, wanted: self.currency });
        }
        let minor = self.minor.checked_add(other.minor).ok_or(MoneyError::TooLarge)?;
        Ok(Money { minor, currency: self.currency })
    }

    /// For people: `$1,450`, `$1,450.50`, `1,450.50 EUR`; minor digits only where they are not all zero.
    pub fn show(self) -> String {
        let per_major = self.minor_per_major();
        let (major, rest) = (self.minor.unsigned_abs() / per_major, self.minor.unsigned_abs() % per_major);
        let mut amount = grouped(major);
        if rest != 0 {
            let width = self.currency.minor_digits() as usize;
            amount.push_str(&format!(".{rest:0width$}"));
        }
        let sign = if self.minor < 0 { "-" } else { "" };
        match self.currency {
            Currency::USD => format!("{sign}${amount}"),
            currency => format!("{sign}{amount} {currency}"),
        }
    }

    pub const fn minor_per_major(self) -> u64 {
        10_u64.pow(self.currency.minor_digits())
    }
}

fn minor_units(number: &str, currency: Currency) -> Result<i64, MoneyError> {
    let (major, decimals) = number.split_once('.').unwrap_or((number, ""));
    if decimals.contains('.') || major.len() + decimals.len() == 0 {
        return Err(MoneyError::Syntax);
    }
    let most = currency.minor_digits();
    if decimals.len() > most as usize {
        return Err(MoneyError::TooManyDecimals { currency, most });
    }
    let padding = std::iter::repeat_n(b'0', most as usize - decimals.len());
    let digits = major.bytes().chain(decimals.bytes()).chain(padding);
    let minor =
        digits.into_iter().try_fold(0_i64, |minor, digit| minor.checked_mul(10)?.checked_add(i64::from(digit - b'0')));
    minor.ok_or(MoneyError::TooLarge)
}

fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place != 0 && (digits.len() - place).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert_eq, proptest};

    use super::*;

    const JPY: Currency = Currency::new(*b"JPY").expect("three capitals");
    const CAD: Currency = Currency::new(*b"CAD").expect("three capitals");

    #[test]
    fn amounts_are_read_in_minor_units() {
        let rows = [
            ("200000 USD", 20_000_000, "$200,000"),
            ("1234.50 USD", 123_450, "$1,234.50"),
            ("1450.5 usd", 145_050, "$1,450.50"),
            (" $12.50 ", 1250, "$12.50"),
            ("$ 12.05", 1205, "$12.05"),
            (".5 USD", 50, "$0.50"),
            ("0 USD", 0, "$0"),
            ("1450USD", 145_000, "$1,450"),
            ("92233720368547758.07 USD", i64::MAX, "$92,233,720,368,547,758.07"),
        ];
        for (text, minor, shown) in rows {
            let money = Money { minor, currency: Currency::USD };
            assert_eq!(Money::parse(text, Currency::USD), Ok(money), "`{text}`");
            assert_eq!(money.show(), shown);
        }
        for text in ["€50", "€ 50.00", "50 €", "50€", "50 EUR"] {
            assert_eq!(Money::parse(text, Currency::EUR), Ok(Money { minor: 5000, currency: Currency::EUR }), "{text}");
        }
        let gbp = Currency::new(*b"GBP").expect("three capitals");
        assert_eq!(Money::parse("£12.50", gbp), Ok(Money { minor: 1250, currency: gbp }));
        assert_eq!(Money::parse("¥1450", JPY), Ok(Money { minor: 1450, currency: JPY }));
        assert_eq!(Money::parse("1450 JPY", JPY), Ok(Money { minor: 1450, currency: JPY }));
        assert_eq!(Money::parse("$3", CAD), Ok(Money { minor: 300, currency: CAD }));
        assert_eq!(Money { minor: 300, currency: CAD }.show(), "3 CAD");
        assert_eq!(Money { minor: 145_050, currency: Currency::EUR }.show(), "1,450.50 EUR");
        assert_eq!(Money { minor: 1_450_000, currency: JPY }.show(), "1,450,000 JPY");
        assert_eq!(Money { minor: -5, currency: Currency::USD }.show(), "-$0.05");
        assert_eq!(Money::parse_any("3 EUR", Currency::USD), Ok(Money { minor: 300, currency: Currency::EUR }));
    }

    #[test]
    fn what_is_no_amount_says_why() {
        let rows = [
            ("", MoneyError::Empty),
            ("USD", MoneyError::NoNumber),
            ("$", MoneyError::NoNumber),
            ("1450", MoneyError::NoCurrency),
            ("3 EUR", MoneyError::WrongCurrency { given: Currency::EUR, wanted: Currency::USD }),
            ("3 dollars", MoneyError::UnknownCurrency { code: "dollars".to_owned() }),
            ("-3 USD", MoneyError::Negative),
            ("$-3", MoneyError::Negative),
            ("1,450 USD", MoneyError::Comma),
            ("$1,450", MoneyError::Comma),
            ("3.505 USD", MoneyError::TooManyDecimals { currency: Currency::USD, most: 2 }),
            ("92233720368547758.08 USD", MoneyError::TooLarge),
            ("$3 USD", MoneyError::Syntax),
            ("1.2.3 USD", MoneyError::Syntax),
            (". USD", MoneyError::Syntax),
            ("USD 3", MoneyError::Syntax),
            ("٣ USD", MoneyError::Syntax),
            ("1e3 USD", MoneyError::UnknownCurrency { code: "e3 USD".to_owned() }),
        ];
        for (text, fact) in rows {
            assert_eq!(Money::parse(text, Currency::USD), Err(fact), "`{text}`");
        }
        let not_its_sign = |sign, ledger| Err(MoneyError::NotItsSign { sign, ledger });
        assert_eq!(Money::parse("$3", Currency::EUR), not_its_sign('$', Currency::EUR));
        assert_eq!(Money::parse("¥50", Currency::EUR), not_its_sign('¥', Currency::EUR));
        for text in ["€50", "50 €"] {
            let other = MoneyError::WrongCurrency { given: Currency::EUR, wanted: Currency::USD };
            assert_eq!(Money::parse(text, Currency::USD), Err(other), "{text}");
            let any = Money::parse_any(text, Currency::USD).unwrap();
            assert_eq!((any.minor, any.currency), (5000, Currency::EUR), "{text}");
        }
        let other = Money::parse("€50", Currency::USD).unwrap_err();
        assert_eq!(other.to_string(), "the amount is in EUR, not in USD");
        assert_eq!(other.how_to_write("€50", Currency::USD), "write it like `1450.50 USD`");
        let dollars = Money::parse("$50", Currency::EUR).unwrap_err();
        assert_eq!(
            dollars.how_to_write("$50", Currency::EUR),
            "amounts are in EUR: write it like `1450 EUR` or `€1450`"
        );
        let too_fine = Money::parse("1.5 JPY", JPY).unwrap_err();
        assert_eq!(too_fine.to_string(), "JPY has no digits behind the point");
        assert_eq!(MoneyError::Comma.how_to_write("$1,450", Currency::USD), "write `$1450`");
        assert_eq!(MoneyError::Comma.how_to_write("1,450", Currency::EUR), "write `1450 EUR`");
        let behind = Money::parse("1450 $", Currency::USD).unwrap_err();
        assert_eq!(behind.how_to_write("1450 $", Currency::USD), "write `$1450`");
        assert_eq!(MoneyError::Comma.how_to_write("14,5 EUR", Currency::EUR), "write it like `1450.50 EUR`");
        assert_eq!(MoneyError::NoCurrency.how_to_write("1450", Currency::USD), "add the currency: `1450 USD`");
    }

    #[test]
    fn only_one_currency_adds_up() {
        let (dollars, euros) =
            (Money { minor: 1, currency: Currency::USD }, Money { minor: 1, currency: Currency::EUR });
        assert_eq!(dollars.checked_add(dollars), Ok(Money { minor: 2, currency: Currency::USD }));
        assert_eq!(
            dollars.checked_add(euros),
            Err(MoneyError::WrongCurrency { given: Currency::EUR, wanted: Currency::USD })
        );
        let most = Money { minor: i64::MAX, currency: Currency::USD };
        assert_eq!(most.checked_add(dollars), Err(MoneyError::TooLarge));
    }

    #[test]
    fn money_is_stored_as_whole_minor_units() {
        let json = r#"{"minor":145050,"currency":"USD"}"#;
        let money = Money { minor: 145_050, currency: Currency::USD };
        assert_eq!(serde_json::to_string(&money).unwrap(), json);
        assert_eq!(serde_json::from_str::<Money>(json).unwrap(), money);
        for json in [
            r#"{"minor":1.5,"currency":"USD"}"#,
            r#"{"minor":1,"currency":"usd"}"#,
            r#"{"minor":1,"currency":"USDX"}"#,
            r#"{"minor":1}"#,
            r#"{"minor":1,"currency":"USD","cents":1}"#,
        ] {
            assert!(serde_json::from_str::<Money>(json).is_err(), "{json}");
        }
        let schema = schemars::schema_for!(Money);
        assert_eq!(schema.as_value()["required"], serde_json::json!(["minor", "currency"]));
    }

    proptest! {
        #[test]
        fn no_text_makes_reading_money_panic(text in any::<String>(), amount in "[$€£ 0-9.,−-]{0,24}[A-Za-z€]{0,4}") {
            for text in [text, amount] {
                if let Err(fact) = Money::parse(&text, Currency::USD) {
                    prop_assert_eq!(fact.how_to_write(&text, Currency::USD).is_empty(), false);
                }
            }
        }

        #[test]
        fn what_is_shown_reads_back_without_its_commas(minor in 0..i64::MAX) {
            let money = Money { minor, currency: Currency::EUR };
            prop_assert_eq!(Money::parse(&money.show().replace(',', ""), Currency::EUR), Ok(money));
        }
    }
}
