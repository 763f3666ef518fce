use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use super::fixture_added::Fitted;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;

/// A new piece took the place of the old one: age, curve and duties start again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FixtureReplaced {
    pub name: Name,
    #[serde(default)]
    pub fitted: Fitted,
}

impl Kind for FixtureReplaced {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.name.clone())]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_fixture(&self.name, property, found);
        self.fitted.check(at, property, found);
    }

    fn slips(&self, _: When, _: &Property, found: &mut Vec<Problem>) {
        self.fitted.slips(found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let Some(fixture) = property.fixtures.get_mut(&self.name) else { return };
        let old = std::mem::replace(&mut fixture.fitted, self.fitted.clone());
        // What belongs to the place and not to the piece stays: the pit and its freeboard, and where it is.
        let new = &mut fixture.fitted;
        if new.opening().is_none() {
            new.pit = old.pit;
            new.pit_sides = old.pit_sides;
        }
        new.freeboard = new.freeboard.take().or(old.freeboard);
        new.place = new.place.take().or(old.place);
        fixture.since = Some(self.fitted.installed.unwrap_or(at.on.date));
        fixture.replaced += 1;
    }

    fn sentence(&self) -> String {
        format!("fixture `{}` replaced{}", self.name, self.fitted.words())
    }
}

/// Refuses a fixture that is not there or no longer in use.
pub(super) fn check_fixture(name: &Name, property: &Property, found: &mut Vec<Problem>) {
    match property.fixtures.get(name) {
        None => found.push(Problem::NoFixture { name: name.clone() }),
        Some(fixture) => {
            found.extend(
                fixture.retired.as_ref().map(|(on, _)| Problem::FixtureRetired { name: name.clone(), on: *on }),
            );
        }
    }
}
