//! All paths at once beside the same paths one by one, which are reckoned by another way.

use proptest::prelude::{Strategy, any, prop, prop_assert, prop_assert_eq, proptest};

use super::chain::{Chain, Terms};
use super::spread::{Simulation, Spread, spread};

const YEARS: usize = 9;
const SHARES: [f64; 7] = [0.0, 0.05, 0.25, 0.5, 0.9, 0.95, 1.0];

fn asked(paths: usize, seed: u64, at: Vec<usize>, threads: usize) -> Simulation {
    Simulation { paths, seed, at, quantiles: SHARES.to_vec(), threads }
}

/// Few years are reckoned path by path.
fn one_by_one(chain: &Chain, terms: &Terms, paths: usize, seed: u64) -> Vec<Spread> {
    (0..=YEARS).flat_map(|year| spread(chain, None, terms, &asked(paths, seed, vec![year], 1)).unwrap()).collect()
}

fn agrees(together: &[Spread], apart: &[Spread]) -> bool {
    let near = |a: f64, b: f64, size: f64| (a - b).abs() <= 1e-9 * size.abs().max(1.0);
    together.len() == apart.len()
        && together.iter().zip(apart).all(|(a, b)| {
            a.year == b.year
                && a.quantiles == b.quantiles
                && near(a.mean, b.mean, b.mean)
                && near(a.error, b.error, b.mean)
        })
}

/// Chances of each stage from each: any stage may follow any other.
fn any_matrix() -> impl Strategy<Value = (Vec<Vec<f64>>, Vec<f64>, Vec<f64>, Vec<f64>)> {
    (1..6_usize).prop_flat_map(|stages| {
        let weights = || prop::collection::vec(0..4_u32, stages);
        let costs = |most: u32| prop::collection::vec((0..most).prop_map(f64::from), stages);
        (prop::collection::vec(weights(), stages), weights(), costs(5000), costs(300)).prop_map(
            |(rows, start, repair, damage)| {
                let even = |(at, row): (usize, Vec<u32>)| {
                    let sum: u32 = row.iter().sum();
                    let of = |(k, weight): (usize, u32)| match sum {
                        0 => f64::from(u8::from(k == at)),
                        sum => f64::from(weight) / f64::from(sum),
                    };
                    row.into_iter().enumerate().map(of).collect::<Vec<f64>>()
                };
                let rows = rows.into_iter().enumerate().map(even).collect();
                (rows, even((0, start)), repair, damage)
            },
        )
    })
}

proptest! {
    #[test]
    fn the_paths_together_cost_what_they_cost_one_by_one(
        (matrix, start, repair, damage) in any_matrix(),
        discount in -0.1..0.3_f64, escalation in -0.1..0.3_f64,
        paths in 1..6000_usize, seed in any::<u64>(),
    ) {
        let chain = Chain::new(matrix, start, repair, damage).unwrap();
        let terms = Terms::new(escalation, discount).unwrap();
        let apart = one_by_one(&chain, &terms, paths, seed);
        let together = spread(&chain, None, &terms, &asked(paths, seed, (0..=YEARS).collect(), 1)).unwrap();
        prop_assert!(agrees(&together, &apart), "{together:?} {apart:?}");
        let by_three = spread(&chain, None, &terms, &asked(paths, seed, (0..=YEARS).collect(), 3)).unwrap();
        prop_assert_eq!(by_three, together);
    }
}

/// Stages whose costs lie far apart, and others that lie so close that a bin holds many.
#[test]
fn costs_far_apart_and_close_together_are_told_exactly() {
    for (repair, damage) in [
        ([1.0, 1e6, 2e6, 1e12], [0.0, 1e-3, 5e5, 1.0]),
        ([100.0, 100.0, 100.0, 100.0], [10.0, 10.0, 10.0, 10.0]),
        ([0.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0]),
        ([100.0, 101.0, 102.0, 9e9], [10.0, 10.000_000_1, 10.000_000_2, 3e9]),
    ] {
        let start = vec![0.5, 0.5, 0.0, 0.0];
        let chain = Chain::advancing(vec![0.3, 0.4, 0.5], start, repair.to_vec(), damage.to_vec()).unwrap();
        let terms = Terms::new(0.02, 0.03).unwrap();
        let apart = one_by_one(&chain, &terms, 20_000, 4);
        let together = spread(&chain, None, &terms, &asked(20_000, 4, (0..=YEARS).collect(), 2)).unwrap();
        assert!(agrees(&together, &apart), "{together:?} {apart:?}");
    }
}

#[test]
fn years_come_back_in_the_order_asked_and_as_often() {
    let chain = Chain::advancing(vec![0.3], vec![1.0, 0.0], vec![100.0, 900.0], vec![5.0, 50.0]).unwrap();
    let terms = Terms::new(0.0, 0.03).unwrap();
    let found = spread(&chain, None, &terms, &asked(5000, 1, vec![7, 0, 3, 7], 2)).unwrap();
    assert_eq!(found.iter().map(|spread| spread.year).collect::<Vec<_>>(), [7, 0, 3, 7]);
    assert_eq!(found[0], found[3]);
    // Nobody has moved before a year is over.
    assert_eq!((found[1].mean, found[1].error), (100.0, 0.0));
}

#[test]
fn amounts_beyond_reckoning_are_refused() {
    let chain = Chain::advancing(vec![0.5], vec![1.0, 0.0], vec![1e308, 1e308], vec![1e308, 1e308]).unwrap();
    let terms = Terms::new(0.9, 0.0).unwrap();
    assert!(spread(&chain, None, &terms, &asked(100, 1, (0..=YEARS).collect(), 1)).is_err());
}
