//! `judgement add`: what a licensed professional concluded. This program never makes one.

use std::path::PathBuf;

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::entry::Attachment;
use crate::ledger::kind::judgement_given::JudgementGiven;
use crate::store::{Store, Target};

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
