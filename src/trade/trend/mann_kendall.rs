//! Mann-Kendall: whether later readings tend to be larger, by the signs of all pairs alone.
//!
//! S is the number of rising pairs less that of falling ones, in the order given; its variance is corrected for ties,
//! z for continuity, and p is two-sided by the normal distribution. Sources: Mann 1945; Kendall 1975.

use serde::Serialize;
use statrs::function::erf::erfc;

use super::pairs::{count_falling, ties, variance_term};

/// The test's score, the score's variance, its normal deviate and the two-sided p.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MannKendall {
    pub s: i64,
    pub var: f64,
    pub z: f64,
    pub p: f64,
}

pub(super) fn mann_kendall(mm: &[f64]) -> MannKendall {
    let n = mm.len();
    // 0 + x makes a negative zero the same number as zero in every comparison below.
    let mut sorted: Vec<f64> = mm.iter().map(|x| 0.0 + x).collect();
    let falling = count_falling(&mut sorted, &mut Vec::with_capacity(n)) as i64;
    let pairs = (n * (n - 1) / 2) as i64;
    let tied: i64 = ties(&sorted).map(|size| (size * (size - 1) / 2) as i64).sum();
    let s = pairs - tied - 2 * falling;
    let var = (variance_term(n) - ties(&sorted).map(variance_term).sum::<f64>()) / 18.0;
    let z = if s == 0 { 0.0 } else { (s - s.signum()) as f64 / var.sqrt() };
    MannKendall { s, var, z, p: erfc(z.abs() / std::f64::consts::SQRT_2) }
}
