//! A year, minute by minute, in zones that change their clocks in different ways: no reminder is lost, none comes twice, and
//! none comes in quiet hours. What has to come, and when, is said here by the wall clock alone.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate, NaiveDateTime, TimeDelta, TimeZone, Timelike, Utc};
use chrono_tz::Tz;
use proptest::prelude::*;

use super::calls::Calls;
use super::moments::{Due, Moments, Quiet, Standing as Stands, pause};
use super::notice::tests::thing;
use super::notice::{Occurrence, Thing};
use super::plan::{Digest, Standing, plan};
use crate::calendar::cron_text::CronText;

/// Ways to change clocks: by an hour in the north and in the south, by half an hour, not at all.
const ZONES: [Tz; 4] = [
    chrono_tz::America::New_York,
    chrono_tz::America::Santiago,
    chrono_tz::Australia::Lord_Howe,
    chrono_tz::Asia::Kolkata,
];

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

/// Things due all through the year, also where clocks change.
fn things() -> Vec<Thing> {
    let days = [
        "2027-01-04",
        "2027-03-13",
        "2027-03-14",
        "2027-03-15",
        "2027-04-03",
        "2027-04-04",
        "2027-06-30",
        "2027-09-05",
        "2027-10-03",
        "2027-11-07",
        "2027-11-08",
        "2027-12-20",
    ];
    let one = |(n, due): (usize, &&str)| {
        let id = Occurrence { property: uuid::Uuid::from_u128(7), subject: n.to_string(), occurs_on: day(due) };
        Thing { id, ..thing("elm", due) }
    };
    days.iter().enumerate().map(one).collect()
}

/// What a simulated year left: what was told, under which number, and when.
type Told = BTreeMap<(usize, u32), Vec<DateTime<Utc>>>;

/// Lives through a year, a minute at a time; `awake` says in which minutes the machine is on, `up` in which the channel can
/// be reached.
fn live(
    moments: &Moments,
    calls: &Calls,
    awake: &dyn Fn(DateTime<Utc>) -> bool,
    up: &dyn Fn(DateTime<Utc>) -> bool,
) -> Told {
    let all = things();
    let mut told: Told = BTreeMap::new();
    let mut now: DateTime<Utc> = "2026-12-31T00:00:00Z".parse().unwrap();
    let end: DateTime<Utc> = "2028-01-01T12:00:00Z".parse().unwrap();
    let mut stands = Stands { handled_until: now, next_try: None };
    let mut tries = 0;
    // As in the program: nothing is looked at before the instant that it sleeps to.
    let mut asleep_until = now;
    while now < end {
        now += TimeDelta::minutes(1);
        if !awake(now) {
            // A machine that was off starts by looking at the clock.
            asleep_until = now;
            continue;
        }
        if now < asleep_until {
            continue;
        }
        match moments.due(stands, now) {
            Due::At(at) => asleep_until = at,
            Due::Never => panic!("a daily rule has a moment left"),
            Due::Now if !up(now) => {
                tries += 1;
                stands = Stands { handled_until: now, next_try: Some(now + pause(tries)) };
            }
            Due::Now => {
                let today = now.with_timezone(&moments.zone).date_naive();
                let last = |n: usize| told.range((n, 0)..=(n, u32::MAX)).next_back().map(|((_, number), _)| *number);
                let standing = all.iter().enumerate();
                let standing = standing.map(|(n, thing)| Standing { thing: thing.clone(), last: last(n) }).collect();
                for notice in plan("me", calls, Digest::Property, standing, today) {
                    for thing in notice.things {
                        let n: usize = thing.id.subject.parse().unwrap();
                        told.entry((n, thing.number)).or_default().push(now);
                    }
                }
                tries = 0;
                stands = Stands { handled_until: now, next_try: None };
            }
        }
    }
    told
}

/// The first minute of a day at which the clock shows `hour` or later, found by walking over its minutes.
fn first_at(zone: Tz, day: NaiveDate, hour: u32) -> DateTime<Utc> {
    let midnight: NaiveDateTime = day.and_hms_opt(0, 0, 0).unwrap();
    let mut at = zone.from_utc_datetime(&(midnight - TimeDelta::days(1)));
    while at.date_naive() < day || (at.date_naive() == day && at.hour() < hour) {
        at += TimeDelta::minutes(1);
    }
    at.with_timezone(&Utc)
}

#[test]
fn a_year_of_minutes_in_four_zones_loses_and_doubles_nothing() {
    // Every day at 02:30, which some days have not and some have twice; a thing is told of seven days before, the day
    // before, and every fortnight afterwards. The clocks of none of these zones stand still at 02:30 for longer than an
    // hour, so each telling comes on its own day, by 03:30.
    let calls = Calls::before(&[7, 1], Some(14));
    for zone in ZONES {
        let moments = Moments { when: CronText::parse("30 2 * * *").unwrap(), zone, quiet: None };
        let told = live(&moments, &calls, &|_| true, &|_| true);
        let mut expected = 0;
        for (n, thing) in things().iter().enumerate() {
            let year_ends = day("2027-12-31");
            let mut days = vec![thing.due_on - TimeDelta::days(7), thing.due_on - TimeDelta::days(1)];
            days.extend((1..40).map(|k| thing.due_on + TimeDelta::days(14 * k)));
            for (number, on) in days.into_iter().enumerate().filter(|(_, on)| *on <= year_ends) {
                // The one of early January has its first day before the year begins, and is told at once.
                let on = on.max(day("2026-12-31"));
                let came = told.get(&(n, number as u32)).map(Vec::as_slice).unwrap_or_default();
                let local: Vec<_> = came.iter().map(|at| at.with_timezone(&zone)).collect();
                assert_eq!(local.len(), 1, "{zone}: {} told for the {number}th time: {local:?}", thing.due_on);
                let minutes = local[0].hour() * 60 + local[0].minute();
                assert!((150..=210).contains(&minutes), "{zone}: {}", local[0]);
                if on > day("2026-12-31") {
                    assert_eq!(local[0].date_naive(), on, "{zone}");
                }
                expected += 1;
            }
        }
        assert!(told.values().map(Vec::len).sum::<usize>() >= expected && expected > 150, "{zone}: {expected}");
        assert!(told.values().all(|times| times.len() == 1), "{zone}");
    }
}

#[test]
fn a_machine_that_is_off_and_a_channel_that_is_down_delay_and_lose_nothing() {
    let calls = Calls::before(&[7], None);
    for zone in ZONES {
        let quiet = Quiet::parse("21:00-06:30").unwrap();
        let moments = Moments { when: CronText::parse("0 5 * * *").unwrap(), zone, quiet: Some(quiet) };
        // On for two hours in every seven; and down on the first twelve days of every month.
        let awake = |at: DateTime<Utc>| at.timestamp() / 3600 % 7 < 2;
        let up = |at: DateTime<Utc>| at.format("%d").to_string().parse::<u32>().unwrap() > 12;
        let told = live(&moments, &calls, &awake, &up);
        assert_eq!(told.keys().copied().collect::<Vec<_>>(), (0..12).map(|n| (n, 0)).collect::<Vec<_>>(), "{zone}");
        for ((n, _), times) in &told {
            let [at] = times[..] else { panic!("{zone}: {n} came {} times", times.len()) };
            let local = at.with_timezone(&zone);
            assert!((6 * 60 + 30..21 * 60).contains(&(local.hour() * 60 + local.minute())), "{zone}: {local} is quiet");
            assert!(awake(at) && up(at), "{at}");
            // The first minute in which it could have come; then the channel may have to be tried again, six hours later.
            let from = (things()[*n].due_on - TimeDelta::days(7)).max(day("2026-12-31"));
            let begins: DateTime<Utc> = "2026-12-31T00:00:00Z".parse().unwrap();
            let mut first = first_at(zone, from, 5);
            if first <= begins {
                first = first_at(zone, from.succ_opt().unwrap(), 5);
            }
            let is_quiet = |at: DateTime<Utc>| {
                let local = at.with_timezone(&zone);
                local.hour() >= 21 || local.hour() * 60 + local.minute() < 6 * 60 + 30
            };
            while !awake(first) || !up(first) || is_quiet(first) {
                first += TimeDelta::minutes(1);
            }
            assert!(at >= first && at - first <= TimeDelta::hours(26), "{zone}: {at}, first {first}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    /// Whenever it is woken, what it sleeps to lies ahead, and there something is due.
    #[test]
    fn what_is_slept_to_is_due_then(
        zone in 0usize..4, minute in 0u32..60, hour in 0u32..24, from in 0u32..1440, length in 1u32..1439, handled in 0i64..400_000, later in 0i64..200_000,
    ) {
        let until = (from + length) % 1440;
        let text = format!("{:02}:{:02}-{:02}:{:02}", from / 60, from % 60, until / 60, until % 60);
        let when = CronText::parse(&format!("{minute} {hour} * * *")).unwrap();
        let moments = Moments { when, zone: ZONES[zone], quiet: Some(Quiet::parse(&text).unwrap()) };
        let start: DateTime<Utc> = "2027-01-01T00:00:00Z".parse().unwrap();
        let handled_until = start + TimeDelta::minutes(handled);
        let now = handled_until + TimeDelta::minutes(later);
        let stands = Stands { handled_until, next_try: None };
        match moments.due(stands, now) {
            Due::Now => prop_assert_eq!(moments.not_quiet(now), now),
            Due::At(at) => {
                prop_assert!(at > now);
                prop_assert_eq!(moments.due(stands, at), Due::Now);
                // A day and a half holds every moment and every quiet time, with a change of clocks.
                prop_assert!(at - now <= TimeDelta::hours(49), "{} {}", now, at);
            }
            Due::Never => prop_assert!(false, "a daily rule always comes again"),
        }
    }
}
