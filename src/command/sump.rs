//! `sump test`: a pump tried by pouring water in, by timing a drawdown, or both.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded, fixture};
use crate::ledger::kind::fixture_added::Fitted;
use crate::ledger::kind::sump_tested::SumpTested;
use crate::ledger::subject::Name;
use crate::ledger::verdicts::drawdown;
use crate::quantity::Units;
use crate::store::{Store, Target};
use crate::trade::sump::{self, Pit, TAPE_AND_WATCH};
use crate::trade::words::Answer;

/// A battery is used to half its charge, for a long life; its capacity is that of 20 hours, without Peukert's loss: battery
/// texts (values of 50 to 80 % and of H = 20, read).
const BATTERY_DEPTH: f64 = 0.5;
const RATED_HOURS: f64 = 20.0;
const PLAIN: f64 = 1.0;

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// How far the water fell while the pump ran, such as "8 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub fall: Option<String>,
    /// How long that took, such as "15 s"
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub fall_time: Option<String>,
    /// How far it rose with the pump off, such as "2 in"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub rise: Option<String>,
    /// How long that took, such as "60 s"
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    pub rise_time: Option<String>,
    /// Water was poured in, about as fast as it comes by itself
    #[arg(long)]
    pub poured: bool,
    /// How often it switched on and off again by itself
    #[arg(long, value_name = "N")]
    pub started_times: Option<u32>,
    /// Whether water ran back into the pit after the pump stopped: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub runs_back: Option<String>,
    /// Whether starts followed one another quickly: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub short_cycles: Option<String>,
    /// What went wrong, in words
    #[arg(long, value_name = "TEXT")]
    pub failed: Option<String>,
}

impl Fields {
    pub fn tested(&self, base: Option<SumpTested>, fixture: Name, read: &mut Reading) -> SumpTested {
        let old = base.unwrap_or(SumpTested {
            fixture: fixture.clone(),
            fall: None,
            fall_time: None,
            rise: None,
            rise_time: None,
            poured: false,
            started_times: None,
            runs_back: None,
            short_cycles: None,
            failed: None,
        });
        SumpTested {
            fixture,
            fall: read.quantity("--fall", self.fall.as_deref()).or(old.fall),
            fall_time: read.quantity("--fall-time", self.fall_time.as_deref()).or(old.fall_time),
            rise: read.quantity("--rise", self.rise.as_deref()).or(old.rise),
            rise_time: read.quantity("--rise-time", self.rise_time.as_deref()).or(old.rise_time),
            poured: self.poured || old.poured,
            started_times: self.started_times.or(old.started_times),
            runs_back: answer("--runs-back", &self.runs_back, read).or(old.runs_back),
            short_cycles: answer("--short-cycles", &self.short_cycles, read).or(old.short_cycles),
            failed: self.failed.clone().or(old.failed),
        }
    }
}

fn answer(field: &'static str, typed: &Option<String>, read: &mut Reading) -> Option<Answer> {
    read.word(field, typed.as_deref(), "an answer", Answer::WORDS, Answer::from_word)
}

pub fn test(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (id, name) = fixture::fixture(context, store, typed)?;
    let mut read = Reading::default();
    let tested = fields.tested(None, name, &mut read);
    let fitted = store.folded(id)?.property.fixtures.get(&tested.fixture).map(|f| f.fitted.clone()).unwrap_or_default();
    let units = store.settings().units;
    let lifts = rates_in_words(&tested, &fitted, units).into_iter().chain(backup_in_words(&tested, &fitted));
    let mut recorded = context.record_read(store, Target::Known(id), vec![tested.into()], read, c)?;
    recorded.beside.extend(lifts);
    Ok(recorded)
}

/// How long the pit and the battery hold out with the power off, where the figures are there.
fn backup_in_words(tested: &SumpTested, fitted: &Fitted) -> Vec<String> {
    let mut says = Vec::new();
    let rates = fitted.pit.as_ref().zip(drawdown(tested)).and_then(|(pit, drawdown)| {
        let pit = Pit::round(pit.value());
        Some((pit, sump::rates(&pit, &drawdown).ok()?))
    });
    let over = rates.zip(fitted.freeboard.as_ref()).and_then(|((pit, rates), freeboard)| {
        sump::cycle::overflow(&pit, freeboard.value(), rates.inflow).ok().flatten()
    });
    says.extend(over.map(|span| {
        format!("with the pump off it would overflow in about {:.0} min at this inflow", span.to_seconds() / 60.0)
    }));
    let number = |text: &Option<String>| text.as_deref().and_then(|text| text.parse::<f64>().ok());
    let runs = number(&fitted.battery_ah)
        .zip(number(&fitted.draw_a))
        .and_then(|(capacity, draw)| sump::battery::run_time(capacity, draw, BATTERY_DEPTH, RATED_HOURS, PLAIN).ok());
    if let Some(hours) = runs.map(|span| span.to_hours()) {
        let shares = rates.and_then(|(_, rates)| rates.on_fraction).filter(|share| *share > 0.0);
        let holds = shares.map_or(String::new(), |share| format!(", {:.0} h as things are now", hours / share));
        says.push(format!("half its charge runs the backup pump for {hours:.1} h without a stop{holds}"));
    }
    says
}

/// What a drawdown measured, with how far the reading of it may be off.
fn rates_in_words(tested: &SumpTested, fitted: &Fitted, units: Units) -> Option<String> {
    let (pit, drawdown) = (Pit::round(fitted.pit.as_ref()?.value()), drawdown(tested)?);
    let rates = sump::rates(&pit, &drawdown).ok()?;
    let off = sump::rate_errors(&pit, &drawdown, &TAPE_AND_WATCH).ok()?.pump;
    let off = off.map_or_else(String::new, |share| {
        format!(", give or take {:.0} % for a tape read to 1/4 in and a watch to 0.5 s", 100.0 * share)
    });
    Some(format!("it lifts {}{off}; {} comes in", rates.pump.show(units), rates.inflow.show(units)))
}
