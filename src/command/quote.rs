//! `quote add`: a price offered for mending findings, or for work on sections and fixtures.

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::quote_given::QuoteGiven;
use crate::ledger::subject::Subject;
use crate::quantity::Currency;
use crate::store::{Store, Target};

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// The price, such as "1450.50 USD"
    #[arg(long, value_name = "MONEY", allow_hyphen_values = true)]
    pub amount: Option<String>,
    /// Who offered it
    #[arg(long, value_name = "TEXT")]
    pub from: Option<String>,
}

impl Fields {
    pub fn given(
        &self,
        base: Option<QuoteGiven>,
        about: &[Subject],
        currency: Currency,
        read: &mut Reading,
    ) -> Option<QuoteGiven> {
        for (field, given) in [("--amount", &self.amount), ("--from", &self.from)] {
            if given.is_none() && base.is_none() {
                read.missing(field);
            }
        }
        let amount = read.money("--amount", self.amount.as_deref(), currency).or(base.as_ref().map(|b| b.amount));
        let from = self.from.clone().or(base.map(|b| b.from));
        let findings =
            about.iter().filter_map(|of| if let Subject::Finding(number) = of { Some(*number) } else { None });
        let named = about.iter().filter_map(|of| if let Subject::Named(name) = of { Some(name.clone()) } else { None });
        Some(QuoteGiven { findings: findings.collect(), named: named.collect(), amount: amount?, from: from? })
    }
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &[String],
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let (place, about) = context.things(store, typed)?;
    let mut read = Reading::default();
    let given = fields.given(None, &about, store.settings().currency, &mut read);
    let given = given.into_iter().map(Into::into).collect();
    context.record_read(store, Target::Known(place.id), given, read, c)
}
