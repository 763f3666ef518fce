use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line, check_section};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, RadonTest};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Activity, Length, Span, Temperature, Typed};
use crate::trade::words::{Answer, Device, Level};

/// More than any house has shown: 100,000 pCi/L.
const MOST_RESULT: Activity = Activity::pci_l(100_000, 1);

/// More than any room: 100 ft.
const MOST_DISTANCE: Length = Length::feet(100, 1);

/// Charcoal takes 2 to 7 days (ANSI/AARST MAH-2019, companion B; read); what is called charcoal and lasted over 90 days, in
/// hours, is a slip in the dates or in the device.
const MOST_CHARCOAL: f64 = 90.0 * 24.0;

/// Where a row of an imported file came from: what makes it the same row when the file comes again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Origin {
    /// The file's label.
    pub label: String,
    /// The row's line in the file.
    pub line: u64,
}

/// Where a device stood: distances to what is nearest, and the air around it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Stood {
    /// Height of the device above the floor.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub above_floor: Option<Typed<Length>>,
    /// Distance of the device from the nearest door, window or duct.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_opening: Option<Typed<Length>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_outside_wall: Option<Typed<Length>>,
    /// Distance from the nearest other object, beside or above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_object: Option<Typed<Length>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_heat: Option<Typed<Length>>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_sump: Option<Typed<Length>>,
    /// Temperature of the room during the test, the one farthest from 65 to 80 F where it changed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<Typed<Temperature>>,
    /// Whether there was severe weather during the test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub severe_weather: Option<Answer>,
}

impl Stood {
    /// Each distance that was recorded, by its flag.
    pub fn distances(&self) -> impl Iterator<Item = (&'static str, &'static str, &Typed<Length>)> {
        let all = [
            ("--above-floor", "above the floor", &self.above_floor),
            ("--from-opening", "from a door, window or duct", &self.from_opening),
            ("--from-outside-wall", "from an outside wall", &self.from_outside_wall),
            ("--from-object", "from another object", &self.from_object),
            ("--from-heat", "from heat", &self.from_heat),
            ("--from-sump", "from a sump", &self.from_sump),
        ];
        all.into_iter().filter_map(|(flag, says, distance)| Some((flag, says, distance.as_ref()?)))
    }
}

/// A radon test of one section, as the device or laboratory reported it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RadonTested {
    pub section: Name,
    pub device: Device,
    pub result: Typed<Activity>,
    /// The result is below what the device can show, and `result` is that limit.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub below: bool,
    /// Start, in the property's zone.
    #[schemars(with = "String")]
    pub started: When,
    /// End, in the property's zone.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub ended: Option<When>,
    /// How long it lasted, where that is what is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lasted: Option<Typed<Span>>,
    /// Whether the house was closed as the test asks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub closed: Option<Answer>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub room: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub level: Option<Level>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub placed_by: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub lab: Option<String>,
    /// The test it stood beside, as a pair.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beside: Option<u64>,
    /// Of a monitor's hourly record: hours missing in it after the ones left out at its start. Since version 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub missing_hours: Option<u32>,
    /// What stands out in a monitor's hourly record, as observed: sudden drops, hours on end with one value. Since version 3.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub observed: Vec<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub origin: Option<Origin>,
    /// Where the device stood, and in what air, as far as it was measured. Since version 4.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stood: Option<Box<Stood>>,
    /// Of a monitor's hourly record: hours left out of the mean at its start. Since version 4.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_out: Option<u32>,
}

impl RadonTested {
    /// Whether it may have run at the same time as another, as far as both say.
    fn may_have_run_with(&self, other: &RadonTested) -> bool {
        let ends_after = |one: &RadonTested, start: When| {
            one.end().is_none_or(|end| if end.time.is_some() { end > start } else { end.date >= start.date })
        };
        ends_after(self, other.started) && ends_after(other, self.started)
    }

    /// Hours from start to end, negative where the file says that it ended first; `None` while the end is not known.
    pub fn hours(&self) -> Option<f64> {
        match (&self.ended, &self.lasted) {
            (Some(ended), _) => Some((ended.moment() - self.started.moment()).num_minutes() as f64 / 60.0),
            (None, Some(lasted)) => Some(lasted.value().to_hours()),
            (None, None) => None,
        }
    }

    /// The end, as said or as it follows from the length.
    pub fn end(&self) -> Option<When> {
        let by_length = || {
            let minutes = (self.lasted.as_ref()?.value().to_hours() * 60.0).round();
            let minutes = chrono::TimeDelta::try_minutes(minutes as i64)?;
            self.started.moment().checked_add_signed(minutes).map(When::at)
        };
        self.ended.or_else(by_length)
    }

    /// The length is only as good as the times: two dates without times of day give whole days.
    pub fn times_known(&self) -> bool {
        self.lasted.is_some() || (self.started.time.is_some() && self.ended.is_some_and(|e| e.time.is_some()))
    }
}

impl Kind for RadonTested {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.section.clone())]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_section(&self.section, property, found);
        if self.result.value() > MOST_RESULT {
            let most = "100000 pCi/L".to_owned();
            found.push(Problem::Absurd { field: "--result", typed: self.result.typed().to_owned(), most });
        }
        match (&self.ended, &self.lasted) {
            (Some(_), Some(_)) => found.push(Problem::EndedAndLasted),
            (None, None) => found.push(Problem::Missing { field: "--ended or --lasted" }),
            // A row of a file is kept as it stands, as a test with a problem; a person at the keyboard can be asked.
            (Some(ended), None) if self.origin.is_none() && ended < &self.started => {
                found.push(Problem::EndedBeforeStart { started: self.started, ended: *ended });
            }
            (Some(ended), None) if self.origin.is_none() && ended == &self.started && self.times_known() => {
                found.push(Problem::NoDuration { started: self.started });
            }
            (None, Some(lasted)) if lasted.value().exact().is_zero() => {
                found.push(Problem::NoDuration { started: self.started });
            }
            _ => {}
        }
        for (field, text) in [("--room", &self.room), ("--placed-by", &self.placed_by), ("--lab", &self.lab)] {
            if let Some(text) = text {
                check_line(field, text, found);
            }
        }
        let distances = self.stood.iter().flat_map(|stood| stood.distances());
        for (field, _, distance) in distances.filter(|(_, _, distance)| distance.value() > MOST_DISTANCE) {
            let most = "100 ft".to_owned();
            found.push(Problem::Absurd { field, typed: distance.typed().to_owned(), most });
        }
        let known = |seq| property.radon_tests.iter().any(|t| t.seq == seq);
        if let Some(seq) = self.beside.filter(|seq| *seq != at.seq && !known(*seq)) {
            found.push(Problem::NotARadonTest { seq });
        }
    }

    fn slips(&self, _: When, property: &Property, found: &mut Vec<Problem>) {
        let too_long =
            self.origin.is_none() && self.device == Device::Charcoal && self.hours().is_some_and(|h| h > MOST_CHARCOAL);
        if too_long {
            found.push(Problem::LengthAgainstDevice { device: self.device, most: "7 days" });
        }
        let beside = self.beside.and_then(|seq| property.radon_tests.iter().find(|t| t.seq == seq));
        if let Some(other) = beside {
            let other_room = self.room.is_some() && other.test.room.is_some() && self.room != other.test.room;
            if other.test.section != self.section || other_room {
                found.push(Problem::NotOnePlace { seq: other.seq });
            } else if !self.may_have_run_with(&other.test) {
                found.push(Problem::NotOneTime { seq: other.seq, started: other.test.started });
            }
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.radon_tests.push(RadonTest { seq: at.seq, on: at.on, test: self.clone() });
    }

    fn sentence(&self) -> String {
        let below = if self.below { "below " } else { "" };
        let span = match (&self.ended, &self.lasted) {
            (Some(ended), _) => format!("{} to {ended}", self.started),
            (None, Some(lasted)) => format!("from {} for {}", self.started, lasted.typed()),
            (None, None) => format!("from {}", self.started),
        };
        let mut out = format!("radon test, {}: {below}{}, {span}", self.device, self.result.typed());
        let mut say = |what: &str, value: Option<&str>| {
            if let Some(value) = value {
                out.push_str(&format!(", {what}{value}"));
            }
        };
        say("closed house ", self.closed.map(Answer::word));
        say("", self.room.as_deref());
        say("level ", self.level.map(Level::word));
        say("placed by ", self.placed_by.as_deref());
        say("lab ", self.lab.as_deref());
        match self.missing_hours {
            Some(1) => out.push_str(", 1 hour of its record missing"),
            Some(n) if n > 0 => out.push_str(&format!(", {n} hours of its record missing")),
            _ => {}
        }
        if let Some(stood) = &self.stood {
            for (_, where_to, distance) in stood.distances() {
                out.push_str(&format!(", {} {where_to}", distance.typed()));
            }
            if let Some(temperature) = &stood.temperature {
                out.push_str(&format!(", at {}", temperature.typed()));
            }
            if let Some(answer) = stood.severe_weather {
                out.push_str(&format!(", severe weather {}", answer.word()));
            }
        }
        if let Some(seq) = self.beside {
            out.push_str(&format!(", beside entry {seq}"));
        }
        out
    }
}
