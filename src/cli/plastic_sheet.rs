//! The test with a taped sheet, as a procedure on the screen.

use std::io::Write;

use serde_json::{Value, json};

use super::failure::Failure;
use super::output::line;
use super::words::wrapped;
use crate::command::plastic_sheet::Steps;
use crate::trade::cautions;
use crate::trade::sheet::{self, On};

const WIDTH: usize = 92;

/// What stands beside the test; which of them comes with what it is taped to.
fn cautions(on: On) -> Vec<&'static str> {
    match on {
        On::Floor => vec![cautions::WATER_AND_ELECTRICITY, cautions::ASBESTOS],
        On::Wall => vec![cautions::WATER_AND_ELECTRICITY, cautions::LEAD_PAINT],
    }
}

fn recorded(of: &Steps) -> String {
    let (subject, surface) = (&of.subject, of.on);
    format!("stemwall plastic-sheet add {subject} --surface {surface} --side … --kept … --wet neither|under|room|both")
}

pub fn show(of: &Steps, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("a sheet on the {}, for {}", of.on, of.subject))?;
    line(out, format_args!("caution"))?;
    for caution in cautions(of.on) {
        line(out, format_args!("  {}", wrapped(caution, WIDTH, "  ")))?;
    }
    line(out, format_args!("steps"))?;
    for (number, step) in (1..).zip(of.steps) {
        line(out, format_args!("  {number}  {}", wrapped(step, WIDTH, "     ")))?;
    }
    if let Some(from) = of.look_from {
        let hours = sheet::least_hours(of.on);
        line(out, format_args!("look at it from {} on, {hours} h after it began", from.format("%-d %b %Y %H:%M")))?;
    }
    line(out, format_args!("then record what it showed; a dry sheet proves nothing"))?;
    line(out, format_args!("  {}", recorded(of)))?;
    let rule = &sheet::SHEET;
    line(out, format_args!("{} · {} · rule `{}`", rule.source, rule.standing.words(), rule.name))
}

pub fn as_json(of: &Steps) -> Value {
    json!({
        "subject": of.subject, "surface": of.on.word(), "steps": of.steps, "least_hours": sheet::least_hours(of.on),
        "look_from": of.look_from.map(|at| at.format("%Y-%m-%dT%H:%M").to_string()), "cautions": cautions(of.on),
        "record": recorded(of), "rule": sheet::SHEET.name, "source": sheet::SHEET.source,
    })
}
