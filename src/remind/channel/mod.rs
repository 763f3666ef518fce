//! How a message gets to somebody: one way a file.
//!
//! A way that fails says whether the message certainly did not arrive. Where that is not known, the message is sent again
//! under the same name.

use std::io::Write;
use std::time::Duration;

use super::notice::Notice;
use super::settings::{Kind, Program};

mod desktop;
mod mail;
pub mod program;
pub mod webhook;

/// How long a server is waited for.
const PATIENCE: Duration = Duration::from_secs(30);

/// Why a message did not get through, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failed {
    pub problem: String,
    /// Nothing of it arrived.
    pub certain: bool,
}

impl Failed {
    fn certain(problem: impl Into<String>) -> Failed {
        Failed { problem: problem.into(), certain: true }
    }

    fn unknown(problem: impl Into<String>) -> Failed {
        Failed { problem: problem.into(), certain: false }
    }
}

/// A way that is ready to send.
pub enum Open<'a> {
    Screen,
    Mail(Box<mail::Connection<'a>>),
    Webhook(Box<webhook::Hook>),
    Desktop,
    Program(&'a Program),
}

impl Kind {
    /// Makes ready to send; `None` for what sends no messages.
    pub fn open(&self) -> Result<Option<Open<'_>>, Failed> {
        Ok(Some(match self {
            Kind::Calendar { .. } => return Ok(None),
            Kind::Screen => Open::Screen,
            Kind::Mail(mail) => Open::Mail(Box::new(mail::Connection::open(mail)?)),
            Kind::Webhook(hook) => Open::Webhook(Box::new(webhook::Hook::open(hook)?)),
            Kind::Desktop => Open::Desktop,
            Kind::Program(program) => Open::Program(program),
        }))
    }
}

impl Open<'_> {
    pub fn send(&mut self, notice: &Notice, screen: &mut dyn Write) -> Result<(), Failed> {
        match self {
            Open::Screen => {
                // A line between this message and what follows.
                let written = writeln!(screen, "{}", notice.text).and_then(|()| screen.flush());
                written.map_err(|error| Failed::certain(format!("standard output cannot be written: {error}")))
            }
            Open::Mail(connection) => connection.send(notice),
            Open::Webhook(hook) => hook.send(notice),
            Open::Desktop => desktop::send(notice),
            Open::Program(program) => {
                let limit = Duration::from_secs(program.seconds.get().into());
                program::run_without(&program.run, &notice.to_json(), limit, &program.hidden).map(drop)
            }
        }
    }
}

/// An error with what led to it.
fn whole(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(error) = cause {
        let more = error.to_string();
        if !text.contains(&more) {
            text.push_str(&format!(": {more}"));
        }
        cause = error.source();
    }
    text
}
