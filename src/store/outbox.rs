//! The outbox: which occurrence was told by which channel, what may have been told, and how the channels stand.
//!
//! A message has its row, and one for every occurrence in it, before it goes out, and is marked after. What stops in between
//! leaves it `begun`: whether it went out is not known then, and all it says is there to send it again.

use chrono::{DateTime, NaiveDate, SecondsFormat, Utc};
use rusqlite::{Row, params};
use uuid::Uuid;

use super::Store;
use super::error::StoreError;

/// An occurrence as it stands with a day, told for the n-th time, counted from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reminder {
    pub property: Uuid,
    /// Below the property; empty for the property itself.
    pub subject: String,
    pub duty: String,
    pub occurs_on: NaiveDate,
    pub due_on: NaiveDate,
    pub number: u32,
}

/// A message of which it is not known whether it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Begun {
    pub id: String,
    /// All it says.
    pub notice: String,
}

/// How a channel stands.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ChannelState {
    pub name: String,
    /// Up to when its moments are worked off.
    pub handled_until: Option<DateTime<Utc>>,
    pub down: Option<Down>,
}

/// A channel that could not be reached.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Down {
    pub since: DateTime<Utc>,
    pub tries: u32,
    pub next_try: DateTime<Utc>,
    pub problem: String,
}

/// How a message ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    Sent,
    /// Nothing of what it told stands any more.
    Dropped,
}

impl Store {
    /// The number under which a channel was last given an occurrence as it stands.
    pub fn last_reminder(&self, channel: &str, of: &Reminder) -> Result<Option<u32>, StoreError> {
        let Reminder { property, subject, duty, occurs_on, due_on, .. } = of;
        let asked = params![channel, property.to_string(), subject, duty, occurs_on.to_string(), due_on.to_string()];
        let last =
            || self.connection.prepare_cached(include_str!("sql/reminder_last.sql"))?.query_row(asked, |r| r.get(0));
        last().map_err(|e| self.sql(e))
    }

    /// Notes that a message is about to go out.
    pub fn begin_message(
        &mut self,
        channel: &str,
        message: &Begun,
        told: &[Reminder],
        now: DateTime<Utc>,
    ) -> Result<(), StoreError> {
        self.in_outbox(|store| {
            let row = params![message.id, channel, text(now), message.notice];
            store.execute(include_str!("sql/reminder_begin_message.sql"), row)?;
            told.iter().try_for_each(|one| {
                let Reminder { property, subject, duty, occurs_on, due_on, number } = one;
                let (property, occurs_on, due_on) = (property.to_string(), occurs_on.to_string(), due_on.to_string());
                let row = params![channel, property, subject, duty, occurs_on, due_on, number, message.id];
                store.execute(include_str!("sql/reminder_insert.sql"), row)
            })
        })
    }

    /// Notes how a message ended.
    pub fn end_message(&mut self, id: &str, ended: Ended, now: DateTime<Utc>) -> Result<(), StoreError> {
        let state = match ended {
            Ended::Sent => "sent",
            Ended::Dropped => "dropped",
        };
        self.in_outbox(|store| {
            store.execute(include_str!("sql/reminder_end_message.sql"), params![id, state, text(now)])
        })
    }

    /// Takes a message out that certainly did not go out: what it told is told anew.
    pub fn forget_message(&mut self, id: &str) -> Result<(), StoreError> {
        self.in_outbox(|store| store.execute(include_str!("sql/reminder_forget_message.sql"), [id]))
    }

    /// The messages of a channel of which it is not known whether they went out, the earliest first.
    pub fn unfinished_messages(&self, channel: &str) -> Result<Vec<Begun>, StoreError> {
        let all = || -> rusqlite::Result<Vec<Begun>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/reminders_unfinished.sql"))?;
            statement.query_map([channel], |r| Ok(Begun { id: r.get(0)?, notice: r.get(1)? }))?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// How the channels stand that reminders were sent by, by name.
    pub fn channel_states(&self) -> Result<Vec<ChannelState>, StoreError> {
        let all = || -> rusqlite::Result<Vec<ChannelState>> {
            let mut statement = self.connection.prepare_cached(include_str!("sql/reminder_channels.sql"))?;
            statement.query_map([], read_channel)?.collect()
        };
        all().map_err(|e| self.sql(e))
    }

    /// Notes how a channel stands now.
    pub fn put_channel_state(&mut self, state: &ChannelState) -> Result<(), StoreError> {
        let ChannelState { name, handled_until, down } = state;
        let (since, next) = (down.as_ref().map(|d| text(d.since)), down.as_ref().map(|d| text(d.next_try)));
        let (tries, problem) = (down.as_ref().map_or(0, |d| d.tries), down.as_ref().map(|d| &d.problem));
        let row = params![name, handled_until.map(text), since, tries, next, problem];
        self.in_outbox(|store| store.execute(include_str!("sql/reminder_put_channel.sql"), row))
    }

    fn in_outbox(&mut self, write: impl FnOnce(&Store) -> Result<(), StoreError>) -> Result<(), StoreError> {
        if self.read_only {
            return Err(StoreError::ReadOnly { path: self.path.clone() });
        }
        self.begin()?;
        if let Err(error) = write(self) {
            self.roll_back();
            return Err(error);
        }
        self.commit()
    }
}

fn read_channel(r: &Row) -> rusqlite::Result<ChannelState> {
    let at = |column: usize| Ok::<_, rusqlite::Error>(r.get::<_, Option<String>>(column)?.and_then(|t| t.parse().ok()));
    let down = match (at(2)?, at(4)?, r.get::<_, Option<String>>(5)?) {
        (Some(since), Some(next_try), Some(problem)) => Some(Down { since, tries: r.get(3)?, next_try, problem }),
        _ => None,
    };
    Ok(ChannelState { name: r.get(0)?, handled_until: at(1)?, down })
}

fn text(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Millis, true)
}
