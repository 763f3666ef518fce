//! Why a fact cannot join a history. Facts only: what to do about them is said at the edge.

use crate::calendar::recurrence::RecurrenceError;
use crate::ledger::subject::{Name, SubjectError};
use crate::ledger::when::{When, WhenError};
use crate::quantity::{Currency, MoneyError, QuantityError, QuantityKind};
use crate::trade::words::{Device, FindingKind, FixtureKind};

/// One thing wrong with one fact. Every problem of an input is reported, not the first.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Problem {
    #[error("`{field}` is not {wanted}")]
    NotAQuantity { field: &'static str, typed: String, wanted: &'static str, kind: QuantityKind, error: QuantityError },
    #[error("`{field}` is not an amount of money")]
    NotMoney { field: &'static str, typed: String, wanted: Currency, error: MoneyError },
    #[error("`{typed}` is not {wanted}")]
    NotAWord { field: &'static str, typed: String, wanted: &'static str, words: &'static [&'static str] },
    #[error("{error}")]
    NotADate { field: &'static str, error: WhenError },
    #[error(transparent)]
    BadSubject(#[from] SubjectError),
    #[error("{field} is missing")]
    Missing { field: &'static str },
    #[error("{field} is empty")]
    Empty { field: &'static str },
    #[error("`{field}` has line breaks or control characters in it")]
    ControlCharacters { field: &'static str },
    #[error("`{zone}` is not a time zone")]
    UnknownZone { zone: String },
    #[error("`{typed}` is not a day of the year")]
    NotAMonthDay { field: &'static str, typed: String },
    #[error("the first freeze comes {days} {} after the last one: there is no summer between them", if *.days == 1 { "day" } else { "days" })]
    NoSummer { days: u32 },
    #[error("these freeze dates are of the {} of the equator, and {zone} lies on its other side", if *.southern { "south" } else { "north" })]
    OtherSide { zone: String, southern: bool },
    #[error("`{typed}` is not a recurrence rule: {error}")]
    NotARecurrence { typed: String, error: RecurrenceError },
    #[error("`{typed}` is about times of day: a duty has days")]
    OftenerThanDaily { typed: String },
    #[error("`{typed}` never comes")]
    NeverComes { typed: String },
    #[error("`{typed}` is not a climate zone")]
    NotAClimateZone { typed: String },
    #[error("the year {year} is outside 1600 to {latest}")]
    YearOutOfRange { year: i32, latest: i32 },
    #[error("{on} is in the future")]
    InFuture { on: When, today: chrono::NaiveDate },
    #[error("{on} has not come yet, it is {now} at the house")]
    LaterToday { on: When, now: When },
    #[error("{on} is before the house was built ({built})")]
    BeforeBuilt { on: When, built: i32 },
    #[error("the house has entries from {earliest}, before it would have been built ({built})")]
    BuiltAfter { built: i32, earliest: When },
    #[error("{on} is before finding {number} was opened ({opened})")]
    BeforeOpened { on: When, number: u32, opened: When },
    #[error("finding {number} was closed on {closed}")]
    FindingClosed { number: u32, closed: When },
    #[error("finding {number} was closed on {closed}")]
    ClosedAlready { number: u32, closed: When },
    #[error("finding {number} is open")]
    FindingOpen { number: u32 },
    #[error("there is no finding {number} at this property on {on}")]
    NoFinding { number: u32, on: When },
    #[error("there is no section `{name}` at this property")]
    NoSection { name: Name },
    #[error("there is no fixture `{name}` at this property")]
    NoFixture { name: Name },
    #[error("fixture `{name}` was retired on {on}")]
    FixtureRetired { name: Name, on: When },
    #[error("a look is of the whole house or of a section, and `{subject}` is neither")]
    LookOfAPart { subject: String },
    #[error("there is no `{subject}` at this property")]
    NoSubject { subject: String },
    #[error("`{name}` is already the name of a {thing} here")]
    NameTaken { name: Name, thing: &'static str },
    #[error("`{name}` is the key of the house, and no name for a part of it")]
    NameIsKey { name: Name },
    #[error("the finding number {number} was used before")]
    NumberTaken { number: u32 },
    #[error("property `{key}` exists already")]
    KeyTaken { key: String },
    #[error("the property does not exist")]
    NoProperty,
    #[error("the property exists already")]
    PropertyExists,
    #[error("property `{key}` was archived on {on}")]
    Archived { key: String, on: When },
    #[error("property `{key}` was handed over on {on}")]
    HandedOver { key: String, on: When },
    #[error("entry {seq} is not the last one")]
    NotTheLast { seq: u64 },
    #[error("a finding of kind `{kind}` has no `{field}`")]
    FieldOfAnotherKind { kind: FindingKind, field: &'static str, fields: &'static [&'static str] },
    #[error("a finding of kind `{kind}` has no reading of `{quantity}`")]
    ReadingOfAnotherKind { kind: FindingKind, quantity: &'static str, quantities: &'static [&'static str] },
    #[error("`{name}` is a {kind}, which has no gauge of a radon system")]
    NoGauge { name: Name, kind: FixtureKind },
    #[error("no sheet is put up for a finding of kind `{kind}`")]
    NoSheetFor { kind: FindingKind },
    #[error("point `{point}` is there twice")]
    PointTwice { point: String },
    #[error("of the place of point `{point}` only one of east and north is given")]
    HalfAPlace { point: String },
    #[error("{}", few_points(*.measured))]
    TooFewPoints { measured: usize },
    #[error("{points} points are more than a survey has ({most})")]
    TooManyPoints { points: usize, most: usize },
    #[error("a reading of `{quantity}` needs the length it was taken over")]
    NeedsOver { quantity: &'static str },
    #[error("{field} `{typed}` is beyond anything a house has (more than {most})")]
    Absurd { field: &'static str, typed: String, most: String },
    #[error("{field} `{typed}` is smaller than anything that is measured on a house (less than {least})")]
    TooSmall { field: &'static str, typed: String, least: &'static str },
    #[error("{field} `{typed}` is zero")]
    Zero { field: &'static str, typed: String },
    #[error("`{now}` is {times} the last reading, `{last}`")]
    TenTimesTheLast { now: String, last: String, times: String },
    #[error("filling {number}: {says}")]
    AgainstFilling { number: u32, says: String },
    #[error("the test ended before it started")]
    EndedBeforeStart { started: When, ended: When },
    #[error("the test ends on {ended}, which is in the future")]
    EndsInFuture { ended: When },
    #[error("the test lasted no time at all")]
    NoDuration { started: When },
    #[error("give either when the test ended or how long it lasted")]
    EndedAndLasted,
    #[error("`{name}` is a {kind}, not a sump pump")]
    NotAPump { name: Name, kind: FixtureKind },
    #[error("the pit of `{name}` is not known, so a fall of the water is no volume")]
    NoPit { name: Name },
    #[error("it would hold until {until}, before the day it was given ({on})")]
    HoldsNoDay { until: chrono::NaiveDate, on: When },
    #[error("entry {seq} is no repair of this property")]
    NotARepair { seq: u64 },
    #[error("{on} is before the repair was made ({repaired})")]
    BeforeRepair { on: When, repaired: When },
    #[error("entry {seq} begins no walk of this property")]
    NotAWalk { seq: u64 },
    #[error("the walk of entry {seq} ended on {ended}")]
    WalkOver { seq: u64, ended: When },
    #[error("there is no entry {seq} in this chain")]
    NoEntry { seq: u64 },
    #[error("entry {seq} is of kind `{kind}`, which cannot be {what}")]
    KindCannotBe { seq: u64, kind: String, what: &'static str },
    #[error("entry {seq} was struck already")]
    StruckAlready { seq: u64 },
    #[error("the body of entry {seq} is absent")]
    BodyAbsent { seq: u64 },
    #[error("the correction of entry {seq} cannot be read: {error}")]
    CorrectionUnreadable { seq: u64, error: String },
    #[error("entry {seq} hangs on it: {problem}")]
    Orphans { seq: u64, kind: String, problem: Box<Problem>, amended: bool },
    #[error("there is no setting `{name}`")]
    NoSetting { name: String, names: Vec<&'static str> },
    #[error("`{value}` is not a value of setting `{name}`")]
    BadSettingValue { name: String, value: String, wanted: String },
    #[error("`{rule}` never comes")]
    NeverFires { rule: String },
    #[error("{minutes} minutes are outside 1 to {most}")]
    MinutesOutOfRange { minutes: u32, most: u32 },
    #[error("nothing is set of duty `{duty}` here")]
    NothingSet { duty: String },
    #[error("`{duty}` of {occurs} was left out already")]
    SkippedAlready { duty: String, occurs: chrono::NaiveDate },
    #[error("{day} is past on {on}")]
    DayPassed { field: &'static str, day: chrono::NaiveDate, on: chrono::NaiveDate },
    #[error("a notice of {days} days is longer than {most}")]
    NoticeTooLong { days: u32, most: u32 },
    #[error("the warranty would end on {until}, before {from}")]
    WarrantyBefore { until: chrono::NaiveDate, from: chrono::NaiveDate },
    #[error("nothing would change")]
    NothingToChange,
    #[error("no {device} device takes so long: they measure up to {most}")]
    LengthAgainstDevice { device: Device, most: &'static str },
    #[error("the test of entry {seq} stood at another place")]
    NotOnePlace { seq: u64 },
    #[error("the test of entry {seq} ran at another time")]
    NotOneTime { seq: u64, started: When },
    #[error("entry {seq} says the same: the same result, start, device, section and room")]
    SameTest { seq: u64 },
    #[error("entry {seq} is not a radon test")]
    NotARadonTest { seq: u64 },
}

impl Problem {
    /// The flag behind which something was typed that does not read.
    pub fn does_not_read(&self) -> Option<&'static str> {
        use Problem as P;
        match self {
            P::NotAQuantity { field, .. }
            | P::NotMoney { field, .. }
            | P::NotAWord { field, .. }
            | P::NotADate { field, .. }
            | P::NotAMonthDay { field, .. } => Some(field),
            P::UnknownZone { .. } => Some("--zone"),
            P::NotAClimateZone { .. } => Some("--climate-zone"),
            _ => None,
        }
    }
}

fn few_points(measured: usize) -> &'static str {
    match measured {
        0 => "no point has a height",
        _ => "only one point has a height, and there is nothing to compare it with",
    }
}
