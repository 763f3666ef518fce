//! What stands beside the line that decides: the other statistics of a series, and where it would be if it went on.
//!
//! The rule in words: only of a series of which a trend may be spoken (a full year, five readings, three quarters of the year).
//! All of it is for comparison; the state of the trend alone moves a band. The threshold is the next edge of the damage
//! categories above the last width, from 5 mm on; other quantities have none. Units: mm, mm a year of 365.25 days.

use chrono::NaiveDate;
use serde::Serialize;

use super::{Measured, Series, is_enough};
use crate::quantity::Length;
use crate::trade::crack;
use crate::trade::told;
use crate::trade::trend::{self, Crossing, Point, STATISTICS, State, Trend};
use crate::trade::verdict::Fired;
use crate::trade::wording::Wording;

/// Everything that is reckoned of one series.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Statistics {
    /// `width at `north``.
    pub series: String,
    /// The width whose day is asked for, mm.
    pub threshold_mm: Option<f64>,
    #[serde(flatten)]
    pub trend: Trend,
}

/// The statistics of each series that is still read and of which a trend may be spoken, on `today`.
pub fn statistics(series: &[Series], today: NaiveDate) -> Vec<Statistics> {
    let read = series.iter().filter(|s| !s.superseded);
    read.filter_map(|one| of(&one.called(), one.measured, &one.points(today), one.resolution().mm)).collect()
}

fn of(called: &str, measured: Measured, points: &[Point], resolution_mm: f64) -> Option<Statistics> {
    let threshold_mm = threshold(measured, points.last()?.mm);
    let trend = trend::trend(points, resolution_mm, threshold_mm).ok()?;
    is_enough(&trend.growth).then(|| Statistics { series: called.to_owned(), threshold_mm, trend })
}

/// The next edge from which a width counts among the worse categories.
fn threshold(measured: Measured, last_mm: f64) -> Option<f64> {
    let edges = [crack::CATEGORY_2_TO, crack::CATEGORY_3_TO, crack::CATEGORY_4_TO].map(Length::to_mm);
    edges.into_iter().find(|edge| *edge > last_mm).filter(|_| measured == Measured::Width)
}

/// The same as text, written when it is read.
pub(super) fn beside(one: &Series, points: Vec<Point>) -> Fired {
    let (called, measured, resolution) = (one.called(), one.measured, one.resolution().mm);
    let write = move || match of(&called, measured, &points, resolution) {
        Some(found) => words(&found),
        None => format!("{called}: nothing stands beside the line"),
    };
    Fired::for_comparison(&STATISTICS, Wording::later(write))
}

fn words(found: &Statistics) -> String {
    let trend = &found.trend;
    let mut said = Vec::new();
    said.extend(trend.theil_sen.map(|t| {
        let (slope, low, high) = (told::mm(t.slope), t.ci_low, t.ci_high);
        format!("the median slope of all pairs is {slope} a year ({low:.2} to {high:.2} mm), Theil and Sen")
    }));
    said.extend(trend.mann_kendall.map(|m| {
        let tend = match m.s {
            s if s > 0 => "later readings tend to be larger",
            0 => "later readings are as often larger as smaller",
            _ => "later readings tend to be smaller",
        };
        let p = if m.p < 0.001 { "under 0.001".to_owned() } else { format!("{:.3}", m.p) };
        format!("{tend}, p {p}, Mann and Kendall")
    }));
    said.extend(trend.in_one_year.map(|f| {
        let (value, low, high) = (told::mm(f.value), f.low, f.high);
        format!("if it went on as in this record, one reading a year after the last would be {value} ({low:.2} to {high:.2} mm)")
    }));
    let met = found.threshold_mm.zip(trend.threshold_on).filter(|_| trend.growth.state == State::Growing);
    said.extend(met.map(|(threshold, on)| format!("{} would be met {}", told::mm(threshold), crossed(on))));
    format!("{} beside the line that decides: {}", found.series, said.join("; "))
}

fn crossed(on: Crossing) -> String {
    let named = |day: Option<NaiveDate>| day.map_or_else(|| "never".to_owned(), told::day);
    let middle = on.middle.map_or_else(|| "never".to_owned(), |day| format!("on {}", told::day(day)));
    format!("{middle} (early {}, late {})", named(on.early), named(on.late))
}
