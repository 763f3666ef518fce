//! Water off a roof or the ground: its flow in a storm, and its volume after a rain.
//!
//! The rational method without its catchment: flow = c × intensity × area, volume = area × rain. An inch on a square foot is
//! 144/231 gal. c is 0.75 to 0.95 for roofs, 0.70 to 0.95 for paving, 0.05 to 0.35 for lawns; 1 leaves nothing behind.
//!
//! Source: ASCE Manual 77, as quoted (coefficients); 2015 National Standard Plumbing Code, Appendix A, and geometry (roof flow).
//!
//! ```
//! use stemwall::quantity::{Area, Exact};
//! use stemwall::trade::runoff::runoff;
//! let flow = runoff(Area::ft2(1500, 1), Exact::new(32, 10), Exact::ONE).unwrap();
//! assert_eq!(format!("{:.2}", flow.to_gpm()), "49.87");
//! ```

use super::input::InputError;
use super::verdict::{Rule, Standing};
use crate::quantity::{Area, Exact, Flow, Length, Volume};

const MM_PER_INCH: Exact = Exact::new(254, 10);
const MINUTES_PER_HOUR: Exact = Exact::integer(60);

pub static RUNOFF: Rule = Rule {
    name: "runoff",
    says: "flow is c × intensity × area, volume area × rain; c 0.75 to 0.95 for roofs, 0.70 to 0.95 for paving, 0.05 to 0.35 for lawns",
    source: "2015 National Standard Plumbing Code, Appendix A; ASCE Manual 77, as quoted, for c",
    standing: Standing::Read,
    scope: "the plan area of a roof or a patch of ground, under an even rain",
    variants: &[],
};

/// Flow off an area under a rain of so many inches an hour. `c` is 0 to 1. Errors name `intensity_in_h`, `c` or `area`.
///
/// Exact wherever it fits. Source: [`RUNOFF`].
pub fn runoff(area: Area, intensity_in_h: Exact, c: Exact) -> Result<Flow, InputError> {
    if intensity_in_h.is_negative() {
        return Err(InputError::Negative { input: "intensity_in_h" });
    }
    if c.is_negative() || c > Exact::ONE {
        return Err(InputError::Outside { input: "c", range: "0 to 1" });
    }
    // A millimetre on a square metre is a litre.
    let exact = intensity_in_h
        .checked_mul(MM_PER_INCH)
        .and_then(|mm_h| mm_h.checked_mul(area.exact()))
        .and_then(|litres_h| litres_h.checked_div(MINUTES_PER_HOUR))
        .and_then(|litres_min| litres_min.checked_mul(c))
        .and_then(Flow::from_exact);
    let near = || Flow::nearest(intensity_in_h.to_f64() * 25.4 * area.to_m2() / 60.0 * c.to_f64());
    exact.or_else(near).ok_or(InputError::TooLarge { input: "area" })
}

/// Water of a rain of that depth on an area. Errors name `rain` or `area`.
///
/// Exact wherever it fits. Source: geometry.
pub fn roof_volume(area: Area, rain: Length) -> Result<Volume, InputError> {
    if rain.is_negative() {
        return Err(InputError::Negative { input: "rain" });
    }
    let exact = area.exact().checked_mul(rain.exact()).and_then(Volume::from_exact);
    exact.or_else(|| Volume::nearest(area.to_m2() * rain.to_mm())).ok_or(InputError::TooLarge { input: "area" })
}

#[cfg(test)]
mod tests {
    use super::{roof_volume, runoff};
    use crate::quantity::{Area, Exact, Length};

    #[test]
    fn a_roof_sheds_its_area_times_the_rain() {
        // 144/231/60 gpm for a ft2 and an in/h: 1,500 ft2 at 3.2 in/h (IPC 2018 Appendix B, St. Louis) 49.87, at 4.8 74.81.
        let gpm = |i, c| runoff(Area::ft2(1500, 1), Exact::new(i, 10), Exact::new(c, 100)).unwrap().to_gpm();
        let cases = [(32, 100, 49.87), (48, 100, 74.81), (32, 95, 47.38), (48, 95, 71.06), (0, 100, 0.0)];
        for (i, c, want) in cases {
            assert!((gpm(i, c) - want).abs() < 0.006, "{i} {c}: {}", gpm(i, c));
        }
        // 0.05 acre (2,178 ft2), 4 in/h, c 0.9: 0.18150 cfs, 81.46 gpm.
        let acre = runoff(Area::ft2(2178, 1), Exact::integer(4), Exact::new(9, 10)).unwrap().to_gpm();
        assert!((acre - 81.46).abs() < 0.01, "{acre}");
        // 144/231 gal: 1,000 ft2 and 1 in are 623.38 gal (printed 623).
        let gal = roof_volume(Area::ft2(1000, 1), Length::inches(1, 1)).unwrap().to_gal();
        assert!((gal - 144_000.0 / 231.0).abs() < 1e-9);
    }

    #[test]
    fn a_rain_that_cannot_be_is_named() {
        let roof = Area::ft2(1, 1);
        assert_eq!(runoff(roof, Exact::integer(-1), Exact::ONE).unwrap_err().input(), "intensity_in_h");
        assert_eq!(runoff(roof, Exact::ONE, Exact::new(11, 10)).unwrap_err().input(), "c");
        assert_eq!(roof_volume(roof, Length::mm(-1, 1)).unwrap_err().input(), "rain");
    }
}
