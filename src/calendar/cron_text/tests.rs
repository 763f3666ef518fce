//! Rows worked off by other people's libraries (`tests/reference/README.md`), column `vixie`.

use chrono::{DateTime, Utc};
use chrono_tz::Tz;
use serde_json::Value;

use super::{CronError, CronText};

const SAME: &str = include_str!("../../../tests/reference/recurrence.json");
const DIFFERENT: &str = include_str!("../../../tests/reference/recurrence_differences.json");
const REFUSED: &str = include_str!("../../../tests/reference/recurrence_rejects.json");

fn rows(text: &str) -> Vec<Value> {
    let rows: Vec<Value> = serde_json::from_str(text).unwrap();
    rows.into_iter().filter(|row| row["in"]["type"] == "cron").collect()
}

fn instant(value: &Value) -> DateTime<Utc> {
    value.as_str().unwrap().parse().unwrap()
}

fn of_row(row: &Value) -> Result<Vec<DateTime<Tz>>, CronError> {
    let given = &row["in"];
    let zone: Tz = given["tz"].as_str().unwrap().parse().unwrap();
    let rule = CronText::parse(given["rule"].as_str().unwrap())?;
    Ok(rule.between(zone, instant(&given["window_start"]), instant(&given["window_end"])).unwrap())
}

fn instants(column: &Value) -> Vec<DateTime<Utc>> {
    column.as_array().unwrap().iter().map(instant).collect()
}

#[test]
fn occurrences_are_those_of_the_reference() {
    let rows = rows(SAME);
    assert!(rows.len() > 100);
    for row in rows {
        assert_eq!(of_row(&row).unwrap(), instants(&row["out"]["occurrences"]), "{}", row["in"]);
    }
}

#[test]
fn where_libraries_differ_debians_cron_is_followed() {
    let rows = rows(DIFFERENT);
    assert!(rows.len() > 20);
    for row in rows {
        match (of_row(&row), &row["out"]["vixie"]) {
            (Ok(at), column) => assert_eq!(at, instants(column), "{}", row["in"]),
            (Err(error), column) => assert!(column.as_str().is_some_and(|c| c.starts_with("error")), "{error}: {row}"),
        }
    }
}

#[test]
fn what_debians_cron_refuses_is_refused() {
    let rows = rows(REFUSED);
    assert!(rows.len() > 10);
    for row in rows {
        let read = CronText::parse(row["in"]["rule"].as_str().unwrap());
        assert_eq!(read.is_ok(), row["out"]["vixie"] == "accept", "{}: {:?}", row["in"], read.err());
    }
}

#[test]
fn a_fixed_time_in_a_skipped_hour_runs_at_the_first_minute_after_and_once_in_a_repeated_one() {
    // New York 2027: 02:00 to 03:00 on 14 March is skipped, 01:00 to 02:00 on 7 November comes twice.
    let at = |rule: &str, day: &str| {
        let [from, until] =
            [format!("{day}T00:00:00-05:00"), format!("{day}T12:00:00-05:00")].map(|t| t.parse().unwrap());
        let at = CronText::parse(rule).unwrap().between(chrono_tz::America::New_York, from, until).unwrap();
        at.iter().map(|at| at.format("%H:%M%z").to_string()).collect::<Vec<_>>()
    };
    assert_eq!(at("30 2 * * *", "2027-03-14"), ["03:00-0400"]);
    assert_eq!(at("*/30 2 * * *", "2027-03-14"), [""; 0]);
    assert_eq!(at("30 1 * * *", "2027-11-07"), ["01:30-0400"]);
    assert_eq!(at("*/30 1 * * *", "2027-11-07"), ["01:00-0400", "01:30-0400", "01:00-0500", "01:30-0500"]);
}
