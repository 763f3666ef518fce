//! What a plan is compared with, and what more money in one year would save.

use std::cmp::Reverse;

use super::items::Item;
use crate::deferral::plan::{Effort, Plan, Yearly};

/// Repairs above which nobody waits for a plan a year more.
const FEW: usize = 300;
/// What these plans together may cost to find, and one of them at most.
const IN_ALL: u64 = 600_000_000;
const MOST: u64 = 200_000_000;

/// What one way of doing without a plan comes to.
pub struct Compared {
    pub way: &'static str,
    pub loss: i64,
    pub spent: Vec<i64>,
    /// By how much the budget of the year that is passed most is passed.
    pub over: Option<(usize, i64)>,
    /// Items that are not done by their deadline.
    pub missed: Vec<usize>,
}

/// What more money in one year saves: for sure, and at most; the same where both plans are proven.
pub struct Extra {
    pub year: usize,
    pub least: i64,
    pub most: i64,
}

/// Everything in the first year, nothing, and the lists people go down: the worst first, the cheapest first.
pub fn with(task: &Yearly, items: &[Item]) -> Vec<Compared> {
    let order = |key: &dyn Fn(&Item) -> (Reverse<u8>, i64)| {
        let mut order: Vec<usize> = (0..items.len()).collect();
        order.sort_by_key(|&at| key(&items[at]));
        order
    };
    let cents = |major: f64| (major * 100.0) as i64;
    let worst = order(&|item| (Reverse(item.band.map_or(0, |band| band as u8 + 1)), -cents(item.year)));
    let cheapest = order(&|item| (Reverse(0), cents(item.work.spend.first().copied().unwrap_or(0.0))));
    vec![
        of("all in the first year", task, items, vec![Some(0); items.len()]),
        of("nothing", task, items, vec![None; items.len()]),
        of("the worst first", task, items, task.down_the_list(&worst)),
        of("the cheapest first", task, items, task.down_the_list(&cheapest)),
    ]
}

fn of(way: &'static str, task: &Yearly, items: &[Item], chosen: Vec<Option<usize>>) -> Compared {
    let late = |at: &usize| items[*at].deadline.is_some_and(|by| chosen[*at].is_none_or(|year| year >= by));
    let spent = task.spent(&chosen);
    let mut left = 0;
    let mut over: Option<(usize, i64)> = None;
    for (year, (spent, budget)) in spent.iter().zip(&task.budgets).enumerate() {
        left = if task.carry { left } else { 0 } + budget - spent;
        if left < over.map_or(0, |(_, by)| -by) {
            over = Some((year, -left));
        }
    }
    Compared { way, loss: task.loss(&chosen), missed: (0..items.len()).filter(late).collect(), over, spent }
}

/// What `more` in each of the years alone would save, each sought as closely as the plan itself; empty where there are too many repairs, or nothing to spend it on.
pub fn extra(task: &Yearly, plan: &Plan, more: i64, gap: f64, tell: &dyn Fn(usize)) -> Vec<Extra> {
    if task.repairs.is_empty() || task.repairs.len() > FEW || more == 0 {
        return Vec::new();
    }
    let effort = Effort { work: (IN_ALL / task.years().max(1) as u64).min(MOST), gap };
    let with_more = |year: usize| {
        tell(year);
        let mut richer = task.clone();
        richer.budgets[year] += more;
        let richer = richer.plan_from(plan, effort).ok()?;
        let least = (plan.bound - richer.loss).max(0);
        // What was planned with less can be done with more.
        let most = (plan.loss - richer.bound).max(least);
        Some(Extra { year, least, most })
    };
    (0..task.years()).filter_map(with_more).collect()
}
