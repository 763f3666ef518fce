//! What a list shows of each subject and of each property: the few figures of a verdict that do not change with the
//! date alone, and the first day on which they may.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDate;

use super::duties::{Due, asked, duties};
use super::gathered::Gathered;
use super::property::Property;
use super::settings::Settings;
use super::subject::Subject;
use super::verdicts::{Beside, of_radon, seen_beside, verdict_of};
use crate::trade::{Band, Step, Verdict};

/// The version of rules and mappings that rows were computed with; a stored row of another version is computed anew.
pub const VERSION: u32 = 16;

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
        self.next_duty().map(|due| due.due_on)
    }

    /// The earliest day by which it goes to a licensed person, or cannot wait.
    pub fn first_called(&self) -> Option<NaiveDate> {
        self.duties.iter().filter(|due| due.is_called()).map(|due| due.due_on).min()
    }

    /// What of it is to be done first.
    fn next_duty(&self) -> Option<&Due> {
        self.duties.iter().min_by_key(|due| due.due_on)
    }

    /// What of it can show in the list of properties; `None` where nothing can.
    fn shown_of_all(&self) -> Option<impl PartialEq> {
        let due = self.next_duty().map(|due| (due.due_on, due.title.as_str()));
        Some((self.band, self.who, due, self.changes_on, self.not_known.as_deref()))
    }
}

/// The rows of one property.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Outlook {
    pub rows: BTreeMap<Subject, OutlookRow>,
    /// The open findings, and whether the rules of findings beside them see them: see [`Outlook::refresh`].
    beside: BTreeMap<u32, Beside>,
    /// The day that `beside` was seen on.
    day: NaiveDate,
    /// The rows in the orders that an overview asks for.
    gathered: Gathered,
}

/// What came of a [`Outlook::refresh`].
#[derive(Debug, Clone, PartialEq)]
pub enum Refreshed {
    /// All rows were computed: any may be another one, or gone.
    All,
    Some {
        /// The subjects whose rows are different now, in order.
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
    let mut gathered = Gathered::default();
    rows.iter().for_each(|(subject, row)| gathered.put(subject, row));
    Outlook { rows, beside: beside(property, settings, today), day: today, gathered }
}

/// Every subject that has a row: the property, its sections and trees, its open findings.
fn subjects(property: &Property) -> Vec<Subject> {
    let named = property.sections.keys().chain(property.fixtures.keys()).cloned().map(Subject::Named);
    let findings = property.open_findings().map(|(number, _)| Subject::Finding(number));
    std::iter::once(Subject::Property).filter(|_| property.exists()).chain(named).chain(findings).collect()
}

fn row(property: &Property, subject: &Subject, settings: &Settings, today: NaiveDate) -> Option<OutlookRow> {
    let shown = verdict_of(property, subject, settings, today);
    let mut duties = duties(property, subject, settings, today);
    // A fixture that no rule speaks of has duties all the same.
    if shown.is_none() && duties.is_empty() {
        return None;
    }
    let (verdict, held_by) =
        shown.map_or_else(|| (Verdict::from_fired(Vec::new()), None), |shown| (shown.verdict, shown.held_by));
    let not_known = match subject {
        Subject::Finding(_) => None,
        // What a logger shows of the air of a section says nothing of its radon.
        Subject::Named(name) if property.air_logs.iter().any(|log| log.log.section == *name) => {
            let radon = of_radon(property, name, settings, today);
            if radon.band.is_none() { radon.not_known.first().cloned() } else { None }
        }
        _ if verdict.band.is_none() => verdict.not_known.first().cloned(),
        // A pump that was never tested is not known, whatever its age says.
        Subject::Named(_) => verdict.not_known.first().filter(|what| what.ends_with("(never tested)")).cloned(),
        _ => None,
    };
    // A judgement that runs out changes the answer on the day after its last.
    let runs_out = held_by.and_then(|j| j.until).and_then(|day| day.succ_opt());
    let asks = verdict.asked_first().map(|step| step.says.clone());
    // The almanac's own rounds say when a thing is tested next, unless its verdict asks for more than another test.
    let rounds = matches!(subject, Subject::Named(name) if property.fixtures.contains_key(name)) && !duties.is_empty();
    // A pump that is watched is tested more often than the almanac asks.
    let watched = verdict.band == Some(Band::Watch) && verdict.asked_first().is_some_and(Step::tests_a_pump);
    if !rounds || watched || verdict.band >= Some(Band::Mend) {
        duties.extend(asked(property, subject, &verdict));
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

fn beside(property: &Property, settings: &Settings, today: NaiveDate) -> BTreeMap<u32, Beside> {
    let seen = |(number, finding)| (number, seen_beside(property, number, finding, settings, today));
    property.open_findings().map(seen).collect()
}

impl Outlook {
    /// Computes anew the rows that a fact about `subjects` can have changed.
    ///
    /// A reading of one finding reaches the others only through what their rules see of it: that it is open, that its
    /// width is over the counted one, and that it is a weaker sign. While that stays as it was, the others' rows do too.
    pub fn refresh(
        &mut self,
        property: &Property,
        subjects: &[Subject],
        settings: &Settings,
        today: NaiveDate,
    ) -> Refreshed {
        // What belongs to a closed finding, such as the warranty of its repair, is shown at the house.
        let is_open = |number: &u32| property.findings.get(number).is_some_and(|f| f.closed.is_none());
        let only_findings = subjects.iter().all(|s| matches!(s, Subject::Finding(number) if is_open(number)));
        if !only_findings || !self.sees_the_same(property, subjects, settings, today) {
            *self = outlook(property, settings, today);
            return Refreshed::All;
        }
        self.day = today;
        let (mut different, mut overview) = (Vec::new(), false);
        // The house itself hears of a finding only where something happened to it that has to be looked after, or where
        // it was never looked at.
        let house = self.rows.get(&Subject::Property);
        let hears = !property.events.is_empty() || house.is_none_or(|row| row.not_known.is_some());
        let house = Some(&Subject::Property).filter(|_| hears);
        let touched: BTreeSet<&Subject> = subjects.iter().chain(house).collect();
        for subject in touched {
            let Some(now) = row(property, subject, settings, today) else { continue };
            if self.rows.get(subject) != Some(&now) {
                let shown = now.shown_of_all() != self.rows.get(subject).and_then(OutlookRow::shown_of_all);
                overview |= shown;
                self.put(subject, now);
                different.push(subject.clone());
            }
        }
        Refreshed::Some { different, overview }
    }

    /// The first day on which the passing of time alone can change any row.
    pub fn changes_on(&self) -> Option<NaiveDate> {
        self.gathered.changes_on()
    }

    /// The rows of a band or worse, the worst first.
    pub fn of_band(&self, least: Band) -> impl Iterator<Item = &OutlookRow> {
        let so_bad = self.gathered.worst_first().take_while(move |(band, _)| *band >= least);
        so_bad.filter_map(|(_, subject)| self.rows.get(subject))
    }

    /// Whether what the rules see beside a finding is as it was. A fact about some findings changes nothing of the
    /// others; another day may bring readings into sight.
    fn sees_the_same(&self, property: &Property, subjects: &[Subject], settings: &Settings, today: NaiveDate) -> bool {
        if self.day != today {
            return beside(property, settings, today) == self.beside;
        }
        subjects.iter().all(|subject| {
            let Subject::Finding(number) = subject else { return false };
            let open = property.findings.get(number).filter(|f| f.closed.is_none());
            open.map(|f| seen_beside(property, *number, f, settings, today)) == self.beside.get(number).copied()
        })
    }

    /// Puts a row in its place.
    fn put(&mut self, subject: &Subject, now: OutlookRow) {
        if let Some(was) = self.rows.get(subject) {
            self.gathered.take(subject, was);
        }
        self.gathered.put(subject, &now);
        self.rows.insert(subject.clone(), now);
    }

    /// Gathers the rows into what a list of properties shows.
    pub fn overview(&self, property: &Property) -> Overview {
        let mut foundations: Vec<&str> = Vec::new();
        for section in property.sections.values() {
            if !foundations.contains(&section.foundation.word()) {
                foundations.push(section.foundation.word());
            }
        }
        let worst = self.gathered.worst_first().next();
        let first = self.gathered.first_due();
        let next_due = first.and_then(|subject| {
            let due = self.rows.get(subject)?.next_duty()?;
            Some((due.due_on, subject.clone(), due.title.clone()))
        });
        Overview {
            foundations: foundations.join(", "),
            worst: worst.map(|(band, _)| band),
            worst_subject: worst.map(|(_, subject)| subject.clone()),
            who: worst.and_then(|(_, subject)| self.rows.get(subject)?.who),
            open_findings: u32::try_from(self.beside.len()).unwrap_or(u32::MAX),
            next_due,
            changes_on: self.changes_on(),
            not_known: self
                .gathered
                .not_known()
                .filter_map(|subject| {
                    let what = self.rows.get(subject)?.not_known.as_ref()?;
                    Some(match subject {
                        Subject::Property => what.clone(),
                        _ => format!("{what} in `{}`", subject.local()),
                    })
                })
                .collect(),
        }
    }
}
