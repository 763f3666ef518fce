//! How many of the large items are done by when, decided before anything else.
//!
//! Prices let a year do a part of a repair. Of many small ones that hardly matters; of a few large ones, each a good part of a
//! year's budget, it does, and deciding one of them moves the part to the next one of its size. So the search is first split by
//! how many of them are done by a year: at most so many, or more. A count is one more row on which these items draw one each.

use std::borrow::Cow;

use super::climb::{Bound, Climb};
use super::making;
use super::model::Model;
use super::pricing::Pricing;
use super::problem::Problem;
use super::search::{Effort, Frame, Node, Search};

/// From which part of a year's budget on an item is large.
const LARGE: [f64; 3] = [0.3, 0.15, 0.07];
/// Frames at most.
const FRAMES: usize = 80;
/// Temperatures, as parts of the gap.
const COLDER: [f64; 7] = [20.0, 60.0, 200.0, 600.0, 2000.0, 6000.0, 20000.0];
/// A count that is this close to a whole number is one.
const WHOLE: f64 = 0.03;

/// At most so many of a set are done by a year, or at least so many are.
#[derive(Clone, Copy, PartialEq)]
struct Count {
    set: usize,
    by: usize,
    at_least: bool,
    number: i64,
}

struct Set {
    items: Vec<usize>,
    /// What one of them draws at first, on average.
    size: f64,
}

/// Splits the only open node by counts, those of the lowest bounds first; returns the work it took.
pub(super) fn split(search: &mut Search, open: &mut Vec<Node>, effort: Effort) -> u64 {
    let Some(root) = open.pop() else { return 0 };
    let sets = sets(search.model(), &root.open);
    let mut work = 0;
    let mut live: Vec<(Node, Vec<Count>, Option<Count>)> = Vec::new();
    match evaluated(search, &sets, &root, Vec::new(), 0, &mut work) {
        Some(first) => live.push(first),
        None => return work,
    }
    while search.frames.len() < FRAMES && work < effort.work / 8 {
        // What has no count to be split by is left to the search, which splits by single items.
        let of = live.iter().enumerate().filter(|(_, (_, _, next))| next.is_some());
        let Some((at, _)) = of.min_by(|(_, a), (_, b)| a.0.bound.total_cmp(&b.0.bound)) else { break };
        if search.is_close(live[at].0.bound, effort) {
            break;
        }
        let (node, counts, next) = live.swap_remove(at);
        let Some(next) = next else { break };
        for one in [next, Count { at_least: true, number: next.number + 1, ..next }] {
            let mut counts = counts.clone();
            let same = |count: &&mut Count| (count.set, count.by, count.at_least) == (one.set, one.by, one.at_least);
            match counts.iter_mut().find(same) {
                Some(count) => *count = one,
                None => counts.push(one),
            }
            live.extend(evaluated(search, &sets, &node, counts, search.frames.len(), &mut work));
        }
    }
    open.extend(live.into_iter().map(|(node, _, _)| node));
    work
}

/// Sets of large items, those of one about twice as large as those of the next; none where there are not two.
fn sets(model: &Model, open: &[u64]) -> Vec<Set> {
    let rows = &model.rows;
    let yearly = if model.single { rows.iter().sum::<f64>() } else { rows.last().copied().unwrap_or(0.0) };
    let yearly = yearly / rows.len().max(1) as f64;
    // Prices grow over the years; what is large now is large.
    let size = |item: usize| model.draws(item, open[item].trailing_zeros() as usize).first().map_or(0.0, |draw| draw.1);
    let mut sets: Vec<Set> = Vec::new();
    let mut below = f64::INFINITY;
    for part in LARGE.map(|part| part * yearly) {
        let large = |item: &usize| open[*item].count_ones() > 1 && (part..below).contains(&size(*item));
        let items: Vec<usize> = (0..model.items).filter(large).collect();
        below = part;
        if items.len() > 1 {
            let size = items.iter().map(|&item| size(item)).sum::<f64>() / items.len() as f64;
            sets.push(Set { items, size });
        }
    }
    sets
}

/// A node under these counts, in a frame of its own, and what to split it by; `None` where nothing can be in it.
fn evaluated(
    search: &mut Search,
    sets: &[Set],
    from: &Node,
    counts: Vec<Count>,
    frame: usize,
    work: &mut u64,
) -> Option<(Node, Vec<Count>, Option<Count>)> {
    if frame > 0 {
        let model = Model::new(Cow::Owned(with_counts(&search.model().problem, sets, &counts)));
        search.frames.push(Frame { model, shares: search.frames[from.frame].shares.clone() });
    }
    let model = &search.frames[frame].model;
    let mut open = from.open.clone();
    if !model.narrow(&mut open) {
        return None;
    }
    let gap = search.best.as_ref().map_or(from.bound * 0.01, |best| best.0 as f64 - from.bound).max(1.0);
    let mut pricing = Pricing::new(model);
    pricing.shares.clone_from(&search.frames[frame].shares);
    let mut climb = Climb::new(model);
    let mut prices = from.prices.clone();
    prices.resize(model.rows.len(), gap / 8.0);
    let mut bound = Bound { least: f64::NEG_INFINITY, prices };
    let (mut made, mut split_by) = (None, None);
    for heat in COLDER.map(|colder| gap / colder) {
        bound = climb.with_shares(model, &mut pricing, &open, bound, heat, search.sharings / 2);
        let plan = making::make(search.model(), &search.allowed, &open, &mut pricing, false);
        made = [made, plan].into_iter().flatten().min_by_key(|plan: &(i64, Vec<usize>)| plan.0);
        // Of many alike, prices that are a hair off tell all or none: then what was told before, when it was warmer, holds.
        split_by = next(sets, &counts, &pricing, model).or(split_by);
    }
    *work += pricing.work;
    let shares = pricing.shares;
    search.frames[frame].shares = shares;
    search.take(made);
    bound.least = bound.least.max(from.bound);
    (bound.least <= search.limit()).then_some((
        Node { frame, open, bound: bound.least, prices: bound.prices },
        counts,
        split_by,
    ))
}

/// The count that is furthest from a whole number, larger items first.
fn next(sets: &[Set], counts: &[Count], pricing: &Pricing, model: &Model) -> Option<Count> {
    let mut best: Option<(f64, Count)> = None;
    for (at, set) in sets.iter().enumerate() {
        let mut done = 0.0;
        for by in 0..model.width - 1 {
            done += set.items.iter().map(|&item| pricing.weight[item * model.width + by]).sum::<f64>();
            let number = done.floor();
            let part = (done - number).min(number + 1.0 - done);
            let count = Count { set: at, by, at_least: false, number: number as i64 };
            let same = |known: &&Count| (known.set, known.by) == (at, by);
            let decides = |known: &Count| (count.number < known.number) == known.at_least;
            let decided = counts.iter().filter(same).any(decides);
            let score = part * set.size;
            if part > WHOLE && !decided && best.is_none_or(|best| score > best.0) {
                best = Some((score, count));
            }
        }
    }
    best.map(|best| best.1)
}

/// The problem with a row for each count.
fn with_counts(problem: &Problem, sets: &[Set], counts: &[Count]) -> Problem {
    let mut problem = problem.clone();
    for count in counts {
        let items = &sets[count.set].items;
        let row = problem.rows.len();
        let most = if count.at_least { items.len() as i64 - count.number } else { count.number };
        problem.rows.push(most);
        for &item in items {
            let choices = problem.items[item].choices.iter_mut().enumerate();
            choices
                .filter(|(k, _)| (*k > count.by) == count.at_least)
                .for_each(|(_, choice)| choice.draws.push((row, 1)));
        }
    }
    problem
}
