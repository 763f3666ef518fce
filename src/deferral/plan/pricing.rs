//! What is least when a row may be overdrawn at a price: then each item, or tree of items in order, stands by itself.
//!
//! With a price `λ ≥ 0` on each row, `L(λ) = least Σ (loss + λ · drawn) - λ · rows` is at most the loss of any plan (Lagrange).
//! [`Pricing::least`] gives it; [`Pricing::mean`] smooths it at a temperature, so that the best prices are found by Newton's
//! steps, and gives by what share each choice is made there.
//!
//! A visit is paid in shares by the items that may need it. Shares add up to one, so no set of items pays more than the visit
//! costs, and the bound holds.

use super::model::{Model, bits};
use super::problem::Visit;

/// How fast a share may move, and what every member keeps: a visit is paid even by members that were not expected.
const STEEPEST: f64 = 8.0;
const LEAST_SHARE: f64 = 1e-6;

/// Room for one evaluation, used again and again.
pub(super) struct Pricing {
    cost: Vec<f64>,
    up: Vec<f64>,
    told: Vec<f64>,
    full: Vec<f64>,
    /// How much more than the least a plan with this choice costs, at these prices; infinite where it is ruled out.
    pub reduced: Vec<f64>,
    /// By what share a choice is made, in the smoothed sum.
    pub weight: Vec<f64>,
    /// Of visits, by member and choice: how the members share.
    pub shares: Vec<f64>,
    /// Draws of visits that are paid whatever else is chosen.
    pub fixed: Vec<f64>,
    /// Size of the sums, for how far rounding may reach.
    size: f64,
    /// Evaluations of a choice so far.
    pub work: u64,
}

impl Pricing {
    pub fn new(model: &Model) -> Pricing {
        let room = vec![0.0; model.items * model.width];
        let members: usize = model.problem.visits.iter().map(|visit| visit.items.len()).sum();
        Pricing {
            cost: room.clone(),
            up: room.clone(),
            told: room.clone(),
            full: room.clone(),
            reduced: room.clone(),
            weight: room,
            shares: vec![1.0; members * model.width],
            fixed: vec![0.0; model.rows.len()],
            size: 0.0,
            work: 0,
        }
    }

    /// `L(λ)` over the open choices, less what rounding may have added: a true lower bound. Fills `reduced`.
    pub fn least(&mut self, model: &Model, open: &[u64], prices: &[f64]) -> f64 {
        let (mut sum, width) = (self.set_costs(model, open, prices), model.width);
        self.pass(model, open, |a, b| a.min(b));
        for &item in &model.forest.order {
            let at = item * width;
            let least = bits(open[item]).map(|k| self.full[at + k]).fold(f64::INFINITY, f64::min);
            if model.forest.parent[item].is_none() {
                sum += least;
                self.size += least.abs();
            }
            for k in 0..width {
                self.reduced[at + k] = if open[item] >> k & 1 == 1 { self.full[at + k] - least } else { f64::INFINITY };
            }
        }
        // Each of the sums of n terms is off by at most n roundings of their size.
        let steps = (model.items * 4 + width + model.rows.len() + 16) as f64;
        sum - self.size * steps * f64::EPSILON
    }

    /// The smoothed sum at temperature `heat`, at most `L(λ)` but for rounding. Fills `weight`.
    pub fn mean(&mut self, model: &Model, open: &[u64], prices: &[f64], heat: f64) -> f64 {
        let (mut sum, width) = (self.set_costs(model, open, prices), model.width);
        self.pass(model, open, |a, b| soft_min(a, b, heat));
        for &item in &model.forest.order {
            let at = item * width;
            let least = bits(open[item]).map(|k| self.full[at + k]).fold(f64::INFINITY, f64::min);
            let mut total = 0.0;
            self.weight[at..at + width].fill(0.0);
            for k in bits(open[item]) {
                let colder = (self.full[at + k] - least) / heat;
                let weight = if colder < 40.0 { (-colder).exp() } else { 0.0 };
                self.weight[at + k] = weight;
                total += weight;
            }
            self.weight[at..at + width].iter_mut().for_each(|weight| *weight /= total);
            if model.forest.parent[item].is_none() {
                sum += least - heat * total.ln();
            }
        }
        sum
    }

    /// What is drawn from each row by the shares of `weight`, and how it varies (rows by rows).
    pub fn drawn(&self, model: &Model, open: &[u64], drawn: &mut [f64], varies: &mut [f64]) {
        let (width, rows) = (model.width, model.rows.len());
        drawn.copy_from_slice(&self.fixed);
        varies.fill(0.0);
        let mut own = vec![0.0; rows];
        for (item, &set) in open.iter().enumerate() {
            own.fill(0.0);
            let decided = set.count_ones() == 1;
            for k in bits(set) {
                let weight = self.weight[item * width + k];
                if weight == 0.0 {
                    continue;
                }
                let draws = model.draws(item, k);
                for &(row, amount) in draws {
                    own[row as usize] += weight * amount;
                    if !decided {
                        for &(other, more) in draws {
                            varies[row as usize * rows + other as usize] += weight * amount * more;
                        }
                    }
                }
            }
            for row in 0..rows {
                drawn[row] += own[row];
                if !decided && own[row] != 0.0 {
                    for other in 0..rows {
                        varies[row * rows + other] -= own[row] * own[other];
                    }
                }
            }
        }
        self.each_share(model, open, |visit, k, item, share| {
            for &(row, amount) in model.visit_draws(visit, k) {
                drawn[row as usize] += self.weight[item * width + k] * share * amount;
            }
        });
    }

    /// The cost of a choice at the last prices, moved along its tree so that each item may choose by itself.
    pub fn own(&self, model: &Model, item: usize, k: usize) -> f64 {
        let at = item * model.width + k;
        match (model.forest.tied[item], model.forest.parent[item]) {
            (false, _) => self.cost[at],
            (true, None) => self.up[at],
            (true, Some(_)) => self.up[at] - self.told[at],
        }
    }

    /// Moves the shares of visits towards the members that make them most at temperature `heat`: at the best shares all that
    /// pay for a visit make it alike (the multipliers of "who is there has had the visit paid").
    pub fn share_by_weight(&mut self, model: &Model, prices: &[f64], heat: f64) {
        let width = model.width;
        let mut from = 0;
        for (visit, of) in model.problem.visits.iter().enumerate() {
            let members = of.items.len();
            for k in 0..of.choices.len() {
                let place = |member: usize| (from + member) * width + k;
                let all: f64 = (0..members).map(|member| self.shares[place(member)]).sum();
                let weight = |member: usize| self.weight[of.items[member] * width + k];
                let mean: f64 = (0..members).map(|m| self.shares[place(m)] / all * weight(m)).sum();
                // A dearer share makes a choice rarer, the more so the colder it is.
                let pace = STEEPEST.min(4.0 * heat / (visit_cost(model, visit, k, prices) + 1e-9));
                for member in 0..members {
                    let share = self.shares[place(member)] / all * (pace * (weight(member) - mean)).exp();
                    self.shares[place(member)] = share.max(LEAST_SHARE);
                }
            }
            from += members;
        }
    }

    /// Tells of each visit that is not paid yet who pays which share of it: visit, choice, item, share.
    pub fn each_share(&self, model: &Model, open: &[u64], mut tell: impl FnMut(usize, usize, usize, f64)) {
        let width = model.width;
        let mut from = 0;
        for (at, visit) in model.problem.visits.iter().enumerate() {
            for k in 0..visit.choices.len() {
                if visit.items.iter().any(|&item| open[item] == 1 << k) {
                    continue;
                }
                let may = |&(_, item): &(usize, usize)| open[item] >> k & 1 == 1;
                let members = || visit.items.iter().copied().enumerate().filter(may);
                let all: f64 = members().map(|(member, _)| self.shares[(from + member) * width + k]).sum();
                for (member, item) in members() {
                    tell(at, k, item, self.shares[(from + member) * width + k] / all);
                }
            }
            from += visit.items.len();
        }
    }

    /// Losses of the visits that are paid whatever else is chosen.
    pub fn fixed_loss(&self, model: &Model, open: &[u64]) -> f64 {
        let visits = model.problem.visits.iter();
        let paid = |visit: &Visit, k: usize| visit.items.iter().any(|&item| open[item] == 1 << k);
        visits
            .flat_map(|visit| {
                (0..visit.choices.len()).filter(|&k| paid(visit, k)).map(|k| visit.choices[k].loss as f64)
            })
            .sum()
    }

    /// Costs of all open choices at these prices; returns what is paid in any case, less what the rows are worth.
    fn set_costs(&mut self, model: &Model, open: &[u64], prices: &[f64]) -> f64 {
        let width = model.width;
        for (item, &set) in open.iter().enumerate() {
            self.work += u64::from(set.count_ones());
            for k in bits(set) {
                let drawn: f64 = model.draws(item, k).iter().map(|&(row, amount)| prices[row as usize] * amount).sum();
                self.cost[item * width + k] = model.loss[item * width + k] + drawn;
            }
        }
        let worth: f64 = prices.iter().zip(&model.rows).map(|(price, row)| price * row).sum();
        let mut sum = -worth;
        self.size = worth;
        if !model.problem.visits.is_empty() {
            // Each member is looked at for each choice, here and where the draws are added up.
            self.work += 2 * (self.shares.len() as u64);
            let mut cost = std::mem::take(&mut self.cost);
            self.each_share(model, open, |visit, k, item, share| {
                cost[item * width + k] += share * visit_cost(model, visit, k, prices);
            });
            self.cost = cost;
            self.fixed.fill(0.0);
            for (at, visit) in model.problem.visits.iter().enumerate() {
                for k in 0..visit.choices.len() {
                    if visit.items.iter().any(|&item| open[item] == 1 << k) {
                        let cost = visit_cost(model, at, k, prices);
                        sum += cost;
                        self.size += cost;
                        model.visit_draws(at, k).iter().for_each(|&(row, amount)| self.fixed[row as usize] += amount);
                    }
                }
            }
        }
        sum
    }

    /// Costs of all choices with the best that the rest of the tree can do beside them, up the tree and down again.
    fn pass(&mut self, model: &Model, open: &[u64], both: impl Fn(f64, f64) -> f64) {
        let width = model.width;
        let forest = &model.forest;
        for item in 0..model.items {
            if !forest.tied[item] {
                let at = item * width;
                self.full[at..at + width].copy_from_slice(&self.cost[at..at + width]);
            }
        }
        // Up the tree and down again, with an exponential for each choice where the sum is smoothed.
        self.work += 3 * (forest.tied.iter().filter(|tied| **tied).count() * width) as u64;
        let tied = || forest.order.iter().copied().filter(|&item| forest.tied[item]);
        for item in tied() {
            let at = item * width;
            for k in 0..width {
                self.up[at + k] = if open[item] >> k & 1 == 1 { self.cost[at + k] } else { f64::INFINITY };
            }
        }
        for &item in forest.order.iter().rev().filter(|&&item| forest.tied[item]) {
            let Some(tie) = forest.parent[item] else { continue };
            let (at, above) = (item * width, tie.parent * width);
            gather(&self.up[at..at + width], &mut self.told[at..at + width], tie.parent_first, &both);
            for k in 0..width {
                self.up[above + k] += self.told[at + k];
            }
        }
        let (mut rest, mut down) = (vec![0.0; width], vec![0.0; width]);
        for item in tied() {
            let at = item * width;
            down.fill(0.0);
            if let Some(tie) = forest.parent[item] {
                let above = tie.parent * width;
                for (k, rest) in rest.iter_mut().enumerate() {
                    let told = self.told[at + k];
                    *rest = if told.is_finite() { self.full[above + k] - told } else { f64::INFINITY };
                }
                gather(&rest, &mut down, !tie.parent_first, &both);
            }
            for (k, down) in down.iter().enumerate() {
                self.full[at + k] = self.up[at + k] + down;
            }
        }
    }
}

/// For each `k` the least of `from` over what is not before it (`later`), or not behind it.
fn gather(from: &[f64], into: &mut [f64], later: bool, both: &impl Fn(f64, f64) -> f64) {
    let mut least = f64::INFINITY;
    for step in 0..from.len() {
        let k = if later { from.len() - 1 - step } else { step };
        least = both(least, from[k]);
        into[k] = least;
    }
}

fn visit_cost(model: &Model, visit: usize, k: usize, prices: &[f64]) -> f64 {
    let drawn: f64 = model.visit_draws(visit, k).iter().map(|&(row, amount)| prices[row as usize] * amount).sum();
    model.problem.visits[visit].choices[k].loss as f64 + drawn
}

fn soft_min(a: f64, b: f64, heat: f64) -> f64 {
    let (low, high) = if a < b { (a, b) } else { (b, a) };
    let colder = (high - low) / heat;
    if high.is_infinite() || colder > 40.0 { low } else { low - heat * (-colder).exp().ln_1p() }
}
