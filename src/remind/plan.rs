//! What goes into which message: of everything that stands, what a channel was not told yet, gathered as it wants it.

use chrono::NaiveDate;

use super::calls::Calls;
use super::notice::{Notice, Thing};

/// The most that one message tells; more goes into further ones.
const MOST: usize = 100;

/// What is gathered into one message.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Digest {
    /// A message a thing.
    Each,
    /// A message a house.
    #[default]
    Property,
    /// One message.
    Day,
}

/// Something that stands, and the number under which the channel was last told of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    pub thing: Thing,
    pub last: Option<u32>,
}

/// The messages that a channel is to be given, what comes first in the list of what is due first.
///
/// A thing whose telling for today has been told, or a later one has, is in none.
pub fn plan(channel: &str, calls: &Calls, digest: Digest, all: Vec<Standing>, today: NaiveDate) -> Vec<Notice> {
    let told = all.into_iter().filter_map(|Standing { thing, last }| {
        let number = calls.number(thing.due_on, today).filter(|number| last.is_none_or(|last| last < *number))?;
        Some(Thing { number, ..thing })
    });
    let mut messages: Vec<Vec<Thing>> = Vec::new();
    for thing in told {
        let same = |message: &&mut Vec<Thing>| match digest {
            Digest::Each => false,
            Digest::Property => message.iter().all(|other| other.id.property == thing.id.property),
            Digest::Day => true,
        };
        match messages.iter_mut().filter(|message| message.len() < MOST).find(same) {
            Some(message) => message.push(thing),
            None => messages.push(vec![thing]),
        }
    }
    // In a message of several houses, what is of one house stands together.
    for message in messages.iter_mut().filter(|_| digest == Digest::Day) {
        let order: Vec<String> = message.iter().map(|thing| thing.property.clone()).collect();
        message.sort_by_key(|thing| order.iter().position(|house| *house == thing.property));
    }
    messages.into_iter().map(|things| Notice::of(channel, today, things)).collect()
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::super::calls::Calls;
    use super::super::notice::tests::{day, thing};
    use super::super::notice::{Occurrence, Thing};
    use super::{Digest, Standing, plan};

    fn of(house: u128, due_on: &str, last: Option<u32>) -> Standing {
        let plain = thing(["elm", "oak", "fir"][house as usize], due_on);
        let id = Occurrence { property: Uuid::from_u128(house), ..plain.id.clone() };
        Standing { thing: Thing { id, ..plain }, last }
    }

    fn houses(digest: Digest) -> Vec<Vec<String>> {
        let all = vec![of(1, "2026-03-01", None), of(0, "2026-03-02", None), of(1, "2026-03-03", None)];
        let messages = plan("me", &Calls::before(&[7], None), digest, all, day("2026-03-01"));
        messages.into_iter().map(|m| m.things.into_iter().map(|t| t.property).collect()).collect()
    }

    #[test]
    fn what_is_gathered() {
        assert_eq!(houses(Digest::Each), [["oak"], ["elm"], ["oak"]]);
        assert_eq!(houses(Digest::Property), [vec!["oak", "oak"], vec!["elm"]]);
        assert_eq!(houses(Digest::Day), [["oak", "oak", "elm"]]);
    }

    #[test]
    fn what_was_told_is_not_told_again() {
        let calls = Calls::before(&[7, 1], Some(7));
        let told = |last, today: &str| {
            let messages = plan("me", &calls, Digest::Day, vec![of(0, "2026-03-11", last)], day(today));
            messages.first().map(|message| message.things[0].number)
        };
        assert_eq!(told(None, "2026-03-03"), None);
        assert_eq!(told(None, "2026-03-04"), Some(0));
        assert_eq!(told(Some(0), "2026-03-04"), None);
        assert_eq!(told(Some(0), "2026-03-10"), Some(1));
        // Three tellings slept through are one message.
        assert_eq!(told(Some(0), "2026-03-25"), Some(3));
        assert_eq!(told(Some(3), "2026-03-25"), None);
        assert_eq!(told(Some(9), "2026-03-25"), None);
    }

    #[test]
    fn a_long_list_is_several_messages() {
        let all = (0..250).map(|_| of(0, "2026-03-02", None)).collect();
        let messages = plan("me", &Calls::before(&[7], None), Digest::Day, all, day("2026-03-01"));
        assert_eq!(messages.iter().map(|m| m.things.len()).collect::<Vec<_>>(), [100, 100, 50]);
    }
}
