//! One page that says what a buyer, an engineer or an insurer asks first.

use super::entry;
use super::tree::{Block, Piece, Row, Text};
use crate::dossier::summary::{Found, Judged, Mended, Summary, Tested, day};
use crate::dossier::view::View;

/// The kinds that a part of the page is made of.
const FOUNDATIONS: &[&str] = &["section-added", "section-changed"];
const FINDINGS: &[&str] = &["finding-opened", "finding-closed", "finding-reopened", "reading-added", "level-surveyed"];
const RADON: &[&str] = &["radon-tested"];
const SUMP: &[&str] = &["sump-tested"];
const REPAIRS: &[&str] = &["repair-made", "repair-checked"];
const JUDGEMENTS: &[&str] = &["judgement-given"];

pub(super) fn short(view: &View, s: &Summary) -> Vec<Block> {
    let mut out = vec![Block::head(3, "Foundations")];
    out.extend(view.property.built.map(|built| Block::words(format!("Built {built}."))));
    out.extend(lines(view, FOUNDATIONS, &s.foundations, "No section of the foundation is recorded."));
    if !s.events.is_empty() {
        out.push(Block::words(format!("Happened to the house: {}.", s.events.join("; "))));
    }
    out.push(Block::head(3, "What was found, and what became of it"));
    out.extend(table_or(
        view,
        FINDINGS,
        "No finding is recorded; that is not the same as nothing to be found.",
        "Findings",
        &["finding", "opened", "what", "what became of it", "asked for now"],
        s.findings.iter().map(|one| found(view, one)).collect(),
    ));
    out.push(Block::head(3, "Radon"));
    let caption = "Radon tests, each with whether it counts as one";
    out.extend(tests(view, RADON, caption, "Radon was never tested here.", &s.radon));
    out.push(Block::head(3, "Sump pump"));
    out.extend(tests(view, SUMP, "Tests of the sump pump", "No test of a sump pump is recorded.", &s.sump));
    out.push(Block::head(3, "Repairs"));
    out.extend(table_or(
        view,
        REPAIRS,
        "No repair is recorded.",
        "Repairs, each with every look at it afterwards",
        &["done", "what", "looked at afterwards", "entry"],
        s.repairs.iter().map(|one| mended(view, one)).collect(),
    ));
    out.push(Block::head(3, "Judgements of licensed people"));
    out.extend(table_or(
        view,
        JUDGEMENTS,
        "No judgement is recorded.",
        "Judgements",
        &["given", "by", "what they concluded", "document", "entry"],
        s.judgements.iter().map(|one| judged(view, one)).collect(),
    ));
    out.push(Block::head(3, "What was never looked at or tested"));
    if view.gaps.weigh() {
        out.push(Block::words(
            "By what is told in this file; some of it may have been looked at or tested by what is left out below.",
        ));
    }
    let none = "Nothing that this program asks for was left out; it does not ask for everything.";
    out.extend(lines(view, &[], &s.never, none));
    out.extend(left_out(view));
    out
}

/// A table, or that there is nothing for it; what is left out of this file is not said to be nothing.
fn table_or(
    view: &View,
    kinds: &[&str],
    none: &str,
    caption: &str,
    heads: &[&'static str],
    rows: Vec<Row>,
) -> Vec<Block> {
    let table = (!rows.is_empty()).then(|| Block::table(caption, heads, rows));
    with_gap(view, kinds, table, none)
}

fn lines(view: &View, kinds: &[&str], lines: &[String], none: &str) -> Vec<Block> {
    let list = (!lines.is_empty()).then(|| Block::List(lines.iter().map(Text::of).collect()));
    with_gap(view, kinds, list, none)
}

fn with_gap(view: &View, kinds: &[&str], there: Option<Block>, none: &str) -> Vec<Block> {
    let more = view.gaps.of_kinds(kinds);
    match (there, more) {
        (there, 1..) => {
            let begin =
                if there.is_some() { "Not all of it is told here" } else { "Nothing of it can be told in this file" };
            let entries = if more == 1 {
                "1 entry is left out or rests on what is left out".to_owned()
            } else {
                format!("{more} entries are left out or rest on what is left out")
            };
            let gap = format!("{begin}: {entries}.");
            there.into_iter().chain([Block::words(gap)]).collect()
        }
        (Some(there), 0) => vec![there],
        (None, 0) => vec![Block::words(none)],
    }
}

fn found(view: &View, f: &Found) -> Row {
    let part = view.gaps.weigh().then_some(", by part of the record");
    Row::of(vec![
        Text::of(Piece::link(format!("finding-{}", f.number), f.number)),
        f.opened.map_or_else(|| Text::of("–"), |on| Text::of(day(on))),
        Text::of(&f.what),
        Text::of(&f.became),
        f.band.map_or_else(|| Text::of("–"), |band| Text::of(Piece::band(band)).and(part)),
    ])
}

fn tests(view: &View, kinds: &[&str], caption: &str, none: &str, tests: &[Tested]) -> Vec<Block> {
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
    table_or(view, kinds, none, caption, &heads, tests.iter().map(row).collect())
}

fn mended(view: &View, r: &Mended) -> Row {
    Row::of(vec![Text::of(day(r.on)), Text::of(&r.what), Text::of(&r.checked), entry(view, r.seq)])
}

fn judged(view: &View, j: &Judged) -> Row {
    let hash = j.sha256.as_ref().map(|hash| Text::of(", SHA-256 ").and(Piece::code(hash)));
    let document = Text::of(&j.document).and(hash);
    Row::of(vec![Text::of(day(j.on)), Text::of(&j.by), Text::of(&j.says), document, entry(view, j.seq)])
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
    let kinds = view.gaps.words();
    if !kinds.is_empty() {
        out.push(Block::words(format!("Not told at all: {kinds}.")));
    }
    if view.gaps.weigh() {
        out.push(Block::words(
            "What is computed here rests on part of the record: with all of it, a verdict may be another one, and what is said to \
             be missing may be there.",
        ));
    }
    if told > 0 {
        out.push(Block::words(format!(
            "Told without what was left out: {told}; the chain does not prove such words. Amounts are left out where a field \
             holds them: one that stands in somebody's words stays."
        )));
    }
    out
}
