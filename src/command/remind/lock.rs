//! One run at a time.

use std::fs::{File, OpenOptions};
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;
use std::time::{Duration, Instant};

use rustix::fs::{FlockOperation, flock};

use crate::remind::error::RemindError;

/// How long another run is waited for, and how often it is looked whether it is over.
const PATIENCE: Duration = Duration::from_secs(30);
const LOOK: Duration = Duration::from_millis(100);

/// Held until it is dropped; the system gives it back when the process ends, in whatever way. It is a file of its own, since
/// SQLite has locks of its own on the ledger.
pub fn take(ledger: &Path) -> Result<File, RemindError> {
    let mut path = ledger.as_os_str().to_owned();
    path.push("-remind");
    let unwritable = |error: std::io::Error| RemindError::Unwritable { path: (&path).into(), error: error.to_string() };
    let file =
        OpenOptions::new().write(true).create(true).truncate(false).mode(0o600).open(&path).map_err(unwritable)?;
    let begun = Instant::now();
    loop {
        match flock(&file, FlockOperation::NonBlockingLockExclusive) {
            Ok(()) => return Ok(file),
            Err(rustix::io::Errno::WOULDBLOCK) if begun.elapsed() < PATIENCE => std::thread::sleep(LOOK),
            Err(rustix::io::Errno::WOULDBLOCK) => return Err(RemindError::Busy { seconds: PATIENCE.as_secs() }),
            Err(error) => return Err(unwritable(error.into())),
        }
    }
}
