//! Readings of a file that are ten times the one before them at their point, or a tenth of it: more often a slip than a fact, in
//! a file as on the command line.

use std::collections::{BTreeMap, HashMap};

use crate::command::reading::unlike;
use crate::ledger::kind::Fact;
use crate::ledger::kind::reading_added::{Measured, ReadingAdded};
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::when::When;

type Point = (u32, &'static str, Option<String>);

/// What stands at each marked point: in the ledger, and in the lines before.
#[derive(Default)]
pub(super) struct Likely {
    by: HashMap<Point, BTreeMap<When, Measured>>,
}

impl Likely {
    pub fn of(property: &Property) -> Likely {
        let mut likely = Likely::default();
        for (number, finding) in &property.findings {
            for r in &finding.readings {
                likely.put((*number, r.measured.quantity(), r.at.clone()), r.on, &r.measured);
            }
        }
        likely
    }

    /// What is unlikely about a line; a likely one is what later lines are compared with.
    pub fn tried(&mut self, on: When, fact: &Fact) -> Option<Problem> {
        let Fact::ReadingAdded(reading) = fact else { return None };
        let ReadingAdded { finding, measured, at, .. } = reading;
        let point = (*finding, measured.quantity(), at.clone());
        let there = self.by.get(&point);
        let last = there.and_then(|all| all.range(..=on).next_back().or_else(|| all.iter().next()));
        let problem = last.and_then(|(_, last)| unlike(reading, last));
        if problem.is_none() {
            self.put(point, on, measured);
        }
        problem
    }

    /// Zero has no multiples: the one before it counts.
    fn put(&mut self, point: Point, on: When, measured: &Measured) {
        if measured.stored().0.is_some_and(|value| value != 0.0) {
            self.by.entry(point).or_default().insert(on, measured.clone());
        }
    }
}
