//! Costs of waiting as an independent library, published tables and hand arithmetic have them; laws that hold for any chain.

use proptest::prelude::{Strategy, prop, prop_assert, prop_assert_eq, proptest};
use serde_json::Value;

use super::chain::{Chain, ChainError, Terms};
use super::price::Range;
use super::spread::{MOST_PATHS, Prices, Simulation, SpreadError, spread};
use crate::trade::life_cycle::factors;

/// numpy 2.4.6, see `tests/reference/README.md`.
const REFERENCE: &str = include_str!("../../tests/reference/finance_markov.json");

#[track_caller]
fn near(got: f64, want: f64, what: &str) {
    assert!((got - want).abs() <= 1e-9 * want.abs() + 1e-9, "{what}: {got} is not {want}");
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect()
}

fn rows() -> Vec<Value> {
    serde_json::from_str(REFERENCE).unwrap()
}

/// The chain of a reference row with its damages times `times`.
fn of_row(of: &Value, times: f64) -> (Chain, Terms) {
    let of = &of["in"];
    let matrix = of["p"].as_array().unwrap().iter().map(numbers).collect();
    let damage = numbers(&of["damage"]).iter().map(|damage| damage * times).collect();
    let terms = Terms::new(of["escalation"].as_f64().unwrap(), of["discount"].as_f64().unwrap()).unwrap();
    (Chain::new(matrix, numbers(&of["p0"]), numbers(&of["repair"]), damage).unwrap(), terms)
}

#[test]
fn expectations_are_those_of_an_independent_library() {
    let rows = rows();
    assert_eq!(rows.len(), 21);
    for row in &rows {
        let (chain, terms) = of_row(row, 1.0);
        let (id, out) = (row["id"].as_str().unwrap(), &row["out"]);
        let waiting = chain.waiting(&terms, 15).unwrap();
        let (totals, repairs) = (numbers(&out["pv_total_end"]), numbers(&out["pv_repair"]));
        for (year, wait) in waiting.years.iter().enumerate() {
            near(wait.total, totals[year], id);
            near(wait.repair, repairs[year], id);
            near(wait.damage, totals[year] - repairs[year], id);
            for (got, want) in wait.stages.iter().zip(numbers(&out["state_probability"][year])) {
                near(*got, want, id);
            }
        }
        assert_eq!(waiting.cheapest_year as u64, out["best_year_end"].as_u64().unwrap(), "{id}");
    }
}

#[test]
fn percentiles_lie_where_an_independent_simulation_has_them() {
    for row in &rows() {
        // That simulation pays damage at the start of the year: 1 / k times what is paid at its end.
        let k = of_row(row, 1.0).1.k();
        let (chain, terms) = of_row(row, 1.0 / k);
        for (year, told) in row["out"]["monte_carlo_total_start"].as_object().unwrap() {
            let quantiles = told["quantiles"].as_array().unwrap();
            let shares = quantiles.iter().map(|q| q["p"].as_f64().unwrap()).collect();
            let asked =
                Simulation { paths: 20_000, seed: 1, at: vec![year.parse().unwrap()], quantiles: shares, threads: 2 };
            let found = &spread(&chain, None, &terms, &asked).unwrap()[0];
            // The same mean by both simulations and the chain, each within six of its standard errors.
            let exact = told["exact_mean"].as_f64().unwrap();
            assert!((found.mean - exact).abs() <= 6.0 * found.error + 1e-9, "{} {year}: {found:?}", row["id"]);
            for (wanted, (_, got)) in quantiles.iter().zip(&found.quantiles) {
                let end = |name: &str| wanted[name].as_f64().unwrap();
                let inside =
                    *got >= end("low") - 1e-6 * end("low").abs() && *got <= end("high") + 1e-6 * end("high").abs();
                assert!(inside, "{} {year}: {got} is not in {wanted}", row["id"]);
            }
        }
    }
}

/// Concrete bridge, five condition states, no repair: a published course exercise (infrastructure management, exercises 4.3
/// and 4.4); state vectors derived from it.
fn bridge() -> Chain {
    let advance = vec![0.09, 0.05, 0.06, 0.15];
    Chain::advancing(advance, Chain::at_stage(0, 5).unwrap(), vec![0.0; 5], vec![0.0; 5]).unwrap()
}

#[test]
fn the_published_bridge_wears_as_its_table_says() {
    let years = bridge().waiting(&Terms::new(0.0, 0.0).unwrap(), 50).unwrap().years;
    for (year, stages) in [
        (1, [0.91, 0.09, 0.0, 0.0, 0.0]),
        (2, [0.8281, 0.1674, 0.0045, 0.0, 0.0]),
        (5, [0.62403215, 0.33693478, 0.03659576, 0.00224899, 0.00018832]),
        (10, [0.38941612, 0.47097185, 0.11687430, 0.01719644, 0.00554130]),
        (20, [0.15164491, 0.46539227, 0.25004143, 0.06800622, 0.06491516]),
        (50, [0.00895508, 0.15297726, 0.21925163, 0.09950500, 0.51931103]),
    ] {
        for (got, want) in years[year].stages.iter().zip(stages) {
            assert!((got - want).abs() < 1e-8, "year {year}: {got} is not {want}");
        }
    }
    // 1/0.15, then + 1/0.06, + 1/0.05, + 1/0.09 years.
    let to_last: Vec<f64> = bridge().years_to_last().into_iter().flatten().collect();
    for (got, want) in to_last.iter().zip([54.444444, 43.333333, 23.333333, 6.666667, 0.0]) {
        assert!((got - want).abs() < 1e-6, "{to_last:?}");
    }
}

#[test]
fn a_stage_that_may_never_be_reached_has_no_expected_years() {
    // From stage 1 half never moves on; stage 0 goes there or to the last.
    let matrix =
        vec![vec![0.0, 0.5, 0.0, 0.5], vec![0.0, 0.5, 0.5, 0.0], vec![0.0, 0.0, 1.0, 0.0], vec![0.0, 0.0, 0.0, 1.0]];
    let chain = Chain::new(matrix, vec![1.0, 0.0, 0.0, 0.0], vec![1.0; 4], vec![0.0; 4]).unwrap();
    assert_eq!(chain.years_to_last(), [None, None, None, Some(0.0)]);
    let still = Chain::advancing(vec![0.0, 0.5], vec![1.0, 0.0, 0.0], vec![1.0; 3], vec![0.0; 3]).unwrap();
    assert_eq!(still.years_to_last(), [None, Some(2.0), Some(0.0)]);
}

#[test]
fn the_worked_example_of_the_handbook_comes_out() {
    // NIST Handbook 135 (1995), Table 5-2: 20 years at 3 %; with its factors of three figures 516,233, unrounded 516,221.02
    // (electricity by a table of regional prices, 302,600, which one rate cannot give).
    let at = |n: f64| factors(0.03, 0.0, n);
    let unrounded = 103_000.0 + 12_000.0 * at(12.0).spv - 3_500.0 * at(20.0).spv + 302_600.0 + 7_000.0 * at(20.0).upv;
    assert!((unrounded - 516_221.02).abs() < 0.01, "{unrounded}");
    let printed = |factor: f64, figures: f64| (factor * figures).round() / figures;
    let rounded = 103_000.0 + 12_000.0 * printed(at(12.0).spv, 1e3) - 3_500.0 * printed(at(20.0).spv, 1e3)
        + 302_600.0
        + 7_000.0 * printed(at(20.0).upv, 1e2);
    assert!((rounded - 516_233.0).abs() < 1e-6, "{rounded}");
}

#[test]
fn a_chain_that_goes_one_way_for_sure_is_plain_discounting() {
    // One stage: damages of 224.6594 a year over 10 years at 3 % are worth 1,916.39 (0.0161 claims of 13,954, III 2018-2022,
    // times UPV(3 %, 10)), and the repair its price times SPV.
    let chain = Chain::advancing(vec![], vec![1.0], vec![1000.0], vec![0.0161 * 13_954.0]).unwrap();
    let ten = chain.waiting(&Terms::new(0.0, 0.03).unwrap(), 10).unwrap().years.pop().unwrap();
    assert!((ten.damage - 1916.39).abs() < 0.005, "{}", ten.damage);
    near(ten.repair, 1000.0 * factors(0.03, 0.0, 10.0).spv, "repair");
    // With growing prices the damages are the handbook's escalating series.
    let ten = chain.waiting(&Terms::new(0.02, 0.03).unwrap(), 10).unwrap().years.pop().unwrap();
    near(ten.damage, 0.0161 * 13_954.0 * factors(0.03, 0.02, 10.0).upv_escalating, "escalating");
}

#[test]
fn what_is_no_chain_says_why() {
    let chain = |matrix: Vec<Vec<f64>>, start: Vec<f64>, repair: Vec<f64>, damage: Vec<f64>| {
        Chain::new(matrix, start, repair, damage).unwrap_err().to_string()
    };
    let even = || vec![vec![0.5, 0.5], vec![0.0, 1.0]];
    for (says, got) in [
        ("there is no stage", chain(vec![], vec![], vec![], vec![])),
        ("`start` has 1 stages, not 2", chain(even(), vec![1.0], vec![1.0; 2], vec![0.0; 2])),
        ("`damage` has 3 stages, not 2", chain(even(), vec![1.0, 0.0], vec![1.0; 2], vec![0.0; 3])),
        (
            "`matrix` has 1 stages, not 2",
            chain(vec![vec![1.0], vec![0.0, 1.0]], vec![1.0, 0.0], vec![1.0; 2], vec![0.0; 2]),
        ),
        (
            "row 0 of the matrix sums to 0.9, not to 1",
            chain(vec![vec![0.5, 0.4], vec![0.0, 1.0]], vec![1.0, 0.0], vec![1.0; 2], vec![0.0; 2]),
        ),
        (
            "chance 1.5 of `matrix` is outside 0 to 1",
            chain(vec![vec![1.5, -0.5], vec![0.0, 1.0]], vec![1.0, 0.0], vec![1.0; 2], vec![0.0; 2]),
        ),
        (
            "the chances of the stages at the start sum to 0.5, not to 1",
            chain(even(), vec![0.5, 0.0], vec![1.0; 2], vec![0.0; 2]),
        ),
        ("`repair` of stage 1 is -1, which is no price", chain(even(), vec![1.0, 0.0], vec![1.0, -1.0], vec![0.0; 2])),
    ] {
        assert_eq!(got, says);
    }
    assert_eq!(
        Terms::new(0.0, -1.0).unwrap_err().to_string(),
        "a discount of -1 leaves nothing: it has to be above -1"
    );
    assert!(Terms::new(f64::NAN, 0.0).is_err() && Terms::new(-0.99, 0.0).is_ok());
    let chain = bridge();
    let terms = Terms::new(0.0, 0.0).unwrap();
    assert_eq!(chain.waiting(&terms, 1001), Err(ChainError::TooManyYears { given: 1001 }));
    let asked =
        |paths, at: usize, share| Simulation { paths, seed: 1, at: vec![at], quantiles: vec![share], threads: 1 };
    let refused = |asked: Simulation| spread(&chain, None, &terms, &asked).unwrap_err();
    assert_eq!(refused(asked(0, 1, 0.5)), SpreadError::NoPaths);
    assert_eq!(refused(asked(10, 1, 1.5)), SpreadError::NotAShare { given: 1.5 });
    assert_eq!(refused(asked(MOST_PATHS + 1, 1, 0.5)), SpreadError::TooLong { paths: MOST_PATHS + 1, years: 1 });
    assert_eq!(refused(asked(MOST_PATHS, 500, 0.5)), SpreadError::TooLong { paths: MOST_PATHS, years: 500 });
    let huge = Chain::advancing(vec![], vec![1.0], vec![1e300], vec![0.0]).unwrap();
    assert_eq!(huge.waiting(&Terms::new(9.0, 0.0).unwrap(), 20), Err(ChainError::Beyond));
}

#[test]
fn the_figures_do_not_hang_on_the_number_of_threads_and_a_seed_repeats() {
    let (chain, terms) = of_row(&rows()[0], 1.0);
    let asked =
        |threads, seed| Simulation { paths: 30_000, seed, at: vec![15, 0, 7], quantiles: vec![0.1, 0.5, 0.9], threads };
    let found = spread(&chain, None, &terms, &asked(1, 7)).unwrap();
    for threads in [2, 3, 8] {
        assert_eq!(spread(&chain, None, &terms, &asked(threads, 7)).unwrap(), found, "{threads}");
    }
    assert_ne!(spread(&chain, None, &terms, &asked(1, 8)).unwrap(), found);
    // Before anything moves nothing differs between paths.
    assert_eq!(found[1].quantiles, [(0.1, 440.0), (0.5, 440.0), (0.9, 440.0)]);
    assert_eq!(found.iter().map(|spread| spread.year).collect::<Vec<_>>(), [15, 0, 7]);
}

#[test]
fn prices_that_are_drawn_leave_the_expectation_where_the_chain_has_it() {
    // The chain at the means of the ranges; paths that draw their own: within five standard errors and the table's 3 in 10,000.
    let repair = [(300.0, 450.0, 600.0), (1500.0, 2500.0, 4000.0), (15_000.0, 25_000.0, 45_000.0)];
    let damage = [(0.0, 0.0, 0.0), (50.0, 120.0, 400.0), (100.0, 400.0, 1500.0)];
    let ranges = |of: &[(f64, f64, f64)]| of.iter().map(|r| Range::new(r.0, r.1, r.2).unwrap()).collect::<Vec<_>>();
    let prices = Prices { repair: ranges(&repair), damage: ranges(&damage) };
    let means = |of: &[Range]| of.iter().map(Range::mean).collect();
    let start = Chain::at_stage(0, 3).unwrap();
    let chain = Chain::advancing(vec![0.2, 0.1], start, means(&prices.repair), means(&prices.damage)).unwrap();
    let terms = Terms::new(0.02, 0.03).unwrap();
    let exact = chain.waiting(&terms, 15).unwrap();
    let asked = Simulation { paths: 100_000, seed: 1, at: vec![0, 1, 5, 15], quantiles: vec![0.5], threads: 2 };
    for found in spread(&chain, Some(&prices), &terms, &asked).unwrap() {
        let exact = exact.years[found.year].total;
        assert!((found.mean - exact).abs() < 5.0 * found.error + 3e-4 * exact, "{found:?} {exact}");
    }
    // At once the price alone differs: the median of PERT(300, 450, 600), which is symmetric.
    let now = &spread(&chain, Some(&prices), &terms, &asked).unwrap()[0];
    assert!((now.quantiles[0].1 - 450.0).abs() < 5.0 * 1.2533 * now.error, "{now:?}");
}

fn any_chain() -> impl Strategy<Value = (Vec<f64>, Vec<f64>, Vec<f64>)> {
    (2..6_usize).prop_flat_map(|stages| {
        let list = |most: f64, len| prop::collection::vec(0.0..most, len);
        (list(1.0, stages - 1), list(1e4, stages), list(1e3, stages))
    })
}

proptest! {
    #[test]
    fn without_discount_and_escalation_costs_are_plain_sums((advance, repair, damage) in any_chain()) {
        let start = Chain::at_stage(0, repair.len()).unwrap();
        let chain = Chain::advancing(advance, start, repair.clone(), damage.clone()).unwrap();
        let years = chain.waiting(&Terms::new(0.0, 0.0).unwrap(), 12).unwrap().years;
        let mean = |stages: &[f64], of: &[f64]| stages.iter().zip(of).map(|(m, c)| m * c).sum::<f64>();
        let mut paid = 0.0;
        for wait in &years {
            prop_assert!((wait.total - paid - mean(&wait.stages, &repair)).abs() < 1e-6);
            prop_assert!((wait.stages.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            paid += mean(&wait.stages, &damage);
        }
    }

    #[test]
    fn a_ladder_that_cannot_move_on_costs_the_same_every_year(
        repair in 0.0..1e5_f64, damage in 0.0..1e3_f64, rate in -0.5..0.5_f64, stage in 0..4_usize,
    ) {
        let start = Chain::at_stage(stage, 4).unwrap();
        let at = |price: f64| (0..4).map(|s| price * (1.0 + f64::from(s))).collect::<Vec<_>>();
        let chain = Chain::advancing(vec![0.0; 3], start, at(repair), at(damage)).unwrap();
        // k = 1: prices grow as money is discounted.
        let years = chain.waiting(&Terms::new(rate, rate).unwrap(), 20).unwrap().years;
        for two in years.windows(2) {
            prop_assert!((two[1].repair - two[0].repair).abs() <= 1e-9 * repair);
            prop_assert!((two[1].damage - two[0].damage - damage * (1.0 + stage as f64)).abs() < 1e-6);
        }
    }

    #[test]
    fn the_cheapest_year_is_the_earliest_of_the_least((advance, repair, damage) in any_chain(), discount in 0.0..0.2_f64) {
        let start = Chain::at_stage(0, repair.len()).unwrap();
        let chain = Chain::advancing(advance, start, repair, damage).unwrap();
        let waiting = chain.waiting(&Terms::new(0.0, discount).unwrap(), 15).unwrap();
        let least = waiting.years.iter().map(|wait| wait.total).fold(f64::INFINITY, f64::min);
        let first = waiting.years.iter().position(|wait| wait.total == least).unwrap();
        prop_assert_eq!(waiting.cheapest_year, first);
    }
}
