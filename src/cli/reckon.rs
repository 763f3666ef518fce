//! Calculations on a screen and line by line.

use std::io::Write;
use std::process::ExitCode;

use serde::Serialize;
use serde_json::value::RawValue;

use super::advice;
use super::failure::Failure;
use super::output::{line, written};
use super::verdict::authority;
use super::words::{plain, wrapped};
use crate::command::reckon::{Lines, flags};
use crate::reckon::{
    ALL, Answer, Authority, Calculation, Fact, Fault, Found, Group, Input, Need, Outcome, named, never_comes,
};

#[cfg(test)]
mod tests;

/// How wide the text under a heading may be.
const WIDTH: usize = 92;
/// Beyond it a value is a sentence and has its line to itself.
const LONGEST_VALUE: usize = 60;
/// Items of a list that are shown to people.
const MOST_SHOWN: usize = 24;

/// Lists all calculations, tells of one, runs one, or answers lines.
pub fn run(words: &[String], json: bool) -> Result<ExitCode, Failure> {
    let (words, json) = own_words(words, json);
    if words.first().is_some_and(|word| word == "--lines") {
        return lines(&words[1..]);
    }
    let stdout = anstream::stdout();
    let mut out = std::io::BufWriter::new(stdout.lock());
    one(&words, json, &mut out)?;
    out.flush().map_err(|error| written(&error))?;
    Ok(ExitCode::SUCCESS)
}

/// Takes out the flags that every command knows; a calculation has no use for a ledger.
fn own_words(words: &[String], mut json: bool) -> (Vec<String>, bool) {
    let mut left = Vec::new();
    let mut words = words.iter();
    while let Some(word) = words.next() {
        match word.as_str() {
            "--json" => json = true,
            "--ledger" | "--today" | "--by" => drop(words.next()),
            word if ["--ledger=", "--today=", "--by="].iter().any(|own| word.starts_with(own)) => {}
            _ => left.push(word.clone()),
        }
    }
    (left, json)
}

fn one(words: &[String], json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let asks_for_help = words.iter().any(|word| word == "--help" || word == "-h");
    let Some(name) = words.first().filter(|word| !word.starts_with('-')) else {
        let stray = words.iter().find(|word| *word != "--help" && *word != "-h");
        return match stray {
            Some(stray) => Err(refused(None, &Fault::new("line", Fact::Stray(stray.clone())))),
            None if json => line(out, format_args!("{:#}", all_json())),
            None => list(out),
        };
    };
    let Some(calculation) = named(name) else {
        return Err(refused(None, &Fault::new("reckon", Fact::UnknownCalculation(name.clone()))));
    };
    if asks_for_help {
        return help(calculation, out);
    }
    let outcome = flags(calculation, &words[1..]).map_err(|fault| refused(Some(calculation), &fault))?;
    let rule = flag_value(words, "--rule").filter(|_| calculation.name == "occurrences");
    if let Some(rule) = rule.filter(|rule| never_comes(rule) == Some(true)) {
        anstream::eprintln!("warning: `{}` never comes: it is about a day that no year has", plain(rule));
    }
    if json {
        line(out, format_args!("{:#}", outcome_json(calculation, &outcome)))
    } else {
        let us = is_in_us_units(&words[1..]);
        let degrees = us && flag_value(words, "--kind") == Some("temperature");
        show(calculation, &outcome, us, degrees, out)
    }
}

/// What was typed behind a flag.
fn flag_value<'w>(words: &'w [String], flag: &str) -> Option<&'w str> {
    let at = words.iter().position(|word| word == flag).and_then(|at| words.get(at + 1)).map(String::as_str);
    at.or_else(|| words.iter().find_map(|word| word.strip_prefix(flag)?.strip_prefix('=')))
}

fn refused(calculation: Option<&Calculation>, fault: &Fault) -> Failure {
    advice::of_reckoned(calculation, fault, &super::given::typed())
}

fn list(out: &mut dyn Write) -> Result<(), Failure> {
    let width = ALL.iter().map(|calculation| calculation.name.len()).max().unwrap_or(0);
    for group in Group::ALL {
        let mut of_group = ALL.iter().filter(|calculation| calculation.group == group).peekable();
        if of_group.peek().is_some() {
            line(out, format_args!("{}", group.title()))?;
        }
        for calculation in of_group {
            line(out, format_args!("  {:width$}  {}", calculation.name, calculation.does))?;
        }
    }
    line(out, format_args!(""))?;
    line(out, format_args!("stemwall reckon NAME --help   what it takes, its rule and source"))?;
    line(out, format_args!("stemwall reckon --lines       JSON Lines from standard input, an answer a line"))
}

fn help(calculation: &Calculation, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("{}: {}", calculation.name, calculation.does))?;
    line(out, format_args!(""))?;
    line(
        out,
        format_args!("  {}", in_a_shell(&format!("stemwall reckon {} {}", calculation.name, calculation.example))),
    )?;
    line(out, format_args!(""))?;
    let flags = calculation.inputs.iter().map(|input| (input.flag(), taken(input)));
    let names = calculation.results.iter().map(|output| (output.name.to_owned(), output.says.to_owned()));
    let [flags, names] = [flags.collect::<Vec<_>>(), names.collect()];
    let width = flags.iter().chain(&names).map(|(name, _)| name.len()).max().unwrap_or(0);
    let indent = " ".repeat(width + 4);
    for (heading, rows) in [("takes", flags), ("gives", names)] {
        line(out, format_args!("{heading}"))?;
        for (name, text) in rows {
            line(out, format_args!("  {name:width$}  {}", wrapped(&text, WIDTH - width, &indent)))?;
        }
    }
    by(calculation, None, out)
}

/// A command as a shell takes it, on several lines where it is long: broken before a flag.
fn in_a_shell(command: &str) -> String {
    let mut parts = command.split(" --");
    let mut text = parts.next().unwrap_or_default().to_owned();
    let mut width = text.chars().count();
    for part in parts {
        let more = part.chars().count() + 3;
        if width + more > WIDTH {
            text.push_str(" \\\n   ");
            width = 3;
        }
        text.push_str(" --");
        text.push_str(part);
        width += more;
    }
    text
}

fn taken(input: &Input) -> String {
    let need = match input.need {
        Need::Required => String::new(),
        Need::Optional => "; may be left out".to_owned(),
        Need::Default(default) => format!("; `{default}` where it is left out"),
    };
    let several = if input.kind.is_list() { "; give it several times, or as JSON" } else { "" };
    format!("{}: {}{need}{several}", input.says, input.kind.described())
}

/// The rules with their sources; of a variant that was used, its own.
fn by(calculation: &Calculation, outcome: Option<&Outcome>, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("by"))?;
    for rule in calculation.rules {
        let used = outcome.and_then(|outcome| outcome.variant_of(rule));
        line(out, format_args!("  {}", wrapped(used.map_or(rule.says, |variant| variant.says), WIDTH, "  ")))?;
        let source = match used {
            Some(variant) => super::words::sourced(variant.source, variant.standing),
            None => authority(rule),
        };
        let text = format!("{source} · rule `{}` · scope: {}", rule.name, rule.scope);
        line(out, format_args!("    {}", wrapped(&text, WIDTH - 2, "    ")))?;
    }
    if outcome.is_none() {
        for variant in calculation.rules.iter().flat_map(|rule| rule.variants) {
            let text = format!(
                "or `{}`: {} · {}",
                variant.name,
                variant.says,
                super::words::sourced(variant.source, variant.standing)
            );
            line(out, format_args!("    {}", wrapped(&text, WIDTH - 2, "    ")))?;
        }
    }
    Ok(())
}

/// Whether lengths, volumes and temperatures were typed in US units, and none in others.
fn is_in_us_units(words: &[String]) -> bool {
    const US: [&str; 12] = ["in", "inch", "inches", "ft", "foot", "feet", "yd", "mil", "gal", "gpm", "f", "ft2"];
    const OTHERS: [&str; 7] = ["mm", "cm", "m", "l", "ml", "c", "m2"];
    let typed = |units: &[&str]| {
        let parts =
            words.iter().filter(|word| !word.starts_with("--")).flat_map(|word| word.split([' ', '"', ',', ']']));
        let mut units_of = parts.map(|part| part.trim_start_matches(|c: char| !c.is_alphabetic()).to_lowercase());
        units_of.any(|unit| units.contains(&unit.as_str()))
    };
    typed(&US) && !typed(&OTHERS)
}

/// A metric figure with what it is in the units that were typed: `-25.4 (-1 in)`.
fn with_us(name: &str, figure: f64) -> Option<String> {
    const FOOT_M: f64 = 0.3048;
    const INCH_MM: f64 = 25.4;
    const GALLON_ML: f64 = 3785.411784;
    if name.rsplit('_').next()? == "c" {
        return Some(format!("{} ({:.1} F)", rounded(figure), 1.8 * figure + 32.0));
    }
    let (unit, other) = match name.rsplit('_').next()? {
        "mm" => ("in", figure / INCH_MM),
        "m" => ("ft", figure / FOOT_M),
        "ml" => ("gal", figure / GALLON_ML),
        _ => return None,
    };
    Some(format!("{} ({} {unit})", rounded(figure), rounded(other)))
}

/// One figure by its name: what is reported by rule keeps the place it is rounded to.
fn told(name: &str, found: &Found, us: bool) -> String {
    match found {
        Found::Figure(figure) if name.starts_with("reported_") => format!("{figure:.1}"),
        Found::Figure(figure) if us => with_us(name, *figure).unwrap_or_else(|| shown(found)),
        found => shown(found),
    }
}

/// `degrees`: the figure in SI units is a temperature, which was typed in Fahrenheit.
fn show(
    calculation: &Calculation,
    outcome: &Outcome,
    us: bool,
    degrees: bool,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    line(out, format_args!("{}", calculation.does))?;
    line(out, format_args!(""))?;
    let mut rows = Vec::new();
    for (name, found) in outcome.fields() {
        let output = calculation.results.iter().find(|output| output.name == name);
        let says = output.map_or("", |output| output.says);
        match (found, output.and_then(|output| output.figures)) {
            (Found::Figure(figure), Some(figures)) => {
                rows.push((name.to_string(), to_figures(*figure, figures), says.to_owned()));
            }
            (Found::Figure(figure), None) if degrees && name == "si" => {
                rows.push((
                    name.to_string(),
                    format!("{} ({:.1} F)", rounded(*figure), 1.8 * figure - 459.67),
                    says.to_owned(),
                ));
            }
            // Where both are given each has its own line.
            (Found::Figure(_), None) if name == "c" && outcome.fields().iter().any(|(other, _)| other == "f") => {
                rows.push((name.to_string(), shown(found), says.to_owned()));
            }
            _ => flatten(name, found, says, us, &mut rows),
        }
    }
    let names = rows.iter().map(|row| row.0.len()).max().unwrap_or(0);
    let values = rows.iter().map(|row| row.1.chars().count()).filter(|width| *width <= 25).max().unwrap_or(0);
    for (name, value, says) in rows {
        // A sentence says itself what it is.
        if value.chars().count() > LONGEST_VALUE {
            let head = format!("  {name:names$}  ");
            let indent = " ".repeat(head.len());
            line(out, format_args!("{head}{}", wrapped(&plain(&value), WIDTH + 6 - indent.len(), &indent)))?;
            continue;
        }
        let head = format!("  {name:names$}  {value:values$}  ");
        let indent = " ".repeat(head.chars().count());
        let text = wrapped(&says, (WIDTH + 6).saturating_sub(indent.len()).max(30), &indent);
        line(out, format_args!("{}", format!("{}{text}", plain(&head)).trim_end()))?;
    }
    line(out, format_args!(""))?;
    by(calculation, Some(outcome), out)?;
    line(out, format_args!(""))?;
    line(out, format_args!("Stemwall compares with published tables. It does not certify, and local codes come first."))
}

/// What is inside a group stands by itself, behind the group's name.
fn flatten(name: &str, found: &Found, says: &str, us: bool, rows: &mut Vec<(String, String, String)>) {
    match found {
        Found::Group(outcome) => {
            for (at, (inner, found)) in outcome.fields().iter().enumerate() {
                flatten(&format!("{name} {inner}"), found, if at == 0 { says } else { "" }, us, rows);
            }
        }
        Found::List(items) if items.iter().any(|item| matches!(item, Found::Group(_))) => {
            for (at, item) in items.iter().take(MOST_SHOWN).enumerate() {
                flatten(&format!("{name} {at}"), item, if at == 0 { says } else { "" }, us, rows);
            }
            if items.len() > MOST_SHOWN {
                rows.push((
                    name.to_owned(),
                    format!("and {} more", items.len() - MOST_SHOWN),
                    "`--json` shows all".to_owned(),
                ));
            }
        }
        Found::List(items) if items.len() > 1 && items.iter().all(is_long) => {
            for (at, item) in items.iter().take(MOST_SHOWN).enumerate() {
                let (name, says) = if at == 0 { (name, says) } else { ("", "") };
                rows.push((name.to_owned(), shown(item), says.to_owned()));
            }
            if items.len() > MOST_SHOWN {
                let more = format!("and {} more", items.len() - MOST_SHOWN);
                rows.push((String::new(), more, "`--json` shows all".to_owned()));
            }
        }
        found => {
            let of_its_own = name.rsplit(' ').next().unwrap_or(name);
            rows.push((name.to_owned(), told(of_its_own, found, us), says.to_owned()));
        }
    }
}

/// A word that has a line of its own.
fn is_long(found: &Found) -> bool {
    matches!(found, Found::Word(word) if word.len() > 16)
}

fn shown(found: &Found) -> String {
    match found {
        Found::Nothing => "no value".to_owned(),
        Found::Figure(figure) => rounded(*figure),
        Found::Whole(whole) => whole.to_string(),
        Found::Word(word) => word.to_string(),
        Found::Truth(true) => "yes".to_owned(),
        Found::Truth(false) => "no".to_owned(),
        Found::Date(date) => date.to_string(),
        Found::List(items) if items.is_empty() => "none".to_owned(),
        Found::List(items) => {
            let mut text = items.iter().take(MOST_SHOWN).map(shown).collect::<Vec<_>>().join(", ");
            if items.len() > MOST_SHOWN {
                text.push_str(&format!(" and {} more", items.len() - MOST_SHOWN));
            }
            text
        }
        Found::Group(_) => String::new(),
    }
}

/// To so many significant figures: `0.036`.
fn to_figures(figure: f64, figures: usize) -> String {
    if figure == 0.0 {
        return "0".to_owned();
    }
    let before_point = figure.abs().log10().floor() as i64 + 1;
    let places = usize::try_from(i64::try_from(figures).unwrap_or(0) - before_point).unwrap_or(0);
    format!("{figure:.places$}")
}

/// To four figures, whole numbers to the last; what is very small or very large with its power of ten.
fn rounded(figure: f64) -> String {
    let size = figure.abs();
    if size == 0.0 || (1000.0..1e9).contains(&size) {
        return format!("{figure:.0}");
    }
    if !(1e-4..1e9).contains(&size) {
        return format!("{figure:.3e}");
    }
    // Figures before the point: 1 from 1 to below 10, 0 below 1, -1 below a tenth.
    let before = size.log10().floor() as i32 + 1;
    let text = format!("{figure:.*}", usize::try_from(4 - before).unwrap_or(0));
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

fn all_json() -> serde_json::Value {
    let one = |calculation: &&Calculation| {
        let inputs: Vec<_> =
            calculation.inputs.iter().map(|i| serde_json::json!({"name": i.name, "is": taken(i)})).collect();
        serde_json::json!({"reckon": calculation.name, "does": calculation.does, "inputs": inputs,
            "rules": Outcome::new().authorities(calculation.rules)})
    };
    ALL.iter().map(one).collect()
}

fn outcome_json(calculation: &Calculation, outcome: &Outcome) -> String {
    let answered = Answered {
        id: None,
        reckon: Some(calculation.name),
        result: Some(outcome),
        rules: Some(outcome.authorities(calculation.rules)),
        error: None,
    };
    serde_json::to_string_pretty(&answered).unwrap_or_default()
}

/// One line of the answer, in the order in which it is read.
#[derive(Serialize)]
struct Answered<'a> {
    #[serde(skip_serializing_if = "Option::is_none")]
    id: Option<&'a RawValue>,
    #[serde(skip_serializing_if = "Option::is_none")]
    reckon: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    result: Option<&'a Outcome>,
    #[serde(skip_serializing_if = "Option::is_none")]
    rules: Option<Vec<Authority>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    error: Option<Refused>,
}

#[derive(Serialize)]
struct Refused {
    what: String,
    input: String,
    r#try: String,
}

/// Answers line after line; 1 if a line could not be read as JSON.
fn lines(more: &[String]) -> Result<ExitCode, Failure> {
    if let Some(stray) = more.first() {
        return Err(refused(None, &Fault::new("line", Fact::Stray(stray.clone()))));
    }
    let mut out = std::io::BufWriter::new(std::io::stdout().lock());
    let mut input = Lines::new(std::io::stdin().lock());
    let mut all_readable = true;
    while let Some(answer) = input.next_answer().map_err(|error| unread(&error))? {
        all_readable &= answer.readable;
        write_answer(&answer, &mut out).map_err(|error| written(&error))?;
        if input.waits() {
            out.flush().map_err(|error| written(&error))?;
        }
    }
    out.flush().map_err(|error| written(&error))?;
    Ok(if all_readable { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn unread(error: &std::io::Error) -> Failure {
    Failure::new(1, format!("standard input cannot be read: {error}"))
}

fn write_answer(answer: &Answer, out: &mut dyn Write) -> std::io::Result<()> {
    let outcome = answer.outcome.as_ref();
    let refused = |fault: &Fault| Refused {
        what: fault.to_string(),
        input: fault.input.clone(),
        r#try: advice::of_fault(answer.calculation, fault, str::to_owned),
    };
    let answered = Answered {
        id: answer.id.as_deref(),
        reckon: answer.reckon.as_deref(),
        result: outcome.ok(),
        rules: outcome.ok().zip(answer.calculation).map(|(outcome, c)| outcome.authorities(c.rules)),
        error: outcome.err().map(refused),
    };
    serde_json::to_writer(&mut *out, &answered)?;
    out.write_all(b"\n")
}
