//! `dossier`, `verify FILE`, `seal`, `disclosure`: what goes to a reader outside, and how it is checked there.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{Read, Write};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use super::photograph::{self, Wrong};
use super::{Circumstances, Context, Error, Recorded};
use crate::dossier::DossierError;
use crate::dossier::data::{Dossier, MOST_BYTES, Pictures};
use crate::dossier::gaps::Gaps;
use crate::dossier::leave_out::{Choice, left_out};
use crate::dossier::pdf::WRITES;
use crate::dossier::picture::Made;
use crate::dossier::proof::{Proof, check};
use crate::dossier::summary::{Summary, summary};
use crate::dossier::write::{Asked, begun, html, pdf, with_pictures};
use crate::ledger::fold::{Recorded as Entry, property_on};
use crate::ledger::hash::Hash;
use crate::ledger::kind::seal_given::SealGiven;
use crate::ledger::property::Property;
use crate::ledger::subject::Address;
use crate::ledger::when::When;
use crate::store::{Store, StoreError, Target};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// The house; may be left out where there is one only
    pub key: Option<String>,
    /// Where to write it: a name that ends in .html, .pdf or .json
    #[arg(long, value_name = "FILE", required_unless_present = "schema")]
    pub out: Option<PathBuf>,
    /// List what happened from this day on; all entries are in the file all the same
    #[arg(long, value_name = "DATE")]
    pub since: Option<String>,
    /// Leave the body of an entry out, and of those that repeat it: its place in the chain stays
    #[arg(long, value_name = "ENTRY", num_args = 1..)]
    pub leave_out: Vec<String>,
    /// Put amounts of money in: they stay out otherwise
    #[arg(long)]
    pub costs: bool,
    /// Put in what is marked private: it stays out otherwise
    #[arg(long)]
    pub private: bool,
    /// Put pictures in as they are, with the place and time that the camera wrote into them
    #[arg(long)]
    pub keep_location: bool,
    /// The JSON Schema of a dossier in JSON
    #[arg(
        long,
        conflicts_with_all = ["key", "out", "since", "leave_out", "costs", "private", "keep_location"]
    )]
    pub schema: bool,
}

/// What was written.
pub struct Written {
    pub path: PathBuf,
    pub bytes: u64,
    pub entries: usize,
    pub left_out: usize,
    pub told: usize,
    pub pictures: usize,
    pub seal: Hash,
}

/// The spellings of a dossier.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Form {
    Html,
    Pdf,
    Json,
}

/// Writes the dossier of a property to a file that is not there yet.
pub fn write(context: &Context, fields: &Fields) -> Result<Written, Error> {
    let path = fields.out.clone().unwrap_or_default();
    let form = form(&path)?;
    let mut store = context.open_to_read()?;
    let place = context.property(&mut store, fields.key.as_deref())?;
    let since = fields.since.as_deref().map(When::parse).transpose()?.map(|when| when.date);
    let leave_out = fields.leave_out.iter().map(|typed| entry_of(&place.key, typed)).collect::<Result<_, _>>()?;
    let property = store.folded(place.id)?.property.clone();
    let asked = Asked {
        as_of: context.today_at(Some(&property)),
        since,
        choice: Choice { costs: fields.costs, private: fields.private, leave_out },
    };
    let raw = store.raw_entries(place.id)?;
    let entries = store.entries(place.id)?;
    known(&place.key, &asked.choice.leave_out, entries.len() as u64)?;
    let of = |error: DossierError| Error::Dossier { path: path.clone(), error };
    let (mut dossier, files) = begun(&raw, &entries, store.settings(), &asked).map_err(of)?;
    let made = pictures_of(&store, &place.key, &entries, &files, fields.keep_location)?;
    let pictures = with_pictures(&mut dossier, made);
    let written = written(&dossier, &pictures, form).map_err(of)?;
    new_file(&path, &written)?;
    let count = |which: fn(&crate::dossier::data::Entry) -> bool| dossier.entries.iter().filter(|e| which(e)).count();
    Ok(Written {
        bytes: written.len() as u64,
        entries: dossier.entries.len(),
        left_out: count(|e| e.body.is_none()),
        told: count(|e| e.told.is_some()),
        pictures: dossier.pictures.len(),
        seal: entries.last().map_or(Hash::START, |e| e.hash),
        path,
    })
}

fn written(dossier: &Dossier, pictures: &Pictures, form: Form) -> Result<Vec<u8>, DossierError> {
    let bytes = match form {
        Form::Html => html(dossier, pictures)?.into_bytes(),
        Form::Pdf => pdf(dossier, pictures)?,
        Form::Json => dossier.json(pictures).into_bytes(),
    };
    if bytes.len() as u64 > MOST_BYTES { Err(DossierError::TooLarge) } else { Ok(bytes) }
}

fn form(path: &Path) -> Result<Form, Error> {
    let ending = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
    match ending.as_deref() {
        Some("html") => Ok(Form::Html),
        Some("json") => Ok(Form::Json),
        Some("pdf") if WRITES => Ok(Form::Pdf),
        Some("pdf") => Err(Error::Dossier { path: path.to_owned(), error: DossierError::NoPdf }),
        _ => Err(Error::NoForm { path: path.to_owned() }),
    }
}

/// The place in the chain of an entry that was named `larkspur-14#12`, or `12`.
fn entry_of(key: &str, typed: &str) -> Result<u64, Error> {
    if let Ok(seq) = typed.parse() {
        return Ok(seq);
    }
    match Address::parse(typed)? {
        Address::Entry { key: of, seq } if of == key || of.is_empty() => Ok(seq),
        Address::Entry { .. } => Err(Error::TwoProperties(key.to_owned(), typed.to_owned())),
        Address::Subject { .. } => {
            Err(Error::NotThat { given: typed.to_owned(), wanted: "an entry, such as `larkspur-14#12`" })
        }
    }
}

fn known(key: &str, seqs: &BTreeSet<u64>, length: u64) -> Result<(), Error> {
    match seqs.iter().find(|seq| !(1..=length).contains(*seq)) {
        Some(seq) => Err(Error::UnknownEntry { entry: format!("{key}#{seq}"), length }),
        None => Ok(()),
    }
}

/// The pictures among the files that entries name; every file is read.
///
/// Errors: one that is not in the folder of files, or is another one than its entry says: the ledger is damaged.
fn pictures_of(
    store: &Store,
    key: &str,
    entries: &[Entry],
    files: &[Hash],
    keep_place: bool,
) -> Result<Vec<Made>, Error> {
    photograph::pictures(store, files, keep_place).map_err(|(file, wrong)| {
        let why = match wrong {
            Wrong::NotThere => "is not in the folder of files",
            Wrong::Changed => "has been changed",
        };
        let named = entries.iter().find_map(|e| {
            let attachments = e.body.as_ref().map(|b| b.attachments()).unwrap_or_default();
            attachments.iter().find(|a| a.sha256 == file).map(|a| (e.seq(), a.name.clone()))
        });
        let (seq, name) = named.unwrap_or_default();
        StoreError::BadEntry { entry: format!("{key}#{seq}"), error: format!("its file `{name}` {why}") }.into()
    })
}

/// Writes a file that must not exist, for its owner alone; it appears whole or not at all.
pub(super) fn new_file(path: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    if path.exists() {
        return Err(StoreError::AlreadyThere { path: path.to_owned() });
    }
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(StoreError::NoFolder { path: folder.to_owned() });
    }
    let io = |e: std::io::Error| StoreError::Io { path: path.to_owned(), error: e.to_string() };
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(io)?;
    file.write_all(bytes).map_err(io)?;
    file.as_file().set_permissions(std::fs::Permissions::from_mode(0o600)).map_err(io)?;
    file.as_file().sync_all().map_err(io)?;
    file.persist_noclobber(path).map(drop).map_err(|e| match e.error.kind() {
        std::io::ErrorKind::AlreadyExists => StoreError::AlreadyThere { path: path.to_owned() },
        _ => io(e.error),
    })
}

/// Checks a dossier without a ledger.
pub fn verify(path: &Path, seal: Option<&str>) -> Result<Proof, Error> {
    let seal = match seal {
        None => None,
        Some(typed) => {
            let plain: String = typed.chars().filter(|c| !c.is_whitespace()).collect();
            let wanted = "a seal: 64 digits and letters a to f";
            let hash = Hash::from_hex(&plain.to_lowercase());
            Some(hash.ok_or_else(|| Error::NotThat { given: typed.to_owned(), wanted })?)
        }
    };
    let unreadable = |e: std::io::Error| {
        let error = match e.kind() {
            std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
            _ => e.to_string(),
        };
        StoreError::File { path: path.to_owned(), error }
    };
    let of = |error| Error::Dossier { path: path.to_owned(), error };
    let file = File::open(path).map_err(unreadable)?;
    if file.metadata().map_err(unreadable)?.is_dir() {
        return Err(StoreError::File { path: path.to_owned(), error: "it is a folder".into() }.into());
    }
    if file.metadata().map_err(unreadable)?.len() > MOST_BYTES {
        return Err(of(DossierError::TooLarge));
    }
    let mut bytes = Vec::new();
    file.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    check(&bytes, seal).map_err(of)
}

/// The text of a seal, and the entry that says it was given.
pub struct Sealed {
    pub property: Property,
    pub entries: u64,
    pub seal: Hash,
    /// The day it was given, as the house has it.
    pub on: When,
    pub recorded: Recorded,
}

/// Gives the seal of a property, and records that it was given.
pub fn seal(
    context: &Context,
    store: &mut Store,
    key: Option<&str>,
    to: Option<&str>,
    c: &Circumstances,
) -> Result<Sealed, Error> {
    let place = context.property(store, key)?;
    let folded = store.folded(place.id)?;
    let (property, entries, seal) = (folded.property.clone(), folded.length, folded.head);
    let on = context.when(c.on.as_deref(), Some(&property))?;
    let given = SealGiven { entries, seal, to: to.map(str::to_owned) };
    let recorded = context.record(store, Target::Known(place.id), vec![given.into()], c)?;
    Ok(Sealed { property, entries, seal, on, recorded })
}

/// What is known of a house, for its owner to answer a disclosure form from.
pub struct Disclosure {
    pub property: Property,
    pub today: chrono::NaiveDate,
    pub summary: Summary,
    /// What stays out of the list.
    pub gaps: Gaps,
    /// Entries that are told without the amount in them.
    pub told: usize,
}

/// What is known, without what `choice` keeps out.
pub fn disclosure(
    context: &Context,
    store: &mut Store,
    key: Option<&str>,
    choice: &Choice,
) -> Result<Disclosure, Error> {
    let place = context.property(store, key)?;
    let today = context.today_at(Some(&store.folded(place.id)?.property));
    let mut entries = store.entries(place.id)?;
    let left = left_out(&entries, choice).map_err(|error| Error::Dossier { path: context.path.clone(), error })?;
    for entry in &mut entries {
        if let Some(left) = left.get(&entry.seq()) {
            entry.body = left.told.clone();
        }
    }
    let gaps = Gaps::of(place.id, &entries, today, |seq| left.get(&seq).map(|left| left.reason));
    let property = property_on(place.id, &entries, today);
    let summary = summary(&property, store.settings(), today, &gaps);
    let told = left.values().filter(|left| left.told.is_some()).count();
    Ok(Disclosure { property, today, summary, gaps, told })
}
