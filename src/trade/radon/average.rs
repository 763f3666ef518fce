//! The mean of several results of one place, and the figure it is reported as.
//!
//! The rule in words: average first, round once, then compare. The mean is exact; it is reported in pCi/L to one decimal,
//! half up, so 3.8 and 4.1 are 3.95, reported 4.0, at the action level. Results may be weighted by the hours they lasted.
//! Results of different places, or short and long tests, are not to be averaged: that is for the caller to see to.
//!
//! Source: ANSI/AARST MAH-2019, 8.5.2 b (report) and 7.1 (ranges); MALB-2014, 8.1.1 (half up).
//!
//! ```
//! use stemwall::quantity::{Activity, Exact};
//! use stemwall::trade::radon::average::{Range, average};
//! let results = [Activity::pci_l(38, 10), Activity::pci_l(41, 10)];
//! let of_two = average(&results, None).unwrap();
//! assert_eq!((of_two.reported_pci_l, of_two.range), (Exact::integer(4), Range::Action));
//! ```

use super::{ACTION, CONSIDER, reported};
use crate::quantity::{Activity, Exact};
use crate::trade::input::InputError;
use crate::trade::verdict::{Rule, Standing};
use crate::trade::words::words;

pub static AVERAGE: Rule = Rule {
    name: "radon-average",
    says: "results are averaged first, then reported in pCi/L to one decimal, half up, then compared: 3.95 is reported as 4.0",
    source: "ANSI/AARST MAH-2019, 8.5.2 b; ANSI/AARST MALB-2014, 8.1.1",
    standing: Standing::Read,
    scope: "results of one place and one kind of test",
    variants: &[],
};

words! {
    /// Where a reported figure lies: below 2, from 2 to below 4, from 4 pCi/L on.
    Range { BelowTwo = "below-2", Consider = "consider", Action = "action" }
}

impl Range {
    /// The range of a result by the figure it is reported as. Source: ANSI/AARST MAH-2019, 7.1.
    pub fn of(level: Activity) -> Range {
        match reported(level) {
            r if r >= ACTION => Range::Action,
            r if r >= CONSIDER => Range::Consider,
            _ => Range::BelowTwo,
        }
    }
}

/// Means of several results.
#[derive(Debug, Clone, PartialEq)]
pub struct Average {
    /// Weighted by hours if hours were given; exact wherever it fits.
    pub average: Activity,
    pub plain_mean: Activity,
    /// `None` when a result is 0.
    pub geometric_mean: Option<Activity>,
    /// A factor, from n - 1; `None` when a result is 0 and for one result.
    pub geometric_sd: Option<f64>,
    /// [`Average::average`] in pCi/L to one decimal, half up.
    pub reported_pci_l: Exact,
    /// By the reported figure.
    pub range: Range,
}

/// Mean of `results`, weighted by `hours` if they are given (as many, none negative, not all zero).
///
/// Errors name `results` or `hours`. Source: [`AVERAGE`]; weights are arithmetic.
pub fn average(results: &[Activity], hours: Option<&[Exact]>) -> Result<Average, InputError> {
    let plain_mean = Activity::mean(results).ok_or(InputError::Empty { input: "results" })?;
    let average = match hours {
        Some(hours) => weighted(results, hours)?,
        None => plain_mean,
    };
    let (geometric_mean, geometric_sd) = geometric(results)?;
    let (reported_pci_l, range) = (reported(average), Range::of(average));
    Ok(Average { average, plain_mean, geometric_mean, geometric_sd, reported_pci_l, range })
}

fn weighted(results: &[Activity], hours: &[Exact]) -> Result<Activity, InputError> {
    if hours.len() != results.len() {
        return Err(InputError::Count { input: "hours", given: hours.len(), wanted: results.len() });
    }
    if hours.iter().any(|h| h.is_negative()) {
        return Err(InputError::Negative { input: "hours" });
    }
    if hours.iter().all(|h| h.is_zero()) {
        return Err(InputError::Zero { input: "hours" });
    }
    exactly_weighted(results, hours)
        .or_else(|| {
            let total: f64 = hours.iter().map(|h| h.to_f64()).sum();
            Activity::nearest(results.iter().zip(hours).map(|(r, h)| r.to_bq_m3() * (h.to_f64() / total)).sum())
        })
        .ok_or(InputError::TooLarge { input: "results" })
}

fn exactly_weighted(results: &[Activity], hours: &[Exact]) -> Option<Activity> {
    let total = hours.iter().try_fold(Exact::ZERO, |sum, h| sum.checked_add(*h))?;
    let sum =
        results.iter().zip(hours).try_fold(Exact::ZERO, |sum, (r, h)| sum.checked_add(r.exact().checked_mul(*h)?))?;
    Activity::from_exact(sum.checked_div(total)?)
}

fn geometric(results: &[Activity]) -> Result<(Option<Activity>, Option<f64>), InputError> {
    if results.iter().any(|r| r.is_zero()) {
        return Ok((None, None));
    }
    let count = results.len() as f64;
    let logs: Vec<f64> = results.iter().map(|r| r.to_bq_m3().ln()).collect();
    let mean = logs.iter().sum::<f64>() / count;
    let of = Activity::nearest(mean.exp()).ok_or(InputError::TooLarge { input: "results" })?;
    let squares: f64 = logs.iter().map(|log| (log - mean).powi(2)).sum();
    let sd = (results.len() > 1).then(|| (squares / (count - 1.0)).sqrt().exp());
    Ok((Some(of), sd.filter(|sd| sd.is_finite())))
}

#[cfg(test)]
mod tests {
    use super::{Average, Range, average};
    use crate::quantity::{Activity, Exact};
    use crate::trade::input::InputError;

    fn of(results: &[&str]) -> Average {
        let results: Vec<_> = results.iter().map(|text| Activity::parse(text).unwrap()).collect();
        average(&results, None).unwrap()
    }

    #[test]
    fn a_mean_is_rounded_once_and_half_up() {
        // ANSI/AARST MAH-2019 8.5.2 b: 3.95 and more is reported as 4.0. The means are hand arithmetic.
        let cases: [(&[&str], Exact, Range); 8] = [
            (&["3.8 pCi/L", "4.1 pCi/L"], Exact::integer(4), Range::Action),
            (&["3.8 pCi/L", "4.0 pCi/L"], Exact::new(39, 10), Range::Consider),
            (&["3.949999 pCi/L"], Exact::new(39, 10), Range::Consider),
            (&["148 Bq/m3"], Exact::integer(4), Range::Action),
            (&["1.95 pCi/L"], Exact::integer(2), Range::Consider),
            (&["1.9 pCi/L", "1.9 pCi/L", "2.0 pCi/L"], Exact::new(19, 10), Range::BelowTwo), // 1.9333
            (&["0 pCi/L"], Exact::ZERO, Range::BelowTwo),
            (&["3.9 pCi/L", "3.9 pCi/L", "4.05 pCi/L"], Exact::integer(4), Range::Action), // 11.85 / 3 = 3.95
        ];
        for (results, reported, range) in cases {
            let average = of(results);
            assert_eq!((average.reported_pci_l, average.range), (reported, range), "{results:?}");
        }
    }

    #[test]
    fn hours_weigh_the_results() {
        // (2 × 48 + 6 × 144) / 192 = 5.
        let results = [Activity::pci_l(2, 1), Activity::pci_l(6, 1)];
        let hours = [Exact::integer(48), Exact::integer(144)];
        let weighted = average(&results, Some(&hours)).unwrap();
        assert_eq!((weighted.average, weighted.plain_mean), (Activity::pci_l(5, 1), Activity::pci_l(4, 1)));
        let wrong = |hours: &[Exact]| average(&results, Some(hours)).unwrap_err();
        assert_eq!(wrong(&hours[..1]), InputError::Count { input: "hours", given: 1, wanted: 2 });
        assert_eq!(wrong(&[Exact::ZERO, Exact::ZERO]), InputError::Zero { input: "hours" });
        assert_eq!(wrong(&[Exact::ONE, Exact::integer(-1)]), InputError::Negative { input: "hours" });
        assert_eq!(average(&[], None).unwrap_err(), InputError::Empty { input: "results" });
    }

    #[test]
    fn geometric_figures_need_results_above_zero() {
        // Mean of ln 2 and ln 8 is ln 4; their sd (n - 1) is ln 4 / sqrt 2 = 0.980258.
        let two = of(&["2 pCi/L", "8 pCi/L"]);
        assert!((two.geometric_mean.unwrap().to_pci_l() - 4.0).abs() < 1e-12);
        assert!((two.geometric_sd.unwrap().ln() - 0.980_258_143).abs() < 1e-9);
        let one = of(&["2 pCi/L"]);
        assert!((one.geometric_mean.unwrap().to_pci_l() - 2.0).abs() < 1e-12);
        assert_eq!(one.geometric_sd, None);
        let with_zero = of(&["0 pCi/L", "8 pCi/L"]);
        assert_eq!((with_zero.geometric_mean, with_zero.geometric_sd), (None, None));
    }
}
