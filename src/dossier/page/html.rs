//! The page as one file of HTML that needs nothing else. No scripts; what it says of itself (its policy) lets nothing be
//! loaded.

use base64::Engine;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

use super::tree::{Block, Page, Piece, Table, Text};
use crate::chart::svg;
use crate::dossier::data::{BLOCK, BLOCK_END, Pictures};
use crate::dossier::write::program;

const STYLE: &str = "
body { font: 11pt/1.4 Georgia, 'Times New Roman', serif; margin: 2rem auto; max-width: 46rem; padding: 0 1rem; color: #111; background: #fff; }
h1 { font-size: 1.5rem; margin: 0 0 .3rem; } h2 { font-size: 1.2rem; margin: 2rem 0 .4rem; border-bottom: 1px solid #444; }
h3 { font-size: 1.05rem; margin: 1.3rem 0 .2rem; } h4 { font-size: 1rem; margin: .8rem 0 .1rem; }
p, ul, ol { margin: .3rem 0; } table { border-collapse: collapse; width: 100%; margin: .4rem 0; font-size: .92em; }
caption { text-align: left; font-style: italic; padding: .2rem 0; } th, td { text-align: left; vertical-align: top; padding: .15rem .5rem .15rem 0; border-bottom: 1px solid #ccc; }
tr, figure { break-inside: avoid; } figure { margin: .6rem 0; } img, svg { max-width: 100%; height: auto; }
figcaption, .source { color: #444; font-size: .9em; } code, pre { font: .8em/1.35 monospace; overflow-wrap: anywhere; white-space: pre-wrap; }
td code { white-space: normal; } #short td { overflow-wrap: break-word; }
.band { font-weight: bold; } .gone { text-decoration: line-through; } .says { border-left: 3px solid #444; padding-left: .6rem; } nav ul { columns: 2; }
@media print { body { margin: 0; padding: 0; max-width: none; font-size: 10pt; } h2, h3, h4, caption { break-after: avoid; } nav { display: none; } a { color: inherit; text-decoration: none; }
#short { font-size: 8pt; line-height: 1.1; } #short h3 { font-size: 9pt; margin: .4rem 0 0; } #short p, #short ul, #short table { margin: .1rem 0; } #short td, #short th { padding: .05rem .4rem .05rem 0; } header { font-size: 8.5pt; line-height: 1.2; } h1 { font-size: 13pt; } #short h2 { margin: .5rem 0 .1rem; }
#subjects { break-before: page; } }
@page { margin: 15mm; }
";

/// Spells it; `block` is what the dossier holds, as JSON.
pub(super) fn html(page: &Page, pictures: &Pictures, block: &str) -> String {
    let head = html! {
        meta charset="utf-8";
        meta name="viewport" content="width=device-width";
        meta http-equiv="Content-Security-Policy" content=(policy());
        meta name="generator" content=(program());
        title { (page.title) }
        style { (PreEscaped(STYLE)) }
    };
    let body = html! {
        header {
            @for block in &page.opening { (spelled(block, pictures)) }
            nav aria-label="Contents" { ul {
                @for section in &page.sections { li { a href={ "#" (section.id) } { (section.head) } } }
            } }
        }
        main {
            @for section in &page.sections {
                section id=(section.id) aria-labelledby={ (section.id) "-head" } {
                    h2 id={ (section.id) "-head" } { (section.head) }
                    @for block in &section.blocks { (spelled(block, pictures)) }
                }
            }
        }
        (PreEscaped(format!("{BLOCK}{block}{BLOCK_END}")))
    };
    let page = html! { (DOCTYPE) html lang="en" { head { (head) } body { (body) } } };
    // Lines, so that a change can be named by its line.
    let mut page = broken(page.into_string());
    page.push('\n');
    page
}

fn spelled(block: &Block, pictures: &Pictures) -> Markup {
    html! {
        @match block {
            Block::Head { level: 1, text, .. } => h1 { (line(text)) },
            Block::Head { level: 2, text, .. } => h2 { (line(text)) },
            Block::Head { id, text, .. } => h3 id=[id.as_ref()] { (line(text)) },
            Block::Words(text) => p { (line(text)) },
            Block::Says(text) => p.says { (line(text)) },
            Block::List(all) => ul { @for text in all { li { (line(text)) } } },
            Block::Table(of) => (table(of)),
            Block::Chart { drawn, under } => figure { (PreEscaped(svg::draw(drawn))) figcaption { (line(under)) } },
            Block::Photograph { alt, of, under } => figure {
                img alt=(alt) width=(of.width) height=(of.height)
                    src={ "data:image/" (of.media.word()) ";base64," (pictures.get(&of.shown).map_or("", String::as_str)) };
                figcaption { (line(under)) }
            },
            Block::Script(text) => pre { (text) },
        }
    }
}

/// A table with a caption and a head that a screen reader can follow.
fn table(of: &Table) -> Markup {
    html! {
        table {
            caption { (of.caption) }
            thead { tr { @for head in &of.heads { th scope="col" { (head) } } } }
            tbody { @for row in &of.rows { tr id=[row.id.as_ref()] { @for cell in &row.cells { td { (line(cell)) } } } } }
        }
    }
}

fn line(text: &Text) -> Markup {
    html! {
        @for piece in &text.0 {
            @match piece {
                Piece::Plain(text) => (text),
                Piece::Code(text) => code { (text) },
                Piece::Link { to, text } => a href={ "#" (to) } { (text) },
                Piece::Band(text) => span.band { (text) },
                Piece::Gone(text) => span.gone { (text) },
                Piece::Aside(text) => em { (text) },
                Piece::Source(text) => span.source { (text) },
            }
        }
    }
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
