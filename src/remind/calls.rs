//! On which days an occurrence is told by a channel, and the number of each telling.
//!
//! Before its day once for each lead time; once its day is past, again and again. A channel that escalates tells of it for the
//! first time when it is overdue by so many days. Tellings are counted from 0 in the order of their days; a day that was
//! missed is not made up for by two messages: the last telling whose day has come stands for those before it. All of it is
//! a design rule of this program, without a published source.
//!
//! ```
//! use stemwall::remind::calls::Calls;
//! let calls = Calls::before(&[1, 14], Some(7));
//! let due = "2026-03-11".parse().unwrap();
//! let number = |day: &str| calls.number(due, day.parse().unwrap());
//! assert_eq!([number("2026-02-24"), number("2026-02-25"), number("2026-03-10")], [None, Some(0), Some(1)]);
//! // A week and two weeks after its day.
//! assert_eq!([number("2026-03-17"), number("2026-03-18"), number("2026-03-25")], [Some(1), Some(2), Some(3)]);
//! ```

use chrono::NaiveDate;

/// The days of the tellings, counted from the day by which it is to be done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calls {
    /// Rising, each once, at least one.
    first: Vec<i64>,
    /// Days between the later ones.
    repeat: Option<i64>,
}

impl Calls {
    /// So many days before its day, and then every `repeat` days once that is past.
    pub fn before(leads: &[u32], repeat: Option<u32>) -> Calls {
        let mut first: Vec<i64> = leads.iter().map(|lead| -i64::from(*lead)).collect();
        first.sort_unstable();
        first.dedup();
        Calls { first, repeat: repeat.map(i64::from) }
    }

    /// Only once it is overdue by so many days, and then every `repeat` days.
    pub fn overdue(by: u32, repeat: Option<u32>) -> Calls {
        Calls { first: vec![i64::from(by)], repeat: repeat.map(i64::from) }
    }

    /// The number of the last telling whose day has come; `None` where none has.
    pub fn number(&self, due_on: NaiveDate, today: NaiveDate) -> Option<u32> {
        let past = (today - due_on).num_days();
        let come = self.first.iter().filter(|day| **day <= past).count();
        if come == 0 {
            return None;
        }
        // Later ones are counted from the day itself, or from the first telling where that is after it.
        let since = past - self.first.last().copied().unwrap_or(0).max(0);
        let again = self.repeat.filter(|every| *every > 0 && since > 0).map_or(0, |every| since / every);
        u32::try_from(come as i64 - 1 + again).ok()
    }

    /// The most days before its day that anything is told of.
    pub fn furthest(&self) -> u32 {
        self.first.first().map_or(0, |day| u32::try_from(-day).unwrap_or(0))
    }
}

#[cfg(test)]
mod tests {
    use chrono::{Days, NaiveDate};
    use proptest::prelude::*;

    use super::Calls;

    fn due() -> NaiveDate {
        NaiveDate::from_ymd_opt(2027, 6, 15).unwrap()
    }

    fn number(calls: &Calls, days_after: i64) -> Option<u32> {
        calls.number(due(), due() + chrono::TimeDelta::days(days_after))
    }

    /// Days counted by hand from the day by which it is to be done.
    #[test]
    fn the_days_of_each_way() {
        let two_leads = Calls::before(&[7, 0], Some(3));
        for (day, expected) in
            [(-8, None), (-7, Some(0)), (-1, Some(0)), (0, Some(1)), (2, Some(1)), (3, Some(2)), (6, Some(3))]
        {
            assert_eq!(number(&two_leads, day), expected, "{day}");
        }
        let once = Calls::before(&[7], None);
        for (day, expected) in [(-8, None), (-7, Some(0)), (0, Some(0)), (400, Some(0))] {
            assert_eq!(number(&once, day), expected, "{day}");
        }
        let escalates = Calls::overdue(14, Some(7));
        for (day, expected) in [(0, None), (13, None), (14, Some(0)), (20, Some(0)), (21, Some(1)), (28, Some(2))] {
            assert_eq!(number(&escalates, day), expected, "{day}");
        }
        assert_eq!((two_leads.furthest(), escalates.furthest()), (7, 0));
    }

    proptest! {
        /// However many days are left out, the number never falls, and it rises by one a day where none is.
        #[test]
        fn numbers_rise_one_by_one(leads in prop::collection::vec(0u32..90, 1..4), repeat in prop::option::of(1u32..40)) {
            let calls = Calls::before(&leads, repeat);
            let mut last = None;
            for day in -100i64..200 {
                let now = number(&calls, day);
                prop_assert!(now == last || now == Some(last.map_or(0, |n: u32| n + 1)), "{day}: {last:?} {now:?}");
                last = now;
            }
        }

        /// The first telling is on the day of the longest lead.
        #[test]
        fn the_first_is_at_the_longest_lead(leads in prop::collection::vec(0u32..90, 1..4)) {
            let calls = Calls::before(&leads, None);
            let longest = *leads.iter().max().unwrap();
            prop_assert_eq!(calls.furthest(), longest);
            let first = due() - Days::new(longest.into());
            prop_assert_eq!(calls.number(due(), first), Some(0));
            prop_assert_eq!(calls.number(due(), first.pred_opt().unwrap()), None);
        }
    }
}
