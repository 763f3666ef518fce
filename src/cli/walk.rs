//! A walk in the terminal, from a file of answers, and as a sheet for the clipboard.

use std::io::{BufRead, Write};

use serde_json::{Value, json};

use super::failure::Failure;
use super::output::line;
use super::verdict::date;
use super::words::{counted, plain, wrapped};
use crate::command::walk::{self, Seen, Stop, Under};
use crate::command::{Circumstances, Context};
use crate::ledger::subject::Subject;
use crate::store::Store;
use crate::trade::words::Outcome;

mod questions;

const KEYS: &str = "[n] nothing new seen   [f] finding   [r] reading of an open one   [x] not reached   \
                    [b] back   [q] stop here, keep the rest for later";

/// Goes from stop to stop, asking; what is answered is recorded at once.
pub fn ask(
    context: &Context,
    store: &mut Store,
    mut under: Under,
    c: &Circumstances,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let resumed = under.resumed;
    walk::begin(context, store, &mut under, c)?;
    let under = &under;
    begins(under, resumed, out)?;
    let mut ended: Vec<bool> = under.stops.iter().map(|s| s.ended.is_some()).collect();
    let (mut at, mut begun) = (0, None);
    while at < under.stops.len() {
        let stop = &under.stops[at];
        if ended[at] {
            at += 1;
            continue;
        }
        show(under, at, out)?;
        let Some(typed) = reply(KEYS, input, out)? else { return leave(under, &ended, out) };
        let seen = match typed.to_lowercase().as_str() {
            "n" => Some(Seen::Nothing),
            "x" => reply("why was it not reached?", input, out)?.map(|why| Seen::NotReached { why }),
            "f" => questions::finding(stop, &mut begun, input, out)?,
            "r" => {
                let property = store.folded(under.id).map_err(Failure::from)?.property.clone();
                questions::reading(stop, &property, input, out)?
            }
            "b" => {
                begun = None;
                at = at.saturating_sub(1);
                ended[at] = false;
                None
            }
            "q" => return leave(under, &ended, out),
            "" => None,
            other => {
                line(out, format_args!("`{}` is not one of the keys", plain(other)))?;
                None
            }
        };
        let Some(seen) = seen else { continue };
        match walk::answer(context, store, under, stop, &seen, c) {
            Ok(recorded) => {
                super::recorded::entries(&recorded, out)?;
                ended[at] = true;
                at += 1;
                begun = None;
            }
            // What does not fit is said, and the stop asked again: nothing of the walk is lost.
            Err(error) => line(out, format_args!("{}", Failure::from(error).to_string().trim_end()))?,
        }
    }
    finish(context, store, under, c, out)
}

/// Takes the answers from a file: a line a stop, `main/floor-below-ground: nothing seen`.
pub fn from_file(
    context: &Context,
    store: &mut Store,
    under: &Under,
    c: &Circumstances,
    text: &str,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let answers = answers(under, text)?;
    let recorded = walk::record_all(context, store, under, &answers, c)?;
    begins(under, under.resumed, out)?;
    super::recorded::entries(&recorded, out)?;
    let answered = |i: usize| under.stops[i].ended.is_some() || answers.iter().any(|(_, at, _)| *at == i);
    let ended: Vec<bool> = (0..under.stops.len()).map(answered).collect();
    if ended.iter().all(|e| *e) { summary(store, under, out) } else { leave(under, &ended, out) }
}

/// The same for a program: the walk as it stands once the answers are recorded.
pub fn taken(
    context: &Context,
    store: &mut Store,
    mut under: Under,
    c: &Circumstances,
    text: &str,
) -> Result<Under, Failure> {
    let answers = answers(&under, text)?;
    walk::record_all(context, store, &under, &answers, c)?;
    for (_, at, seen) in &answers {
        under.stops[*at].ended = Some(match seen {
            Seen::Nothing => Outcome::NothingSeen,
            Seen::NotReached { .. } => Outcome::NotReached,
            Seen::Finding(_) | Seen::Reading { .. } => Outcome::Finding,
        });
    }
    Ok(under)
}

/// A walk as it stands: its stops, how each was last time, and how it ended where it did. `begun`: its entry is there.
pub fn as_json(under: &Under, begun: bool) -> Value {
    let stop = |stop: &Stop| {
        json!({"stop": address(stop), "subject": stop.about.of(&under.key), "point": stop.point, "title": stop.title,
               "look": stop.look, "cautions": stop.cautions, "last_time": stop.last_time,
               "ended": stop.ended.map(Outcome::word)})
    };
    let left = under.stops.iter().filter(|stop| stop.ended.is_none()).count();
    json!({
        "property": under.key, "season": under.season.word(), "walk": begun.then(|| format!("{}#{}", under.key, under.walk)),
        "resumed": under.resumed, "begun_on": under.begun, "stops": under.stops.iter().map(stop).collect::<Vec<_>>(), "left": left,
    })
}

/// Reads every line before the first is recorded: what does not read is said with its line, all of it.
pub fn answers(under: &Under, text: &str) -> Result<Vec<(usize, usize, Seen)>, Failure> {
    let mut answers = Vec::new();
    let mut failures = Vec::new();
    for (number, text) in (1..).zip(text.lines()).filter(|(_, l)| !l.trim().is_empty() && !l.starts_with('#')) {
        match answer_of(under, text) {
            Ok((at, seen)) => match answers.iter().find(|(_, before, _)| *before == at) {
                Some((first, _, _)) => failures.push(
                    Failure::new(
                        1,
                        format!("line {number}: `{}` was answered in line {first}", address(&under.stops[at])),
                    )
                    .given(text)
                    .attempt("keep one of the two; a second finding is recorded with `stemwall finding open`"),
                ),
                None => answers.push((number, at, seen)),
            },
            Err((what, advice)) => {
                failures.push(Failure::new(1, format!("line {number}: {what}")).given(text).attempt(advice));
            }
        }
    }
    if failures.is_empty() { Ok(answers) } else { Err(Failure::all(failures)) }
}

fn answer_of(under: &Under, text: &str) -> Result<(usize, Seen), (String, String)> {
    let as_in = "write a line as in `main/floor-below-ground: nothing seen`";
    let (place, said) = text.split_once(": ").ok_or_else(|| ("it has no answer".to_owned(), as_in.to_owned()))?;
    let (place, said) = (place.trim(), said.trim());
    let at = under.stops.iter().position(|stop| address(stop) == place).ok_or_else(|| {
        let all: Vec<String> = under.stops.iter().map(address).collect();
        let near = crate::command::nearest(place, all.iter().map(String::as_str));
        let attempt = near.map_or_else(
            || "`stemwall walk sheet` names every stop".to_owned(),
            |near| format!("did you mean `{near}`? `stemwall walk sheet` names every stop"),
        );
        (format!("`{place}` is no stop of this walk"), attempt)
    })?;
    let flags = |text: &str| {
        shlex::split(text).ok_or_else(|| ("a quotation mark is not closed".to_owned(), "close it".to_owned()))
    };
    let seen = if said.eq_ignore_ascii_case("nothing seen") {
        Seen::Nothing
    } else if let Some(why) = behind(said, "not reached") {
        let why = why.trim_start_matches([':', ',', ' ']).to_owned();
        if why.is_empty() {
            return Err(("it does not say why it was not reached".into(), "write `not reached, locked`".into()));
        }
        Seen::NotReached { why }
    } else if let Some(rest) = behind(said, "finding ") {
        Seen::Finding(flags(rest)?)
    } else if let Some(rest) = behind(said, "reading ") {
        let Subject::Finding(finding) = under.stops[at].about else {
            return Err((
                format!("`{place}` is no finding"),
                "a reading stands with its finding, as in `2: reading --width \"0.8 mm\"`".into(),
            ));
        };
        Seen::Reading { finding, flags: flags(rest)? }
    } else {
        let advice = "one of `nothing seen`, `not reached, WHY`, `finding --kind …`, `reading --width …`";
        return Err((format!("`{said}` is not an answer"), advice.into()));
    };
    Ok((at, seen))
}

/// What follows a phrase, however it is capitalised.
fn behind<'a>(said: &'a str, phrase: &str) -> Option<&'a str> {
    let (head, rest) = said.split_at_checked(phrase.len())?;
    head.eq_ignore_ascii_case(phrase).then_some(rest)
}

/// How a stop is written in a file of answers and on the sheet.
pub fn address(stop: &Stop) -> String {
    match &stop.about {
        Subject::Property => stop.point.clone(),
        Subject::Finding(number) => number.to_string(),
        named => format!("{}/{}", named.local(), stop.point),
    }
}

fn begins(under: &Under, resumed: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let all = counted(under.stops.len() as u64, "stop", "stops");
    let what = if resumed { "goes on" } else { "begins" };
    let begun = under.begun.filter(|_| resumed).map_or(String::new(), |on| format!(", begun {}", date(on.date)));
    line(
        out,
        format_args!(
            "{} · {} walk {what} (entry {}#{}){begun} · {all}",
            under.key, under.season, under.key, under.walk
        ),
    )?;
    let Some(left) = under.left else { return Ok(()) };
    line(out, format_args!("the walk begun on {} was broken off and is left as it is", date(left.date)))
}

/// Cautions first, then what to look at, then how it was last time.
fn show(under: &Under, at: usize, out: &mut dyn Write) -> Result<(), Failure> {
    let stop = &under.stops[at];
    let place = match &stop.about {
        Subject::Property => String::new(),
        other => format!(" · {}", other.local()),
    };
    line(out, format_args!(""))?;
    let of = format!("{} · {} walk · {} of {}{place}", under.key, under.season, at + 1, under.stops.len());
    line(out, format_args!("{of}"))?;
    line(out, format_args!("{}", plain(&stop.title)))?;
    for caution in &stop.cautions {
        line(out, format_args!("  caution: {}", wrapped(&plain(caution), 86, "           ")))?;
    }
    line(out, format_args!("  {}", wrapped(&plain(&stop.look), 94, "  ")))?;
    line(out, format_args!("  last time: {}", plain(&stop.last_time)))
}

/// One line from a person; `None` when there is no more.
fn reply(question: &str, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Option<String>, Failure> {
    line(out, format_args!("{}", wrapped(question, 98, "")))?;
    out.flush().map_err(|e| super::output::written(&e))?;
    let mut text = String::new();
    let read = input.read_line(&mut text).map_err(|e| {
        Failure::new(1, format!("what was typed cannot be read: {e}"))
            .attempt("`--from FILE` takes answers from a file")
    })?;
    Ok((read > 0).then(|| text.trim().to_owned()))
}

fn leave(under: &Under, ended: &[bool], out: &mut dyn Write) -> Result<(), Failure> {
    let left = ended.iter().filter(|e| !**e).count() as u64;
    let rest = counted(left, "stop is", "stops are");
    line(out, format_args!("{rest} left for later: `stemwall walk start {}` goes on", under.key))
}

fn finish(
    context: &Context,
    store: &mut Store,
    under: &Under,
    c: &Circumstances,
    out: &mut dyn Write,
) -> Result<(), Failure> {
    let recorded = walk::end(context, store, under, c)?;
    super::recorded::entries(&recorded, out)?;
    summary(store, under, out)
}

fn summary(store: &mut Store, under: &Under, out: &mut dyn Write) -> Result<(), Failure> {
    let property = store.folded(under.id).map_err(Failure::from)?.property.clone();
    let Some(walk) = property.walks.iter().find(|w| w.seq == under.walk) else { return Ok(()) };
    let count = |outcome| walk.points.iter().filter(|p| p.outcome == outcome).count();
    line(
        out,
        format_args!(
            "{} walk of {} on {}: nothing seen at {}, findings at {}, not reached {}",
            under.season,
            under.key,
            date(walk.on.date),
            count(Outcome::NothingSeen),
            count(Outcome::Finding),
            count(Outcome::NotReached)
        ),
    )
}
