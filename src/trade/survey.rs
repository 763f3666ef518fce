//! The levels of a floor: one profile by three heights, or a survey with its best plane.
//!
//! A profile deflects by its middle less the mean of its ends; the ends tilt by their difference over the length. Through
//! many points goes the plane z = c + a x + b y of least squares on heights; its slope is the tilt, what is left over it the
//! residuals, whose range over the longest distance is the deflection ratio. A profile of a survey deflects most where it
//! departs furthest from the straight line between its ends, drawn over the way walked.
//!
//! ```
//! use stemwall::quantity::Length;
//! use stemwall::trade::survey::profile;
//! let heights = ["0 in", "-1.6 in", "-1.2 in"].map(|z| Length::parse_signed(z).unwrap());
//! let found = profile(Length::feet(30, 1), heights).unwrap();
//! assert_eq!((found.deflection, found.one_in), (Length::inches(-1, 1), Some(360.0)));
//! ```

use thiserror::Error;

use super::verdict::{Rule, Standing};
use crate::quantity::{Exact, Length};

mod fit;
pub mod points;
#[cfg(test)]
mod tests;

/// Departures below this are those of rounding: a profile is then straight, a plane level (mm, and mm in a metre).
const STRAIGHT_MM: f64 = 1e-9;
/// Of two departures nearer to each other than this share neither is the greater one.
const SAME_SHARE: f64 = 1e-9;
/// Points that far from one line, as a share of the longest distance, are on it: no plane can be told from them.
const ON_A_LINE: f64 = 1e-9;
/// Points that a survey may have; the longest distance is found among all pairs.
pub const MOST_POINTS: usize = 10_000;

pub static LEVEL_SURVEY: Rule = Rule {
    name: "level-survey",
    says: "deflection is the middle less the mean of the ends, or the departure from the line between the ends; tilt is that of the \
           ends, or of the plane of least squares; the deflection ratio of a survey is the range of what is left over the longest \
           distance",
    source: "arithmetic of a level survey; to be compared with Texas Section ASCE, Guidelines, Version 2 (2009)",
    standing: Standing::Derived,
    scope: "one survey shows a shape on one day and no movement; coverings of different thickness taken off first",
    variants: &[],
};

pub static COMPARED: Rule = Rule {
    name: "level-surveys-compared",
    says: "a floor whose deflection changed between two surveys of one line, or two points of which moved against each other between \
           two surveys, by more than twice what the instrument tells apart (0.1 in where that is not recorded) is surveyed again in \
           the next round; what it moves a year is the trend's to say",
    source: "design rule of this program; 0.1 in for a hand water level or a digital level is from memory",
    standing: Standing::Practice,
    scope: "one line between the same points, or points marked under one name; coverings of different thickness taken off first",
    variants: &[],
};

/// A profile by three heights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Profile {
    /// Middle less the mean of the ends; below zero it sags.
    pub deflection: Length,
    /// Length over the size of the deflection; `None` where there is none.
    pub one_in: Option<f64>,
    /// Difference of the ends over the length, per cent, without sign.
    pub tilt_pct: f64,
}

/// The profile of heights at one end, in the middle and at the other end, `length` apart (over zero). Exact
/// wherever the numbers fit, else near; `None` if even that does not. Derived.
pub fn profile(length: Length, [one, middle, other]: [Length; 3]) -> Option<Profile> {
    let ends = one.checked_add(other).and_then(|sum| sum.exact().checked_div(Exact::integer(2)));
    let deflection = ends.and_then(|ends| middle.exact().checked_sub(ends)).and_then(Length::from_exact);
    let deflection = deflection.or_else(|| Length::nearest(middle.to_mm() - (one.to_mm() + other.to_mm()) / 2.0))?;
    let rise = other.checked_sub(one).or_else(|| Length::nearest(other.to_mm() - one.to_mm()))?;
    let one_in = (!deflection.is_zero()).then(|| ratio(length, deflection.abs()));
    Some(Profile { deflection, one_in, tilt_pct: ratio(rise.abs(), length) * 100.0 })
}

/// One length over another, exact before it is rounded wherever that fits.
fn ratio(part: Length, whole: Length) -> f64 {
    let exact = part.exact().checked_div(whole.exact());
    exact.map_or_else(|| part.to_mm() / whole.to_mm(), Exact::to_f64)
}

/// A point of a survey: metres east and north, millimetres up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub x_m: f64,
    pub y_m: f64,
    pub z_mm: f64,
}

/// Why a survey has no plane or a profile no line. Positions count from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum SurveyError {
    #[error("a plane needs three points or more")]
    TooFewPoints,
    #[error("there are more than {MOST_POINTS} points")]
    TooManyPoints,
    #[error("all points lie on one line")]
    OnOneLine,
    #[error("profile {profile} has fewer than three points")]
    ShortProfile { profile: usize },
    #[error("profile {profile} names point {point}, and there is none")]
    NoSuchPoint { profile: usize, point: usize },
    #[error("profile {profile} ends where it begins")]
    ClosedProfile { profile: usize },
}

/// A survey with its plane.
#[derive(Debug, Clone, PartialEq)]
pub struct Survey {
    pub tilt_pct: f64,
    /// Where it falls to, degrees clockwise from north; `None` when level.
    pub downhill_deg: Option<f64>,
    /// Heights over the plane, in the order of the points.
    pub residuals_mm: Vec<f64>,
    pub max_abs_residual_mm: f64,
    pub residual_range_mm: f64,
    /// Range of the residuals over the longest distance between two points.
    pub deflection_ratio: f64,
    /// Between two points.
    pub longest_m: f64,
    pub profiles: Vec<Line>,
}

/// One profile of a survey.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Between its ends.
    pub length_m: f64,
    /// The greatest departure from the line between the ends, with its sign.
    pub deflection_mm: f64,
    /// Where in the profile it is, from 0; `None` when straight.
    pub at_point: Option<usize>,
    /// Length over the size of the departure; `None` when straight.
    pub one_in: Option<f64>,
}

/// The plane of a survey and the profiles through its points (three or more each, by position). Errors: [`SurveyError`].
/// Derived; least squares on heights.
pub fn survey(points: &[Point], profiles: &[Vec<usize>]) -> Result<Survey, SurveyError> {
    if points.len() < 3 {
        return Err(SurveyError::TooFewPoints);
    }
    if points.len() > MOST_POINTS {
        return Err(SurveyError::TooManyPoints);
    }
    let plane = fit::plane(points, ON_A_LINE).ok_or(SurveyError::OnOneLine)?;
    let residuals_mm = plane.residuals_mm;
    let (least, most) = residuals_mm.iter().fold((f64::MAX, f64::MIN), |(a, b), r| (a.min(*r), b.max(*r)));
    let slope = plane.east.hypot(plane.north);
    let downhill = (-plane.east).atan2(-plane.north).to_degrees().rem_euclid(360.0);
    Ok(Survey {
        // Millimetres in a metre to per cent.
        tilt_pct: slope / 10.0,
        // Rounding can make a hair west of north 360.
        downhill_deg: (slope >= STRAIGHT_MM).then_some(if downhill < 360.0 { downhill } else { 0.0 }),
        max_abs_residual_mm: most.max(-least),
        residual_range_mm: most - least,
        longest_m: plane.longest_m,
        deflection_ratio: (most - least) / 1000.0 / plane.longest_m,
        residuals_mm,
        profiles: profiles.iter().enumerate().map(|(at, of)| line(at, of, points)).collect::<Result<_, _>>()?,
    })
}

fn line(profile: usize, of: &[usize], points: &[Point]) -> Result<Line, SurveyError> {
    if of.len() < 3 {
        return Err(SurveyError::ShortProfile { profile });
    }
    let point = |at: &usize| points.get(*at).ok_or(SurveyError::NoSuchPoint { profile, point: *at });
    let walked: Vec<&Point> = of.iter().map(point).collect::<Result<_, _>>()?;
    let (first, last) = (walked[0], walked[walked.len() - 1]);
    let apart = |a: &Point, b: &Point| (b.x_m - a.x_m).hypot(b.y_m - a.y_m);
    let mut way = vec![0.0];
    way.extend(walked.windows(2).scan(0.0, |sum, pair| {
        *sum += apart(pair[0], pair[1]);
        Some(*sum)
    }));
    let (length_m, whole) = (apart(first, last), way[way.len() - 1]);
    if length_m == 0.0 {
        return Err(SurveyError::ClosedProfile { profile });
    }
    let rise = |at: usize| walked[at].z_mm - first.z_mm;
    let departs = |at: usize| rise(at) - (last.z_mm - first.z_mm) * way[at] / whole;
    let most = (0..walked.len()).fold(0.0_f64, |most, at| most.max(departs(at).abs()));
    // The first of those that only rounding tells apart.
    let furthest = (0..walked.len()).find(|at| departs(*at).abs() >= most * (1.0 - SAME_SHARE)).unwrap_or(0);
    let deflection = departs(furthest);
    let bent = most > STRAIGHT_MM;
    Ok(Line {
        length_m,
        deflection_mm: if bent { deflection } else { 0.0 },
        at_point: bent.then_some(furthest),
        one_in: bent.then(|| length_m * 1000.0 / deflection.abs()),
    })
}
