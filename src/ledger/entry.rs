//! An entry's bytes: an envelope of fixed shape around the hash of a body that holds the fact.
//!
//! Envelope and body are canonical JSON (RFC 8785). The envelope is
//! `{v, property, seq, prev, id, kind, on, recorded, body}`, its SHA-256 is the entry's hash, and `prev` is the hash of
//! the entry before it, so that the last hash fixes every byte of the chain. `body` is the SHA-256 of the body's bytes:
//! a body can be left out or destroyed without breaking the chain, and a random salt inside keeps a short one from
//! being guessed. Bytes are hashed once, stored, and never serialised again.

use chrono::{DateTime, SubsecRound, Utc};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use serde_json::value::RawValue;
use uuid::Uuid;

use super::canonical;
use super::hash::Hash;
use super::kind::{Fact, KindError};
use super::when::When;

/// The version of the envelope's shape.
pub const ENVELOPE_VERSION: u32 = 1;

/// The part of an entry that stays whatever becomes of its body.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Envelope {
    pub v: u32,
    /// The property's random identifier; the ledger's own chain has one too.
    pub property: Uuid,
    /// Counts from 1 within the chain.
    pub seq: u64,
    /// Hash of the envelope before; [`Hash::START`] for the first.
    pub prev: Hash,
    /// Made by whoever recorded it: a second delivery of the same id changes nothing.
    pub id: Uuid,
    pub kind: String,
    pub on: When,
    /// When it was entered, UTC, to the second.
    pub recorded: DateTime<Utc>,
    pub body: Hash,
}

/// A file kept beside the ledger under its SHA-256.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Attachment {
    /// SHA-256 of the file's bytes, 64 hex digits.
    #[schemars(with = "String")]
    pub sha256: Hash,
    /// The name it came with, without its folder.
    pub name: String,
    /// Size in bytes.
    pub bytes: u64,
    /// Of a photograph: when it was taken, by the clock of its camera.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub taken: Option<When>,
}

/// What every body carries around its fact.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Remarks {
    /// Who saw, did or said it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// In their own words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Photographs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<Attachment>,
    /// Kept out of what is handed to others unless asked for.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub private: bool,
}

/// A body on its way out, in the order it is written.
#[derive(Serialize)]
struct BodyOut<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    by: Option<&'a str>,
    fact: &'a Fact,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'a str>,
    #[serde(skip_serializing_if = "<[Attachment]>::is_empty")]
    photos: &'a [Attachment],
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    private: bool,
    salt: &'a str,
    v: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BodyIn<'a> {
    v: u32,
    salt: std::borrow::Cow<'a, str>,
    #[serde(default)]
    by: Option<String>,
    #[serde(default)]
    note: Option<String>,
    #[serde(default)]
    photos: Vec<Attachment>,
    #[serde(default)]
    private: bool,
    #[serde(borrow)]
    fact: &'a RawValue,
}

/// A body as read: who and what around it, and the fact.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    pub remarks: Remarks,
    pub fact: Fact,
}

/// Why stored bytes are not an entry.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EntryError {
    #[error("its envelope is not the canonical form of an envelope")]
    Envelope,
    #[error("its envelope has version {0}, newer than this program reads")]
    EnvelopeVersion(u32),
    #[error("its hash is not that of its envelope")]
    Hash,
    #[error("its body is not the one its envelope names")]
    BodyHash,
    #[error("its body cannot be read: {0}")]
    Body(String),
    #[error(transparent)]
    Kind(#[from] KindError),
}

/// Bytes of one entry as they are hashed, stored and handed over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RawEntry {
    pub envelope: String,
    pub hash: Hash,
    /// `None`: left out or erased.
    pub body: Option<String>,
}

impl Body {
    /// Every file the body names: photographs, a letter, the file attached.
    pub fn attachments(&self) -> Vec<&Attachment> {
        let of_fact = match &self.fact {
            Fact::JudgementGiven(judgement) => judgement.document.as_slice(),
            Fact::FileAttached(attached) => std::slice::from_ref(&attached.file),
            Fact::AirLogged(logged) => &logged.files,
            _ => &[],
        };
        self.remarks.photos.iter().chain(of_fact).collect()
    }

    /// Canonical bytes with a fresh salt.
    pub fn seal(&self) -> String {
        let mut salt = [0; 16];
        getrandom::fill(&mut salt).expect("the operating system gives random bytes");
        self.written(salt)
    }

    /// The same text each time, with a salt of zeros: for what is told and never sealed.
    pub fn told(&self) -> String {
        self.written([0; 16])
    }

    fn written(&self, salt: [u8; 16]) -> String {
        let salt = uuid::Builder::from_bytes(salt).into_uuid().simple().to_string();
        let Remarks { by, note, photos, private } = &self.remarks;
        canonical(&BodyOut {
            by: by.as_deref(),
            fact: &self.fact,
            note: note.as_deref(),
            photos,
            private: *private,
            salt: &salt,
            v: self.fact.version(),
        })
    }

    /// Reads a body of `kind`; older versions are brought up to date.
    ///
    /// Errors: not JSON, unknown or missing fields, a kind or version this program does not know.
    pub fn read(kind: &str, bytes: &str) -> Result<Body, EntryError> {
        let body: BodyIn = serde_json::from_str(bytes).map_err(|e| EntryError::Body(e.to_string()))?;
        if body.salt.len() != 32 {
            return Err(EntryError::Body("its salt is not 32 digits".into()));
        }
        let fact = Fact::read(kind, body.v, body.fact.get())?;
        let remarks = Remarks { by: body.by, note: body.note, photos: body.photos, private: body.private };
        Ok(Body { remarks, fact })
    }
}

impl Envelope {
    /// Writes the envelope around `body` and hashes both.
    pub fn seal(mut self, body: String) -> RawEntry {
        self.body = Hash::of(body.as_bytes());
        self.recorded = self.recorded.trunc_subsecs(0);
        let envelope = self.canonical();
        let hash = Hash::of(envelope.as_bytes());
        RawEntry { envelope, hash, body: Some(body) }
    }

    /// The canonical form, written straight down: every entry is sealed and checked through here, and a test holds it
    /// to an independent library. Its names stand in order, and none of its values needs an escape.
    fn canonical(&self) -> String {
        let Envelope { v, property, seq, prev, id, kind, on, recorded, body } = self;
        let kind = serde_json::Value::from(kind.as_str());
        let recorded = recorded.to_rfc3339_opts(chrono::SecondsFormat::Secs, true);
        let (body, prev) = (body.to_hex(), prev.to_hex());
        format!(
            r#"{{"body":"{body}","id":"{id}","kind":{kind},"on":"{on}","prev":"{prev}","property":"{property}","recorded":"{recorded}","seq":{seq},"v":{v}}}"#
        )
    }

    /// Reads an envelope and insists on its canonical spelling, so that one envelope has one hash.
    pub fn read(bytes: &str) -> Result<Envelope, EntryError> {
        let envelope: Envelope = serde_json::from_str(bytes).map_err(|_| EntryError::Envelope)?;
        if envelope.v > ENVELOPE_VERSION {
            return Err(EntryError::EnvelopeVersion(envelope.v));
        }
        if envelope.canonical() != bytes {
            return Err(EntryError::Envelope);
        }
        Ok(envelope)
    }
}

impl RawEntry {
    /// Checks both hashes and reads the envelope; the body is left unread.
    pub fn check(&self) -> Result<Envelope, EntryError> {
        let envelope = Envelope::read(&self.envelope)?;
        if Hash::of(self.envelope.as_bytes()) != self.hash {
            return Err(EntryError::Hash);
        }
        if self.body.as_ref().is_some_and(|b| Hash::of(b.as_bytes()) != envelope.body) {
            return Err(EntryError::BodyHash);
        }
        Ok(envelope)
    }
}

fn canonical<T: Serialize>(value: &T) -> String {
    canonical::canonical(value).expect("entries hold strings, whole numbers, lists and objects with string keys only")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::{Body, ENVELOPE_VERSION, EntryError, Envelope, Hash, RawEntry, Remarks, Uuid, When};
    use crate::ledger::kind::event_happened::EventHappened;
    use crate::trade::words::EventKind;

    fn envelope(kind: &str, seq: u64, time: i64) -> Envelope {
        Envelope {
            v: ENVELOPE_VERSION,
            property: Uuid::from_u128(5),
            seq,
            prev: Hash::START,
            id: Uuid::from_u128(6),
            kind: kind.to_owned(),
            on: When::parse("2026-03-01T10:00").unwrap(),
            recorded: chrono::DateTime::from_timestamp(time, 0).unwrap(),
            body: Hash::of(b"body"),
        }
    }

    proptest! {
        #[test]
        fn the_envelope_is_written_as_rfc_8785_has_it(
            kind in "[a-z-]{1,20}", seq in 1u64..1 << 53, time in 0i64..4_000_000_000,
        ) {
            let envelope = envelope(&kind, seq, time);
            prop_assert_eq!(envelope.canonical(), serde_jcs::to_string(&envelope).unwrap());
            prop_assert_eq!(Envelope::read(&envelope.canonical()), Ok(envelope));
        }
    }

    #[test]
    fn another_spelling_of_an_envelope_is_refused() {
        let text = envelope("note-added", 7, 0).canonical();
        assert_eq!(Envelope::read(&format!("{text} ")), Err(EntryError::Envelope));
        assert_eq!(Envelope::read(&text.replace("\"v\":1", "\"v\":1.0")), Err(EntryError::Envelope));
        assert_eq!(Envelope::read(&text.replace("\"v\":1", "\"v\":2")), Err(EntryError::EnvelopeVersion(2)));
    }

    #[test]
    fn equal_facts_have_unequal_bodies() {
        let fact = EventHappened { kind: EventKind::Storm }.into();
        let body = Body { remarks: Remarks::default(), fact };
        let (one, other) = (body.seal(), body.seal());
        assert_ne!(one, other, "a body without a fresh salt can be guessed from its hash");
        assert_eq!(Body::read("event-happened", &one), Ok(body));
        assert!(matches!(Body::read("event-happened", &one.replace("salt", "sold")), Err(EntryError::Body(_))));
    }

    #[test]
    fn a_changed_byte_of_envelope_or_body_is_seen() {
        let fact = EventHappened { kind: EventKind::Storm }.into();
        let raw = envelope("event-happened", 1, 0).seal(Body { remarks: Remarks::default(), fact }.seal());
        assert!(raw.check().is_ok());
        let body = raw.body.as_ref().map(|b| b.replace("storm", "flood"));
        assert_eq!(RawEntry { body, ..raw.clone() }.check(), Err(EntryError::BodyHash));
        let envelope = raw.envelope.replace("2026-03-01", "2026-03-02");
        assert_eq!(RawEntry { envelope, ..raw.clone() }.check(), Err(EntryError::Hash));
        assert!(RawEntry { body: None, ..raw }.check().is_ok(), "a body may be left out");
    }
}
