use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::LedgerKind;
use crate::calendar::almanac::ALMANAC;
use crate::ledger::problem::Problem;
use crate::ledger::settings::Settings;

/// What was set of a duty for all houses holds no longer: it is as the almanac has it, and a duty of one's own is gone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyDroppedForAll {
    /// The name it was set under.
    pub duty: String,
}

impl LedgerKind for DutyDroppedForAll {
    fn problems(&self, settings: &Settings, found: &mut Vec<Problem>) {
        if !settings.duties.contains_key(&self.duty) {
            found.push(Problem::NothingSet { duty: self.duty.clone() });
        }
    }

    fn apply(&self, settings: &mut Settings) {
        settings.duties.remove(&self.duty);
    }

    fn sentence(&self) -> String {
        match ALMANAC.duty(&self.duty) {
            Some(_) => format!("duty `{}` at all houses as in the almanac again", self.duty),
            None => format!("duty `{}` is gone from all houses", self.duty),
        }
    }
}
