//! All paths at once, by the stage they hold: percentiles after every year without a cost for every path and year.
//!
//! While a path holds a stage its cost in year t is `a + base(stage, t)`, where `a` is its own and does not change. So the stays of all
//! paths are put into equal bins by `a`, stage by stage, and for every year it is counted how many of each bin are held then. A
//! percentile is bracketed by these counts; only the stays of the few bins in the bracket are looked at one by one. The figures are
//! those of [`super::spread`] path by path, to the last bit; sums are taken in the order of the paths.

/// Bins of one stage.
pub(super) const BINS: usize = 1024;
/// Units between the least and the most of a stage: the sums of ten million stays and of their squares are still told exactly.
const UNITS: f64 = (1_u64 << 40) as f64;
/// Halvings of a bracket; the ends are then a few units of rounding apart.
const HALVINGS: usize = 60;

/// One stage held by one path, from the year `since` up to, but not in, the year `until`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Held {
    pub a: f64,
    pub since: u16,
    pub until: u16,
}

impl Held {
    fn is_in(&self, year: usize) -> bool {
        (usize::from(self.since)..usize::from(self.until)).contains(&year)
    }
}

/// The stays in one stage.
pub(super) struct Stage {
    least: f64,
    most: f64,
    scale: f64,
    bins: usize,
    /// By bin: the `a` of all its stays where that is the same.
    same: Vec<Option<f64>>,
    /// The stays of the other bins, one bin after another; where each begins, and where the last ends.
    held: Vec<Held>,
    begins: Vec<u32>,
    /// By year and bin: how many are held in that bin or one before.
    up_to: Vec<u32>,
    /// By year: sums of `a` less the middle in whole units, and of the squares. Whole, so that whoever leaves takes away what it
    /// brought, and nothing is left of it.
    sums: Vec<Sums>,
    unit: f64,
    per_unit: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    sum: i64,
    squares: i128,
}

impl Sums {
    fn add(&mut self, off: i64, times: i64) {
        self.sum += off * times;
        self.squares += i128::from(off) * i128::from(off) * i128::from(times);
    }
}

/// What one year adds to every path in one stage.
pub(super) struct Year<'a> {
    pub year: usize,
    pub base: Vec<f64>,
    pub stages: &'a [Stage],
}

impl Stage {
    /// Puts stays into bins; `parts` in the order of the paths. `None` where an amount is beyond what can be reckoned.
    pub fn new(parts: &[&[Held]], years: usize) -> Option<Stage> {
        let all = || parts.iter().flat_map(|part| part.iter());
        let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
        for held in all() {
            (least, most) = (least.min(held.a), most.max(held.a));
        }
        let count: usize = parts.iter().map(|part| part.len()).sum();
        if count == 0 {
            (least, most) = (0.0, 0.0);
        }
        let width = most - least;
        if !width.is_finite() {
            return None;
        }
        let scale = BINS as f64 / width;
        let (bins, scale) = if width > 0.0 && scale.is_finite() { (BINS, scale) } else { (1, 0.0) };
        let mut stage = Stage {
            least,
            most,
            scale,
            bins,
            same: vec![None; bins],
            held: Vec::new(),
            begins: vec![0; bins + 1],
            up_to: vec![0; (years + 1) * bins],
            sums: vec![Sums::default(); years + 1],
            unit: width / UNITS,
            per_unit: if bins == 1 { 0.0 } else { UNITS / width },
        };
        let mut at: Vec<u32> = vec![0; bins];
        for held in all() {
            let bin = stage.bin(held.a);
            if at[bin] == 0 {
                stage.same[bin] = Some(held.a);
            } else if stage.same[bin] != Some(held.a) {
                stage.same[bin] = None;
            }
            at[bin] += 1;
            let (since, until) = (usize::from(held.since), usize::from(held.until));
            // Counts wrap on the way and come out right: whoever leaves has come.
            stage.up_to[since * bins + bin] = stage.up_to[since * bins + bin].wrapping_add(1);
            if until <= years {
                stage.up_to[until * bins + bin] = stage.up_to[until * bins + bin].wrapping_sub(1);
            }
        }
        stage.begin(&mut at);
        for held in all() {
            let bin = stage.bin(held.a);
            if stage.same[bin].is_some() {
                continue;
            }
            stage.held[at[bin] as usize] = *held;
            at[bin] += 1;
            let (since, until) = (usize::from(held.since), usize::from(held.until));
            let off = stage.off(held.a);
            stage.sums[since].add(off, 1);
            if until <= years {
                stage.sums[until].add(off, -1);
            }
        }
        stage.count_up(years);
        Some(stage)
    }

    /// From how many are in each bin to where those begin that have to be looked at one by one.
    fn begin(&mut self, at: &mut [u32]) {
        let mut begun = 0;
        for (bin, at) in at.iter_mut().enumerate() {
            self.begins[bin] = begun;
            let count = std::mem::replace(at, begun);
            begun += if self.same[bin].is_some() { 0 } else { count };
        }
        self.begins[self.bins] = begun;
        self.held = vec![Held { a: 0.0, since: 0, until: 0 }; begun as usize];
    }

    /// From who comes and goes in each year to who is there, and from each bin to all up to it.
    fn count_up(&mut self, years: usize) {
        let bins = self.bins;
        for year in 1..=years {
            let (before, now) = self.up_to.split_at_mut(year * bins);
            let before = &before[(year - 1) * bins..];
            now[..bins].iter_mut().zip(before).for_each(|(now, before)| *now = now.wrapping_add(*before));
            let Sums { sum, squares } = self.sums[year - 1];
            self.sums[year].sum += sum;
            self.sums[year].squares += squares;
        }
        let even: Vec<(usize, i64)> =
            self.same.iter().enumerate().filter_map(|(bin, a)| Some((bin, self.off((*a)?)))).collect();
        for (of_year, sums) in self.up_to.chunks_mut(bins).zip(&mut self.sums) {
            even.iter().for_each(|(bin, off)| sums.add(*off, i64::from(of_year[*bin])));
            let mut so_far = 0_u32;
            for count in of_year {
                so_far = so_far.wrapping_add(*count);
                *count = so_far;
            }
        }
    }

    /// Never less for a larger `a`.
    fn bin(&self, a: f64) -> usize {
        // What lies below the least is in the first, what lies above the most in the last.
        (((a - self.least) * self.scale) as i32).clamp(0, self.bins as i32 - 1) as usize
    }

    fn here(&self, year: usize) -> u32 {
        self.up_to[year * self.bins + self.bins - 1]
    }

    /// How many are held in bins before this one.
    fn before(&self, year: usize, bin: usize) -> u32 {
        if bin == 0 { 0 } else { self.up_to[year * self.bins + bin - 1] }
    }

    /// Sums over who is here of `a` less the middle, and of its squares.
    fn sum(&self, year: usize) -> (f64, f64) {
        let Sums { sum, squares } = self.sums[year];
        (sum as f64 * self.unit, squares as f64 * self.unit * self.unit)
    }

    /// By how many units `a` is off the middle.
    fn off(&self, a: f64) -> i64 {
        ((a - self.middle()) * self.per_unit) as i64
    }

    fn middle(&self) -> f64 {
        self.least + (self.most - self.least) / 2.0
    }
}

impl Year<'_> {
    fn each(&self) -> impl Iterator<Item = (&Stage, f64)> {
        self.stages.iter().zip(self.base.iter().copied()).filter(|(stage, _)| stage.here(self.year) > 0)
    }

    /// Mean over all paths, and its standard error.
    pub fn mean(&self) -> (f64, f64) {
        let n: f64 = self.each().map(|(stage, _)| f64::from(stage.here(self.year))).sum();
        let sum: f64 = self
            .each()
            .map(|(stage, base)| f64::from(stage.here(self.year)) * (stage.middle() + base) + stage.sum(self.year).0)
            .sum();
        let mean = sum / n;
        // About the mean, so that nothing large is taken from anything large.
        let squares = self.each().map(|(stage, base)| {
            let off = stage.middle() + base - mean;
            let (of, squares) = stage.sum(self.year);
            squares + 2.0 * off * of + f64::from(stage.here(self.year)) * off * off
        });
        (mean, (squares.sum::<f64>().max(0.0) / (n - 1.0).max(1.0) / n).sqrt())
    }

    /// The cost of the path at a place in the order of costs, from 0; `found` is room.
    pub fn of_rank(&self, rank: usize, found: &mut Vec<(f64, u32)>) -> f64 {
        let (least, most) = self.each().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), (stage, base)| {
            (least.min(stage.least + base), most.max(stage.most + base))
        });
        // Below `low` are too few even with its bins whole; up to `high` are enough even without its bins.
        let low =
            if self.at_most(least) > rank { None } else { Some(self.bracket(least, most, rank, &Self::at_most).0) };
        let high = self.bracket(low.unwrap_or(least), most, rank, &Self::at_least).1;
        let (mut below, year) = (0_usize, self.year);
        found.clear();
        for (stage, base) in self.each() {
            // A bin either way, for what is rounded when a base is taken from a cost.
            let from = low.map_or(0, |low| stage.bin(low - base)).saturating_sub(1);
            let to = (stage.bin(high - base) + 1).min(stage.bins - 1);
            below += stage.before(year, from) as usize;
            for bin in from..=to {
                let here = stage.before(year, bin + 1) - stage.before(year, bin);
                match stage.same[bin] {
                    _ if here == 0 => {}
                    Some(a) => found.push((a + base, here)),
                    None => {
                        let held = &stage.held[stage.begins[bin] as usize..stage.begins[bin + 1] as usize];
                        let now = held.iter().filter(|held| held.is_in(year));
                        found.extend(now.map(|held| (held.a + base, 1)));
                    }
                }
            }
        }
        found.sort_unstable_by(|x, y| x.0.total_cmp(&y.0));
        for (cost, count) in found.iter() {
            below += *count as usize;
            if below > rank {
                return *cost;
            }
        }
        most
    }

    /// No fewer than cost at most `cost`.
    fn at_most(&self, cost: f64) -> usize {
        let of = |(stage, base): (&Stage, f64)| match cost < stage.least + base {
            true => 0,
            false => stage.before(self.year, stage.bin(cost - base) + 1) as usize,
        };
        self.each().map(of).sum()
    }

    /// No more than cost at most `cost`.
    fn at_least(&self, cost: f64) -> usize {
        let of = |(stage, base): (&Stage, f64)| match cost >= stage.most + base {
            true => stage.here(self.year) as usize,
            false => stage.before(self.year, stage.bin(cost - base)) as usize,
        };
        self.each().map(of).sum()
    }

    /// Two costs close together, up to the first of which `count` is at most the rank, up to the second more.
    fn bracket(&self, low: f64, high: f64, rank: usize, count: &dyn Fn(&Self, f64) -> usize) -> (f64, f64) {
        let (mut low, mut high) = (low, high);
        for _ in 0..HALVINGS {
            let middle = low + (high - low) / 2.0;
            if middle <= low || middle >= high {
                break;
            }
            if count(self, middle) > rank { high = middle } else { low = middle }
        }
        (low, high)
    }
}
