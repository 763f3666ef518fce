use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::Kind;
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Event, Property};
use crate::ledger::subject::Subject;
use crate::trade::words::EventKind;

/// Something happened to the property that asks for another look.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EventHappened {
    pub kind: EventKind,
}

impl Kind for EventHappened {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Property]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        if !property.exists() {
            found.push(Problem::NoProperty);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.events.push(Event { seq: at.seq, on: at.on, kind: self.kind });
    }

    fn sentence(&self) -> String {
        format!("event: {}", self.kind)
    }
}
