//! The rules behind what waiting costs: the arithmetic stands in `deferral`, their sources here with those of all others.
//!
//! No measured rate at which defects of house foundations worsen was found published. The figures of the ladders are
//! assumptions and say so one by one; what is published is the arithmetic, a few prices, and anchors of other trades.

use super::verdict::{Rule, Standing};

pub static COST_OF_WAITING: Rule = Rule {
    name: "cost-of-waiting",
    says: "a year's damage is paid at its end by the stage it began in, repair at the start of year t by the stage then held; with \
           k = (1+escalation)/(1+discount), total(t) = sum over j < t of k^(j+1) m_j·damage + k^t m_t·repair",
    source: "discounting as NIST Handbook 135 (1995); stages as a Markov chain, x(n) = x(0) P^n",
    standing: Standing::Memory,
    scope: "chances and prices are those it is given: no measured rate at which defects of house foundations worsen was found \
            published, so each is an assumption; checked against independent arithmetic",
    variants: &[],
};

pub static PRICE_RANGE: Rule = Rule {
    name: "price-range",
    says: "a price between lowest and highest is drawn from the PERT distribution about the likeliest: mean (low + 4 likely + high) / 6",
    source: "Malcolm and others 1959 (PERT); a published figure called an average is taken as the likeliest, which is a choice of \
             this program",
    standing: Standing::SecondHand,
    scope: "prices of one kind of work; within one path all stages are dear or cheap together, which is a design rule of this program",
    variants: &[],
};

pub static SPREAD_OF_WAITING: Rule = Rule {
    name: "spread-of-waiting",
    says: "percentiles of the cost of waiting over simulated paths; the percentile p is the least cost that a share p of the paths does \
           not pass; the seed is printed and gives the same figures again",
    source: "design rule of this program; simulation of the chain of `cost-of-waiting`",
    standing: Standing::Practice,
    scope: "expectations come from the chain itself; a percentile of n paths has the standard error sqrt(p(1-p)/n)/density",
    variants: &[],
};

pub static PRICE_INDEX: Rule = Rule {
    name: "price-index",
    says: "a price of an earlier year is brought to a later one by the index of consumer prices: amount x index(later) / index(earlier)",
    source: "CPI-U, all items, US city average, 1982-84 = 100 (BLS), mean of twelve months, 2000 to 2024, by the open data set \
             datasets/cpi-us",
    standing: Standing::Read,
    scope: "prices in US dollars; consumer prices rose less than those of construction of late; 2025 has no official mean, \
            since October 2025 is missing",
    variants: &[],
};

pub static WATER_LOSS: Rule = Rule {
    name: "water-loss",
    says: "1.61 claims for water damage and freezing per 100 house-years at 13,954 USD each, 224.66 USD a house-year, times the relative \
           risk that a stage of a ladder gives",
    source: "Insurance Information Institute by ISO statistics, owners policies, 2018-2022",
    standing: Standing::Derived,
    scope: "sudden insured losses, mostly plumbing and freezing; water that seeps through a wall is not in them: the base bounds such a loss \
            only loosely, and the relative risk is an assumption to be changed",
    variants: &[],
};

pub static MAINTENANCE_SHARE: Rule = Rule {
    name: "maintenance-share",
    says: "routine maintenance and repair take 2 to 4 % of the replacement value of buildings a year",
    source: "National Research Council, Committing to the Cost of Ownership, 1990, chapter 3, pages 18-19",
    standing: Standing::Read,
    scope: "public buildings taken together, the whole building and not its foundation alone; a backlog does not shrink at that share",
    variants: &[],
};

pub static LAW_OF_FIVES: Rule = Rule {
    name: "law-of-fives",
    says: "one dollar at building is worth five of maintenance before damage, 25 of repair, 125 of renovation",
    source: "W. R. de Sitter, CEB Bulletin 152, 1984, pages 131-134, as told by N. Heim",
    standing: Standing::SecondHand,
    scope: "a rule of thumb for concrete exposed to corrosion; no data stand behind the five; here a step from stage to stage, never a rate",
    variants: &[],
};

pub static TWO_TO_FOUR: Rule = Rule {
    name: "two-to-four",
    says: "deferred work costs 2 to 4 times the timely repair; laid over ten years, 7.2 to 14.9 % a year",
    source: "H. W. Stanford III, Effective Building Maintenance, 2010 (excerpt)",
    standing: Standing::Read,
    scope: "work without much damage beside it; the excerpt says studies and names none, and the ten years are a choice of this program",
    variants: &[],
};

pub static LADDER: Rule = Rule {
    name: "ladder",
    says: "a finding passes through stages if it is left: each has a price, a year's damage and a chance of the next stage, as low, \
           likely and high; a quotation takes the place of the price, measured growth that of the chance: 1 over the years to the next \
           stage; where the quotation is above the likeliest price, later stages are as many times dearer",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "figures without a source are assumptions, named as such, and replaced with a file of one's own",
    variants: &[],
};
