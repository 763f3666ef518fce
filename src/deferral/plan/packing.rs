//! A closer bound where each choice draws on a row of its own: the year's repairs must fit the year's budget as whole ones.
//!
//! Items are let go of (each may be done in several years, or in none and yet not "never") at a worth `μ` that is paid when
//! an item is done; then every row is a knapsack by itself. `Σ μ + Σ least(0, never - μ) - Σ best packing` is at most the loss
//! of any plan. With the worths that follow from the best prices it is at least the bound by prices; steps along what is done
//! too often or not at all raise it further. Sequences of items are kept by prices, as shifts of losses along each tree.

use super::model::{Model, bits};
use super::pricing::Pricing;

/// Steps at most.
const STEPS: usize = 40;
/// Nodes of one knapsack, beyond which its relaxed value is taken.
const KNAPSACK: u32 = 4000;

pub(super) struct Packing {
    loss: Vec<f64>,
    /// What is drawn from the row of the choice, shares of visits with it.
    weight: Vec<f64>,
    /// What is paid whatever else is chosen, and what is left of each row then.
    fixed: f64,
    room: Vec<f64>,
    worth: Vec<f64>,
    best: Vec<f64>,
    times: Vec<f64>,
    things: Vec<Thing>,
    taken: Vec<bool>,
    pub steps: u64,
}

#[derive(Clone, Copy)]
struct Thing {
    item: usize,
    value: f64,
    weight: f64,
    /// Value by weight; without end for what weighs nothing.
    density: f64,
}

impl Packing {
    pub fn new(model: &Model) -> Packing {
        let room = vec![0.0; model.items];
        Packing {
            loss: vec![0.0; model.items * model.width],
            weight: vec![0.0; model.items * model.width],
            fixed: 0.0,
            room: vec![0.0; model.rows.len()],
            worth: room.clone(),
            best: room.clone(),
            times: room,
            things: Vec::new(),
            taken: Vec::new(),
            steps: 0,
        }
    }

    /// The bound, from what the last evaluation of `pricing` at `prices` left; stops when it is over `limit`.
    pub fn bound(&mut self, model: &Model, pricing: &mut Pricing, open: &[u64], prices: &[f64], limit: f64) -> f64 {
        self.set_weights(model, pricing, open);
        let width = model.width;
        for (item, &set) in open.iter().enumerate() {
            let mut least = f64::INFINITY;
            for k in bits(set) {
                let own = pricing.own(model, item, k);
                least = least.min(own);
                let price = prices.get(k).copied().unwrap_or(0.0);
                self.loss[item * width + k] = own - price * self.weight[item * width + k];
            }
            self.worth[item] = least;
        }
        let (mut highest, mut factor, mut stuck) = (f64::NEG_INFINITY, 1.0, 0);
        for _ in 0..STEPS {
            let value = self.value(model, pricing, open);
            if value > highest {
                highest = value;
                self.best.copy_from_slice(&self.worth);
                stuck = 0;
            } else {
                stuck += 1;
                if stuck >= 3 {
                    (factor, stuck) = (factor * 0.5, 0);
                }
            }
            let squares: f64 = self.times.iter().map(|times| times * times).sum();
            if highest > limit || squares < 0.5 {
                break;
            }
            let step = factor * (limit + 1.0 - value) / squares;
            for item in 0..model.items {
                self.worth[item] -= step * self.times[item];
            }
        }
        highest
    }

    /// What each choice draws, and what is drawn and paid in any case.
    fn set_weights(&mut self, model: &Model, pricing: &Pricing, open: &[u64]) {
        let width = model.width;
        for (at, weight) in self.weight.iter_mut().enumerate() {
            *weight = model.draws(at / width, at % width).first().map_or(0.0, |draw| draw.1);
        }
        self.room.copy_from_slice(&model.rows);
        self.fixed = 0.0;
        if model.problem.visits.is_empty() {
            return;
        }
        pricing.each_share(model, open, |visit, k, item, share| {
            let drawn = model.visit_draws(visit, k).first().map_or(0.0, |draw| draw.1);
            self.weight[item * width + k] += share * drawn;
        });
        // A hair more room, so that rounded shares shut out nothing that fits.
        self.room.iter_mut().zip(&pricing.fixed).for_each(|(room, fixed)| *room += 1e-3 - fixed);
        self.fixed = pricing.fixed_loss(model, open);
    }

    /// The bound at the present worths; `times` is by how much each item is done more than once.
    fn value(&mut self, model: &Model, pricing: &mut Pricing, open: &[u64]) -> f64 {
        self.steps += 1;
        let (width, rows) = (model.width, model.rows.len());
        let (mut sum, mut size) = (self.fixed, self.fixed);
        for (item, &set) in open.iter().enumerate() {
            let loss = &self.loss[item * width..(item + 1) * width];
            if set.count_ones() == 1 {
                let own = loss[set.trailing_zeros() as usize];
                (sum, size) = (sum + own, size + own.abs());
                self.times[item] = 0.0;
                continue;
            }
            let worth = self.worth[item];
            (sum, size) = (sum + worth, size + worth.abs());
            self.times[item] = -1.0;
            for k in bits(set & !((1 << rows) - 1)) {
                if loss[k] < worth {
                    sum += loss[k] - worth;
                    self.times[item] += 1.0;
                }
            }
        }
        for row in 0..rows {
            let mut room = self.room[row];
            self.things.clear();
            for (item, &set) in open.iter().enumerate() {
                if set >> row & 1 == 0 {
                    continue;
                }
                let weight = self.weight[item * width + row];
                if set.count_ones() == 1 {
                    room -= weight;
                } else {
                    let value = self.worth[item] - self.loss[item * width + row];
                    if value > 0.0 {
                        self.things.push(Thing { item, value, weight, density: value / weight });
                    }
                }
            }
            self.things.retain(|thing| thing.weight <= room);
            self.things.sort_unstable_by(|a, b| b.density.total_cmp(&a.density).then(a.item.cmp(&b.item)));
            let (packed, nodes) = pack(&self.things, room, &mut self.taken);
            pricing.work += u64::from(nodes) + self.things.len() as u64;
            sum -= packed;
            size += packed;
            for (thing, _) in self.things.iter().zip(&self.taken).filter(|(_, taken)| **taken) {
                self.times[thing.item] += 1.0;
            }
        }
        sum - size * (model.items + 2) as f64 * 8.0 * f64::EPSILON
    }
}

/// The most that fits, things in order of value by weight (Horowitz and Sahni 1974), and how many nodes that took. With
/// too many nodes it is the relaxed value, which is no less.
fn pack(things: &[Thing], room: f64, taken: &mut Vec<bool>) -> (f64, u32) {
    taken.clear();
    taken.resize(things.len(), false);
    let mut now = vec![false; things.len()];
    let (mut best, mut value, mut left, mut at, mut nodes) = (0.0, 0.0, room, 0, 0);
    loop {
        // Forward: take what fits, unless even parts of the rest cannot do better.
        let mut hopeless = false;
        while at < things.len() {
            nodes += 1;
            let thing = things[at];
            if thing.weight <= left {
                now[at] = true;
                left -= thing.weight;
                value += thing.value;
                at += 1;
                continue;
            }
            if value + relaxed(&things[at..], left) <= best {
                hopeless = true;
                break;
            }
            now[at] = false;
            at += 1;
        }
        if !hopeless && value > best {
            best = value;
            taken.copy_from_slice(&now);
        }
        if nodes > KNAPSACK {
            return (best.max(relaxed(things, room)), nodes);
        }
        // Back: leave the last that was taken.
        loop {
            let Some(last) = now[..at].iter().rposition(|now| *now) else { return (best, nodes) };
            now[last] = false;
            left += things[last].weight;
            value -= things[last].value;
            at = last + 1;
            if value + relaxed(&things[at..], left) > best {
                break;
            }
            at = last;
        }
    }
}

/// What fits where the last thing may be cut.
fn relaxed(things: &[Thing], room: f64) -> f64 {
    let (mut value, mut left) = (0.0, room);
    for thing in things {
        if thing.weight > left {
            return value + thing.value * left / thing.weight;
        }
        value += thing.value;
        left -= thing.weight;
    }
    value
}
