//! The table of all calculations.

use super::calculation::Calculation;
use super::{crack, level, life_cycle, masonry, quantity, site, trend};

/// All of them, by group and in the order in which they are listed.
pub static ALL: &[&Calculation] = &[
    // quantities
    &quantity::QUANTITY,
    // structure
    &crack::CRACK_CATEGORY,
    &crack::CRACK_GUIDE,
    &crack::STRAIN_CATEGORY,
    &trend::TREND,
    &level::LEVEL_PROFILE,
    &level::LEVEL_SURVEY,
    &masonry::BOLT_COUNT,
    &site::STEP_HEIGHT,
    &site::WOOD_CLEARANCE,
    &site::TREE,
    &masonry::LATERAL_LOAD,
    &masonry::EFFLORESCENCE,
    // time and money
    &life_cycle::PRESENT_VALUE,
    &life_cycle::SERVICE_LIFE,
];

/// The calculation of that name.
pub fn named(name: &str) -> Option<&'static Calculation> {
    ALL.iter().copied().find(|calculation| calculation.name == name)
}

#[cfg(test)]
mod tests {
    use super::ALL;
    use crate::quantity::{Exact, QuantityKind, parse_si};
    use crate::reckon::read::tests::reads;
    use crate::reckon::{Bound, Bounds, Input, Kind, Need};

    /// A bound that does not read would refuse everything.
    fn assert_bounds(name: &str, kind: &Kind) {
        let assert_read = |bounds: &Bounds, read: &dyn Fn(&str) -> bool| {
            let (Bound::From(least) | Bound::Over(least)) = bounds.least;
            assert!(read(least) && read(bounds.most), "{name}: {}", bounds.described());
        };
        match kind {
            Kind::Quantity(kind, bounds) => assert_read(bounds, &|text| parse_si(text, *kind, true).is_ok()),
            Kind::Signed(bounds) => assert_read(bounds, &|text| parse_si(text, QuantityKind::Length, true).is_ok()),
            Kind::Number(bounds, _) => assert_read(bounds, &|text| Exact::from_decimal_str(text).is_some()),
            Kind::List { of, .. } | Kind::OrGap(of) => assert_bounds(name, of),
            Kind::Row(columns) | Kind::Record(columns) => columns.iter().for_each(|c| assert_bounds(name, &c.kind)),
            _ => {}
        }
    }

    #[test]
    fn every_bound_and_every_default_reads() {
        for calculation in ALL {
            for Input { name, kind, need, .. } in calculation.inputs {
                assert_bounds(name, kind);
                if let Need::Default(typed) = need {
                    assert!(reads(kind, typed), "{}: `{name}` is `{typed}` by default", calculation.name);
                }
            }
        }
    }
}
