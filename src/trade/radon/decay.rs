//! How much radon is left after a time, and the factors laboratories multiply back by.
//!
//! remaining = exp(-λ t), λ = ln 2 / 3.8235 d. The count factor λ t / (1 - exp(-λ t)) is for what decays while it is being
//! counted. For a warning that a device came late, not to work a laboratory's figure over again.
//!
//! Source: half-life from ICRP Publication 107; the factors are arithmetic.

use crate::quantity::Span;
use crate::trade::input::{InputError, finite};
use crate::trade::verdict::{Rule, Standing};

/// Half-life of Rn-222, days: ICRP Publication 107; read.
pub const HALF_LIFE_DAYS: f64 = 3.8235;

pub static DECAY: Rule = Rule {
    name: "radon-decay",
    says: "of radon-222 exp(-t ln 2 / 3.8235 d) is left after t; what decays while it is counted is multiplied by x / (1 - exp(-x)), \
           x = t ln 2 / 3.8235 d",
    source: "ICRP Publication 107 for the half-life of 3.8235 d",
    standing: Standing::Read,
    scope: "radon-222 that is neither renewed nor lost otherwise",
    variants: &[],
};

/// What is left, and the factors that make up for the rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Decay {
    /// Fraction left after the time.
    pub remaining: f64,
    /// Its inverse.
    pub multiply_back: f64,
    /// For decay while counting; `None` without a counting time.
    pub count_factor: Option<f64>,
}

/// Decay over `elapsed`, and while `counting`.
///
/// Errors: `elapsed` so long that nothing can be multiplied back; a `counting` time of zero. Source: [`DECAY`].
pub fn decay(elapsed: Span, counting: Option<Span>) -> Result<Decay, InputError> {
    let multiply_back = finite("elapsed", half_lives(elapsed).exp())?;
    let count_factor = match counting {
        Some(counting) if counting.is_zero() => return Err(InputError::Zero { input: "counting" }),
        Some(counting) => {
            let decayed = half_lives(counting);
            Some(finite("counting", -decayed / (-decayed).exp_m1())?)
        }
        None => None,
    };
    Ok(Decay { remaining: (-half_lives(elapsed)).exp(), multiply_back, count_factor })
}

/// λ t: a time in half-lives, times ln 2.
fn half_lives(time: Span) -> f64 {
    time.to_days() / HALF_LIFE_DAYS * std::f64::consts::LN_2
}

#[cfg(test)]
mod tests {
    use super::decay;
    use crate::quantity::Span;

    #[test]
    fn half_is_left_after_a_half_life() {
        // Half-life 3.8235 d; the multiply-back factors are exp(t ln 2 / 91.764 h).
        let half = decay(Span::days(38_235, 10_000), None).unwrap();
        assert!((half.remaining - 0.5).abs() < 1e-12 && half.count_factor.is_none());
        for (hours, factor) in [(24, 1.19876), (48, 1.43702), (72, 1.72264), (96, 2.06503), (168, 3.55730)] {
            let of = decay(Span::hours(hours, 1), None).unwrap();
            assert!((of.multiply_back - factor).abs() < 5e-6, "{hours} h");
            assert!((of.remaining * factor - 1.0).abs() < 5e-6, "{hours} h");
        }
        assert!((decay(Span::hours(72, 1), None).unwrap().remaining - 0.580_504).abs() < 5e-7);
    }

    #[test]
    fn counting_takes_time_too() {
        // x = ln 2 for a half-life: ln 2 / (1 - 1/2) = 1.386294. A millisecond: 1 + x/2 = 1 + 1.049e-9.
        let long = decay(Span::ZERO, Some(Span::days(38_235, 10_000))).unwrap();
        assert!((long.count_factor.unwrap() - 1.386_294_361).abs() < 1e-9);
        let short = decay(Span::ZERO, Some(Span::seconds(1, 1000))).unwrap();
        assert!((short.count_factor.unwrap() - 1.0 - 1.049e-9).abs() < 1e-12);
        assert_eq!(decay(Span::ZERO, Some(Span::ZERO)).unwrap_err().input(), "counting");
        assert_eq!(decay(Span::days(1_000_000, 1), None).unwrap_err().input(), "elapsed");
    }
}
