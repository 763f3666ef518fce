//! The rules by which a radon test counts, each with its source.

use crate::trade::verdict::{Rule, Standing};

pub static DURATION: Rule = Rule {
    name: "radon-test-duration",
    says: "a test lasts 48 hours or longer; to 90 days it is short, beyond them long",
    source: "Illinois 32 IAC 422.130 b) 1); ANSI/AARST MALB-2014, 5.4.2 note",
    standing: Standing::Read,
    scope: "tests in homes; a monitor's record has a rule of its own besides",
    variants: &[],
};

pub static CLOSED_HOUSE: Rule = Rule {
    name: "radon-closed-house",
    says: "a test under 4 days needs windows and outside doors closed from 12 hours before its start to its end",
    source: "EPA 402-R-93-003 (1993); ANSI/AARST MALB-2014, 4.1",
    standing: Standing::Read,
    scope: "tests under 4 days; of longer ones a house that was not closed is told as not known",
    variants: &[],
};

pub static ROOM: Rule = Rule {
    name: "radon-test-room",
    says: "no test stands in a closet, cupboard, sump, crawl space or nook, and charcoal in no bathroom, kitchen, laundry or spa",
    source: "Illinois 32 IAC 422.130 a) 1) D",
    standing: Standing::Read,
    scope: "the room as it is named; with other devices a damp room is told as not known",
    variants: &[],
};

pub static PLACEMENT: Rule = Rule {
    name: "radon-test-placement",
    says: "20 in to 6 ft above the floor; 3 ft from doors, windows and ducts, 1 ft from outside walls, 4 in from other objects, \
           4 ft from heat, 7 ft from a sump",
    source: "Illinois 32 IAC 422.130 a) 1) D",
    standing: Standing::Read,
    scope: "distances that are recorded",
    variants: &[],
};

pub static CONDITIONS: Rule = Rule {
    name: "radon-test-conditions",
    says: "65 to 80 F (18 to 27 C) indoors, and no severe weather with a test under 4 days",
    source: "ANSI/AARST MALB-2014, Table 4-A; ANSI/AARST MAH-2019, 2.2.3",
    standing: Standing::Read,
    scope: "what is recorded; it takes no test its validity and is told as not known",
    variants: &[],
};

pub static DETECTION: Rule = Rule {
    name: "radon-test-detection",
    says: "a result that only tells that the level was below 4 pCi/L or more decides nothing: on which side of 4 it lies is not known",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "results reported as below what the device shows",
    variants: &[],
};
