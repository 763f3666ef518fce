//! The door for entries made elsewhere: verified, folded, and kept as they are.

use chrono::NaiveDate;
use rusqlite::params;

use super::append::Receipt;
use super::error::{AppendError, Refusal, StoreError};
use super::{Kept, Store};
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Recorded, fold};
use crate::ledger::hash::Hash;
use crate::ledger::outlook::outlook;
use crate::ledger::problem::Problem;

impl Store {
    /// Takes in one property's whole chain, first entry first.
    ///
    /// The same chain again changes nothing; a longer one that begins with what is here adds what is new.
    /// Errors: a hash or link that does not fit, a fact that has no place in the history, a key that is taken.
    pub fn adopt(&mut self, entries: &[RawEntry], today: NaiveDate) -> Result<Receipt, AppendError> {
        if self.read_only {
            return Err(StoreError::ReadOnly { path: self.path.clone() }.into());
        }
        let read = linked(entries)?;
        let Some(last) = read.last() else {
            return Err(StoreError::BadEntry { entry: "#1".into(), error: "there is none".into() }.into());
        };
        let id = last.envelope.property;
        let folded = fold(id, &read);
        let absent = read.iter().any(|e| e.body.is_none());
        let refuse = |problem| Refusal { index: 0, key: folded.property.key.clone(), problem };
        if !folded.unplaced.is_empty() && !absent {
            let refusals = folded.unplaced.iter().map(|(_, problem)| refuse(problem.clone())).collect();
            return Err(AppendError::Refused(refusals));
        }
        if !folded.property.exists() {
            return Err(AppendError::Refused(vec![refuse(Problem::NoProperty)]));
        }
        let receipt = Receipt {
            key: folded.property.key.clone(),
            seq: last.seq(),
            kind: "property-added",
            hash: last.hash,
            subjects: Vec::new(),
            already: false,
        };
        self.begin()?;
        let taken = self.property_id(&folded.property.key)?.is_some_and(|other| other != id);
        if taken {
            self.roll_back();
            return Err(AppendError::Refused(vec![refuse(Problem::KeyTaken { key: receipt.key })]));
        }
        let outlook = outlook(&folded.property, &self.settings, today);
        let mut kept = Kept { chain: -1, folded, outlook, as_of: today, unwritten: false, overview: None };
        match self.adopt_new(&mut kept, entries, &read) {
            Ok(already) => {
                self.commit()?;
                self.kept.remove(&id);
                Ok(Receipt { already, ..receipt })
            }
            Err(error) => {
                self.roll_back();
                Err(error.into())
            }
        }
    }

    /// Writes the entries that are not here yet; gives whether all were.
    fn adopt_new(&self, kept: &mut Kept, entries: &[RawEntry], read: &[Recorded]) -> Result<bool, StoreError> {
        let id = kept.folded.property.id;
        let (number, here) = match self.chain(id)? {
            Some(chain) => (chain.number, chain.entries),
            None => {
                let number = self.next_chain()?;
                self.execute(include_str!("sql/insert_chain.sql"), params![number, id.to_string()])?;
                (number, 0)
            }
        };
        kept.chain = number;
        let stored = self.raw_entries(id)?;
        let common = stored.iter().zip(entries).take_while(|(a, b)| a.hash == b.hash).count() as u64;
        if common < here {
            let entry = format!("{}#{}", kept.folded.property.key, common + 1);
            return Err(StoreError::BadEntry { entry, error: "it is not the one that is here".into() });
        }
        if here == entries.len() as u64 {
            return Ok(true);
        }
        for (raw, entry) in entries.iter().zip(read).skip(usize::try_from(here).unwrap_or(usize::MAX)) {
            self.write_entry(number, entry.seq(), entry.envelope.id, raw)?;
        }
        self.project_anew(kept, Some(read))?;
        self.update_head(number, &kept.folded)?;
        Ok(false)
    }
}

/// Reads the entries and insists that each follows the one before it.
fn linked(entries: &[RawEntry]) -> Result<Vec<Recorded>, StoreError> {
    let mut prev = Hash::START;
    let mut out: Vec<Recorded> = Vec::with_capacity(entries.len());
    for (i, raw) in entries.iter().enumerate() {
        let seq = i as u64 + 1;
        let bad = |error: String| StoreError::BadEntry { entry: format!("#{seq}"), error };
        let entry = Recorded::read(raw).map_err(|e| bad(e.to_string()))?;
        if entry.envelope.prev != prev || entry.seq() != seq {
            return Err(bad("it does not follow the entry before it".into()));
        }
        if out.first().is_some_and(|first| first.envelope.property != entry.envelope.property) {
            return Err(bad("it belongs to another property".into()));
        }
        prev = entry.hash;
        out.push(entry);
    }
    Ok(out)
}
