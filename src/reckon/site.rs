//! The site: steps in a walk, wood near the soil, trees.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::QuantityKind;
use crate::trade::site;

const HEIGHT: Kind = Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 m", "1000 m"));

pub static STEP_HEIGHT: Calculation = Calculation {
    name: "step-height",
    group: Group::Structure,
    does: "how a change of level in a walk would be treated",
    inputs: &[Input::new("step", HEIGHT, "height of the step")],
    results: &[Output::new("finding", "`vertical-allowed` (to 1/4 in), `bevel` (1 in 2, to 1/2 in), `ramp`")],
    rules: &[&site::STEP],
    example: r#"--step "3/8 in""#,
    run: step_height,
};

fn step_height(of: &Inputs) -> Result<Outcome, Fault> {
    Ok(Outcome::new().with("finding", site::step(of.quantity("step")?).word()))
}
