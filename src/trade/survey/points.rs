//! Heights of named points of a floor, taken more than once.
//!
//! The rule in words: the heights of one day are counted from a level of that day, so two surveys show only how far points moved
//! against each other: the change of each point that has a height in both, the greatest less the least of them. A point that was
//! not reached on one of the days is not compared, and is named. Where every point that has a height has its place east and north
//! too, the plane through them gives the deflection: the range of what is left over it, over the longest distance.
//!
//! Units: [`Length`], exact, but for the plane (nearest). Source: arithmetic of a level survey.
//!
//! ```
//! use chrono::NaiveDate;
//! use stemwall::quantity::Length;
//! use stemwall::trade::survey::points::{Points, Spot, apart};
//!
//! let taken = |year, heights: [&str; 2]| Points {
//!     on: NaiveDate::from_ymd_opt(year, 3, 1).unwrap(),
//!     spots: ["door", "sink"].iter().zip(heights).map(|(name, height)| Spot {
//!         name: (*name).to_owned(), height: Length::parse_signed(height).ok(), at: None,
//!     }).collect(),
//!     resolution: None,
//! };
//! let (first, latest) = (taken(2025, ["0 in", "-0.4 in"]), taken(2026, ["1 in", "0.2 in"]));
//! // The door rose by 1 in, the sink by 0.6 in; how far both rose together is that of the instrument's own level.
//! assert_eq!(apart(&first, &latest).unwrap().by, Length::inches(4, 10));
//! ```

use chrono::NaiveDate;

use super::{Point, survey};
use crate::quantity::Length;

/// One point of a survey.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    pub name: String,
    /// `None` where it was not reached.
    pub height: Option<Length>,
    /// East and north of one corner.
    pub at: Option<[Length; 2]>,
}

/// The points of one day.
#[derive(Debug, Clone, PartialEq)]
pub struct Points {
    pub on: NaiveDate,
    pub spots: Vec<Spot>,
    /// What the instrument tells apart, where it is recorded.
    pub resolution: Option<Length>,
}

/// The two points that moved furthest against each other between two surveys.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart<'a> {
    /// The one that came up against the other.
    pub up: &'a str,
    pub down: &'a str,
    /// By how much; not below zero.
    pub by: Length,
    /// How many points have a height in both.
    pub common: usize,
}

impl Points {
    pub fn height(&self, name: &str) -> Option<Length> {
        self.spots.iter().find(|spot| spot.name == name)?.height
    }

    /// How far one point stands over another; `None` while one of them has no height.
    pub fn over(&self, up: &str, down: &str) -> Option<Length> {
        self.height(up)?.checked_sub(self.height(down)?)
    }

    /// The range of what is left over the plane through its points, and the longest distance; `None` without the places of all
    /// points that have a height, or where they are on one line.
    pub fn deflection(&self) -> Option<(Length, Length)> {
        let measured = self.spots.iter().filter_map(|spot| Some((spot.at, spot.height?)));
        let point = |(at, height): (Option<[Length; 2]>, Length)| {
            let [east, north] = at?;
            Some(Point { x_m: east.to_m(), y_m: north.to_m(), z_mm: height.to_mm() })
        };
        let points: Vec<Point> = measured.map(point).collect::<Option<_>>()?;
        let found = survey(&points, &[]).ok()?;
        Some((Length::nearest(found.residual_range_mm)?, Length::nearest(found.longest_m * 1000.0)?))
    }

    fn measured(&self) -> impl Iterator<Item = (&str, Length)> {
        self.spots.iter().filter_map(|spot| Some((spot.name.as_str(), spot.height?)))
    }
}

/// How far points moved against each other from one survey to a later one; `None` if fewer than two have a height in both.
pub fn apart<'a>(first: &Points, latest: &'a Points) -> Option<Apart<'a>> {
    let change = |(name, height): (&'a str, Length)| Some((name, height.checked_sub(first.height(name)?)?));
    furthest(latest.measured().filter_map(change).collect())
}

/// The highest and the lowest point of one survey.
pub fn highest_over_lowest(of: &Points) -> Option<Apart<'_>> {
    furthest(of.measured().collect())
}

fn furthest(of: Vec<(&str, Length)>) -> Option<Apart<'_>> {
    let most = of.iter().max_by_key(|(_, value)| *value)?;
    // The last of those that are equal, so that two points are named even where none moved.
    let least = of.iter().rev().filter(|(name, _)| *name != most.0).min_by_key(|(_, value)| *value)?;
    Some(Apart { up: most.0, down: least.0, by: most.1.checked_sub(least.1)?, common: of.len() })
}

/// The points of either survey that have no height in one of them.
pub fn not_in_both<'a>(first: &'a Points, latest: &'a Points) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    for spot in first.spots.iter().chain(&latest.spots) {
        let in_both = first.height(&spot.name).is_some() && latest.height(&spot.name).is_some();
        if !in_both && !names.contains(&spot.name.as_str()) {
            names.push(&spot.name);
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    fn taken(heights: &[(&str, &str)]) -> Points {
        let spot = |(name, height): &(&str, &str)| Spot {
            name: (*name).to_owned(),
            height: Length::parse_signed(height).ok(),
            at: None,
        };
        let on = NaiveDate::from_ymd_opt(2026, 1, 1).unwrap();
        Points { on, spots: heights.iter().map(spot).collect(), resolution: None }
    }

    #[test]
    fn what_two_surveys_show_does_not_hang_on_the_level_they_are_counted_from() {
        let first = taken(&[("a", "0 in"), ("b", "-0.3 in"), ("c", "-0.9 in")]);
        // Changes: a -0.1, b +0.1, c -0.4; from -0.4 to +0.1 is 0.5 in.
        let latest = [("a", "-0.1 in"), ("b", "-0.2 in"), ("c", "-1.3 in")];
        // The same, counted from a level 2 in lower.
        let lifted = [("a", "1.9 in"), ("b", "1.8 in"), ("c", "0.7 in")];
        for heights in [latest, lifted] {
            let latest = taken(&heights);
            let found = apart(&first, &latest).unwrap();
            assert_eq!((found.up, found.down, found.by, found.common), ("b", "c", Length::inches(1, 2), 3));
        }
        let same = apart(&first, &first).unwrap();
        assert!(same.by.is_zero() && same.up != same.down);
        let highest = highest_over_lowest(&first).unwrap();
        assert_eq!((highest.up, highest.down, highest.by), ("a", "c", Length::inches(9, 10)));
    }

    #[test]
    fn a_point_that_was_not_reached_is_missing_and_not_zero() {
        let first = taken(&[("a", "-2 in"), ("b", "-2 in"), ("c", "-2 in")]);
        let latest = taken(&[("a", "-2 in"), ("b", "not reached"), ("c", "-2.1 in"), ("d", "0 in")]);
        let found = apart(&first, &latest).unwrap();
        assert_eq!((found.by, found.common), (Length::inches(1, 10), 2), "as zero, b would have risen by 2 in");
        assert_eq!(not_in_both(&first, &latest), ["b", "d"]);
        assert_eq!(
            apart(&first, &taken(&[("a", "0 in"), ("d", "0 in")])),
            None,
            "one point has nothing to move against"
        );
    }

    #[test]
    fn the_plane_through_the_points_gives_the_deflection() {
        // A level survey of nine points over 30 by 40 ft whose residuals range over 0.6667 in; the diagonal is 50 ft.
        let heights = [0.0, -0.3, -0.9, 0.2, 0.1, -0.5, -0.2, -0.2, -0.8];
        let spot = |(at, height): (usize, &f64)| Spot {
            name: at.to_string(),
            height: Length::nearest(height * 25.4),
            at: Some([Length::feet(15 * (at % 3) as i128, 1), Length::feet(20 * (at / 3) as i128, 1)]),
        };
        let mut points = taken(&[]);
        points.spots = heights.iter().enumerate().map(spot).collect();
        let (deflection, over) = points.deflection().unwrap();
        assert!((deflection.to_mm() / 25.4 - 0.6667).abs() < 5e-5, "{deflection:?}");
        assert!((over.to_m() / 0.3048 - 50.0).abs() < 1e-9);
        points.spots[4].at = None;
        assert_eq!(points.deflection(), None, "a point without its place");
        points.spots[4].height = None;
        assert!(points.deflection().is_some(), "it was not reached, so that its place is not asked for");
    }
}
