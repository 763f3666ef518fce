//! What a pump lifted on each of its tests, and what it loses a year.
//!
//! The rule in words: each timed test of the pump in its pit gives a rate; they are told in order, and from three tests over a
//! year or more the loss a year is that of the straight line of least squares through all of them, as a part of the first. It
//! is told and moves no band: [`super::WEAK`] does.

use super::{Pump, PumpTest, WEAK, drawdown, rates};
use crate::trade::told;
use crate::trade::verdict::Fired;

const DAYS_PER_YEAR: f64 = 365.25;
/// Tests from which on a line is drawn: design rule of this program, no published source.
const LEAST_TESTS: usize = 3;

/// The rate of each test, where two or more are known.
pub(super) fn each_rate(of: &Pump, tests: &[&PumpTest]) -> Option<Fired> {
    let pit = of.pit.as_ref()?;
    let rate = |t: &&PumpTest| Some((t.on, rates(pit, t.drawdown.as_ref()?).ok()?.pump));
    let all: Vec<_> = tests.iter().filter_map(rate).collect();
    let (first, last) = (all.first()?, all.last()?);
    if all.len() < 2 {
        return None;
    }
    let said: Vec<String> =
        all.iter().map(|(on, pump)| format!("{} on {}", drawdown::flow(*pump), told::day(*on))).collect();
    let years = |on: chrono::NaiveDate| (on - first.0).num_days() as f64 / DAYS_PER_YEAR;
    let points: Vec<(f64, f64)> = all.iter().map(|(on, pump)| (years(*on), pump.to_l_min())).collect();
    let line = slope(&points).filter(|_| points.len() >= LEAST_TESTS && years(last.0) >= 1.0 && !first.1.is_zero());
    let a_year = line.map_or_else(String::new, |slope| {
        let share = 100.0 * slope / first.1.to_l_min();
        let way = if share < 0.0 { "less" } else { "more" };
        format!("; by a line through all of them {:.1} % of the first {way} a year", share.abs())
    });
    Some(Fired::for_comparison(&WEAK, format!("it lifted {}{a_year}", said.join(", "))))
}

/// Slope of the line of least squares; `None` where all points lie on one day.
fn slope(points: &[(f64, f64)]) -> Option<f64> {
    let n = points.len() as f64;
    let (mean_x, mean_y) = points.iter().fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let xx: f64 = points.iter().map(|p| (p.0 - mean_x).powi(2)).sum();
    let xy: f64 = points.iter().map(|p| (p.0 - mean_x) * (p.1 - mean_y)).sum();
    Some(xy / xx).filter(|slope| slope.is_finite())
}

#[cfg(test)]
mod tests {
    use super::slope;

    #[test]
    fn a_line_goes_through_what_lies_on_one_and_between_what_does_not() {
        // 40, 36, 32 over 0, 1, 2 years: 4 a year. 40, 30, 32: mean 34, ((-1)(6) + 0 + (1)(-2)) / 2 = -4.
        assert!((slope(&[(0.0, 40.0), (1.0, 36.0), (2.0, 32.0)]).unwrap() + 4.0).abs() < 1e-12);
        assert!((slope(&[(0.0, 40.0), (1.0, 30.0), (2.0, 32.0)]).unwrap() + 4.0).abs() < 1e-12);
        assert_eq!(slope(&[(1.0, 40.0), (1.0, 30.0)]), None);
    }
}
