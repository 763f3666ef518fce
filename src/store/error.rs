//! Why the store cannot do what it was asked. Facts only; what to do about them is said at the edge.

use std::path::{Path, PathBuf};

use rusqlite::ErrorCode;

use crate::ledger::problem::Problem;

/// One enum for everything between us and the disk.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    #[error("there is no ledger at `{}`", path.display())]
    NotThere { path: PathBuf },
    #[error("`{}` exists already", path.display())]
    AlreadyThere { path: PathBuf },
    #[error("there is no folder `{}`", path.display())]
    NoFolder { path: PathBuf },
    #[error("`{}` is not a stemwall ledger", path.display())]
    NotALedger { path: PathBuf },
    #[error("`{}` is not as a ledger is made: {object} is not ours", path.display())]
    Foreign { path: PathBuf, object: String },
    #[error("`{}` is not as a ledger is made: {object} is missing", path.display())]
    Gone { path: PathBuf, object: String },
    #[error("`{}` was written by a newer stemwall (schema {found}, this one knows {known})", path.display())]
    NewerSchema { path: PathBuf, found: i64, known: i64 },
    #[error("`{}` cannot be written", path.display())]
    ReadOnly { path: PathBuf },
    #[error("`{}` has been in use by another program for {seconds} seconds", path.display())]
    Locked { path: PathBuf, seconds: u64 },
    #[error("the disk of `{}` is full", path.display())]
    DiskFull { path: PathBuf },
    #[error("`{}` is damaged: {detail}", path.display())]
    Damaged { path: PathBuf, detail: String },
    #[error("entry {entry} is damaged: {error}")]
    BadEntry { entry: String, error: String },
    #[error("the file `{}` cannot be read: {error}", path.display())]
    File { path: PathBuf, error: String },
    #[error("`{}` is not a backup of a ledger: {detail}", path.display())]
    Archive { path: PathBuf, detail: String },
    #[error("`{}` cannot be used: {error}", path.display())]
    Io { path: PathBuf, error: String },
    #[error("the database refused: {0}")]
    Sql(String),
}

impl StoreError {
    /// The ledger is damaged or too new, as against: what was asked cannot be met.
    pub fn is_damage(&self) -> bool {
        matches!(
            self,
            StoreError::NewerSchema { .. }
                | StoreError::Gone { .. }
                | StoreError::Damaged { .. }
                | StoreError::BadEntry { .. }
        )
    }

    pub fn io(path: &Path, error: &std::io::Error) -> StoreError {
        let path = path.to_owned();
        match error.kind() {
            std::io::ErrorKind::StorageFull => StoreError::DiskFull { path },
            std::io::ErrorKind::AlreadyExists => StoreError::AlreadyThere { path },
            std::io::ErrorKind::PermissionDenied | std::io::ErrorKind::ReadOnlyFilesystem => {
                StoreError::ReadOnly { path }
            }
            _ => StoreError::Io { path, error: error.to_string() },
        }
    }

    /// What SQLite's code means for this file.
    pub(super) fn sql(path: &Path, error: rusqlite::Error) -> StoreError {
        let path = path.to_owned();
        let rusqlite::Error::SqliteFailure(failure, detail) = &error else {
            return match error {
                // A column of another type than ours: only somebody else's hand puts it there.
                rusqlite::Error::InvalidColumnType(..) | rusqlite::Error::FromSqlConversionFailure(..) => {
                    StoreError::Damaged { path, detail: error.to_string() }
                }
                _ => StoreError::Sql(error.to_string()),
            };
        };
        match failure.code {
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => {
                StoreError::Locked { path, seconds: super::open::PATIENCE.as_secs() }
            }
            ErrorCode::DiskFull => StoreError::DiskFull { path },
            ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied => StoreError::ReadOnly { path },
            ErrorCode::DatabaseCorrupt => {
                StoreError::Damaged { path, detail: detail.clone().unwrap_or_else(|| failure.to_string()) }
            }
            ErrorCode::NotADatabase => StoreError::NotALedger { path },
            ErrorCode::SystemIoFailure => StoreError::Io { path, error: error.to_string() },
            _ => StoreError::Sql(error.to_string()),
        }
    }
}

/// Everything that keeps one draft out.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// Which draft, counted from 0.
    pub index: usize,
    /// The property it was for; empty while it has none.
    pub key: String,
    pub problem: Problem,
}

/// Why nothing was appended.
#[derive(Debug, thiserror::Error)]
pub enum AppendError {
    #[error("{} refused", .0.len())]
    Refused(Vec<Refusal>),
    #[error(transparent)]
    Store(#[from] StoreError),
}
