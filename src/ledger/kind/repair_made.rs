use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, bounds, check_finding, check_line, findings_in_words};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Repair};
use crate::ledger::subject::Subject;
use crate::ledger::when::When;
use crate::quantity::{Length, Money, Share, Temperature, Typed};
use crate::trade::epoxy::Class;
use crate::trade::words::{Answer, Method};

/// Work done on one or more findings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RepairMade {
    pub findings: Vec<u32>,
    pub method: Method,
    /// Width of the crack as it was filled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width: Option<Typed<Length>>,
    /// How deep the filling goes: the thickness of the wall where it goes through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth: Option<Typed<Length>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length: Option<Typed<Length>>,
    /// What is lost on the way and on the surface, on top of what the crack takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste: Option<Typed<Share>>,
    /// Temperature of the concrete at its surface.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<Typed<Temperature>>,
    /// Class of the resin by temperature, as printed on it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<Class>,
    /// Viscosity in Pa·s, as printed: a decimal number.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub viscosity_pa_s: Option<String>,
    /// How many ports were set.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ports: Option<u32>,
    /// What the maker printed on the pack, so that it can be found again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub batch: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cost: Option<Money>,
    /// Who did it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// Whether it held, where it is recorded long afterwards.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub held: Option<Answer>,
    /// The day on which its warranty ends. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub warranty_until: Option<NaiveDate>,
}

impl Kind for RepairMade {
    fn about(&self) -> Vec<Subject> {
        self.findings.iter().copied().map(Subject::Finding).collect()
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        if self.findings.is_empty() {
            found.push(Problem::Missing { field: "the finding it is about" });
        }
        for number in &self.findings {
            check_finding(*number, at, property, found);
        }
        if self.width.is_some() && self.depth.is_some() && self.length.is_some() && self.waste.is_none() {
            found.push(Problem::Missing { field: "--waste" });
        }
        for (field, length) in [("--width", &self.width), ("--depth", &self.depth), ("--length", &self.length)] {
            if let Some(length) = length.as_ref().filter(|l| l.value().exact().is_zero()) {
                found.push(Problem::Zero { field, typed: length.typed().to_owned() });
            }
        }
        if let Some(until) = self.warranty_until.filter(|until| *until < at.on.date) {
            found.push(Problem::WarrantyBefore { until, from: at.on.date });
        }
        for (field, text) in [("--batch", &self.batch), ("--who", &self.who)] {
            if let Some(text) = text {
                check_line(field, text, found);
            }
        }
    }

    fn slips(&self, _: When, _: &Property, found: &mut Vec<Problem>) {
        bounds::length("--width", self.width.as_ref(), (1, "1 m"), found);
        bounds::length("--depth", self.depth.as_ref(), (10, "10 m"), found);
        bounds::length("--length", self.length.as_ref(), (100, "100 m"), found);
    }

    fn apply(&self, at: &At, property: &mut Property) {
        for number in self.findings.iter().filter(|_| self.method.ends_series()) {
            if let Some(finding) = property.findings.get_mut(number) {
                finding.mended.push(at.on);
            }
        }
        property.repairs.push(Repair { seq: at.seq, on: at.on, made: self.clone(), checks: Vec::new() });
    }

    fn sentence(&self) -> String {
        let mut says = vec![format!("repair of {}: {}", findings_in_words(&self.findings), self.method)];
        for (what, length) in [("width", &self.width), ("depth", &self.depth), ("length", &self.length)] {
            says.extend(length.as_ref().map(|l| format!("{what} {}", l.typed())));
        }
        says.extend(self.waste.as_ref().map(|w| format!("waste {}", w.typed())));
        says.extend(self.surface.as_ref().map(|t| format!("surface at {}", t.typed())));
        says.extend(self.class.map(|c| format!("class {c}")));
        says.extend(self.viscosity_pa_s.as_ref().map(|v| format!("{v} Pa·s")));
        says.extend(self.ports.map(|n| format!("{n} ports")));
        says.extend(self.batch.as_ref().map(|b| format!("batch {b}")));
        says.extend(self.cost.map(|c| c.show()));
        says.extend(self.who.as_ref().map(|who| format!("by {who}")));
        says.extend(self.held.map(|held| format!("held: {held}")));
        says.extend(self.warranty_until.map(|day| format!("warranty until {day}")));
        says.join(", ")
    }
}
