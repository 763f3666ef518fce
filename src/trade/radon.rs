//! Radon in one section: what its tests ask for.
//!
//! The rule in words: a valid short test at 4 pCi/L or more asks for a follow-up test within a month of its end, over 8 at
//! once; two short tests of one place are decided by their plain mean. A valid long test (over 90 days) stands alone. Decided at
//! 4 or more, a radon professional is called. 2 to below 4 asks for a re-test in the heating season by its interval; below 2 for
//! one by its interval. A test that is not valid lowers no band, and a high one brings the next test forward. A section without
//! a valid test has no band for radon, unless an invalid one was high or a system was started. Below 4 is never the end of it:
//! every result asks for another test. [`flow`] tells how tests lead to a decision, [`section`] how decisions lead to a verdict.
//!
//! Results are compared as they are reported: half up to one decimal of pCi/L, on exact numbers, so 3.95 is 4.0 and 148 Bq/m3
//! is 4.0.

use chrono::NaiveDate;

use super::choice::Choices;
use super::verdict::{Rule, Standing, Variant};
use super::words::{EventKind, words};
use crate::quantity::{Activity, Area, Exact};

pub mod average;
mod changes;
pub mod chart_1992;
pub mod decay;
pub mod flow;
#[cfg(test)]
mod flow_tests;
pub mod gauge;
#[cfg(test)]
mod laws;
pub mod locations;
pub mod monitor;
pub mod odds;
pub mod one_test;
pub mod pair;
mod paired;
#[cfg(test)]
mod paired_tests;
pub mod reduction;
#[cfg(test)]
pub(super) mod reference_tests;
pub mod risk;
mod room;
pub mod section;
#[cfg(test)]
mod tests;
pub mod valid;

pub use one_test::{Doubt, Kind, Placed, RadonProblem, RadonTest, Room};
pub use section::verdict;
pub use valid::{CLOSED_HOUSE, CONDITIONS, DETECTION, DURATION, PLACEMENT, ROOM};

/// EPA action level, pCi/L, "4 or greater": ANSI/AARST MAH-2019, 7.1; read.
pub const ACTION: Exact = Exact::integer(4);
/// From here to below the action level: consider mending, pCi/L: ANSI/AARST MAH-2019, 7.1; read.
pub const CONSIDER: Exact = Exact::integer(2);
/// Over this the second short test is made at once, pCi/L: EPA, A Citizen's Guide to Radon (2012); read.
pub const AT_ONCE_OVER: Exact = Exact::integer(8);
/// From here at once by the older protocol, pCi/L: EPA 402-R-93-003 (1993) and Illinois 32 IAC 422 (2005); read.
pub const AT_ONCE_FROM_1993: Exact = Exact::integer(10);
/// Months after its end by which a high test is followed up: "within a month", EPA, A Citizen's Guide to Radon; read.
pub const FOLLOW_UP_MONTHS: u32 = 1;
/// Years until a low result is tested again: Illinois 32 IAC 422 App. B and EPA advice (2020); read.
pub const RETEST_YEARS: u32 = 2;
/// The same by ANSI/AARST MAH-2019, 8.5.9.2, at least every five years; read.
pub const RETEST_YEARS_MAH: u32 = 5;
/// With a mitigation system, whichever document: ANSI/AARST MAH-2019, 8.5.9.2; read.
pub const RETEST_YEARS_SYSTEM: u32 = 2;

/// After a system starts, days by which the test has started: a laboratory's summary of ANSI/AARST MAH-2019; second-hand.
pub const LATEST_DAYS: u64 = 30;

pub static FOLLOW_UP: Rule = Rule {
    name: "radon-follow-up",
    says: "one short test at 4 pCi/L (148 Bq/m3) or more asks for a follow-up test within a month, over 8 pCi/L for a second short test \
           at once",
    source: "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2012)",
    standing: Standing::Read,
    scope: "a valid short test, 48 hours to 90 days, in the lowest lived-in level of a home",
    variants: &[Variant {
        name: "protocol-1993",
        says: "at once from 10 pCi/L on",
        source: "EPA 402-R-93-003 (1993); Illinois 32 IAC 422 (2005)",
        standing: Standing::Read,
    }],
};

pub static TWO_SHORT: Rule = Rule {
    name: "radon-two-short-tests",
    says: "two short tests of one place are decided by their plain mean: at 4 pCi/L (148 Bq/m3) or more a radon professional is called",
    source: "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2012)",
    standing: Standing::Read,
    scope: "valid short tests of one place, the second as the follow-up of a high one, beside it, or within a month",
    variants: &[],
};

pub static AFTER_SYSTEM: Rule = Rule {
    name: "radon-after-system",
    says: "after a radon system starts the section is tested again, the test starting from 24 hours to 30 days after; tests before it \
           are of another series",
    source: "ANSI/AARST MAH-2019, 7.3.2, for the 24 hours; a training page for the 30 days",
    standing: Standing::SecondHand,
    scope: "homes with a radon system whose day of start is known; where the test before it stood",
    variants: &[],
};

pub static LONG_TEST: Rule = Rule {
    name: "radon-long-test",
    says: "a long test stands alone: at 4 pCi/L (148 Bq/m3) or more a radon professional is called",
    source: "EPA, A Citizen's Guide to Radon, EPA 402/K-12/002 (2012)",
    standing: Standing::Read,
    scope: "a valid test of more than 90 days in a home",
    variants: &[],
};

pub static CONSIDER_BAND: Rule = Rule {
    name: "radon-two-to-four",
    says: "2 to below 4 pCi/L asks for a re-test in the heating season, and mending may be considered",
    source: "ANSI/AARST MAH-2019, 7.1; EPA, A Citizen's Guide to Radon",
    standing: Standing::Read,
    scope: "a valid test in a home",
    variants: &[Variant {
        name: "who",
        says: "100 Bq/m3 (2.7 pCi/L) is the reference level",
        source: "WHO Handbook on Indoor Radon (2009)",
        standing: Standing::Read,
    }],
};

pub static BELOW_TWO: Rule = Rule {
    name: "radon-below-two",
    says: "below 2 pCi/L is noted as below what devices measure well; no level is without risk, and it is tested again by its \
           interval",
    source: "ANSI/AARST MAH-2019, 7.1; EPA, A Citizen's Guide to Radon",
    standing: Standing::Read,
    scope: "a valid test in a home",
    variants: &[],
};

pub static RETEST: Rule = Rule {
    name: "radon-retest-interval",
    says: "a low result is tested again after 2 years, with a radon system after 2 years",
    source: "Illinois 32 IAC 422 Appendix B and EPA advice (2020); ANSI/AARST MAH-2019, 8.5.9.2 with a system",
    standing: Standing::Read,
    scope: "a home whose valid tests are under 4 pCi/L",
    variants: &[Variant {
        name: "mah-2019",
        says: "at least every 5 years without a system",
        source: "ANSI/AARST MAH-2019, 8.5.9.2",
        standing: Standing::Read,
    }],
};

pub static RETEST_ON_CHANGE: Rule = Rule {
    name: "radon-retest-on-change",
    says: "after works, a changed heating, a sale, or a new sump or drain the section is tested again, whatever the interval",
    source: "Illinois 32 IAC 422 Appendix B; a laboratory's summary of ANSI/AARST MAH-2019 for the sale and the sump",
    standing: Standing::SecondHand,
    scope: "a home whose latest valid test is older than the change",
    variants: &[],
};

pub static CHANGE_WINDOW: Rule = Rule {
    name: "radon-change-window",
    says: "the test that a change of the house asks for is made within 30 days of it, as after a radon system; the house is closed from 12 \
           hours before",
    source: "common practice, no published source",
    standing: Standing::Practice,
    scope: "works, a changed heating, a sale, a new sump or drain; a radon system has a window of its own",
    variants: &[],
};

pub static INVALID_HIGH: Rule = Rule {
    name: "radon-invalid-high",
    says: "a test that is not valid lowers no band; at 4 pCi/L or more it brings the next test forward",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "tests that miss a condition of their protocol",
    variants: &[],
};

pub static SALE: Rule = Rule {
    name: "radon-for-a-sale",
    says: "for a sale two short tests of 48 hours or longer are made in the same place, side by side at the same time or the second at \
           once after the first with an identical device; their mean decides",
    source: "EPA, Home Buyer's and Seller's Guide to Radon",
    standing: Standing::Read,
    scope: "a home that is sold; states and contracts have texts of their own",
    variants: &[Variant {
        name: "illinois",
        says: "side by side only",
        source: "later text of Illinois 32 IAC 422, without the sequential pair",
        standing: Standing::SecondHand,
    }],
};

pub static PASSIVE: Rule = Rule {
    name: "radon-passive-system",
    says: "a system without a fan is tested once in a heating and once in a cooling season within its first year",
    source: "ANSI/AARST MAH-2019, 8.5.9.3; that heating is from October to April is a design rule of this program",
    standing: Standing::Read,
    scope: "homes whose radon system is recorded as without a fan",
    variants: &[],
};

words! {
    /// After how many years a low result is tested again.
    RetestRule {
        /// [`RETEST_YEARS`].
        TwoYears = "2",
        /// [`RETEST_YEARS_MAH`].
        FiveYears = "5",
    }
}

words! {
    /// From which level a high short test asks for a second one at once.
    AtOnceRule {
        /// [`AT_ONCE_OVER`].
        OverEight = "8",
        /// [`AT_ONCE_FROM_1993`].
        FromTen = "10",
    }
}

words! {
    /// Which two short tests are made for a sale.
    SaleRule { Either = "either", SideBySide = "side-by-side" }
}

impl RetestRule {
    /// The variant of [`RETEST`] that it follows; empty for the rule as it stands.
    fn variant(self) -> &'static str {
        if self == RetestRule::FiveYears { "mah-2019" } else { "" }
    }
}

impl AtOnceRule {
    /// The variant of [`FOLLOW_UP`] that it follows; empty for the rule as it stands.
    fn variant(self) -> &'static str {
        if self == AtOnceRule::FromTen { "protocol-1993" } else { "" }
    }
}

/// Equipment in the ground of the section that was new or altered.
#[derive(Debug, Clone, PartialEq)]
pub struct Altered {
    /// As it is said: "sump pump `pump` put in".
    pub what: String,
    pub on: NaiveDate,
}

/// Everything about radon in one section.
#[derive(Debug, Clone)]
pub struct SectionRadon<'a> {
    /// In any order.
    pub tests: &'a [RadonTest],
    /// A radon system is fitted.
    pub system: bool,
    /// Days on which a radon system started, or was changed, in any order.
    pub starts: &'a [NaiveDate],
    /// Days on which one was taken out of use, in any order.
    pub stops: &'a [NaiveDate],
    pub events: &'a [(EventKind, NaiveDate)],
    /// Days on which a price was offered for work on it, in any order.
    pub quotes: &'a [NaiveDate],
    /// A new or altered sump or drain.
    pub altered: &'a [Altered],
    /// The system that was started last is recorded as without a fan.
    pub passive: bool,
    /// Floor area of the section.
    pub area: Option<Area>,
    pub choices: Choices,
}

/// A result as it is reported: pCi/L to one decimal, half up. Average first, then report, then compare.
///
/// Source: ANSI/AARST MAH-2019, 8.5.2 b; MALB-2014, 8.1.1.
pub fn reported(level: Activity) -> Exact {
    level.exact_pci_l().round_half_up(1)
}
