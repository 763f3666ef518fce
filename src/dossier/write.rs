//! From a chain to a dossier: what stays out, which pictures go in, and the file.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::data::{Dossier, Entry, FORMAT, Pictures, encoded};
use super::leave_out::{Choice, left_out};
use super::picture::Made;
use super::view::View;
use super::{DossierError, page};
use crate::ledger::entry::RawEntry;
use crate::ledger::fold::Recorded;
use crate::ledger::hash::Hash;
use crate::ledger::settings::Settings;

/// What goes into a dossier.
pub struct Asked {
    pub as_of: NaiveDate,
    pub since: Option<NaiveDate>,
    pub choice: Choice,
}

/// The program as dossiers name it.
pub fn program() -> String {
    format!("stemwall {}", env!("CARGO_PKG_VERSION"))
}

/// A dossier without pictures yet, and the files that may hold them, each once, in the order of the entries.
pub fn begun(
    raw: &[RawEntry],
    entries: &[Recorded],
    settings: &Settings,
    asked: &Asked,
) -> Result<(Dossier, Vec<Hash>), DossierError> {
    let left_out = left_out(entries, &asked.choice)?;
    let mut files = Vec::new();
    let mut seen = BTreeSet::new();
    let mut out = Vec::with_capacity(raw.len());
    for (raw, recorded) in raw.iter().zip(entries) {
        let left = left_out.get(&recorded.seq());
        let told = left.and_then(|left| left.told.as_ref());
        let shown = if left.is_some() { told } else { recorded.body.as_ref() };
        // What happens later is not shown yet.
        let shown = shown.filter(|_| recorded.envelope.on.date <= asked.as_of);
        let attached = shown.iter().flat_map(|body| body.attachments()).map(|a| a.sha256);
        files.extend(attached.filter(|hash| seen.insert(*hash)));
        out.push(Entry {
            envelope: raw.envelope.clone(),
            hash: raw.hash,
            body: raw.body.clone().filter(|_| left.is_none()),
            left_out: left.map(|left| left.reason),
            told: told.map(|body| body.told()),
        });
    }
    let dossier = Dossier {
        stemwall_dossier: FORMAT,
        written_by: program(),
        property: entries.first().map(|e| e.envelope.property).unwrap_or_default(),
        as_of: asked.as_of,
        since: asked.since,
        settings: settings.shown().into_iter().map(|s| (s.name.to_owned(), s.value)).collect(),
        pictures: Vec::new(),
        entries: out,
    };
    Ok((dossier, files))
}

/// Puts the pictures in; gives what the page shows of each.
pub fn with_pictures(dossier: &mut Dossier, made: impl IntoIterator<Item = Made>) -> Pictures {
    let mut pictures = Pictures::new();
    for one in made {
        pictures.insert(one.picture.shown, encoded(&one.bytes));
        dossier.pictures.push(one.picture);
    }
    pictures
}

/// As a page of HTML.
pub fn html(dossier: &Dossier, pictures: &Pictures) -> Result<String, DossierError> {
    let view = View::of(dossier)?;
    view.check_pictures(pictures)?;
    Ok(page::page(&view, pictures))
}

/// As a PDF.
///
/// Errors: those of [`View::of`]; this build writes none; the typesetter refuses.
pub fn pdf(dossier: &Dossier, pictures: &Pictures) -> Result<Vec<u8>, DossierError> {
    let view = View::of(dossier)?;
    view.check_pictures(pictures)?;
    super::pdf::pdf(&view, pictures)
}
