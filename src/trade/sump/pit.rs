//! The pit of a sump pump: the water it holds in a unit of depth.
//!
//! The rule in words: a round pit holds pi D^2 / 4, a square one side times side, less the area taken up by the pump and its
//! pipe. A pit that narrows is given by the average of top and bottom. A US gallon is 231 cubic inches.
//!
//! Source: geometry; NIST Handbook 44, Appendix C for the gallon (from memory).
//!
//! ```
//! use stemwall::quantity::Length;
//! use stemwall::trade::sump::Pit;
//! let pit = Pit::round(Length::inches(18, 1));
//! assert_eq!(format!("{:.4}", pit.gallons_per_inch().unwrap()), "1.1016");
//! ```

use std::f64::consts::FRAC_PI_4;

use crate::quantity::{Area, Exact, Flow, Length, Span, Volume};
use crate::trade::input::{InputError, above_zero, finite};
use crate::trade::verdict::{Rule, Standing};

/// Square millimetres of a square metre, which are also millilitres over a litre per millimetre of depth.
const MM2_PER_M2: f64 = 1e6;
const MM3_PER_LITRE: f64 = 1e6;
const MM_PER_INCH: f64 = 25.4;
const LITRES_PER_GALLON: f64 = 3.785_411_784;

pub static PIT: Rule = Rule {
    name: "sump-pit",
    says: "a round pit holds pi D^2 / 4 for each unit of depth, a square one side times side, less the area of the pump; a gallon is \
           231 in3",
    source: "geometry; NIST Handbook 44, Appendix C, for the gallon",
    standing: Standing::Derived,
    scope: "pits with upright walls; one that narrows is given by the average of top and bottom",
    variants: &[],
};

/// The inside of a pit as seen from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Opening {
    Round { diameter: Length },
    Square { side_a: Length, side_b: Length },
}

/// A pit, with what stands in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pit {
    pub opening: Opening,
    /// Area taken up by pump and pipe; less than that of the opening.
    pub displaced: Option<Area>,
}

impl Pit {
    pub const fn round(diameter: Length) -> Pit {
        Pit { opening: Opening::Round { diameter }, displaced: None }
    }

    pub const fn square(side_a: Length, side_b: Length) -> Pit {
        Pit { opening: Opening::Square { side_a, side_b }, displaced: None }
    }

    /// Gallons in an inch of depth. Errors name `diameter`, `side_a`, `side_b` or `displaced`.
    ///
    /// Source: [`PIT`].
    pub fn gallons_per_inch(&self) -> Result<f64, InputError> {
        Ok(self.surface_mm2()? * MM_PER_INCH / MM3_PER_LITRE / LITRES_PER_GALLON)
    }

    /// The water between two levels `depth` apart. Errors as [`Pit::gallons_per_inch`], or name `depth_name`.
    pub fn volume(&self, depth_name: &'static str, depth: Length) -> Result<Volume, InputError> {
        let depth_mm = zero_or_more(depth_name, depth)?;
        Volume::nearest(self.surface_mm2()? * depth_mm / MM3_PER_LITRE)
            .ok_or(InputError::TooLarge { input: depth_name })
    }

    /// The flow that moves the level by `depth` in `time`. Errors as [`Pit::gallons_per_inch`], or name one of `names`
    /// (of the depth, of the time).
    pub(super) fn flow(
        &self,
        names: (&'static str, &'static str),
        depth: Length,
        time: Span,
    ) -> Result<Flow, InputError> {
        let seconds = above_zero(names.1, time.exact(), time.to_seconds())?;
        let litres = self.surface_mm2()? * zero_or_more(names.0, depth)? / MM3_PER_LITRE;
        Flow::nearest(litres / seconds * 60.0).ok_or(InputError::TooLarge { input: names.0 })
    }

    /// Relative error of the surface when each side is read to `sides`.
    pub(super) fn surface_error(&self, sides: Length) -> f64 {
        let of = |side: Length| sides.to_mm() / side.to_mm();
        match self.opening {
            Opening::Round { diameter } => 2.0 * of(diameter),
            Opening::Square { side_a, side_b } => of(side_a).hypot(of(side_b)),
        }
    }

    /// Surface of the water, mm2.
    fn surface_mm2(&self) -> Result<f64, InputError> {
        let (open, widest) = match self.opening {
            Opening::Round { diameter } => {
                let across = above_zero("diameter", diameter.exact(), diameter.to_mm())?;
                (FRAC_PI_4 * across * across, "diameter")
            }
            Opening::Square { side_a, side_b } => {
                let a = above_zero("side_a", side_a.exact(), side_a.to_mm())?;
                (a * above_zero("side_b", side_b.exact(), side_b.to_mm())?, "side_a")
            }
        };
        let open = finite(widest, open)?;
        let taken = self.displaced.unwrap_or(Area::ZERO).to_m2() * MM2_PER_M2;
        if taken >= open {
            return Err(InputError::Conflict {
                input: "displaced",
                fact: "displaced is not less than the area of the pit",
            });
        }
        Ok(open - taken)
    }
}

/// A length in mm that may be zero.
fn zero_or_more(input: &'static str, length: Length) -> Result<f64, InputError> {
    if length.exact() < Exact::ZERO { Err(InputError::Negative { input }) } else { Ok(length.to_mm()) }
}

#[cfg(test)]
mod tests {
    use super::Pit;
    use crate::quantity::{Area, Length};
    use crate::trade::input::InputError;

    #[test]
    fn gallons_in_an_inch_of_depth() {
        // pi D^2 / (4 x 231), by hand; the square: 18 x 18 / 231 = 1.402597.
        let cases = [(12, 0.489_60), (15, 0.765_00), (18, 1.101_60), (20, 1.360_00), (24, 1.958_40), (36, 4.406_39)];
        for (diameter, gallons) in cases {
            let got = Pit::round(Length::inches(diameter, 1)).gallons_per_inch().unwrap();
            assert!((got - gallons).abs() < 5e-6, "{diameter} in: {got}");
        }
        let square = Pit::square(Length::inches(18, 1), Length::inches(18, 1));
        assert!((square.gallons_per_inch().unwrap() - 324.0 / 231.0).abs() < 1e-12);
        // Less 93 in2 it is 231 in2, so a gallon an inch. 93 in2 are 93/144 ft2.
        let filled = Pit { displaced: Some(Area::ft2(93, 144)), ..square };
        assert!((filled.gallons_per_inch().unwrap() - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_pit_without_a_surface_is_refused_by_the_name_of_its_input() {
        let inch = Length::inches(1, 1);
        let refused = |pit: Pit| pit.gallons_per_inch().unwrap_err();
        assert_eq!(refused(Pit::round(Length::ZERO)), InputError::Zero { input: "diameter" });
        assert_eq!(refused(Pit::round(Length::inches(-1, 1))), InputError::Negative { input: "diameter" });
        assert_eq!(refused(Pit::square(Length::ZERO, inch)), InputError::Zero { input: "side_a" });
        assert_eq!(refused(Pit::square(inch, Length::ZERO)), InputError::Zero { input: "side_b" });
        let full = Pit { displaced: Some(Area::ft2(1, 144)), ..Pit::square(inch, inch) };
        assert_eq!(refused(full).input(), "displaced");
        assert_eq!(
            Pit::round(inch).volume("freeboard", Length::mm(-1, 1)),
            Err(InputError::Negative { input: "freeboard" })
        );
    }
}
