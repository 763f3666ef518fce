//! Which repair in which year, under yearly budgets.

use std::collections::BTreeMap;

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Bounds, Input, Kind};
use super::inputs::{Inputs, Number};
use super::outcome::Outcome;
use crate::deferral::plan::{Effort, PlanError, Repair, Yearly};
use crate::quantity::Exact;
use crate::trade::planning;

/// Years and items beyond which a plan is not worked off in a minute.
const MOST_YEARS: usize = 60;
const MOST_ITEMS: usize = 5000;
/// Items above which a plan this close to the bound ends the search: proving more takes minutes, and the bound is told.
const MANY: usize = 1000;
const CLOSE: f64 = 1e-4;
/// Decimals of an amount that count.
const DECIMALS: u32 = 6;
/// Amounts may add up to this in their smallest part; beyond, sums would not be told exactly.
const MOST_IN_ALL: i128 = 1 << 51;

const AMOUNT: Kind = Kind::Number(Bounds::from_to("0", "1000000000000"), "");
const YEARLY: Kind = Kind::List { of: &AMOUNT, least: 1, most: MOST_YEARS };

pub static PLAN: Calculation = Calculation {
    name: "plan",
    group: Group::Time,
    does: "which item in which year, so that least is lost and no year's budget is passed",
    inputs: &[
        Input::new("budgets", YEARLY, "what each year may spend; nothing carries over"),
        Input::new(
            "items",
            Kind::List {
                of: &Kind::Record(&[
                    Input::new("id", Kind::Text, "its name"),
                    Input::new("spend", YEARLY, "what it takes from a year's budget, by year"),
                    Input::new(
                        "loss",
                        Kind::List { of: &AMOUNT, least: 2, most: MOST_YEARS + 1 },
                        "what is lost in all if it is done in that year; the last: never",
                    ),
                    Input::optional(
                        "after",
                        Kind::List { of: &Kind::Text, least: 0, most: 64 },
                        "names of items it waits for: same year or later",
                    ),
                ]),
                least: 1,
                most: MOST_ITEMS,
            },
            "what may be done",
        ),
    ],
    results: &[
        Output::new("chosen", "the year of each item, from 0; none where it is left"),
        Output::new("loss", "what the plan loses in all"),
        Output::new("spent", "by year"),
        Output::new("bound", "no plan can lose less"),
        Output::new("optimal", "whether the plan is shown to lose least"),
    ],
    rules: &[&planning::YEARLY_PLAN],
    example: r#"--budgets 500 --budgets 800 --items '{"id":"a","spend":[450,470],"loss":[450,600,800]}' --items '{"id":"b","spend":[400,420],"loss":[400,450,500],"after":["a"]}'"#,
    run: plan,
};

fn plan(of: &Inputs) -> Result<Outcome, Fault> {
    let budgets = of.numbers("budgets")?;
    let items = of.rows("items")?;
    let names = names(&items)?;
    let mut amounts: Vec<Vec<Number>> = vec![budgets];
    let years = amounts[0].len();
    for (at, item) in items.iter().enumerate() {
        for (name, wanted) in [("spend", years), ("loss", years + 1)] {
            let list = item.numbers(name)?;
            if list.len() != wanted {
                return Err(in_item(at, name, Fact::NotSoMany { given: list.len(), wanted }));
            }
            amounts.push(list);
        }
    }
    let parts = parts(&amounts).ok_or_else(|| Fault::beyond("items"))?;
    let whole =
        |list: &[Number], up: bool| list.iter().map(|number| whole(number.exact, parts, up)).collect::<Option<_>>();
    let whole = |list: &[Number], up| whole(list, up).ok_or_else(|| Fault::beyond("items"));
    let mut task = Yearly { budgets: whole(&amounts[0], false)?, ..Yearly::default() };
    for (at, item) in items.iter().enumerate() {
        task.repairs.push(Repair {
            spend: whole(&amounts[2 * at + 1], true)?,
            loss: whole(&amounts[2 * at + 2], true)?,
            after: waits_for(at, item, &names)?,
            allowed: u64::MAX,
        });
    }
    let gap = if items.len() > MANY { CLOSE } else { 0.0 };
    let plan = task.plan(Effort { gap, ..Effort::DEFAULT }).map_err(|error| refused(error, &items))?;
    let shown = |amount: i64| amount as f64 / parts as f64;
    let mut chosen = Outcome::new();
    for (item, year) in items.iter().zip(&plan.chosen) {
        chosen = chosen.with(item.text("id")?.to_owned(), year.map(|year| year as i64));
    }
    Ok(Outcome::new()
        .with("chosen", chosen)
        .with("loss", shown(plan.loss))
        .with("spent", plan.spent.iter().map(|&spent| shown(spent)).collect::<Vec<_>>())
        .with("bound", shown(plan.bound))
        .with("optimal", plan.is_optimal()))
}

fn names<'a>(items: &[&'a Inputs]) -> Result<BTreeMap<&'a str, usize>, Fault> {
    let mut names = BTreeMap::new();
    for (at, item) in items.iter().enumerate() {
        let name = item.text("id")?;
        if names.insert(name, at).is_some() {
            return Err(in_item(at, "id", Fact::SameName(name.to_owned())));
        }
    }
    Ok(names)
}

fn waits_for(at: usize, item: &Inputs, names: &BTreeMap<&str, usize>) -> Result<Vec<usize>, Fault> {
    if !item.has("after") {
        return Ok(Vec::new());
    }
    let one = |name: &String| {
        names.get(name.as_str()).copied().ok_or_else(|| in_item(at, "after", Fact::NotAnItem(name.clone())))
    };
    item.texts("after")?.iter().map(one).collect()
}

/// Into how many parts a unit is cut, so that amounts are whole: as fine as they are given, to six decimals, where the sum of
/// all can still be told exactly.
fn parts(amounts: &[Vec<Number>]) -> Option<i64> {
    let all = || amounts.iter().flatten();
    let in_all: f64 = all().map(|number| number.near).sum();
    let is_whole =
        |parts: i64| all().all(|number| parts % number.exact.denominator().min(i128::from(i64::MAX)) as i64 == 0);
    let fits = |parts: i64| in_all * (parts as f64) < MOST_IN_ALL as f64 * 0.999;
    let fitting: Vec<i64> = (0..=DECIMALS).map(|places| 10_i64.pow(places)).filter(|&parts| fits(parts)).collect();
    fitting.iter().copied().find(|&parts| is_whole(parts)).or(fitting.last().copied())
}

/// The amount in parts; what is finer is rounded up where it is spent or lost, down where it is there to be spent.
fn whole(exact: Exact, parts: i64, up: bool) -> Option<i64> {
    let scaled = exact.checked_mul(Exact::new(i128::from(parts), 1))?;
    let floor = scaled.numerator().div_euclid(scaled.denominator());
    let more = i128::from(up && scaled.denominator() != 1);
    i64::try_from(floor + more).ok()
}

fn in_item(at: usize, name: &'static str, fact: Fact) -> Fault {
    let column = Fact::Column { name, fact: Box::new(fact) };
    Fault::new("items", Fact::Item { at, fact: Box::new(column) })
}

/// Counts, signs and names were looked at before; what is left is a circle, or what cannot be reckoned.
fn refused(error: PlanError, items: &[&Inputs]) -> Fault {
    match error {
        PlanError::Circle(circle) => {
            let name = |at: &usize| items.get(*at).and_then(|item| item.text("id").ok()).unwrap_or_default().to_owned();
            Fault::new("items", Fact::Circle(circle.iter().map(name).collect()))
        }
        _ => Fault::beyond("items"),
    }
}
