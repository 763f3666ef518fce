//! `radon add`: a test of one section, as the device or laboratory reported it.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::radon_tested::RadonTested;
use crate::ledger::problem::Problem;
use crate::ledger::subject::{Address, Name};
use crate::store::{Store, Target};
use crate::trade::words::{Answer, Device, Level};

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
    #[arg(long, value_name = "TEXT")]
    pub room: Option<String>,
    /// lowest or other
    #[arg(long)]
    pub level: Option<String>,
    #[arg(long, value_name = "TEXT")]
    pub placed_by: Option<String>,
    #[arg(long, value_name = "TEXT")]
    pub lab: Option<String>,
    /// The test it stood beside, such as larkspur-14#12
    #[arg(long, value_name = "ENTRY")]
    pub beside: Option<String>,
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
        })
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
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, section) = context.section(store, typed)?;
    let mut read = Reading::default();
    let tested = fields.tested(None, section, &mut read);
    let tested = tested.into_iter().map(Into::into).collect();
    context.record_read(store, Target::Known(place.id), tested, read, c)
}
