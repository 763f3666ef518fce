//! A quantity as it is written, in SI units.

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{Currency, Money, QuantityKind, parse_si};
use crate::trade::units;

const MONEY: &str = "money";
const KINDS: &[&str] =
    &["length", "area", "volume", "time", "flow", "activity", "temperature", "pressure", "ratio", MONEY];

pub static QUANTITY: Calculation = Calculation {
    name: "quantity",
    group: Group::Quantities,
    does: "a quantity as people write it, in SI units",
    inputs: &[
        Input::new("text", Kind::Text, "a number and its unit: `1 1/2 in`, `2 ft 3 in`, `72 F`, `$12.50`"),
        Input::new("kind", Kind::Word(KINDS), "what it measures"),
    ],
    results: &[Output::new("si", "in m, m2, m3, s, m3/s, Bq/m3, K, Pa or 1 (a % is 0.01); money in minor units")],
    rules: &[&units::UNITS],
    example: r#"--text "2 ft 3 in" --kind length"#,
    run: quantity,
};

fn quantity(of: &Inputs) -> Result<Outcome, Fault> {
    let typed = of.text("text")?;
    let Some(kind) = QuantityKind::from_word(of.text("kind")?) else {
        let not_money = |error| Fact::NotMoney { typed: typed.to_owned(), wanted: Currency::USD, error };
        let money = Money::parse_any(typed, Currency::USD).map_err(|error| Fault::new("text", not_money(error)))?;
        return Ok(Outcome::new().with("si", money.minor));
    };
    let not_one = |error| Fault::new("text", Fact::NotAQuantity { typed: typed.to_owned(), kind, error });
    Ok(Outcome::new().with("si", parse_si(typed, kind, false).map_err(not_one)?))
}
