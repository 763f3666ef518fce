use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::bounds::{self, MOST_LENGTH};
use super::level_surveyed::{self, SurveyedPoint};
use super::{Kind, check_finding, check_line};
use crate::ledger::problem::Problem;
use crate::ledger::property::{At, Property, Reading};
use crate::ledger::subject::Subject;
use crate::ledger::when::When;
use crate::quantity::{Area, Length, Share, Temperature, Typed};
use crate::trade::words::{FindingKind, Water};

/// A thousandth of a millimetre: no gauge on a wall shows less.
const LEAST_LENGTH: Length = Length::mm(1, 1000);

/// Heights along a floor: one end, the middle, the other end, signed against any one level.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Profile {
    pub one_end: Typed<Length>,
    pub middle: Typed<Length>,
    pub other_end: Typed<Length>,
}

/// What was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Measured {
    /// Width of a crack.
    Width(Typed<Length>),
    /// How far one face stands proud of the other.
    Offset(Typed<Length>),
    /// Length of a crack.
    Length(Typed<Length>),
    /// How far a wall bows in, at its worst.
    Bow(Typed<Length>),
    /// How far a wall is out of plumb, over a height.
    Plumb(Typed<Length>),
    /// Height of a point against a mark that stays; signed.
    Level(Typed<Length>),
    /// A floor's profile over its length.
    Profile(Profile),
    /// A survey by points, which is an entry of a kind of its own.
    #[serde(skip)]
    Survey(Vec<SurveyedPoint>),
    /// Depth of a spall.
    Depth(Typed<Length>),
    /// How far across a spall is.
    Across(Typed<Length>),
    /// Concrete left between a bolt and the edge.
    EdgeDistance(Typed<Length>),
    /// Moisture content of wood.
    Moisture(Typed<Share>),
    /// Relative humidity of the air.
    Humidity(Typed<Share>),
    /// Temperature of the air.
    Air(Typed<Temperature>),
    /// Depth of standing water.
    WaterDepth(Typed<Length>),
    /// How wet the place is.
    Water(Water),
    /// Share of the wall's face that is covered.
    FaceShare(Typed<Share>),
    /// How deep a probe sinks in.
    Probe(Typed<Length>),
    /// An area covered.
    Area(Typed<Area>),
    /// Fall of the ground away from the wall, over a run; signed.
    Fall(Typed<Length>),
    /// Distance from the wall.
    Distance(Typed<Length>),
    /// Height of a step between two slabs.
    Step(Typed<Length>),
    /// Width of a gap.
    Gap(Typed<Length>),
    /// Height of a tree.
    Height(Typed<Length>),
    /// Net free area of vents.
    FreeArea(Typed<Area>),
    /// Clearance between a member and the soil.
    Clearance(Typed<Length>),
}

/// One measurement of an open finding. Readings of one quantity at one marked point with one gauge are a series.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadingAdded {
    pub finding: u32,
    pub measured: Measured,
    /// The height, run or length it was taken over, for what is a slope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub over: Option<Typed<Length>>,
    /// The smallest step the instrument shows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resolution: Option<Typed<Length>>,
    /// The instrument: "crack gauge".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub with: Option<String>,
    /// The marked point.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// It moved while it was looked at.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub moved: bool,
}

impl Measured {
    /// The quantity's name as it is stored.
    pub fn quantity(&self) -> &'static str {
        let flag = self.flag();
        flag.strip_prefix("--").unwrap_or(flag)
    }

    /// The flag it is typed behind.
    pub fn flag(&self) -> &'static str {
        match self {
            Measured::Width(_) => "--width",
            Measured::Offset(_) => "--offset",
            Measured::Length(_) => "--length",
            Measured::Bow(_) => "--bow",
            Measured::Plumb(_) => "--plumb",
            Measured::Level(_) => "--level",
            Measured::Profile(_) => "--profile",
            Measured::Survey(_) => "--survey",
            Measured::Depth(_) => "--depth",
            Measured::Across(_) => "--across",
            Measured::EdgeDistance(_) => "--edge-distance",
            Measured::Moisture(_) => "--moisture",
            Measured::Humidity(_) => "--humidity",
            Measured::Air(_) => "--air",
            Measured::WaterDepth(_) => "--water-depth",
            Measured::Water(_) => "--water",
            Measured::FaceShare(_) => "--face-share",
            Measured::Probe(_) => "--probe",
            Measured::Area(_) => "--area",
            Measured::Fall(_) => "--fall",
            Measured::Distance(_) => "--distance",
            Measured::Step(_) => "--step",
            Measured::Gap(_) => "--gap",
            Measured::Height(_) => "--height",
            Measured::FreeArea(_) => "--free-area",
            Measured::Clearance(_) => "--clearance",
        }
    }

    /// The length, where one length is what was measured.
    pub fn length(&self) -> Option<&Typed<Length>> {
        match self {
            Measured::Width(l) | Measured::Offset(l) | Measured::Length(l) | Measured::Bow(l) | Measured::Plumb(l) => {
                Some(l)
            }
            Measured::Level(l) | Measured::Depth(l) | Measured::Across(l) | Measured::EdgeDistance(l) => Some(l),
            Measured::WaterDepth(l) | Measured::Probe(l) | Measured::Fall(l) | Measured::Distance(l) => Some(l),
            Measured::Step(l) | Measured::Gap(l) | Measured::Height(l) | Measured::Clearance(l) => Some(l),
            _ => None,
        }
    }

    /// As typed.
    pub fn words(&self) -> String {
        match self {
            Measured::Moisture(s) | Measured::Humidity(s) | Measured::FaceShare(s) => s.typed().to_owned(),
            Measured::Air(t) => t.typed().to_owned(),
            Measured::Area(a) | Measured::FreeArea(a) => a.typed().to_owned(),
            Measured::Water(water) => water.word().to_owned(),
            Measured::Profile(p) => {
                format!("{}, {}, {}", p.one_end.typed(), p.middle.typed(), p.other_end.typed())
            }
            Measured::Survey(points) => level_surveyed::words(points),
            of_length => of_length.length().map_or(String::new(), |l| l.typed().to_owned()),
        }
    }

    /// The value and its unit as projections store them; `None` for words.
    pub fn stored(&self) -> (Option<f64>, Option<&'static str>) {
        match self {
            Measured::Moisture(s) | Measured::Humidity(s) | Measured::FaceShare(s) => {
                (Some(s.value().to_percent()), Some("pct"))
            }
            Measured::Air(t) => (Some(t.value().to_celsius()), Some("c")),
            Measured::Area(a) | Measured::FreeArea(a) => (Some(a.value().to_m2()), Some("m2")),
            of_length => match of_length.length() {
                Some(l) => (Some(l.value().to_mm()), Some("mm")),
                None => (None, None),
            },
        }
    }

    /// Whether the quantity means nothing without the length it was taken over.
    fn needs_over(&self) -> bool {
        matches!(self, Measured::Plumb(_) | Measured::Fall(_) | Measured::Profile(_))
    }
}

/// The quantities that a finding of `kind` can be read for.
pub fn quantities(kind: FindingKind) -> &'static [&'static str] {
    use FindingKind as K;
    match kind {
        K::Crack => &["width", "offset", "length", "water"],
        K::Bow => &["bow", "plumb"],
        K::Settlement => &["level", "profile"],
        K::Spall => &["depth", "across"],
        K::Bolt => &["edge-distance"],
        K::Damp => &["moisture", "humidity", "air", "water-depth", "water"],
        K::Efflorescence => &["face-share"],
        K::Rot => &["moisture", "probe"],
        K::Mould => &["area"],
        K::Grade => &["fall"],
        K::Drainage => &["distance"],
        K::Walkway => &["step", "gap"],
        K::Tree => &["height", "distance"],
        K::Vent => &["free-area"],
        K::Clearance => &["clearance"],
        K::Electrics => &["water-depth", "water"],
        K::Other => &["width", "length", "depth", "distance", "level", "moisture", "humidity", "air", "area", "water"],
        K::Binding | K::Bearing | K::Insects => &[],
    }
}

impl Kind for ReadingAdded {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Finding(self.finding)]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_finding(self.finding, at, property, found);
        if let Some(finding) = property.findings.get(&self.finding) {
            if let Some((closed, _)) = &finding.closed {
                found.push(Problem::FindingClosed { number: self.finding, closed: *closed });
            }
            let quantities = quantities(finding.kind);
            let quantity = self.measured.quantity();
            if !quantities.contains(&quantity) {
                found.push(Problem::ReadingOfAnotherKind { kind: finding.kind, quantity, quantities });
            }
        }
        self.check_alone(found);
    }

    fn slips(&self, _: When, property: &Property, found: &mut Vec<Problem>) {
        bounds::reading(self, property.findings.get(&self.finding).map(|f| f.kind), found);
        let field = self.measured.flag();
        let tiny = |l: &&Typed<Length>| !l.value().exact().is_zero() && l.value().abs() < LEAST_LENGTH;
        if let Some(length) = self.measured.length().filter(tiny) {
            found.push(Problem::TooSmall { field, typed: length.typed().to_owned(), least: "0.001 mm" });
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        let Some(finding) = property.findings.get_mut(&self.finding) else { return };
        finding.photographed |= !at.remarks.photos.is_empty();
        finding.readings.push(Reading {
            seq: at.seq,
            on: at.on,
            measured: self.measured.clone(),
            over: self.over.clone(),
            resolution: self.resolution.clone(),
            with: self.with.clone(),
            at: self.at.clone(),
            moved: self.moved,
            by: at.remarks.by.clone(),
        });
    }

    fn sentence(&self) -> String {
        let mut out = format!("{} {}", self.measured.quantity().replace('-', " "), self.measured.words());
        let mut say = |before: &str, value: Option<&str>| {
            if let Some(value) = value {
                out.push_str(&format!(" {before} {value}"));
            }
        };
        say("over", self.over.as_ref().map(Typed::typed));
        say("at", self.at.as_deref());
        say("with", self.with.as_deref());
        say("to", self.resolution.as_ref().map(Typed::typed));
        if self.moved {
            out.push_str(", moved while it was looked at");
        }
        out
    }
}

impl ReadingAdded {
    /// What can be said of the reading without knowing the finding.
    fn check_alone(&self, found: &mut Vec<Problem>) {
        let field = self.measured.flag();
        let absurd =
            |typed: &str, most: &str| Problem::Absurd { field, typed: typed.to_owned(), most: most.to_owned() };
        if let Some(length) = self.measured.length().filter(|l| l.value().abs() > MOST_LENGTH) {
            found.push(absurd(length.typed(), "1 km"));
        }
        match &self.measured {
            Measured::Humidity(s) | Measured::FaceShare(s) if s.value() > Share::percent(100, 1) => {
                found.push(absurd(s.typed(), "100 %"));
            }
            Measured::Moisture(s) if s.value() > Share::percent(300, 1) => found.push(absurd(s.typed(), "300 %")),
            Measured::Air(t) if t.value() > Temperature::celsius(100, 1) => found.push(absurd(t.typed(), "100 C")),
            _ => {}
        }
        if self.measured.needs_over() && self.over.is_none() {
            found.push(Problem::NeedsOver { quantity: self.measured.quantity() });
        }
        for (field, length) in [("--over", &self.over), ("--resolution", &self.resolution)] {
            match length {
                Some(l) if l.value().exact().is_zero() => {
                    found.push(Problem::Zero { field, typed: l.typed().to_owned() });
                }
                Some(l) if l.value() > MOST_LENGTH => {
                    found.push(Problem::Absurd { field, typed: l.typed().to_owned(), most: "1 km".into() });
                }
                _ => {}
            }
        }
        for (field, text) in [("--with", &self.with), ("--at", &self.at)] {
            if let Some(text) = text {
                check_line(field, text, found);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Measured, quantities};
    use crate::trade::words::{FindingKind, Water};

    #[test]
    fn a_quantity_is_stored_under_the_name_it_is_typed_by() {
        let json = serde_json::to_value(Measured::Water(Water::Damp)).unwrap();
        assert_eq!(json, serde_json::json!({"water": "damp"}));
        let width: Measured = serde_json::from_str(r#"{"width":{"typed":"3/16 in","mm":"4.7625"}}"#).unwrap();
        assert_eq!(width.quantity(), "width");
        assert_eq!(width.stored(), (Some(4.7625), Some("mm")));
    }

    #[test]
    fn what_cannot_be_measured_has_no_readings() {
        assert!(quantities(FindingKind::Binding).is_empty());
        assert!(quantities(FindingKind::Crack).contains(&"width"));
    }
}
