//! A floor or a footing that has gone down or come up.
//!
//! The rule in words: a floor survey whose deflection is worse than 1/360 of the length it was found over, together with
//! visible signs, goes to a licensed structural engineer; without signs, or while that is not known, more readings are
//! wanted, for one survey shows a shape and no movement. A level that moves, up or down, goes to the engineer by the rules
//! of every series. Lengths are exact: 1 in over 30 ft is 1/360 and not worse.

use chrono::NaiveDate;

use super::cautions;
use super::crack;
use super::series::{self, Measured, Series};
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::Answer;
use crate::quantity::{Exact, Length};

/// Length over deflection below which a survey is worse than the guide: Texas Section ASCE, Guidelines for the Evaluation
/// and Repair of Residential Foundations, Version 2 (2009); second-hand.
pub const DEFLECTION_ONE_IN: i128 = 360;

/// Angular distortion at which cracking began, one in: Skempton and MacDonald 1956; second-hand.
pub const CRACKING_ONE_IN: i128 = 300;
/// At which structural damage was found: Skempton and MacDonald 1956; second-hand.
pub const DAMAGE_ONE_IN: i128 = 150;
/// Suggested for design: Skempton and MacDonald 1956, from memory; the slope of Mair's first screening, second-hand.
pub const DESIGN_ONE_IN: i128 = 500;

pub static DEFLECTION: Rule = Rule {
    name: "deflection-ratio",
    says: "a deflection ratio worse than 1/360 together with visible signs goes to a licensed structural engineer; without \
           signs more information is needed, and no repair follows from it",
    source: "Texas Section ASCE, Guidelines for the Evaluation and Repair of Residential Foundations, Version 2 (2009)",
    standing: Standing::SecondHand,
    scope: "floors of houses on slabs and piers; floor coverings of different thickness taken off first",
    variants: &[],
};

pub static ANGULAR: Rule = Rule {
    name: "angular-distortion",
    says: "cracking of load-bearing walls and panels was found to begin at 1/300, structural damage at 1/150; 1/500 was suggested for \
           design, from memory",
    source: "Skempton and MacDonald 1956, Proceedings of the Institution of Civil Engineers 5(3), as quoted",
    standing: Standing::SecondHand,
    scope: "98 buildings, of which 40 were damaged; of frames and load-bearing walls, not of floors of houses; for comparison only",
    variants: &[
        Variant {
            name: "mair-1996",
            says: "settlement under 10 mm and slope under 1/500 are a negligible risk in a first screening",
            source: "Mair, Taylor and Burland 1996, as quoted by Goh and Mair 2014",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "bjerrum-1963",
            says: "1/500 no cracking allowed, 1/300 first cracking in panel walls, 1/250 tilt of a high rigid building shows, 1/150 \
                   considerable cracking and structural damage",
            source: "Bjerrum 1963, discussion, third European conference on soil mechanics, Wiesbaden",
            standing: Standing::Memory,
        },
    ],
};

/// The worst deflection of one floor survey and the length it was found over.
#[derive(Debug, Clone, PartialEq)]
pub struct FloorSurvey {
    pub on: NaiveDate,
    /// Middle less the mean of the ends (either sign), or the range of residuals.
    pub deflection: Length,
    pub over: Length,
}

/// What is recorded about one settlement.
#[derive(Debug, Clone)]
pub struct Settlement<'a> {
    /// Every series of levels not ended by a repair of this place.
    pub series: &'a [Series],
    /// In order of date; the latest is compared.
    pub surveys: &'a [FloorSurvey],
    /// Whether cracks, binding doors or the like are seen at the same place.
    pub visible_signs: Option<Answer>,
    /// The first day on which it moved while it was looked at.
    pub moved_on: Option<NaiveDate>,
    /// First day of the next reading round after the last reading (or after the opening).
    pub next_round: NaiveDate,
}

/// The verdict on one settlement on `today`.
pub fn verdict(of: &Settlement, today: NaiveDate) -> Verdict {
    let movement = series::movement(of.series, Measured::Level, of.next_round, today);
    let survey = of.surveys.iter().rev().find(|s| s.on <= today);
    let mut fired = Vec::new();
    fired.extend(of.moved_on.map(crack::moved));
    fired.extend(movement.moving.iter().cloned());
    fired.extend(survey.map(|s| deflected(s, of)));
    fired.extend(survey.and_then(distorted));
    fired.extend(movement.quiet.iter().cloned());

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.read(survey, "a survey of the floor's levels");
    if !matches!(of.visible_signs, Some(Answer::Yes | Answer::No)) {
        list.say("whether there are cracks or binding doors at the same place (no such finding is open there)");
    }
    verdict.not_known = list.into_list();
    verdict.not_known.extend(movement.not_known.iter().cloned());
    verdict.asks(next(&verdict, of));
    verdict.cautions = vec![cautions::LOCAL_LAW];
    if of.moved_on.is_some() {
        verdict.cautions.insert(0, cautions::KEEP_OUT);
    }
    if let Some(day) = movement.enough_on {
        verdict.may_change_on(day);
    }
    verdict
}

fn deflected(survey: &FloorSurvey, of: &Settlement) -> Fired {
    let worse = told::is_steeper(survey.deflection, survey.over, DEFLECTION_ONE_IN);
    let side = if worse { "worse" } else { "not worse" };
    let found = format!(
        "deflection {} over {}, surveyed {}, is {side} than 1/360",
        told::length(survey.deflection),
        told::length(survey.over),
        told::day(survey.on),
    );
    if !worse {
        return Fired::for_comparison(&DEFLECTION, found);
    }
    match of.visible_signs {
        Some(Answer::Yes) => {
            let because = format!("{found}, and there are visible signs");
            Fired::new(&DEFLECTION, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
        }
        Some(Answer::No) => watched(of, format!("{found}; no visible signs are recorded")),
        Some(Answer::Unknown) | None => watched(of, format!("{found}; whether there are visible signs is not known")),
    }
}

/// The slope from an end to the middle, the tilt of the whole taken off, beside the published figures.
fn distorted(survey: &FloorSurvey) -> Option<Fired> {
    let twice = Length::from_exact(survey.deflection.abs().exact().checked_mul(Exact::integer(2))?)?;
    let one_in = survey.over.abs().exact().checked_div(twice.exact())?;
    let side = |figure: i128| if told::is_steeper(twice, survey.over, figure) { "beyond" } else { "not beyond" };
    let because = format!(
        "angular distortion 1/{} (twice the deflection over the length, tilt taken off): {} 1/500, {} 1/300, {} 1/150",
        one_in.round_half_up(0).decimal(0),
        side(DESIGN_ONE_IN),
        side(CRACKING_ONE_IN),
        side(DAMAGE_ONE_IN),
    );
    Some(Fired::for_comparison(&ANGULAR, because))
}

fn watched(of: &Settlement, because: String) -> Fired {
    Fired::new(&DEFLECTION, Band::Watch, Who::Owner, Some(By::Date(of.next_round)), because)
}

fn next(verdict: &Verdict, of: &Settlement) -> Vec<Step> {
    let read = format!("read the levels again at the same points by {}", told::day(of.next_round));
    let since = verdict.at_once_since();
    let mut steps = vec![Step::recorded_as(read, "reading-added").by(of.next_round)];
    if verdict.band >= Some(Band::Call) {
        let judged = "a judgement by a licensed structural engineer, before anything is done to it";
        steps.insert(0, Step::recorded_as(judged, "judgement-given").at_once(since));
    }
    if of.moved_on.is_some() {
        steps.insert(0, Step::new("keep people out, and have the engineer look today").at_once(since));
    }
    if verdict.band < Some(Band::Call) && !matches!(of.visible_signs, Some(Answer::Yes | Answer::No)) {
        let look = "look for cracks, binding doors and windows at the same place, and open a finding for each";
        steps.push(Step::recorded_as(look, "finding-opened"));
    }
    steps
}

#[cfg(test)]
mod tests {
    use super::{FloorSurvey, Settlement, verdict};
    use crate::quantity::Length;
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::verdict::{Band, Verdict};
    use crate::trade::words::Answer;

    fn surveyed(deflection: &str, visible_signs: Option<Answer>) -> Verdict {
        let deflection = Length::parse_signed(deflection).unwrap();
        let surveys = [FloorSurvey { on: day("2026-01-01"), deflection, over: Length::feet(30, 1) }];
        let of =
            Settlement { series: &[], surveys: &surveys, visible_signs, moved_on: None, next_round: day("2026-04-01") };
        worded(verdict(&of, day("2026-01-15")))
    }

    #[test]
    fn a_deflection_worse_than_one_in_360_with_signs_is_called() {
        // Texas Section ASCE: 30 ft with 0.0, -1.6, -1.2 in deflects -1.0 in, which is 1/360 and not worse.
        let cases = [
            ("-1.0 in", Some(Answer::Yes), Band::Watch),
            ("-1.01 in", Some(Answer::Yes), Band::Call),
            ("1.01 in", Some(Answer::Yes), Band::Call),
            ("-1.01 in", Some(Answer::No), Band::Watch),
            ("-1.01 in", Some(Answer::Unknown), Band::Watch),
            ("-1.01 in", None, Band::Watch),
        ];
        for (deflection, signs, band) in cases {
            assert_eq!(surveyed(deflection, signs).band, Some(band), "{deflection}, {signs:?}");
        }
        let one_in_360 = surveyed("-1.0 in", Some(Answer::Yes));
        assert!(one_in_360.comparison.iter().any(|f| f.rule.name == "deflection-ratio"));
        let open = surveyed("-1.01 in", None);
        assert!(open.because.iter().any(|f| f.because.ends_with("whether there are visible signs is not known")));
    }

    #[test]
    fn angular_distortion_is_said_beside_its_published_figures_and_moves_no_band() {
        // Over 30 ft = 360 in: 2 × 0.36 / 360 is 1/500, 2 × 0.6 / 360 is 1/300, 2 × 1.2 / 360 is 1/150; none of them beyond.
        for (deflection, said) in [
            (
                "0.36 in",
                "1/500 (twice the deflection over the length, tilt taken off): not beyond 1/500, not beyond 1/300, not beyond 1/150",
            ),
            (
                "0.37 in",
                "1/486 (twice the deflection over the length, tilt taken off): beyond 1/500, not beyond 1/300, not beyond 1/150",
            ),
            (
                "0.6 in",
                "1/300 (twice the deflection over the length, tilt taken off): beyond 1/500, not beyond 1/300, not beyond 1/150",
            ),
            (
                "-0.61 in",
                "1/295 (twice the deflection over the length, tilt taken off): beyond 1/500, beyond 1/300, not beyond 1/150",
            ),
            (
                "1.2 in",
                "1/150 (twice the deflection over the length, tilt taken off): beyond 1/500, beyond 1/300, not beyond 1/150",
            ),
            (
                "1.21 in",
                "1/149 (twice the deflection over the length, tilt taken off): beyond 1/500, beyond 1/300, beyond 1/150",
            ),
        ] {
            let verdict = surveyed(deflection, Some(Answer::No));
            let beside = verdict.comparison.iter().find(|f| f.rule.name == "angular-distortion").unwrap();
            assert_eq!(beside.because.to_string(), format!("angular distortion {said}"));
            assert_eq!(verdict.band, Some(Band::Watch), "{deflection}");
        }
        let flat = surveyed("0 in", None);
        assert!(flat.comparison.iter().all(|f| f.rule.name != "angular-distortion"), "a straight floor has none");
    }
}
