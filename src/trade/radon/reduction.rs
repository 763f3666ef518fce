//! By how much a system has to lower the level to meet a target.
//!
//! reduction = 1 - target / level, in per cent; 0 when the target is met. Arithmetic; published typical reductions are 50 to
//! 99 % for active suction (EPA, Consumer's Guide to Radon Reduction, cost table).

use crate::quantity::{Activity, Exact, Share};
use crate::trade::verdict::{Rule, Standing};

pub static REDUCTION: Rule = Rule {
    name: "radon-reduction",
    says: "the reduction asked for is 1 - target / level, nothing when the target is met",
    source: "arithmetic",
    standing: Standing::Derived,
    scope: "level and target of one place",
    variants: &[],
};

/// Reduction that brings `level` to `target`; exact wherever it fits.
pub fn reduction(level: Activity, target: Activity) -> Share {
    let none = Share::ZERO;
    let Some(excess) = level.checked_sub(target).filter(|excess| !excess.is_zero()) else {
        return none;
    };
    let exact = excess.exact().checked_mul(Exact::integer(100)).and_then(|e| e.checked_div(level.exact()));
    match exact {
        Some(exact) => Share::from_exact(exact).unwrap_or(none),
        None => Share::nearest(100.0 * (excess.to_bq_m3() / level.to_bq_m3())).unwrap_or(none),
    }
}

#[cfg(test)]
mod tests {
    use super::reduction;
    use crate::quantity::{Activity, Share};

    #[test]
    fn the_reduction_is_what_the_target_leaves() {
        // 1 - 2/8 = 75 %; 1 - 2/20 = 90 %.
        let of = |level, target| reduction(Activity::pci_l(level, 1), Activity::pci_l(target, 1));
        assert_eq!(of(8, 2), Share::percent(75, 1));
        assert_eq!(of(20, 2), Share::percent(90, 1));
        assert_eq!(of(4, 4), Share::ZERO);
        assert_eq!(of(2, 4), Share::ZERO);
        assert_eq!(of(0, 0), Share::ZERO);
        assert_eq!(of(5, 0), Share::percent(100, 1));
    }
}
