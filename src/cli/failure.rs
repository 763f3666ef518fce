//! How a refusal is said: what, which input, what to do.

use std::fmt;
use std::process::ExitCode;

use clap::error::{ContextKind, ContextValue, ErrorKind};

use super::words::plain;
use crate::command::Error;

/// One refusal, or several of one input.
#[derive(Debug, Clone, PartialEq)]
pub struct Failure {
    code: u8,
    blocks: Vec<Block>,
}

#[derive(Debug, Clone, Default, PartialEq)]
struct Block {
    what: String,
    given: Option<String>,
    attempt: Option<String>,
}

impl Failure {
    pub fn new(code: u8, what: impl Into<String>) -> Failure {
        Failure { code, blocks: vec![Block { what: what.into(), ..Block::default() }] }
    }

    /// Which input it was.
    pub fn given(mut self, given: impl Into<String>) -> Failure {
        if let Some(block) = self.blocks.last_mut() {
            block.given = Some(given.into()).filter(|g| !g.is_empty());
        }
        self
    }

    /// What to do.
    pub fn attempt(mut self, attempt: impl Into<String>) -> Failure {
        if let Some(block) = self.blocks.last_mut() {
            block.attempt = Some(attempt.into()).filter(|a| !a.is_empty());
        }
        self
    }

    /// Several refusals of one input; the first decides the code, and what is said of every row is said once.
    pub fn all(failures: Vec<Failure>) -> Failure {
        let code = failures.first().map_or(1, |f| f.code);
        let mut blocks: Vec<Block> = failures.into_iter().flat_map(|f| f.blocks).collect();
        blocks.dedup();
        Failure { code, blocks }
    }

    /// Says where in an input each refusal is.
    pub fn inside(mut self, place: &str) -> Failure {
        for block in &mut self.blocks {
            block.what = format!("{place}: {}", block.what);
        }
        self
    }

    pub fn print(&self) -> ExitCode {
        anstream::eprint!("{self}");
        ExitCode::from(self.code)
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for block in &self.blocks {
            writeln!(f, "error: {}", plain(&block.what))?;
            if let Some(given) = &block.given {
                writeln!(f, "given: {}", plain(given))?;
            }
            if let Some(attempt) = &block.attempt {
                writeln!(f, "  try: {}", plain(attempt))?;
            }
        }
        Ok(())
    }
}

impl From<Error> for Failure {
    fn from(error: Error) -> Failure {
        super::advice::of(error)
    }
}

impl From<crate::store::StoreError> for Failure {
    fn from(error: crate::store::StoreError) -> Failure {
        Failure::from(Error::Store(error))
    }
}

/// What clap refuses, in our words where they are simple; help and version as clap prints them.
pub fn of_clap(error: &clap::Error, _: &mut clap::Command) -> ExitCode {
    match error.kind() {
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion => {
            anstream::print!("{}", error.render().ansi());
            return ExitCode::SUCCESS;
        }
        ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand => {
            anstream::eprint!("{}", error.render().ansi());
            return ExitCode::from(2);
        }
        _ => {}
    }
    clap_failure(error).print()
}

/// A refusal of clap's as one of ours.
pub fn clap_failure(error: &clap::Error) -> Failure {
    let of = |kind| match error.get(kind) {
        Some(ContextValue::String(text)) => Some(text.clone()),
        Some(ContextValue::Strings(texts)) => Some(texts.join(", ")),
        _ => None,
    };
    let argument = of(ContextKind::InvalidArg).unwrap_or_default();
    let value = of(ContextKind::InvalidValue);
    let suggested =
        of(ContextKind::SuggestedArg).or(of(ContextKind::SuggestedSubcommand)).or(of(ContextKind::SuggestedValue));
    let hint = suggested.map(|s| format!("did you mean `{s}`? "));
    let valid = of(ContextKind::ValidValue).filter(|valid| !valid.is_empty());
    let help = "`--help` shows what can be typed here";
    let help = match (&valid, error.kind()) {
        (Some(valid), ErrorKind::InvalidValue) => format!("one of {valid}"),
        (None, ErrorKind::ValueValidation) => number_wanted(error).unwrap_or_else(|| help.to_owned()),
        _ => help.to_owned(),
    };
    let what = match error.kind() {
        ErrorKind::UnknownArgument => format!("`{argument}` is not known here"),
        ErrorKind::InvalidSubcommand => {
            format!("`{}` is not a command", of(ContextKind::InvalidSubcommand).unwrap_or_default())
        }
        ErrorKind::MissingRequiredArgument => format!("{argument} is missing"),
        ErrorKind::MissingSubcommand => "a command is missing".to_owned(),
        ErrorKind::InvalidValue | ErrorKind::ValueValidation => match value {
            Some(value) if !value.is_empty() => format!("`{value}` is not a value of {argument}"),
            _ => format!("{argument} needs a value"),
        },
        ErrorKind::ArgumentConflict => {
            let other = of(ContextKind::PriorArg).unwrap_or_default();
            if other.is_empty() || other == argument {
                format!("{argument} was given twice")
            } else {
                let plain = |name: &str| name.replace(['[', ']', '.'], "");
                format!("{} and {} do not go together", plain(&argument), plain(&other))
            }
        }
        _ => {
            let text = error.render().to_string();
            text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned()
        }
    };
    Failure::new(2, what).given(super::given::typed()).attempt(format!("{}{help}", hint.unwrap_or_default()))
}

/// Which number was wanted, where it was one; what the reader of numbers says is all that is known of it.
fn number_wanted(error: &clap::Error) -> Option<String> {
    let source = std::error::Error::source(error)?;
    if source.is::<std::num::ParseIntError>() {
        return Some("give a whole number, not below 0".to_owned());
    }
    let text = source.to_string();
    text.split_once(" is not in ").map(|(_, range)| format!("give {}", range.replace("..=", " to ")))
}
