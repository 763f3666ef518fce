//! Everything, in order of happening, each entry with both its days; what was corrected and struck stays to be read.

use super::entry;
use super::tree::{Block, Piece, Row, Table, Text};
use crate::dossier::data::Entry;
use crate::dossier::summary::day;
use crate::dossier::view::View;
use crate::ledger::history::{Told, subjects, told};
use crate::ledger::subject::Subject;

pub(super) fn happened(view: &View) -> Vec<Block> {
    let mut all = told(&view.entries, &view.property.key, view.zone(), &Subject::Property);
    let before = all.len();
    if let Some(since) = view.dossier.since {
        all.retain(|one| one.on.date >= since);
    }
    let earlier = before - all.len();
    let mut out = vec![Block::words(
        "Each line gives the day it happened, as entered, and the moment it was entered, UTC. Nothing is ever overwritten: \
         what was corrected or struck stays, with what took its place.",
    )];
    if let (Some(since), true) = (view.dossier.since, earlier > 0) {
        let since = day(since);
        out.push(Block::words(format!(
            "{earlier} entries from before {since} are not listed here; they are in this file all the same."
        )));
    }
    out.push(Block::Table(Table {
        caption: "Entries".into(),
        heads: vec!["happened", "entered", "entry", "about", "what"],
        rows: all.iter().map(|one| line(view, one)).collect(),
    }));
    out
}

fn line(view: &View, one: &Told) -> Row {
    let cells = vec![
        Text::of(one.on.to_string()),
        Text::of(one.recorded.format("%Y-%m-%d %H:%M").to_string()),
        Text::of(view.name_of(one.seq)),
        about(view, one.seq),
        what(view, one),
    ];
    Row { id: Some(format!("entry-{}", one.seq)), cells }
}

fn what(view: &View, one: &Told) -> Text {
    let of = usize::try_from(one.seq).ok().and_then(|seq| view.dossier.entries.get(seq.checked_sub(1)?));
    let gone = one.struck_by.is_some() || one.corrected_by.is_some();
    let says = match &one.says {
        Some(says) if gone => Text::of(Piece::gone(says)),
        Some(says) => Text::of(says),
        None => Text::of(Piece::aside(format!("{}: {}", one.kind, absent(of)))),
    };
    let with = (!one.files.is_empty()).then(|| format!(" · with {}", one.files.join(", ")));
    let in_part = match of {
        Some(Entry { told: Some(_), left_out: Some(reason), .. }) => {
            Some(Piece::aside(format!(" · told in part, not proved by the chain; the whole is {}", reason.words())))
        }
        _ => None,
    };
    says.and(one.corrected_by.map(|seq| Text::of(" · corrected by ").and(entry(view, seq))))
        .and(one.struck_by.map(|seq| Text::of(" · struck by ").and(entry(view, seq))))
        .and(one.by.as_ref().map(|by| format!(" · by {by}")))
        .and(one.note.as_ref().map(|note| format!(" · “{note}”")))
        .and(with)
        .and(in_part)
}

/// The parts of the house that an entry is about; a finding leads to what is said of it.
fn about(view: &View, seq: u64) -> Text {
    let mut out = Text::default();
    let about = subjects(&view.entries, seq);
    if about.is_empty() {
        return Text::of(Piece::aside("not told"));
    }
    for (n, subject) in about.iter().enumerate() {
        out = out.and((n > 0).then_some(", ")).and(match subject {
            Subject::Finding(number) if view.property.findings.contains_key(number) => {
                Text::of(Piece::link(format!("finding-{number}"), format!("finding {number}")))
            }
            Subject::Finding(number) => Text::of(format!("finding {number}")),
            Subject::Named(name) => Text::of(name.to_string()),
            Subject::Property => Text::of("the house"),
        });
    }
    out
}

fn absent(of: Option<&Entry>) -> &'static str {
    of.and_then(|e| e.left_out).map_or("", |reason| reason.words())
}
