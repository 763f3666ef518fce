//! One thing's verbs a file: from what was typed to facts, and from the ledger to answers.
//!
//! What was typed comes in as the structs here, texts untouched; what it means in this ledger is decided here, and every
//! problem of an input is reported, not the first. Nothing here prints, asks for a terminal, or exits.

use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, Utc};

use crate::calendar::almanac::By;
use crate::ledger::entry::{Attachment, Remarks};
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::subject::{Subject, SubjectError};
use crate::ledger::when::{When, WhenError};
use crate::quantity::MoneyError;
use crate::remind::error::RemindError;
use crate::store::{Addressed, AppendError, Receipt, Refusal, Store, StoreError, Target};

pub mod air;
pub mod amend;
pub mod defer;
pub mod demo;
pub mod dossier;
pub mod duty;
pub mod entry;
pub mod event;
pub mod export;
pub mod finding;
pub mod fixture;
mod guarded;
pub mod hand_over;
pub mod history;
pub mod hours;
pub mod ics;
pub mod import;
pub mod import_entries;
pub mod init;
pub mod judgement;
pub mod keep;
pub mod note;
mod photograph;
mod place;
pub mod plan;
pub mod plastic_sheet;
pub mod property;
pub mod quote;
pub mod radon;
pub mod reading;
pub mod reckon;
pub mod remind;
pub mod repair;
pub mod risk;
pub mod section;
pub mod setting;
pub mod status;
pub mod sump;
pub mod survey;
pub mod typed;
pub mod walk;
pub mod why;

pub use place::{Place, nearest};

/// Why a command was not carried out.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// What was typed does not read as what it should be.
    #[error("{} wrong", .0.len())]
    Typed(Vec<Problem>),
    /// What was typed reads well and does not fit the ledger.
    #[error("{} refused", .0.len())]
    Refused(Vec<Refusal>),
    #[error(transparent)]
    Store(#[from] StoreError),
    #[error(transparent)]
    Subject(#[from] SubjectError),
    #[error(transparent)]
    When(#[from] WhenError),
    #[error("property `{key}` is not in this ledger")]
    UnknownProperty { key: String, nearest: Option<String>, all: usize },
    #[error("`{subject}` is not in this ledger")]
    UnknownSubject { subject: String, nearest: Option<String>, known: Vec<String> },
    /// It is looked back to a day on which it was not there.
    #[error("`{subject}` was not there yet on {today}")]
    NotYet { subject: String, today: NaiveDate },
    #[error("entry `{entry}` is not in this ledger")]
    UnknownEntry { entry: String, length: u64 },
    #[error("which property is meant?")]
    WhichProperty { all: usize },
    #[error("`{given}` is not {wanted}")]
    NotThat { given: String, wanted: &'static str },
    #[error("`{0}` and `{1}` are of two properties")]
    TwoProperties(String, String),
    #[error("rule `{name}` is not in this program")]
    UnknownRule { name: String, nearest: Option<String> },
    /// A file that cannot be imported, or not as was asked.
    #[error("{} wrong", .0.len())]
    Import(Vec<import::ImportError>),
    /// A file of entries that cannot be taken.
    #[error(transparent)]
    Entries(import_entries::LineError),
    /// A monitor's file that cannot be taken.
    #[error("{} wrong", .0.len())]
    Hours(Vec<hours::HoursError>),
    /// Files of a logger that cannot be taken.
    #[error("{} wrong", .0.len())]
    AirFile(Vec<air::file::FileError>),
    #[error("{refused} of {rows} rows were refused")]
    RowsRefused { refused: usize, rows: usize, written: bool },
    /// Lines of a file that do not fit, with what keeps each out; nothing of the file was recorded.
    #[error("{} lines refused", .0.len())]
    LinesRefused(Vec<(usize, Problem)>),
    /// The flags of a correction are not those of the entry's kind.
    #[error(transparent)]
    Flags(#[from] clap::Error),
    #[error("a correction holds one reading")]
    OneReading,
    /// `rebuilds`: nothing but what is computed from the entries is wrong.
    #[error("{things} things are wrong with this ledger")]
    NotWhole { things: usize, rebuilds: bool },
    #[error("`{given}` is not a length of time")]
    NotASpan { given: String },
    #[error("no occurrence of a duty has the code `{code}`")]
    UnknownOccurrence { code: String },
    #[error("nothing of `{what}` is to be done")]
    NothingStands { what: String },
    #[error("`{what}`: {title} cannot be done yet, it opens on {opens}")]
    NotDueYet { what: String, title: String, opens: NaiveDate },
    #[error("what goes to a licensed person is not put off: {what}")]
    NotMoved { what: String },
    #[error("`{duty}` is what a verdict asks for")]
    AskedByVerdict { duty: String },
    #[error("`{duty}` has a rule of its own")]
    RuleOfItsOwn { duty: String },
    #[error("`{duty}` is for {}", .of.join(", "))]
    PartOfItsOwn { duty: String, of: Vec<String> },
    #[error("`{duty}` is for {}, and `{at}` is none", .of.join(", "))]
    DutyOfAnother { duty: String, of: Vec<String>, at: String },
    #[error("the next one opens on {opens}, not after {until}")]
    NextOpens { until: NaiveDate, opens: NaiveDate },
    #[error("a line is not postponed beyond a year, to {until}")]
    SnoozedTooLong { until: NaiveDate },
    #[error("{}", no_such_duty(.duty, .at))]
    NoSuchDuty { duty: String, at: String, near: Option<String>, known: Vec<String> },
    #[error("`{typed}` is neither a subject of this ledger nor a duty")]
    UnknownDuty { typed: String, near: String },
    #[error("which duty is meant?")]
    WhichDuty { subject: String, codes: Vec<String> },
    /// A duty that is satisfied by what is recorded of it.
    #[error("{place}: `{title}` is done by recording it")]
    SaidByAnEntry { place: String, title: String, duty: String, by: By },
    #[error("`{}` is not a calendar, and is not overwritten", path.display())]
    NotACalendar { path: PathBuf },
    #[error(transparent)]
    Remind(#[from] RemindError),
    /// A dossier that cannot be made, or that does not hold what it says.
    #[error("{error}")]
    Dossier { path: PathBuf, error: crate::dossier::DossierError },
    #[error("`{}` names no form of a dossier", path.display())]
    NoForm { path: PathBuf },
    #[error(transparent)]
    Defer(#[from] defer::DeferError),
    #[error(transparent)]
    Planning(#[from] plan::PlanningError),
    /// Recorded sums do not add up: another currency, or too much for any.
    #[error(transparent)]
    Sum(MoneyError),
    #[error("there is nothing to record")]
    NothingGiven { flags: String },
}

fn no_such_duty(duty: &str, at: &str) -> String {
    if at.is_empty() { format!("there is no duty `{duty}`") } else { format!("`{at}` has no duty `{duty}`") }
}

impl From<AppendError> for Error {
    fn from(error: AppendError) -> Error {
        match error {
            AppendError::Refused(refusals) => Error::Refused(refusals),
            AppendError::Store(error) => Error::Store(error),
        }
    }
}

/// Who asks, where, and when.
pub struct Context {
    pub path: PathBuf,
    /// The day that verdicts are computed for, where one was given.
    pub today: Option<NaiveDate>,
    /// When entries are entered.
    pub now: DateTime<Utc>,
    /// Who records, unless a command says otherwise.
    pub by: Option<String>,
    /// Asks a person a question to be answered with yes or no; `None` where nobody can be asked.
    pub ask: Option<fn(&str) -> bool>,
}

// What every recording command can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Circumstances {
    /// When it happened: 2026-03-01, or 2026-03-01T10:00 [default: today]
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Words to go with it
    #[arg(long, value_name = "TEXT")]
    pub note: Option<String>,
    /// A photograph; may be given several times
    #[arg(long, value_name = "FILE")]
    pub photo: Vec<PathBuf>,
    /// Keep it out of what is handed to others
    #[arg(long)]
    pub private: bool,
}

/// What was recorded, and the verdict that stands after it where there is one.
pub struct Recorded {
    pub receipts: Vec<Receipt>,
    pub sentences: Vec<String>,
    /// What should be known beside it, such as what filling hides.
    pub beside: Vec<String>,
}

impl Recorded {
    /// What an amendment says of an entry changes the verdicts of what that entry is about.
    fn touching(mut self, subjects: &[Subject]) -> Recorded {
        if let Some(receipt) = self.receipts.first_mut() {
            receipt.subjects.extend(subjects.iter().cloned());
        }
        self
    }
}

impl Context {
    pub fn open(&self) -> Result<Store, Error> {
        Ok(Store::open(&self.path)?)
    }

    pub fn open_to_read(&self) -> Result<Store, Error> {
        Ok(Store::open_to_read(&self.path)?)
    }

    /// The day it is: the one given, else the day in the property's zone; of lists over houses, that of whoever reads, by the
    /// clock of this machine.
    pub fn today_at(&self, property: Option<&Property>) -> NaiveDate {
        self.today.unwrap_or_else(|| match property {
            Some(property) => self.now.with_timezone(&property.zone.unwrap_or(chrono_tz::Tz::UTC)).date_naive(),
            None => self.now.with_timezone(&chrono::Local).date_naive(),
        })
    }

    /// The day of what is recorded and says none itself: the day it is taken to be, or that of the clock where that one is
    /// still to come.
    pub fn day_at(&self, property: Option<&Property>) -> NaiveDate {
        let zone = property.and_then(|p| p.zone).unwrap_or(chrono_tz::Tz::UTC);
        let clock = self.now.with_timezone(&zone).date_naive();
        self.today.map_or(clock, |today| today.min(clock))
    }

    /// When something happened: as typed, else today at the property.
    pub fn when(&self, typed: Option<&str>, property: Option<&Property>) -> Result<When, Error> {
        match typed {
            Some(text) => Ok(When::parse(text)?),
            None => Ok(When::day(self.day_at(property))),
        }
    }

    /// Records facts about one property under the same circumstances: all of them, or none.
    pub fn record(
        &self,
        store: &mut Store,
        at: Target,
        facts: Vec<Fact>,
        circumstances: &Circumstances,
    ) -> Result<Recorded, Error> {
        let property = match at {
            Target::Known(id) => Some(store.folded(id)?.property.clone()),
            Target::New(_) => None,
        };
        let zone = facts.iter().find_map(|fact| match fact {
            Fact::PropertyAdded(added) => Some(Property { zone: added.zone.parse().ok(), ..Property::default() }),
            _ => None,
        });
        let property = property.or(zone);
        let on = match facts.first() {
            Some(Fact::RadonTested(test)) if circumstances.on.is_none() => test.started,
            _ => self.when(circumstances.on.as_deref(), property.as_ref())?,
        };
        let today = self.today_at(property.as_ref());
        let mut files = Vec::new();
        let remarks = self.remarks(store, circumstances, &mut files)?;
        let drafts = facts
            .into_iter()
            .map(|fact| Addressed { property: at, draft: Draft::new(on, remarks.clone(), fact) })
            .collect();
        self.append(store, drafts, today, &files)
    }

    /// Records facts read from what was typed. Where some of it does not read, what can be said of the rest is said too.
    pub fn record_read(
        &self,
        store: &mut Store,
        at: Target,
        facts: Vec<Fact>,
        read: typed::Reading,
        circumstances: &Circumstances,
    ) -> Result<Recorded, Error> {
        if read.problems.is_empty() {
            return self.record(store, at, facts, circumstances);
        }
        let property = match at {
            Target::Known(id) => store.folded(id)?.property.clone(),
            Target::New(_) => Property::default(),
        };
        let mut read = read;
        let on = read.when("--on", circumstances.on.as_deref());
        let on = on.unwrap_or_else(|| When::day(self.day_at(Some(&property))));
        let remarks = Remarks::default();
        let mut problems = read.problems;
        for fact in &facts {
            let mut found = Vec::new();
            fact.problems(&crate::ledger::property::At { seq: u64::MAX, on, remarks: &remarks }, &property, &mut found);
            // What is missing is not said to be empty as well.
            let missing =
                |field: &str| problems.iter().any(|p| matches!(p, Problem::Missing { field: f } if *f == field));
            found
                .retain(|p| !matches!(p, Problem::Empty { field } if missing(field)) && *p != Problem::NothingToChange);
            problems.extend(found);
        }
        Err(Error::Typed(typed::told_once(problems)))
    }

    /// Who, note, photographs; files that were put in are added to `files`.
    pub fn remarks(
        &self,
        store: &Store,
        circumstances: &Circumstances,
        files: &mut Vec<Attachment>,
    ) -> Result<Remarks, Error> {
        let mut photos = Vec::new();
        for path in &circumstances.photo {
            match photograph::put(store, path) {
                Ok(file) => {
                    files.push(file.clone());
                    photos.push(file);
                }
                Err(error) => {
                    store.drop_unused(files);
                    return Err(error.into());
                }
            }
        }
        Ok(Remarks { by: self.by.clone(), note: circumstances.note.clone(), photos, private: circumstances.private })
    }

    /// Appends; files put in for what was refused are taken out again.
    pub fn append(
        &self,
        store: &mut Store,
        drafts: Vec<Addressed>,
        today: NaiveDate,
        files: &[Attachment],
    ) -> Result<Recorded, Error> {
        let mut sentences: Vec<String> = drafts.iter().map(|d| d.draft.fact.sentence()).collect();
        match store.append(drafts, self.now, today) {
            Ok(receipts) => {
                // A finding is told its number when it joins.
                for (sentence, receipt) in sentences.iter_mut().zip(&receipts) {
                    if let ("finding-opened", [Subject::Finding(number)]) = (receipt.kind, &receipt.subjects[..]) {
                        *sentence = sentence.replacen("finding 0", &format!("finding {number}"), 1);
                    }
                    // A fact does not know the name of its house.
                    if let "entry-corrected" | "entry-struck" | "entry-erased" = receipt.kind {
                        *sentence = sentence.replacen("entry ", &format!("{}#", receipt.key), 1);
                    }
                }
                Ok(Recorded { receipts, sentences, beside: Vec::new() })
            }
            Err(error) => {
                store.drop_unused(files);
                Err(error.into())
            }
        }
    }
}
