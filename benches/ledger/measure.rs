//! A figure, its limit, and what it was measured beside.

use std::fmt;
use std::time::Duration;

pub struct Figure {
    what: &'static str,
    value: f64,
    limit: f64,
    at_most: bool,
    ours: String,
    reference: String,
}

impl Figure {
    pub fn at_most(what: &'static str, value: f64, limit: f64) -> Figure {
        Figure { what, value, limit, at_most: true, ours: String::new(), reference: String::new() }
    }

    pub fn at_least(what: &'static str, value: f64, limit: f64) -> Figure {
        Figure { at_most: false, ..Figure::at_most(what, value, limit) }
    }

    pub fn beside(mut self, ours: String, reference: String) -> Figure {
        self.ours = ours;
        self.reference = reference;
        self
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let reached = if self.at_most { self.value <= self.limit } else { self.value >= self.limit };
        let (word, limit) = (if self.at_most { "at most" } else { "at least" }, self.limit);
        let verdict = if reached { "reached" } else { "MISSED" };
        let Figure { what, value, ours, reference, .. } = self;
        write!(f, "{verdict}  {what:<62} {value:>10.2}  ({word} {limit})   {ours} beside {reference}")
    }
}

pub fn ratio(ours: Duration, reference: Duration) -> f64 {
    ours.as_secs_f64() / reference.as_secs_f64()
}

pub fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}
