//! Two results from one place: how far apart they are, and whether their mean may stand.
//!
//! The rule in words: the relative percent difference, 100 × |a - b| / mean, is held against limits that depend on the mean
//! of the pair: from 4 pCi/L on a warning from 28 % and out of control from 36 %; from 2 to below 4 from 50 % and 67 %; below 2
//! there is no warning, and more than 1 pCi/L apart is out. If one result is under 4 and the other at 4 or more and at least
//! twice the lower, the mean is not accepted. All of it by unrounded figures, so that 2.0 and 4.0 (66.667 %) are not out.
//!
//! Sources: ANSI/AARST MS-QA-2019, 3.5 and Table 7.1 (limits); ANSI/AARST MW-RN-2020, Table 8.5.1 (twice or more).

use super::ACTION;
use crate::quantity::{Activity, Exact};
use crate::trade::verdict::{Rule, Standing, Variant};
use crate::trade::words::words;

/// From this mean on the limits of 28 and 36 % hold, pCi/L: MS-QA-2019, Table 7.1; read.
pub const UPPER_FROM: Exact = Exact::integer(4);
/// Relative percent difference from which an upper pair warns and is out: MS-QA-2019, Table 7.1; read.
pub const UPPER_LIMITS: (Exact, Exact) = (Exact::integer(28), Exact::integer(36));
/// From this mean on the limits of 50 and 67 % hold, pCi/L: MS-QA-2019, Table 7.1; read.
pub const MIDDLE_FROM: Exact = Exact::integer(2);
/// Relative percent difference from which a middle pair warns and is out: MS-QA-2019, Table 7.1; read.
pub const MIDDLE_LIMITS: (Exact, Exact) = (Exact::integer(50), Exact::integer(67));
/// Most that a lower pair may differ, pCi/L: MS-QA-2019, Table 7.1; read.
pub const LOWER_APART: Exact = Exact::ONE;
/// A pair astride the action level whose higher result is at least so many times the lower: MW-RN-2020, Table 8.5.1; read.
pub const STRADDLE_FACTOR: Exact = Exact::integer(2);

pub static CONTROL: Rule = Rule {
    name: "radon-pair-control",
    says: "a pair with a mean of 4 pCi/L or more warns from 28 % relative difference and is out from 36 %; 2 to below 4: 50 and 67 %; \
           below 2 it is out when more than 1 pCi/L apart",
    source: "ANSI/AARST MS-QA-2019, 3.5 and Table 7.1",
    standing: Standing::Read,
    scope: "two devices side by side",
    variants: &[],
};

pub static STRADDLE: Rule = Rule {
    name: "radon-pair-straddles",
    says: "with one result under 4 pCi/L and the other at 4 or more and at least twice the lower the mean is not accepted: test again",
    source: "ANSI/AARST MW-RN-2020, Table 8.5.1; ANSI/AARST MAH-2019, 7.2",
    standing: Standing::Read,
    scope: "two tests of one place at the same time; not asked when the owner mitigates anyway or the reason is proven",
    variants: &[Variant {
        name: "protocol-1993",
        says: "greater than twice the lower",
        source: "EPA 402-R-93-003 (1993), 3.2.2, as reprinted",
        standing: Standing::SecondHand,
    }],
};

words! {
    /// How far apart two results astride the action level are too far.
    PairRule { TwiceOrMore = "twice-or-more", OverTwice = "over-twice" }
}

words! {
    /// How a pair stands against its control limits.
    Control { In = "in", Warning = "warning", Out = "out" }
}

/// Two results of one place, compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    pub mean: Activity,
    /// Of the two, without sign.
    pub difference: Activity,
    /// Relative percent difference; `None` when both are zero.
    pub rpd_pct: Option<Exact>,
    pub control: Control,
    /// `false`: one is under 4 pCi/L, the other 4 or more and at least twice the lower.
    pub average_accepted: bool,
}

/// Compares two results. Exact wherever it fits; there is nothing to refuse.
///
/// Sources: [`CONTROL`], [`STRADDLE`].
pub fn pair(first: Activity, second: Activity) -> Pair {
    let (low, high) = (first.min(second), first.max(second));
    let difference = high.checked_sub(low).unwrap_or(high);
    let mean = Activity::mean(&[low, high]).unwrap_or(high);
    let rpd_pct = relative_percent(difference, mean);
    let control = control(mean, difference, rpd_pct);
    Pair { mean, difference, rpd_pct, control, average_accepted: !straddles(low, high, PairRule::TwiceOrMore) }
}

/// Whether two results lie astride the action level with the higher at least twice the lower.
///
/// By [`PairRule::OverTwice`] greater than twice, as the protocol of 1993 words it.
pub fn straddles(first: Activity, second: Activity, rule: PairRule) -> bool {
    let (low, high) = (first.min(second), first.max(second));
    let twice = low.exact_pci_l().checked_mul(STRADDLE_FACTOR).unwrap_or(Exact::MAX);
    let apart = match rule {
        PairRule::TwiceOrMore => high.exact_pci_l() >= twice,
        PairRule::OverTwice => high.exact_pci_l() > twice,
    };
    low.exact_pci_l() < ACTION && high.exact_pci_l() >= ACTION && apart
}

fn relative_percent(difference: Activity, mean: Activity) -> Option<Exact> {
    if mean.is_zero() {
        return None;
    }
    let exact = difference.exact().checked_mul(Exact::integer(100)).and_then(|d| d.checked_div(mean.exact()));
    exact.or_else(|| Exact::nearest(100.0 * difference.to_bq_m3() / mean.to_bq_m3()))
}

fn control(mean: Activity, difference: Activity, rpd_pct: Option<Exact>) -> Control {
    let rpd = rpd_pct.unwrap_or(Exact::ZERO);
    let by = |(warning, out): (Exact, Exact)| match rpd {
        r if r >= out => Control::Out,
        r if r >= warning => Control::Warning,
        _ => Control::In,
    };
    match mean.exact_pci_l() {
        m if m >= UPPER_FROM => by(UPPER_LIMITS),
        m if m >= MIDDLE_FROM => by(MIDDLE_LIMITS),
        _ if difference.exact_pci_l() > LOWER_APART => Control::Out,
        _ => Control::In,
    }
}

#[cfg(test)]
mod tests {
    use super::{Control, Pair, PairRule, pair, straddles};
    use crate::quantity::{Activity, Exact};

    fn of(first: &str, second: &str) -> Pair {
        pair(Activity::parse(first).unwrap(), Activity::parse(second).unwrap())
    }

    #[test]
    fn pairs_stand_against_the_limits_of_their_mean() {
        // MS-QA-2019 Table 7.1. RPD = 200 |a - b| / (a + b), worked by hand.
        let cases = [
            ("4.2 pCi/L", "5.5 pCi/L", 4.85, 26.804, Control::In),
            ("8 pCi/L", "10.7 pCi/L", 9.35, 28.877, Control::Warning),
            ("4.0 pCi/L", "5.8 pCi/L", 4.9, 36.735, Control::Out),
            ("2.1 pCi/L", "3.6 pCi/L", 2.85, 52.632, Control::Warning),
            ("2.0 pCi/L", "4.0 pCi/L", 3.0, 66.667, Control::Warning), // a factor of two, just inside 67 %
            ("43 pCi/L", "57 pCi/L", 50.0, 28.0, Control::Warning),    // exactly 28 %
            ("41 pCi/L", "59 pCi/L", 50.0, 36.0, Control::Out),        // exactly 36 %
            ("1.5 pCi/L", "2.5 pCi/L", 2.0, 50.0, Control::Warning),   // mean exactly 2, RPD exactly 50 %
            ("1.995 pCi/L", "4.005 pCi/L", 3.0, 67.0, Control::Out),   // exactly 67 %
            ("1.4 pCi/L", "2.4 pCi/L", 1.9, 52.632, Control::In),      // exactly 1 pCi/L apart
            ("1.4 pCi/L", "2.41 pCi/L", 1.905, 53.018, Control::Out),
            ("0 pCi/L", "1 pCi/L", 0.5, 200.0, Control::In),
        ];
        for (first, second, mean, rpd, control) in cases {
            for pair in [of(first, second), of(second, first)] {
                assert!((pair.mean.to_pci_l() - mean).abs() < 1e-9, "{first}, {second}");
                assert!((pair.rpd_pct.unwrap().to_f64() - rpd).abs() < 5e-4, "{first}, {second}: {:?}", pair.rpd_pct);
                assert_eq!(pair.control, control, "{first}, {second}");
            }
        }
        let none = of("0 pCi/L", "0 Bq/m3");
        assert_eq!((none.rpd_pct, none.control, none.difference), (None, Control::In, Activity::ZERO));
    }

    #[test]
    fn a_pair_astride_the_action_level_is_averaged_only_under_a_factor_of_two() {
        // MW-RN-2020 Table 8.5.1, "twice or more".
        let cases = [
            ("3.1 pCi/L", "6.4 pCi/L", false), // 2.065 times
            ("3.2 pCi/L", "6.4 pCi/L", false), // exactly twice
            ("3.2 pCi/L", "6.3 pCi/L", true),
            ("4.0 pCi/L", "9.0 pCi/L", true), // none under 4
            ("1.0 pCi/L", "3.9 pCi/L", true), // none at 4
            ("2.0 pCi/L", "4.0 pCi/L", false),
            ("3.999 pCi/L", "148 Bq/m3", true),
            ("0 pCi/L", "4 pCi/L", false),
        ];
        for (first, second, accepted) in cases {
            assert_eq!(of(first, second).average_accepted, accepted, "{first}, {second}");
        }
        // EPA 402-R-93-003, as reprinted: "greater than twice".
        let (low, high) = (Activity::pci_l(32, 10), Activity::pci_l(64, 10));
        assert!(straddles(low, high, PairRule::TwiceOrMore) && !straddles(low, high, PairRule::OverTwice));
    }

    #[test]
    fn numbers_that_fit_no_common_fraction_are_still_compared() {
        let odd = Activity::from_exact(Exact::new(1, 3 * 10_i128.pow(37))).unwrap();
        let other = Activity::from_exact(Exact::new(10_i128.pow(36), 10_i128.pow(37) * 4 + 1)).unwrap();
        let pair = pair(odd, other);
        assert_eq!(pair.control, Control::In);
        assert!((pair.rpd_pct.unwrap().to_f64() - 200.0).abs() < 1e-9, "the lower is nothing beside the higher");
    }
}
