//! What the rules ask of a finding's readings: its series, the latest of a quantity, how wet the place was.

use chrono::NaiveDate;

use super::kind::level_surveyed::SurveyedPoint;
use super::kind::reading_added::{Measured, Profile};
use super::property::{Finding, LevelSurvey, Property, Reading};
use super::subject::Name;
use super::when::When;
use crate::quantity::{Area, Exact, Length, Share, Temperature, Typed, Units};
use crate::trade::series::{Measured as Quantity, Series, Taken};
use crate::trade::survey::points::{Points, Spot};
use crate::trade::words::Water;
use crate::trade::{level, wall};

/// Readings of a finding grouped into series, each in the order taken. A repair of the place ends what was read before.
pub fn series(finding: &Finding) -> Vec<Series> {
    let mended_by = |on: When| finding.mended.iter().filter(|mended| **mended <= on).count();
    let mut all: Vec<(usize, Series)> = Vec::new();
    for reading in &finding.readings {
        let Some((measured, value)) = of_series(&reading.measured) else { continue };
        let at = line_of(reading).or_else(|| reading.at.clone());
        let mended = mended_by(reading.on);
        let taken = Taken { on: reading.on.date, value, resolution: reading.resolution.as_ref().map(|r| r.value()) };
        // Another gauge at the same point: what the others showed still counts, but they are no longer read.
        for (_, other) in all.iter_mut().filter(|(_, s)| s.measured == measured && s.at == at) {
            other.superseded = true;
        }
        let same = |(before, s): &&mut (usize, Series)| {
            *before == mended && s.measured == measured && s.at == at && s.gauge == reading.with
        };
        match all.iter_mut().find(same) {
            Some((_, series)) => {
                series.superseded = false;
                series.taken.push(taken);
            }
            None => {
                let series =
                    Series { measured, at, gauge: reading.with.clone(), taken: vec![taken], superseded: false };
                all.push((mended, series));
            }
        }
    }
    // What was read before a repair is read no more; what it showed still counts, since filling hides a crack and mends
    // no movement.
    let ended = |(mended, mut series): (usize, Series)| {
        series.superseded |= mended < finding.mended.len();
        series
    };
    all.into_iter().map(ended).collect()
}

pub(super) fn of_series(measured: &Measured) -> Option<(Quantity, Length)> {
    let quantity = match measured {
        Measured::Width(_) => Quantity::Width,
        Measured::Offset(_) => Quantity::Offset,
        Measured::Length(_) => Quantity::CrackLength,
        Measured::Bow(_) => Quantity::Bow,
        Measured::Plumb(_) => Quantity::OutOfPlumb,
        Measured::Level(_) => Quantity::Level,
        Measured::Step(_) => Quantity::StepHeight,
        Measured::Gap(_) => Quantity::Gap,
        Measured::Profile(profile) => return deflection(profile).map(|value| (Quantity::Deflection, value)),
        _ => return None,
    };
    measured.length().map(|l| (quantity, l.value()))
}

/// Which line of a floor was surveyed: its name, or how long it is.
fn line_of(reading: &Reading) -> Option<String> {
    let over = reading.over.as_ref().filter(|_| matches!(reading.measured, Measured::Profile(_)))?;
    Some(reading.at.clone().unwrap_or_else(|| format!("the line of {}", over.value().show(Units::Us))))
}

pub(super) fn leans(finding: &Finding) -> Vec<wall::Lean> {
    let lean = |r: &Reading| match (&r.measured, &r.over) {
        (Measured::Plumb(out), Some(over)) => Some(wall::Lean { on: r.on.date, out: out.value(), over: over.value() }),
        _ => None,
    };
    finding.readings.iter().filter_map(lean).collect()
}

/// The latest bow up to `today`, and what it was taken over.
pub(super) fn bowed(finding: &Finding, today: NaiveDate) -> Option<wall::Bowed> {
    let read = latest(finding, "bow", today)?;
    let over = read.over.as_ref().map(|over| over.value());
    Some(wall::Bowed { on: read.on.date, bow: read.measured.length()?.value(), over })
}

pub(super) fn surveys(finding: &Finding) -> Vec<level::FloorSurvey> {
    let survey = |r: &Reading| match (&r.measured, &r.over) {
        (Measured::Profile(profile), Some(over)) => Some(level::FloorSurvey {
            on: r.on.date,
            line: r.at.clone(),
            resolution: r.resolution.as_ref().map(|resolution| resolution.value()),
            deflection: deflection(profile)?,
            over: over.value(),
        }),
        _ => None,
    };
    finding.readings.iter().filter_map(survey).collect()
}

/// The surveys of a finding by named points that can be compared: with the instrument of the last one, since the last repair.
///
/// With them the day of the latest that cannot.
pub(super) fn surveyed_points(finding: &Finding, today: NaiveDate) -> (Vec<Points>, Option<NaiveDate>) {
    let mended = finding.mended.iter().max();
    let taken = until(finding, today).filter_map(|r| match &r.measured {
        Measured::Survey(points) => {
            let since = mended.is_none_or(|mended| r.on > *mended);
            Some(((r.with.as_deref(), since), points_of(r.on, points, r.resolution.as_ref())))
        }
        _ => None,
    });
    let taken: Vec<_> = taken.collect();
    match taken.last() {
        // What was surveyed before a repair is compared no more.
        Some(((_, false), points)) => (Vec::new(), Some(points.on)),
        _ => as_the_last(taken),
    }
}

/// The same of a section.
pub(super) fn surveyed_section(
    property: &Property,
    section: &Name,
    today: NaiveDate,
) -> (Vec<Points>, Option<NaiveDate>) {
    let of = property.level_surveys.iter().filter(|s| s.survey.section.as_ref() == Some(section) && s.on.date <= today);
    let points = |s: &LevelSurvey| points_of(s.on, &s.survey.points, s.survey.resolution.as_ref());
    as_the_last(of.map(|s| (s.survey.with.as_deref(), points(s))).collect())
}

/// Those that were made as the last was, and the day of the latest that was not.
fn as_the_last<T: PartialEq>(mut taken: Vec<(T, Points)>) -> (Vec<Points>, Option<NaiveDate>) {
    let Some(last) = taken.pop() else { return (Vec::new(), None) };
    let (mut same, others): (Vec<_>, Vec<_>) = taken.into_iter().partition(|(how, _)| *how == last.0);
    let apart = others.iter().map(|(_, points)| points.on).max();
    same.push(last);
    (same.into_iter().map(|(_, points)| points).collect(), apart)
}

fn points_of(on: When, points: &[SurveyedPoint], resolution: Option<&Typed<Length>>) -> Points {
    let spot = |of: &SurveyedPoint| Spot {
        name: of.point.clone(),
        height: of.height.as_ref().map(Typed::value),
        at: of.east.as_ref().zip(of.north.as_ref()).map(|(east, north)| [east.value(), north.value()]),
    };
    Points { on: on.date, spots: points.iter().map(spot).collect(), resolution: resolution.map(Typed::value) }
}

/// Middle less the mean of the ends; exact.
pub(super) fn deflection(profile: &Profile) -> Option<Length> {
    let [one, middle, other] = [&profile.one_end, &profile.middle, &profile.other_end].map(|l| l.value().exact());
    let mean = one.checked_add(other)?.checked_div(Exact::integer(2))?;
    Length::from_exact(middle.checked_sub(mean)?)
}

pub(super) fn until(finding: &Finding, today: NaiveDate) -> impl DoubleEndedIterator<Item = &Reading> {
    finding.readings.iter().filter(move |r| r.on.date <= today)
}

pub(super) fn latest<'a>(finding: &'a Finding, quantity: &str, today: NaiveDate) -> Option<&'a Reading> {
    until(finding, today).rev().find(|r| r.measured.quantity() == quantity)
}

pub(super) fn length(finding: &Finding, quantity: &str, today: NaiveDate) -> Option<Length> {
    latest(finding, quantity, today)?.measured.length().map(|l| l.value())
}

pub(super) fn share(finding: &Finding, quantity: &str, today: NaiveDate) -> Option<Share> {
    match &latest(finding, quantity, today)?.measured {
        Measured::Moisture(s) | Measured::Humidity(s) | Measured::FaceShare(s) => Some(s.value()),
        _ => None,
    }
}

pub(super) fn temperature(finding: &Finding, quantity: &str, today: NaiveDate) -> Option<Temperature> {
    match &latest(finding, quantity, today)?.measured {
        Measured::Air(t) => Some(t.value()),
        _ => None,
    }
}

pub(super) fn area(finding: &Finding, quantity: &str, today: NaiveDate) -> Option<Area> {
    match &latest(finding, quantity, today)?.measured {
        Measured::Area(a) | Measured::FreeArea(a) => Some(a.value()),
        _ => None,
    }
}

/// How wet the place was when last looked at.
pub(super) fn wetness(finding: &Finding, today: NaiveDate) -> Option<Water> {
    let read = latest(finding, "water", today).and_then(|r| match r.measured {
        Measured::Water(water) => Some(water),
        _ => None,
    });
    read.or(finding.particulars.water)
}
