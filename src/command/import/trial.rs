//! A house's history in memory, to try rows on before anything is written.

use std::collections::HashSet;
use std::convert::Infallible;

use uuid::Uuid;

use super::{Source, named};
use crate::command::Error;
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::{Draft, Folded, Recorded};
use crate::ledger::kind::Fact;
use crate::ledger::problem::Problem;
use crate::ledger::when::When;
use crate::store::{Store, Target};

pub(super) struct Trial {
    pub target: Target,
    pub folded: Folded,
    /// Entries that are in the ledger.
    chain: Vec<Recorded>,
    /// Entries that joined here.
    joined: Vec<RawEntry>,
    pub there: HashSet<Uuid>,
    /// What entries say that did not come from this file under this label, without where it came from.
    others: Vec<(Fact, When, Option<String>)>,
}

impl Trial {
    /// `own`: the identifiers of the file's rows of this house.
    pub fn of(store: &mut Store, label: &str, key: &str, own: &HashSet<Uuid>) -> Result<Trial, Error> {
        let (target, folded, chain) = match store.property_id(key)? {
            Some(id) => (Target::Known(id), store.folded(id)?.clone(), store.entries(id)?),
            None => {
                let id = named(&["property", label, key]);
                (Target::New(id), Folded::empty(id), Vec::new())
            }
        };
        let there = chain.iter().map(|entry| entry.envelope.id).collect();
        let not_own = chain.iter().filter(|entry| !own.contains(&entry.envelope.id));
        let said = not_own.filter_map(|entry| Some((entry.body.as_ref()?.fact.clone(), entry.envelope.on)));
        let others = said.map(|(fact, on)| {
            let (fact, label) = without_origin(fact);
            (fact, on, label)
        });
        let others = others.collect();
        Ok(Trial { target, folded, chain, joined: Vec::new(), there, others })
    }

    /// Another entry that says the same, each once; the inner `None` where it came from no file.
    pub fn take_same(&mut self, draft: &Draft) -> Option<Option<String>> {
        let (fact, _) = without_origin(draft.fact.clone());
        let at = self.others.iter().position(|(other, on, _)| *on == draft.on && *other == fact)?;
        Some(self.others.swap_remove(at).2)
    }

    /// Lets those of `drafts` join that the history takes, and says what keeps each of the others out.
    pub fn join_each(&mut self, drafts: Vec<Draft>, from: &Source) -> Vec<Result<(), Vec<Problem>>> {
        let (chain, before) = (&self.chain, &self.joined);
        let history = || -> Result<Vec<Recorded>, Infallible> {
            let fresh = before.iter().map(|raw| Recorded::read(raw).expect("an entry just sealed reads back"));
            Ok(chain.iter().cloned().chain(fresh).collect())
        };
        let Ok(answers) = self.folded.join_all(drafts, from.context.now, history);
        let mut out = Vec::with_capacity(answers.len());
        for answer in answers {
            out.push(answer.map(|entry| self.joined.push(entry.raw)));
        }
        out
    }

    /// Lets all of `drafts` join, or leaves the history as it was and says what keeps one of them out.
    pub fn join(&mut self, drafts: &[Draft], from: &Source) -> Result<(), Vec<Problem>> {
        // One draft that is refused leaves the fold as it was by itself.
        let before = (drafts.len() > 1).then(|| (self.folded.clone(), self.joined.len()));
        for draft in drafts {
            let (chain, joined) = (&self.chain, &self.joined);
            let history = || -> Result<Vec<Recorded>, Infallible> {
                let fresh = joined.iter().map(|raw| Recorded::read(raw).expect("an entry just sealed reads back"));
                Ok(chain.iter().cloned().chain(fresh).collect())
            };
            let Ok(answer) = self.folded.join(draft.clone(), from.context.now, history);
            match answer {
                Ok(entry) => self.joined.push(entry.raw),
                Err(problems) => {
                    if let Some((folded, length)) = before {
                        self.folded = folded;
                        self.joined.truncate(length);
                    }
                    return Err(problems);
                }
            }
        }
        Ok(())
    }
}

/// A fact without the file it came from, and that file's label.
fn without_origin(fact: Fact) -> (Fact, Option<String>) {
    match fact {
        Fact::RadonTested(mut test) => {
            let label = test.origin.take().map(|origin| origin.label);
            (test.into(), label)
        }
        other => (other, None),
    }
}
