//! The command line: what can be typed, what is shown, and how it ends.

use std::process::ExitCode;

use chrono::{NaiveDate, Utc};
use clap::{CommandFactory, Parser};

use crate::command::Context;
use crate::ledger::when::When;

mod advice;
mod air;
mod arguments;
mod bars;
mod defer;
mod demo;
mod dossier;
mod due;
mod duties;
mod failure;
mod given;
mod ics;
mod imported;
mod lists;
mod output;
mod plan;
mod plastic_sheet;
mod reckon;
mod recorded;
mod remind;
mod risk;
mod run;
mod screen;
mod sheet;
mod verdict;
mod visits;
pub mod walk;
mod words;

use arguments::{Arguments, Command};
use failure::Failure;

/// Reads the command line, carries it out, and says how it ended: 0 done, 1 cannot be met, 2 command line wrong, 3 the
/// ledger is damaged or too new.
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return failure::of_clap(&error, &mut Arguments::command()),
    };
    // A calculation needs no ledger, and no folder to keep one in.
    let outcome = match &arguments.command {
        Command::Reckon { words } => reckon::run(words, arguments.json),
        // Nor does a dossier, for whoever was given one.
        Command::Verify { file: Some(file), seal } => run::without_ledger(file, seal.as_deref(), arguments.json),
        _ => context(&arguments).and_then(|context| run::run(&context, arguments)),
    };
    match outcome {
        Ok(code) => code,
        Err(failure) => failure.print(),
    }
}

fn context(arguments: &Arguments) -> Result<Context, Failure> {
    let path = match &arguments.ledger {
        Some(path) => path.clone(),
        None => default_ledger()?,
    };
    Ok(Context {
        path,
        today: arguments.today.as_deref().map(today).transpose()?,
        now: Utc::now(),
        by: arguments.by.clone(),
        ask: words::somebody_watches().then_some(words::ask as fn(&str) -> bool),
    })
}

fn today(text: &str) -> Result<NaiveDate, Failure> {
    When::parse(text).map(|when| when.date).map_err(|error| Failure::from(crate::command::Error::When(error)))
}

/// The ledger in the platform's data folder; its folder is made when the ledger is.
fn default_ledger() -> Result<std::path::PathBuf, Failure> {
    use etcetera::BaseStrategy;
    let base = etcetera::choose_base_strategy().map_err(|_| {
        Failure::new(1, "there is no home folder to keep a ledger in")
            .given("no --ledger and no HOME")
            .attempt("say where the ledger is: `--ledger PATH`")
    })?;
    let folder = base.data_dir().join("stemwall");
    if !folder.exists() {
        use std::os::unix::fs::DirBuilderExt;
        let made = std::fs::DirBuilder::new().recursive(true).mode(0o700).create(&folder);
        made.map_err(|e| {
            Failure::new(1, format!("the folder `{}` cannot be made: {e}", folder.display()))
                .attempt("say where the ledger is: `--ledger PATH`")
        })?;
    }
    Ok(folder.join("houses.stemwall"))
}
