//! `reading add`: one measurement or several, each an entry, all or none.

use std::collections::BTreeSet;

use super::typed::Reading as Typing;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::reading_added::{Measured, Profile, ReadingAdded};
use crate::ledger::problem::Problem;
use crate::ledger::property::{Property, Reading as Past};
use crate::ledger::when::When;
use crate::quantity::{Length, Typed};
use crate::store::{Refusal, Store, Target};
use crate::trade::words::{FindingKind, Water};

/// From this many times the last reading on, somebody is asked whether it was meant.
const UNLIKELY: f64 = 10.0;

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// Width of a crack, such as "0.8 mm" or "3/16 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub width: Option<String>,
    /// How far one face stands proud of the other
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub offset: Option<String>,
    /// Length of a crack
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub length: Option<String>,
    /// How far a wall bows in, at its worst
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub bow: Option<String>,
    /// How far a wall is out of plumb; takes --over
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub plumb: Option<String>,
    /// Height of a point against a mark that stays; may be negative
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub level: Option<String>,
    /// Heights along a floor, "one end, middle, other end"; takes --over
    #[arg(long, value_name = "HEIGHTS", allow_hyphen_values = true)]
    pub profile: Option<String>,
    /// Depth of a spall
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub depth: Option<String>,
    /// How far across a spall is
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub across: Option<String>,
    /// Concrete left between a bolt and the edge
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub edge_distance: Option<String>,
    /// Moisture content of wood, such as "18 %"
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub moisture: Option<String>,
    /// Relative humidity of the air
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub humidity: Option<String>,
    /// Temperature of the air, such as "72 F"
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub air: Option<String>,
    /// Depth of standing water
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub water_depth: Option<String>,
    /// How wet it is now: dry, damp, seeping, running or unknown
    #[arg(long)]
    pub water: Option<String>,
    /// Share of the wall's face that is covered
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub face_share: Option<String>,
    /// How deep a probe sinks in
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub probe: Option<String>,
    /// An area covered
    #[arg(long, value_name = "AREA", allow_hyphen_values = true)]
    pub area: Option<String>,
    /// Fall of the ground away from the wall; takes --over; may be negative
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub fall: Option<String>,
    /// Distance from the wall
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub distance: Option<String>,
    /// Height of a step between two slabs
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub step: Option<String>,
    /// Width of a gap
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub gap: Option<String>,
    /// Height of a tree now; what counts is the one it grows to, which --species of the finding tells
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub height: Option<String>,
    /// Net free area of vents
    #[arg(long, value_name = "AREA", allow_hyphen_values = true)]
    pub free_area: Option<String>,
    /// Clearance between a member and the soil
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub clearance: Option<String>,
    /// The height, run or length it was taken over
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub over: Option<String>,
    /// The smallest step the instrument shows
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub resolution: Option<String>,
    /// The instrument
    #[arg(long, value_name = "TEXT")]
    pub with: Option<String>,
    /// The marked point
    #[arg(long, value_name = "TEXT")]
    pub at: Option<String>,
    /// It moved while it was looked at
    #[arg(long)]
    pub moved: bool,
}

impl Fields {
    fn measured(&self, read: &mut Typing) -> Vec<Measured> {
        let mut out = Vec::new();
        let mut length = |field, text: &Option<String>, make: fn(Typed<Length>) -> Measured| {
            out.extend(read.quantity(field, text.as_deref()).map(make));
        };
        length("--width", &self.width, Measured::Width);
        length("--offset", &self.offset, Measured::Offset);
        length("--length", &self.length, Measured::Length);
        length("--bow", &self.bow, Measured::Bow);
        length("--plumb", &self.plumb, Measured::Plumb);
        length("--depth", &self.depth, Measured::Depth);
        length("--across", &self.across, Measured::Across);
        length("--edge-distance", &self.edge_distance, Measured::EdgeDistance);
        length("--water-depth", &self.water_depth, Measured::WaterDepth);
        length("--probe", &self.probe, Measured::Probe);
        length("--distance", &self.distance, Measured::Distance);
        length("--step", &self.step, Measured::Step);
        length("--gap", &self.gap, Measured::Gap);
        length("--height", &self.height, Measured::Height);
        length("--clearance", &self.clearance, Measured::Clearance);
        out.extend(read.signed("--level", self.level.as_deref()).map(Measured::Level));
        out.extend(read.signed("--fall", self.fall.as_deref()).map(Measured::Fall));
        out.extend(self.profile.as_deref().and_then(|text| profile(text, read)).map(Measured::Profile));
        out.extend(read.quantity("--moisture", self.moisture.as_deref()).map(Measured::Moisture));
        out.extend(read.quantity("--humidity", self.humidity.as_deref()).map(Measured::Humidity));
        out.extend(read.quantity("--face-share", self.face_share.as_deref()).map(Measured::FaceShare));
        out.extend(read.quantity("--air", self.air.as_deref()).map(Measured::Air));
        out.extend(read.quantity("--area", self.area.as_deref()).map(Measured::Area));
        out.extend(read.quantity("--free-area", self.free_area.as_deref()).map(Measured::FreeArea));
        let water = read.word("--water", self.water.as_deref(), "a degree of wetness", Water::WORDS, Water::from_word);
        out.extend(water.map(Measured::Water));
        out
    }

    /// One fact a quantity; over `base` where one is corrected.
    pub fn added(&self, base: Option<ReadingAdded>, finding: u32, read: &mut Typing) -> Vec<ReadingAdded> {
        let mut measured = self.measured(read);
        let over = read.quantity("--over", self.over.as_deref());
        let resolution = read.quantity("--resolution", self.resolution.as_deref());
        if let Some(base) = &base
            && measured.is_empty()
            && read.problems.is_empty()
        {
            measured.push(base.measured.clone());
        }
        let base = base.as_ref();
        measured
            .into_iter()
            .map(|measured| ReadingAdded {
                finding,
                measured,
                over: over.clone().or_else(|| base.and_then(|b| b.over.clone())),
                resolution: resolution.clone().or_else(|| base.and_then(|b| b.resolution.clone())),
                with: self.with.clone().or_else(|| base.and_then(|b| b.with.clone())),
                at: self.at.clone().or_else(|| base.and_then(|b| b.at.clone())),
                moved: self.moved || base.is_some_and(|b| b.moved),
            })
            .collect()
    }
}

fn profile(text: &str, read: &mut Typing) -> Option<Profile> {
    let mut heights = text.split(',');
    let (one, middle, other) = (heights.next(), heights.next(), heights.next());
    if other.is_none() || heights.next().is_some() {
        read.problems.push(Problem::NotAWord {
            field: "--profile",
            typed: text.to_owned(),
            wanted: "three heights",
            words: &["0 in, -1.6 in, -1.2 in"],
        });
        return None;
    }
    let [one_end, middle, other_end] = [one, middle, other].map(|height| read.signed("--profile", height));
    Some(Profile { one_end: one_end?, middle: middle?, other_end: other_end? })
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    sure: bool,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, number) = context.finding(store, typed)?;
    let mut read = Typing::default();
    let added = fields.added(None, number, &mut read);
    let added = read.done_on(added, c)?;
    let property = store.folded(place.id)?.property.clone();
    if added.is_empty() {
        let kind = property.findings[&number].kind;
        let quantities = crate::ledger::kind::reading_added::quantities(kind);
        let mut flags = quantities.iter().map(|q| format!("--{q}")).collect::<Vec<_>>().join(", ");
        if kind == FindingKind::Settlement {
            flags.push_str("; `stemwall survey add` takes a survey by points");
        }
        return Err(Error::NothingGiven { flags });
    }
    let on = context.when(c.on.as_deref(), Some(&property))?;
    if !sure {
        let finding = &property.findings[&number];
        let mut unlikely: Vec<Problem> =
            added.iter().filter_map(|reading| unlike_the_last(reading, on, &finding.readings)).collect();
        // A day that is refused anyway is said beside it, and nobody is asked.
        if !unlikely.is_empty() && on.date < finding.opened.date {
            unlikely.insert(0, Problem::BeforeOpened { on, number, opened: finding.opened });
            return Err(refused(&place.key, unlikely));
        }
        ask(context, &place.key, unlikely)?;
    }
    let apart: Vec<String> =
        added.iter().filter_map(|reading| another_series(reading, &property.findings[&number].readings)).collect();
    let mut recorded =
        context.record(store, Target::Known(place.id), added.into_iter().map(Into::into).collect(), c)?;
    recorded.beside.extend(apart);
    Ok(recorded)
}

/// What should be known of a reading that begins a series beside those there are, where it may have been meant for one of them.
fn another_series(reading: &ReadingAdded, readings: &[Past]) -> Option<String> {
    let of_it = || readings.iter().filter(|r| r.measured.quantity() == reading.measured.quantity());
    if of_it().any(|r| r.at == reading.at && r.with == reading.with) {
        return None;
    }
    let quantity = reading.measured.quantity();
    let spelled = |one: &Option<String>, other: &Option<String>| match (one, other) {
        (Some(one), Some(other)) if one != other && one.to_lowercase() == other.to_lowercase() => {
            Some((one.clone(), other.clone()))
        }
        _ => None,
    };
    let alike = of_it().find_map(|r| spelled(&reading.at, &r.at).or(spelled(&reading.with, &r.with)));
    if let Some((now, before)) = alike {
        return Some(format!("`{now}` is not `{before}`: this begins a series of its own"));
    }
    let points: BTreeSet<&str> = of_it().filter_map(|r| r.at.as_deref()).collect();
    let unmarked = reading.at.is_none() && !points.is_empty() && of_it().all(|r| r.at.is_some());
    let points: Vec<String> = points.into_iter().map(|at| format!("`{at}`")).collect();
    unmarked.then(|| {
        format!("its {quantity} was read at {}: without --at this begins a series of its own", points.join(", "))
    })
}

/// Asks of a correction what is asked of a reading: beside the other readings, and beside what it said where it is the only one.
pub(super) fn ask_of_correction(
    context: &Context,
    property: &Property,
    seq: u64,
    now: &ReadingAdded,
    on: When,
) -> Result<(), Error> {
    let Some(finding) = property.findings.get(&now.finding) else { return Ok(()) };
    let (was, others): (Vec<_>, Vec<_>) = finding.readings.iter().cloned().partition(|r| r.seq == seq);
    if was.first().is_some_and(|was| was.measured == now.measured) {
        return Ok(());
    }
    let of_it = |r: &Past| r.measured.quantity() == now.measured.quantity();
    let beside = if others.iter().any(of_it) { others } else { was };
    ask(context, &property.key, unlike_the_last(now, on, &beside).into_iter().collect())
}

/// Asks a person whether what is unlikely was meant; where nobody can be asked, it is refused.
fn ask(context: &Context, key: &str, unlikely: Vec<Problem>) -> Result<(), Error> {
    let meant = |ask: fn(&str) -> bool| unlikely.iter().all(|p| ask(&format!("{p}; record it?")));
    if unlikely.is_empty() || context.ask.is_some_and(meant) {
        return Ok(());
    }
    Err(refused(key, unlikely))
}

fn refused(key: &str, problems: Vec<Problem>) -> Error {
    let refuse = |problem| Refusal { index: 0, key: key.to_owned(), problem };
    Error::Refused(problems.into_iter().map(refuse).collect())
}

/// A reading ten times the last of its quantity, or a tenth of it, is more often a slip than a fact.
///
/// The last is the one at its point before `on`: papers of earlier years are compared with what stood then. At a point that
/// is new, any other point of the finding says what to expect. A reading of zero has no multiples, so the one before it counts.
fn unlike_the_last(reading: &ReadingAdded, on: When, readings: &[Past]) -> Option<Problem> {
    let same = |r: &&Past| {
        let some = r.measured.stored().0.is_some_and(|value| value != 0.0);
        some && r.measured.quantity() == reading.measured.quantity()
    };
    let here = |r: &&Past| same(r) && r.at == reading.at;
    let marked = readings.iter().any(|r| here(&r));
    let mut alike = readings.iter().filter(|r| if marked { here(r) } else { same(r) });
    let earlier = alike.clone().filter(|r| r.on <= on).max_by_key(|r| r.on);
    let last = earlier.or_else(|| alike.next())?;
    unlike(reading, &last.measured)
}

/// The same, of the reading it has to be compared with.
pub(super) fn unlike(reading: &ReadingAdded, last: &Measured) -> Option<Problem> {
    let (Some(now), Some(before)) = (reading.measured.stored().0, last.stored().0) else { return None };
    let (now, before) = (now.abs(), before.abs());
    // Temperatures and levels are counted from a zero that means nothing.
    if now == 0.0 || matches!(reading.measured, Measured::Air(_) | Measured::Level(_)) {
        return None;
    }
    let words = times_the_last(now / before)?;
    Some(Problem::TenTimesTheLast { now: reading.measured.words(), last: last.words(), times: words })
}

/// How many times the last something is, in words, where that is unlikely.
pub(super) fn times_the_last(times: f64) -> Option<String> {
    if times >= UNLIKELY {
        Some(format!("{times:.0} times"))
    } else if times <= 1.0 / UNLIKELY {
        Some(format!("1/{:.0} of", 1.0 / times))
    } else {
        None
    }
}
