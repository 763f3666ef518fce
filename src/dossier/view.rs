//! A dossier read and checked: its chain whole, its bodies those of the envelopes, and the property as they give it.

use std::collections::BTreeMap;

use chrono_tz::Tz;

use super::DossierError;
use super::data::{Dossier, Entry, Pictures, decoded};
use super::gaps::Gaps;
use super::leave_out::{Reason, erased};
use crate::ledger::entry::{Body, RawEntry};
use crate::ledger::fold::{Fate, Recorded, fates, property_on};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::property::Property;
use crate::ledger::settings::Settings;
use crate::ledger::when::When;

/// What a dossier gives.
pub struct View<'a> {
    pub dossier: &'a Dossier,
    /// What is told stands in place of bodies that are left out.
    pub entries: Vec<Recorded>,
    /// As it stood on the day of the dossier.
    pub property: Property,
    pub settings: Settings,
    /// What is missing from the record on that day.
    pub gaps: Gaps,
    /// What became of each entry.
    pub fates: BTreeMap<u64, Fate>,
    /// Seals that were given, as the chain has it.
    pub given: Vec<Given>,
}

/// A seal that was given to somebody.
#[derive(Debug, Clone, PartialEq)]
pub struct Given {
    pub seq: u64,
    pub on: When,
    /// The last entry that it covers.
    pub entries: u64,
    pub to: Option<String>,
}

impl<'a> View<'a> {
    /// Checks everything that can be checked of a dossier but what is seen of it.
    pub fn of(dossier: &'a Dossier) -> Result<View<'a>, DossierError> {
        let mut entries: Vec<Recorded> = Vec::with_capacity(dossier.entries.len());
        let mut prev = Hash::START;
        for (seq, entry) in (1..).zip(&dossier.entries) {
            let recorded = checked(entry).map_err(|why| DossierError::Entry { seq, why })?;
            let envelope = &recorded.envelope;
            let why = if envelope.property != dossier.property {
                "it belongs to another property"
            } else if envelope.seq != seq || envelope.prev != prev {
                "it does not follow the entry before it"
            } else {
                prev = recorded.hash;
                entries.push(recorded);
                continue;
            };
            return Err(DossierError::Entry { seq, why: why.into() });
        }
        for (entry, of) in entries.iter().zip(&dossier.entries) {
            if of.left_out == Some(Reason::Erased) && !erased(&entries, entry.seq()) {
                let why = "it is said to be destroyed, and no entry did it".into();
                return Err(DossierError::Entry { seq: entry.seq(), why });
            }
        }
        let given = given(&entries)?;
        let property = property_on(dossier.property, &entries, dossier.as_of);
        if !property.exists() {
            return Err(DossierError::Damaged("its entries name no house".into()));
        }
        let mut settings = Settings::default();
        for (name, value) in &dossier.settings {
            settings.set(name, value).map_err(|problem| DossierError::Damaged(problem.to_string()))?;
        }
        let reason = |seq: u64| {
            let entry = usize::try_from(seq).ok().and_then(|seq| dossier.entries.get(seq.checked_sub(1)?));
            entry.and_then(|entry| entry.left_out)
        };
        let gaps = Gaps::of(dossier.property, &entries, dossier.as_of, reason);
        let fates = fates(&entries);
        Ok(View { dossier, entries, property, settings, gaps, fates, given })
    }

    /// The hash at the head of the chain.
    pub fn seal(&self) -> Hash {
        self.entries.last().map_or(Hash::START, |e| e.hash)
    }

    pub fn zone(&self) -> Tz {
        self.property.zone.unwrap_or(Tz::UTC)
    }

    pub fn name_of(&self, seq: u64) -> String {
        format!("{}#{seq}", self.property.key)
    }

    /// Every picture is there, and its bytes are those that were put in; no other picture is.
    pub fn check_pictures(&self, pictures: &Pictures) -> Result<(), DossierError> {
        let missing = |file: Hash| DossierError::Picture { name: self.name_of_file(file) };
        for picture in &self.dossier.pictures {
            let bytes = pictures.get(&picture.shown).and_then(|text| decoded(text));
            if bytes.is_none_or(|bytes| Hash::of(&bytes) != picture.shown) {
                return Err(missing(picture.file));
            }
        }
        match pictures.keys().find(|hash| !self.dossier.pictures.iter().any(|p| p.shown == **hash)) {
            Some(other) => Err(DossierError::Picture { name: other.to_hex() }),
            None => Ok(()),
        }
    }

    /// What the entries call a file.
    fn name_of_file(&self, file: Hash) -> String {
        let files = self.entries.iter().filter_map(|e| e.body.as_ref()).flat_map(Body::attachments);
        files.filter(|a| a.sha256 == file).map(|a| a.name.clone()).next().unwrap_or_else(|| file.to_hex())
    }
}

fn checked(entry: &Entry) -> Result<Recorded, String> {
    let raw = RawEntry { envelope: entry.envelope.clone(), hash: entry.hash, body: entry.body.clone() };
    let mut recorded = Recorded::read(&raw).map_err(|e| e.to_string())?;
    match (&entry.body, entry.left_out, &entry.told) {
        (Some(_), None, None) => {}
        (None, Some(Reason::Costs | Reason::Private), Some(told)) => {
            let body = Body::read(&recorded.envelope.kind, told).map_err(|e| e.to_string())?;
            if body.told() != *told {
                return Err("what is told in its place is not spelled as it should be".into());
            }
            recorded.body = Some(body);
        }
        (None, Some(_), None) => {}
        (None, None, _) => return Err("its body is missing, and nothing says why".into()),
        _ => return Err("its body is said to be left out, and is there or told".into()),
    }
    Ok(recorded)
}

/// Seals that were given; each has to be the hash of the entry that it is said to cover.
fn given(entries: &[Recorded]) -> Result<Vec<Given>, DossierError> {
    let mut out = Vec::new();
    for entry in entries {
        let (last, seal) = match entry.body.as_ref().map(|b| &b.fact) {
            Some(Fact::SealGiven(s)) => (s.entries, s.seal),
            Some(Fact::HandedOver(h)) => (h.entries, h.seal),
            Some(Fact::TakenOver(t)) => (t.entries, t.seal),
            _ => continue,
        };
        let at = usize::try_from(last).ok().and_then(|n| entries.get(n.checked_sub(1)?));
        if at.is_none_or(|e| e.hash != seal) {
            return Err(DossierError::SealNotOfChain { seq: entry.seq(), entries: last });
        }
        if let Some(Fact::SealGiven(s)) = entry.body.as_ref().map(|b| &b.fact) {
            out.push(Given { seq: entry.seq(), on: entry.envelope.on, entries: last, to: s.to.clone() });
        }
    }
    Ok(out)
}
