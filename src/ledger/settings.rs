//! What holds for the whole ledger: units, currency, and the choices between documents that differ.
//!
//! Settings are entries of the ledger's own chain, so that it can be said under which settings a verdict stood.

use crate::calendar::rounds::Rounds;
use crate::deferral::{Index, Newer, rate};
use crate::ledger::problem::Problem;
use crate::quantity::{Currency, Units};

/// The settings as they stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// The units that computed figures are shown in.
    pub units: Units,
    pub currency: Currency,
    /// When the rounds of crack readings begin.
    pub rounds: Rounds,
    /// After how many years a valid low radon test asks for another.
    pub radon_retest_years: u32,
    /// The level, pCi/L, over which (8) or from which (10) a high short radon test asks for a second one at once.
    pub radon_at_once: u32,
    /// What money later is worth less a year, and by how much repair outgrows other prices, as they were typed.
    pub discount_rate: String,
    pub price_growth: String,
    /// A newer figure of the price index, as `2025=321.9`; empty: none.
    pub price_index: String,
}

/// A row of the table of settings.
pub struct SettingRow {
    pub name: &'static str,
    pub says: &'static str,
    pub get: fn(&Settings) -> String,
}

/// The table of settings.
pub static SETTINGS: &[SettingRow] = &[
    SettingRow { name: "units", says: "units of computed figures: us or metric", get: |s| s.units.word().to_owned() },
    SettingRow { name: "currency", says: "three letters, ISO 4217", get: |s| s.currency.to_string() },
    SettingRow {
        name: "rounds",
        says: "when rounds of crack readings begin: five-field cron text, in civil time",
        get: |s| s.rounds.text().to_owned(),
    },
    SettingRow {
        name: "radon-retest-years",
        says: "years after which a valid radon test below 4 pCi/L is made again: 2 (EPA advice, Illinois) or 5 (MAH-2019)",
        get: |s| s.radon_retest_years.to_string(),
    },
    SettingRow {
        name: "radon-at-once",
        says: "pCi/L at which a short radon test asks for a second at once: over 8 (Citizen's Guide) or from 10 (EPA 1993, Illinois)",
        get: |s| s.radon_at_once.to_string(),
    },
    SettingRow {
        name: "discount-rate",
        says: "real rate a year by which later money counts less: 3 % (FEMP, NISTIR 85-3273-24) unless another is set",
        get: |s| s.discount_rate.clone(),
    },
    SettingRow {
        name: "price-growth",
        says: "growth a year of repair prices beyond other prices: 2 % (assumed, no published source) unless another is set",
        get: |s| s.price_growth.clone(),
    },
    SettingRow {
        name: "price-index",
        says: "a newer figure of CPI-U than 2024, as `2025=321.9`; `none` goes by the table",
        get: |s| if s.price_index.is_empty() { "none".to_owned() } else { s.price_index.clone() },
    },
];

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            units: Units::Us,
            currency: Currency::USD,
            rounds: Rounds::default(),
            radon_retest_years: 2,
            radon_at_once: 8,
            discount_rate: "3 %".to_owned(),
            price_growth: "2 %".to_owned(),
            price_index: String::new(),
        }
    }
}

impl Settings {
    /// Changes one setting by name.
    ///
    /// Errors: no setting of that name, a value it does not take.
    pub fn set(&mut self, name: &str, value: &str) -> Result<(), Problem> {
        let bad = |wanted: &str| Problem::BadSettingValue {
            name: name.to_owned(),
            value: value.to_owned(),
            wanted: wanted.to_owned(),
        };
        match name {
            "units" => self.units = Units::from_word(value).ok_or_else(|| bad("`us` or `metric`"))?,
            "currency" => {
                self.currency = Currency::from_code(value).ok_or_else(|| bad("three capital letters: `USD`"))?
            }
            "rounds" => {
                self.rounds = Rounds::parse(value).map_err(|_| bad("five fields of cron text: `0 0 1 3,6,9,12 *`"))?;
            }
            "radon-retest-years" => {
                self.radon_retest_years = match value {
                    "2" => 2,
                    "5" => 5,
                    _ => return Err(bad("`2` or `5`")),
                }
            }
            "radon-at-once" => {
                self.radon_at_once = match value {
                    "8" => 8,
                    "10" => 10,
                    _ => return Err(bad("`8` or `10`")),
                }
            }
            "discount-rate" | "price-growth" => {
                if rate(value).is_err() {
                    return Err(bad("a rate above -100 %, to 100 %: `3 %`"));
                }
                match name {
                    "discount-rate" => self.discount_rate = value.trim().to_owned(),
                    _ => self.price_growth = value.trim().to_owned(),
                }
            }
            "price-index" if value.trim() == "none" => self.price_index.clear(),
            "price-index" => {
                Newer::parse(value).ok_or_else(|| bad("a year after 2024 and its figure: `2025=321.9`, or `none`"))?;
                self.price_index = value.trim().to_owned();
            }
            _ => {
                let names = SETTINGS.iter().map(|s| s.name).collect();
                return Err(Problem::NoSetting { name: name.to_owned(), names });
            }
        }
        Ok(())
    }

    /// The index of prices as it is known.
    pub fn index(&self) -> Index {
        Index::new(Newer::parse(&self.price_index))
    }
}
