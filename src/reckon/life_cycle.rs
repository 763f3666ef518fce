//! Time and money: discount factors, service life.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::trade::life_cycle;

const RATE: Kind = Kind::Number(Bounds::over_to("-1", "10"), "");
const YEARS: Kind = Kind::Number(Bounds::from_to("0", "10000"), "years");
const AGE: Kind = Kind::Number(Bounds::from_to("0", "1000000"), "");

pub static PRESENT_VALUE: Calculation = Calculation {
    name: "present-value",
    group: Group::Time,
    does: "what sums in the years to come are worth today",
    inputs: &[
        Input::new("discount", RATE, "rate a year as a fraction: 0.03 is 3 %"),
        Input::new("years", YEARS, "how many"),
        Input::or("escalation", RATE, "0", "rate a year at which a price grows, as a fraction"),
    ],
    results: &[
        Output::new("spv", "factor of one sum at the end"),
        Output::new("upv", "factor of the same sum at the end of each year"),
        Output::new(
            "upv_escalating",
            "factor of a sum in today's money at the end of each year, grown by the escalation",
        ),
        Output::new("spv_escalated", "factor of one sum in today's money at the end, grown by the escalation"),
        Output::new("capital_recovery", "yearly sum for one of today; none over no years"),
    ],
    rules: &[&life_cycle::PRESENT_VALUE],
    example: "--discount 0.03 --years 15 --escalation 0.02",
    run: present_value,
};

fn present_value(of: &Inputs) -> Result<Outcome, Fault> {
    let near = |name| of.number(name).map(|number| number.near);
    let factors = life_cycle::factors(near("discount")?, near("escalation")?, near("years")?);
    Ok(Outcome::new()
        .with("spv", factors.spv)
        .with("upv", factors.upv)
        .with("upv_escalating", factors.upv_escalating)
        .with("spv_escalated", factors.spv_escalated)
        .with("capital_recovery", factors.capital_recovery))
}

pub static SERVICE_LIFE: Calculation = Calculation {
    name: "service-life",
    group: Group::Time,
    does: "how many of a kind last beyond an age, and fail soon after",
    inputs: &[
        Input::new(
            "shape",
            Kind::Number(Bounds::over_to("0", "100"), ""),
            "over 1 what wears out; 2 to 4 is common practice",
        ),
        Input::new(
            "scale",
            Kind::Number(Bounds::over_to("0", "1000000"), ""),
            "age beyond which 37 % last, in years or any unit",
        ),
        Input::new("age", AGE, "age now, in the same unit"),
        Input::new("within", AGE, "time to come, in the same unit"),
    ],
    results: &[
        Output::new("survival", "fraction that lasts beyond the age"),
        Output::new("fails_within", "fraction of those that fails within the time to come"),
    ],
    rules: &[&life_cycle::SERVICE_LIFE],
    example: "--shape 2.5 --scale 20 --age 15 --within 5",
    run: service_life,
};

fn service_life(of: &Inputs) -> Result<Outcome, Fault> {
    let near = |name| of.number(name).map(|number| number.near);
    let found = life_cycle::survival(near("shape")?, near("scale")?, near("age")?, near("within")?);
    if found.fails_within.is_nan() {
        return Err(Fault::beyond("age"));
    }
    Ok(Outcome::new().with("survival", found.survival).with("fails_within", found.fails_within))
}
