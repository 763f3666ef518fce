//! What guides list a crack's pattern under: text to read beside a crack, never a verdict.
//!
//! The rule in words: a pattern that was recorded is shown with what a named guide lists under it, always for comparison only.
//! A listing says what was read in print about many walls; it names no cause of this crack, and two listings may disagree.
//! A pattern is either asked for as such (`--pattern`) or follows from what was answered anyway: the direction of a crack in a
//! masonry wall, a bow, an offset that was read.
//!
//! Sources: GSA Historic Preservation Technical Procedures, Monitoring and Evaluating Cracks in Masonry (read); Concrete
//! Construction magazine (read); an engineer's note and building texts (second-hand); ACI 224.1R, ACI 201.1R and engineering
//! texts (from memory).

use super::verdict::{Fired, Rule, Standing};
use super::words::{Runs, Walls, words};

words! {
    /// What a crack looks like together with what is near it.
    Pattern {
        /// Two near-vertical cracks, one each side of a length that has dropped.
        Pair = "pair",
        /// Vertical at the middle of a wall, diagonal near each end.
        MiddleAndEnds = "middle-and-ends",
        /// One crack, about 3 ft from the wall, with the floor slab domed.
        DomedFloor = "domed-floor",
        /// Horizontal at half height, stepped or diagonal near the corners.
        MidHeightAndCorners = "mid-height-and-corners",
        /// Stepped, wider at its top.
        SteppedWiderAbove = "stepped-wider-above",
        /// Stepped, wider at its bottom.
        SteppedWiderBelow = "stepped-wider-below",
        /// A vertical hairline in the middle third of a poured wall that ends above the footing.
        MiddleThird = "middle-third",
        /// Diagonal from the corner of a window or a door.
        OpeningCorner = "opening-corner",
        /// In a pier.
        Pier = "pier",
        Unknown = "unknown",
    }
}

const GSA: &str = "GSA Historic Preservation Technical Procedures, Monitoring and Evaluating Cracks in Masonry";
const MAGAZINE: &str = "Concrete Construction magazine, on settlement and heave";
const LISTING: &str = "text of a guide about many walls; names no cause of this one, and is for comparison only";

/// One listing.
macro_rules! listing {
    ($name:literal, $says:literal, $source:expr, $standing:ident) => {
        Rule { name: $name, says: $says, source: $source, standing: Standing::$standing, scope: LISTING, variants: &[] }
    };
}

pub static HORIZONTAL_LISTED: Rule = listing!(
    "pattern-horizontal",
    "a horizontal crack or a bow of a masonry foundation wall is listed under improper backfilling, and under the swelling, or the \
     freezing and heaving, of wet soil beside the wall",
    GSA,
    Read
);
pub static VERTICAL_LISTED: Rule = listing!(
    "pattern-vertical",
    "a vertical crack or bulge of a masonry foundation wall is listed under deterioration of the wall or pier by exposure, poor \
     construction, and overstress",
    GSA,
    Read
);
pub static PIER_LISTED: Rule =
    listing!("pattern-pier", "cracks all over a pier are listed under settlement or rotation of the pier", GSA, Read);
pub static PAIR_LISTED: Rule = listing!(
    "pattern-pair",
    "a pair of matching near-vertical cracks, one each side of a length that dropped, is listed under settlement by bearing failure",
    MAGAZINE,
    Read
);
pub static MIDDLE_AND_ENDS_LISTED: Rule = listing!(
    "pattern-middle-and-ends",
    "a vertical crack at mid-length with a diagonal one near each end is listed under lateral movement, as of a wall backfilled before \
     the floor was tied in",
    MAGAZINE,
    Read
);
pub static DOMED_FLOOR_LISTED: Rule = listing!(
    "pattern-domed-floor",
    "a single crack about 3 ft from the wall with the floor slab domed is listed under heave rather than settlement",
    MAGAZINE,
    Read
);
pub static MID_HEIGHT_LISTED: Rule = listing!(
    "pattern-mid-height-and-corners",
    "a horizontal crack at half height with stepped or diagonal ones near the corners is listed under the pressure of water or soil",
    "an engineer's note on uphill walls",
    SecondHand
);
pub static STEPPED_LISTED: Rule = listing!(
    "pattern-stepped",
    "a stepped crack in block, stone or brick is listed often under settlement of the footing, and also under movement with \
     temperature and moisture",
    "texts on masonry, as quoted",
    SecondHand
);
pub static TAPERED_LISTED: Rule = listing!(
    "pattern-stepped-tapered",
    "a stepped crack wider at its top is listed under ends that drop (hogging), one wider at its bottom under a middle that drops \
     (sagging)",
    "engineering texts",
    Memory
);
pub static MIDDLE_THIRD_LISTED: Rule = listing!(
    "pattern-middle-third",
    "a vertical hairline in the middle third of a poured wall that ends above the footing is listed under drying shrinkage",
    "engineering texts; ACI 224.1R",
    Memory
);
pub static OPENING_LISTED: Rule = listing!(
    "pattern-opening-corner",
    "a diagonal crack from the corner of a window or a door is listed under restraint and the concentration of stress there",
    "ACI 224.1R",
    Memory
);
pub static OFFSET_LISTED: Rule = listing!(
    "pattern-offset",
    "one face proud of the other is listed under shear or rotation as well as opening, and is recorded apart from the width",
    "ACI 201.1R; BRE Digest 251",
    Memory
);

/// What was recorded that a guide may list.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Seen {
    pub pattern: Option<Pattern>,
    pub runs: Option<Runs>,
    pub wall: Option<Walls>,
    /// In a wall, not in a slab.
    pub in_wall: bool,
    /// A bow, or beside one.
    pub bow: bool,
    /// An offset above zero was read.
    pub offset: bool,
}

/// What guides list under it, the recorded pattern first; for comparison only.
pub fn listed(of: &Seen) -> Vec<Fired> {
    let masonry = of.in_wall && matches!(of.wall, Some(Walls::Block | Walls::Brick | Walls::Stone));
    let mut rules: Vec<&'static Rule> = of.pattern.and_then(of_pattern).into_iter().collect();
    rules.extend((masonry && (of.runs == Some(Runs::Horizontal) || of.bow)).then_some(&HORIZONTAL_LISTED));
    rules.extend((masonry && of.runs == Some(Runs::Vertical)).then_some(&VERTICAL_LISTED));
    rules.extend((masonry && of.runs == Some(Runs::Stepped)).then_some(&STEPPED_LISTED));
    rules.extend(of.offset.then_some(&OFFSET_LISTED));
    let told = |rule: &'static Rule| Fired::for_comparison(rule, format!("in print: {}", rule.says));
    rules.into_iter().map(told).collect()
}

fn of_pattern(pattern: Pattern) -> Option<&'static Rule> {
    match pattern {
        Pattern::Pair => Some(&PAIR_LISTED),
        Pattern::MiddleAndEnds => Some(&MIDDLE_AND_ENDS_LISTED),
        Pattern::DomedFloor => Some(&DOMED_FLOOR_LISTED),
        Pattern::MidHeightAndCorners => Some(&MID_HEIGHT_LISTED),
        Pattern::SteppedWiderAbove | Pattern::SteppedWiderBelow => Some(&TAPERED_LISTED),
        Pattern::MiddleThird => Some(&MIDDLE_THIRD_LISTED),
        Pattern::OpeningCorner => Some(&OPENING_LISTED),
        Pattern::Pier => Some(&PIER_LISTED),
        Pattern::Unknown => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{Pattern, Seen, listed};
    use crate::trade::words::{Runs, Walls};

    fn names(of: &Seen) -> Vec<&'static str> {
        let fired = listed(of);
        assert!(fired.iter().all(|f| f.band.is_none()), "a listing moves no band");
        fired.iter().map(|f| f.rule.name).collect()
    }

    #[test]
    fn a_pattern_is_shown_with_what_guides_list_under_it() {
        for (pattern, name) in [
            (Pattern::Pair, "pattern-pair"),
            (Pattern::MiddleAndEnds, "pattern-middle-and-ends"),
            (Pattern::DomedFloor, "pattern-domed-floor"),
            (Pattern::MidHeightAndCorners, "pattern-mid-height-and-corners"),
            (Pattern::SteppedWiderAbove, "pattern-stepped-tapered"),
            (Pattern::SteppedWiderBelow, "pattern-stepped-tapered"),
            (Pattern::MiddleThird, "pattern-middle-third"),
            (Pattern::OpeningCorner, "pattern-opening-corner"),
            (Pattern::Pier, "pattern-pier"),
        ] {
            assert_eq!(names(&Seen { pattern: Some(pattern), ..Seen::default() }), [name], "{pattern}");
        }
        assert_eq!(names(&Seen { pattern: Some(Pattern::Unknown), ..Seen::default() }), [""; 0]);
    }

    #[test]
    fn a_direction_is_listed_for_walls_of_masonry_only() {
        let seen = |runs, wall| Seen { runs: Some(runs), wall: Some(wall), in_wall: true, ..Seen::default() };
        assert_eq!(names(&seen(Runs::Horizontal, Walls::Block)), ["pattern-horizontal"]);
        assert_eq!(names(&seen(Runs::Vertical, Walls::Brick)), ["pattern-vertical"]);
        assert_eq!(names(&seen(Runs::Stepped, Walls::Stone)), ["pattern-stepped"]);
        assert_eq!(names(&seen(Runs::Diagonal, Walls::Stone)), [""; 0]);
        assert_eq!(names(&seen(Runs::Horizontal, Walls::Poured)), [""; 0]);
        assert_eq!(names(&Seen { in_wall: false, ..seen(Runs::Horizontal, Walls::Block) }), [""; 0]);
        assert_eq!(names(&Seen { bow: true, ..seen(Runs::Unknown, Walls::Block) }), ["pattern-horizontal"]);
        assert_eq!(names(&Seen { offset: true, ..Seen::default() }), ["pattern-offset"]);
    }
}
