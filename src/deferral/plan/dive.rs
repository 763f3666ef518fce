//! One node of the search by itself: depth first, up to a quota of work.

use super::climb::Climb;
use super::making;
use super::model::{Model, bits};
use super::packing::Packing;
use super::pricing::Pricing;
use super::search::{Found, Node, Search, limit};

/// Work a node of a round may take.
const QUOTA: u64 = 2_000_000;

/// Room for the bounds of one frame.
struct Tools {
    pricing: Pricing,
    climb: Climb,
    packing: Packing,
}

/// One node searched by itself.
pub(super) struct Dive<'a> {
    search: &'a Search<'a>,
    tools: Vec<Option<Tools>>,
    best: Option<(i64, Vec<usize>)>,
}

impl<'a> Dive<'a> {
    pub fn new(search: &'a Search<'a>) -> Dive<'a> {
        Dive { search, tools: search.frames.iter().map(|_| None).collect(), best: None }
    }

    pub fn search(&mut self, node: Node) -> Found {
        let frame = &self.search.frames[node.frame];
        let mut tools = self.tools[node.frame].take().unwrap_or_else(|| {
            let mut pricing = Pricing::new(&frame.model);
            pricing.shares.clone_from(&frame.shares);
            Tools { pricing, climb: Climb::new(&frame.model), packing: Packing::new(&frame.model) }
        });
        let at = node.frame;
        tools.pricing.work = 0;
        self.best = None;
        let (mut stack, mut nodes) = (vec![node], 0);
        while let Some(node) = stack.pop() {
            if node.bound > self.limit() {
                continue;
            }
            if tools.pricing.work >= QUOTA {
                stack.push(node);
                break;
            }
            nodes += 1;
            if let Some([worse, better]) = self.branch(node, &mut tools) {
                stack.push(worse);
                stack.push(better);
            }
        }
        let work = tools.pricing.work;
        self.tools[at] = Some(tools);
        Found { best: self.best.take(), left: stack, work, nodes }
    }

    fn limit(&self) -> f64 {
        limit(self.best.as_ref()).min(self.search.limit())
    }

    /// The two halves of a node, the better one last; `None` if nothing better can be in it.
    fn branch(&mut self, mut node: Node, tools: &mut Tools) -> Option<[Node; 2]> {
        let model = &self.search.frames[node.frame].model;
        let Tools { pricing, climb, packing } = tools;
        if !model.narrow(&mut node.open) {
            return None;
        }
        let limit = self.limit();
        let gap = if limit.is_finite() { limit - node.bound } else { node.bound.abs() * 0.01 + 1.0 };
        let gap = gap.max(0.5);
        let heats = [gap / 8.0, gap / 80.0];
        let bound = climb.climb(model, pricing, &node.open, &node.prices, &heats, limit);
        let least = bound.least.max(node.bound);
        if least > limit {
            return None;
        }
        let shown = node.open.clone();
        for (item, set) in node.open.iter_mut().enumerate() {
            for k in bits(*set) {
                if bound.least + pricing.reduced[item * model.width + k] > limit {
                    *set &= !(1 << k);
                }
            }
        }
        if !model.narrow(&mut node.open) {
            return None;
        }
        if node.open.iter().all(|set| set.count_ones() == 1) {
            let chosen: Vec<usize> = node.open.iter().map(|set| set.trailing_zeros() as usize).collect();
            if model.problem.is_met_by(&chosen) {
                self.take((model.problem.loss(&chosen), chosen));
            }
            return None;
        }
        if let Some(made) = making::make(self.search.model(), &self.search.allowed, &shown, pricing, false) {
            self.take(made);
        }
        let mut least = least;
        if model.packs && limit.is_finite() {
            least = least.max(packing.bound(model, pricing, &shown, &bound.prices, limit));
            if least > limit {
                return None;
            }
        }
        let (item, below) = split(model, pricing, &node.open)?;
        let least_of = |set: u64| {
            let reduced = bits(set).map(|k| pricing.reduced[item * model.width + k]).fold(f64::INFINITY, f64::min);
            least.max(bound.least + reduced)
        };
        let half = |set: u64| {
            let mut open = node.open.clone();
            open[item] = set;
            Node { frame: node.frame, open, bound: least_of(set), prices: bound.prices.clone() }
        };
        let (first, second) = (half(node.open[item] & below), half(node.open[item] & !below));
        Some(if first.bound > second.bound { [first, second] } else { [second, first] })
    }

    fn take(&mut self, made: (i64, Vec<usize>)) {
        if (made.0 as f64) <= self.limit() {
            self.best = Some(made);
        }
    }
}

/// The item to split, and the choices of its first half ("by year t").
fn split(model: &Model, pricing: &Pricing, open: &[u64]) -> Option<(usize, u64)> {
    let width = model.width;
    let mut best: Option<(f64, usize, u64)> = None;
    for (item, &set) in open.iter().enumerate().filter(|(_, set)| set.count_ones() > 1) {
        let weights = &pricing.weight[item * width..(item + 1) * width];
        let costs = &pricing.reduced[item * width..(item + 1) * width];
        let all: f64 = bits(set).map(|k| weights[k]).sum::<f64>().max(1e-300);
        let (mut sum, mut low) = (0.0, f64::INFINITY);
        let last = 63 - set.leading_zeros() as usize;
        for k in bits(set & !(1 << last)) {
            sum += weights[k] / all;
            low = low.min(costs[k]);
            let below = u64::MAX >> (63 - k);
            let high = bits(set & !below).map(|k| costs[k]).fold(f64::INFINITY, f64::min);
            let size = size(model, item, set);
            let score = sum.min(1.0 - sum).max(1e-6) * size + 1e-9 * (low + high).min(1e12);
            if best.is_none_or(|best| score > best.0) {
                best = Some((score, item, below));
            }
        }
    }
    best.map(|(_, item, below)| (item, below))
}

/// How much hangs on the item: the most that is drawn from one row.
fn size(model: &Model, item: usize, set: u64) -> f64 {
    bits(set).map(|k| model.draws(item, k).iter().map(|draw| draw.1).sum::<f64>()).fold(0.0, f64::max)
}
