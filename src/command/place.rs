//! From an address as it was typed to what it means in this ledger, with the nearest name where it means nothing.

use uuid::Uuid;

use super::{Context, Error};
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::subject::{Address, Name, Subject};
use crate::store::{Store, StoreError};

/// A property and something of it, as they are in the ledger.
pub struct Place {
    pub id: Uuid,
    pub key: String,
    pub subject: Subject,
}

impl Context {
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

    /// Finds a section by its address; what is a fixture or a finding is refused.
    pub fn section(&self, store: &mut Store, typed: &str) -> Result<(Place, Name), Error> {
        let place = self.place(store, typed)?;
        match &place.subject {
            Subject::Named(name) if store.folded(place.id)?.property.sections.contains_key(name) => {
                let name = name.clone();
                Ok((place, name))
            }
            _ => Err(Error::NotThat { given: typed.to_owned(), wanted: "a section, such as `larkspur-14/main`" }),
        }
    }

    /// What an address means; where there is one property only, that property may be meant without a word.
    pub fn subject(&self, store: &mut Store, typed: Option<&str>) -> Result<Place, Error> {
        match typed {
            Some(typed) => self.place(store, typed),
            None => self.property(store, None),
        }
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

    /// Finds several findings of one property; one that is named twice counts once.
    pub fn findings(&self, store: &mut Store, typed: &[String]) -> Result<(Place, Vec<u32>), Error> {
        let mut numbers = Vec::new();
        let one = |text: &String, store: &mut Store| self.finding(store, text);
        let place = of_one_property(store, typed, "the finding it is about", one, &mut numbers)?;
        Ok((place, numbers))
    }

    /// Finds several findings, sections and fixtures of one property; one that is named twice counts once.
    pub fn things(&self, store: &mut Store, typed: &[String]) -> Result<(Place, Vec<Subject>), Error> {
        let mut subjects = Vec::new();
        let one = |text: &String, store: &mut Store| match self.place(store, text)? {
            Place { subject: Subject::Property, .. } => {
                let wanted = "a finding, a section or a fixture, such as `larkspur-14/2`";
                Err(Error::NotThat { given: text.clone(), wanted })
            }
            place => {
                let subject = place.subject.clone();
                Ok((place, subject))
            }
        };
        let missing = "the finding, section or fixture it is about";
        let place = of_one_property(store, typed, missing, one, &mut subjects)?;
        Ok((place, subjects))
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
}

pub(super) fn unknown_property(store: &Store, key: String) -> Result<Error, StoreError> {
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

/// The word most like `typed`, if one is like it at all; capitals are no difference.
pub fn nearest<'a>(typed: &str, words: impl Iterator<Item = &'a str>) -> Option<String> {
    let typed = typed.to_lowercase();
    words
        .map(|word| (strsim::jaro_winkler(&typed, &word.to_lowercase()), word))
        .filter(|(likeness, _)| *likeness > 0.75)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, word)| word.to_owned())
}

/// Finds each of what was typed into `all`, once; gives the property they are all of.
fn of_one_property<T: PartialEq>(
    store: &mut Store,
    typed: &[String],
    missing: &'static str,
    find: impl Fn(&String, &mut Store) -> Result<(Place, T), Error>,
    all: &mut Vec<T>,
) -> Result<Place, Error> {
    let mut first: Option<(Place, &String)> = None;
    for text in typed {
        let (place, found) = find(text, store)?;
        if !all.contains(&found) {
            all.push(found);
        }
        match &first {
            Some((at, other)) if at.id != place.id => {
                return Err(Error::TwoProperties((*other).clone(), text.clone()));
            }
            Some(_) => {}
            None => first = Some((place, text)),
        }
    }
    first.map(|(place, _)| place).ok_or_else(|| Error::Typed(vec![Problem::Missing { field: missing }]))
}
