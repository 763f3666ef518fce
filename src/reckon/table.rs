//! The table of all calculations.

use super::calculation::Calculation;
use super::{air, crack, epoxy, quantity, radon, site, sump, water};

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
    &site::STEP_HEIGHT,
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
    &water::FLOOD_DAMAGE,
];

/// The calculation of that name.
pub fn named(name: &str) -> Option<&'static Calculation> {
    ALL.iter().copied().find(|calculation| calculation.name == name)
}
