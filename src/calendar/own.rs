//! Rules for when that people set themselves, for a duty of the almanac or for one of their own.
//!
//! An interval counts from when the duty was last done, a season belongs to its year, a day of the year comes every year,
//! one day comes once, and a recurrence rule (RFC 5545) comes as it says, begun on the day it was set. A further way of falling due is a variant of [`OwnRule`], a branch in [`OwnRule::standing`] and
//! in [`OwnRule::words`], and a flag in `command/duty/fields.rs`.

use chrono::{Months, NaiveDate, TimeDelta};
use chrono_tz::Tz;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::almanac::{DayOfYear, Season};
use super::occurrences::{Interval, Past};
use super::recurrence::Recurrence;
use super::windows::{MonthDay, Standing, Window, Year, by_day, every, latest, one_off, yearly};

/// How many years ahead is looked for the next occurrences of a recurrence rule, one after the other: a 29 February comes
/// within 8, any day of the week on it within 40.
const AHEAD: [u32; 3] = [2, 10, 50];
/// What has to be done by a day can be done from so many days before.
const OPEN_FOR: i64 = 30;

/// When a duty falls due, as somebody said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum OwnRule {
    /// So many months and days after it was last done.
    Every { months: u32, days: u32 },
    /// Once in the season: `spring`, `summer`, `autumn` or `winter`.
    #[schemars(with = "String")]
    Season(Season),
    /// By a day of every year: `05-01`.
    Yearly(String),
    /// Before the wet season of the house. Since version 2.
    WetSeason {},
    /// On the days of a recurrence rule, what follows `RRULE:`, that begins on a day. Since version 2.
    Recurrence {
        rule: String,
        #[schemars(with = "String")]
        start: NaiveDate,
    },
    /// By one day.
    #[schemars(with = "String")]
    Once(NaiveDate),
}

impl OwnRule {
    /// What stands of it on `today`, for something that is there since `since`; `None` where it never comes again.
    pub fn standing(&self, year: &Year, since: NaiveDate, past: &Past, today: NaiveDate) -> Option<Standing> {
        match self {
            OwnRule::Every { months, days } => every(Interval { months: *months, days: *days }, since, past, today),
            OwnRule::Season(season) => {
                yearly(|y| year.season(*season, y), |y| year.season_lapses(*season, y), since, past, today)
            }
            OwnRule::Yearly(day) => {
                let day = month_day(day)?;
                yearly(|y| by_day(day, y), |_| None, since, past, today)
            }
            OwnRule::WetSeason {} => yearly(|y| year.before(DayOfYear::WetSeason, 0, y), |_| None, since, past, today),
            OwnRule::Recurrence { rule, start } => recurring(rule, *start, since, past, today),
            OwnRule::Once(day) => {
                let done = past.done.iter().any(|done| *done >= since && *done <= today);
                past.once(one_off(*day)?).filter(|_| !done)
            }
        }
    }

    /// As it is put to people: `every 6 months`, `every spring`, `every year by 05-01`, `once, by 2026-05-01`.
    pub fn words(&self) -> String {
        match self {
            OwnRule::Every { months, days } => Interval { months: *months, days: *days }.words(),
            OwnRule::Season(season) => format!("every {}", season.word()),
            OwnRule::WetSeason {} => "before the wet season".into(),
            OwnRule::Recurrence { rule, start } => format!("by the rule {rule} from {start}"),
            OwnRule::Yearly(day) => format!("every year by {day}"),
            OwnRule::Once(day) => format!("once, by {day}"),
        }
    }

    /// Whether it can fall due at all.
    pub fn fires(&self) -> bool {
        match self {
            OwnRule::Every { months, days } => *months > 0 || *days > 0,
            OwnRule::Yearly(day) => month_day(day).is_some(),
            OwnRule::Recurrence { rule, .. } => {
                Recurrence::parse(rule).is_ok_and(|rule| rule.is_of_days() && !rule.never_comes())
            }
            OwnRule::Season(_) | OwnRule::WetSeason {} | OwnRule::Once(_) => true,
        }
    }
}

/// What stands of a recurrence rule. Each occurrence opens a third of the time since the one before it ahead, 30 days at most,
/// and gives way when the next one opens.
fn recurring(rule: &str, start: NaiveDate, since: NaiveDate, past: &Past, today: NaiveDate) -> Option<Standing> {
    let rule = Recurrence::parse(rule).ok().filter(Recurrence::is_of_days)?;
    let noon = |day: NaiveDate| day.and_hms_opt(12, 0, 0);
    let from = start.max(since);
    for years in AHEAD {
        let until = today.max(from).checked_add_months(Months::new(12 * years))?;
        let found = rule.between(noon(start)?, Tz::UTC, noon(from)?.and_utc(), noon(until)?.and_utc()).ok()?;
        let days: Vec<NaiveDate> = found.iter().map(|at| at.date_naive()).collect();
        let gap = |i: usize| match (i.checked_sub(1).map(|i| days[i]), days.get(i + 1)) {
            (Some(before), _) => (days[i] - before).num_days(),
            (None, Some(next)) => (*next - days[i]).num_days(),
            (None, None) => 3 * OPEN_FOR,
        };
        let opens = |i: usize| days[i].checked_sub_signed(TimeDelta::days((gap(i) / 3).min(OPEN_FOR)));
        let windows: Vec<Window> =
            (0..days.len()).filter_map(|i| Some(Window { opens: opens(i)?, due: days[i] })).collect();
        // One ahead has to be known, by which the one before it gives way.
        if windows.iter().filter(|window| window.opens > today && !past.is_skipped(window)).count() > 1 {
            return latest(&windows, |_| None, past, today);
        }
        if years == AHEAD[AHEAD.len() - 1] {
            return latest(&windows, |_| None, past, today);
        }
    }
    None
}

/// Reads `04-25`; 29 February counts, since it exists in some years.
pub fn month_day(text: &str) -> Option<MonthDay> {
    let (month, day) = text.split_once('-').filter(|(m, d)| m.len() == 2 && d.len() == 2)?;
    let (month, day) = (month.parse().ok()?, day.parse().ok()?);
    NaiveDate::from_ymd_opt(2024, month, day).map(|_| (month, day))
}
