//! One series of readings as every subject sees it: its coarsest resolution, its growth, a fast change.
//!
//! The rule in words (design rules of this program, no published source): growth is told only from a full year of
//! readings in at least three quarters of the year; a fast change does not wait. The resolution of a series is the
//! coarsest in it. Where none is recorded the finest published one stands in, so that growth is not missed, and "no trend
//! shown" is then not relied on. A level counts as moving whichever way it goes; other quantities when they grow.
//!
//! Units: mm, mm a year of 365.25 days. The arithmetic is that of [`super::trend`].

use std::borrow::Cow;
use std::fmt;

use chrono::{Datelike, Months, NaiveDate};

use super::told::{self, NotKnown};
use super::trend::{
    self, DAYS_PER_YEAR, FAST_CHANGE_DAYS, Growth, LEAST_READINGS, Point, RESOLUTIONS_OF_CHANGE, State, TrendError,
};
use super::verdict::{Band, By, Fired, Rule, Standing, Who};
use super::wording::Wording;
use crate::quantity::Length;

mod statistics;
#[cfg(test)]
pub(super) mod tests;

pub use statistics::{Statistics, statistics};

/// Quarters of the calendar year that have to hold a reading (design rule of this program, no published source; both
/// seasons of extremes have to be in the record).
pub const LEAST_QUARTERS: u8 = 3;

/// The recording precision asked of repeated crack readings, mm: BRE Digest 343 (April 1989), read. Stands in where no
/// resolution is recorded.
pub const ASSUMED_RESOLUTION_MM: f64 = 0.1;

/// What a hand water level or a digital level tells apart, mm: 0.1 in, from memory. Stands in for surveys of a floor.
pub const ASSUMED_SURVEY_MM: f64 = 2.54;

pub static FAST_CHANGE: Rule = Rule {
    name: "fast-change",
    says: "a series that grew by more than the larger of 1 mm and 5 times its resolution within 90 days goes to a licensed \
           structural engineer now",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "one quantity at one marked point with one gauge",
    variants: &[],
};

pub static TREND_GROWING: Rule = Rule {
    name: "trend-growing",
    says: "a series of a full year, five readings and three quarters of the year grows if the 95 % interval of its slope is \
           above zero and slope times span is over twice its resolution",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "one quantity at one marked point with one gauge; a level counts when it moves either way",
    variants: &[],
};

pub static TREND_NOT_ENOUGH: Rule = Rule {
    name: "trend-not-enough",
    says: "with less than a full year, five readings or three quarters of the year nothing is said of growth: read on",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "one quantity at one marked point with one gauge",
    variants: &[],
};

pub static TREND_NOT_SHOWN: Rule = Rule {
    name: "trend-not-shown",
    says: "a full year that shows no trend still leaves some growth a year not ruled out: read on",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "one quantity at one marked point with one gauge",
    variants: &[],
};

pub static TREND_CLOSING: Rule = Rule {
    name: "trend-closing",
    says: "a series of a full year closes by the same measure as one grows: it moves, so it is read on and nothing rigid is filled in",
    source: "design rule of this program; that rigid filler is for cracks at rest follows GSA, Monitoring and Evaluating Cracks in \
             Masonry",
    standing: Standing::Practice,
    scope: "one quantity at one marked point with one gauge; a level that goes down counts as growing",
    variants: &[],
};

/// What a series measures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measured {
    Width,
    Offset,
    CrackLength,
    Bow,
    OutOfPlumb,
    /// Height of a point; signed, and movement either way counts.
    Level,
    /// Of a floor along a line: its middle less the mean of its ends; signed, and movement either way counts.
    Deflection,
    /// How far one point of a floor stands over another; signed, and movement either way counts.
    HeightDifference,
    StepHeight,
    Gap,
}

impl Measured {
    fn word(self) -> &'static str {
        match self {
            Measured::Width => "width",
            Measured::Offset => "offset",
            Measured::CrackLength => "length",
            Measured::Bow => "bow",
            Measured::OutOfPlumb => "out of plumb",
            Measured::Level => "level",
            Measured::Deflection => "deflection",
            Measured::HeightDifference => "height difference",
            Measured::StepHeight => "step height",
            Measured::Gap => "gap",
        }
    }

    fn moves_either_way(self) -> bool {
        matches!(self, Measured::Level | Measured::Deflection | Measured::HeightDifference)
    }

    /// Whether it tells what is asked of `wanted`: a floor's surveys tell of its level.
    fn tells(self, wanted: Measured) -> bool {
        self == wanted || (self.surveyed() && wanted == Measured::Level)
    }

    /// Whether it comes of a survey of the whole floor.
    fn surveyed(self) -> bool {
        matches!(self, Measured::Deflection | Measured::HeightDifference)
    }

    /// The resolution that stands in where none is recorded, mm.
    pub fn assumed_mm(self) -> f64 {
        if self.surveyed() { ASSUMED_SURVEY_MM } else { ASSUMED_RESOLUTION_MM }
    }
}

/// One reading of a series.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    pub on: NaiveDate,
    pub value: Length,
    /// Smallest step the instrument shows; `None` if it was not recorded.
    pub resolution: Option<Length>,
}

/// Readings of one quantity at one marked point with one gauge, in the order taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    pub measured: Measured,
    /// The marked point, if it has a name.
    pub at: Option<String>,
    pub gauge: Option<String>,
    pub taken: Vec<Taken>,
    /// A newer series of the same point took its place without a repair (a re-fixed gauge). Growth it shows still counts;
    /// that it shows none does not.
    pub superseded: bool,
}

/// The coarsest resolution of a series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resolution {
    pub mm: f64,
    /// At least one reading has none recorded.
    pub assumed: bool,
}

impl Series {
    /// The coarsest resolution recorded; the assumed one where there is none at all.
    pub fn resolution(&self) -> Resolution {
        let coarsest = self.taken.iter().filter_map(|t| t.resolution).map(Length::to_mm).filter(|mm| *mm > 0.0);
        Resolution {
            mm: coarsest.reduce(f64::max).unwrap_or(self.measured.assumed_mm()),
            assumed: self.taken.iter().any(|t| t.resolution.is_none_or(|r| r.to_mm() <= 0.0)),
        }
    }

    /// Readings up to and with `today`, mm.
    pub fn points(&self, today: NaiveDate) -> Vec<Point> {
        let known = self.taken.iter().filter(|t| t.on <= today);
        known.map(|t| Point { on: t.on, mm: t.value.to_mm() }).collect()
    }

    /// The latest reading up to `today`.
    pub fn latest(&self, today: NaiveDate) -> Option<&Taken> {
        self.taken.iter().rev().find(|t| t.on <= today)
    }

    /// `width at `north``, or the bare word for a series without a named point.
    fn called(&self) -> Cow<'static, str> {
        match &self.at {
            Some(at) => format!("{} at `{at}`", self.measured.word()).into(),
            None => self.measured.word().into(),
        }
    }
}

/// What all series of one finding say together.
#[derive(Debug, Default)]
pub struct Movement {
    /// Fast changes and growth, which go to an engineer.
    pub moving: Vec<Fired>,
    /// Not enough yet, no trend shown, closing: watched, unless the subject's own rules say otherwise.
    pub quiet: Vec<Fired>,
    /// Of each series of which a trend may be spoken: other statistics and where it would go, for comparison only.
    pub beside: Vec<Fired>,
    /// Every series of the wanted quantity has its full year and shows no trend, and no other series moves.
    pub no_trend_shown: bool,
    /// Largest growth a year not ruled out among them, mm; only with `no_trend_shown`.
    pub not_ruled_out_mm: Option<f64>,
    /// Next day after today on which a series can have enough readings.
    pub enough_on: Option<NaiveDate>,
    pub not_known: Vec<String>,
    /// Day of the latest reading of any series.
    pub latest_on: Option<NaiveDate>,
}

impl Movement {
    /// Takes back that the wanted quantity was never read: it cannot be, for the place is filled.
    pub fn unread(&mut self, wanted: Measured) {
        let (because, says) = (never_read(wanted), format!("{} (never read)", wanted.word()));
        self.quiet.retain(|fired| *fired.because != *because);
        self.not_known.retain(|text| *text != says);
    }

    /// A month after the latest reading, or after the opening where there is none: how soon it is read again while an engineer
    /// is waited for.
    pub fn next_month(&self, opened: NaiveDate) -> NaiveDate {
        let last = self.latest_on.map_or(opened, |day| day.max(opened));
        last.checked_add_months(Months::new(1)).unwrap_or(last)
    }
}

/// Looks at every series of a finding whose main quantity is `wanted`. `next_round` is when the next reading is asked for.
pub fn movement(series: &[Series], wanted: Measured, next_round: NaiveDate, today: NaiveDate) -> Movement {
    let mut all = Movement::default();
    let mut not_known = NotKnown::default();
    let mut closing = false;
    let mut main = Vec::new();
    for one in series {
        let points = one.points(today);
        if points.is_empty() {
            continue;
        }
        all.latest_on = all.latest_on.max(points.last().map(|p| p.on));
        let resolution = one.resolution();
        if resolution.assumed {
            not_known.say(format!("resolution of the gauge for {} (not recorded for every reading)", one.called()));
        }
        all.moving.extend(fast(one, &points, resolution));
        let verdict = match trend::growth(&points, resolution.mm) {
            Ok(growth) => Shown::of(&growth, one, &points),
            Err(error) => Shown::Unreadable(error),
        };
        if let Shown::Moving(because) = &verdict {
            let by = Some(By::Before("any repair"));
            all.moving.push(Fired::new(&TREND_GROWING, Band::Call, Who::StructuralEngineer, by, because.clone()));
        }
        if one.superseded {
            continue;
        }
        closing |= matches!(verdict, Shown::Closing(_));
        if let Shown::NotEnough { enough_on: Some(day), .. } = &verdict
            && *day > today
        {
            all.enough_on = Some(all.enough_on.map_or(*day, |d| d.min(*day)));
        }
        all.quiet.extend(verdict.watched(one, next_round, today));
        if verdict.speaks() {
            all.beside.push(statistics::beside(one, points));
        }
        if one.measured.tells(wanted) {
            main.push((verdict, resolution.assumed));
        }
    }
    if main.is_empty() {
        not_known.say(format!("{} (never read)", wanted.word()));
        let by = Some(By::Date(next_round));
        all.quiet.push(Fired::new(&TREND_NOT_ENOUGH, Band::Watch, Who::Owner, by, never_read(wanted)));
    }
    all.no_trend_shown = !main.is_empty()
        && main.iter().all(|(shown, assumed)| matches!(shown, Shown::Nothing { .. }) && !assumed)
        && all.moving.is_empty()
        && !closing;
    if all.no_trend_shown {
        let limits = main.iter().filter_map(|(shown, _)| match shown {
            Shown::Nothing { not_ruled_out_mm, .. } => Some(*not_ruled_out_mm),
            _ => None,
        });
        all.not_ruled_out_mm = limits.reduce(f64::max);
    }
    all.not_known = not_known.into_list();
    all
}

fn never_read(wanted: Measured) -> String {
    format!("no reading of {} yet", wanted.word())
}

/// What one series shows of a trend.
enum Shown {
    NotEnough { over: Over, enough_on: Option<NaiveDate> },
    Moving(String),
    Closing(String),
    Nothing { not_ruled_out_mm: f64, over: Over },
    Unreadable(TrendError),
}

impl Shown {
    fn of(growth: &Growth, series: &Series, points: &[Point]) -> Shown {
        let interval = growth.slope().zip(growth.ci());
        let Some((slope, (low, high))) = interval.filter(|_| is_enough(growth)) else {
            return Shown::NotEnough { enough_on: enough_on(growth, points), over: Over::of(growth) };
        };
        let over = Over::of(growth);
        let rate = |word: &str| {
            let (rate, low, high) = if slope < 0.0 { (-slope, -high, -low) } else { (slope, low, high) };
            format!("{} {word} {} a year ({low:.2} to {high:.2} mm), {over}", series.called(), told::mm(rate))
        };
        let either_way = series.measured.moves_either_way();
        match growth.state {
            State::Growing if either_way => Shown::Moving(rate("rising")),
            State::Growing => Shown::Moving(rate("growing")),
            State::Closing if either_way => Shown::Moving(rate("going down")),
            State::Closing => Shown::Closing(format!("{}: it moves, and nothing rigid is filled in", rate("closing"))),
            State::NoTrendShown | State::Insufficient => {
                let limit = if either_way { high.max(-low) } else { high };
                // Whatever the interval says, a change under what the rule counts is not seen by this gauge.
                let unseen = RESOLUTIONS_OF_CHANGE * series.resolution().mm / (growth.span_days as f64 / DAYS_PER_YEAR);
                Shown::Nothing { not_ruled_out_mm: limit.max(unseen), over }
            }
        }
    }

    /// Whether a trend may be spoken of.
    fn speaks(&self) -> bool {
        !matches!(self, Shown::NotEnough { .. } | Shown::Unreadable(_))
    }

    /// The rule that asks for another reading, if this state does.
    fn watched(&self, series: &Series, next_round: NaiveDate, today: NaiveDate) -> Option<Fired> {
        let called = series.called();
        let (rule, because) = match self {
            Shown::Moving(_) => return None,
            Shown::NotEnough { over, enough_on } => {
                let (over, enough_on) = (*over, *enough_on);
                let when = move || match enough_on {
                    Some(day) if day > today => {
                        format!("enough on {}, if it is read at least once a season until then", told::day(day))
                    }
                    _ if over.readings + 1 < LEAST_READINGS => format!("at least {LEAST_READINGS} readings are needed"),
                    Some(_) => "the next reading may be enough".to_owned(),
                    None => format!("at least {LEAST_READINGS} readings are needed"),
                };
                let because = move || format!("{called}: not enough yet to say whether it moves, {over}; {}", when());
                (&TREND_NOT_ENOUGH, Wording::later(because))
            }
            Shown::Closing(because) => (&TREND_CLOSING, Wording::from(because.as_str())),
            Shown::Nothing { not_ruled_out_mm, over } => {
                let (limit, over) = (*not_ruled_out_mm, *over);
                let because = move || {
                    let limit = told::mm(limit);
                    format!("{called}: no trend shown, but growth up to {limit} a year not ruled out, {over}")
                };
                (&TREND_NOT_SHOWN, Wording::later(because))
            }
            Shown::Unreadable(error) => (&TREND_NOT_ENOUGH, Wording::from(format!("{called}: {error}"))),
        };
        Some(Fired::new(rule, Band::Watch, Who::Owner, Some(By::Date(next_round)), because))
    }
}

fn is_enough(growth: &Growth) -> bool {
    growth.state != State::Insufficient && growth.quarters_of_year >= LEAST_QUARTERS
}

/// `7 readings over 181 days`.
#[derive(Clone, Copy)]
struct Over {
    readings: usize,
    days: i64,
}

impl Over {
    fn of(growth: &Growth) -> Over {
        Over { readings: growth.n, days: growth.span_days }
    }
}

impl fmt::Display for Over {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let readings = if self.readings == 1 { "reading" } else { "readings" };
        write!(f, "{} {readings} over {} days", self.readings, self.days)
    }
}

/// First day on which a further reading can complete the year and its quarters; `None` if only their number is short.
fn enough_on(growth: &Growth, points: &[Point]) -> Option<NaiveDate> {
    let quarter = quarter_completed_on(points);
    growth.enough_on.into_iter().chain(quarter).max()
}

/// First day of the quarter whose reading makes [`LEAST_QUARTERS`], reading every quarter from the last reading on.
fn quarter_completed_on(points: &[Point]) -> Option<NaiveDate> {
    let quarter_of = |day: NaiveDate| day.month0() as usize / 3;
    let mut read = [false; 4];
    for point in points {
        read[quarter_of(point.on)] = true;
    }
    let missing = usize::from(LEAST_QUARTERS).checked_sub(read.iter().filter(|r| **r).count()).filter(|m| *m > 0)?;
    let last = points.last()?.on;
    let first_of_quarter = last.with_day(1)?.checked_sub_months(Months::new(last.month0() % 3))?;
    let starts = (1..=4).filter_map(|n| first_of_quarter.checked_add_months(Months::new(3 * n)));
    starts.filter(|day| !read[quarter_of(*day)]).nth(missing - 1)
}

fn fast(series: &Series, points: &[Point], resolution: Resolution) -> Option<Fired> {
    let mut found = trend::fast_change(points, resolution.mm);
    let mut verb = if series.measured.moves_either_way() { "came up" } else { "grew" };
    if series.measured.moves_either_way() {
        let falling: Vec<Point> = points.iter().map(|p| Point { on: p.on, mm: -p.mm }).collect();
        let down = trend::fast_change(&falling, resolution.mm);
        if let Some(down) = down.filter(|down| found.as_ref().is_none_or(|up| down.grown_mm >= up.grown_mm)) {
            verb = "went down";
            found = Some(down);
        }
    }
    let fast = found?;
    let assumed = if resolution.assumed { ", resolution not recorded for every reading" } else { "" };
    let within = match fast.to.signed_duration_since(fast.from).num_days() {
        0 => "within a day".to_owned(),
        1 => "in 1 day".to_owned(),
        days => format!("in {days} days"),
    };
    let because = format!(
        "{} {verb} {} {within}, {} to {} (limit within {FAST_CHANGE_DAYS} days: the larger of 1 mm and 5 × {} mm{assumed})",
        series.called(),
        told::mm(fast.grown_mm),
        told::day(fast.from),
        told::day(fast.to),
        resolution.mm,
    );
    Some(Fired::at_once(&FAST_CHANGE, Band::Call, Who::StructuralEngineer, fast.to, because))
}
