//! `survey add`: the heights of a floor's marked points on one day, typed or from a small CSV file.

use std::path::{Path, PathBuf};

use super::guarded::unguarded;
use super::import::ImportError;
use super::import::file::{self, Record};
use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::kind::level_surveyed::{LevelSurveyed, SurveyedPoint};
use crate::ledger::problem::Problem;
use crate::ledger::subject::Subject;
use crate::quantity::{Length, Typed};
use crate::store::{Store, Target};

/// How a point that has no height is written.
const NOT_REACHED: &str = "not reached";

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// A point and its height, signed, from any one level: "north-east corner: -0.3 in", or "sink: not reached"
    #[arg(long, value_name = "POINT")]
    pub point: Vec<String>,
    /// A CSV file with the columns point and height, and east and north where the places were measured
    #[arg(long, value_name = "FILE", conflicts_with = "point")]
    pub from: Option<PathBuf>,
    /// The unit of bare numbers in the file, such as in or mm
    #[arg(long, value_name = "UNIT", requires = "from")]
    pub unit: Option<String>,
    /// The smallest step the instrument shows
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    pub resolution: Option<String>,
    /// The instrument
    #[arg(long, value_name = "TEXT")]
    pub with: Option<String>,
}

impl Fields {
    /// The survey as it was typed; over `base` where one is corrected.
    ///
    /// Errors: a file that cannot be read, or each of its lines that does not read.
    pub fn surveyed(&self, base: LevelSurveyed, read: &mut Reading) -> Result<LevelSurveyed, Error> {
        let mut points: Vec<SurveyedPoint> = self.point.iter().filter_map(|text| point(text, read)).collect();
        if let Some(path) = &self.from {
            points = in_file(path, self.unit.as_deref())?;
        }
        let given = !self.point.is_empty() || self.from.is_some();
        Ok(LevelSurveyed {
            points: if given { points } else { base.points },
            resolution: read.quantity("--resolution", self.resolution.as_deref()).or(base.resolution),
            with: self.with.clone().or(base.with),
            ..base
        })
    }
}

pub fn add(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Recorded, Error> {
    let place = context.place(store, typed)?;
    let sections = &store.folded(place.id)?.property.sections;
    let (finding, section) = match place.subject {
        Subject::Finding(number) => (Some(number), None),
        Subject::Named(name) if sections.contains_key(&name) => (None, Some(name)),
        _ => {
            let wanted = "a section or a settlement, such as `larkspur-14/main` or `larkspur-14/2`";
            return Err(Error::NotThat { given: typed.to_owned(), wanted });
        }
    };
    let mut read = Reading::default();
    if fields.point.is_empty() && fields.from.is_none() {
        read.missing("--point or --from");
    }
    let base = LevelSurveyed { finding, section, points: Vec::new(), resolution: None, with: None };
    let surveyed = fields.surveyed(base, &mut read)?;
    let surveyed = read.done_on(surveyed, c)?;
    context.record(store, Target::Known(place.id), vec![surveyed.into()], c)
}

/// `sink: -0.3 in`
fn point(text: &str, read: &mut Reading) -> Option<SurveyedPoint> {
    let Some((name, height)) = text.rsplit_once(':') else {
        read.problems.push(Problem::NotAWord {
            field: "--point",
            typed: text.to_owned(),
            wanted: "a point and its height",
            words: &["\"sink: -0.3 in\"", "\"sink: not reached\""],
        });
        return None;
    };
    let reached = !height.trim().eq_ignore_ascii_case(NOT_REACHED);
    let height = if reached { Some(read.signed("--point", Some(height.trim()))?) } else { None };
    Some(SurveyedPoint { point: name.trim().to_owned(), height, east: None, north: None })
}

/// Errors: a file that is no table, or each line of it that does not read.
fn in_file(path: &Path, unit: Option<&str>) -> Result<Vec<SurveyedPoint>, Error> {
    let mut table = file::open(path, true)?;
    let header = table.header().clone();
    let column = |name: &str| header.iter().position(|cell| cell.eq_ignore_ascii_case(name));
    let (Some(name), Some(height)) = (column("point"), column("height")) else {
        let typed = header.iter().collect::<Vec<_>>().join(",");
        let wanted = "a first line with `point` and `height` in it";
        let words = &["point,height", "point,east,north,height"];
        return Err(Error::LinesRefused(vec![(1, Problem::NotAWord { field: "--from", typed, wanted, words })]));
    };
    let (east, north) = (column("east"), column("north"));
    let (mut points, mut wrong) = (Vec::new(), Vec::new());
    while let Some(Record { line, cells: record, problem }) = table.next()? {
        if let Some(problem) = problem {
            let error = format!("line {line}: {problem}");
            return Err(Error::Import(vec![ImportError::NotCsv { path: path.into(), error }]));
        }
        let line = usize::try_from(line).unwrap_or(usize::MAX);
        let cell = |at: Option<usize>| at.and_then(|at| record.get(at)).map(unguarded).filter(|cell| !cell.is_empty());
        let mut read = Reading::default();
        let reached = cell(Some(height)).filter(|cell| !cell.eq_ignore_ascii_case(NOT_REACHED));
        points.push(SurveyedPoint {
            point: cell(Some(name)).unwrap_or_default().to_owned(),
            height: length("height", reached, unit, &mut read),
            east: length("east", cell(east), unit, &mut read),
            north: length("north", cell(north), unit, &mut read),
        });
        wrong.extend(read.problems.into_iter().map(|problem| (line, problem)));
    }
    if wrong.is_empty() { Ok(points) } else { Err(Error::LinesRefused(wrong)) }
}

/// A cell with its unit, or with the one that was said of all of them.
fn length(field: &'static str, cell: Option<&str>, unit: Option<&str>, read: &mut Reading) -> Option<Typed<Length>> {
    let cell = cell?;
    let bare = cell.parse::<f64>().is_ok();
    match unit.filter(|_| bare) {
        Some(unit) => read.signed(field, Some(&format!("{cell} {}", unit.trim()))),
        None => read.signed(field, Some(cell)),
    }
}
