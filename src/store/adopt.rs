//! The door for entries made elsewhere: verified, folded, and kept as they are.

use chrono::NaiveDate;
use rusqlite::params;

use super::append::Receipt;
use super::error::{AppendError, Refusal, StoreError};
use super::{Kept, NO_CHAIN, Store};
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Recorded, fold};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::outlook::outlook;
use crate::ledger::problem::Problem;

impl Store {
    /// Takes in one property's whole chain, first entry first.
    ///
    /// The same chain again changes nothing; a longer one that begins with what is here adds what is new.
    /// Errors: a hash or link that does not fit, a fact that has no place in the history, a key that is taken, a file
    /// that an entry names and that is not in the folder of files.
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
        match self.property_id(&folded.property.key) {
            Ok(other) if other.is_none_or(|other| other == id) => {}
            Ok(_) => {
                self.roll_back();
                return Err(AppendError::Refused(vec![refuse(Problem::KeyTaken { key: receipt.key })]));
            }
            Err(error) => {
                self.roll_back();
                return Err(error.into());
            }
        }
        let outlook = outlook(&folded.property, &self.settings, today);
        let (unwritten, overview, seen_at) = (false, None, None);
        let mut kept = Kept { chain: NO_CHAIN, folded, outlook, as_of: today, unwritten, overview, seen_at };
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
        if number == 0 {
            let entry = format!("{}#1", kept.folded.property.key);
            return Err(StoreError::BadEntry { entry, error: "it is of the ledger's own chain".into() });
        }
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
            if let Some(body) = &entry.body {
                self.check_files(body)?;
            }
            self.write_entry(number, entry.seq(), entry.envelope.id, raw)?;
            if raw.body.is_none() {
                let by = erased_by(read, entry.seq()).unwrap_or(0);
                self.execute(include_str!("sql/insert_erasure.sql"), params![number, entry.seq(), by])?;
            }
        }
        for (seq, (here, raw)) in (1..).zip(stored.iter().zip(entries)) {
            // What was erased there is erased here; what was only left out on the way stays.
            if here.body.is_some()
                && raw.body.is_none()
                && let Some(by) = erased_by(read, seq)
            {
                self.execute(include_str!("sql/insert_erasure.sql"), params![number, seq, by])?;
                self.execute(include_str!("sql/delete_body.sql"), params![number, seq])?;
            }
        }
        // Bodies may be absent there and not here, or here and not there: what counts is what is here now.
        let now = self.entries_of_chain(number)?;
        kept.folded = fold(id, &now);
        kept.outlook = outlook(&kept.folded.property, &self.settings, kept.as_of);
        self.project_anew(kept, Some(&now))?;
        self.update_head(number, &kept.folded)?;
        Ok(false)
    }
}

/// The entry that says why the body of another is absent.
pub(super) fn erased_by(entries: &[Recorded], seq: u64) -> Option<u64> {
    let erases =
        |e: &&Recorded| matches!(e.body.as_ref().map(|b| &b.fact), Some(Fact::EntryErased(x)) if x.entry == seq);
    entries.iter().find(erases).map(Recorded::seq)
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
