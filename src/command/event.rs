//! `event add`: something happened to one property, to several, or to all.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Place, Recorded};
use crate::ledger::fold::Draft;
use crate::ledger::kind::event_happened::EventHappened;
use crate::store::{Addressed, Store, Target};
use crate::trade::words::EventKind;

pub fn kind(typed: Option<&str>, base: Option<EventKind>, read: &mut Reading) -> Option<EventKind> {
    let kind = read.word("--kind", typed, "a kind of event", EventKind::WORDS, EventKind::from_word).or(base);
    if kind.is_none() && typed.is_none() {
        read.missing("--kind");
    }
    kind
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &[String],
    all: bool,
    of_kind: Option<&str>,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let mut read = Reading::default();
    let kind = kind(of_kind, None, &mut read);
    let kind = read.done_on(kind, c)?;
    let keys = if all { store.keys(false)? } else { typed.to_vec() };
    let mut places = Vec::new();
    for key in &keys {
        let place = context.property(store, Some(key))?;
        // A house that is named twice had it once.
        if !places.iter().any(|other: &Place| other.id == place.id) {
            places.push(place);
        }
    }
    if places.is_empty() && !all {
        places.push(context.property(store, None)?);
    }
    let mut files = Vec::new();
    let remarks = context.remarks(store, c, &mut files)?;
    let mut drafts = Vec::new();
    let mut latest = context.today_at(None);
    for place in places {
        let property = &store.folded(place.id)?.property;
        latest = latest.max(context.today_at(Some(property)));
        let on = context.when(c.on.as_deref(), Some(property))?;
        let draft = Draft::new(on, remarks.clone(), EventHappened { kind: kind.expect("read with its problems") });
        drafts.push(Addressed { property: Target::Known(place.id), draft });
    }
    context.append(store, drafts, latest, &files)
}
