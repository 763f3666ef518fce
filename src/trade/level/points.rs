//! What surveys of a floor by named points add to its verdict.
//!
//! The rule in words: the latest survey is compared with the first, by the two points that moved furthest against each other; over
//! twice what the instrument tells apart the floor is surveyed again in the next round. How far one of these points stands over the
//! other is a series like any: it can grow fast, and a year of it can show a trend.

use chrono::NaiveDate;

use super::FloorSurvey;
use crate::quantity::{Exact, Length};
use crate::trade::series::{Measured, Series, Taken};
use crate::trade::survey::COMPARED;
use crate::trade::survey::points::{Apart, Points, apart, highest_over_lowest, not_in_both};
use crate::trade::told::{self, NotKnown};
use crate::trade::verdict::{Band, By, Fired, Who};

/// So many points that were not reached are named.
const MOST_NAMED: usize = 12;

/// How far one point stands over another: of the two that moved furthest apart since the first survey, and of those that did since
/// the survey before. After a single survey, the highest over the lowest.
pub(super) fn series(surveys: &[&Points]) -> Vec<Series> {
    let pairs = match surveys {
        [] => return Vec::new(),
        [only] => vec![highest_over_lowest(only)],
        [first, .., before, latest] => vec![apart(first, latest), apart(before, latest)],
        [first, latest] => vec![apart(first, latest)],
    };
    let mut pairs: Vec<Apart> = pairs.into_iter().flatten().collect();
    pairs.dedup_by(|other, one| (other.up, other.down) == (one.up, one.down));
    pairs.iter().map(|pair| over(surveys, pair)).collect()
}

fn over(surveys: &[&Points], pair: &Apart) -> Series {
    let taken = |survey: &&Points| {
        Some(Taken { on: survey.on, value: survey.over(pair.up, pair.down)?, resolution: survey.resolution })
    };
    Series {
        measured: Measured::HeightDifference,
        at: Some(format!("{} over {}", pair.up, pair.down)),
        gauge: None,
        taken: surveys.iter().filter_map(taken).collect(),
        superseded: false,
    }
}

/// The latest survey beside the first.
pub(super) fn compared(surveys: &[&Points], next_round: NaiveDate) -> Option<Fired> {
    let [first, .., latest] = surveys else { return None };
    let found = apart(first, latest)?;
    let assumed = Length::nearest(Measured::HeightDifference.assumed_mm())?;
    let resolution = [first, latest].map(|s| s.resolution.unwrap_or(assumed)).into_iter().max()?;
    let twice = Length::from_exact(resolution.exact().checked_mul(Exact::integer(2))?)?;
    let moved = found.by > twice;
    let side = if moved { "over" } else { "not over" };
    let because = format!(
        "of {} points surveyed on {} and on {} ({} days) `{}` rose most against `{}`: by {}, {side} twice the {} the instrument tells \
         apart",
        found.common,
        told::day(first.on),
        told::day(latest.on),
        latest.on.signed_duration_since(first.on).num_days(),
        found.up,
        found.down,
        told::length(found.by),
        told::length(resolution),
    );
    if moved {
        return Some(Fired::new(&COMPARED, Band::Watch, Who::Owner, Some(By::Date(next_round)), because));
    }
    Some(Fired::for_comparison(&COMPARED, because))
}

/// The deflection of the latest survey that has the places of its points.
pub(super) fn fitted(surveys: &[&Points]) -> Option<FloorSurvey> {
    surveys.iter().rev().find_map(|survey| {
        let (deflection, over) = survey.deflection()?;
        Some(FloorSurvey { on: survey.on, line: None, resolution: survey.resolution, deflection, over })
    })
}

pub(super) fn not_known(surveys: &[&Points], not_compared: Option<NaiveDate>, list: &mut NotKnown) {
    if let Some(day) = not_compared {
        list.say(format!(
            "how the floor moved since the survey of {} (with another instrument, or before a repair)",
            told::day(day)
        ));
    }
    let Some(latest) = surveys.last() else { return };
    if fitted(surveys).is_none() {
        list.say("the deflection ratio (the points of the survey have no places east and north, or lie on one line)");
    }
    let named = |names: Vec<&str>| {
        let told: Vec<String> = names.iter().take(MOST_NAMED).map(|name| format!("`{name}`")).collect();
        let rest = names.len().saturating_sub(MOST_NAMED);
        if rest > 0 { format!("{} and {rest} more", told.join(", ")) } else { told.join(", ") }
    };
    match surveys {
        [first, .., latest] => {
            let missing = not_in_both(first, latest);
            if !missing.is_empty() {
                let (first, latest) = (told::day(first.on), told::day(latest.on));
                list.say(format!("how {} moved (no height on {first} or on {latest})", named(missing)));
            }
        }
        _ => {
            let missing: Vec<&str> =
                latest.spots.iter().filter(|s| s.height.is_none()).map(|s| s.name.as_str()).collect();
            if !missing.is_empty() {
                list.say(format!("the height of {} (not reached on {})", named(missing), told::day(latest.on)));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Points;
    use crate::quantity::Length;
    use crate::trade::level::{Settlement, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::survey::points::Spot;
    use crate::trade::verdict::{Band, Verdict};
    use crate::trade::words::Answer;

    fn taken(on: &str, heights: &[(&str, &str)]) -> Points {
        let spot = |(name, height): &(&str, &str)| Spot {
            name: (*name).to_owned(),
            height: Length::parse_signed(height).ok(),
            at: None,
        };
        Points { on: day(on), spots: heights.iter().map(spot).collect(), resolution: None }
    }

    fn judged(points: &[Points], signs: Option<Answer>) -> Verdict {
        let next_round = day("2026-04-01");
        let of = Settlement {
            series: &[],
            surveys: &[],
            points,
            apart: None,
            visible_signs: signs,
            moved_on: None,
            next_round,
        };
        worded(verdict(&of, day("2026-02-01")))
    }

    fn said(verdict: &Verdict, rule: &str) -> Vec<(Option<Band>, String)> {
        let fired = verdict.because.iter().chain(&verdict.comparison);
        fired.filter(|f| f.rule.name == rule).map(|f| (f.band, f.because.to_string())).collect()
    }

    #[test]
    fn the_latest_survey_is_compared_with_the_first() {
        let first = taken("2025-01-01", &[("NE", "0 in"), ("NW", "-0.2 in"), ("SW", "-0.6 in")]);
        // Against 1 Jan 2025: NE +0.3, NW +0.3 (the first of two that rose alike is named), SW 0: 0.3 in apart = 7.62 mm.
        let latest = taken("2026-01-01", &[("NE", "0.3 in"), ("NW", "0.1 in"), ("SW", "-0.6 in")]);
        let verdict = judged(&[first.clone(), latest], None);
        let because = "of 3 points surveyed on 1 Jan 2025 and on 1 Jan 2026 (365 days) `NW` rose most against `SW`: by 7.62 mm (0.300 \
                       in), over twice the 2.54 mm (0.100 in) the instrument tells apart";
        assert_eq!(said(&verdict, "level-surveys-compared"), [(Some(Band::Watch), because.to_owned())]);
        // Exactly twice 0.1 in is not over it.
        let still = taken("2026-01-01", &[("NE", "0.2 in"), ("NW", "-0.2 in"), ("SW", "-0.6 in")]);
        assert_eq!(said(&judged(&[first.clone(), still], None), "level-surveys-compared")[0].0, None);
        assert_eq!(said(&judged(&[first], None), "level-surveys-compared"), [], "one survey shows no movement");
    }

    #[test]
    fn points_that_part_fast_go_to_an_engineer_now() {
        // 5 times 2.54 mm is 12.7 mm = 0.5 in; 0.51 in within 60 days is more.
        let first = taken("2025-11-20", &[("a", "0 in"), ("b", "0 in")]);
        let fast = |height| judged(&[first.clone(), taken("2026-01-19", &[("a", "0 in"), ("b", height)])], None);
        assert_eq!(fast("-0.51 in").band, Some(Band::Call));
        assert_eq!(said(&fast("-0.51 in"), "fast-change").len(), 1);
        assert_eq!(fast("-0.5 in").band, Some(Band::Watch));
    }

    #[test]
    fn a_survey_of_places_has_a_deflection_ratio() {
        // A ridge: of four corners two opposite ones stand 2 h over the others, so the plane is level and leaves +h and -h. The
        // diagonal of 30 by 40 ft is 50 ft = 600 in: 1/360 of it is 1.667 in.
        let ridge = |height: &str| {
            let mut points = taken("2026-01-01", &[("a", height), ("b", "0 in"), ("c", height), ("d", "0 in")]);
            let corners = [(0, 0), (30, 0), (30, 40), (0, 40)];
            for (spot, (east, north)) in points.spots.iter_mut().zip(corners) {
                spot.at = Some([Length::feet(east, 1), Length::feet(north, 1)]);
            }
            points
        };
        assert_eq!(judged(&[ridge("1.68 in")], Some(Answer::Yes)).band, Some(Band::Call));
        assert_eq!(judged(&[ridge("1.65 in")], Some(Answer::Yes)).band, Some(Band::Watch));
        let without = judged(&[taken("2026-01-01", &[("a", "0 in"), ("b", "2 in"), ("c", "")])], Some(Answer::Yes));
        assert!(without.not_known.iter().any(|text| text.starts_with("the deflection ratio")));
        assert!(without.not_known.contains(&"the height of `c` (not reached on 1 Jan 2026)".to_owned()));
    }
}
