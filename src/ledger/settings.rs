//! What holds for the whole ledger: units, currency, and the choices between documents that differ.
//!
//! Settings are entries of the ledger's own chain, so that it can be said under which settings a verdict stood.

use std::collections::BTreeMap;

use crate::calendar::almanac::ALMANAC;
use crate::calendar::rounds::Rounds;
use crate::deferral::{Index, rate};
use crate::ledger::duty_change::DutyChange;
use crate::ledger::problem::Problem;
use crate::quantity::{Currency, Units};
use crate::trade::choice::{self, CHOICES, Choices};

/// The settings as they stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// The units that computed figures are shown in.
    pub units: Units,
    pub currency: Currency,
    /// When the rounds of crack readings begin.
    pub rounds: Rounds,
    /// Where documents differ, which one is followed.
    pub choices: Choices,
    /// Which document's frequency stands where they differ, by the name of the setting; the almanac's first where none was
    /// chosen.
    pub frequencies: BTreeMap<&'static str, &'static str>,
    /// What is different about duties at all houses, by the duty's name.
    pub duties: BTreeMap<String, DutyChange>,
    /// What money later is worth less a year, and by how much repair outgrows other prices, as they were typed.
    pub discount_rate: String,
    pub price_growth: String,
    /// Newer figures of the price index, as `2025=321.9, 2026=330.4`; empty: none.
    pub price_index: String,
}

/// A row of the table of settings.
pub struct SettingRow {
    pub name: &'static str,
    pub says: &'static str,
    pub get: fn(&Settings) -> String,
}

/// The table of settings that are no choice between documents; those are in [`CHOICES`].
pub static SETTINGS: &[SettingRow] = &[
    SettingRow { name: "units", says: "units of computed figures: us or metric", get: |s| s.units.word().to_owned() },
    SettingRow { name: "currency", says: "three letters, ISO 4217", get: |s| s.currency.to_string() },
    SettingRow {
        name: "rounds",
        says: "when rounds of crack readings begin: cron text, five fields or a macro, of which the days count",
        get: |s| s.rounds.text().to_owned(),
    },
    SettingRow {
        name: "basement-looks",
        says: "basements and piers are looked over spring-and-autumn (general advice, no standard) or every-4-months (NPS Brief 47)",
        get: |s| s.frequency("basement-looks").to_owned(),
    },
    SettingRow {
        name: "crawl-space-looks",
        says: "crawl spaces are looked over every-4-months (NPS Brief 47) or spring-and-autumn (general advice, no standard)",
        get: |s| s.frequency("crawl-space-looks").to_owned(),
    },
    SettingRow {
        name: "pump-tests",
        says: "sump pumps are tested before-thaw-and-wet-season (NDSU Extension, Grant County) or every-3-months (municipal advice, from memory)",
        get: |s| s.frequency("pump-tests").to_owned(),
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
        says: "newer figures of CPI-U than 2024, as `2025=321.9` or `2025=321.9, 2026=330.4`; `none` goes by the table",
        get: |s| if s.price_index.is_empty() { "none".to_owned() } else { s.price_index.clone() },
    },
];

impl Default for Settings {
    fn default() -> Settings {
        Settings {
            units: Units::Us,
            currency: Currency::USD,
            rounds: Rounds::default(),
            choices: Choices::default(),
            frequencies: BTreeMap::new(),
            duties: BTreeMap::new(),
            discount_rate: "3 %".to_owned(),
            price_growth: "2 %".to_owned(),
            price_index: String::new(),
        }
    }
}

/// A setting as it stands: name, value, what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct SettingShown {
    pub name: &'static str,
    pub value: String,
    pub says: String,
}

impl Settings {
    /// Every setting as it stands, the choices between documents last.
    pub fn shown(&self) -> Vec<SettingShown> {
        let own = SETTINGS.iter().map(|s| SettingShown { name: s.name, value: (s.get)(self), says: s.says.to_owned() });
        let chosen = |c: &choice::Choice| (c.get)(&self.choices).to_owned();
        let choices = CHOICES.iter().map(|c| SettingShown { name: c.name, value: chosen(c), says: c.told() });
        own.chain(choices).collect()
    }

    /// Which of several documents' frequencies stands; empty for what the almanac has no variants of.
    pub fn frequency(&self, name: &str) -> &str {
        let first = || variants(name).next().unwrap_or_default();
        self.frequencies.get(name).copied().unwrap_or_else(first)
    }

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
                let rounds = Rounds::parse(value).map_err(|_| bad("five fields of cron text: `0 0 1 3,6,9,12 *`"))?;
                let any = chrono::NaiveDate::from_ymd_opt(2000, 1, 1).and_then(|day| rounds.next_after(day));
                any.ok_or_else(|| Problem::NeverComes { typed: value.to_owned() })?;
                self.rounds = rounds;
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
                let wanted = "a year after 2024 and its figure: `2025=321.9`, several with commas between, or `none`";
                Index::with(value).filter(|index| !index.newer().is_empty()).ok_or_else(|| bad(wanted))?;
                self.price_index = value.trim().to_owned();
            }
            // Asked last: it reads the almanac, which most commands do without.
            _ if choice::named(name).is_none() && variants(name).next().is_some() => {
                let choice = ALMANAC.duties.iter().find_map(|d| d.choice.as_deref().filter(|c| *c == name));
                let wanted: Vec<String> = variants(name).map(|variant| format!("`{variant}`")).collect();
                let variant = variants(name).find(|v| *v == value).ok_or_else(|| bad(&wanted.join(" or ")))?;
                self.frequencies.extend(choice.map(|choice| (choice, variant)));
            }
            _ => {
                let Some(choice) = choice::named(name) else {
                    let names = SETTINGS.iter().map(|s| s.name).chain(CHOICES.iter().map(|c| c.name)).collect();
                    return Err(Problem::NoSetting { name: name.to_owned(), names });
                };
                if !self.choices.follow(choice, value) {
                    return Err(bad(&choice.wanted()));
                }
            }
        }
        Ok(())
    }

    /// The index of prices as it is known.
    pub fn index(&self) -> Index {
        Index::with(&self.price_index).unwrap_or_default()
    }
}

/// The values of a choice of the almanac, each once, in its order.
fn variants(choice: &str) -> impl Iterator<Item = &'static str> {
    let mut rows: Vec<&'static str> = Vec::new();
    for duty in ALMANAC.duties.iter().filter(|duty| duty.choice.as_deref() == Some(choice)) {
        rows.extend(duty.variant.as_deref().filter(|variant| !rows.contains(variant)));
    }
    rows.into_iter()
}
