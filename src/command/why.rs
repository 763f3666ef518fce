//! `why`, `finding show`, `rules`: a verdict, and on whose authority.

use super::{Context, Error, Place, nearest};
use crate::ledger::property::Property;
use crate::ledger::verdicts::{Shown, verdict_of};
use crate::store::Store;
use crate::trade::{Rule, rules};

/// A verdict with the subject it is of.
pub struct Answer {
    pub place: Place,
    pub property: Property,
    /// `None`: no rule speaks of such a subject.
    pub shown: Option<Shown>,
    pub today: chrono::NaiveDate,
}

pub fn why(context: &Context, store: &mut Store, typed: Option<&str>) -> Result<Answer, Error> {
    let place = context.subject(store, typed)?;
    let property = store.folded(place.id)?.property.clone();
    let today = context.today_at(Some(&property));
    let shown = verdict_of(&property, &place.subject, store.settings(), today);
    Ok(Answer { place, property, shown, today })
}

/// Every rule of the program, or the one of a name.
pub fn rules(name: Option<&str>) -> Result<Vec<&'static Rule>, Error> {
    let Some(name) = name else { return Ok(rules::ALL.to_vec()) };
    match rules::named(name) {
        Some(rule) => Ok(vec![rule]),
        None => {
            let nearest = nearest(name, rules::ALL.iter().map(|r| r.name));
            Err(Error::UnknownRule { name: name.to_owned(), nearest })
        }
    }
}
