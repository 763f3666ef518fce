//! `note add`, `attach`, `find`: what is no reading and no finding, and where it was written.

use std::path::Path;

use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::file_attached::FileAttached;
use crate::ledger::kind::note_added::NoteAdded;
use crate::ledger::problem::Problem;
use crate::ledger::subject::Address;
use crate::store::{Hit, Store, Target};

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &str,
    text: &str,
    look: bool,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let place = context.place(store, typed)?;
    let fact = NoteAdded { about: place.subject.local(), text: text.to_owned(), look };
    context.record(store, Target::Known(place.id), vec![fact.into()], c)
}

/// Attaches a file to a subject or to an entry; the original is only read.
pub fn attach(
    context: &Context,
    store: &mut Store,
    typed: &str,
    path: &Path,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, about, entry) = match Address::parse(typed)? {
        Address::Entry { key, seq } => {
            let (id, entries) = super::entry::find(context, store, &key, seq, typed)?;
            let body = entries[usize::try_from(seq - 1).unwrap_or_default()].body.as_ref();
            let about = body.and_then(|b| b.fact.about().into_iter().next());
            (id, about.map_or(String::new(), |subject| subject.local()), Some(seq))
        }
        Address::Subject { .. } => {
            let place = context.place(store, typed)?;
            (place.id, place.subject.local(), None)
        }
    };
    let file = super::photograph::put(store, path)?;
    let recorded =
        context.record(store, Target::Known(id), vec![FileAttached { about, entry, file: file.clone() }.into()], c);
    if recorded.is_err() {
        store.drop_unused(&[file]);
    }
    recorded
}

/// Every place where a text was written, newest first.
pub fn find(store: &Store, text: &str) -> Result<Vec<Hit>, Error> {
    if text.trim().is_empty() {
        return Err(Error::Typed(vec![Problem::Empty { field: "the text to find" }]));
    }
    Ok(store.find(text)?)
}
