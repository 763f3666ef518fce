//! Branch and bound, in rounds that come out alike however many threads share them.
//!
//! A round takes the open nodes with the lowest bounds; each is searched by itself, depth first, knowing only the best plan
//! from before the round, up to a quota of work. What the nodes leave is put together in their order. Work is counted, not
//! timed, so that neither the speed of the machine nor the number of threads changes anything but the wait.

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::climb::{Bound, Climb};
use super::dive::Dive;
use super::making;
use super::model::{Model, bits};
use super::pricing::Pricing;
use super::problem::Problem;

/// How much may be tried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Evaluations of one choice of one item; a core does about a hundred million a second.
    pub work: u64,
    /// The search ends when the best plan is known to lose at most this fraction more than the least possible.
    pub gap: f64,
}

impl Effort {
    /// Half a minute of one core.
    pub const DEFAULT: Effort = Effort { work: 2_000_000_000, gap: 0.0 };
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    /// The best plan met, by item its choice; `None` if there was none, or none was met.
    pub chosen: Option<Vec<usize>>,
    /// No plan can lose less; `None` if there is no plan at all.
    pub bound: Option<i64>,
    /// Nodes of the search.
    pub nodes: u64,
}

pub(super) struct Node {
    pub open: Vec<u64>,
    pub bound: f64,
    pub prices: Vec<f64>,
}

pub(super) struct Found {
    pub best: Option<(i64, Vec<usize>)>,
    pub left: Vec<Node>,
    pub work: u64,
    pub nodes: u64,
}

/// Nodes of a round.
const ROUND: usize = 24;

/// Work of one look at a part of the plan, and of all of them together.
const PART: u64 = 1_500_000;
const PARTS: u64 = 120_000_000;
/// Items above which the plan is not bettered part by part: the bound is close without it.
const MANY: usize = 1000;

/// The least loss, as far as `effort` goes.
pub fn solve(problem: &Problem, effort: Effort) -> Solution {
    if problem.items.is_empty() {
        return Solution { chosen: Some(Vec::new()), bound: Some(0), nodes: 0 };
    }
    Search::new(problem).run(effort, threads(), true)
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

pub(super) struct Search<'a> {
    pub model: Model<'a>,
    pub allowed: Vec<u64>,
    pub shares: Vec<f64>,
    pub best: Option<(i64, Vec<usize>)>,
}

impl<'a> Search<'a> {
    pub fn new(problem: &'a Problem) -> Search<'a> {
        let model = Model::new(problem);
        let allowed = model.allowed();
        Search { model, allowed, shares: Vec::new(), best: None }
    }

    pub fn run(mut self, effort: Effort, threads: usize, in_parts: bool) -> Solution {
        let Some((root, mut work)) = self.root() else {
            return Solution { chosen: None, bound: None, nodes: 1 };
        };
        let (mut open, mut nodes) = (vec![root], 1);
        if in_parts && self.model.items <= MANY {
            work += self.better_in_parts(open[0].bound, effort);
        }
        loop {
            let limit = self.limit();
            open.retain(|node| node.bound <= limit);
            let Some(lowest) = open.iter().map(|node| node.bound).min_by(f64::total_cmp) else { break };
            let close = self.best.as_ref().is_some_and(|best| best.0 as f64 - lowest <= effort.gap * best.0 as f64);
            if close || work >= effort.work {
                let lowest = whole(lowest);
                let bound = self.best.as_ref().map_or(lowest, |best| best.0.min(lowest));
                return Solution { chosen: self.best.map(|best| best.1), bound: Some(bound), nodes };
            }
            // Stable, so that equal bounds keep the order in which they came.
            open.sort_by(|a, b| b.bound.total_cmp(&a.bound));
            let taken = open.split_off(open.len().saturating_sub(ROUND));
            for found in self.round(taken, threads) {
                work += found.work;
                nodes += found.nodes;
                open.extend(found.left);
                self.take(found.best);
            }
        }
        let bound = self.best.as_ref().map(|best| best.0);
        Solution { chosen: self.best.map(|best| best.1), bound, nodes }
    }

    /// A bound over this cannot lead to a better plan: losses are whole.
    pub fn limit(&self) -> f64 {
        limit(self.best.as_ref())
    }

    fn take(&mut self, found: Option<(i64, Vec<usize>)>) {
        if let Some(found) = found
            && self.best.as_ref().is_none_or(|best| found.0 < best.0)
        {
            self.best = Some(found);
        }
    }

    /// Takes the plan apart at two choices at a time and puts these together anew, as long as that helps.
    fn better_in_parts(&mut self, least: f64, effort: Effort) -> u64 {
        let last = self.model.width - 1;
        let pairs: Vec<(usize, usize)> = (0..last).flat_map(|s| (s + 1..=last).map(move |t| (s, t))).collect();
        let (mut work, mut unchanged, mut at) = (0, 0, 0);
        while unchanged < pairs.len() && work < PARTS.min(effort.work / 4) {
            let Some((loss, chosen)) = self.best.clone() else { return work };
            if loss as f64 - least <= effort.gap.max(2e-4) * loss as f64 {
                return work;
            }
            let (s, t) = pairs[at % pairs.len()];
            at += 1;
            let free = 1 << s | 1 << t | 1 << last;
            let allowed = chosen
                .iter()
                .zip(&self.allowed)
                .map(|(&k, allowed)| if k == s || k == t { (allowed & free) | 1 << k } else { 1 << k });
            let part = Search {
                model: Model::new(self.model.problem),
                allowed: allowed.collect(),
                shares: Vec::new(),
                best: self.best.clone(),
            };
            let found = part.run(Effort { work: PART, gap: 0.0 }, 1, false);
            work += PART / 4 + found.nodes * 1000;
            unchanged += 1;
            if let Some(chosen) = found.chosen {
                let better = self.model.problem.loss(&chosen);
                if better < loss {
                    unchanged = 0;
                    self.take(Some((better, chosen)));
                }
            }
        }
        work
    }

    /// The first bound, from far above, and the first plans.
    fn root(&mut self) -> Option<(Node, u64)> {
        let mut open = self.allowed.clone();
        if !self.model.narrow(&mut open) {
            return None;
        }
        let (mut pricing, mut climb) = (Pricing::new(&self.model), Climb::new(&self.model));
        let (heat, price) = self.scales(&open);
        let from = vec![price; self.model.rows.len()];
        let mut bound = Bound { least: f64::NEG_INFINITY, prices: from };
        for step in 0..14 {
            let heats = [heat * 0.4_f64.powi(step)];
            let next = climb.climb(&self.model, &mut pricing, &open, &bound.prices, &heats, f64::INFINITY);
            if !self.model.problem.visits.is_empty() {
                pricing.share_by_weight(&self.model);
            }
            let best = next.least.max(bound.least);
            bound = Bound { least: best, ..next };
            if step >= 4 {
                self.take(making::make(
                    &self.model,
                    &self.allowed,
                    &open,
                    &mut pricing,
                    self.model.items <= 400 || step > 11,
                ));
            }
        }
        if let Some((_, chosen)) = &self.best {
            let better = making::better(&self.model, &self.allowed, chosen, &mut pricing);
            self.take(Some(better));
        }
        self.shares = pricing.shares.clone();
        Some((Node { open, bound: bound.least, prices: bound.prices }, pricing.work))
    }

    /// What a choice is worth at most on average, and that by what is drawn.
    fn scales(&self, open: &[u64]) -> (f64, f64) {
        let (mut worth, mut draws) = (0.0, 0.0);
        for (item, &set) in open.iter().enumerate() {
            let losses = || bits(set).map(|k| self.model.loss[item * self.model.width + k]);
            worth += losses().fold(0.0, f64::max) - losses().fold(f64::INFINITY, f64::min);
            let drawn = |k: usize| self.model.draws(item, k).iter().map(|draw| draw.1).sum::<f64>();
            draws += bits(set).map(drawn).fold(0.0, f64::max);
        }
        (worth / (4.0 * open.len().max(1) as f64) + 1.0, (worth + 1.0) / (draws + 1.0))
    }

    fn round(&self, nodes: Vec<Node>, threads: usize) -> Vec<Found> {
        type Place = (Mutex<Option<Node>>, Mutex<Option<Found>>);
        let places: Vec<Place> = nodes.into_iter().map(|node| (Mutex::new(Some(node)), Mutex::new(None))).collect();
        let next = AtomicUsize::new(0);
        let work = || {
            let mut dive = Dive::new(self);
            while let Some((task, result)) = places.get(next.fetch_add(1, Ordering::Relaxed)) {
                let node = task.lock().ok().and_then(|mut node| node.take());
                if let (Some(node), Ok(mut result)) = (node, result.lock()) {
                    *result = Some(dive.search(node));
                }
            }
        };
        let threads = threads.min(places.len());
        if threads <= 1 {
            work();
        } else {
            std::thread::scope(|scope| {
                (1..threads).for_each(|_| drop(scope.spawn(work)));
                work();
            });
        }
        places.into_iter().filter_map(|(_, result)| result.into_inner().ok().flatten()).collect()
    }
}

pub(super) fn limit(best: Option<&(i64, Vec<usize>)>) -> f64 {
    best.map_or(f64::INFINITY, |best| best.0 as f64 - 1.0)
}

fn whole(bound: f64) -> i64 {
    bound.ceil().max(0.0) as i64
}
