//! Epoxy for cracks: class and grade, quantity.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{QuantityKind, Share};
use crate::trade::epoxy::{self, ResinType};

const SIDE: Kind = Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 mm", "1000 m"));
const ML_PER_LITRE: f64 = 1000.0;

pub static EPOXY_CLASS: Calculation = Calculation {
    name: "epoxy-class",
    group: Group::Structure,
    does: "class and grade of an epoxy by surface temperature and viscosity",
    inputs: &[
        Input::new(
            "surface",
            Kind::Quantity(QuantityKind::Temperature, Bounds::from_to("-100 C", "200 C")),
            "temperature of the concrete's surface",
        ),
        Input::or("type", Kind::Word(ResinType::WORDS), "IV", "type of ASTM C881; classes are the same for I to V"),
        Input::optional("viscosity", Kind::Number(Bounds::over_to("0", "1000000"), "Pa s"), "viscosity of the resin"),
    ],
    results: &[
        Output::new("class", "`A` below 40 F, `B` to 60 F, `C` above"),
        Output::new("grade", "1 to 2 Pa s, 2 to 10, 3 above; none without a viscosity"),
    ],
    rules: &[&epoxy::CLASS],
    example: r#"--surface "40 F" --viscosity 0.3"#,
    run: epoxy_class,
};

pub static EPOXY_QUANTITY: Calculation = Calculation {
    name: "epoxy-quantity",
    group: Group::Structure,
    does: "how much resin a crack takes",
    inputs: &[
        Input::new("width", SIDE, "mean width over the depth"),
        Input::new("depth", SIDE, "depth"),
        Input::new("length", SIDE, "length"),
        Input::new(
            "waste_pct",
            Kind::Number(Bounds::from_to("0", "1000"), "%"),
            "lost on top; there is no published figure",
        ),
    ],
    results: &[
        Output::new("net_ml", "what the crack holds, mL"),
        Output::new("order_ml", "with what is lost, mL"),
        Output::new("order_gal", "with what is lost, gal"),
    ],
    rules: &[&epoxy::quantity::QUANTITY],
    example: r#"--width "1/16 in" --depth "8 in" --length "96 in" --waste-pct 10"#,
    run: epoxy_quantity,
};

fn epoxy_class(of: &Inputs) -> Result<Outcome, Fault> {
    let grade = match of.number_if_given("viscosity") {
        Some(viscosity) => Some(i64::from(epoxy::grade(viscosity.near)?)),
        None => None,
    };
    Ok(Outcome::new().with("class", epoxy::class(of.quantity("surface")?).word()).with("grade", grade))
}

fn epoxy_quantity(of: &Inputs) -> Result<Outcome, Fault> {
    let waste = Share::from_exact(of.number("waste_pct")?.exact).ok_or_else(|| Fault::beyond("waste_pct"))?;
    let found = epoxy::quantity(of.quantity("width")?, of.quantity("depth")?, of.quantity("length")?, waste)?;
    Ok(Outcome::new()
        .with("net_ml", ML_PER_LITRE * found.net.to_l())
        .with("order_ml", ML_PER_LITRE * found.order.to_l())
        .with("order_gal", found.order.to_gal()))
}
