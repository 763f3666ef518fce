//! `why`, `finding show`, `rules`: a verdict, and on whose authority.

use super::{Context, Error, Place, nearest};
use crate::ledger::duties::{Due, duties};
use crate::ledger::outlook::{OutlookRow, outlook};
use crate::ledger::property::Property;
use crate::ledger::readings::series;
use crate::ledger::subject::Subject;
use crate::ledger::verdicts::{Shown, verdict_of};
use crate::reckon;
use crate::reckon::{Input, Kind};
use crate::store::Store;
use crate::trade::series::{Statistics, statistics};
use crate::trade::{Rule, choice, rules, uses};

/// A verdict with the subject it is of.
pub struct Answer {
    pub place: Place,
    pub property: Property,
    /// `None`: no rule speaks of such a subject.
    pub shown: Option<Shown>,
    /// Of a property: what else of it has a band, worst first.
    pub parts: Vec<(Subject, OutlookRow)>,
    /// What the almanac asks of it, in the order of the days.
    pub duties: Vec<Due>,
    /// Of a finding: everything that is reckoned of its series of a full year.
    pub trends: Vec<Statistics>,
    pub today: chrono::NaiveDate,
}

pub fn why(context: &Context, store: &mut Store, typed: Option<&str>) -> Result<Answer, Error> {
    let place = context.subject(store, typed)?;
    let today = context.today_at(Some(&store.folded(place.id)?.property));
    let property = store.property_on(place.id, today)?;
    if !property.knows(&place.subject) {
        return Err(Error::NotYet { subject: place.subject.of(&property.key), today });
    }
    let shown = verdict_of(&property, &place.subject, store.settings(), today);
    let parts = match place.subject {
        Subject::Property => parts(&property, store, today),
        _ => Vec::new(),
    };
    let mut duties = duties(&property, &place.subject, store.settings(), today);
    duties.sort_by_key(|due| due.due_on);
    let finding = match place.subject {
        Subject::Finding(number) => property.findings.get(&number),
        _ => None,
    };
    let trends = finding.map_or_else(Vec::new, |finding| statistics(&series(finding), today));
    Ok(Answer { place, property, shown, parts, duties, trends, today })
}

fn parts(property: &Property, store: &Store, today: chrono::NaiveDate) -> Vec<(Subject, OutlookRow)> {
    let rows = outlook(property, store.settings(), today).rows;
    let banded = rows.into_iter().filter(|(subject, row)| *subject != Subject::Property && row.band.is_some());
    let mut parts: Vec<(Subject, OutlookRow)> = banded.collect();
    parts.sort_by_key(|(_, row)| std::cmp::Reverse(row.band));
    parts
}

/// A rule, the setting that chooses between its variants, and where it is used.
#[derive(serde::Serialize)]
pub struct RuleShown {
    #[serde(flatten)]
    pub rule: &'static Rule,
    pub setting: Option<&'static str>,
    /// The calculation and its input that choose one: `radon-risk --chart`.
    pub input: Option<String>,
    /// `finding: crack`, `reckon: crack-category`.
    pub used_by: Vec<String>,
}

impl RuleShown {
    fn of(rule: &'static Rule) -> RuleShown {
        let reckoned = reckon::ALL.iter().filter(|calculation| calculation.rules.contains(&rule));
        let used = uses::of(rule).iter().map(|place| place.told());
        let used_by = used.chain(reckoned.map(|calculation| format!("reckon: {}", calculation.name))).collect();
        RuleShown {
            rule,
            setting: choice::between(rule).map(|choice| choice.name),
            input: chosen_by_input(rule),
            used_by,
        }
    }
}

fn chosen_by_input(rule: &'static Rule) -> Option<String> {
    let names = |words: &[&str]| rule.variants.iter().any(|variant| words.contains(&variant.name));
    let chooses = |input: &&Input| matches!(input.kind, Kind::Word(words) if names(words));
    let of_rule = reckon::ALL.iter().filter(|calculation| calculation.rules.contains(&rule));
    let found = of_rule.filter_map(|calculation| Some((calculation.name, calculation.inputs.iter().find(chooses)?)));
    found.map(|(name, input)| format!("{name} --{}", input.name.replace('_', "-"))).next()
}

/// Every rule of the program, or the one of a name.
pub fn rules(name: Option<&str>) -> Result<Vec<RuleShown>, Error> {
    let Some(name) = name else { return Ok(rules::ALL.iter().copied().map(RuleShown::of).collect()) };
    match rules::named(name) {
        Some(rule) => Ok(vec![RuleShown::of(rule)]),
        None => {
            let nearest = nearest(name, rules::ALL.iter().map(|r| r.name));
            Err(Error::UnknownRule { name: name.to_owned(), nearest })
        }
    }
}
