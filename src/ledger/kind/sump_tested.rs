use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::fixture_replaced::check_fixture;
use super::{Kind, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, SumpTest};
use crate::ledger::subject::{Name, Subject};
use crate::quantity::{Length, Span, Typed};
use crate::trade::words::{Answer, FixtureKind};

/// A test of a sump pump: water poured in and the switch watched, a drawdown timed, or both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SumpTested {
    pub fixture: Name,
    /// How far the water fell while the pump ran.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fall: Option<Typed<Length>>,
    /// How long that took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fall_time: Option<Typed<Span>>,
    /// How far the water rose with the pump off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise: Option<Typed<Length>>,
    /// How long that took.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_time: Option<Typed<Span>>,
    /// Water was poured in, about as fast as it comes by itself.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub poured: bool,
    /// How often the pump switched on and off again by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub started_times: Option<u32>,
    /// Whether water ran back into the pit after the pump stopped. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub runs_back: Option<Answer>,
    /// Whether starts followed one another quickly. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short_cycles: Option<Answer>,
    /// Whether water rose in the pit while the pump did not run. Since version 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_rising: Option<Answer>,
    /// What went wrong.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub failed: Option<String>,
}

impl SumpTested {
    /// Fall and rise with their times, where the drawdown was timed whole.
    pub fn drawdown(&self) -> Option<[(Length, Span); 2]> {
        let value = |height: &Option<Typed<Length>>, time: &Option<Typed<Span>>| {
            Some((height.as_ref()?.value(), time.as_ref()?.value()))
        };
        Some([value(&self.fall, &self.fall_time)?, value(&self.rise, &self.rise_time)?])
    }
}

impl Kind for SumpTested {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.fixture.clone())]
    }

    fn problems(&self, _: &At, property: &Property, found: &mut Vec<Problem>) {
        check_fixture(&self.fixture, property, found);
        let Some(fixture) = property.fixtures.get(&self.fixture) else { return };
        if !matches!(fixture.kind, FixtureKind::SumpPump | FixtureKind::BackupPump) {
            found.push(Problem::NotAPump { name: self.fixture.clone(), kind: fixture.kind });
        }
        let timed = self.fall.is_some() || self.fall_time.is_some() || self.rise.is_some() || self.rise_time.is_some();
        if timed && fixture.fitted.opening().is_none() {
            found.push(Problem::NoPit { name: self.fixture.clone() });
        }
        if timed {
            let all = [
                ("--fall", self.fall.is_some()),
                ("--fall-time", self.fall_time.is_some()),
                ("--rise", self.rise.is_some()),
                ("--rise-time", self.rise_time.is_some()),
            ];
            found.extend(all.iter().filter(|(_, given)| !given).map(|(field, _)| Problem::Missing { field }));
        }
        for (field, time) in [("--fall-time", &self.fall_time), ("--rise-time", &self.rise_time)] {
            if let Some(time) = time.as_ref().filter(|t| t.value().exact().is_zero()) {
                found.push(Problem::Zero { field, typed: time.typed().to_owned() });
            }
        }
        for (field, height) in [("--fall", &self.fall), ("--rise", &self.rise)] {
            if let Some(height) = height.as_ref().filter(|h| h.value() > Length::feet(10, 1)) {
                found.push(Problem::Absurd { field, typed: height.typed().to_owned(), most: "10 ft".into() });
            }
        }
        match &self.failed {
            Some(text) => check_line("--failed", text, found),
            None if !timed && self.started_times.is_none() && self.water_rising.is_none() => {
                found.push(Problem::Missing { field: "--started-times, --failed or a timed drawdown" });
            }
            None => {}
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.sump_tests.push(SumpTest { seq: at.seq, on: at.on, test: self.clone() });
    }

    fn sentence(&self) -> String {
        let mut says = Vec::new();
        says.extend(self.poured.then(|| "water poured in".to_owned()));
        says.extend(self.started_times.map(|n| match n {
            0 => "did not switch on and off by itself".to_owned(),
            1 => "switched on and off once".to_owned(),
            n => format!("switched on and off {n} times"),
        }));
        for (what, height, time) in [("fell", &self.fall, &self.fall_time), ("rose", &self.rise, &self.rise_time)] {
            if let (Some(height), Some(time)) = (height, time) {
                says.push(format!("{what} {} in {}", height.typed(), time.typed()));
            }
        }
        says.extend(self.runs_back.map(|a| format!("runs back {a}")));
        says.extend(self.short_cycles.map(|a| format!("short cycles {a}")));
        says.extend(self.water_rising.map(|a| format!("water rising {a}")));
        says.extend(self.failed.as_ref().map(|text| format!("failed: {text}")));
        format!("test of `{}`: {}", self.fixture, says.join(", "))
    }
}
