//! What became of a file that was taken in.

use std::io::Write;

use serde_json::{Value, json};

use super::failure::Failure;
use super::output::line;
use super::words::{counted, wrapped};
use crate::command::hours;
use crate::command::import::Imported;

/// `survey`: the rows are radon tests, and bring their houses with them.
pub fn screen(imported: &Imported, dry: bool, survey: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let would = if dry { "would go in" } else { "went in" };
    let tests = match survey {
        true => counted(imported.tests as u64, "test", "tests"),
        false => counted(imported.entries as u64, "entry", "entries"),
    };
    let rows = counted(imported.rows as u64, "row", "rows");
    let known = if imported.already == 0 { String::new() } else { format!(", {} were here already", imported.already) };
    let houses = counted(imported.properties as u64, "new property", "new properties");
    let refused =
        if imported.refused.is_empty() { String::new() } else { format!(", {} refused", imported.refused_in_all()) };
    let houses = if survey { format!(", {houses}") } else { String::new() };
    line(out, format_args!("{rows}: {tests} {would}{houses}{known}{refused}"))?;
    for (label, rows) in &imported.same_as_here {
        line(out, format_args!("{}", wrapped(&same_as_here(label.as_deref(), *rows, dry), 98, "")))?;
    }
    if imported.not_valid > 0 {
        let miss = if imported.not_valid == 1 { "misses" } else { "miss" };
        let said = format!(
            "{} of them {miss} a condition of a valid test: kept as recorded, never averaged, never lowering a band; \
             `stemwall why` says which condition",
            imported.not_valid
        );
        line(out, format_args!("{}", wrapped(&said, 98, "")))?;
    }
    Ok(())
}

/// A file under another name is another file: what it says twice counts twice.
fn same_as_here(label: Option<&str>, rows: usize, dry: bool) -> String {
    let (say, stand) = match (rows == 1, dry) {
        (true, true) => ("says", "it would stand twice"),
        (true, false) => ("says", "it stands twice now"),
        (false, true) => ("say", "they would stand twice"),
        (false, false) => ("say", "they stand twice now"),
    };
    match label {
        Some(label) => format!(
            "caution: {rows} of them {say} word for word what came in under the label `{label}`: if it is one file, {stand}; \
             with `--label {label}` no row goes in twice"
        ),
        None => format!(
            "caution: {rows} of them {say} word for word what is recorded here: if it is the same, {stand}; give a copy of a \
             file the `--label` of the first, its name, and no row goes in twice"
        ),
    }
}

/// What a monitor's file holds, and what stands out in it, said as observation.
pub fn hours(imported: &hours::Imported, out: &mut dyn Write) -> Result<(), Failure> {
    let hours = counted(imported.hours as u64, "hour", "hours");
    line(out, format_args!("{hours} of record, {} counted", imported.record.hours))?;
    for problem in &imported.record.problems {
        line(out, format_args!("  {problem}: it does not count as a test"))?;
    }
    for sign in &imported.record.signs {
        line(out, format_args!("  {}", wrapped(&sign.to_string(), 94, "  ")))?;
    }
    Ok(())
}

pub fn as_json(imported: &Imported) -> Value {
    let refused: Vec<Value> = imported
        .refused
        .iter()
        .map(|row| json!({"line": row.line, "row": row.text, "why": row.problem.to_string()}))
        .collect();
    json!({
        "rows": imported.rows, "tests": imported.tests, "entries": imported.entries, "not_valid": imported.not_valid,
        "properties": imported.properties, "sections": imported.sections, "already": imported.already,
        "refused": refused, "more_refused": imported.more_refused, "same_as_here": imported.same_as_here.values().sum::<usize>(),
    })
}
