//! A choice among choices: for each item one of a few, so that the sum of losses is least and no row is overdrawn.
//!
//! A row is a year's budget, or a sum of years' where money carries over; a choice draws on any number of rows. All amounts
//! are whole numbers (minor units of money), so that a sum is exact and a better plan is better by at least one.

/// Choices an item may have at most: they are the bits of a word.
pub const MOST_CHOICES: usize = 64;

/// What one choice of an item, or of a visit, costs.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    pub loss: i64,
    /// Rows it draws on, and how much of each; never negative.
    pub draws: Vec<(usize, i64)>,
}

/// One thing for which a choice is made.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Item {
    pub choices: Vec<Choice>,
    /// Bit `k` says that choice `k` may be made.
    pub allowed: u64,
}

/// A cost paid once for a choice, however many of the items make it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Visit {
    pub items: Vec<usize>,
    /// By choice; what costs nothing has no loss and draws on nothing.
    pub choices: Vec<Choice>,
}

/// Everything a plan is made from.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Problem {
    /// What may be drawn from each row.
    pub rows: Vec<i64>,
    pub items: Vec<Item>,
    /// `(a, b)`: the choice of `b` is not before that of `a`.
    pub after: Vec<(usize, usize)>,
    pub visits: Vec<Visit>,
}

impl Problem {
    /// Choices of the item that has the most.
    pub fn width(&self) -> usize {
        let items = self.items.iter().map(|item| item.choices.len());
        items.chain(self.visits.iter().map(|visit| visit.choices.len())).max().unwrap_or(0)
    }

    /// What is drawn from each row by these choices.
    pub fn drawn(&self, chosen: &[usize]) -> Vec<i64> {
        let mut drawn = vec![0; self.rows.len()];
        for choice in self.made(chosen) {
            for &(row, amount) in &choice.draws {
                drawn[row] += amount;
            }
        }
        drawn
    }

    /// The loss of these choices.
    pub fn loss(&self, chosen: &[usize]) -> i64 {
        self.made(chosen).map(|choice| choice.loss).sum()
    }

    /// Whether these choices are allowed, in order, and overdraw no row.
    pub fn is_met_by(&self, chosen: &[usize]) -> bool {
        chosen.iter().zip(&self.items).all(|(&k, item)| item.allowed >> k & 1 == 1)
            && self.after.iter().all(|&(a, b)| chosen[a] <= chosen[b])
            && self.drawn(chosen).iter().zip(&self.rows).all(|(drawn, row)| drawn <= row)
    }

    /// Choices made, of items and of the visits they need.
    fn made<'a>(&'a self, chosen: &'a [usize]) -> impl Iterator<Item = &'a Choice> {
        let items = chosen.iter().zip(&self.items).map(|(&k, item)| &item.choices[k]);
        let visits = self.visits.iter().flat_map(|visit| {
            let made = visit.items.iter().fold(0_u64, |made, &item| made | 1 << chosen[item]);
            visit.choices.iter().enumerate().filter(move |(k, _)| made >> k & 1 == 1).map(|(_, choice)| choice)
        });
        items.chain(visits)
    }
}
