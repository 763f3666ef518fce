//! The door for entries made elsewhere: verified, folded, and kept as they are.

use chrono::NaiveDate;
use rusqlite::params;

use super::append::Receipt;
use super::error::{AppendError, Refusal, StoreError};
use super::{Kept, Store};
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Folded, Recorded, fold};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::outlook::outlook;
use crate::ledger::problem::Problem;

/// A chain that was looked at by itself, before anything is written.
struct Checked {
    read: Vec<Recorded>,
    folded: Folded,
    receipt: Receipt,
}

impl Store {
    /// Takes in one property's whole chain, first entry first.
    ///
    /// The same chain again changes nothing; a longer one that begins with what is here adds what is new.
    /// Errors: a hash or link that does not fit, a fact that has no place in the history, a key that is taken, a file
    /// that an entry names and that is not in the folder of files.
    pub fn adopt(&mut self, entries: &[RawEntry], today: NaiveDate) -> Result<Receipt, AppendError> {
        let mut receipts = self.adopt_all(&[entries], today).map_err(|(_, error)| error)?;
        Ok(receipts.pop().expect("one chain has one receipt"))
    }

    /// Takes in several chains, in one transaction: all of them, or none. An error comes with which chain it is of.
    pub fn adopt_all(
        &mut self,
        chains: &[&[RawEntry]],
        today: NaiveDate,
    ) -> Result<Vec<Receipt>, (usize, AppendError)> {
        if self.read_only {
            return Err((0, StoreError::ReadOnly { path: self.path.clone() }.into()));
        }
        let mut checked = Vec::with_capacity(chains.len());
        for (at, chain) in chains.iter().enumerate() {
            checked.push(look_at(chain).map_err(|error| (at, error))?);
        }
        self.begin().map_err(|error| (0, error.into()))?;
        let mut receipts = Vec::with_capacity(chains.len());
        for (at, (chain, checked)) in chains.iter().zip(checked).enumerate() {
            match self.adopt_one(chain, checked, today) {
                Ok(receipt) => receipts.push(receipt),
                Err(error) => {
                    self.roll_back();
                    return Err((at, error));
                }
            }
        }
        self.commit().map_err(|error| (chains.len().saturating_sub(1), error.into()))?;
        Ok(receipts)
    }

    /// Writes, in the transaction under way, the entries of a chain that are not here yet.
    fn adopt_one(&mut self, entries: &[RawEntry], checked: Checked, today: NaiveDate) -> Result<Receipt, AppendError> {
        let Checked { read, folded, receipt } = checked;
        let id = folded.property.id;
        if self.property_id(&receipt.key)?.is_some_and(|other| other != id) {
            return Err(refused(&folded, Problem::KeyTaken { key: receipt.key }));
        }
        self.kept.remove(&id);
        let (number, here) = match self.chain(id)? {
            Some(chain) => (chain.number, chain.entries),
            None => {
                let number = self.next_chain()?;
                self.execute(include_str!("sql/insert_chain.sql"), params![number, id.to_string()])?;
                (number, 0)
            }
        };
        if number == 0 {
            let entry = format!("{}#1", receipt.key);
            return Err(StoreError::BadEntry { entry, error: "it is of the ledger's own chain".into() }.into());
        }
        let stored = if here == 0 { Vec::new() } else { self.raw_entries(id)? };
        let common = stored.iter().zip(entries).take_while(|(a, b)| a.hash == b.hash).count() as u64;
        if common < here {
            let entry = format!("{}#{}", receipt.key, common + 1);
            return Err(StoreError::BadEntry { entry, error: "it is not the one that is here".into() }.into());
        }
        if here == entries.len() as u64 {
            return Ok(Receipt { already: true, ..receipt });
        }
        for (raw, entry) in entries.iter().zip(&read).skip(usize::try_from(here).unwrap_or(usize::MAX)) {
            if let Some(body) = &entry.body {
                self.check_files(body)?;
            }
            self.write_entry(number, entry.seq(), entry.envelope.id, raw)?;
            if raw.body.is_none() {
                let by = erased_by(&read, entry.seq()).unwrap_or(0);
                self.execute(include_str!("sql/insert_erasure.sql"), params![number, entry.seq(), by])?;
            }
        }
        for (seq, (here, raw)) in (1..).zip(stored.iter().zip(entries)) {
            // What was erased there is erased here; what was only left out on the way stays.
            if here.body.is_some()
                && raw.body.is_none()
                && let Some(by) = erased_by(&read, seq)
            {
                self.execute(include_str!("sql/insert_erasure.sql"), params![number, seq, by])?;
                self.execute(include_str!("sql/delete_body.sql"), params![number, seq])?;
            }
        }
        // Bodies may be absent there and not here, or here and not there: what counts is what is here now.
        let (now, folded) = match here {
            0 => (read, folded),
            _ => {
                let now = self.entries_of_chain(number)?;
                let folded = fold(id, &now);
                (now, folded)
            }
        };
        let outlook = outlook(&folded.property, &self.settings, today);
        let (unwritten, overview, seen_at) = (false, None, None);
        let kept = Kept { chain: number, folded, outlook, as_of: today, unwritten, overview, seen_at };
        self.project_anew(&kept, Some(&now))?;
        self.update_head(number, &kept.folded)?;
        Ok(receipt)
    }
}

/// Everything that can be said of a chain without the ledger it is for.
fn look_at(entries: &[RawEntry]) -> Result<Checked, AppendError> {
    let read = linked(entries)?;
    let Some(last) = read.last() else {
        return Err(StoreError::BadEntry { entry: "#1".into(), error: "there is none".into() }.into());
    };
    let folded = fold(last.envelope.property, &read);
    let absent = read.iter().any(|e| e.body.is_none());
    if !folded.unplaced.is_empty() && !absent {
        let refuse = |(_, problem): &(u64, Problem)| refusal(&folded, problem.clone());
        return Err(AppendError::Refused(folded.unplaced.iter().map(refuse).collect()));
    }
    if !folded.property.exists() {
        return Err(refused(&folded, Problem::NoProperty));
    }
    let receipt = Receipt {
        key: folded.property.key.clone(),
        seq: last.seq(),
        kind: "property-added",
        hash: last.hash,
        subjects: Vec::new(),
        already: false,
    };
    Ok(Checked { read, folded, receipt })
}

fn refusal(folded: &Folded, problem: Problem) -> Refusal {
    Refusal { index: 0, key: folded.property.key.clone(), problem }
}

fn refused(folded: &Folded, problem: Problem) -> AppendError {
    AppendError::Refused(vec![refusal(folded, problem)])
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
