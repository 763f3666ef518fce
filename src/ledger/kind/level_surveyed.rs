use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::reading_added::{Measured, quantities};
use super::{Kind, check_finding, check_line, check_section};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, LevelSurvey, Property, Reading};
use crate::ledger::subject::{Name, Subject};
use crate::quantity::{Length, Typed};
use crate::trade::words::FindingKind;

/// Points that one survey may have: design rule of this program.
pub const MOST_POINTS: usize = 500;
/// No floor is further out of level, and no house longer.
const MOST_HEIGHT: Length = Length::mm(10_000, 1);
const MOST_ACROSS: Length = Length::mm(200_000, 1);

/// One marked point of a floor.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SurveyedPoint {
    /// Its name, the same in every survey.
    pub point: String,
    /// Its height, signed, counted from any one level; absent where it was not reached.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Typed<Length>>,
    /// How far east of one corner.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub east: Option<Typed<Length>>,
    /// How far north of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub north: Option<Typed<Length>>,
}

/// A survey of a floor's levels by marked points: of a section, or of a settlement that was found.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LevelSurveyed {
    /// The finding; absent where it is a section.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finding: Option<u32>,
    /// The section; absent where it is a finding.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<Name>,
    pub points: Vec<SurveyedPoint>,
    /// The smallest step the instrument shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resolution: Option<Typed<Length>>,
    /// The instrument: "water level".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
}

impl Kind for LevelSurveyed {
    fn about(&self) -> Vec<Subject> {
        let finding = self.finding.map(Subject::Finding);
        finding.or(self.section.clone().map(Subject::Named)).into_iter().collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        match (self.finding, &self.section) {
            (Some(number), None) => self.check_of_finding(number, at, property, found),
            (None, Some(section)) => check_section(section, property, found),
            _ => found.push(Problem::Missing { field: "what was surveyed, a finding or a section" }),
        }
        self.check_points(found);
        if let Some(with) = &self.with {
            check_line("--with", with, found);
        }
        if let Some(resolution) = &self.resolution {
            let typed = || resolution.typed().to_owned();
            if resolution.value().exact().is_zero() {
                found.push(Problem::Zero { field: "--resolution", typed: typed() });
            } else if resolution.value() > Length::mm(1000, 1) {
                found.push(Problem::Absurd { field: "--resolution", typed: typed(), most: "1 m".into() });
            }
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let Some(number) = self.finding else {
            property.level_surveys.push(LevelSurvey { seq: at.seq, on: at.on, survey: self.clone() });
            return;
        };
        let Some(finding) = property.findings.get_mut(&number) else { return };
        finding.photographed |= !at.remarks.photos.is_empty();
        finding.readings.push(Reading {
            seq: at.seq,
            on: at.on,
            measured: Measured::Survey(self.points.clone()),
            over: None,
            resolution: self.resolution.clone(),
            with: self.with.clone(),
            at: None,
            moved: false,
            by: at.remarks.by.clone(),
        });
    }

    fn sentence(&self) -> String {
        let of = match (self.finding, &self.section) {
            (_, Some(section)) => format!(" of `{section}`"),
            _ => String::new(),
        };
        let with = self.with.as_ref().map_or(String::new(), |with| format!(", with {with}"));
        let to = self.resolution.as_ref().map_or(String::new(), |to| format!(", to {}", to.typed()));
        format!("levels{of}{with}{to}: {}", words(&self.points))
    }
}

impl LevelSurveyed {
    fn check_of_finding(&self, number: u32, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_finding(number, at, property, found);
        let Some(finding) = property.findings.get(&number) else { return };
        if let Some((closed, _)) = &finding.closed {
            found.push(Problem::FindingClosed { number, closed: *closed });
        }
        if finding.kind != FindingKind::Settlement {
            let (kind, quantities) = (finding.kind, quantities(finding.kind));
            found.push(Problem::ReadingOfAnotherKind { kind, quantity: "survey", quantities });
        }
    }

    fn check_points(&self, found: &mut Vec<Problem>) {
        let field = "--point";
        let mut names: BTreeSet<&str> = BTreeSet::new();
        for point in &self.points {
            check_line(field, &point.point, found);
            if !names.insert(point.point.trim()) {
                found.push(Problem::PointTwice { point: point.point.clone() });
            }
            if point.east.is_some() != point.north.is_some() {
                found.push(Problem::HalfAPlace { point: point.point.clone() });
            }
            let beyond = |length: &Option<Typed<Length>>, most: Length| {
                let typed = length.as_ref().filter(|l| l.value().abs() > most)?;
                Some(typed.typed().to_owned())
            };
            let places = [
                (&point.height, MOST_HEIGHT, "10 m"),
                (&point.east, MOST_ACROSS, "200 m"),
                (&point.north, MOST_ACROSS, "200 m"),
            ];
            for (length, limit, most) in places {
                let absurd = |typed| Problem::Absurd { field, typed, most: most.to_owned() };
                found.extend(beyond(length, limit).map(absurd));
            }
        }
        let measured = self.points.iter().filter(|point| point.height.is_some()).count();
        if measured < 2 {
            found.push(Problem::TooFewPoints { measured });
        }
        if self.points.len() > MOST_POINTS {
            found.push(Problem::TooManyPoints { points: self.points.len(), most: MOST_POINTS });
        }
    }
}

/// `NE 0 in, SW -0.4 in; not reached: C`
pub fn words(points: &[SurveyedPoint]) -> String {
    let measured = points.iter().filter_map(|p| Some(format!("{} {}", p.point, p.height.as_ref()?.typed())));
    let measured = measured.collect::<Vec<_>>().join(", ");
    let not_reached: Vec<&str> = points.iter().filter(|p| p.height.is_none()).map(|p| p.point.as_str()).collect();
    if not_reached.is_empty() { measured } else { format!("{measured}; not reached: {}", not_reached.join(", ")) }
}
