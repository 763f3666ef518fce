//! One page that says what a buyer, an engineer or an insurer asks first.

use maud::{Markup, html};

use super::{entry, table, words};
use crate::dossier::summary::{Summary, Tested, day};
use crate::dossier::view::View;

pub(super) fn short(view: &View, s: &Summary) -> Markup {
    let property = &view.property;
    html! {
        section id="short" aria-labelledby="short-head" {
            h2 id="short-head" { "In short" }
            h3 { "Foundations" }
            @if let Some(built) = property.built { p { "Built " (built) "." } }
            (lines(&s.foundations, "No section of the foundation is recorded."))
            @if !s.events.is_empty() { p { "Happened to the house: " (words(s.events.join("; "))) "." } }
            h3 { "What was found, and what became of it" }
            @if s.findings.is_empty() { p { "No finding is recorded; that is not the same as nothing to be found." } } @else {
                (table("Findings", &["finding", "opened", "what", "what became of it", "asked for now"], s.findings.iter().map(|f| vec![
                    html! { a href={ "#finding-" (f.number) } { (f.number) } },
                    html! { (day(f.opened)) },
                    words(&f.what),
                    words(&f.became),
                    html! { @match f.band { Some(band) => span.band { (band) }, None => "–" } },
                ]).collect()))
            }
            h3 { "Radon" }
            (tests(view, "Radon tests, each with whether it counts as one", "Radon was never tested here.", &s.radon))
            h3 { "Sump pump" }
            (tests(view, "Tests of the sump pump", "No test of a sump pump is recorded.", &s.sump))
            h3 { "Repairs" }
            @if s.repairs.is_empty() { p { "No repair is recorded." } } @else {
                (table("Repairs, each with every look at it afterwards", &["done", "what", "looked at afterwards", "entry"],
                    s.repairs.iter().map(|r| vec![html! { (day(r.on)) }, words(&r.what), words(&r.checked), entry(view, r.seq)]).collect()))
            }
            h3 { "Judgements of licensed people" }
            @if s.judgements.is_empty() { p { "No judgement is recorded." } } @else {
                (table("Judgements", &["given", "by", "what they concluded", "document", "entry"],
                    s.judgements.iter().map(|j| vec![html! { (day(j.on)) }, words(&j.by), words(&j.says), words(&j.document), entry(view, j.seq)]).collect()))
            }
            h3 { "What was never looked at or tested" }
            (lines(&s.never, "Nothing that this program asks for was left out; it does not ask for everything."))
            (left_out(view))
        }
    }
}

fn lines(lines: &[String], none: &str) -> Markup {
    html! {
        @if lines.is_empty() { p { (none) } } @else { ul { @for line in lines { li { (words(line)) } } } }
    }
}

fn tests(view: &View, caption: &str, none: &str, tests: &[Tested]) -> Markup {
    html! {
        @if tests.is_empty() { p { (none) } } @else {
            (table(caption, &["day", "where", "what", "whether it counts", "entry"], tests.iter().map(|t| vec![
                html! { (day(t.on)) }, words(&t.place), words(&t.what), words(&t.counts), entry(view, t.seq),
            ]).collect()))
        }
    }
}

/// What a reader does not see, and that it is there.
fn left_out(view: &View) -> Markup {
    let gone = view.dossier.entries.iter().filter(|e| e.body.is_none()).count();
    let told = view.dossier.entries.iter().filter(|e| e.told.is_some()).count();
    html! {
        h3 { "What is left out of this file" }
        @if gone == 0 { p { "Nothing: every entry is here in full." } } @else {
            p { "Entries without their body here: " (gone) " of " (view.entries.len()) "; their place, kind and dates stay, and the order below says why each is left "
                "out. Whoever holds the ledger can show a body, and it can be checked against its entry." }
            @if told > 0 { p { "Of these, told without what was left out: " (told) "; the chain does not prove such words." } }
        }
    }
}
