//! How long a battery runs a backup pump.
//!
//! t = H (C / (I H))^k × depth: a battery of C ampere-hours at its rate of H hours, drawn at I amperes down to a depth. k is 1
//! for no loss at high draw; 1.05 to 1.15 for absorbed glass mat, 1.2 to 1.3 (others to 1.6) for flooded lead-acid. A depth of
//! 0.5 to 0.8 is common for a long life.
//!
//! Source: Peukert (1897), as battery texts give it.

use crate::quantity::Span;
use crate::trade::input::{InputError, finite, positive};
use crate::trade::verdict::{Rule, Standing};

/// Hours at which a battery's capacity is usually rated: battery texts; read.
pub const RATED_HOURS: f64 = 20.0;
/// Largest exponent reckoned with; texts give up to 1.6: design rule of this program, no published source.
pub const PEUKERT_TO: f64 = 2.0;

pub static BATTERY: Rule = Rule {
    name: "battery-run-time",
    says: "a battery of C ampere-hours at H hours, drawn at I amperes to a depth d, runs H (C / (I H))^k d hours",
    source: "Peukert (1897), as battery texts give it",
    standing: Standing::SecondHand,
    scope: "a lead-acid battery in its rated state; age and cold shorten it",
    variants: &[],
};

/// Run time. `depth` is a fraction above 0 to 1, `peukert` 1 to 2. Errors name the input.
///
/// Source: [`BATTERY`].
pub fn run_time(capacity_ah: f64, draw_a: f64, depth: f64, rated_hours: f64, peukert: f64) -> Result<Span, InputError> {
    let capacity = positive("capacity_ah", capacity_ah)?;
    let draw = positive("draw_a", draw_a)?;
    let depth = positive("depth", depth)?;
    if depth > 1.0 {
        return Err(InputError::Outside { input: "depth", range: "0 to 1" });
    }
    let rated = positive("rated_hours", rated_hours)?;
    let exponent = positive("peukert", peukert)?;
    if !(1.0..=PEUKERT_TO).contains(&exponent) {
        return Err(InputError::Outside { input: "peukert", range: "1 to 2" });
    }
    let hours = finite("capacity_ah", rated * (capacity / (draw * rated)).powf(exponent) * depth)?;
    Span::nearest(hours * 3600.0).ok_or(InputError::TooLarge { input: "capacity_ah" })
}

#[cfg(test)]
mod tests {
    use super::{RATED_HOURS, run_time};
    use crate::trade::input::InputError;

    #[test]
    fn a_battery_runs_shorter_the_harder_it_is_drawn() {
        // 75 Ah at 20 h, 10 A, to half: 3.75 h; with k 1.2 20 × 0.375^1.2 × 0.5 = 3.082 h.
        let hours = |k| run_time(75.0, 10.0, 0.5, RATED_HOURS, k).unwrap().to_hours();
        assert!((hours(1.0) - 3.75).abs() < 1e-12);
        assert!((hours(1.2) - 3.082).abs() < 5e-4);
        // At its own rate a battery gives its capacity, whatever k.
        let rated = run_time(100.0, 5.0, 1.0, 20.0, 1.3).unwrap().to_hours();
        assert!((rated - 20.0).abs() < 1e-9);
    }

    #[test]
    fn what_no_battery_has_is_named() {
        let input = |c, i, d, h, k| run_time(c, i, d, h, k).unwrap_err();
        assert_eq!(input(0.0, 1.0, 0.5, 20.0, 1.0), InputError::Zero { input: "capacity_ah" });
        assert_eq!(input(1.0, -1.0, 0.5, 20.0, 1.0), InputError::Negative { input: "draw_a" });
        assert_eq!(input(1.0, 1.0, 1.1, 20.0, 1.0).input(), "depth");
        assert_eq!(input(1.0, 1.0, 0.5, f64::INFINITY, 1.0).input(), "rated_hours");
        assert_eq!(input(1.0, 1.0, 0.5, 20.0, 0.9).input(), "peukert");
        assert_eq!(input(1.0, 1.0, 0.5, 20.0, f64::NAN).input(), "peukert");
    }
}
