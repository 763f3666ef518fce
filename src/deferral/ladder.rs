//! Ladders: for a kind of finding the stages it passes through if it is left, with prices, damages and chances.
//!
//! `ladders.toml` holds the program's own; a user's file of the same form takes their place. Every figure is low, likely and high
//! and names its source; a figure that nobody published is `assumed` and is shown so.

use std::collections::BTreeMap;

use serde::Deserialize;

use super::chain::MOST_STAGES;
use super::price::{Range, RangeError};
use crate::quantity::{Currency, Length};
use crate::trade::words::{FindingKind, Surface, Water};

/// The ladders of the program, as they are written.
pub const OWN: &str = include_str!("ladders.toml");

/// The quantities by which stages can be told apart, as they are typed.
pub const READS: [&str; 4] = ["width", "bow", "step", "gap"];

/// What stands behind a figure of a ladder.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// An assumption of whoever wrote the ladder; no published source.
    Assumed,
    Read,
    SecondHand,
    Practice,
    Memory,
    Derived,
    /// The user's own: a quotation, readings of this finding.
    Own,
}

impl Standing {
    /// As it is put to people.
    pub fn words(self) -> &'static str {
        match self {
            Standing::Assumed => "assumed",
            Standing::Read => "read in the source",
            Standing::SecondHand => "second-hand",
            Standing::Practice => "common practice, no published source",
            Standing::Memory => "from memory, not read again",
            Standing::Derived => "derived",
            Standing::Own => "your own",
        }
    }
}

/// Where figures come from.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    pub says: String,
    pub standing: Standing,
}

/// One figure as low, likely and high, with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    pub range: Range,
    /// Whose money a price is; none for what is no price.
    pub year: Option<i32>,
    pub source: Source,
}

/// What makes a finding worse faster.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aggravator {
    /// An open finding of that kind at the same property.
    Finding(FindingKind),
    /// Water seeps or runs at the place.
    Water,
    /// The house stands where the ground freezes and thaws, or a freeze was recorded.
    Freeze,
    /// A sump pump that failed its last test.
    DeadPump,
}

impl Aggravator {
    pub fn word(self) -> &'static str {
        match self {
            Aggravator::Finding(kind) => kind.word(),
            Aggravator::Water => "water",
            Aggravator::Freeze => "freeze",
            Aggravator::DeadPump => "dead-pump",
        }
    }

    pub fn words(self) -> String {
        match self {
            Aggravator::Finding(kind) => format!("an open `{}` finding", kind.word()),
            Aggravator::Water => "water at the place".to_owned(),
            Aggravator::Freeze => "freeze and thaw".to_owned(),
            Aggravator::DeadPump => "a dead sump pump".to_owned(),
        }
    }

    fn from_word(word: &str) -> Option<Aggravator> {
        match word {
            "water" => Some(Aggravator::Water),
            "freeze" => Some(Aggravator::Freeze),
            "dead-pump" => Some(Aggravator::DeadPump),
            kind => FindingKind::from_word(kind).map(Aggravator::Finding),
        }
    }
}

/// One stage of a ladder.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    pub says: String,
    /// The reading from which on a finding is at this stage.
    pub from: Option<Length>,
    pub repair: Figure,
    /// A year's damage, without water.
    pub damage: Figure,
    /// Relative risk on the published base of losses by water.
    pub water: Option<Figure>,
    /// Chance a year of the next stage; none at the last.
    pub advance: Option<Figure>,
}

/// A ladder.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    pub name: String,
    pub title: String,
    pub kind: FindingKind,
    /// Only for findings in such a surface.
    pub surface: Option<Surface>,
    /// Only for findings at least so wet.
    pub wet: bool,
    /// The quantity that `from` of the stages speaks of, as it is typed: `width`.
    pub reads: Option<String>,
    pub stages: Vec<Stage>,
    /// What makes it worse faster, and how many times.
    pub aggravated: Vec<(Aggravator, Figure)>,
    /// The loss by water a house-year that relative risks are times of, where the file has its own in place of the published one.
    pub water_loss: Option<Figure>,
}

/// A set of ladders.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladders {
    pub currency: Currency,
    all: Vec<Ladder>,
}

/// What is wrong with a file of ladders.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LadderError {
    #[error("the file does not read: {0}")]
    Toml(String),
    #[error("`{0}` is not a currency of three letters")]
    Currency(String),
    #[error("the ladders are in {given}, the ledger in {wanted}")]
    OtherCurrency { given: Currency, wanted: Currency },
    /// The published loss is in US dollars, and nothing is converted.
    #[error(
        "ladder `{ladder}`: its relative risks of water are times a loss a year that is published in USD, not in {wanted}"
    )]
    NoWaterLoss { ladder: String, wanted: Currency },
    #[error("ladder `{ladder}`: source `{source_name}` is not in the file")]
    NoSource { ladder: String, source_name: String },
    #[error("ladder `{ladder}`: {what} {error}")]
    Range { ladder: String, what: String, error: RangeError },
    #[error("ladder `{ladder}`: {what} is outside {range}")]
    Outside { ladder: String, what: String, range: &'static str },
    #[error("ladder `{ladder}`: stage {stage} has no `{field}`")]
    Missing { ladder: String, stage: usize, field: &'static str },
    #[error("ladder `{ladder}`: the last stage has an `advance`, but nothing comes after it")]
    BeyondLast { ladder: String },
    #[error("ladder `{ladder}`: stage {stage} costs less than the one before it")]
    OutOfOrder { ladder: String, stage: usize },
    #[error("ladder `{ladder}`: stage {stage} begins at {given}, not after the one before it")]
    BeginsBefore { ladder: String, stage: usize, given: String },
    #[error("ladder `{ladder}`: `{given}` is not a length")]
    NotALength { ladder: String, given: String },
    #[error("ladder `{ladder}`: `{given}` is no reading that tells stages")]
    NotRead { ladder: String, given: String },
    #[error("ladder `{ladder}`: {what} does not say of which year its money is")]
    NoYear { ladder: String, what: String },
    #[error("ladder `{ladder}`: a price is in the money of {given}, which is still to come")]
    YearToCome { ladder: String, given: i32 },
    #[error("ladder `{ladder}`: `{given}` is nothing that makes a finding worse")]
    NoAggravator { ladder: String, given: String },
    #[error("ladders make each other worse in a circle: {0}")]
    Circle(String),
    #[error("there are two ladders `{0}`")]
    Twice(String),
    #[error("ladder `{ladder}` has {given} stages; 1 to {MOST_STAGES} can be reckoned")]
    Stages { ladder: String, given: usize },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileToml {
    currency: String,
    #[serde(rename = "water-loss")]
    water_loss: Option<FigureToml>,
    source: BTreeMap<String, Source>,
    ladder: Vec<LadderToml>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LadderToml {
    name: String,
    title: String,
    kind: FindingKind,
    surface: Option<Surface>,
    #[serde(default)]
    wet: bool,
    reads: Option<String>,
    stage: Vec<StageToml>,
    #[serde(default)]
    worse: Vec<WorseToml>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StageToml {
    says: String,
    from: Option<String>,
    repair: FigureToml,
    damage: Option<FigureToml>,
    water: Option<FigureToml>,
    advance: Option<FigureToml>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FigureToml {
    range: [f64; 3],
    year: Option<i32>,
    source: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WorseToml {
    by: String,
    times: FigureToml,
}

impl Ladders {
    /// The program's own.
    pub fn own() -> Ladders {
        Ladders::parse(OWN).expect("the file is part of the program, and a test reads it")
    }

    /// Reads a file of ladders; the first thing that is wrong is told.
    pub fn parse(text: &str) -> Result<Ladders, LadderError> {
        let file: FileToml = toml::from_str(text).map_err(|error| LadderError::Toml(error.message().to_owned()))?;
        let currency = Currency::from_code(&file.currency).ok_or(LadderError::Currency(file.currency))?;
        let mut all: Vec<Ladder> = Vec::with_capacity(file.ladder.len());
        for given in file.ladder {
            if all.iter().any(|known| known.name == given.name) {
                return Err(LadderError::Twice(given.name));
            }
            all.push(ladder(given, &file.source)?);
        }
        let own = file.water_loss.map(|toml| water_loss(toml, &file.source)).transpose()?;
        for ladder in &mut all {
            ladder.water_loss.clone_from(&own);
            if currency != Currency::USD && own.is_none() && ladder.stages.iter().any(|stage| stage.water.is_some()) {
                return Err(LadderError::NoWaterLoss { ladder: ladder.name.clone(), wanted: currency });
            }
        }
        match circle(&all) {
            Some(circle) => Err(LadderError::Circle(circle)),
            None => Ok(Ladders { currency, all }),
        }
    }

    pub fn all(&self) -> &[Ladder] {
        &self.all
    }

    pub fn named(&self, name: &str) -> Option<&Ladder> {
        self.all.iter().find(|ladder| ladder.name == name)
    }

    /// Errors: a price in the money of a year after this one.
    pub fn known_by(self, year: i32) -> Result<Ladders, LadderError> {
        for ladder in &self.all {
            let figures = ladder.stages.iter().flat_map(|stage| [&stage.repair, &stage.damage]);
            if let Some(given) = figures.filter_map(|figure| figure.year).find(|given| *given > year) {
                return Err(LadderError::YearToCome { ladder: ladder.name.clone(), given });
            }
        }
        Ok(self)
    }

    /// The first ladder that fits a finding; `None`: a finding of that kind is not priced.
    pub fn of(&self, kind: FindingKind, surface: Option<Surface>, water: Option<Water>) -> Option<&Ladder> {
        let wet = is_wet(water);
        self.all.iter().find(|ladder| {
            let fits = ladder.surface.is_none() || ladder.surface == surface;
            ladder.kind == kind && fits && (wet || !ladder.wet)
        })
    }
}

/// Whether a place is more than dry.
pub fn is_wet(water: Option<Water>) -> bool {
    matches!(water, Some(Water::Damp | Water::Seeping | Water::Running))
}

fn ladder(given: LadderToml, sources: &BTreeMap<String, Source>) -> Result<Ladder, LadderError> {
    let name = given.name;
    if given.stage.is_empty() || given.stage.len() > MOST_STAGES {
        return Err(LadderError::Stages { ladder: name, given: given.stage.len() });
    }
    if let Some(given) = given.reads.as_ref().filter(|given| !READS.contains(&given.as_str())) {
        return Err(LadderError::NotRead { ladder: name, given: given.clone() });
    }
    let last = given.stage.len() - 1;
    let mut stages: Vec<Stage> = Vec::with_capacity(given.stage.len());
    for (at, toml) in given.stage.into_iter().enumerate() {
        let stage = stage(&name, at, toml, sources)?;
        if at == last && stage.advance.is_some() {
            return Err(LadderError::BeyondLast { ladder: name });
        }
        if at < last && stage.advance.is_none() {
            return Err(LadderError::Missing { ladder: name, stage: at + 1, field: "advance" });
        }
        if given.reads.is_some() && at > 0 && stage.from.is_none() {
            return Err(LadderError::Missing { ladder: name, stage: at + 1, field: "from" });
        }
        if let Some(before) = stages.last() {
            if stage.repair.range.likely < before.repair.range.likely {
                return Err(LadderError::OutOfOrder { ladder: name, stage: at + 1 });
            }
            if let (Some(from), true) = (stage.from, stage.from <= before.from) {
                return Err(LadderError::BeginsBefore {
                    ladder: name,
                    stage: at + 1,
                    given: format!("{} mm", from.to_mm()),
                });
            }
        }
        stages.push(stage);
    }
    let worse = |worse: WorseToml| {
        let by = Aggravator::from_word(&worse.by);
        let by = by.ok_or_else(|| LadderError::NoAggravator { ladder: name.clone(), given: worse.by.clone() })?;
        let what = format!("`times` of `{}`", worse.by);
        Ok((by, figure(&name, &what, worse.times, (1.0, 100.0), "1 to 100", sources)?))
    };
    let aggravated = given.worse.into_iter().map(worse).collect::<Result<_, LadderError>>()?;
    Ok(Ladder {
        name,
        title: given.title,
        kind: given.kind,
        surface: given.surface,
        wet: given.wet,
        reads: given.reads,
        stages,
        aggravated,
        water_loss: None,
    })
}

fn water_loss(toml: FigureToml, sources: &BTreeMap<String, Source>) -> Result<Figure, LadderError> {
    let (of, what) = ("(all)", "`water-loss`");
    let read = figure(of, what, toml, (0.0, 1e9), "0 to 1,000,000,000", sources)?;
    match read.year {
        Some(_) => Ok(read),
        None => Err(LadderError::NoYear { ladder: of.to_owned(), what: what.to_owned() }),
    }
}

fn stage(ladder: &str, at: usize, toml: StageToml, sources: &BTreeMap<String, Source>) -> Result<Stage, LadderError> {
    const PRICE: ((f64, f64), &str) = ((0.0, 1e9), "0 to 1,000,000,000");
    let what = |field: &str| format!("`{field}` of stage {}", at + 1);
    let taken = |field: &str, toml: FigureToml, (ends, range): ((f64, f64), &'static str)| {
        figure(ladder, &what(field), toml, ends, range, sources)
    };
    let money = |field: &str, toml: FigureToml| match toml.year {
        None if toml.range[2] > 0.0 => Err(LadderError::NoYear { ladder: ladder.to_owned(), what: what(field) }),
        _ => taken(field, toml, PRICE),
    };
    let from = toml.from.as_deref().map(|given| {
        let not_one = |_| LadderError::NotALength { ladder: ladder.to_owned(), given: given.to_owned() };
        Length::parse(given).map_err(not_one)
    });
    let nothing = || Figure {
        range: Range::sure(0.0),
        year: None,
        source: Source { says: "nothing is said of it in the ladder".to_owned(), standing: Standing::Assumed },
    };
    Ok(Stage {
        says: toml.says,
        from: from.transpose()?,
        repair: money("repair", toml.repair)?,
        damage: toml.damage.map_or_else(|| Ok(nothing()), |damage| money("damage", damage))?,
        water: toml.water.map(|water| taken("water", water, ((0.0, 1000.0), "0 to 1,000"))).transpose()?,
        advance: toml.advance.map(|advance| taken("advance", advance, ((0.0, 1.0), "0 to 1"))).transpose()?,
    })
}

fn figure(
    ladder: &str,
    what: &str,
    toml: FigureToml,
    (least, most): (f64, f64),
    range: &'static str,
    sources: &BTreeMap<String, Source>,
) -> Result<Figure, LadderError> {
    let [low, likely, high] = toml.range;
    let wrong = |error| LadderError::Range { ladder: ladder.to_owned(), what: what.to_owned(), error };
    let found = Range::new(low, likely, high).map_err(wrong)?;
    if low < least || high > most {
        return Err(LadderError::Outside { ladder: ladder.to_owned(), what: what.to_owned(), range });
    }
    let source = sources.get(&toml.source).cloned();
    let no_source = || LadderError::NoSource { ladder: ladder.to_owned(), source_name: toml.source.clone() };
    Ok(Figure { range: found, year: toml.year, source: source.ok_or_else(no_source)? })
}

/// Kinds of finding that make each other worse round and round, in words.
fn circle(all: &[Ladder]) -> Option<String> {
    let next = |kind: FindingKind| {
        let by = all.iter().filter(move |ladder| ladder.kind == kind).flat_map(|ladder| &ladder.aggravated);
        by.filter_map(|(by, _)| if let Aggravator::Finding(by) = by { Some(*by) } else { None })
    };
    for ladder in all {
        let mut paths = vec![vec![ladder.kind]];
        while let Some(path) = paths.pop() {
            for kind in path.last().copied().into_iter().flat_map(next) {
                if kind == ladder.kind {
                    let words: Vec<&str> = path.iter().chain([&kind]).map(|kind| kind.word()).collect();
                    return Some(words.join(" by "));
                }
                if !path.contains(&kind) {
                    paths.push(path.iter().copied().chain([kind]).collect());
                }
            }
        }
    }
    None
}
