//! Plans by hand, as it were: from the best choices at given prices, mended until no row is overdrawn, then bettered by
//! moving one item, or two at once.

use super::model::{Model, bits};
use super::pricing::Pricing;

/// A plan in the making.
pub(super) struct Making<'a> {
    model: &'a Model<'a>,
    allowed: &'a [u64],
    chosen: Vec<usize>,
    left: Vec<i64>,
    /// Members of each visit that make each choice.
    going: Vec<u32>,
}

/// Work of moving an item and back, its rows and visits with it.
const MOVE: u64 = 4;
/// Items that are tried in pairs.
const PAIRED: usize = 90;

/// A plan within its rows, bettered; `None` where mending gets stuck.
pub(super) fn make(
    model: &Model,
    allowed: &[u64],
    open: &[u64],
    pricing: &mut Pricing,
    in_pairs: bool,
) -> Option<(i64, Vec<usize>)> {
    let mut making = Making::start(model, allowed, open, pricing);
    pricing.work += (model.items * model.width) as u64;
    making.mend(pricing)?;
    making.move_one(pricing);
    if in_pairs {
        let near = making.near(pricing);
        for _ in 0..30 {
            if !making.move_two(&near, pricing) {
                break;
            }
            making.move_one(pricing);
        }
    }
    Some((model.problem.loss(&making.chosen), making.chosen))
}

/// The same from a plan that is within its rows already.
pub(super) fn better(model: &Model, allowed: &[u64], chosen: &[usize], pricing: &mut Pricing) -> (i64, Vec<usize>) {
    let mut making = Making::of(model, allowed, chosen.to_vec());
    let near = making.near(pricing);
    making.move_one(pricing);
    for _ in 0..60 {
        if !making.move_two(&near, pricing) {
            break;
        }
        making.move_one(pricing);
    }
    (model.problem.loss(&making.chosen), making.chosen)
}

impl<'a> Making<'a> {
    /// The cheapest choice of each item that its forerunners leave.
    fn start(model: &'a Model, allowed: &'a [u64], open: &[u64], pricing: &Pricing) -> Making<'a> {
        let mut chosen = vec![0; model.items];
        for &item in &model.sequence {
            let from = model.before[item].iter().map(|&other| chosen[other]).max().unwrap_or(0);
            let may = open[item] & (u64::MAX << from);
            let may = if may == 0 { open[item] } else { may };
            let cost = |k: &usize| pricing.reduced[item * model.width + k];
            chosen[item] = bits(may).min_by(|a, b| cost(a).total_cmp(&cost(b))).unwrap_or(from);
        }
        Making::of(model, allowed, chosen)
    }

    fn of(model: &'a Model, allowed: &'a [u64], chosen: Vec<usize>) -> Making<'a> {
        let drawn = model.problem.drawn(&chosen);
        let left = model.problem.rows.iter().zip(&drawn).map(|(row, drawn)| row - drawn).collect();
        let mut going = vec![0; model.problem.visits.len() * model.width];
        for (at, visit) in model.problem.visits.iter().enumerate() {
            visit.items.iter().for_each(|&item| going[at * model.width + chosen[item]] += 1);
        }
        Making { model, allowed, chosen, left, going }
    }

    /// Choices to which the item may move while the others stay.
    fn window(&self, item: usize) -> u64 {
        let from = self.model.before[item].iter().map(|&other| self.chosen[other]).max().unwrap_or(0);
        let to = self.model.behind[item].iter().map(|&other| self.chosen[other]).min().unwrap_or(63);
        self.allowed[item] & (u64::MAX << from) & (u64::MAX >> (63 - to))
    }

    /// Moves an item; returns by how much the loss rises.
    fn go(&mut self, item: usize, k: usize) -> i64 {
        let was = std::mem::replace(&mut self.chosen[item], k);
        let of = &self.model.problem.items[item].choices;
        let mut more = of[k].loss - of[was].loss;
        of[was].draws.iter().for_each(|&(row, amount)| self.left[row] += amount);
        of[k].draws.iter().for_each(|&(row, amount)| self.left[row] -= amount);
        for &visit in &self.model.visits_of[item] {
            let choices = &self.model.problem.visits[visit].choices;
            let at = visit * self.model.width;
            self.going[at + was] -= 1;
            if let Some(saved) = choices.get(was).filter(|_| self.going[at + was] == 0) {
                more -= saved.loss;
                saved.draws.iter().for_each(|&(row, amount)| self.left[row] += amount);
            }
            if let Some(paid) = choices.get(k).filter(|_| self.going[at + k] == 0) {
                more += paid.loss;
                paid.draws.iter().for_each(|&(row, amount)| self.left[row] -= amount);
            }
            self.going[at + k] += 1;
        }
        more
    }

    fn over(&self) -> i64 {
        self.left.iter().map(|left| (-left).max(0)).sum()
    }

    /// Moves items out of overdrawn rows, each time the one that costs least for what it relieves.
    fn mend(&mut self, pricing: &mut Pricing) -> Option<()> {
        let width = self.model.width;
        let mut over = self.over();
        let mut tries = self.model.items * 4;
        while over > 0 {
            tries = tries.checked_sub(1)?;
            let mut moves: Vec<(f64, usize, usize)> = Vec::new();
            for item in 0..self.model.items {
                let was = self.chosen[item];
                let draws_from_over = self.model.draws(item, was).iter().any(|&(row, _)| self.left[row as usize] < 0);
                if !draws_from_over {
                    continue;
                }
                let mut best: Option<(f64, usize, usize)> = None;
                for k in bits(self.window(item) & !(1 << was)) {
                    pricing.work += MOVE;
                    let more = self.go(item, k);
                    let relieved = over - self.over();
                    self.go(item, was);
                    if relieved > 0 {
                        let cost = |k: usize| Some(pricing.reduced[item * width + k]).filter(|cost| cost.is_finite());
                        let dearer = cost(k).zip(cost(was)).map_or(more as f64, |(to, from)| to - from);
                        let score = dearer.max(0.0) / relieved as f64;
                        if best.is_none_or(|best| score < best.0) {
                            best = Some((score, item, k));
                        }
                    }
                }
                moves.extend(best);
            }
            moves.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            // Of many items several move at a time: else each move would look at all of them again.
            let mut moved = false;
            for &(_, item, k) in moves.iter().take(self.model.items / 50 + 1) {
                let was = self.chosen[item];
                if self.window(item) >> k & 1 == 1 {
                    self.go(item, k);
                    let now = self.over();
                    if now < over {
                        (over, moved) = (now, true);
                    } else {
                        self.go(item, was);
                    }
                }
            }
            if !moved {
                return None;
            }
        }
        Some(())
    }

    /// Moves single items while that lessens the loss, those furthest from their best choice first.
    fn move_one(&mut self, pricing: &mut Pricing) {
        let width = self.model.width;
        let mut order: Vec<usize> = (0..self.model.items).collect();
        let far = |item: &usize| pricing.reduced[item * width + self.chosen[*item]];
        order.sort_by(|a, b| far(b).total_cmp(&far(a)));
        for _ in 0..50 {
            let mut moved = false;
            for &item in &order {
                let was = self.chosen[item];
                let mut best = (0, was);
                for k in bits(self.window(item) & !(1 << was)) {
                    pricing.work += 1;
                    if self.model.visits_of[item].is_empty() {
                        let of = &self.model.problem.items[item].choices;
                        if of[k].loss - of[was].loss >= best.0 {
                            continue;
                        }
                    }
                    pricing.work += MOVE;
                    let more = self.go(item, k);
                    if more < best.0 && self.left.iter().all(|&left| left >= 0) {
                        best = (more, k);
                    }
                    self.go(item, was);
                }
                if best.0 < 0 {
                    self.go(item, best.1);
                    moved = true;
                }
            }
            if !moved {
                return;
            }
        }
    }

    /// The items whose choice is closest to being another.
    fn near(&self, pricing: &Pricing) -> Vec<usize> {
        let width = self.model.width;
        let margin = |item: usize| {
            let chosen = self.chosen[item];
            let others = bits(self.allowed[item] & !(1 << chosen)).map(|k| pricing.reduced[item * width + k]);
            let own = pricing.reduced[item * width + chosen];
            others.fold(f64::INFINITY, f64::min) - if own.is_finite() { own } else { 0.0 }
        };
        let mut items: Vec<(f64, usize)> = (0..self.model.items)
            .filter(|&item| self.allowed[item].count_ones() > 1)
            .map(|item| (margin(item), item))
            .collect();
        items.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        items.into_iter().take(PAIRED).map(|(_, item)| item).collect()
    }

    /// Moves two items at once where that lessens the loss.
    fn move_two(&mut self, near: &[usize], pricing: &mut Pricing) -> bool {
        let mut moved = false;
        for &first in near {
            let was = self.chosen[first];
            let mut best = (0, was, first, was);
            for k in bits(self.window(first) & !(1 << was)) {
                let more = self.go(first, k);
                for &second in near.iter().filter(|&&second| second != first) {
                    let stood = self.chosen[second];
                    let of = &self.model.problem.items[second].choices;
                    let alone = self.model.visits_of[second].is_empty();
                    for j in bits(self.window(second) & !(1 << stood)) {
                        pricing.work += 1;
                        if alone && more + of[j].loss - of[stood].loss >= best.0 {
                            continue;
                        }
                        pricing.work += MOVE;
                        let both = more + self.go(second, j);
                        if both < best.0 && self.left.iter().all(|&left| left >= 0) {
                            best = (both, k, second, j);
                        }
                        self.go(second, stood);
                    }
                }
                self.go(first, was);
            }
            if best.0 < 0 {
                self.go(first, best.1);
                self.go(best.2, best.3);
                moved = true;
            }
        }
        moved
    }
}
