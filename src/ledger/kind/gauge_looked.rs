use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use super::fixture_replaced::check_fixture;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, GaugeLook, Property};
use crate::ledger::subject::{Name, Subject};
use crate::trade::radon::gauge::Levels;
use crate::trade::words::FixtureKind;

/// A look at the U-tube gauge of a radon system.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GaugeLooked {
    pub fixture: Name,
    /// Whether the two levels were equal.
    pub levels: Levels,
}

impl Kind for GaugeLooked {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.fixture.clone())]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_fixture(&self.fixture, property, found);
        let Some(fixture) = property.fixtures.get(&self.fixture) else { return };
        if fixture.kind != FixtureKind::RadonSystem {
            found.push(Problem::NoGauge { name: self.fixture.clone(), kind: fixture.kind });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.gauge_looks.push(GaugeLook { seq: at.seq, on: at.on, look: self.clone() });
    }

    fn sentence(&self) -> String {
        match self.levels {
            Levels::Equal => format!("gauge of `{}`: levels equal, no suction shown", self.fixture),
            Levels::Unequal => format!("gauge of `{}`: levels unequal, suction shown", self.fixture),
        }
    }
}
