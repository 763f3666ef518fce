//! Repairs, years and budgets, as a choice of one year (or never) for each repair.

use super::order::circle;
use super::problem::{Choice, Item, MOST_CHOICES, Problem, Visit};
use super::search::{Effort, solve};

/// Years a plan may have: one choice more is "never".
pub const MOST_YEARS: usize = MOST_CHOICES - 1;
/// Beyond this a sum of amounts is no longer told exactly by a double, in which bounds are computed.
const MOST_IN_ALL: i64 = 1 << 51;

/// One repair, by year from 0.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repair {
    /// What it takes from the budget of the year it is done in.
    pub spend: Vec<i64>,
    /// What is lost in all if it is done in that year; the last: never.
    pub loss: Vec<i64>,
    /// Repairs it waits for: it is done in the same year or later, or never.
    pub after: Vec<usize>,
    /// Bit `t`: it may be done in year `t`; bit `spend.len()`: it may be left.
    pub allowed: u64,
}

/// A cost paid once a year in which any of these repairs is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shared {
    pub repairs: Vec<usize>,
    pub spend: Vec<i64>,
    /// The same as it counts among losses.
    pub loss: Vec<i64>,
}

/// Everything to be planned. All amounts are in minor units and not negative.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Yearly {
    pub budgets: Vec<i64>,
    /// What is left of a year's budget may be spent in later ones.
    pub carry: bool,
    pub repairs: Vec<Repair>,
    pub shared: Vec<Shared>,
}

/// The plan with the least loss that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// The year of each repair; `None`: not in the plan.
    pub chosen: Vec<Option<usize>>,
    pub loss: i64,
    pub spent: Vec<i64>,
    /// No plan can lose less than this.
    pub bound: i64,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PlanError {
    #[error("a plan has 1 to {MOST_YEARS} years, not {0}")]
    Years(usize),
    #[error("repair {at} has {given} amounts, not {wanted}")]
    Count { at: usize, given: usize, wanted: usize },
    #[error("an amount is negative")]
    Negative,
    #[error("the amounts add up to more than can be reckoned exactly")]
    TooLarge,
    #[error("repair {at} waits for one that is not there")]
    NoSuch { at: usize },
    /// Each waits for the next, and the last for the first.
    #[error("repairs wait for each other in a circle")]
    Circle(Vec<usize>),
    /// What must be done by its year does not fit, whatever else is left.
    #[error("no plan does what must be done within the budgets")]
    DoesNotFit,
    /// The search ended before it met a plan.
    #[error("no plan was found, nor shown that there is none")]
    NotFound,
}

impl Plan {
    /// Whether no plan loses less.
    pub fn is_optimal(&self) -> bool {
        self.loss == self.bound
    }

    /// By what fraction of its loss it may be beyond the least there is.
    pub fn gap(&self) -> f64 {
        if self.loss == 0 { 0.0 } else { (self.loss - self.bound) as f64 / self.loss as f64 }
    }
}

impl Yearly {
    pub fn years(&self) -> usize {
        self.budgets.len()
    }

    /// The year for each repair by which the least is lost, as far as `effort` goes.
    ///
    /// Errors: counts that do not agree, amounts below zero or too large, repairs that wait in a circle, a plan that cannot be.
    pub fn plan(&self, effort: Effort) -> Result<Plan, PlanError> {
        self.solved(effort, None)
    }

    /// The same, with a plan to start from; it may be one that does not keep to the budgets, which then is no help.
    pub fn plan_from(&self, known: &Plan, effort: Effort) -> Result<Plan, PlanError> {
        self.solved(effort, Some(known.chosen.iter().map(|year| year.unwrap_or(self.years())).collect()))
    }

    fn solved(&self, effort: Effort, known: Option<Vec<usize>>) -> Result<Plan, PlanError> {
        self.check()?;
        let problem = self.problem();
        let known = known.filter(|known| known.len() == problem.items.len());
        let solution = solve(&problem, effort, known);
        let Some(chosen) = solution.chosen else {
            return Err(if solution.bound.is_none() { PlanError::DoesNotFit } else { PlanError::NotFound });
        };
        let (loss, years) = (problem.loss(&chosen), self.years());
        let chosen: Vec<Option<usize>> = chosen.into_iter().map(|k| (k < years).then_some(k)).collect();
        let spent = self.spent(&chosen);
        Ok(Plan { chosen, loss, spent, bound: solution.bound.unwrap_or(0) })
    }

    /// What such a choice spends in each year, shared visits among it.
    pub fn spent(&self, chosen: &[Option<usize>]) -> Vec<i64> {
        let mut spent = vec![0; self.years()];
        for (repair, year) in self.repairs.iter().zip(chosen) {
            if let Some(year) = *year {
                spent[year] += repair.spend[year];
            }
        }
        for shared in &self.shared {
            for (year, spent) in spent.iter_mut().enumerate() {
                if shared.repairs.iter().any(|&repair| chosen[repair] == Some(year)) {
                    *spent += shared.spend[year];
                }
            }
        }
        spent
    }

    /// What such a choice loses, whether it keeps to the budgets or not.
    pub fn loss(&self, chosen: &[Option<usize>]) -> i64 {
        self.problem().loss(&chosen.iter().map(|year| year.unwrap_or(self.years())).collect::<Vec<_>>())
    }

    /// Whether such a choice is allowed, in order and within the budgets.
    pub fn is_met_by(&self, chosen: &[Option<usize>]) -> bool {
        self.problem().is_met_by(&chosen.iter().map(|year| year.unwrap_or(self.years())).collect::<Vec<_>>())
    }

    fn check(&self) -> Result<(), PlanError> {
        let years = self.years();
        if years == 0 || years > MOST_YEARS {
            return Err(PlanError::Years(years));
        }
        for (at, repair) in self.repairs.iter().enumerate() {
            for (given, wanted) in [(repair.spend.len(), years), (repair.loss.len(), years + 1)] {
                if given != wanted {
                    return Err(PlanError::Count { at, given, wanted });
                }
            }
            if repair.after.iter().any(|&other| other >= self.repairs.len()) {
                return Err(PlanError::NoSuch { at });
            }
        }
        for (at, shared) in self.shared.iter().enumerate() {
            for given in [shared.spend.len(), shared.loss.len()] {
                if given != years {
                    return Err(PlanError::Count { at, given, wanted: years });
                }
            }
            if shared.repairs.iter().any(|&repair| repair >= self.repairs.len()) {
                return Err(PlanError::NoSuch { at });
            }
        }
        let of_repairs = self.repairs.iter().flat_map(|repair| [&repair.spend, &repair.loss]);
        let of_shared = self.shared.iter().flat_map(|shared| [&shared.spend, &shared.loss]);
        let mut in_all = 0_i64;
        for amounts in of_repairs.chain(of_shared).chain([&self.budgets]) {
            if amounts.iter().any(|&amount| amount < 0) {
                return Err(PlanError::Negative);
            }
            let sum = amounts.iter().try_fold(in_all, |sum, &amount| sum.checked_add(amount));
            in_all = sum.filter(|&sum| sum <= MOST_IN_ALL).ok_or(PlanError::TooLarge)?;
        }
        let after = self.after();
        circle(self.repairs.len(), &after).map_or(Ok(()), |circle| Err(PlanError::Circle(circle)))
    }

    fn after(&self) -> Vec<(usize, usize)> {
        let of =
            |(at, repair): (usize, &Repair)| repair.after.iter().map(move |&other| (other, at)).collect::<Vec<_>>();
        let mut after: Vec<_> = self.repairs.iter().enumerate().flat_map(of).collect();
        after.sort_unstable();
        after.dedup();
        after
    }

    /// With carrying, row `t` is all that may be spent up to year `t`, and a repair draws on its year's row and all later.
    pub(super) fn problem(&self) -> Problem {
        let years = self.years();
        let choice = |year: usize, loss: i64, spend: &[i64]| {
            let rows = if self.carry { year..years } else { year..(year + 1).min(years) };
            let draws = spend.get(year).filter(|&&amount| amount > 0);
            Choice { loss, draws: draws.map_or(Vec::new(), |&amount| rows.map(|row| (row, amount)).collect()) }
        };
        let choices = |loss: &[i64], spend: &[i64]| {
            loss.iter().enumerate().map(|(year, &loss)| choice(year, loss, spend)).collect::<Vec<_>>()
        };
        let mut rows = self.budgets.clone();
        if self.carry {
            (1..years).for_each(|year| rows[year] += rows[year - 1]);
        }
        let item = |repair: &Repair| Item { choices: choices(&repair.loss, &repair.spend), allowed: repair.allowed };
        let visit =
            |shared: &Shared| Visit { items: shared.repairs.clone(), choices: choices(&shared.loss, &shared.spend) };
        Problem {
            rows,
            items: self.repairs.iter().map(item).collect(),
            after: self.after(),
            visits: self.shared.iter().map(visit).collect(),
        }
    }
}
