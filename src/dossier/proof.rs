//! Whether a dossier can be trusted, by itself: its chain, what it shows, and what a seal held elsewhere covers.
//!
//! The file is read, its chain checked, and the whole of it written again from what it holds: every byte has to come out the
//! same. So true entries under a doctored text are found, and so is any change of a single byte. What this does not show
//! is that the chain is the one that was kept at the time: for that a seal has to lie with somebody else.

use super::DossierError;
use super::data::{Form, Pictures, read};
use super::pdf::{WRITES, pdf};
use super::text::seen;
use super::view::{Given, View};
use super::write::program;
use crate::ledger::hash::Hash;

/// What a check found in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    pub key: String,
    pub name: String,
    pub property: uuid::Uuid,
    pub entries: u64,
    /// Entries whose body is left out or destroyed.
    pub left_out: u64,
    /// Entries of which something is told that no hash proves.
    pub told: u64,
    /// The hash of the last entry.
    pub seal: Hash,
    /// Seals that were given, by the chain itself.
    pub given: Vec<Given>,
    /// Entries that the seal in the reader's hand covers, counted from the first.
    pub covered: Option<u64>,
    /// Pictures that are the files themselves, and pictures that are copies.
    pub pictures: (usize, usize),
    /// What is shown was computed again and compared. It is not where a PDF is checked by a build that writes none.
    pub compared: bool,
}

/// Gives the PDF of a dossier.
pub type LaidOut<'a> = dyn FnMut(&View, &Pictures) -> Result<Vec<u8>, DossierError> + 'a;

/// Checks a dossier, and the seal that the reader has of it.
pub fn check(bytes: &[u8], seal: Option<Hash>) -> Result<Proof, DossierError> {
    check_by(bytes, seal, &mut |view, pictures| pdf(view, pictures))
}

/// The same with `laid_out` for the PDF of a dossier, which takes long: the same dossier gives the same bytes, so whoever checks
/// many files of one lays it out once.
pub fn check_by(bytes: &[u8], seal: Option<Hash>, laid_out: &mut LaidOut) -> Result<Proof, DossierError> {
    let found = read(bytes)?;
    let dossier = &found.dossier;
    let view = View::of(dossier)?;
    view.check_pictures(&found.pictures)?;
    if let Form::Pdf { attached } = &found.form {
        compare(attached, &dossier.json(&found.pictures))?;
    }
    // Where nothing is compared, any version's entries can be checked.
    let compares = WRITES || !matches!(found.form, Form::Pdf { .. });
    if compares && found.form != Form::Json && dossier.written_by != program() {
        let (by, entries) = (seen(&dossier.written_by), view.entries.len() as u64);
        return Err(DossierError::OtherProgram { by, this: program(), entries });
    }
    match &found.form {
        Form::Html => compare(bytes, &super::page::page(&view, &found.pictures))?,
        Form::Json => compare(bytes, &dossier.json(&found.pictures))?,
        Form::Pdf { .. } if compares => compare_bytes(bytes, &laid_out(&view, &found.pictures)?)?,
        Form::Pdf { .. } => {}
    }
    let covered = match seal {
        None => None,
        Some(seal) => {
            let at = view.entries.iter().find(|e| e.hash == seal).ok_or(DossierError::NotTheSeal { seal })?;
            Some(at.seq())
        }
    };
    let as_they_are = dossier.pictures.iter().filter(|p| p.file == p.shown).count();
    Ok(Proof {
        key: view.property.key.clone(),
        name: view.property.name.clone(),
        property: dossier.property,
        entries: view.entries.len() as u64,
        left_out: dossier.entries.iter().filter(|e| e.body.is_none()).count() as u64,
        told: dossier.entries.iter().filter(|e| e.told.is_some()).count() as u64,
        seal: view.seal(),
        given: view.given.clone(),
        covered,
        pictures: (as_they_are, dossier.pictures.len() - as_they_are),
        compared: compares,
    })
}

/// The first byte that is another one.
fn compare_bytes(found: &[u8], wanted: &[u8]) -> Result<(), DossierError> {
    if found == wanted {
        return Ok(());
    }
    let at = found.iter().zip(wanted).take_while(|(a, b)| a == b).count();
    Err(DossierError::ShowsInPdf { at: at + 1 })
}

/// The first line that is another one.
fn compare(found: &[u8], wanted: &str) -> Result<(), DossierError> {
    if found == wanted.as_bytes() {
        return Ok(());
    }
    let found = String::from_utf8_lossy(found);
    let mut lines = found.split('\n').zip(wanted.split('\n')).enumerate();
    let cut = |text: &str, from: usize| -> String { text.chars().skip(from).take(100).collect() };
    match lines.find(|(_, (a, b))| a != b) {
        Some((n, (a, b))) => {
            let same = a.chars().zip(b.chars()).take_while(|(a, b)| a == b).count().saturating_sub(30);
            Err(DossierError::Shows { line: n + 1, found: cut(a, same), wanted: cut(b, same) })
        }
        None => {
            let line = found.split('\n').count().min(wanted.split('\n').count()) + 1;
            Err(DossierError::Shows { line, found: String::new(), wanted: String::new() })
        }
    }
}
