//! `remind`: what is due goes out by every channel that has it not yet; once, or whenever a moment has come.
//!
//! A message is noted in the ledger before it goes out and marked after. One of which it is not known whether it went out is
//! sent again as it was and under the same name, unless nothing in it stands any more. A channel that fails is left alone for
//! a while; the others go on. One run at a time: a lock beside the ledger, which the system gives back whatever ends us.

mod gather;
mod install;
mod lock;

use std::io::Write;
use std::path::PathBuf;

use chrono::{DateTime, NaiveDate, Utc};

use super::{Context, Error};
use crate::remind::channel::{Failed, Open};
use crate::remind::error::RemindError;
use crate::remind::moments::{Due, Standing as Stands, pause};
use crate::remind::notice::Notice;
use crate::remind::plan::plan;
use crate::remind::settings::{Channel, Kind, NAME, Settings};
use crate::store::{Begun, ChannelState, Down, Ended, Store};

pub use install::{Installed, install};

// What `remind` can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct RemindFields {
    /// The configuration [default: remind.toml beside the ledger]
    #[arg(long, value_name = "FILE", global = true)]
    pub config: Option<PathBuf>,
    /// Stay, and sleep until the next moment
    #[arg(long, conflicts_with_all = ["if_time", "dry_run"])]
    pub stay: bool,
    /// Only by channels of which a moment has come since the last time, or that are to be tried again
    #[arg(long, conflicts_with = "dry_run")]
    pub if_time: bool,
    /// Show what would go out, and send nothing
    #[arg(long)]
    pub dry_run: bool,
}

/// By which channels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    All,
    /// Those of which a moment has come.
    InTime,
}

/// What became of a channel's part in a run.
#[derive(Debug, Clone, PartialEq)]
pub struct Ran {
    pub channel: String,
    pub kind: &'static str,
    pub messages: u64,
    pub things: u64,
    /// Messages of which it was not known whether they had gone out.
    pub again: u64,
    /// A calendar was written.
    pub written: Option<PathBuf>,
    /// Houses of the configuration that are not in the ledger.
    pub unknown: Vec<String>,
    /// It is quiet until then.
    pub quiet_until: Option<DateTime<Utc>>,
    pub down: Option<Down>,
}

/// A channel as `remind list` shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    pub channel: String,
    pub kind: &'static str,
    /// When it is given something next, by itself.
    pub next: Option<DateTime<Utc>>,
    /// Its moment is in quiet hours, and waits for their end.
    pub quiet: bool,
    pub handled_until: Option<DateTime<Utc>>,
    pub down: Option<Down>,
}

/// Where the configuration is.
pub fn configuration(context: &Context, fields: &RemindFields) -> PathBuf {
    fields.config.clone().unwrap_or_else(|| context.path.with_file_name(NAME))
}

/// The configuration.
pub fn settings(context: &Context, fields: &RemindFields) -> Result<Settings, Error> {
    Ok(Settings::read(&configuration(context, fields))?)
}

/// Refuses another day than today's where reminders go out: what is told ahead of its time is told no more in it. A day that
/// is past tells nothing ahead, but who stays would stay on it.
pub fn on_its_day(context: &Context, settings: &Settings, stays: bool) -> Result<(), Error> {
    let today = context.now.with_timezone(&settings.zone).date_naive();
    match context.today {
        Some(asked) if asked > today || (stays && asked != today) => Err(RemindError::NotToday { asked, today }.into()),
        _ => Ok(()),
    }
}

/// How the channels of the configuration stand.
pub fn list(context: &Context, settings: &Settings) -> Result<Vec<Listed>, Error> {
    let states = context.open_to_read()?.channel_states()?;
    let all = settings.channels.iter().map(|channel| {
        let state = state_of(&states, &channel.name);
        // One that was never used has its first moment ahead.
        let stands = standing(&state, context.now).unwrap_or(Stands { handled_until: context.now, next_try: None });
        let next = match channel.moments.due(stands, context.now) {
            Due::At(at) => Some(at),
            Due::Now => Some(context.now),
            Due::Never => None,
        };
        let moment = channel.moments.next_after(stands.handled_until);
        let delayed = stands.next_try.is_none() && moment.is_some_and(|at| channel.moments.not_quiet(at) != at);
        Listed {
            channel: channel.name.clone(),
            kind: channel.kind.word(),
            next,
            quiet: delayed,
            handled_until: state.handled_until,
            down: state.down,
        }
    });
    Ok(all.collect())
}

/// Sends what is due; gives what became of each channel that had a part, each as it is over, and then when something is to
/// be sent next, or nothing where every moment is past.
///
/// `stop` is asked before each message whether to end here.
pub fn run(
    context: &Context,
    settings: &Settings,
    which: Which,
    stop: &dyn Fn() -> bool,
    screen: &mut dyn Write,
    each: &mut dyn FnMut(&Ran, &mut dyn Write) -> std::io::Result<()>,
) -> Result<Option<DateTime<Utc>>, Error> {
    let _lock = lock::take(&context.path)?;
    let mut store = context.open()?;
    let states = store.channel_states()?;
    // A channel that was taken out of the configuration is not waited for.
    let gone = |state: &&ChannelState| settings.channels.iter().all(|channel| channel.name != state.name);
    for state in states.iter().filter(gone).filter(|state| state.down.is_some()) {
        store.put_channel_state(&ChannelState { down: None, ..state.clone() })?;
    }
    let mut next: Option<DateTime<Utc>> = None;
    for channel in &settings.channels {
        let mut state = state_of(&states, &channel.name);
        // A channel that is met for the first time has its first moment ahead.
        if which == Which::InTime && state.handled_until.is_none() {
            state.handled_until = Some(context.now);
            store.put_channel_state(&state)?;
        }
        let is_time = which == Which::All
            || standing(&state, context.now).is_some_and(|s| channel.moments.due(s, context.now) == Due::Now);
        if is_time && !stop() {
            let ran = by_channel(context, &mut store, settings, channel, &mut state, stop, screen)?;
            each(&ran, screen).map_err(gather::unwritten)?;
        }
        if let Some(Due::At(at)) = standing(&state, context.now).map(|s| channel.moments.due(s, context.now)) {
            next = Some(next.map_or(at, |next| next.min(at)));
        }
    }
    Ok(next)
}

/// What a run would send now, by channel; nothing is sent and nothing written.
pub fn preview(context: &Context, settings: &Settings) -> Result<Vec<(String, Vec<Notice>)>, Error> {
    let mut store = context.open_to_read()?;
    let today = today(context, settings);
    let mut all = Vec::new();
    for channel in settings.channels.iter().filter(|channel| !matches!(channel.kind, Kind::Calendar { .. })) {
        let standing = gather::standing(&mut store, channel, today)?;
        all.push((channel.name.clone(), plan(&channel.name, &channel.calls, channel.digest, standing, today)));
    }
    Ok(all)
}

/// One channel's part.
fn by_channel(
    context: &Context,
    store: &mut Store,
    settings: &Settings,
    channel: &Channel,
    state: &mut ChannelState,
    stop: &dyn Fn() -> bool,
    screen: &mut dyn Write,
) -> Result<Ran, Error> {
    let mut ran = Ran {
        channel: channel.name.clone(),
        kind: channel.kind.word(),
        messages: 0,
        things: 0,
        again: 0,
        written: None,
        unknown: Vec::new(),
        quiet_until: None,
        down: None,
    };
    let end = channel.moments.not_quiet(context.now);
    if end > context.now {
        ran.quiet_until = Some(end);
        return Ok(ran);
    }
    for key in &channel.properties {
        if store.property_id(key)?.is_none() {
            ran.unknown.push(key.clone());
        }
    }
    let today = today(context, settings);
    let sent = match &channel.kind {
        Kind::Calendar { file, within } => {
            let written = gather::calendar(context, store, channel, file, *within, today)?;
            ran.written = written.is_ok().then(|| file.clone());
            written
        }
        _ => messages(context, store, channel, today, stop, screen, &mut ran)?,
    };
    match sent {
        // Where it was told to stop, the rest is sent when it is started again.
        Ok(()) if stop() => return Ok(ran),
        Ok(()) => state.down = None,
        Err(failed) => {
            let tries = state.down.as_ref().map_or(0, |down| down.tries).saturating_add(1);
            let since = state.down.as_ref().map_or(context.now, |down| down.since);
            let next_try = channel.moments.not_quiet(context.now + pause(tries));
            state.down = Some(Down { since, tries, next_try, problem: failed.problem });
        }
    }
    state.handled_until = Some(context.now);
    store.put_channel_state(state)?;
    ran.down = state.down.clone();
    Ok(ran)
}

/// Sends first what may have gone out before, then what is new.
fn messages(
    context: &Context,
    store: &mut Store,
    channel: &Channel,
    today: NaiveDate,
    stop: &dyn Fn() -> bool,
    screen: &mut dyn Write,
    ran: &mut Ran,
) -> Result<Result<(), Failed>, Error> {
    let standing = gather::standing(store, channel, today)?;
    let mut open: Option<Open> = None;
    for Begun { id, notice } in store.unfinished_messages(&channel.name)? {
        let read: Option<Notice> = serde_json::from_str(&notice).ok();
        let stands = |notice: &Notice| {
            notice.things.iter().any(|t| standing.iter().any(|s| s.thing.code == t.code && s.thing.due_on == t.due_on))
        };
        let Some(notice) = read.filter(stands) else {
            store.end_message(&id, Ended::Dropped, context.now)?;
            continue;
        };
        if stop() {
            return Ok(Ok(()));
        }
        if let Err(failed) = send(&channel.kind, &mut open, &notice, screen) {
            // It may have arrived the time before.
            return Ok(Err(failed));
        }
        store.end_message(&id, Ended::Sent, context.now)?;
        ran.again += 1;
    }
    for notice in plan(&channel.name, &channel.calls, channel.digest, standing, today) {
        if stop() {
            return Ok(Ok(()));
        }
        let begun = Begun { id: notice.id.clone(), notice: notice.to_json() };
        // Before anything is noted: a server that is away is no message that may have arrived.
        if let Err(failed) = opened(&channel.kind, &mut open) {
            return Ok(Err(failed));
        }
        store.begin_message(&channel.name, &begun, &gather::reminders(&notice), context.now)?;
        match send(&channel.kind, &mut open, &notice, screen) {
            Ok(()) => store.end_message(&notice.id, Ended::Sent, context.now)?,
            Err(failed) => {
                if failed.certain {
                    store.forget_message(&notice.id)?;
                }
                return Ok(Err(failed));
            }
        }
        ran.messages += 1;
        ran.things += notice.things.len() as u64;
    }
    Ok(Ok(()))
}

fn opened<'o, 'k>(kind: &'k Kind, open: &'o mut Option<Open<'k>>) -> Result<Option<&'o mut Open<'k>>, Failed> {
    if open.is_none() {
        *open = kind.open()?;
    }
    Ok(open.as_mut())
}

fn send<'k>(
    kind: &'k Kind,
    open: &mut Option<Open<'k>>,
    notice: &Notice,
    screen: &mut dyn Write,
) -> Result<(), Failed> {
    match opened(kind, open)? {
        Some(open) => open.send(notice, screen),
        None => Ok(()),
    }
}

fn today(context: &Context, settings: &Settings) -> NaiveDate {
    context.today.unwrap_or_else(|| context.now.with_timezone(&settings.zone).date_naive())
}

fn state_of(states: &[ChannelState], name: &str) -> ChannelState {
    let known = states.iter().find(|state| state.name == name).cloned();
    known.unwrap_or_else(|| ChannelState { name: name.to_owned(), ..ChannelState::default() })
}

/// `None` for a channel that was never met. A clock that was set back does not hold up what is due by it.
fn standing(state: &ChannelState, now: DateTime<Utc>) -> Option<Stands> {
    let next_try = state.down.as_ref().map(|down| down.next_try.min(now + pause(down.tries)));
    state.handled_until.map(|handled_until| Stands { handled_until: handled_until.min(now), next_try })
}
