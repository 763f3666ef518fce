//! A change too fast to wait for a year of readings.
//!
//! The rule: one series grew by more than the larger of 1 mm and 5 × its resolution within 90 days. Design rule of this
//! program, no published source; it exists because the trend says nothing before a year has passed.

use std::collections::VecDeque;

use chrono::NaiveDate;
use serde::Serialize;

use super::{Point, exceeds};

/// Days within which the growth has to lie, both readings' days counted as they stand (day 0 and day 90 are within).
pub const FAST_CHANGE_DAYS: i64 = 90;
/// Growth that has to be passed, mm, where the gauge is fine.
pub const FAST_CHANGE_LEAST_MM: f64 = 1.0;
/// Growth that has to be passed, in resolutions, where the gauge is coarse.
pub const FAST_CHANGE_RESOLUTIONS: f64 = 5.0;

/// The two readings between which a series grew most within 90 days, and by how much.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct FastChange {
    pub from: NaiveDate,
    pub to: NaiveDate,
    pub grown_mm: f64,
}

/// The largest growth within 90 days, if it is more than the rule allows; the earliest of equals.
///
/// Dates must not go back (see [`super::growth`], which tells). Readings that are not finite are passed over. A
/// resolution that is no number leaves the limit at 1 mm, for a fast change must not go unseen over a bad gauge.
pub fn fast_change(points: &[Point], resolution_mm: f64) -> Option<FastChange> {
    let limit = FAST_CHANGE_LEAST_MM.max(FAST_CHANGE_RESOLUTIONS * resolution_mm);
    // Readings of the last 90 days that may be the smallest for a reading to come, ascending.
    let mut smallest: VecDeque<&Point> = VecDeque::new();
    let mut largest: Option<FastChange> = None;
    for point in points.iter().filter(|p| p.mm.is_finite()) {
        while smallest.front().is_some_and(|p| point.on.signed_duration_since(p.on).num_days() > FAST_CHANGE_DAYS) {
            smallest.pop_front();
        }
        if let Some(least) = smallest.front() {
            let grown_mm = point.mm - least.mm;
            if exceeds(grown_mm, limit) && largest.is_none_or(|l| grown_mm > l.grown_mm) {
                largest = Some(FastChange { from: least.on, to: point.on, grown_mm });
            }
        }
        // Of equals the later one stays longer in the window, and tells the shorter time.
        while smallest.back().is_some_and(|p| p.mm >= point.mm) {
            smallest.pop_back();
        }
        smallest.push_back(point);
    }
    largest
}

#[cfg(test)]
mod tests {
    use chrono::Days;

    use super::*;

    fn series(readings: &[(u64, f64)]) -> Vec<Point> {
        let first = NaiveDate::from_ymd_opt(2024, 2, 1).expect("a date");
        readings.iter().map(|&(days, mm)| Point { on: first + Days::new(days), mm }).collect()
    }

    fn grown(readings: &[(u64, f64)], resolution_mm: f64) -> Option<f64> {
        fast_change(&series(readings), resolution_mm).map(|change| change.grown_mm)
    }

    #[test]
    fn exactly_one_millimetre_is_not_more_than_one_millimetre() {
        assert_eq!(grown(&[(0, 2.0), (30, 3.0)], 0.1), None);
        assert_eq!(grown(&[(0, 2.0), (30, 3.001)], 0.1), Some(3.001 - 2.0));
        // 1 mm as typed, though each difference of the binary fractions is a little over it.
        for (first, then) in [(1.2, 2.2), (1.7, 2.7), (3.4, 4.4), (7.8, 8.8)] {
            assert!(then - first > 1.0);
            assert_eq!(grown(&[(0, first), (30, then)], 0.1), None, "{first} to {then}");
        }
    }

    #[test]
    fn a_coarse_gauge_has_to_move_by_more_than_five_of_its_steps() {
        assert_eq!(grown(&[(0, 2.0), (30, 4.5)], 0.5), None);
        assert_eq!(grown(&[(0, 2.0), (30, 4.6)], 0.5), Some(4.6 - 2.0));
        // 0.2 mm: five steps are the 1 mm itself.
        assert_eq!(grown(&[(0, 2.0), (30, 3.0)], 0.2), None);
    }

    #[test]
    fn ninety_days_are_within_and_ninety_one_are_not() {
        assert_eq!(grown(&[(0, 2.0), (90, 4.0)], 0.1), Some(2.0));
        assert_eq!(grown(&[(0, 2.0), (91, 4.0)], 0.1), None);
    }

    #[test]
    fn the_largest_growth_is_told_with_its_days_wherever_it_lies() {
        let points = series(&[(0, 3.0), (10, 2.0), (20, 2.6), (80, 3.5), (100, 3.9), (101, 3.0), (300, 3.2)]);
        // From day 10 to day 100, 90 days: 1.9 mm.
        let change = fast_change(&points, 0.1).expect("it grew");
        assert_eq!((change.from, change.to), (points[1].on, points[4].on));
        assert_eq!(change.grown_mm, 3.9 - 2.0);
    }

    #[test]
    fn closing_and_single_readings_are_no_growth() {
        assert_eq!(grown(&[], 0.1), None);
        assert_eq!(grown(&[(0, 9.0)], 0.1), None);
        assert_eq!(grown(&[(0, 9.0), (5, 2.0)], 0.1), None);
    }

    #[test]
    fn readings_or_a_resolution_that_are_no_number_hide_no_fast_change() {
        assert_eq!(grown(&[(0, 2.0), (5, f64::NAN), (10, 4.0)], 0.1), Some(2.0));
        assert_eq!(grown(&[(0, 2.0), (10, 4.0)], f64::NAN), Some(2.0));
    }
}
