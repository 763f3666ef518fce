//! What can be typed of a change of a duty.

use chrono::NaiveDate;

use super::super::Error;
use super::span;
use crate::calendar::almanac::Season;
use crate::calendar::own::OwnRule;
use crate::calendar::recurrence::Recurrence;
use crate::command::typed::Reading;
use crate::ledger::duty_change::DutyChange;
use crate::ledger::problem::Problem;
use crate::trade::words::{FixtureKind, Foundation};

// What `duty set` can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct SetFields {
    /// One house, or a part of it: larkspur-14, larkspur-14/pump [default: all houses]
    #[arg(long, value_name = "SUBJECT")]
    pub at: Option<String>,
    /// Ask for it no longer
    #[arg(long, conflicts_with_all = ["on_again", "every", "season", "yearly", "rule", "once"])]
    pub off: bool,
    /// Ask for it again, or for what the almanac leaves to you
    #[arg(long = "again")]
    pub on_again: bool,
    /// So long after it was last done: 2w, 6mo, 1y
    #[arg(long, value_name = "TIME", conflicts_with_all = ["season", "yearly", "rule", "once"])]
    pub every: Option<String>,
    /// Once in that season: spring, summer, autumn or winter; or wet, before the wet season
    #[arg(long, conflicts_with_all = ["yearly", "rule", "once"])]
    pub season: Option<String>,
    /// By a day of every year: 05-01
    #[arg(long, value_name = "MM-DD", conflicts_with_all = ["rule", "once"])]
    pub yearly: Option<String>,
    /// On the days of a recurrence rule (RFC 5545), from today on: "FREQ=MONTHLY;BYDAY=1SA"
    #[arg(long, value_name = "RULE", conflicts_with = "once")]
    pub rule: Option<String>,
    /// By one day
    #[arg(long, value_name = "DATE")]
    pub once: Option<String>,
    /// What it is called; a duty of your own needs one
    #[arg(long, value_name = "TEXT")]
    pub title: Option<String>,
    /// Of your own, at all houses: for which part, as in fixture:gutter, section:basement [default: property]
    #[arg(long, value_name = "PART", conflicts_with = "at")]
    pub of: Option<String>,
    /// How long it takes
    #[arg(long, value_name = "N")]
    pub minutes: Option<u32>,
    #[arg(long, value_name = "TEXT")]
    pub why: Option<String>,
}

impl SetFields {
    /// The change that was typed; what does not read is a problem of `read`.
    pub fn change(&self, today: NaiveDate, read: &mut Reading) -> Result<DutyChange, Error> {
        let off = (self.off || self.on_again).then_some(self.off);
        Ok(DutyChange {
            off,
            rule: self.own_rule(today, read)?,
            title: self.title.clone(),
            of: self.part(read),
            minutes: self.minutes,
            why: self.why.clone(),
            from: Some(today),
        })
    }

    pub fn has_rule(&self) -> bool {
        self.every.is_some()
            || self.season.is_some()
            || self.yearly.is_some()
            || self.rule.is_some()
            || self.once.is_some()
    }

    fn own_rule(&self, today: NaiveDate, read: &mut Reading) -> Result<Option<OwnRule>, Error> {
        if let Some(text) = &self.every {
            let interval = span(text)?;
            return Ok(Some(OwnRule::Every { months: interval.months, days: interval.days }));
        }
        if self.season.is_some() {
            const WORDS: &[&str] = &["spring", "summer", "autumn", "winter", "wet"];
            let season = |word: &str| match Season::ALL.into_iter().find(|season| season.word() == word) {
                Some(season) => Some(OwnRule::Season(season)),
                None => (word == "wet").then_some(OwnRule::WetSeason {}),
            };
            return Ok(read.word("--season", self.season.as_deref(), "a season", WORDS, season));
        }
        if let Some(rule) = &self.rule {
            let problem = recurrence_problem(rule);
            let reads = problem.is_none();
            read.problems.extend(problem);
            return Ok(reads.then(|| OwnRule::Recurrence { rule: rule.clone(), start: today }));
        }
        if let Some(day) = &self.yearly {
            if crate::calendar::own::month_day(day).is_none() {
                read.problems.push(Problem::NotAMonthDay { field: "--yearly", typed: day.clone() });
            }
            return Ok(Some(OwnRule::Yearly(day.clone())));
        }
        let once = read.day("--once", self.once.as_deref());
        if let Some(day) = once.filter(|day| *day < today) {
            read.problems.push(Problem::DayPassed { field: "--once", day, on: today });
        }
        Ok(once.map(OwnRule::Once))
    }

    fn part(&self, read: &mut Reading) -> Option<String> {
        let of = self.of.as_deref()?;
        let known = match of.split_once(':') {
            Some(("section", kind)) => Foundation::from_word(kind).is_some(),
            Some(("fixture", kind)) => FixtureKind::from_word(kind).is_some(),
            _ => ["property", "finding"].contains(&of),
        };
        if !known {
            let words = &["property", "finding", "section:basement", "fixture:gutter", "or another kind of either"];
            read.problems.push(Problem::NotAWord {
                field: "--of",
                typed: of.to_owned(),
                wanted: "a part of a house",
                words,
            });
        }
        Some(of.to_owned())
    }
}

/// What keeps a recurrence rule from being one of days that come.
fn recurrence_problem(typed: &str) -> Option<Problem> {
    let typed = typed.to_owned();
    match Recurrence::parse(&typed) {
        Err(error) => Some(Problem::NotARecurrence { typed, error }),
        Ok(rule) if !rule.is_of_days() => Some(Problem::OftenerThanDaily { typed }),
        Ok(rule) if rule.never_comes() => Some(Problem::NeverComes { typed }),
        Ok(_) => None,
    }
}
