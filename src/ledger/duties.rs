//! Which duties a part of a property has, and when each falls due: the almanac's rows laid on the property's history.
//!
//! A duty is satisfied by the entry it asks for; `not reached` and `unknown` never satisfy.

use chrono::NaiveDate;

use super::property::{Finding, Fixture, Property, Repair, Walk};
use super::subject::Subject;
use crate::calendar::almanac::{ALMANAC, By, DayOfYear, Duty, Rule, Season, Trigger};
use crate::calendar::windows::{Standing, Window, after, every, yearly};
use crate::trade::words::{Answer, Outcome};

/// A duty of one subject as it stands on a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// Its name in the almanac.
    pub code: String,
    pub title: String,
    pub opens_on: NaiveDate,
    pub due_on: NaiveDate,
    /// Why now, in words.
    pub why: String,
    /// The first day on which the passing of time alone can change it.
    pub changes_on: Option<NaiveDate>,
}

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

/// The duties of one subject on `today`, in the order of the almanac.
pub fn duties(property: &Property, subject: &Subject, today: NaiveDate) -> Vec<Due> {
    let Some(added) = property.added.map(|on| on.date).filter(|_| property.archived.is_none()) else {
        return Vec::new();
    };
    match subject {
        Subject::Finding(number) => match property.findings.get(number) {
            Some(finding) if finding.closed.is_none() => looks_at_repairs(property, *number, finding, today),
            _ => Vec::new(),
        },
        _ => {
            let Some(name) = almanac_name(property, subject) else { return Vec::new() };
            let fixture = fixture_of(property, subject);
            let since = fixture.and_then(|f| f.since).map_or(added, |since| since.max(added));
            let of = Part { property, subject, fixture, since, today };
            ALMANAC.duties_of(&name).filter_map(|duty| of.due(duty)).collect()
        }
    }
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
    fn due(&self, duty: &Duty) -> Option<Due> {
        let year = self.property.year();
        let done = self.done(duty);
        let standing = match &duty.rule {
            Rule::Season { season } => {
                let lapses = |y| year.season_lapses(*season, y);
                yearly(|y| year.season(*season, y), lapses, self.since, &done, self.today)
            }
            Rule::Before { before, days } => {
                let lapses = |y| year.before_lapses(*before, *days, y);
                yearly(|y| year.before(*before, *days, y), lapses, self.since, &done, self.today)
            }
            Rule::Months { months } => every(*months, self.since, &done, self.today),
            Rule::After { after: Trigger::SystemStart, from_days, days } => {
                let start = self.fixture.and_then(|f| f.since)?;
                let window = after(start, *from_days, *days)?;
                let tested = done.iter().any(|day| *day >= window.opens);
                (!tested).then_some(Standing { window, missed: 0, changes_on: None })
            }
            Rule::After { after: Trigger::Repair, .. } => None,
        }?;
        let mut due = row(duty, standing, done.iter().max().copied());
        if let Some(says) = self.default_taken(duty) {
            due.why.push_str(&says);
        }
        Some(due)
    }

    /// Says that a day the duty hangs on is a default of the climate zone, where it is one.
    fn default_taken(&self, duty: &Duty) -> Option<String> {
        let of = self.property;
        let zone = of.defaults()?;
        let last = || zone.last_freeze().filter(|_| of.last_freeze.is_none()).map(|day| ("last freeze", day));
        let first = || zone.first_freeze().filter(|_| of.first_freeze.is_none()).map(|day| ("first freeze", day));
        let (what, (month, day)) = match duty.rule {
            Rule::Season { season: Season::Spring } => last()?,
            Rule::Season { season: Season::Autumn } => first()?,
            Rule::Before { before: DayOfYear::LastFreeze, .. } => last()?,
            _ => return None,
        };
        Some(format!("; {what} {month:02}-{day:02} by default of climate zone {zone}"))
    }

    /// The days on which the duty was done.
    fn done(&self, duty: &Duty) -> Vec<NaiveDate> {
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
            By::RepairCheck => Vec::new(),
            By::Done => {
                let of = |d: &&super::property::DutyDone| d.about == **subject && d.duty == duty.code;
                property.duties_done.iter().filter(of).map(|d| d.on.date).collect()
            }
        };
        days.retain(|day| *day <= self.today);
        days
    }
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

/// The next look at each repair of a finding that nobody has found to have failed.
fn looks_at_repairs(property: &Property, number: u32, finding: &Finding, today: NaiveDate) -> Vec<Due> {
    // A later repair of the same place takes the place of the one before.
    let last = property.repairs.iter().rfind(|r| r.made.findings.contains(&number) && r.on.date <= today);
    let Some(repair) = last.filter(|r| held(r, today) != Some(Answer::No)) else { return Vec::new() };
    let looked: Vec<NaiveDate> = repair
        .checks
        .iter()
        .filter(|c| c.held != Answer::Unknown)
        .map(|c| c.on.date)
        .chain(finding.readings.iter().map(|r| r.on.date))
        .filter(|day| *day > repair.on.date && *day <= today)
        .collect();
    let windows: Vec<(&Duty, Window)> = ALMANAC
        .duties_of("repair")
        .filter_map(|duty| match duty.rule {
            Rule::After { from_days, days, .. } => Some((duty, after(repair.on.date, from_days, days)?)),
            _ => None,
        })
        .filter(|(_, window)| !looked.iter().any(|day| *day >= window.opens))
        .collect();
    let opened = windows.iter().rposition(|(_, window)| window.opens <= today);
    let stands = windows.get(opened.unwrap_or(0));
    let changes_on = windows.get(opened.map_or(1, |i| i + 1)).map(|(_, window)| window.opens);
    let missed = opened.unwrap_or(0) as u32;
    stands
        .map(|(duty, window)| row(duty, Standing { window: *window, missed, changes_on }, looked.iter().max().copied()))
        .into_iter()
        .collect()
}

/// Whether a repair held, by the last look that could tell.
pub fn held(repair: &Repair, today: NaiveDate) -> Option<Answer> {
    let told = repair.checks.iter().rev().filter(|c| c.on.date <= today).map(|c| c.held);
    told.chain(repair.made.held).find(|held| *held != Answer::Unknown)
}

fn row(duty: &Duty, standing: Standing, last: Option<NaiveDate>) -> Due {
    let last = last.map_or_else(|| "never yet".to_owned(), |day| format!("last {}", day.format("%-d %b %Y")));
    let missed = match standing.missed {
        0 => String::new(),
        1 => ", one before it missed".to_owned(),
        n => format!(", {n} before it missed"),
    };
    Due {
        code: duty.code.clone(),
        title: duty.title.clone(),
        opens_on: standing.window.opens,
        due_on: standing.window.due,
        why: format!("{last}{missed}; {}", duty.why),
        changes_on: standing.changes_on,
    }
}

#[cfg(test)]
mod tests {
    use super::ALMANAC;
    use crate::trade::words::{FindingKind, FixtureKind, Foundation, Season};

    #[test]
    fn the_almanac_speaks_of_kinds_that_there_are() {
        let known = |of: &str| match of.split_once(':') {
            Some(("section", kind)) => Foundation::from_word(kind).is_some(),
            Some(("fixture", kind)) => FixtureKind::from_word(kind).is_some(),
            _ => ["property", "repair"].contains(&of),
        };
        for of in ALMANAC.duties.iter().flat_map(|d| &d.of).chain(ALMANAC.points.iter().flat_map(|p| &p.of)) {
            assert!(known(of), "{of}");
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
