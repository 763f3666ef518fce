//! `import radon`, `import csv`: a file becomes entries, every row read or refused by itself. A survey's file becomes
//! properties, sections and tests, every row kept.
//!
//! A row is the same row when the file comes again by three things: the file's label, the row's text, and which of its
//! equals it is. From them its entry's id is made, so that a second run adds nothing and twins stay two. Every row is
//! tried on the history it would join before anything is written: a house or a section of which no row goes in does not
//! come into the ledger, and a dry run says what the run will say.

use std::collections::{BTreeMap, HashSet};
use std::convert::Infallible;
use std::io::Read;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::typed::Reading;
use super::{Context, Error};
use crate::ledger::entry::{RawEntry, Remarks};
use crate::ledger::fold::{Draft, Folded, Recorded};
use crate::ledger::kind::Fact;
use crate::ledger::kind::property_added::PropertyAdded;
use crate::ledger::kind::section_added::SectionAdded;
use crate::ledger::problem::Problem;
use crate::ledger::property::{Property, RadonTest};
use crate::ledger::subject::Name;
use crate::ledger::verdicts::radon_test;
use crate::ledger::when::When;
use crate::store::{Addressed, AppendError, Store, StoreError, Target};
use crate::trade::words::{Device, Foundation};

mod file;
mod likely;
pub mod rows;
mod table;

use rows::Row;
pub(super) use rows::utf8;
pub use rows::{FIELDS, ImportError, RowProblem};
pub use table::{Csv, csv};

/// The largest table, in bytes: about a million rows; design figure of this program.
const MOST_BYTES: u64 = 64 << 20;
/// Properties written in one transaction, where rows may be refused one by one.
const AT_A_TIME: usize = 500;

#[derive(Debug, Clone, clap::Args)]
pub struct Radon {
    /// A CSV file with a row a test
    pub file: PathBuf,
    /// Which column holds what: property=idnum,result=activity,started=startdt,started-time=starttm,ended=stopdt,
    /// ended-time=stoptm,section=floor
    #[arg(long, value_name = "FIELD=COLUMN,…")]
    pub columns: String,
    /// How dates are written, such as %m%d%y
    #[arg(long, value_name = "FORMAT", default_value = "%Y-%m-%d")]
    pub dates: String,
    /// How times of day are written, such as %H%M
    #[arg(long, value_name = "FORMAT", default_value = "%H:%M")]
    pub times: String,
    /// Time zone of the houses [default: UTC]
    #[arg(long)]
    pub zone: Option<String>,
    /// charcoal, alpha-track, electret, monitor or other
    #[arg(long, default_value = "other")]
    pub device: String,
    /// What the file is called in the ledger [default: its name]
    #[arg(long, value_name = "TEXT")]
    pub label: Option<String>,
    /// What a property's key begins with, before its number in the file
    #[arg(long, value_name = "TEXT", default_value = "home-")]
    pub prefix: String,
    /// Read and check everything, write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// If one row is refused, write none
    #[arg(long)]
    pub all_or_nothing: bool,
}

impl Radon {
    fn zone(&self) -> &str {
        self.zone.as_deref().unwrap_or("UTC")
    }
}

/// What became of a file; in a dry run, what would become of it.
#[derive(Debug, Default)]
pub struct Imported {
    pub rows: usize,
    pub tests: usize,
    /// Entries that other kinds of rows became.
    pub entries: usize,
    /// Tests among them that miss a condition of a test: kept, never averaged.
    pub not_valid: usize,
    pub properties: usize,
    pub sections: usize,
    /// Rows that were here already.
    pub already: usize,
    /// Rows that are new by the file's label and say word for word what another entry here says, by the label of that one.
    pub same_as_here: BTreeMap<Option<String>, usize>,
    /// In the order of the file.
    pub refused: Vec<RowRefused>,
}

/// A row that did not go in.
#[derive(Debug, Clone)]
pub struct RowRefused {
    pub line: u64,
    /// The row as it stands in the file.
    pub text: String,
    pub problem: RowProblem,
}

pub fn radon(
    context: &Context,
    store: &mut Store,
    asked: &Radon,
    progress: &mut dyn FnMut(u64, u64),
) -> Result<Imported, Error> {
    let mut read = Reading::default();
    let device = read.word("--device", Some(&asked.device), "a device", Device::WORDS, Device::from_word);
    let zone = asked.zone().parse::<chrono_tz::Tz>();
    if zone.is_err() {
        read.problems.push(Problem::UnknownZone { zone: asked.zone().to_owned() });
    }
    let device = read.done(device)?.expect("a device that does not read is a problem");
    let bytes = read_file(&asked.file)?;
    let text = rows::utf8(&bytes, &asked.file).map_err(|error| Error::Import(vec![error]))?;
    let label = label_of(asked.label.as_deref(), &asked.file);
    let rows = rows::read(text, asked, device, &label).map_err(Error::Import)?;
    let mut imported = Imported { rows: rows.count, refused: rows.refused, ..Imported::default() };
    let there = Property { zone: zone.ok(), ..Property::default() };
    let (today, day) = (context.today_at(Some(&there)), context.day_at(Some(&there)));
    let from = Source { context, zone: asked.zone(), all_or_nothing: asked.all_or_nothing, label: &label, today, day };
    let houses = from.tried(store, rows.read, &mut imported)?;
    from.finish(store, houses, asked.dry_run, &mut imported, progress)?;
    Ok(imported)
}

/// A table is read whole: twins and houses are looked for in all of it.
pub(super) fn read_file(path: &Path) -> Result<Vec<u8>, Error> {
    let unreadable = |e: std::io::Error| {
        let error =
            if e.kind() == std::io::ErrorKind::NotFound { "there is no such file".into() } else { e.to_string() };
        StoreError::File { path: path.to_owned(), error }
    };
    let mut bytes = Vec::new();
    std::fs::File::open(path).and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes)).map_err(unreadable)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(Error::Import(vec![ImportError::TooLarge { path: path.to_owned() }]));
    }
    Ok(bytes)
}

/// What a file is called in the ledger.
fn label_of(typed: Option<&str>, path: &Path) -> String {
    let name = || path.file_name().map_or_else(|| "file".into(), |name| name.to_string_lossy().into_owned());
    typed.map_or_else(name, str::to_owned)
}

impl Imported {
    fn note_same(&mut self, as_what: Option<Option<String>>) {
        if let Some(label) = as_what {
            *self.same_as_here.entry(label).or_default() += 1;
        }
    }

    fn count(&mut self, one: &Prepared, already: bool) {
        match &one.addressed.draft.fact {
            _ if one.row.is_some() && already => self.already += 1,
            Fact::RadonTested(_) => {
                self.tests += 1;
                self.not_valid += usize::from(!one.valid);
            }
            _ if one.row.is_some() => self.entries += 1,
            Fact::PropertyAdded(_) => self.properties += usize::from(!already),
            _ => self.sections += usize::from(!already),
        }
    }
}

/// Where rows come from, and when.
struct Source<'a> {
    context: &'a Context,
    zone: &'a str,
    all_or_nothing: bool,
    label: &'a str,
    today: NaiveDate,
    /// Of what has none in its row.
    day: NaiveDate,
}

/// A draft that its history takes, and the row it comes from.
struct Prepared {
    addressed: Addressed,
    row: Option<(u64, String)>,
    /// An entry with its id is in the ledger.
    already: bool,
    /// Of a test: that it meets the conditions of one.
    valid: bool,
}

/// The drafts of one house.
struct House {
    drafts: Vec<Prepared>,
}

impl Source<'_> {
    /// The houses of a file, in the order of their keys, each with the drafts that its history takes.
    fn tried(&self, store: &mut Store, rows: Vec<Row>, imported: &mut Imported) -> Result<Vec<House>, Error> {
        let mut of: BTreeMap<Name, Vec<Row>> = BTreeMap::new();
        for row in rows {
            of.entry(row.key.clone()).or_default().push(row);
        }
        of.into_iter().map(|(key, rows)| self.house(store, &key, rows, imported)).collect()
    }

    fn house(&self, store: &mut Store, key: &Name, rows: Vec<Row>, imported: &mut Imported) -> Result<House, Error> {
        let own = rows.iter().map(|row| row.id).collect();
        let mut trial = Trial::of(store, self.label, key, &own)?;
        let mut drafts = Vec::new();
        let mut rows = rows.into_iter().peekable();
        while let Some(row) = rows.next() {
            let standing = match trial.there.contains(&row.id) {
                true => Vec::new(),
                false => self.standing(&trial, key, row.section.clone()),
            };
            if standing.is_empty() {
                let mut together = vec![row];
                let stands = |row: &Row| trial.folded.property.sections.contains_key(&row.section);
                while let Some(row) = rows.next_if(|row| trial.there.contains(&row.id) || stands(row)) {
                    together.push(row);
                }
                drafts.extend(self.tests(&mut trial, together, imported));
                continue;
            }
            let (line, text) = (row.line, row.text.clone());
            let (recorded, draft) = self.test(row);
            let mut wanted = standing;
            wanted.push(draft);
            if let Err(problems) = trial.join(&wanted, self) {
                imported.refused.extend(rows_refused(line, &text, problems));
                continue;
            }
            if let Some(draft) = wanted.last() {
                imported.note_same(trial.take_same(draft));
            }
            let valid = radon_test(&trial.folded.property, &recorded).problems().is_empty();
            let test = wanted.len() - 1;
            drafts.extend(wanted.into_iter().enumerate().map(|(n, draft)| Prepared {
                addressed: Addressed { property: trial.target, draft },
                row: (n == test).then(|| (line, text.clone())),
                already: false,
                valid,
            }));
        }
        Ok(House { drafts })
    }

    /// Tests of sections that are there.
    fn tests(&self, trial: &mut Trial, rows: Vec<Row>, imported: &mut Imported) -> Vec<Prepared> {
        let mut read = Vec::with_capacity(rows.len());
        for row in rows {
            let already = trial.there.contains(&row.id);
            let of = (row.line, row.text.clone());
            let (recorded, draft) = self.test(row);
            read.push((of, already, recorded, draft));
        }
        let fresh = read.iter().filter(|(_, already, ..)| !already).map(|(.., draft)| draft.clone()).collect();
        let mut answers = trial.join_each(fresh, self).into_iter();
        let mut out = Vec::with_capacity(read.len());
        for ((line, text), already, recorded, draft) in read {
            let answer = if already { Ok(()) } else { answers.next().unwrap_or(Ok(())) };
            if let Err(problems) = answer {
                imported.refused.extend(rows_refused(line, &text, problems));
                continue;
            }
            if !already {
                imported.note_same(trial.take_same(&draft));
            }
            let valid = radon_test(&trial.folded.property, &recorded).problems().is_empty();
            let addressed = Addressed { property: trial.target, draft };
            out.push(Prepared { addressed, row: Some((line, text)), already, valid });
        }
        out
    }

    fn test(&self, row: Row) -> (RadonTest, Draft) {
        let Row { id, test, .. } = row;
        let recorded = RadonTest { seq: 0, on: test.started, test: test.clone() };
        (recorded, self.draft(id, test.started, test.into()))
    }

    /// The house and the section of a test, where they are not there yet.
    fn standing(&self, trial: &Trial, key: &Name, section: Name) -> Vec<Draft> {
        let on = When::day(self.day);
        let mut out = Vec::new();
        if !trial.folded.property.exists() {
            let name = format!("{} of {}", key.as_str(), self.label);
            let zone = self.zone.to_owned();
            let added = PropertyAdded {
                key: key.clone(),
                name,
                zone,
                built: None,
                last_freeze: None,
                first_freeze: None,
                climate_zone: None,
                wet_season: None,
                value: None,
            };
            out.push(self.draft(named(&["property-added", self.label, key.as_str()]), on, added.into()));
        }
        if !trial.folded.property.sections.contains_key(&section) {
            let id = named(&["section-added", self.label, key.as_str(), section.as_str()]);
            let added = SectionAdded {
                name: section,
                foundation: Foundation::Unknown,
                walls: None,
                area: None,
                place: None,
                retarder: None,
                clay: None,
            };
            out.push(self.draft(id, on, added.into()));
        }
        out
    }

    /// Counts what would go in, or writes it.
    fn finish(
        &self,
        store: &mut Store,
        houses: Vec<House>,
        dry_run: bool,
        imported: &mut Imported,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<(), Error> {
        if dry_run {
            houses.iter().flat_map(|house| &house.drafts).for_each(|one| imported.count(one, one.already));
        } else if !self.all_or_nothing || imported.refused.is_empty() {
            self.record(store, houses, imported, progress)?;
        }
        imported.refused.sort_by_key(|row| row.line);
        Ok(())
    }

    fn draft(&self, id: Uuid, on: When, fact: Fact) -> Draft {
        let remarks = Remarks { by: self.context.by.clone(), ..Remarks::default() };
        Draft { id, on, remarks, fact }
    }

    fn record(
        &self,
        store: &mut Store,
        houses: Vec<House>,
        imported: &mut Imported,
        progress: &mut dyn FnMut(u64, u64),
    ) -> Result<(), Error> {
        let (all, mut done) = (houses.iter().map(|house| house.drafts.len() as u64).sum(), 0);
        let at_a_time = if self.all_or_nothing { houses.len().max(1) } else { AT_A_TIME };
        let mut houses = houses.into_iter().peekable();
        while houses.peek().is_some() {
            let batch: Vec<Prepared> = houses.by_ref().take(at_a_time).flat_map(|house| house.drafts).collect();
            let drafts = batch.iter().map(|one| one.addressed.clone()).collect();
            let answers = if self.all_or_nothing {
                match store.append(drafts, self.context.now, self.today) {
                    Ok(receipts) => receipts.into_iter().map(Ok).collect(),
                    Err(AppendError::Store(error)) => return Err(error.into()),
                    Err(AppendError::Refused(refusals)) => {
                        // Another program wrote between the trial and now.
                        let of = |index: usize| batch.get(index).and_then(|one| one.row.clone()).unwrap_or_default();
                        imported.refused.extend(refusals.into_iter().map(|r| refused(of(r.index), r.problem)));
                        return Ok(());
                    }
                }
            } else {
                store.append_each(drafts, self.context.now, self.today)?
            };
            done += batch.len() as u64;
            progress(done, all);
            for (one, answer) in batch.iter().zip(answers) {
                match answer {
                    Ok(receipt) => imported.count(one, receipt.already),
                    Err(refusals) => {
                        let of = || one.row.clone().unwrap_or_default();
                        imported.refused.extend(refusals.into_iter().map(|r| refused(of(), r.problem)));
                    }
                }
            }
        }
        Ok(())
    }
}

fn rows_refused(line: u64, text: &str, problems: Vec<Problem>) -> Vec<RowRefused> {
    problems.into_iter().map(|problem| refused((line, text.to_owned()), problem)).collect()
}

fn refused((line, text): (u64, String), problem: Problem) -> RowRefused {
    RowRefused { line, text, problem: problem.into() }
}

/// A house's history in memory, to try rows on.
struct Trial {
    target: Target,
    folded: Folded,
    /// Entries that are in the ledger.
    chain: Vec<Recorded>,
    /// Entries that joined here.
    joined: Vec<RawEntry>,
    there: HashSet<Uuid>,
    /// What entries say that did not come from this file under this label, without where it came from.
    others: Vec<(Fact, When, Option<String>)>,
}

impl Trial {
    /// `own`: the identifiers of the file's rows of this house.
    fn of(store: &mut Store, label: &str, key: &Name, own: &HashSet<Uuid>) -> Result<Trial, Error> {
        let (target, folded, chain) = match store.property_id(key.as_str())? {
            Some(id) => (Target::Known(id), store.folded(id)?.clone(), store.entries(id)?),
            None => {
                let id = named(&["property", label, key.as_str()]);
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
    fn take_same(&mut self, draft: &Draft) -> Option<Option<String>> {
        let (fact, _) = without_origin(draft.fact.clone());
        let at = self.others.iter().position(|(other, on, _)| *on == draft.on && *other == fact)?;
        Some(self.others.swap_remove(at).2)
    }

    /// Lets those of `drafts` join that the history takes, and says what keeps each of the others out.
    fn join_each(&mut self, drafts: Vec<Draft>, from: &Source) -> Vec<Result<(), Vec<Problem>>> {
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
    fn join(&mut self, drafts: &[Draft], from: &Source) -> Result<(), Vec<Problem>> {
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

/// An identifier that the same words always give.
fn named(words: &[&str]) -> Uuid {
    let mut hasher = Sha256::new();
    for word in words {
        hasher.update((word.len() as u64).to_be_bytes());
        hasher.update(word.as_bytes());
    }
    let digest: [u8; 32] = hasher.finalize().into();
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    Uuid::new_v8(bytes)
}
