//! The figures that cracks are compared with, and the rules that stand on them.

use crate::quantity::Length;
use crate::trade::verdict::{Rule, Standing, Variant};

/// Below this a crack is category 0: BRE Digest 251 (1995), Table 1; read.
pub const HAIRLINE_BELOW: Length = Length::mm(1, 10);
/// Upper edge of category 1, itself in it: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const CATEGORY_1_TO: Length = Length::mm(1, 1);
/// Upper edge of category 2, itself in it: BRE Digest 251, Table 1; read.
pub const CATEGORY_2_TO: Length = Length::mm(5, 1);
/// Upper edge of category 3, itself in it: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const CATEGORY_3_TO: Length = Length::mm(15, 1);
/// Upper edge of category 4, itself in it: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const CATEGORY_4_TO: Length = Length::mm(25, 1);
/// "A number of cracks" wider than this make category 3: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const COUNTED_ABOVE: Length = Length::mm(3, 1);
/// What "a number of cracks" is taken to mean: our reading, no published source.
pub const A_NUMBER_OF_CRACKS: usize = 3;
/// What a pencil fits, "about 1/4 in": common practice, no published source.
pub const PENCIL: Length = Length::inches(1, 4);
/// Over this a crack goes to an engineer, moving or not: a trade journal; second-hand.
pub const WIDE_OVER: Length = Length::inches(1, 2);
/// ACI 224R-01, Table 4.1, moist air or soil, metric column (0.30 mm, printed beside 0.012 in); second-hand.
pub const ACI_MOIST_OR_SOIL: Length = Length::mm(30, 100);
/// Width or displacement of a basement wall's crack beyond which warranties speak: NAHB, as quoted; second-hand.
pub const WORKMANSHIP: Length = Length::inches(1, 8);
/// Width of a basement floor's crack, likewise: NAHB, as quoted; second-hand.
pub const WORKMANSHIP_FLOOR_WIDTH: Length = Length::inches(3, 16);
/// Days up to the latest reading among which the widest is compared: one year of seasons (design rule of this program).
pub(super) const SEASONS_DAYS: i64 = 365;

pub static CATEGORY: Rule = Rule {
    name: "crack-category",
    says: "category 0 below 0.1 mm, 1 to 1 mm, 2 to 5 mm, 3 to 15 mm or a number of cracks over 3 mm (taken as three), 4 to \
           25 mm, 5 above; 3 and 4 go to a licensed structural engineer before any repair, 5 at once",
    source: "Building Research Establishment Digest 251, Table 1 (1981, revised 1990 and 1995)",
    standing: Standing::SecondHand,
    scope: "masonry walls (block, brick, stone) of low-rise houses; a wall of unknown make is taken as one, which is a design rule \
            of this program; classes ease of repair, not structural strength",
    variants: &[],
};

pub static PENCIL_FITS: Rule = Rule {
    name: "pencil-fits",
    says: "a crack that a pencil fits, about 1/4 in, goes to a licensed structural engineer before any repair",
    source: "common practice, no published source",
    standing: Standing::Practice,
    scope: "any crack in a foundation",
    variants: &[Variant {
        name: "still-moving",
        says: "over 1/2 in, or over 1/4 in and still moving",
        source: "a trade journal",
        standing: Standing::SecondHand,
    }],
};

pub static HORIZONTAL: Rule = Rule {
    name: "horizontal-in-retaining-wall",
    says: "a crack that runs horizontally in a wall that holds earth goes to a licensed structural engineer before any repair",
    source: "GSA Historic Preservation Technical Procedures, Monitoring and Evaluating Cracks in Masonry",
    standing: Standing::Read,
    scope: "foundation walls that hold earth, or of which that is not known, which is a design rule of this program; the source \
            speaks of masonry",
    variants: &[],
};

pub static CONCRETE_WIDTH: Rule = Rule {
    name: "concrete-crack-guide",
    says: "0.30 mm (0.012 in) is the guide width in moist air or soil: a guide, not a limit, and some cracks are expected to \
           pass it",
    source: "ACI 224R-01, Table 4.1",
    standing: Standing::SecondHand,
    scope: "reinforced concrete under service load; for comparison only",
    variants: &[
        Variant {
            name: "dry-air",
            says: "0.41 mm (0.016 in) in dry air or under a protective membrane",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "deicing",
            says: "0.18 mm (0.007 in) under de-icing chemicals",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "seawater",
            says: "0.15 mm (0.006 in) in seawater and its spray, wetting and drying",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "water-retaining",
            says: "0.10 mm (0.004 in) where water is held",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
    ],
};

pub static HAIRLINE: Rule = Rule {
    name: "hairline-alone",
    says: "a crack under 0.1 mm with nothing else is noted and looked at on the next walk",
    source: "Building Research Establishment Digest 251, Table 1, category 0; that it is only noted is a design rule of this program",
    standing: Standing::Read,
    scope: "a dry crack that does not run horizontally in a wall that holds earth; the width is the Digest's for masonry",
    variants: &[],
};

pub static MAY_BE_MENDED: Rule = Rule {
    name: "crack-may-be-mended",
    says: "a crack to 5 mm, read for a full year with no trend shown, the source of any water known, not horizontal in a wall \
           that holds earth, may be filled by the owner or a contractor",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "any crack; the 5 mm is the upper edge of category 2 of Digest 251, taken over to other walls for want of a figure",
    variants: &[],
};

pub static WORKMANSHIP_CRACK: Rule = Rule {
    name: "workmanship-crack",
    says: "warranties let a crack of a basement wall be to 1/8 in wide or displaced, of a basement floor to 3/16 in wide or 1/8 in \
           displaced",
    source: "NAHB Residential Construction Performance Guidelines, as performance standards and a builder's manual quote them",
    standing: Standing::SecondHand,
    scope: "new houses under warranty: tolerances of workmanship, not limits of strength; for comparison only",
    variants: &[],
};

pub static MOVED_WHILE_LOOKED_AT: Rule = Rule {
    name: "moved-while-looked-at",
    says: "a wall or floor that moves while it is looked at is kept clear of people and goes to a licensed structural engineer today",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "any part of a foundation",
    variants: &[],
};
