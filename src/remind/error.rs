//! What keeps reminders from being set up. Facts only; what to do about them is said at the edge.

use std::path::PathBuf;

use chrono::NaiveDate;

use super::moments::QuietError;
use crate::calendar::cron_text::CronError;

#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RemindError {
    #[error("there is no configuration at `{}`", path.display())]
    NoConfiguration { path: PathBuf },
    #[error("`{}` cannot be read: {error}", path.display())]
    Unreadable { path: PathBuf, error: String },
    #[error("`{}` can be written by others (mode {mode:03o})", path.display())]
    OthersWrite { path: PathBuf, mode: u32 },
    #[error("`{}` belongs to another user", path.display())]
    Foreign { path: PathBuf },
    /// It is no TOML, or has what a configuration does not have.
    #[error("line {line}: {error}")]
    NotToml { path: PathBuf, line: usize, error: String },
    #[error("zone `{given}` is not known")]
    UnknownZone { given: String, near: Option<String> },
    #[error("`{given}` is not cron text: {error}")]
    Cron { given: String, error: CronError },
    #[error("`{given}` never comes")]
    Never { given: String },
    #[error("`{given}` {error}")]
    Quiet { given: String, error: QuietError },
    #[error("`{given}` is not a number of days")]
    NotDays { field: &'static str, given: String },
    /// What is wrong stands at one channel.
    #[error("channel `{channel}`: {error}")]
    OfChannel { channel: String, error: Box<RemindError> },
    #[error("no channel is set up")]
    NoChannel,
    #[error("there are two channels `{name}`")]
    TwoOfAName { name: String },
    #[error("`{name}` is not a name for a channel")]
    BadName { name: String },
    #[error("channel `{channel}`: a channel of kind {kind} needs `{field}`")]
    Missing { channel: String, kind: &'static str, field: &'static str },
    #[error("channel `{channel}`: a channel of kind {kind} has no `{field}`")]
    NotOfKind { channel: String, kind: &'static str, field: &'static str },
    #[error("channel `{channel}`: `lead` and `overdue_by` do not go together")]
    LeadAndOverdue { channel: String },
    #[error("channel `{channel}`: `{given}` is not a mail address")]
    NotAnAddress { channel: String, given: String },
    #[error("channel `{channel}`: `{given}` is not an address of the web")]
    NotAUrl { channel: String, given: String },
    #[error("channel `{channel}`: what goes to `{host}` would not be encrypted")]
    Plain { channel: String, host: String },
    #[error("channel `{channel}`: `{given}` is not the name of a server")]
    NotAServer { channel: String, given: String },
    #[error("channel `{channel}`: `{given}` is not how a mail server is spoken to")]
    NotSecurity { channel: String, given: String },
    /// What would be told of then would be noted as told, and told no more when its day has come.
    #[error("nothing is sent as of {asked}: today is {today}")]
    NotToday { asked: NaiveDate, today: NaiveDate },
    #[error("another stemwall has been sending reminders of this ledger for {seconds} seconds")]
    Busy { seconds: u64 },
    #[error("`{}` was not written by `stemwall remind install`", path.display())]
    NotOurs { path: PathBuf },
    #[error("there is no `{}`", path.display())]
    NothingInstalled { path: PathBuf },
    #[error("`{}` cannot be written: {error}", path.display())]
    Unwritable { path: PathBuf, error: String },
}
