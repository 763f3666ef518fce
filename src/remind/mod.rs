//! Reminders: what is sent to whom, when, and how it gets there exactly once as the reader sees it.
//!
//! Pure: [`calls`] (on which days an occurrence is told), [`moments`] (at which instants anything is sent), [`plan`] (what
//! goes into which message), [`notice`] (what a message says). Not pure: [`settings`] reads the configuration, [`channel`]
//! sends, [`wait`] sleeps. What was sent stands in the ledger's outbox; `command::remind` brings the two together.

pub mod calls;
pub mod channel;
pub mod error;
#[cfg(test)]
mod laws;
pub mod moments;
pub mod notice;
pub mod plan;
pub mod secret;
pub mod settings;
pub mod unit;
pub mod wait;
