//! The problem laid flat for the search, and what follows from choices already ruled out.

use std::borrow::Cow;

use super::order::{Forest, forest, sequence};
use super::problem::Problem;

/// Items beside shared visits up to which rows are packed.
const PACKED: usize = 100;

/// The problem in flat arrays; a choice `k` of item `i` stands at `i * width + k`.
pub(super) struct Model<'a> {
    pub problem: Cow<'a, Problem>,
    pub items: usize,
    pub width: usize,
    pub rows: Vec<f64>,
    pub loss: Vec<f64>,
    /// Where the draws of a choice begin; those of the visits come behind those of the items.
    starts: Vec<u32>,
    draws: Vec<(u32, f64)>,
    pub forest: Forest,
    /// Items that come before, and after, each item.
    pub before: Vec<Vec<usize>>,
    pub behind: Vec<Vec<usize>>,
    /// All items, none before one it comes behind.
    pub sequence: Vec<usize>,
    /// Visits of each item.
    pub visits_of: Vec<Vec<usize>>,
    /// Whether no choice draws on two rows.
    pub single: bool,
    /// Whether each choice draws on the row of its number alone, and packing rows is worth its while.
    pub packs: bool,
}

impl<'a> Model<'a> {
    pub fn new(problem: Cow<'a, Problem>) -> Model<'a> {
        let (items, width) = (problem.items.len(), problem.width());
        let mut loss = vec![0.0; items * width];
        let (mut starts, mut draws) = (vec![0], Vec::new());
        let all =
            problem.items.iter().map(|item| &item.choices).chain(problem.visits.iter().map(|visit| &visit.choices));
        let (mut single, mut packs) =
            (true, problem.rows.len() < width && (problem.visits.is_empty() || items <= PACKED));
        for (at, choices) in all.enumerate() {
            for k in 0..width {
                if let Some(choice) = choices.get(k) {
                    if at < items {
                        loss[at * width + k] = choice.loss as f64;
                    }
                    single &= choice.draws.len() <= 1;
                    packs &= choice.draws.iter().all(|draw| draw.0 == k);
                    draws.extend(choice.draws.iter().map(|&(row, amount)| (row as u32, amount as f64)));
                }
                starts.push(draws.len() as u32);
            }
        }
        let (mut before, mut behind) = (vec![Vec::new(); items], vec![Vec::new(); items]);
        for &(a, b) in &problem.after {
            before[b].push(a);
            behind[a].push(b);
        }
        let sequence = sequence(&before, &behind);
        let mut visits_of = vec![Vec::new(); items];
        for (visit, of) in problem.visits.iter().enumerate() {
            for &item in &of.items {
                visits_of[item].push(visit);
            }
        }
        let rows = problem.rows.iter().map(|&row| row as f64).collect();
        let forest = forest(items, &problem.after);
        Model {
            problem,
            items,
            width,
            rows,
            loss,
            starts,
            draws,
            forest,
            before,
            behind,
            sequence,
            visits_of,
            single,
            packs: packs && single,
        }
    }

    pub fn draws(&self, item: usize, k: usize) -> &[(u32, f64)] {
        self.draws_at(item * self.width + k)
    }

    /// Draws of a visit's choice.
    pub fn visit_draws(&self, visit: usize, k: usize) -> &[(u32, f64)] {
        self.draws_at((self.items + visit) * self.width + k)
    }

    fn draws_at(&self, at: usize) -> &[(u32, f64)] {
        &self.draws[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    /// Choices as they are allowed at first.
    pub fn allowed(&self) -> Vec<u64> {
        let known = |item: &super::problem::Item| match item.choices.len() {
            64 => u64::MAX,
            choices => (1 << choices) - 1,
        };
        self.problem.items.iter().map(|item| item.allowed & known(item)).collect()
    }

    /// Rules out what cannot be any more: by order, and by what is left in the rows after what must be drawn.
    /// `false` if an item has no choice left.
    pub fn narrow(&self, open: &mut [u64]) -> bool {
        loop {
            if !self.keep_order(open) {
                return false;
            }
            match self.keep_rows(open) {
                None => return false,
                Some(false) => return true,
                Some(true) => {}
            }
        }
    }

    fn keep_order(&self, open: &mut [u64]) -> bool {
        for &item in &self.sequence {
            let first = self.before[item].iter().map(|&other| open[other].trailing_zeros()).max().unwrap_or(0);
            open[item] &= u64::MAX.checked_shl(first).unwrap_or(0);
        }
        for &item in self.sequence.iter().rev() {
            let last = self.behind[item].iter().map(|&other| open[other].leading_zeros()).max().unwrap_or(0);
            open[item] &= u64::MAX.checked_shr(last).unwrap_or(0);
        }
        open.iter().all(|&open| open != 0)
    }

    /// Whether anything was ruled out; `None` if a row is overdrawn whatever is chosen.
    fn keep_rows(&self, open: &mut [u64]) -> Option<bool> {
        let problem = &*self.problem;
        let mut left = problem.rows.clone();
        // Of an item with several choices left, what all of them draw from a row is drawn for certain.
        let mut certain: Vec<(usize, usize, i64)> = Vec::new();
        let mut paid = vec![0_u64; problem.visits.len()];
        for (at, item) in problem.items.iter().enumerate() {
            if open[at].count_ones() == 1 {
                let k = open[at].trailing_zeros() as usize;
                item.choices[k].draws.iter().for_each(|&(row, amount)| left[row] -= amount);
                self.visits_of[at].iter().for_each(|&visit| paid[visit] |= open[at]);
            } else if !self.single {
                for &(row, _) in &item.choices[open[at].trailing_zeros() as usize].draws {
                    let least = bits(open[at]).map(|k| drawn_from(&item.choices[k].draws, row)).min().unwrap_or(0);
                    if least > 0 {
                        left[row] -= least;
                        certain.push((at, row, least));
                    }
                }
            }
        }
        for (visit, paid) in problem.visits.iter().zip(&paid) {
            for k in bits(*paid).filter(|&k| k < visit.choices.len()) {
                visit.choices[k].draws.iter().for_each(|&(row, amount)| left[row] -= amount);
            }
        }
        if left.iter().any(|&left| left < 0) {
            return None;
        }
        let (mut changed, mut next) = (false, 0);
        for (at, item) in problem.items.iter().enumerate() {
            let from = next;
            while certain.get(next).is_some_and(|own| own.0 == at) {
                next += 1;
            }
            if open[at].count_ones() == 1 {
                continue;
            }
            let own = &certain[from..next];
            for k in bits(open[at]) {
                let fits = |&(row, amount): &(usize, i64)| {
                    let own: i64 = own.iter().filter(|own| own.1 == row).map(|own| own.2).sum();
                    let visits = self.visits_of[at].iter().filter(|&&visit| paid[visit] >> k & 1 == 0);
                    let visits: i64 = visits
                        .filter_map(|&visit| problem.visits[visit].choices.get(k))
                        .map(|choice| drawn_from(&choice.draws, row))
                        .sum();
                    amount + visits <= left[row] + own
                };
                if !item.choices[k].draws.iter().all(fits) {
                    open[at] &= !(1 << k);
                    changed = true;
                }
            }
            if open[at] == 0 {
                return None;
            }
        }
        Some(changed)
    }
}

/// The bits that are set, from the lowest.
pub(super) fn bits(mut set: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let at = set.trailing_zeros() as usize;
        (set != 0).then(|| {
            set &= set - 1;
            at
        })
    })
}

fn drawn_from(draws: &[(usize, i64)], row: usize) -> i64 {
    draws.iter().filter(|draw| draw.0 == row).map(|draw| draw.1).sum()
}
