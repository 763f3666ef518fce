//! Advice on what stands between the program and the disk.

use super::super::failure::Failure;
use super::super::given;
use crate::store::StoreError;

pub fn of_store(error: &StoreError) -> Failure {
    use StoreError as S;
    let code = if error.is_damage() { 3 } else { 1 };
    let (path, attempt): (Option<String>, String) = match error {
        S::NotThere { path } => {
            (Some(path.display().to_string()), "`stemwall init` makes one; `--ledger PATH` names another".into())
        }
        S::AlreadyThere { path } => (
            Some(path.display().to_string()),
            "name a path where there is nothing yet; nothing is ever overwritten".into(),
        ),
        S::NoFolder { path } => (Some(path.display().to_string()), "make the folder first".into()),
        S::NotALedger { path } => {
            (Some(path.display().to_string()), "look at the path; `stemwall init` makes a ledger".into())
        }
        S::Foreign { path, .. } => (
            Some(path.display().to_string()),
            "open only ledgers you trust; `stemwall restore` brings back your own from a backup".into(),
        ),
        S::NewerSchema { path, .. } => (
            Some(path.display().to_string()),
            "use the newer stemwall; this one would not understand what it writes".into(),
        ),
        S::ReadOnly { path } => {
            (Some(path.display().to_string()), "look at who owns the file and its folder, and who may write".into())
        }
        S::Locked { path, .. } => (
            Some(path.display().to_string()),
            "wait until the other program is done, then try again; nothing was written".into(),
        ),
        S::DiskFull { path } => {
            (Some(path.display().to_string()), "make room and try again; nothing was written".into())
        }
        S::Damaged { path, .. } | S::Gone { path, .. } => (
            Some(path.display().to_string()),
            "keep this file as it is, and restore the last backup beside it: `stemwall --ledger NEW restore FILE`"
                .into(),
        ),
        S::BadEntry { entry, .. } => {
            (Some(entry.clone()), "`stemwall verify` names all that is wrong; a backup restores what was".into())
        }
        S::File { path, .. } => (Some(path.display().to_string()), "look at the path".into()),
        S::Archive { path, .. } => {
            (Some(path.display().to_string()), "restore from a file that `stemwall backup` wrote".into())
        }
        S::Io { path, .. } => (Some(path.display().to_string()), "look at the disk and the folder".into()),
        S::Sql(_) => (None, "`stemwall verify` checks the ledger".into()),
    };
    Failure::new(code, error.to_string()).given(path.unwrap_or_else(given::typed)).attempt(attempt)
}
