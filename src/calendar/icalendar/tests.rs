use chrono_tz::America::Chicago;
use proptest::prelude::*;

use super::{About, ToDo, Visit, calendar, escaped};

fn about(summary: &str, description: &str) -> About {
    About {
        uid: "0190-pump".to_owned(),
        changed: "2026-02-01T10:20:30Z".parse().unwrap(),
        summary: summary.to_owned(),
        description: description.to_owned(),
        place: "Elm Street 4".to_owned(),
    }
}

fn to_do(summary: &str, description: &str) -> ToDo {
    let [opens, due] = ["2026-02-09", "2026-03-11"].map(|day| day.parse().unwrap());
    ToDo { about: about(summary, description), opens, due }
}

#[test]
fn a_thing_to_do_is_written_so() {
    assert_eq!(
        calendar(&[to_do("test the pump; now, not later", "last 9 Mar\nwhy: C:\\x")], &[]).replace("\r\n", "\n"),
        format!(
            "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//stemwall//stemwall {}//EN\nCALSCALE:GREGORIAN\nBEGIN:VTODO\nUID:0190-pump\n\
             DTSTAMP:20260201T102030Z\nSUMMARY:test the pump\\; now\\, not later\nDESCRIPTION:last 9 Mar\\nwhy: C:\\\\x\n\
             LOCATION:Elm Street 4\nDTSTART;VALUE=DATE:20260209\nDUE;VALUE=DATE:20260311\nSTATUS:NEEDS-ACTION\nBEGIN:VALARM\nACTION:DISPLAY\n\
             DESCRIPTION:test the pump\\; now\\, not later\nTRIGGER;RELATED=END:-PT15H\nEND:VALARM\nEND:VTODO\n\
             END:VCALENDAR\n",
            env!("CARGO_PKG_VERSION")
        )
    );
}

/// Chicago's clocks as the IANA data have them: 8 March 2026 02:00 CST to CDT, 1 November 2026 02:00 CDT to CST.
#[test]
fn a_visit_brings_its_time_zone() {
    let visit = Visit {
        about: about("visit", ""),
        begins: "2026-03-11T09:00:00".parse().unwrap(),
        zone: Chicago,
        minutes: 50,
        tell: Some((2, "tell them".into())),
    };
    let text = calendar(&[], &[visit]).replace("\r\n", "\n");
    for part in [
        "BEGIN:VTIMEZONE\nTZID:America/Chicago\nBEGIN:STANDARD\nDTSTART:20241231T180000\nTZOFFSETFROM:-0600\nTZOFFSETTO:-0600\n\
         TZNAME:CST\nEND:STANDARD\n",
        "BEGIN:DAYLIGHT\nDTSTART:20260308T020000\nTZOFFSETFROM:-0600\nTZOFFSETTO:-0500\nTZNAME:CDT\nEND:DAYLIGHT\n",
        "BEGIN:STANDARD\nDTSTART:20261101T020000\nTZOFFSETFROM:-0500\nTZOFFSETTO:-0600\nTZNAME:CST\nEND:STANDARD\n",
        "DTSTART;TZID=America/Chicago:20260311T090000\nDURATION:PT50M\nBEGIN:VALARM\nACTION:DISPLAY\nDESCRIPTION:tell them\n\
         TRIGGER:-P2D\nEND:VALARM\nBEGIN:VALARM\nACTION:DISPLAY\nDESCRIPTION:visit\nTRIGGER:-P1D\nEND:VALARM\nEND:VEVENT\n",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
}

#[test]
fn a_calendar_of_nothing_still_holds_a_component() {
    let text = calendar(&[], &[]);
    assert!(text.contains("BEGIN:VTIMEZONE\r\nTZID:UTC\r\n") && !text.contains("VTODO"), "{text}");
}

proptest! {
    /// What a reader does: joins folded lines, then takes the escapes back.
    #[test]
    fn no_text_breaks_a_line_and_all_of_it_can_be_read_back(summary in any::<String>(), description in "\\PC{0,200}") {
        let text = calendar(&[to_do(&summary, &description)], &[]);
        for line in text.strip_suffix("\r\n").unwrap().split("\r\n") {
            prop_assert!(line.len() <= 75, "{line}");
            prop_assert!(!line.chars().any(char::is_control), "{line:?}");
        }
        let joined = text.replace("\r\n ", "");
        let value = |name: &str| {
            let of = joined.split("\r\n").find_map(|line| line.strip_prefix(&format!("{name}:"))).unwrap_or_default();
            let mut out = String::new();
            let mut letters = of.chars();
            while let Some(c) = letters.next() {
                match (c, c == '\\') {
                    (_, true) => out.extend(letters.next().map(|c| if c == 'n' { '\n' } else { c })),
                    (c, false) => out.push(c),
                }
            }
            out
        };
        let kept = |text: &str| escaped(text).replace("\\n", "\n").replace("\\;", ";").replace("\\,", ",").replace("\\\\", "\\");
        if !summary.contains('\\') {
            prop_assert_eq!(value("SUMMARY"), kept(&summary));
        }
        prop_assert_eq!(joined.split("\r\n").count(), if summary.is_empty() { 19 } else { 21 } - usize::from(description.is_empty()));
    }
}
