//! `sump test`: a pump tried by pouring water in, by timing a drawdown, or both.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded, fixture};
use crate::ledger::kind::sump_tested::SumpTested;
use crate::ledger::subject::Name;
use crate::ledger::verdicts::drawdown;
use crate::quantity::{Length, Units};
use crate::store::{Store, Target};
use crate::trade::sump::{self, Pit, TAPE_AND_WATCH};

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
            failed: self.failed.clone().or(old.failed),
        }
    }
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
    let pit = store.folded(id)?.property.fixtures.get(&tested.fixture).and_then(|f| f.fitted.pit.clone());
    let lifts = pit.and_then(|pit| rates_in_words(&tested, &pit.value(), store.settings().units));
    let mut recorded = context.record_read(store, Target::Known(id), vec![tested.into()], read, c)?;
    recorded.beside.extend(lifts);
    Ok(recorded)
}

/// What a drawdown measured, with how far the reading of it may be off.
fn rates_in_words(tested: &SumpTested, pit: &Length, units: Units) -> Option<String> {
    let (pit, drawdown) = (Pit::round(*pit), drawdown(tested)?);
    let rates = sump::rates(&pit, &drawdown).ok()?;
    let off = sump::rate_errors(&pit, &drawdown, &TAPE_AND_WATCH).ok()?.pump;
    let off = off.map_or_else(String::new, |share| {
        format!(", give or take {:.0} % for a tape read to 1/4 in and a watch to 0.5 s", 100.0 * share)
    });
    Some(format!("it lifts {}{off}; {} comes in", rates.pump.show(units), rates.inflow.show(units)))
}
