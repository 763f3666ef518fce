//! `defer`, `ladder`: what waiting costs, for one finding or for all that are open.

use std::path::{Path, PathBuf};

use chrono::Datelike;

use super::{Context, Error, Place};
use crate::chart::{self, Picture};
use crate::deferral::case::MOST_AHEAD;
use crate::deferral::ladder::Ladder;
use crate::deferral::{
    Case, ChainError, Index, LadderError, Ladders, Preset, Quoted, RateError, Simulation, Spread, SpreadError, Swing,
    Terms, Waiting, rate, spread,
};
use crate::ledger::property::{Finding, Property};
use crate::ledger::settings::Settings;
use crate::ledger::subject::Subject;
use crate::ledger::verdicts::verdict_of;
use crate::ledger::waiting::seen;
use crate::quantity::Currency;
use crate::store::Store;
use crate::trade::words::FindingKind;
use crate::trade::{Band, Who};

/// Paths behind the percentiles of a screen: one in a hundred is told to about 0.2 of a hundred.
pub const PATHS: usize = 20_000;
const YEARS: usize = 15;
const SEED: u64 = 1;
/// Shares of the paths that are told.
pub const SHARES: [f64; 3] = [0.1, 0.5, 0.9];
/// A file of ladders beyond this is none.
const MOST_BYTES: u64 = 1 << 20;

// Whichever assumptions the figures are to stand on.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Assumed {
    /// Real rate a year by which later money counts less [default: the setting discount-rate, 3 %]
    #[arg(long, value_name = "RATE", allow_hyphen_values = true)]
    pub rate: Option<String>,
    /// Growth a year of repair prices beyond others [default: the setting price-growth, 2 %]
    #[arg(long, value_name = "RATE", allow_hyphen_values = true)]
    pub escalation: Option<String>,
    /// A file of ladders in place of the program's: `stemwall ladder show --toml` writes them out
    #[arg(long, value_name = "FILE")]
    pub ladder: Option<PathBuf>,
    /// ladder, fives (Law of Fives), price-only, two-to-four (times in ten years) [default: ladder]
    #[arg(long, value_name = "WORD")]
    pub preset: Option<String>,
    /// A newer figure of the price index than the table has, by which prices are brought to today's money: 2025=321.9; once for
    /// each year [default: the setting price-index]
    #[arg(long, value_name = "YEAR=FIGURE", allow_hyphen_values = true)]
    pub index: Vec<String>,
}

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Asked {
    /// A finding, or a house for all of its open ones; all houses where it is left out
    pub subject: Option<String>,
    /// How many years to look ahead, at most 100 [default: 15]
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub years: Option<usize>,
    #[command(flatten)]
    pub assumed: Assumed,
    /// Of the random numbers behind the percentiles; the same one gives the same figures [default: 1]
    #[arg(long, value_name = "N", allow_negative_numbers = true)]
    pub seed: Option<u64>,
    /// Write the picture of one finding
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// Which picture: waiting, stages, sensitivity; without --svg it is drawn in letters
    #[arg(long, value_name = "WORD")]
    pub picture: Option<String>,
}

/// Why the cost of waiting cannot be told.
#[derive(Debug, thiserror::Error)]
pub enum DeferError {
    #[error("{flag} `{given}` {error}")]
    Rate { flag: &'static str, given: String, error: RateError },
    #[error("--index `{given}` is not a year after 2024 and its figure, each year once")]
    Index { given: String },
    #[error("{given} years cannot be looked ahead")]
    Years { given: usize },
    #[error("`{given}` is not a preset")]
    Preset { given: String },
    #[error("`{given}` is not a picture")]
    Picture { given: String },
    #[error(transparent)]
    Ladder(#[from] LadderError),
    #[error("ladder `{name}` is not among them")]
    NoLadder { name: String, nearest: Option<String> },
    #[error("there is no ladder for a finding of kind `{kind}`")]
    NotPriced { subject: String, kind: FindingKind },
    #[error("finding `{subject}` is closed")]
    Closed { subject: String },
    #[error("a picture shows one finding")]
    OnePicture,
    #[error(transparent)]
    Chain(#[from] ChainError),
    #[error(transparent)]
    Spread(#[from] SpreadError),
}

/// The assumptions, read.
pub struct Means {
    pub terms: Terms,
    pub preset: Preset,
    pub ladders: Ladders,
    pub index: Index,
}

impl Assumed {
    /// Errors: a rate, a preset or a file that does not read; ladders in another currency than the ledger's.
    pub fn read(&self, settings: &Settings, today: chrono::NaiveDate) -> Result<Means, Error> {
        let preset = match &self.preset {
            None => Preset::default(),
            Some(word) => Preset::from_word(word).ok_or_else(|| DeferError::Preset { given: word.clone() })?,
        };
        let ladders = match &self.ladder {
            None => Ladders::own(),
            Some(path) => {
                let read = Ladders::parse(&text(path)?).and_then(|ladders| ladders.known_by(today.year()));
                read.map_err(DeferError::from)?
            }
        };
        let wanted = settings.currency;
        if ladders.currency != wanted {
            return Err(DeferError::from(LadderError::OtherCurrency { given: ladders.currency, wanted }).into());
        }
        let typed = self.index.join(",");
        let index = Index::with(&typed).ok_or(DeferError::Index { given: self.index.join(" ") })?;
        Ok(Means { terms: self.terms(settings)?, preset, ladders, index: settings.index().overlaid(&index) })
    }

    fn terms(&self, settings: &Settings) -> Result<Terms, Error> {
        let read = |flag, typed: &Option<String>, set: &str| {
            let given = typed.clone().unwrap_or_else(|| set.to_owned());
            rate(&given).map_err(|error| DeferError::Rate { flag, given, error })
        };
        let discount = read("--rate", &self.rate, &settings.discount_rate)?;
        let escalation = read("--escalation", &self.escalation, &settings.price_growth)?;
        Ok(Terms::new(escalation, discount).map_err(DeferError::from)?)
    }
}

fn text(path: &Path) -> Result<String, Error> {
    let wrong = |error: String| crate::store::StoreError::File { path: path.to_owned(), error };
    let size = std::fs::metadata(path).map_err(|error| match error.kind() {
        std::io::ErrorKind::NotFound => wrong("there is no such file".to_owned()),
        _ => wrong(error.to_string()),
    })?;
    if size.len() > MOST_BYTES {
        return Err(wrong("it is larger than any file of ladders".to_owned()).into());
    }
    Ok(std::fs::read_to_string(path).map_err(|error| wrong(error.to_string()))?)
}

/// What is asked of a finding beside its price: nobody is told to wait with one that somebody licensed has to look at, or has.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Called {
    pub band: Option<Band>,
    pub who: Option<Who>,
    /// The band of the verdict that holds is call or urgent.
    pub must_be_looked_at: bool,
    /// The judgement that decides what is asked, while it holds.
    pub held: Option<Held>,
}

/// A judgement that holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    pub from: String,
    pub until: Option<chrono::NaiveDate>,
}

impl Called {
    /// The judgement that holds and asks for no work.
    pub fn held_without_work(&self) -> Option<&Held> {
        self.held.as_ref().filter(|_| self.band < Some(Band::Mend))
    }
}

/// The cost of waiting with one finding.
pub struct Answer {
    pub key: String,
    pub number: u32,
    pub kind: FindingKind,
    pub place: String,
    pub case: Case,
    pub terms: Terms,
    pub waiting: Waiting,
    pub spread: Vec<Spread>,
    pub swings: Vec<Swing>,
    /// What a year's wait costs: low, expected, high.
    pub year: [f64; 3],
    pub called: Called,
    pub seed: u64,
    pub index: Index,
    pub currency: Currency,
}

/// The same of one of many, without percentiles.
pub struct Brief {
    pub key: String,
    pub number: u32,
    pub kind: FindingKind,
    pub place: String,
    pub called: Called,
    /// `None`: findings of the kind are not priced.
    pub priced: Option<(Case, Waiting, [f64; 3])>,
    /// The latest price offered for it, in the money of the day it was offered.
    pub quote: Option<Quoted>,
}

pub enum Told {
    One(Box<Answer>),
    Many { rows: Vec<Brief>, years: usize, terms: Terms, index: Index, currency: Currency },
}

pub fn defer(context: &Context, store: &mut Store, asked: &Asked) -> Result<Told, Error> {
    let years = asked.years.unwrap_or(YEARS);
    if years == 0 || years > MOST_AHEAD {
        return Err(DeferError::Years { given: years }.into());
    }
    let means = asked.assumed.read(store.settings(), context.today_at(None))?;
    let place = asked.subject.as_deref().map(|typed| context.place(store, typed)).transpose()?;
    match place {
        Some(Place { id, key, subject: Subject::Finding(number) }) => {
            let today = context.today_at(Some(&store.folded(id)?.property));
            let property = store.property_on(id, today)?;
            one(&property, &key, number, store.settings(), &means, years, asked.seed.unwrap_or(SEED), today)
                .map(Told::One)
        }
        Some(Place { subject: Subject::Named(_), .. }) => {
            let given = asked.subject.clone().unwrap_or_default();
            Err(Error::NotThat { given, wanted: "a finding, such as `larkspur-14/2`, or a house" })
        }
        _ if asked.svg.is_some() || asked.picture.is_some() => Err(DeferError::OnePicture.into()),
        house => {
            let keys = match house {
                Some(place) => vec![place.key],
                None => store.keys(false)?,
            };
            let mut rows = Vec::new();
            for key in keys {
                rows.extend(briefs(context, store, &key, &means, years)?);
            }
            let currency = store.settings().currency;
            Ok(Told::Many { rows, years, terms: means.terms, index: means.index, currency })
        }
    }
}

#[expect(
    clippy::too_many_arguments,
    reason = "each is a thing of its own, and a struct would be made for this call alone"
)]
fn one(
    property: &Property,
    key: &str,
    number: u32,
    settings: &Settings,
    means: &Means,
    years: usize,
    seed: u64,
    today: chrono::NaiveDate,
) -> Result<Box<Answer>, Error> {
    let subject = Subject::Finding(number).of(key);
    let Some((finding, seen)) = property.findings.get(&number).zip(seen(property, number, today)) else {
        return Err(Error::NotYet { subject, today });
    };
    if finding.closed.is_some() {
        return Err(DeferError::Closed { subject }.into());
    }
    let Some(ladder) = means.ladders.of(seen.kind, seen.surface, seen.water) else {
        return Err(DeferError::NotPriced { subject, kind: finding.kind }.into());
    };
    let case = Case::new(ladder, &seen, means.preset, &means.index, years);
    let threads = spread::threads();
    let simulation = Simulation { paths: PATHS, seed, at: (0..=years).collect(), quantiles: SHARES.to_vec(), threads };
    Ok(Box::new(Answer {
        key: key.to_owned(),
        number,
        kind: finding.kind,
        place: finding.place.clone(),
        terms: means.terms,
        waiting: case.waiting(&means.terms).map_err(DeferError::from)?,
        spread: case.spread(&means.terms, &simulation).map_err(DeferError::from)?,
        swings: case.swings(&means.terms, years).map_err(DeferError::from)?,
        year: case.year(&means.terms).map_err(DeferError::from)?,
        case,
        called: called(property, number, settings, today),
        seed,
        index: means.index.clone(),
        currency: settings.currency,
    }))
}

/// The open findings of a house, each with its cost of waiting where it has a ladder.
pub fn briefs(
    context: &Context,
    store: &mut Store,
    key: &str,
    means: &Means,
    years: usize,
) -> Result<Vec<Brief>, Error> {
    let place = context.property(store, Some(key))?;
    let today = context.today_at(Some(&store.folded(place.id)?.property));
    let property = store.property_on(place.id, today)?;
    let settings = store.settings();
    let brief = |(number, finding): (u32, &Finding)| {
        let seen = seen(&property, number, today)?;
        let ladder = means.ladders.of(seen.kind, seen.surface, seen.water);
        let case = ladder.map(|ladder| Case::new(ladder, &seen, means.preset, &means.index, years));
        let priced = case.map(|case| {
            let (waiting, year) = (case.waiting(&means.terms)?, case.year(&means.terms)?);
            Ok::<_, ChainError>((case, waiting, year))
        });
        let called = called(&property, number, settings, today);
        Some(priced.transpose().map(|priced| Brief {
            key: key.to_owned(),
            number,
            kind: finding.kind,
            place: finding.place.clone(),
            called,
            priced,
            quote: seen.quote,
        }))
    };
    let open = property.open_findings().filter(|(_, finding)| finding.opened.date <= today);
    Ok(open.filter_map(brief).collect::<Result<Vec<Brief>, ChainError>>().map_err(DeferError::from)?)
}

/// Who has to look, by the verdict that holds: that of a judgement, or of the record alone.
pub fn called(property: &Property, number: u32, settings: &Settings, today: chrono::NaiveDate) -> Called {
    let Some(shown) = verdict_of(property, &Subject::Finding(number), settings, today) else {
        return Called { band: None, who: None, must_be_looked_at: false, held: None };
    };
    let held = shown.held_by.map(|judgement| Held { from: judgement.from, until: judgement.until });
    let (band, who) = (shown.verdict.band, shown.verdict.who);
    Called { band, who, must_be_looked_at: band >= Some(Band::Call), held }
}

/// Every ladder, or the one of a name.
pub fn ladders(name: Option<&str>, file: Option<&Path>) -> Result<Vec<Ladder>, Error> {
    let ladders = match file {
        None => Ladders::own(),
        Some(path) => Ladders::parse(&text(path)?).map_err(DeferError::from)?,
    };
    let Some(name) = name else { return Ok(ladders.all().to_vec()) };
    match ladders.named(name) {
        Some(ladder) => Ok(vec![ladder.clone()]),
        None => {
            let nearest = super::nearest(name, ladders.all().iter().map(|ladder| ladder.name.as_str()));
            Err(DeferError::NoLadder { name: name.to_owned(), nearest }.into())
        }
    }
}

/// A picture of one answer: `waiting`, `stages` or `sensitivity`.
pub fn picture(a: &Answer, word: &str) -> Result<Picture, Error> {
    let of = format!("{}/{}", a.key, a.number);
    let years = a.waiting.years.len() - 1;
    match word {
        "waiting" => Ok(chart::waiting(&of, &a.waiting, &a.spread)),
        "stages" => Ok(chart::occupancy(&of, &a.case.stages, &a.waiting)),
        "sensitivity" => {
            let expected = a.waiting.years.last().map_or(0.0, |wait| wait.total);
            Ok(chart::sensitivity(&of, years, expected, &a.swings))
        }
        given => Err(DeferError::Picture { given: given.to_owned() }.into()),
    }
}
