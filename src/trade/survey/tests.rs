//! Reference rows, worked surveys, and what is no survey.

use serde_json::Value;

use super::*;

/// Planes by statsmodels 0.15.0, distances by scipy 1.17.1.
const REFERENCE: &str = include_str!("../../../tests/reference/survey.json");

#[track_caller]
fn near(got: f64, want: &Value, what: &str) {
    let want = want.as_f64().unwrap();
    assert!((got - want).abs() <= 1e-7 * want.abs() + 1e-7, "{what}: {got} is not {want}");
}

fn points_of(rows: &Value) -> Vec<Point> {
    let at = |row: &Value, n: usize| row[n].as_f64().unwrap();
    let point = |row: &Value| Point { x_m: at(row, 0), y_m: at(row, 1), z_mm: at(row, 2) };
    rows.as_array().unwrap().iter().map(point).collect()
}

fn profiles_of(rows: &Value) -> Vec<Vec<usize>> {
    let profile = |row: &Value| row.as_array().unwrap().iter().map(|n| n.as_u64().unwrap() as usize).collect();
    rows.as_array().unwrap().iter().map(profile).collect()
}

#[test]
fn reference_surveys_come_out_as_independent_libraries_have_them() {
    let rows: Vec<Value> = serde_json::from_str(REFERENCE).unwrap();
    assert_eq!(rows.len(), 21);
    let mut lines = 0;
    for row in &rows {
        let (id, out) = (row["id"].as_str().unwrap(), &row["out"]);
        let got = survey(&points_of(&row["in"]["points"]), &profiles_of(&row["in"]["profiles"]));
        if let Some(error) = out["error"].as_str() {
            let wanted = if error == "too_few" { SurveyError::TooFewPoints } else { SurveyError::OnOneLine };
            assert_eq!(got, Err(wanted), "{id}");
            continue;
        }
        let got = got.unwrap();
        near(got.tilt_pct, &out["tilt_pct"], id);
        near(got.max_abs_residual_mm, &out["max_abs_residual_mm"], id);
        near(got.residual_range_mm, &out["residual_range_mm"], id);
        near(got.deflection_ratio, &out["plane_deflection_ratio"], id);
        match (got.downhill_deg, out["downhill_azimuth_deg"].as_f64()) {
            (Some(got), Some(want)) => assert!(((got - want + 180.0).rem_euclid(360.0) - 180.0).abs() < 1e-4, "{id}"),
            (got, want) => assert_eq!((got, want), (None, None), "{id}"),
        }
        assert_eq!(got.profiles.len(), out["profiles"].as_array().unwrap().len(), "{id}");
        for (got, want) in got.profiles.iter().zip(out["profiles"].as_array().unwrap()) {
            near(got.length_m, &want["length_m"], id);
            near(got.deflection_mm, &want["deflection_mm"], id);
            assert_eq!(got.at_point, want["at_point"].as_u64().map(|n| n as usize), "{id}");
            assert_eq!(got.one_in.is_some(), !want["one_in"].is_null(), "{id}");
            if let Some(one_in) = got.one_in {
                near(one_in, &want["one_in"], id);
            }
            lines += 1;
        }
    }
    assert!(lines > 20, "{lines} profiles");
}

#[test]
fn a_profile_of_three_heights_is_that_worked_by_hand() {
    // 30 ft; 0, -1.6, -1.2 in: -1.6 + 0.6 = -1.0 in, 360/1.0, 1.2/360 = 0.333 %.
    let of =
        |heights: [&str; 3]| profile(Length::feet(30, 1), heights.map(|z| Length::parse_signed(z).unwrap())).unwrap();
    let sagging = of(["0 in", "-1.6 in", "-1.2 in"]);
    assert_eq!((sagging.deflection, sagging.one_in), (Length::inches(-1, 1), Some(360.0)));
    assert!((sagging.tilt_pct - 100.0 / 300.0).abs() < 1e-12);
    let flat = of(["0.1 in", "0.2 in", "0.3 in"]);
    assert_eq!((flat.deflection, flat.one_in), (Length::ZERO, None));
    assert_eq!(of(["0 in", "1 in", "0 in"]).deflection, Length::inches(1, 1));
}

#[test]
fn the_nine_points_are_those_worked_by_hand() {
    // Feet and inches: a = -0.00203704 in/in, b = 0: tilt 0.2037 % toward +x; residual range 0.6667 in; the line x = 15
    // departs 0.35 in over 480 in, y = 0 0.15 in over 360 in.
    let z = [0.0, -0.3, -0.9, 0.2, 0.1, -0.5, -0.2, -0.2, -0.8];
    let point = |(n, z): (usize, &f64)| Point {
        x_m: (n % 3) as f64 * 15.0 * 0.3048,
        y_m: (n / 3) as f64 * 20.0 * 0.3048,
        z_mm: z * 25.4,
    };
    let points: Vec<Point> = z.iter().enumerate().map(point).collect();
    let got = survey(&points, &[vec![1, 4, 7], vec![0, 1, 2]]).unwrap();
    assert!((got.tilt_pct - 0.2037).abs() < 1e-4 && (got.downhill_deg.unwrap() - 90.0).abs() < 1e-6, "{got:?}");
    assert!((got.residual_range_mm / 25.4 - 0.6667).abs() < 1e-4);
    for (residual, inches) in
        got.residuals_mm.iter().zip([-0.0778, -0.0111, -0.2444, 0.1222, 0.3889, 0.1556, -0.2778, 0.0889, -0.1444])
    {
        assert!((residual / 25.4 - inches).abs() < 1e-4, "{residual}");
    }
    let one_in: Vec<f64> = got.profiles.iter().map(|p| p.one_in.unwrap().round()).collect();
    assert_eq!(one_in, [1371.0, 2400.0]);
    assert_eq!(got.profiles[0].at_point, Some(1));
}

#[test]
fn a_level_floor_falls_nowhere() {
    let at = |x_m: f64, y_m: f64| Point { x_m, y_m, z_mm: 10.0 };
    let got = survey(&[at(0.0, 0.0), at(5.0, 0.0), at(0.0, 4.0), at(5.0, 4.0)], &[vec![0, 1, 3]]).unwrap();
    assert_eq!((got.tilt_pct, got.downhill_deg, got.deflection_ratio), (0.0, None, 0.0));
    assert_eq!((got.profiles[0].deflection_mm, got.profiles[0].at_point, got.profiles[0].one_in), (0.0, None, None));
}

#[test]
fn what_is_no_survey_says_why() {
    let at = |x_m: f64, y_m: f64| Point { x_m, y_m, z_mm: x_m };
    let square = [at(0.0, 0.0), at(5.0, 0.0), at(5.0, 5.0), at(0.0, 5.0)];
    assert_eq!(survey(&square[..2], &[]), Err(SurveyError::TooFewPoints));
    assert_eq!(survey(&vec![square[0]; MOST_POINTS + 1], &[]), Err(SurveyError::TooManyPoints));
    assert_eq!(survey(&[square[0]; 3], &[]), Err(SurveyError::OnOneLine));
    // A tenth is no binary fraction: 0.1, 0.2, 0.3 lie on a line all the same.
    assert_eq!(survey(&[at(0.1, 0.7), at(0.2, 1.4), at(0.3, 2.1)], &[]), Err(SurveyError::OnOneLine));
    assert_eq!(survey(&square, &[vec![0, 1]]), Err(SurveyError::ShortProfile { profile: 0 }));
    assert_eq!(survey(&square, &[vec![0, 1, 4]]), Err(SurveyError::NoSuchPoint { profile: 0, point: 4 }));
    assert_eq!(survey(&square, &[vec![0, 1, 2], vec![0, 1, 0]]), Err(SurveyError::ClosedProfile { profile: 1 }));
}

#[test]
fn a_survey_far_from_its_origin_keeps_its_plane() {
    // z = 2 x + 3 y exactly, in mm a metre, 100 km from the origin.
    let far = |x: f64, y: f64| Point { x_m: 1e5 + x, y_m: 1e5 + y, z_mm: 2.0 * x + 3.0 * y };
    let got = survey(&[far(0.0, 0.0), far(8.0, 0.0), far(0.0, 0.25), far(8.0, 0.25)], &[]).unwrap();
    assert!((got.tilt_pct - 13.0_f64.sqrt() / 10.0).abs() < 1e-9 && got.max_abs_residual_mm < 1e-9, "{got:?}");
}

#[test]
fn of_departures_that_only_rounding_tells_apart_the_first_counts() {
    // Points at 0, 3, 7, 10 ft on a slope of n/10 in a foot, the two inner ones 0.1 in over it: both depart by 0.1 in.
    for n in 1..=40 {
        let at = |feet: f64, over: f64| Point {
            x_m: feet * 0.3048,
            y_m: 0.0,
            z_mm: (f64::from(n) / 10.0 * feet + over) * 25.4,
        };
        let points = [at(0.0, 0.0), at(3.0, 0.1), at(7.0, 0.1), at(10.0, 0.0), Point { y_m: 2.0, ..at(0.0, 0.0) }];
        let got = survey(&points, &[vec![0, 1, 2, 3]]).unwrap();
        assert_eq!(got.profiles[0].at_point, Some(1), "slope {n}");
    }
}

#[test]
fn heights_that_do_not_fit_exactly_are_taken_near() {
    let length = |text: &str| Length::parse_signed(text).unwrap();
    let odd = length("1.00000000000000000000000000000000001 mm");
    let got = profile(length("3.0000000000000000000000000000007 m"), [odd, length("0.333 ft"), odd]).unwrap();
    // 0.333 ft is 101.4984 mm.
    assert!((got.deflection.to_mm() - 100.4984).abs() < 1e-9, "{got:?}");
    assert!((got.one_in.unwrap() - 3000.0 / 100.4984).abs() < 1e-9, "{got:?}");
}
