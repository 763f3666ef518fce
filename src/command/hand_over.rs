//! `property hand-over`, `property take-over`: a house changes hands, and its record goes with it.
//!
//! The new owner gets a ledger of that house alone. Here the chain ends with an entry that says so; there it goes on from the
//! entry before that one, with one that says where it comes from, so every seal given until now still holds. What is marked private stays here unless it was asked
//! for: its place in the chain goes along, its words do not.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::{Circumstances, Context, Error, Recorded};
use crate::dossier::leave_out::{Choice, left_out, without};
use crate::dossier::picture::COPY;
use crate::ledger::entry::{Envelope, RawEntry, Remarks};
use crate::ledger::fold::{Draft, Recorded as Entry};
use crate::ledger::hash::Hash;
use crate::ledger::kind::Fact;
use crate::ledger::kind::handed_over::HandedOver;
use crate::ledger::kind::ledger_started::LedgerStarted;
use crate::ledger::kind::setting_changed::SettingChanged;
use crate::ledger::kind::taken_over::TakenOver;
use crate::ledger::problem::Problem;
use crate::ledger::when::When;
use crate::store::{Addressed, Receipt, Refusal, Report, Store, StoreError, Target};

/// What went into the new ledger, and the entry that says so here.
pub struct Handed {
    pub key: String,
    pub report: Report,
    /// Entries whose body stayed here.
    pub kept_back: usize,
    pub recorded: Recorded,
}

/// Writes a ledger of one property to `to`, which must not exist, and ends its chain here.
pub fn hand_over(
    context: &Context,
    key: &str,
    to: &Path,
    whom: Option<&str>,
    private: bool,
    c: &Circumstances,
) -> Result<Handed, Error> {
    let mut store = context.open()?;
    let place = context.property(&mut store, Some(key))?;
    let folded = store.folded(place.id)?;
    let (entries, seal, property) = (folded.length, folded.head, folded.property.clone());
    if let Some(on) = property.handed_over {
        let problem = Problem::HandedOver { key: place.key.clone(), on };
        return Err(Error::Refused(vec![Refusal { index: 0, key: place.key, problem }]));
    }
    // It cannot be taken back, so whoever does not say who has it now is asked.
    let question =
        format!("the record of `{}` ends here for good, and nobody is named with --to; hand it over?", place.key);
    if whom.is_none() && !context.ask.is_some_and(|ask| ask(&question)) {
        let problem = Problem::Missing { field: "--to" };
        return Err(Error::Refused(vec![Refusal { index: 0, key: place.key, problem }]));
    }
    let chain = store.entries(place.id)?;
    let choice = Choice { costs: true, private, ..Choice::default() };
    let mut kept_back = left_out(&chain, &choice).map_err(|error| Error::Dossier { path: to.to_owned(), error })?;
    // Without the entry that names it there is no house.
    kept_back.retain(|seq, _| !names_the_house(&chain, *seq));
    let raw = without(store.raw_entries(place.id)?, &kept_back);
    let before = chain.iter().filter(|e| e.body.is_none()).count();
    let on = context.when(c.on.as_deref(), Some(&property))?;
    let taken = TakenOver { entries, seal, to: whom.map(str::to_owned) };
    let report = new_ledger(context, &store, to, &raw, Some((on, taken))).inspect_err(|error| take_back(error, to))?;
    let fact = HandedOver { entries, seal, to: whom.map(str::to_owned) };
    let recorded = context.record(&mut store, Target::Known(place.id), vec![fact.into()], c);
    let recorded = recorded.inspect_err(|_| remove(to))?;
    Ok(Handed { key: place.key, report, kept_back: kept_back.len() - before, recorded })
}

fn names_the_house(chain: &[Entry], seq: u64) -> bool {
    let of = chain.iter().find(|e| e.seq() == seq).and_then(|e| e.body.as_ref());
    matches!(of.map(|b| &b.fact), Some(Fact::PropertyAdded(_)))
}

/// A ledger of one chain alone, for whoever reads it; the chain goes on here.
pub(super) fn copy(context: &Context, from: &Store, to: &Path, raw: &[RawEntry]) -> Result<Report, Error> {
    new_ledger(context, from, to, raw, None).inspect_err(|error| take_back(error, to))
}

/// A ledger with the settings of this one and one chain in it, which goes on with where it comes from; checked whole.
fn new_ledger(
    context: &Context,
    from: &Store,
    to: &Path,
    raw: &[RawEntry],
    taken: Option<(When, TakenOver)>,
) -> Result<Report, Error> {
    let settings = from.settings();
    let started = LedgerStarted { units: settings.units, currency: settings.currency };
    let remarks = || Remarks { by: context.by.clone(), ..Remarks::default() };
    let mut new = Store::create(to, started, remarks(), context.now)?;
    let there = new.settings().shown();
    for setting in settings.shown().into_iter().filter(|setting| !there.contains(setting)) {
        let change = SettingChanged { name: setting.name.to_owned(), value: setting.value };
        new.append_setting(change, remarks(), context.now)?;
    }
    adopt(context, from, &mut new, raw)?;
    if let (Some((on, taken)), Some(id)) = (taken, property_of(raw)) {
        let draft = Addressed { property: Target::Known(id), draft: Draft::new(on, remarks(), taken) };
        new.append(vec![draft], context.now, context.today_at(None))?;
    }
    let report = new.verify(&mut |_, _| ())?;
    match report.bad.first() {
        None => Ok(report),
        Some(bad) => Err(StoreError::BadEntry { entry: bad.what.clone(), error: bad.why.clone() }.into()),
    }
}

fn property_of(raw: &[RawEntry]) -> Option<uuid::Uuid> {
    Envelope::read(&raw.first()?.envelope).ok().map(|envelope| envelope.property)
}

/// Puts the files of a chain beside the other ledger, and then the chain in.
fn adopt(context: &Context, from: &Store, to: &mut Store, raw: &[RawEntry]) -> Result<Receipt, Error> {
    let mut files: BTreeMap<Hash, u64> = BTreeMap::new();
    for (seq, entry) in (1..).zip(raw) {
        let read =
            Entry::read(entry).map_err(|e| StoreError::BadEntry { entry: format!("#{seq}"), error: e.to_string() })?;
        let attached = read.body.iter().flat_map(|b| b.attachments());
        files.extend(attached.map(|file| (file.sha256, seq)));
    }
    let mut put = Vec::new();
    for (hash, seq) in files {
        let file = to.put_file(&from.file_path(hash))?;
        let same = file.sha256 == hash;
        put.push(file);
        if let Some(copy) = from.copies().kept(hash, COPY).filter(|_| same) {
            to.copies().keep(hash, COPY, &copy);
        }
        if !same {
            to.drop_unused(&put);
            let error = "its file has been changed".to_owned();
            return Err(StoreError::BadEntry { entry: format!("#{seq}"), error }.into());
        }
    }
    let adopted = to.adopt(raw, context.today_at(None));
    if adopted.is_err() {
        to.drop_unused(&put);
    }
    Ok(adopted?)
}

/// What was begun is taken away again, unless it was there before.
fn take_back(error: &Error, to: &Path) {
    let there = matches!(error, Error::Store(StoreError::AlreadyThere { .. } | StoreError::NoFolder { .. }));
    if !there {
        remove(to);
    }
}

fn remove(to: &Path) {
    let beside = |end: &str| {
        let mut path = to.as_os_str().to_owned();
        path.push(end);
        PathBuf::from(path)
    };
    for end in ["", "-wal", "-shm"] {
        let _ = std::fs::remove_file(beside(end));
    }
    let _ = std::fs::remove_dir_all(beside(".files"));
}

/// Takes the houses of a ledger that was handed over into this one. It is a stranger's file: nothing of it runs, its schema
/// is compared with ours, and all of it is checked before anything is taken.
pub fn take_over(context: &Context, file: &Path) -> Result<Vec<Receipt>, Error> {
    let mut store = context.open()?;
    let from = Store::open_to_read(file)?;
    let report = from.verify(&mut |_, _| ())?;
    if let Some(bad) = report.bad.first() {
        return Err(StoreError::BadEntry { entry: bad.what.clone(), error: bad.why.clone() }.into());
    }
    let mut taken = Vec::new();
    for key in from.keys(true)? {
        if let Some(id) = from.property_id(&key)? {
            taken.push(adopt(context, &from, &mut store, &from.raw_entries(id)?)?);
        }
    }
    Ok(taken)
}
