//! What can be typed of duties.

use clap::Subcommand;

use crate::command::{Circumstances, duty};

#[derive(Debug, Subcommand)]
pub enum Duty {
    /// Every duty with its rule, its reason and its source; of one house, what it has and when
    List {
        /// larkspur-14
        key: Option<String>,
    },
    /// Switch it off, change when, or add your own: stemwall duty set termite-look --every 2y
    Set {
        /// Its name in the almanac, or a name of your own
        duty: String,
        #[command(flatten)]
        fields: duty::SetFields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// What was set holds no longer: stemwall duty drop termite-look --at larkspur-14
    Drop {
        duty: String,
        /// One house, or a part of it [default: all houses]
        #[arg(long, value_name = "SUBJECT")]
        at: Option<String>,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// The same as stemwall done
    Done {
        /// The code in the list of what is due, what it was done to, or the duty's name
        what: String,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// Leave one occurrence out, or do it by another day: stemwall duty skip CODE --nobody-in --until 2026-03-20
    Skip {
        /// The code in the list of what is due, what it is of, or the duty's name
        what: String,
        #[command(flatten)]
        fields: duty::SkipFields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
    /// Postpone the line, and nothing else: stemwall duty snooze CODE --for 1w
    Snooze {
        /// The code in the list of what is due, what it is of, or the duty's name
        what: String,
        #[command(flatten)]
        fields: duty::SnoozeFields,
    },
    /// Somebody comes, or something was ordered: what is due there waits until then
    Expect {
        /// larkspur-14, larkspur-14/2, larkspur-14/pump
        subject: String,
        #[command(flatten)]
        fields: duty::ExpectFields,
        #[command(flatten)]
        circumstances: Circumstances,
    },
}
