//! `walk`: a round of looking by the almanac's points; each answer is recorded as it is given.

use clap::{Args, FromArgMatches};
use uuid::Uuid;

use super::typed::{Reading, told_once};
use super::{Circumstances, Context, Error, Recorded, finding, reading};
use crate::calendar::almanac::ALMANAC;
use crate::ledger::duties::almanac_name;
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::kind::point_walked::PointWalked;
use crate::ledger::kind::walk_begun::WalkBegun;
use crate::ledger::kind::walk_ended::WalkEnded;
use crate::ledger::problem::Problem;
use crate::ledger::property::{Finding, PointWalk, Property, Walk};
use crate::ledger::subject::Subject;
use crate::ledger::when::When;
use crate::store::{Addressed, Store, Target};
use crate::trade::words::{Outcome, Season};

/// The name of the point at which an open finding is looked at again.
const OF_FINDING: &str = "open-finding";

/// A walk goes on for so many days after it was begun, a quarter of a year: design rule of this program.
const SEASON_DAYS: i64 = 91;

/// One stop of a walk.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    pub about: Subject,
    /// What is found there is in that section.
    pub of_section: bool,
    /// Its name in the almanac.
    pub point: String,
    pub title: String,
    pub look: String,
    pub cautions: Vec<String>,
    /// How it was last time, in words.
    pub last_time: String,
    /// How it ended in this walk, where it did.
    pub ended: Option<Outcome>,
}

/// A walk under way.
pub struct Under {
    pub id: Uuid,
    pub key: String,
    pub walk: u64,
    pub season: Season,
    /// It was begun before and broken off; else its first entry is still to be recorded.
    pub resumed: bool,
    /// When the walk that goes on was begun.
    pub begun: Option<When>,
    /// When one of an earlier season was begun, which was broken off and is left as it is.
    pub left: Option<When>,
    pub stops: Vec<Stop>,
}

/// What was seen at a stop.
#[derive(Debug, Clone, PartialEq)]
pub enum Seen {
    Nothing,
    NotReached {
        why: String,
    },
    /// The flags of `finding open`, and of `reading add` behind them.
    Finding(Vec<String>),
    /// The flags of `reading add` of an open finding.
    Reading {
        finding: u32,
        flags: Vec<String>,
    },
}

/// The walk of a property that is under way, or the one that would begin; nothing is recorded.
pub fn plan(
    context: &Context,
    store: &mut Store,
    typed: Option<&str>,
    season: Option<&str>,
    c: &Circumstances,
) -> Result<Under, Error> {
    let place = context.property(store, typed)?;
    let mut read = Reading::default();
    let season = read.word("--season", season, "a season", Season::WORDS, season_word);
    let season = read.done_on(season, c)?;
    let folded = store.folded(place.id)?;
    let property = &folded.property;
    let on = context.when(c.on.as_deref(), Some(property))?;
    let broken_off = property.walks.iter().rev().find(|w| w.ended.is_none() && season.is_none_or(|s| s == w.season));
    let open = broken_off.filter(|walk| goes_on(walk, on));
    let left = broken_off.filter(|walk| !goes_on(walk, on)).map(|walk| walk.on);
    let begun = open.map(|walk| walk.on);
    let (walk, season, resumed) = match open {
        Some(walk) => (walk.seq, walk.season, true),
        None => (folded.length + 1, season.unwrap_or_else(|| season_of(on, property)), false),
    };
    let stops = stops(property, season, resumed.then_some(walk));
    Ok(Under { id: place.id, key: place.key, walk, season, resumed, begun, left, stops })
}

/// Whether a walk that was broken off is still the walk of its season on a day: what was seen in another one is looked at
/// anew.
fn goes_on(walk: &Walk, on: When) -> bool {
    (0..=SEASON_DAYS).contains(&on.date.signed_duration_since(walk.on.date).num_days())
}

/// Begins a walk, unless it goes on.
pub fn begin(context: &Context, store: &mut Store, under: &mut Under, c: &Circumstances) -> Result<(), Error> {
    if !under.resumed {
        let begun = WalkBegun { season: under.season };
        under.walk = context.record(store, Target::Known(under.id), vec![begun.into()], c)?.receipts[0].seq;
    }
    Ok(())
}

/// What a walk of a season stops at, and how each was last time.
pub fn sheet(
    context: &Context,
    store: &mut Store,
    typed: Option<&str>,
    season: Option<&str>,
) -> Result<(Property, Season, Vec<Stop>), Error> {
    let place = context.property(store, typed)?;
    let mut read = Reading::default();
    let season = read.word("--season", season, "a season", Season::WORDS, season_word);
    let season = read.done(season)?;
    let property = store.folded(place.id)?.property.clone();
    let today = context.today_at(Some(&property));
    let season = season.unwrap_or_else(|| season_of(When::day(today), &property));
    let stops = stops(&property, season, None);
    Ok((property, season, stops))
}

/// Tries the flags of a reading: whether each says what it should.
///
/// Errors: a flag that is not known, or a value that does not read.
pub fn tried(flags: &[String]) -> Result<(), Error> {
    let mut read = Reading::default();
    parsed::<reading::Fields>(flags)?.added(None, 1, &mut read);
    read.done(())
}

/// Records what was seen at a stop: the answer, and the finding or reading that it brings.
pub fn answer(
    context: &Context,
    store: &mut Store,
    under: &Under,
    stop: &Stop,
    seen: &Seen,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let mut read = Reading::default();
    let mut last_number = store.folded(under.id)?.property.last_number;
    let before = last_number;
    let facts = facts(under.walk, stop, seen, &mut last_number, &mut read)?;
    context.record_read(store, Target::Known(under.id), facts, read, c).map_err(|error| match error {
        Error::Refused(mut refusals) => {
            refusals.retain(|r| !follows(&r.problem, before));
            Error::Refused(refusals)
        }
        other => other,
    })
}

/// That a finding is not there follows from its having been refused in the same answer.
fn follows(problem: &Problem, last_number: u32) -> bool {
    matches!(problem, Problem::NoFinding { number, .. } if *number > last_number)
}

/// Records a whole file of answers, each with its line and its stop: all of them, or none.
///
/// A walk that is not begun yet begins with it, and one of which every stop has ended is over.
pub fn record_all(
    context: &Context,
    store: &mut Store,
    under: &Under,
    answers: &[(usize, usize, Seen)],
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let before = store.folded(under.id)?.property.last_number;
    let (mut all, lines) = facts_of(under, before, answers)?;
    let answered = |i: usize| under.stops[i].ended.is_some() || answers.iter().any(|(_, at, _)| *at == i);
    if (0..under.stops.len()).all(answered) {
        all.push(WalkEnded { walk: under.walk }.into());
    }
    context.record(store, Target::Known(under.id), all, c).map_err(|error| match error {
        Error::Refused(refusals) => {
            let line = |index: usize| lines.get(index).copied().unwrap_or_default();
            let own = refusals.into_iter().filter(|r| !follows(&r.problem, before));
            Error::LinesRefused(own.map(|r| (line(r.index), r.problem)).collect())
        }
        other => other,
    })
}

/// The facts of a file of answers, and the line that each comes from; `last_number` is that of the property's findings.
///
/// Errors: every line that does not read.
pub fn facts_of(
    under: &Under,
    mut last_number: u32,
    answers: &[(usize, usize, Seen)],
) -> Result<(Vec<Fact>, Vec<usize>), Error> {
    let (mut all, mut lines, mut problems): (Vec<Fact>, Vec<usize>, _) = (Vec::new(), Vec::new(), Vec::new());
    if !under.resumed {
        all.push(WalkBegun { season: under.season }.into());
        lines.push(0);
    }
    for (line, at, seen) in answers {
        let mut read = Reading::default();
        let facts = facts(under.walk, &under.stops[*at], seen, &mut last_number, &mut read)?;
        problems.extend(told_once(read.problems).into_iter().map(|problem| (*line, problem)));
        lines.resize(lines.len() + facts.len(), *line);
        all.extend(facts);
    }
    if problems.is_empty() { Ok((all, lines)) } else { Err(Error::LinesRefused(problems)) }
}

/// What an answer says: the point, and before it the finding or reading that it brings.
fn facts(walk: u64, stop: &Stop, seen: &Seen, last_number: &mut u32, read: &mut Reading) -> Result<Vec<Fact>, Error> {
    let mut facts: Vec<Fact> = Vec::new();
    let (mut outcome, mut why, mut findings) = (Outcome::NothingSeen, None, Vec::new());
    match seen {
        Seen::Nothing => {}
        Seen::NotReached { why: text } => {
            outcome = Outcome::NotReached;
            why = Some(text.clone());
        }
        Seen::Finding(flags) => {
            outcome = Outcome::Finding;
            *last_number += 1;
            let number = *last_number;
            let (mut fields, readings) = flags_of_finding(flags)?;
            if let (None, Subject::Named(name)) = (&fields.r#in, &stop.about)
                && stop.of_section
            {
                fields.r#in = Some(name.to_string());
            }
            facts.extend(fields.opened(None, read).map(|mut opened| {
                opened.number = number;
                Fact::from(opened)
            }));
            facts.extend(readings.added(None, number, read).into_iter().map(Fact::from));
            findings.push(number);
        }
        Seen::Reading { finding, flags } => {
            outcome = Outcome::Finding;
            let added = parsed::<reading::Fields>(flags)?.added(None, *finding, read);
            if added.is_empty() {
                read.missing("the reading");
            }
            facts.extend(added.into_iter().map(Fact::from));
            findings.push(*finding);
        }
    }
    let about = match &stop.about {
        Subject::Property => String::new(),
        other => other.local(),
    };
    facts.push(PointWalked { walk, about, point: stop.point.clone(), outcome, why, findings }.into());
    Ok(facts)
}

/// Ends a walk.
pub fn end(context: &Context, store: &mut Store, under: &Under, c: &Circumstances) -> Result<Recorded, Error> {
    let property = store.folded(under.id)?.property.clone();
    let on = context.when(c.on.as_deref(), Some(&property))?;
    let draft = Draft::new(on, context.remarks(store, c, &mut Vec::new())?, WalkEnded { walk: under.walk });
    let today = context.today_at(Some(&property));
    context.append(store, vec![Addressed { property: Target::Known(under.id), draft }], today, &[])
}

/// Flags of a finding with those of its first readings behind them: `--width` is one of the latter.
fn flags_of_finding(flags: &[String]) -> Result<(finding::Fields, reading::Fields), Error> {
    let known = |command: clap::Command| -> Vec<String> {
        command.get_arguments().filter_map(|a| a.get_long().map(|long| format!("--{long}"))).collect()
    };
    let of_finding = known(finding::Fields::augment_args(clap::Command::new("finding")));
    let (mut own, mut of_reading, mut to_reading) = (Vec::new(), Vec::new(), false);
    for word in flags {
        if let Some(name) = word.starts_with("--").then(|| word.split('=').next().unwrap_or(word)) {
            to_reading = !of_finding.iter().any(|f| f == name);
        }
        if to_reading { of_reading.push(word.clone()) } else { own.push(word.clone()) }
    }
    Ok((parsed(&own)?, parsed(&of_reading)?))
}

fn parsed<T: Args + FromArgMatches>(flags: &[String]) -> Result<T, Error> {
    let command = T::augment_args(clap::Command::new("walk").no_binary_name(true));
    Ok(T::from_arg_matches(&command.try_get_matches_from(flags)?)?)
}

/// A season as it is typed: capitalised or not, and `fall` for autumn.
fn season_word(typed: &str) -> Option<Season> {
    let typed = typed.to_ascii_lowercase();
    if typed == "fall" { Some(Season::Autumn) } else { Season::from_word(&typed) }
}

/// The season of a day by the meteorological year, turned round south of the equator.
fn season_of(on: When, property: &Property) -> Season {
    use chrono::Datelike;
    let month = if property.year().southern { (on.date.month() + 5) % 12 + 1 } else { on.date.month() };
    match month {
        3..=5 => Season::Spring,
        6..=8 => Season::Summer,
        9..=11 => Season::Autumn,
        _ => Season::Winter,
    }
}

/// Property, sections with their open findings, fixtures, then what is open elsewhere.
fn stops(property: &Property, season: Season, walk: Option<u64>) -> Vec<Stop> {
    let walk = walk.and_then(|seq| property.walks.iter().find(|w| w.seq == seq));
    let mut out = Vec::new();
    let findings = |section: Option<&Subject>, out: &mut Vec<Stop>| {
        for (number, finding) in property.open_findings() {
            let of = finding.section.clone().map(Subject::Named);
            if of.as_ref() == section {
                out.push(of_finding(property, number, finding, walk));
            }
        }
    };
    let of_almanac = |subject: &Subject, out: &mut Vec<Stop>| {
        let Some(name) = almanac_name(property, subject) else { return };
        out.extend(ALMANAC.points_of(&name, season.word()).map(|point| Stop {
            about: subject.clone(),
            of_section: name.starts_with("section:"),
            point: point.code.clone(),
            title: point.title.clone(),
            look: point.look.clone(),
            cautions: point.cautions.clone(),
            last_time: last_time(property, subject, &point.code, walk),
            ended: ended(walk, subject, &point.code),
        }));
    };
    of_almanac(&Subject::Property, &mut out);
    findings(None, &mut out);
    for name in property.sections.keys() {
        let subject = Subject::Named(name.clone());
        of_almanac(&subject, &mut out);
        findings(Some(&subject), &mut out);
    }
    for name in property.fixtures.keys() {
        of_almanac(&Subject::Named(name.clone()), &mut out);
    }
    out
}

fn of_finding(property: &Property, number: u32, finding: &Finding, walk: Option<&Walk>) -> Stop {
    let subject = Subject::Finding(number);
    let look = match finding.readings.last() {
        Some(last) => format!("read it again as before ({}), and look for anything new round it", last.words()),
        None => "look whether it is as it was, and measure it".to_owned(),
    };
    let last_time = match finding.readings.last() {
        Some(last) => format!("{} on {}", last.words(), said(last.on)),
        None => format!("opened {}, never read", said(finding.opened)),
    };
    Stop {
        of_section: false,
        point: OF_FINDING.to_owned(),
        title: format!("Finding {number}: {}, {}", finding.kind, finding.place),
        look,
        cautions: Vec::new(),
        last_time,
        ended: ended(walk, &subject, OF_FINDING).or_else(|| read_since(property, finding, walk)),
        about: subject,
    }
}

/// A reading that was taken since the walk began answers the finding's stop.
fn read_since(_: &Property, finding: &Finding, walk: Option<&Walk>) -> Option<Outcome> {
    let walk = walk?;
    finding.readings.iter().any(|r| r.seq > walk.seq).then_some(Outcome::Finding)
}

fn ended(walk: Option<&Walk>, about: &Subject, point: &str) -> Option<Outcome> {
    walk?.points.iter().find(|p| p.about == *about && p.point == point).map(|p| p.outcome)
}

/// How a point ended in the walks before this one.
fn last_time(property: &Property, about: &Subject, point: &str, walk: Option<&Walk>) -> String {
    let before = property.walks.iter().filter(|w| walk.is_none_or(|now| w.seq < now.seq));
    let here = |w: &Walk| w.points.iter().find(|p| p.about == *about && p.point == point).cloned();
    let Some(last) = before.filter_map(here).next_back() else { return "never walked".to_owned() };
    let PointWalk { outcome, why, findings, on, .. } = last;
    match outcome {
        Outcome::NotReached => format!("not reached on {}: {}", said(on), why.unwrap_or_default()),
        Outcome::NothingSeen => format!("nothing seen on {}", said(on)),
        Outcome::Finding => {
            let numbers: Vec<String> = findings.iter().map(u32::to_string).collect();
            format!("finding {} on {}", numbers.join(", "), said(on))
        }
    }
}

fn said(on: When) -> String {
    on.date.format("%-d %b %Y").to_string()
}
