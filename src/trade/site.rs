//! The site: grade, drainage, walkway; trees in [`tree`](self::tree()); and the crawl space in [`crawl`]: vent, clearance.
//!
//! The rule in words: ground short of its fall, a gutter, downspout or outlet that is wrong or lets water out too near the
//! wall, a step over 1/4 in, vents short of their area and wood too near the soil are the owner's to mend before the wet
//! season. A tree inside its zone and a walkway that moved since last year are looked at each spring. Enough is noted.
//! Lengths and areas are exact: 6 in in 10 ft is enough, 18 in under a joist is enough.

use chrono::NaiveDate;

use super::cautions;
use super::series::{Measured, Series};
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::{Answer, DrainagePart, Ground, Paving, words};
use crate::quantity::{Exact, Length};

mod crawl;
mod tree;

pub use crawl::{CLEARANCE, Clearance, VENT, Vent, VentRule, clearance, clearance_needed, vent, vent_needed};
pub use tree::{TREE, Tree, tree, tree_zone};

#[cfg(test)]
mod tests;

/// Fall away from the wall over soil, share of the run: 6 in in 10 ft, IRC 2015 R401.3; read.
pub const SOIL_FALL: Exact = Exact::new(5, 100);
/// The same over paved ground, within 10 ft: IRC 2015 R401.3, exception; read.
pub const PAVED_FALL: Exact = Exact::new(2, 100);
/// Run that the fall is asked over: IRC 2015 R401.3; read.
pub const GRADE_RUN: Length = Length::feet(10, 1);
/// Downspouts let water out at least this far off (expansive or collapsible soil): IRC R801.3; second-hand.
pub const DOWNSPOUT_OFF: Length = Length::feet(5, 1);
/// The same by a press guide to wet basements; read.
pub const DOWNSPOUT_OFF_PRESS: Length = Length::feet(4, 1);
/// Outlets and downspouts at least this far off: University of Nebraska-Lincoln (M. Kuzila), quoted; read.
pub const OUTLET_OFF: Length = Length::feet(10, 1);
/// A change of level that may stay vertical: 1991 ADA 4.5.2; read (2010 ADA 303.2, from memory).
pub const VERTICAL_STEP_TO: Length = Length::inches(1, 4);
/// A change of level that may be bevelled at 1 in 2: 2010 ADA 303.3; read.
pub const BEVELLED_STEP_TO: Length = Length::inches(1, 2);
/// Days between two readings that show a walkway's movement over a year: design rule of this program, no published source.
const ABOUT_A_YEAR_DAYS: i64 = 270;
pub static GRADE: Rule = Rule {
    name: "grade-fall",
    says: "the ground falls at least 6 in within the first 10 ft (5 % of the run up to 10 ft); paved ground at least 2 %",
    source: "IRC 2015 R401.3",
    standing: Standing::Read,
    scope: "the ground beside a foundation; written for new houses, local code comes first",
    variants: &[],
};

pub static DRAINAGE: Rule = Rule {
    name: "roof-drainage",
    says: "a gutter, downspout, outlet or drain that is found wrong is mended by the owner before the wet season",
    source: "NPS Preservation Brief 47 (2007) for looking after roof drainage; the band is a design rule of this program",
    standing: Standing::Practice,
    scope: "drainage of roofs and sumps near a foundation",
    variants: &[],
};

pub static DISCHARGE: Rule = Rule {
    name: "discharge-distance",
    says: "a downspout lets its water out at least 5 ft from the wall, any other outlet at least 10 ft",
    source: "IRC R801.3 for 5 ft; University of Nebraska-Lincoln (M. Kuzila) for 10 ft",
    standing: Standing::SecondHand,
    scope: "water let out beside a foundation; the 5 ft are written for expansive or collapsible soil",
    variants: &[
        Variant {
            name: "nebraska",
            says: "outlets and downspouts alike at least 10 ft",
            source: "University of Nebraska-Lincoln (M. Kuzila)",
            standing: Standing::Read,
        },
        Variant {
            name: "press-guide",
            says: "downspouts 4 ft or more",
            source: "a press guide to wet basements",
            standing: Standing::Read,
        },
    ],
};

pub static STEP: Rule = Rule {
    name: "step-height",
    says: "a change of level to 1/4 in may be vertical, to 1/2 in it is bevelled 1 in 2, above that it is a ramp",
    source: "2010 ADA Standards 303.2, 303.3 and advisory (1991 ADA 4.5.2)",
    standing: Standing::Read,
    scope: "accessible routes; not written for private houses, for comparison only",
    variants: &[],
};

pub static STEP_MENDED: Rule = Rule {
    name: "walkway-step",
    says: "a step over 1/4 in in a walk is mended by the owner before the wet season",
    source: "design rule of this program, after the figure of 2010 ADA Standards 303.2",
    standing: Standing::Practice,
    scope: "walks, stones and drives of a house",
    variants: &[],
};

pub static WALKWAY_MOVED: Rule = Rule {
    name: "walkway-moved",
    says: "a walkway that moved since last year (by more than twice its resolution) is looked at each spring",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "walks, stones and drives of a house",
    variants: &[],
};

/// Fall of the ground away from one side; the latest reading.
#[derive(Debug, Clone, Default)]
pub struct Grade {
    pub ground: Option<Ground>,
    /// Signed; below zero the ground falls towards the wall.
    pub fall: Option<Length>,
    pub run: Option<Length>,
}

/// Something wrong with the drainage.
#[derive(Debug, Clone, Default)]
pub struct Drainage<'a> {
    pub part: Option<DrainagePart>,
    pub wrong: Option<&'a str>,
    /// How far from the wall the water is let out.
    pub distance: Option<Length>,
    pub rule: DischargeRule,
}

words! {
    /// Whose distance is used for water let out near a wall.
    DischargeRule { Irc = "irc", Nebraska = "nebraska", PressGuide = "press-guide" }
}

#[expect(clippy::derivable_impls, reason = "the enum is made by `words!`, whose variants take no attribute")]
impl Default for DischargeRule {
    fn default() -> DischargeRule {
        DischargeRule::Irc
    }
}

/// A walk, a stone or a drive.
#[derive(Debug, Clone)]
pub struct Walkway<'a> {
    pub paving: Option<Paving>,
    /// Series of step heights and gaps.
    pub series: &'a [Series],
    /// Whether it was seen to have moved since last year.
    pub moved: Option<Answer>,
    pub next_spring: NaiveDate,
}

fn before_wet_season(rule: &'static Rule, because: String) -> Fired {
    Fired::new(rule, Band::Mend, Who::Owner, Some(By::Before("the wet season")), because)
}

fn noted(rule: &'static Rule, because: String) -> Fired {
    Fired::new(rule, Band::Note, Who::Owner, None, because)
}

fn watched(rule: &'static Rule, by: Option<By>, because: String) -> Fired {
    Fired::new(rule, Band::Watch, Who::Owner, by, because)
}

/// `length` times `share`; `None` if it does not fit.
fn share_of(length: Length, share: Exact) -> Option<Length> {
    Length::from_exact(length.exact().checked_mul(share)?)
}

/// Fall asked for over `run`: 5 % of the run up to 10 ft, 2 % on paved ground; `None` if it does not fit.
pub fn fall_needed(paved: bool, run: Length) -> Option<Length> {
    share_of(run.min(GRADE_RUN), if paved { PAVED_FALL } else { SOIL_FALL })
}

/// The verdict on the fall of the ground beside one side.
pub fn grade(of: &Grade) -> Verdict {
    let mut verdict = Verdict::from_fired(vec![graded(of)]);
    let mut list = NotKnown::default();
    list.asked(of.ground.as_ref(), "whether the ground is soil or paved");
    list.read(of.fall.as_ref(), "fall of the ground");
    list.read(of.run.as_ref(), "run the fall was read over");
    let beyond = of.fall.is_some() && of.run.is_some_and(|run| run > GRADE_RUN);
    if beyond {
        list.say("fall within the first 10 ft (it was read over a longer run)");
    }
    verdict.not_known = list.into_list();
    verdict.next = steps(&verdict, "raise the ground at the wall, or lead the water away by a drain or swale");
    if beyond && verdict.band != Some(Band::Mend) {
        verdict.next = vec![Step::recorded_as("read the fall over the first 10 ft from the wall", "reading-added")];
    }
    verdict.cautions = vec![cautions::LOCAL_LAW];
    verdict
}

fn graded(of: &Grade) -> Fired {
    let (Some(fall), Some(run)) = (of.fall, of.run) else {
        return watched(&GRADE, None, "the fall over its run is not read".to_owned());
    };
    let (Some(soil), Some(paved)) = (fall_needed(false, run), fall_needed(true, run)) else {
        return watched(&GRADE, None, "the fall over its run is beyond what can be reckoned".to_owned());
    };
    // How the ground falls beyond 10 ft says nothing of how it falls within them.
    let beyond = run > GRADE_RUN;
    let enough = |because: String| match beyond {
        true => watched(
            &GRADE,
            None,
            format!("{because}; what counts is the fall within the first 10 ft, which is not read"),
        ),
        false => noted(&GRADE, because),
    };
    let because = |needed: Length| {
        let short = needed.checked_sub(fall).filter(|s| *s > Length::ZERO);
        let enough = if beyond { "not short over all of it" } else { "enough" };
        let short = short.map_or_else(|| enough.to_owned(), |s| format!("short by {}", told::length(s)));
        let way = if fall < Length::ZERO { "rises" } else { "falls" };
        let (found, run, needed) = (told::length(fall.abs()), told::length(run), told::length(needed));
        format!("{way} {found} over {run} away from the wall, asked is a fall of {needed}: {short}")
    };
    match of.ground {
        Some(Ground::Soil) if fall < soil => before_wet_season(&GRADE, because(soil)),
        Some(Ground::Soil) => enough(because(soil)),
        Some(Ground::Paved) if fall < paved => before_wet_season(&GRADE, because(paved)),
        Some(Ground::Paved) => enough(because(paved)),
        None if fall < paved => before_wet_season(&GRADE, because(paved)),
        None if fall < soil => watched(&GRADE, None, format!("{}, if the ground is soil", because(soil))),
        None => enough(because(soil)),
    }
}

/// How far off a part lets its water out at least, and the variant that says so; outlets of no downspout go by one figure.
fn discharge_least(part: Option<DrainagePart>, rule: DischargeRule) -> (Length, &'static str) {
    let from_roof = matches!(part, Some(DrainagePart::Downspout | DrainagePart::Gutter));
    match rule {
        DischargeRule::Irc if from_roof => (DOWNSPOUT_OFF, ""),
        DischargeRule::PressGuide if from_roof => (DOWNSPOUT_OFF_PRESS, rule.word()),
        DischargeRule::Nebraska => (OUTLET_OFF, rule.word()),
        DischargeRule::Irc | DischargeRule::PressGuide => (OUTLET_OFF, ""),
    }
}

/// The verdict on something wrong with the drainage.
pub fn drainage(of: &Drainage) -> Verdict {
    let part = of.part.map_or("drainage", DrainagePart::word);
    let mut fired = Vec::new();
    let (least, variant) = discharge_least(of.part, of.rule);
    if let Some(distance) = of.distance {
        let found = format!(
            "{part} lets water out {} from the wall, asked are {}",
            told::length(distance),
            told::length(least)
        );
        let short = distance < least;
        let compared =
            if short { before_wet_season(&DISCHARGE, found) } else { Fired::for_comparison(&DISCHARGE, found) };
        fired.push(compared.by_variant(variant));
    }
    let wrong = of.wrong.filter(|w| !w.trim().is_empty());
    fired.push(before_wet_season(
        &DRAINAGE,
        wrong.map_or_else(|| format!("{part} was found wrong"), |w| format!("{part}: {w}")),
    ));

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.asked(of.part.as_ref(), "which part of the drainage it is");
    list.asked(wrong.as_ref(), "what is wrong with it");
    list.read(of.distance.as_ref(), "how far from the wall the water is let out");
    verdict.not_known = list.into_list();
    verdict.next = steps(&verdict, "mend it, and see in the next rain that the water runs away from the wall");
    verdict.cautions = vec![cautions::LADDER, cautions::LOCAL_LAW];
    verdict
}

/// How a change of level would be treated on an accessible route.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StepFinding {
    VerticalAllowed,
    Bevel,
    Ramp,
}

impl StepFinding {
    pub fn word(self) -> &'static str {
        match self {
            StepFinding::VerticalAllowed => "vertical-allowed",
            StepFinding::Bevel => "bevel",
            StepFinding::Ramp => "ramp",
        }
    }
}

/// How a step of this height would be treated: 2010 ADA Standards 303.2 and 303.3; upper edges belong to the milder one.
pub fn step(height: Length) -> StepFinding {
    match height {
        h if h <= VERTICAL_STEP_TO => StepFinding::VerticalAllowed,
        h if h <= BEVELLED_STEP_TO => StepFinding::Bevel,
        _ => StepFinding::Ramp,
    }
}

/// The verdict on a walkway on `today`.
pub fn walkway(of: &Walkway, today: NaiveDate) -> Verdict {
    let steps_read = of.series.iter().filter(|s| s.measured == Measured::StepHeight && !s.superseded);
    let highest = steps_read.filter_map(|s| s.latest(today)).map(|t| t.value.abs()).max();
    let mut fired = Vec::new();
    if let Some(step) = highest {
        let because = format!("step of {}", told::length(step));
        let treated = match self::step(step) {
            StepFinding::VerticalAllowed => "may be vertical",
            StepFinding::Bevel => "would be bevelled 1 in 2",
            StepFinding::Ramp => "would be a ramp",
        };
        fired.push(Fired::for_comparison(&STEP, format!("{because} {treated}; not written for private houses")));
        fired.push(if step > VERTICAL_STEP_TO {
            before_wet_season(&STEP_MENDED, format!("{because}, over 1/4 in"))
        } else {
            noted(&STEP_MENDED, format!("{because}, not over 1/4 in"))
        });
    }
    let spring = Some(By::Date(of.next_spring));
    let shifts: Vec<String> = of.series.iter().filter_map(|s| shifted(s, today)).collect();
    if !shifts.is_empty() || of.moved == Some(Answer::Yes) {
        let seen =
            if of.moved == Some(Answer::Yes) { vec!["seen to have moved since last year".to_owned()] } else { vec![] };
        fired.push(watched(&WALKWAY_MOVED, spring, [seen, shifts].concat().join("; ")));
    } else if highest.is_none() {
        fired.push(watched(&WALKWAY_MOVED, spring, "no step is read, and whether it moved is not known".to_owned()));
    }

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.asked(of.paving.as_ref(), "what the walkway is made of");
    list.read(highest.as_ref(), "step height");
    list.answer(of.moved, Answer::Unknown, "whether it moved since last year");
    verdict.not_known = list.into_list();
    verdict.next = steps(&verdict, "level or bevel the step");
    verdict.cautions = vec![cautions::LOCAL_LAW];
    verdict.ask_by(of.next_spring);
    verdict
}

/// How far a series moved since its last reading about a year before, if that is more than twice its resolution.
fn shifted(series: &Series, today: NaiveDate) -> Option<String> {
    let latest = series.latest(today).filter(|_| !series.superseded)?;
    let before =
        series.taken.iter().rev().find(|t| latest.on.signed_duration_since(t.on).num_days() >= ABOUT_A_YEAR_DAYS)?;
    let change = latest.value.checked_sub(before.value)?.abs();
    let resolution = series.resolution();
    // Twice the resolution typed is not over it; the slack is that of binary fractions.
    let over = change.to_mm() > 2.0 * resolution.mm * (1.0 + 1e-9);
    let since = told::day(before.on);
    over.then(|| format!("moved {} since {since}", told::length(change)))
}

/// The steps shared by all of them: mend it, or read it.
fn steps(verdict: &Verdict, mend: &str) -> Vec<Step> {
    match verdict.band {
        Some(Band::Mend) => {
            vec![Step::recorded_as(format!("{mend}; then read it again and close the finding"), "finding-closed")]
        }
        _ => vec![Step::recorded_as("read it again at the next walk", "reading-added")],
    }
}
