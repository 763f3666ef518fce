//! The rules behind a plan over several years: the arithmetic stands in `deferral::plan`, the sources here with all others.

use super::verdict::{Rule, Standing};

pub static YEARLY_PLAN: Rule = Rule {
    name: "yearly-plan",
    says: "each repair is done in one year or left, so that the sum of losses is least; what is spent in a year keeps to its budget, \
           a repair is done in the same year as those it waits for, or later",
    source: "multi-period knapsack: Lorie and Savage 1955, Weingartner 1963; bounds by Lagrange's relaxation, Fisher 1981",
    standing: Standing::Memory,
    scope: "no better than the losses it is given; `bound` says how far a plan may be from the least there is; checked against two \
            independent solvers and published instances",
    variants: &[],
};
