//! Whether a series of readings grows.

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{Length, QuantityKind};
use crate::trade::trend::{self, Crossing, Forecast, Line, MannKendall, Point, Seasonal, TheilSen, TrendError};

const READ: Kind = Kind::Signed(Bounds::from_to("0 m", "1000 m"));
const READING: Kind =
    Kind::Row(&[Input::new("date", Kind::Date, "when it was read"), Input::new("reading", READ, "what was read")]);

pub static TREND: Calculation = Calculation {
    name: "trend",
    group: Group::Structure,
    does: "whether a series of readings grows, and by how much",
    inputs: &[
        Input::new(
            "readings",
            Kind::List { of: &READING, least: 1, most: trend::MOST_READINGS },
            "date and length of each, in order of date",
        ),
        Input::new(
            "resolution",
            Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 mm", "1 m")),
            "what the gauge can tell apart",
        ),
        Input::optional(
            "threshold",
            Kind::Quantity(QuantityKind::Length, Bounds::from_to("0 m", "1000 m")),
            "a length whose day is asked for",
        ),
    ],
    results: &[
        Output::new("state", "`insufficient` (under a year or five readings), `growing`, `closing`, `no-trend-shown`"),
        Output::new("enough_on", "the day on which the readings span a year; none when they do"),
        Output::new("line", "straight line by least squares: mm a year, mm at the first date, 95 % interval"),
        Output::new("theil_sen", "median of the slopes of all pairs, mm a year, 95 % interval"),
        Output::new("mann_kendall", "whether later readings tend to be larger"),
        Output::new("seasonal", "line with a yearly wave; none under seven readings or a year"),
        Output::new("in_one_year", "expected one year after the last reading, mm, 95 % interval of one new reading"),
        Output::new("line_in_one_year", "the same by the straight line"),
        Output::new("threshold_on", "the day on which the threshold is met; only when growing towards it"),
    ],
    rules: &[&trend::STATE, &trend::STATISTICS],
    example: concat!(
        r#"--resolution "0.1 mm" --readings '["2024-01-01","2.3 mm"]' --readings '["2024-05-01","2.5 mm"]' "#,
        r#"--readings '["2024-09-01","2.7 mm"]' --readings '["2025-01-01","2.9 mm"]' --readings '["2025-05-01","3.2 mm"]'"#
    ),
    run: trend,
};

fn trend(of: &Inputs) -> Result<Outcome, Fault> {
    let point = |row: &Inputs| Ok(Point { on: row.date("date")?, mm: row.quantity::<Length>("reading")?.to_mm() });
    let points: Vec<Point> = of.rows("readings")?.into_iter().map(point).collect::<Result<_, Fault>>()?;
    let threshold = of.quantity_if_given::<Length>("threshold").map(Length::to_mm);
    let found = trend::trend(&points, of.quantity::<Length>("resolution")?.to_mm(), threshold).map_err(refused)?;
    Ok(Outcome::new()
        .with("state", found.growth.state.word())
        .with("enough_on", found.growth.enough_on)
        .with("line", found.growth.line.map(line))
        .with("theil_sen", found.theil_sen.map(theil_sen))
        .with("mann_kendall", found.mann_kendall.map(mann_kendall))
        .with("seasonal", found.growth.seasonal.map(seasonal))
        .with("in_one_year", found.in_one_year.map(forecast))
        .with("line_in_one_year", found.line_in_one_year.map(forecast))
        .with("threshold_on", found.threshold_on.map(crossing)))
}

fn refused(error: TrendError) -> Fault {
    use TrendError as E;
    let input = match error {
        E::NoReadings | E::DatesGoBack { .. } | E::NotFinite { .. } | E::TooLarge { .. } | E::TooMany { .. } => {
            "readings"
        }
        E::ResolutionNotPositive => "resolution",
        E::ThresholdNotFinite => "threshold",
    };
    Fault::new(input, Fact::Trend(error))
}

fn line(of: Line) -> Outcome {
    Outcome::new()
        .with("slope", of.slope)
        .with("intercept", of.intercept)
        .with("se", of.se)
        .with("ci_low", of.ci_low)
        .with("ci_high", of.ci_high)
        .with("p", of.p)
}

fn theil_sen(of: TheilSen) -> Outcome {
    Outcome::new().with("slope", of.slope).with("ci_low", of.ci_low).with("ci_high", of.ci_high)
}

fn mann_kendall(of: MannKendall) -> Outcome {
    Outcome::new().with("s", of.s).with("var", of.var).with("z", of.z).with("p", of.p)
}

fn seasonal(of: Seasonal) -> Outcome {
    Outcome::new()
        .with("slope", of.slope)
        .with("se", of.se)
        .with("ci_low", of.ci_low)
        .with("ci_high", of.ci_high)
        .with("amplitude", of.amplitude)
}

fn forecast(of: Forecast) -> Outcome {
    Outcome::new().with("value", of.value).with("low", of.low).with("high", of.high)
}

fn crossing(of: Crossing) -> Outcome {
    Outcome::new().with("middle", of.middle).with("early", of.early).with("late", of.late)
}
