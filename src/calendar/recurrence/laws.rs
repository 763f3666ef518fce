//! Laws of expansion.

use chrono::{DateTime, Datelike, NaiveDateTime, TimeDelta, Utc};
use chrono_tz::Tz;
use chrono_tz::{America::New_York, Australia::Lord_Howe, Europe::London, Pacific::Apia};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

use super::Recurrence;

fn zone() -> impl Strategy<Value = Tz> {
    select(vec![New_York, London, Lord_Howe, Apia, Tz::UTC])
}

/// Rules of those frequencies with parts that go together.
fn rule_of(frequencies: &'static [&'static str], hours: Vec<i32>) -> impl Strategy<Value = String> {
    let list = |name: &'static str, of: Vec<i32>| {
        prop::option::of(subsequence(of, 1..4)).prop_map(move |chosen| {
            let text = |list: Vec<i32>| list.iter().map(i32::to_string).collect::<Vec<_>>().join(",");
            chosen.map(|list| format!(";{name}={}", text(list))).unwrap_or_default()
        })
    };
    let days = prop::option::of(subsequence(vec!["MO", "TU", "WE", "TH", "FR", "SA", "SU"], 1..4))
        .prop_map(|days| days.map(|days| format!(";BYDAY={}", days.join(","))).unwrap_or_default());
    let frequency = select(frequencies);
    let end = prop_oneof![Just(String::new()), (0u32..40).prop_map(|n| format!(";COUNT={n}"))];
    let parts = (
        list("BYMONTH", vec![1, 2, 3, 10, 12]),
        list("BYMONTHDAY", vec![1, 15, 29, 31, -1]),
        list("BYHOUR", hours),
        days,
    );
    (frequency, 1u32..5, parts, end)
        .prop_map(|(often, n, (m, d, h, w), end)| format!("FREQ={often};INTERVAL={n}{m}{d}{h}{w}{end}"))
}

fn rule() -> impl Strategy<Value = String> {
    rule_of(&["YEARLY", "MONTHLY", "DAILY", "HOURLY"], vec![0, 1, 2, 3, 12])
}

fn start() -> impl Strategy<Value = NaiveDateTime> {
    (0i64..3000, 0i64..24 * 4).prop_map(|(days, quarters)| {
        let first: NaiveDateTime = "2010-01-01T00:00:00".parse().expect("a time");
        first + TimeDelta::days(days) + TimeDelta::minutes(15 * quarters)
    })
}

fn between(rule: &str, start: NaiveDateTime, zone: Tz, from: DateTime<Utc>, until: DateTime<Utc>) -> Vec<DateTime<Tz>> {
    Recurrence::parse(rule).unwrap().between(start, zone, from, until).unwrap()
}

proptest! {
    #[test]
    fn two_spans_that_meet_give_what_the_whole_does(
        rule in rule(), start in start(), zone in zone(), cuts in vec(-50_000i64..600_000, 3..=3),
    ) {
        let mut cuts: Vec<_> = cuts.iter().map(|minutes| start.and_utc() + TimeDelta::minutes(*minutes)).collect();
        cuts.sort_unstable();
        let whole = between(&rule, start, zone, cuts[0], cuts[2]);
        let parts = [between(&rule, start, zone, cuts[0], cuts[1]), between(&rule, start, zone, cuts[1], cuts[2])];
        prop_assert_eq!(whole, parts.concat());
    }

    /// Times that none of these zones skips or repeats: each changes its clocks before four in the morning.
    #[test]
    fn changing_the_zone_moves_no_civil_date(
        rule in rule_of(&["YEARLY", "MONTHLY", "DAILY"], vec![4, 9, 12, 20]), day in 0i64..3000, quarter in 16i64..90,
        zones in (select(vec![New_York, London]), select(vec![Lord_Howe, Tz::UTC])),
    ) {
        let start: NaiveDateTime = "2010-01-01T00:00:00".parse().expect("a time");
        let start = start + TimeDelta::days(day) + TimeDelta::minutes(15 * quarter);
        let walls = |zone: Tz| {
            let (from, until) = (start.and_utc() - TimeDelta::days(2), start.and_utc() + TimeDelta::days(900));
            let at = between(&rule, start, zone, from, until);
            // The ends of the span are instants, and lie elsewhere on another clock.
            let inner = start + TimeDelta::days(890);
            at.iter().map(|at| at.naive_local()).filter(|wall| *wall < inner).collect::<Vec<_>>()
        };
        prop_assert_eq!(walls(zones.0), walls(zones.1));
    }

    #[test]
    fn every_occurrence_lies_in_its_span_at_or_after_the_start_and_meets_its_parts(
        rule in rule(), start in start(), zone in zone(),
    ) {
        let (from, until) = (start.and_utc() - TimeDelta::days(400), start.and_utc() + TimeDelta::days(400));
        let at = between(&rule, start, zone, from, until);
        prop_assert!(at.is_sorted() && at.iter().all(|at| *at >= from && *at < until));
        if let Some((_, months)) = rule.split_once("BYMONTH=") {
            let months = months.split(';').next().unwrap();
            // Only Apia's skipped day can move an occurrence into another month, 30 December to the 31st: none does.
            prop_assert!(at.iter().all(|at| months.split(',').any(|m| m == at.month().to_string())));
        }
    }
}
