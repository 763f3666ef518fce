//! Everything, in order of happening, each entry with both its days; what was corrected and struck stays to be read.

use maud::{Markup, html};

use super::words;
use crate::dossier::data::Entry;
use crate::dossier::summary::day;
use crate::dossier::view::View;
use crate::ledger::history::{Told, subjects, told};
use crate::ledger::subject::Subject;

pub(super) fn happened(view: &View) -> Markup {
    let mut all = told(&view.entries, &view.property.key, view.zone(), &Subject::Property);
    let before = all.len();
    if let Some(since) = view.dossier.since {
        all.retain(|one| one.on.date >= since);
    }
    let earlier = before - all.len();
    html! {
        section id="happened" aria-labelledby="happened-head" {
            h2 id="happened-head" { "Everything in order of happening" }
            p { "Each line gives the day it happened, as entered, and the moment it was entered, UTC. Nothing is ever overwritten: "
                "what was corrected or struck stays, with what took its place." }
            @if let (Some(since), true) = (view.dossier.since, earlier > 0) {
                p { (earlier) " entries from before " (day(since)) " are not listed here; they are in this file all the same." }
            }
            table {
                caption { "Entries" }
                thead { tr { th scope="col" { "happened" } th scope="col" { "entered" } th scope="col" { "entry" } th scope="col" { "about" } th scope="col" { "what" } } }
                tbody { @for one in &all { (line(view, one)) } }
            }
        }
    }
}

fn line(view: &View, one: &Told) -> Markup {
    let of = usize::try_from(one.seq).ok().and_then(|seq| view.dossier.entries.get(seq.checked_sub(1)?));
    let entered = one.recorded.format("%Y-%m-%d %H:%M");
    html! {
        tr id={ "entry-" (one.seq) } {
            td { (one.on) }
            td { (entered) }
            td { (view.name_of(one.seq)) }
            td { (about(view, one.seq)) }
            td {
                @match &one.says {
                    Some(says) if one.struck_by.is_some() || one.corrected_by.is_some() => span.gone { (words(says)) },
                    Some(says) => (words(says)),
                    None => em { (one.kind) ": " (absent(of)) },
                }
                @if let Some(seq) = one.corrected_by { " · corrected by " (super::entry(view, seq)) }
                @if let Some(seq) = one.struck_by { " · struck by " (super::entry(view, seq)) }
                @if let Some(by) = &one.by { " · by " (words(by)) }
                @if let Some(note) = &one.note { " · “" (words(note)) "”" }
                @if !one.files.is_empty() { " · with " (words(one.files.join(", "))) }
                @if let Some(Entry { told: Some(_), left_out: Some(reason), .. }) = of {
                    em { " · told in part, not proved by the chain; the whole is " (reason.words()) }
                }
            }
        }
    }
}

/// The parts of the house that an entry is about; a finding leads to what is said of it.
fn about(view: &View, seq: u64) -> Markup {
    html! {
        @for (n, subject) in subjects(&view.entries, seq).iter().enumerate() {
            @if n > 0 { ", " }
            @match subject {
                Subject::Finding(number) if view.property.findings.contains_key(number) => {
                    a href={ "#finding-" (number) } { "finding " (number) }
                }
                Subject::Finding(number) => { "finding " (number) }
                Subject::Named(name) => (name),
                Subject::Property => "the house",
            }
        }
    }
}

fn absent(of: Option<&Entry>) -> &'static str {
    of.and_then(|e| e.left_out).map_or("", |reason| reason.words())
}
