//! Reference rows, worked series, and both sides of every limit.

use chrono::{Days, NaiveDate};
use serde_json::Value;

use super::*;

/// 42 series with statsmodels 0.15.0 (least squares, t intervals, prediction intervals), scipy 1.17.1 (Theil-Sen with
/// method "separate"; its line agreed with statsmodels) and pymannkendall 1.4.3, on numpy 2.4.6. `state` is not among
/// the columns: it follows from them by the rule.
const REFERENCE: &str = include_str!("../../../tests/reference/crack_trend.json");

/// Within 1e-7 of the value, or 1e-9 (p: 1e-7) where that is more. `None` is "no value" and never zero.
#[track_caller]
fn same(id: &str, what: &str, got: Option<f64>, want: &Value) {
    let absolute = if what.ends_with("_p") { 1e-7 } else { 1e-9 };
    match (got, want.as_f64()) {
        (Some(got), Some(want)) => {
            assert!((got - want).abs() <= absolute + 1e-7 * want.abs(), "{id} {what}: {got} is not {want}")
        }
        (None, None) => {}
        (got, want) => panic!("{id} {what}: {got:?} is not {want:?}"),
    }
}

fn points_of(input: &Value) -> Vec<Point> {
    let dates = input["dates"].as_array().unwrap();
    let widths = input["width_mm"].as_array().unwrap();
    assert_eq!(dates.len(), widths.len());
    dates
        .iter()
        .zip(widths)
        .map(|(on, mm)| Point { on: on.as_str().unwrap().parse().unwrap(), mm: mm.as_f64().unwrap() })
        .collect()
}

#[test]
fn reference_series_come_out_as_independent_libraries_have_them() {
    let rows: Vec<Value> = serde_json::from_str(REFERENCE).unwrap();
    assert_eq!(rows.len(), 42);
    assert!(rows.iter().any(|row| row["out"]["seasonal"].is_null()), "no row without a season");
    assert!(rows.iter().any(|row| row["out"]["ols_p"].is_null()), "no row of equal widths");
    for row in &rows {
        let (id, out) = (row["id"].as_str().unwrap(), &row["out"]);
        let points = points_of(&row["in"]);
        let resolution = row["in"]["resolution_mm"].as_f64().unwrap();
        let got = trend(&points, resolution, None).unwrap();
        let line = got.growth.line.unwrap();
        let (theil_sen, kendall) = (got.theil_sen.unwrap(), got.mann_kendall.unwrap());
        let in_a_year = got.line_in_one_year.unwrap();
        let columns = [
            ("ols_slope", Some(line.slope)),
            ("ols_intercept", Some(line.intercept)),
            ("ols_se", Some(line.se)),
            ("ols_ci_low", Some(line.ci_low)),
            ("ols_ci_high", Some(line.ci_high)),
            ("ols_p", line.p),
            ("pred_mean", Some(in_a_year.value)),
            ("pred_low", Some(in_a_year.low)),
            ("pred_high", Some(in_a_year.high)),
            ("ts_slope", Some(theil_sen.slope)),
            ("ts_ci_low", Some(theil_sen.ci_low)),
            ("ts_ci_high", Some(theil_sen.ci_high)),
            ("mk_s", Some(kendall.s as f64)),
            ("mk_var_s", Some(kendall.var)),
            ("mk_z", Some(kendall.z)),
            ("mk_p", Some(kendall.p)),
        ];
        for (what, got) in columns {
            same(id, what, got, &out[what]);
        }
        let (seasonal, in_one_year) = (got.growth.seasonal, got.in_one_year.unwrap());
        if out["seasonal"].is_null() {
            assert_eq!(seasonal, None, "{id}");
            assert_eq!(got.in_one_year, got.line_in_one_year, "{id}");
        } else {
            let seasonal = seasonal.unwrap_or_else(|| panic!("{id} has a season"));
            let columns = [
                ("slope", seasonal.slope),
                ("se", seasonal.se),
                ("ci_low", seasonal.ci_low),
                ("ci_high", seasonal.ci_high),
                ("amplitude", seasonal.amplitude),
                ("pred_mean", in_one_year.value),
                ("pred_low", in_one_year.low),
                ("pred_high", in_one_year.high),
            ];
            for (what, got) in columns {
                same(id, what, Some(got), &out["seasonal"][what]);
            }
        }
        assert_eq!(got.growth.state, state_by_the_columns(out, resolution), "{id}");
        assert_eq!(growth(&points, resolution).unwrap(), got.growth, "{id}");
    }
}

/// The rule, from the reference's columns alone.
fn state_by_the_columns(out: &Value, resolution: f64) -> State {
    let number = |value: &Value| value.as_f64().unwrap();
    let span = number(&out["span_years"]);
    if span * 365.25 < 364.5 || number(&out["n"]) < 5.0 {
        return State::Insufficient;
    }
    let season = &out["seasonal"];
    let [slope, low, high] = match season.is_null() {
        true => ["ols_slope", "ols_ci_low", "ols_ci_high"].map(|what| number(&out[what])),
        false => ["slope", "ci_low", "ci_high"].map(|what| number(&season[what])),
    };
    match slope.abs() * span > 2.0 * resolution {
        true if low > 0.0 => State::Growing,
        true if high < 0.0 => State::Closing,
        _ => State::NoTrendShown,
    }
}

#[test]
fn theil_sen_by_counting_agrees_with_the_reference_too() {
    let rows: Vec<Value> = serde_json::from_str(REFERENCE).unwrap();
    for row in &rows {
        let (id, out) = (row["id"].as_str().unwrap(), &row["out"]);
        let points = points_of(&row["in"]);
        let days: Vec<i64> = points.iter().map(|p| (p.on - points[0].on).num_days()).collect();
        let mm: Vec<f64> = points.iter().map(|p| p.mm).collect();
        let got = theil_sen::theil_sen_writing_out(&days, &mm, 0).unwrap();
        same(id, "ts_slope", Some(got.slope), &out["ts_slope"]);
        same(id, "ts_ci_low", Some(got.ci_low), &out["ts_ci_low"]);
        same(id, "ts_ci_high", Some(got.ci_high), &out["ts_ci_high"]);
    }
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// Readings on days counted from 1 January 2023.
fn series(readings: &[(u64, f64)]) -> Vec<Point> {
    readings.iter().map(|&(days, mm)| Point { on: day("2023-01-01") + Days::new(days), mm }).collect()
}

const DORMANT: [f64; 13] = [2.32, 2.23, 2.16, 2.04, 1.83, 1.74, 1.73, 1.70, 1.87, 1.99, 2.18, 2.24, 2.31];
const GROWING: [f64; 13] = [2.32, 2.28, 2.26, 2.19, 2.03, 1.99, 2.03, 2.05, 2.27, 2.44, 2.68, 2.79, 2.91];

/// On the first of each month from January 2024: thirteen readings span 366 days.
fn monthly(mm: &[f64]) -> Vec<Point> {
    let first = day("2024-01-01");
    mm.iter().zip(0..).map(|(&mm, month)| Point { on: first + chrono::Months::new(month), mm }).collect()
}

/// The worked series with a season of ±0.3 mm: over its first seven months a line is "significant" at t = −11.53.
#[test]
fn half_a_season_of_steady_closing_is_insufficient() {
    let got = growth(&monthly(&DORMANT[..7]), 0.1).unwrap();
    assert_eq!((got.state, got.n, got.span_days), (State::Insufficient, 7, 182));
    assert_eq!(got.enough_on, Some(day("2024-12-31")));
    assert_eq!((got.seasonal, got.quarters_of_year), (None, 3));
    let line = got.line.unwrap();
    assert!(line.ci_high < 0.0 && line.slope / line.se < -11.0, "{line:?}");
}

#[test]
fn a_full_year_of_the_same_season_shows_no_trend_and_says_what_is_not_ruled_out() {
    let got = growth(&monthly(&DORMANT), 0.1).unwrap();
    assert_eq!((got.state, got.enough_on, got.quarters_of_year), (State::NoTrendShown, None, 4));
    // By hand with t in twelfths: 0.0011 + 2.262 × 0.0352 = 0.0807; the calendar's uneven months move it a little.
    assert!((got.not_ruled_out().unwrap() - 0.0807).abs() < 0.01, "{got:?}");
}

#[test]
fn a_crack_growing_by_0_6_mm_a_year_under_a_season_is_growing() {
    let got = growth(&monthly(&GROWING), 0.1).unwrap();
    assert_eq!(got.state, State::Growing);
    // With t in exact twelfths the worked slope is 0.6011, standard error 0.0352; dates are not exact twelfths.
    let (slope, seasonal) = (got.slope().unwrap(), got.seasonal.unwrap());
    assert!((slope - 0.6011).abs() < 0.01 && (seasonal.se - 0.0352).abs() < 0.003, "{seasonal:?}");
    assert_eq!(got.ci(), Some((seasonal.ci_low, seasonal.ci_high)));
}

/// Worked: days 0, 90, 180, 270, 360; slope 0.12175 mm a year, t = 3.354 on 3 degrees of freedom (3.182 would do).
#[test]
fn a_quarterly_series_of_360_days_is_insufficient_and_over_a_year_shows_no_trend() {
    let mm = [2.00, 2.05, 2.02, 2.11, 2.12];
    let every = |days: u64| series(&[0, 1, 2, 3, 4].map(|k| (k * days, mm[k as usize])));
    let got = growth(&every(90), 0.1).unwrap();
    let line = got.line.unwrap();
    assert!((line.slope - 0.12175).abs() < 5e-6 && (line.slope / line.se - 3.354).abs() < 5e-4, "{line:?}");
    assert_eq!((got.state, got.enough_on), (State::Insufficient, Some(day("2024-01-01"))));
    // The same widths over 368 days: t is the same, but 0.12 mm in all is under 2 × 0.1 mm.
    let got = growth(&every(92), 0.1).unwrap();
    assert!(got.ci().unwrap().0 > 0.0);
    assert_eq!(got.state, State::NoTrendShown);
}

#[test]
fn a_trend_is_spoken_of_from_365_days_and_five_readings_on() {
    let grown = |days: [u64; 5]| series(&days.map(|d| (d, 1.0 + d as f64 / 100.0)));
    let short = growth(&grown([0, 100, 200, 300, 364]), 0.1).unwrap();
    assert_eq!((short.state, short.enough_on), (State::Insufficient, Some(day("2024-01-01"))));
    let enough = growth(&grown([0, 100, 200, 300, 365]), 0.1).unwrap();
    assert_eq!((enough.state, enough.enough_on), (State::Growing, None));
    let four = growth(&grown([0, 100, 200, 300, 365])[1..], 0.1).unwrap();
    assert_eq!(four.state, State::Insufficient);
    let four = growth(&series(&[(0, 1.0), (200, 3.0), (400, 5.0), (600, 7.0)]), 0.1).unwrap();
    assert_eq!((four.state, four.enough_on), (State::Insufficient, None));
    assert!(four.line.is_some());
}

/// Steady growth of exactly 0.2 mm is twice a resolution of 0.1 mm, not over it, however binary fractions fall.
#[test]
fn change_has_to_be_over_twice_the_resolution() {
    let steady = |total: f64| series(&[0, 1, 2, 3, 4].map(|k| (k * 100, 1.1 + total * k as f64 / 4.0)));
    assert_eq!(growth(&steady(0.2), 0.1).unwrap().state, State::NoTrendShown);
    assert_eq!(growth(&steady(0.201), 0.1).unwrap().state, State::Growing);
    assert_eq!(growth(&steady(-0.2), 0.1).unwrap().state, State::NoTrendShown);
    assert_eq!(growth(&steady(-0.201), 0.1).unwrap().state, State::Closing);
    // As typed, in hundredths: every start from 0.00 mm to 3.99 mm, where binary fractions fall to either side.
    for start in 0..400 {
        let typed = series(&[0, 1, 2, 3, 4].map(|k| (k * 100, (start + 5 * k) as f64 / 100.0)));
        assert_eq!(growth(&typed, 0.1).unwrap().state, State::NoTrendShown, "from {start} hundredths");
    }
    // 1/64 in and steady growth of 2/64 in, as they convert.
    let inches = |k: f64| 25.4 * (3.0 + k / 128.0) / 16.0;
    let typed = series(&[0, 1, 2, 3, 4].map(|k| (k * 100, inches(k as f64 * 16.0))));
    assert_eq!(growth(&typed, 25.4 / 64.0).unwrap().state, State::NoTrendShown);
}

#[test]
fn season_is_fitted_from_seven_readings_and_366_days_on() {
    let waves = |days: &[u64]| {
        let readings: Vec<(u64, f64)> = days.iter().map(|&d| (d, 2.0 + 0.3 * (d as f64 / 58.0).sin())).collect();
        growth(&series(&readings), 0.1).unwrap().seasonal
    };
    assert!(waves(&[0, 60, 120, 180, 240, 300, 366]).is_some());
    assert_eq!(waves(&[0, 60, 120, 180, 240, 300, 365]), None);
    assert_eq!(waves(&[0, 60, 120, 180, 240, 366]), None);
    // Seven years, always within the same two weeks: a wave cannot be told from a level.
    assert_eq!(waves(&[0, 365, 731, 1096, 1461, 1826, 2192]), None);
}

#[test]
fn equal_widths_have_no_slope_no_error_and_no_p() {
    let got = trend(&series(&[0, 61, 122, 183, 244, 305, 366].map(|d| (d, 0.1))), 0.01, Some(0.5)).unwrap();
    let line = got.growth.line.unwrap();
    assert_eq!((line.slope, line.se, line.intercept, line.p), (0.0, 0.0, 0.1, None));
    assert_eq!((got.growth.state, got.growth.seasonal), (State::NoTrendShown, None));
    assert_eq!(got.mann_kendall, Some(MannKendall { s: 0, var: 0.0, z: 0.0, p: 1.0 }));
    assert_eq!(got.threshold_on, None);
}

#[test]
fn two_readings_or_a_single_day_have_no_line_and_nothing_else() {
    for few in [series(&[(0, 1.0)]), series(&[(0, 1.0), (500, 9.0)]), series(&[(3, 1.0), (3, 1.1), (3, 1.2)])] {
        let got = trend(&few, 0.1, Some(10.0)).unwrap();
        assert_eq!((got.growth.state, got.growth.line, got.growth.seasonal), (State::Insufficient, None, None));
        assert_eq!((got.theil_sen, got.mann_kendall), (None, None));
        assert_eq!((got.in_one_year, got.line_in_one_year, got.threshold_on), (None, None, None));
        assert_eq!(got.growth.slope(), None);
    }
}

/// 0.01 mm a day from 1 mm: 6 mm are met on day 500, 3.005 mm in day 200.
#[test]
fn threshold_is_met_where_the_line_through_the_means_meets_it() {
    let points = series(&[0, 100, 200, 300, 400].map(|d| (d, 1.0 + d as f64 / 100.0)));
    let at = |mm: f64| trend(&points, 0.1, Some(mm)).unwrap().threshold_on;
    let on = Some(day("2023-01-01") + Days::new(500));
    assert_eq!(at(6.0), Some(Crossing { middle: on, early: on, late: on }));
    assert_eq!(at(6.005).unwrap().middle, on);
    assert_eq!(at(4.9), None, "the line has passed it");
    assert_eq!(at(1e9), Some(Crossing { middle: None, early: None, late: None }), "beyond the calendar");

    let closing = series(&[0, 100, 200, 300, 400].map(|d| (d, 9.0 - d as f64 / 100.0)));
    assert_eq!(trend(&closing, 0.1, Some(20.0)).unwrap().threshold_on, None);
}

#[test]
fn early_and_late_days_are_those_of_the_ends_of_the_interval() {
    let points = series(&[(0, 1.0), (100, 2.1), (200, 2.9), (300, 4.1), (400, 4.9)]);
    let got = trend(&points, 0.1, Some(10.0)).unwrap();
    let crossing = got.threshold_on.unwrap();
    // Means: day 200 and 3.0 mm; 7 mm are still to go at so many mm a year.
    let on = |slope: f64| Some(day("2023-01-01") + Days::new((200.0 + 7.0 / slope * 365.25) as u64));
    let (low, high) = got.growth.ci().unwrap();
    assert_eq!(crossing, Crossing { middle: on(got.growth.slope().unwrap()), early: on(high), late: on(low) });
    assert!(crossing.early < crossing.middle && crossing.middle < crossing.late);
}

#[test]
fn a_series_that_cannot_be_judged_says_which_reading_and_why() {
    let fine = series(&[(0, 1.0), (10, 1.1), (20, 1.2)]);
    let with = |at: usize, mm: f64| {
        let mut points = fine.clone();
        points[at].mm = mm;
        growth(&points, 0.1).unwrap_err()
    };
    assert_eq!(growth(&[], 0.1), Err(TrendError::NoReadings));
    assert_eq!(with(1, f64::NAN), TrendError::NotFinite { at: 1 });
    assert_eq!(with(2, f64::NEG_INFINITY), TrendError::NotFinite { at: 2 });
    assert_eq!(with(0, -1.1e9), TrendError::TooLarge { at: 0 });
    assert_eq!(growth(&series(&[(0, 1.0), (10, 1.0), (9, 1.0)]), 0.1), Err(TrendError::DatesGoBack { at: 2 }));
    for resolution in [0.0, -0.1, f64::NAN, f64::INFINITY] {
        assert_eq!(growth(&fine, resolution), Err(TrendError::ResolutionNotPositive));
    }
    assert_eq!(trend(&fine, 0.1, Some(f64::NAN)), Err(TrendError::ThresholdNotFinite));
    let many = vec![fine[0]; MOST_READINGS + 1];
    assert_eq!(trend(&many, 0.1, None), Err(TrendError::TooMany { given: MOST_READINGS + 1, most: MOST_READINGS }));
    assert!(growth(&many, 0.1).is_ok());
}

#[test]
fn states_are_written_as_their_words() {
    for state in [State::Insufficient, State::Growing, State::Closing, State::NoTrendShown] {
        assert_eq!(serde_json::to_value(state).unwrap(), Value::from(state.word()));
    }
}
