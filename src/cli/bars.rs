//! What is shown while somebody waits: on a terminal alone, and never where the answer goes.

use std::io::IsTerminal;

use super::failure::Failure;
use crate::command::{self, Context, keep};
use crate::store::{Store, StoreError};

/// A bar, where somebody watches.
pub fn progress() -> Option<indicatif::ProgressBar> {
    std::io::stderr().is_terminal().then(|| indicatif::ProgressBar::new(0))
}

/// A line that says what is worked on and for how long, where somebody watches: of work whose end nobody knows.
pub fn waiting() -> Option<indicatif::ProgressBar> {
    let bar = std::io::stderr().is_terminal().then(indicatif::ProgressBar::new_spinner)?;
    if let Ok(style) = indicatif::ProgressStyle::with_template("{spinner} {elapsed} {wide_msg}") {
        bar.set_style(style);
    }
    bar.enable_steady_tick(std::time::Duration::from_millis(200));
    Some(bar)
}

pub fn step(bar: Option<&indicatif::ProgressBar>, n: u64, all: u64) {
    if let Some(bar) = bar {
        bar.set_length(all);
        bar.set_position(n);
    }
}

/// Opens to read; rows of other rules or settings are computed anew first, with a bar where somebody watches.
pub fn open_with_progress(context: &Context) -> Result<Store, Failure> {
    let store = context.open_to_read()?;
    if store.outdated()?.is_none() {
        return Ok(store);
    }
    let bar = progress();
    match keep::rebuild(context, &mut |n, all| step(bar.as_ref(), n, all)) {
        // A ledger that cannot be written is read as it is.
        Ok(_) | Err(command::Error::Store(StoreError::ReadOnly { .. })) => Ok(context.open_to_read()?),
        Err(error) => Err(error.into()),
    }
}
