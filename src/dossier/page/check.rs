//! How a reader checks the file, with this program and without, and what the check shows and what not.

use super::entry;
use super::tree::{Block, Piece, Row, Text};
use crate::dossier::summary::day;
use crate::dossier::view::View;

const SCRIPT: &str = include_str!("../../../tools/check_dossier.py");

pub(super) fn check(view: &View) -> Vec<Block> {
    let last = view.entries.len();
    let settings: Vec<String> = view.dossier.settings.iter().map(|(name, value)| format!("{name} {value}")).collect();
    let given = view.given.iter().map(|g| {
        Row::of(vec![
            Text::of(g.on.to_string()),
            g.to.as_ref().map_or_else(|| Text::of("not said"), Text::of),
            Text::of(format!("1 to {}", g.entries)),
            entry(view, g.seq),
        ])
    });
    vec![
        Block::words(
            "Each entry holds the hash (SHA-256) of the one before it, so the hash of the last one, the seal, fixes every entry.",
        ),
        Block::words(Text::of(format!("Seal of entries 1 to {last}: ")).and(Piece::code(view.seal()))),
        Block::words(Text::of("Fingerprint of this file: ").and(Piece::code(view.dossier.fingerprint()))),
        Block::words(
            "This shows that the entries are whole and in their order up to a seal that somebody else has held since. It does not show that what was \
             entered is true: dates and names are as entered. Without a seal from elsewhere, whoever made the file could have written all of it yesterday.",
        ),
        if view.given.is_empty() {
            Block::words("No seal of this chain was given to anybody, by its entries.")
        } else {
            Block::table(
                "Seals that were given, by the entries; ask whoever holds one",
                &["given", "to", "covers entries", "entry"],
                given.collect(),
            )
        },
        Block::words(format!(
            "Verdicts are computed for {} under these settings, which are as whoever made this file had them and stand in no entry of the house: {}.",
            day(view.dossier.as_of),
            settings.join(", ")
        )),
        Block::words(
            Text::of("With Stemwall, without any ledger: ")
                .and(Piece::code("stemwall verify FILE"))
                .and(", or with a seal that you were given: ")
                .and(Piece::code("stemwall verify FILE --seal SEAL"))
                .and(". It computes this page again from its entries and compares every byte, of a PDF where it was built to write PDF."),
        ),
        Block::words(
            "Without Stemwall, the script below checks the chain with nothing but Python's standard library; it does not look at what the page shows. \
             It stands here for convenience: if you doubt this file, take it from the releases of the program, or write your own. Every envelope and body \
             is a text of canonical JSON (RFC 8785): in a page of HTML in the block at its end, in a PDF in the file attached to it. A letter that the fonts of a \
             PDF lack is shown in it by its number, such as \\u{4e2d}; the entries have the letter.",
        ),
        Block::Script(SCRIPT),
    ]
}
