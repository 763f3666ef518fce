//! `judgement add`: what a licensed professional concluded. This program never makes one.

use std::path::PathBuf;

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::entry::Attachment;
use crate::ledger::kind::judgement_given::JudgementGiven;
use crate::store::{Store, Target};
use crate::trade::words::EventKind;

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// Who judged
    #[arg(long, value_name = "TEXT")]
    pub from: Option<String>,
    /// Under which licence
    #[arg(long, value_name = "TEXT")]
    pub licence: Option<String>,
    /// What they concluded, in their words
    #[arg(long, value_name = "TEXT")]
    pub says: Option<String>,
    /// The day until which it holds
    #[arg(long, value_name = "DATE")]
    pub until: Option<String>,
    /// It ends when a width, an offset or a bow is read above this, such as "5 mm"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub until_width: Option<String>,
    /// It ends when it grows more than this in a year, such as "1 mm"
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub until_growth: Option<String>,
    /// It ends with the next storm, flood, earthquake, freeze, works, sale or heating; may be given several times
    #[arg(long, value_name = "EVENT")]
    pub until_event: Vec<String>,
    /// Their letter
    #[arg(long, value_name = "FILE")]
    pub attach: Option<PathBuf>,
}

impl Fields {
    pub fn given(
        &self,
        base: Option<JudgementGiven>,
        findings: Vec<u32>,
        document: Option<Attachment>,
        read: &mut Reading,
    ) -> JudgementGiven {
        for (field, given) in [("--from", &self.from), ("--licence", &self.licence), ("--says", &self.says)] {
            if given.is_none() && base.is_none() {
                read.missing(field);
            }
        }
        let until = read.day("--until", self.until.as_deref());
        let until_width = read.quantity("--until-width", self.until_width.as_deref());
        let until_growth = read.quantity("--until-growth", self.until_growth.as_deref());
        let event = |kind: &String| {
            read.word("--until-event", Some(kind), "a kind of event", EventKind::WORDS, EventKind::from_word)
        };
        let until_event: Vec<EventKind> = self.until_event.iter().filter_map(event).collect();
        let base = base.as_ref();
        let text = |typed: &Option<String>, old: fn(&JudgementGiven) -> &String| {
            typed.clone().or_else(|| base.map(|b| old(b).clone())).unwrap_or_default()
        };
        JudgementGiven {
            findings,
            from: text(&self.from, |b| &b.from),
            licence: text(&self.licence, |b| &b.licence),
            says: text(&self.says, |b| &b.says),
            until: until.or(base.and_then(|b| b.until)),
            until_width: until_width.or_else(|| base.and_then(|b| b.until_width.clone())),
            until_growth: until_growth.or_else(|| base.and_then(|b| b.until_growth.clone())),
            until_event: match until_event.is_empty() {
                true => base.map(|b| b.until_event.clone()).unwrap_or_default(),
                false => until_event,
            },
            document: document.or_else(|| base.and_then(|b| b.document.clone())),
        }
    }
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &[String],
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, findings) = context.findings(store, typed)?;
    let mut read = Reading::default();
    let given = fields.given(None, findings, None, &mut read);
    let mut given = read.done_on(given, c)?;
    let document = fields.attach.as_deref().map(|path| store.put_file(path)).transpose()?;
    given.document.clone_from(&document);
    let recorded = context.record(store, Target::Known(place.id), vec![given.into()], c);
    if recorded.is_err() {
        store.drop_unused(document.as_slice());
    }
    recorded
}
