//! Rules for when that people set themselves, for a duty of the almanac or for one of their own.
//!
//! An interval counts from when the duty was last done, a season belongs to its year, a day of the year comes every year,
//! and one day comes once. A further way of falling due is a variant of [`OwnRule`], a branch in [`OwnRule::standing`] and
//! in [`OwnRule::words`], and a flag in `command/duty/fields.rs`.

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::almanac::Season;
use super::occurrences::{Interval, Past};
use super::windows::{MonthDay, Standing, Year, by_day, every, one_off, yearly};

/// When a duty falls due, as somebody said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum OwnRule {
    /// So many months and days after it was last done.
    Every { months: u32, days: u32 },
    /// Once in the walking season: `spring` or `autumn`.
    #[schemars(with = "String")]
    Season(Season),
    /// By a day of every year: `05-01`.
    Yearly(String),
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
            OwnRule::Season(Season::Spring) => "every spring".into(),
            OwnRule::Season(Season::Autumn) => "every autumn".into(),
            OwnRule::Yearly(day) => format!("every year by {day}"),
            OwnRule::Once(day) => format!("once, by {day}"),
        }
    }

    /// Whether it can fall due at all.
    pub fn fires(&self) -> bool {
        match self {
            OwnRule::Every { months, days } => *months > 0 || *days > 0,
            OwnRule::Yearly(day) => month_day(day).is_some(),
            OwnRule::Season(_) | OwnRule::Once(_) => true,
        }
    }
}

/// Reads `04-25`; 29 February counts, since it exists in some years.
pub fn month_day(text: &str) -> Option<MonthDay> {
    let (month, day) = text.split_once('-').filter(|(m, d)| m.len() == 2 && d.len() == 2)?;
    let (month, day) = (month.parse().ok()?, day.parse().ok()?);
    NaiveDate::from_ymd_opt(2024, month, day).map(|_| (month, day))
}
