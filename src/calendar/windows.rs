//! When a duty opens and falls due: windows of the year, intervals since it was last done, days after something.
//!
//! All of it on civil dates. A duty done late does not drift its season: a window belongs to its year, whatever happened
//! in the years before. A window that was missed gives way when the next one opens, and how many were missed is said.
//! The days round the freeze dates are design rules of this program (the 45 days of a pump test among them); the freeze
//! dates are the property's own where they were given.

use chrono::{Datelike, Days, NaiveDate};

use super::almanac::{DayOfYear, Season};
use super::occurrences::{Interval, Past};

/// A day of the year, `(4, 25)`.
pub type MonthDay = (u32, u32);

/// What is known of a place's year.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Year {
    /// Usual day of the last freeze in spring.
    pub last_freeze: Option<MonthDay>,
    /// Usual day of the first freeze in autumn.
    pub first_freeze: Option<MonthDay>,
}

/// Taken where no freeze date is given: spring from 1 March to 31 May.
const SPRING: (MonthDay, MonthDay) = ((3, 1), (5, 31));
/// Taken where no freeze date is given: autumn from 1 September to 31 October.
const AUTUMN: (MonthDay, MonthDay) = ((9, 1), (10, 31));
/// Taken where no last freeze is given, so that a pump is tested by 1 March.
const LAST_FREEZE: MonthDay = (4, 15);
/// Taken where no first freeze is given.
const FIRST_FREEZE: MonthDay = (10, 15);
/// The wet season is taken to begin then, until a place says otherwise.
const WET_SEASON: MonthDay = (10, 1);
/// A spring walk opens so long before the last freeze, and is due so long after it.
const BEFORE_LAST_FREEZE: u64 = 30;
const AFTER_LAST_FREEZE: u64 = 45;
/// An autumn walk opens so long before the first freeze, and is due two weeks before it.
const BEFORE_FIRST_FREEZE: u64 = 75;
const DUE_BEFORE_FIRST_FREEZE: u64 = 14;
/// What has to be done by a day can be done from so many days before.
const OPEN_FOR: u64 = 30;

/// When something can be done, and by when.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Window {
    pub opens: NaiveDate,
    pub due: NaiveDate,
}

/// What of a duty stands on a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Standing {
    /// As it stands, moved or waiting for somebody.
    pub window: Window,
    /// The day on which it would fall due if nobody had moved it: by this the occurrence is known.
    pub occurs: NaiveDate,
    /// Windows since it was last done that went by, the one that stands left out.
    pub missed: u32,
    /// The first day on which this answer can be another although nothing happened.
    pub changes_on: Option<NaiveDate>,
}

impl Year {
    /// The window of a season in one year.
    pub fn season(&self, season: Season, year: i32) -> Option<Window> {
        match season {
            Season::Spring => match self.last_freeze {
                Some(day) => around(on(year, day)?, BEFORE_LAST_FREEZE, AFTER_LAST_FREEZE as i64),
                None => Some(Window { opens: on(year, SPRING.0)?, due: on(year, SPRING.1)? }),
            },
            Season::Autumn => match self.first_freeze {
                Some(day) => around(on(year, day)?, BEFORE_FIRST_FREEZE, -(DUE_BEFORE_FIRST_FREEZE as i64)),
                None => Some(Window { opens: on(year, AUTUMN.0)?, due: on(year, AUTUMN.1)? }),
            },
        }
    }

    /// The window of what is due so many days before a day of the year.
    pub fn before(&self, day: DayOfYear, days: u32, year: i32) -> Option<Window> {
        let day = match day {
            DayOfYear::LastFreeze => self.last_freeze.unwrap_or(LAST_FREEZE),
            DayOfYear::FirstFreeze => self.first_freeze.unwrap_or(FIRST_FREEZE),
            DayOfYear::WetSeason => WET_SEASON,
        };
        let due = on(year, day)?.checked_sub_days(Days::new(u64::from(days)))?;
        Some(Window { opens: due.checked_sub_days(Days::new(OPEN_FOR))?, due })
    }
}

/// The day of a year; 29 February falls on the 28th where there is none.
fn on(year: i32, (month, day): MonthDay) -> Option<NaiveDate> {
    NaiveDate::from_ymd_opt(year, month, day).or_else(|| NaiveDate::from_ymd_opt(year, month, day.checked_sub(1)?))
}

fn around(day: NaiveDate, before: u64, after: i64) -> Option<Window> {
    let due = day.checked_add_signed(chrono::TimeDelta::days(after))?;
    Some(Window { opens: day.checked_sub_days(Days::new(before))?, due })
}

/// The window of what is due by a day of every year.
pub fn by_day(day: MonthDay, year: i32) -> Option<Window> {
    let due = on(year, day)?;
    Some(Window { opens: due.checked_sub_days(Days::new(OPEN_FOR))?, due })
}

/// The window of what is due by one day.
pub fn one_off(due: NaiveDate) -> Option<Window> {
    Some(Window { opens: due.checked_sub_days(Days::new(OPEN_FOR))?, due })
}

/// Which window of a yearly duty stands on `today`, for something that is there since `since` and of which `past` is known.
///
/// The latest window that has opened, unless it was done, skipped, or has lapsed; else the next that is not skipped. A
/// window lapses on the day that `lapses` gives for its year, or when the next one opens: in autumn nobody walks for spring
/// any more, unless it was given a day there. Done counts from the day a window opens until the next one does. Windows that
/// were due before `since` are nobody's.
pub fn yearly(
    window: impl Fn(i32) -> Option<Window>,
    lapses: impl Fn(i32) -> Option<NaiveDate>,
    since: NaiveDate,
    past: &Past,
    today: NaiveDate,
) -> Option<Standing> {
    let ahead = 2 + i32::try_from(past.skipped.len()).unwrap_or(i32::MAX / 2).min(100);
    let years = since.year() - 1..=today.year().max(since.year()) + ahead;
    let windows: Vec<(Window, Option<NaiveDate>)> = years
        .filter_map(|year| Some((window(year)?, lapses(year))))
        .map(|(window, lapses)| (window, lapses.filter(|day| *day > window.due && !past.is_moved(&window))))
        .filter(|(window, _)| window.due >= since)
        .collect();
    let next = windows.iter().position(|(w, _)| w.opens > today).unwrap_or(windows.len());
    let opens_next = |i: usize| windows.get(i + 1).map(|(w, _)| w.opens);
    let ends = |i: usize| windows.get(i).and_then(|(_, lapses)| *lapses).into_iter().chain(opens_next(i)).min();
    let is_settled = |i: usize| {
        let (window, _) = windows[i];
        let is_of = |day: &NaiveDate| *day >= window.opens && opens_next(i).is_none_or(|until| *day < until);
        past.is_skipped(&window) || past.done.iter().any(|day| is_of(day) && *day <= today)
    };
    let missed_before = |i: usize| (0..i).rev().take_while(|i| !is_settled(*i)).count() as u32;
    let stands = next.checked_sub(1).filter(|last| !is_settled(*last) && ends(*last).is_none_or(|end| today < end));
    let i = stands.or_else(|| (next..windows.len()).find(|i| !is_settled(*i)))?;
    let (window, _) = windows[i];
    Some(Standing { window: past.shifted(window), occurs: window.due, missed: missed_before(i), changes_on: ends(i) })
}

/// What is due so long after it was last done; the first time within a month of `since`, or sooner where the interval is
/// shorter. A skipped occurrence gives way to the one an interval later, counted from when it was skipped if it was late.
pub fn every(interval: Interval, since: NaiveDate, past: &Past, today: NaiveDate) -> Option<Standing> {
    let about = interval.about_days().max(1);
    let mut due = match past.last_done(today) {
        Some(day) => interval.after(day)?,
        None => since.checked_add_days(Days::new(OPEN_FOR.min(about)))?,
    };
    while let Some(said) = past.skipped.get(&due) {
        // An interval of no time would skip for ever.
        due = interval.after(due.max(*said)).filter(|later| *later > due)?;
    }
    let opens = due.checked_sub_days(Days::new(OPEN_FOR.min(about / 3)))?;
    let window = past.shifted(Window { opens, due });
    Some(Standing { window, occurs: due, missed: 0, changes_on: None })
}

/// The walk of one season is over when that of the other opens.
pub fn lapse(year: &Year, season: Season, y: i32) -> Option<NaiveDate> {
    let opens = |season, y| year.season(season, y).map(|w| w.opens);
    match season {
        Season::Spring => opens(Season::Autumn, y),
        Season::Autumn => opens(Season::Spring, y.checked_add(1)?),
    }
}

/// What is due from `from` to `to` days after something happened.
pub fn after(happened: NaiveDate, from: u32, to: u32) -> Option<Window> {
    let due = happened.checked_add_days(Days::new(u64::from(to)))?;
    let opens = match from {
        0 => due.checked_sub_days(Days::new(OPEN_FOR / 2))?,
        days => happened.checked_add_days(Days::new(u64::from(days)))?,
    };
    Some(Window { opens, due })
}

#[cfg(test)]
mod tests {
    use chrono::{Days, NaiveDate};
    use proptest::prelude::{Just, Strategy, prop, prop_assert, prop_assert_eq, prop_oneof, proptest};

    use super::super::almanac::{DayOfYear, Season};
    use super::super::occurrences::{Interval, Past};
    use super::{Standing, Window, Year, after, every, yearly};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn window(opens: &str, due: &str) -> Window {
        Window { opens: day(opens), due: day(due) }
    }

    const CHICAGO: Year = Year { last_freeze: Some((4, 25)), first_freeze: Some((10, 12)) };

    #[test]
    fn a_pump_is_tested_forty_five_days_before_the_usual_last_freeze() {
        // 25 April less 45 days is 11 March; it can be done from 30 days before that, 9 February.
        assert_eq!(CHICAGO.before(DayOfYear::LastFreeze, 45, 2026), Some(window("2026-02-09", "2026-03-11")));
    }

    #[test]
    fn a_window_stands_until_it_is_done_or_the_next_one_opens() {
        let spring = |year| CHICAGO.season(Season::Spring, year);
        // 25 April less 30 days to 25 April and 45 days.
        assert_eq!(spring(2026), Some(window("2026-03-26", "2026-06-09")));
        let stands = |done: &[&str], today: &str| {
            let done: Vec<NaiveDate> = done.iter().map(|d| day(d)).collect();
            yearly(spring, |_| None, day("2024-05-01"), &Past::done_on(&done), day(today))
        };
        let changes = |on: &str| Some(day(on));
        let of = |window: Window, missed, changes_on| Some(Standing { window, occurs: window.due, missed, changes_on });
        let [y24, y25, y26] = [2024, 2025, 2026].map(|year| spring(year).unwrap());
        assert_eq!(stands(&[], "2024-05-01"), of(y24, 0, changes("2025-03-26")));
        assert_eq!(stands(&[], "2025-03-25"), of(y24, 0, changes("2025-03-26")));
        assert_eq!(stands(&[], "2025-03-26"), of(y25, 1, changes("2026-03-26")));
        // Done late, in August: the next one is that of the next spring, not a year after August.
        assert_eq!(stands(&["2024-08-20"], "2024-09-01"), of(y25, 0, changes("2026-03-26")));
        assert_eq!(stands(&["2024-08-20"], "2026-04-01"), of(y26, 1, changes("2027-03-26")));
        // What was done a day before it opened is not that spring's.
        assert_eq!(stands(&["2024-06-01", "2025-03-25"], "2025-03-26"), of(y25, 0, changes("2026-03-26")));
    }

    #[test]
    fn a_spring_walk_lapses_when_the_autumn_walk_opens() {
        let spring = |year| CHICAGO.season(Season::Spring, year);
        let autumn = |year| CHICAGO.season(Season::Autumn, year).map(|w| w.opens);
        // 12 October less 75 days.
        assert_eq!(autumn(2024), Some(day("2024-07-29")));
        let stands = |today: &str| yearly(spring, autumn, day("2024-05-01"), &Past::default(), day(today)).unwrap();
        assert_eq!(stands("2024-07-28").window, spring(2024).unwrap());
        assert_eq!(stands("2024-07-28").changes_on, Some(day("2024-07-29")));
        let lapsed = stands("2024-07-29");
        assert_eq!((lapsed.window, lapsed.missed), (spring(2025).unwrap(), 1));
        assert_eq!(lapsed.changes_on, Some(day("2025-07-29")));
    }

    #[test]
    fn what_is_done_again_and_again_counts_from_the_last_time() {
        let stands = |done: &[&str]| {
            let done: Vec<NaiveDate> = done.iter().map(|d| day(d)).collect();
            let past = Past::done_on(&done);
            every(Interval::months(4), day("2025-01-10"), &past, day("2026-01-01")).unwrap().window
        };
        assert_eq!(stands(&["2025-10-14"]), window("2026-01-15", "2026-02-14"));
        assert_eq!(stands(&["2025-10-14", "2025-06-01"]), window("2026-01-15", "2026-02-14"));
        assert_eq!(stands(&[]), window("2025-01-10", "2025-02-09"));
    }

    #[test]
    fn a_test_after_mitigation_has_its_day_and_its_month() {
        assert_eq!(after(day("2026-01-10"), 1, 30), Some(window("2026-01-11", "2026-02-09")));
    }

    fn freezes() -> impl Strategy<Value = Year> {
        let day = || prop::option::of((1..=12_u32, 1..=29_u32));
        (day(), day()).prop_map(|(last_freeze, first_freeze)| Year { last_freeze, first_freeze })
    }

    proptest! {
        #[test]
        fn done_today_is_not_due_today(year in freezes(), since in 0_u64..4000, age in 0_u64..4000, which in 0..3) {
            let since = day("2015-01-01") + Days::new(since);
            let today = since + Days::new(age);
            let window = |y: i32| match which {
                0 => year.season(Season::Spring, y),
                1 => year.season(Season::Autumn, y),
                _ => year.before(DayOfYear::LastFreeze, 45, y),
            };
            let before = yearly(window, |_| None, since, &Past::default(), today).unwrap();
            let after = yearly(window, |_| None, since, &Past::done_on(&[today]), today).unwrap();
            prop_assert!(after.window.opens > today, "{after:?}");
            prop_assert!(after.window >= before.window);
        }

        #[test]
        fn nothing_changes_before_the_day_it_says(
            year in freezes(), since in 0_u64..2000, age in 0_u64..2000, done in prop::option::of(0_u64..2000), later in 0_u64..800,
            season in prop_oneof![Just(Season::Spring), Just(Season::Autumn)],
        ) {
            let since = day("2015-01-01") + Days::new(since);
            let today = since + Days::new(age);
            let done: Vec<NaiveDate> = done.map(|d| since + Days::new(d)).into_iter().filter(|d| *d <= today).collect();
            let lapses = |y| year.season(Season::Autumn, y).map(|w| w.opens);
            let past = Past::done_on(&done);
            let stands = |today| yearly(|y| year.season(season, y), lapses, since, &past, today).unwrap();
            let (now, then) = (stands(today), today + Days::new(later));
            if now.changes_on.is_none_or(|on| then < on) {
                let then = stands(then);
                prop_assert_eq!((now.window, now.missed), (then.window, then.missed));
            }
        }
    }
}
