use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::LedgerKind;
use crate::ledger::problem::Problem;
use crate::ledger::settings::Settings;
use crate::quantity::{Currency, Units};

/// The ledger began.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LedgerStarted {
    /// The units that computed figures are shown in.
    pub units: Units,
    /// Three letters, ISO 4217.
    pub currency: Currency,
}

impl LedgerKind for LedgerStarted {
    fn problems(&self, _: &Settings, _: &mut Vec<Problem>) {}

    fn apply(&self, settings: &mut Settings) {
        settings.units = self.units;
        settings.currency = self.currency;
    }

    fn sentence(&self) -> String {
        format!("ledger started: units {}, currency {}", self.units.word(), self.currency)
    }
}
