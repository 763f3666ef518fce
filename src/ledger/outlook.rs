//! What a list shows of each subject and of each property: the few figures of a verdict that do not change with the
//! date alone, and the first day on which they may.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::duties::{Due, duties};
use super::property::Property;
use super::settings::Settings;
use super::subject::Subject;
use super::verdicts::{seen_beside, verdict_of};
use crate::trade::{Band, Verdict};

/// The version of rules and mappings that rows were computed with; a stored row of another version is computed anew.
pub const VERSION: u32 = 2;

/// What a verdict asks for by a day can be done from so many days before.
const OPEN_FOR: u64 = 30;

/// What a list shows of one subject.
#[derive(Debug, Clone, PartialEq)]
pub struct OutlookRow {
    /// `None`: not known.
    pub band: Option<Band>,
    /// Who should act, as it is put to people.
    pub who: Option<&'static str>,
    /// The day by which the next entry is asked for.
    pub due_on: Option<NaiveDate>,
    /// What is asked for, in words.
    pub asks: Option<String>,
    /// The first day on which the passing of time alone can change the row.
    pub changes_on: Option<NaiveDate>,
    /// What is not known of the subject that a stranger would ask first.
    pub not_known: Option<String>,
    /// What is to be done by a day: what the verdict asks for, and the almanac's duties.
    pub duties: Vec<Due>,
}

impl OutlookRow {
    /// The earliest day by which something of it is to be done.
    pub fn first_due(&self) -> Option<NaiveDate> {
        self.duties.iter().map(|due| due.due_on).min()
    }
}

/// The rows of one property.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outlook {
    pub rows: BTreeMap<Subject, OutlookRow>,
    /// The open findings, and whether the rules of findings beside them see them: see [`Outlook::refresh`].
    beside: BTreeMap<u32, bool>,
    /// The day that `beside` was seen on.
    day: NaiveDate,
    /// The earliest of the rows' days.
    changes_on: Option<NaiveDate>,
    due_on: Option<NaiveDate>,
}

/// What came of a [`Outlook::refresh`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refreshed {
    /// All rows were computed: any may be another one, or gone.
    All,
    Some {
        /// The subjects whose rows are different now.
        different: Vec<Subject>,
        /// What is gathered from the rows for the list of properties may be different too.
        overview: bool,
    },
}

/// What a list of properties shows of one.
#[derive(Debug, Clone, PartialEq)]
pub struct Overview {
    /// The foundation kinds, each once, in the order of the sections' names.
    pub foundations: String,
    pub worst: Option<Band>,
    pub worst_subject: Option<Subject>,
    pub who: Option<&'static str>,
    pub open_findings: u32,
    /// Earliest day by which something is asked for, of what, and in which words.
    pub next_due: Option<(NaiveDate, Subject, String)>,
    pub changes_on: Option<NaiveDate>,
    /// One line a thing that is not known.
    pub not_known: Vec<String>,
}

/// Computes every row of a property on a day.
pub fn outlook(property: &Property, settings: &Settings, today: NaiveDate) -> Outlook {
    let mut rows = BTreeMap::new();
    for subject in subjects(property) {
        rows.extend(row(property, &subject, settings, today).map(|row| (subject, row)));
    }
    let (changes_on, due_on) = (earliest(&rows, |row| row.changes_on), earliest(&rows, OutlookRow::first_due));
    Outlook { rows, beside: beside(property, today), day: today, changes_on, due_on }
}

/// Every subject that has a row: the property, its sections and trees, its open findings.
fn subjects(property: &Property) -> Vec<Subject> {
    let named = property.sections.keys().chain(property.fixtures.keys()).cloned().map(Subject::Named);
    let findings = property.open_findings().map(|(number, _)| Subject::Finding(number));
    std::iter::once(Subject::Property).filter(|_| property.exists()).chain(named).chain(findings).collect()
}

fn row(property: &Property, subject: &Subject, settings: &Settings, today: NaiveDate) -> Option<OutlookRow> {
    let shown = verdict_of(property, subject, settings, today);
    let mut duties = duties(property, subject, today);
    // A fixture that no rule speaks of has duties all the same.
    if shown.is_none() && duties.is_empty() {
        return None;
    }
    let (verdict, held_by) =
        shown.map_or_else(|| (Verdict::from_fired(Vec::new()), None), |shown| (shown.verdict, shown.held_by));
    let not_known = match subject {
        Subject::Finding(_) => None,
        _ if verdict.band.is_none() => verdict.not_known.first().cloned(),
        _ => None,
    };
    // A judgement that runs out changes the answer on the day after its last.
    let runs_out = held_by.and_then(|j| j.until).and_then(|day| day.succ_opt());
    let asks = verdict.asked_first().map(|step| step.says.clone());
    // The almanac's own rounds say when a thing is tested next, unless its verdict asks for more than another test.
    let rounds = matches!(subject, Subject::Named(name) if property.fixtures.contains_key(name)) && !duties.is_empty();
    if !rounds || verdict.band >= Some(Band::Mend) {
        duties.extend(asked(&verdict, asks.as_deref()));
    }
    let by_themselves = duties.iter().filter_map(|due| due.changes_on).min();
    Some(OutlookRow {
        band: verdict.band,
        who: verdict.who.map(|w| w.words()),
        due_on: verdict.due_on,
        // What can be recorded comes before what can only be done.
        asks,
        changes_on: [verdict.changes_on, runs_out, by_themselves].into_iter().flatten().min(),
        not_known,
        duties,
    })
}

/// What a verdict asks for, as a duty.
fn asked(verdict: &Verdict, asks: Option<&str>) -> Option<Due> {
    let due_on = verdict.due_on?;
    let why = verdict.because.first().map_or_else(String::new, |fired| fired.because.clone());
    Some(Due {
        code: "verdict".to_owned(),
        title: asks.unwrap_or("look at it").to_owned(),
        opens_on: due_on.checked_sub_days(chrono::Days::new(OPEN_FOR)).unwrap_or(due_on),
        due_on,
        why,
        changes_on: None,
    })
}

fn beside(property: &Property, today: NaiveDate) -> BTreeMap<u32, bool> {
    property.open_findings().map(|(number, finding)| (number, seen_beside(finding, today))).collect()
}

fn earliest(rows: &BTreeMap<Subject, OutlookRow>, of: fn(&OutlookRow) -> Option<NaiveDate>) -> Option<NaiveDate> {
    rows.values().filter_map(of).min()
}

/// The row without its days and what is asked for by them.
fn undated(row: OutlookRow) -> OutlookRow {
    OutlookRow { due_on: None, asks: None, changes_on: None, duties: Vec::new(), ..row }
}

impl Outlook {
    /// Computes anew the rows that a fact about `subjects` can have changed.
    ///
    /// A reading of one finding reaches the others only through what their rules see of it: that it is open, and that
    /// its width is over the counted one. While that stays as it was, the others' rows do too.
    ///
    pub fn refresh(
        &mut self,
        property: &Property,
        subjects: &[Subject],
        settings: &Settings,
        today: NaiveDate,
    ) -> Refreshed {
        let only_findings = subjects.iter().all(|s| matches!(s, Subject::Finding(_)));
        if !only_findings || !self.sees_the_same(property, subjects, today) {
            *self = outlook(property, settings, today);
            return Refreshed::All;
        }
        self.day = today;
        let (mut different, mut overview) = (Vec::new(), false);
        let touched: BTreeSet<&Subject> = subjects.iter().chain([&Subject::Property]).collect();
        for subject in touched {
            // A closed finding has no row; whether it is open is part of what is seen beside it, so it had none before.
            if matches!(subject, Subject::Finding(number) if !self.beside.contains_key(number)) {
                continue;
            }
            let Some(now) = row(property, subject, settings, today) else { continue };
            if self.rows.get(subject) != Some(&now) {
                overview |= self.put(subject, now);
                different.push(subject.clone());
            }
        }
        Refreshed::Some { different, overview }
    }

    /// The first day on which the passing of time alone can change any row.
    pub fn changes_on(&self) -> Option<NaiveDate> {
        self.changes_on
    }

    /// Whether what the rules see beside a finding is as it was. A fact about some findings changes nothing of the
    /// others; another day may bring readings into sight.
    fn sees_the_same(&self, property: &Property, subjects: &[Subject], today: NaiveDate) -> bool {
        if self.day != today {
            return beside(property, today) == self.beside;
        }
        subjects.iter().all(|subject| {
            let Subject::Finding(number) = subject else { return false };
            let open = property.findings.get(number).filter(|f| f.closed.is_none());
            open.map(|f| seen_beside(f, today)) == self.beside.get(number).copied()
        })
    }

    /// Puts a row in its place, and tells whether what is gathered from the rows may be different now.
    fn put(&mut self, subject: &Subject, now: OutlookRow) -> bool {
        let first = (self.changes_on, self.due_on);
        let was = self.rows.insert(subject.clone(), now.clone());
        let days = was.as_ref().map_or((None, None), |was| (was.changes_on, was.first_due()));
        self.changes_on = self.earliest_now(first.0, days.0, now.changes_on, |row| row.changes_on);
        self.due_on = self.earliest_now(first.1, days.1, now.first_due(), OutlookRow::first_due);
        // Of what is due, the earliest alone is gathered: a row that was later and is later changes nothing.
        let was_first = days.1.is_some() && days.1 == first.1;
        let is_first = now.first_due().is_some() && now.first_due() == self.due_on;
        let same_else = was.is_some_and(|was| undated(was) == undated(now));
        !same_else || was_first || is_first || first != (self.changes_on, self.due_on)
    }

    /// The earliest day of the rows, after one row's went from `was` to `now`.
    fn earliest_now(
        &self,
        first: Option<NaiveDate>,
        was: Option<NaiveDate>,
        now: Option<NaiveDate>,
        of: fn(&OutlookRow) -> Option<NaiveDate>,
    ) -> Option<NaiveDate> {
        if was.is_some() && was == first && now != was {
            return earliest(&self.rows, of);
        }
        [first, now].into_iter().flatten().min()
    }

    /// Gathers the rows into what a list of properties shows.
    pub fn overview(&self, property: &Property) -> Overview {
        let mut foundations: Vec<&str> = Vec::new();
        for section in property.sections.values() {
            if !foundations.contains(&section.foundation.word()) {
                foundations.push(section.foundation.word());
            }
        }
        // Among equals the first subject: the order of rows is that of the subjects.
        let worst = self.rows.iter().filter(|(_, row)| row.band.is_some()).rev().max_by_key(|(_, row)| row.band);
        let due = self.rows.iter().flat_map(|(subject, row)| row.duties.iter().map(move |due| (subject, due)));
        let next_due = due.min_by_key(|(_, due)| due.due_on);
        Overview {
            foundations: foundations.join(", "),
            worst: worst.and_then(|(_, row)| row.band),
            worst_subject: worst.map(|(subject, _)| subject.clone()),
            who: worst.and_then(|(_, row)| row.who),
            open_findings: u32::try_from(property.open_findings().count()).unwrap_or(u32::MAX),
            next_due: next_due.map(|(subject, due)| (due.due_on, subject.clone(), due.title.clone())),
            changes_on: self.changes_on,
            not_known: self
                .rows
                .iter()
                .filter_map(|(subject, row)| {
                    let what = row.not_known.as_ref()?;
                    Some(match subject {
                        Subject::Property => what.clone(),
                        _ => format!("{what} in `{}`", subject.local()),
                    })
                })
                .collect(),
        }
    }
}
