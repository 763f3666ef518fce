//! Cracks: damage category, guide width, tensile strain.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::QuantityKind;
use crate::trade::crack::{self, Because};
use crate::trade::strain;
use crate::trade::words::Exposure;

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

pub static CRACK_GUIDE: Calculation = Calculation {
    name: "crack-guide",
    group: Group::Structure,
    does: "width of a crack against the guide for reinforced concrete",
    inputs: &[
        Input::new("width", WIDTH, "width of the crack"),
        Input::new("exposure", Kind::Word(Exposure::WORDS), "what the concrete is exposed to"),
    ],
    results: &[
        Output::new("guide_mm", "guide width, metric column, mm: a guide, not a limit"),
        Output::new("above", "whether the width is over it, and over the figure printed in inches"),
    ],
    rules: &[&crack::CONCRETE_WIDTH],
    example: r#"--width "0.35 mm" --exposure moist-or-soil"#,
    run: guide,
};

fn guide(of: &Inputs) -> Result<Outcome, Fault> {
    let exposure = of.word("exposure", Exposure::from_word)?;
    let guide = crack::guide(exposure);
    let above = crack::is_above_guide(of.quantity("width")?, exposure);
    Ok(Outcome::new().with("guide_mm", guide.to_mm()).with("above", above).by(&crack::CONCRETE_WIDTH, exposure.word()))
}

pub static STRAIN_CATEGORY: Calculation = Calculation {
    name: "strain-category",
    group: Group::Structure,
    does: "damage category by tensile strain",
    inputs: &[Input::new(
        "strain_pct",
        Kind::Number(Bounds::from_to("0", "100"), "%"),
        "limiting tensile strain of the wall",
    )],
    results: &[Output::new("category", "0 (negligible) to 4 (severe to very severe)")],
    rules: &[&strain::STRAIN],
    example: "--strain-pct 0.1",
    run: strain_category,
};

fn strain_category(of: &Inputs) -> Result<Outcome, Fault> {
    Ok(Outcome::new().with("category", i64::from(strain::category(of.number("strain_pct")?.exact))))
}
