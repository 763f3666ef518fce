//! What entries are about, and how it is spelled: `larkspur-14`, `larkspur-14/main`, `larkspur-14/2`, `larkspur-14#7`.
//!
//! A property has one namespace: sections and fixtures have names that start with a letter, findings have numbers, and
//! a number is never used again.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize, de};

/// The longest key or name; long enough for an address, short enough for a table.
const LONGEST: usize = 48;

/// A property's key, or the name of a section or fixture: lower-case letters, digits and hyphens, a letter first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(transparent)]
pub struct Name(String);

/// Why a text is not a subject.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SubjectError {
    #[error("`{0}` is not a name: lower-case letters, digits and hyphens, a letter first, at most {LONGEST}")]
    BadName(String),
    #[error("`{0}` is not the name of an entry")]
    BadEntry(String),
    #[error("`{0}` names no finding")]
    NotAFinding(String),
}

impl Name {
    /// Checks the spelling; nothing is folded or trimmed, so a name is found as it was typed.
    pub fn parse(text: &str) -> Result<Name, SubjectError> {
        let spelled = text.len() <= LONGEST
            && text.starts_with(|c: char| c.is_ascii_lowercase())
            && text.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-');
        if spelled { Ok(Name(text.to_owned())) } else { Err(SubjectError::BadName(text.to_owned())) }
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

impl<'de> Deserialize<'de> for Name {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Name, D::Error> {
        let text = std::borrow::Cow::<str>::deserialize(d)?;
        Name::parse(&text).map_err(de::Error::custom)
    }
}

/// A subject inside its property.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    Property,
    Finding(u32),
    /// A section or a fixture: they share one namespace.
    Named(Name),
}

impl Subject {
    /// Reads what stands behind the slash; an empty text is the property itself.
    pub fn parse(text: &str) -> Result<Subject, SubjectError> {
        if text.is_empty() {
            return Ok(Subject::Property);
        }
        if text.bytes().all(|b| b.is_ascii_digit()) {
            return match text.parse() {
                Ok(number) if number > 0 => Ok(Subject::Finding(number)),
                _ => Err(SubjectError::NotAFinding(text.to_owned())),
            };
        }
        Name::parse(text).map(Subject::Named)
    }

    /// As stored: empty for the property, else the number or the name.
    pub fn local(&self) -> String {
        match self {
            Subject::Property => String::new(),
            Subject::Finding(number) => number.to_string(),
            Subject::Named(name) => name.to_string(),
        }
    }

    /// As people address it: `larkspur-14/2`.
    pub fn of(&self, key: &str) -> String {
        match self {
            Subject::Property => key.to_owned(),
            Subject::Finding(number) => format!("{key}/{number}"),
            Subject::Named(name) => format!("{key}/{name}"),
        }
    }
}

/// An address as typed: a property's key and what stands behind the slash, or an entry's number behind `#`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Address {
    Subject { key: String, subject: Subject },
    Entry { key: String, seq: u64 },
}

impl Address {
    /// Reads `KEY`, `KEY/NAME`, `KEY/NUMBER` or `KEY#SEQ`.
    pub fn parse(text: &str) -> Result<Address, SubjectError> {
        if let Some((key, seq)) = text.split_once('#') {
            return match seq.parse() {
                Ok(seq) if seq > 0 => Ok(Address::Entry { key: key.to_owned(), seq }),
                _ => Err(SubjectError::BadEntry(text.to_owned())),
            };
        }
        let (key, rest) = text.split_once('/').unwrap_or((text, ""));
        Ok(Address::Subject { key: key.to_owned(), subject: Subject::parse(rest)? })
    }
}

#[cfg(test)]
mod tests {
    use super::{Address, Name, Subject, SubjectError};

    #[test]
    fn names_start_with_a_letter_and_findings_are_numbers() {
        assert_eq!(Subject::parse("2"), Ok(Subject::Finding(2)));
        assert_eq!(Subject::parse("main"), Ok(Subject::Named(Name::parse("main").unwrap())));
        assert_eq!(Subject::parse("0"), Err(SubjectError::NotAFinding("0".into())));
        for bad in ["2nd", "Main", "a b", "é", "-a", &"x".repeat(49)] {
            assert!(matches!(Subject::parse(bad), Err(SubjectError::BadName(_))), "{bad}");
        }
    }

    #[test]
    fn an_address_is_written_back_as_it_was_read() {
        for text in ["larkspur-14", "larkspur-14/main", "larkspur-14/2"] {
            let Ok(Address::Subject { key, subject }) = Address::parse(text) else { panic!("{text}") };
            assert_eq!(subject.of(&key), text);
        }
        assert_eq!(Address::parse("larkspur-14#7"), Ok(Address::Entry { key: "larkspur-14".into(), seq: 7 }));
        assert!(Address::parse("larkspur-14#x").is_err());
    }
}
