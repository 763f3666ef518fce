use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::LedgerKind;
use crate::ledger::duty_change::DutyChange;
use crate::ledger::problem::Problem;
use crate::ledger::settings::Settings;

/// A duty is different for all houses from now on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutySetForAll {
    /// Its name in the almanac, or a name of one's own.
    pub duty: String,
    pub change: DutyChange,
}

impl LedgerKind for DutySetForAll {
    fn problems(&self, _: &Settings, found: &mut Vec<Problem>) {
        self.change.check(&self.duty, found);
    }

    fn apply(&self, settings: &mut Settings) {
        let set = settings.duties.entry(self.duty.clone()).or_default();
        *set = set.with(&self.change);
    }

    fn sentence(&self) -> String {
        format!("duty `{}` at all houses: {}", self.duty, self.change.words())
    }
}
