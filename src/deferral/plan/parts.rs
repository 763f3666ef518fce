//! A plan bettered part by part: the repairs of two years and what is left are put together anew, then those of three, and more.

use std::borrow::Cow;

use super::model::Model;
use super::search::{Effort, Frame, Search, Solution, in_order};

/// Work of one look at a part, by the number of its choices less two, of a plan with so many choices of items in all.
const PART: [u64; 4] = [1_500_000, 6_000_000, 15_000_000, 40_000_000];
const OF: u64 = 1400;
/// Parts that are looked at side by side, all from the same plan.
const BATCH: usize = 4;
/// A plan this close to the bound is good enough.
const CLOSE: f64 = 2e-4;

/// Betters the plan of `search`, whose bound is `least`, with at most this much work, by parts of two choices or of up to five;
/// returns what it took.
pub(super) fn better(
    search: &mut Search,
    least: f64,
    effort: Effort,
    threads: usize,
    (sizes, most): (usize, u64),
) -> u64 {
    let last = search.model().width - 1;
    let larger = ((search.model().items * search.model().width) as u64).div_ceil(OF);
    let (mut work, mut size) = (0, 0);
    while let Some(quota) = PART[..sizes].get(size).map(|quota| quota * larger) {
        let sets = sets(last, size + 2);
        let (mut at, mut unchanged) = (0, 0);
        while unchanged < sets.len() {
            let Some((loss, chosen)) = search.best.clone() else { return work };
            if loss as f64 - least <= effort.gap.max(CLOSE) * loss as f64 || work >= most {
                return work;
            }
            let batch: Vec<u64> = (at..at + BATCH.min(sets.len())).map(|place| sets[place % sets.len()]).collect();
            at += batch.len();
            let of = |set: u64| part(search, &chosen, set | 1 << last, quota);
            let found = in_order(batch, threads, &|| of);
            work += found.iter().map(|found| found.work).sum::<u64>();
            let better = found.into_iter().filter_map(|found| found.chosen);
            let better = better.map(|chosen| (search.model().problem.loss(&chosen), chosen));
            match better.min_by_key(|better| better.0).filter(|better| better.0 < loss) {
                Some(better) => {
                    search.take(Some(better));
                    unchanged = 0;
                }
                None => unchanged += BATCH,
            }
        }
        size += 1;
    }
    work
}

/// The best plan in which only what was done by a choice of `free` is chosen anew, among these.
fn part(search: &Search, chosen: &[usize], free: u64, work: u64) -> Solution {
    let allowed = chosen
        .iter()
        .zip(&search.allowed)
        .map(|(&k, allowed)| if free >> k & 1 == 1 { (allowed & free) | 1 << k } else { 1 << k });
    let model = Model::new(Cow::Borrowed(&*search.model().problem));
    let part = Search {
        frames: vec![Frame { model, shares: search.frames[0].shares.clone() }],
        allowed: allowed.collect(),
        best: search.best.clone(),
        sharings: 2,
    };
    part.run(Effort { work, gap: 0.0 }, 1, false)
}

/// All sets of `size` of the choices before the last.
fn sets(last: usize, size: usize) -> Vec<u64> {
    let mut sets = vec![(0_u64, 0)];
    for _ in 0..size {
        sets = sets.iter().flat_map(|&(set, from)| (from..=last).map(move |k| (set | 1 << k, k + 1))).collect();
    }
    sets.into_iter().map(|(set, _)| set).collect()
}
