//! `demo`: four invented houses, and what can be seen of them at once.

use std::io::Write;

use super::failure::Failure;
use super::output::line;
use super::{defer, due, screen, verdict};
use crate::command::{self, Context, duty, why};
use crate::store::StoreError;

pub fn demo(context: &Context, folder: &std::path::Path, out: &mut dyn Write) -> Result<(), Failure> {
    let path = command::demo::demo(context, folder).map_err(|error| {
        let there = matches!(error, command::Error::Store(StoreError::AlreadyThere { .. }));
        let failure = Failure::from(error);
        if there {
            failure.attempt("name a folder that is not there yet: `stemwall demo --into FOLDER`")
        } else {
            failure
        }
    })?;
    let context = Context { path: path.clone(), today: context.today, now: context.now, by: None, ask: None };
    let mut store = context.open_to_read()?;
    line(out, format_args!("$ stemwall status"))?;
    screen::status(&context, &mut store, None, out)?;
    line(out, format_args!(""))?;
    line(out, format_args!("$ stemwall why larkspur-14/2"))?;
    verdict::why(&why::why(&context, &mut store, Some("larkspur-14/2"))?, out)?;
    line(out, format_args!(""))?;
    line(out, format_args!("$ stemwall defer larkspur-14/2"))?;
    let asked = command::defer::Asked { subject: Some("larkspur-14/2".to_owned()), ..Default::default() };
    defer::told(&command::defer::defer(&context, &mut store, &asked)?, out)?;
    line(out, format_args!(""))?;
    line(out, format_args!("$ stemwall due --limit 6"))?;
    due::due(&context, &mut store, &duty::DueFields { limit: Some(6), ..duty::DueFields::default() }, out)?;
    line(out, format_args!(""))?;
    line(out, format_args!("Four invented houses are in {}. Try:", path.display()))?;
    line(out, format_args!("  export STEMWALL_LEDGER={}", path.display()))?;
    for next in [
        "stemwall history larkspur-14/1        a crack that breathes with its seasons, with a correction",
        "stemwall due --visits                 what one trip to each house would do",
        "stemwall duty list larkspur-14        what a house has of the almanac, and when",
        "stemwall walk start tannery-3         a walk, point by point; q stops it",
        "stemwall why chapel-9/1               a finding that a judgement holds",
        "stemwall why chapel-9/hall            a single radon test that asks for another",
        "stemwall risk                         what the next twelve months may cost, and what is not known",
        "stemwall finding list --open          what is open, everywhere",
        "stemwall rules crack-category         a rule, its source and its scope",
        "stemwall verify                       every hash, link and file",
    ] {
        line(out, format_args!("  {next}"))?;
    }
    Ok(())
}
