//! What a picture shows, before it is drawn.

use chrono::NaiveDate;

/// Days are told from the first of the year 1.
pub fn day(on: NaiveDate) -> f64 {
    use chrono::Datelike;
    f64::from(on.num_days_from_ce())
}

/// What runs from left to right.
#[derive(Debug, Clone, PartialEq)]
pub enum Across {
    /// A number with its name: `years of waiting`.
    Number(String),
    /// Money with its sign in front, and its name.
    Money(String),
    /// Days, see [`day`].
    Days,
}

/// One mark of a picture; the name stands in the legend.
#[derive(Debug, Clone, PartialEq)]
pub enum Layer {
    /// From one height to another, as x, low, high.
    Band {
        name: String,
        points: Vec<(f64, f64, f64)>,
    },
    Line {
        name: String,
        points: Vec<(f64, f64)>,
    },
    /// Points with what they may be off by either way.
    Points {
        name: String,
        points: Vec<(f64, f64, f64)>,
    },
    /// A height that is compared with.
    Level {
        name: String,
        at: f64,
    },
    /// A bar from left to right in a row of its own.
    Bar {
        name: String,
        from: f64,
        to: f64,
    },
    /// A line from top to bottom across all bars.
    Mark {
        name: String,
        at: f64,
    },
}

/// A picture with what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pub title: String,
    /// What it shows, in a sentence, for whoever cannot see it.
    pub says: String,
    pub across: Across,
    /// The name of the heights; empty where rows have names of their own.
    pub up: String,
    /// Whether the heights are money.
    pub money: bool,
    pub layers: Vec<Layer>,
}

impl Picture {
    /// Least and most from left to right.
    pub(super) fn width(&self) -> (f64, f64) {
        let of = |layer: &Layer| match layer {
            Layer::Band { points, .. } | Layer::Points { points, .. } => points.iter().map(|p| p.0).collect(),
            Layer::Line { points, .. } => points.iter().map(|p| p.0).collect(),
            Layer::Level { .. } => Vec::new(),
            Layer::Bar { from, to, .. } => vec![*from, *to],
            Layer::Mark { at, .. } => vec![*at],
        };
        ends(self.layers.iter().flat_map(of))
    }

    /// Least and most from bottom to top; from nothing upwards where nothing is below it.
    pub(super) fn height(&self) -> (f64, f64) {
        let of = |layer: &Layer| match layer {
            Layer::Band { points, .. } => points.iter().flat_map(|p| [p.1, p.2]).collect(),
            Layer::Points { points, .. } => points.iter().flat_map(|p| [p.1 - p.2, p.1 + p.2]).collect(),
            Layer::Line { points, .. } => points.iter().map(|p| p.1).collect(),
            Layer::Level { at, .. } => vec![*at],
            Layer::Bar { .. } | Layer::Mark { .. } => Vec::new(),
        };
        let (least, most) = ends(self.layers.iter().flat_map(of));
        (least.min(0.0), most)
    }

    /// Name, least and most of each bar.
    pub(super) fn bars(&self) -> Vec<(String, f64, f64)> {
        let bar = |layer: &Layer| match layer {
            Layer::Bar { name, from, to } => Some((name.clone(), from.min(*to), from.max(*to))),
            _ => None,
        };
        self.layers.iter().filter_map(bar).collect()
    }
}

fn ends(all: impl Iterator<Item = f64>) -> (f64, f64) {
    let ends = all.filter(|n| n.is_finite()).fold(None, |ends: Option<(f64, f64)>, n| {
        Some(ends.map_or((n, n), |(least, most)| (least.min(n), most.max(n))))
    });
    match ends {
        None => (0.0, 1.0),
        Some((least, most)) if least == most => (least, least + 1.0),
        Some(ends) => ends,
    }
}
