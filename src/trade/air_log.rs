//! The air of a place hour by hour, as a logger recorded it: what a record comes to, and what that asks for.
//!
//! The rule in words: rows of one hour are averaged; an hour counts where every column that was named has a figure, and one
//! without is missing, never filled in. Where a surface's temperature is known, the criteria of surfaces are taken there:
//! at a colder one the air's vapour makes a higher humidity, and from 100 % on it condenses. A mean over 30 days is one over 720
//! hours on end of which at most a tenth is missing; the highest of them all is kept. The mould index starts from 0 with the
//! record and stays where it is through missing hours. Wood is taken to settle, hour by hour, at the moisture of the air.
//!
//! A record is made hour by hour in a memory that does not grow. Figures are kept in millionths of a degree or a per cent, so
//! that what was typed meets its limits, whatever the order of the sums.
//!
//! Sources: [`moisture::SURFACE_HUMIDITY`](super::moisture::SURFACE_HUMIDITY), [`mould::MOULD_INDEX`],
//! [`wood::WOOD_EMC`], [`air::AT_SURFACE`]. The tenth that may be missing is a design rule of this program.
//!
//! ```
//! use chrono::NaiveDate;
//! use stemwall::quantity::{Share, Temperature};
//! use stemwall::trade::air_log::{Recorder, Row};
//! let mut recorder = Recorder::new(None);
//! let start = NaiveDate::from_ymd_opt(2026, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap();
//! let row = Row { air: Temperature::celsius(20, 1), humidity: Share::percent(65, 1), surface: None };
//! recorder.take(start, Some(row)).unwrap();
//! assert_eq!(format!("{:.1}", recorder.done().unwrap().wood.to_percent()), "12.0");
//! ```

use std::collections::VecDeque;

use chrono::{NaiveDateTime, TimeDelta, Timelike};

use super::mould::{self, Class};
use super::words::words;
use super::{air, wood};
use crate::quantity::{Exact, Share, Temperature};

#[cfg(test)]
mod tests;
mod verdict;

pub use verdict::{AirLogs, Logged, MOULD_LIMIT, SPEAKS_DAYS, WOOD_SETTLES, verdict};

/// Hours of a 30-day mean.
pub const WINDOW_HOURS: usize = 720;
/// Hours of those that have to be there: design rule of this program, no published source.
pub const LEAST_COUNTED: usize = 648;
/// From here an hour is told as humid: the critical humidity of mould on sensitive materials, Hukka and Viitanen (1999);
/// second-hand.
pub const HUMID: Share = Share::percent(80, 1);
/// More than 22 years of hours; a record that spans more has a slip in its dates.
pub const MOST_HOURS: i64 = 200_000;
/// What a logger in or under a house shows: design rule of this program, no published source.
pub const COLDEST: Temperature = Temperature::celsius(-40, 1);
pub const WARMEST: Temperature = Temperature::celsius(80, 1);

const MILLION: Exact = Exact::integer(1_000_000);
const SATURATED: i64 = 100_000_000;

words! {
    /// The unit of a logger's temperatures.
    Scale { Fahrenheit = "F", Celsius = "C" }
}

/// One row of a logger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    pub air: Temperature,
    pub humidity: Share,
    /// The temperature of a surface beside it, where a probe read one.
    pub surface: Option<Temperature>,
}

/// Why a row cannot join a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum RowError {
    #[error("{at} is before {before} of the row above")]
    ClockFell { at: NaiveDateTime, before: NaiveDateTime },
    #[error("the record spans more than {most} hours")]
    TooLong { most: i64 },
    #[error("the temperature is outside -40 to 80 C (-40 to 176 F)")]
    Temperature,
    #[error("the humidity is outside 0 to 100 %")]
    Humidity,
}

/// Mean, least and most of the hours counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread<Q> {
    pub mean: Q,
    pub least: Q,
    pub most: Q,
}

/// The 30 days on end with the highest mean humidity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Month {
    pub from: NaiveDateTime,
    pub to: NaiveDateTime,
    /// At the surface where one is known, at most 100 % each hour; else of the air.
    pub humidity: Share,
    /// Of the surface, else of the air.
    pub temperature: Temperature,
    /// Mean of what wood settles at, in the air.
    pub wood: Share,
}

/// How near a surface comes to the dew point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// Surface less dew point at its least, kelvin; negative where it condenses.
    pub least_k: f64,
    /// Start of that hour.
    pub at: NaiveDateTime,
    /// Hours in which the air's vapour condenses at the surface.
    pub condensing: u64,
}

/// What a record comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Summary {
    pub from: NaiveDateTime,
    pub to: NaiveDateTime,
    /// Hours counted.
    pub hours: u64,
    pub missing: u64,
    /// How many times hours are missing on end, and the longest of them.
    pub gaps: u64,
    pub longest_gap: u64,
    pub temperature: Spread<Temperature>,
    pub humidity: Spread<Share>,
    /// Hours with the air at [`HUMID`] or above.
    pub humid: u64,
    pub worst: Option<Month>,
    pub mould: [(Class, mould::Index); 4],
    /// Mean of what wood settles at.
    pub wood: Share,
    /// `None`: no surface is known.
    pub margin: Option<Margin>,
}

/// A record in the making.
#[derive(Debug, Clone)]
pub struct Recorder {
    /// How much colder than the air a surface is taken to be, in millionths of a kelvin.
    below: Option<i64>,
    first: Option<NaiveDateTime>,
    last: Option<NaiveDateTime>,
    now: Sums,
    /// Whole hours that are closed, missing ones included.
    closed: i64,
    hours: u64,
    missing: u64,
    gaps: u64,
    gap: u64,
    longest_gap: u64,
    air: Totals,
    humidity: Totals,
    wood: i128,
    humid: u64,
    mould: [mould::Run; 4],
    margin: Option<Margin>,
    window: Window,
}

/// Rows of the hour under way, in millionths.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    rows: i64,
    air: i128,
    humidity: i128,
    surface: i128,
    surfaces: i64,
}

/// Millionths.
#[derive(Debug, Clone, Copy, Default)]
struct Totals {
    sum: i128,
    least: i64,
    most: i64,
}

/// One hour in the window, millionths.
#[derive(Debug, Clone, Copy)]
struct Hour {
    humidity: i64,
    temperature: i64,
    wood: i64,
}

#[derive(Debug, Clone, Default)]
struct Window {
    hours: VecDeque<Option<Hour>>,
    counted: i64,
    humidity: i128,
    temperature: i128,
    wood: i128,
    worst: Option<Worst>,
}

/// Sums of the highest window so far, and the number of closed hours at its end.
#[derive(Debug, Clone, Copy)]
struct Worst {
    end: i64,
    counted: i64,
    humidity: i128,
    temperature: i128,
    wood: i128,
}

impl Recorder {
    /// An empty record. `below` is how many kelvin colder than the air a surface is taken to be, where no probe reads one.
    pub fn new(below: Option<Exact>) -> Recorder {
        Recorder {
            below: below.and_then(millionths),
            first: None,
            last: None,
            now: Sums::default(),
            closed: 0,
            hours: 0,
            missing: 0,
            gaps: 0,
            gap: 0,
            longest_gap: 0,
            air: Totals::default(),
            humidity: Totals::default(),
            wood: 0,
            humid: 0,
            mould: [Class::VerySensitive, Class::Sensitive, Class::Medium, Class::Resistant].map(mould::Run::of),
            margin: None,
            window: Window::default(),
        }
    }

    /// The time of the last row.
    pub fn last(&self) -> Option<NaiveDateTime> {
        self.last
    }

    /// Takes a row, `None` for one without a figure. Errors leave the record as it was.
    pub fn take(&mut self, at: NaiveDateTime, row: Option<Row>) -> Result<(), RowError> {
        if let Some(before) = self.last.filter(|before| at < *before) {
            return Err(RowError::ClockFell { at, before });
        }
        let figures = row.map(figures).transpose()?;
        let first = *self.first.get_or_insert_with(|| start_of_hour(at));
        let hour = (at - first).num_hours();
        if hour >= MOST_HOURS {
            return Err(RowError::TooLong { most: MOST_HOURS });
        }
        while self.closed < hour {
            self.close(first);
        }
        if let Some((air, humidity, surface)) = figures {
            self.now.rows += 1;
            self.now.air += i128::from(air);
            self.now.humidity += i128::from(humidity);
            if let Some(surface) = surface {
                self.now.surfaces += 1;
                self.now.surface += i128::from(surface);
            }
        }
        self.last = Some(at);
        Ok(())
    }

    /// The hour under way is over.
    fn close(&mut self, first: NaiveDateTime) {
        let at = first + TimeDelta::hours(self.closed);
        let now = std::mem::take(&mut self.now);
        self.closed += 1;
        if now.rows == 0 {
            self.missing += 1;
            self.gaps += u64::from(self.gap == 0);
            self.gap += 1;
            self.longest_gap = self.longest_gap.max(self.gap);
            self.mould.iter_mut().for_each(mould::Run::unknown_hour);
            self.window.push(None, self.closed);
            return;
        }
        self.gap = 0;
        let (air, humidity) = (mean(now.air, now.rows), mean(now.humidity, now.rows));
        let probe = (now.surfaces > 0).then(|| mean(now.surface, now.surfaces));
        let surface = probe.or(self.below.map(|below| air - below));
        self.air.add(air, self.hours == 0);
        self.humidity.add(humidity, self.hours == 0);
        self.hours += 1;
        let (air_t, air_h) = (celsius(air), percent(humidity));
        self.humid += u64::from(air_h >= HUMID);
        let at_surface = surface.map_or(humidity, |surface| self.at_surface(at, air_t, air_h, celsius(surface)));
        // Wood and mould are told within their equations' range, which rows are held to.
        let wood = wood::moisture(air_t, air_h).ok().and_then(|wood| millionths(wood.exact())).unwrap_or(0);
        self.wood += i128::from(wood);
        let temperature = surface.unwrap_or(air);
        let (mould_t, mould_h) = (celsius(temperature), percent(at_surface));
        for run in &mut self.mould {
            // A humidity is held to 0 to 100 % here, which is all that is refused.
            let _ = run.hour(mould_t, mould_h);
        }
        self.window.push(Some(Hour { humidity: at_surface, temperature, wood }), self.closed);
    }

    /// Humidity at the surface in an hour, capped at saturation; keeps the least margin to the dew point.
    fn at_surface(&mut self, at: NaiveDateTime, air: Temperature, humidity: Share, surface: Temperature) -> i64 {
        let found = air::surface_humidity(air, humidity, surface).ok();
        let condenses = found.is_some_and(|found| found.condenses);
        if let Some(dew) = air::dew_point(air, humidity).ok().flatten() {
            let least_k = surface.to_celsius() - dew.to_celsius();
            let margin = self.margin.get_or_insert(Margin { least_k, at, condensing: 0 });
            if least_k < margin.least_k {
                (margin.least_k, margin.at) = (least_k, at);
            }
            margin.condensing += u64::from(condenses);
        }
        let exact = found.and_then(|found| millionths(found.humidity.exact()));
        exact.map_or(SATURATED, |humidity| humidity.min(SATURATED))
    }

    /// What the record comes to; `None` if no hour counts.
    pub fn done(mut self) -> Option<Summary> {
        let first = self.first?;
        self.close(first);
        let hours = i64::try_from(self.hours).ok().filter(|hours| *hours > 0)?;
        let [very, sensitive, medium, resistant] = self.mould.each_ref().map(mould::Run::index);
        Some(Summary {
            from: first,
            to: first + TimeDelta::hours(self.closed),
            hours: self.hours,
            missing: self.missing,
            gaps: self.gaps,
            longest_gap: self.longest_gap,
            temperature: self.air.spread(hours, celsius),
            humidity: self.humidity.spread(hours, percent),
            humid: self.humid,
            worst: self.window.worst.map(|worst| worst.month(first)),
            mould: [
                (Class::VerySensitive, very),
                (Class::Sensitive, sensitive),
                (Class::Medium, medium),
                (Class::Resistant, resistant),
            ],
            wood: percent(mean(self.wood, hours)),
            margin: self.margin,
        })
    }
}

impl Totals {
    fn add(&mut self, value: i64, is_first: bool) {
        self.sum += i128::from(value);
        self.least = if is_first { value } else { self.least.min(value) };
        self.most = if is_first { value } else { self.most.max(value) };
    }

    fn spread<Q>(&self, hours: i64, of: fn(i64) -> Q) -> Spread<Q> {
        Spread { mean: of(mean(self.sum, hours)), least: of(self.least), most: of(self.most) }
    }
}

impl Window {
    /// The next hour joins; the one 30 days before leaves.
    fn push(&mut self, hour: Option<Hour>, closed: i64) {
        if self.hours.len() == WINDOW_HOURS
            && let Some(Some(gone)) = self.hours.pop_front()
        {
            self.add(gone, -1);
        }
        self.hours.push_back(hour);
        if let Some(hour) = hour {
            self.add(hour, 1);
        }
        let enough = self.hours.len() == WINDOW_HOURS && self.counted >= LEAST_COUNTED as i64;
        // Means are compared as fractions, so that no rounding decides which is the highest.
        let higher = self
            .worst
            .is_none_or(|worst| self.humidity * i128::from(worst.counted) > worst.humidity * i128::from(self.counted));
        if enough && higher {
            let Window { counted, humidity, temperature, wood, .. } = *self;
            self.worst = Some(Worst { end: closed, counted, humidity, temperature, wood });
        }
    }

    fn add(&mut self, hour: Hour, sign: i64) {
        let sign_wide = i128::from(sign);
        self.counted += sign;
        self.humidity += sign_wide * i128::from(hour.humidity);
        self.temperature += sign_wide * i128::from(hour.temperature);
        self.wood += sign_wide * i128::from(hour.wood);
    }
}

impl Worst {
    fn month(self, first: NaiveDateTime) -> Month {
        let to = first + TimeDelta::hours(self.end);
        Month {
            from: to - TimeDelta::hours(WINDOW_HOURS as i64),
            to,
            humidity: percent(mean(self.humidity, self.counted)),
            temperature: celsius(mean(self.temperature, self.counted)),
            wood: percent(mean(self.wood, self.counted)),
        }
    }
}

fn start_of_hour(at: NaiveDateTime) -> NaiveDateTime {
    at.date().and_hms_opt(at.hour(), 0, 0).unwrap_or(at)
}

/// A row's figures in millionths. Errors where one is beyond what is reckoned with.
fn figures(row: Row) -> Result<(i64, i64, Option<i64>), RowError> {
    let temperature = |t: Temperature| {
        let inside = COLDEST <= t && t <= WARMEST;
        inside.then(|| millionths(t.exact())).flatten().ok_or(RowError::Temperature)
    };
    if row.humidity > Share::percent(100, 1) {
        return Err(RowError::Humidity);
    }
    let humidity = millionths(row.humidity.exact()).ok_or(RowError::Humidity)?;
    Ok((temperature(row.air)?, humidity, row.surface.map(temperature).transpose()?))
}

/// A number in millionths, a half away from zero; `None` where that does not fit.
pub fn millionths(exact: Exact) -> Option<i64> {
    let scaled = exact.checked_mul(MILLION)?;
    let (num, den) = (scaled.numerator(), scaled.denominator());
    let (whole, rest) = (num / den, (num % den).unsigned_abs());
    let away = if rest >= den.unsigned_abs().div_ceil(2) { num.signum() } else { 0 };
    i64::try_from(whole + away).ok()
}

/// A mean in millionths, a half away from zero; `count` is above zero.
fn mean(sum: i128, count: i64) -> i64 {
    let count = i128::from(count);
    let half = if sum < 0 { -count / 2 } else { count / 2 };
    // A mean lies between the values, each of which fits.
    i64::try_from((sum + half) / count).unwrap_or(i64::MAX)
}

fn celsius(millionths: i64) -> Temperature {
    Temperature::from_exact(of_millionths(millionths)).unwrap_or(COLDEST)
}

fn percent(millionths: i64) -> Share {
    Share::from_exact(of_millionths(millionths)).unwrap_or(Share::ZERO)
}

/// The number of so many millionths.
pub fn of_millionths(millionths: i64) -> Exact {
    Exact::ratio(i128::from(millionths), 1_000_000).unwrap_or(Exact::ZERO)
}
