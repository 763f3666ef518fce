//! The site: steps in a walk, wood near the soil, trees.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{Length, QuantityKind};
use crate::trade::site;
use crate::trade::words::{Demand, Member};

const HEIGHT: Kind = Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 m", "1000 m"));

const OVER_ZERO: Kind = Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 m", "1000 m"));

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

const MEMBERS: &[&str] = &["girder", "joist", "siding-over-soil", "siding-over-slab"];

pub static WOOD_CLEARANCE: Calculation = Calculation {
    name: "wood-clearance",
    group: Group::Structure,
    does: "how far a member has to be above the soil",
    inputs: &[
        Input::new("member", Kind::Word(MEMBERS), "what it is"),
        Input::new("clearance", HEIGHT, "how far it is above the soil, or the slab"),
    ],
    results: &[
        Output::new("flag", "whether it is nearer than that, so that durable or treated wood is asked for"),
        Output::new("needed_in", "from how far on no protection is asked for, in"),
    ],
    rules: &[&site::CLEARANCE],
    example: r#"--member joist --clearance "16 in""#,
    run: wood_clearance,
};

fn wood_clearance(of: &Inputs) -> Result<Outcome, Fault> {
    let member =
        of.word(
            "member",
            |word| if word == "siding-over-soil" { Some(Member::Siding) } else { Member::from_word(word) },
        )?;
    let needed = site::clearance_needed(member).ok_or_else(|| Fault::beyond("member"))?;
    let flag = of.quantity::<Length>("clearance")? < needed;
    Ok(Outcome::new().with("flag", flag).with("needed_in", needed.to_inches()))
}

pub static TREE: Calculation = Calculation {
    name: "tree",
    group: Group::Structure,
    does: "whether a tree stands within the distance its roots are counted with",
    inputs: &[
        Input::new("height", OVER_ZERO, "mature height"),
        Input::new("demand", Kind::Word(Demand::WORDS), "how much water it asks for"),
        Input::new("distance", HEIGHT, "from the middle of the trunk to the nearest face of the foundation"),
    ],
    results: &[
        Output::new("zone_m", "the distance, m"),
        Output::new("inside", "whether it stands nearer"),
        Output::new("ratio", "distance over height"),
    ],
    rules: &[&site::TREE],
    example: r#"--height "20 m" --demand high --distance "18 m""#,
    run: tree,
};

fn tree(of: &Inputs) -> Result<Outcome, Fault> {
    let (height, distance): (Length, Length) = (of.quantity("height")?, of.quantity("distance")?);
    let zone = site::tree_zone(height, of.word("demand", Demand::from_word)?).ok_or_else(|| Fault::beyond("height"))?;
    let ratio = distance.exact().checked_div(height.exact()).ok_or_else(|| Fault::beyond("distance"))?;
    Ok(Outcome::new().with("zone_m", zone.to_m()).with("inside", distance < zone).with("ratio", ratio.to_f64()))
}
