//! Walls and what holds the house to them: anchor bolts, earth, efflorescence, a sheet taped to them.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{QuantityKind, Share};
use crate::trade::sheet::{Face, On, Sheet};
use crate::trade::{concrete, earth, moisture, sheet};

pub static BOLT_COUNT: Calculation = Calculation {
    name: "bolt-count",
    group: Group::Structure,
    does: "fewest anchor bolts of a sill plate",
    inputs: &[Input::new(
        "plate",
        Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 m", "10000 m")),
        "length of one piece of plate",
    )],
    results: &[Output::new("least", "bolts: within 12 in of each end, at most 6 ft apart, at least 2")],
    rules: &[&concrete::BOLT_SPACING],
    example: r#"--plate "20 ft""#,
    run: bolt_count,
};

fn bolt_count(of: &Inputs) -> Result<Outcome, Fault> {
    let least = concrete::bolts(of.quantity("plate")?).and_then(|least| i64::try_from(least).ok());
    Ok(Outcome::new().with("least", least.ok_or_else(|| Fault::beyond("plate"))?))
}

pub static LATERAL_LOAD: Calculation = Calculation {
    name: "lateral-load",
    group: Group::Structure,
    does: "what earth or water presses against a wall",
    inputs: &[
        Input::new(
            "fluid_pcf",
            Kind::Number(Bounds::from_to("0", "10000"), "lb/ft3"),
            "weight of the equivalent fluid; water 62.4",
        ),
        Input::new(
            "height",
            Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 m", "1000 m")),
            "height of the earth or the water against the wall",
        ),
    ],
    results: &[
        Output::new("base_psf", "pressure at the foot, lb/ft2"),
        Output::new("resultant_lb_ft", "the whole, lb for each foot of wall"),
        Output::new("arm_ft", "how far above the foot it acts, ft"),
    ],
    rules: &[&earth::LATERAL],
    example: r#"--fluid-pcf 60 --height "7 ft""#,
    run: lateral_load,
};

fn lateral_load(of: &Inputs) -> Result<Outcome, Fault> {
    let load = earth::lateral_load(of.number("fluid_pcf")?.near, of.quantity("height")?);
    Ok(Outcome::new()
        .with("base_psf", load.base_psf)
        .with("resultant_lb_ft", load.resultant_lb_ft)
        .with("arm_ft", load.arm_ft))
}

pub static EFFLORESCENCE: Calculation = Calculation {
    name: "efflorescence",
    group: Group::Structure,
    does: "salts on a face, on a published scale",
    inputs: &[
        Input::new("face_pct", Kind::Number(Bounds::from_to("0", "100"), "%"), "share of the face that is covered"),
        Input::new("powdering", Kind::Truth, "whether the face powders or flakes"),
    ],
    results: &[Output::new("scale", "`nil`, `slight` (to 10 %), `moderate` (to 50 %), `heavy`, `serious` (powdering)")],
    rules: &[&moisture::EFFLORESCENCE],
    example: "--face-pct 12 --powdering no",
    run: efflorescence,
};

fn efflorescence(of: &Inputs) -> Result<Outcome, Fault> {
    let face = Share::from_exact(of.number("face_pct")?.exact).ok_or_else(|| Fault::beyond("face_pct"))?;
    Ok(Outcome::new().with("scale", moisture::scale(face, of.truth("powdering")?).word()))
}

const SHEET_SIDE: Kind = Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 in", "100 ft"));
const SHEET_TIME: Kind = Kind::Quantity(QuantityKind::Span, Bounds::over_to("0 s", "366 d"));

pub static PLASTIC_SHEET: Calculation = Calculation {
    name: "plastic-sheet",
    group: Group::Water,
    does: "from which side moisture comes to a floor or a wall, by a sheet taped to it",
    inputs: &[
        Input::or("on", Kind::Word(On::WORDS), "floor", "what it is taped to"),
        Input::or("side", SHEET_SIDE, "18 in", "its shorter side"),
        Input::or("kept", SHEET_TIME, "16 h", "how long it stayed"),
        Input::or("sealed", Kind::Truth, "true", "all four edges were taped"),
        Input::or("sun", Kind::Truth, "false", "sun or heat fell on it"),
        Input::optional(
            "wet",
            Kind::Word(Face::WORDS),
            "which face was wet when it came off, darker concrete counted as under; left out, the steps are told",
        ),
    ],
    results: &[
        Output::new("counts", "whether it was put up as the documents ask"),
        Output::new("problems", "why it does not count"),
        Output::new("shows", "`from-the-concrete`, `from-the-air`, `both`, `nothing`; none where it does not count"),
        Output::new("says", "what follows from it"),
        Output::new("steps", "the test, step by step"),
    ],
    rules: &[&sheet::SHEET],
    example: r#"--on floor --side "18 in" --kept "17 h" --wet under"#,
    run: plastic_sheet,
};

fn plastic_sheet(of: &Inputs) -> Result<Outcome, Fault> {
    let on = of.word("on", On::from_word)?;
    let put_up = Sheet {
        on,
        side: of.quantity("side")?,
        kept: of.quantity("kept")?,
        sealed: of.truth("sealed")?,
        sun: of.truth("sun")?,
    };
    let steps = sheet::steps(on).join("; ");
    if !of.has("wet") {
        let nothing = || None::<bool>;
        let open = Outcome::new().with("counts", nothing()).with("problems", nothing()).with("shows", nothing());
        return Ok(open.with("says", "not looked at yet").with("steps", steps));
    }
    let problems = put_up.problems();
    let shows = problems.is_empty().then_some(sheet::read(of.word("wet", Face::from_word)?));
    let says = shows.map_or("it does not count: put it up again as the steps say", sheet::Shows::says);
    Ok(Outcome::new()
        .with("counts", problems.is_empty())
        .with("problems", problems.join("; "))
        .with("shows", shows.map_or("none", sheet::Shows::word))
        .with("says", says)
        .with("steps", steps))
}
