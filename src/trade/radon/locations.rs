//! How many places of a house are tested at the same time.
//!
//! The rule in words: one in each lowest structural area (a basement, a room on a slab, a room over a crawl space), and one
//! more for each further 2,000 ft2 of it: 2,000 ft2 are one place, 2,001 two.
//!
//! Source: Illinois 32 IAC 422.130 a) 1); the rounding up is derived.

use crate::quantity::{Area, Exact};
use crate::trade::input::InputError;
use crate::trade::verdict::{Rule, Standing};

/// Floor that one place stands for: Illinois 32 IAC 422.130 a) 1); read.
pub const AREA_EACH: Area = Area::ft2(2000, 1);

pub static LOCATIONS: Rule = Rule {
    name: "radon-locations",
    says: "each lowest structural area is tested at the same time, in one place and one more for each further 2,000 ft2",
    source: "Illinois 32 IAC 422.130 a) 1)",
    standing: Standing::Read,
    scope: "tests of a whole house; other states have their own texts",
    variants: &[],
};

/// Places to test for these lowest structural areas, each by itself. Errors name `areas`.
///
/// Source: [`LOCATIONS`].
pub fn locations(areas: &[Area]) -> Result<u64, InputError> {
    if areas.is_empty() {
        return Err(InputError::Empty { input: "areas" });
    }
    let too_large = InputError::TooLarge { input: "areas" };
    areas.iter().try_fold(0_u64, |sum, area| {
        if area.is_zero() {
            return Err(InputError::Zero { input: "areas" });
        }
        // A quotient that cannot be held is of an area far below the limit or far above it.
        let times = match area.exact().checked_div(AREA_EACH.exact()) {
            None if *area <= AREA_EACH => Exact::ONE,
            times => times.ok_or(too_large.clone())?,
        };
        sum.checked_add(rounded_up(times).ok_or(too_large.clone())?).ok_or(too_large.clone())
    })
}

fn rounded_up(times: Exact) -> Option<u64> {
    let whole = times.numerator() / times.denominator();
    let rest = times.numerator() % times.denominator() != 0;
    u64::try_from(whole).ok()?.checked_add(u64::from(rest))
}

#[cfg(test)]
mod tests {
    use super::locations;
    use crate::quantity::Area;

    fn of(areas: &[&str]) -> Result<u64, &'static str> {
        let areas: Vec<_> = areas.iter().map(|text| Area::parse(text).unwrap()).collect();
        locations(&areas).map_err(|e| e.input())
    }

    #[test]
    fn each_area_counts_by_itself() {
        // 32 IAC 422.130 a) 1): one for each area, one more for each further 2,000 ft2.
        assert_eq!(of(&["800 ft2"]), Ok(1));
        assert_eq!(of(&["2000 ft2"]), Ok(1));
        assert_eq!(of(&["185.80608 m2"]), Ok(1), "2,000 ft2 exactly");
        assert_eq!(of(&["2001 ft2"]), Ok(2));
        assert_eq!(of(&["4000 ft2", "300 ft2", "1200 ft2"]), Ok(4));
        assert_eq!(of(&["0.00000000000000000000000000000000000001 m2"]), Ok(1));
        assert_eq!(of(&[]), Err("areas"));
        assert_eq!(of(&["0 ft2"]), Err("areas"));
        assert_eq!(of(&["100000000000000000000000000 ft2"]), Err("areas"));
    }
}
