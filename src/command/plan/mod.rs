//! `plan`: which repair in which year under a budget, over all houses or for each by itself.

mod asked;
mod compared;
mod items;

pub use asked::{Asked, PlanningError};
pub use compared::{Compared, Extra};
pub use items::{HeldOut, Item, NotPriced};

use chrono::NaiveDate;

use super::{Context, Error};
use crate::deferral::plan::works::{self, May};
use crate::deferral::plan::{Effort, Plan, PlanError, Yearly};
use crate::deferral::{Index, Terms};
use crate::quantity::{Currency, Money};
use crate::store::Store;
use crate::trade::planning::Deadlines;
use asked::Means;

/// Repairs up to which the search goes on until nothing better can be, if it comes to an end.
const FEW: usize = 60;
/// The part of its loss by which a plan of more repairs may be beyond the least there is.
const CLOSE: f64 = 0.001;
/// The same of very many, and how many those are.
const MANY: (usize, f64) = (1000, 0.01);

/// Plans, one for all houses or one for each.
pub struct Answer {
    pub plans: Vec<Planned>,
    /// The first day of the first year.
    pub from: NaiveDate,
    pub budgets: Vec<Money>,
    pub carry: bool,
    pub deadlines: Deadlines,
    /// What a year's budget was made larger by.
    pub extra: Money,
    /// Of one visit.
    pub fee: Money,
    pub terms: Terms,
    pub index: Index,
    pub currency: Currency,
    pub preset: crate::deferral::Preset,
}

/// A plan and what it is compared with.
pub struct Planned {
    /// The house, where each has a plan of its own.
    pub house: Option<String>,
    pub items: Vec<Item>,
    /// Which items each waits for.
    pub waits: Vec<Vec<usize>>,
    /// Items that share a visit in a year, where several do.
    pub together: Vec<(usize, Vec<usize>)>,
    pub plan: Plan,
    pub compared: Vec<Compared>,
    pub extra: Vec<Extra>,
    pub not_priced: Vec<NotPriced>,
    pub held: Vec<HeldOut>,
}

/// What of the houses asked for is planned together.
#[derive(Default)]
struct Group {
    items: Vec<Item>,
    not_priced: Vec<NotPriced>,
    held: Vec<HeldOut>,
}

/// What is planned, and where the search ended. `tell` hears what is being looked for, since that can take half a minute.
pub fn plan(context: &Context, store: &mut Store, asked: &Asked, tell: &dyn Fn(&str)) -> Result<Answer, Error> {
    let means = asked.read(store.settings(), context.today_at(None))?;
    let gathered = items::gather(context, store, asked, &means)?;
    let items = asked.in_items(gathered.items, &means)?;
    let all = Group { items, not_priced: gathered.not_priced, held: gathered.held };
    let groups = if asked.each.is_some() { each_house(all) } else { vec![(None, all)] };
    let extra = Money { minor: means.extra, currency: means.currency };
    let planned = groups.into_iter().map(|(house, group)| one(house, group, &means, extra, tell));
    Ok(Answer {
        plans: planned.collect::<Result<_, _>>()?,
        from: context.today_at(None),
        budgets: means.budgets.iter().map(|&minor| Money { minor, currency: means.currency }).collect(),
        carry: asked.carry,
        extra,
        deadlines: means.deadlines,
        fee: Money { minor: means.fee, currency: means.currency },
        terms: means.assumed.terms,
        index: means.assumed.index.clone(),
        currency: means.currency,
        preset: means.assumed.preset,
    })
}

/// House by house, in the order of their keys.
fn each_house(all: Group) -> Vec<(Option<String>, Group)> {
    let mut houses: std::collections::BTreeMap<String, Group> = Default::default();
    let place: Vec<(String, usize)> = all.items.iter().map(|item| (item.key.clone(), item.work.house)).collect();
    // What an item waits for by hand is told by its place among those of its own house.
    let local = |at: usize| place[..at].iter().filter(|(_, house)| *house == place[at].1).count();
    for mut item in all.items {
        item.work.after = item.work.after.iter().map(|&other| local(other)).collect();
        houses.entry(item.key.clone()).or_default().items.push(item);
    }
    for one in all.not_priced {
        houses.entry(one.key.clone()).or_default().not_priced.push(one);
    }
    for one in all.held {
        houses.entry(one.key.clone()).or_default().held.push(one);
    }
    houses.into_iter().map(|(key, group)| (Some(key), group)).collect()
}

fn one(
    house: Option<String>,
    group: Group,
    means: &Means,
    extra: Money,
    tell: &dyn Fn(&str),
) -> Result<Planned, Error> {
    let Group { items, not_priced, held } = group;
    let all: Vec<works::Work> = items.iter().map(|item| item.work.clone()).collect();
    let fee = Money { minor: means.fee, currency: means.currency };
    let per_major = fee.minor_per_major() as f64;
    let mut task =
        works::task(&all, means.budgets.clone(), means.carry, fee.to_major(), &means.assumed.terms, per_major);
    task.bring_forward(&without_waiting(&items));
    let gap = gap(items.len());
    let effort = Effort { gap, ..Effort::DEFAULT };
    let of = house.as_ref().map_or(String::new(), |house| format!(" of {house}"));
    tell(&format!("looking for the plan{of} that costs least, {} things in {} years", items.len(), task.years()));
    let plan = task.plan(effort).map_err(|error| refused(error, &task, &items, means))?;
    let together = shared(&task, &plan);
    let compared = compared::with(&task, &items);
    let richer = |year: usize| tell(&format!("what {} more in year {} alone would save{of}", extra.show(), year + 1));
    let extra = compared::extra(&task, &plan, extra.minor, gap, &richer);
    let waits = (0..all.len()).map(|at| works::waits_for(&all, at)).collect();
    Ok(Planned { house, items, waits, together, plan, compared, extra, not_priced, held })
}

/// What must be done and has no known cost of waiting, the highest band first: nothing in the sums would have it done before its
/// last year.
fn without_waiting(items: &[Item]) -> Vec<usize> {
    let must = |item: &Item| item.price_only && matches!(item.work.may, May::By(_));
    let mut sooner: Vec<usize> = (0..items.len()).filter(|&at| must(&items[at])).collect();
    sooner.sort_by_key(|&at| (std::cmp::Reverse(items[at].band), items[at].deadline));
    sooner
}

fn gap(items: usize) -> f64 {
    match items {
        n if n <= FEW => 0.0,
        n if n <= MANY.0 => CLOSE,
        _ => MANY.1,
    }
}

fn shared(task: &Yearly, plan: &Plan) -> Vec<(usize, Vec<usize>)> {
    let mut together = Vec::new();
    for year in 0..task.years() {
        for visit in &task.shared {
            let here: Vec<usize> = visit.repairs.iter().copied().filter(|&at| plan.chosen[at] == Some(year)).collect();
            if here.len() > 1 {
                together.push((year, here));
            }
        }
    }
    together
}

/// What keeps a plan from being, in the names of this ledger.
fn refused(error: PlanError, task: &Yearly, items: &[Item], means: &Means) -> Error {
    let named = |places: &[usize]| places.iter().map(|&at| items[at].subject.clone()).collect::<Vec<_>>();
    let told = match error {
        PlanError::Circle(circle) => PlanningError::Circle(named(&circle)),
        PlanError::DoesNotFit => match task.shortfall() {
            Some(short) => PlanningError::DoesNotFit {
                year: short.year + 1,
                missing: Money { minor: short.missing, currency: means.currency },
                must: named(&short.must),
            },
            None => {
                let must = |item: &&Item| item.work.may != May::Any;
                PlanningError::NeverFits { must: items.iter().filter(must).map(|item| item.subject.clone()).collect() }
            }
        },
        PlanError::NotFound => PlanningError::NotFound,
        _ => PlanningError::TooLarge,
    };
    told.into()
}
