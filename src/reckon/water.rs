//! Water outside, vents under a floor, and what a flood costs.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{Area, Exact, Length, Money, QuantityKind};
use crate::trade::flood::{self, Building};
use crate::trade::runoff;
use crate::trade::site::{self, VentRule, fall_needed, vent_needed};
use crate::trade::words::Ground;

const AREA: Kind = Kind::Quantity(QuantityKind::Area, Bounds::from_to("0 ft2", "10000000 ft2"));
const RAIN: Kind = Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 in", "100 ft"));
const WASHINGTON: &str = "washington";

pub static RUNOFF: Calculation = Calculation {
    name: "runoff",
    group: Group::Water,
    does: "flow off a roof or the ground in a storm",
    inputs: &[
        Input::new("area", AREA, "plan area"),
        Input::new("intensity_in_h", Kind::Number(Bounds::from_to("0", "100"), "in/h"), "rain"),
        Input::or("c", Kind::Number(Bounds::from_to("0", "1"), ""), "1.0", "share that runs off"),
    ],
    results: &[Output::new("gpm", "gallons a minute")],
    rules: &[&runoff::RUNOFF],
    example: r#"--area "1500 ft2" --intensity-in-h 3.2"#,
    run: of_runoff,
};

pub static ROOF_VOLUME: Calculation = Calculation {
    name: "roof-volume",
    group: Group::Water,
    does: "water of a rain on a roof",
    inputs: &[Input::new("area", AREA, "plan area"), Input::new("rain", RAIN, "depth of the rain")],
    results: &[Output::new("gal", "gallons")],
    rules: &[&runoff::RUNOFF],
    example: r#"--area "1000 ft2" --rain "1 in""#,
    run: roof_volume,
};

pub static GRADE: Calculation = Calculation {
    name: "grade",
    group: Group::Water,
    does: "fall of the ground away from a wall against what is asked for",
    inputs: &[
        Input::new(
            "fall",
            Kind::Signed(Bounds::from_to("0 in", "1000 ft")),
            "away from the wall; towards it with a minus",
        ),
        Input::new(
            "run",
            Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 in", "100000 ft")),
            "distance over which it falls",
        ),
        Input::new("surface", Kind::Word(Ground::WORDS), "soil or paved"),
    ],
    results: &[
        Output::new("slope_pct", "fall over run, %"),
        Output::new("needed_in", "fall asked for over the run, to 10 ft of it, in"),
        Output::new("short_in", "by how much it falls short, in; 0 where it is enough"),
    ],
    rules: &[&site::GRADE],
    example: r#"--fall "4 in" --run "10 ft" --surface soil"#,
    run: grade,
};

pub static VENT_AREA: Calculation = Calculation {
    name: "vent-area",
    group: Group::Water,
    does: "free vent area asked for under a floor",
    inputs: &[
        Input::new("floor", AREA, "floor over the crawl space"),
        Input::or("rule", Kind::Word(&["irc", WASHINGTON]), "irc", "whose rule"),
        Input::or("retarder", Kind::Truth, "false", "a Class I vapour retarder lies on the ground"),
    ],
    results: &[Output::new("ft2", "square feet"), Output::new("in2", "square inches")],
    rules: &[&site::VENT],
    example: r#"--floor "1200 ft2""#,
    run: vent_area,
};

pub static FLOOD_DAMAGE: Calculation = Calculation {
    name: "flood-damage",
    group: Group::Water,
    does: "what a flood of a depth costs a house, by published rows",
    inputs: &[
        Input::new("building", Kind::Word(Building::WORDS), "the kind of house"),
        Input::new("depth_ft", Kind::Number(Bounds::from_to("-1000", "1000"), "ft"), "water over the first floor"),
        Input::new("value", Kind::Money, "value of the structure"),
    ],
    results: &[
        Output::new("structure_pct", "% of the structure's value"),
        Output::new("contents_pct", "% of the structure's value"),
        Output::new("structure", "in the currency of the value"),
        Output::new("contents", "in the currency of the value"),
    ],
    rules: &[&flood::FLOOD_DAMAGE],
    example: r#"--building one-storey-basement --depth-ft -4 --value "200000 USD""#,
    run: flood_damage,
};

fn of_runoff(of: &Inputs) -> Result<Outcome, Fault> {
    let (intensity, c) = (of.number("intensity_in_h")?.exact, of.number("c")?.exact);
    Ok(Outcome::new().with("gpm", runoff::runoff(of.quantity("area")?, intensity, c)?.to_gpm()))
}

fn roof_volume(of: &Inputs) -> Result<Outcome, Fault> {
    Ok(Outcome::new().with("gal", runoff::roof_volume(of.quantity("area")?, of.quantity("rain")?)?.to_gal()))
}

fn grade(of: &Inputs) -> Result<Outcome, Fault> {
    let (fall, run) = (of.quantity::<Length>("fall")?, of.quantity::<Length>("run")?);
    let paved = of.word("surface", Ground::from_word)? == Ground::Paved;
    let needed = fall_needed(paved, run).ok_or_else(|| Fault::beyond("run"))?;
    let short = needed.checked_sub(fall).or_else(|| Length::nearest(needed.to_mm() - fall.to_mm()));
    let short = short.ok_or_else(|| Fault::beyond("fall"))?.max(Length::ZERO);
    let slope = fall.exact().checked_mul(Exact::integer(100)).and_then(|f| f.checked_div(run.exact()));
    let slope = slope.map_or(100.0 * fall.to_mm() / run.to_mm(), Exact::to_f64);
    Ok(Outcome::new()
        .with("slope_pct", slope)
        .with("needed_in", needed.to_inches())
        .with("short_in", short.to_inches()))
}

fn vent_area(of: &Inputs) -> Result<Outcome, Fault> {
    let rule = match of.text("rule")? {
        WASHINGTON => VentRule::Washington,
        _ => VentRule::Irc,
    };
    let needed: Area =
        vent_needed(of.quantity("floor")?, of.truth("retarder")?, rule).ok_or_else(|| Fault::beyond("floor"))?;
    let outcome = Outcome::new().with("ft2", needed.to_ft2()).with("in2", needed.to_in2());
    Ok(if rule == VentRule::Washington { outcome.by(&site::VENT, WASHINGTON) } else { outcome })
}

fn flood_damage(of: &Inputs) -> Result<Outcome, Fault> {
    let (building, value) = (of.word("building", Building::from_word)?, of.money("value")?);
    let found = flood::damage(building, of.number("depth_ft")?.exact, value)?;
    Ok(Outcome::new()
        .with("structure_pct", found.structure.to_percent())
        .with("contents_pct", found.contents.to_percent())
        .with("structure", major(found.structure_minor, value))
        .with("contents", major(found.contents_minor, value)))
}

/// Minor units as units of the currency.
fn major(minor: Exact, of: Money) -> f64 {
    let units = 10_i128.pow(of.currency.minor_digits());
    minor.checked_div(Exact::integer(units)).map_or(minor.to_f64() / units as f64, Exact::to_f64)
}
