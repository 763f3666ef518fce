//! The files that have the user's session send reminders by itself: shown before they are written, and removable.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use etcetera::BaseStrategy;

use super::super::{Context, Error};
use super::{RemindFields, configuration, settings};
use crate::remind::error::RemindError;
use crate::remind::unit::{HEAD, SERVICE, TIMER, service, timer};
use crate::store::StoreError;

/// The path of a file, and what stands in it; nothing where it is removed.
pub type Unit = (PathBuf, String);

/// What would be, or was, written or removed.
pub struct Installed {
    pub files: Vec<Unit>,
    pub done: bool,
}

/// Writes the files, or takes them away, where `agreed` says yes to them.
pub fn install(
    context: &Context,
    fields: &RemindFields,
    remove: bool,
    agreed: &mut dyn FnMut(&[Unit]) -> bool,
) -> Result<Installed, Error> {
    let base = etcetera::choose_base_strategy().map_err(|error| unwritable(Path::new("~"), &error.to_string()))?;
    let folder = base.config_dir().join("systemd").join("user");
    let paths = [folder.join(SERVICE), folder.join(TIMER)];
    for path in &paths {
        match std::fs::read_to_string(path) {
            Ok(text) if text.starts_with(HEAD) => {}
            Ok(_) => return Err(RemindError::NotOurs { path: path.clone() }.into()),
            Err(error) if error.kind() == ErrorKind::NotFound => {}
            Err(error) => return Err(RemindError::Unreadable { path: path.clone(), error: error.to_string() }.into()),
        }
    }
    if remove {
        let there = paths.iter().filter(|path| path.exists()).map(|path| (path.clone(), String::new()));
        let files: Vec<Unit> = there.collect();
        if files.is_empty() {
            return Err(RemindError::NothingInstalled { path: folder.join(TIMER) }.into());
        }
        let done = agreed(&files);
        for (path, _) in files.iter().filter(|_| done) {
            std::fs::remove_file(path).map_err(|error| unwritable(path, &error.to_string()))?;
        }
        return Ok(Installed { files, done });
    }
    // A configuration that does not read, or a ledger that is not there, would fail every quarter of an hour.
    settings(context, fields)?;
    drop(context.open_to_read()?);
    let absolute = |path: &Path| {
        let whole = path.canonicalize();
        whole.map_err(|error| Error::Store(StoreError::Io { path: path.to_owned(), error: error.to_string() }))
    };
    let program = std::env::current_exe().map_err(|error| unwritable(&folder, &error.to_string()))?;
    let (ledger, configuration) = (absolute(&context.path)?, absolute(&configuration(context, fields))?);
    let [program, ledger, configuration] = [program, ledger, configuration].map(|path| path.display().to_string());
    let words = [program.as_str(), "--ledger", &ledger, "remind", "--if-time", "--config", &configuration];
    let environment = base.config_dir().join("stemwall").join("remind.env");
    let [at_service, at_timer] = paths;
    let files = vec![(at_service, service(&words, &environment)), (at_timer, timer())];
    let done = agreed(&files);
    if done {
        std::fs::create_dir_all(&folder).map_err(|error| unwritable(&folder, &error.to_string()))?;
        for (path, text) in &files {
            write(&folder, path, text).map_err(|error| unwritable(path, &error.to_string()))?;
        }
    }
    Ok(Installed { files, done })
}

fn write(folder: &Path, path: &Path, text: &str) -> std::io::Result<()> {
    let mut file = tempfile::NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.persist(path).map(drop).map_err(|error| error.error)
}

fn unwritable(path: &Path, error: &str) -> Error {
    Error::Remind(RemindError::Unwritable { path: path.to_owned(), error: error.to_owned() })
}
