//! `remind` on the screen: what went out by which channel, what did not and why, and when it is tried again.

use std::io::Write;
use std::process::ExitCode;

use chrono::{DateTime, TimeDelta, Utc};
use serde_json::json;

use super::arguments::Remind;
use super::failure::Failure;
use super::output::{line, print_json, written};
use super::words::{counted, plain};
use crate::command::remind::{self, Listed, Ran, Which};
use crate::command::{self, Context};
use crate::remind::settings::{EXAMPLE, Settings};
use crate::remind::wait::Signals;
use crate::store::Down;

/// How long is waited where the ledger cannot be read or written just now.
const LATER: TimeDelta = TimeDelta::minutes(1);

pub fn remind(context: &Context, asked: &Remind, as_json: bool, out: &mut dyn Write) -> Result<ExitCode, Failure> {
    use super::arguments::RemindVerb as Verb;
    match &asked.verb {
        Some(Verb::Example) => line(out, format_args!("{}", EXAMPLE.trim_end()))?,
        Some(Verb::List) => list(context, &remind::settings(context, &asked.fields)?, as_json, out)?,
        Some(Verb::Install { remove, yes }) => install(context, asked, *remove, *yes, out)?,
        None if asked.fields.dry_run => preview(context, &remind::settings(context, &asked.fields)?, as_json, out)?,
        None if asked.fields.stay => stay(context, asked, out)?,
        None => return once(context, asked, out),
    }
    Ok(ExitCode::SUCCESS)
}

fn once(context: &Context, asked: &Remind, out: &mut dyn Write) -> Result<ExitCode, Failure> {
    let settings = remind::settings(context, &asked.fields)?;
    remind::on_its_day(context, &settings, false)?;
    let which = if asked.fields.if_time { Which::InTime } else { Which::All };
    let (mut down, mut unknown, mut any) = (Vec::new(), Vec::new(), false);
    remind::run(context, &settings, which, &|| false, out, &mut |ran, out| {
        any = true;
        down.extend(ran.down.clone().map(|d| (ran.channel.clone(), d)));
        unknown.extend(ran.unknown.iter().map(|key| (ran.channel.clone(), key.clone())));
        tell(ran, context.now, out)
    })?;
    if !any {
        line(out, format_args!("no moment has come since the last time"))?;
    }
    if down.is_empty() && unknown.is_empty() {
        return Ok(ExitCode::SUCCESS);
    }
    out.flush().map_err(|error| written(&error))?;
    let failure = |(channel, down): &(String, Down)| {
        Failure::new(1, format!("channel `{}`: {}", plain(channel), plain(&down.problem)))
            .given(channel)
            .attempt(format!("the next try is at {}; `stemwall remind` tries at once", at(down.next_try)))
    };
    let of_none = |(channel, key): &(String, String)| {
        Failure::new(1, format!("channel `{}`: property `{}` is not in this ledger", plain(channel), plain(key)))
            .given(key)
            .attempt("`stemwall property list` shows what there is; the channel tells of its other houses")
    };
    Err(Failure::all(down.iter().map(failure).chain(unknown.iter().map(of_none)).collect()))
}

/// Sends whenever a moment has come, until it is told to end.
fn stay(context: &Context, asked: &Remind, out: &mut dyn Write) -> Result<(), Failure> {
    let signals = Signals::take().map_err(|error| Failure::new(1, format!("signals cannot be waited for: {error}")))?;
    let mut settings = remind::settings(context, &asked.fields)?;
    remind::on_its_day(context, &settings, true)?;
    let mut said = None;
    while !signals.ended() {
        let now = Utc::now();
        let context = Context { path: context.path.clone(), today: context.today, now, by: None, ask: None };
        let mut each = |ran: &Ran, out: &mut dyn Write| {
            tell(ran, now, out)?;
            if let Some(down) = &ran.down {
                anstream::eprintln!("warning: channel `{}`: {}", plain(&ran.channel), plain(&down.problem));
            }
            out.flush()
        };
        let next = match remind::run(&context, &settings, Which::InTime, &|| signals.ended(), out, &mut each) {
            Ok(Some(next)) => next,
            Ok(None) => return line(out, format_args!("no moment is left")),
            // Another program may hold the ledger, or its disk be full, for a while.
            Err(error @ (command::Error::Store(_) | command::Error::Remind(_))) if said.is_some() => {
                anstream::eprint!("{}", Failure::from(error));
                Utc::now() + LATER
            }
            Err(error) => return Err(error.into()),
        };
        if signals.ended() {
            break;
        }
        if said != Some(next) {
            line(out, format_args!("waiting until {}", at(next)))?;
            said = Some(next);
        }
        out.flush().map_err(|error| written(&error))?;
        signals.sleep(next, Utc::now()).map_err(|error| Failure::new(1, format!("sleeping failed: {error}")))?;
        if signals.ended() {
            break;
        }
        match remind::settings(&context, &asked.fields) {
            Ok(read) => settings = read,
            Err(error) => anstream::eprint!("{}", Failure::from(error)),
        }
    }
    line(out, format_args!("ended"))
}

/// A line of what became of a channel.
fn tell(ran: &Ran, now: DateTime<Utc>, out: &mut dyn Write) -> std::io::Result<()> {
    let mut says = Vec::new();
    if ran.again > 0 {
        says.push(format!("{} sent again, which may have gone out before", counted(ran.again, "message", "messages")));
    }
    if ran.messages > 0 {
        let things = counted(ran.things, "thing", "things");
        says.push(format!("sent {} of {things}", counted(ran.messages, "message", "messages")));
    }
    says.extend(ran.written.iter().map(|file| format!("wrote {}", file.display())));
    says.extend(ran.quiet_until.map(|until| format!("quiet until {}", at(until))));
    says.extend(ran.unknown.iter().map(|key| format!("property `{key}` is not in this ledger")));
    says.extend(ran.down.as_ref().map(|down| down_in_words(down, now)));
    if says.is_empty() {
        says.push("nothing new".into());
    }
    writeln!(out, "{}: {}", plain(&ran.channel), plain(&says.join("; ")))
}

/// `down since … (why); next try …`
pub fn down_in_words(down: &Down, now: DateTime<Utc>) -> String {
    let next =
        if down.next_try <= now { "as soon as somebody sends".to_owned() } else { format!("at {}", at(down.next_try)) };
    format!("down since {} ({}); next try {next}", at(down.since), plain(&down.problem))
}

fn at(at: DateTime<Utc>) -> String {
    at.format("%Y-%m-%d %H:%M UTC").to_string()
}

fn list(context: &Context, settings: &Settings, as_json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let all = remind::list(context, settings)?;
    if as_json {
        let down = |down: &Down| json!({"since": down.since, "tries": down.tries, "next_try": down.next_try, "problem": down.problem});
        let one = |l: &Listed| {
            json!({"channel": l.channel, "kind": l.kind, "next": l.next, "handled_until": l.handled_until,
                   "down": l.down.as_ref().map(down)})
        };
        return print_json(out, &json!(all.iter().map(one).collect::<Vec<_>>()));
    }
    for l in &all {
        let says = match (&l.down, l.next) {
            (Some(down), _) => down_in_words(down, context.now),
            (None, Some(next)) if l.quiet => format!("next at {}, once the quiet hours of its moment end", at(next)),
            (None, Some(next)) => format!("next at {}", at(next)),
            (None, None) => "no moment is left".to_owned(),
        };
        line(out, format_args!("{} ({}): {says}", plain(&l.channel), l.kind))?;
    }
    Ok(())
}

fn preview(context: &Context, settings: &Settings, as_json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let all = remind::preview(context, settings)?;
    if as_json {
        let messages: Vec<_> = all.iter().flat_map(|(_, messages)| messages).collect();
        return print_json(out, &json!(messages));
    }
    for (channel, messages) in &all {
        let what = counted(messages.len() as u64, "message", "messages");
        line(out, format_args!("{}: {what} would go out", plain(channel)))?;
        for message in messages {
            line(out, format_args!("  {}", plain(&message.summary)))?;
        }
    }
    Ok(())
}

fn install(context: &Context, asked: &Remind, remove: bool, yes: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let verb = if remove { "remove" } else { "write" };
    let mut shown = Ok(());
    let installed = remind::install(context, &asked.fields, remove, &mut |files| {
        shown = files.iter().try_for_each(|(path, text)| {
            line(out, format_args!("{}", path.display()))?;
            text.lines().try_for_each(|text| line(out, format_args!("    {text}")))
        });
        shown = shown.clone().and_then(|()| out.flush().map_err(|error| written(&error)));
        shown.is_ok() && (yes || context.ask.is_some_and(|ask| ask(&format!("{verb} these?"))))
    })?;
    shown?;
    match (installed.done, remove) {
        (false, _) => line(out, format_args!("nothing was changed; --yes says yes to it")),
        (true, false) => {
            line(out, format_args!("written; next:"))?;
            line(out, format_args!("  systemctl --user daemon-reload"))?;
            line(out, format_args!("  systemctl --user enable --now stemwall-remind.timer"))
        }
        (true, true) => {
            line(out, format_args!("removed; next:"))?;
            line(out, format_args!("  systemctl --user disable --now stemwall-remind.timer"))?;
            line(out, format_args!("  systemctl --user daemon-reload"))
        }
    }
}
