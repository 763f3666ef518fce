//! From drafts to entries: some houses in one transaction, or all of them in one.

use super::{Imported, Prepared, Source};
use crate::command::Error;
use crate::store::{AppendError, Store};

/// Houses written in one transaction, where rows may be refused one by one.
const HOUSES: usize = 500;
/// Drafts in one transaction: a few more than this, so that what waits does not fill the memory.
const DRAFTS: usize = 10_000;

/// What is on its way into the ledger.
pub(super) struct Writing<'a> {
    from: &'a Source<'a>,
    waiting: Vec<Prepared>,
    houses: usize,
    /// Rows that were worked off, of how many.
    done: u64,
    rows: u64,
}

impl<'a> Writing<'a> {
    pub fn new(from: &'a Source<'a>, rows: u64) -> Writing<'a> {
        Writing { from, waiting: Vec::new(), houses: 0, done: 0, rows }
    }

    /// Takes the drafts that came of so many `rows` of one house; writes when there are many.
    pub fn put(
        &mut self,
        store: &mut Store,
        drafts: Vec<Prepared>,
        rows: u64,
        imported: &mut Imported,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<(), Error> {
        self.done += rows;
        self.houses += 1;
        if self.from.dry_run {
            drafts.iter().for_each(|one| imported.count(one, one.already));
        } else {
            self.waiting.extend(drafts);
        }
        let many = self.houses >= HOUSES || self.waiting.len() >= DRAFTS;
        if many && !self.from.all_or_nothing {
            self.write(store, imported)?;
            progress(self.done, self.rows);
        }
        Ok(())
    }

    /// Writes what is left; all of it where it goes in whole or not at all.
    pub fn end(mut self, store: &mut Store, imported: &mut Imported) -> Result<(), Error> {
        if !self.from.all_or_nothing {
            self.write(store, imported)?;
        } else if imported.refused.is_empty() {
            self.write_whole(store, imported)?;
        }
        imported.refused.sort_by_key(|row| row.line);
        Ok(())
    }

    fn write(&mut self, store: &mut Store, imported: &mut Imported) -> Result<(), Error> {
        self.houses = 0;
        let mut waiting = std::mem::take(&mut self.waiting);
        let drafts = waiting.iter().map(|one| one.addressed.clone()).collect();
        for (one, answer) in waiting.drain(..).zip(store.append_each(drafts, self.from.context.now, self.from.today)?) {
            match answer {
                Ok(receipt) => imported.count(&one, receipt.already),
                Err(refusals) => {
                    let (line, text) = one.row.unwrap_or_default();
                    imported.refuse_all(line, &text, refusals.into_iter().map(|refusal| refusal.problem));
                }
            }
        }
        Ok(())
    }

    fn write_whole(&mut self, store: &mut Store, imported: &mut Imported) -> Result<(), Error> {
        let drafts = self.waiting.iter().map(|one| one.addressed.clone()).collect();
        match store.append(drafts, self.from.context.now, self.from.today) {
            Ok(receipts) => {
                let all = self.waiting.iter().zip(receipts);
                all.for_each(|(one, receipt)| imported.count(one, receipt.already));
                Ok(())
            }
            Err(AppendError::Store(error)) => Err(error.into()),
            // Another program wrote between the trial and now.
            Err(AppendError::Refused(refusals)) => {
                for refusal in refusals {
                    let of = self.waiting.get(refusal.index).and_then(|one| one.row.clone());
                    let (line, text) = of.unwrap_or_default();
                    imported.refuse_all(line, &text, [refusal.problem]);
                }
                Ok(())
            }
        }
    }
}
