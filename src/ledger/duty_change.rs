//! What people change about a duty, for all houses or for one: whether it is asked for, when, and how it is put.

use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::kind::check_line;
use super::problem::Problem;
use super::subject::Name;
use crate::calendar::own::OwnRule;

/// The longest a duty can be put to take, in minutes: a working week.
const MOST_MINUTES: u32 = 40 * 60;

/// What is different about a duty; what is left out stays as it was.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DutyChange {
    /// It is not asked for; `false`: it is asked for again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub off: Option<bool>,
    /// When it falls due.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rule: Option<OwnRule>,
    /// What it is called in lists; a duty that the almanac does not have needs one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// For which part of every house a duty of one's own is: `property`, `section:basement`, `fixture:tree`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// How long it takes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub minutes: Option<u32>,
    /// Why it is done.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub why: Option<String>,
    /// The day from which a duty of one's own counts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub from: Option<NaiveDate>,
}

impl DutyChange {
    /// This with `later` laid over it.
    pub fn with(&self, later: &DutyChange) -> DutyChange {
        DutyChange {
            off: later.off.or(self.off),
            rule: later.rule.clone().or_else(|| self.rule.clone()),
            title: later.title.clone().or_else(|| self.title.clone()),
            of: later.of.clone().or_else(|| self.of.clone()),
            minutes: later.minutes.or(self.minutes),
            why: later.why.clone().or_else(|| self.why.clone()),
            // A duty of one's own counts from when it was first set.
            from: self.from.or(later.from),
        }
    }

    /// What is wrong with a change of `duty`.
    pub fn check(&self, duty: &str, found: &mut Vec<Problem>) {
        if let Err(error) = Name::parse(duty) {
            found.push(error.into());
        }
        if (DutyChange { from: None, ..self.clone() }) == DutyChange::default() {
            found.push(Problem::NothingToChange);
        }
        for (field, text) in [("--title", &self.title), ("--why", &self.why)] {
            if let Some(text) = text {
                check_line(field, text, found);
            }
        }
        if let Some(rule) = self.rule.as_ref().filter(|rule| !rule.fires()) {
            found.push(Problem::NeverFires { rule: rule.words() });
        }
        if let Some(minutes) = self.minutes.filter(|m| !(1..=MOST_MINUTES).contains(m)) {
            found.push(Problem::MinutesOutOfRange { minutes, most: MOST_MINUTES });
        }
    }

    /// `off`, `every 6 months, 15 minutes`.
    pub fn words(&self) -> String {
        let mut parts: Vec<String> = Vec::new();
        parts.extend(self.off.map(|off| if off { "off" } else { "on" }.to_owned()));
        parts.extend(self.title.clone());
        parts.extend(self.rule.as_ref().map(OwnRule::words));
        parts.extend(self.of.as_ref().map(|of| format!("for {of}")));
        parts.extend(self.minutes.map(|m| format!("{m} minutes")));
        parts.extend(self.why.as_ref().map(|why| format!("because {why}")));
        parts.join(", ")
    }
}
