//! Cracks: damage category, guide width, tensile strain.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::QuantityKind;
use crate::trade::crack::{self, Because};

/// Wider than this nothing is called a crack.
const WIDTH: Kind = Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 mm", "10 m"));
/// As many cracks as one wall is read for.
const MOST_CRACKS: usize = 100_000;

pub static CRACK_CATEGORY: Calculation = Calculation {
    name: "crack-category",
    group: Group::Structure,
    does: "damage category of a wall by all its cracks",
    inputs: &[Input::new(
        "widths",
        Kind::List { of: &WIDTH, least: 1, most: MOST_CRACKS },
        "width of every crack of the wall",
    )],
    results: &[
        Output::new("category", "0 (negligible) to 5 (very severe)"),
        Output::new("because", "`width` of the widest, or `count` of those over 3 mm (taken as three)"),
    ],
    rules: &[&crack::CATEGORY],
    example: r#"--widths "3.5 mm" --widths "3.2 mm" --widths "1/8 in""#,
    run: category,
};

fn category(of: &Inputs) -> Result<Outcome, Fault> {
    let (category, because) = crack::category(&of.quantities("widths")?).ok_or_else(|| Fault::beyond("widths"))?;
    let because = match because {
        Because::Width => "width",
        Because::Count => "count",
    };
    Ok(Outcome::new().with("category", i64::from(category)).with("because", because))
}
