//! A ladder laid on one finding: the stage it is at, the figures that count for it, and what they make of waiting.
//!
//! The rule in words (rule `ladder`): the stage is the last one whose reading the finding has reached; where nothing was read it
//! is taken to be the first, and said to be. A quotation takes the place of the price at that stage; where it is
//! above the ladder's likeliest, later stages are as many times dearer, and none is cheaper than it. Growth that a full year of readings shows takes the place of the chance of the next stage: one over the years
//! until the stage's reading is met at that growth, by its 95 % interval for low and high. Otherwise what makes it worse
//! multiplies the hazard: a chance p becomes 1 - (1 - p)^times. The expectation takes prices, damages and water at the mean of
//! their ranges, chances and times at their likeliest.

use super::chain::{Chain, ChainError, Terms, Waiting};
use super::index::Index;
use super::ladder::{Aggravator, Figure, Ladder, Source, Standing};
use super::price::Range;
use super::spread::{Prices, Simulation, Spread, SpreadError, spread};
use crate::quantity::Length;
use crate::trade::words::{FindingKind, Surface, Water};

/// Published base of losses by water, USD a house-year: 0.0161 claims of 13,954 (rule `water-loss`).
pub const WATER_BASE: f64 = 0.0161 * 13_954.0;
/// The middle of the years it was counted in, 2018 to 2022.
const WATER_YEAR: i32 = 2020;
/// One phase costs five times the one before (rule `law-of-fives`), over four phases.
const FIVE: f64 = 5.0;
const MOST_FIVES: i32 = 3;
/// Years over which deferred work comes to cost two to four times (rule `two-to-four`).
const MULTIPLIED_IN: f64 = 10.0;
/// Years ahead that a finding is looked at.
pub const MOST_AHEAD: usize = 100;

/// Which assumption the figures follow.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Preset {
    /// The ladder as it is.
    #[default]
    Ladder,
    /// The ladder's stages, each five times as dear as the one before.
    Fives,
    /// It stays at its stage; prices alone grow.
    PriceOnly,
    /// Repair comes to cost two to four times in ten years.
    TwoToFour,
}

impl Preset {
    pub const ALL: [Preset; 4] = [Preset::Ladder, Preset::Fives, Preset::PriceOnly, Preset::TwoToFour];

    pub fn word(self) -> &'static str {
        match self {
            Preset::Ladder => "ladder",
            Preset::Fives => "fives",
            Preset::PriceOnly => "price-only",
            Preset::TwoToFour => "two-to-four",
        }
    }

    pub fn from_word(word: &str) -> Option<Preset> {
        Preset::ALL.into_iter().find(|preset| preset.word() == word)
    }
}

/// What is known of a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    pub kind: FindingKind,
    pub surface: Option<Surface>,
    pub water: Option<Water>,
    /// The latest reading of each quantity that ladders ask for, by its typed name.
    pub sizes: Vec<(&'static str, Length)>,
    /// Growth that a full year of readings shows, mm a year: middle and 95 % interval, all above zero.
    pub growth: Vec<(&'static str, Range)>,
    pub quote: Option<Quoted>,
    pub aggravators: Vec<Aggravator>,
}

/// A price offered for mending it, in major units.
#[derive(Debug, Clone, PartialEq)]
pub struct Quoted {
    pub amount: f64,
    pub year: i32,
    pub from: String,
    /// How many things the price was for; each is taken to have an even part of it.
    pub shared_by: usize,
    /// Which offer of the property it is: parts of one price have the same.
    pub offer: u64,
}

/// What an assumption is a figure of. Stages are counted from the present one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    Repair(usize),
    Damage(usize),
    /// Relative risk of water.
    Water(usize),
    Advance(usize),
    Worse(Aggravator),
    /// How many times as dear repair is in ten years.
    Multiple,
}

/// One figure that the cost of waiting hangs on.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumption {
    pub of: Of,
    /// In words: `price at seeping`.
    pub says: String,
    pub range: Range,
    pub source: Source,
}

/// A ladder laid on a finding.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    pub ladder: String,
    pub title: String,
    /// The stages from the present one on, in words.
    pub stages: Vec<String>,
    /// Whether a reading says which stage it is at; `None` where the ladder is not told by readings.
    pub stage_known: Option<bool>,
    pub preset: Preset,
    /// Growth of this finding took the place of the ladder's chance.
    pub measured: bool,
    pub assumptions: Vec<Assumption>,
    /// The water base in today's money.
    water_base: f64,
    water_from: Option<Source>,
    years: usize,
}

/// How far the cost of waiting moves with one assumption alone.
#[derive(Debug, Clone, PartialEq)]
pub struct Swing {
    pub says: String,
    pub range: Range,
    pub at_low: f64,
    pub at_high: f64,
}

impl Swing {
    pub fn size(&self) -> f64 {
        (self.at_high - self.at_low).abs()
    }
}

impl Case {
    /// Lays a ladder on a finding, looking `years` ahead (at most [`MOST_AHEAD`]).
    pub fn new(ladder: &Ladder, seen: &Seen, preset: Preset, index: &Index, years: usize) -> Case {
        let reads = ladder.reads.as_deref();
        let size = seen.sizes.iter().find(|(read, _)| Some(*read) == reads).map(|(_, size)| *size);
        let reached = |size: Length| ladder.stages.iter().rposition(|stage| stage.from.is_none_or(|from| from <= size));
        let at = size.and_then(reached).unwrap_or(0);
        let mut case = Case {
            ladder: ladder.name.clone(),
            title: ladder.title.clone(),
            stages: ladder.stages[at..].iter().map(|stage| stage.says.clone()).collect(),
            stage_known: reads.map(|_| size.is_some()),
            preset,
            measured: false,
            assumptions: Vec::new(),
            water_base: ladder.water_loss.as_ref().map_or(WATER_BASE * index.factor(WATER_YEAR), |own| {
                own.range.likely * own.year.map_or(1.0, |year| index.factor(year))
            }),
            water_from: ladder.water_loss.as_ref().map(|own| own.source.clone()),
            years: years.min(MOST_AHEAD),
        };
        let growth = seen.growth.iter().find(|(read, _)| Some(*read) == reads).map(|(_, growth)| *growth);
        case.take_prices(ladder, at, seen, index);
        case.take_chances(ladder, at, size.zip(growth), seen);
        case.follow_preset();
        case
    }

    fn take(&mut self, of: Of, says: String, range: Range, source: Source) {
        self.assumptions.push(Assumption { of, says, range, source });
    }

    fn take_prices(&mut self, ladder: &Ladder, at: usize, seen: &Seen, index: &Index) {
        let quoted = seen.quote.as_ref().map(|quote| {
            let part = quote.amount * index.factor(quote.year) / quote.shared_by.max(1) as f64;
            let even = match quote.shared_by {
                0 | 1 => String::new(),
                n => format!(", an even part of a price for {n} things"),
            };
            let as_it_is = match index.knows(quote.year) {
                true => String::new(),
                false => format!(", taken as money of {}: no index of {} is set", index.newest(), quote.year),
            };
            (part, format!("quotation by {}, {}{even}{as_it_is}", quote.from, quote.year))
        });
        let now = |figure: &Figure| {
            let factor = figure.year.map_or(1.0, |year| index.factor(year));
            figure.range.map(|price| price * factor)
        };
        // A house whose repair is dear now is not mended for less when it is worse.
        let here = ladder.stages.get(at).map_or(0.0, |of| now(&of.repair).likely);
        let dearer = quoted
            .as_ref()
            .map(|(price, _)| (*price, price / here))
            .filter(|(_, times)| times.is_finite() && *times > 1.0);
        for (stage, of) in ladder.stages[at..].iter().enumerate() {
            let says = |what: &str| format!("{what} at `{}`", of.says);
            match (&quoted, stage) {
                (Some((price, from)), 0) => {
                    let source = Source { says: from.clone(), standing: Standing::Own };
                    self.take(Of::Repair(0), says("price"), Range::sure(*price), source);
                }
                _ => {
                    let (range, source) = match dearer {
                        None => (now(&of.repair), of.repair.source.clone()),
                        Some((least, times)) => {
                            let says = format!(
                                "the ladder's price times {times:.2}, as the quotation is to the likeliest price at `{}`; a figure of this program",
                                ladder.stages[at].says
                            );
                            let range = now(&of.repair).map(|price| (price * times).max(least));
                            (range, Source { says, standing: Standing::Assumed })
                        }
                    };
                    self.take(Of::Repair(stage), says("price"), range, source);
                }
            }
            if of.damage.range.high > 0.0 {
                self.take(Of::Damage(stage), says("a year's damage"), now(&of.damage), of.damage.source.clone());
            }
            if let Some(water) = &of.water {
                self.take(Of::Water(stage), says("relative risk of water"), water.range, water.source.clone());
            }
        }
    }

    fn take_chances(&mut self, ladder: &Ladder, at: usize, growing: Option<(Length, Range)>, seen: &Seen) {
        let mut by_ladder = false;
        for (stage, of) in ladder.stages[at..].iter().enumerate() {
            let Some(advance) = &of.advance else { continue };
            let says = format!("chance a year of leaving `{}`", of.says);
            let next = ladder.stages.get(at + stage + 1).and_then(|next| next.from);
            let left = growing.zip(next).map(|((size, growth), next)| {
                let begun = if stage == 0 { size } else { of.from.unwrap_or(size) };
                (next.to_mm() - begun.to_mm(), growth)
            });
            match left {
                Some((way, growth)) => {
                    // The faster it grows the sooner it is there, and the likelier each year is to be the one.
                    let range = growth.map(|growth| (growth / way).min(1.0));
                    let told = |years: f64| format!("{years:.1}");
                    let source = format!(
                        "your readings: {} to {} years at the growth they show",
                        told(way / growth.high),
                        told(way / growth.low)
                    );
                    self.take(Of::Advance(stage), says, range, Source { says: source, standing: Standing::Own });
                    self.measured = true;
                }
                None => {
                    self.take(Of::Advance(stage), says, advance.range, advance.source.clone());
                    by_ladder = true;
                }
            }
        }
        for (by, times) in ladder.aggravated.iter().filter(|(by, _)| by_ladder && seen.aggravators.contains(by)) {
            let says = format!("how much faster with {}", by.words());
            self.take(Of::Worse(*by), says, times.range, times.source.clone());
        }
    }

    fn follow_preset(&mut self) {
        let published = |says: &str, standing| Source { says: says.to_owned(), standing };
        match self.preset {
            Preset::Ladder => {}
            Preset::Fives => {
                let first = self.range(Of::Repair(0)).unwrap_or(Range::sure(0.0));
                for assumption in &mut self.assumptions {
                    if let Of::Repair(stage @ 1..) = assumption.of {
                        let steps = i32::try_from(stage).unwrap_or(MOST_FIVES).min(MOST_FIVES);
                        assumption.range = first.map(|price| price * FIVE.powi(steps));
                        assumption.source = published("Law of Fives (rule `law-of-fives`)", Standing::SecondHand);
                    }
                }
            }
            Preset::PriceOnly => {
                self.stages.truncate(1);
                self.assumptions.retain(|known| matches!(known.of, Of::Repair(0) | Of::Damage(0) | Of::Water(0)));
            }
            Preset::TwoToFour => {
                self.stages.truncate(1);
                self.assumptions.retain(|known| matches!(known.of, Of::Repair(0) | Of::Damage(0) | Of::Water(0)));
                let source = published("2 to 4 times in ten years (rule `two-to-four`)", Standing::Read);
                let range = Range { low: 2.0, likely: 3.0, high: 4.0 };
                self.take(Of::Multiple, "how many times as dear in ten years".to_owned(), range, source);
            }
        }
    }

    /// The published base of losses by water a house-year, in today's money, or that of the file.
    pub fn water_base(&self) -> f64 {
        self.water_base
    }

    /// Whose base it is, where the file has its own.
    pub fn water_from(&self) -> Option<&Source> {
        self.water_from.as_ref()
    }

    fn range(&self, of: Of) -> Option<Range> {
        self.assumptions.iter().find(|known| known.of == of).map(|known| known.range)
    }

    /// The chain of expectations.
    pub fn chain(&self) -> Result<Chain, ChainError> {
        self.chain_by(&|known| match known.of {
            Of::Repair(_) | Of::Damage(_) | Of::Water(_) => known.range.mean(),
            Of::Advance(_) | Of::Worse(_) | Of::Multiple => known.range.likely,
        })
    }

    /// The chain with every assumption at its low or at its high end.
    pub fn chain_at_end(&self, high: bool) -> Result<Chain, ChainError> {
        self.chain_by(&|known| if high { known.range.high } else { known.range.low })
    }

    fn chain_by(&self, figure: &dyn Fn(&Assumption) -> f64) -> Result<Chain, ChainError> {
        let of = |wanted: Of| self.assumptions.iter().find(|known| known.of == wanted).map(figure);
        let price = |stage| of(Of::Repair(stage)).unwrap_or(0.0);
        let harm = |stage| of(Of::Damage(stage)).unwrap_or(0.0) + of(Of::Water(stage)).unwrap_or(0.0) * self.water_base;
        if let Some(times) = of(Of::Multiple) {
            // A stage a year, each reached for sure.
            let stages = self.years + 1;
            let repair = (0..stages).map(|year| price(0) * times.powf(year as f64 / MULTIPLIED_IN)).collect();
            return Chain::advancing(vec![1.0; stages - 1], at_first(stages), repair, vec![harm(0); stages]);
        }
        let worse = self.assumptions.iter().filter(|known| matches!(known.of, Of::Worse(_)));
        let times: f64 = worse.map(figure).product();
        let advance = |stage| {
            let known = self.assumptions.iter().find(|known| known.of == Of::Advance(stage));
            known.map_or(0.0, |known| match known.source.standing {
                // What was measured holds what makes it worse already.
                Standing::Own => figure(known),
                _ => 1.0 - (1.0 - figure(known)).powf(times),
            })
        };
        let stages = self.stages.len();
        let damage = (0..stages).map(harm).collect();
        Chain::advancing(
            (0..stages - 1).map(advance).collect(),
            at_first(stages),
            (0..stages).map(price).collect(),
            damage,
        )
    }

    /// Expected cost of waiting up to the years looked ahead.
    pub fn waiting(&self, terms: &Terms) -> Result<Waiting, ChainError> {
        self.chain()?.waiting(terms, self.years)
    }

    /// What one year's wait costs: the total after a year less the total now; at low, expected and high.
    pub fn year(&self, terms: &Terms) -> Result<[f64; 3], ChainError> {
        let wait = |chain: Chain| {
            let years = chain.waiting(terms, 1)?.years;
            Ok::<f64, ChainError>(years[1].total - years[0].total)
        };
        Ok([wait(self.chain_at_end(false)?)?, wait(self.chain()?)?, wait(self.chain_at_end(true)?)?])
    }

    /// Percentiles of the cost of waiting, with prices and damages drawn for each path.
    pub fn spread(&self, terms: &Terms, asked: &Simulation) -> Result<Vec<Spread>, SpreadError> {
        let chain = self.chain()?;
        let zero = Range::sure(0.0);
        let sum = |a: Range, b: Range| Range { low: a.low + b.low, likely: a.likely + b.likely, high: a.high + b.high };
        let harm = |stage| {
            let water = self.range(Of::Water(stage)).unwrap_or(zero).map(|risk| risk * self.water_base);
            sum(self.range(Of::Damage(stage)).unwrap_or(zero), water)
        };
        let price = |stage| self.range(Of::Repair(stage)).unwrap_or(zero);
        let prices = match self.range(Of::Multiple) {
            None => {
                let stages = 0..self.stages.len();
                Prices { repair: stages.clone().map(price).collect(), damage: stages.map(harm).collect() }
            }
            Some(times) => {
                let at = |year: usize| times.likely.powf(year as f64 / MULTIPLIED_IN);
                let repair = (0..chain.stages()).map(|year| price(0).map(|price| price * at(year)));
                Prices { repair: repair.collect(), damage: vec![harm(0); chain.stages()] }
            }
        };
        spread(&chain, Some(&prices), terms, asked)
    }

    /// How far the total after `year` years of waiting moves with each assumption alone, the largest first.
    pub fn swings(&self, terms: &Terms, year: usize) -> Result<Vec<Swing>, ChainError> {
        let mut swings = Vec::new();
        for one in self.assumptions.iter().filter(|one| one.range.low < one.range.high) {
            let at = |end: f64| {
                let chain = self.chain_by(&|known| match known.of {
                    of if of == one.of => end,
                    Of::Repair(_) | Of::Damage(_) | Of::Water(_) => known.range.mean(),
                    Of::Advance(_) | Of::Worse(_) | Of::Multiple => known.range.likely,
                })?;
                let years = chain.waiting(terms, year.min(self.years))?.years;
                Ok::<f64, ChainError>(years.last().map_or(0.0, |wait| wait.total))
            };
            let (at_low, at_high) = (at(one.range.low)?, at(one.range.high)?);
            swings.push(Swing { says: one.says.clone(), range: one.range, at_low, at_high });
        }
        swings.sort_by(|a, b| b.size().total_cmp(&a.size()));
        Ok(swings)
    }

    /// How many of the figures are assumptions without a published source, and of how many.
    pub fn assumed(&self) -> (usize, usize) {
        let assumed = self.assumptions.iter().filter(|known| known.source.standing == Standing::Assumed);
        (assumed.count(), self.assumptions.len())
    }
}

fn at_first(stages: usize) -> Vec<f64> {
    let mut start = vec![0.0; stages];
    if let Some(first) = start.first_mut() {
        *first = 1.0;
    }
    start
}
