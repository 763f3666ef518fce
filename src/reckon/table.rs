//! The table of all calculations.

use super::calculation::Calculation;
use super::{
    air, crack, deferral, epoxy, level, life_cycle, masonry, occurrences, plan, quantity, radon, site, sump, trend,
    water,
};

/// All of them, by group and in the order in which they are listed.
pub static ALL: &[&Calculation] = &[
    // quantities
    &quantity::QUANTITY,
    // radon
    &radon::RADON_AVERAGE,
    &radon::RADON_PAIR,
    &radon::RADON_RISK,
    &radon::RADON_DECAY,
    &radon::RADON_ODDS,
    &radon::RADON_LOCATIONS,
    &radon::RADON_MONITOR,
    &radon::RADON_REDUCTION,
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
    &epoxy::EPOXY_CLASS,
    &epoxy::EPOXY_QUANTITY,
    // water, air and wood
    &sump::PIT,
    &sump::SUMP_RATE,
    &sump::SUMP_CYCLE,
    &sump::SUMP_NEED,
    &sump::OVERFLOW,
    &sump::BATTERY,
    &sump::PUMP_HEAD,
    &water::RUNOFF,
    &water::ROOF_VOLUME,
    &water::GRADE,
    &water::VENT_AREA,
    &air::SATURATION,
    &air::DEW_POINT,
    &air::SURFACE_HUMIDITY,
    &air::WOOD_MOISTURE,
    &air::MOULD_GROWTH,
    &air::MOULD_INDEX,
    &masonry::PLASTIC_SHEET,
    &water::FLOOD_DAMAGE,
    // time and money
    &occurrences::OCCURRENCES,
    &life_cycle::PRESENT_VALUE,
    &life_cycle::SERVICE_LIFE,
    &deferral::DEFERRAL,
    &deferral::DEFERRAL_SPREAD,
    &plan::PLAN,
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
            Kind::List { of, .. } | Kind::OrGap(of) | Kind::OneOrList { of, .. } => assert_bounds(name, of),
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
