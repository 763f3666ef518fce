//! Radon: means, pairs, risk, decay, odds, places, a monitor's record, reduction.

use super::calculation::{Calculation, Group, Output};
use super::fault::Fault;
use super::input::{Bounds, Input, Kind};
use super::inputs::{Inputs, Number};
use super::outcome::Outcome;
use crate::quantity::{Activity, Area, Exact, QuantityKind};
use crate::trade::radon::risk::{Chart, Group as People};
use crate::trade::radon::{average, chart_1992, decay, locations, monitor, odds, pair, reduction, risk};

/// No house has shown more.
const LEVEL: Kind = Kind::Quantity(QuantityKind::Activity, Bounds::from_to("0 pCi/L", "1000000 pCi/L"));
const TIME: Kind = Kind::Quantity(QuantityKind::Span, Bounds::from_to("0 s", "36500 d"));
const AREA: Kind = Kind::Quantity(QuantityKind::Area, Bounds::over_to("0 ft2", "10000000 ft2"));
const HOURS: Kind = Kind::Number(Bounds::from_to("0", "1000000"), "h");
/// An hour of a monitor's record.
const HOUR: Kind = Kind::OrGap(&Kind::Number(Bounds::from_to("0", "1000000"), "pCi/L"));
const MOST_RESULTS: usize = 100_000;
const FOUNDATIONS: &[&str] = &["basement", "slab", "crawl-space", "pier"];
/// pCi/L in the stored unit of an activity, Bq/m3.
const PCI_L: Exact = Exact::integer(37);

pub static RADON_AVERAGE: Calculation = Calculation {
    name: "radon-average",
    group: Group::Radon,
    does: "means of several results of one place, and the figure that is reported",
    inputs: &[
        Input::new("results", Kind::List { of: &LEVEL, least: 1, most: MOST_RESULTS }, "each result"),
        Input::optional("hours", Kind::List { of: &HOURS, least: 1, most: MOST_RESULTS }, "hours of each, as weights"),
    ],
    results: &[
        Output::new("average_pci_l", "mean in pCi/L, weighted where hours are given"),
        Output::new("plain_mean_pci_l", "mean in pCi/L without weights"),
        Output::new("geometric_mean_pci_l", "in pCi/L; none where a result is 0"),
        Output::new("geometric_sd", "a factor; none where a result is 0, and for one result"),
        Output::new("reported_pci_l", "the average to one decimal, half up"),
        Output::new("range", "`below-2`, `consider` (2 to below 4) or `action`, by the reported figure"),
    ],
    rules: &[&average::AVERAGE],
    example: r#"--results "3.8 pCi/L" --results "4.1 pCi/L""#,
    run: radon_average,
};

pub static RADON_PAIR: Calculation = Calculation {
    name: "radon-pair",
    group: Group::Radon,
    does: "how far apart two results of one place are, and whether their mean may stand",
    inputs: &[Input::new("first", LEVEL, "one result"), Input::new("second", LEVEL, "the other")],
    results: &[
        Output::new("mean_pci_l", "in pCi/L"),
        Output::new("difference_pci_l", "in pCi/L, without sign"),
        Output::new("rpd_pct", "relative difference in % of the mean; none where both are 0"),
        Output::new("control", "`in`, `warning` or `out`"),
        Output::new(
            "average_accepted",
            "false where one is under 4 pCi/L and the other 4 or more and at least twice it",
        ),
    ],
    rules: &[&pair::CONTROL, &pair::STRADDLE],
    example: r#"--first "8 pCi/L" --second "10.7 pCi/L""#,
    run: radon_pair,
};

pub static RADON_RISK: Calculation = Calculation {
    name: "radon-risk",
    group: Group::Radon,
    does: "lifetime risk of lung cancer at a level, by smoking",
    inputs: &[
        Input::new("level", LEVEL, "level at home for a lifetime, to 20 pCi/L"),
        Input::new("group", Kind::Word(People::WORDS), "never smoked, smoking now, or all"),
        Input::or("chart", Kind::Word(Chart::WORDS), "chart-2003", "which of the charts; that of 1992 only as printed"),
    ],
    results: &[
        Output::new("lifetime_risk", "a fraction: 0.0073 is 7.3 of 1,000; none between the rows of 1992").to_figures(2),
        Output::new("said", "the same in words, with the group and the level"),
    ],
    rules: &[&risk::RISK],
    example: r#"--level "4 pCi/L" --group never"#,
    run: radon_risk,
};

pub static RADON_DECAY: Calculation = Calculation {
    name: "radon-decay",
    group: Group::Radon,
    does: "how much radon is left after a time",
    inputs: &[
        Input::new("elapsed", TIME, "time since the test ended"),
        Input::optional("counting", TIME, "time over which it is counted"),
    ],
    results: &[
        Output::new("remaining", "the fraction left"),
        Output::new("multiply_back", "its inverse"),
        Output::new("count_factor", "for what decays while counting; none without a counting time"),
    ],
    rules: &[&decay::DECAY],
    example: r#"--elapsed "72 h" --counting "10 min""#,
    run: radon_decay,
};

pub static RADON_ODDS: Calculation = Calculation {
    name: "radon-odds",
    group: Group::Radon,
    does: "how likely the year's mean is at or above a threshold, by one short result",
    inputs: &[
        Input::new("result", LEVEL, "the short result"),
        Input::or("gsd", Kind::Number(Bounds::over_to("1", "100"), ""), "1.6", "scatter of the year's mean, a factor"),
        Input::or("bias", Kind::Number(Bounds::over_to("0", "100"), ""), "1.0", "by how much such a test reads high"),
        Input::or(
            "threshold",
            Kind::Quantity(QuantityKind::Activity, Bounds::over_to("0 pCi/L", "1000000 pCi/L")),
            "4 pCi/L",
            "threshold of the year's mean",
        ),
    ],
    results: &[Output::new("probability", "that the year's mean is at or above the threshold")],
    rules: &[&odds::ODDS],
    example: r#"--result "6 pCi/L""#,
    run: radon_odds,
};

pub static RADON_LOCATIONS: Calculation = Calculation {
    name: "radon-locations",
    group: Group::Radon,
    does: "in how many places a house is tested at the same time",
    inputs: &[Input::new(
        "areas",
        Kind::List {
            of: &Kind::Record(&[
                Input::new("foundation", Kind::Word(FOUNDATIONS), "how it stands on the ground"),
                Input::new("area", AREA, "its floor"),
            ]),
            least: 1,
            most: 10_000,
        },
        "each lowest structural area",
    )],
    results: &[Output::new("locations", "places, one and one more for each further 2,000 ft2 of each area")],
    rules: &[&locations::LOCATIONS],
    example: r#"--areas '{"foundation":"basement","area":"2001 ft2"}'"#,
    run: radon_locations,
};

pub static RADON_MONITOR: Calculation = Calculation {
    name: "radon-monitor",
    group: Group::Radon,
    does: "mean of a monitor's hourly record, and whether it counts",
    inputs: &[
        Input::new(
            "hourly",
            Kind::List { of: &HOUR, least: 1, most: monitor::MOST_HOURS },
            "each hour, null for a gap",
        ),
        Input::or("discard", Kind::Whole { least: 0, most: 30_000 }, "4", "hours left out at the start"),
    ],
    results: &[
        Output::new("mean_pci_l", "of the hours counted, in pCi/L; none where there are none"),
        Output::new("hours", "hours counted"),
        Output::new("valid", "48 hours or longer and no gap after the hours left out"),
        Output::new("problems", "why it does not count"),
    ],
    rules: &[&monitor::MONITOR],
    example: r#"--hourly '[1.2,1.4,2.0,null,3.1,3.3,3.0]'"#,
    run: radon_monitor,
};

pub static RADON_REDUCTION: Calculation = Calculation {
    name: "radon-reduction",
    group: Group::Radon,
    does: "by how much a system has to lower a level to meet a target",
    inputs: &[Input::new("level", LEVEL, "level now"), Input::new("target", LEVEL, "level wanted")],
    results: &[Output::new("reduction_pct", "in %; 0 where the target is met")],
    rules: &[&reduction::REDUCTION],
    example: r#"--level "8 pCi/L" --target "2 pCi/L""#,
    run: radon_reduction,
};

fn radon_average(of: &Inputs) -> Result<Outcome, Fault> {
    let hours: Option<Vec<Exact>> = match of.has("hours") {
        true => Some(of.numbers("hours")?.iter().map(|hours| hours.exact).collect()),
        false => None,
    };
    let found = average::average(&of.quantities::<Activity>("results")?, hours.as_deref())?;
    Ok(Outcome::new()
        .with("average_pci_l", found.average.to_pci_l())
        .with("plain_mean_pci_l", found.plain_mean.to_pci_l())
        .with("geometric_mean_pci_l", found.geometric_mean.map(Activity::to_pci_l))
        .with("geometric_sd", found.geometric_sd)
        .with("reported_pci_l", found.reported_pci_l.to_f64())
        .with("range", found.range.word()))
}

fn radon_pair(of: &Inputs) -> Result<Outcome, Fault> {
    let found = pair::pair(of.quantity("first")?, of.quantity("second")?);
    Ok(Outcome::new()
        .with("mean_pci_l", found.mean.to_pci_l())
        .with("difference_pci_l", found.difference.to_pci_l())
        .with("rpd_pct", found.rpd_pct.map(Exact::to_f64))
        .with("control", found.control.word())
        .with("average_accepted", found.average_accepted))
}

fn radon_risk(of: &Inputs) -> Result<Outcome, Fault> {
    let (level, group) = (of.quantity("level")?, of.word("group", People::from_word)?);
    if of.word("chart", Chart::from_word)? == Chart::Of1992 {
        let found = chart_1992::printed(level, group)?;
        let outcome = Outcome::new().with("lifetime_risk", found.risk).with("said", found.said);
        return Ok(outcome.by(&risk::RISK, Chart::Of1992.word()));
    }
    let found = risk::lifetime_risk(level, group)?;
    Ok(Outcome::new().with("lifetime_risk", found).with("said", risk::told(found, level, group)))
}

fn radon_decay(of: &Inputs) -> Result<Outcome, Fault> {
    let found = decay::decay(of.quantity("elapsed")?, of.quantity_if_given("counting"))?;
    Ok(Outcome::new()
        .with("remaining", found.remaining)
        .with("multiply_back", found.multiply_back)
        .with("count_factor", found.count_factor))
}

fn radon_odds(of: &Inputs) -> Result<Outcome, Fault> {
    let (gsd, bias) = (of.number("gsd")?.near, of.number("bias")?.near);
    let found = odds::year_at_or_above(of.quantity("result")?, gsd, bias, of.quantity("threshold")?)?;
    Ok(Outcome::new().with("probability", found))
}

fn radon_locations(of: &Inputs) -> Result<Outcome, Fault> {
    let areas: Vec<Area> = of.rows("areas")?.iter().map(|row| row.quantity("area")).collect::<Result<_, _>>()?;
    let places = i64::try_from(locations::locations(&areas)?).map_err(|_| Fault::beyond("areas"))?;
    Ok(Outcome::new().with("locations", places))
}

fn radon_monitor(of: &Inputs) -> Result<Outcome, Fault> {
    let level = |hour: Option<Number>| match hour {
        Some(number) => activity(number).map(Some).ok_or_else(|| Fault::beyond("hourly")),
        None => Ok(None),
    };
    let hourly: Vec<Option<Activity>> =
        of.numbers_with_gaps("hourly")?.into_iter().map(level).collect::<Result<_, _>>()?;
    let discard = usize::try_from(of.whole("discard")?).map_err(|_| Fault::beyond("discard"))?;
    let found = monitor::record(&hourly, discard)?;
    let hours = i64::try_from(found.hours).map_err(|_| Fault::beyond("hourly"))?;
    Ok(Outcome::new()
        .with("mean_pci_l", found.mean.map(Activity::to_pci_l))
        .with("hours", hours)
        .with("valid", found.is_valid())
        .with("problems", found.problems.iter().map(ToString::to_string).collect::<Vec<_>>()))
}

/// A bare number of pCi/L.
fn activity(number: Number) -> Option<Activity> {
    number.exact.checked_mul(PCI_L).and_then(Activity::from_exact).or_else(|| Activity::nearest(number.near * 37.0))
}

fn radon_reduction(of: &Inputs) -> Result<Outcome, Fault> {
    let found = reduction::reduction(of.quantity("level")?, of.quantity("target")?);
    Ok(Outcome::new().with("reduction_pct", found.to_percent()))
}
