//! What is asked at a stop of a walk: the questions of a kind one by one, and its readings, so that nothing has to be known by
//! heart.
//!
//! Choices are numbered; the number and the word both answer, Enter says that it is not known, or was not measured. Whoever
//! knows the flags may type them in place of an answer, and is asked nothing more.

use std::io::{BufRead, Write};

use super::{Seen, Stop, line, reply};
use crate::cli::failure::Failure;
use crate::cli::words::plain;
use crate::command::walk;
use crate::ledger::kind::finding_opened::questions;
use crate::ledger::kind::reading_added::quantities;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::trade::pattern::Pattern;
use crate::trade::words::{
    Answer, Demand, DrainagePart, Equipment, FindingKind, Ground, InsectSign, Member, Paving, Runs, Support, Surface,
    Water,
};

const UNKNOWN: &str = "unknown";

/// What was said of a finding before something of it was refused: it is not asked for again at that stop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Begun {
    kind: FindingKind,
    place: String,
}

/// Asks for a finding: kind, place, the questions of the kind, its readings. `begun` is what was said of it before.
pub fn finding(
    stop: &Stop,
    begun: &mut Option<Begun>,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<Option<Seen>, Failure> {
    let said = match begun.take() {
        Some(said) => {
            line(out, format_args!("again: {}, {}", said.kind, plain(&said.place)))?;
            said
        }
        None => {
            let Some(kind) = kind(input, out)? else { return Ok(None) };
            let Some(place) = reply("where, in words? (nothing: the stop itself)", input, out)? else {
                return Ok(None);
            };
            let place = if place.is_empty() { stop.title.clone() } else { place };
            Begun { kind, place }
        }
    };
    let mut flags = vec!["--kind".to_owned(), said.kind.word().to_owned(), "--place".to_owned(), said.place.clone()];
    let kind = said.kind;
    *begun = Some(said);
    for flag in questions(kind) {
        match question(flag, input, out)? {
            Said::End => return Ok(None),
            Said::Nothing => {}
            Said::Words(words) => flags.extend(words),
            Said::Rest(words) => {
                flags.extend(words);
                return Ok(Some(Seen::Finding(flags)));
            }
        }
    }
    let Some(read) = readings(kind, input, out)? else { return Ok(None) };
    flags.extend(read);
    Ok(Some(Seen::Finding(flags)))
}

/// Asks for a reading of an open finding: which one, of those that are open at the stop's place, and its quantities.
pub fn reading(
    stop: &Stop,
    property: &Property,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<Option<Seen>, Failure> {
    let number = match stop.about {
        Subject::Finding(number) => number,
        _ => match which(stop, property, input, out)? {
            Some(number) => number,
            None => return Ok(None),
        },
    };
    let Some(finding) = property.findings.get(&number) else { return Ok(None) };
    if quantities(finding.kind).is_empty() {
        line(out, format_args!("a finding of kind `{}` is looked at, not measured", finding.kind))?;
        return Ok(None);
    }
    let Some(flags) = readings(finding.kind, input, out)? else { return Ok(None) };
    if flags.is_empty() {
        line(out, format_args!("nothing was measured"))?;
        return Ok(None);
    }
    Ok(Some(Seen::Reading { finding: number, flags }))
}

/// The findings that are open at the place of a stop, or all where none is, listed for a number.
fn which(
    stop: &Stop,
    property: &Property,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> Result<Option<u32>, Failure> {
    let here = |section: Option<&crate::ledger::subject::Name>| match &stop.about {
        Subject::Named(name) => section == Some(name),
        _ => section.is_none(),
    };
    let of_place: Vec<u32> =
        property.open_findings().filter(|(_, f)| here(f.section.as_ref())).map(|(number, _)| number).collect();
    let all: Vec<u32> = property.open_findings().map(|(number, _)| number).collect();
    let listed = if of_place.is_empty() { &all } else { &of_place };
    if listed.is_empty() {
        line(out, format_args!("no finding is open here"))?;
        return Ok(None);
    }
    for number in listed {
        let finding = &property.findings[number];
        let last = finding.readings.last().map_or("never read".to_owned(), |r| format!("last {}", r.words()));
        line(out, format_args!("  {number}  {}, {} · {}", finding.kind, plain(&finding.place), plain(&last)))?;
    }
    loop {
        let Some(typed) = reply("of which one? its number (nothing: back)", input, out)? else { return Ok(None) };
        match typed.parse::<u32>() {
            _ if typed.is_empty() => return Ok(None),
            Ok(number) if all.contains(&number) => return Ok(Some(number)),
            _ => line(out, format_args!("`{}` is no open finding of this house", plain(&typed)))?,
        }
    }
}

fn kind(input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Option<FindingKind>, Failure> {
    loop {
        let asked = format!("what kind? {} (nothing: back)", numbered(FindingKind::WORDS));
        let Some(typed) = reply(&asked, input, out)?.filter(|typed| !typed.is_empty()) else { return Ok(None) };
        match chosen(&typed, FindingKind::WORDS).and_then(FindingKind::from_word) {
            Some(kind) => return Ok(Some(kind)),
            None => line(out, format_args!("`{}` is not a kind of finding", plain(&typed)))?,
        }
    }
}

/// What came of a question.
enum Said {
    /// Nothing more is typed at all.
    End,
    Nothing,
    /// A flag and its answer.
    Words(Vec<String>),
    /// Flags, as they are typed on the command line: nothing more is asked.
    Rest(Vec<String>),
}

fn question(flag: &'static str, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Said, Failure> {
    let (asks, words) = asked(flag);
    let choices = if words.is_empty() { "(nothing: not known)".to_owned() } else { numbered(words) };
    let enter = if words.contains(&UNKNOWN) { " (nothing: unknown)" } else { " (nothing: left open)" };
    let asked = if words.is_empty() { format!("{asks} {choices}") } else { format!("{asks} {choices}{enter}") };
    loop {
        let Some(typed) = reply(&asked, input, out)? else { return Ok(Said::End) };
        if typed.is_empty() {
            let unknown = words.contains(&UNKNOWN).then(|| vec![flag.to_owned(), UNKNOWN.to_owned()]);
            return Ok(unknown.map_or(Said::Nothing, Said::Words));
        }
        if typed.starts_with("--") {
            match shlex::split(&typed) {
                Some(rest) => return Ok(Said::Rest(rest)),
                None => line(out, format_args!("a quotation mark is not closed: try again"))?,
            }
        } else if words.is_empty() {
            return Ok(Said::Words(vec![flag.to_owned(), typed]));
        } else if let Some(word) = chosen(&typed, words) {
            return Ok(Said::Words(vec![flag.to_owned(), word.to_owned()]));
        } else {
            line(out, format_args!("`{}` is none of them", plain(&typed)))?;
        }
    }
}

/// Asks for each quantity of a kind; each is tried before the next is asked. `None`: nothing more is typed.
fn readings(kind: FindingKind, input: &mut dyn BufRead, out: &mut dyn Write) -> Result<Option<Vec<String>>, Failure> {
    let mut flags = Vec::new();
    for quantity in quantities(kind).iter().filter(|quantity| **quantity != "water" || kind == FindingKind::Damp) {
        loop {
            let asked = format!("{} (nothing: not measured)", measured(quantity));
            let Some(typed) = reply(&asked, input, out)? else { return Ok(None) };
            if typed.is_empty() {
                break;
            }
            let rest = typed.starts_with("--");
            let words = if rest {
                shlex::split(&typed)
            } else if *quantity == "water" {
                chosen(&typed, Water::WORDS).map(|word| vec!["--water".to_owned(), word.to_owned()])
            } else {
                Some(vec![format!("--{quantity}"), typed.clone()])
            };
            let Some(mut words) = words else {
                line(out, format_args!("`{}` does not read: try again", plain(&typed)))?;
                continue;
            };
            if !rest && matches!(*quantity, "fall" | "plumb" | "profile") {
                let Some(over) = reply("over what length, such as 10 ft?", input, out)? else { return Ok(None) };
                words.extend(["--over".to_owned(), over]);
            }
            match walk::tried(&words) {
                Ok(()) if rest => {
                    flags.extend(words);
                    return Ok(Some(flags));
                }
                Ok(()) => {
                    flags.extend(words);
                    break;
                }
                Err(error) => line(out, format_args!("{}", Failure::from(error).to_string().trim_end()))?,
            }
        }
    }
    Ok(Some(flags))
}

/// `1 yes, 2 no, 3 unknown`
fn numbered(words: &[&str]) -> String {
    let all: Vec<String> = (1..).zip(words).map(|(n, word)| format!("{n} {word}")).collect();
    all.join(", ")
}

/// The word that was typed, or the one of that number.
fn chosen<'a>(typed: &str, words: &[&'a str]) -> Option<&'a str> {
    let by_number = || typed.parse::<usize>().ok().and_then(|n| words.get(n.checked_sub(1)?)).copied();
    words.iter().find(|word| word.eq_ignore_ascii_case(typed)).copied().or_else(by_number)
}

/// A question in words and its choices; none for what is answered in words of one's own.
fn asked(flag: &str) -> (&'static str, &'static [&'static str]) {
    let yes_or_no = Answer::WORDS;
    match flag {
        "--surface" => ("in a wall or in a slab?", Surface::WORDS),
        "--wall" => ("which wall, or what is it made of (poured, block, brick, stone, wood)?", &[]),
        "--runs" => ("which way does it run?", Runs::WORDS),
        "--pattern" => ("what does it look like together with what is near it?", Pattern::WORDS),
        "--water" => ("how wet is it?", Water::WORDS),
        "--source-known" => ("is it known where the water comes from?", yes_or_no),
        "--retains" => ("does the wall hold earth?", yes_or_no),
        "--steel-shows" => ("does steel show?", yes_or_no),
        "--rust" => ("does steel rust, or are there rust stains?", yes_or_no),
        "--since" => ("since when?", &[]),
        "--member" => ("which part is it?", Member::WORDS),
        "--support" => ("how much of it still rests on what carries it?", Support::WORDS),
        "--bears-load" => ("does it bear load?", yes_or_no),
        "--probe-sinks" => ("does a probe sink in?", yes_or_no),
        "--edge-broken" => ("is the concrete broken out at the edge?", yes_or_no),
        "--sill-loose" => ("is the sill loose?", yes_or_no),
        "--since-rain" => ("did it come with rain?", yes_or_no),
        "--near-plumbing" => ("is plumbing near?", yes_or_no),
        "--powdering" => ("does the face powder or flake?", yes_or_no),
        "--signs" => ("what was seen?", InsectSign::WORDS),
        "--side" => ("on which side of the house?", &[]),
        "--ground" => ("soil or paved?", Ground::WORDS),
        "--part" => ("which part of the drainage?", DrainagePart::WORDS),
        "--paving" => ("what is it made of?", Paving::WORDS),
        "--has-moved" => ("was it seen to have moved since last year?", yes_or_no),
        "--species" => ("which species?", &[]),
        "--demand" => ("how much water does it ask of its ground?", Demand::WORDS),
        "--clay" => ("is the soil shrinkable clay?", yes_or_no),
        "--blocked" => ("is it blocked?", yes_or_no),
        "--missing" => ("is it missing?", yes_or_no),
        "--retarder" => ("does a vapour retarder lie on the ground?", yes_or_no),
        "--treated" => ("is the wood naturally durable or treated?", yes_or_no),
        "--equipment" => ("what is the water near?", Equipment::WORDS),
        _ => ("what is it, in words?", &[]),
    }
}

/// A quantity in words, with how it is typed.
fn measured(quantity: &str) -> &'static str {
    match quantity {
        "width" => "width at its widest, such as 0.8 mm or 1/32 in?",
        "offset" => "how far does one face stand proud of the other, such as 1 mm?",
        "length" => "how long is it, such as 4 ft?",
        "bow" => "how far does it bow in at its worst, such as 3/4 in?",
        "plumb" => "how far is it out of plumb, such as 1/2 in?",
        "level" => "height against a mark that stays, such as -3 mm?",
        "profile" => "heights along the floor: one end, middle, other end, such as 0 in, -1 in, 0 in?",
        "depth" => "how deep is it, such as 1 in?",
        "across" => "how far across is it, such as 6 in?",
        "edge-distance" => "how much concrete is left to the edge, such as 2 in?",
        "moisture" => "moisture of the wood, such as 18 %?",
        "humidity" => "humidity of the air, such as 62 %?",
        "air" => "temperature of the air, such as 60 F?",
        "water-depth" => "how deep does water stand, such as 1 in?",
        "water" => "how wet is it now: dry, damp, seeping, running?",
        "face-share" => "how much of the face does it cover, such as 20 %?",
        "probe" => "how deep does the probe sink, such as 1/4 in?",
        "area" => "how large is it, such as 2 ft2?",
        "fall" => "how far does the ground fall away from the wall, such as 4 in?",
        "distance" => "how far from the wall is it, such as 5 ft?",
        "step" => "how high is the step, such as 1/2 in?",
        "gap" => "how wide is the gap, such as 1/4 in?",
        "height" => "how high is it, such as 30 ft?",
        "free-area" => "how much free opening has it, such as 50 in2?",
        "clearance" => "how far above the soil is it, such as 6 in?",
        _ => "what was measured?",
    }
}

#[cfg(test)]
mod tests {
    use super::{asked, chosen, measured};
    use crate::ledger::kind::finding_opened::questions;
    use crate::ledger::kind::reading_added::quantities;
    use crate::trade::words::{Answer, FindingKind};

    #[test]
    fn every_question_and_every_quantity_of_every_kind_has_words_of_its_own() {
        for kind in FindingKind::ALL {
            for flag in questions(*kind).iter().filter(|flag| **flag != "--what") {
                assert_ne!(asked(flag).0, asked("--what").0, "{flag}");
            }
            for quantity in quantities(*kind) {
                assert_ne!(measured(quantity), measured(""), "{quantity}");
            }
        }
    }

    #[test]
    fn a_number_and_a_word_both_choose() {
        assert_eq!(chosen("1", Answer::WORDS), Some("yes"));
        assert_eq!(chosen("No", Answer::WORDS), Some("no"));
        for none in ["0", "4", "maybe", ""] {
            assert_eq!(chosen(none, Answer::WORDS), None, "{none}");
        }
    }
}
