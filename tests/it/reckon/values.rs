//! Published and hand-worked values through the binary, on both sides of each limit.

use serde_json::{Value, json};

use super::{answer, lines};

/// What a line gives, field by field; a figure is met within a relative 1e-9 or what stands beside it.
struct Row {
    source: &'static str,
    line: Value,
    wanted: Value,
}

fn row(source: &'static str, line: Value, wanted: Value) -> Row {
    Row { source, line, wanted }
}

#[track_caller]
fn check(rows: Vec<Row>) {
    let text: String = rows.iter().map(|row| format!("{}\n", row.line)).collect();
    let (code, answers) = lines(text);
    assert_eq!((code, answers.len()), (0, rows.len()));
    for (row, answer) in rows.iter().zip(&answers) {
        for (path, wanted) in row.wanted.as_object().unwrap() {
            let got = path.split('.').fold(&answer["result"], |value, step| match step.parse::<usize>() {
                Ok(at) => &value[at],
                Err(_) => &value[step],
            });
            let (wanted, within) = match wanted.as_array() {
                Some(pair) if pair.len() == 2 => (&pair[0], pair[1].as_f64().unwrap()),
                _ => (wanted, wanted.as_f64().map_or(0.0, |figure| figure.abs() * 1e-9)),
            };
            let met = match (got.as_f64(), wanted.as_f64()) {
                (Some(got), Some(wanted)) => (got - wanted).abs() <= within,
                _ => got == wanted,
            };
            assert!(met, "{}: {path} of {answer} is not {wanted}", row.source);
        }
    }
}

#[test]
fn cracks_stand_where_the_tables_have_them() {
    const BRE: &str = "Building Research Establishment Digest 251, Table 1";
    const ACI: &str = "ACI 224R-01, Table 4.1";
    const STRAIN: &str = "Boscardin and Cording 1989";
    let mut rows = Vec::new();
    for (width, category) in [
        ("0.09 mm", 0),
        ("0.1 mm", 1),
        ("0.10 mm", 1),
        ("1.0 mm", 1),
        ("1.01 mm", 2),
        ("5.0 mm", 2),
        ("5.1 mm", 3),
        ("1/4 in", 3),
        ("15.0 mm", 3),
        ("15.1 mm", 4),
        ("25 mm", 4),
        ("25.1 mm", 5),
    ] {
        let line = json!({"reckon": "crack-category", "widths": [width]});
        rows.push(row(BRE, line, json!({"category": category, "because": "width"})));
    }
    let four = json!({"reckon": "crack-category", "widths": ["3.5 mm", "3.5 mm", "3.5 mm", "3.5 mm"]});
    rows.push(row(BRE, four, json!({"category": 3, "because": "count"})));
    let at_three = json!({"reckon": "crack-category", "widths": ["3 mm", "3.0 mm", "0.3 cm"]});
    rows.push(row(BRE, at_three, json!({"category": 2, "because": "width"})));
    for (width, exposure, guide, above) in [
        ("0.35 mm", "moist-or-soil", 0.30, true),
        ("0.30 mm", "moist-or-soil", 0.30, false),
        ("0.012 in", "moist-or-soil", 0.30, false),
        ("0.41 mm", "dry-air", 0.41, false),
        ("0.18 mm", "deicing", 0.18, false),
        ("0.16 mm", "seawater", 0.15, true),
        ("0.1 mm", "water-retaining", 0.10, false),
    ] {
        let line = json!({"reckon": "crack-guide", "width": width, "exposure": exposure});
        rows.push(row(ACI, line, json!({"guide_mm": guide, "above": above})));
    }
    for (strain, category) in [(0.0, 0), (0.05, 1), (0.1, 2), (0.15, 3), (0.29, 3), (0.3, 4)] {
        rows.push(row(
            STRAIN,
            json!({"reckon": "strain-category", "strain_pct": strain}),
            json!({"category": category}),
        ));
    }
    check(rows);
}

#[test]
fn site_and_wall_stand_where_the_codes_have_them() {
    let mut rows = Vec::new();
    for (step, finding) in [
        ("1/4 in", "vertical-allowed"),
        ("3/8 in", "bevel"),
        ("1/2 in", "bevel"),
        ("12.7 mm", "bevel"),
        ("0.51 in", "ramp"),
    ] {
        let line = json!({"reckon": "step-height", "step": step});
        rows.push(row("2010 ADA Standards 303.2, 303.3", line, json!({"finding": finding})));
    }
    for (member, clearance, flag, needed) in [
        ("joist", "18 in", false, 18),
        ("joist", "17.9 in", true, 18),
        ("girder", "1 ft", false, 12),
        ("siding-over-soil", "15.24 cm", false, 6),
        ("siding-over-soil", "5 in", true, 6),
        ("siding-over-slab", "2 in", false, 2),
    ] {
        let line = json!({"reckon": "wood-clearance", "member": member, "clearance": clearance});
        rows.push(row("IRC R317.1", line, json!({"flag": flag, "needed_in": needed})));
    }
    let tree = |demand: &str, distance: &str| json!({"reckon": "tree", "height": "20 m", "demand": demand, "distance": distance});
    const NHBC: &str = "NHBC Standards chapter 4.2, Table 3b";
    rows.push(row(NHBC, tree("high", "18 m"), json!({"zone_m": 25.0, "inside": true, "ratio": 0.9})));
    rows.push(row(NHBC, tree("high", "25 m"), json!({"zone_m": 25.0, "inside": false, "ratio": 1.25})));
    rows.push(row(NHBC, tree("moderate", "14.99 m"), json!({"zone_m": 15.0, "inside": true})));
    rows.push(row(NHBC, tree("low", "10 m"), json!({"zone_m": 10.0, "inside": false})));
    for (plate, least) in [("24 in", 2), ("8 ft", 2), ("97 in", 3), ("20 ft", 4)] {
        // (length - 24 in) / 72 in, rounded up, and one more.
        rows.push(row("IRC R403.1.6", json!({"reckon": "bolt-count", "plate": plate}), json!({"least": least})));
    }
    let load = |pcf: f64, height: &str| json!({"reckon": "lateral-load", "fluid_pcf": pcf, "height": height});
    let by_hand = "p = w h, P = w h^2 / 2 at h / 3";
    rows.push(row(
        by_hand,
        load(60.0, "7 ft"),
        json!({"base_psf": 420, "resultant_lb_ft": 1470, "arm_ft": [2.333, 0.001]}),
    ));
    rows.push(row(by_hand, load(62.4, "8 ft"), json!({"base_psf": 499.2, "resultant_lb_ft": 1996.8})));
    for (face, powdering, scale) in [
        (json!(0), false, "nil"),
        (json!(10), false, "slight"),
        (json!(10.1), false, "moderate"),
        (json!(50), false, "moderate"),
        (json!(50.5), false, "heavy"),
        (json!(5), true, "serious"),
    ] {
        let line = json!({"reckon": "efflorescence", "face_pct": face, "powdering": powdering});
        rows.push(row("IS 3495 part 3", line, json!({"scale": scale})));
    }
    check(rows);
}

#[test]
fn levels_are_those_worked_by_hand() {
    let profile = json!({"reckon": "level-profile", "length": "30 ft", "heights": ["0.0 in", "-1.6 in", "-1.2 in"]});
    let flat = json!({"reckon": "level-profile", "length": "30 ft", "heights": ["1 in", "1 in", "1 in"]});
    let points = json!([
        ["0 ft", "0 ft", "0.0 in"],
        ["15 ft", "0 ft", "-0.3 in"],
        ["30 ft", "0 ft", "-0.9 in"],
        ["0 ft", "20 ft", "0.2 in"],
        ["15 ft", "20 ft", "0.1 in"],
        ["30 ft", "20 ft", "-0.5 in"],
        ["0 ft", "40 ft", "-0.2 in"],
        ["15 ft", "40 ft", "-0.2 in"],
        ["30 ft", "40 ft", "-0.8 in"]
    ]);
    let nine = json!({"reckon": "level-survey", "points": points, "profiles": [[1, 4, 7], [0, 1, 2]]});
    let level = json!({"reckon": "level-survey", "points": [["0 m", "0 m", "3 mm"], ["5 m", "0 m", "3 mm"], ["0 m", "4 m", "3 mm"]]});
    check(vec![
        row(
            "-1.6 - (0 - 1.2) / 2 = -1.0 in; 360 / 1.0; 1.2 / 360",
            profile,
            json!({"deflection_mm": -25.4, "one_in": 360, "tilt_pct": [0.3333, 0.0001]}),
        ),
        row("three equal heights", flat, json!({"deflection_mm": 0, "one_in": null, "tilt_pct": 0})),
        row(
            "slope 15 x -2.2 / (6 x 225) in/ft = 0.2037 %; 0.35 in over 480 in; 0.15 in over 360 in",
            nine,
            json!({"tilt_pct": [0.2037, 0.0001], "downhill_deg": [90, 1e-6], "residual_range_mm": [16.9333, 0.0025],
                "profiles.0.one_in": [1371.4286, 0.001], "profiles.0.at_point": 1, "profiles.1.one_in": [2400, 1e-6]}),
        ),
        row("three equal heights", level, json!({"tilt_pct": 0, "downhill_deg": null, "profiles": []})),
    ]);
}

/// Readings on the days of a year, mm.
fn readings(days: &[(&str, f64)]) -> Value {
    days.iter().map(|(on, mm)| json!([on, format!("{mm} mm")])).collect()
}

#[test]
fn a_series_is_insufficient_for_a_year_and_has_its_hand_worked_slope() {
    // Days 0, 90, 180, 270, 360 from 2025-01-01; slope 0.12175 mm a year, standard error 0.03630.
    let quarterly =
        [("2025-01-01", 2.00), ("2025-04-01", 2.05), ("2025-06-30", 2.02), ("2025-09-28", 2.11), ("2025-12-27", 2.12)];
    let short = json!({"reckon": "trend", "readings": readings(&quarterly), "resolution": "0.1 mm"});
    // The last one five days later: 365 days. The change of 0.12 mm is under twice 0.1 mm.
    let mut full = quarterly;
    full[4].0 = "2026-01-01";
    let full = json!({"reckon": "trend", "readings": readings(&full), "resolution": "0.1 mm"});
    let two = json!({"reckon": "trend", "readings": readings(&quarterly[..2]), "resolution": "0.1 mm"});
    check(vec![
        row(
            "worked by hand, three degrees of freedom",
            short,
            json!({"state": "insufficient", "enough_on": "2026-01-01", "line.slope": [0.12175, 1e-5], "line.se": [0.03630, 1e-5],
                "seasonal": null, "threshold_on": null}),
        ),
        row("the same over a full year", full, json!({"state": "no-trend-shown", "enough_on": null})),
        row(
            "two readings bear no line",
            two,
            json!({"state": "insufficient", "line": null, "theil_sen": null, "mann_kendall": null, "in_one_year": null}),
        ),
    ]);
    // One step of 1 mm a year exactly, met after a further half year.
    let steady: Vec<(String, f64)> =
        (0..8).map(|n| (format!("{}-{}", 2020 + n / 2, ["01-01", "07-02"][n % 2]), n as f64 / 2.0)).collect();
    let steady: Vec<(&str, f64)> = steady.iter().map(|(on, mm)| (on.as_str(), *mm)).collect();
    let line = json!({"reckon": "trend", "readings": readings(&steady), "resolution": "0.1 mm", "threshold": "4 mm"});
    let said = answer(&line);
    assert_eq!(said["result"]["state"], json!("growing"), "{said}");
    let met = said["result"]["threshold_on"]["middle"].as_str().unwrap();
    assert!(("2023-12-25".."2024-01-08").contains(&met), "{said}");
}

#[test]
fn what_only_a_calculation_can_know_is_refused_by_its_field() {
    let back = json!([["2026-01-02", "1 mm"], ["2026-01-01", "1 mm"]]);
    let line = json!([["0 m", "0 m", "1 mm"], ["2 m", "2 m", "3 mm"], ["4 m", "4 m", "2 mm"]]);
    let floor = json!([["0 m", "0 m", "1 mm"], ["2 m", "2 m", "3 mm"], ["4 m", "0 m", "2 mm"]]);
    for (line, input, what) in [
        (
            json!({"reckon": "trend", "readings": back, "resolution": "1 mm"}),
            "readings",
            "reading 1 is dated before the one ahead of it",
        ),
        (json!({"reckon": "level-survey", "points": line}), "points", "all points lie on one line"),
        (
            json!({"reckon": "level-survey", "points": floor, "profiles": [[0, 1, 3]]}),
            "profiles",
            "profile 0 names point 3, and there is none",
        ),
        (
            json!({"reckon": "level-survey", "points": floor, "profiles": [[0, 1, 0]]}),
            "profiles",
            "profile 0 ends where it begins",
        ),
        (
            json!({"reckon": "present-value", "discount": -0.999999, "years": 10000}),
            "discount",
            "`discount` is beyond what can be reckoned",
        ),
    ] {
        let said = answer(&line);
        assert_eq!((&said["error"]["input"], &said["error"]["what"]), (&json!(input), &json!(what)), "{said}");
    }
}

#[test]
fn money_and_lives_have_their_published_values() {
    let value = |discount: f64, years: u32, escalation: f64| json!({"reckon": "present-value", "discount": discount, "years": years, "escalation": escalation});
    check(vec![
        row(
            "NISTIR 85-3273-24, Table A-1",
            value(0.03, 7, 0.0),
            json!({"spv": [0.813091, 1e-6], "upv": [6.23028, 1e-5]}),
        ),
        row(
            "NIST Handbook 135",
            value(0.03, 15, 0.02),
            json!({"spv": [0.642, 5e-4], "upv": [11.94, 5e-3], "upv_escalating": [13.89, 5e-3]}),
        ),
        row("at equal rates the sum is n", value(0.05, 10, 0.05), json!({"upv_escalating": 10, "spv_escalated": 1})),
        row("no time", value(0.05, 0, 0.0), json!({"spv": 1, "upv": 0, "capital_recovery": null})),
        row(
            "NIST/SEMATECH e-Handbook 8.1.6.2: F(1000) = 0.08556",
            json!({"reckon": "service-life", "shape": 1.5, "scale": 5000, "age": 1000, "within": 0}),
            json!({"survival": [1.0 - 0.08556, 5e-6], "fails_within": 0}),
        ),
    ]);
}
