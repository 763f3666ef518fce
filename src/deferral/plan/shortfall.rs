//! What must be done by its year and does not fit: how much more one year's budget would have to be.

use super::search::Effort;
use super::yearly::{PlanError, Repair, Yearly};

/// One budget that would be enough if it were larger, the others as they are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shortfall {
    /// The year in which least is missing; the earliest of equals.
    pub year: usize,
    /// The least that has to be added to it.
    pub missing: i64,
    /// The repairs that must be done, and those they wait for.
    pub must: Vec<usize>,
}

/// Whether it fits is asked of few repairs; this much is enough to tell for all but made-up cases.
const ASKED: Effort = Effort { work: 100_000_000, gap: 1.0 };

impl Yearly {
    /// Why nothing fits, where that is so: `None` if what must be done fits the budgets, or no single budget would help.
    pub fn shortfall(&self) -> Option<Shortfall> {
        let must = self.must();
        let only = self.only(&must);
        if only.fits(None) {
            return None;
        }
        let most: i64 = only.repairs.iter().filter_map(|repair| repair.spend.iter().max()).sum::<i64>()
            + only.shared.iter().flat_map(|shared| &shared.spend).sum::<i64>();
        let missing = |year| only.fits(Some((year, most))).then(|| only.least_more(year, most));
        let years = (0..self.years()).filter_map(|year| missing(year).map(|missing| (missing, year)));
        years.min().map(|(missing, year)| Shortfall { year, missing, must })
    }

    /// Narrows each of these to the first year by which it can be done beside all else that must be; of two that do not fit
    /// together, the one named first goes first.
    pub fn bring_forward(&mut self, sooner: &[usize]) {
        for &at in sooner {
            let allowed = self.repairs[at].allowed;
            let narrower = (0..self.years()).map(|year| allowed & ((2_u64 << year) - 1)).filter(|some| *some != 0);
            for some in narrower.take_while(|some| *some != allowed) {
                self.repairs[at].allowed = some;
                if self.only(&self.must()).fits(None) {
                    break;
                }
                self.repairs[at].allowed = allowed;
            }
        }
    }

    /// Repairs that may not be left, and those they wait for.
    fn must(&self) -> Vec<usize> {
        let never = 1 << self.years();
        let mut must: Vec<bool> = self.repairs.iter().map(|repair| repair.allowed & never == 0).collect();
        let mut open: Vec<usize> = (0..must.len()).filter(|&at| must[at]).collect();
        while let Some(at) = open.pop() {
            for &other in &self.repairs[at].after {
                if !std::mem::replace(&mut must[other], true) {
                    open.push(other);
                }
            }
        }
        (0..must.len()).filter(|&at| must[at]).collect()
    }

    /// The same with these repairs alone, without losses.
    fn only(&self, kept: &[usize]) -> Yearly {
        let place = |at: &usize| kept.binary_search(at).ok();
        let repair = |at: &usize| {
            let whole = &self.repairs[*at];
            Repair {
                spend: whole.spend.clone(),
                loss: vec![0; whole.loss.len()],
                after: whole.after.iter().filter_map(place).collect(),
                allowed: whole.allowed,
            }
        };
        let mut shared = self.shared.clone();
        for visit in &mut shared {
            visit.repairs = visit.repairs.iter().filter_map(place).collect();
            visit.loss.fill(0);
        }
        let repairs = kept.iter().map(repair).collect();
        Yearly { budgets: self.budgets.clone(), carry: self.carry, repairs, shared }
    }

    fn fits(&self, more: Option<(usize, i64)>) -> bool {
        let mut task = self.clone();
        if let Some((year, more)) = more {
            task.budgets[year] += more;
        }
        !matches!(task.plan(ASKED), Err(PlanError::DoesNotFit | PlanError::NotFound))
    }

    /// More money never fits less, so the least is found by halving.
    fn least_more(&self, year: usize, enough: i64) -> i64 {
        let (mut short, mut enough) = (0, enough);
        while enough - short > 1 {
            let middle = short + (enough - short) / 2;
            if self.fits(Some((year, middle))) {
                enough = middle;
            } else {
                short = middle;
            }
        }
        enough
    }
}
