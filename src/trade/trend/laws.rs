//! What holds of every series, whatever its readings.

use chrono::{Days, NaiveDate};
use proptest::collection::vec;
use proptest::prelude::{Strategy, any, prop, prop_assert, prop_assert_eq, proptest};

use super::*;

/// Gaps in days and widths in hundredths of a millimetre: plenty of ties, of days and of widths.
fn plain_series() -> impl Strategy<Value = Vec<Point>> {
    vec((0_u64..120, -400_i32..400), 3..60).prop_map(|readings| {
        let mut on = NaiveDate::from_ymd_opt(2019, 3, 1).unwrap();
        readings
            .into_iter()
            .map(|(gap, hundredths)| {
                on = on + Days::new(gap);
                Point { on, mm: f64::from(hundredths) / 100.0 }
            })
            .collect()
    })
}

fn moved(points: &[Point], days: u64, mm: f64) -> Vec<Point> {
    points.iter().map(|p| Point { on: p.on + Days::new(days), mm: p.mm + mm }).collect()
}

fn mirrored(points: &[Point]) -> Vec<Point> {
    points.iter().map(|p| Point { on: p.on, mm: -p.mm }).collect()
}

/// Equal within a billionth of the slope, or of 1 mm a year where the slope is less.
fn close(a: Option<f64>, b: Option<f64>) -> bool {
    match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= 1e-9 * (1.0 + a.abs()),
        (None, None) => true,
        _ => false,
    }
}

fn slopes(points: &[Point]) -> [Option<f64>; 5] {
    let got = trend(points, 0.1, None).unwrap();
    [
        got.growth.line.map(|l| l.slope),
        got.growth.line.map(|l| l.se),
        got.growth.seasonal.map(|s| s.slope),
        got.growth.seasonal.map(|s| s.se),
        got.theil_sen.map(|t| t.slope),
    ]
}

fn every_number(trend: &Trend) -> Vec<f64> {
    let growth = &trend.growth;
    let mut numbers = Vec::new();
    numbers.extend(growth.line.iter().flat_map(|l| [l.slope, l.intercept, l.se, l.ci_low, l.ci_high]));
    numbers.extend(growth.line.and_then(|l| l.p));
    numbers.extend(growth.seasonal.iter().flat_map(|s| [s.slope, s.se, s.ci_low, s.ci_high, s.amplitude]));
    numbers.extend(trend.theil_sen.iter().flat_map(|t| [t.slope, t.ci_low, t.ci_high]));
    numbers.extend(trend.mann_kendall.iter().flat_map(|m| [m.var, m.z, m.p]));
    let forecasts = trend.in_one_year.iter().chain(&trend.line_in_one_year);
    numbers.extend(forecasts.flat_map(|f| [f.value, f.low, f.high]));
    numbers
}

/// Growth between every two readings within 90 days, looked at one by one.
fn largest_growth(points: &[Point]) -> f64 {
    let mut largest = f64::NEG_INFINITY;
    for (later, to) in points.iter().enumerate() {
        for from in points[..later].iter().filter(|from| (to.on - from.on).num_days() <= 90) {
            largest = largest.max(to.mm - from.mm);
        }
    }
    largest
}

proptest! {
    #[test]
    fn another_calendar_leaves_slopes_as_they_are(points in plain_series(), days in 1_u64..20_000) {
        prop_assert_eq!(slopes(&moved(&points, days, 0.0)), slopes(&points));
    }

    #[test]
    fn another_zero_of_the_gauge_leaves_slopes_as_they_are(points in plain_series(), mm in -50.0..50.0) {
        let (there, here) = (slopes(&moved(&points, 0, mm)), slopes(&points));
        prop_assert!(there.iter().zip(here).all(|(&a, b)| close(a, b)), "{:?} {:?}", there, here);
    }

    #[test]
    fn a_mirrored_series_closes_as_fast_as_it_grew(points in plain_series()) {
        let (there, here) = (trend(&mirrored(&points), 0.1, None).unwrap(), trend(&points, 0.1, None).unwrap());
        prop_assert!(close(there.growth.slope(), here.growth.slope().map(|s| -s)));
        prop_assert!(close(there.growth.ci().map(|c| c.0), here.growth.ci().map(|c| -c.1)));
        prop_assert!(close(there.theil_sen.map(|t| t.slope), here.theil_sen.map(|t| -t.slope)));
        prop_assert_eq!(there.mann_kendall.map(|m| m.s), here.mann_kendall.map(|m| -m.s));
        let opposite = match here.growth.state {
            State::Growing => State::Closing,
            State::Closing => State::Growing,
            same => same,
        };
        prop_assert_eq!(there.growth.state, opposite);
    }

    #[test]
    fn kendalls_score_is_the_rising_pairs_less_the_falling_ones(points in plain_series()) {
        let Some(got) = trend(&points, 0.1, None).unwrap().mann_kendall else { return Ok(()) };
        let mut score = 0;
        for (later, to) in points.iter().enumerate() {
            for from in &points[..later] {
                score += i64::from(to.mm > from.mm) - i64::from(to.mm < from.mm);
            }
        }
        prop_assert_eq!(got.s, score);
    }

    #[test]
    fn theil_sen_is_the_same_counted_or_written_out(points in plain_series()) {
        let days: Vec<i64> = points.iter().map(|p| (p.on - points[0].on).num_days()).collect();
        let mm: Vec<f64> = points.iter().map(|p| p.mm).collect();
        let written = theil_sen::theil_sen_writing_out(&days, &mm, usize::MAX);
        let counted = theil_sen::theil_sen_writing_out(&days, &mm, 0);
        prop_assert!(close(written.map(|t| t.slope), counted.map(|t| t.slope)), "{:?} {:?}", written, counted);
        prop_assert!(close(written.map(|t| t.ci_low), counted.map(|t| t.ci_low)));
        prop_assert!(close(written.map(|t| t.ci_high), counted.map(|t| t.ci_high)));
    }

    #[test]
    fn fast_change_is_the_largest_growth_of_any_two_readings_within_ninety_days(points in plain_series()) {
        let largest = largest_growth(&points);
        match fast_change(&points, 0.1) {
            Some(change) => {
                prop_assert_eq!(change.grown_mm, largest);
                prop_assert!(largest > 1.0 && (change.to - change.from).num_days() <= 90);
            }
            None => prop_assert!(largest <= 1.0 + 1e-9),
        }
    }

    #[test]
    fn no_input_makes_it_panic_or_answer_no_number(
        readings in vec((any::<i32>(), prop::num::f64::ANY), 0..20),
        resolution in prop::num::f64::ANY,
        threshold in prop::option::of(prop::num::f64::ANY),
        in_order in any::<bool>(),
        tame in any::<bool>(),
    ) {
        let epoch = NaiveDate::from_ymd_opt(2000, 1, 1).unwrap();
        let mut points: Vec<Point> = readings
            .into_iter()
            .map(|(days, mm)| Point {
                on: epoch + chrono::TimeDelta::days(i64::from(days) / 25),
                mm: if tame && (mm.is_nan() || mm.abs() > LARGEST_MM) { LARGEST_MM } else { mm },
            })
            .collect();
        if in_order {
            points.sort_by_key(|p| p.on);
        }
        fast_change(&points, resolution);
        let resolution = if tame { 0.1 } else { resolution };
        if let Ok(got) = trend(&points, resolution, threshold.filter(|mm| mm.is_finite())) {
            let numbers = every_number(&got);
            prop_assert!(numbers.iter().all(|x| x.is_finite()), "{:?}", got);
            prop_assert_eq!(growth(&points, resolution).unwrap(), got.growth);
        }
    }
}
