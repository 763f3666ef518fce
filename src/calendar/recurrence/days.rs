//! Which days a recurrence rule is about: months, numbered weeks, days of the year, of the month, of the week.

use chrono::{Datelike, Days, NaiveDate, Weekday};

use super::{By, Frequency, NthWeekday, Recurrence};

/// The limits of a rule on days, with those that a start brings along.
pub(super) struct DayRule {
    month: Vec<i16>,
    week: Vec<i16>,
    year_day: Vec<i16>,
    month_day: Vec<i16>,
    day: Vec<NthWeekday>,
    week_start: Weekday,
    /// A numbered day of the week is counted in its month, not in its year.
    in_month: bool,
}

impl DayRule {
    /// Where no part says on which days, the start does.
    pub(super) fn new(rule: &Recurrence, start: NaiveDate) -> DayRule {
        let By { mut month, week, year_day, mut month_day, mut day, .. } = rule.by.clone();
        if week.is_empty() && year_day.is_empty() && month_day.is_empty() && day.is_empty() {
            match rule.frequency {
                Frequency::Yearly => {
                    if month.is_empty() {
                        month.push(start.month() as i16);
                    }
                    month_day.push(start.day() as i16);
                }
                Frequency::Monthly => month_day.push(start.day() as i16),
                Frequency::Weekly => day.push(NthWeekday { nth: None, day: start.weekday() }),
                _ => {}
            }
        }
        let in_month = rule.frequency == Frequency::Monthly || !month.is_empty();
        DayRule { month, week, year_day, month_day, day, week_start: rule.week_start, in_month }
    }

    /// The days of a span, both ends included, that the rule is about, in order.
    pub(super) fn within(&self, from: NaiveDate, to: NaiveDate) -> Vec<NaiveDate> {
        let mut days = Vec::new();
        let mut day = Some(from);
        while let Some(first) = day.filter(|day| *day <= to) {
            let next_month = first_of_next_month(first);
            if self.has_month(first) {
                let last = next_month.and_then(|next| next.pred_opt()).map_or(to, |last| last.min(to));
                self.within_month(first, last, &mut days);
            }
            day = next_month;
        }
        days
    }

    fn within_month(&self, from: NaiveDate, to: NaiveDate, days: &mut Vec<NaiveDate>) {
        if self.month_day.is_empty() {
            days.extend(from.iter_days().take_while(|day| *day <= to).filter(|day| self.has(*day)));
            return;
        }
        let length = month_length(from);
        let mut named: Vec<u32> = self.month_day.iter().filter_map(|n| from_either_end(*n, length)).collect();
        named.sort_unstable();
        named.dedup();
        let dates = named.into_iter().filter_map(|n| from.with_day(n));
        days.extend(dates.filter(|day| (from..=to).contains(day) && self.has(*day)));
    }

    fn has_month(&self, day: NaiveDate) -> bool {
        self.month.is_empty() || self.month.contains(&(day.month() as i16))
    }

    /// Whether the rule is about a day.
    pub(super) fn has(&self, day: NaiveDate) -> bool {
        self.has_month(day)
            && (self.month_day.is_empty() || counted(&self.month_day, day.day(), month_length(day)))
            && (self.day.is_empty() || self.day.iter().any(|of| self.is_nth(*of, day)))
            && (self.year_day.is_empty() || counted(&self.year_day, day.ordinal(), year_length(day.year())))
            && (self.week.is_empty() || self.has_week(day))
    }

    fn is_nth(&self, of: NthWeekday, day: NaiveDate) -> bool {
        if day.weekday() != of.day {
            return false;
        }
        let Some(nth) = of.nth else { return true };
        let (place, length) = match self.in_month {
            true => (day.day(), month_length(day)),
            false => (day.ordinal(), year_length(day.year())),
        };
        let counted = if nth > 0 { (place - 1) / 7 + 1 } else { (length - place) / 7 + 1 };
        u32::from(nth.unsigned_abs()) == counted
    }

    /// Week 1 is the first with four days or more in its year (RFC 5545, `BYWEEKNO`).
    fn has_week(&self, day: NaiveDate) -> bool {
        let into_week = u64::from(day.weekday().days_since(self.week_start));
        let Some(fourth) = day.checked_sub_days(Days::new(into_week)).and_then(|d| d.checked_add_days(Days::new(3)))
        else {
            return false;
        };
        let number = fourth.ordinal0() / 7 + 1;
        let weeks = number + (year_length(fourth.year()) - fourth.ordinal()) / 7;
        counted(&self.week, number, weeks)
    }
}

/// Whether a place among so many is in a list that counts from either end.
fn counted(list: &[i16], place: u32, length: u32) -> bool {
    list.iter().any(|n| from_either_end(*n, length) == Some(place))
}

fn from_either_end(n: i16, length: u32) -> Option<u32> {
    let size = u32::from(n.unsigned_abs());
    if size > length {
        return None;
    }
    Some(if n > 0 { size } else { length + 1 - size })
}

fn month_length(day: NaiveDate) -> u32 {
    u32::from(day.num_days_in_month())
}

fn year_length(year: i32) -> u32 {
    NaiveDate::from_ymd_opt(year, 12, 31).map_or(365, |last| last.ordinal())
}

fn first_of_next_month(day: NaiveDate) -> Option<NaiveDate> {
    match day.month() {
        12 => NaiveDate::from_ymd_opt(day.year().checked_add(1)?, 1, 1),
        month => NaiveDate::from_ymd_opt(day.year(), month + 1, 1),
    }
}
