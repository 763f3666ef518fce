//! When a duty opens and falls due: windows of the year, intervals since it was last done, days after something.
//!
//! All of it on civil dates. A duty done late does not drift its season: a window belongs to its year, whatever happened
//! in the years before. A window that was missed gives way when the next one opens, and how many were missed is said.
//! The days round the freeze dates are design rules of this program (the 45 days of a pump test among them); the freeze
//! dates are the property's own where they were given. South of the equator the days that are taken where none are given
//! lie half a year later.

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
    /// Day on which the wet season begins.
    pub wet_season: Option<MonthDay>,
    /// South of the equator.
    pub southern: bool,
}

/// Taken where no freeze date is given: spring from 1 March to 31 May.
const SPRING: Taken<(MonthDay, MonthDay)> = Taken { north: ((3, 1), (5, 31)), south: ((9, 1), (11, 30)) };
/// Taken where no freeze date is given: autumn from 1 September to 31 October.
const AUTUMN: Taken<(MonthDay, MonthDay)> = Taken { north: ((9, 1), (10, 31)), south: ((3, 1), (4, 30)) };
/// The other two seasons, as meteorologists count them; no freeze date moves them.
const SUMMER: Taken<(MonthDay, MonthDay)> = Taken { north: ((6, 1), (8, 31)), south: ((12, 1), (2, 28)) };
const WINTER: Taken<(MonthDay, MonthDay)> = Taken { north: ((12, 1), (2, 28)), south: ((6, 1), (8, 31)) };
/// An autumn walk is best begun so long before the first freeze: what it finds can be mended before that.
const BEST_BEFORE_FIRST_FREEZE: u64 = 30;
/// Taken where no last freeze is given, so that a pump is tested by 1 March.
const LAST_FREEZE: Taken<MonthDay> = Taken { north: (4, 15), south: (10, 15) };
/// Taken where no first freeze is given.
const FIRST_FREEZE: Taken<MonthDay> = Taken { north: (10, 15), south: (4, 15) };
/// The wet season is taken to begin then, until a place says otherwise.
const WET_SEASON: Taken<MonthDay> = Taken { north: (10, 1), south: (4, 1) };
/// A spring walk opens so long before the last freeze, and is due so long after it.
const BEFORE_LAST_FREEZE: u64 = 30;
const AFTER_LAST_FREEZE: u64 = 45;
/// An autumn walk opens so long before the first freeze, and is due two weeks before it.
const BEFORE_FIRST_FREEZE: u64 = 75;
const DUE_BEFORE_FIRST_FREEZE: u64 = 14;
/// What has to be done by a day can be done from so many days before.
const OPEN_FOR: u64 = 30;

/// What is taken on either side of the equator.
struct Taken<T> {
    north: T,
    south: T,
}

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
    /// The side of the equator by usual freeze dates: the last one of spring falls in July to November in the south, the
    /// first one of autumn in February to July. `None` where they do not tell.
    pub fn southern_by(last_freeze: Option<MonthDay>, first_freeze: Option<MonthDay>) -> Option<bool> {
        let last = last_freeze.map(|(month, _)| (7..=11).contains(&month));
        last.or_else(|| first_freeze.map(|(month, _)| (2..=7).contains(&month)))
    }

    fn taken<T>(&self, of: Taken<T>) -> T {
        if self.southern { of.south } else { of.north }
    }

    /// The day on which the window of one season of a year gives way: when that of the other opens.
    pub fn season_lapses(&self, season: Season, year: i32) -> Option<NaiveDate> {
        let other = match season {
            Season::Spring => Season::Autumn,
            Season::Autumn => Season::Spring,
            Season::Summer | Season::Winter => return None,
        };
        self.first_opening(self.season(season, year)?, year, |year| self.season(other, year))
    }

    /// The same for what is due before a day of the year: what is due before the last freeze gives way when what is due
    /// before the wet season opens.
    pub fn before_lapses(&self, day: DayOfYear, days: u32, year: i32) -> Option<NaiveDate> {
        match day {
            DayOfYear::LastFreeze => self
                .first_opening(self.before(day, days, year)?, year, |year| self.before(DayOfYear::WetSeason, 0, year)),
            DayOfYear::FirstFreeze | DayOfYear::WetSeason => None,
        }
    }

    /// When the other one opens first after a window is due: seasons of one year follow one another in either order.
    fn first_opening(&self, of: Window, year: i32, other: impl Fn(i32) -> Option<Window>) -> Option<NaiveDate> {
        (year - 1..=year + 2).filter_map(other).map(|window| window.opens).find(|opens| *opens > of.due)
    }

    /// The window of a season in one year.
    pub fn season(&self, season: Season, year: i32) -> Option<Window> {
        let fixed = |days: Taken<(MonthDay, MonthDay)>| {
            let (opens, due) = self.taken(days);
            // One that goes over the turn of the year is that of the year it ends in.
            let begins = if opens > due { year - 1 } else { year };
            Some(Window { opens: on(begins, opens)?, due: on(year, due)? })
        };
        match season {
            Season::Spring => match self.last_freeze {
                Some(day) => around(on(year, day)?, BEFORE_LAST_FREEZE, AFTER_LAST_FREEZE as i64),
                None => fixed(SPRING),
            },
            Season::Autumn => match self.first_freeze {
                Some(day) => around(on(year, day)?, BEFORE_FIRST_FREEZE, -(DUE_BEFORE_FIRST_FREEZE as i64)),
                None => fixed(AUTUMN),
            },
            Season::Summer => fixed(SUMMER),
            Season::Winter => fixed(WINTER),
        }
    }

    /// The day of a season's window from which it is best done: in spring once the last freeze is past, in autumn a month
    /// before the first one. Design rule of this program, no published source. `None` in the other seasons.
    pub fn best(&self, season: Season, year: i32) -> Option<NaiveDate> {
        let day = match season {
            Season::Spring => on(year, self.last_freeze.unwrap_or_else(|| self.taken(LAST_FREEZE)))?,
            Season::Autumn => on(year, self.first_freeze.unwrap_or_else(|| self.taken(FIRST_FREEZE)))?
                .checked_sub_days(Days::new(BEST_BEFORE_FIRST_FREEZE))?,
            Season::Summer | Season::Winter => return None,
        };
        let window = self.season(season, year)?;
        Some(day.clamp(window.opens, window.due))
    }

    /// The day that stands for a day of the year, given or taken.
    pub fn day_of(&self, day: DayOfYear) -> MonthDay {
        match day {
            DayOfYear::LastFreeze => self.last_freeze.unwrap_or_else(|| self.taken(LAST_FREEZE)),
            DayOfYear::FirstFreeze => self.first_freeze.unwrap_or_else(|| self.taken(FIRST_FREEZE)),
            DayOfYear::WetSeason => self.wet_season.unwrap_or_else(|| self.taken(WET_SEASON)),
        }
    }

    /// The window of what is due so many days before a day of the year.
    pub fn before(&self, day: DayOfYear, days: u32, year: i32) -> Option<Window> {
        let due = on(year, self.day_of(day))?.checked_sub_days(Days::new(u64::from(days)))?;
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
    let (years, windows): (Vec<i32>, Vec<Window>) =
        years.filter_map(|year| Some((year, window(year)?))).filter(|(_, window)| window.due >= since).unzip();
    let lapses = |i: usize| lapses(years[i]).filter(|day| *day > windows[i].due && !past.is_moved(&windows[i]));
    latest(&windows, lapses, past, today)
}

/// Which of some windows in their order stands on `today`; `lapses` gives the day on which the one of a number lapses: see
/// [`yearly`].
pub fn latest(
    windows: &[Window],
    lapses: impl Fn(usize) -> Option<NaiveDate>,
    past: &Past,
    today: NaiveDate,
) -> Option<Standing> {
    let next = windows.iter().position(|w| w.opens > today).unwrap_or(windows.len());
    let opens_next = |i: usize| windows.get(i + 1).map(|w| w.opens);
    let ends = |i: usize| lapses(i).into_iter().chain(opens_next(i)).min();
    let is_settled = |i: usize| {
        let window = windows[i];
        let is_of = |day: &NaiveDate| *day >= window.opens && opens_next(i).is_none_or(|until| *day < until);
        past.is_skipped(&window) || past.done.iter().any(|day| is_of(day) && *day <= today)
    };
    let missed_before = |i: usize| (0..i).rev().take_while(|i| !is_settled(*i)).count() as u32;
    let stands = next.checked_sub(1).filter(|last| !is_settled(*last) && ends(*last).is_none_or(|end| today < end));
    let i = stands.or_else(|| (next..windows.len()).find(|i| !is_settled(*i)))?;
    let window = windows[i];
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

/// The same, and within so many days of each of some happenings that it was not done after: the first of them counts.
pub fn every_and_after(
    interval: Interval,
    happened: &[NaiveDate],
    within: u32,
    since: NaiveDate,
    past: &Past,
    today: NaiveDate,
) -> Option<(Standing, Option<NaiveDate>)> {
    let regular = every(interval, since, past, today);
    let next = happened.iter().copied().filter(|day| *day > today).min();
    let occasion = |day: &NaiveDate| {
        let due = day.checked_add_days(Days::new(u64::from(within)))?;
        let standing = past.once(Window { opens: *day, due })?;
        let done = past.done.iter().any(|done| done > day && *done <= today);
        (*day >= since && *day <= today && !done).then_some((standing, Some(*day)))
    };
    let after = happened.iter().filter_map(occasion).min_by_key(|(standing, _)| standing.window);
    let sooner = after.filter(|(after, _)| regular.is_none_or(|regular| after.window.due < regular.window.due));
    let (standing, day) = sooner.or_else(|| regular.map(|regular| (regular, None)))?;
    Some((Standing { changes_on: next, ..standing }, day))
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
    use proptest::prelude::{Strategy, prop, prop_assert, prop_assert_eq, proptest};

    use super::super::almanac::{DayOfYear, Season};
    use super::super::occurrences::{Interval, Past};
    use super::{Standing, Window, Year, after, every, yearly};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn window(opens: &str, due: &str) -> Window {
        Window { opens: day(opens), due: day(due) }
    }

    const CHICAGO: Year =
        Year { last_freeze: Some((4, 25)), first_freeze: Some((10, 12)), wet_season: None, southern: false };

    /// Usual freeze dates of a place in the south, invented.
    const SOUTH: Year =
        Year { last_freeze: Some((9, 20)), first_freeze: Some((5, 10)), wet_season: None, southern: true };

    #[test]
    fn south_of_the_equator_seasons_have_their_own_days() {
        // 20 September less 30 days, and 45 days on; 10 May less 75 days, and less 14.
        assert_eq!(SOUTH.season(Season::Spring, 2026), Some(window("2026-08-21", "2026-11-04")));
        assert_eq!(SOUTH.season(Season::Autumn, 2026), Some(window("2026-02-24", "2026-04-26")));
        let unknown = Year { southern: true, ..Year::default() };
        assert_eq!(unknown.season(Season::Spring, 2026), Some(window("2026-09-01", "2026-11-30")));
        assert_eq!(unknown.season(Season::Autumn, 2026), Some(window("2026-03-01", "2026-04-30")));
        // 15 October less 45 days is 31 August; 1 April.
        assert_eq!(unknown.before(DayOfYear::LastFreeze, 45, 2026), Some(window("2026-08-01", "2026-08-31")));
        assert_eq!(unknown.before(DayOfYear::WetSeason, 0, 2026), Some(window("2026-03-02", "2026-04-01")));
        let wet_in_june = Year { wet_season: Some((6, 1)), ..unknown };
        assert_eq!(wet_in_june.before(DayOfYear::WetSeason, 0, 2026), Some(window("2026-05-02", "2026-06-01")));
    }

    #[test]
    fn a_season_gives_way_to_the_next_one_on_either_side_of_the_equator() {
        // Spring gives way to the autumn of the same year in the north, of the next in the south; autumn the other way.
        for (year, season, lapses) in [
            (CHICAGO, Season::Spring, "2026-07-29"),
            (CHICAGO, Season::Autumn, "2027-03-26"),
            (SOUTH, Season::Spring, "2027-02-24"),
            (SOUTH, Season::Autumn, "2026-08-21"),
        ] {
            assert_eq!(year.season_lapses(season, 2026), Some(day(lapses)), "{season:?}");
        }
        // Before the wet season of 1 October opens on 1 September; of 1 April on 2 March of the next year.
        assert_eq!(CHICAGO.before_lapses(DayOfYear::LastFreeze, 45, 2026), Some(day("2026-09-01")));
        assert_eq!(SOUTH.before_lapses(DayOfYear::LastFreeze, 45, 2026), Some(day("2027-03-02")));
        assert_eq!(CHICAGO.before_lapses(DayOfYear::WetSeason, 0, 2026), None);
    }

    #[test]
    fn freeze_dates_tell_the_side_of_the_equator() {
        assert_eq!(Year::southern_by(Some((9, 20)), None), Some(true));
        assert_eq!(Year::southern_by(Some((4, 25)), Some((5, 10))), Some(false));
        assert_eq!(Year::southern_by(None, Some((5, 10))), Some(true));
        assert_eq!(Year::southern_by(None, Some((1, 6))), Some(false));
        assert_eq!(Year::southern_by(None, None), None);
    }

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
        (day(), day(), day(), prop::bool::ANY).prop_map(|(last_freeze, first_freeze, wet_season, southern)| Year {
            last_freeze,
            first_freeze,
            wet_season,
            southern,
        })
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

        /// Half a year on, the south does what the north does: its windows are those of the north with the halves of the
        /// year changed, to a day or two, since half-years are not equally long.
        #[test]
        fn the_south_is_the_north_half_a_year_later(month in 3..=5_u32, first in 9..=11_u32, at in 1..=28_u32, y in 1990..2090) {
            let other = |month: u32| if month > 6 { month - 6 } else { month + 6 };
            let north = Year { last_freeze: Some((month, at)), first_freeze: Some((first, at)), ..Year::default() };
            let south = Year {
                last_freeze: Some((other(month), at)), first_freeze: Some((other(first), at)), southern: true, ..Year::default()
            };
            for year in [north, south] {
                let taken = Year { last_freeze: None, first_freeze: None, ..year };
                for year in [year, taken] {
                    for season in [Season::Spring, Season::Autumn] {
                        let (window, lapses) = (year.season(season, y).unwrap(), year.season_lapses(season, y).unwrap());
                        prop_assert!(window.opens <= window.due && window.due < lapses);
                    }
                }
            }
            for season in [Season::Spring, Season::Autumn] {
                for (north, south) in [(north, south), (Year::default(), Year { southern: true, ..Year::default() })] {
                    let [north, south] = [north, south].map(|year| year.season(season, y).unwrap());
                    let apart = (south.opens - north.opens).num_days().abs();
                    prop_assert!((180..=186).contains(&apart), "{north:?} {south:?}");
                }
            }
        }

        #[test]
        fn nothing_changes_before_the_day_it_says(
            year in freezes(), since in 0_u64..2000, age in 0_u64..2000, done in prop::option::of(0_u64..2000), later in 0_u64..800,
            which in 0..4,
        ) {
            let since = day("2015-01-01") + Days::new(since);
            let today = since + Days::new(age);
            let done: Vec<NaiveDate> = done.map(|d| since + Days::new(d)).into_iter().filter(|d| *d <= today).collect();
            let window = |y| match which {
                0 => year.season(Season::Spring, y),
                1 => year.season(Season::Autumn, y),
                2 => year.before(DayOfYear::LastFreeze, 45, y),
                _ => year.before(DayOfYear::WetSeason, 0, y),
            };
            let lapses = |y| match which {
                0 => year.season_lapses(Season::Spring, y),
                1 => year.season_lapses(Season::Autumn, y),
                2 => year.before_lapses(DayOfYear::LastFreeze, 45, y),
                _ => year.before_lapses(DayOfYear::WetSeason, 0, y),
            };
            let past = Past::done_on(&done);
            let stands = |today| yearly(window, lapses, since, &past, today).unwrap();
            let (now, then) = (stands(today), today + Days::new(later));
            if now.changes_on.is_none_or(|on| then < on) {
                let then = stands(then);
                prop_assert_eq!((now.window, now.missed), (then.window, then.missed));
            }
        }
    }
}
