//! `sump test`: a pump tried by pouring water in, by timing a drawdown, or both.

use uuid::Uuid;

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded, fixture};
use crate::ledger::kind::fixture_added::Fitted;
use crate::ledger::kind::sump_tested::SumpTested;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::verdicts::{drawdown, verdict_of};
use crate::quantity::Units;
use crate::store::{Store, Target};
use crate::trade::Fired;
use crate::trade::sump::battery::BATTERY;
use crate::trade::sump::cycle::OVERFLOW;
use crate::trade::sump::{self, Pit, TAPE_AND_WATCH};
use crate::trade::words::Answer;

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
    let subject = Subject::Named(tested.fixture.clone());
    let fitted = store.folded(id)?.property.fixtures.get(&tested.fixture).map(|f| f.fitted.clone()).unwrap_or_default();
    let lifts = rates_in_words(&tested, &fitted, store.settings().units);
    let mut recorded = context.record_read(store, Target::Known(id), vec![tested.into()], read, c)?;
    recorded.beside.extend(lifts);
    recorded.beside.extend(holds_out(context, store, id, &subject)?);
    Ok(recorded)
}

/// How long the pit and the battery hold out with the power off, where the figures are there: what the verdict has of it now.
fn holds_out(context: &Context, store: &mut Store, id: Uuid, subject: &Subject) -> Result<Vec<String>, Error> {
    let settings = store.settings().clone();
    let property = &store.folded(id)?.property;
    let Some(shown) = verdict_of(property, subject, &settings, context.today_at(Some(property))) else {
        return Ok(Vec::new());
    };
    let told = |fired: &&Fired| [&OVERFLOW, &BATTERY].contains(&fired.rule);
    Ok(shown.verdict.comparison.iter().filter(told).map(|fired| fired.because.clone()).collect())
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
