//! Recurrence rules beside python-dateutil, on the rows of `tests/reference/recurrence.json`.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use chrono::{DateTime, NaiveDateTime, Utc};
use chrono_tz::Tz;
use serde_json::Value;
use stemwall::calendar::recurrence::Recurrence;

use crate::measure::{Figure, ratio};

const ROUNDS: usize = 20;

struct Case {
    rule: String,
    start: NaiveDateTime,
    zone: Tz,
    from: DateTime<Utc>,
    until: DateTime<Utc>,
}

/// Reads and works off every rule, as often as dateutil does; the best round of each counts.
pub fn rules(_: &Path) -> Vec<Figure> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"));
    let rows = folder.join("tests/reference/recurrence.json");
    let made = Command::new(folder.join("tests/python")).output().expect("bash runs");
    if !made.status.success() {
        println!("occurrences: left out, the libraries of tests/requirements.txt could not be installed");
        return Vec::new();
    }
    let python = String::from_utf8(made.stdout).expect("UTF-8");
    let mut reference = Command::new(python.trim());
    reference.arg(folder.join("benches/occurrences.py")).arg(&rows).arg(ROUNDS.to_string());
    let output = reference.output().expect("python runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let said: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let theirs = Duration::from_secs_f64(said["seconds"].as_f64().expect("seconds"));

    let cases = cases(&std::fs::read_to_string(rows).expect("the rows"));
    let (mut ours, mut answers) = (Duration::MAX, Vec::new());
    for _ in 0..ROUNDS {
        let began = Instant::now();
        answers = cases.iter().map(between).collect();
        ours = ours.min(began.elapsed());
    }
    let wanted: Vec<Vec<i64>> = serde_json::from_value(said["at"].clone()).expect("instants");
    assert_eq!(answers, wanted, "both give the same instants");
    let beside = |time: Duration| format!("{:.2} ms", time.as_secs_f64() * 1e3);
    let figure = Figure::at_least("occurrences: rules in the time of one by python-dateutil", ratio(theirs, ours), 5.0);
    vec![figure.beside(beside(ours), beside(theirs))]
}

fn between(case: &Case) -> Vec<i64> {
    let rule = Recurrence::parse(&case.rule).expect("a rule of the reference");
    let at = rule.between(case.start, case.zone, case.from, case.until).expect("a span of the reference");
    at.iter().map(DateTime::timestamp).collect()
}

fn cases(rows: &str) -> Vec<Case> {
    let rows: Vec<Value> = serde_json::from_str(rows).expect("JSON");
    let given = rows.iter().map(|row| &row["in"]).filter(|row| row["type"] == "rrule");
    let text = |row: &Value, key: &str| row[key].as_str().expect("text").to_owned();
    given
        .map(|row| Case {
            rule: text(row, "rule"),
            start: text(row, "dtstart").parse().expect("a wall time"),
            zone: text(row, "tz").parse().expect("a zone"),
            from: text(row, "window_start").parse().expect("an instant"),
            until: text(row, "window_end").parse().expect("an instant"),
        })
        .collect()
}
