//! What can be typed of reminders.

use clap::{Args, Subcommand};

use crate::command::remind::RemindFields;

// Sends what is due, once, by every channel of the configuration, and exits
//
// What a channel was told of it is not told again; a message that may have gone out before the program was stopped is sent
// again under the same name (Message-ID, Idempotency-Key).
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = false)]
pub struct Remind {
    #[command(flatten)]
    pub fields: RemindFields,
    #[command(subcommand)]
    pub verb: Option<Verb>,
}

#[derive(Debug, Subcommand)]
#[command(defer = true)]
pub enum Verb {
    /// The channels: when each sends next, and which is down since when
    List,
    /// A configuration to begin with
    Example,
    /// Have the session of this user send by itself: shows a systemd service and timer, asks, writes them
    Install {
        /// Take them away again
        #[arg(long)]
        remove: bool,
        /// Do not ask
        #[arg(long)]
        yes: bool,
    },
}
