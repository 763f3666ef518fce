//! Rows worked off by other people's libraries (`tests/reference/README.md`), and the edges of the grammar.

use chrono::{DateTime, Datelike, NaiveDateTime, Utc};
use chrono_tz::Tz;
use serde_json::Value;

use super::{MOST_OCCURRENCES, Recurrence, RecurrenceError, TooMuch};

const SAME: &str = include_str!("../../../tests/reference/recurrence.json");
const DIFFERENT: &str = include_str!("../../../tests/reference/recurrence_differences.json");
const REFUSED: &str = include_str!("../../../tests/reference/recurrence_rejects.json");

fn rows(text: &str) -> Vec<Value> {
    let rows: Vec<Value> = serde_json::from_str(text).unwrap();
    rows.into_iter().filter(|row| row["in"]["type"] == "rrule").collect()
}

fn instant(value: &Value) -> DateTime<Utc> {
    value.as_str().unwrap().parse().unwrap()
}

fn of_row(row: &Value) -> Result<Vec<DateTime<Tz>>, RecurrenceError> {
    let given = &row["in"];
    let start: NaiveDateTime = given["dtstart"].as_str().unwrap().parse().unwrap();
    let zone: Tz = given["tz"].as_str().unwrap().parse().unwrap();
    let rule = Recurrence::parse(given["rule"].as_str().unwrap())?;
    Ok(rule.between(start, zone, instant(&given["window_start"]), instant(&given["window_end"])).unwrap())
}

/// The reference in time order, each instant once: it keeps a time moved out of a gap where it stood in the list. Of the
/// days of week 53 only those of a week of that number, since dateutil is off by one in some years.
fn expected(row: &Value, column: &Value) -> Vec<DateTime<Utc>> {
    let mut at: Vec<_> = column.as_array().unwrap().iter().map(instant).collect();
    at.sort_unstable();
    at.dedup();
    if row["in"]["rule"].as_str().unwrap().contains("BYWEEKNO=53") {
        let zone: Tz = row["in"]["tz"].as_str().unwrap().parse().unwrap();
        at.retain(|at| at.with_timezone(&zone).iso_week().week() == 53);
    }
    at
}

#[test]
fn occurrences_are_those_of_the_reference() {
    let rows = rows(SAME);
    assert!(rows.len() > 100);
    for row in rows {
        assert_eq!(of_row(&row).unwrap(), expected(&row, &row["out"]["occurrences"]), "{}", row["in"]);
    }
}

#[test]
fn where_libraries_differ_a_time_that_does_not_exist_is_moved_on_by_the_gap() {
    let rows = rows(DIFFERENT);
    assert!(rows.len() > 10);
    for row in rows {
        match (of_row(&row), &row["out"]["dateutil"]) {
            (Ok(at), column) => assert_eq!(at, expected(&row, column), "{}", row["in"]),
            (Err(error), column) => assert!(column.as_str().is_some_and(|c| c.starts_with("error")), "{error}: {row}"),
        }
    }
}

#[test]
fn the_grammar_and_the_limits_are_those_of_rfc_5545() {
    let rows = rows(REFUSED);
    assert!(rows.len() > 10);
    for row in rows {
        let read = Recurrence::parse(row["in"]["rule"].as_str().unwrap());
        assert_eq!(read.is_ok(), row["out"]["rfc5545"] == "accept", "{}: {read:?}", row["in"]);
    }
}

/// The days a rule gives from 2026 on, in UTC.
fn days(rule: &str, start: &str, until: &str) -> Vec<String> {
    let rule = Recurrence::parse(rule).unwrap();
    let [from, until] = [&format!("{start}Z"), until].map(|text| text.parse().unwrap());
    let at = rule.between(start.parse().unwrap(), Tz::UTC, from, until).unwrap();
    at.iter().map(|at| at.format("%Y-%m-%d %H:%M:%S").to_string()).collect()
}

#[test]
fn choices_that_the_standard_leaves() {
    // 1 March 2026 is a Sunday, 4 March a Wednesday: the week of Monday 2 March has its first day before the start.
    let weekly = days("FREQ=WEEKLY;BYDAY=MO,WE,FR;BYSETPOS=1", "2026-03-04T09:00:00", "2026-03-17T00:00:00Z");
    assert_eq!(weekly, ["2026-03-09 09:00:00", "2026-03-16 09:00:00"]);
    // Plain and numbered days each hold by themselves: Mondays, and the last Friday.
    let mixed = days("FREQ=MONTHLY;BYDAY=MO,-1FR", "2026-03-10T09:00:00", "2026-04-01T00:00:00Z");
    assert_eq!(mixed, ["2026-03-16 09:00:00", "2026-03-23 09:00:00", "2026-03-27 09:00:00", "2026-03-30 09:00:00"]);
    // 2026 has 53 weeks: 28 December 2026 to 3 January 2027; days of January stand in 2027.
    let week = days("FREQ=YEARLY;BYWEEKNO=53;BYDAY=MO,SU", "2026-01-01T09:00:00", "2028-01-01T00:00:00Z");
    assert_eq!(week, ["2026-12-28 09:00:00", "2027-01-03 09:00:00"]);
    // Second 60 is 59 on a clock without leap seconds, and one occurrence with it.
    let leap = days("FREQ=MINUTELY;BYSECOND=59,60;COUNT=2", "2026-01-01T00:00:59", "2027-01-01T00:00:00Z");
    assert_eq!(leap, ["2026-01-01 00:00:59", "2026-01-01 00:01:59"]);
    assert!(days("FREQ=DAILY;COUNT=0", "2026-01-01T00:00:00", "2027-01-01T00:00:00Z").is_empty());
    // python-dateutil 4.0.0; by hand: a day is 32 times 45 minutes.
    assert_eq!(
        days("FREQ=MINUTELY;INTERVAL=45;BYHOUR=9,10", "2026-01-01T09:00:00", "2026-01-03T00:00:00Z"),
        ["01-01 09:00", "01-01 09:45", "01-01 10:30", "01-02 09:00", "01-02 09:45", "01-02 10:30"]
            .map(|at| format!("2026-{at}:00"))
    );
    // An interval of any size: every 86,400 seconds is every day.
    assert_eq!(
        days("FREQ=SECONDLY;INTERVAL=86400", "2026-01-01T06:00:00", "2026-01-04T00:00:00Z"),
        days("FREQ=DAILY", "2026-01-01T06:00:00", "2026-01-04T00:00:00Z"),
    );
    assert_eq!(
        days("FREQ=YEARLY;INTERVAL=99999999999999999999", "2026-01-01T00:00:00", "2099-01-01T00:00:00Z").len(),
        1
    );
}

#[test]
fn what_never_comes_gives_nothing_and_what_is_too_much_is_refused() {
    let century = |rule: &str| {
        let [from, until] = ["1970-01-01T00:00:00Z", "2100-01-01T00:00:00Z"].map(|text| text.parse().unwrap());
        let start = "1970-01-01T00:00:00".parse().unwrap();
        Recurrence::parse(rule).unwrap().between(start, Tz::UTC, from, until).map(|at| at.len())
    };
    for never in ["YEARLY", "MONTHLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY"] {
        assert_eq!(century(&format!("FREQ={never};BYMONTH=2;BYMONTHDAY=30")), Ok(0), "{never}");
    }
    assert_eq!(century("FREQ=SECONDLY;INTERVAL=2;BYSECOND=1"), Ok(0));
    assert_eq!(century("FREQ=YEARLY;BYMONTH=5;BYMONTHDAY=3;BYSETPOS=3"), Ok(0));
    assert_eq!(century("FREQ=SECONDLY"), Err(TooMuch::Occurrences));
    assert_eq!(century(&format!("FREQ=MINUTELY;COUNT={MOST_OCCURRENCES}")), Ok(MOST_OCCURRENCES));
    assert_eq!(century("FREQ=YEARLY;BYMONTHDAY=-31;BYHOUR=0,1;BYMINUTE=0,1;BYSECOND=0;BYSETPOS=-366"), Ok(0));
}
