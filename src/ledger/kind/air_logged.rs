use chrono::NaiveDateTime;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::{Kind, check_line, check_section};
use crate::ledger::entry::Attachment;
use crate::ledger::problem::Problem;
use crate::ledger::property::{AirLog, At, Property};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::when::When;
use crate::quantity::{Exact, Measure, Share, Temperature};
use crate::trade::air_log::{Margin, Month, Spread, Summary, millionths, of_millionths};
use crate::trade::mould::{Class, Index};

/// Decimals of a stored figure: a millionth, as a record keeps them.
const PLACES: u32 = 6;

/// A computed figure in millionths, kept as a plain decimal number in the unit its field names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String")]
pub struct Figure(i64);

impl Figure {
    fn of(measure: impl Measure) -> Figure {
        Figure(millionths(measure.exact()).unwrap_or_default())
    }

    fn near(number: f64) -> Figure {
        Figure(Exact::nearest(number).and_then(millionths).unwrap_or_default())
    }

    pub fn to_f64(self) -> f64 {
        self.exact().to_f64()
    }

    pub fn exact(self) -> Exact {
        of_millionths(self.0)
    }

    fn share(self) -> Share {
        Share::from_exact(self.exact()).unwrap_or(Share::ZERO)
    }

    fn temperature(self) -> Temperature {
        Temperature::from_exact(self.exact()).unwrap_or(Temperature::celsius(0, 1))
    }
}

impl TryFrom<String> for Figure {
    type Error = String;

    fn try_from(text: String) -> Result<Figure, String> {
        let exact = Exact::from_decimal_str(&text);
        let figure = exact.and_then(|exact| Some(Figure(millionths(exact)?)).filter(|f| f.exact() == exact));
        figure.ok_or_else(|| format!("`{text}` is not a decimal number of up to {PLACES} places"))
    }
}

impl From<Figure> for String {
    fn from(figure: Figure) -> String {
        figure.exact().decimal(PLACES)
    }
}

/// Mean, least and most of the hours counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Range {
    pub mean: Figure,
    pub least: Figure,
    pub most: Figure,
}

impl Range {
    fn of<Q: Measure>(spread: Spread<Q>) -> Range {
        Range { mean: Figure::of(spread.mean), least: Figure::of(spread.least), most: Figure::of(spread.most) }
    }
}

/// The 30 days on end with the highest mean humidity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WorstMonth {
    #[schemars(with = "String")]
    pub from: When,
    #[schemars(with = "String")]
    pub to: When,
    /// Mean humidity, at the surface where one is known.
    pub humidity_pct: Figure,
    /// Mean temperature of the surface, else of the air.
    pub temperature_c: Figure,
    /// Mean of what wood settles at in that air.
    pub wood_pct: Figure,
}

/// Where the mould index of one class came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MouldOf {
    pub class: Class,
    pub index: Figure,
    pub peak: Figure,
    /// Days from the start until the index reached 1.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_1_day: Option<Figure>,
    /// Days from the start until the index reached 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_3_day: Option<Figure>,
}

/// How the temperature of the surface is known.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SurfaceBy {
    /// A probe on it, in the column of that name.
    Column(String),
    /// Taken to be so many degrees below the air, as typed: "6 F".
    Below(String),
}

/// How near the surface came to the dew point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LeastMargin {
    /// Surface less dew point, kelvin; negative where water condenses.
    pub least_k: Figure,
    #[schemars(with = "String")]
    pub at: When,
    /// Hours in which the air's vapour condenses there.
    pub condensing_hours: u64,
}

/// How the file is read, so that its hours can be read again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReadAs {
    /// Name of the column of times.
    pub time: String,
    pub temperature: String,
    pub humidity: String,
    /// How times are written, in the letters of strftime.
    pub times: String,
    /// Unit of bare temperatures, `F` or `C`.
    pub unit: String,
}

/// An hourly record of temperature and humidity in a section, and what it comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AirLogged {
    pub section: Name,
    /// The place in the section where the logger was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// Start of the first hour, by the logger's clock.
    #[schemars(with = "String")]
    pub from: When,
    /// End of the last hour.
    #[schemars(with = "String")]
    pub to: When,
    /// Hours that count.
    pub hours: u64,
    /// Hours without a figure between the first and the last.
    pub missing: u64,
    /// How many times hours are missing on end.
    pub gaps: u64,
    /// The longest of those, hours.
    pub longest_gap: u64,
    pub temperature_c: Range,
    pub humidity_pct: Range,
    /// Hours with the air at 80 % relative humidity or more.
    pub humid_hours: u64,
    /// Left out where the record has no 30 days on end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worst_30_days: Option<WorstMonth>,
    /// The class of the material there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub class: Option<Class>,
    /// The index of every class.
    pub mould: Vec<MouldOf>,
    /// Mean of what wood settles at in the air.
    pub wood_pct: Figure,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub surface: Option<SurfaceBy>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub margin: Option<LeastMargin>,
    pub read_as: ReadAs,
    /// The files, in the order of their hours.
    pub files: Vec<Attachment>,
}

impl AirLogged {
    /// The entry of a record, with what was said beside it.
    pub fn of(section: Name, summary: &Summary, read_as: ReadAs, files: Vec<Attachment>) -> AirLogged {
        AirLogged {
            section,
            at: None,
            from: When::at(summary.from),
            to: When::at(summary.to),
            hours: summary.hours,
            missing: summary.missing,
            gaps: summary.gaps,
            longest_gap: summary.longest_gap,
            temperature_c: Range::of(summary.temperature),
            humidity_pct: Range::of(summary.humidity),
            humid_hours: summary.humid,
            worst_30_days: summary.worst.map(|month| WorstMonth::of(&month)),
            class: None,
            mould: summary.mould.iter().map(|(class, index)| MouldOf::of(*class, index)).collect(),
            wood_pct: Figure::of(summary.wood),
            surface: None,
            margin: summary.margin.map(|margin| LeastMargin::of(&margin)),
            read_as,
            files,
        }
    }

    /// Mean humidity of the air.
    pub fn humidity(&self) -> Share {
        self.humidity_pct.mean.share()
    }

    pub fn wood(&self) -> Share {
        self.wood_pct.share()
    }

    pub fn worst(&self) -> Option<Month> {
        self.worst_30_days.map(|month| Month {
            from: month.from.moment(),
            to: month.to.moment(),
            humidity: month.humidity_pct.share(),
            temperature: month.temperature_c.temperature(),
            wood: month.wood_pct.share(),
        })
    }

    pub fn least_margin(&self) -> Option<Margin> {
        self.margin.map(|margin| Margin {
            least_k: margin.least_k.to_f64(),
            at: margin.at.moment(),
            condensing: margin.condensing_hours,
        })
    }

    /// The index of the class that was given, else of the most sensitive.
    pub fn mould_of_class(&self) -> Option<&MouldOf> {
        let class = self.class.unwrap_or(Class::VerySensitive);
        self.mould.iter().find(|of| of.class == class)
    }

    /// Whether both were logged at one place, at the same time for at least an hour.
    pub fn overlaps(&self, other: &AirLogged) -> bool {
        self.section == other.section && self.at == other.at && self.from < other.to && other.from < self.to
    }
}

impl WorstMonth {
    fn of(month: &Month) -> WorstMonth {
        WorstMonth {
            from: When::at(month.from),
            to: When::at(month.to),
            humidity_pct: Figure::of(month.humidity),
            temperature_c: Figure::of(month.temperature),
            wood_pct: Figure::of(month.wood),
        }
    }
}

impl MouldOf {
    fn of(class: Class, index: &Index) -> MouldOf {
        MouldOf {
            class,
            index: Figure::near(index.index),
            peak: Figure::near(index.peak),
            first_1_day: index.first_1_day.map(Figure::near),
            first_3_day: index.first_3_day.map(Figure::near),
        }
    }
}

impl LeastMargin {
    fn of(margin: &Margin) -> LeastMargin {
        LeastMargin {
            least_k: Figure::near(margin.least_k),
            at: When::at(margin.at),
            condensing_hours: margin.condensing,
        }
    }
}

impl Kind for AirLogged {
    fn about(&self) -> Vec<Subject> {
        vec![Subject::Named(self.section.clone())]
    }

    fn problems(&self, at: &At, property: &Property, found: &mut Vec<Problem>) {
        check_section(&self.section, property, found);
        if let Some(place) = &self.at {
            check_line("--at", place, found);
        }
        if self.to <= self.from {
            found.push(Problem::NoDuration { started: self.from });
        }
        // The last hour of a day ends on the next.
        if last_minute(self.to).date > at.on.date {
            found.push(Problem::InFuture { on: self.to, today: at.on.date });
        }
        for file in &self.files {
            check_line("the file's name", &file.name, found);
        }
    }

    fn apply(&self, at: &At, property: &mut Property) {
        property.air_logs.push(AirLog { seq: at.seq, on: at.on, log: self.clone() });
    }

    fn sentence(&self) -> String {
        let at = self.at.as_ref().map_or_else(String::new, |at| format!(" at {at}"));
        let missing = match self.missing {
            0 => String::new(),
            n => format!(", {n} missing"),
        };
        let names: Vec<&str> = self.files.iter().map(|file| file.name.as_str()).collect();
        format!(
            "air logged{at} {} to {}: {} hours{missing}, mean {} % relative humidity at {} C, from {}",
            self.from,
            self.to,
            self.hours,
            self.humidity_pct.mean.exact().decimal(1),
            self.temperature_c.mean.exact().decimal(1),
            names.join(", ")
        )
    }
}

fn last_minute(to: When) -> When {
    When::at(to.moment().checked_sub_signed(chrono::TimeDelta::minutes(1)).unwrap_or(NaiveDateTime::MIN))
}
