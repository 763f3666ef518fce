//! What became of the occurrences of one duty: done, skipped, moved to another day, or waiting for somebody who comes.
//!
//! An occurrence is known by the day on which it would fall due if nobody had moved it. A skipped one is gone, and no other
//! with it; a moved one falls due on its new day and is done as it would have been on the old. While somebody is expected,
//! what would fall due before waits for that day.

use std::collections::BTreeMap;

use chrono::{Days, Months, NaiveDate};

use super::windows::{Standing, Window};

/// What is known of the occurrences of a duty so far.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Past {
    /// The days on which it was done.
    pub done: Vec<NaiveDate>,
    /// Occurrences that are left out, with the day on which that was said.
    pub skipped: BTreeMap<NaiveDate, NaiveDate>,
    /// Occurrences that were moved, with their new day.
    pub moved: BTreeMap<NaiveDate, NaiveDate>,
    /// The days by which somebody comes for it.
    pub expected: Vec<NaiveDate>,
}

/// The time from one occurrence to the next, counted from when it was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Interval {
    pub months: u32,
    pub days: u32,
}

impl Past {
    /// Done on these days, and nothing else.
    pub fn done_on(days: &[NaiveDate]) -> Past {
        Past { done: days.to_vec(), ..Past::default() }
    }

    /// The last day on which it was done, up to `today`.
    pub fn last_done(&self, today: NaiveDate) -> Option<NaiveDate> {
        self.done.iter().copied().filter(|day| *day <= today).max()
    }

    pub fn is_skipped(&self, window: &Window) -> bool {
        self.skipped.contains_key(&window.due)
    }

    /// Whether somebody gave the occurrence a day of its own.
    pub fn is_moved(&self, window: &Window) -> bool {
        self.moved.contains_key(&window.due)
    }

    /// The window as it stands: on its new day where it was moved, and not before somebody comes who is expected.
    pub fn shifted(&self, window: Window) -> Window {
        let due = self.moved.get(&window.due).copied().unwrap_or(window.due);
        let comes = self.expected.iter().copied().filter(|by| window.opens <= *by && window.due <= *by).max();
        let due = comes.map_or(due, |by| by.max(due));
        Window { opens: window.opens.min(due), due }
    }

    /// What stands of a duty that has one occurrence, in `window`; `None` where it was skipped.
    pub fn once(&self, window: Window) -> Option<Standing> {
        (!self.is_skipped(&window)).then(|| Standing {
            window: self.shifted(window),
            occurs: window.due,
            missed: 0,
            changes_on: None,
        })
    }
}

impl Interval {
    pub fn months(months: u32) -> Interval {
        Interval { months, days: 0 }
    }

    /// The day that is so long after `day`; `None` beyond the calendar.
    pub fn after(&self, day: NaiveDate) -> Option<NaiveDate> {
        day.checked_add_months(Months::new(self.months))?.checked_add_days(Days::new(u64::from(self.days)))
    }

    /// About how many days it takes: a month is taken as 30.
    pub fn about_days(&self) -> u64 {
        u64::from(self.months) * 30 + u64::from(self.days)
    }

    /// `every month`, `every 2 years`, `every 10 days`.
    pub fn words(&self) -> String {
        let counted = |n: u32, one: &str| if n == 1 { format!("every {one}") } else { format!("every {n} {one}s") };
        match (self.months, self.days) {
            (0, days) if days % 7 == 0 && days > 0 => counted(days / 7, "week"),
            (0, days) => counted(days, "day"),
            (months, 0) if months % 12 == 0 => counted(months / 12, "year"),
            (months, 0) => counted(months, "month"),
            (months, days) => format!("{} and {days} days", counted(months, "month")),
        }
    }
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::{Interval, Past};
    use crate::calendar::windows::Window;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_moved_occurrence_falls_due_on_its_new_day_and_not_before_somebody_comes() {
        let window = Window { opens: day("2026-03-01"), due: day("2026-03-31") };
        let mut past = Past::default();
        assert_eq!(past.shifted(window), window);
        past.moved.insert(window.due, day("2026-04-10"));
        assert_eq!(past.shifted(window).due, day("2026-04-10"));
        // Brought forward it opens with its day.
        past.moved.insert(window.due, day("2026-02-20"));
        assert_eq!(past.shifted(window), Window { opens: day("2026-02-20"), due: day("2026-02-20") });
        past.expected = vec![day("2026-05-01"), day("2026-03-15"), day("2026-01-05")];
        assert_eq!(past.shifted(window).due, day("2026-05-01"));
        // Who comes before it is due, or before it opens, is not waited for.
        past.expected = vec![day("2026-03-15"), day("2026-01-05")];
        assert_eq!(past.shifted(window).due, day("2026-02-20"));
        past.skipped.insert(window.due, day("2026-03-02"));
        assert_eq!(past.once(window), None);
    }

    #[test]
    fn an_interval_is_said_in_the_largest_unit_that_fits() {
        for (months, days, words) in [
            (1, 0, "every month"),
            (4, 0, "every 4 months"),
            (12, 0, "every year"),
            (24, 0, "every 2 years"),
            (0, 14, "every 2 weeks"),
            (0, 1, "every day"),
            (0, 10, "every 10 days"),
        ] {
            assert_eq!(Interval { months, days }.words(), words);
        }
        assert_eq!(Interval::months(1).after(day("2026-01-31")), Some(day("2026-02-28")));
    }
}
