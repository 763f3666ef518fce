//! Whether a series of readings grows: the state, the slope with its interval, and what is not yet ruled out.
//!
//! The rule in words (design rule of this program, no published source; the wish for a whole year follows the published
//! monitoring practice that cracks open and close with the season): a series says nothing before it spans 365 days and
//! holds five readings, for half a season looks like steady growth. Then it is *growing* if the two-sided 95 % interval
//! of its slope lies above zero **and** slope × span is over twice the resolution of the gauge, *closing* likewise below
//! zero, and else *no trend shown*, which never means that nothing moves: [`Growth::not_ruled_out`] says how much may.
//!
//! The slope is that of width = a + b t + c sin 2πt + d cos 2πt where such a fit is well founded (see [`Seasonal`]), else
//! of a straight line. Time t is days since the first date / 365.25, lengths are in mm, slopes in mm a year. A fast change
//! does not wait for the year: [`fast_change`].
//!
//! Sources: ordinary least squares with Student's t; Theil 1950 and Sen 1968; Mann 1945 and Kendall 1975.
//!
//! ```
//! use chrono::NaiveDate;
//! use stemwall::trade::trend::{Point, State, growth};
//!
//! let first = NaiveDate::from_ymd_opt(2024, 1, 1).unwrap();
//! let monthly: Vec<Point> = (0..14)
//!     .map(|month| Point { on: first + chrono::Days::new(month * 30), mm: 2.0 + 0.05 * month as f64 })
//!     .collect();
//! assert_eq!(growth(&monthly[..12], 0.1).unwrap().state, State::Insufficient);
//! assert_eq!(growth(&monthly, 0.1).unwrap().state, State::Growing);
//! ```

use chrono::{Datelike, Days, NaiveDate};
use serde::Serialize;
use thiserror::Error;

use super::verdict::{Rule, Standing};

mod fast_change;
#[cfg(test)]
mod laws;
mod least_squares;
mod mann_kendall;
mod pairs;
#[cfg(test)]
mod tests;
mod theil_sen;

pub use fast_change::{FAST_CHANGE_DAYS, FAST_CHANGE_LEAST_MM, FAST_CHANGE_RESOLUTIONS, FastChange, fast_change};
pub use mann_kendall::MannKendall;
pub use theil_sen::TheilSen;

use least_squares::{Fits, LineFit, SeasonalFit};

/// Days from the first reading before a trend is spoken of (design rule of this program, no published source; UK
/// subsidence practice monitors 6 to 12 months, second-hand).
pub const LEAST_SPAN_DAYS: i64 = 365;
/// Readings before a trend is spoken of: quarterly over a year (design rule of this program, no published source).
pub const LEAST_READINGS: usize = 5;
/// Change over the whole span, in resolutions of the gauge, that has to be passed (design rule, no published source).
pub const RESOLUTIONS_OF_CHANGE: f64 = 2.0;
/// Days in the year of every slope.
pub const DAYS_PER_YEAR: f64 = 365.25;
/// A reading beyond this is no length in a house, and squares beyond it would lose the fit.
pub const LARGEST_MM: f64 = 1e9;
/// Readings that [`trend`] still answers for; [`growth`] has no such limit.
pub const MOST_READINGS: usize = 200_000;

pub static STATE: Rule = Rule {
    name: "trend-state",
    says: "insufficient until the readings span 365 days and are five; then growing if the 95 % interval of the slope is above zero \
           and slope times span is over twice the resolution, closing likewise below zero, else no trend shown",
    source: "design rule of this program; the wish for a whole year follows published monitoring practice",
    standing: Standing::Practice,
    scope: "one quantity at one marked point with one gauge; no trend shown does not say that nothing moves; the verdicts of a \
            ledger also ask for three quarters of the year",
    variants: &[],
};

pub static STATISTICS: Rule = Rule {
    name: "trend-statistics",
    says: "slopes and intervals by least squares with Student's t, median slope by Theil and Sen, tendency by Mann and Kendall; years \
           of 365.25 days",
    source: "Theil 1950; Sen 1968 (Journal of the American Statistical Association 63); Mann 1945; Kendall 1975",
    standing: Standing::Memory,
    scope: "readings taken one by one at the same mark; checked against independent libraries",
    variants: &[],
};

/// One reading: civil date and width (or offset, bow, level; signed) in mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Point {
    pub on: NaiveDate,
    pub mm: f64,
}

/// What the record shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// Under a year, or under five readings: never to be read as "not growing".
    Insufficient,
    Growing,
    Closing,
    /// Neither is shown in this record; growth up to [`Growth::not_ruled_out`] is still possible.
    NoTrendShown,
}

impl State {
    /// The word it is written with.
    pub fn word(self) -> &'static str {
        match self {
            State::Insufficient => "insufficient",
            State::Growing => "growing",
            State::Closing => "closing",
            State::NoTrendShown => "no-trend-shown",
        }
    }
}

/// A straight line by least squares: mm a year, mm at the first date, and the slope's 95 % interval (n − 2 degrees of
/// freedom).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Line {
    pub slope: f64,
    pub intercept: f64,
    pub se: f64,
    pub ci_low: f64,
    pub ci_high: f64,
    /// Two-sided p of slope zero; `None` when every width is the same.
    pub p: Option<f64>,
}

/// A line with a yearly wave by least squares: mm a year, the slope's 95 % interval (n − 4 degrees of freedom), and the
/// wave's amplitude in mm.
///
/// Not fitted if widths are all equal, n < 7, the span is under 365.25 days, or the condition number of (1, t, sin, cos)
/// is 1000 or more (readings always at the same season cannot tell a wave from a line).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Seasonal {
    pub slope: f64,
    pub se: f64,
    pub ci_low: f64,
    pub ci_high: f64,
    pub amplitude: f64,
}

/// Where one new reading is expected, with its 95 % prediction interval, mm.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Forecast {
    pub value: f64,
    pub low: f64,
    pub high: f64,
}

/// When a line through the means of dates and widths meets a threshold: with the model's slope, and with the ends of the
/// slope's 95 % interval. `None`: it never gets there, or not within the calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Crossing {
    pub middle: Option<NaiveDate>,
    pub early: Option<NaiveDate>,
    pub late: Option<NaiveDate>,
}

/// What a verdict needs of a series; time and space grow with the number of readings only.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Growth {
    pub state: State,
    /// Number of readings.
    pub n: usize,
    /// Days from the first reading to the last.
    pub span_days: i64,
    /// The day on which the span reaches a year; `None` when it already has.
    pub enough_on: Option<NaiveDate>,
    /// `None` with fewer than three readings or all on one day.
    pub line: Option<Line>,
    pub seasonal: Option<Seasonal>,
    /// Distinct quarters of the calendar year (January to March …) that hold a reading, 1 to 4.
    pub quarters_of_year: u8,
}

impl Growth {
    /// Slope of the model that decides (the seasonal one where there is one), mm a year.
    pub fn slope(&self) -> Option<f64> {
        self.seasonal.map(|s| s.slope).or(self.line.map(|l| l.slope))
    }

    /// 95 % interval of [`Growth::slope`], mm a year.
    pub fn ci(&self) -> Option<(f64, f64)> {
        self.seasonal.map(|s| (s.ci_low, s.ci_high)).or(self.line.map(|l| (l.ci_low, l.ci_high)))
    }

    /// Largest growth a year that the record does not rule out: the upper end of [`Growth::ci`], mm a year. Below zero
    /// when all growth is ruled out. Worth nothing while the state is [`State::Insufficient`], for the season is then
    /// not told apart from growth.
    pub fn not_ruled_out(&self) -> Option<f64> {
        self.ci().map(|(_, high)| high)
    }
}

/// Everything that is printed of a series.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Trend {
    #[serde(flatten)]
    pub growth: Growth,
    pub theil_sen: Option<TheilSen>,
    pub mann_kendall: Option<MannKendall>,
    /// One year (365.25 days) after the last reading, by the seasonal model where there is one, else by the line.
    pub in_one_year: Option<Forecast>,
    pub line_in_one_year: Option<Forecast>,
    /// Only when the state is growing and the line of the model's slope has not passed the threshold at the last date.
    pub threshold_on: Option<Crossing>,
}

/// Why a series cannot be judged. Positions count from 0.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum TrendError {
    #[error("there are no readings")]
    NoReadings,
    #[error("reading {at} is dated before the one ahead of it")]
    DatesGoBack { at: usize },
    #[error("reading {at} is not a finite number")]
    NotFinite { at: usize },
    #[error("reading {at} is beyond {LARGEST_MM} mm")]
    TooLarge { at: usize },
    #[error("the resolution is not a positive length")]
    ResolutionNotPositive,
    #[error("the threshold is not a finite length")]
    ThresholdNotFinite,
    #[error("there are {given} readings, and at most {most} can be worked off")]
    TooMany { given: usize, most: usize },
}

/// Judges a series in one look: state, slope, interval and what is missing, without rank statistics or forecasts.
///
/// `points` in the order read (dates never go back), `resolution_mm` the coarsest resolution of its gauge. Slopes are mm
/// a year of 365.25 days. Errors: [`TrendError`], the first fact that holds.
pub fn growth(points: &[Point], resolution_mm: f64) -> Result<Growth, TrendError> {
    let series = Series::new(points, resolution_mm)?;
    Ok(series.growth(&Fits::of(&series.years, &series.mm)))
}

/// Judges a series as [`growth`] does and adds Theil-Sen, Mann-Kendall, forecasts and the day a threshold is met.
///
/// `threshold_mm` in the units and sign of the readings. Up to [`MOST_READINGS`]; errors as [`growth`].
pub fn trend(points: &[Point], resolution_mm: f64, threshold_mm: Option<f64>) -> Result<Trend, TrendError> {
    if points.len() > MOST_READINGS {
        return Err(TrendError::TooMany { given: points.len(), most: MOST_READINGS });
    }
    if threshold_mm.is_some_and(|mm| !mm.is_finite()) {
        return Err(TrendError::ThresholdNotFinite);
    }
    let series = Series::new(points, resolution_mm)?;
    let fits = Fits::of(&series.years, &series.mm);
    let growth = series.growth(&fits);
    let years_on = series.years[series.years.len() - 1] + 1.0;
    let line_in_one_year = fits.line.as_ref().map(|fit| fit.forecast(years_on));
    let in_one_year = fits.seasonal.as_ref().map(|fit| fit.forecast(years_on)).or(line_in_one_year);
    let fitted = growth.line.is_some();
    let threshold_on = threshold_mm.and_then(|mm| series.crossing(&growth, fits.line.as_ref()?, mm));
    Ok(Trend {
        theil_sen: fitted.then(|| theil_sen::theil_sen(&series.days, &series.mm)).flatten(),
        mann_kendall: fitted.then(|| mann_kendall::mann_kendall(&series.mm)),
        in_one_year,
        line_in_one_year,
        threshold_on,
        growth,
    })
}

/// A series that may be reckoned with: finite lengths, dates that never go back, a resolution.
struct Series {
    first: NaiveDate,
    /// Days since the first date.
    days: Vec<i64>,
    /// The same in years of 365.25 days.
    years: Vec<f64>,
    mm: Vec<f64>,
    quarters_of_year: u8,
    resolution_mm: f64,
}

impl Series {
    fn new(points: &[Point], resolution_mm: f64) -> Result<Series, TrendError> {
        let first = points.first().ok_or(TrendError::NoReadings)?.on;
        if !(resolution_mm > 0.0 && resolution_mm.is_finite()) {
            return Err(TrendError::ResolutionNotPositive);
        }
        let mut quarters = [false; 4];
        let mut before = first;
        for (at, point) in points.iter().enumerate() {
            if !point.mm.is_finite() {
                return Err(TrendError::NotFinite { at });
            }
            if point.mm.abs() > LARGEST_MM {
                return Err(TrendError::TooLarge { at });
            }
            if point.on < before {
                return Err(TrendError::DatesGoBack { at });
            }
            before = point.on;
            quarters[point.on.month0() as usize / 3] = true;
        }
        let days: Vec<i64> = points.iter().map(|p| p.on.signed_duration_since(first).num_days()).collect();
        Ok(Series {
            first,
            years: days.iter().map(|&d| d as f64 / DAYS_PER_YEAR).collect(),
            days,
            mm: points.iter().map(|p| p.mm).collect(),
            quarters_of_year: quarters.iter().map(|&read| u8::from(read)).sum(),
            resolution_mm,
        })
    }

    fn span_days(&self) -> i64 {
        self.days[self.days.len() - 1]
    }

    fn growth(&self, fits: &Fits) -> Growth {
        let span_days = self.span_days();
        let mut growth = Growth {
            state: State::Insufficient,
            n: self.mm.len(),
            span_days,
            enough_on: (span_days < LEAST_SPAN_DAYS)
                .then(|| self.first.checked_add_days(Days::new(LEAST_SPAN_DAYS as u64)))
                .flatten(),
            line: fits.line.as_ref().map(LineFit::summary),
            seasonal: fits.seasonal.as_ref().map(SeasonalFit::summary),
            quarters_of_year: self.quarters_of_year,
        };
        growth.state = self.state(&growth);
        growth
    }

    fn state(&self, growth: &Growth) -> State {
        if growth.span_days < LEAST_SPAN_DAYS || growth.n < LEAST_READINGS {
            return State::Insufficient;
        }
        let (Some(slope), Some((low, high))) = (growth.slope(), growth.ci()) else {
            return State::Insufficient;
        };
        let change = slope * growth.span_days as f64 / DAYS_PER_YEAR;
        let needed = RESOLUTIONS_OF_CHANGE * self.resolution_mm;
        if low > 0.0 && exceeds(change, needed) {
            State::Growing
        } else if high < 0.0 && exceeds(-change, needed) {
            State::Closing
        } else {
            State::NoTrendShown
        }
    }

    /// Days on which lines of the model's slope, through the means of dates and widths, meet `threshold_mm`.
    fn crossing(&self, growth: &Growth, line: &LineFit, threshold_mm: f64) -> Option<Crossing> {
        let (slope, (low, high)) = (growth.slope()?, growth.ci()?);
        let last_years = growth.span_days as f64 / DAYS_PER_YEAR;
        let at_last = line.mean_mm + slope * (last_years - line.mean_years);
        if growth.state != State::Growing || at_last >= threshold_mm {
            return None;
        }
        let met_with = |slope: f64| {
            let years = line.mean_years + (threshold_mm - line.mean_mm) / slope;
            (slope > 0.0).then(|| day_of(self.first, years)).flatten()
        };
        Some(Crossing { middle: met_with(slope), early: met_with(high), late: met_with(low) })
    }
}

/// Whether `value` is over `limit` by more than rounding can explain: a change typed to lie on a limit is not over it.
fn exceeds(value: f64, limit: f64) -> bool {
    value > limit * (1.0 + 1e-9)
}

/// The day in which `years` after `first` falls; a whole number of days missed by rounding only is that day.
fn day_of(first: NaiveDate, years: f64) -> Option<NaiveDate> {
    let days = (years * DAYS_PER_YEAR + 1e-6).floor();
    // Beyond the span of the calendar there is no date to name.
    if !(0.0..1e9).contains(&days) {
        return None;
    }
    first.checked_add_days(Days::new(days as u64))
}
