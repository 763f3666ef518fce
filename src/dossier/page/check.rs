//! How a reader checks the file, with this program and without, and what the check shows and what not.

use maud::{Markup, html};

use super::{entry, table, words};
use crate::dossier::summary::day;
use crate::dossier::view::View;

const SCRIPT: &str = include_str!("../../../tools/check_dossier.py");

pub(super) fn check(view: &View) -> Markup {
    let last = view.entries.len();
    let settings: Vec<String> = view.dossier.settings.iter().map(|(name, value)| format!("{name} {value}")).collect();
    html! {
        section id="check" aria-labelledby="check-head" {
            h2 id="check-head" { "How to check this file" }
            p { "Each entry holds the hash (SHA-256) of the one before it, so the hash of the last one, the seal, fixes every entry." }
            p { "Seal of entries 1 to " (last) ": " code { (view.seal()) } }
            p { "Fingerprint of this file: " code { (view.dossier.fingerprint()) } }
            p { "This shows that the entries are whole and in their order up to a seal that somebody else has held since. It does not show that what was "
                "entered is true: dates and names are as entered. Without a seal from elsewhere, whoever made the file could have written all of it yesterday." }
            @if view.given.is_empty() { p { "No seal of this chain was given to anybody, by its entries." } } @else {
                (table("Seals that were given, by the entries; ask whoever holds one", &["given", "to", "covers entries", "entry"],
                    view.given.iter().map(|g| vec![
                        html! { (g.on) },
                        g.to.as_ref().map_or_else(|| words("not said"), words),
                        html! { "1 to " (g.entries) },
                        entry(view, g.seq),
                    ]).collect()))
            }
            p { "Verdicts are computed for " (day(view.dossier.as_of)) " under these settings, which are as whoever made this file had them and stand in "
                "no entry of the house: " (words(settings.join(", "))) "." }
            p { "With Stemwall, without any ledger: " code { "stemwall verify FILE" } ", or with a seal that you were given: "
                code { "stemwall verify FILE --seal SEAL" } ". It computes this page again from its entries and compares every byte." }
            p { "Without Stemwall, the script below checks the chain with nothing but Python's standard library; it does not look at what the page shows. "
                "It stands here for convenience: if you doubt this file, take it from the releases of the program, or write your own. Every envelope and body "
                "is a text of canonical JSON (RFC 8785) in the block at the end of this file." }
            pre { (SCRIPT) }
        }
    }
}
