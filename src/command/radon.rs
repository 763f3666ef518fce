//! `radon add`: a test of one section, as the device or laboratory reported it; `radon gauge`: a look at a system's gauge.

use super::reading::times_the_last;
use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded, fixture};
use crate::ledger::kind::gauge_looked::GaugeLooked;
use crate::ledger::kind::radon_tested::{RadonTested, Stood};
use crate::ledger::problem::Problem;
use crate::ledger::property::Property;
use crate::ledger::subject::{Address, Name};
use crate::quantity::{Length, Typed};
use crate::store::{Refusal, Store, Target};
use crate::trade::radon::gauge::Levels;
use crate::trade::words::{Answer, Device, FixtureKind, Level};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// charcoal, alpha-track, electret, monitor or other
    #[arg(long)]
    pub device: Option<String>,
    /// The result, such as "5.1 pCi/L", "155 Bq/m3" or "<0.4 pCi/L"
    #[arg(long, value_name = "RESULT", allow_hyphen_values = true)]
    pub result: Option<String>,
    /// When it started, such as 2025-01-12T10:00
    #[arg(long, value_name = "TIME")]
    pub started: Option<String>,
    /// When it ended
    #[arg(long, value_name = "TIME")]
    pub ended: Option<String>,
    /// How long it lasted, such as "48 h", where that is what is known
    #[arg(long, value_name = "TIME")]
    pub lasted: Option<String>,
    /// Whether the house was closed as the test asks: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub closed: Option<String>,
    /// The room, such as "den" or "closet under the stairs": where a device may not stand the test does not count
    #[arg(long, value_name = "TEXT")]
    pub room: Option<String>,
    /// lowest or other: the lowest level that is or could be lived in, or another
    #[arg(long)]
    pub level: Option<String>,
    #[arg(long, value_name = "TEXT")]
    pub placed_by: Option<String>,
    #[arg(long, value_name = "TEXT")]
    pub lab: Option<String>,
    /// The test it stood beside, such as larkspur-14#12
    #[arg(long, value_name = "ENTRY")]
    pub beside: Option<String>,
    #[command(flatten)]
    pub placement: Placement,
}

// Where the device stood, and in what air, as far as it was measured.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Placement {
    /// Height of the device above the floor, such as "30 in"
    #[arg(long, value_name = "LENGTH")]
    pub above_floor: Option<String>,
    /// Distance to the nearest door, window or duct
    #[arg(long, value_name = "LENGTH")]
    pub from_opening: Option<String>,
    /// Distance to the nearest outside wall
    #[arg(long, value_name = "LENGTH")]
    pub from_outside_wall: Option<String>,
    /// Distance to the nearest object, beside or above
    #[arg(long, value_name = "LENGTH")]
    pub from_object: Option<String>,
    /// Distance to the nearest heater, fireplace or furnace
    #[arg(long, value_name = "LENGTH")]
    pub from_heat: Option<String>,
    /// Distance to the sump
    #[arg(long, value_name = "LENGTH")]
    pub from_sump: Option<String>,
    /// Temperature of the room during the test; the one farthest from 65 to 80 F where it changed
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Whether there was severe weather during the test: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub severe_weather: Option<String>,
}

/// A look at the gauge of a radon system.
pub fn gauge(
    context: &Context,
    store: &mut Store,
    typed: &str,
    levels: &str,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, fixture) = fixture::fixture(context, store, typed)?;
    let mut read = Reading::default();
    let levels = read.word("--levels", Some(levels), "what a U-tube shows", Levels::WORDS, Levels::from_word);
    let facts = levels.map(|levels| GaugeLooked { fixture, levels }.into()).into_iter().collect();
    context.record_read(store, Target::Known(id), facts, read, c)
}

impl Fields {
    pub fn tested(&self, base: Option<RadonTested>, section: Name, read: &mut Reading) -> Option<RadonTested> {
        let text = self.result.as_deref().map(str::trim);
        let below = text.is_some_and(|t| t.starts_with('<'));
        let result = read.quantity("--result", text.map(|t| t.trim_start_matches('<')));
        let device = read.word("--device", self.device.as_deref(), "a device", Device::WORDS, Device::from_word);
        let started = read.when("--started", self.started.as_deref());
        let ended = read.when("--ended", self.ended.as_deref());
        let lasted = read.quantity("--lasted", self.lasted.as_deref());
        let closed = read.word("--closed", self.closed.as_deref(), "an answer", Answer::WORDS, Answer::from_word);
        let level = read.word("--level", self.level.as_deref(), "a level", Level::WORDS, Level::from_word);
        let stood = self.placement.over(base.as_ref().and_then(|b| b.stood.as_deref()), read);
        let beside = self.beside.as_deref().and_then(|typed| entry_number(typed, read));
        if base.is_none() {
            for (field, given) in [("--device", &self.device), ("--result", &self.result), ("--started", &self.started)]
            {
                if given.is_none() {
                    read.missing(field);
                }
            }
        }
        let old = base.as_ref();
        let ends_anew = ended.is_some() || lasted.is_some();
        Some(RadonTested {
            section,
            device: device.or(old.map(|b| b.device))?,
            below: if result.is_some() { below } else { old.is_some_and(|b| b.below) },
            result: result.or_else(|| old.map(|b| b.result.clone()))?,
            started: started.or(old.map(|b| b.started))?,
            ended: ended.or_else(|| old.and_then(|b| b.ended).filter(|_| !ends_anew)),
            lasted: lasted.or_else(|| old.and_then(|b| b.lasted.clone()).filter(|_| !ends_anew)),
            closed: closed.or(old.and_then(|b| b.closed)),
            room: self.room.clone().or_else(|| old.and_then(|b| b.room.clone())),
            level: level.or(old.and_then(|b| b.level)),
            placed_by: self.placed_by.clone().or_else(|| old.and_then(|b| b.placed_by.clone())),
            lab: self.lab.clone().or_else(|| old.and_then(|b| b.lab.clone())),
            beside: beside.or(old.and_then(|b| b.beside)),
            missing_hours: old.and_then(|b| b.missing_hours),
            observed: old.map_or_else(Vec::new, |b| b.observed.clone()),
            origin: old.and_then(|b| b.origin.clone()),
            stood: stood.map(Box::new),
            left_out: old.and_then(|b| b.left_out),
        })
    }
}

impl Placement {
    /// What was typed laid over what was recorded; `None` where neither says anything.
    fn over(&self, old: Option<&Stood>, read: &mut Reading) -> Option<Stood> {
        let severe = self.severe_weather.as_deref();
        let severe_weather = read.word("--severe-weather", severe, "an answer", Answer::WORDS, Answer::from_word);
        let temperature = read.quantity("--temperature", self.temperature.as_deref());
        let old = old.cloned().unwrap_or_default();
        let mut length =
            |flag, typed: &Option<String>, old: Option<Typed<Length>>| read.quantity(flag, typed.as_deref()).or(old);
        let stood = Stood {
            above_floor: length("--above-floor", &self.above_floor, old.above_floor),
            from_opening: length("--from-opening", &self.from_opening, old.from_opening),
            from_outside_wall: length("--from-outside-wall", &self.from_outside_wall, old.from_outside_wall),
            from_object: length("--from-object", &self.from_object, old.from_object),
            from_heat: length("--from-heat", &self.from_heat, old.from_heat),
            from_sump: length("--from-sump", &self.from_sump, old.from_sump),
            temperature: temperature.or(old.temperature),
            severe_weather: severe_weather.or(old.severe_weather),
        };
        (stood != Stood::default()).then_some(stood)
    }
}

fn entry_number(typed: &str, read: &mut Reading) -> Option<u64> {
    match Address::parse(typed) {
        Ok(Address::Entry { seq, .. }) => Some(seq),
        Ok(_) => {
            let wanted = "an entry";
            let typed = typed.to_owned();
            read.problems.push(Problem::NotAWord { field: "--beside", typed, wanted, words: &["larkspur-14#12"] });
            None
        }
        Err(error) => {
            read.problems.push(error.into());
            None
        }
    }
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    sure: bool,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, section) = context.section(store, typed)?;
    let mut read = Reading::default();
    let tested = fields.tested(None, section, &mut read);
    if let Some(tested) = tested.as_ref().filter(|_| read.problems.is_empty() && !sure) {
        let property = &store.folded(place.id)?.property;
        let unlikely: Vec<Problem> =
            said_before(tested, property).into_iter().chain(unlike_the_last(tested, property)).collect();
        let meant = |ask: fn(&str) -> bool| unlikely.iter().all(|p| ask(&format!("{p}; record it?")));
        if !unlikely.is_empty() && !context.ask.is_some_and(meant) {
            let refuse = |problem| Refusal { index: 0, key: place.key.clone(), problem };
            return Err(Error::Refused(unlikely.into_iter().map(refuse).collect()));
        }
    }
    let tested = tested.into_iter().map(Into::into).collect();
    context.record_read(store, Target::Known(place.id), tested, read, c)
}

/// The same result of the same device and start in the same room is more often typed twice than tested twice.
fn said_before(tested: &RadonTested, property: &Property) -> Option<Problem> {
    let of = |t: &RadonTested| (t.section.clone(), t.device, t.result.value(), t.below, t.started, t.room.clone());
    let there = property.radon_tests.iter().find(|there| of(&there.test) == of(tested));
    there.filter(|_| tested.beside.is_none()).map(|there| Problem::SameTest { seq: there.seq })
}

/// A result ten times the one before it in the section, or a tenth of it, is more often a slip than a fact.
///
/// A result below what the device shows has no multiples, and a radon system put in or out of use between the two changes them.
fn unlike_the_last(tested: &RadonTested, property: &Property) -> Option<Problem> {
    let alike = property
        .radon_tests_in(&tested.section)
        .filter(|there| !there.test.below && !there.test.result.value().is_zero() && there.test.level == tested.level);
    let last = alike.filter(|there| there.test.started <= tested.started).max_by_key(|there| there.test.started)?;
    let (before, now) = (last.test.started.date, tested.started.date);
    let systems = property.fixtures.values().filter(|f| f.kind == FixtureKind::RadonSystem);
    let mut changes = systems.flat_map(|f| [f.since, f.retired.as_ref().map(|(on, _)| on.date)]).flatten();
    if tested.below || tested.result.value().is_zero() || changes.any(|day| before <= day && day <= now) {
        return None;
    }
    let words = times_the_last(tested.result.value().to_bq_m3() / last.test.result.value().to_bq_m3())?;
    let (now, last) = (tested.result.typed().to_owned(), last.test.result.typed().to_owned());
    Some(Problem::TenTimesTheLast { now, last, times: words })
}
