//! The best prices: Newton's steps up the smoothed bound, with prices kept above zero by a barrier, cooling as they go.

use super::model::Model;
use super::pricing::Pricing;

/// A lower bound and the prices that give it.
#[derive(Debug, Clone)]
pub(super) struct Bound {
    pub least: f64,
    pub prices: Vec<f64>,
}

/// Room for the steps.
pub(super) struct Climb {
    drawn: Vec<f64>,
    varies: Vec<f64>,
    step: Vec<f64>,
    next: Vec<f64>,
}

/// Steps at one temperature.
const STEPS: usize = 4;
/// Halvings of a step that goes too far.
const HALVINGS: usize = 5;

impl Climb {
    pub fn new(model: &Model) -> Climb {
        let rows = model.rows.len();
        Climb { drawn: vec![0.0; rows], varies: vec![0.0; rows * rows], step: vec![0.0; rows], next: vec![0.0; rows] }
    }

    /// Climbs from `from`, at each of the temperatures in turn; stops when the bound is over `enough`. The reduced costs
    /// and weights left in `pricing` are those of the bound that is returned and of the last temperature.
    pub fn climb(
        &mut self,
        model: &Model,
        pricing: &mut Pricing,
        open: &[u64],
        from: &[f64],
        heats: &[f64],
        enough: f64,
    ) -> Bound {
        let mut best = Bound { least: f64::NEG_INFINITY, prices: from.to_vec() };
        let mut prices = from.to_vec();
        for &heat in heats {
            prices.iter_mut().for_each(|price| *price = price.max(1e-9));
            self.settle(model, pricing, open, &mut prices, heat);
            let least = pricing.least(model, open, &prices);
            if least > best.least {
                best = Bound { least, prices: prices.clone() };
            }
            if best.least > enough {
                return best;
            }
        }
        if best.prices != prices {
            pricing.least(model, open, &best.prices);
        }
        best
    }

    /// Climbs at one temperature, and moves the shares of visits and the prices in turn, so many times.
    pub fn with_shares(
        &mut self,
        model: &Model,
        pricing: &mut Pricing,
        open: &[u64],
        from: Bound,
        heat: f64,
        times: usize,
    ) -> Bound {
        let Bound { mut least, mut prices } = from;
        for time in 0..=if model.problem.visits.is_empty() { 0 } else { times } {
            if time > 0 {
                pricing.mean(model, open, &prices, heat);
                pricing.share_by_weight(model, &prices, heat);
            }
            let next = self.climb(model, pricing, open, &prices, &[heat], f64::INFINITY);
            least = least.max(next.least);
            prices = next.prices;
        }
        Bound { least, prices }
    }

    fn settle(&mut self, model: &Model, pricing: &mut Pricing, open: &[u64], prices: &mut [f64], heat: f64) {
        let mut value = pricing.mean(model, open, prices, heat) + barrier(prices, heat);
        for _ in 0..STEPS {
            pricing.drawn(model, open, &mut self.drawn, &mut self.varies);
            // Each item is added up for each pair of rows.
            pricing.work += (model.items * model.rows.len().pow(2) / 16) as u64;
            let gain = self.newton(model, prices, heat);
            if gain < 0.01 * heat {
                return;
            }
            let (mut length, mut risen) = (1.0, false);
            for _ in 0..HALVINGS {
                for (row, price) in prices.iter().enumerate() {
                    self.next[row] = (price + length * self.step[row]).max(0.1 * price);
                }
                let next = pricing.mean(model, open, &self.next, heat) + barrier(&self.next, heat);
                if next > value {
                    (value, risen) = (next, true);
                    break;
                }
                length *= 0.3;
            }
            if !risen {
                pricing.mean(model, open, prices, heat);
                return;
            }
            prices.copy_from_slice(&self.next);
        }
    }

    /// Sets `step`; returns twice what it promises to gain.
    fn newton(&mut self, model: &Model, prices: &[f64], heat: f64) -> f64 {
        let rows = prices.len();
        let mut gradient = vec![0.0; rows];
        for row in 0..rows {
            let price = prices[row];
            gradient[row] = self.drawn[row] - model.rows[row] + heat / price;
            for other in 0..rows {
                self.varies[row * rows + other] /= heat;
            }
            self.varies[row * rows + row] = self.varies[row * rows + row] * (1.0 + 1e-9) + heat / (price * price);
        }
        self.step.copy_from_slice(&gradient);
        solve(&mut self.varies, &mut self.step);
        self.step.iter().zip(&gradient).map(|(step, slope)| step * slope).sum()
    }
}

fn barrier(prices: &[f64], heat: f64) -> f64 {
    prices.iter().map(|price| heat * price.ln()).sum()
}

/// Solves a symmetric positive system in place (Cholesky); a row without a pivot takes no step.
fn solve(matrix: &mut [f64], right: &mut [f64]) {
    let size = right.len();
    for column in 0..size {
        let squares: f64 = (0..column).map(|k| matrix[column * size + k].powi(2)).sum();
        let pivot = matrix[column * size + column] - squares;
        let root = if pivot > 0.0 { pivot.sqrt() } else { f64::INFINITY };
        matrix[column * size + column] = root;
        for row in column + 1..size {
            let inner: f64 = (0..column).map(|k| matrix[row * size + k] * matrix[column * size + k]).sum();
            matrix[row * size + column] = (matrix[row * size + column] - inner) / root;
        }
    }
    for row in 0..size {
        let inner: f64 = (0..row).map(|k| matrix[row * size + k] * right[k]).sum();
        right[row] = (right[row] - inner) / matrix[row * size + row];
    }
    for row in (0..size).rev() {
        let inner: f64 = (row + 1..size).map(|k| matrix[k * size + row] * right[k]).sum();
        right[row] = (right[row] - inner) / matrix[row * size + row];
    }
}
