use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_finding, check_line, check_section};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, SheetTest};
use crate::ledger::subject::{Name, Subject};
use crate::quantity::{Length, Span, Typed};
use crate::trade::sheet::{Face, On};
use crate::trade::words::FindingKind;

/// Kinds of finding that a sheet is put up for.
const FOR: &[FindingKind] = &[FindingKind::Damp, FindingKind::Efflorescence];
/// No sheet is larger, and none stays longer: design rules of this program.
const MOST_SIDE: Length = Length::mm(10_000, 1);
const MOST_KEPT: Span = Span::hours(24 * 60, 1);

/// A sheet that was taped to a floor or a wall, and looked at: from which side moisture comes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SheetTested {
    /// The finding; absent where it is a section.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub finding: Option<u32>,
    /// The section; absent where it is a finding.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub section: Option<Name>,
    /// What it was taped to.
    pub surface: On,
    /// Its shorter side.
    pub side: Typed<Length>,
    /// How long it stayed.
    pub kept: Typed<Span>,
    /// Which face was wet when it came off.
    pub wet: Face,
    /// An edge was open.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub open_edge: bool,
    /// Sun or heat fell on it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub sun: bool,
    /// The place: "north corner".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
}

impl Kind for SheetTested {
    fn about(&self) -> Vec<Subject> {
        let finding = self.finding.map(Subject::Finding);
        finding.or(self.section.clone().map(Subject::Named)).into_iter().collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        match (self.finding, &self.section) {
            (Some(number), None) => self.check_of_finding(number, at, property, found),
            (None, Some(section)) => check_section(section, property, found),
            _ => found.push(Problem::Missing { field: "what it was put up for, a finding or a section" }),
        }
        if let Some(text) = &self.at {
            check_line("--at", text, found);
        }
        let (side, kept) = (self.side.value(), self.kept.value());
        let said = [
            ("--side", self.side.typed(), side.is_zero(), side > MOST_SIDE, "10 m"),
            ("--kept", self.kept.typed(), kept.exact().is_zero(), kept > MOST_KEPT, "60 days"),
        ];
        for (field, typed, is_zero, is_absurd, most) in said {
            let typed = typed.to_owned();
            if is_zero {
                found.push(Problem::Zero { field, typed });
            } else if is_absurd {
                found.push(Problem::Absurd { field, typed, most: most.to_owned() });
            }
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.sheet_tests.push(SheetTest { seq: at.seq, on: at.on, test: self.clone() });
        if let Some(finding) = self.finding.and_then(|number| property.findings.get_mut(&number)) {
            finding.photographed |= !at.remarks.photos.is_empty();
        }
    }

    fn sentence(&self) -> String {
        let at = self.at.as_ref().map_or(String::new(), |at| format!(" at {at}"));
        let wet = match self.wet {
            Face::Neither => "dry on both faces",
            Face::Under => "wet under it",
            Face::Room => "wet to the room",
            Face::Both => "wet on both faces",
        };
        let mut says =
            format!("sheet on the {}{at}, {}, kept {}: {wet}", self.surface, self.side.typed(), self.kept.typed());
        says.push_str(if self.open_edge { "; an edge was open" } else { "" });
        says.push_str(if self.sun { "; sun or heat fell on it" } else { "" });
        says
    }
}

impl SheetTested {
    fn check_of_finding(&self, number: u32, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_finding(number, at, property, found);
        let Some(finding) = property.findings.get(&number) else { return };
        if let Some((closed, _)) = &finding.closed {
            found.push(Problem::FindingClosed { number, closed: *closed });
        }
        if !FOR.contains(&finding.kind) {
            found.push(Problem::NoSheetFor { kind: finding.kind });
        }
    }
}
