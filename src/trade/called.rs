//! By when somebody licensed is asked, where the rule that calls them says nothing of it.
//!
//! The rule in words: what goes to a licensed person is asked for within 30 days of the evidence, so that it stands in the
//! list of what is due. No published source was found that says how soon; a rule that has a day of its own keeps it.

use chrono::{Days, NaiveDate};

use super::told;
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict};

/// Days from the evidence to the day by which a licensed person is asked: design rule of this program, no published source.
pub const ASKED_WITHIN_DAYS: u64 = 30;

pub static ASKED_WITHIN: Rule = Rule {
    name: "called-within",
    says: "a licensed person whom another rule calls is asked within 30 days, where that rule names no day",
    source: "design rule of this program, no published source",
    standing: Standing::Practice,
    scope: "findings and radon that go to a licensed person; what is urgent is asked for at once",
    variants: &[],
};

/// Gives a verdict that calls somebody, and names no day for that, the day that is [`ASKED_WITHIN_DAYS`] after `since`; of
/// what is urgent, `since`. Readings that are asked for by a day of their own are the owner's part, and no such day.
pub fn ask_within(verdict: &mut Verdict, since: NaiveDate) {
    let (Some(band), Some(who)) = (verdict.band, verdict.who) else { return };
    if band < Band::Call || verdict.next.iter().any(|step| step.by.is_some() && !step.reads()) {
        return;
    }
    let calls = verdict.next.iter().position(Step::calls);
    let Some(at) = calls.or_else(|| verdict.first_recordable()) else { return };
    if band == Band::Urgent {
        return verdict.ask_step_by(at, since);
    }
    let day = since.checked_add_days(Days::new(ASKED_WITHIN_DAYS)).unwrap_or(since);
    let because =
        format!("no source says how soon: asked for by {}, 30 days after {}", told::day(day), told::day(since));
    let after = verdict.because.iter().take_while(|fired| fired.band == Some(band)).count();
    verdict.because.insert(after, Fired::new(&ASKED_WITHIN, band, who, Some(By::Date(day)), because));
    verdict.ask_step_by(at, day);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::rules::tests::worded;
    use crate::trade::timber::{Insects, insects};
    use crate::trade::words::InsectSign;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn who_is_called_without_a_day_is_asked_within_thirty() {
        let mut called = insects(&Insects { signs: &[InsectSign::MudTubes] });
        assert_eq!(called.due_on, None);
        ask_within(&mut called, day("2026-11-25"));
        let called = worded(called);
        // 25 Nov + 30 days: 5 left of November, 25 of December.
        assert_eq!(called.due_on, Some(day("2026-12-25")));
        assert_eq!(called.because[0].rule.name, "wood-insects", "what calls comes first");
        assert_eq!(called.because[1].rule.name, "called-within");
    }

    #[test]
    fn milder_bands_and_days_of_their_own_stay() {
        let mut watched = insects(&Insects { signs: &[] });
        ask_within(&mut watched, day("2026-11-25"));
        assert_eq!((watched.due_on, watched.because.len()), (None, 1));

        let mut dated = insects(&Insects { signs: &[InsectSign::MudTubes] });
        dated.ask_by(day("2026-12-01"));
        ask_within(&mut dated, day("2026-11-25"));
        assert_eq!((dated.due_on, dated.because.len()), (Some(day("2026-12-01")), 1));
    }

    #[test]
    fn a_day_for_the_next_reading_is_no_day_for_who_is_called() {
        let mut called = insects(&Insects { signs: &[InsectSign::MudTubes] });
        called.next.insert(0, Step::recorded_as("read it monthly", "reading-added").by(day("2026-12-05")));
        called.asks(called.next.clone());
        ask_within(&mut called, day("2026-11-25"));
        let days: Vec<_> = called.next.iter().filter_map(|step| step.by.map(|by| (step.calls(), by))).collect();
        assert_eq!(days, [(false, day("2026-12-05")), (true, day("2026-12-25"))]);
        assert_eq!(called.due_on, Some(day("2026-12-05")));
    }

    #[test]
    fn what_has_to_be_done_at_once_is_the_call_and_keeps_its_day() {
        let act = Step::new("do not step in; have it made dead first").by(day("2026-11-20"));
        let record = Step::recorded_as("record what is concluded", "judgement-given");
        let mut called = insects(&Insects { signs: &[InsectSign::MudTubes] });
        called.asks(vec![act.clone(), record.clone()]);
        ask_within(&mut called, day("2026-11-25"));
        assert_eq!(called.next, [act, record]);
        assert!(called.because.iter().all(|fired| fired.rule.name != "called-within"));
    }
}
