//! What is said when something was recorded.

use std::io::Write;

use super::failure::Failure;
use super::words::{coloured, plain, wrapped};
use crate::command::{Context, Recorded};
use crate::ledger::subject::Subject;
use crate::ledger::verdicts::verdict_of;
use crate::store::Store;

/// One line an entry.
pub fn entries(recorded: &Recorded, out: &mut dyn Write) -> Result<(), Failure> {
    for (receipt, sentence) in recorded.receipts.iter().zip(&recorded.sentences) {
        let entry = format!("{}#{}", receipt.key, receipt.seq);
        let line = if receipt.already { "was recorded before as" } else { "recorded" };
        super::output::line(out, format_args!("{line} {entry}: {}", plain(sentence)))?;
    }
    Ok(())
}

/// One line an entry, and the band that stands after it for what was touched.
pub fn print(context: &Context, store: &mut Store, recorded: &Recorded, out: &mut dyn Write) -> Result<(), Failure> {
    entries(recorded, out)?;
    for text in &recorded.beside {
        super::output::line(out, format_args!("  {}", wrapped(&plain(text), 96, "  ")))?;
    }
    let mut touched: Vec<(String, Subject)> = Vec::new();
    for receipt in &recorded.receipts {
        for subject in &receipt.subjects {
            let of = (receipt.key.clone(), subject.clone());
            let unjudged = matches!(
                receipt.kind,
                "finding-closed"
                    | "property-added"
                    | "property-changed"
                    | "property-archived"
                    | "section-added"
                    | "fixture-added"
            );
            if !unjudged && !touched.contains(&of) {
                touched.push(of);
            }
        }
    }
    for (key, subject) in touched {
        band(context, store, &key, &subject, out)?;
    }
    Ok(())
}

/// `now: watch, by 1 Jun 2026 — …`
fn band(
    context: &Context,
    store: &mut Store,
    key: &str,
    subject: &Subject,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let Some(id) = store.property_id(key)? else { return Ok(()) };
    let property = store.folded(id)?.property.clone();
    let today = context.today_at(Some(&property));
    let Some(shown) = verdict_of(&property, subject, store.settings(), today) else { return Ok(()) };
    let address = subject.of(key);
    let Some(band) = shown.verdict.band else { return Ok(()) };
    let because = shown.verdict.because.first().map_or(String::new(), |fired| format!(" · {}", plain(&fired.because)));
    super::output::line(out, format_args!("{address} now: {}{because}", coloured(Some(band), band.word())))?;
    super::output::line(out, format_args!("ask why: stemwall why {address}"))
}
