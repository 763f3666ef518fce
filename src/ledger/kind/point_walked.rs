use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::note_added::check_subject;
use super::{Kind, check_finding, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, PointWalk, Property};
use crate::ledger::subject::Subject;
use crate::trade::words::Outcome;

/// One point of a walk: nothing seen, a finding, or not reached and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PointWalked {
    /// The entry that began the walk.
    pub walk: u64,
    /// The section or fixture, or the finding's number; empty for the property itself.
    pub about: String,
    /// The point's name in the almanac.
    pub point: String,
    pub outcome: Outcome,
    /// Why it was not reached.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// What was found there.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub findings: Vec<u32>,
}

impl Kind for PointWalked {
    fn about(&self) -> Vec<Subject> {
        let place = Subject::parse(&self.about).unwrap_or(Subject::Property);
        std::iter::once(place).chain(self.findings.iter().copied().map(Subject::Finding)).collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_subject(&self.about, property, found);
        check_line("the point", &self.point, found);
        match property.walks.iter().find(|w| w.seq == self.walk) {
            None => found.push(Problem::NotAWalk { seq: self.walk }),
            Some(walk) => {
                if let Some(ended) = walk.ended {
                    found.push(Problem::WalkOver { seq: self.walk, ended });
                }
            }
        }
        match (self.outcome, &self.why) {
            (Outcome::NotReached, None) => found.push(Problem::Missing { field: "why it was not reached" }),
            (_, Some(why)) => check_line("why", why, found),
            _ => {}
        }
        if self.outcome == Outcome::Finding && self.findings.is_empty() {
            found.push(Problem::Missing { field: "the finding" });
        }
        for number in &self.findings {
            check_finding(*number, at, property, found);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let Some(walk) = property.walks.iter_mut().find(|w| w.seq == self.walk) else { return };
        let about = Subject::parse(&self.about).unwrap_or(Subject::Property);
        // A point that is walked again, after it was not reached, counts as it ended last.
        walk.points.retain(|p| !(p.about == about && p.point == self.point));
        walk.points.push(PointWalk {
            seq: at.seq,
            on: at.on,
            about,
            point: self.point.clone(),
            outcome: self.outcome,
            why: self.why.clone(),
            findings: self.findings.clone(),
        });
    }

    fn sentence(&self) -> String {
        let why = self.why.as_ref().map_or(String::new(), |why| format!(": {why}"));
        let findings: Vec<String> = self.findings.iter().map(u32::to_string).collect();
        let of = if findings.is_empty() { String::new() } else { format!(" {}", findings.join(", ")) };
        format!("{}: {}{of}{why}", self.point, self.outcome.phrase())
    }
}
