//! The page: one file of HTML that needs nothing else, in the order in which a reader asks. No scripts; what it says of
//! itself (its policy) lets nothing be loaded. Everything on it comes from the entries.

use base64::Engine;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::data::{BLOCK, BLOCK_END, Pictures};
use super::summary::{day, summary};
use super::text::seen;
use super::view::View;
use super::write::program;

mod check;
mod happened;
mod short;
mod subjects;

const STYLE: &str = "
body { font: 11pt/1.4 Georgia, 'Times New Roman', serif; margin: 2rem auto; max-width: 46rem; padding: 0 1rem; color: #111; background: #fff; }
h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.2rem; margin: 2rem 0 .4rem; border-bottom: 1px solid #444; }
h3 { font-size: 1.05rem; margin: 1.3rem 0 .2rem; } h4 { font-size: 1rem; margin: .8rem 0 .1rem; }
p, ul, ol { margin: .3rem 0; } table { border-collapse: collapse; width: 100%; margin: .4rem 0; font-size: .92em; }
caption { text-align: left; font-style: italic; padding: .2rem 0; } th, td { text-align: left; vertical-align: top; padding: .15rem .5rem .15rem 0; border-bottom: 1px solid #ccc; }
tr, figure { break-inside: avoid; } figure { margin: .6rem 0; } img, svg { max-width: 100%; height: auto; }
figcaption, .source { color: #444; font-size: .9em; } code, pre { font: .8em/1.35 monospace; overflow-wrap: anywhere; white-space: pre-wrap; }
.band { font-weight: bold; } .gone { text-decoration: line-through; } .says { border-left: 3px solid #444; padding-left: .6rem; } nav ul { columns: 2; }
@media print { body { margin: 0; padding: 0; max-width: none; font-size: 10pt; } h2, h3, h4, caption { break-after: avoid; } nav { display: none; } a { color: inherit; text-decoration: none; } }
@page { margin: 18mm; }
";

/// The whole page.
pub(super) fn page(view: &View, pictures: &Pictures) -> String {
    let property = &view.property;
    let title = seen(&format!("{}: {}", property.key, property.name));
    let head = html! {
        meta charset="utf-8";
        meta name="viewport" content="width=device-width";
        meta http-equiv="Content-Security-Policy" content=(policy());
        meta name="generator" content=(program());
        title { "History of " (title) }
        style { (PreEscaped(STYLE)) }
    };
    let summary = summary(property, &view.settings, view.dossier.as_of);
    let body = html! {
        header {
            h1 { "History of " (title) }
            p { "As of " (day(view.dossier.as_of)) ". " (view.entries.len()) " entries, from "
                (first_day(view)) " on." }
            p.says { "This compares what was recorded with named, published tables, and says who should look. It certifies nothing, it does not say "
                "that anything is sound or unsound, and it names no causes. Structural certification belongs to a licensed engineer; local codes and "
                "licensed practice come first. Dates and names are as they were entered." }
            nav aria-label="Contents" { ul {
                li { a href="#short" { "In short" } }
                li { a href="#subjects" { "Part by part" } }
                li { a href="#happened" { "Everything in order of happening" } }
                li { a href="#check" { "How to check this file" } }
            } }
        }
        main {
            (short::short(view, &summary))
            (subjects::subjects(view, pictures))
            (happened::happened(view))
            (check::check(view))
        }
        (PreEscaped(format!("{BLOCK}{}{BLOCK_END}", view.dossier.block())))
    };
    let page = html! { (DOCTYPE) html lang="en" { head { (head) } body { (body) } } };
    // Lines, so that a change can be named by its line.
    let mut page = broken(page.into_string());
    page.push('\n');
    page
}

/// Nothing is loaded; the one style is the one written here.
fn policy() -> String {
    let style = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(STYLE));
    format!("default-src 'none'; style-src 'sha256-{style}'; img-src data:; base-uri 'none'; form-action 'none'")
}

/// A line an element that stands for itself, outside what is printed as it is.
fn broken(page: String) -> String {
    let mut out = String::with_capacity(page.len() + page.len() / 64);
    let (before, block) = page.split_once(BLOCK).expect("the page has its block");
    let (text, script) = before.split_once("<pre>").expect("the page prints the checking script");
    for piece in text.split_inclusive('>') {
        out.push_str(piece);
        let ends = [
            "</p>",
            "</tr>",
            "</li>",
            "</h1>",
            "</h2>",
            "</h3>",
            "</h4>",
            "</figure>",
            "</head>",
            "</caption>",
            "</thead>",
        ];
        if ends.iter().any(|end| piece.ends_with(end)) {
            out.push('\n');
        }
    }
    out.push_str("<pre>");
    out.push_str(script);
    out.push('\n');
    out.push_str(BLOCK);
    out.push_str(block);
    out
}

fn first_day(view: &View) -> String {
    let happened = view.entries.iter().map(|e| e.envelope.on.date).min();
    happened.map_or(String::new(), day)
}

/// A table with a caption and a head that a screen reader can follow.
fn table(caption: &str, heads: &[&str], rows: Vec<Vec<Markup>>) -> Markup {
    html! {
        table {
            caption { (caption) }
            thead { tr { @for head in heads { th scope="col" { (head) } } } }
            tbody { @for row in rows { tr { @for cell in row { td { (cell) } } } } }
        }
    }
}

fn words(text: impl AsRef<str>) -> Markup {
    html! { (seen(text.as_ref())) }
}

/// A link to an entry in the order of happening; where only something of it is told, that is said beside it.
fn entry(view: &View, seq: u64) -> Markup {
    let of = usize::try_from(seq).ok().and_then(|seq| view.dossier.entries.get(seq.checked_sub(1)?));
    html! {
        a href={ "#entry-" (seq) } { (view.name_of(seq)) }
        @if of.is_some_and(|e| e.told.is_some()) { " (told, not proved)" }
    }
}
