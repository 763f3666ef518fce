//! What is said of a dossier, of its check, of a seal, and what a disclosure form asks.

use std::io::Write;
use std::path::Path;
use std::process::ExitCode;

use serde_json::{Value, json};

use super::failure::Failure;
use super::output::line;
use super::verdict::date;
use super::words::{counted, plain, wrapped};
use crate::command::Context;
use crate::command::dossier::{self, Disclosure, Fields, Sealed};
use crate::dossier::proof::Proof;
use crate::dossier::schema::schema;
use crate::dossier::summary::Tested;

/// How wide text may be.
const WIDTH: usize = 96;

pub fn write(context: &Context, fields: &Fields, as_json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    if fields.schema {
        return line(out, format_args!("{:#}", schema()));
    }
    let w = dossier::write(context, fields)?;
    if as_json {
        let value = json!({
            "path": w.path, "bytes": w.bytes, "entries": w.entries, "left_out": w.left_out, "told_without_amounts": w.told,
            "pictures": w.pictures, "seal": w.seal,
        });
        return line(out, format_args!("{value:#}"));
    }
    let pictures = counted(w.pictures as u64, "picture", "pictures");
    let entries = counted(w.entries as u64, "entry", "entries");
    line(out, format_args!("wrote {}: {entries}, {pictures}, {} bytes", w.path.display(), w.bytes))?;
    if w.left_out > 0 {
        let told = if w.told > 0 {
            format!("; told without an amount in a field: {}; one in somebody's words stays", w.told)
        } else {
            String::new()
        };
        line(out, format_args!("left out: {}{told}", counted(w.left_out as u64, "body", "bodies")))?;
    }
    line(out, format_args!("seal {}", w.seal))?;
    line(out, format_args!("check it: stemwall verify {}", w.path.display()))
}

pub fn verify(path: &Path, seal: Option<&str>, as_json: bool, out: &mut dyn Write) -> Result<ExitCode, Failure> {
    let proof = dossier::verify(path, seal)?;
    if as_json {
        line(out, format_args!("{:#}", proof_json(&proof)))?;
    } else {
        said(path, &proof, out)?;
    }
    if proof.compared { Ok(ExitCode::SUCCESS) } else { Err(not_compared(path)) }
}

/// Half of a check is not the check that was asked for.
fn not_compared(path: &Path) -> Failure {
    Failure::new(1, "what the PDF shows was not compared with its entries: this build of the program writes no PDF")
        .given(path.display().to_string())
        .attempt(
            "go by the entries alone, which are whole; a stemwall built with `cargo build --release --features pdf` compares",
        )
}

fn said(path: &Path, p: &Proof, out: &mut dyn Write) -> Result<(), Failure> {
    let mut say = |text: String| line(out, format_args!("{}", wrapped(&plain(&text), WIDTH, "  ")));
    say(format!("{}: {}, {}", path.display(), p.key, p.name))?;
    let entries = counted(p.entries, "entry", "entries");
    let shown = if p.compared { "what is shown is what they give" } else { "what is shown was not compared with them" };
    say(format!("{entries}, each what its hash says and in its place; {shown}"))?;
    if p.left_out > 0 {
        let told = if p.told > 0 { format!("; told in part, which no hash proves: {}", p.told) } else { String::new() };
        say(format!("left out: {}{told}", counted(p.left_out, "body", "bodies")))?;
    }
    match p.pictures {
        (0, 0) => {}
        (files, copies) => say(format!(
            "pictures: {files} are the files themselves, {copies} are copies that the chain does not prove"
        ))?,
    }
    say(format!("seal of entry {}: {}", p.entries, p.seal))?;
    match p.covered {
        Some(n) if n == p.entries => say(format!("your seal covers all {n}"))?,
        Some(n) => {
            say(format!("your seal covers entries 1 to {n}; nothing is shown of the {} after them", p.entries - n))?
        }
        None => {
            say("no seal from elsewhere was given: whoever made this file could have made all of it yesterday".into())?
        }
    }
    for given in &p.given {
        let to = given.to.as_ref().map_or("somebody".to_owned(), Clone::clone);
        say(format!(
            "by its entries, a seal of entries 1 to {} was given to {to} on {}",
            given.entries,
            date(given.on.date)
        ))?;
    }
    say("This shows order and wholeness up to a seal that somebody else holds; dates and names are as entered.".into())
}

fn proof_json(p: &Proof) -> Value {
    let given = |g: &crate::dossier::view::Given| json!({"entry": g.seq, "on": g.on, "covers": g.entries, "to": g.to});
    json!({
        "property": p.key, "name": p.name, "id": p.property, "entries": p.entries, "left_out": p.left_out, "told_without_proof": p.told,
        "seal": p.seal, "seal_covers": p.covered, "seals_given": p.given.iter().map(given).collect::<Vec<_>>(),
        "pictures_that_are_files": p.pictures.0, "pictures_that_are_copies": p.pictures.1,
        "shown_is_compared": p.compared,
    })
}

/// A short text to mail, print, or have dated by somebody else.
pub fn seal(sealed: &Sealed, as_json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let Sealed { property, entries, seal, on, recorded } = sealed;
    if as_json {
        let receipt = recorded.receipts.first().map(|r| format!("{}#{}", r.key, r.seq));
        let value = json!({"property": property.key, "name": property.name, "id": property.id, "entries": entries, "on": on, "seal": seal, "recorded": receipt});
        return line(out, format_args!("{value:#}"));
    }
    line(out, format_args!("Seal of {}, {}", plain(&property.key), plain(&property.name)))?;
    line(out, format_args!("  property {}", property.id))?;
    line(out, format_args!("  entries  1 to {entries}"))?;
    line(out, format_args!("  given    {on}"))?;
    line(out, format_args!("  seal     {seal}"))?;
    line(
        out,
        format_args!("Whoever keeps this can show later that none of these entries was changed, taken out or put in"),
    )?;
    line(out, format_args!("since. It does not show that what was entered is true; dates and names are as entered."))?;
    line(out, format_args!(""))?;
    super::recorded::entries(recorded, out)
}

pub fn disclosure(d: &Disclosure, out: &mut dyn Write) -> Result<(), Failure> {
    let s = &d.summary;
    line(
        out,
        format_args!(
            "{}, {}: what is recorded up to {}",
            plain(&d.property.key),
            plain(&d.property.name),
            date(d.today)
        ),
    )?;
    for text in [DISCLOSURE_LAW, DISCLOSURE_FACTS] {
        line(out, format_args!("{}", wrapped(text, WIDTH, "")))?;
    }
    let left = d.gaps.words();
    if !left.is_empty() || d.told > 0 {
        let told = if d.told > 0 {
            format!("amounts of money in {}", counted(d.told as u64, "entry", "entries"))
        } else {
            String::new()
        };
        let all: Vec<String> = [left, told].into_iter().filter(|text| !text.is_empty()).collect();
        let text = format!(
            "Left out of this list: {}. The law may ask for it all the same: `--private` puts in what is marked private, `--costs` amounts.",
            all.join("; ")
        );
        line(out, format_args!("{}", wrapped(&text, WIDTH, "")))?;
    }
    let none = |kinds: &[&str], none: &'static str| match d.gaps.of_kinds(kinds) {
        0 => none,
        _ => "nothing is told in this list; something is left out of it",
    };
    list("foundations", &s.foundations, none(&["section-added"], "no section is recorded"), out)?;
    let found: Vec<String> = s
        .findings
        .iter()
        .map(|f| {
            let opened = f.opened.map_or(String::new(), |on| format!(", opened {}", date(on)));
            format!("finding {}{opened}: {}. {}", f.number, f.what, f.became)
        })
        .collect();
    let nothing = "no finding is recorded; that is not the same as nothing to be found";
    list("found", &found, none(&["finding-opened"], nothing), out)?;
    list("radon", &tested(&s.radon), none(&["radon-tested"], "never tested"), out)?;
    list("sump pump", &tested(&s.sump), none(&["sump-tested"], "no test is recorded"), out)?;
    let mended: Vec<String> =
        s.repairs.iter().map(|r| format!("{}: {}. Looked at afterwards: {}", date(r.on), r.what, r.checked)).collect();
    list("repaired", &mended, none(&["repair-made"], "no repair is recorded"), out)?;
    let judged: Vec<String> = s
        .judgements
        .iter()
        .map(|j| format!("{}: {}: {}. Document: {}", date(j.on), j.by, j.says, j.document_and_hash()))
        .collect();
    list("judged by licensed people", &judged, none(&["judgement-given"], "no judgement is recorded"), out)?;
    list("happened to the house", &s.events, none(&["event-happened"], "nothing is recorded"), out)?;
    list(
        "never looked at or tested",
        &s.never,
        "nothing that this program asks for; it does not ask for everything",
        out,
    )
}

pub fn disclosure_json(d: &Disclosure) -> Value {
    let s = &d.summary;
    let tests = |tests: &[Tested]| -> Vec<Value> {
        tests
            .iter()
            .map(|t| json!({"entry": t.seq, "on": t.on, "where": t.place, "what": t.what, "counts": t.counts}))
            .collect()
    };
    json!({
        "property": d.property.key, "name": d.property.name, "as_of": d.today,
        "note": format!("{DISCLOSURE_LAW} {DISCLOSURE_FACTS}"),
        "left_out": d.gaps.words(), "told_without_amounts": d.told,
        "foundations": s.foundations,
        "findings": s.findings.iter().map(|f| json!({"number": f.number, "opened_on": f.opened, "what": f.what, "became": f.became, "band": f.band})).collect::<Vec<_>>(),
        "radon_tests": tests(&s.radon),
        "sump_tests": tests(&s.sump),
        "repairs": s.repairs.iter().map(|r| json!({"entry": r.seq, "on": r.on, "what": r.what, "checked": r.checked})).collect::<Vec<_>>(),
        "judgements": s.judgements.iter().map(|j| json!({"entry": j.seq, "on": j.on, "by": j.by, "says": j.says, "document": j.document_and_hash()})).collect::<Vec<_>>(),
        "events": s.events,
        "never_looked_at": s.never,
    })
}

const DISCLOSURE_LAW: &str = "What a seller has to disclose is local law. A licensed person (an attorney, or an agent where the law has it so) answers for \
                              what goes into the form; this list only helps to find it.";
const DISCLOSURE_FACTS: &str = "Every line is a fact as somebody entered it, with its date. What is not here was not recorded, which is not the same as \
                                not there.";

fn tested(tests: &[Tested]) -> Vec<String> {
    tests.iter().map(|t| format!("{}, {}: {}; {}", date(t.on), t.place, t.what, t.counts)).collect()
}

fn list(title: &str, lines: &[String], none: &str, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!(""))?;
    line(out, format_args!("{title}"))?;
    if lines.is_empty() {
        return line(out, format_args!("  {none}"));
    }
    lines.iter().try_for_each(|text| line(out, format_args!("  {}", wrapped(&plain(text), WIDTH - 4, "    "))))
}
