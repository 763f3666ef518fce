//! The shape of every verdict: band, who, by when, the rules that led to it, what is not known, next step, cautions.
//!
//! A verdict compares what was recorded with named tables and says who should look. The worst rule that fired decides
//! the band; all that fired are kept. A rule outside its scope is kept *for comparison only* and moves no band. A
//! subject that was never looked at has no band at all. Nothing here says that a structure is safe or unsafe, or names
//! a cause as fact.

use std::fmt;

use chrono::NaiveDate;
use serde::{Serialize, Serializer};

use super::wording::Wording;

/// How far a subject is beyond being written down, mildest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Band {
    /// Written down; looked at again at the next walk.
    Note,
    /// Measure again.
    Watch,
    /// No rule here sends it to a licensed person; local law may.
    Mend,
    /// A licensed person should look, and the verdict says which.
    Call,
    /// Act now.
    Urgent,
}

impl Band {
    pub const ALL: [Band; 5] = [Band::Note, Band::Watch, Band::Mend, Band::Call, Band::Urgent];

    /// The word shown to people.
    pub fn word(self) -> &'static str {
        match self {
            Band::Note => "note",
            Band::Watch => "watch",
            Band::Mend => "mend",
            Band::Call => "call",
            Band::Urgent => "urgent",
        }
    }

    /// 1 for note to 5 for urgent: the number of wall courses drawn beside the word, and the stored value.
    pub fn courses(self) -> u8 {
        self as u8 + 1
    }

    /// The inverse of [`Band::courses`]; `None` outside 1 to 5.
    pub fn from_courses(courses: u8) -> Option<Band> {
        Band::ALL.get(usize::from(courses).checked_sub(1)?).copied()
    }
}

impl fmt::Display for Band {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

/// Who should act. The order is that of how far beyond the owner the work is; it breaks ties between rules of one band.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Who {
    Owner,
    OwnerOrContractor,
    OwnerOrPlumber,
    Plumber,
    WaterproofingContractor,
    Arborist,
    RemediationContractor,
    PestProfessional,
    RadonProfessional,
    Electrician,
    UtilityOrElectrician,
    StructuralEngineer,
}

impl Who {
    /// As it is put to people, with its article.
    pub fn words(self) -> &'static str {
        match self {
            Who::Owner => "the owner",
            Who::OwnerOrContractor => "the owner or a contractor",
            Who::OwnerOrPlumber => "the owner or a plumber",
            Who::Plumber => "a plumber",
            Who::WaterproofingContractor => "a waterproofing contractor",
            Who::Arborist => "an arborist",
            Who::RemediationContractor => "a qualified remediation contractor",
            Who::PestProfessional => "a licensed pest professional",
            Who::RadonProfessional => "a radon professional, licensed or certified where the state has it",
            Who::Electrician => "a licensed electrician",
            Who::UtilityOrElectrician => "the utility or a licensed electrician",
            Who::StructuralEngineer => "a licensed structural engineer",
        }
    }
}

impl Who {
    pub const ALL: [Who; 12] = [
        Who::Owner,
        Who::OwnerOrContractor,
        Who::OwnerOrPlumber,
        Who::Plumber,
        Who::WaterproofingContractor,
        Who::Arborist,
        Who::RemediationContractor,
        Who::PestProfessional,
        Who::RadonProfessional,
        Who::Electrician,
        Who::UtilityOrElectrician,
        Who::StructuralEngineer,
    ];

    /// The one that is put to people so.
    pub fn from_words(words: &str) -> Option<Who> {
        Who::ALL.into_iter().find(|who| who.words() == words)
    }
}

/// Who, in JSON, is named alike everywhere: `who` for programs, `who_words` for people; both null where nobody is.
#[derive(Debug, Clone, Copy, Serialize)]
pub struct Named {
    pub who: Option<Who>,
    pub who_words: Option<&'static str>,
}

impl From<Option<Who>> for Named {
    fn from(who: Option<Who>) -> Named {
        Named { who, who_words: who.map(Who::words) }
    }
}

fn named<S: Serializer>(who: &Option<Who>, serializer: S) -> Result<S::Ok, S::Error> {
    Named::from(*who).serialize(serializer)
}

fn named_one<S: Serializer>(who: &Who, serializer: S) -> Result<S::Ok, S::Error> {
    Named::from(Some(*who)).serialize(serializer)
}

/// When it should be acted on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// Today.
    AtOnce,
    /// On or before a date.
    Date(NaiveDate),
    /// Before something else is done or comes: "any repair", "the wet season".
    Before(&'static str),
}

/// What stands behind a rule's figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Read in the source itself, or in an official text giving it.
    Read,
    /// Read in a text that quotes the source.
    SecondHand,
    /// Common practice, no published source; a design rule of this program is one.
    Practice,
    /// From memory, not read again.
    Memory,
    /// Arithmetic from figures of the other kinds.
    Derived,
}

impl Standing {
    /// As it is put to people.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Read => "read in the source",
            Standing::SecondHand => "second-hand",
            Standing::Practice => "common practice, no published source",
            Standing::Memory => "from memory, not read again",
            Standing::Derived => "derived",
        }
    }
}

/// Another document's value for the same question; never averaged with the default.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Variant {
    pub name: &'static str,
    pub says: &'static str,
    pub source: &'static str,
    pub standing: Standing,
}

/// A published or own rule in the program.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct Rule {
    /// Kebab-case, unique in the program: `crack-category`.
    pub name: &'static str,
    /// The rule in words, with its figures and units.
    pub says: &'static str,
    /// Document, number, year, table or clause; for an own rule "design rule of this program".
    pub source: &'static str,
    pub standing: Standing,
    /// What the rule was written for; outside it the rule is shown for comparison only.
    pub scope: &'static str,
    pub variants: &'static [Variant],
}

/// A rule that had something to say about a subject, with the inputs it was given.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Fired {
    pub rule: &'static Rule,
    /// What was found, with inputs and units: "width 9.5 mm, read 1 Mar 2025: category 3 (over 5 to 15 mm)".
    pub because: Wording,
    /// `None`: outside its scope or informative, shown for comparison only.
    pub band: Option<Band>,
    #[serde(flatten, serialize_with = "named_one")]
    pub who: Who,
    pub by: Option<By>,
    /// The day the evidence came in, where it asks for something at once.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub since: Option<NaiveDate>,
    /// The variant that was followed in place of the rule as it stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub variant: Option<&'static Variant>,
}

impl Fired {
    /// A rule that moves the band.
    pub fn new(rule: &'static Rule, band: Band, who: Who, by: Option<By>, because: impl Into<Wording>) -> Fired {
        Fired { rule, because: because.into(), band: Some(band), who, by, since: None, variant: None }
    }

    /// A rule outside its scope, or one that only informs.
    pub fn for_comparison(rule: &'static Rule, because: impl Into<Wording>) -> Fired {
        Fired { rule, because: because.into(), band: None, who: Who::Owner, by: None, since: None, variant: None }
    }

    /// A rule that asks for something at once, by evidence that came in on `day`.
    pub fn at_once(rule: &'static Rule, band: Band, who: Who, day: NaiveDate, because: impl Into<Wording>) -> Fired {
        Fired { since: Some(day), ..Fired::new(rule, band, who, Some(By::AtOnce), because) }
    }

    /// The same by a variant of the rule; a name that the rule does not have leaves it as it stands.
    pub fn by_variant(self, name: &str) -> Fired {
        Fired { variant: self.rule.variants.iter().find(|variant| variant.name == name), ..self }
    }
}

/// What to do next, and the kind of entry that records that it was done.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Step {
    pub says: String,
    /// Kind of entry, `judgement-given`; the edge turns it into a command or a link.
    pub records: Option<&'static str>,
    /// What that entry has to say for the step to be done, as it is typed: `--look`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub with: Option<&'static str>,
    /// The day by which it is asked for; of what is asked for at once, the day the evidence came in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<NaiveDate>,
}

/// The kind of entry that says what a licensed person concluded.
const CALLS: &str = "judgement-given";
/// The kind of entry that says what was measured.
const READS: [&str; 2] = ["reading-added", "level-surveyed"];

impl Step {
    pub fn new(says: impl Into<String>) -> Step {
        Step { says: says.into(), records: None, with: None, by: None }
    }

    pub fn recorded_as(says: impl Into<String>, kind: &'static str) -> Step {
        Step { says: says.into(), records: Some(kind), with: None, by: None }
    }

    /// Whether it is done by what a licensed person says.
    pub fn calls(&self) -> bool {
        self.records == Some(CALLS)
    }

    /// Whether it is done by reading something again, which is the owner's part while somebody is called.
    pub fn reads(&self) -> bool {
        self.records.is_some_and(|kind| READS.contains(&kind))
    }

    /// Whether it is done by testing a pump.
    pub fn tests_a_pump(&self) -> bool {
        self.records == Some("sump-tested")
    }

    /// The same, done only by an entry that says `flags`.
    pub fn with(self, flags: &'static str) -> Step {
        Step { with: Some(flags), ..self }
    }

    /// The same, asked for by `day`.
    pub fn by(self, day: NaiveDate) -> Step {
        Step { by: Some(day), ..self }
    }

    /// The same, asked for by the day that something at once is asked for since, if anything is.
    pub fn at_once(self, since: Option<NaiveDate>) -> Step {
        Step { by: since.or(self.by), ..self }
    }

    /// A question of the finding that was not answered when it was opened, with the flag that answers it.
    pub fn answered_by(says: impl Into<String>, flag: &'static str) -> Step {
        Step::recorded_as(says, "entry-corrected").with(flag)
    }
}

/// The answer for one subject on one day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Verdict {
    /// `None`: nothing that can be banded is known; never to be read as the mildest.
    pub band: Option<Band>,
    #[serde(flatten, serialize_with = "named")]
    pub who: Option<Who>,
    pub by: Option<By>,
    /// Rules that moved the band, worst first.
    pub because: Vec<Fired>,
    /// Rules shown for comparison only.
    pub comparison: Vec<Fired>,
    pub not_known: Vec<String>,
    pub next: Vec<Step>,
    pub cautions: Vec<&'static str>,
    /// The first later day on which the passing of time alone can change this answer.
    pub changes_on: Option<NaiveDate>,
    /// The earliest day by which a step is asked for, if one is: see [`Verdict::asks`].
    pub due_on: Option<NaiveDate>,
}

impl Verdict {
    /// Sorts what fired and lets the worst decide; among rules of one band the one furthest beyond the owner.
    pub fn from_fired(fired: Vec<Fired>) -> Verdict {
        let (mut because, comparison): (Vec<_>, Vec<_>) = fired.into_iter().partition(|f| f.band.is_some());
        because.sort_by(|a, b| b.band.cmp(&a.band).then(b.who.cmp(&a.who)));
        let worst = because.first();
        Verdict {
            band: worst.and_then(|f| f.band),
            who: worst.map(|f| f.who),
            by: worst.and_then(|f| f.by.clone()),
            because,
            comparison,
            not_known: Vec::new(),
            next: Vec::new(),
            cautions: Vec::new(),
            changes_on: None,
            due_on: None,
        }
    }

    /// One verdict of two on the same subject: everything that fired in either, the worse one's next steps first.
    pub fn and(self, other: Verdict) -> Verdict {
        let (first, second) = if other.band > self.band { (other, self) } else { (self, other) };
        let fired = first.because.into_iter().chain(first.comparison).chain(second.because).chain(second.comparison);
        let mut both = Verdict::from_fired(fired.collect());
        both.not_known = first.not_known.into_iter().chain(second.not_known).collect();
        both.next = first.next;
        both.next.extend(second.next.into_iter().filter(|step| !both.next.contains(step)).collect::<Vec<_>>());
        both.cautions = first.cautions;
        both.cautions.extend(second.cautions.into_iter().filter(|c| !both.cautions.contains(c)).collect::<Vec<_>>());
        both.changes_on = [first.changes_on, second.changes_on].into_iter().flatten().min();
        both.due_on = earliest(&both.next);
        both
    }

    /// Notes that the answer may change on `day`; the earliest wins.
    pub fn may_change_on(&mut self, day: NaiveDate) {
        self.changes_on = Some(self.changes_on.map_or(day, |d| d.min(day)));
    }

    /// Sets what to do next; the earliest day of a step is the day by which something is asked for.
    pub fn asks(&mut self, next: Vec<Step>) {
        self.due_on = earliest(&next);
        self.next = next;
    }

    /// Asks for the first step that can be recorded by `day`; the earliest wins.
    pub fn ask_by(&mut self, day: NaiveDate) {
        if let Some(at) = self.first_recordable() {
            self.ask_step_by(at, day);
        }
    }

    /// The first step that can be recorded, else the first.
    pub fn first_recordable(&self) -> Option<usize> {
        let first = self.next.iter().position(|step| step.records.is_some());
        first.or((!self.next.is_empty()).then_some(0))
    }

    /// Asks for one step by `day`; the earliest wins.
    pub fn ask_step_by(&mut self, at: usize, day: NaiveDate) {
        if let Some(step) = self.next.get_mut(at) {
            step.by = Some(step.by.map_or(day, |by| by.min(day)));
        }
        self.due_on = earliest(&self.next);
    }

    /// The step that is asked for first: the one of the earliest day, else the first that can be recorded.
    pub fn asked_first(&self) -> Option<&Step> {
        let dated = self.next.iter().filter(|step| step.by.is_some()).min_by_key(|step| step.by);
        dated.or_else(|| self.next.iter().find(|step| step.records.is_some())).or(self.next.first())
    }

    /// The day since which something is asked for at once, if anything is.
    pub fn at_once_since(&self) -> Option<NaiveDate> {
        self.because.iter().filter_map(|fired| fired.since).min()
    }
}

fn earliest(steps: &[Step]) -> Option<NaiveDate> {
    steps.iter().filter_map(|step| step.by).min()
}
