//! Where a pump's water goes: back into the pit after it stops, and how far from the wall.
//!
//! The rule in words: water that runs back once the pump stops, or starts that follow one another quickly, are signs after which
//! the check valve is looked at; a pump without one starts more often and lasts shorter. How far the water of ten feet of pipe
//! raises the pit is told beside it. An outlet nearer to the wall than the published 10 ft is mended.

use super::head::Pipe;
use super::{Pump, PumpTest};
use crate::quantity::Length;
use crate::trade::site::{DISCHARGE, OUTLET_OFF};
use crate::trade::told;
use crate::trade::verdict::{Band, By, Fired, Rule, Standing, Who};
use crate::trade::words::Answer;

pub static CHECK_VALVE: Rule = Rule {
    name: "sump-check-valve",
    says: "water runs back into the pit after the pump stops, or starts follow one another quickly: the check valve is looked at before \
           the wet season; a pump without one starts more often and lasts shorter",
    source: "NDSU Extension AE1573, Sump Pump Questions (August 2021), for a check valve on every pump; what counts as a sign, and \
             the band, are a design rule of this program",
    standing: Standing::Practice,
    scope: "sump pumps that lift into a pipe; a small fall-back, of the pipe below the valve, is usual",
    variants: &[],
};

/// The latest answers about running back and short cycles, if either is yes.
pub(super) fn check_valve(of: &Pump, tests: &[&PumpTest]) -> Option<Fired> {
    let latest = tests.iter().rev().find(|t| t.runs_back.is_some() || t.short_cycles.is_some())?;
    let signs = [
        (latest.runs_back, "water ran back into the pit after it stopped"),
        (latest.short_cycles, "starts followed one another quickly"),
    ];
    let seen: Vec<&str> = signs.into_iter().filter(|(a, _)| *a == Some(Answer::Yes)).map(|(_, says)| says).collect();
    if seen.is_empty() {
        return None;
    }
    let raised = of.pit.and_then(|pit| in_this_pit(&pit)).unwrap_or_default();
    let because = format!("on {} {}{raised}", told::day(latest.on), seen.join(", and "));
    let by = Some(By::Before("the wet season"));
    Some(Fired::new(&CHECK_VALVE, Band::Watch, Who::OwnerOrPlumber, by, because))
}

/// `; 10 ft of 1-1/2 in pipe running back raise this pit by 0.96 in`
fn in_this_pit(pit: &super::Pit) -> Option<String> {
    let rise = pit_rise(pit, Pipe::OneAndAHalf, Length::feet(10, 1))?;
    Some(format!("; 10 ft of 1-1/2 in pipe running back raise this pit by {rise:.2} in"))
}

/// Inches by which the water held in a length of pipe raises a pit; `None` for a pit without an area.
pub fn pit_rise(pit: &super::Pit, pipe: Pipe, length: Length) -> Option<f64> {
    let inch = pit.gallons_per_inch().ok().filter(|gal| *gal > 0.0)?;
    let across = pipe.inside().to_inches();
    let gallons = std::f64::consts::FRAC_PI_4 * across * across * length.to_inches() / CUBIC_INCHES_PER_GALLON;
    Some(gallons / inch)
}

/// US gallon: NIST Handbook 44, Appendix C.
const CUBIC_INCHES_PER_GALLON: f64 = 231.0;

/// The outlet against the published distance.
pub(super) fn outlet(of: &Pump) -> Option<Fired> {
    let distance = of.outlet?;
    let because =
        format!("its outlet is {} from the wall, asked are {}", told::length(distance), told::length(OUTLET_OFF));
    if distance >= OUTLET_OFF {
        return Some(Fired::for_comparison(&DISCHARGE, because));
    }
    Some(Fired::new(&DISCHARGE, Band::Mend, Who::Owner, Some(By::Before("the wet season")), because))
}

#[cfg(test)]
mod tests {
    use super::pit_rise;
    use crate::quantity::Length;
    use crate::trade::sump::Pit;
    use crate::trade::sump::head::Pipe;

    #[test]
    fn ten_feet_of_pipe_raise_a_pit_by_what_they_hold() {
        // Schedule 40 by minimum wall: 0.0777, 0.1058 and 0.1743 gal a foot; 18 in 1.10160, 24 in 1.95840 gal an inch.
        let cases = [(18, [0.705, 0.960, 1.582]), (24, [0.397, 0.540, 0.890])];
        for (pit, inches) in cases {
            for (pipe, want) in Pipe::ALL.iter().zip(inches) {
                let got = pit_rise(&Pit::round(Length::inches(pit, 1)), *pipe, Length::feet(10, 1)).unwrap();
                assert!((got - want).abs() < 6e-4, "{pit} {pipe}: {got}");
            }
        }
    }
}
