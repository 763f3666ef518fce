//! Percentiles of many figures without sorting them: the figures are counted into equal bins, and only the bin a percentile falls
//! into is looked at.

const BINS: usize = 1024;

/// For each share p of 0 to 1, the least of `figures` that a share p of them does not pass; in the order asked. Figures
/// are finite and not none; their order is changed.
pub(super) fn percentiles(figures: &mut [f64], shares: &[f64]) -> Vec<f64> {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    for figure in figures.iter() {
        least = least.min(*figure);
        most = most.max(*figure);
    }
    let scale = BINS as f64 / (most - least);
    if figures.is_empty() || !scale.is_finite() {
        return vec![least; shares.len()];
    }
    let bin = |figure: f64| (((figure - least) * scale) as usize).min(BINS - 1);
    let mut counts = vec![0_usize; BINS];
    figures.iter().for_each(|figure| counts[bin(*figure)] += 1);
    let ranks: Vec<usize> = shares.iter().map(|share| rank(*share, figures.len())).collect();
    // Several percentiles in one bin are taken from one gathering.
    let mut gathered: Option<(usize, Vec<f64>)> = None;
    let mut of_rank = |rank: usize| {
        let (mut before, mut number) = (0, 0);
        while before + counts[number] <= rank {
            before += counts[number];
            number += 1;
        }
        if gathered.as_ref().is_none_or(|(of, _)| *of != number) {
            gathered = Some((number, figures.iter().copied().filter(|figure| bin(*figure) == number).collect()));
        }
        match &mut gathered {
            Some((_, inside)) => *inside.select_nth_unstable_by(rank - before, f64::total_cmp).1,
            None => least,
        }
    };
    ranks.into_iter().map(&mut of_rank).collect()
}

/// The place of a share among `n` figures in order, from 0.
pub(super) fn rank(share: f64, n: usize) -> usize {
    // The product of a share and a count is off by a rounding at most; 0.9 of 100,000 is the 90,000th and not the next.
    let exact = share * n as f64;
    let up = if (exact - exact.round()).abs() < 1e-9 * n as f64 { exact.round() } else { exact.ceil() };
    (up as usize).clamp(1, n) - 1
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{prop_assert_eq, proptest};

    use super::percentiles;

    #[test]
    fn a_percentile_is_the_least_figure_that_its_share_does_not_pass() {
        let mut ten: Vec<f64> = (1..=10).map(f64::from).rev().collect();
        // By counting: 0.9 of ten are nine; 0.91 needs the tenth; none is passed by the least.
        assert_eq!(percentiles(&mut ten, &[0.9, 0.91, 0.0, 0.1, 0.5, 1.0]), [9.0, 10.0, 1.0, 1.0, 5.0, 10.0]);
        assert_eq!(percentiles(&mut [3.0; 7], &[0.2, 0.8]), [3.0, 3.0]);
        let mut thousands: Vec<f64> = (1..=100_000).map(f64::from).collect();
        assert_eq!(percentiles(&mut thousands, &[0.9, 0.05, 0.95]), [90_000.0, 5_000.0, 95_000.0]);
    }

    proptest! {
        #[test]
        fn they_are_those_of_sorted_figures(mut figures in proptest::collection::vec(-1e6..1e6_f64, 1..400), share in 0..=100_u32) {
            let mut sorted = figures.clone();
            sorted.sort_by(f64::total_cmp);
            // In whole numbers, so that nothing is rounded: ceil(share n / 100).
            let place = (share as usize * figures.len()).div_ceil(100).max(1) - 1;
            let found = percentiles(&mut figures, &[f64::from(share) / 100.0]);
            prop_assert_eq!(found, vec![sorted[place]]);
        }
    }
}
