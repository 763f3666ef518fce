//! What a plan over several years goes by: what has to be done by when, what comes before what, which repairs share a visit.
//!
//! The arithmetic stands in `deferral::plan`; the rules and their sources stand here with all others. Nothing of it was found
//! published for houses: deadlines, the order of repairs and the crafts are design rules of this program, named as such and
//! changed by hand.

use super::verdict::{Band, Rule, Standing};
use super::words::FindingKind;

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

pub static DEADLINE: Rule = Rule {
    name: "plan-deadline",
    says: "what is `urgent` is done in the first year of a plan, what goes to a licensed person (`call`, and radon decided at 4 pCi/L or \
           more) by the end of the second, whatever it costs; a fixture to be mended, such as a pump that failed, in the first; of these what has no \
           known cost of waiting is done in the first year it fits; what a judgement holds that asks for no work is in no year but by hand",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "the last year for the work itself; who has to look, and by when, is asked by its verdict and comes first; a fixture has a price and no cost of waiting here",
    variants: &[],
};

pub static SOURCE_FIRST: Rule = Rule {
    name: "source-first",
    says: "water is led away before what it wets is mended: gutters, drains and ground at the same section are not done after cracks that \
           let water in, damp, salts, mould and rot",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "findings of one house; where both say their section, of one section; where the water comes from is not told by it",
    variants: &[],
};

pub static SHARED_VISIT: Rule = Rule {
    name: "shared-visit",
    says: "repairs of one craft at one house in one year share a visit: its fee is paid once",
    source: "design rule of this program; the fee is an assumption, 150 in the ledger's currency unless another is given",
    standing: Standing::Practice,
    scope: "prices are taken to hold a visit each, and one price for several things one visit in all; the fee is never more than the cheapest of the repairs",
    variants: &[],
};

pub static RADON_PRICE: Rule = Rule {
    name: "radon-price",
    says: "a radon system costs 800 to 2,500 USD, 1,200 on average, in the money of 2010",
    source: "EPA 402/K-10/002, Consumer's Guide to Radon Reduction, January 2010",
    standing: Standing::Read,
    scope: "the same figures stood in the edition of 2006, so the money may be older; a quotation for the section takes its place",
    variants: &[],
};

/// Lowest, average and highest price of a radon system, USD (rule `radon-price`), and the year of that money.
pub const RADON_SYSTEM: [f64; 3] = [800.0, 1200.0, 2500.0];
pub const RADON_MONEY_OF: i32 = 2010;
/// The fee of a visit where none is given, in major units (rule `shared-visit`).
pub const VISIT_FEE: f64 = 150.0;

/// The years by whose end must be done what cannot be left, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Deadlines {
    pub urgent: usize,
    pub call: usize,
}

impl Default for Deadlines {
    fn default() -> Deadlines {
        Deadlines { urgent: 1, call: 2 }
    }
}

impl Deadlines {
    /// The last year for what has this band; `None` where it may be left.
    pub fn of(self, band: Option<Band>) -> Option<usize> {
        match band? {
            Band::Urgent => Some(self.urgent),
            Band::Call => Some(self.call),
            _ => None,
        }
    }
}

/// Who does a repair, as far as visits are shared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Craft {
    Foundation,
    Masonry,
    Drainage,
    Carpentry,
    Pests,
    Mould,
    Trees,
    Electrics,
    Radon,
    Plumbing,
}

impl Craft {
    pub fn words(self) -> &'static str {
        match self {
            Craft::Foundation => "foundation work",
            Craft::Masonry => "concrete and masonry",
            Craft::Drainage => "drainage and sealing",
            Craft::Carpentry => "carpentry",
            Craft::Pests => "pest control",
            Craft::Mould => "mould removal",
            Craft::Trees => "tree work",
            Craft::Electrics => "electrics",
            Craft::Radon => "radon",
            Craft::Plumbing => "plumbing",
        }
    }

    /// The craft that mends a kind of finding; `None` where the kind does not tell.
    pub fn of(kind: FindingKind) -> Option<Craft> {
        use FindingKind as K;
        Some(match kind {
            K::Bow | K::Settlement | K::Bearing => Craft::Foundation,
            K::Crack | K::Spall | K::Bolt | K::Walkway | K::Efflorescence => Craft::Masonry,
            K::Damp | K::Drainage | K::Grade => Craft::Drainage,
            K::Rot | K::Clearance | K::Vent => Craft::Carpentry,
            K::Insects => Craft::Pests,
            K::Mould => Craft::Mould,
            K::Tree => Craft::Trees,
            K::Electrics => Craft::Electrics,
            K::Binding | K::Other => return None,
        })
    }
}

/// What a finding is to the order of repairs (rule `source-first`).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// It brings water to the house.
    Source,
    /// It is wetted.
    Wetted,
    Neither,
}

impl Place {
    /// `wet`: the finding itself is damp or worse.
    pub fn of(kind: FindingKind, wet: bool) -> Place {
        use FindingKind as K;
        match kind {
            K::Drainage | K::Grade => Place::Source,
            K::Damp | K::Efflorescence | K::Mould | K::Rot => Place::Wetted,
            K::Crack | K::Spall | K::Bow if wet => Place::Wetted,
            _ => Place::Neither,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Band, Craft, Deadlines, FindingKind, Place};

    #[test]
    fn only_what_goes_to_somebody_licensed_has_a_deadline() {
        let by = Deadlines::default();
        for (band, year) in [
            (None, None),
            (Some(Band::Note), None),
            (Some(Band::Watch), None),
            (Some(Band::Mend), None),
            (Some(Band::Call), Some(2)),
            (Some(Band::Urgent), Some(1)),
        ] {
            assert_eq!(by.of(band), year, "{band:?}");
        }
    }

    #[test]
    fn water_is_led_away_before_what_it_wets_is_mended() {
        assert_eq!(Place::of(FindingKind::Drainage, false), Place::Source);
        assert_eq!(Place::of(FindingKind::Grade, true), Place::Source);
        assert_eq!(Place::of(FindingKind::Crack, true), Place::Wetted);
        assert_eq!(Place::of(FindingKind::Crack, false), Place::Neither);
        assert_eq!(Place::of(FindingKind::Walkway, true), Place::Neither);
    }

    #[test]
    fn a_door_that_binds_has_no_craft_of_its_own() {
        assert_eq!(Craft::of(FindingKind::Binding), None);
        assert_eq!(Craft::of(FindingKind::Bow), Some(Craft::Foundation));
    }
}
