//! What one message says: a line of summary for the head of a mail, a text, and the same as JSON for programs.
//!
//! The reasons of a duty, which may hold words that people typed, and the names of whom to tell stay out unless the
//! configuration asks for them. Nothing in a summary can break a line; a message's name is made of what it tells, so that the
//! same message has the same name when it is sent again.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use uuid::Uuid;

/// The shape of the JSON that webhooks and commands get.
pub const VERSION: u32 = 1;

/// One occurrence of a duty, as it is told.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Thing {
    /// By which `stemwall done` knows it.
    pub code: String,
    /// The property's key.
    pub property: String,
    /// What it is about, as people address it.
    pub subject: String,
    pub duty: String,
    pub title: String,
    pub opens_on: NaiveDate,
    pub due_on: NaiveDate,
    /// The word of the band of the verdict that asks for it.
    pub band: Option<String>,
    pub minutes: u32,
    pub cautions: Vec<String>,
    /// The place of this telling in the order of its days, from 0; one whose day was missed counts.
    pub number: u32,
    /// Why now; only where it is asked for.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub why: Option<String>,
    /// Who has to be told of a visit; only where it is asked for.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub tell: Option<String>,
    #[serde(skip)]
    pub id: Occurrence,
}

/// What an occurrence is known by in the ledger.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Occurrence {
    pub property: Uuid,
    /// Below the property; empty for the property itself.
    pub subject: String,
    pub occurs_on: NaiveDate,
}

/// A message.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Notice {
    pub v: u32,
    /// The same when it is sent again; 32 digits.
    pub id: String,
    pub channel: String,
    /// The day that it was made on.
    pub day: NaiveDate,
    pub summary: String,
    pub things: Vec<Thing>,
    pub text: String,
}

impl Notice {
    /// A message of some things, in their order.
    pub fn of(channel: &str, day: NaiveDate, things: Vec<Thing>) -> Notice {
        let (summary, text) = (summary(&things, day), text(&things, day));
        Notice { v: VERSION, id: id(channel, &things), channel: channel.to_owned(), day, summary, things, text }
    }

    /// As programs read it.
    pub fn to_json(&self) -> String {
        serde_json::to_string(self).expect("texts, days and numbers are JSON")
    }
}

/// The name of a message: SHA-256 over its channel and everything that makes each telling in it another one.
fn id(channel: &str, things: &[Thing]) -> String {
    let mut hash = Sha256::new().chain_update(b"stemwall reminder\0").chain_update(channel);
    for Thing { duty, due_on, number, id, .. } in things {
        let days = (id.occurs_on.to_string(), due_on.to_string(), number.to_string());
        for part in [&id.property.to_string(), &id.subject, duty, &days.0, &days.1, &days.2] {
            hash.update([0]);
            hash.update(part.as_bytes());
        }
    }
    hash.finalize().iter().take(16).map(|byte| format!("{byte:02x}")).collect()
}

fn summary(things: &[Thing], day: NaiveDate) -> String {
    if let [thing] = things {
        return one_line(&format!("{}: {}, {}", thing.subject, thing.title, by_when(thing, day)));
    }
    let mut houses: Vec<&str> = things.iter().map(|thing| thing.property.as_str()).collect();
    houses.dedup();
    let mut distinct = houses.clone();
    distinct.sort_unstable();
    distinct.dedup();
    let place = match distinct[..] {
        [house] => house.to_owned(),
        _ => format!("{} houses", distinct.len()),
    };
    let overdue = things.iter().filter(|thing| thing.due_on < day).count();
    let overdue = if overdue == 0 { String::new() } else { format!(", {overdue} overdue") };
    one_line(&format!("{place}: {} things to do{overdue}", things.len()))
}

fn text(things: &[Thing], day: NaiveDate) -> String {
    let mut out = String::new();
    let mut house = "";
    for thing in things {
        if thing.property != house {
            house = &thing.property;
            out.push_str(&format!("{}\n\n", one_line(house)));
        }
        out.push_str(&format!("  {}: {}\n", one_line(&thing.subject), one_line(&thing.title)));
        out.push_str(&format!("    {} · code {}\n", by_when(thing, day), thing.code));
        let tell = thing.tell.iter().map(|who| format!("before a visit, tell {who}"));
        let cautions = thing.cautions.iter().map(|caution| format!("caution: {caution}"));
        for more in thing.why.iter().cloned().chain(tell).chain(cautions) {
            out.push_str(&format!("    {}\n", one_line(&more)));
        }
        out.push('\n');
    }
    // What a verdict calls for can be neither done nor put off so.
    let code = things.iter().find(|thing| thing.band.is_none()).map_or("CODE", |thing| thing.code.as_str());
    out.push_str(&format!(
        "What is done, record: stemwall done {code} (it says how, where another entry records it)\n\
         Not now: stemwall duty snooze {code} --for 1w\n\n\
         Stemwall compares with published tables and certifies nothing; local codes come first.\n"
    ));
    out
}

fn by_when(thing: &Thing, day: NaiveDate) -> String {
    let past = (day - thing.due_on).num_days();
    match past {
        1 => format!("overdue since {} (1 day)", in_words(thing.due_on)),
        2.. => format!("overdue since {} ({past} days)", in_words(thing.due_on)),
        _ if thing.opens_on > day => format!("by {}, opens {}", in_words(thing.due_on), in_words(thing.opens_on)),
        _ => format!("by {}", in_words(thing.due_on)),
    }
}

fn in_words(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

/// Text that stays on its line: what breaks a line, steers a terminal or turns the direction becomes a space.
pub fn one_line(text: &str) -> String {
    let steers = |c: char| {
        c.is_control()
            || matches!(c, '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
    };
    let spaced: String = text.chars().map(|c| if steers(c) { ' ' } else { c }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
pub mod tests {
    use chrono::NaiveDate;
    use proptest::prelude::*;
    use uuid::Uuid;

    use super::{Notice, Occurrence, Thing, one_line};

    pub fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    pub fn thing(property: &str, due_on: &str) -> Thing {
        Thing {
            code: "3k7m-9qtx2".into(),
            property: property.into(),
            subject: format!("{property}/pump"),
            duty: "pump-test-spring".into(),
            title: "test the sump pump".into(),
            opens_on: day("2026-02-09"),
            due_on: day(due_on),
            band: None,
            minutes: 20,
            cautions: vec!["never step into water that may touch an outlet, a cord or equipment".into()],
            number: 0,
            why: None,
            tell: None,
            id: Occurrence { property: Uuid::from_u128(7), subject: "pump".into(), occurs_on: day(due_on) },
        }
    }

    #[test]
    fn what_a_message_says() {
        let one = Notice::of("me", day("2026-02-24"), vec![thing("elm", "2026-03-11")]);
        assert_eq!(one.summary, "elm/pump: test the sump pump, by 11 Mar 2026");
        assert_eq!(
            one.text,
            "elm\n\n  elm/pump: test the sump pump\n    by 11 Mar 2026 · code 3k7m-9qtx2\n    \
             caution: never step into water that may touch an outlet, a cord or equipment\n\n\
             What is done, record: stemwall done 3k7m-9qtx2 (it says how, where another entry records it)\n\
             Not now: stemwall duty snooze 3k7m-9qtx2 --for 1w\n\n\
             Stemwall compares with published tables and certifies nothing; local codes come first.\n"
        );
        let two = Notice::of("me", day("2026-03-12"), vec![thing("elm", "2026-03-11"), thing("oak", "2026-03-20")]);
        assert_eq!(two.summary, "2 houses: 2 things to do, 1 overdue");
        assert!(two.text.contains("overdue since 11 Mar 2026 (1 day)"), "{}", two.text);
    }

    #[test]
    fn the_code_of_the_last_lines_is_of_what_can_be_done() {
        let called = || Thing { band: Some("call".into()), code: "4aaa-11111".into(), ..thing("elm", "2026-03-01") };
        let text = |things| Notice::of("me", day("2026-02-24"), things).text;
        let both = text(vec![called(), thing("elm", "2026-03-11")]);
        assert!(both.contains("stemwall done 3k7m-9qtx2 (") && both.contains("snooze 3k7m-9qtx2 "), "{both}");
        let alone = text(vec![called()]);
        assert!(alone.contains("stemwall done CODE (") && alone.contains("snooze CODE "), "{alone}");
    }

    #[test]
    fn a_name_is_of_what_is_told_and_of_nothing_else() {
        let of = |channel: &str, thing: Thing| Notice::of(channel, day("2026-02-24"), vec![thing]).id;
        let first = of("me", thing("elm", "2026-03-11"));
        assert_eq!(first.len(), 32);
        let later = Notice::of(
            "me",
            day("2026-02-25"),
            vec![Thing { title: "other words".into(), ..thing("elm", "2026-03-11") }],
        );
        assert_eq!(later.id, first);
        let others = [
            of("you", thing("elm", "2026-03-11")),
            of("me", thing("elm", "2026-03-12")),
            of("me", Thing { number: 1, ..thing("elm", "2026-03-11") }),
            of("me", Thing { duty: "pump-test-autumn".into(), ..thing("elm", "2026-03-11") }),
        ];
        assert!(others.iter().all(|other| *other != first));
    }

    #[test]
    fn what_is_kept_reads_back_as_it_was() {
        let notice = Notice::of("me", day("2026-02-24"), vec![thing("elm", "2026-03-11")]);
        let read: Notice = serde_json::from_str(&notice.to_json()).unwrap();
        assert_eq!(read.to_json(), notice.to_json());
    }

    proptest! {
        #[test]
        fn no_text_breaks_a_line(text in "(?s).{0,60}", title in "[\r\n\u{85}\u{2028}a-z:]{1,30}") {
            let breaks = |c: char| c.is_control() || c == '\u{2028}';
            prop_assert!(!one_line(&text).contains(breaks));
            let bent = Thing { title, ..thing("elm", "2026-03-11") };
            let plain = Notice::of("me", day("2026-02-24"), vec![thing("elm", "2026-03-11")]);
            let notice = Notice::of("me", day("2026-02-24"), vec![bent]);
            prop_assert_eq!(notice.summary.lines().count(), 1);
            prop_assert_eq!(notice.text.lines().count(), plain.text.lines().count());
        }
    }
}
