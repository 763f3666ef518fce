//! The straight pipe that fittings stand for.
//!
//! Each fitting adds the friction of a length of pipe of its size: an elbow 30 diameters, a swing check valve 100, and so on.
//! The lengths are those printed, for schedule 40 of 1-1/4, 1-1/2 and 2 in.
//!
//! Source: 2018 IRC Appendix A, Table A.2.2, for elbows; a table of equivalent feet by the same ratios for the rest.

use super::head::Pipe;
use crate::quantity::{Exact, Length};
use crate::trade::verdict::{Rule, Standing, Variant};
use crate::trade::words::words;

pub static FITTINGS: Rule = Rule {
    name: "pipe-fittings",
    says: "a fitting stands for straight pipe: in 1-1/4, 1-1/2 and 2 in a 90 elbow for 3.45, 4.02 and 5.17 ft, a 45 elbow for 1.61, \
           1.88 and 2.41, a swing check valve for 11.5, 13.4 and 17.2, an open gate valve for 0.92, 1.07 and 1.38, a tee straight \
           through for 2.30, 2.68 and 3.45, into its branch for 6.90, 8.05 and 10.3",
    source: "2018 IRC Appendix A, Table A.2.2 (elbows); a table of equivalent feet (valves and tees)",
    standing: Standing::Read,
    scope: "schedule 40 pipe of those sizes, screwed fittings",
    variants: &[
        Variant {
            name: "pvc",
            says: "90 elbows of PVC 3.8, 4.0 and 5.7 ft, 45 elbows 1.8, 2.1 and 2.6",
            source: "a table of PVC fittings",
            standing: Standing::Read,
        },
        Variant {
            name: "illinois",
            says: "a wrought 90 elbow 2.0 ft in all three sizes",
            source: "77 Illinois Administrative Code 890, subpart M, Appendix A, Table Q",
            standing: Standing::Read,
        },
    ],
};

words! {
    /// A fitting in the pipe of a pump.
    Fitting {
        Elbow90 = "elbow-90", Elbow45 = "elbow-45", SwingCheck = "swing-check", GateValve = "gate-valve",
        TeeThrough = "tee-through", TeeBranch = "tee-branch",
    }
}

/// The straight pipe that one fitting stands for.
///
/// Source: [`FITTINGS`].
pub const fn equivalent(fitting: Fitting, pipe: Pipe) -> Length {
    let hundredths = match (fitting, pipe) {
        (Fitting::Elbow90, Pipe::OneAndAQuarter) => 345,
        (Fitting::Elbow90, Pipe::OneAndAHalf) => 402,
        (Fitting::Elbow90, Pipe::Two) => 517,
        (Fitting::Elbow45, Pipe::OneAndAQuarter) => 161,
        (Fitting::Elbow45, Pipe::OneAndAHalf) => 188,
        (Fitting::Elbow45, Pipe::Two) => 241,
        (Fitting::SwingCheck, Pipe::OneAndAQuarter) => 1150,
        (Fitting::SwingCheck, Pipe::OneAndAHalf) => 1340,
        (Fitting::SwingCheck, Pipe::Two) => 1720,
        (Fitting::GateValve, Pipe::OneAndAQuarter) => 92,
        (Fitting::GateValve, Pipe::OneAndAHalf) => 107,
        (Fitting::GateValve, Pipe::Two) => 138,
        (Fitting::TeeThrough, Pipe::OneAndAQuarter) => 230,
        (Fitting::TeeThrough, Pipe::OneAndAHalf) => 268,
        (Fitting::TeeThrough, Pipe::Two) => 345,
        (Fitting::TeeBranch, Pipe::OneAndAQuarter) => 690,
        (Fitting::TeeBranch, Pipe::OneAndAHalf) => 805,
        (Fitting::TeeBranch, Pipe::Two) => 1030,
    };
    Length::feet(hundredths, 100)
}

/// The straight pipe that all of them stand for; `None` where the sum does not fit.
pub fn equivalent_of(counted: &[(Fitting, i64)], pipe: Pipe) -> Option<Length> {
    counted.iter().try_fold(Length::ZERO, |sum, (fitting, count)| {
        let each = equivalent(*fitting, pipe).exact().checked_mul(Exact::integer(i128::from(*count)))?;
        Length::from_exact(sum.exact().checked_add(each)?)
    })
}

#[cfg(test)]
mod tests {
    use super::{Fitting, equivalent_of};
    use crate::trade::sump::head::Pipe;

    #[test]
    fn the_fittings_of_a_discharge_pipe_add_up() {
        // Three 90 elbows of 4.02 ft and a swing check of 13.4 ft in 1-1/2 in: 25.46 ft.
        let all = [(Fitting::Elbow90, 3), (Fitting::SwingCheck, 1), (Fitting::GateValve, 0)];
        assert_eq!(format!("{:.2}", equivalent_of(&all, Pipe::OneAndAHalf).unwrap().to_feet()), "25.46");
        // 2 in: 2.41 + 2 x 10.3 = 23.01 ft.
        let all = [(Fitting::Elbow45, 1), (Fitting::TeeBranch, 2)];
        assert_eq!(format!("{:.2}", equivalent_of(&all, Pipe::Two).unwrap().to_feet()), "23.01");
    }
}
