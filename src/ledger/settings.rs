//! What holds for the whole ledger: units, currency, and the choices between documents that differ.
//!
//! Settings are entries of the ledger's own chain, so that it can be said under which settings a verdict stood.

use std::collections::BTreeMap;

use crate::calendar::almanac::ALMANAC;
use crate::calendar::rounds::Rounds;
use crate::ledger::duty_change::DutyChange;
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
    /// Which document's frequency stands where they differ, by the name of the setting; the almanac's first where none was
    /// chosen.
    pub choices: BTreeMap<&'static str, &'static str>,
    /// What is different about duties at all houses, by the duty's name.
    pub duties: BTreeMap<String, DutyChange>,
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
        name: "basement-looks",
        says: "basements and piers are looked over spring-and-autumn (general advice, no standard) or every-4-months (NPS Brief 47)",
        get: |s| s.choice("basement-looks").to_owned(),
    },
    SettingRow {
        name: "crawl-space-looks",
        says: "crawl spaces are looked over every-4-months (NPS Brief 47) or spring-and-autumn (general advice, no standard)",
        get: |s| s.choice("crawl-space-looks").to_owned(),
    },
    SettingRow {
        name: "pump-tests",
        says: "sump pumps are tested before-thaw-and-wet-season (NDSU Extension, Grant County) or every-3-months (municipal advice, from memory)",
        get: |s| s.choice("pump-tests").to_owned(),
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
            choices: BTreeMap::new(),
            duties: BTreeMap::new(),
        }
    }
}

impl Settings {
    /// Which of several documents' frequencies stands; empty for what is no choice of the almanac.
    pub fn choice(&self, name: &str) -> &str {
        let first = || variants(name).next().unwrap_or_default();
        self.choices.get(name).copied().unwrap_or_else(first)
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
            _ if variants(name).next().is_some() => {
                let choice = ALMANAC.duties.iter().find_map(|d| d.choice.as_deref().filter(|c| *c == name));
                let wanted: Vec<String> = variants(name).map(|variant| format!("`{variant}`")).collect();
                let variant = variants(name).find(|v| *v == value).ok_or_else(|| bad(&wanted.join(" or ")))?;
                self.choices.extend(choice.map(|choice| (choice, variant)));
            }
            _ => {
                let names = SETTINGS.iter().map(|s| s.name).collect();
                return Err(Problem::NoSetting { name: name.to_owned(), names });
            }
        }
        Ok(())
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
