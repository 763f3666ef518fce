//! `sump test`: a pump tried by pouring water in, by timing a drawdown, or both.

use uuid::Uuid;

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded, fixture};
use crate::ledger::kind::fixture_added::Fitted;
use crate::ledger::kind::sump_tested::SumpTested;
use crate::ledger::problem::Problem;
use crate::ledger::property::Fixture;
use crate::ledger::subject::{Name, Subject};
use crate::ledger::verdicts::{drawdown, verdict_of};
use crate::quantity::Units;
use crate::store::{Store, Target};
use crate::trade::Fired;
use crate::trade::sump::battery::BATTERY;
use crate::trade::sump::cycle::OVERFLOW;
use crate::trade::sump::{self, TAPE_AND_WATCH};
use crate::trade::words::{Answer, FixtureKind};

/// Starts that nobody counts in one test: design rule of this program.
const MOST_STARTS: u32 = 1000;

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
    /// Whether water rose in the pit while the pump did not run: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub water_rising: Option<String>,
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
            water_rising: None,
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
            water_rising: answer("--water-rising", &self.water_rising, read).or(old.water_rising),
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
    if let Some(times) = tested.started_times.filter(|times| *times > MOST_STARTS) {
        let most = MOST_STARTS.to_string();
        read.problems.push(Problem::Absurd { field: "--started-times", typed: times.to_string(), most });
    }
    let nothing = |text: &&String| ["no", "none", "nothing", "-"].contains(&text.trim().to_lowercase().as_str());
    if let Some(typed) = tested.failed.as_ref().filter(nothing) {
        let (typed, words) = (typed.clone(), &["\"the float stuck\""][..]);
        read.problems.push(Problem::NotAWord { field: "--failed", typed, wanted: "what went wrong, in words", words });
    }
    let pump = tested.fixture.clone();
    let fitted = store.folded(id)?.property.fixtures.get(&tested.fixture).map(|f| f.fitted.clone()).unwrap_or_default();
    let lifts = rates_in_words(&tested, &fitted, store.settings().units);
    let mut recorded = context.record_read(store, Target::Known(id), vec![tested.into()], read, c)?;
    recorded.beside.extend(lifts);
    recorded.beside.extend(holds_out(context, store, id, &pump)?);
    Ok(recorded)
}

/// How long the pit and the batteries hold out with the power off, where the figures are there: what the verdicts of the pump
/// and of the backup pumps beside it have of that now.
fn holds_out(context: &Context, store: &mut Store, id: Uuid, name: &Name) -> Result<Vec<String>, Error> {
    let settings = store.settings().clone();
    let property = &store.folded(id)?.property;
    let section = property.fixtures.get(name).and_then(|f| f.section.clone());
    let is_beside = |f: &Fixture| f.kind == FixtureKind::BackupPump && f.retired.is_none() && f.section == section;
    let beside = property.fixtures.iter().filter(|(other, f)| *other != name && is_beside(f)).map(|(other, _)| other);
    let today = context.today_at(Some(property));
    let mut says = Vec::new();
    for pump in std::iter::once(name).chain(beside) {
        let shown = verdict_of(property, &Subject::Named(pump.clone()), &settings, today);
        let told = |fired: &Fired| [&OVERFLOW, &BATTERY].contains(&fired.rule);
        let comparison = shown.map(|shown| shown.verdict.comparison).unwrap_or_default();
        let of = if pump == name { String::new() } else { format!("{pump}: ") };
        says.extend(comparison.into_iter().filter(told).map(|fired| format!("{of}{}", fired.because)));
    }
    Ok(says)
}

/// What a drawdown measured, with how far the reading of it may be off.
fn rates_in_words(tested: &SumpTested, fitted: &Fitted, units: Units) -> Option<String> {
    let (pit, drawdown) = (fitted.opening()?, drawdown(tested)?);
    let rates = sump::rates(&pit, &drawdown).ok()?;
    let off = sump::rate_errors(&pit, &drawdown, &TAPE_AND_WATCH).ok()?.pump;
    let off = off.map_or_else(String::new, |share| {
        format!(", give or take {:.0} % for a tape read to 1/4 in and a watch to 0.5 s", 100.0 * share)
    });
    Some(format!("it lifts {}{off}; {} comes in", rates.pump.show(units), rates.inflow.show(units)))
}
