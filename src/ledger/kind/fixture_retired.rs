use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::fixture_replaced::check_fixture;
use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::{Name, Subject};

/// A fixture was taken out for good; its history stays, its duties end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixtureRetired {
    pub name: Name,
    pub why: String,
}

impl Kind for FixtureRetired {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.name.clone())]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_line("--why", &self.why, found);
        check_fixture(&self.name, property, found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        if let Some(fixture) = property.fixtures.get_mut(&self.name) {
            fixture.retired = Some((at.on, self.why.clone()));
        }
    }

    fn sentence(&self) -> String {
        format!("fixture `{}` retired: {}", self.name, self.why)
    }
}
