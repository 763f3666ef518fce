//! How far the cost of waiting may lie from its expectation: percentiles over simulated paths.
//!
//! Each path has random numbers of its own (see [`super::random`]), paths are worked on in portions of fixed size, and sums are
//! taken portion by portion in order: the figures are the same whatever the number of threads. A percentile p is the least
//! cost that a share p of the paths does not pass. Expectations are never taken from here, see [`super::chain`].

use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::chain::{Chain, ChainError, MOST_YEARS, Terms};
use super::crowd::{BINS, Held, Stage, Year};
use super::percentile::{percentiles, rank};
use super::price::{Range, Table};
use super::random::Stream;
use super::stay::Stay;

/// Paths that are worked on together.
const PORTION: usize = 4096;
/// Paths in one answer.
pub const MOST_PATHS: usize = 10_000_000;
/// Paths times years: what one core works off in about half a minute.
pub const MOST_STEPS: u64 = 2_000_000_000;
/// Paths times years asked for: these are held, 8 bytes each.
pub const MOST_HELD: u64 = 50_000_000;
/// Years asked for from which on all stays are put together at once.
const YEARS_OF_CROWD: usize = 3;
/// Stays that are held, twice, 16 bytes each.
const MOST_STAYS: usize = 10_000_000;
/// Counts by year, stage and bin, 4 bytes each.
const MOST_COUNTS: usize = 25_000_000;

/// What keeps percentiles from being had.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum SpreadError {
    #[error(transparent)]
    Chain(#[from] ChainError),
    #[error("no path is to be simulated")]
    NoPaths,
    #[error("{paths} paths over {years} years cannot be worked off in a minute")]
    TooLong { paths: usize, years: usize },
    #[error("{given} is not a share between 0 and 1")]
    NotAShare { given: f64 },
    #[error("year {given} is beyond the {years} years looked ahead")]
    NoSuchYear { given: usize, years: usize },
    #[error("there are {given} ranges of prices for {wanted} stages")]
    Stages { given: usize, wanted: usize },
}

/// What is simulated.
#[derive(Debug, Clone, PartialEq)]
pub struct Simulation {
    pub paths: usize,
    pub seed: u64,
    /// Years of waiting that are asked for.
    pub at: Vec<usize>,
    /// Shares of the paths, 0 to 1.
    pub quantiles: Vec<f64>,
    /// How many threads work on it; the figures do not depend on it.
    pub threads: usize,
}

/// Prices that differ from path to path, a range a stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Prices {
    pub repair: Vec<Range>,
    pub damage: Vec<Range>,
}

/// The spread after some years of waiting.
#[derive(Debug, Clone, PartialEq)]
pub struct Spread {
    pub year: usize,
    /// Over the paths; for comparison with the exact expectation.
    pub mean: f64,
    /// Standard error of that mean.
    pub error: f64,
    /// Share and cost, in the order asked.
    pub quantiles: Vec<(f64, f64)>,
}

/// As many threads as the machine has processors for us.
pub fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from)
}

/// Simulates a chain with its own prices, or with prices drawn anew for each path.
pub fn spread(
    chain: &Chain,
    prices: Option<&Prices>,
    terms: &Terms,
    asked: &Simulation,
) -> Result<Vec<Spread>, SpreadError> {
    let years = checked(chain, prices, asked)?;
    let paths = Paths::new(chain, prices, terms, years, asked);
    if prices.is_none() && is_crowd(chain, years, asked) {
        return by_crowd(&paths, years, asked);
    }
    let portion = PORTION * asked.at.len();
    let mut costs = vec![0.0; asked.paths * asked.at.len()];
    if !costs.is_empty() {
        let portions = Mutex::new(costs.chunks_mut(portion).enumerate());
        let next = || portions.lock().ok().and_then(|mut portions| portions.next());
        on_threads(asked.threads.min(asked.paths.div_ceil(PORTION)), || {
            while let Some((number, costs)) = next() {
                paths.walk(number * PORTION, costs);
            }
        });
    }
    let found: Vec<Mutex<Option<Spread>>> = asked.at.iter().map(|_| Mutex::new(None)).collect();
    let turn = AtomicUsize::new(0);
    on_threads(asked.threads.min(asked.at.len()), || {
        let mut of_year = Vec::with_capacity(asked.paths);
        while let Some(place) = found.get(turn.fetch_add(1, Ordering::Relaxed)) {
            let column = found.iter().position(|other| std::ptr::eq(other, place)).unwrap_or(0);
            of_year.clear();
            for costs in costs.chunks(portion) {
                let paths = costs.len() / asked.at.len();
                of_year.extend_from_slice(&costs[column * paths..][..paths]);
            }
            if let Ok(mut place) = place.lock() {
                *place = Some(summed(asked.at[column], &mut of_year, &asked.quantiles));
            }
        }
    });
    let found: Vec<Spread> = found.into_iter().filter_map(|place| place.into_inner().ok().flatten()).collect();
    if found.iter().any(|spread| !spread.mean.is_finite()) {
        return Err(ChainError::Beyond.into());
    }
    Ok(found)
}

/// The years that have to be walked.
fn checked(chain: &Chain, prices: Option<&Prices>, asked: &Simulation) -> Result<usize, SpreadError> {
    let years = asked.at.iter().copied().max().unwrap_or(0);
    if years > MOST_YEARS {
        return Err(ChainError::TooManyYears { given: years }.into());
    }
    if asked.paths == 0 {
        return Err(SpreadError::NoPaths);
    }
    let (steps, held) = (asked.paths as u64 * years.max(1) as u64, asked.paths as u64 * asked.at.len() as u64);
    if asked.paths > MOST_PATHS || steps > MOST_STEPS || held > MOST_HELD {
        return Err(SpreadError::TooLong { paths: asked.paths, years });
    }
    if let Some(given) = asked.quantiles.iter().find(|share| !(0.0..=1.0).contains(*share)) {
        return Err(SpreadError::NotAShare { given: *given });
    }
    let given = prices.map_or([chain.stages(); 2], |prices| [prices.repair.len(), prices.damage.len()]);
    match given.into_iter().find(|given| *given != chain.stages()) {
        Some(given) => Err(SpreadError::Stages { given, wanted: chain.stages() }),
        None => Ok(years),
    }
}

/// Whether all stays are held at once: where many years are asked for, and there is room.
fn is_crowd(chain: &Chain, years: usize, asked: &Simulation) -> bool {
    let returns = (0..chain.stages()).any(|stage| chain.row(stage)[..stage].iter().any(|chance| *chance > 0.0));
    let stays = if returns { years + 1 } else { chain.stages().min(years + 1) };
    let counts = (years + 1) * chain.stages() * BINS;
    asked.at.len() >= YEARS_OF_CROWD && asked.paths * stays <= MOST_STAYS && counts <= MOST_COUNTS
}

/// The same figures from the stays of all paths together, see [`super::crowd`].
fn by_crowd(paths: &Paths, years: usize, asked: &Simulation) -> Result<Vec<Spread>, SpreadError> {
    let portions: Vec<Mutex<Vec<Vec<Held>>>> = (0..asked.paths.div_ceil(PORTION)).map(|_| Mutex::default()).collect();
    each_once(asked.threads, &portions, |number, place| {
        let first = number * PORTION;
        *place = paths.stays_of(first..(first + PORTION).min(asked.paths), years);
    });
    let portions: Vec<Vec<Vec<Held>>> = portions.into_iter().filter_map(|place| place.into_inner().ok()).collect();
    let stages: Vec<Mutex<Option<Stage>>> = (0..paths.chain.stages()).map(|_| Mutex::new(None)).collect();
    each_once(asked.threads, &stages, |stage, place| {
        let parts: Vec<&[Held]> = portions.iter().map(|portion| portion[stage].as_slice()).collect();
        *place = Stage::new(&parts, years);
    });
    let stages: Option<Vec<Stage>> = stages.into_iter().map(|place| place.into_inner().ok().flatten()).collect();
    let stages = stages.ok_or(ChainError::Beyond)?;
    let found: Vec<Mutex<Option<Spread>>> = asked.at.iter().map(|_| Mutex::new(None)).collect();
    each_once(asked.threads, &found, |number, place| {
        let year = asked.at[number];
        let base = (0..stages.len()).map(|stage| paths.base(stage, year)).collect();
        let of_year = Year { year, base, stages: &stages };
        let (mean, error) = of_year.mean();
        let mut room = Vec::new();
        let of_share = |share: &f64| (*share, of_year.of_rank(rank(*share, asked.paths), &mut room));
        *place = Some(Spread { year, mean, error, quantiles: asked.quantiles.iter().map(of_share).collect() });
    });
    let found: Vec<Spread> = found.into_iter().filter_map(|place| place.into_inner().ok().flatten()).collect();
    if found.iter().any(|spread| !spread.mean.is_finite()) {
        return Err(ChainError::Beyond.into());
    }
    Ok(found)
}

/// Fills every place once, each by whichever thread comes first.
fn each_once<T: Send>(threads: usize, places: &[Mutex<T>], work: impl Fn(usize, &mut T) + Sync) {
    let turn = AtomicUsize::new(0);
    on_threads(threads.min(places.len()), || {
        loop {
            let number = turn.fetch_add(1, Ordering::Relaxed);
            let Some(place) = places.get(number) else { return };
            if let Ok(mut place) = place.lock() {
                work(number, &mut place);
            }
        }
    });
}

/// Runs the same work on so many threads and waits for all; on this one where it is one.
fn on_threads(threads: usize, work: impl Fn() + Sync) {
    if threads <= 1 {
        return work();
    }
    std::thread::scope(|scope| {
        for _ in 1..threads {
            scope.spawn(&work);
        }
        work();
    });
}

fn summed(year: usize, costs: &mut [f64], quantiles: &[f64]) -> Spread {
    let n = costs.len() as f64;
    // Portion by portion, so that rounding does not grow with the number of paths.
    let sum = |of: &dyn Fn(&f64) -> f64| {
        costs.chunks(PORTION).map(|portion| portion.iter().map(of).sum::<f64>()).sum::<f64>()
    };
    let mean = sum(&|cost| *cost) / n;
    let squares = sum(&|cost| (cost - mean) * (cost - mean));
    let error = (squares / (n - 1.0).max(1.0) / n).sqrt();
    let found = percentiles(costs, quantiles);
    Spread { year, mean, error, quantiles: quantiles.iter().copied().zip(found).collect() }
}

/// What is the same for every path.
struct Paths<'a> {
    chain: &'a Chain,
    at: Vec<usize>,
    /// The places of `at` in order of year.
    in_order: Vec<usize>,
    seed: u64,
    /// The chances of the first stages, summed up.
    start: Vec<f64>,
    stays: Vec<Stay>,
    /// k^0, k^1, …
    powers: Vec<f64>,
    /// k^1 + … + k^t.
    sums: Vec<f64>,
    drawn: Option<(Vec<Table>, Vec<Table>)>,
}

impl<'a> Paths<'a> {
    fn new(chain: &'a Chain, prices: Option<&Prices>, terms: &Terms, years: usize, asked: &Simulation) -> Paths<'a> {
        let powers = terms.powers(years);
        let mut sums = vec![0.0; years + 1];
        for year in 1..=years {
            sums[year] = sums[year - 1] + powers[year];
        }
        let mut in_order: Vec<usize> = (0..asked.at.len()).collect();
        in_order.sort_by_key(|place| asked.at[*place]);
        let mut so_far = 0.0;
        let start = chain.start().iter().map(|chance| {
            so_far += chance;
            so_far
        });
        let tables = |ranges: &[Range]| ranges.iter().map(Range::table).collect();
        Paths {
            chain,
            at: asked.at.clone(),
            in_order,
            seed: asked.seed,
            start: start.collect(),
            stays: (0..chain.stages()).map(|stage| Stay::new(chain.row(stage), stage, years)).collect(),
            powers,
            sums,
            drawn: prices.map(|prices| (tables(&prices.repair), tables(&prices.damage))),
        }
    }

    /// Walks a portion of the paths from the number `first`; `costs` holds a row of paths for each year asked.
    fn walk(&self, first: usize, costs: &mut [f64]) {
        let paths = costs.len() / self.at.len();
        let (mut repair, mut damage) = (self.chain.repair().to_vec(), self.chain.damage().to_vec());
        for path in 0..paths {
            let mut random = Stream::of_path(self.seed, (first + path) as u64);
            if let Some((repairs, damages)) = &self.drawn {
                // One draw for all prices of a path: who is dear at one stage is dear at every one.
                let (dear, harmful) = (random.unit(), random.unit());
                repair.iter_mut().zip(repairs).for_each(|(price, table)| *price = table.at(dear));
                damage.iter_mut().zip(damages).for_each(|(price, table)| *price = table.at(harmful));
            }
            self.one(&mut random, &repair, &damage, |place, cost| costs[place * paths + path] = cost);
        }
    }

    /// Walks one path from stay to stay and tells its cost at each year asked.
    fn one(&self, random: &mut Stream, repair: &[f64], damage: &[f64], mut tell: impl FnMut(usize, f64)) {
        let mut stage = self.first_stage(random);
        let (mut since, mut paid) = (0, 0.0);
        let mut asked = self.in_order.iter().copied().peekable();
        while asked.peek().is_some() {
            let (until, next) = self.stays[stage].leave(since, random);
            let own = paid - damage[stage] * self.sums[since];
            while let Some(place) = asked.next_if(|place| self.at[*place] < until) {
                let year = self.at[place];
                // As `base`, so that a path costs the same to the last bit however it is reckoned.
                tell(place, own + (damage[stage] * self.sums[year] + self.powers[year] * repair[stage]));
            }
            if let Some(end) = self.sums.get(until) {
                paid += damage[stage] * (end - self.sums[since]);
            }
            (since, stage) = (until, next);
        }
    }

    /// What a year of waiting adds to the own cost of every path in a stage.
    fn base(&self, stage: usize, year: usize) -> f64 {
        self.chain.damage()[stage] * self.sums[year] + self.powers[year] * self.chain.repair()[stage]
    }

    /// The stays of some paths, by stage.
    fn stays_of(&self, paths: std::ops::Range<usize>, years: usize) -> Vec<Vec<Held>> {
        let damage = self.chain.damage();
        let stages = self.chain.stages();
        let room = paths.len() * stages.min(years + 1) / stages;
        let mut stays: Vec<Vec<Held>> = (0..stages).map(|_| Vec::with_capacity(room)).collect();
        for path in paths {
            let mut random = Stream::of_path(self.seed, path as u64);
            let mut stage = self.first_stage(&mut random);
            let (mut since, mut paid) = (0, 0.0);
            while since <= years {
                let (until, next) = self.stays[stage].leave(since, &mut random);
                let a = paid - damage[stage] * self.sums[since];
                // Years are at most a thousand.
                stays[stage].push(Held { a, since: since as u16, until: until.min(years + 1) as u16 });
                if let Some(end) = self.sums.get(until) {
                    paid += damage[stage] * (end - self.sums[since]);
                }
                (since, stage) = (until, next);
            }
        }
        stays
    }

    fn first_stage(&self, random: &mut Stream) -> usize {
        if let Some(stage) = self.chain.start().iter().position(|chance| *chance >= 1.0) {
            return stage;
        }
        let drawn = random.unit() * self.start.last().copied().unwrap_or(1.0);
        self.start.iter().position(|so_far| drawn < *so_far).unwrap_or(self.start.len() - 1)
    }
}
