//! A sheet taped to a floor or a wall: from which side moisture comes to a surface.
//!
//! The rule in words: a clear sheet of 18 by 18 in, about 4 mil thick, is taped down on all four edges for 16 hours or more,
//! out of sun and heat; then sheet and concrete are looked at. Water under it, or concrete that went dark, is moisture out
//! of the concrete; a dry sheet does not prove that the concrete is dry. On a wall a square of foil, 12 in or more, stays for
//! 24 to 48 hours on a patch that was dried before: a wet face to the room is water of the air, a wet face to the wall is
//! water out of the wall, both are treated as seepage first.
//!
//! Source: ASTM D4263 for the floor, a trade body's leaflet for the wall; both second-hand. Wet faces are what was seen: what
//! the water comes from is not told by them.
//!
//! ```
//! use stemwall::quantity::{Length, Span};
//! use stemwall::trade::sheet::{Face, On, Sheet, read};
//!
//! let sheet = Sheet { on: On::Floor, side: Length::inches(18, 1), kept: Span::hours(17, 1), sealed: true, sun: false };
//! assert!(sheet.problems().is_empty());
//! assert_eq!(read(Face::Under).word(), "from-the-concrete");
//! ```

use super::verdict::{Rule, Standing};
use super::words::words;
use crate::quantity::{Length, Span};

pub mod verdict;

/// Least side of a sheet on a floor: ASTM D4263; second-hand.
const FLOOR_SIDE: Length = Length::inches(18, 1);
/// Least time of a sheet on a floor: ASTM D4263; second-hand.
const FLOOR_KEPT: Span = Span::hours(16, 1);
/// Least side of foil on a wall: a trade body's leaflet; second-hand.
const WALL_SIDE: Length = Length::inches(12, 1);
/// Least time of foil on a wall: a trade body's leaflet; second-hand.
const WALL_KEPT: Span = Span::hours(24, 1);

pub static SHEET: Rule = Rule {
    name: "plastic-sheet",
    says: "a clear sheet of 18 x 18 in, about 4 mil, taped on all edges to a floor for 16 hours or more without sun or heat: wet under \
           it, or darker concrete, is moisture out of the concrete; dry proves nothing. On a wall foil of 12 in for 24 to 48 hours on a \
           dried patch: wet to the room is water of the air, wet to the wall water out of it, both count as seepage first",
    source: "ASTM D4263 (1983 to 2024) for the floor; Basement Health Association, a trade body, for the wall",
    standing: Standing::SecondHand,
    scope: "bare concrete or masonry; shows moisture on the days it is there, not how much, and not where it comes from",
    variants: &[],
};

words! {
    /// What the sheet is taped to.
    On { Floor = "floor", Wall = "wall" }
}

words! {
    /// Which face was wet when it was taken off; under is the one to the concrete, and concrete that went darker counts.
    Face { Neither = "neither", Under = "under", Room = "room", Both = "both" }
}

/// What a sheet shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shows {
    FromTheConcrete,
    FromTheAir,
    /// Both, of which the concrete is gone after first.
    Both,
    /// Dry, which proves nothing.
    Nothing,
}

/// How the sheet was put up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    pub on: On,
    /// The shorter side.
    pub side: Length,
    pub kept: Span,
    /// All four edges.
    pub sealed: bool,
    /// Sun or heat fell on it.
    pub sun: bool,
}

impl Sheet {
    /// Why it does not count, in words; empty where it does.
    pub fn problems(&self) -> Vec<&'static str> {
        let [small, short] = match self.on {
            On::Floor => ["its side is under 18 in", "it was kept under 16 hours"],
            On::Wall => ["its side is under 12 in", "it was kept under 24 hours"],
        };
        let (side, kept) = match self.on {
            On::Floor => (FLOOR_SIDE, FLOOR_KEPT),
            On::Wall => (WALL_SIDE, WALL_KEPT),
        };
        [
            (self.side < side, small),
            (self.kept < kept, short),
            (!self.sealed, "an edge was open"),
            (self.sun, "sun or heat fell on it"),
        ]
        .into_iter()
        .filter_map(|(is, says)| is.then_some(says))
        .collect()
    }
}

/// What wet faces show. The room's face of a sheet on a floor is not in the standard, and is read as that of a wall.
pub fn read(wet: Face) -> Shows {
    match wet {
        Face::Neither => Shows::Nothing,
        Face::Under => Shows::FromTheConcrete,
        Face::Room => Shows::FromTheAir,
        Face::Both => Shows::Both,
    }
}

impl Shows {
    pub fn word(self) -> &'static str {
        match self {
            Shows::FromTheConcrete => "from-the-concrete",
            Shows::FromTheAir => "from-the-air",
            Shows::Both => "both",
            Shows::Nothing => "nothing",
        }
    }

    /// What follows from it, in a sentence.
    pub fn says(self) -> &'static str {
        match self {
            Shows::FromTheConcrete => "moisture comes out of the concrete: look for water outside and under it first",
            Shows::FromTheAir => "water of the air settles on a cold face: look at humidity and what cools the face",
            Shows::Both => "both faces were wet: treat it as seepage first, then look at the air",
            Shows::Nothing => {
                "nothing showed on these days; that does not prove the concrete dry: repeat it in the wet season"
            }
        }
    }
}

/// How many hours a sheet stays before it is looked at.
pub fn least_hours(on: On) -> u8 {
    match on {
        On::Floor => 16,
        On::Wall => 24,
    }
}

/// The steps of the test, in order.
pub fn steps(on: On) -> [&'static str; 5] {
    match on {
        On::Floor => [
            "choose bare concrete without sun or heat on it, and wipe it clean",
            "lay a clear polyethylene sheet of 18 x 18 in, about 4 mil thick",
            "tape all four edges down, with tape 2 in wide",
            "leave it for 16 hours or more, and note when it began",
            "take it off, look under it and at the concrete: drops, or a darker patch",
        ],
        On::Wall => [
            "dry a patch of the wall with a fan or a hair dryer, well away from water and cords",
            "put foil of 12 x 12 in or more on it, as flat as it goes",
            "tape all four edges tight",
            "leave it for 24 to 48 hours, and note when it began",
            "look at the face to the room first, then take it off and look at the face to the wall",
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn floor() -> Sheet {
        Sheet { on: On::Floor, side: Length::inches(18, 1), kept: Span::hours(16, 1), sealed: true, sun: false }
    }

    #[test]
    fn the_limits_are_those_of_the_documents() {
        // 18 in and 16 h are enough on a floor, 12 in and 24 h on a wall; a hair less is not.
        assert!(floor().problems().is_empty());
        let wall = Sheet { on: On::Wall, side: Length::inches(12, 1), kept: Span::hours(24, 1), ..floor() };
        assert!(wall.problems().is_empty());
        let small = Sheet { side: Length::inches(179, 10), kept: Span::hours(159, 10), ..floor() };
        assert_eq!(small.problems(), ["its side is under 18 in", "it was kept under 16 hours"]);
        let small = Sheet { side: Length::inches(119, 10), kept: Span::hours(239, 10), ..wall };
        assert_eq!(small.problems(), ["its side is under 12 in", "it was kept under 24 hours"]);
        let open = Sheet { sealed: false, sun: true, ..floor() };
        assert_eq!(open.problems(), ["an edge was open", "sun or heat fell on it"]);
    }

    #[test]
    fn a_sheet_that_stayed_the_least_hours_counts_and_an_hour_less_does_not() {
        for (on, side) in [(On::Floor, 18), (On::Wall, 12)] {
            let kept = |less: i128| Span::hours(i128::from(least_hours(on)) - less, 1);
            let put_up = Sheet { on, side: Length::inches(side, 1), kept: kept(0), sealed: true, sun: false };
            assert!(put_up.problems().is_empty(), "{on}");
            assert_eq!(Sheet { kept: kept(1), ..put_up }.problems().len(), 1, "{on}");
        }
    }

    #[test]
    fn a_dry_sheet_proves_nothing() {
        assert_eq!(read(Face::Neither), Shows::Nothing);
        assert!(read(Face::Neither).says().contains("does not prove the concrete dry"));
        assert_eq!((read(Face::Under), read(Face::Room)), (Shows::FromTheConcrete, Shows::FromTheAir));
        assert!(read(Face::Both).says().contains("seepage first"));
    }
}
