use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::LedgerKind;
use crate::ledger::problem::Problem;
use crate::ledger::settings::Settings;

/// A setting of the whole ledger has another value from now on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SettingChanged {
    pub name: String,
    pub value: String,
}

impl LedgerKind for SettingChanged {
    fn problems(&self, settings: &Settings, found: &mut Vec<Problem>) {
        found.extend(settings.clone().set(&self.name, &self.value).err());
    }

    fn apply(&self, settings: &mut Settings) {
        // A value that a later version would refuse leaves the setting as it was.
        let _ = settings.set(&self.name, &self.value);
    }

    fn sentence(&self) -> String {
        format!("setting {} is now {}", self.name, self.value)
    }
}
