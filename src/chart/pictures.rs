//! The pictures there are.

use chrono::NaiveDate;

use super::picture::{Across, Layer, Picture, day};
use crate::deferral::{Spread, Swing, Waiting};

/// What waiting costs, with the band between two percentiles: the share of each in `spread` decides which, the first and the last.
pub fn waiting(of: &str, waiting: &Waiting, spread: &[Spread]) -> Picture {
    let band = |found: &Spread| Some((found.year as f64, found.quantiles.first()?.1, found.quantiles.last()?.1));
    let ends = spread.first().and_then(|found| Some((found.quantiles.first()?.0, found.quantiles.last()?.0)));
    let (low, high) = ends.map_or((0.0, 0.0), |(low, high)| (low * 100.0, high * 100.0));
    let line = |cost: fn(&crate::deferral::Wait) -> f64| {
        waiting.years.iter().map(|wait| (wait.year as f64, cost(wait))).collect::<Vec<_>>()
    };
    let last = waiting.years.last();
    let total = last.map_or(0.0, |wait| wait.total);
    Picture {
        title: format!("what waiting costs: {of}"),
        says: format!(
            "Expected present cost of waiting, from ${:.0} now to ${total:.0} after {} years; assumed figures.",
            waiting.years.first().map_or(0.0, |wait| wait.total),
            last.map_or(0, |wait| wait.year)
        ),
        across: Across::Number("years of waiting".to_owned()),
        up: "today's money".to_owned(),
        money: true,
        layers: vec![
            Layer::Band {
                name: format!("between the {low:.0}th and {high:.0}th of 100"),
                points: spread.iter().filter_map(band).collect(),
            },
            Layer::Line { name: "expected total".to_owned(), points: line(|wait| wait.total) },
            Layer::Line { name: "of it damage meanwhile".to_owned(), points: line(|wait| wait.damage) },
        ],
    }
}

/// The chance of each stage over the years, stacked.
pub fn occupancy(of: &str, stages: &[String], waiting: &Waiting) -> Picture {
    let band = |(stage, says): (usize, &String)| {
        let points = waiting.years.iter().map(|wait| {
            let below: f64 = wait.stages.iter().take(stage).sum();
            (wait.year as f64, below * 100.0, (below + wait.stages.get(stage).unwrap_or(&0.0)) * 100.0)
        });
        Layer::Band { name: says.clone(), points: points.collect() }
    };
    Picture {
        title: format!("where it may stand: {of}"),
        says: format!("Chance of each of {} stages by year of waiting, by assumed chances.", stages.len()),
        across: Across::Number("years of waiting".to_owned()),
        up: "% chance".to_owned(),
        money: false,
        layers: stages.iter().enumerate().map(band).collect(),
    }
}

/// How far the cost moves with each assumption alone, the largest on top.
pub fn sensitivity(of: &str, year: usize, expected: f64, swings: &[Swing]) -> Picture {
    let bar = |swing: &Swing| Layer::Bar { name: swing.says.clone(), from: swing.at_low, to: swing.at_high };
    let mark = Layer::Mark { name: "expected".to_owned(), at: expected };
    Picture {
        title: format!("what it hangs on: {of}"),
        says: format!("Cost of waiting {year} years with each assumption alone from its low to its high end."),
        across: Across::Money(format!("cost of waiting {year} years, today's money")),
        up: String::new(),
        money: true,
        layers: swings.iter().map(bar).chain([mark]).collect(),
    }
}

/// Which repair in which year: a bar a repair, its name beside it. `rows`: the year from 0, and what stands beside the bar; `left`:
/// how many are not in the plan; `spent`: by year, as it is shown.
pub fn plan(from: &str, years: usize, rows: &[(usize, String)], left: usize, spent: &[String]) -> Picture {
    let bar = |(year, name): &(usize, String)| {
        let from = (year + 1) as f64;
        Layer::Bar { name: name.clone(), from, to: from + 1.0 }
    };
    let mark = |name: &str, at: usize| Layer::Mark { name: name.to_owned(), at: at as f64 };
    Picture {
        title: format!("which repair in which year, from {from}"),
        says: format!(
            "{} repairs in {years} years and {left} after them; spent by year: {}.",
            rows.len(),
            spent.join(", ")
        ),
        across: Across::Number("year of the plan".to_owned()),
        up: String::new(),
        money: false,
        layers: rows.iter().map(bar).chain([mark("the plan begins", 1), mark("the plan ends", years + 1)]).collect(),
    }
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    pub on: NaiveDate,
    pub value: f64,
    /// Smallest step of the instrument, in the unit of the value; drawn half of it either way.
    pub resolution: Option<f64>,
}

/// The readings of one mark with one gauge.
#[derive(Debug, Clone, PartialEq)]
pub struct Readings {
    pub label: String,
    pub read: Vec<Reading>,
}

/// A finding's readings over time, with what they are compared with, a figure and its name, and the days on which something
/// happened to it, such as a repair. `unit` is that of all. Nothing is fitted or smoothed.
pub fn readings(
    title: &str,
    unit: &str,
    series: &[Readings],
    threshold: Option<(f64, &str)>,
    marks: &[(NaiveDate, &str)],
) -> Picture {
    let count: usize = series.iter().map(|series| series.read.len()).sum();
    let all = || series.iter().flat_map(|series| &series.read);
    let span = all().map(|r| r.on).min().zip(all().map(|r| r.on).max());
    let span = span.map_or(String::new(), |(first, last)| format!(" from {first} to {last}"));
    let points = |series: &Readings| {
        let point = |r: &Reading| (day(r.on), r.value, r.resolution.unwrap_or(0.0) / 2.0);
        Layer::Points { name: series.label.clone(), points: series.read.iter().map(point).collect() }
    };
    let happened = |(on, name): &(NaiveDate, &str)| Layer::Mark { name: (*name).to_owned(), at: day(*on) };
    let level = threshold.map(|(at, name)| Layer::Level { name: name.to_owned(), at });
    Picture {
        title: title.to_owned(),
        says: format!("{count} readings{span}, in {unit}."),
        across: Across::Days,
        up: unit.to_owned(),
        money: false,
        layers: series.iter().map(points).chain(level).chain(marks.iter().map(happened)).collect(),
    }
}
