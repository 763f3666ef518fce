//! Floor levels: one profile by three heights, a survey with its plane.

use super::calculation::{Calculation, Group, Output};
use super::fault::{Fact, Fault};
use super::input::{Bounds, Input, Kind};
use super::inputs::Inputs;
use super::outcome::Outcome;
use crate::quantity::{Length, QuantityKind};
use crate::trade::level;
use crate::trade::survey::{self, Line, Point, SurveyError};

const ACROSS: Kind = Kind::Signed(Bounds::from_to("0 m", "100000 m"));
const UP: Kind = Kind::Signed(Bounds::from_to("0 m", "1000 m"));

pub static LEVEL_PROFILE: Calculation = Calculation {
    name: "level-profile",
    group: Group::Structure,
    does: "deflection and tilt of a floor by three heights",
    inputs: &[
        Input::new(
            "length",
            Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 m", "1000 m")),
            "from one end to the other",
        ),
        Input::new("heights", Kind::List { of: &UP, least: 3, most: 3 }, "at one end, in the middle, at the other end"),
    ],
    results: &[
        Output::new("deflection_mm", "middle less the mean of the ends, mm; below zero it sags"),
        Output::new("one_in", "length over the size of the deflection; none when flat"),
        Output::new("tilt_pct", "difference of the ends over the length, %"),
    ],
    rules: &[&survey::LEVEL_SURVEY, &level::DEFLECTION],
    example: r#"--length "30 ft" --heights "0 in" --heights "-1.6 in" --heights "-1.2 in""#,
    run: level_profile,
};

fn level_profile(of: &Inputs) -> Result<Outcome, Fault> {
    let heights: Vec<Length> = of.quantities("heights")?;
    let heights = <[Length; 3]>::try_from(heights).map_err(|_| Fault::beyond("heights"))?;
    let found = survey::profile(of.quantity("length")?, heights).ok_or_else(|| Fault::beyond("heights"))?;
    Ok(Outcome::new()
        .with("deflection_mm", found.deflection.to_mm())
        .with("one_in", found.one_in)
        .with("tilt_pct", found.tilt_pct))
}

const POINT: Kind =
    Kind::Row(&[Input::new("x", ACROSS, "east"), Input::new("y", ACROSS, "north"), Input::new("z", UP, "up")]);
const AT: Kind = Kind::Whole { least: 0, most: survey::MOST_POINTS as i64 };
const ALONG: Kind = Kind::List { of: &AT, least: 3, most: survey::MOST_POINTS };
/// Profiles of one survey.
const MOST_PROFILES: usize = 1_000;

pub static LEVEL_SURVEY: Calculation = Calculation {
    name: "level-survey",
    group: Group::Structure,
    does: "plane, tilt and deflection of a floor by its levels",
    inputs: &[
        Input::new(
            "points",
            Kind::List { of: &POINT, least: 1, most: survey::MOST_POINTS },
            "east, north and up of each point; three or more, not on one line",
        ),
        Input::optional(
            "profiles",
            Kind::List { of: &ALONG, least: 0, most: MOST_PROFILES },
            "points of each profile in order, three or more, counted from 0",
        ),
    ],
    results: &[
        Output::new("tilt_pct", "slope of the best plane, %"),
        Output::new("downhill_deg", "where it falls to, degrees clockwise from north; none when level"),
        Output::new("residuals_mm", "height of each point over the plane, mm"),
        Output::new("max_abs_residual_mm", "the largest of them, mm"),
        Output::new("residual_range_mm", "from the lowest to the highest, mm"),
        Output::new("deflection_ratio", "that range over the longest distance"),
        Output::new("profiles", "length, greatest departure from the line between the ends, where, 1 in how many"),
    ],
    rules: &[&survey::LEVEL_SURVEY, &level::DEFLECTION],
    example: r#"--points '["0 ft","0 ft","0 in"]' --points '["15 ft","0 ft","-0.3 in"]' --points '["30 ft","0 ft","-0.9 in"]' --points '["0 ft","20 ft","0.2 in"]' --profiles "[0,1,2]""#,
    run: level_survey,
};

fn level_survey(of: &Inputs) -> Result<Outcome, Fault> {
    let point = |row: &Inputs| {
        let length = |name| row.quantity::<Length>(name);
        Ok(Point { x_m: length("x")?.to_m(), y_m: length("y")?.to_m(), z_mm: length("z")?.to_mm() })
    };
    let points: Vec<Point> = of.rows("points")?.into_iter().map(point).collect::<Result<_, Fault>>()?;
    let at = |index: i64| usize::try_from(index).map_err(|_| Fault::beyond("profiles"));
    let profile = |along: Vec<i64>| along.into_iter().map(at).collect::<Result<Vec<usize>, Fault>>();
    let profiles: Vec<Vec<usize>> =
        of.lists_of_wholes("profiles")?.into_iter().map(profile).collect::<Result<_, Fault>>()?;
    let found = survey::survey(&points, &profiles).map_err(refused)?;
    Ok(Outcome::new()
        .with("tilt_pct", found.tilt_pct)
        .with("downhill_deg", found.downhill_deg)
        .with("residuals_mm", found.residuals_mm)
        .with("max_abs_residual_mm", found.max_abs_residual_mm)
        .with("residual_range_mm", found.residual_range_mm)
        .with("deflection_ratio", found.deflection_ratio)
        .with("profiles", found.profiles.into_iter().map(line).collect::<Vec<_>>()))
}

fn refused(error: SurveyError) -> Fault {
    use SurveyError as E;
    let input = match error {
        E::TooFewPoints | E::TooManyPoints | E::OnOneLine => "points",
        E::ShortProfile { .. } | E::NoSuchPoint { .. } | E::ClosedProfile { .. } => "profiles",
    };
    Fault::new(input, Fact::Survey(error))
}

fn line(found: Line) -> Outcome {
    Outcome::new()
        .with("length_m", found.length_m)
        .with("deflection_mm", found.deflection_mm)
        .with("at_point", found.at_point.and_then(|at| i64::try_from(at).ok()))
        .with("one_in", found.one_in)
}
