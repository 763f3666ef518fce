//! Branch and bound, in rounds that come out alike however many threads share them.
//!
//! A round takes the open nodes with the lowest bounds; each is searched by itself, depth first, knowing only the best plan
//! from before the round, up to a quota of work. What the nodes leave is put together in their order. Work is counted, not
//! timed, so that neither the speed of the machine nor the number of threads changes anything but the wait.

use std::borrow::Cow;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::climb::{Bound, Climb};
use super::counts;
use super::dive::Dive;
use super::making;
use super::model::{Model, bits};
use super::parts;
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
    /// What it took, as in [`Effort`].
    pub work: u64,
}

pub(super) struct Node {
    /// Which of the frames it is in.
    pub frame: usize,
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

/// Times that shares of visits and prices are moved in turn at each temperature, and the same of many items.
const SHARINGS: usize = 40;
const FEWER: usize = 4;

/// Nodes of a round.
const ROUND: usize = 24;

/// Items above which the plan is not bettered part by part: the bound is close without it.
const MANY: usize = 1000;

/// The least loss, as far as `effort` goes; `known` is a plan that is better than nothing, where there is one.
pub fn solve(problem: &Problem, effort: Effort, known: Option<Vec<usize>>) -> Solution {
    if problem.items.is_empty() {
        return Solution { chosen: Some(Vec::new()), bound: Some(0), nodes: 0, work: 0 };
    }
    let mut search = Search::new(problem);
    search.take(known.filter(|known| problem.is_met_by(known)).map(|known| (problem.loss(&known), known)));
    search.run(effort, threads(), true)
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// The problem, or the problem with how many of its large items are done by when.
pub(super) struct Frame<'a> {
    pub model: Model<'a>,
    /// How visits are shared there.
    pub shares: Vec<f64>,
}

pub(super) struct Search<'a> {
    /// The problem itself comes first.
    pub frames: Vec<Frame<'a>>,
    pub allowed: Vec<u64>,
    pub best: Option<(i64, Vec<usize>)>,
    /// Times that shares of visits and prices are moved in turn, at each temperature.
    pub sharings: usize,
}

impl<'a> Search<'a> {
    pub fn new(problem: &'a Problem) -> Search<'a> {
        let model = Model::new(Cow::Borrowed(problem));
        let shares = Pricing::new(&model).shares;
        let sharings = if model.items <= MANY { SHARINGS } else { FEWER };
        Search { allowed: model.allowed(), frames: vec![Frame { model, shares }], best: None, sharings }
    }

    /// The problem as it is.
    pub fn model(&self) -> &Model<'a> {
        &self.frames[0].model
    }

    pub fn run(mut self, effort: Effort, threads: usize, in_parts: bool) -> Solution {
        let Some((root, mut work)) = self.root() else {
            return Solution { chosen: None, bound: None, nodes: 1, work: 0 };
        };
        let (mut open, mut nodes) = (vec![root], 1);
        if in_parts && self.model().items <= MANY {
            work += parts::better(&mut self, open[0].bound, effort, threads, (1, effort.work / 16));
            // Where years can be packed that bounds as well, and proves more of few repairs.
            if !self.model().packs || effort.gap > 0.0 {
                work += counts::split(&mut self, &mut open, effort);
                let lowest = open.iter().map(|node| node.bound).fold(f64::INFINITY, f64::min);
                work += parts::better(&mut self, lowest, effort, threads, (4, effort.work / 2));
            }
        }
        loop {
            let limit = self.limit();
            open.retain(|node| node.bound <= limit);
            let Some(lowest) = open.iter().map(|node| node.bound).min_by(f64::total_cmp) else { break };
            if self.is_close(lowest, effort) || work >= effort.work {
                let lowest = whole(lowest);
                let bound = self.best.as_ref().map_or(lowest, |best| best.0.min(lowest));
                return Solution { chosen: self.best.map(|best| best.1), bound: Some(bound), nodes, work };
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
        Solution { chosen: self.best.map(|best| best.1), bound, nodes, work }
    }

    /// Whether the best plan is as close to this bound as was asked for.
    pub fn is_close(&self, lowest: f64, effort: Effort) -> bool {
        self.best.as_ref().is_some_and(|best| best.0 as f64 - lowest <= effort.gap * best.0 as f64)
    }

    /// A bound over this cannot lead to a better plan: losses are whole.
    pub fn limit(&self) -> f64 {
        limit(self.best.as_ref())
    }

    pub fn take(&mut self, found: Option<(i64, Vec<usize>)>) {
        if let Some(found) = found
            && self.best.as_ref().is_none_or(|best| found.0 < best.0)
        {
            self.best = Some(found);
        }
    }

    /// The first bound, from far above, and the first plans.
    fn root(&mut self) -> Option<(Node, u64)> {
        let mut open = self.allowed.clone();
        if !self.model().narrow(&mut open) {
            return None;
        }
        let mut pricing = Pricing::new(self.model());
        pricing.shares.clone_from(&self.frames[0].shares);
        let mut climb = Climb::new(self.model());
        let (heat, price) = self.scales(&open);
        let mut bound = Bound { least: f64::NEG_INFINITY, prices: vec![price; self.model().rows.len()] };
        for step in 0..14 {
            let heat = heat * 0.4_f64.powi(step);
            bound = climb.with_shares(self.model(), &mut pricing, &open, bound, heat, self.sharings);
            if step >= 4 {
                let in_pairs = self.model().items <= 400 || step > 11;
                self.take(making::make(self.model(), &self.allowed, &open, &mut pricing, in_pairs));
            }
        }
        if let Some((_, chosen)) = &self.best {
            let better = making::better(self.model(), &self.allowed, chosen, &mut pricing);
            self.take(Some(better));
        }
        self.frames[0].shares.clone_from(&pricing.shares);
        Some((Node { frame: 0, open, bound: bound.least, prices: bound.prices }, pricing.work))
    }

    /// What a choice is worth at most on average, and that by what is drawn.
    fn scales(&self, open: &[u64]) -> (f64, f64) {
        let model = self.model();
        let (mut worth, mut draws) = (0.0, 0.0);
        for (item, &set) in open.iter().enumerate() {
            let losses = || bits(set).map(|k| model.loss[item * model.width + k]);
            worth += losses().fold(0.0, f64::max) - losses().fold(f64::INFINITY, f64::min);
            let drawn = |k: usize| model.draws(item, k).iter().map(|draw| draw.1).sum::<f64>();
            draws += bits(set).map(drawn).fold(0.0, f64::max);
        }
        (worth / (4.0 * open.len().max(1) as f64) + 1.0, (worth + 1.0) / (draws + 1.0))
    }

    fn round(&self, nodes: Vec<Node>, threads: usize) -> Vec<Found> {
        in_order(nodes, threads, &|| {
            let mut dive = Dive::new(self);
            move |node| dive.search(node)
        })
    }
}

/// What each of the tasks gives, in their order, whoever did which; `worker` makes what does one after another.
pub(super) fn in_order<T: Send, R: Send, W: FnMut(T) -> R>(
    tasks: Vec<T>,
    threads: usize,
    worker: &(impl Fn() -> W + Sync),
) -> Vec<R> {
    type Place<T, R> = (Mutex<Option<T>>, Mutex<Option<R>>);
    let places: Vec<Place<T, R>> = tasks.into_iter().map(|task| (Mutex::new(Some(task)), Mutex::new(None))).collect();
    let next = AtomicUsize::new(0);
    let work = || {
        let mut worker = worker();
        while let Some((task, result)) = places.get(next.fetch_add(1, Ordering::Relaxed)) {
            let task = task.lock().ok().and_then(|mut task| task.take());
            if let (Some(task), Ok(mut result)) = (task, result.lock()) {
                *result = Some(worker(task));
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

pub(super) fn limit(best: Option<&(i64, Vec<usize>)>) -> f64 {
    best.map_or(f64::INFINITY, |best| best.0 as f64 - 1.0)
}

fn whole(bound: f64) -> i64 {
    bound.ceil().max(0.0) as i64
}
