//! Discount factors, and how long things last.
//!
//! Factors by NIST Handbook 135 and ASTM E917: sums come at the ends of years, an escalating one is given in today's money
//! and first paid as 1 + e at the end of year 1. At e = d its factor is n, not n/(1 + d). Survival by Weibull:
//! R(t) = exp(-(t/scale)^shape). Rates are bare numbers (0.03 is 3 %), times are years, no inflation is in them unless it is
//! in the rates.
//!
//! ```
//! use stemwall::trade::life_cycle::factors;
//! let three_per_cent = factors(0.03, 0.0, 7.0);
//! assert!((three_per_cent.upv - 6.23028).abs() < 1e-5);
//! ```

use super::verdict::{Rule, Standing};

pub static PRESENT_VALUE: Rule = Rule {
    name: "present-value",
    says: "one sum after n years is worth (1+d)^-n today; a sum each year (1-(1+d)^-n)/d, or n at d = 0; one that grows by e each \
           year (1+e)/(d-e) x (1-((1+e)/(1+d))^n), or n at e = d",
    source: "NIST Handbook 135 (1995), Life-Cycle Costing Manual; ASTM E917",
    standing: Standing::Memory,
    scope: "sums at the ends of years; rates and sums both with inflation, or both without; checked against published factors",
    variants: &[],
};

pub static SERVICE_LIFE: Rule = Rule {
    name: "service-life",
    says: "of things of one kind exp(-(t/scale)^shape) last beyond the age t; of those that have, 1-R(t+x)/R(t) fail within x more",
    source: "NIST/SEMATECH e-Handbook of Statistical Methods, 8.1.6.2 (Weibull)",
    standing: Standing::Read,
    scope: "shape and scale are assumptions of whoever gives them: none was found published for parts of a foundation",
    variants: &[],
};

/// What sums in the years to come are worth today.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Factors {
    /// One sum after `n` years.
    pub spv: f64,
    /// The same sum at the end of each year.
    pub upv: f64,
    /// A sum in today's money at the end of each year, grown by the escalation.
    pub upv_escalating: f64,
    /// One sum in today's money after `n` years, grown by the escalation.
    pub spv_escalated: f64,
    /// The yearly sum that one of today is worth; `None` over no years.
    pub capital_recovery: Option<f64>,
}

/// Discount factors at rate `d` and escalation `e` (both above -1) over `n` years. Source: NIST Handbook 135.
///
/// Not finite where the numbers are beyond a double.
pub fn factors(d: f64, e: f64, n: f64) -> Factors {
    // By logarithms of 1 + x, so that small rates keep their figures.
    let growth = ((e - d) / (1.0 + d)).ln_1p();
    let upv = if d == 0.0 { n } else { -(-n * d.ln_1p()).exp_m1() / d };
    let upv_escalating = if d == e { n } else { -(n * growth).exp_m1() * (1.0 + e) / (d - e) };
    Factors {
        spv: (-n * d.ln_1p()).exp(),
        upv,
        upv_escalating,
        spv_escalated: (n * growth).exp(),
        capital_recovery: (upv != 0.0).then_some(1.0 / upv),
    }
}

/// The share that lasts beyond an age, and of that the share that fails within a time after it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Survival {
    pub survival: f64,
    pub fails_within: f64,
}

/// Weibull survival; all in the same unit of time. Not finite where none is left at `age` that a double could tell.
/// Source: NIST/SEMATECH e-Handbook 8.1.6.2; the condition 1 - R(t+x)/R(t) is derived.
pub fn survival(shape: f64, scale: f64, age: f64, within: f64) -> Survival {
    let hazard = |t: f64| (t / scale).powf(shape);
    // A short time after a long one by its ratio, or the difference of two like figures would lose its own.
    let more = if within < age {
        hazard(age) * (shape * (within / age).ln_1p()).exp_m1()
    } else {
        hazard(age + within) - hazard(age)
    };
    Survival { survival: (-hazard(age)).exp(), fails_within: -(-more).exp_m1() }
}

#[cfg(test)]
mod tests {
    use super::{factors, survival};

    /// numpy-financial 1.0.0.
    const REFERENCE: &str = include_str!("../../tests/reference/finance_factors.csv");

    #[track_caller]
    fn near(got: f64, want: f64, what: &str) {
        assert!((got - want).abs() <= 1e-9 * want.abs() + 1e-12, "{what}: {got} is not {want}");
    }

    #[test]
    fn reference_factors_come_out_as_an_independent_library_has_them() {
        let mut rows = csv::Reader::from_reader(REFERENCE.as_bytes());
        let mut count = 0;
        for row in rows.records() {
            let row = row.unwrap();
            let column = |at: usize| row[at].parse::<f64>().ok();
            let got = factors(column(1).unwrap(), column(2).unwrap(), column(3).unwrap());
            near(got.spv, column(4).unwrap(), &row[0]);
            near(got.upv, column(5).unwrap(), &row[0]);
            near(got.upv_escalating, column(6).unwrap(), &row[0]);
            near(got.spv_escalated, column(7).unwrap(), &row[0]);
            assert_eq!(got.capital_recovery.is_some(), column(8).is_some(), "{}", &row[0]);
            if let Some((got, want)) = got.capital_recovery.zip(column(8)) {
                near(got, want, &row[0]);
            }
            count += 1;
        }
        assert_eq!(count, 49);
    }

    #[test]
    fn published_factors_are_met_to_their_last_figure() {
        // NISTIR 85-3273-24, Table A-1; Handbook 135 worked factors; UPV* of the Handbook at d 3 %, e 2 %, n 15.
        for (got, printed, half) in [
            (factors(0.03, 0.0, 7.0).spv, 0.813091, 1e-6),
            (factors(0.03, 0.0, 7.0).upv, 6.23028, 1e-5),
            (factors(0.03, 0.0, 15.0).spv, 0.642, 5e-4),
            (factors(0.03, 0.0, 15.0).upv, 11.94, 5e-3),
            (factors(0.03, 0.02, 15.0).upv_escalating, 13.89, 5e-3),
        ] {
            assert!((got - printed).abs() <= half, "{got} is not {printed}");
        }
    }

    #[test]
    fn rates_that_are_nearly_equal_keep_their_figures() {
        // By series: n (1 + (e-d)/(1+d) (n+1)/2 + …); at a difference of 1e-12 that is n to 1e-10.
        near(factors(0.03, 0.03 + 1e-12, 20.0).upv_escalating, 20.0 * (1.0 + 1e-12 / 1.03 * 10.5), "escalating");
        near(factors(1e-14, 0.0, 20.0).upv, 20.0 * (1.0 - 1e-14 * 10.5), "level");
    }

    #[test]
    fn weibull_lives_are_those_of_the_published_example() {
        // NIST/SEMATECH e-Handbook 8.1.6.2: F(1000) = 0.08556 at shape 1.5, scale 5000; the rest derived from the formula.
        for (shape, scale, age, within, alive, fails) in [
            (1.5, 5000.0, 1000.0, 1000.0, 1.0 - 0.0855593564, 0.150867037),
            (2.5, 20.0, 15.0, 5.0, f64::NAN, 0.401219810),
            (3.0, 11.1984652, 7.0, 1.0, f64::NAN, 0.113381355),
            (3.0, 10.0, 0.0, 0.0, 1.0, 0.0),
        ] {
            let got = survival(shape, scale, age, within);
            assert!(alive.is_nan() || (got.survival - alive).abs() < 1e-9, "{got:?}");
            assert!((got.fails_within - fails).abs() < 1e-8, "{got:?}");
        }
    }

    #[test]
    fn a_short_time_after_a_long_one_keeps_its_figures() {
        // Shape 2, age 10, within 1e-10, scale 10: h = (2 a w + w^2) / scale^2 = 2e-11 + 1e-22, and 1 - exp(-h) is h - h^2 / 2.
        near(survival(2.0, 10.0, 10.0, 1e-10).fails_within, 2e-11 - 1e-22, "short");
        let relative = survival(2.0, 10.0, 10.0, 1e-10).fails_within / (2e-11 - 1e-22) - 1.0;
        assert!(relative.abs() < 1e-12, "{relative}");
        // Shape 1 has no memory: 1 - exp(-1 / 4) at any age.
        for age in [0.0, 0.5, 3.0, 2000.0] {
            near(survival(1.0, 8.0, age, 2.0).fails_within, -(-0.25_f64).exp_m1(), "no memory");
        }
        assert_eq!(survival(3.0, 10.0, 7.0, 0.0).fails_within, 0.0);
    }

    #[test]
    fn where_none_is_left_that_a_double_could_tell_there_is_no_figure() {
        assert!(survival(100.0, 1e-3, 1e6, 0.0).fails_within.is_nan());
        assert!(survival(100.0, 1e-3, 1e6, 1e6).fails_within.is_nan());
    }
}
