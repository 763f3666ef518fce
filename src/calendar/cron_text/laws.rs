//! Laws of cron text: expansion equals a clock watched minute by minute for a year.

use std::collections::BTreeSet;

use chrono::{DateTime, Datelike, TimeDelta, Timelike, Utc};
use chrono_tz::Tz;
use chrono_tz::{America::New_York, Australia::Lord_Howe, Europe::London};
use proptest::prelude::*;
use proptest::sample::{select, subsequence};

use super::CronText;

/// A field as the law's own reader takes it: a star with a step, or a list.
#[derive(Debug, Clone)]
enum Own {
    Star(u32),
    List(Vec<u32>),
}

impl Own {
    fn text(&self) -> String {
        match self {
            Own::Star(1) => "*".to_owned(),
            Own::Star(step) => format!("*/{step}"),
            Own::List(list) => list.iter().map(u32::to_string).collect::<Vec<_>>().join(","),
        }
    }

    fn has(&self, value: u32, least: u32) -> bool {
        match self {
            Own::Star(step) => (value - least).is_multiple_of(*step),
            Own::List(list) => list.contains(&value),
        }
    }

    fn is_star(&self) -> bool {
        matches!(self, Own::Star(_))
    }
}

fn field(least: u32, most: u32) -> impl Strategy<Value = Own> {
    let all: Vec<u32> = (least..=most).collect();
    prop_oneof![
        2 => Just(Own::Star(1)),
        1 => (2u32..9).prop_map(Own::Star),
        3 => subsequence(all, 1..4).prop_map(Own::List),
    ]
}

/// Hours round the changes of clocks more often than others.
fn hour() -> impl Strategy<Value = Own> {
    prop_oneof![field(0, 23), subsequence(vec![0u32, 1, 2, 3], 1..3).prop_map(Own::List)]
}

/// Watches the clock: every minute of the year that the fields name; what the clock skips is made up for by a fixed job
/// at the first minute after, and a minute that comes again is passed over by it.
fn watched(fields: &[Own; 5], zone: Tz, from: DateTime<Utc>, until: DateTime<Utc>) -> Vec<DateTime<Utc>> {
    let [minute, hour, day, month, weekday] = fields;
    let names = |wall: chrono::NaiveDateTime| {
        let days = (day.has(wall.day(), 1), weekday.has(wall.weekday().num_days_from_sunday(), 0));
        let both = day.is_star() || weekday.is_star();
        minute.has(wall.minute(), 0)
            && hour.has(wall.hour(), 0)
            && month.has(wall.month(), 1)
            && if both { days.0 && days.1 } else { days.0 || days.1 }
    };
    let follows = minute.is_star() || hour.is_star();
    let (mut at, mut seen) = (BTreeSet::new(), BTreeSet::new());
    // Half a day before, so that what was seen there counts as seen.
    let mut now = from - TimeDelta::hours(12);
    let mut before = now.with_timezone(&zone).naive_local() - TimeDelta::minutes(1);
    while now < until {
        let wall = now.with_timezone(&zone).naive_local();
        let mut named = if follows { names(wall) } else { seen.insert(wall) && names(wall) };
        let mut skipped = before + TimeDelta::minutes(1);
        while !follows && skipped < wall {
            named |= names(skipped);
            skipped += TimeDelta::minutes(1);
        }
        if named && now >= from {
            at.insert(now);
        }
        before = wall;
        now += TimeDelta::minutes(1);
    }
    at.into_iter().collect()
}

fn year() -> (DateTime<Utc>, DateTime<Utc>) {
    let [from, until] = ["2027-01-01T00:00:00Z", "2028-01-01T00:00:00Z"].map(|text| text.parse().expect("an instant"));
    (from, until)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_year_watched_minute_by_minute_gives_each_occurrence_once(
        fields in (field(0, 59), hour(), field(1, 31), field(1, 12), field(0, 6)),
        zone in select(vec![New_York, London, Lord_Howe, Tz::UTC]),
    ) {
        let fields = [fields.0, fields.1, fields.2, fields.3, fields.4];
        let text = fields.each_ref().map(Own::text).join(" ");
        let (from, until) = year();
        let at = CronText::parse(&text).unwrap().between(zone, from, until).unwrap();
        prop_assert_eq!(at, watched(&fields, zone, from, until), "{}", text);
    }

    #[test]
    fn two_spans_that_meet_give_what_the_whole_does(
        fields in (field(0, 59), hour(), field(1, 31), field(1, 12), field(0, 6)),
        zone in select(vec![New_York, London, Lord_Howe, Tz::UTC]), cut in 0i64..525_600,
    ) {
        let text = [fields.0, fields.1, fields.2, fields.3, fields.4].each_ref().map(Own::text).join(" ");
        let (from, until) = year();
        let middle = from + TimeDelta::minutes(cut);
        let rule = CronText::parse(&text).unwrap();
        let of = |from, until| rule.between(zone, from, until).unwrap();
        prop_assert_eq!(of(from, until), [of(from, middle), of(middle, until)].concat());
    }
}
