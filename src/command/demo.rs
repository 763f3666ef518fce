//! `demo`: four invented houses in a folder of their own.

use std::path::{Path, PathBuf};

use super::{Context, Error};
use crate::demo::chains;
use crate::ledger::entry::Remarks;
use crate::ledger::kind::ledger_started::LedgerStarted;
use crate::quantity::{Currency, Units};
use crate::store::{Store, StoreError};

/// The file in the demo's folder.
const LEDGER: &str = "houses.stemwall";

/// Makes the folder, adopts the houses, and gives the path of the ledger.
pub fn demo(context: &Context, folder: &Path) -> Result<PathBuf, Error> {
    if folder.exists() {
        return Err(StoreError::AlreadyThere { path: folder.to_owned() }.into());
    }
    std::fs::create_dir(folder).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => {
            StoreError::NoFolder { path: folder.parent().unwrap_or(Path::new(".")).to_owned() }
        }
        _ => StoreError::Io { path: folder.to_owned(), error: e.to_string() },
    })?;
    let path = folder.join(LEDGER);
    let started = LedgerStarted { units: Units::Us, currency: Currency::USD };
    let mut store = Store::create(&path, started, Remarks::default(), context.now)?;
    // Entries are dated relative to the real day: an entry is never recorded in the future.
    let today = context.now.date_naive();
    for chain in chains(today) {
        for file in &chain.files {
            store.put_bytes(file.name, file.bytes)?;
        }
        store.adopt(&chain.entries, context.today.unwrap_or(today))?;
    }
    Ok(path)
}
