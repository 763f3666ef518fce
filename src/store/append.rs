//! The door for facts entered here: checked against the history they join, sealed, written with what they change.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, NaiveDate, Utc};
use rusqlite::{OptionalExtension, params};
use uuid::Uuid;

use super::ahead::{self, Drafts};
use super::error::{AppendError, Refusal, StoreError};
use super::project;
use super::read::{hash, whole};
use super::{Kept, NO_CHAIN, Store};
use crate::ledger::entry::{Attachment, Body, RawEntry};
use crate::ledger::fold::{Draft, Folded, Joined, Recorded, fold};
use crate::ledger::hash::Hash;
use crate::ledger::kind::{Fact, KINDS};
use crate::ledger::outlook::outlook;
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;

/// The property a draft is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    Known(Uuid),
    /// Its chain begins with this draft, which says that the property exists.
    New(Uuid),
}

impl Target {
    pub fn id(self) -> Uuid {
        match self {
            Target::Known(id) | Target::New(id) => id,
        }
    }
}

/// A draft and the property it is for.
#[derive(Debug, Clone, PartialEq)]
pub struct Addressed {
    pub property: Target,
    pub draft: Draft,
}

/// What was recorded of one draft.
#[derive(Debug, Clone, PartialEq)]
pub struct Receipt {
    pub key: String,
    pub seq: u64,
    pub kind: &'static str,
    pub hash: Hash,
    pub subjects: Vec<Subject>,
    /// An entry with this id was there: nothing was written.
    pub already: bool,
}

/// What became of one draft.
pub(super) type Answer = Result<Receipt, Vec<Refusal>>;

impl Store {
    /// Records all drafts or, if one is refused, none; every problem of every draft is reported.
    pub fn append(
        &mut self,
        drafts: Vec<Addressed>,
        recorded: DateTime<Utc>,
        today: NaiveDate,
    ) -> Result<Vec<Receipt>, AppendError> {
        let answers = self.write(drafts, recorded, today, true)?;
        let mut receipts = Vec::with_capacity(answers.len());
        let mut refusals = Vec::new();
        for answer in answers {
            match answer {
                Ok(receipt) => receipts.push(receipt),
                Err(refused) => refusals.extend(refused),
            }
        }
        if refusals.is_empty() { Ok(receipts) } else { Err(AppendError::Refused(refusals)) }
    }

    /// Records the drafts that are accepted, in one transaction, and says what is wrong with each of the others.
    pub fn append_each(
        &mut self,
        drafts: Vec<Addressed>,
        recorded: DateTime<Utc>,
        today: NaiveDate,
    ) -> Result<Vec<Result<Receipt, Vec<Refusal>>>, StoreError> {
        self.write(drafts, recorded, today, false)
    }

    fn write(
        &mut self,
        drafts: Vec<Addressed>,
        recorded: DateTime<Utc>,
        today: NaiveDate,
        all_or_nothing: bool,
    ) -> Result<Vec<Answer>, StoreError> {
        if self.read_only {
            return Err(StoreError::ReadOnly { path: self.path.clone() });
        }
        self.begin()?;
        match self.write_all(drafts, recorded, today, all_or_nothing) {
            Ok((answers, orphaned)) if !all_or_nothing || answers.iter().all(Result::is_ok) => {
                if let Err(error) = self.note_orphaned(orphaned.as_deref().unwrap_or_default()) {
                    self.roll_back();
                    return Err(error);
                }
                self.commit()?;
                if orphaned.is_some() {
                    self.finish_erasures();
                    self.empty_log();
                }
                Ok(answers)
            }
            Ok((answers, _)) => {
                self.roll_back();
                Ok(answers)
            }
            Err(error) => {
                self.roll_back();
                Err(error)
            }
        }
    }

    fn write_all(
        &mut self,
        drafts: Vec<Addressed>,
        recorded: DateTime<Utc>,
        today: NaiveDate,
        all_or_nothing: bool,
    ) -> Result<(Vec<Answer>, Option<Vec<Attachment>>), StoreError> {
        let mut batch = Batch { recorded, today, claimed: BTreeMap::new(), orphaned: None };
        let mut written = Written { answers: Vec::new(), refused: false, all_or_nothing };
        written.answers.resize_with(drafts.len(), || None);
        let runs = by_property(drafts);
        if ahead::is_worth_it(&runs) {
            self.write_ahead(runs, &mut batch, &mut written)?;
        } else {
            runs.into_iter().try_for_each(|run| self.write_run(run, &mut batch, &mut written))?;
        }
        Ok((written.answers.into_iter().flatten().collect(), batch.orphaned))
    }

    /// Writes the drafts of one property.
    pub(super) fn write_run(
        &mut self,
        drafts: Drafts,
        batch: &mut Batch,
        written: &mut Written,
    ) -> Result<(), StoreError> {
        let Some((_, first)) = drafts.first() else { return Ok(()) };
        let id = first.property.id();
        let new = match first.property {
            Target::New(_) if self.chain(id)?.is_none() => Some(self.next_chain()?),
            _ => None,
        };
        self.keep(id, new)?;
        let mut kept = self.kept.remove(&id).expect("the fold was just kept");
        if kept.outlook.rows.is_empty() {
            kept.outlook = outlook(&kept.folded.property, &self.settings, batch.today);
            kept.as_of = batch.today;
            kept.unwritten = true;
        }
        let mut run = Run { make_chain: new.is_some(), ..Run::default() };
        let mut drafts = drafts.into_iter().peekable();
        while let Some((index, next)) = drafts.next() {
            if !next.draft.goes_with_others() {
                let answer = self.write_one(&mut kept, &mut run, batch, index, next.draft)?;
                written.put(index, answer);
                continue;
            }
            let mut together = vec![(index, next.draft)];
            while let Some((index, next)) = drafts.next_if(|(_, next)| next.draft.goes_with_others()) {
                together.push((index, next.draft));
            }
            // Those that come last in their turn change one row each; the others have everything computed anew, once.
            let in_turn = kept.folded.takes_in_turn(together.iter().map(|(_, draft)| draft));
            let done = match in_turn {
                true => self.write_each(&mut kept, &mut run, batch, together)?,
                false => self.write_together(&mut kept, &mut run, batch, together)?,
            };
            done.into_iter().for_each(|(index, answer)| written.put(index, answer));
        }
        if run.wrote && !written.is_in_vain() {
            self.project(&mut kept, &run.touched, run.anew, batch.today)?;
        }
        self.kept.insert(id, kept);
        Ok(())
    }

    pub(super) fn next_chain(&self) -> Result<i64, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/last_chain.sql")).map_err(|e| self.sql(e))?;
        statement.query_row([], |r| r.get::<_, i64>(0)).map(|last| last + 1).map_err(|e| self.sql(e))
    }

    fn write_one(
        &self,
        kept: &mut Kept,
        run: &mut Run,
        batch: &mut Batch,
        index: usize,
        draft: Draft,
    ) -> Result<Answer, StoreError> {
        if let Some(receipt) = self.delivered(draft.id)? {
            return Ok(Ok(receipt));
        }
        let key = key_of(&draft.fact, &kept.folded);
        let refuse = |problems: Vec<Problem>| {
            Ok(Err(problems.into_iter().map(|problem| Refusal { index, key: key.clone(), problem }).collect()))
        };
        // The ledger's own chain is no property's.
        if kept.chain == NO_CHAIN || kept.chain == 0 {
            return refuse(vec![Problem::NoProperty]);
        }
        if let Some(problem) = archived(&draft.fact, &kept.folded) {
            return refuse(vec![problem]);
        }
        let files = attachments_erased(&draft.fact, || self.entries_of_chain(kept.chain))?;
        let was = kept.folded.property.key.clone();
        let entries = || self.entries_of_chain(kept.chain);
        let joined = match kept.folded.join(draft, batch.recorded, entries)? {
            Ok(joined) => joined,
            Err(problems) => return refuse(problems),
        };
        // Added, corrected or erased, an entry may give the property another key.
        let Property { id, key: now, .. } = &kept.folded.property;
        if *now != was {
            if self.is_taken(now, *id, batch)? {
                let taken = Problem::KeyTaken { key: now.clone() };
                kept.folded = fold(*id, &self.entries_of_chain(kept.chain)?);
                return refuse(vec![taken]);
            }
            batch.claimed.insert(now.clone(), *id);
        }
        let erases = joined.erases.map(|seq| (seq, joined.seq));
        let receipt = self.write_joined(kept, run, joined)?;
        if let Some((seq, by)) = erases {
            self.execute(include_str!("sql/insert_erasure.sql"), params![kept.chain, seq, by])?;
            self.execute(include_str!("sql/delete_body.sql"), params![kept.chain, seq])?;
            batch.orphaned.get_or_insert_default().extend(files);
        }
        Ok(Ok(receipt))
    }

    /// Writes an entry that joined, with the rows that are its own.
    fn write_joined(&self, kept: &Kept, run: &mut Run, joined: Joined) -> Result<Receipt, StoreError> {
        let rows =
            (!run.anew && !joined.anew).then(|| project::rows_of_entry(kept.chain, &kept.folded.property, &joined));
        let receipt = self.write_sealed(kept, run, &joined)?;
        self.write_rows(rows.iter().flatten())?;
        Ok(receipt)
    }

    /// Writes an entry that joined, without the rows that are its own.
    pub(super) fn write_sealed(&self, kept: &Kept, run: &mut Run, joined: &Joined) -> Result<Receipt, StoreError> {
        self.check_files(&joined.body)?;
        if std::mem::take(&mut run.make_chain) {
            let id = kept.folded.property.id.to_string();
            self.execute(include_str!("sql/insert_chain.sql"), params![kept.chain, id])?;
        }
        self.write_entry(kept.chain, joined.seq, joined.id, &joined.raw)?;
        run.wrote = true;
        run.anew |= joined.anew;
        run.touched.extend(joined.subjects.iter().cloned());
        let Joined { seq, kind, subjects, raw, .. } = joined;
        let (key, subjects) = (kept.folded.property.key.clone(), subjects.clone());
        Ok(Receipt { key, seq: *seq, kind, hash: raw.hash, subjects, already: false })
    }

    fn write_each(
        &self,
        kept: &mut Kept,
        run: &mut Run,
        batch: &mut Batch,
        drafts: Vec<(usize, Draft)>,
    ) -> Result<Vec<(usize, Answer)>, StoreError> {
        let each = drafts.into_iter();
        each.map(|(index, draft)| Ok((index, self.write_one(kept, run, batch, index, draft)?))).collect()
    }

    /// Writes those of one sort that the history takes: see [`Draft::goes_with_others`].
    fn write_together(
        &self,
        kept: &mut Kept,
        run: &mut Run,
        batch: &Batch,
        drafts: Vec<(usize, Draft)>,
    ) -> Result<Vec<(usize, Answer)>, StoreError> {
        let key = kept.folded.property.key.clone();
        let refusal = |index: usize, problems: Vec<Problem>| {
            let refuse = |problem| Refusal { index, key: key.clone(), problem };
            Err(problems.into_iter().map(refuse).collect())
        };
        let mut answers: Vec<(usize, Answer)> = Vec::with_capacity(drafts.len());
        let (mut of, mut fresh) = (Vec::new(), Vec::new());
        for (index, draft) in drafts {
            if let Some(receipt) = self.delivered(draft.id)? {
                answers.push((index, Ok(receipt)));
            } else if kept.chain == NO_CHAIN || kept.chain == 0 {
                answers.push((index, refusal(index, vec![Problem::NoProperty])));
            } else if let Some(problem) = archived(&draft.fact, &kept.folded) {
                answers.push((index, refusal(index, vec![problem])));
            } else {
                of.push(index);
                fresh.push(draft);
            }
        }
        let entries = || self.entries_of_chain(kept.chain);
        let joined = kept.folded.join_all(fresh, batch.recorded, entries)?;
        run.anew = true;
        for (index, joined) in of.into_iter().zip(joined) {
            let answer = match joined {
                Ok(joined) => Ok(self.write_joined(kept, run, joined)?),
                Err(problems) => refusal(index, problems),
            };
            answers.push((index, answer));
        }
        Ok(answers)
    }

    /// Whether an entry was delivered before, wherever it was.
    pub(super) fn is_delivered(&self, id: Uuid) -> Result<bool, StoreError> {
        let mut statement =
            self.connection.prepare_cached(include_str!("sql/entry_by_id.sql")).map_err(|e| self.sql(e))?;
        statement.exists([id.as_bytes()]).map_err(|e| self.sql(e))
    }

    /// The receipt of an entry that was delivered before, wherever it was: of what was recorded then, not of what is
    /// delivered now.
    fn delivered(&self, id: Uuid) -> Result<Option<Receipt>, StoreError> {
        let sql = |e| self.sql(e);
        let mut statement = self.connection.prepare_cached(include_str!("sql/entry_by_id.sql")).map_err(sql)?;
        let read = |r: &rusqlite::Row| {
            let raw = RawEntry { hash: hash(r, 2)?, envelope: r.get(3)?, body: r.get(4)? };
            Ok((r.get::<_, i64>(0)?, whole(r, 1)?, raw))
        };
        let Some((chain, seq, raw)) = statement.query_row([id.as_bytes()], read).optional().map_err(sql)? else {
            return Ok(None);
        };
        let bad = |error: String| StoreError::BadEntry { entry: self.entry_name(chain, seq), error };
        let recorded = Recorded::read(&raw).map_err(|e| bad(e.to_string()))?;
        let kind = KINDS.iter().map(|row| row.name).find(|name| *name == recorded.envelope.kind);
        let Some(kind) = kind else { return Err(bad(format!("kind `{}` is not known", recorded.envelope.kind))) };
        Ok(Some(Receipt {
            key: self.key_of_chain(chain),
            seq,
            kind,
            hash: raw.hash,
            subjects: recorded.body.map(|b| b.fact.about()).unwrap_or_default(),
            already: true,
        }))
    }

    /// Whether another property has this key, on disk or earlier in the batch.
    pub(super) fn is_taken(&self, key: &str, id: Uuid, batch: &Batch) -> Result<bool, StoreError> {
        if batch.claimed.get(key).is_some_and(|other| *other != id) {
            return Ok(true);
        }
        Ok(self.property_id(key)?.is_some_and(|other| other != id))
    }

    /// Every file that an entry names is on disk before the entry is.
    pub(super) fn check_files(&self, body: &Body) -> Result<(), StoreError> {
        for file in body.attachments() {
            let path = self.file_path(file.sha256);
            if !path.is_file() {
                return Err(StoreError::File { path, error: "there is no such file".into() });
            }
        }
        Ok(())
    }
}

/// What a batch of drafts did so far.
pub(super) struct Batch {
    pub(super) recorded: DateTime<Utc>,
    pub(super) today: NaiveDate,
    /// Keys that its drafts gave to properties.
    pub(super) claimed: BTreeMap<String, Uuid>,
    /// Files that erased bodies named; `None` while nothing was erased.
    orphaned: Option<Vec<Attachment>>,
}

/// What a run of drafts for one property did so far.
#[derive(Default)]
pub(super) struct Run {
    pub(super) touched: BTreeSet<Subject>,
    /// The state was folded anew.
    pub(super) anew: bool,
    pub(super) wrote: bool,
    /// The chain's own row is still to be written.
    pub(super) make_chain: bool,
}

/// The answers so far, by place in the batch.
pub(super) struct Written {
    answers: Vec<Option<Answer>>,
    refused: bool,
    all_or_nothing: bool,
}

impl Written {
    pub(super) fn put(&mut self, index: usize, answer: Answer) {
        self.refused |= answer.is_err();
        self.answers[index] = Some(answer);
    }

    /// The batch will be rolled back: nothing of it needs to be projected.
    pub(super) fn is_in_vain(&self) -> bool {
        self.refused && self.all_or_nothing
    }
}

/// The drafts with their places in the batch, those of one property together: each keeps its order within its property,
/// and properties know nothing of each other but their keys.
fn by_property(drafts: Vec<Addressed>) -> Vec<Drafts> {
    let mut places: BTreeMap<Uuid, usize> = BTreeMap::new();
    let mut runs: Vec<Drafts> = Vec::new();
    for (index, draft) in drafts.into_iter().enumerate() {
        let place = *places.entry(draft.property.id()).or_insert(runs.len());
        match runs.get_mut(place) {
            Some(run) => run.push((index, draft)),
            None => runs.push(vec![(index, draft)]),
        }
    }
    runs
}

fn key_of(fact: &Fact, folded: &Folded) -> String {
    match fact {
        Fact::PropertyAdded(added) if !folded.property.exists() => added.key.to_string(),
        _ => folded.property.key.clone(),
    }
}

/// An archived property takes what sets its record right, and what says who has it; one that was handed over takes only
/// the erasure that a law may ask for.
fn archived(fact: &Fact, folded: &Folded) -> Option<Problem> {
    let property = &folded.property;
    let key = || property.key.clone();
    if let Some(on) = property.handed_over.filter(|_| !matches!(fact, Fact::EntryErased(_))) {
        return Some(Problem::HandedOver { key: key(), on });
    }
    let amends = matches!(fact, Fact::EntryCorrected(_) | Fact::EntryStruck(_) | Fact::EntryErased(_));
    let gives = matches!(fact, Fact::SealGiven(_) | Fact::HandedOver(_) | Fact::TakenOver(_));
    let (on, _) = property.archived.as_ref().filter(|_| !amends && !gives)?;
    Some(Problem::Archived { key: key(), on: *on })
}

/// The files that the body about to be erased names.
fn attachments_erased<E>(
    fact: &Fact,
    entries: impl FnOnce() -> Result<Vec<Recorded>, E>,
) -> Result<Vec<Attachment>, E> {
    let Fact::EntryErased(erased) = fact else { return Ok(Vec::new()) };
    let entries = entries()?;
    let body = entries.iter().find(|e| e.seq() == erased.entry).and_then(|e| e.body.as_ref());
    Ok(body.map(|b| b.attachments().into_iter().cloned().collect()).unwrap_or_default())
}
