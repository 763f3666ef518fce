//! Prices known as a range: lowest, likeliest, highest.
//!
//! PERT (lambda = 4): a beta distribution on [low, high] with alpha = 1 + 4 (likely - low) / (high - low), beta = 1 + 4 (high -
//! likely) / (high - low); mean (low + 4 likely + high) / 6, variance (mean - low)(high - mean) / 7. The shortcut ((high - low) /
//! 6)^2 is not its variance. Triangular: mean (low + likely + high) / 3. Formulas: Malcolm et al. 1959 as cited with them.

use statrs::distribution::{Beta, ContinuousCDF};

/// Lowest, likeliest and highest of something.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Range {
    pub low: f64,
    pub likely: f64,
    pub high: f64,
}

/// What is wrong with a range.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum RangeError {
    #[error("{low}, {likely}, {high} do not go up")]
    OutOfOrder { low: f64, likely: f64, high: f64 },
    #[error("a figure of it is not finite")]
    NotFinite,
}

impl Range {
    /// Errors if the three do not go up or one is not finite.
    pub fn new(low: f64, likely: f64, high: f64) -> Result<Range, RangeError> {
        if [low, likely, high].iter().any(|figure| !figure.is_finite()) {
            return Err(RangeError::NotFinite);
        }
        if !(low <= likely && likely <= high) {
            return Err(RangeError::OutOfOrder { low, likely, high });
        }
        Ok(Range { low, likely, high })
    }

    /// A figure that is known.
    pub const fn sure(figure: f64) -> Range {
        Range { low: figure, likely: figure, high: figure }
    }

    /// The range with each end changed; a function that never falls keeps the order.
    pub fn map(self, change: impl Fn(f64) -> f64) -> Range {
        Range { low: change(self.low), likely: change(self.likely), high: change(self.high) }
    }

    /// Mean of the PERT distribution.
    pub fn mean(&self) -> f64 {
        (self.low + 4.0 * self.likely + self.high) / 6.0
    }

    /// Variance of the PERT distribution.
    pub fn variance(&self) -> f64 {
        (self.mean() - self.low) * (self.high - self.mean()) / 7.0
    }

    /// Least figure that is not passed with chance `p` (0 to 1) under PERT.
    pub fn quantile(&self, p: f64) -> f64 {
        let width = self.high - self.low;
        let shapes = (1.0 + 4.0 * (self.likely - self.low) / width, 1.0 + 4.0 * (self.high - self.likely) / width);
        match Beta::new(shapes.0, shapes.1) {
            Ok(beta) if width > 0.0 => self.low + width * beta.inverse_cdf(p.clamp(0.0, 1.0)),
            _ => self.likely,
        }
    }

    /// Mean of the triangular distribution.
    pub fn triangular_mean(&self) -> f64 {
        (self.low + self.likely + self.high) / 3.0
    }

    /// Variance of the triangular distribution.
    pub fn triangular_variance(&self) -> f64 {
        let Range { low: a, likely: m, high: b } = *self;
        (a * a + b * b + m * m - a * b - a * m - b * m) / 18.0
    }

    /// Least figure that is not passed with chance `p` (0 to 1) under the triangular distribution.
    pub fn triangular_quantile(&self, p: f64) -> f64 {
        let Range { low: a, likely: m, high: b } = *self;
        if b <= a {
            return m;
        }
        if p <= (m - a) / (b - a) {
            a + (p * (b - a) * (m - a)).sqrt()
        } else {
            b - ((1.0 - p) * (b - a) * (b - m)).sqrt()
        }
    }

    /// Quantiles of PERT in a table, for many draws.
    pub(super) fn table(&self) -> Table {
        // Ends and middles of equal shares; each share is drawn from evenly, so the mean is that of the trapezoids.
        let at = |point: usize| self.quantile(point as f64 / SHARES as f64);
        Table(if self.high > self.low { (0..=SHARES).map(at).collect() } else { vec![self.likely] })
    }
}

const SHARES: usize = 400;

/// Quantiles at equal steps.
#[derive(Debug, Clone)]
pub(super) struct Table(Vec<f64>);

impl Table {
    /// The figure at `u`, from 0 up to 1, by a straight line between neighbours.
    pub fn at(&self, u: f64) -> f64 {
        let place = u * (self.0.len() - 1) as f64;
        let below = place as usize;
        match self.0.get(below + 1) {
            Some(above) => self.0[below] + (place - below as f64) * (above - self.0[below]),
            None => self.0[self.0.len() - 1],
        }
    }

    /// Mean of what [`Table::at`] gives over all `u`.
    #[cfg(test)]
    fn mean(&self) -> f64 {
        self.0.windows(2).map(|two| (two[0] + two[1]) / 2.0).sum::<f64>() / (self.0.len() - 1) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::{Range, RangeError};

    #[track_caller]
    fn near(got: f64, want: f64, what: &str) {
        assert!((got - want).abs() <= 1e-6 * want.abs(), "{what}: {got} is not {want}");
    }

    #[test]
    fn moments_and_quantiles_are_those_of_an_independent_library() {
        // scipy 1.17.1: beta distribution, lambda 4; triangular distribution.
        for (range, mean, variance, quantiles) in [
            ((800.0, 1200.0, 2500.0), 1350.0, 90357.142857, [1314.897709, 1613.577996, 1773.646113, 1899.893695]),
            ((2.0, 5.0, 14.0), 6.0, 4.571428571, [5.765722, 7.882308, 9.006685, 9.888900]),
            ((0.0, 5.0, 10.0), 5.0, 100.0 / 28.0, [5.0, 6.734021, 7.533635, 8.107446]),
        ] {
            let range = Range::new(range.0, range.1, range.2).unwrap();
            near(range.mean(), mean, "mean");
            near(range.variance(), variance, "variance");
            for (p, want) in [0.5, 0.8, 0.9, 0.95].into_iter().zip(quantiles) {
                near(range.quantile(p), want, "quantile");
            }
            let table = range.table();
            // Draws are from straight lines between 400 quantiles: their mean is PERT's to 3 in 10,000.
            assert!((table.mean() / mean - 1.0).abs() < 3e-4, "{} {mean}", table.mean());
            near(table.at(0.5), quantiles[0], "the table at the middle");
            assert_eq!((table.at(0.0), table.at(1.0)), (range.low, range.high));
        }
        for (range, mean, variance, quantiles) in [
            ((800.0, 1200.0, 2500.0), 1500.0, 131666.666667, [1448.810198, 1835.169194, 2029.893629, 2167.584597]),
            ((2.0, 5.0, 14.0), 7.0, 6.5, [6.651531, 9.352420, 10.713665, 11.676210]),
        ] {
            let range = Range::new(range.0, range.1, range.2).unwrap();
            near(range.triangular_mean(), mean, "mean");
            near(range.triangular_variance(), variance, "variance");
            for (p, want) in [0.5, 0.8, 0.9, 0.95].into_iter().zip(quantiles) {
                near(range.triangular_quantile(p), want, "quantile");
            }
        }
    }

    #[test]
    fn a_sure_figure_is_itself_and_a_range_goes_up() {
        let sure = Range::sure(450.0);
        assert_eq!(
            (sure.mean(), sure.variance(), sure.quantile(0.9), sure.table().at(0.3)),
            (450.0, 0.0, 450.0, 450.0)
        );
        assert_eq!(sure.triangular_quantile(0.2), 450.0);
        let wrong = RangeError::OutOfOrder { low: 2.0, likely: 1.0, high: 3.0 };
        assert_eq!(Range::new(2.0, 1.0, 3.0), Err(wrong));
        assert_eq!(Range::new(f64::NAN, 1.0, 3.0), Err(RangeError::NotFinite));
    }
}
