//! `verify`, `backup`, `restore`, `rebuild`: the ledger itself is looked after.

use std::path::Path;

use super::{Context, Error};
use crate::store::{BackupReport, Report, Store};

/// Checks the whole ledger; what is wrong is in the report.
pub fn verify(context: &Context, progress: &mut (dyn FnMut(u64, u64) + Send)) -> Result<Report, Error> {
    Ok(context.open_to_read()?.verify(progress)?)
}

/// Writes one archive with the ledger and its files.
pub fn backup(context: &Context, to: &Path) -> Result<BackupReport, Error> {
    Ok(context.open_to_read()?.backup(to)?)
}

/// Puts an archive back where there is no ledger.
pub fn restore(context: &Context, archive: &Path) -> Result<Report, Error> {
    Ok(Store::restore(archive, &context.path)?)
}

/// Computes everything that comes from the entries anew; gives the number of properties.
pub fn rebuild(context: &Context, progress: &mut dyn FnMut(u64, u64)) -> Result<u64, Error> {
    let today = context.today_at(None);
    Ok(context.open()?.rebuild(today, progress)?)
}
