//! One page that says what a buyer, an engineer or an insurer asks first.

use super::entry;
use super::tree::{Block, Piece, Row, Text};
use crate::dossier::summary::{Found, Judged, Mended, Summary, Tested, day};
use crate::dossier::view::View;

pub(super) fn short(view: &View, s: &Summary) -> Vec<Block> {
    let mut out = vec![Block::head(3, "Foundations")];
    out.extend(view.property.built.map(|built| Block::words(format!("Built {built}."))));
    out.push(lines(&s.foundations, "No section of the foundation is recorded."));
    if !s.events.is_empty() {
        out.push(Block::words(format!("Happened to the house: {}.", s.events.join("; "))));
    }
    out.push(Block::head(3, "What was found, and what became of it"));
    out.push(table_or(
        "No finding is recorded; that is not the same as nothing to be found.",
        "Findings",
        &["finding", "opened", "what", "what became of it", "asked for now"],
        s.findings.iter().map(found).collect(),
    ));
    out.push(Block::head(3, "Radon"));
    out.push(tests(view, "Radon tests, each with whether it counts as one", "Radon was never tested here.", &s.radon));
    out.push(Block::head(3, "Sump pump"));
    out.push(tests(view, "Tests of the sump pump", "No test of a sump pump is recorded.", &s.sump));
    out.push(Block::head(3, "Repairs"));
    out.push(table_or(
        "No repair is recorded.",
        "Repairs, each with every look at it afterwards",
        &["done", "what", "looked at afterwards", "entry"],
        s.repairs.iter().map(|one| mended(view, one)).collect(),
    ));
    out.push(Block::head(3, "Judgements of licensed people"));
    out.push(table_or(
        "No judgement is recorded.",
        "Judgements",
        &["given", "by", "what they concluded", "document", "entry"],
        s.judgements.iter().map(|one| judged(view, one)).collect(),
    ));
    out.push(Block::head(3, "What was never looked at or tested"));
    out.push(lines(&s.never, "Nothing that this program asks for was left out; it does not ask for everything."));
    out.extend(left_out(view));
    out
}

fn table_or(none: &str, caption: &str, heads: &[&'static str], rows: Vec<Row>) -> Block {
    if rows.is_empty() { Block::words(none) } else { Block::table(caption, heads, rows) }
}

fn lines(lines: &[String], none: &str) -> Block {
    if lines.is_empty() { Block::words(none) } else { Block::List(lines.iter().map(Text::of).collect()) }
}

fn found(f: &Found) -> Row {
    Row::of(vec![
        Text::of(Piece::link(format!("finding-{}", f.number), f.number)),
        Text::of(day(f.opened)),
        Text::of(&f.what),
        Text::of(&f.became),
        f.band.map_or_else(|| Text::of("–"), |band| Text::of(Piece::band(band))),
    ])
}

fn tests(view: &View, caption: &str, none: &str, tests: &[Tested]) -> Block {
    let row = |t: &Tested| {
        Row::of(vec![
            Text::of(day(t.on)),
            Text::of(&t.place),
            Text::of(&t.what),
            Text::of(&t.counts),
            entry(view, t.seq),
        ])
    };
    let heads = ["day", "where", "what", "whether it counts", "entry"];
    table_or(none, caption, &heads, tests.iter().map(row).collect())
}

fn mended(view: &View, r: &Mended) -> Row {
    Row::of(vec![Text::of(day(r.on)), Text::of(&r.what), Text::of(&r.checked), entry(view, r.seq)])
}

fn judged(view: &View, j: &Judged) -> Row {
    Row::of(vec![Text::of(day(j.on)), Text::of(&j.by), Text::of(&j.says), Text::of(&j.document), entry(view, j.seq)])
}

/// What a reader does not see, and that it is there.
fn left_out(view: &View) -> Vec<Block> {
    let gone = view.dossier.entries.iter().filter(|e| e.body.is_none()).count();
    let told = view.dossier.entries.iter().filter(|e| e.told.is_some()).count();
    let mut out = vec![Block::head(3, "What is left out of this file")];
    if gone == 0 {
        out.push(Block::words("Nothing: every entry is here in full."));
        return out;
    }
    let all = view.entries.len();
    out.push(Block::words(format!(
        "Entries without their body here: {gone} of {all}; their place, kind and dates stay, and the order below says why each is left \
         out. Whoever holds the ledger can show a body, and it can be checked against its entry."
    )));
    if told > 0 {
        out.push(Block::words(format!(
            "Of these, told without what was left out: {told}; the chain does not prove such words."
        )));
    }
    out
}
