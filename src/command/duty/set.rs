//! `duty set`, `duty drop`: what is different about a duty, at all houses or at one.

use super::super::{Circumstances, Context, Error, Place, Recorded};
use super::fields::SetFields;
use super::occurrence::near_duty;
use crate::calendar::almanac::{ALMANAC, Duty, Rule, Trigger};
use crate::command::typed::Reading;
use crate::ledger::duties::names_of;
use crate::ledger::duty_change::DutyChange;
use crate::ledger::kind::Fact;
use crate::ledger::kind::duty_dropped::DutyDropped;
use crate::ledger::kind::duty_dropped_for_all::DutyDroppedForAll;
use crate::ledger::kind::duty_set::DutySet;
use crate::ledger::kind::duty_set_for_all::DutySetForAll;
use crate::ledger::property::Property;
use crate::ledger::subject::{Name, Subject};
use crate::store::{Store, Target};

/// A duty is different from now on.
pub fn set(
    context: &Context,
    store: &mut Store,
    duty: &str,
    fields: &SetFields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    Name::parse(duty)?;
    let place = match &fields.at {
        Some(at) => Some(context.place(store, at)?),
        None => None,
    };
    let property = match &place {
        Some(place) => Some(store.folded(place.id)?.property.clone()),
        None => None,
    };
    let mut read = Reading::default();
    let change = fields.change(context.today_at(property.as_ref()), &mut read)?;
    match ALMANAC.duty(duty) {
        Some(row) => of_almanac(row, fields, place.as_ref().zip(property.as_ref()))?,
        None if known(store, duty, place.as_ref().zip(property.as_ref())).is_some() => {}
        None => {
            // Neither called by a name nor told when: it is one of the almanac's, misspelt.
            if fields.title.is_none() && !fields.has_rule() {
                let unknown =
                    Error::NoSuchDuty { duty: duty.to_owned(), at: String::new(), near: None, known: Vec::new() };
                return Err(near_duty(store, duty, unknown));
            }
            if fields.title.is_none() {
                read.missing("--title");
            }
            if !fields.has_rule() {
                read.missing("--every, --season, --yearly, --rule or --once");
            }
        }
    }
    match place {
        Some(place) => {
            let set = DutySet { about: place.subject.local(), duty: duty.to_owned(), change };
            context.record_read(store, Target::Known(place.id), vec![set.into()], read, c)
        }
        None => {
            let change = read.done_on(change, c)?;
            for_all(context, store, DutySetForAll { duty: duty.to_owned(), change }.into(), c)
        }
    }
}

/// What was set of a duty holds no longer.
pub fn drop(
    context: &Context,
    store: &mut Store,
    duty: &str,
    at: Option<&str>,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let duty = duty.to_owned();
    match at {
        Some(at) => {
            let place = context.place(store, at)?;
            let dropped = DutyDropped { about: place.subject.local(), duty };
            context.record(store, Target::Known(place.id), vec![dropped.into()], c)
        }
        None => for_all(context, store, DutyDroppedForAll { duty }.into(), c),
    }
}

fn for_all(context: &Context, store: &mut Store, fact: Fact, c: &Circumstances) -> Result<Recorded, Error> {
    let sentences = vec![fact.sentence()];
    let remarks = context.remarks(store, c, &mut Vec::new())?;
    let receipt = store.append_setting(fact, remarks, context.now)?;
    store.rebuild(context.today_at(None), &mut |_, _| ())?;
    Ok(Recorded { receipts: vec![receipt], sentences, beside: Vec::new() })
}

/// What is known of a duty of one's own, here or at all houses.
fn known<'a>(store: &'a Store, duty: &str, at: Option<(&Place, &'a Property)>) -> Option<&'a DutyChange> {
    let here = at.and_then(|(place, property)| property.duties.get(&(place.subject.clone(), duty.to_owned())));
    here.or_else(|| store.settings().duties.get(duty))
}

/// What cannot be set of a duty of the almanac.
fn of_almanac(duty: &'static Duty, fields: &SetFields, at: Option<(&Place, &Property)>) -> Result<(), Error> {
    let code = duty.code.clone();
    match &duty.rule {
        Rule::Verdict { .. } if fields.off || fields.has_rule() => return Err(Error::AskedByVerdict { duty: code }),
        Rule::After { after: Trigger::Repair, .. } | Rule::Warranty { .. } if fields.has_rule() => {
            return Err(Error::RuleOfItsOwn { duty: code });
        }
        _ => {}
    }
    if fields.of.is_some() {
        return Err(Error::PartOfItsOwn { duty: code, of: duty.of.clone() });
    }
    let Some((place, property)) = at.filter(|(place, _)| place.subject != Subject::Property) else { return Ok(()) };
    let mut names = names_of(property, &place.subject);
    match place.subject {
        Subject::Finding(_) => names.extend(["repair".to_owned(), "warranty".to_owned()]),
        _ => names.push("warranty".to_owned()),
    }
    if duty.of.iter().any(|of| names.contains(of)) {
        return Ok(());
    }
    Err(Error::DutyOfAnother { duty: code, of: duty.of.clone(), at: place.subject.of(&place.key) })
}
