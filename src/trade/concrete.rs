//! Concrete: spalls and anchor bolts.
//!
//! The rule in words: where steel shows or rusts in concrete a licensed structural engineer looks before any repair. A bolt
//! whose concrete edge has broken out shows its steel; a sill that is loose has lost its hold. Rust on a bolt alone is
//! watched. No published limit was found below which an owner may mend a spall with a bolt in it.

use super::cautions;
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict, Who};
use super::wording::Wording;
use super::words::Answer;
use crate::quantity::{Exact, Length};

/// Depth and width to which a spall is small: ACI 201.1R; from memory.
pub const SMALL_SPALL_DEPTH: Length = Length::mm(20, 1);
pub const SMALL_SPALL_ACROSS: Length = Length::mm(150, 1);
/// Concrete or grout around a bolt's shaft: 675 IAC 14-4.4-44 (Indiana amendment of IRC R403.1.6.1); read.
pub const BOLT_COVER: Length = Length::inches(3, 2);

/// A bolt stands within this of each end of a plate: IRC R403.1.6; read.
pub const BOLT_FROM_END: Length = Length::inches(12, 1);
/// Bolts are at most this far apart: IRC R403.1.6; read.
pub const BOLT_APART: Length = Length::feet(6, 1);
/// Bolts that a length of plate has at least: IRC R403.1.6; read.
pub const LEAST_BOLTS: u64 = 2;

pub static BOLT_SPACING: Rule = Rule {
    name: "bolt-spacing",
    says: "at least two anchor bolts in each length of plate, one within 12 in of each end, at most 6 ft apart",
    source: "IRC R403.1.6",
    standing: Standing::Read,
    scope: "sill plates of new light-frame houses; bracing and earthquake rules ask for more; local code comes first",
    variants: &[],
};

pub static STEEL_SHOWS: Rule = Rule {
    name: "steel-shows",
    says: "steel that shows or rusts in concrete goes to a licensed structural engineer before any repair",
    source: "design rule of this program, after the practice of referring exposed reinforcement",
    standing: Standing::Practice,
    scope: "concrete of a foundation; bolts whose edge has broken out",
    variants: &[],
};

pub static SPALL_SIZE: Rule = Rule {
    name: "spall-size",
    says: "a spall is small to 20 mm deep and 150 mm across, large beyond; without steel showing it is watched",
    source: "ACI 201.1R for the words; that it is watched is a design rule of this program",
    standing: Standing::Memory,
    scope: "concrete surfaces; the words give a size and no verdict",
    variants: &[],
};

pub static BOLT: Rule = Rule {
    name: "anchor-bolt",
    says: "a sill that is loose on its bolts goes to a licensed structural engineer before any repair; rust alone is watched",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "anchor bolts of light-frame houses",
    variants: &[],
};

pub static BOLT_COVER_RULE: Rule = Rule {
    name: "bolt-cover",
    says: "at least 1.5 in of concrete or grout around the shaft of an anchor bolt",
    source: "675 IAC 14-4.4-44 (Indiana amendment of IRC R403.1.6.1)",
    standing: Standing::Read,
    scope: "new masonry in one state; for comparison only",
    variants: &[],
};

/// What is recorded about one spall. Readings are the latest of each.
#[derive(Debug, Clone, Default)]
pub struct Spall {
    pub steel_shows: Option<Answer>,
    pub depth: Option<Length>,
    pub across: Option<Length>,
}

/// What is recorded about one anchor bolt.
#[derive(Debug, Clone, Default)]
pub struct Bolt {
    pub rust: Option<Answer>,
    pub edge_broken_out: Option<Answer>,
    pub sill_loose: Option<Answer>,
    /// The latest reading.
    pub edge_distance: Option<Length>,
}

/// The verdict on one spall.
pub fn spall(of: &Spall) -> Verdict {
    let mut fired = Vec::new();
    if of.steel_shows == Some(Answer::Yes) {
        fired.push(engineer(&STEEL_SHOWS, "steel shows in the spall"));
    }
    let size = match (of.depth, of.across) {
        (Some(d), Some(a)) => {
            let word = if d <= SMALL_SPALL_DEPTH && a <= SMALL_SPALL_ACROSS { "small" } else { "large" };
            format!("{} deep and {} across is {word}", told::length(d), told::length(a))
        }
        _ => "its size is not fully read".to_owned(),
    };
    fired.push(Fired::new(&SPALL_SIZE, Band::Watch, Who::Owner, None, size));

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.answer(of.steel_shows, Answer::Unknown, "whether steel shows");
    list.read(of.depth.as_ref(), "depth of the spall");
    list.read(of.across.as_ref(), "size across of the spall");
    verdict.not_known = list.into_list();
    verdict.next = next(&verdict, "look whether steel shows, and read depth and size again");
    if !matches!(of.steel_shows, Some(Answer::Yes | Answer::No)) {
        let says = "say whether steel shows; where it does an engineer looks before any repair";
        verdict.next.push(Step::answered_by(says, "--steel-shows …"));
    }
    verdict.cautions = vec![cautions::SILICA, cautions::LOCAL_LAW];
    verdict
}

/// The verdict on one anchor bolt.
pub fn bolt(of: &Bolt) -> Verdict {
    let mut fired = Vec::new();
    if of.sill_loose == Some(Answer::Yes) {
        fired.push(engineer(&BOLT, "the sill is loose"));
    }
    if of.edge_broken_out == Some(Answer::Yes) {
        let rust = if of.rust == Some(Answer::Yes) { ", and it rusts" } else { "" };
        fired.push(engineer(&STEEL_SHOWS, format!("the edge has broken out at a bolt{rust}")));
    }
    let rust = if of.rust == Some(Answer::Yes) { "the bolt rusts" } else { "an anchor bolt that was found wanting" };
    fired.push(Fired::new(&BOLT, Band::Watch, Who::Owner, None, rust));
    fired.extend(of.edge_distance.map(|d| {
        let side = if d < BOLT_COVER { "under" } else { "not under" };
        Fired::for_comparison(&BOLT_COVER_RULE, format!("edge distance {} is {side} 1.5 in", told::length(d)))
    }));

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.answer(of.rust, Answer::Unknown, "whether the bolt rusts");
    list.answer(of.edge_broken_out, Answer::Unknown, "whether the edge has broken out");
    list.answer(of.sill_loose, Answer::Unknown, "whether the sill is loose");
    list.read(of.edge_distance.as_ref(), "distance to the edge");
    verdict.not_known = list.into_list();
    verdict.next = next(&verdict, "look again at rust, edge and sill, and read the distance to the edge");
    let loose = "try whether the sill is loose; where it is an engineer looks before any repair";
    let edge = "look whether the edge has broken out; where it has an engineer looks";
    for (answer, says, flag) in
        [(of.sill_loose, loose, "--sill-loose …"), (of.edge_broken_out, edge, "--edge-broken …")]
    {
        if !matches!(answer, Some(Answer::Yes | Answer::No)) {
            verdict.next.push(Step::answered_by(says, flag));
        }
    }
    verdict.cautions = vec![cautions::CRAWL_SPACE, cautions::LOCAL_LAW];
    verdict
}

/// The fewest bolts that a length of plate can have: the first and last 12 in from its ends, the others at most 6 ft apart.
///
/// `None` if the plate is beyond what can be counted. Source: IRC R403.1.6.
pub fn bolts(plate: Length) -> Option<u64> {
    let between = plate.exact().checked_sub(BOLT_FROM_END.exact().checked_mul(Exact::integer(2))?)?;
    let spaces = between.checked_div(BOLT_APART.exact())?;
    // Up to the next whole number of spaces; a short plate has none.
    let whole = spaces.numerator().div_euclid(spaces.denominator()) + i128::from(spaces.denominator() != 1);
    Some(u64::try_from(whole.max(0)).ok()?.checked_add(1)?.max(LEAST_BOLTS))
}

fn engineer(rule: &'static Rule, because: impl Into<Wording>) -> Fired {
    Fired::new(rule, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
}

fn next(verdict: &Verdict, look: &str) -> Vec<Step> {
    match verdict.band {
        Some(Band::Call) => vec![Step::recorded_as(
            "a judgement by a licensed structural engineer, before any repair",
            "judgement-given",
        )],
        _ => vec![Step::recorded_as(look, "reading-added")],
    }
}

#[cfg(test)]
mod tests {
    use super::{Bolt, Spall, bolt, bolts, spall};
    use crate::quantity::Length;
    use crate::trade::rules::tests::worded;
    use crate::trade::verdict::{Band, Who};
    use crate::trade::words::Answer;

    #[test]
    fn bolts_stand_at_the_ends_and_at_most_six_feet_apart() {
        // IRC R403.1.6, by hand: 8 ft less 2 x 12 in is one space of 6 ft; 14 ft two; anything more needs one bolt more.
        for (plate, least) in [
            ("6 in", 2),
            ("2 ft", 2),
            ("8 ft", 2),
            ("8.01 ft", 3),
            ("14 ft", 3),
            ("14 ft 1 in", 4),
            ("20 ft", 4),
            ("40 ft", 8),
        ] {
            assert_eq!(bolts(Length::parse(plate).unwrap()), Some(least), "{plate}");
        }
    }

    #[test]
    fn steel_that_shows_is_called() {
        for (answer, band) in [
            (Some(Answer::Yes), Band::Call),
            (Some(Answer::No), Band::Watch),
            (Some(Answer::Unknown), Band::Watch),
            (None, Band::Watch),
        ] {
            assert_eq!(
                worded(spall(&Spall { steel_shows: answer, ..Spall::default() })).band,
                Some(band),
                "{answer:?}"
            );
        }
    }

    #[test]
    fn a_spall_is_small_to_twenty_by_a_hundred_and_fifty_millimetres() {
        // ACI 201.1R, from memory.
        for (depth, across, word) in
            [("20 mm", "150 mm", "small"), ("20.1 mm", "150 mm", "large"), ("20 mm", "151 mm", "large")]
        {
            let of = Spall {
                steel_shows: Some(Answer::No),
                depth: Some(Length::parse(depth).unwrap()),
                across: Some(Length::parse(across).unwrap()),
            };
            assert!(worded(spall(&of)).because[0].because.ends_with(word), "{depth}, {across}");
        }
    }

    #[test]
    fn a_bolt_is_called_when_the_sill_is_loose_or_the_edge_is_gone() {
        let yes = Some(Answer::Yes);
        let cases = [
            (Bolt { sill_loose: yes, ..Bolt::default() }, Band::Call),
            (Bolt { edge_broken_out: yes, ..Bolt::default() }, Band::Call),
            (Bolt { rust: yes, ..Bolt::default() }, Band::Watch),
            (Bolt::default(), Band::Watch),
        ];
        for (of, band) in cases {
            assert_eq!(worded(bolt(&of)).band, Some(band), "{of:?}");
        }
        assert_eq!(worded(bolt(&Bolt { sill_loose: yes, ..Bolt::default() })).who, Some(Who::StructuralEngineer));
        // 675 IAC 14-4.4-44: 1.5 in, for comparison only.
        for (edge, side) in [("1.49 in", "is under"), ("1.5 in", "is not under")] {
            let verdict = worded(bolt(&Bolt { edge_distance: Some(Length::parse(edge).unwrap()), ..Bolt::default() }));
            assert!(verdict.comparison[0].because.contains(side), "{edge}");
        }
    }
}
