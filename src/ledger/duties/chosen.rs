//! Which duties a subject has: the almanac's, as they are set for all houses, for this one, or for this part of it.

use chrono::NaiveDate;

use crate::calendar::almanac::{ALMANAC, By, DayOfYear, Duty, Rule, Trigger};
use crate::calendar::occurrences::Interval;
use crate::calendar::own::OwnRule;
use crate::ledger::duty_change::DutyChange;
use crate::ledger::property::Property;
use crate::ledger::settings::Settings;
use crate::ledger::subject::Subject;

/// A duty as it holds for a subject.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    pub code: String,
    pub title: String,
    pub falls: Falls,
    pub by: By,
    pub minutes: u32,
    /// Empty where nobody said.
    pub why: String,
    /// Who set it so.
    pub set_by: SetBy,
    /// It is not asked for.
    pub off: bool,
    /// The day from which a duty of one's own counts.
    pub from: Option<NaiveDate>,
}

/// When a duty falls due: as the almanac has it, or as somebody said.
#[derive(Debug, Clone, PartialEq)]
pub enum Falls {
    Almanac(&'static Rule),
    Own(OwnRule),
}

/// Whose word about a duty is the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetBy {
    Almanac,
    /// A choice between documents, by its setting.
    Choice,
    AllHouses,
    Here,
}

/// The duties of a subject that rows call by `names`, off ones included: the almanac's in its order, then people's own.
pub fn chosen(property: &Property, subject: &Subject, names: &[String], settings: &Settings) -> Vec<Chosen> {
    let is_of = |duty: &&Duty| duty.of.iter().any(|of| names.contains(of));
    let rows = ALMANAC.duties.iter().filter(is_of).map(|duty| chosen_row(property, subject, duty, settings));
    let own = own(property, subject, names, settings);
    rows.chain(own).collect()
}

/// A row of the almanac as it holds for a subject.
pub(super) fn chosen_row(property: &Property, subject: &Subject, duty: &'static Duty, settings: &Settings) -> Chosen {
    let other =
        duty.choice.as_deref().is_some_and(|choice| Some(settings.frequency(choice)) != duty.variant.as_deref());
    let mut chosen = Chosen {
        code: duty.code.clone(),
        title: duty.title.clone(),
        falls: Falls::Almanac(&duty.rule),
        by: duty.by,
        minutes: duty.minutes,
        why: duty.why.clone(),
        set_by: if other { SetBy::Choice } else { SetBy::Almanac },
        off: duty.off || other,
        from: None,
    };
    for (set_by, change) in layers(property, subject, &duty.code, settings) {
        chosen.lay_over(set_by, change);
    }
    // What a verdict asks for is not a matter of taste.
    if matches!(duty.rule, Rule::Verdict { .. }) {
        chosen.off = false;
    }
    // A duty of the almanac is there since its subject is.
    chosen.from = None;
    chosen
}

/// Duties that the almanac does not have: set for all houses, for this one, or for this part.
fn own<'a>(
    property: &'a Property,
    subject: &'a Subject,
    names: &'a [String],
    settings: &'a Settings,
) -> impl Iterator<Item = Chosen> + 'a {
    let is_own = |code: &str| ALMANAC.duty(code).is_none();
    let of_all = settings.duties.iter().filter(move |(code, change)| {
        let of = change.of.as_deref().unwrap_or("property");
        is_own(code) && names.iter().any(|name| name == of)
    });
    let of_all: Vec<&String> = of_all.map(|(code, _)| code).collect();
    let here = property.duties.keys().filter(|(about, code)| about == subject && is_own(code)).map(|(_, code)| code);
    let here: Vec<&String> = here.filter(|code| !of_all.contains(code)).collect();
    of_all.into_iter().chain(here).filter_map(|code| {
        let mut chosen = Chosen {
            code: code.clone(),
            title: code.clone(),
            falls: Falls::Own(OwnRule::Every { months: 0, days: 0 }),
            by: By::Done,
            minutes: Chosen::MINUTES,
            why: String::new(),
            set_by: SetBy::AllHouses,
            off: false,
            from: None,
        };
        for (set_by, change) in layers(property, subject, code, settings) {
            chosen.lay_over(set_by, change);
        }
        // Without a rule it never falls due: what it hung on was dropped.
        matches!(&chosen.falls, Falls::Own(rule) if rule.fires()).then_some(chosen)
    })
}

/// What was set of a duty, the widest first.
fn layers<'a>(
    property: &'a Property,
    subject: &'a Subject,
    code: &'a str,
    settings: &'a Settings,
) -> impl Iterator<Item = (SetBy, &'a DutyChange)> {
    let at = |subject: &Subject| {
        // Most houses have nothing of their own.
        let found = (!property.duties.is_empty()).then(|| property.duties.get(&(subject.clone(), code.to_owned())));
        found.flatten().map(|change| (SetBy::Here, change))
    };
    let house = at(&Subject::Property).filter(|_| *subject != Subject::Property);
    settings.duties.get(code).map(|change| (SetBy::AllHouses, change)).into_iter().chain(house).chain(at(subject))
}

impl SetBy {
    /// As programs read it.
    pub fn word(self) -> &'static str {
        match self {
            SetBy::Almanac => "almanac",
            SetBy::Choice => "choice",
            SetBy::AllHouses => "all-houses",
            SetBy::Here => "here",
        }
    }
}

impl Chosen {
    /// How long a duty of one's own is taken to take, where nobody said.
    pub const MINUTES: u32 = 15;

    fn lay_over(&mut self, set_by: SetBy, change: &DutyChange) {
        self.set_by = set_by;
        self.off = change.off.unwrap_or(self.off);
        self.title = change.title.clone().unwrap_or_else(|| std::mem::take(&mut self.title));
        self.minutes = change.minutes.unwrap_or(self.minutes);
        self.why = change.why.clone().unwrap_or_else(|| std::mem::take(&mut self.why));
        self.from = self.from.or(change.from);
        if let Some(rule) = &change.rule {
            // What the almanac gives as its reason is often how often.
            if change.why.is_none() && ALMANAC.duty(&self.code).is_some() {
                self.why = format!("{}, as it was set", rule.words());
            }
            self.falls = Falls::Own(rule.clone());
            // Whoever says when, asks for it.
            self.off = change.off.unwrap_or(false);
        }
    }
}

impl Falls {
    /// The time from one to the next, where it counts from when it was last done.
    pub fn interval(&self) -> Option<Interval> {
        match self {
            Falls::Almanac(Rule::Months { months, .. }) => Some(Interval::months(*months)),
            Falls::Own(OwnRule::Every { months, days }) => Some(Interval { months: *months, days: *days }),
            Falls::Almanac(_) | Falls::Own(_) => None,
        }
    }

    /// As it is put to people.
    pub fn words(&self) -> String {
        match self {
            Falls::Almanac(rule) => in_words(rule),
            Falls::Own(rule) => rule.words(),
        }
    }
}

/// A rule of the almanac, as it is put to people.
pub fn in_words(rule: &Rule) -> String {
    match rule {
        Rule::Season { season } => format!("every {}", season.word()),
        Rule::Months { months, storm_days: None } => Interval::months(*months).words(),
        Rule::Months { months, storm_days: Some(days) } => {
            format!("{}, and within {days} days after a storm", Interval::months(*months).words())
        }
        Rule::Before { before: DayOfYear::LastFreeze, days } => format!("{days} days before the usual last freeze"),
        Rule::Before { before: DayOfYear::FirstFreeze, days } => format!("{days} days before the usual first freeze"),
        Rule::Before { before: DayOfYear::WetSeason, .. } => "before the wet season".into(),
        Rule::Yearly { on, south } => format!("every year by {on}, south of the equator by {south}"),
        Rule::After { after: Trigger::Repair, days, .. } => format!("{days} days after the repair"),
        Rule::After { after: Trigger::SystemStart, from_days, days } => {
            format!("{from_days} to {days} days after the system was started")
        }
        Rule::After { after: Trigger::Installed, days, .. } => {
            format!("{} years after it was put in", (days + 182) / 365)
        }
        Rule::Verdict { .. } => "by the day its verdict names".into(),
        Rule::Warranty { .. } => "by the day its warranty ends".into(),
    }
}
