//! What repairs ask for: looks whether they hold, and the day on which a warranty ends.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::chosen::{Chosen, chosen_row};
use super::{Due, Part, past};
use crate::calendar::almanac::{ALMANAC, Duty, Rule};
use crate::calendar::occurrences::Past;
use crate::calendar::windows::{Standing, Window, after, one_off};
use crate::ledger::property::{DutyDone, Property, Repair};
use crate::ledger::settings::Settings;
use crate::ledger::subject::Subject;
use crate::trade::words::Answer;

/// A warranty that has ended is spoken of for so many days more.
const SPOKEN_OF_AFTER: u64 = 30;

/// The next look at the last repair of a finding, unless somebody has found it to have failed.
pub(super) fn looks(part: &Part, settings: &Settings) -> Option<Due> {
    let Part { property, subject, today, .. } = *part;
    let Subject::Finding(number) = subject else { return None };
    let finding = property.findings.get(number)?;
    // A later repair of the same place takes the place of the one before.
    let repair = last_repair(property, *number, today).filter(|r| held(r, today) != Some(Answer::No))?;
    let looked: Vec<NaiveDate> = repair
        .checks
        .iter()
        .filter(|c| c.held != Answer::Unknown)
        .map(|c| c.on.date)
        .chain(finding.readings.iter().map(|r| r.on.date))
        .filter(|day| *day > repair.on.date && *day <= today)
        .collect();
    let windows: Vec<(Chosen, Past, Window)> = ALMANAC
        .duties_of("repair")
        .filter_map(|duty| Some((stands(part, duty, settings)?, after_repair(repair, &duty.rule)?)))
        .filter(|(_, window)| !looked.iter().any(|day| *day >= window.opens))
        .map(|(duty, window)| (past(property, subject, &duty.code), duty, window))
        .filter(|(past, _, window)| !past.is_skipped(window))
        .map(|(past, duty, window)| (duty, past, window))
        .collect();
    let opened = windows.iter().rposition(|(_, _, window)| window.opens <= today);
    let (duty, past, window) = windows.get(opened.unwrap_or(0))?;
    let changes_on = windows.get(opened.map_or(1, |i| i + 1)).map(|(_, _, window)| window.opens);
    let missed = u32::try_from(opened.unwrap_or(0)).unwrap_or(u32::MAX);
    let standing = Standing { window: past.shifted(*window), occurs: window.due, missed, changes_on };
    Some(part.row(duty, standing, looked.iter().max().copied()))
}

/// A duty of the almanac as it stands at a subject, unless it is off there.
fn stands(part: &Part, duty: &'static Duty, settings: &Settings) -> Option<Chosen> {
    Some(chosen_row(part.property, part.subject, duty, settings)).filter(|duty| !duty.off)
}

fn after_repair(repair: &Repair, rule: &Rule) -> Option<Window> {
    match rule {
        Rule::After { from_days, days, .. } => after(repair.on.date, *from_days, *days),
        _ => None,
    }
}

/// The warranties that end, each on a day of its own: of a fixture, of a repair of an open finding, and at the house itself
/// of those repairs whose findings are closed.
pub(super) fn warranties(part: &Part, settings: &Settings) -> Vec<Due> {
    let Part { property, subject, today, .. } = *part;
    let mut ends: BTreeMap<NaiveDate, Vec<Subject>> = BTreeMap::new();
    if let Some(day) = part.fixture.and_then(|f| f.fitted.warranty_until) {
        ends.insert(day, vec![subject.clone()]);
    }
    for repair in property.repairs.iter().filter(|r| r.on.date <= today) {
        if let Some(day) = repair.made.warranty_until.filter(|_| bearer(property, repair) == *subject) {
            let findings = repair.made.findings.iter().copied().map(Subject::Finding);
            ends.entry(day).or_default().extend(findings.chain([subject.clone()]));
        }
    }
    let row = ALMANAC.duties_of("warranty").next().filter(|_| !ends.is_empty());
    let Some(duty) = row.and_then(|row| stands(part, row, settings)) else { return Vec::new() };
    let past = past(property, subject, &duty.code);
    let mut looks: Vec<&DutyDone> =
        property.duties_done.iter().filter(|d| d.duty == duty.code && d.on.date <= today).collect();
    let mut all = Vec::new();
    for (day, subjects) in ends {
        let Some(window) = one_off(day) else { continue };
        // A look is at one of them: the one it names, else the first that could be looked at then.
        let is_of = |look: &&DutyDone| {
            let names = look.occurs.map_or(look.on.date >= window.opens, |occurs| occurs == day);
            names && subjects.contains(&look.about)
        };
        if let Some(i) = looks.iter().position(is_of) {
            looks.remove(i);
            continue;
        }
        let Some(standing) = past.once(window) else { continue };
        let Some(over) = standing.window.due.checked_add_days(Days::new(SPOKEN_OF_AFTER + 1)) else { continue };
        if today < over {
            all.push(part.row(&duty, Standing { changes_on: Some(over), ..standing }, None));
        }
    }
    all
}

/// What a repair's warranty is shown at: the first of its findings that is open, else the house.
fn bearer(property: &Property, repair: &Repair) -> Subject {
    let is_open = |number: &&u32| property.findings.get(*number).is_some_and(|f| f.closed.is_none());
    repair.made.findings.iter().find(is_open).map_or(Subject::Property, |number| Subject::Finding(*number))
}

/// The last repair of a finding up to `today`.
pub fn last_repair(property: &Property, number: u32, today: NaiveDate) -> Option<&Repair> {
    property.repairs.iter().rfind(|r| r.made.findings.contains(&number) && r.on.date <= today)
}

/// Whether a repair held and since when that is known, by the last look that could tell.
pub fn held_on(repair: &Repair, today: NaiveDate) -> Option<(Answer, NaiveDate)> {
    let told = repair.checks.iter().rev().filter(|c| c.on.date <= today).map(|c| (c.held, c.on.date));
    told.chain(repair.made.held.map(|held| (held, repair.on.date))).find(|(held, _)| *held != Answer::Unknown)
}

/// Whether a repair held, by the last look that could tell.
pub fn held(repair: &Repair, today: NaiveDate) -> Option<Answer> {
    held_on(repair, today).map(|(held, _)| held)
}
