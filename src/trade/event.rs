//! What happened to a property since it was last looked at.
//!
//! The rule in words: after a flood, an earthquake or works at the foundation the owner looks first, and a licensed
//! structural engineer looks at what that finds. A look is one that says so, of the whole property: a note on something else,
//! a reading or a look at one section leaves the rest unseen. A look on the day of the event does not count as one after it.
//! An event that nobody recorded is not known to this rule.

use chrono::NaiveDate;

use super::cautions;
use super::told;
use super::verdict::{Band, Fired, Rule, Standing, Step, Verdict, Who};
use super::words::EventKind;

pub static EVENT_SINCE_LOOK: Rule = Rule {
    name: "event-since-last-look",
    says: "after flood, earthquake or works at the foundation the owner looks at it; a licensed structural engineer looks at what \
           that finds",
    source: "NPS Preservation Brief 47 (2007) for looking after any significant event; the band is a design rule of this program",
    standing: Standing::Practice,
    scope: "foundations that were not looked at since the event",
    variants: &[],
};

/// Events of a property, and when the part in question was last looked at.
#[derive(Debug, Clone, Default)]
pub struct SinceLastLook<'a> {
    /// Last day a walk reached it; `None` if it never was looked at.
    pub last_look: Option<NaiveDate>,
    /// Sections that were looked over by themselves, each with the last day.
    pub sections: &'a [(&'a str, NaiveDate)],
    pub events: &'a [(EventKind, NaiveDate)],
}

/// The verdict on events up to `today`; without one that is not looked after there is no band.
pub fn verdict(of: &SinceLastLook, today: NaiveDate) -> Verdict {
    let counts = |kind: EventKind| matches!(kind, EventKind::Flood | EventKind::Earthquake | EventKind::Works);
    let since = of
        .events
        .iter()
        .filter(|(kind, on)| counts(*kind) && *on <= today && of.last_look.is_none_or(|look| *on >= look));
    let looked =
        of.last_look.map_or_else(|| "never looked at".to_owned(), |day| format!("last looked at {}", told::day(day)));
    let earliest = since.clone().map(|(_, on)| *on).min();
    let fired = since.map(|(kind, on)| {
        let parts = of.sections.iter().filter(|(_, day)| day > on && *day <= today);
        let parts: Vec<String> = parts.map(|(name, day)| format!("`{name}` on {}", told::day(*day))).collect();
        let parts = if parts.is_empty() { String::new() } else { format!("; since then only {}", parts.join(", ")) };
        let because = format!("{kind} on {}, {looked}{parts}", told::day(*on));
        Fired::at_once(&EVENT_SINCE_LOOK, Band::Call, Who::Owner, *on, because)
    });
    let mut verdict = Verdict::from_fired(fired.collect());
    if let Some(day) = earliest {
        verdict.next = vec![
            Step::recorded_as("walk round it and look at every wall and floor, then record what is seen", "note-added")
                .with("--look"),
            Step::recorded_as(
                "open a finding for whatever the look finds: a licensed structural engineer judges it",
                "finding-opened",
            ),
        ];
        verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY, cautions::NOT_ALONE, cautions::LOCAL_LAW];
        verdict.ask_by(day);
    }
    if of.last_look.is_none() {
        verdict.not_known = vec!["the foundation itself (never looked at)".to_owned()];
    }
    verdict
}

#[cfg(test)]
mod tests {
    use super::{SinceLastLook, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::verdict::{Band, Verdict, Who};
    use crate::trade::words::EventKind;

    fn after(kind: EventKind, on: &str, last_look: Option<&str>) -> Verdict {
        let events = [(kind, day(on))];
        let of = SinceLastLook { last_look: last_look.map(day), sections: &[], events: &events };
        worded(verdict(&of, day("2026-01-15")))
    }

    #[test]
    fn a_look_at_one_section_is_named_and_is_not_one_of_the_whole() {
        let events = [(EventKind::Works, day("2025-06-01"))];
        let sections = [("attic", day("2025-06-01")), ("main", day("2025-06-02"))];
        let of = SinceLastLook { last_look: None, sections: &sections, events: &events };
        let called = worded(verdict(&of, day("2026-01-15")));
        assert_eq!(called.band, Some(Band::Call));
        let because = &*called.because[0].because;
        assert_eq!(because, "works on 1 Jun 2025, never looked at; since then only `main` on 2 Jun 2025");
        assert_eq!((called.next[0].records, called.next[0].with), (Some("note-added"), Some("--look")));
    }

    #[test]
    fn flood_earthquake_and_works_are_called_until_looked_at() {
        for kind in EventKind::ALL {
            let counts = matches!(kind, EventKind::Flood | EventKind::Earthquake | EventKind::Works);
            let since = after(*kind, "2025-06-01", Some("2025-05-31"));
            assert_eq!(since.band, counts.then_some(Band::Call), "{kind}");
            assert_eq!(since.due_on, counts.then(|| day("2025-06-01")), "{kind}");
        }
        assert_eq!(after(EventKind::Flood, "2025-06-01", Some("2025-06-02")).band, None);
        assert_eq!(
            after(EventKind::Flood, "2025-06-01", Some("2025-06-01")).band,
            Some(Band::Call),
            "same day: not after it"
        );
        assert_eq!(after(EventKind::Flood, "2026-01-16", Some("2025-06-01")).band, None, "still to come");
        let never = after(EventKind::Flood, "2025-06-01", None);
        assert_eq!((never.band, never.who), (Some(Band::Call), Some(Who::Owner)));
        assert_eq!(never.not_known, ["the foundation itself (never looked at)"]);
    }
}
