//! Radon arithmetic against rows computed by numpy, scipy and Pint; see `tests/reference/README.md`.

use std::collections::HashMap;

use serde_json::Value;

use super::average::average;
use super::decay::decay;
use super::pair::pair;
use crate::quantity::{Activity, Exact, QuantityKind, Span, parse_si};

pub(in crate::trade) type Row = HashMap<String, String>;

pub(in crate::trade) fn rows_of(csv_text: &str) -> Vec<Row> {
    csv::Reader::from_reader(csv_text.as_bytes()).deserialize().collect::<Result<_, _>>().unwrap()
}

/// The cell, or `None` where it is empty: no value.
pub(in crate::trade) fn cell(row: &Row, name: &str) -> Option<f64> {
    Some(row[name].as_str()).filter(|text| !text.is_empty()).map(|text| text.parse().unwrap())
}

#[track_caller]
pub(in crate::trade) fn near(id: &str, what: &str, got: Option<f64>, want: Option<f64>, relative: f64) {
    match (got, want) {
        (Some(got), Some(want)) => {
            assert!((got - want).abs() <= relative * want.abs() + 1e-12, "{id} {what}: {got} is not {want}");
        }
        (got, want) => assert_eq!(got, want, "{id} {what}"),
    }
}

fn activity(value: &str, unit: &str) -> Activity {
    Activity::parse(&format!("{value} {unit}")).unwrap()
}

#[test]
fn reference_means_weighted_by_hours() {
    let rows: Vec<Value> = serde_json::from_str(include_str!("../../../tests/reference/radon_twa.json")).unwrap();
    assert_eq!(rows.len(), 42);
    for row in &rows {
        let (id, out) = (row["id"].as_str().unwrap(), &row["out"]);
        let tests = row["in"]["tests"].as_array().unwrap();
        let results: Vec<_> =
            tests.iter().map(|t| activity(&t["value"].to_string(), t["unit"].as_str().unwrap())).collect();
        let hours: Vec<_> = tests.iter().map(|t| Exact::from_decimal_str(&t["hours"].to_string()).unwrap()).collect();
        let got = average(&results, Some(&hours)).unwrap();
        let want = |key: &str| out[key].as_f64();
        near(id, "average", Some(got.average.to_bq_m3()), want("twa_bq_m3"), 1e-9);
        near(id, "plain mean", Some(got.plain_mean.to_bq_m3()), want("mean_bq_m3"), 1e-9);
        near(id, "geometric mean", got.geometric_mean.map(Activity::to_bq_m3), want("geo_mean_bq_m3"), 1e-9);
        near(id, "geometric sd", got.geometric_sd, want("geo_sd"), 1e-9);
        assert_eq!(got.average >= Activity::pci_l(4, 1), out["at_least_4_pci_l"].as_bool().unwrap(), "{id}");
    }
}

#[test]
fn reference_pairs() {
    let rows = rows_of(include_str!("../../../tests/reference/radon_pairs.csv"));
    assert_eq!(rows.len(), 42);
    assert!(rows.iter().any(|row| row["rpd_pct"].is_empty()), "no pair of zeros");
    for row in &rows {
        let got = pair(activity(&row["a"], &row["unit_a"]), activity(&row["b"], &row["unit_b"]));
        near(&row["id"], "mean", Some(got.mean.to_bq_m3()), cell(row, "mean_bq_m3"), 1e-9);
        near(&row["id"], "rpd", got.rpd_pct.map(Exact::to_f64), cell(row, "rpd_pct"), 1e-9);
    }
}

#[test]
fn reference_decay() {
    let rows = rows_of(include_str!("../../../tests/reference/radon_decay.csv"));
    assert_eq!(rows.len(), 28);
    for row in &rows {
        let elapsed = Span::parse(&format!("{} h", row["delay_hours"])).unwrap();
        let counting = Span::parse(&format!("{} min", row["count_minutes"])).unwrap();
        let got = decay(elapsed, Some(counting)).unwrap();
        near(&row["id"], "multiply back", Some(got.multiply_back), cell(row, "delay_factor"), 1e-9);
        near(&row["id"], "remaining", Some(got.remaining), cell(row, "remaining_fraction"), 1e-9);
        near(&row["id"], "count factor", got.count_factor, cell(row, "count_factor"), 1e-9);
    }
}

#[test]
fn reference_units() {
    let rows = rows_of(include_str!("../../../tests/reference/radon_units.csv"));
    assert_eq!(rows.len(), 28);
    let si = |value: &str, unit: &str| parse_si(&format!("{value} {unit}"), QuantityKind::Activity, false).unwrap();
    for row in &rows {
        let (from, to) = (si(&row["value"], &row["from_unit"]), si(&row["result"], &row["to_unit"]));
        near(&row["id"], "Bq/m3", Some(from), Some(to), 1e-12);
    }
}
