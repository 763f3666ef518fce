//! The head a pump works against: lift and friction.
//!
//! h = 10.67 L Q^1.852 / (C^1.852 d^4.8704), in metres and m3/s, over the length of the pipe and the lengths its fittings stand
//! for. C is 150 for new PVC, 140 aged. The inside diameter is that by minimum wall: 1.380, 1.610 and 2.067 in for 1-1/4,
//! 1-1/2 and 2 in of schedule 40. Velocity above 5 ft/s is better avoided.
//!
//! Sources: Hazen-Williams in the form of hydraulic textbooks; ASTM D1785 for the diameters. It gives the friction rows of 77
//! Illinois Administrative Code 906, Exhibit I, within 2.7 %.
//!
//! ```
//! use stemwall::quantity::{Flow, Length};
//! use stemwall::trade::sump::head::{NEW_PVC, Pipe, head};
//! let [lift, run, fittings] = ["8 ft", "28 ft", "25.46 ft"].map(|text| Length::parse(text).unwrap());
//! let head = head(lift, Pipe::OneAndAHalf.inside(), run, fittings, Flow::gpm(30, 1), NEW_PVC).unwrap();
//! assert_eq!(format!("{:.1}", head.total.to_feet()), "10.8");
//! ```

use std::f64::consts::FRAC_PI_4;

use crate::quantity::{Flow, Length};
use crate::trade::input::{InputError, above_zero, finite, positive};
use crate::trade::verdict::{Rule, Standing, Variant};
use crate::trade::words::words;

/// Roughness coefficient of new PVC: water-supply friction charts; read.
pub const NEW_PVC: f64 = 150.0;
/// Litres a minute in a cubic metre a second.
const L_MIN_PER_M3_S: f64 = 60_000.0;

pub static HEAD: Rule = Rule {
    name: "pump-head",
    says: "the head is the lift and the friction, 10.67 L Q^1.852 / (C^1.852 d^4.8704) in SI, C 150 for new PVC, inside diameter by \
           minimum wall",
    source: "Hazen-Williams, in SI; ASTM D1785 for schedule 40",
    standing: Standing::Read,
    scope: "cold water in full pipes; velocity head apart",
    variants: &[
        Variant {
            name: "aged",
            says: "C 140 for aged PVC, 13.6 % more friction",
            source: "water-supply friction charts",
            standing: Standing::Read,
        },
        Variant {
            name: "irrigation",
            says: "0.2083 (100 / C)^1.852 Q^1.852 / d^4.8655 in US units, 0.9 % more friction",
            source: "irrigation handbooks",
            standing: Standing::Memory,
        },
    ],
};

words! {
    /// Nominal size of a schedule 40 pipe, inches.
    Pipe { OneAndAQuarter = "1-1/4", OneAndAHalf = "1-1/2", Two = "2" }
}

impl Pipe {
    /// Inside diameter by minimum wall: ASTM D1785, schedule 40.
    pub const fn inside(self) -> Length {
        match self {
            Pipe::OneAndAQuarter => Length::inches(1380, 1000),
            Pipe::OneAndAHalf => Length::inches(1610, 1000),
            Pipe::Two => Length::inches(2067, 1000),
        }
    }
}

/// What a pump works against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    /// Friction a unit of length: 0.05 is 5 ft in 100 ft.
    pub slope: f64,
    pub friction: Length,
    /// Lift and friction.
    pub total: Length,
    /// Mean velocity in the pipe.
    pub velocity_m_s: f64,
}

/// Head at a flow. `equivalent` is the length of straight pipe that the fittings stand for. Errors name the input.
///
/// Source: [`HEAD`].
pub fn head(
    lift: Length,
    inside: Length,
    length: Length,
    equivalent: Length,
    flow: Flow,
    c: f64,
) -> Result<Head, InputError> {
    let across = above_zero("inside", inside.exact(), inside.to_m())?;
    for (input, given) in [("lift", lift), ("length", length), ("equivalent", equivalent)] {
        if given.is_negative() {
            return Err(InputError::Negative { input });
        }
    }
    let c = positive("c", c)?;
    let m3_s = flow.to_l_min() / L_MIN_PER_M3_S;
    let slope = finite("flow", 10.67 * (m3_s / c).powf(1.852) / across.powf(4.8704))?;
    let friction_m = finite("flow", slope * (length.to_m() + equivalent.to_m()))?;
    let velocity_m_s = finite("flow", m3_s / (FRAC_PI_4 * across * across))?;
    let metres = |m: f64| Length::nearest(m * 1000.0).ok_or(InputError::TooLarge { input: "length" });
    Ok(Head { slope, friction: metres(friction_m)?, total: metres(lift.to_m() + friction_m)?, velocity_m_s })
}

#[cfg(test)]
mod tests {
    use super::{NEW_PVC, Pipe, head};
    use crate::quantity::{Flow, Length};

    fn per_hundred(pipe: Pipe, gpm: i128, c: f64) -> f64 {
        let hundred = Length::feet(100, 1);
        head(Length::ZERO, pipe.inside(), hundred, Length::ZERO, Flow::gpm(gpm, 1), c).unwrap().friction.to_feet()
    }

    #[test]
    fn the_published_friction_rows_are_given_back() {
        // 77 Ill. Adm. Code 906, Appendix A, Exhibit I: schedule 40 plastic, C 150, ft in 100 ft, printed to two places.
        let rows: [(i128, [Option<f64>; 3]); 9] = [
            (5, [Some(0.39), Some(0.18), None]),
            (10, [Some(1.46), Some(0.70), Some(0.21)]),
            (15, [None, Some(1.45), Some(0.44)]),
            (20, [Some(5.23), Some(2.46), Some(0.74)]),
            (25, [None, None, Some(1.10)]),
            (30, [None, Some(5.22), Some(1.54)]),
            (35, [None, None, Some(2.05)]),
            (40, [None, None, Some(2.62)]),
            (50, [None, None, Some(3.98)]),
        ];
        for (gpm, printed) in rows {
            for (pipe, printed) in [Pipe::OneAndAQuarter, Pipe::OneAndAHalf, Pipe::Two].into_iter().zip(printed) {
                let Some(printed) = printed else { continue };
                let got = per_hundred(pipe, gpm, NEW_PVC);
                let allowed = if printed < 0.70 { 0.015 } else { 0.027 * printed };
                assert!((got - printed).abs() <= allowed, "{pipe} at {gpm} gpm: {got}, printed {printed}");
            }
        }
    }

    #[test]
    fn lift_and_fittings_add_up() {
        // 8 ft; 28 ft of 1-1/2 in, three elbows of 4.02 ft and a check valve of 13.4 ft: 53.46 ft. At 30 gpm 10.792 ft.
        let [lift, run, fittings] = ["8 ft", "28 ft", "25.46 ft"].map(|text| Length::parse(text).unwrap());
        let head = head(lift, Pipe::OneAndAHalf.inside(), run, fittings, Flow::gpm(30, 1), NEW_PVC).unwrap();
        assert!((head.total.to_feet() - 10.792).abs() < 0.03, "{head:?}");
        // 0.4085 Q / d^2 = 4.73 ft/s.
        assert!((head.velocity_m_s / 0.3048 - 4.73).abs() < 0.005);
        // (150 / 140)^1.852 = 1.1363.
        let ratio = per_hundred(Pipe::Two, 30, 140.0) / per_hundred(Pipe::Two, 30, NEW_PVC);
        assert!((ratio - 1.1363).abs() < 5e-5, "{ratio}");
        assert_eq!(per_hundred(Pipe::Two, 0, NEW_PVC), 0.0);
    }

    #[test]
    fn inputs_that_no_pipe_has_are_named() {
        let foot = Length::feet(1, 1);
        let input = |lift, inside, length, equivalent, c| {
            head(lift, inside, length, equivalent, Flow::gpm(1, 1), c).unwrap_err().input()
        };
        let below = Length::feet(-1, 1);
        assert_eq!(input(below, foot, foot, foot, 150.0), "lift");
        assert_eq!(input(foot, Length::ZERO, foot, foot, 150.0), "inside");
        assert_eq!(input(foot, foot, below, foot, 150.0), "length");
        assert_eq!(input(foot, foot, foot, below, 150.0), "equivalent");
        assert_eq!(input(foot, foot, foot, foot, 0.0), "c");
        let thin = Length::from_exact(crate::quantity::Exact::new(1, 10_i128.pow(37))).unwrap();
        assert_eq!(input(foot, thin, foot, foot, 1e-300), "flow");
    }
}
