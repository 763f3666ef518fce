//! How likely the year's mean is at or above a threshold, given one short result.
//!
//! P = Φ(ln(S / (threshold × bias)) / ln gsd): the year's mean scatters log-normally about the result. A geometric standard
//! deviation of 1.6 is assumed (1.4 to 1.8 is the range in which published comparisons leave it), and no bias; a winter test
//! in a basement reads high by about 1.28 on average. It refers to the level that was tested, and never lowers a band.
//!
//! Sources: Barros, Steck and Field, Health Phys 106:535 (2014), r = 0.87; JAPCA 39:953 (1989), 30 % of short tests below 4
//! where the year is 4; Cliff, Miles and Naismith, seasonal GSD 1.36. The model is derived from them.

use statrs::distribution::{ContinuousCDF, Normal};

use crate::quantity::Activity;
use crate::trade::input::{InputError, finite, positive};
use crate::trade::verdict::{Rule, Standing};

/// Scatter of the year's mean about one short result, a factor: derived from Barros et al. (2014).
pub const GSD: f64 = 1.6;
/// The part of [`GSD`] that the season makes: Cliff, Miles and Naismith; read.
pub const SEASON_GSD: f64 = 1.36;
/// By how much a winter test in a basement reads high: derived from JAPCA 39:953 (1989).
pub const WINTER_BASEMENT_BIAS: f64 = 1.28;

pub static ODDS: Rule = Rule {
    name: "radon-odds",
    says: "the year's mean is at or above a threshold with probability Φ(ln(result / (threshold × bias)) / ln gsd); gsd 1.6 and bias 1 \
           unless said otherwise",
    source: "derived from Barros, Steck and Field, Health Phys 106:535 (2014) and JAPCA 39:953 (1989)",
    standing: Standing::Derived,
    scope: "one short test and the year's mean of the same level; it lowers no band",
    variants: &[],
};

/// Probability that the year's mean is at or above `threshold`; 0 for a result of 0.
///
/// `gsd` above 1, `bias` and `threshold` above 0; errors name them. Source: [`ODDS`].
pub fn year_at_or_above(result: Activity, gsd: f64, bias: f64, threshold: Activity) -> Result<f64, InputError> {
    let bias = positive("bias", bias)?;
    let scatter = positive("gsd", gsd)?.ln();
    if scatter <= 0.0 {
        return Err(InputError::Outside { input: "gsd", range: "what is above 1" });
    }
    if threshold.is_zero() {
        return Err(InputError::Zero { input: "threshold" });
    }
    if result.is_zero() {
        return Ok(0.0);
    }
    let above = finite("bias", result.to_bq_m3().ln() - threshold.to_bq_m3().ln() - bias.ln())?;
    Ok(Normal::standard().cdf(above / scatter))
}

/// Geometric standard deviation for the geometric mean of two tests: of one season, or of opposite seasons.
///
/// The rest of the scatter halves with two tests; the season's part only when the seasons differ.
pub fn gsd_of_two(opposite_seasons: bool) -> f64 {
    let season = SEASON_GSD.ln().powi(2);
    let rest = GSD.ln().powi(2) - season;
    let variance = if opposite_seasons { (season + rest) / 2.0 } else { season + rest / 2.0 };
    variance.sqrt().exp()
}

#[cfg(test)]
mod tests {
    use super::{GSD, WINTER_BASEMENT_BIAS, gsd_of_two, year_at_or_above};
    use crate::quantity::Activity;

    #[test]
    fn the_odds_follow_the_log_normal_table() {
        // Φ(ln(S/4/bias)/ln gsd), worked with a table of the normal distribution to four places.
        let cases = [
            (2, [0.0197, 0.0701, 0.1191, 0.0228]),
            (3, [0.1963, 0.2702, 0.3123, 0.1277]),
            (4, [0.5000, 0.5000, 0.5000, 0.2997]),
            (6, [0.8859, 0.8058, 0.7548, 0.6321]),
            (8, [0.9803, 0.9299, 0.8809, 0.8288]),
            (10, [0.9968, 0.9744, 0.9405, 0.9228]),
        ];
        for (level, odds) in cases {
            let settings = [(1.4, 1.0), (GSD, 1.0), (1.8, 1.0), (GSD, WINTER_BASEMENT_BIAS)];
            for ((gsd, bias), expected) in settings.into_iter().zip(odds) {
                let p = year_at_or_above(Activity::pci_l(level, 1), gsd, bias, Activity::pci_l(4, 1)).unwrap();
                assert!((p - expected).abs() < 5.1e-5, "{level} pCi/L, gsd {gsd}, bias {bias}: {p}");
            }
        }
        // EPA, A Citizen's Guide: at 4.1 "about 50 %" that the year is below 4.
        let p = year_at_or_above(Activity::pci_l(41, 10), GSD, 1.0, Activity::pci_l(4, 1)).unwrap();
        assert!((1.0 - p - 0.479).abs() < 5e-4);
    }

    #[test]
    fn nothing_measured_is_no_chance_and_bad_settings_are_named() {
        let four = Activity::pci_l(4, 1);
        assert_eq!(year_at_or_above(Activity::ZERO, GSD, 1.0, four), Ok(0.0));
        let input = |gsd, bias, threshold| year_at_or_above(four, gsd, bias, threshold).unwrap_err().input();
        assert_eq!(input(1.0, 1.0, four), "gsd");
        assert_eq!(input(f64::NAN, 1.0, four), "gsd");
        assert_eq!(input(GSD, 0.0, four), "bias");
        assert_eq!(input(GSD, 1.0, Activity::ZERO), "threshold");
    }

    #[test]
    fn two_tests_scatter_less() {
        // sqrt(0.3075² + 0.3555²/2) = 0.3971; 0.4700 / sqrt 2 = 0.3323.
        assert!((gsd_of_two(false) - 1.488).abs() < 5e-4 && (gsd_of_two(true) - 1.394).abs() < 5e-4);
    }
}
