//! Which duties a part of a property has, and when each falls due: the almanac's rows and what people set, laid on the
//! property's history.
//!
//! A duty is satisfied by the entry it asks for; `not reached` and `unknown` never satisfy.

use chrono::{Datelike, NaiveDate};

use super::property::{Fixture, Property, Walk};
use super::settings::Settings;
use super::subject::Subject;
use crate::calendar::almanac::{ALMANAC, By, DayOfYear, Rule, Trigger};
use crate::calendar::occurrences::{Interval, Past};
use crate::calendar::own::{OwnRule, month_day};
use crate::calendar::windows::{Standing, Window, after, by_day, every, every_and_after, yearly};
use crate::trade::words::{EventKind, FixtureKind, Foundation, Outcome};
use crate::trade::{Band, Step, Verdict};

mod assumed;
mod chosen;
mod repairs;

#[cfg(test)]
mod laws;

use assumed::{assumed, freezes_rarely};
pub use chosen::{Chosen, Falls, SetBy, chosen, in_words as rule_in_words};
pub use repairs::{held, held_on, last_repair};

/// A duty of one subject as it stands on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// Its name in the almanac, or the one it was given.
    pub code: String,
    pub title: String,
    pub opens_on: NaiveDate,
    pub due_on: NaiveDate,
    /// The day on which it would fall due if nobody had moved it: by this the occurrence is known.
    pub occurs_on: NaiveDate,
    /// The band of the verdict that asks for it; `None` for what the calendar asks for, and for the owner's part beside a call.
    pub band: Option<Band>,
    /// How long it takes.
    pub minutes: u32,
    /// The foundation of the section it is done in, where that has cautions of its own.
    pub inside: Option<Foundation>,
    /// In its season, the day from which it is best done.
    pub best_on: Option<NaiveDate>,
    /// Why now, in words.
    pub why: String,
    /// The first day on which the passing of time alone can change it.
    pub changes_on: Option<NaiveDate>,
}

impl Due {
    /// It goes to a licensed person, or cannot wait.
    pub fn is_called(&self) -> bool {
        self.band >= Some(Band::Call)
    }
}

/// How [`Due::why`] begins where it was never done.
pub const NEVER_YET: &str = "never yet";

/// What was due before a house came into the ledger is asked for so many days after.
const FIRST_WITHIN: u32 = 30;

/// What a verdict asks for by a day can be done from so many days before.
const OPEN_FOR: u64 = 30;

/// What the almanac calls a subject; `None` for what it has no rows for.
pub fn almanac_name(property: &Property, subject: &Subject) -> Option<String> {
    match subject {
        Subject::Property => Some("property".to_owned()),
        Subject::Named(name) => match (property.sections.get(name), property.fixtures.get(name)) {
            (Some(section), _) => Some(format!("section:{}", section.foundation)),
            (_, Some(fixture)) if fixture.retired.is_none() => Some(format!("fixture:{}", fixture.kind)),
            _ => None,
        },
        Subject::Finding(_) => None,
    }
}

/// Everything that rows of duties call a subject: its name in the almanac, and what it carries.
pub fn names_of(property: &Property, subject: &Subject) -> Vec<String> {
    if let Subject::Finding(number) = subject {
        let open = property.findings.get(number).is_some_and(|finding| finding.closed.is_none());
        return if open { vec!["finding".to_owned()] } else { Vec::new() };
    }
    let mut names: Vec<String> = almanac_name(property, subject).into_iter().collect();
    let has_battery = |f: &&Fixture| f.kind == FixtureKind::BackupPump || f.fitted.battery_ah.is_some();
    if !names.is_empty() && fixture_of(property, subject).filter(has_battery).is_some() {
        names.push("battery".to_owned());
    }
    names
}

/// The duties of one subject on `today`, in the order of the almanac, those of people's own behind.
pub fn duties(property: &Property, subject: &Subject, settings: &Settings, today: NaiveDate) -> Vec<Due> {
    let Some(added) = property.added.map(|on| on.date).filter(|_| property.archived.is_none()) else {
        return Vec::new();
    };
    let names = names_of(property, subject);
    if names.is_empty() {
        return Vec::new();
    }
    let fixture = fixture_of(property, subject);
    let since = fixture.and_then(|f| f.since).map_or(added, |since| since.max(added));
    let part = Part { property, subject, fixture, since, today };
    let mut all: Vec<Due> = chosen(property, subject, &names, settings)
        .iter()
        .filter(|duty| !duty.off)
        .filter_map(|duty| part.due(duty))
        .collect();
    all.extend(repairs::looks(&part, settings));
    all.extend(repairs::warranties(&part, settings));
    all
}

/// What a verdict asks for by a day, as duties: where somebody is called, that, and the owner's next reading beside it; else
/// the step of the earliest day. What is urgent waits for nobody, and what goes to a licensed person is not moved, only
/// waited for.
pub fn asked(property: &Property, subject: &Subject, verdict: &Verdict) -> Vec<Due> {
    if verdict.due_on.is_none() || property.archived.is_some() {
        return Vec::new();
    }
    let earliest = |reads: bool| {
        verdict.next.iter().filter(|step| step.by.is_some() && step.reads() == reads).min_by_key(|step| step.by)
    };
    let of = |step: &Step, band| asked_step(property, subject, verdict, step, band);
    match earliest(false).filter(|_| verdict.band >= Some(Band::Call)) {
        Some(call) => {
            of(call, verdict.band).into_iter().chain(earliest(true).and_then(|step| of(step, None))).collect()
        }
        None => {
            let mut all: Vec<Due> = verdict.asked_first().and_then(|step| of(step, verdict.band)).into_iter().collect();
            // Of a section several things are tested, each by its own day.
            let is_section = matches!(subject, Subject::Named(name) if property.sections.contains_key(name));
            let more = verdict.next.iter().filter(|step| step.by.is_some() && is_section);
            let mut more: Vec<Due> = more.filter_map(|step| of(step, verdict.band)).collect();
            more.sort_by_key(|due| due.due_on);
            for due in more {
                if all.iter().all(|other| other.code != due.code) {
                    all.push(due);
                }
            }
            all
        }
    }
}

fn asked_step(
    property: &Property,
    subject: &Subject,
    verdict: &Verdict,
    step: &Step,
    band: Option<Band>,
) -> Option<Due> {
    let due_on = step.by.or(verdict.due_on)?;
    let records = match (step.records, subject) {
        // However a finding is read.
        (Some(_), Subject::Finding(_)) if step.reads() => "reading-added",
        (records, _) => records.unwrap_or("any"),
    };
    let is_of = |rule: &Rule, records: &str| matches!(rule, Rule::Verdict { verdict } if verdict == records);
    let row = |records: &str| ALMANAC.duties.iter().find(|duty| is_of(&duty.rule, records));
    let code = row(records).or_else(|| row("any")).map_or("verdict", |duty| duty.code.as_str());
    let mut past = past(property, subject, code);
    if band >= Some(Band::Call) {
        past.moved.clear();
    }
    if band == Some(Band::Urgent) {
        past.expected.clear();
    }
    let opens = due_on.checked_sub_days(chrono::Days::new(OPEN_FOR)).unwrap_or(due_on);
    let window = past.shifted(Window { opens, due: due_on });
    // Beside a test of radon stands what is said of radon, beside others what is not.
    let of_radon = step.records == Some("radon-tested");
    let mut because = verdict.because.iter();
    let told = because.find(|fired| fired.rule.name.starts_with("radon") == of_radon).or(verdict.because.first());
    let why = told.map_or_else(String::new, |fired| fired.because.to_string());
    let moved = moved(property, subject, code, due_on, window.due);
    Some(Due {
        code: code.to_owned(),
        title: step.says.clone(),
        opens_on: window.opens,
        due_on: window.due,
        occurs_on: due_on,
        band,
        minutes: ALMANAC.duty(code).map_or(0, |duty| duty.minutes),
        best_on: None,
        // Somebody is asked from outside.
        inside: inside(property, subject).filter(|_| band < Some(Band::Call)),
        why: format!("{moved}{why}"),
        changes_on: None,
    })
}

/// A part of a house with duties of its own.
struct Part<'a> {
    property: &'a Property,
    subject: &'a Subject,
    fixture: Option<&'a Fixture>,
    /// Since when its duties are somebody's.
    since: NaiveDate,
    today: NaiveDate,
}

impl Part<'_> {
    fn due(&self, duty: &Chosen) -> Option<Due> {
        let year = self.property.year();
        let past = Past { done: self.done(duty), ..past(self.property, self.subject, &duty.code) };
        let (since, today) = (duty.from.map_or(self.since, |from| from.max(self.since)), self.today);
        let mut storm = None;
        let standing = match &duty.falls {
            Falls::Own(rule) => rule.standing(&year, since, &past, today),
            Falls::Almanac(rule) => match rule {
                Rule::Season { season } => {
                    yearly(|y| year.season(*season, y), |y| year.season_lapses(*season, y), since, &past, today)
                }
                // Where a freeze is too rare to have a usual day, nothing is done before it.
                Rule::Before { before: DayOfYear::FirstFreeze, .. } if freezes_rarely(self.property) => None,
                Rule::Before { before, days } => {
                    let lapses = |y| year.before_lapses(*before, *days, y);
                    yearly(|y| year.before(*before, *days, y), lapses, since, &past, today)
                }
                Rule::Yearly { on, south } => {
                    let day = month_day(if year.southern { south } else { on })?;
                    yearly(|y| by_day(day, y), |_| None, since, &past, today)
                }
                Rule::Months { months, storm_days: None } => every(Interval::months(*months), since, &past, today),
                Rule::Months { months, storm_days: Some(within) } => {
                    let (standing, day) =
                        every_and_after(Interval::months(*months), &self.storms(), *within, since, &past, today)?;
                    storm = day;
                    Some(standing)
                }
                // The verdicts of sections ask for the same test by the same day.
                Rule::After { after: Trigger::SystemStart, .. } if !self.property.sections.is_empty() => None,
                Rule::After { after: Trigger::SystemStart | Trigger::Installed, from_days, days } => {
                    let start = self.fixture.and_then(|f| f.since)?;
                    let mut window = after(start, *from_days, *days)?;
                    // What was due before the house was here is asked for once it is.
                    if window.due < since {
                        window = after(since, 0, FIRST_WITHIN)?;
                    }
                    let done = past.done.iter().any(|day| *day >= window.opens);
                    past.once(window).filter(|_| !done)
                }
                // Laid on repairs and verdicts elsewhere.
                Rule::After { after: Trigger::Repair, .. } | Rule::Verdict { .. } | Rule::Warranty { .. } => None,
            },
        }?;
        let mut due = self.row(duty, standing, past.last_done(today));
        if let Some(day) = storm {
            due.why = format!("storm on {}; {}", in_words(day), due.why);
        }
        if let Some(says) = assumed(self.property, &duty.falls) {
            due.why.push_str(&says);
        }
        if let Falls::Almanac(Rule::Season { season }) | Falls::Own(OwnRule::Season(season)) = &duty.falls {
            let best = year.best(*season, due.occurs_on.year());
            due.best_on = best.filter(|_| due.due_on == due.occurs_on);
        }
        Some(due)
    }

    fn storms(&self) -> Vec<NaiveDate> {
        let storms = self.property.events.iter().filter(|event| event.kind == EventKind::Storm);
        storms.map(|event| event.on.date).collect()
    }

    /// The days on which the duty was done.
    fn done(&self, duty: &Chosen) -> Vec<NaiveDate> {
        let Part { property, subject, .. } = self;
        let mut days: Vec<NaiveDate> = match duty.by {
            By::Walk => property.walks.iter().filter_map(|walk| walked(property, subject, walk)).collect(),
            By::SumpTest => {
                let of = |name: &super::subject::Name| Subject::Named(name.clone()) == **subject;
                property.sump_tests.iter().filter(|t| of(&t.test.fixture)).map(|t| t.on.date).collect()
            }
            By::RadonTest => {
                let section = self.fixture.and_then(|f| f.section.as_ref());
                let here = |t: &&super::property::RadonTest| section.is_none_or(|section| t.test.section == *section);
                property.radon_tests.iter().filter(here).map(|t| t.test.started.date).collect()
            }
            By::RepairCheck | By::Reading | By::Verdict => Vec::new(),
            By::Done => {
                let of = |d: &&super::property::DutyDone| d.about == **subject && d.duty == duty.code;
                let looked = ALMANAC.duty(&duty.code).and_then(|row| row.point.as_deref());
                let points = property.walks.iter().flat_map(|walk| &walk.points);
                let reached = points.filter(|p| p.about == **subject && Some(p.point.as_str()) == looked);
                let reached = reached.filter(|p| p.outcome != Outcome::NotReached).map(|p| p.on.date);
                let gauge = |l: &&super::property::GaugeLook| {
                    looked == Some("radon-gauge") && Subject::Named(l.look.fixture.clone()) == **subject
                };
                let gauges = property.gauge_looks.iter().filter(gauge).map(|l| l.on.date);
                let mut days: Vec<NaiveDate> =
                    property.duties_done.iter().filter(of).map(|d| d.on.date).chain(reached).chain(gauges).collect();
                // The last one is asked for as the last that happened.
                days.sort_unstable();
                days
            }
        };
        days.retain(|day| *day <= self.today);
        days
    }

    fn row(&self, duty: &Chosen, standing: Standing, last: Option<NaiveDate>) -> Due {
        let last = last.map_or_else(|| NEVER_YET.to_owned(), |day| format!("last {}", in_words(day)));
        let missed = match standing.missed {
            0 => String::new(),
            1 => ", one before it missed".to_owned(),
            n => format!(", {n} before it missed"),
        };
        let Window { opens, due } = standing.window;
        let moved = moved(self.property, self.subject, &duty.code, standing.occurs, due);
        let why = if duty.why.is_empty() { duty.falls.words() } else { duty.why.clone() };
        Due {
            code: duty.code.clone(),
            title: duty.title.clone(),
            opens_on: opens,
            due_on: due,
            occurs_on: standing.occurs,
            band: None,
            minutes: duty.minutes,
            best_on: None,
            inside: inside(self.property, self.subject),
            why: format!("{moved}{last}{missed}; {why}"),
            changes_on: standing.changes_on,
        }
    }
}

/// What people said of the occurrences of a duty: which are left out, which moved, and who is expected.
fn past(property: &Property, subject: &Subject, code: &str) -> Past {
    let mut past = Past::default();
    for ((about, duty, occurs), skip) in &property.skips {
        if about == subject && duty == code {
            match skip.until {
                Some(until) => drop(past.moved.insert(*occurs, until)),
                None => drop(past.skipped.insert(*occurs, skip.on)),
            }
        }
    }
    let waits = property.expected.iter().filter(|e| e.about == *subject && e.duty.as_ref().is_none_or(|d| d == code));
    past.expected.extend(waits.map(|e| e.by));
    past
}

/// Why an occurrence stands on another day than its rule gives it, with what joins it to the rest; empty where it does not.
fn moved(property: &Property, subject: &Subject, code: &str, occurs: NaiveDate, due: NaiveDate) -> String {
    let comes = property.expected.iter().rfind(|e| {
        e.about == *subject && e.by == due && due != occurs && e.duty.as_ref().is_none_or(|duty| duty == code)
    });
    if let Some(expected) = comes {
        return format!("expected by {}: {}; ", in_words(expected.by), expected.what);
    }
    let skip = property.skips.get(&(subject.clone(), code.to_owned(), occurs));
    let Some(skip) = skip.filter(|skip| skip.until == Some(due)) else { return String::new() };
    let nobody = if skip.nobody_in { ", nobody in" } else { "" };
    let why = skip.why.as_ref().map_or(String::new(), |why| format!(": {why}"));
    format!("moved from {}{nobody}{why}; ", in_words(occurs))
}

/// The foundation of the section that a subject is in, or is, where the almanac has cautions for whatever is done there.
fn inside(property: &Property, subject: &Subject) -> Option<Foundation> {
    let section = match subject {
        Subject::Property => None,
        Subject::Finding(number) => property.findings.get(number)?.section.as_ref(),
        Subject::Named(name) => property.fixtures.get(name).map_or(Some(name), |fixture| fixture.section.as_ref()),
    };
    let foundation = property.sections.get(section?)?.foundation;
    (!ALMANAC.cautions_in(&format!("section:{foundation}")).is_empty()).then_some(foundation)
}

fn in_words(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

fn fixture_of<'a>(property: &'a Property, subject: &Subject) -> Option<&'a Fixture> {
    match subject {
        Subject::Named(name) => property.fixtures.get(name),
        _ => None,
    }
}

/// The day on which a walk had reached every point of a subject; `None` while one was not walked or not reached.
pub fn walked(property: &Property, subject: &Subject, walk: &Walk) -> Option<NaiveDate> {
    let name = almanac_name(property, subject)?;
    let days = ALMANAC.points_of(&name, walk.season.word()).map(|point| {
        let ended = walk.points.iter().find(|p| p.about == *subject && p.point == point.code)?;
        (ended.outcome != Outcome::NotReached).then_some(ended.on.date)
    });
    let days: Option<Vec<NaiveDate>> = days.collect();
    days?.into_iter().max()
}

#[cfg(test)]
mod tests {
    use super::ALMANAC;
    use crate::ledger::settings::SETTINGS;
    use crate::trade::words::{FindingKind, FixtureKind, Foundation, Season};

    #[test]
    fn the_almanac_speaks_of_kinds_that_there_are() {
        let known = |of: &str| match of.split_once(':') {
            Some(("section", kind)) => Foundation::from_word(kind).is_some(),
            Some(("fixture", kind)) => FixtureKind::from_word(kind).is_some(),
            _ => ["property", "repair", "warranty", "finding", "battery"].contains(&of),
        };
        for of in ALMANAC.duties.iter().flat_map(|d| &d.of).chain(ALMANAC.points.iter().flat_map(|p| &p.of)) {
            assert!(known(of), "{of}");
        }
        assert!(ALMANAC.places.iter().all(|place| known(&place.of)));
        let in_places = ALMANAC.places.iter().flat_map(|place| &place.cautions);
        for caution in ALMANAC.duties.iter().flat_map(|d| &d.cautions).chain(in_places) {
            assert!(crate::trade::cautions::named(caution).is_some(), "{caution}");
        }
        for duty in ALMANAC.duties.iter().filter(|duty| duty.point.is_some()) {
            let there = |p: &&crate::calendar::almanac::Point| {
                Some(&p.code) == duty.point.as_ref() && duty.of.iter().all(|of| p.of.contains(of))
            };
            assert!(ALMANAC.points.iter().any(|p| there(&p)), "{}", duty.code);
        }
        for duty in &ALMANAC.duties {
            if let Some(choice) = &duty.choice {
                assert!(SETTINGS.iter().any(|row| row.name == choice), "{choice}");
            }
        }
        for point in &ALMANAC.points {
            assert!(point.seasons.iter().all(|s| Season::from_word(s).is_some()), "{}", point.code);
            assert!(point.finds.iter().all(|k| FindingKind::from_word(k).is_some()), "{}", point.code);
        }
        for foundation in Foundation::WORDS {
            for season in ["spring", "autumn"] {
                let name = format!("section:{foundation}");
                assert!(ALMANAC.points_of(&name, season).count() > 0, "{name} has no point in {season}");
            }
        }
    }
}
