//! `duty expect`: somebody was asked to come, or something was ordered; what is due there waits.

use super::super::{Circumstances, Context, Error, Recorded, nearest};
use crate::command::typed::Reading;
use crate::ledger::duties::{chosen, names_of};
use crate::ledger::kind::duty_expected::DutyExpected;
use crate::store::{Store, Target};

// What `duty expect` can be told.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct ExpectFields {
    /// The day by which it is expected
    #[arg(long, value_name = "DATE")]
    pub by: Option<String>,
    /// Who comes for what, or what was ordered
    #[arg(long, value_name = "TEXT")]
    pub what: Option<String>,
    /// The one duty that waits [default: all of the subject]
    #[arg(long, value_name = "DUTY")]
    pub duty: Option<String>,
}

pub fn expect(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &ExpectFields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let place = context.place(store, typed)?;
    let mut read = Reading::default();
    let by = read.day("--by", fields.by.as_deref());
    for (flag, given) in [("--by", &fields.by), ("--what", &fields.what)] {
        if given.is_none() {
            read.missing(flag);
        }
    }
    let (by, what) = read.done_on(by.zip(fields.what.clone()), c)?.expect("what is missing is a problem");
    if let Some(duty) = &fields.duty {
        let property = store.folded(place.id)?.property.clone();
        let names = names_of(&property, &place.subject);
        let here = chosen(&property, &place.subject, &names, store.settings());
        if !here.iter().any(|known| known.code == *duty) {
            let near = nearest(duty, here.iter().map(|known| known.code.as_str()));
            let known = here.into_iter().map(|known| known.code).collect();
            return Err(Error::NoSuchDuty { duty: duty.clone(), at: place.subject.of(&place.key), near, known });
        }
    }
    let expected = DutyExpected { about: place.subject.local(), by, what, duty: fields.duty.clone() };
    context.record(store, Target::Known(place.id), vec![expected.into()], c)
}
