//! One thing's verbs a file: from what was typed to facts, and from the ledger to answers.
//!
//! What was typed comes in as the structs here, texts untouched; what it means in this ledger is decided here, and every
//! problem of an input is reported, not the first. Nothing here prints, asks for a terminal, or exits.

use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, Utc};
use uuid::Uuid;

use crate::ledger::entry::{Attachment, Remarks};
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::subject::{Address, Name, Subject, SubjectError};
use crate::ledger::when::{When, WhenError};
use crate::store::{Addressed, AppendError, Receipt, Refusal, Store, StoreError, Target};

pub mod amend;
pub mod demo;
pub mod entry;
pub mod event;
pub mod finding;
pub mod fixture;
pub mod history;
pub mod import;
pub mod init;
pub mod judgement;
pub mod keep;
pub mod note;
pub mod property;
pub mod quote;
pub mod radon;
pub mod reading;
pub mod reckon;
pub mod section;
pub mod setting;
pub mod status;
pub mod typed;
pub mod why;

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
    #[error("{what}")]
    Import { what: String, given: String, advice: String },
    #[error("{refused} of {rows} rows were refused")]
    RowsRefused { refused: usize, rows: usize },
    #[error("{0} things are wrong with this ledger")]
    NotWhole(usize),
    #[error("there is nothing to record")]
    NothingGiven { flags: String },
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

/// What every recording command can be told.
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

/// A property and something of it, as they are in the ledger.
pub struct Place {
    pub id: Uuid,
    pub key: String,
    pub subject: Subject,
}

/// What was recorded, and the verdict that stands after it where there is one.
pub struct Recorded {
    pub receipts: Vec<Receipt>,
    pub sentences: Vec<String>,
}

impl Context {
    pub fn open(&self) -> Result<Store, Error> {
        Ok(Store::open(&self.path)?)
    }

    pub fn open_to_read(&self) -> Result<Store, Error> {
        Ok(Store::open_to_read(&self.path)?)
    }

    /// The day it is: the one given, else the day in the property's zone.
    pub fn today_at(&self, property: Option<&Property>) -> NaiveDate {
        let zone = property.and_then(|p| p.zone).unwrap_or(chrono_tz::Tz::UTC);
        self.today.unwrap_or_else(|| self.now.with_timezone(&zone).date_naive())
    }

    /// When something happened: as typed, else today at the property.
    pub fn when(&self, typed: Option<&str>, property: Option<&Property>) -> Result<When, Error> {
        match typed {
            Some(text) => Ok(When::parse(text)?),
            None => Ok(When::day(self.today_at(property))),
        }
    }

    /// Finds what an address means. Where there is one property only, its key may be left out.
    pub fn place(&self, store: &mut Store, typed: &str) -> Result<Place, Error> {
        let (key, subject) = match Address::parse(typed) {
            Ok(Address::Subject { key, subject }) => (key, subject),
            Ok(Address::Entry { .. }) => {
                return Err(Error::NotThat { given: typed.to_owned(), wanted: "a property or something of it" });
            }
            Err(error) => return Err(error.into()),
        };
        if let Some(id) = store.property_id(&key)? {
            let property = &store.folded(id)?.property;
            if !property.knows(&subject) {
                return Err(unknown_subject(typed, property));
            }
            return Ok(Place { id, key, subject });
        }
        let keys = store.keys(false)?;
        // `2` or `main` alone, in a ledger of one property.
        if let ([only], Subject::Property) = (&keys[..], &subject)
            && let Ok(subject) = Subject::parse(&key)
            && let Some(id) = store.property_id(only)?
            && store.folded(id)?.property.knows(&subject)
        {
            return Ok(Place { id, key: only.clone(), subject });
        }
        Err(unknown_property(store, key)?)
    }

    /// Finds a property by its key; with one property only, it may be left out.
    pub fn property(&self, store: &mut Store, typed: Option<&str>) -> Result<Place, Error> {
        let place = match typed {
            Some(key) => self.place(store, key)?,
            None => {
                let keys = store.keys(false)?;
                let [only] = &keys[..] else { return Err(Error::WhichProperty { all: keys.len() }) };
                self.place(store, only)?
            }
        };
        match place.subject {
            Subject::Property => Ok(place),
            _ => Err(Error::NotThat { given: typed.unwrap_or_default().to_owned(), wanted: "the key of a property" }),
        }
    }

    /// Finds a finding by its address.
    pub fn finding(&self, store: &mut Store, typed: &str) -> Result<(Place, u32), Error> {
        let place = self.place(store, typed)?;
        match place.subject {
            Subject::Finding(number) => Ok((place, number)),
            _ => Err(Error::NotThat { given: typed.to_owned(), wanted: "a finding, such as `larkspur-14/2`" }),
        }
    }

    /// Finds several findings of one property.
    pub fn findings(&self, store: &mut Store, typed: &[String]) -> Result<(Place, Vec<u32>), Error> {
        let mut numbers = Vec::new();
        let mut first: Option<(Place, &String)> = None;
        for text in typed {
            let (place, number) = self.finding(store, text)?;
            numbers.push(number);
            match &first {
                Some((at, other)) if at.id != place.id => {
                    return Err(Error::TwoProperties((*other).clone(), text.clone()));
                }
                Some(_) => {}
                None => first = Some((place, text)),
            }
        }
        match first {
            Some((place, _)) => Ok((place, numbers)),
            None => Err(Error::Typed(vec![Problem::Missing { field: "the finding it is about" }])),
        }
    }

    /// Splits the address of something that does not exist yet, `KEY/NAME`.
    pub fn new_name(&self, store: &mut Store, typed: &str) -> Result<(Place, Name), Error> {
        let (key, name) = match typed.split_once('/') {
            Some((key, name)) => (Some(key), name),
            None => (None, typed),
        };
        let place = self.property(store, key)?;
        Ok((place, Name::parse(name)?))
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
        let on = self.when(circumstances.on.as_deref(), Some(&property))?;
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
        Err(Error::Typed(problems))
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
            match store.put_file(path) {
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
                }
                Ok(Recorded { receipts, sentences })
            }
            Err(error) => {
                store.drop_unused(files);
                Err(error.into())
            }
        }
    }
}

fn unknown_property(store: &Store, key: String) -> Result<Error, StoreError> {
    let keys = store.keys(true)?;
    let nearest = nearest(&key, keys.iter().map(String::as_str));
    Ok(Error::UnknownProperty { key, nearest, all: keys.len() })
}

fn unknown_subject(typed: &str, property: &Property) -> Error {
    let known: Vec<String> = property.subjects().iter().map(|s| s.of(&property.key)).collect();
    // The key is right: only what stands behind the slash is compared, and numbers are not alike.
    let local = typed.rsplit('/').next().unwrap_or(typed);
    let named = property.subjects().into_iter().filter(|s| matches!(s, Subject::Named(_))).map(|s| s.local());
    let named: Vec<String> = named.collect();
    let nearest = nearest(local, named.iter().map(String::as_str)).map(|name| format!("{}/{name}", property.key));
    Error::UnknownSubject { subject: typed.to_owned(), nearest, known }
}

/// The word most like `typed`, if one is like it at all.
pub fn nearest<'a>(typed: &str, words: impl Iterator<Item = &'a str>) -> Option<String> {
    words
        .map(|word| (strsim::jaro_winkler(typed, word), word))
        .filter(|(likeness, _)| *likeness > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word.to_owned())
}
