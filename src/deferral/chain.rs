//! The exact cost of waiting: expectations over the stages a finding passes through if it is left, never simulated.
//!
//! The rule in words: each year the finding moves between stages by fixed chances. A year's damage is paid at its end, by the
//! stage the year began in; the repair is paid at the start of year t, by the stage then held. Prices grow by `escalation`
//! and sums are brought to today by `discount`, both a year; with k = (1 + escalation) / (1 + discount) and m_t the chances
//! of the stages after t years,
//!
//! total(t) = sum over j < t of k^(j+1) m_j·damage + k^t m_t·repair.
//!
//! Money in one unit (dollars, or any), rates as fractions (0.03 is 3 %), time in years. Source: discounting as NIST Handbook
//! 135; the chain is standard Markov arithmetic, x(n) = x(0) P^n. The chances themselves are whoever's that gives them: no
//! measured ones were found published for house foundations.
//!
//! ```
//! use stemwall::deferral::{Chain, Terms};
//!
//! // A crack that costs 450 now and 1,500 once it has opened, with one chance in five a year; no damage meanwhile.
//! let chain = Chain::advancing(vec![0.2], vec![1.0, 0.0], vec![450.0, 1500.0], vec![0.0, 0.0]).unwrap();
//! let waiting = chain.waiting(&Terms::new(0.0, 0.0).unwrap(), 2).unwrap();
//! assert_eq!(waiting.years[0].total, 450.0);
//! assert!((waiting.years[1].total - (0.8 * 450.0 + 0.2 * 1500.0)).abs() < 1e-9);
//! assert_eq!(waiting.cheapest_year, 0);
//! ```

/// Stages of a chain; more cannot be told apart on a house and would not be worked off in a minute.
pub const MOST_STAGES: usize = 200;
/// Years that are looked ahead at most.
pub const MOST_YEARS: usize = 1000;
/// How far the chances of a row may be from 1 together.
pub const SUM_TOLERANCE: f64 = 1e-6;

/// Why a cost of waiting cannot be computed. Stages and rows are counted from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ChainError {
    #[error("there is no stage")]
    NoStages,
    #[error("there are more than {MOST_STAGES} stages")]
    TooManyStages,
    #[error("`{list}` has {given} stages, not {wanted}")]
    Stages { list: &'static str, given: usize, wanted: usize },
    #[error("chance {given} of `{list}` is outside 0 to 1")]
    NotAChance { list: &'static str, given: f64 },
    #[error("row {row} of the matrix sums to {sum}, not to 1")]
    RowSum { row: usize, sum: f64 },
    #[error("the chances of the stages at the start sum to {sum}, not to 1")]
    StartSum { sum: f64 },
    #[error("`{list}` of stage {stage} is {given}, which is no price")]
    NotAPrice { list: &'static str, stage: usize, given: f64 },
    #[error("a {rate} of {given} leaves nothing: it has to be above -1")]
    Rate { rate: &'static str, given: f64 },
    #[error("{given} years are more than {MOST_YEARS}")]
    TooManyYears { given: usize },
    #[error("the sums are beyond what can be reckoned")]
    Beyond,
}

/// How prices grow and what money later is worth today.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Terms {
    escalation: f64,
    discount: f64,
}

impl Terms {
    /// Rates a year as fractions, both above -1.
    pub fn new(escalation: f64, discount: f64) -> Result<Terms, ChainError> {
        for (rate, given) in [("escalation", escalation), ("discount", discount)] {
            if !(given.is_finite() && given > -1.0) {
                return Err(ChainError::Rate { rate, given });
            }
        }
        Ok(Terms { escalation, discount })
    }

    pub fn escalation(&self) -> f64 {
        self.escalation
    }

    pub fn discount(&self) -> f64 {
        self.discount
    }

    /// k: what a price of today, due in a year, is worth today.
    pub fn k(&self) -> f64 {
        (1.0 + self.escalation) / (1.0 + self.discount)
    }

    /// k^0 to k^years.
    pub(super) fn powers(&self, years: usize) -> Vec<f64> {
        let k = self.k();
        (0..=years).map(|t| k.powi(i32::try_from(t).unwrap_or(i32::MAX))).collect()
    }
}

/// The stages of a finding, the chances of moving between them in a year, and what each costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Chain {
    /// Rows from-stage, one after the other.
    matrix: Vec<f64>,
    start: Vec<f64>,
    repair: Vec<f64>,
    damage: Vec<f64>,
}

/// What waiting costs, year by year.
#[derive(Debug, Clone, PartialEq)]
pub struct Waiting {
    /// For 0, 1, … years of waiting.
    pub years: Vec<Wait>,
    /// The year with the least total; the earliest of equals.
    pub cheapest_year: usize,
}

/// Expected present values after some years of waiting.
#[derive(Debug, Clone, PartialEq)]
pub struct Wait {
    pub year: usize,
    /// Chance of each stage.
    pub stages: Vec<f64>,
    pub repair: f64,
    /// What was damaged until then.
    pub damage: f64,
    pub total: f64,
}

impl Chain {
    /// A chain by its whole matrix, `matrix[from][to]`.
    pub fn new(
        matrix: Vec<Vec<f64>>,
        start: Vec<f64>,
        repair: Vec<f64>,
        damage: Vec<f64>,
    ) -> Result<Chain, ChainError> {
        let stages = repair.len();
        match stages {
            0 => return Err(ChainError::NoStages),
            n if n > MOST_STAGES => return Err(ChainError::TooManyStages),
            _ => {}
        }
        let rows = matrix.iter().map(Vec::len).chain([matrix.len()]).map(|len| ("matrix", len));
        for (list, given) in rows.chain([("start", start.len()), ("damage", damage.len())]) {
            if given != stages {
                return Err(ChainError::Stages { list, given, wanted: stages });
            }
        }
        for (row, chances) in matrix.iter().enumerate() {
            let sum = distribution("matrix", chances)?;
            if (sum - 1.0).abs() > SUM_TOLERANCE {
                return Err(ChainError::RowSum { row, sum });
            }
        }
        let sum = distribution("start", &start)?;
        if (sum - 1.0).abs() > SUM_TOLERANCE {
            return Err(ChainError::StartSum { sum });
        }
        for (list, prices) in [("repair", &repair), ("damage", &damage)] {
            if let Some(stage) = prices.iter().position(|price| !(price.is_finite() && *price >= 0.0)) {
                return Err(ChainError::NotAPrice { list, stage, given: prices[stage] });
            }
        }
        Ok(Chain { matrix: matrix.concat(), start, repair, damage })
    }

    /// A chain whose stages follow one another: `advance` holds the chance a year of the next one, one fewer than stages.
    pub fn advancing(
        advance: Vec<f64>,
        start: Vec<f64>,
        repair: Vec<f64>,
        damage: Vec<f64>,
    ) -> Result<Chain, ChainError> {
        let stages = repair.len();
        if advance.len() + 1 != stages && stages > 0 {
            return Err(ChainError::Stages { list: "advance", given: advance.len(), wanted: stages - 1 });
        }
        distribution("advance", &advance)?;
        let row = |from: usize| {
            let mut row = vec![0.0; stages];
            let moves = advance.get(from).copied().unwrap_or(0.0);
            row[from] = 1.0 - moves;
            if from + 1 < stages {
                row[from + 1] = moves;
            }
            row
        };
        Chain::new((0..stages).map(row).collect(), start, repair, damage)
    }

    /// All chance on one stage, counted from 0; `None` if there are not so many.
    pub fn at_stage(stage: usize, stages: usize) -> Option<Vec<f64>> {
        let mut start = vec![0.0; stages];
        *start.get_mut(stage)? = 1.0;
        Some(start)
    }

    pub fn stages(&self) -> usize {
        self.repair.len()
    }

    pub fn start(&self) -> &[f64] {
        &self.start
    }

    pub fn repair(&self) -> &[f64] {
        &self.repair
    }

    pub fn damage(&self) -> &[f64] {
        &self.damage
    }

    /// The chances of moving from a stage to each.
    pub(super) fn row(&self, from: usize) -> &[f64] {
        &self.matrix[from * self.stages()..][..self.stages()]
    }

    /// Expected present values of waiting 0 to `years` years.
    pub fn waiting(&self, terms: &Terms, years: usize) -> Result<Waiting, ChainError> {
        if years > MOST_YEARS {
            return Err(ChainError::TooManyYears { given: years });
        }
        let powers = terms.powers(years + 1);
        let mut all: Vec<Wait> = Vec::with_capacity(years + 1);
        let (mut stages, mut damage, mut cheapest_year) = (self.start.clone(), 0.0, 0);
        for year in 0..=years {
            let repair = powers[year] * weighed(&stages, &self.repair);
            let total = repair + damage;
            if !total.is_finite() {
                return Err(ChainError::Beyond);
            }
            if total < all.get(cheapest_year).map_or(f64::INFINITY, |least: &Wait| least.total) {
                cheapest_year = year;
            }
            let next = self.next(&stages);
            let meanwhile = powers[year + 1] * weighed(&stages, &self.damage);
            all.push(Wait { year, stages: std::mem::replace(&mut stages, next), repair, damage, total });
            damage += meanwhile;
        }
        Ok(Waiting { years: all, cheapest_year })
    }

    /// The chances of the stages a year later.
    fn next(&self, stages: &[f64]) -> Vec<f64> {
        let mut next = vec![0.0; stages.len()];
        for (from, held) in stages.iter().enumerate().filter(|(_, held)| **held > 0.0) {
            for (to, chance) in next.iter_mut().zip(self.row(from)) {
                *to += held * chance;
            }
        }
        next
    }

    /// Expected years until the last stage is first reached, from each stage; `None` where it may never be.
    ///
    /// t = (I - Q)^-1 1 over the stages before the last, solved, not summed: a sum cut off understates it.
    pub fn years_to_last(&self) -> Vec<Option<f64>> {
        let last = self.stages() - 1;
        let surely = self.surely_reach(last);
        let asked: Vec<usize> = (0..last).filter(|stage| surely[*stage]).collect();
        let row = |from: &usize| {
            let mut row: Vec<f64> =
                asked.iter().map(|to| f64::from(u8::from(from == to)) - self.row(*from)[*to]).collect();
            row.push(1.0);
            row
        };
        let solved = solve(asked.iter().map(row).collect());
        let mut years = vec![None; self.stages()];
        years[last] = Some(0.0);
        for (stage, found) in asked.iter().zip(solved.into_iter().flatten()) {
            years[*stage] = Some(found).filter(|found| found.is_finite());
        }
        years
    }

    /// From which stages `goal` is reached in the end, whatever happens on the way.
    fn surely_reach(&self, goal: usize) -> Vec<bool> {
        let stages = self.stages();
        let leads = |from: usize, to: &[bool]| (0..stages).any(|next| self.row(from)[next] > 0.0 && to[next]);
        let spread = |mut reached: Vec<bool>, barred: Option<usize>| {
            for _ in 0..stages {
                for from in (0..stages).filter(|from| Some(*from) != barred) {
                    reached[from] |= leads(from, &reached);
                }
            }
            reached
        };
        let can = spread((0..stages).map(|stage| stage == goal).collect(), None);
        // Whoever can get to a stage from which the goal is out of reach, without passing the goal, may never see it.
        let may_not = spread(can.iter().map(|can| !can).collect(), Some(goal));
        may_not.into_iter().map(|may_not| !may_not).collect()
    }
}

fn weighed(stages: &[f64], prices: &[f64]) -> f64 {
    stages.iter().zip(prices).map(|(held, price)| held * price).sum()
}

/// The sum of chances, each of them a chance.
fn distribution(list: &'static str, chances: &[f64]) -> Result<f64, ChainError> {
    match chances.iter().find(|chance| !(0.0..=1.0).contains(*chance)) {
        Some(given) => Err(ChainError::NotAChance { list, given: *given }),
        None => Ok(chances.iter().sum()),
    }
}

/// Solves rows of coefficients with the right-hand side behind them, by elimination with the largest pivot; `None` if they
/// do not have one solution.
fn solve(mut rows: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let n = rows.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|a, b| rows[*a][column].abs().total_cmp(&rows[*b][column].abs()))?;
        rows.swap(column, pivot);
        if rows[column][column] == 0.0 {
            return None;
        }
        let (above, below) = rows.split_at_mut(column + 1);
        let pivot = &above[column];
        for row in below {
            let times = row[column] / pivot[column];
            row.iter_mut().zip(pivot).skip(column).for_each(|(cell, by)| *cell -= times * by);
        }
    }
    let mut found = vec![0.0; n];
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|column| rows[row][column] * found[column]).sum();
        found[row] = (rows[row][n] - known) / rows[row][row];
    }
    Some(found)
}
