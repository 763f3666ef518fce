//! What people do without a plan, to compare one with: go down a list and do what the year's money still reaches.

use super::yearly::Yearly;

impl Yearly {
    /// Goes down `order`; each repair is done in the first year that is allowed, not before those it waits for, and has the
    /// money left, or is left where there is none. What a repair waits for is done before it, whatever its own place.
    pub fn down_the_list(&self, order: &[usize]) -> Vec<Option<usize>> {
        let mut chosen = vec![None; self.repairs.len()];
        let mut decided = vec![false; self.repairs.len()];
        for &at in order {
            let mut open = vec![at];
            while let Some(&next) = open.last() {
                let waits: Vec<usize> =
                    self.repairs[next].after.iter().copied().filter(|&other| !decided[other]).collect();
                if waits.is_empty() || decided[next] {
                    open.pop();
                    if !std::mem::replace(&mut decided[next], true) {
                        chosen[next] = self.first_year(next, &mut chosen);
                    }
                } else {
                    open.extend(waits);
                }
            }
        }
        chosen
    }

    fn first_year(&self, at: usize, chosen: &mut [Option<usize>]) -> Option<usize> {
        let repair = &self.repairs[at];
        let from = repair.after.iter().map(|&other| chosen[other].unwrap_or(self.years())).max().unwrap_or(0);
        (from..self.years()).filter(|year| repair.allowed >> year & 1 == 1).find(|&year| {
            chosen[at] = Some(year);
            let fits = self.keeps_to_budgets(chosen);
            chosen[at] = None;
            fits
        })
    }

    /// Whether no year's budget is passed.
    pub fn keeps_to_budgets(&self, chosen: &[Option<usize>]) -> bool {
        let mut left = 0;
        self.spent(chosen).iter().zip(&self.budgets).all(|(spent, budget)| {
            left = if self.carry { left } else { 0 } + budget - spent;
            left >= 0
        })
    }
}
