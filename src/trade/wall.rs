//! A wall that bows or leans.
//!
//! The rule in words: a bow in a wall that holds earth goes to a licensed structural engineer before any repair, and so does
//! a wall out of plumb beyond 1 in 8 ft (1/96 of the height). No published limit of inward bow was found that parts one
//! repair from another, and none is used. A bow in a wall that holds no earth, or of which that is not known, is read on;
//! growth and fast change go to the engineer whatever the wall. Lengths are exact: 1 in 8 ft is not beyond.

use chrono::NaiveDate;

use super::cautions;
use super::crack;
use super::series::{self, Measured, Movement, Series};
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict, Who};
use super::words::{Answer, Walls};
use crate::quantity::Length;

/// Height over which a wall may be out of plumb by one unit: 1 in 8 ft is 1/96. NAHB Residential Construction Performance
/// Guidelines as a builder's manual quotes them; second-hand, a workmanship figure.
pub const PLUMB_ONE_IN: i128 = 96;

pub static BOW: Rule = Rule {
    name: "bow-in-retaining-wall",
    says: "a bow in a wall that holds earth goes to a licensed structural engineer before any repair",
    source: "GSA Historic Preservation Technical Procedures, Monitoring and Evaluating Cracks in Masonry",
    standing: Standing::Read,
    scope: "foundation walls that hold earth; the source speaks of masonry",
    variants: &[],
};

pub static OUT_OF_PLUMB: Rule = Rule {
    name: "out-of-plumb",
    says: "a wall out of plumb beyond 1 in 8 ft goes to a licensed structural engineer before any repair",
    source: "NAHB Residential Construction Performance Guidelines, as a builder's manual quotes articles 3-1 to 3-10",
    standing: Standing::SecondHand,
    scope: "basement and foundation walls; a workmanship figure of warranties, not a limit of strength",
    variants: &[],
};

/// How far a wall stands out of plumb over a height.
#[derive(Debug, Clone, PartialEq)]
pub struct Lean {
    pub on: NaiveDate,
    pub out: Length,
    pub over: Length,
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
    pub moved_while_looked_at: bool,
    /// First day of the next reading round after the last reading (or after the opening).
    pub next_round: NaiveDate,
}

/// The verdict on one bow on `today`.
pub fn verdict(of: &Bow, today: NaiveDate) -> Verdict {
    let movement = series::movement(of.series, Measured::Bow, of.next_round, today);
    let lean = of.leans.iter().rev().find(|l| l.on <= today);
    let mut fired = Vec::new();
    fired.extend(of.moved_while_looked_at.then(crack::moved));
    fired.extend(movement.moving.iter().cloned());
    if of.retains == Some(Answer::Yes) {
        fired.push(before_repair(&BOW, "a bow in a wall that holds earth".to_owned()));
    }
    fired.extend(lean.and_then(out_of_plumb));
    let sent_away = fired.iter().any(|f| f.band >= Some(Band::Call));
    fired.extend(movement.quiet.iter().cloned());

    let mut verdict = Verdict::from_fired(fired);
    verdict.not_known = not_known(of, lean, &movement);
    verdict.next = next(sent_away, of);
    verdict.cautions = vec![if sent_away { cautions::LOCAL_LAW } else { cautions::NOT_ALONE }];
    if let Some(day) = movement.enough_on {
        verdict.may_change_on(day);
    }
    verdict.ask_by(movement.due_on(&verdict, of.next_round));
    if of.moved_while_looked_at {
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

fn is_beyond(lean: &Lean) -> bool {
    told::is_steeper(lean.out, lean.over, PLUMB_ONE_IN)
}

fn not_known(of: &Bow, lean: Option<&Lean>, movement: &Movement) -> Vec<String> {
    let mut list = NotKnown::default();
    list.answer(of.wall, Walls::Unknown, "what the wall is made of");
    list.answer(of.retains, Answer::Unknown, "whether the wall holds earth");
    list.read(lean, "how far the wall is out of plumb over its height");
    let mut list = list.into_list();
    list.extend(movement.not_known.iter().cloned());
    list
}

fn next(sent_away: bool, of: &Bow) -> Vec<Step> {
    let read_by = told::day(of.next_round);
    if !sent_away {
        let mut steps =
            vec![Step::recorded_as(format!("read the bow again at the same mark by {read_by}"), "reading-added")];
        if of.retains != Some(Answer::No) {
            steps.insert(
                0,
                Step::recorded_as(
                    "find out whether the wall holds earth; until that is known take it that it does",
                    "note-added",
                ),
            );
        }
        return steps;
    }
    let mut steps = vec![
        Step::recorded_as(
            "a judgement by a licensed structural engineer, before anything is done to it",
            "judgement-given",
        ),
        Step::recorded_as(
            format!("until then: read it monthly, next by {read_by}, and keep water away from the wall"),
            "reading-added",
        ),
    ];
    if of.moved_while_looked_at {
        steps.insert(0, Step::new("keep people out, and have the engineer look today"));
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::{Bow, Lean, verdict};
    use crate::quantity::Length;
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::verdict::{Band, By, Verdict};
    use crate::trade::words::{Answer, Walls};

    fn bow<'a>(retains: Option<Answer>, leans: &'a [Lean]) -> Bow<'a> {
        Bow {
            wall: Some(Walls::Block),
            retains,
            series: &[],
            leans,
            moved_while_looked_at: false,
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
        for answer in [Some(Answer::No), Some(Answer::Unknown), None] {
            assert_eq!(on(&bow(answer, &[])).band, Some(Band::Watch), "{answer:?}");
        }
        let unknown = on(&bow(None, &[]));
        assert!(unknown.not_known.contains(&"whether the wall holds earth (not asked)".to_owned()));
        assert!(unknown.next[0].says.contains("take it that it does"));
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
    fn a_wall_that_moves_under_the_eye_is_urgent() {
        let verdict = on(&Bow { moved_while_looked_at: true, ..bow(None, &[]) });
        assert_eq!((verdict.band, verdict.by.clone()), (Some(Band::Urgent), Some(By::AtOnce)));
    }
}
