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
use super::survey;
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::Answer;
use crate::quantity::{Exact, Length};

mod points;

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
    /// The name of the line, where it has one; lines without are the same where they are as long.
    pub line: Option<String>,
    /// What the instrument tells apart, where it is recorded.
    pub resolution: Option<Length>,
    /// Middle less the mean of the ends (either sign), or the range of residuals.
    pub deflection: Length,
    pub over: Length,
}

/// What is recorded about one settlement.
#[derive(Debug, Clone)]
pub struct Settlement<'a> {
    /// Every series of levels not ended by a repair of this place.
    pub series: &'a [Series],
    /// In order of date; the latest is compared with the figures, and the latest of each line with the first of it.
    pub surveys: &'a [FloorSurvey],
    /// Surveys by named points with one instrument since the last repair of this place, in order of date.
    pub points: &'a [survey::points::Points],
    /// Day of the latest survey by points that is not compared: with another instrument, or before that repair.
    pub apart: Option<NaiveDate>,
    /// Whether cracks, binding doors or the like are seen at the same place.
    pub visible_signs: Option<Answer>,
    /// The first day on which it moved while it was looked at.
    pub moved_on: Option<NaiveDate>,
    /// First day of the next reading round after the last reading (or after the opening).
    pub next_round: NaiveDate,
}

/// The verdict on one settlement on `today`.
pub fn verdict(of: &Settlement, today: NaiveDate) -> Verdict {
    let by_points: Vec<&survey::points::Points> = of.points.iter().filter(|p| p.on <= today).collect();
    let every: Vec<Series> = of.series.iter().cloned().chain(points::series(&by_points)).collect();
    let mut movement = series::movement(&every, Measured::Level, of.next_round, today);
    let survey = of.surveys.iter().rev().find(|s| s.on <= today);
    let mut fired = Vec::new();
    fired.extend(of.moved_on.map(crack::moved));
    fired.extend(movement.moving.iter().cloned());
    fired.extend(survey.map(|s| deflected(s, of)));
    fired.extend(points::fitted(&by_points).map(|s| deflected(&s, of)));
    fired.extend(survey.and_then(distorted));
    fired.extend(compared(of, today));
    fired.extend(points::compared(&by_points, of.next_round));
    fired.extend(movement.quiet.iter().cloned());
    fired.append(&mut movement.beside);

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    if by_points.is_empty() && of.apart.is_none() {
        list.read(survey, "a survey of the floor's levels");
    }
    points::not_known(&by_points, of.apart, &mut list);
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
        told::length(survey.deflection.abs()),
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

/// The latest survey of each line beside the first of it.
fn compared(of: &Settlement, today: NaiveDate) -> Vec<Fired> {
    let until: Vec<&FloorSurvey> = of.surveys.iter().filter(|s| s.on <= today).collect();
    let same_line = |a: &FloorSurvey, b: &FloorSurvey| (&a.line, a.over) == (&b.line, b.over);
    let latest = until.iter().enumerate().filter(|(at, s)| !until[at + 1..].iter().any(|later| same_line(s, later)));
    latest
        .filter_map(|(_, latest)| {
            let first = until.iter().find(|s| same_line(s, latest) && s.on < latest.on)?;
            changed(of, first, latest)
        })
        .collect()
}

fn changed(of: &Settlement, first: &FloorSurvey, latest: &FloorSurvey) -> Option<Fired> {
    let change = latest.deflection.checked_sub(first.deflection)?.abs();
    let assumed = Length::nearest(Measured::Deflection.assumed_mm())?;
    let resolution = [first, latest].map(|s| s.resolution.unwrap_or(assumed)).into_iter().max()?;
    let twice = Length::from_exact(resolution.exact().checked_mul(Exact::integer(2))?)?;
    let line = latest.line.as_ref().map_or_else(|| "deflection".to_owned(), |line| format!("deflection of `{line}`"));
    let side = if change > twice { "over" } else { "not over" };
    let because = format!(
        "{line} {} on {}, {} on {}: changed by {} in {} days, {side} twice the {} the instrument tells apart",
        told::length(first.deflection),
        told::day(first.on),
        told::length(latest.deflection),
        told::day(latest.on),
        told::length(change),
        latest.on.signed_duration_since(first.on).num_days(),
        told::length(resolution),
    );
    if change > twice {
        let by = Some(By::Date(of.next_round));
        return Some(Fired::new(&survey::COMPARED, Band::Watch, Who::Owner, by, because));
    }
    Some(Fired::for_comparison(&survey::COMPARED, because))
}

fn watched(of: &Settlement, because: String) -> Fired {
    Fired::new(&DEFLECTION, Band::Watch, Who::Owner, Some(By::Date(of.next_round)), because)
}

fn next(verdict: &Verdict, of: &Settlement) -> Vec<Step> {
    let read = format!("read the levels again at the same points by {}", told::day(of.next_round));
    let since = verdict.at_once_since();
    let recorded = if of.points.is_empty() && of.apart.is_none() { "reading-added" } else { "level-surveyed" };
    let mut steps = vec![Step::recorded_as(read, recorded).by(of.next_round)];
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
        let over = Length::feet(30, 1);
        let surveys = [FloorSurvey { on: day("2026-01-01"), line: None, resolution: None, deflection, over }];
        let of = Settlement {
            series: &[],
            surveys: &surveys,
            points: &[],
            apart: None,
            visible_signs,
            moved_on: None,
            next_round: day("2026-04-01"),
        };
        worded(verdict(&of, day("2026-01-15")))
    }

    #[test]
    fn two_surveys_of_one_line_are_compared() {
        let survey = |on, line: Option<&str>, deflection| FloorSurvey {
            on: day(on),
            line: line.map(str::to_owned),
            resolution: None,
            deflection: Length::parse_signed(deflection).unwrap(),
            over: Length::feet(30, 1),
        };
        let on = |surveys: &[FloorSurvey]| {
            let of = Settlement {
                series: &[],
                surveys,
                points: &[],
                apart: None,
                visible_signs: None,
                moved_on: None,
                next_round: day("2026-04-01"),
            };
            let verdict = worded(verdict(&of, day("2026-01-15")));
            let fired = verdict.because.iter().chain(&verdict.comparison);
            fired.filter(|f| f.rule.name == "level-surveys-compared").map(|f| (f.band, f.because.to_string())).collect()
        };
        let moved: Vec<(Option<Band>, String)> = on(&[
            survey("2025-01-01", None, "-0.3 in"),
            survey("2025-06-01", None, "-0.5 in"),
            survey("2026-01-01", None, "-0.8 in"),
        ]);
        // From -0.3 to -0.8 in is 0.5 in = 12.7 mm in 365 days; twice 0.1 in is 0.2 in.
        let said = "deflection -7.62 mm (-0.300 in) on 1 Jan 2025, -20.32 mm (-0.800 in) on 1 Jan 2026: changed by 12.7 mm \
                    (0.500 in) in 365 days, over twice the 2.54 mm (0.100 in) the instrument tells apart";
        assert_eq!(moved, [(Some(Band::Watch), said.to_owned())]);
        // Exactly twice is not over it; a line that turned over has moved by the sum of both.
        for (first, last, band) in [
            ("0.3 in", "0.5 in", None),
            ("0.3 in", "0.501 in", Some(Band::Watch)),
            ("0.2 in", "-0.2 in", Some(Band::Watch)),
        ] {
            let found = on(&[survey("2025-01-01", None, first), survey("2026-01-01", None, last)]);
            assert_eq!(found.iter().map(|(band, _)| *band).collect::<Vec<_>>(), [band], "{first} to {last}");
        }
        assert_eq!(on(&[survey("2025-01-01", Some("a"), "0.3 in"), survey("2026-01-01", Some("b"), "0.8 in")]), []);
        assert_eq!(on(&[survey("2026-01-01", None, "0.3 in"), survey("2026-01-01", None, "0.8 in")]), [], "one day");
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
