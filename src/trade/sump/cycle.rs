//! What a pit, its switch and its pump do together: cycles, starts, the time to overflow, and how much pump a house asks for.
//!
//! The rule in words: between the switch levels the pit fills at the inflow and empties at the pump's rate less the inflow, so a
//! cycle is V / Qi + V / (Qp - Qi). The pump runs Qi / Qp of the time. Without a pump the pit overflows after the water its
//! freeboard holds, over the inflow. A new house asks for 14 gpm for each 1,000 ft2 on sandy soil, 8 on clay.
//!
//! Starts an hour are told and not judged: published least cycles are for waste water stations, and no pit of a house meets them.
//!
//! Sources: MIL-HDBK-1005/9A, 2.5.3.6, equation 1 (cycle); University of Illinois Extension, "Sizing Up a Sump Pump" (need).
//!
//! ```
//! use stemwall::quantity::{Flow, Length};
//! use stemwall::trade::sump::{Pit, cycle::cycle};
//! let pit = Pit::round(Length::inches(18, 1));
//! let found = cycle(&pit, Length::inches(6, 1), Flow::gpm(30, 1), Flow::gpm(10, 1)).unwrap();
//! assert_eq!(format!("{:.5}", found.cycle.unwrap().to_minutes()), "0.99144");
//! ```

use super::pit::Pit;
use crate::quantity::{Area, Exact, Flow, Length, Span, Volume};
use crate::trade::input::{InputError, above_zero, finite};
use crate::trade::verdict::{Rule, Standing};
use crate::trade::words::words;

/// Flow for each 1,000 ft2 of a new house on sandy soil: University of Illinois Extension, Sizing Up a Sump Pump; read.
pub const NEED_SAND: Flow = Flow::gpm(14, 1);
/// The same on clay: University of Illinois Extension, Sizing Up a Sump Pump; read.
pub const NEED_CLAY: Flow = Flow::gpm(8, 1);
const NEED_FLOOR: Area = Area::ft2(1000, 1);
const SECONDS_PER_HOUR: f64 = 3600.0;

pub static CYCLE: Rule = Rule {
    name: "sump-cycle",
    says: "a cycle is V / inflow + V / (pump - inflow), V the water between the switch levels; the pump runs inflow / pump of the time",
    source: "MIL-HDBK-1005/9A, 2.5.3.6, equation 1",
    standing: Standing::Read,
    scope: "one pump with one switch and an even inflow; starts are told and not judged",
    variants: &[],
};

pub static NEED: Rule = Rule {
    name: "sump-need",
    says: "a new house asks for a pump of 14 gpm for each 1,000 ft2 on sandy soil, 8 gpm on clay",
    source: "University of Illinois Extension, Sizing Up a Sump Pump (D. Friend)",
    standing: Standing::Read,
    scope: "new houses whose inflow was never measured",
    variants: &[],
};

pub static OVERFLOW: Rule = Rule {
    name: "sump-overflow",
    says: "with the pump off the pit overflows after the water its freeboard holds, over the inflow",
    source: "mass balance",
    standing: Standing::Derived,
    scope: "pits with upright walls and an even inflow",
    variants: &[],
};

words! {
    /// The soil a house stands on, as far as the need of a pump asks.
    Soil { Sand = "sand", Clay = "clay" }
}

/// How often a pump starts, and for how long.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cycle {
    /// Water between the switch levels.
    pub switch: Volume,
    /// From one start to the next; `None` without inflow.
    pub cycle: Option<Span>,
    pub starts_per_hour: f64,
    /// Share of the time the pump runs.
    pub on_fraction: f64,
}

/// Cycles of a pump. Errors name `switch_range`, `pump` (it does not lift more than comes in) or an input of the pit.
///
/// Source: [`CYCLE`].
pub fn cycle(pit: &Pit, switch_range: Length, pump: Flow, inflow: Flow) -> Result<Cycle, InputError> {
    above_zero("switch_range", switch_range.exact(), switch_range.to_mm())?;
    let switch = pit.volume("switch_range", switch_range)?;
    if pump <= inflow {
        return Err(InputError::Conflict { input: "pump", fact: "the pump does not lift more than comes in" });
    }
    let (litres, lifts, comes) = (switch.to_l(), pump.to_l_min(), inflow.to_l_min());
    let on_fraction = comes / lifts;
    if inflow.is_zero() {
        return Ok(Cycle { switch, cycle: None, starts_per_hour: 0.0, on_fraction });
    }
    let net = pump.checked_sub(inflow).map_or(lifts - comes, Flow::to_l_min);
    let seconds = finite("inflow", 60.0 * (litres / comes + litres / net))?;
    let cycle = Span::nearest(seconds).filter(|span| !span.is_zero()).ok_or(InputError::TooLarge { input: "pump" })?;
    Ok(Cycle { switch, cycle: Some(cycle), starts_per_hour: SECONDS_PER_HOUR / seconds, on_fraction })
}

/// Time until a pit overflows with the pump off; `None` without inflow. Errors name `freeboard` or an input of the pit.
///
/// Source: [`OVERFLOW`].
pub fn overflow(pit: &Pit, freeboard: Length, inflow: Flow) -> Result<Option<Span>, InputError> {
    let litres = pit.volume("freeboard", freeboard)?.to_l();
    if inflow.is_zero() {
        return Ok(None);
    }
    let seconds = 60.0 * litres / inflow.to_l_min();
    Span::nearest(seconds).map(Some).ok_or(InputError::TooLarge { input: "freeboard" })
}

/// Flow a pump has to lift under a house of that floor; exact wherever it fits. Errors name `floor`.
///
/// Source: [`NEED`].
pub fn need(floor: Area, soil: Soil) -> Result<Flow, InputError> {
    let each = match soil {
        Soil::Sand => NEED_SAND,
        Soil::Clay => NEED_CLAY,
    };
    let times = floor.exact().checked_div(NEED_FLOOR.exact());
    let flow = times.and_then(|times| times.checked_mul(each.exact())).and_then(Flow::from_exact);
    let near = || Flow::nearest(floor.to_m2() / NEED_FLOOR.to_m2() * each.to_l_min());
    flow.or_else(near).filter(|flow| flow.exact() < Exact::MAX).ok_or(InputError::TooLarge { input: "floor" })
}

#[cfg(test)]
mod tests {
    use super::{Soil, cycle, need, overflow};
    use crate::quantity::{Area, Flow, Length};
    use crate::trade::sump::Pit;

    const PIT: Pit = Pit::round(Length::inches(18, 1));

    #[test]
    fn a_pit_fills_and_empties() {
        // 6 in of an 18-in pit hold 6.6096 gal; filled by 10 gpm in 0.66096 min, emptied by 20 gpm net in 0.33048 min.
        let found = cycle(&PIT, Length::inches(6, 1), Flow::gpm(30, 1), Flow::gpm(10, 1)).unwrap();
        assert!((found.switch.to_gal() - 6.6096).abs() < 5e-5);
        assert!((found.cycle.unwrap().to_minutes() - 0.991_44).abs() < 1e-5);
        assert!((found.starts_per_hour - 60.0 / 0.991_44).abs() < 1e-3);
        assert!((found.on_fraction - 1.0 / 3.0).abs() < 1e-12);
        let dry = cycle(&PIT, Length::inches(6, 1), Flow::gpm(30, 1), Flow::ZERO).unwrap();
        assert_eq!((dry.cycle, dry.starts_per_hour, dry.on_fraction), (None, 0.0, 0.0));
    }

    #[test]
    fn the_shortest_cycle_is_at_half_the_rate_of_the_pump() {
        // MIL-HDBK-1005/9A, equation 1 reduced: 4 V / Qp. Equation 2: 6 min and 30 gpm ask for 45 gal, 45 / 1.1016 in of depth.
        let depth =
            Length::from_exact(crate::quantity::Exact::nearest(25.4 * 45.0 / 1.101_597_423_986).unwrap()).unwrap();
        let shortest = cycle(&PIT, depth, Flow::gpm(30, 1), Flow::gpm(15, 1)).unwrap();
        assert!((shortest.cycle.unwrap().to_minutes() - 6.0).abs() < 1e-9, "{shortest:?}");
    }

    #[test]
    fn a_pump_that_cannot_keep_up_has_no_cycle() {
        for inflow in [30, 31] {
            let refused = cycle(&PIT, Length::inches(6, 1), Flow::gpm(30, 1), Flow::gpm(inflow, 1)).unwrap_err();
            assert_eq!(refused.input(), "pump", "{inflow} gpm");
        }
        assert_eq!(cycle(&PIT, Length::ZERO, Flow::gpm(30, 1), Flow::ZERO).unwrap_err().input(), "switch_range");
    }

    #[test]
    fn a_pit_overflows_after_what_its_freeboard_holds() {
        // 24-in pit, 12 in of freeboard, 3 gpm: 12 x 1.9584 / 3 = 7.8336 min.
        let pit = Pit::round(Length::inches(24, 1));
        let minutes = overflow(&pit, Length::inches(12, 1), Flow::gpm(3, 1)).unwrap().unwrap().to_minutes();
        assert!((minutes - 7.8336).abs() < 1e-4, "{minutes}");
        assert_eq!(overflow(&pit, Length::inches(12, 1), Flow::ZERO), Ok(None));
        assert!(overflow(&pit, Length::ZERO, Flow::gpm(3, 1)).unwrap().unwrap().is_zero());
    }

    #[test]
    fn a_new_house_asks_for_a_pump_by_its_floor() {
        // Illinois Extension: 14 and 8 gpm for 1,000 ft2; 1,500 ft2: 21 and 12.
        assert_eq!(need(Area::ft2(1500, 1), Soil::Sand), Ok(Flow::gpm(21, 1)));
        assert_eq!(need(Area::ft2(1500, 1), Soil::Clay), Ok(Flow::gpm(12, 1)));
        assert_eq!(need(Area::ZERO, Soil::Clay), Ok(Flow::ZERO));
    }
}
