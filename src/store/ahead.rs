//! Houses that a batch begins, made while those before them are written.
//!
//! What a new house comes to (its facts checked and sealed, its rows, its outlook) hangs on nothing in the database but that
//! its identifiers and its key are new, which is asked first. So one thread makes houses from drafts while the one that has
//! the connection writes, in the order of the batch. Everything else goes the ordinary way, once those before it are written.
//! The same batch leaves the same answers and the same rows either way: see `tests/law_tests.rs`.

use std::collections::{BTreeSet, HashSet};
use std::convert::Infallible;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::types::Value;
use uuid::Uuid;

use super::append::{Addressed, Batch, Run, Target, Written};
use super::error::{Refusal, StoreError};
use super::project::{self, Row};
use super::{Kept, NO_CHAIN, Store};
use crate::ledger::fold::{Folded, Joined, Recorded};
use crate::ledger::kind::Fact;
use crate::ledger::outlook::outlook;
use crate::ledger::problem::Problem;
use crate::ledger::settings::Settings;
use crate::ledger::subject::Subject;

/// A batch that begins fewer houses is written without another thread.
const FEWEST: usize = 16;
/// Houses are handed over so many at a time: waking the other thread takes about as long as making one.
const AT_ONCE: usize = 16;
/// So many times as many may be under way.
const UNDER_WAY: usize = 4;

/// The drafts of one property, in order, each with its place in the batch.
pub(super) type Drafts = Vec<(usize, Addressed)>;

/// Houses to be made, and such as were written: memory is given back by the thread that took it, since two that give back
/// each other's wait for each other.
#[derive(Default)]
struct Handed {
    houses: Vec<Drafts>,
    written: Vec<Made>,
}

/// A new house, ready to be written.
struct Made {
    kept: Kept,
    joined: Vec<(usize, Result<Joined, Vec<Problem>>)>,
    /// Of a chain that has no number yet. `None`: a fact came before another that was recorded before it, so the rows are
    /// computed from the whole.
    rows: Option<Vec<Row>>,
}

/// What keeps a house from being made ahead: something of it may be that of one under way.
#[derive(Default)]
struct UnderWay {
    ids: HashSet<Uuid>,
    keys: HashSet<String>,
    /// Still to be handed over.
    next: Handed,
    handed: usize,
}

/// Whether a batch begins so many houses that another thread is worth its while.
pub(super) fn is_worth_it(runs: &[Drafts]) -> bool {
    runs.iter().filter(|run| begins(run).is_some()).take(FEWEST).count() == FEWEST
}

/// The key of the house that a run of drafts begins; `None` for a run that has to see what is written, or may change the key.
fn begins(run: &Drafts) -> Option<&str> {
    let (first, others) = run.split_first()?;
    let Fact::PropertyAdded(added) = &first.1.draft.fact else { return None };
    let amends = |fact: &Fact| {
        matches!(
            fact,
            Fact::PropertyAdded(_)
                | Fact::PropertyChanged(_)
                | Fact::PropertyArchived(_)
                | Fact::EntryCorrected(_)
                | Fact::EntryStruck(_)
                | Fact::EntryErased(_)
                | Fact::SealGiven(_)
                | Fact::HandedOver(_)
        )
    };
    let plain = matches!(first.1.property, Target::New(_)) && !others.iter().any(|(_, next)| amends(&next.draft.fact));
    plain.then_some(added.key.as_str())
}

impl Store {
    /// Writes runs of drafts, the houses among them that are new made on another thread.
    pub(super) fn write_ahead(
        &mut self,
        runs: Vec<Drafts>,
        batch: &mut Batch,
        written: &mut Written,
    ) -> Result<(), StoreError> {
        let settings = self.settings.clone();
        let (recorded, today) = (batch.recorded, batch.today);
        thread::scope(|scope| {
            let (give, given) = channel::<Handed>();
            let (send, made) = channel::<Vec<Made>>();
            scope.spawn(move || {
                for Handed { houses, written } in given {
                    drop(written);
                    let houses = houses.into_iter().map(|drafts| make(drafts, &settings, recorded, today));
                    // Nobody takes them any more where writing has failed.
                    if send.send(houses.collect()).is_err() {
                        break;
                    }
                }
            });
            let mut way = UnderWay::default();
            for run in runs {
                if self.can_be_made(&run, &mut way, batch)? {
                    way.next.houses.push(run);
                    if way.next.houses.len() == AT_ONCE {
                        hand_over(&give, &mut way);
                    }
                    if way.handed == UNDER_WAY {
                        self.write_made(&made, &mut way, batch, written)?;
                    }
                } else {
                    self.write_all_made(&give, &made, &mut way, batch, written)?;
                    self.write_run(run, batch, written)?;
                }
            }
            self.write_all_made(&give, &made, &mut way, batch, written)
        })
    }

    /// Whether a run begins a house of which nothing is in the ledger or under way.
    fn can_be_made(&self, run: &Drafts, way: &mut UnderWay, batch: &Batch) -> Result<bool, StoreError> {
        let Some(key) = begins(run) else { return Ok(false) };
        let id = run[0].1.property.id();
        if way.keys.contains(key) || self.chain(id)?.is_some() || self.is_taken(key, id, batch)? {
            return Ok(false);
        }
        let mut ids = HashSet::new();
        for (_, next) in run {
            if way.ids.contains(&next.draft.id) || !ids.insert(next.draft.id) || self.is_delivered(next.draft.id)? {
                return Ok(false);
            }
        }
        way.keys.insert(key.to_owned());
        way.ids.extend(ids);
        Ok(true)
    }

    fn write_all_made(
        &mut self,
        give: &Sender<Handed>,
        made: &Receiver<Vec<Made>>,
        way: &mut UnderWay,
        batch: &mut Batch,
        written: &mut Written,
    ) -> Result<(), StoreError> {
        hand_over(give, way);
        while way.handed > 0 {
            self.write_made(made, way, batch, written)?;
        }
        way.ids.clear();
        way.keys.clear();
        Ok(())
    }

    /// Waits for the houses handed over first, and writes them: the entries of each, then their rows, table by table.
    fn write_made(
        &mut self,
        made: &Receiver<Vec<Made>>,
        way: &mut UnderWay,
        batch: &mut Batch,
        written: &mut Written,
    ) -> Result<(), StoreError> {
        way.handed -= 1;
        let mut houses = made.recv().expect("what makes them ends only when nothing more is asked of it");
        for house in &mut houses {
            self.write_house(house, batch, written)?;
        }
        if !written.is_in_vain() {
            let rows = || houses.iter().filter_map(|house| house.rows.as_deref()).flatten();
            for table in project::TABLES {
                self.write_rows_of(table, rows())?;
            }
        }
        way.next.written.append(&mut houses);
        Ok(())
    }

    /// Writes the entries of a house, and all of its rows where none are made.
    fn write_house(&mut self, made: &mut Made, batch: &mut Batch, written: &mut Written) -> Result<(), StoreError> {
        let Made { kept, joined, rows } = made;
        kept.chain = self.next_chain()?;
        let id = kept.folded.property.id;
        let mut run = Run { make_chain: true, ..Run::default() };
        for (index, joined) in joined {
            let answer = match joined {
                Ok(joined) => Ok(self.write_sealed(kept, &mut run, joined)?),
                Err(problems) => {
                    let key = kept.folded.property.key.clone();
                    let refuse = |problem| Refusal { index: *index, key: key.clone(), problem };
                    Err(problems.drain(..).map(refuse).collect())
                }
            };
            written.put(*index, answer);
        }
        if !run.wrote {
            return Ok(());
        }
        batch.claimed.insert(kept.folded.property.key.clone(), id);
        match rows {
            _ if written.is_in_vain() => {}
            None => self.project(kept, &run.touched, true, batch.today)?,
            Some(rows) => {
                rows.iter_mut().for_each(|(_, values)| values[0] = Value::Integer(kept.chain));
                self.update_head(kept.chain, &kept.folded)?;
            }
        }
        Ok(())
    }
}

fn hand_over(give: &Sender<Handed>, way: &mut UnderWay) {
    if !way.next.houses.is_empty() {
        way.handed += 1;
        // A thread that is gone is noticed where its houses are waited for.
        let _ = give.send(std::mem::take(&mut way.next));
    }
}

/// Everything that can be made of a house without the database.
fn make(drafts: Drafts, settings: &Settings, recorded: DateTime<Utc>, today: NaiveDate) -> Made {
    let id = drafts.first().map_or(Uuid::nil(), |(_, first)| first.property.id());
    let mut folded = Folded::empty(id);
    let mut joined: Vec<(usize, Result<Joined, Vec<Problem>>)> = Vec::with_capacity(drafts.len());
    let (mut rows, mut anew, mut touched) = (Vec::new(), false, BTreeSet::new());
    for (index, next) in drafts {
        let so_far = || {
            let raws = joined.iter().filter_map(|(_, answer)| answer.as_ref().ok()).map(|joined| &joined.raw);
            Ok::<_, Infallible>(raws.map(|raw| Recorded::read(raw).expect("an entry just sealed reads back")).collect())
        };
        let Ok(answer) = folded.join(next.draft, recorded, so_far);
        if let Ok(joined) = &answer {
            anew |= joined.anew;
            rows.extend(project::rows_of_entry(NO_CHAIN, &folded.property, joined));
            touched.extend(joined.subjects.iter().cloned());
        }
        joined.push((index, answer));
    }
    let mut kept = Kept::of(NO_CHAIN, folded);
    let rows = (!anew).then(|| {
        let property = &kept.folded.property;
        kept.outlook = outlook(property, settings, today);
        kept.as_of = today;
        // The property's own row comes first: the others refer to it.
        rows.extend(touched.iter().filter_map(|subject: &Subject| project::subject_row(NO_CHAIN, property, subject)));
        rows.extend(kept.outlook.rows.iter().map(|(subject, row)| project::outlook_row(NO_CHAIN, subject, row)));
        rows.push(project::overview_row(NO_CHAIN, property, &kept.outlook, today));
        rows
    });
    Made { kept, joined, rows }
}
