//! `duty list`: the almanac as it holds for all houses, and what a house has of it.

use serde_json::{Value, json};

use super::super::{Context, Error};
use super::cautions_of;
use crate::calendar::almanac::{ALMANAC, Duty};
use crate::ledger::duties::{Chosen, Due, Falls, SetBy, chosen, duties, names_of, rule_in_words};
use crate::ledger::duty_change::DutyChange;
use crate::ledger::outlook::outlook;
use crate::ledger::settings::Settings;
use crate::ledger::subject::Subject;
use crate::store::Store;

/// A duty in a list: a row of the almanac, or one of people's own.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// What it is of: `larkspur-14/pump`, or the parts of all houses that it is for.
    pub of: String,
    pub code: String,
    pub title: String,
    pub rule: String,
    pub minutes: u32,
    pub why: String,
    /// `None` for a duty of one's own.
    pub row: Option<&'static Duty>,
    pub set_by: SetBy,
    pub off: bool,
    /// What stands of it at this house.
    pub next: Option<Due>,
}

/// The almanac as it holds for all houses, people's own duties behind.
pub fn almanac(settings: &Settings) -> Vec<Listed> {
    let row = |duty: &'static Duty| {
        let change = settings.duties.get(&duty.code);
        let other = duty.choice.as_deref().is_some_and(|c| Some(settings.frequency(c)) != duty.variant.as_deref());
        let asked_for = change.and_then(|c| c.off.or(c.rule.as_ref().map(|_| false)));
        let listed = Listed {
            of: duty.of.join(", "),
            code: duty.code.clone(),
            title: duty.title.clone(),
            rule: rule_in_words(&duty.rule),
            minutes: duty.minutes,
            why: duty.why.clone(),
            row: Some(duty),
            set_by: if other { SetBy::Choice } else { SetBy::Almanac },
            off: asked_for.unwrap_or(duty.off || other),
            next: None,
        };
        change.map_or(listed.clone(), |change| listed.with(change))
    };
    let own = settings.duties.iter().filter(|(code, _)| ALMANAC.duty(code).is_none()).map(|(code, change)| {
        let listed = Listed {
            of: change.of.clone().unwrap_or_else(|| "property".into()),
            code: code.clone(),
            title: code.clone(),
            rule: String::new(),
            minutes: Chosen::MINUTES,
            why: String::new(),
            row: None,
            set_by: SetBy::AllHouses,
            off: change.off.unwrap_or(false),
            next: None,
        };
        listed.with(change)
    });
    ALMANAC.duties.iter().map(row).chain(own).collect()
}

impl Listed {
    fn with(self, change: &DutyChange) -> Listed {
        Listed {
            title: change.title.clone().unwrap_or(self.title),
            rule: change.rule.as_ref().map_or(self.rule, |rule| rule.words()),
            minutes: change.minutes.unwrap_or(self.minutes),
            why: change.why.clone().unwrap_or(self.why),
            set_by: SetBy::AllHouses,
            ..self
        }
    }
}

/// What a house has of duties, part by part, with what stands of each.
pub fn at_house(context: &Context, store: &mut Store, key: &str) -> Result<Vec<Listed>, Error> {
    let place = context.property(store, Some(key))?;
    let property = store.folded(place.id)?.property.clone();
    let today = context.today_at(Some(&property));
    let property = store.property_on(place.id, today)?;
    let settings = store.settings();
    let rows = outlook(&property, settings, today).rows;
    let mut all = Vec::new();
    for subject in std::iter::once(Subject::Property).chain(property.subjects()) {
        let names = names_of(&property, &subject);
        let mut next = duties(&property, &subject, settings, today);
        next.extend(
            rows.get(&subject).into_iter().flat_map(|row| row.duties.iter().filter(|d| d.band.is_some()).cloned()),
        );
        let listed = |duty: Chosen| {
            let next = next.iter().find(|due| due.code == duty.code).cloned();
            let row = ALMANAC.duty(&duty.code);
            // What a verdict may ask for is told where it does.
            let silent = next.is_none() && row.is_some_and(Duty::is_asked);
            (!silent).then(|| Listed {
                of: subject.of(&property.key),
                title: next.as_ref().map_or(duty.title, |due| due.title.clone()),
                rule: duty.falls.words(),
                minutes: duty.minutes,
                why: duty.why,
                row,
                set_by: duty.set_by,
                off: duty.off,
                code: duty.code,
                next,
            })
        };
        let rows = chosen(&property, &subject, &names, settings).into_iter().filter_map(listed);
        all.extend(rows.collect::<Vec<_>>());
        all.extend(next.iter().filter_map(|due| of_repair(&subject.of(&property.key), due)));
    }
    Ok(all)
}

/// A duty that hangs on a repair or a warranty, which no part of a house is called by.
fn of_repair(of: &str, due: &Due) -> Option<Listed> {
    let row = ALMANAC.duty(&due.code).filter(|row| row.of.iter().any(|of| of == "repair" || of == "warranty"))?;
    Some(Listed {
        of: of.to_owned(),
        code: due.code.clone(),
        title: due.title.clone(),
        rule: Falls::Almanac(&row.rule).words(),
        minutes: due.minutes,
        why: row.why.clone(),
        row: Some(row),
        set_by: SetBy::Almanac,
        off: false,
        next: Some(due.clone()),
    })
}

impl Listed {
    pub fn as_json(&self) -> Value {
        json!({
            "duty": self.code, "title": self.title, "of": self.of, "rule": self.rule, "minutes": self.minutes,
            "why": self.why, "source": self.row.map(|row| &row.source), "standing": self.row.map(|row| &row.standing),
            "choice": self.row.and_then(|row| row.choice.as_ref()), "variant": self.row.and_then(|row| row.variant.as_ref()),
            "off": self.off, "set_by": self.set_by.word(), "cautions": cautions_of(&self.code),
            "due_on": self.next.as_ref().map(|due| due.due_on),
        })
    }
}
