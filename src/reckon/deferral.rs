//! What waiting costs: exactly, and how far it may lie from that.

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::{Found, Outcome};
use crate::deferral::chain::{MOST_STAGES, MOST_YEARS};
use crate::deferral::spread::{self, MOST_PATHS};
use crate::deferral::{Chain, ChainError, Simulation, Spread, SpreadError, Terms, Wait};
use crate::trade::waiting;

const RATE: Kind = Kind::Number(Bounds::over_to("-1", "10"), "");
const PRICE: Kind = Kind::Number(Bounds::from_to("0", "1000000000000"), "");
const PRICES: Kind = Kind::List { of: &PRICE, least: 1, most: MOST_STAGES };
const CHANCE: Kind = Kind::Number(Bounds::from_to("0", "1"), "");
const CHANCES: Kind = Kind::List { of: &CHANCE, least: 1, most: MOST_STAGES };
/// A chain of one stage has none.
const ADVANCE: Kind = Kind::List { of: &CHANCE, least: 0, most: MOST_STAGES };
const MATRIX: Kind = Kind::List { of: &CHANCES, least: 1, most: MOST_STAGES };
const STAGE_NUMBER: Kind = Kind::Number(Bounds::from_to("0", "200"), "");
const START: Kind = Kind::OneOrList { of: &STAGE_NUMBER, most: MOST_STAGES };
const YEARS: Kind = Kind::Whole { least: 0, most: MOST_YEARS as i64 };
const SHARE: Kind = Kind::Number(Bounds::from_to("0", "1"), "");

const REPAIR: Input = Input::new("repair", PRICES, "what repair costs at each stage");
const DAMAGE: Input = Input::new("damage", PRICES, "what a year at each stage damages");
const BY_MATRIX: Input = Input::optional("matrix", MATRIX, "chances a year, a row a stage it comes from");
const BY_ADVANCE: Input =
    Input::optional("advance", ADVANCE, "chance a year of the next stage, one fewer than stages; in place of `matrix`");
const AT_START: Input = Input::new("start", START, "the stage it is at, counted from 0, or the chance of each");
const ESCALATION: Input = Input::new("escalation", RATE, "rate a year at which prices grow, as a fraction");
const DISCOUNT: Input = Input::new("discount", RATE, "rate a year as a fraction: 0.03 is 3 %");
const AHEAD: Input = Input::new("years", YEARS, "of waiting, at most");

pub static DEFERRAL: Calculation = Calculation {
    name: "deferral",
    group: Group::Time,
    does: "what waiting costs, year by year, by the stages a defect passes through",
    inputs: &[REPAIR, DAMAGE, BY_MATRIX, BY_ADVANCE, AT_START, ESCALATION, DISCOUNT, AHEAD],
    results: &[
        Output::new("wait", "for each year of waiting: chance of each stage, expected present values"),
        Output::new("cheapest_year", "the year with the least total, the earliest of equals"),
    ],
    rules: &[&waiting::COST_OF_WAITING],
    example: "--repair [450,1500,25000] --damage [0,120,400] --advance [0.1,0.05] --start 0 --escalation 0.02 --discount 0.03 --years 5",
    run: deferral,
};

fn deferral(of: &Inputs) -> Result<Outcome, Fault> {
    let (chain, terms) = (chain(of)?, terms(of)?);
    let found = chain.waiting(&terms, size(of, "years")?).map_err(refused)?;
    Ok(Outcome::new()
        .with("wait", found.years.into_iter().map(wait).collect::<Vec<_>>())
        .with("cheapest_year", i64::try_from(found.cheapest_year).ok()))
}

pub static DEFERRAL_SPREAD: Calculation = Calculation {
    name: "deferral-spread",
    group: Group::Time,
    does: "percentiles of what waiting costs, over simulated paths",
    inputs: &[
        REPAIR,
        DAMAGE,
        BY_MATRIX,
        BY_ADVANCE,
        AT_START,
        ESCALATION,
        DISCOUNT,
        AHEAD,
        Input::new(
            "at",
            Kind::List { of: &YEARS, least: 1, most: MOST_YEARS + 1 },
            "years of waiting that are asked for",
        ),
        Input::or("paths", Kind::Whole { least: 1, most: MOST_PATHS as i64 }, "100000", "how many are simulated"),
        Input::or("seed", Kind::Whole { least: 0, most: i64::MAX }, "1", "the same seed gives the same figures"),
        Input::or(
            "quantiles",
            Kind::List { of: &SHARE, least: 1, most: 1000 },
            "[0.05,0.1,0.25,0.5,0.75,0.9,0.95]",
            "shares of the paths",
        ),
    ],
    results: &[
        Output::new("at", "for each year asked: mean of the paths, and the least cost a share of them does not pass"),
        Output::new("seed", "that it was simulated with"),
    ],
    rules: &[&waiting::COST_OF_WAITING, &waiting::SPREAD_OF_WAITING],
    example: "--repair [450,1500,25000] --damage [0,120,400] --advance [0.1,0.05] --start 0 --escalation 0.02 --discount 0.03 --years 5 --at 5 --paths 10000 --quantiles [0.1,0.5,0.9]",
    run: deferral_spread,
};

fn deferral_spread(of: &Inputs) -> Result<Outcome, Fault> {
    let (chain, terms, years) = (chain(of)?, terms(of)?, size(of, "years")?);
    let size_of = |number: i64| usize::try_from(number).map_err(|_| Fault::beyond("at"));
    let at = of.wholes("at")?.into_iter().map(size_of).collect::<Result<Vec<usize>, Fault>>()?;
    if let Some((place, given)) = at.iter().enumerate().find(|(_, given)| **given > years) {
        let beyond = SpreadError::NoSuchYear { given: *given, years };
        return Err(Fault::new("at", Fact::Item { at: place, fact: Box::new(Fact::Spread(beyond)) }));
    }
    let seed = of.whole("seed")?;
    let asked = Simulation {
        paths: size(of, "paths")?,
        seed: seed.unsigned_abs(),
        at,
        quantiles: of.numbers("quantiles")?.into_iter().map(|share| share.near).collect(),
        threads: spread::threads(),
    };
    let found = spread::spread(&chain, None, &terms, &asked).map_err(not_spread)?;
    Ok(Outcome::new().with("at", found.into_iter().map(spread_at).collect::<Vec<_>>()).with("seed", seed))
}

fn chain(of: &Inputs) -> Result<Chain, Fault> {
    let near = |name| Ok::<Vec<f64>, Fault>(of.numbers(name)?.into_iter().map(|number| number.near).collect());
    let (repair, damage) = (near("repair")?, near("damage")?);
    let start = start(of, repair.len())?;
    let chain = match (of.has("matrix"), of.has("advance")) {
        (true, true) => return Err(Fault::new("advance", Fact::NotTogether("matrix"))),
        (false, false) => {
            return Err(Fault::new("advance", Fact::Missing { wanted: "`advance` or `matrix`".to_owned() }));
        }
        (true, false) => {
            let rows = of.lists_of_numbers("matrix")?.into_iter();
            let rows = rows.map(|row| row.into_iter().map(|number| number.near).collect());
            Chain::new(rows.collect(), start, repair, damage)
        }
        (false, true) => Chain::advancing(near("advance")?, start, repair, damage),
    };
    chain.map_err(refused)
}

/// A stage, or the chances of all.
fn start(of: &Inputs, stages: usize) -> Result<Vec<f64>, Fault> {
    if let Ok(chances) = of.numbers("start") {
        if let Some(at) = chances.iter().position(|chance| chance.near > 1.0) {
            let fact = Fact::Outside { least: "0".to_owned(), most: "1".to_owned() };
            return Err(Fault::new("start", Fact::Item { at, fact: Box::new(fact) }));
        }
        return Ok(chances.into_iter().map(|chance| chance.near).collect());
    }
    let number = of.number("start")?;
    if number.exact.denominator() != 1 {
        return Err(Fault::new("start", Fact::NotWhole));
    }
    let no_stage = || Fact::Outside { least: "0".to_owned(), most: (stages.saturating_sub(1)).to_string() };
    Chain::at_stage(number.near as usize, stages).ok_or_else(|| Fault::new("start", no_stage()))
}

fn terms(of: &Inputs) -> Result<Terms, Fault> {
    Terms::new(of.number("escalation")?.near, of.number("discount")?.near).map_err(refused)
}

fn size(of: &Inputs, name: &'static str) -> Result<usize, Fault> {
    usize::try_from(of.whole(name)?).map_err(|_| Fault::beyond(name))
}

fn refused(error: ChainError) -> Fault {
    use ChainError as E;
    let input = match &error {
        E::NoStages | E::TooManyStages => "repair",
        E::Stages { list, .. } | E::NotAChance { list, .. } | E::NotAPrice { list, .. } => list,
        E::RowSum { .. } => "matrix",
        E::StartSum { .. } => "start",
        E::Rate { rate, .. } => rate,
        E::TooManyYears { .. } => "years",
        E::Beyond => return Fault::beyond("years"),
    };
    Fault::new(input, Fact::Chain(error))
}

fn not_spread(error: SpreadError) -> Fault {
    let input = match error {
        SpreadError::Chain(error) => return refused(error),
        SpreadError::NoPaths | SpreadError::TooLong { .. } => "paths",
        SpreadError::NotAShare { .. } => "quantiles",
        SpreadError::NoSuchYear { .. } | SpreadError::Stages { .. } => "at",
    };
    Fault::new(input, Fact::Spread(error))
}

fn wait(of: Wait) -> Outcome {
    Outcome::new()
        .with("year", i64::try_from(of.year).ok())
        .with("stages", of.stages)
        .with("repair", of.repair)
        .with("damage", of.damage)
        .with("total", of.total)
}

fn spread_at(of: Spread) -> Outcome {
    let pair = |(share, cost): (f64, f64)| Found::List(vec![Found::Figure(share), Found::Figure(cost)]);
    Outcome::new()
        .with("year", i64::try_from(of.year).ok())
        .with("mean", of.mean)
        .with("quantiles", of.quantiles.into_iter().map(pair).collect::<Vec<_>>())
}
