//! Least squares of a line, and of a line with a yearly wave, with Student's t intervals.
//!
//! The line works on differences from the means; the wave on an orthogonal basis of (1, t, sin 2πt, cos 2πt) by modified
//! Gram-Schmidt, never on the squared matrix, so that exact series come out exact. All intervals are two-sided 95 %.

use std::f64::consts::TAU;
use std::sync::OnceLock;

use statrs::distribution::{Continuous, ContinuousCDF, StudentsT};

use super::{Forecast, Line, Seasonal};

/// Readings before a line has an error of its own.
const LEAST_FOR_LINE: usize = 3;
/// Readings before a wave is fitted.
const LEAST_FOR_WAVE: usize = 7;
/// Condition number of (1, t, sin, cos) from which the wave is not fitted.
const CONDITION_LIMIT: f64 = 1000.0;
/// Columns of the wave's model: 1, t, sin, cos.
const COLUMNS: usize = 4;

type Matrix = [[f64; COLUMNS]; COLUMNS];

pub(super) struct Fits {
    pub line: Option<LineFit>,
    pub seasonal: Option<SeasonalFit>,
}

impl Fits {
    /// `years` ascend from 0, `mm` are as many, finite and of a bounded size.
    pub fn of(years: &[f64], mm: &[f64]) -> Fits {
        Fits { line: LineFit::of(years, mm), seasonal: SeasonalFit::of(years, mm) }
    }
}

pub(super) struct LineFit {
    pub mean_years: f64,
    pub mean_mm: f64,
    slope: f64,
    slope_se: f64,
    /// Σ(t − t̄)²
    spread: f64,
    residual_sd: f64,
    n: f64,
    t_95: f64,
    p: Option<f64>,
}

impl LineFit {
    fn of(years: &[f64], mm: &[f64]) -> Option<LineFit> {
        let n = years.len();
        if n < LEAST_FOR_LINE || years[n - 1] <= 0.0 {
            return None;
        }
        let mean_years = years.iter().sum::<f64>() / n as f64;
        // From the first width on, equal widths are exact zeros.
        let mean_rise = mm.iter().map(|x| x - mm[0]).sum::<f64>() / n as f64;
        let (mut spread, mut product, mut all_equal) = (0.0, 0.0, true);
        for (t, x) in years.iter().zip(mm) {
            let (dt, rise) = (t - mean_years, x - mm[0]);
            spread += dt * dt;
            product += dt * (rise - mean_rise);
            all_equal &= rise == 0.0;
        }
        let slope = product / spread;
        let squares: f64 =
            years.iter().zip(mm).map(|(t, x)| ((x - mm[0] - mean_rise) - slope * (t - mean_years)).powi(2)).sum();
        let freedom = n - 2;
        let residual_sd = (squares / freedom as f64).sqrt();
        let slope_se = residual_sd / spread.sqrt();
        Some(LineFit {
            mean_years,
            mean_mm: mm[0] + mean_rise,
            slope,
            slope_se,
            spread,
            residual_sd,
            n: n as f64,
            t_95: t_95(freedom),
            p: (!all_equal).then(|| two_sided_p(slope, slope_se, freedom as f64)),
        })
    }

    pub fn summary(&self) -> Line {
        Line {
            slope: self.slope,
            intercept: self.mean_mm - self.slope * self.mean_years,
            se: self.slope_se,
            ci_low: self.slope - self.t_95 * self.slope_se,
            ci_high: self.slope + self.t_95 * self.slope_se,
            p: self.p,
        }
    }

    /// Mean and prediction interval of one new reading at `years` from the first.
    pub fn forecast(&self, years: f64) -> Forecast {
        let dt = years - self.mean_years;
        let leverage = 1.0 / self.n + dt * dt / self.spread;
        forecast(self.mean_mm + self.slope * dt, self.t_95 * self.residual_sd * (1.0 + leverage).sqrt())
    }
}

pub(super) struct SeasonalFit {
    /// Of 1, t, sin and cos.
    coefficients: [f64; COLUMNS],
    /// Inverse of the triangle that turns the orthogonal basis into the columns.
    inverse: Matrix,
    residual_sd: f64,
    t_95: f64,
}

impl SeasonalFit {
    fn of(years: &[f64], mm: &[f64]) -> Option<SeasonalFit> {
        let n = years.len();
        if n < LEAST_FOR_WAVE || years[n - 1] < 1.0 || mm.iter().all(|x| *x == mm[0]) {
            return None;
        }
        let mut residuals: Vec<f64> = mm.iter().map(|x| x - mm[0]).collect();
        let (triangle, projections) = orthogonalize(&mut columns(years), &mut residuals)?;
        if condition(&triangle) >= CONDITION_LIMIT {
            return None;
        }
        let inverse = invert(&triangle);
        let mut coefficients: [f64; COLUMNS] =
            std::array::from_fn(|row| (row..COLUMNS).map(|k| inverse[row][k] * projections[k]).sum());
        coefficients[0] += mm[0];
        let freedom = n - COLUMNS;
        let residual_sd = (dot(&residuals, &residuals) / freedom as f64).sqrt();
        Some(SeasonalFit { coefficients, inverse, residual_sd, t_95: t_95(freedom) })
    }

    pub fn summary(&self) -> Seasonal {
        let [_, slope, sin, cos] = self.coefficients;
        let se = self.residual_sd * self.inverse[1].iter().map(|x| x * x).sum::<f64>().sqrt();
        Seasonal {
            slope,
            se,
            ci_low: slope - self.t_95 * se,
            ci_high: slope + self.t_95 * se,
            amplitude: sin.hypot(cos),
        }
    }

    /// Mean and prediction interval of one new reading at `years` from the first.
    pub fn forecast(&self, years: f64) -> Forecast {
        let row = model_row(years);
        let value = row.iter().zip(&self.coefficients).map(|(x, b)| x * b).sum();
        let leverage: f64 =
            (0..COLUMNS).map(|k| (0..=k).map(|j| row[j] * self.inverse[j][k]).sum::<f64>().powi(2)).sum();
        forecast(value, self.t_95 * self.residual_sd * (1.0 + leverage).sqrt())
    }
}

fn forecast(value: f64, half_width: f64) -> Forecast {
    Forecast { value, low: value - half_width, high: value + half_width }
}

fn model_row(years: f64) -> [f64; COLUMNS] {
    let (sin, cos) = (TAU * years.fract()).sin_cos();
    [1.0, years, sin, cos]
}

fn columns(years: &[f64]) -> [Vec<f64>; COLUMNS] {
    let mut columns: [Vec<f64>; COLUMNS] = std::array::from_fn(|_| Vec::with_capacity(years.len()));
    for &t in years {
        for (column, x) in columns.iter_mut().zip(model_row(t)) {
            column.push(x);
        }
    }
    columns
}

/// Turns the columns into an orthonormal basis and `target` into what the basis cannot explain.
///
/// Returns the upper triangle that makes the columns from the basis, and the target along the basis. `None` where a
/// column is as good as made of the ones before it: the condition number is then far over any limit.
fn orthogonalize(columns: &mut [Vec<f64>; COLUMNS], target: &mut [f64]) -> Option<(Matrix, [f64; COLUMNS])> {
    let mut triangle = [[0.0; COLUMNS]; COLUMNS];
    let mut along = [0.0; COLUMNS];
    for k in 0..COLUMNS {
        let (done, rest) = columns.split_at_mut(k + 1);
        let column = &mut done[k];
        let size = dot(column, column).sqrt();
        // The first column, all ones, is √n long: the largest singular value is no less.
        if size * 1e9 <= (column.len() as f64).sqrt() {
            return None;
        }
        triangle[k][k] = size;
        column.iter_mut().for_each(|x| *x /= size);
        for (j, other) in rest.iter_mut().enumerate() {
            triangle[k][k + 1 + j] = take_out(column, other);
        }
        along[k] = take_out(column, target);
    }
    Some((triangle, along))
}

/// Removes from `other` its part along the unit vector `unit`; returns that part's length.
fn take_out(unit: &[f64], other: &mut [f64]) -> f64 {
    let along = dot(unit, other);
    other.iter_mut().zip(unit).for_each(|(x, u)| *x -= along * u);
    along
}

/// Four sums side by side, which the processor can add at once.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let (a_fours, a_rest) = a.as_chunks::<4>();
    let (b_fours, b_rest) = b.as_chunks::<4>();
    let mut sums = [0.0; 4];
    for (x, y) in a_fours.iter().zip(b_fours) {
        for lane in 0..4 {
            sums[lane] += x[lane] * y[lane];
        }
    }
    sums.iter().sum::<f64>() + a_rest.iter().zip(b_rest).map(|(x, y)| x * y).sum::<f64>()
}

fn invert(triangle: &Matrix) -> Matrix {
    let mut inverse = [[0.0; COLUMNS]; COLUMNS];
    for k in 0..COLUMNS {
        inverse[k][k] = 1.0 / triangle[k][k];
        for j in (0..k).rev() {
            let sum: f64 = (j + 1..=k).map(|i| triangle[j][i] * inverse[i][k]).sum();
            inverse[j][k] = -sum / triangle[j][j];
        }
    }
    inverse
}

/// Largest over smallest singular value, by one-sided Jacobi: columns are turned in pairs until all stand at right
/// angles, and are then as long as the singular values.
fn condition(triangle: &Matrix) -> f64 {
    let mut columns: Matrix = std::array::from_fn(|k| std::array::from_fn(|row| triangle[row][k]));
    // Four columns settle in five or six sweeps; the bound only ends what rounding would keep turning.
    for _ in 0..30 {
        let mut turned = false;
        for a in 0..COLUMNS - 1 {
            for b in a + 1..COLUMNS {
                turned |= make_orthogonal(&mut columns, a, b);
            }
        }
        if !turned {
            break;
        }
    }
    let sizes = columns.map(|column| dot(&column, &column).sqrt());
    sizes.iter().copied().fold(0.0, f64::max) / sizes.iter().copied().fold(f64::INFINITY, f64::min)
}

/// Turns columns `a` and `b` in their plane to right angles; false if they stood so already.
fn make_orthogonal(columns: &mut Matrix, a: usize, b: usize) -> bool {
    let (x, y) = (columns[a], columns[b]);
    let (xx, yy, xy) = (dot(&x, &x), dot(&y, &y), dot(&x, &y));
    if xy.abs() <= 1e-14 * (xx * yy).sqrt() {
        return false;
    }
    let zeta = (yy - xx) / (2.0 * xy);
    let tan = zeta.signum() / (zeta.abs() + zeta.hypot(1.0));
    let cos = 1.0 / tan.hypot(1.0);
    let sin = cos * tan;
    for row in 0..COLUMNS {
        columns[a][row] = cos * x[row] - sin * y[row];
        columns[b][row] = sin * x[row] + cos * y[row];
    }
    true
}

fn students_t(freedom: f64) -> StudentsT {
    StudentsT::new(0.0, 1.0, freedom).expect("a fit has one degree of freedom or more")
}

/// Two-sided 95 % point of Student's t. Worked out once for each of the degrees of freedom that series of readings
/// have: every reading has its series judged again, and this is most of the work.
fn t_95(freedom: usize) -> f64 {
    static KNOWN: [OnceLock<f64>; 512] = [const { OnceLock::new() }; 512];
    match KNOWN.get(freedom) {
        Some(known) => *known.get_or_init(|| point_of_t(freedom as f64)),
        None => point_of_t(freedom as f64),
    }
}

fn point_of_t(freedom: f64) -> f64 {
    let distribution = students_t(freedom);
    let rough = distribution.inverse_cdf(0.975);
    // The library's inverse is good to some ten digits; one step of Newton's makes it as good as its distribution.
    rough - (distribution.cdf(rough) - 0.975) / distribution.pdf(rough)
}

/// Chance of a slope as far from zero as this if there were none.
fn two_sided_p(slope: f64, se: f64, freedom: f64) -> f64 {
    if slope == 0.0 {
        return 1.0;
    }
    2.0 * students_t(freedom).sf((slope / se).abs())
}

#[cfg(test)]
mod tests {
    use std::f64::consts::{PI, SQRT_2};

    use super::*;

    fn close(got: f64, want: f64, tolerance: f64) {
        assert!((got - want).abs() <= tolerance, "{got} is not {want} within {tolerance}");
    }

    fn twelfths(mm: &[f64]) -> Vec<f64> {
        (0..mm.len()).map(|month| month as f64 / 12.0).collect()
    }

    const DORMANT: [f64; 13] = [2.32, 2.23, 2.16, 2.04, 1.83, 1.74, 1.73, 1.70, 1.87, 1.99, 2.18, 2.24, 2.31];
    const GROWING: [f64; 13] = [2.32, 2.28, 2.26, 2.19, 2.03, 1.99, 2.03, 2.05, 2.27, 2.44, 2.68, 2.79, 2.91];

    /// The project's worked series of a crack with a season of ±0.3 mm, t in exact twelfths of a year: its own
    /// check values, worked apart from this code and rounded to the digits given.
    #[test]
    fn worked_series_of_thirteen_months_give_their_hand_worked_slopes() {
        struct Case {
            of: &'static str,
            mm: &'static [f64],
            slope: f64,
            se: f64,
            t: f64,
            within: f64,
        }
        let lines = [
            Case { of: "dormant", mm: &DORMANT, slope: -0.0026, se: 0.2139, t: -0.01, within: 0.0001 },
            Case { of: "first seven", mm: &DORMANT[..7], slope: -1.320, se: 0.1145, t: -11.53, within: 0.0005 },
            Case { of: "growing", mm: &GROWING, slope: 0.5974, se: 0.2139, t: 2.79, within: 0.0001 },
        ];
        for case in lines {
            let line = LineFit::of(&twelfths(case.mm), case.mm).expect(case.of).summary();
            close(line.slope, case.slope, case.within);
            close(line.se, case.se, case.within);
            close(line.slope / line.se, case.t, 0.006);
        }
        let waves = [
            Case { of: "dormant", mm: &DORMANT, slope: 0.0011, se: 0.0352, t: 0.03, within: 0.0001 },
            Case { of: "growing", mm: &GROWING, slope: 0.6011, se: 0.0352, t: 17.06, within: 0.0001 },
        ];
        for case in waves {
            let wave = SeasonalFit::of(&twelfths(case.mm), case.mm).expect(case.of).summary();
            close(wave.slope, case.slope, case.within);
            close(wave.se, case.se, case.within);
            close(wave.slope / wave.se, case.t, 0.006);
            if case.of == "dormant" {
                close(wave.amplitude, 0.301, 0.0005);
            }
        }
    }

    /// One degree of freedom: t = tan(π(p − 1/2)). Two: t = (2p − 1) √(2 / (4p(1 − p))). The rest: standard tables of
    /// Student's t, three decimals.
    #[test]
    fn two_sided_points_of_students_t_are_those_of_its_closed_forms_and_tables() {
        close(t_95(1), (PI * 0.475).tan(), 1e-10);
        close(t_95(2), 0.95 * (2.0_f64 / (4.0 * 0.975 * 0.025)).sqrt(), 1e-12);
        for (freedom, point) in [(3, 3.182), (5, 2.571), (9, 2.262), (11, 2.201), (30, 2.042), (120, 1.980)] {
            close(t_95(freedom), point, 0.0005);
        }
        // The normal distribution's 1.959964 plus (z + z³) / 4ν, the first term of its expansion by 1/ν.
        let z = 1.959_963_984_540_054_f64;
        close(t_95(10_000), z + (z + z.powi(3)) / 40_000.0, 1e-7);
    }

    #[test]
    fn a_slope_without_scatter_is_certain_and_no_slope_is_no_sign() {
        assert_eq!(two_sided_p(0.3, 0.0, 5.0), 0.0);
        assert_eq!(two_sided_p(0.0, 0.0, 5.0), 1.0);
        // One degree of freedom: P(|T| > 1) = 1/2.
        close(two_sided_p(-2.0, 2.0, 1.0), 0.5, 1e-14);
    }

    #[test]
    fn condition_is_largest_over_smallest_singular_value() {
        let mut diagonal = [[0.0; COLUMNS]; COLUMNS];
        for (k, size) in [8.0, 4.0, 2.0, 0.5].into_iter().enumerate() {
            diagonal[k][k] = size;
        }
        close(condition(&diagonal), 16.0, 1e-12);
        // A (1 1; 0 1) block: singular values are the golden ratio and its inverse, so the condition is φ².
        let mut sheared = [[0.0; COLUMNS]; COLUMNS];
        for (k, row) in sheared.iter_mut().enumerate() {
            row[k] = 1.0;
        }
        sheared[1][2] = 1.0;
        close(condition(&sheared), (3.0 + 5.0_f64.sqrt()) / 2.0, 1e-12);
        // Two columns of length 1 with an angle of 45° between them: √(1 + 1/√2) over √(1 − 1/√2) is 1 + √2.
        let mut leaning = [[0.0; COLUMNS]; COLUMNS];
        for (k, row) in leaning.iter_mut().enumerate() {
            row[k] = 1.0;
        }
        (leaning[0][3], leaning[3][3]) = (1.0 / SQRT_2, 1.0 / SQRT_2);
        close(condition(&leaning), 1.0 + SQRT_2, 1e-12);
    }
}
