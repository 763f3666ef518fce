//! What earth or water presses against a wall.
//!
//! As a fluid of so many pounds a cubic foot it presses at the foot with weight × height, in all with half of that × height
//! for each foot of wall, a third of the height above the foot.
//!
//! ```
//! use stemwall::quantity::Length;
//! use stemwall::trade::earth::lateral_load;
//! assert_eq!(lateral_load(60.0, Length::feet(7, 1)).base_psf, 420.0);
//! ```

use super::verdict::{Rule, Standing};
use crate::quantity::Length;

pub static LATERAL: Rule = Rule {
    name: "lateral-load",
    says: "an equivalent fluid presses at the foot with its weight times the height, in all with half of that times the height, \
           at a third of the height",
    source: "hydrostatics; equivalent fluid weights of drained soils are in the HUD Residential Structural Design Guide (2000), \
             Table 3.8",
    standing: Standing::Derived,
    scope: "drained fill under 10 ft; not expansive clay, freezing soil or a load beside the wall; says nothing of what a wall bears",
    variants: &[],
};

/// Pressure at the foot in lb/ft2, the whole in lb for each foot of wall, and how far above the foot it acts, in ft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LateralLoad {
    pub base_psf: f64,
    pub resultant_lb_ft: f64,
    pub arm_ft: f64,
}

/// The load of `fluid_pcf` (lb/ft3) over `height`: p = γh, P = γh²/2 at h/3. Derived.
pub fn lateral_load(fluid_pcf: f64, height: Length) -> LateralLoad {
    let feet = height.to_feet();
    let base_psf = fluid_pcf * feet;
    LateralLoad { base_psf, resultant_lb_ft: base_psf * feet / 2.0, arm_ft: feet / 3.0 }
}

#[cfg(test)]
mod tests {
    use super::lateral_load;
    use crate::quantity::Length;

    #[test]
    fn loads_are_those_worked_by_hand() {
        // γh, γh²/2, h/3: 62.4 × 4 = 249.6; 249.6 × 2 = 499.2. 60 × 7 = 420; 420 × 3.5 = 1470. 62.4 × 8 = 499.2; × 4 = 1996.8.
        for (pcf, feet, base, resultant, arm) in [
            (62.4, 4, 249.6, 499.2, 4.0 / 3.0),
            (60.0, 7, 420.0, 1470.0, 7.0 / 3.0),
            (62.4, 8, 499.2, 1996.8, 8.0 / 3.0),
        ] {
            let load = lateral_load(pcf, Length::feet(feet, 1));
            for (got, want) in [(load.base_psf, base), (load.resultant_lb_ft, resultant), (load.arm_ft, arm)] {
                assert!((got - want).abs() < 1e-9, "{load:?}");
            }
        }
    }
}
