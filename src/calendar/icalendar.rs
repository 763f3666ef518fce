//! Things to do and visits as iCalendar text (RFC 5545), the same bytes for the same facts.
//!
//! A thing to do is a `VTODO` from the day it can be done to the day it is due, with an alarm at nine in the morning of the
//! day before; a visit is a `VEVENT` on the wall clock of its zone with an alarm a day before, and one more where somebody
//! has to be told earlier. Nothing in it comes from a clock: the caller says when what is told was last
//! changed. Text is escaped (3.3.11), lines are folded at 75 octets (3.1), and characters that would break a line or turn
//! its direction do not enter.
//!
//! Own writer, because a feed is compared byte by byte: the crate that writes iCalendar puts a random `UID` and the time of
//! day into the components of a time zone and into alarms.

mod zone;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;

use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, Utc};
use chrono_tz::Tz;

/// A thing to be done, from a day on and by a day.
#[derive(Debug, Clone, PartialEq)]
pub struct ToDo {
    pub about: About,
    pub opens: NaiveDate,
    pub due: NaiveDate,
}

/// Everything at one place on one trip.
#[derive(Debug, Clone, PartialEq)]
pub struct Visit {
    pub about: About,
    /// By the wall clock of `zone`.
    pub begins: NaiveDateTime,
    pub zone: Tz,
    pub minutes: u32,
    /// Somebody has to be told of it so many days before, in these words.
    pub tell: Option<(u32, String)>,
}

/// What is told of either.
#[derive(Debug, Clone, PartialEq)]
pub struct About {
    /// The same for the same thing in every calendar that is written.
    pub uid: String,
    /// When what is told of it was last changed.
    pub changed: DateTime<Utc>,
    pub summary: String,
    pub description: String,
    pub place: String,
}

/// The longest a line may be, in octets, its break left out (RFC 5545, 3.1).
const LONGEST: usize = 75;
const PRODUCT: &str = concat!("-//stemwall//stemwall ", env!("CARGO_PKG_VERSION"), "//EN");

/// The text of a calendar.
pub fn calendar(to_dos: &[ToDo], visits: &[Visit]) -> String {
    let mut out = Lines::default();
    out.put("BEGIN", "VCALENDAR");
    out.put("VERSION", "2.0");
    out.put("PRODID", PRODUCT);
    out.put("CALSCALE", "GREGORIAN");
    let mut zones: BTreeMap<&str, (Tz, i32, i32)> = BTreeMap::new();
    for visit in visits {
        let year = visit.begins.year();
        let (_, first, last) = zones.entry(visit.zone.name()).or_insert((visit.zone, year, year));
        (*first, *last) = (year.min(*first), year.max(*last));
    }
    if to_dos.is_empty() && visits.is_empty() {
        // A calendar holds at least one component.
        zones.insert("UTC", (Tz::UTC, 1970, 1970));
    }
    zones.values().for_each(|(zone, first, last)| zone::put(*zone, *first, *last, &mut out));
    to_dos.iter().for_each(|to_do| put_to_do(to_do, &mut out));
    visits.iter().for_each(|visit| put_visit(visit, &mut out));
    out.put("END", "VCALENDAR");
    out.text
}

fn put_to_do(to_do: &ToDo, out: &mut Lines) {
    out.put("BEGIN", "VTODO");
    put_about(&to_do.about, out);
    // A to-do ends later than it begins.
    if to_do.opens < to_do.due {
        out.put("DTSTART;VALUE=DATE", &date(to_do.opens));
    }
    out.put("DUE;VALUE=DATE", &date(to_do.due));
    out.put("STATUS", "NEEDS-ACTION");
    // Fifteen hours before the day begins.
    put_alarm("TRIGGER;RELATED=END", "-PT15H", &to_do.about.summary, out);
    out.put("END", "VTODO");
}

fn put_visit(visit: &Visit, out: &mut Lines) {
    out.put("BEGIN", "VEVENT");
    put_about(&visit.about, out);
    out.put(&format!("DTSTART;TZID={}", visit.zone.name()), &wall(visit.begins));
    out.put("DURATION", &format!("PT{}M", visit.minutes));
    if let Some((days, says)) = &visit.tell {
        put_alarm("TRIGGER", &format!("-P{days}D"), says, out);
    }
    put_alarm("TRIGGER", "-P1D", &visit.about.summary, out);
    out.put("END", "VEVENT");
}

fn put_alarm(trigger: &str, when: &str, says: &str, out: &mut Lines) {
    out.put("BEGIN", "VALARM");
    out.put("ACTION", "DISPLAY");
    out.put_text("DESCRIPTION", says);
    out.put(trigger, when);
    out.put("END", "VALARM");
}

fn put_about(about: &About, out: &mut Lines) {
    out.put_text("UID", &about.uid);
    out.put("DTSTAMP", &about.changed.format("%Y%m%dT%H%M%SZ").to_string());
    out.put_text("SUMMARY", &about.summary);
    out.put_text("DESCRIPTION", &about.description);
    out.put_text("LOCATION", &about.place);
}

fn date(day: NaiveDate) -> String {
    day.format("%Y%m%d").to_string()
}

fn wall(at: NaiveDateTime) -> String {
    at.format("%Y%m%dT%H%M%S").to_string()
}

/// Content lines.
#[derive(Default)]
struct Lines {
    text: String,
}

impl Lines {
    /// A line whose value is no free text.
    fn put(&mut self, name: &str, value: &str) {
        self.fold(&format!("{name}:{value}"));
    }

    /// A line of free text; an empty one is left out.
    fn put_text(&mut self, name: &str, text: &str) {
        if !text.is_empty() {
            self.fold(&format!("{name}:{}", escaped(text)));
        }
    }

    /// Breaks a line before the character that would make it too long; what follows begins with a space.
    fn fold(&mut self, line: &str) {
        let mut length = 0;
        for c in line.chars() {
            if length + c.len_utf8() > LONGEST {
                self.text.push_str("\r\n ");
                length = 1;
            }
            self.text.push(c);
            length += c.len_utf8();
        }
        self.text.push_str("\r\n");
    }
}

/// Text as it may stand in a value: a line break as `\n`, other control and direction characters as spaces.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.replace("\r\n", "\n").chars() {
        match c {
            '\\' | ';' | ',' => out.extend(['\\', c]),
            '\n' | '\r' | '\u{2028}' | '\u{2029}' | '\u{85}' => out.push_str("\\n"),
            c if c.is_control() || turns_direction(c) => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Marks that turn the direction of what follows, or are not seen at all.
fn turns_direction(c: char) -> bool {
    matches!(c, '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}
