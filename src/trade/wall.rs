//! A wall that bows or leans.
//!
//! The rule in words: a bow in a wall that holds earth goes to a licensed structural engineer before any repair, and so does
//! a wall that bows or leans beyond 1 in 8 ft (1/96 of the height), whatever it holds. No published limit of inward bow was
//! found that parts one repair from another, and none is used. A wall of which it is not known whether it holds earth is taken
//! to hold it. A smaller bow in a wall that holds no earth is read on; growth and fast change go to the engineer whatever the
//! wall. Lengths are exact: 1 in 8 ft is not beyond.

use chrono::NaiveDate;

use super::cautions;
use super::crack;
use super::pattern::{self, Seen};
use super::series::{self, Measured, Movement, Series};
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::{Answer, Walls};
use crate::quantity::Length;

/// Height over which a wall may be out of plumb by one unit: 1 in 8 ft is 1/96. NAHB Residential Construction Performance
/// Guidelines as a builder's manual quotes them; second-hand, a workmanship figure.
pub const PLUMB_ONE_IN: i128 = 96;

/// Height over a deflection that walls are designed for: HUD Residential Structural Design Guide, chapter 4; from memory.
pub const DESIGN_ONE_IN: i128 = 240;

pub static BOW: Rule = Rule {
    name: "bow-in-retaining-wall",
    says: "a bow in a wall that holds earth goes to a licensed structural engineer before any repair",
    source: "GSA Historic Preservation Technical Procedures, Monitoring and Evaluating Cracks in Masonry",
    standing: Standing::Read,
    scope: "foundation walls that hold earth, or of which that is not known, which is a design rule of this program; the source \
            speaks of masonry",
    variants: &[],
};

pub static OUT_OF_PLUMB: Rule = Rule {
    name: "out-of-plumb",
    says: "a wall that bows or is out of plumb beyond 1 in 8 ft goes to a licensed structural engineer before any repair",
    source: "NAHB Residential Construction Performance Guidelines, as a builder's manual quotes articles 3-1 to 3-10",
    standing: Standing::SecondHand,
    scope: "basement and foundation walls; a workmanship figure of warranties, not a limit of strength",
    variants: &[],
};

pub static BOW_FIGURES: Rule = Rule {
    name: "bow-figures",
    says: "warranties let a basement wall bow or lean to 1 in over 8 ft; no published limit was found that parts one repair of a bow \
           from another",
    source: "NAHB Residential Construction Performance Guidelines, as a builder's manual quotes articles 3-1 to 3-10",
    standing: Standing::SecondHand,
    scope: "basement walls under warranty: a tolerance of workmanship, not a limit of strength; for comparison only",
    variants: &[Variant {
        name: "design",
        says: "height over 240 is a usual service deflection in design",
        source: "HUD Residential Structural Design Guide, chapter 4",
        standing: Standing::Memory,
    }],
};

/// How far a wall stands out of plumb over a height.
#[derive(Debug, Clone, PartialEq)]
pub struct Lean {
    pub on: NaiveDate,
    pub out: Length,
    pub over: Length,
}

/// How far a wall bows.
#[derive(Debug, Clone, PartialEq)]
pub struct Bowed {
    pub on: NaiveDate,
    pub bow: Length,
    /// `None`: not recorded with the reading.
    pub over: Option<Length>,
}

/// What is recorded about one bow.
#[derive(Debug, Clone)]
pub struct Bow<'a> {
    pub wall: Option<Walls>,
    pub retains: Option<Answer>,
    /// Every series (bow, out of plumb) not ended by a repair of this place.
    pub series: &'a [Series],
    /// Readings of out-of-plumb over a height, in order of date.
    pub leans: &'a [Lean],
    /// The latest bow that was read, and the height or length it was taken over.
    pub bowed: Option<Bowed>,
    /// The first day on which it moved while it was looked at.
    pub moved_on: Option<NaiveDate>,
    pub opened: NaiveDate,
    /// First day of the next reading round after the last reading (or after the opening).
    pub next_round: NaiveDate,
}

/// The verdict on one bow on `today`.
pub fn verdict(of: &Bow, today: NaiveDate) -> Verdict {
    let movement = series::movement(of.series, Measured::Bow, of.next_round, today);
    let lean = of.leans.iter().rev().find(|l| l.on <= today);
    let mut fired = Vec::new();
    fired.extend(of.moved_on.map(crack::moved));
    fired.extend(movement.moving.iter().cloned());
    match of.retains {
        Some(Answer::Yes) => fired.push(before_repair(&BOW, "a bow in a wall that holds earth".to_owned())),
        Some(Answer::Unknown) | None => {
            let because = "a bow in a wall of which it is not known whether it holds earth; it is taken that it does";
            fired.push(before_repair(&BOW, because.to_owned()));
        }
        Some(Answer::No) => {}
    }
    fired.extend(lean.and_then(out_of_plumb));
    let bowed = of.bowed.as_ref().filter(|bowed| bowed.on <= today);
    fired.extend(bowed.and_then(bowed_beyond));
    fired.extend(bowed.and_then(beside_figures));
    let sent_away = fired.iter().any(|f| f.band >= Some(Band::Call));
    fired.extend(movement.quiet.iter().cloned());
    fired.extend(pattern::listed(&Seen { wall: of.wall, in_wall: true, bow: true, ..Seen::default() }));

    let mut verdict = Verdict::from_fired(fired);
    verdict.not_known = not_known(of, lean, &movement);
    verdict.asks(next(&verdict, sent_away, of, &movement));
    verdict.cautions = vec![if sent_away { cautions::LOCAL_LAW } else { cautions::NOT_ALONE }];
    if let Some(day) = movement.enough_on {
        verdict.may_change_on(day);
    }
    if of.moved_on.is_some() {
        verdict.cautions.insert(0, cautions::KEEP_OUT);
    }
    verdict
}

fn before_repair(rule: &'static Rule, because: String) -> Fired {
    Fired::new(rule, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
}

fn out_of_plumb(lean: &Lean) -> Option<Fired> {
    let because = || {
        let (out, over) = (told::length(lean.out), told::length(lean.over));
        format!("out of plumb {out} over {over}, read {}; the figure is 1 in 8 ft", told::day(lean.on))
    };
    is_beyond(lean).then(|| before_repair(&OUT_OF_PLUMB, because()))
}

/// The figure of warranties speaks of bow and plumb alike.
fn bowed_beyond(of: &Bowed) -> Option<Fired> {
    let over = of.over.filter(|over| told::is_steeper(of.bow, *over, PLUMB_ONE_IN))?;
    let (bow, over) = (told::length(of.bow), told::length(over));
    let because = format!("bow {bow} over {over}, read {}; the figure is 1 in 8 ft", told::day(of.on));
    Some(before_repair(&OUT_OF_PLUMB, because))
}

/// A bow beside the only figures there are: the tolerance of warranties, which speaks of bow and plumb alike, and a deflection
/// that walls are designed for.
fn beside_figures(of: &Bowed) -> Option<Fired> {
    let (bow, day) = (told::length(of.bow), told::day(of.on));
    let Some(over) = of.over else {
        let because = format!(
            "bow {bow}, read {day}; the figure is 1 in over 8 ft, and over which height it bows is not recorded"
        );
        return Some(Fired::for_comparison(&BOW_FIGURES, because));
    };
    let side = |one_in| if told::is_steeper(of.bow, over, one_in) { "beyond" } else { "not beyond" };
    let because = format!(
        "bow {bow} over {}, read {day}: {} 1 in 8 ft (1/96), {} 1/240",
        told::length(over),
        side(PLUMB_ONE_IN),
        side(DESIGN_ONE_IN),
    );
    Some(Fired::for_comparison(&BOW_FIGURES, because))
}

fn is_beyond(lean: &Lean) -> bool {
    told::is_steeper(lean.out, lean.over, PLUMB_ONE_IN)
}

fn not_known(of: &Bow, lean: Option<&Lean>, movement: &Movement) -> Vec<String> {
    let mut list = NotKnown::default();
    list.answer(of.wall, Walls::Unknown, "what the wall is made of");
    list.answer(of.retains, Answer::Unknown, "whether the wall holds earth");
    list.read(lean, "how far the wall is out of plumb over its height");
    if of.bowed.as_ref().is_some_and(|bowed| bowed.over.is_none()) {
        list.say("over which height it bows (not recorded with the reading)");
    }
    let mut list = list.into_list();
    list.extend(movement.not_known.iter().cloned());
    list
}

fn next(verdict: &Verdict, sent_away: bool, of: &Bow, movement: &Movement) -> Vec<Step> {
    if !sent_away {
        let read = format!("read the bow again at the same mark by {}", told::day(of.next_round));
        return vec![Step::recorded_as(read, "reading-added").by(of.next_round)];
    }
    let since = verdict.at_once_since();
    let mut steps = Vec::new();
    if of.moved_on.is_some() {
        steps.push(Step::new("keep people out, and have the engineer look today").at_once(since));
    }
    steps.push(crack::judged_first().at_once(since));
    steps.push(crack::read_monthly("it", movement, of.opened));
    if !matches!(of.retains, Some(Answer::Yes | Answer::No)) {
        steps.push(crack::holds_earth());
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::{Bow, Bowed, Lean, verdict};
    use crate::quantity::Length;
    use crate::trade::rules::tests::worded;
    use crate::trade::series::Measured;
    use crate::trade::series::tests::{day, read};
    use crate::trade::verdict::{Band, By, Verdict};
    use crate::trade::words::{Answer, Walls};

    fn bow<'a>(retains: Option<Answer>, leans: &'a [Lean]) -> Bow<'a> {
        Bow {
            wall: Some(Walls::Block),
            retains,
            series: &[],
            leans,
            bowed: None,
            moved_on: None,
            opened: day("2025-12-10"),
            next_round: day("2026-04-01"),
        }
    }

    fn on(of: &Bow) -> Verdict {
        worded(verdict(of, day("2026-01-15")))
    }

    #[test]
    fn a_bow_in_a_wall_that_holds_earth_is_called() {
        // GSA, Monitoring and Evaluating Cracks in Masonry.
        let called = on(&bow(Some(Answer::Yes), &[]));
        assert_eq!((called.band, called.because[0].rule.name), (Some(Band::Call), "bow-in-retaining-wall"));
        assert_eq!(on(&bow(Some(Answer::No), &[])).band, Some(Band::Watch));
    }

    #[test]
    fn a_bow_in_a_wall_that_may_hold_earth_is_called_and_the_question_is_put() {
        // 60 mm, and nobody said whether the wall holds earth: what is open is not taken as `no`.
        let read = [read(Measured::Bow, &[("2026-01-01", "60")])];
        for (answer, said) in [(Some(Answer::Unknown), "answered unknown"), (None, "not asked")] {
            let unknown = on(&Bow { series: &read, ..bow(answer, &[]) });
            assert_eq!((unknown.band, unknown.because[0].rule.name), (Some(Band::Call), "bow-in-retaining-wall"));
            assert!(unknown.not_known.contains(&format!("whether the wall holds earth ({said})")));
            let asked = unknown.next.iter().find(|s| s.with == Some("--retains …")).unwrap();
            assert_eq!(asked.records, Some("entry-corrected"));
        }
        let no = on(&Bow { series: &read, ..bow(Some(Answer::No), &[]) });
        assert_eq!((no.band, no.next.iter().any(|s| s.with.is_some())), (Some(Band::Watch), false));
    }

    #[test]
    fn while_an_engineer_is_waited_for_it_is_read_a_month_after_the_last_reading() {
        let read = [read(Measured::Bow, &[("2025-11-10", "60"), ("2026-01-31", "60")])];
        let of = Bow { series: &read, ..bow(Some(Answer::Yes), &[]) };
        // The last day of a shorter month stands for the 31st.
        let called = worded(verdict(&of, day("2026-06-15")));
        assert_eq!(called.due_on, Some(day("2026-02-28")), "it becomes overdue");
        assert_eq!(on(&bow(Some(Answer::Yes), &[])).due_on, Some(day("2026-01-10")), "a month after the opening");
    }

    #[test]
    fn out_of_plumb_is_called_beyond_one_inch_in_eight_feet() {
        // NAHB figure, second-hand: 1 in 8 ft is 1/96.
        for (out, over, beyond) in
            [("1 in", "8 ft", false), ("1.01 in", "8 ft", true), ("1/2 in", "4 ft", false), ("13 mm", "4 ft", true)]
        {
            let lean =
                [Lean { on: day("2026-01-01"), out: Length::parse(out).unwrap(), over: Length::parse(over).unwrap() }];
            let verdict = on(&bow(Some(Answer::No), &lean));
            assert_eq!(verdict.band, Some(if beyond { Band::Call } else { Band::Watch }), "{out} in {over}");
        }
    }

    #[test]
    fn a_bow_is_said_beside_the_named_figures_and_called_beyond_that_of_warranties() {
        // NAHB, bow or out of plumb: 1 in over 8 ft is 1/96 and not beyond. HUD, from memory: 96 in / 240 = 0.4 in.
        for (bow_read, over, said, band) in [
            ("0.4 in", Some("8 ft"), "not beyond 1 in 8 ft (1/96), not beyond 1/240", Band::Watch),
            ("0.41 in", Some("8 ft"), "not beyond 1 in 8 ft (1/96), beyond 1/240", Band::Watch),
            ("1 in", Some("8 ft"), "not beyond 1 in 8 ft (1/96), beyond 1/240", Band::Watch),
            ("1.01 in", Some("8 ft"), "beyond 1 in 8 ft (1/96), beyond 1/240", Band::Call),
            ("3 in", Some("8 ft"), "beyond 1 in 8 ft (1/96), beyond 1/240", Band::Call),
            ("2 in", None, "over which height it bows is not recorded", Band::Watch),
        ] {
            let length = |text: &str| Length::parse(text).unwrap();
            let bowed = Some(Bowed { on: day("2026-01-01"), bow: length(bow_read), over: over.map(length) });
            let verdict = on(&Bow { bowed, ..bow(Some(Answer::No), &[]) });
            let beside = verdict.comparison.iter().find(|f| f.rule.name == "bow-figures").unwrap();
            assert!(beside.because.ends_with(said), "{bow_read}: {}", beside.because);
            assert_eq!(verdict.band, Some(band), "{bow_read}");
            let beyond = verdict.because.iter().any(|f| f.rule.name == "out-of-plumb");
            assert_eq!(beyond, band == Band::Call, "{bow_read}");
        }
    }

    #[test]
    fn a_wall_that_moves_under_the_eye_is_urgent() {
        let verdict = on(&Bow { moved_on: Some(day("2026-01-03")), ..bow(None, &[]) });
        assert_eq!((verdict.band, verdict.by.clone()), (Some(Band::Urgent), Some(By::AtOnce)));
        assert_eq!(verdict.due_on, Some(day("2026-01-03")), "the day it was seen");
    }
}
