//! The page, in the order in which a reader asks. Everything on it comes from the entries.

use super::data::Pictures;
use super::summary::{day, summary};
use super::text::seen;
use super::view::View;
use crate::ledger::fold::Fate;
use tree::{Block, Page, Piece, Section, Text};

mod check;
mod happened;
mod html;
mod short;
mod subjects;
pub(super) mod tree;

/// As HTML.
pub(super) fn page(view: &View, pictures: &Pictures) -> String {
    html::html(&tree(view, pictures), pictures, &view.dossier.block())
}

/// What any spelling shows.
pub(super) fn tree(view: &View, pictures: &Pictures) -> Page {
    let property = &view.property;
    let title = seen(&format!("History of {}: {}", property.key, property.name));
    let summary = summary(property, &view.settings, view.dossier.as_of, &view.gaps);
    let as_of =
        format!("As of {}. {} entries, from {} on.", day(view.dossier.as_of), view.entries.len(), first_day(view));
    let opening = vec![
        Block::head(1, &title),
        Block::words(as_of),
        Block::Says(Text::of(
            "This compares what was recorded with named, published tables, and says who should look. It certifies nothing, it does not say \
             that anything is sound or unsound, and it names no causes. Structural certification belongs to a licensed engineer; local codes and \
             licensed practice come first. Dates and names are as they were entered.",
        )),
    ];
    let sections = vec![
        Section { id: "short", head: "In short", blocks: short::short(view, &summary) },
        Section { id: "subjects", head: "Part by part", blocks: subjects::subjects(view, pictures) },
        Section { id: "happened", head: "Everything in order of happening", blocks: happened::happened(view) },
        Section { id: "check", head: "How to check this file", blocks: check::check(view) },
    ];
    Page { title, opening, sections }
}

fn first_day(view: &View) -> String {
    let happened = view.entries.iter().map(|e| e.envelope.on.date).min();
    happened.map_or(String::new(), day)
}

/// A link to an entry in the order of happening; beside it, where only something of it is told, and what corrected it since.
fn entry(view: &View, seq: u64) -> Text {
    let of = usize::try_from(seq).ok().and_then(|seq| view.dossier.entries.get(seq.checked_sub(1)?));
    let told = of.is_some_and(|e| e.told.is_some());
    let link = |seq: u64| Piece::link(format!("entry-{seq}"), view.name_of(seq));
    let by = match view.fates.get(&seq) {
        Some(Fate::CorrectedBy(by)) => Some(Text::of(", as corrected by ").and(link(*by))),
        _ => None,
    };
    Text::of(link(seq)).and(told.then_some(" (told, not proved)")).and(by)
}
