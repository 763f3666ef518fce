//! Two tests side by side that decided a place: how far apart they are, and whether their mean may stand.
//!
//! The rule in words: where the mean is not accepted the place is tested again, whatever it decided meanwhile; where it decided
//! at 4 pCi/L or more the louder outcome stands beside it. A pair out of control asks for a look into the two devices, and moves
//! no band. Of a result below what its device shows no difference is known.
//!
//! Sources: those of [`CONTROL`] and [`STRADDLE`].

use super::flow::{Grounds, place_of, ran_together};
use super::one_test::RadonTest;
use super::pair::{CONTROL, Control, LOWER_APART, MIDDLE_FROM, MIDDLE_LIMITS, PairRule, STRADDLE, UPPER_FROM};
use super::pair::{UPPER_LIMITS, pair, straddles};
use super::section::{Found, month_on};
use super::{AT_ONCE_FROM_1993, AtOnceRule, FOLLOW_UP, reported};
use crate::quantity::Exact;
use crate::trade::choice::Choices;
use crate::trade::verdict::{Band, By, Fired, Step, Who};

/// What two short tests that decided a place leave open; `later` tells whether the place was tested after them.
pub(super) fn after_two(grounds: Grounds, is_high: bool, later: bool, choices: Choices, found: &mut Found) {
    let Grounds::Two(first, second) = grounds else { return };
    let both = format!("{} and {}", first.described(), second.described());
    let day = month_on(second);
    let watched = |rule, because| Fired::new(rule, Band::Watch, Who::Owner, Some(By::Date(day)), because);
    let together = ran_together(first, second);
    if together {
        apart(first, second, &both, found);
    }
    if together && straddles(first.result, second.result, choices.radon_pair) {
        if later && is_high {
            return;
        }
        let (times, variant) = match choices.radon_pair {
            PairRule::TwiceOrMore => ("at least twice", ""),
            PairRule::OverTwice => ("more than twice", "protocol-1993"),
        };
        let because =
            format!("{both}, side by side: one is {times} the other, so the mean is not accepted: test again");
        found.fired.push(watched(&STRADDLE, because).by_variant(variant));
        if is_high {
            let again = "test again in the same place: the mean of the pair is not accepted";
            found.steps.push(Step::recorded_as(again, "radon-tested").by(day));
        } else {
            found.due.push(day);
        }
    } else if !is_high && choices.radon_at_once == AtOnceRule::FromTen && reported(first.result) > AT_ONCE_FROM_1993 {
        let because = format!("{both}: the first over 10 pCi/L, the mean of the two under 4: make a long test");
        found.fired.push(watched(&FOLLOW_UP, because).by_variant("protocol-1993"));
        found.due.push(day);
    }
}

/// A pair against its control limits.
fn apart(first: &RadonTest, second: &RadonTest, both: &str, found: &mut Found) {
    if first.below || second.below {
        return;
    }
    let of_two = pair(first.result, second.result);
    let is_out = match of_two.control {
        Control::In => return,
        Control::Warning => false,
        Control::Out => true,
    };
    let mean = of_two.mean.exact_pci_l();
    let limits = if mean >= UPPER_FROM { UPPER_LIMITS } else { MIDDLE_LIMITS };
    let from = if is_out { limits.1 } else { limits.0 };
    let apart = match of_two.rpd_pct {
        Some(rpd) if mean >= MIDDLE_FROM => {
            format!("{} % of their mean apart, {}", rpd.round_half_up(2).decimal(2), from_on(from))
        }
        _ => format!("more than {} pCi/L apart", LOWER_APART.decimal(1)),
    };
    let because = match is_out {
        true => format!("{both}, side by side: {apart}: out of control, so the two devices are to be looked into"),
        false => format!("{both}, side by side: {apart}: a warning for the two devices"),
    };
    found.fired.push(Fired::for_comparison(&CONTROL, because));
    if is_out {
        found
            .steps
            .push(Step::new("ask the laboratory or the maker about the two devices: the pair is out of control"));
    }
}

fn from_on(limit: Exact) -> String {
    format!("limit {} %", limit.decimal(0))
}

/// Whether the place of two tests was tested after them.
pub(super) fn is_tested_after(grounds: Grounds, valid: &[&RadonTest]) -> bool {
    let last = grounds.latest();
    valid.iter().any(|test| place_of(test) == place_of(last) && test.on > last.on)
}
