//! Pits and pumps.

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{Flow, Length, QuantityKind, Span};
use crate::trade::sump::cycle::{self, Soil};
use crate::trade::sump::fittings::{self, Fitting};
use crate::trade::sump::head::{self, Pipe};
use crate::trade::sump::{Drawdown, Opening, Pit, battery, drawdown, pit, rates};

const SIDE: Kind = Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 in", "100 ft"));
const HEIGHT: Kind = Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 in", "1000 ft"));
const DEPTH: Kind = Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 in", "1000 ft"));
const RUN: Kind = Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 ft", "100000 ft"));
const TIME: Kind = Kind::Quantity(QuantityKind::Span, Bounds::over_to("0 s", "3660 d"));
const FLOW: Kind = Kind::Quantity(QuantityKind::Flow, Bounds::from_to("0 gpm", "1000000 gpm"));
const COUNT: Kind = Kind::Whole { least: 0, most: 1000 };
const FLOOR: Kind = Kind::Quantity(QuantityKind::Area, Bounds::from_to("0 ft2", "10000000 ft2"));
const DISPLACED_AREA: Kind = Kind::Quantity(QuantityKind::Area, Bounds::from_to("0 in2", "10000 ft2"));

const DIAMETER: Input = Input::optional("diameter", SIDE, "inside diameter of a round pit");
const SIDE_A: Input = Input::optional("side_a", SIDE, "one side of a square pit");
const SIDE_B: Input = Input::optional("side_b", SIDE, "its other side");
const DISPLACED: Input = Input::optional("displaced", DISPLACED_AREA, "area taken up by the pump, less than the pit's");
const INFLOW: Input = Input::new("inflow", FLOW, "water that comes with the pump off");

const METRES_PER_FOOT: f64 = 0.3048;

pub static PIT: Calculation = Calculation {
    name: "pit",
    group: Group::Water,
    does: "water a pit holds in an inch of depth",
    inputs: &[DIAMETER, SIDE_A, SIDE_B, DISPLACED],
    results: &[Output::new("gal_per_in", "gallons in an inch of depth")],
    rules: &[&pit::PIT],
    example: r#"--diameter "18 in""#,
    run: of_pit,
};

pub static SUMP_RATE: Calculation = Calculation {
    name: "sump-rate",
    group: Group::Water,
    does: "what a pump lifts and what comes in, by a timed fall and a timed rise",
    inputs: &[
        DIAMETER,
        SIDE_A,
        SIDE_B,
        DISPLACED,
        Input::new("fall", HEIGHT, "how far the water fell with the pump on"),
        Input::new("fall_time", TIME, "how long that took"),
        Input::new("rise", HEIGHT, "how far it rose with the pump off"),
        Input::new("rise_time", TIME, "how long that took"),
    ],
    results: &[
        Output::new("net_gpm", "what the pit loses with the pump on, gpm"),
        Output::new("inflow_gpm", "what comes in, gpm"),
        Output::new("pump_gpm", "what the pump lifts, gpm"),
        Output::new("on_fraction", "share of the time the pump has to run; none where it lifts nothing"),
    ],
    rules: &[&drawdown::RATES, &pit::PIT],
    example: "--diameter 18in --fall 8in --fall-time 15s --rise 2in --rise-time 60s",
    run: sump_rate,
};

pub static SUMP_CYCLE: Calculation = Calculation {
    name: "sump-cycle",
    group: Group::Water,
    does: "how often a pump starts",
    inputs: &[
        DIAMETER,
        SIDE_A,
        SIDE_B,
        DISPLACED,
        Input::new("switch_range", DEPTH, "between the levels at which it starts and stops"),
        Input::new("pump", FLOW, "what the pump lifts, more than comes in"),
        INFLOW,
    ],
    results: &[
        Output::new("switch_gal", "water between the switch levels, gal"),
        Output::new("cycle_min", "from one start to the next, min; none without inflow"),
        Output::new("starts_per_hour", "starts in an hour"),
        Output::new("on_fraction", "share of the time the pump runs"),
    ],
    rules: &[&cycle::CYCLE, &pit::PIT],
    example: "--diameter 18in --switch-range 6in --pump 30gpm --inflow 10gpm",
    run: sump_cycle,
};

pub static SUMP_NEED: Calculation = Calculation {
    name: "sump-need",
    group: Group::Water,
    does: "how much pump a new house asks for",
    inputs: &[
        Input::new("floor", FLOOR, "floor of the house"),
        Input::new("soil", Kind::Word(Soil::WORDS), "what it stands on"),
    ],
    results: &[Output::new("gpm", "gallons a minute")],
    rules: &[&cycle::NEED],
    example: r#"--floor "1500 ft2" --soil clay"#,
    run: sump_need,
};

pub static OVERFLOW: Calculation = Calculation {
    name: "overflow",
    group: Group::Water,
    does: "how long until a pit overflows with the pump off",
    inputs: &[
        DIAMETER,
        SIDE_A,
        SIDE_B,
        DISPLACED,
        Input::new("freeboard", HEIGHT, "from the water to the rim"),
        INFLOW,
    ],
    results: &[Output::new("minutes", "minutes; none without inflow")],
    rules: &[&cycle::OVERFLOW, &pit::PIT],
    example: r#"--diameter "24 in" --freeboard "12 in" --inflow "3 gpm""#,
    run: overflow,
};

pub static BATTERY: Calculation = Calculation {
    name: "battery",
    group: Group::Water,
    does: "how long a battery runs a backup pump",
    inputs: &[
        Input::new("capacity_ah", Kind::Number(Bounds::over_to("0", "1000000"), "Ah"), "rated capacity"),
        Input::new("draw_a", Kind::Number(Bounds::over_to("0", "100000"), "A"), "current of the pump"),
        Input::new("depth", Kind::Number(Bounds::over_to("0", "1"), ""), "fraction of the capacity that is used"),
        Input::or("rated_hours", Kind::Number(Bounds::over_to("0", "1000"), "h"), "20", "hours it is rated over"),
        Input::or("peukert", Kind::Number(Bounds::from_to("1", "2"), ""), "1.0", "exponent; 1 is no loss at high draw"),
    ],
    results: &[Output::new("hours", "run time")],
    rules: &[&battery::BATTERY],
    example: "--capacity-ah 75 --draw-a 10 --depth 0.5",
    run: of_battery,
};

pub static PUMP_HEAD: Calculation = Calculation {
    name: "pump-head",
    group: Group::Water,
    does: "head a pump works against: lift and friction",
    inputs: &[
        Input::new("lift", HEIGHT, "height it lifts"),
        Input::optional("pipe", Kind::Word(Pipe::WORDS), "nominal size of a schedule 40 pipe, in"),
        Input::optional(
            "inside",
            Kind::Quantity(QuantityKind::Length, Bounds::from_to("1 mm", "10 m")),
            "inside diameter, where it is another pipe",
        ),
        Input::new("length", RUN, "length of the pipe"),
        Input::or("elbow_90", COUNT, "0", "90 elbows, where the pipe is a nominal one"),
        Input::or("elbow_45", COUNT, "0", "45 elbows"),
        Input::or("swing_check", COUNT, "0", "swing check valves"),
        Input::or("gate_valve", COUNT, "0", "gate valves, open"),
        Input::or("tee_through", COUNT, "0", "tees, straight through"),
        Input::or("tee_branch", COUNT, "0", "tees, into the branch"),
        Input::or("equivalent", RUN, "0 ft", "straight pipe that other fittings stand for"),
        Input::new("flow", FLOW, "what it lifts"),
        Input::or(
            "c",
            Kind::Number(Bounds::from_to("10", "200"), ""),
            "150",
            "roughness coefficient: 150 new, 140 aged",
        ),
    ],
    results: &[
        Output::new("fittings_ft", "straight pipe that all fittings stand for, ft"),
        Output::new("friction_ft_per_100", "ft in 100 ft of pipe"),
        Output::new("friction_ft", "ft in all"),
        Output::new("total_ft", "lift and friction, ft"),
        Output::new("velocity_ft_s", "in the pipe, ft/s"),
    ],
    rules: &[&head::HEAD, &fittings::FITTINGS],
    example: "--lift 8ft --pipe 1-1/2 --length 28ft --elbow-90 3 --swing-check 1 --flow 30gpm",
    run: pump_head,
};

/// The pit of the inputs: round, or with two sides.
fn pit_of(of: &Inputs) -> Result<Pit, Fault> {
    let side = |name| of.quantity_if_given::<Length>(name);
    let missing = |name| Fault::new(name, Fact::Missing { wanted: SIDE.described() });
    let opening = match (side("diameter"), side("side_a"), side("side_b")) {
        (Some(_), Some(_), _) => return Err(Fault::new("side_a", Fact::NotTogether("diameter"))),
        (Some(_), _, Some(_)) => return Err(Fault::new("side_b", Fact::NotTogether("diameter"))),
        (Some(diameter), None, None) => Opening::Round { diameter },
        (None, Some(side_a), Some(side_b)) => Opening::Square { side_a, side_b },
        (None, Some(_), None) => return Err(missing("side_b")),
        (None, None, Some(_)) => return Err(missing("side_a")),
        (None, None, None) => return Err(missing("diameter")),
    };
    Ok(Pit { opening, displaced: of.quantity_if_given("displaced") })
}

fn of_pit(of: &Inputs) -> Result<Outcome, Fault> {
    Ok(Outcome::new().with("gal_per_in", pit_of(of)?.gallons_per_inch()?))
}

fn sump_rate(of: &Inputs) -> Result<Outcome, Fault> {
    let test = Drawdown {
        fall: of.quantity("fall")?,
        fall_time: of.quantity("fall_time")?,
        rise: of.quantity("rise")?,
        rise_time: of.quantity("rise_time")?,
    };
    let found = rates(&pit_of(of)?, &test)?;
    Ok(Outcome::new()
        .with("net_gpm", found.net.to_gpm())
        .with("inflow_gpm", found.inflow.to_gpm())
        .with("pump_gpm", found.pump.to_gpm())
        .with("on_fraction", found.on_fraction))
}

fn sump_cycle(of: &Inputs) -> Result<Outcome, Fault> {
    let (pump, inflow) = (of.quantity::<Flow>("pump")?, of.quantity::<Flow>("inflow")?);
    let found = cycle::cycle(&pit_of(of)?, of.quantity("switch_range")?, pump, inflow)?;
    Ok(Outcome::new()
        .with("switch_gal", found.switch.to_gal())
        .with("cycle_min", found.cycle.map(Span::to_minutes))
        .with("starts_per_hour", found.starts_per_hour)
        .with("on_fraction", found.on_fraction))
}

fn sump_need(of: &Inputs) -> Result<Outcome, Fault> {
    let found = cycle::need(of.quantity("floor")?, of.word("soil", Soil::from_word)?)?;
    Ok(Outcome::new().with("gpm", found.to_gpm()))
}

fn overflow(of: &Inputs) -> Result<Outcome, Fault> {
    let found = cycle::overflow(&pit_of(of)?, of.quantity("freeboard")?, of.quantity("inflow")?)?;
    Ok(Outcome::new().with("minutes", found.map(Span::to_minutes)))
}

fn of_battery(of: &Inputs) -> Result<Outcome, Fault> {
    let number = |name| of.number(name).map(|number| number.near);
    let found = battery::run_time(
        number("capacity_ah")?,
        number("draw_a")?,
        number("depth")?,
        number("rated_hours")?,
        number("peukert")?,
    )?;
    Ok(Outcome::new().with("hours", found.to_hours()))
}

/// How many of each fitting there are.
fn counted(of: &Inputs) -> Result<Vec<(Fitting, i64)>, Fault> {
    Fitting::ALL.iter().map(|fitting| Ok((*fitting, of.whole(name_of(*fitting))?))).collect()
}

fn name_of(fitting: Fitting) -> &'static str {
    match fitting {
        Fitting::Elbow90 => "elbow_90",
        Fitting::Elbow45 => "elbow_45",
        Fitting::SwingCheck => "swing_check",
        Fitting::GateValve => "gate_valve",
        Fitting::TeeThrough => "tee_through",
        Fitting::TeeBranch => "tee_branch",
    }
}

fn pump_head(of: &Inputs) -> Result<Outcome, Fault> {
    let counted = counted(of)?;
    let is_counted = counted.iter().find(|(_, count)| *count > 0).map(|(fitting, _)| *fitting);
    let mut fitted = Length::ZERO;
    let inside = match (of.has("pipe"), of.quantity_if_given::<Length>("inside")) {
        (true, Some(_)) => return Err(Fault::new("inside", Fact::NotTogether("pipe"))),
        (true, None) => {
            let pipe = of.word("pipe", Pipe::from_word)?;
            fitted = fittings::equivalent_of(&counted, pipe).ok_or_else(|| Fault::beyond("elbow_90"))?;
            pipe.inside()
        }
        // The lengths are printed for nominal sizes alone.
        (false, Some(inside)) => match is_counted {
            Some(fitting) => return Err(Fault::new(name_of(fitting), Fact::NotTogether("inside"))),
            None => inside,
        },
        (false, None) => {
            return Err(Fault::new("pipe", Fact::Missing { wanted: Kind::Word(Pipe::WORDS).described() }));
        }
    };
    let (length, other) = (of.quantity("length")?, of.quantity::<Length>("equivalent")?);
    let equivalent = fitted.checked_add(other).ok_or_else(|| Fault::beyond("equivalent"))?;
    let found =
        head::head(of.quantity("lift")?, inside, length, equivalent, of.quantity("flow")?, of.number("c")?.near)?;
    Ok(Outcome::new()
        .with("fittings_ft", equivalent.to_feet())
        .with("friction_ft_per_100", 100.0 * found.slope)
        .with("friction_ft", found.friction.to_feet())
        .with("total_ft", found.total.to_feet())
        .with("velocity_ft_s", found.velocity_m_s / METRES_PER_FOOT))
}
