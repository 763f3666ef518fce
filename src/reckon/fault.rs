//! What keeps a calculation from being done, as facts that name the input.

use crate::calendar::cron_text::CronError;
use crate::calendar::recurrence::{RecurrenceError, TooMuch};
use crate::deferral::{ChainError, SpreadError};
use crate::quantity::{Currency, MoneyError, QuantityError, QuantityKind};
use crate::trade::input::InputError;
use crate::trade::survey::SurveyError;
use crate::trade::trend::TrendError;

/// A fact about one input.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", .fact.of(.input))]
pub struct Fault {
    /// The field's name on the line; `reckon` for the calculation itself, `line` for the line as a whole.
    pub input: String,
    pub fact: Fact,
}

/// What is wrong with it. The texts follow the input's name; those of the trade stand by themselves.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Fact {
    #[error("is not JSON: {0}")]
    NotJson(String),
    #[error("is not an object, but {0}")]
    NotAnObject(&'static str),
    #[error("is longer than {0} MiB")]
    LineTooLong(usize),
    #[error("`{0}` is not a calculation")]
    UnknownCalculation(String),
    #[error("is not an input of `{of}`")]
    UnknownInput { of: &'static str, takes: Vec<&'static str> },
    #[error("`{0}` does not stand behind a flag")]
    Stray(String),
    #[error("is given twice")]
    Twice,
    #[error("is missing")]
    Missing { wanted: String },
    #[error("is null")]
    Null { wanted: String },
    #[error("is {got}, not {wanted}")]
    OtherKind { got: &'static str, wanted: String },
    #[error("is not a quantity of {}", .kind.word())]
    NotAQuantity { typed: String, kind: QuantityKind, error: QuantityError },
    #[error("is not an amount of money")]
    NotMoney { typed: String, wanted: Currency, error: MoneyError },
    #[error("is none of its words: `{typed}`")]
    NotAWord { typed: String, words: &'static [&'static str] },
    #[error("is not a date: `{typed}`")]
    NotADate { typed: String },
    #[error("is not a date and time: `{typed}`")]
    NotAWallTime { typed: String },
    #[error("is not a date and time with an offset: `{typed}`")]
    NotAnInstant { typed: String },
    #[error("is not a time zone: `{typed}`")]
    NotAZone { typed: String },
    #[error("is not a recurrence rule: {0}")]
    Recurrence(RecurrenceError),
    #[error("is not cron text: {0}")]
    Cron(CronError),
    #[error("{0}")]
    TooMuch(TooMuch),
    #[error("is not finite, or too large a number")]
    TooLarge,
    #[error("is not a whole number")]
    NotWhole,
    #[error("is outside {least} to {most}")]
    Outside { least: String, most: String },
    #[error("is not over {0}")]
    NotOver(String),
    /// Years for which the clocks of zones are known.
    #[error("is outside the years {first} to {last}")]
    OutsideYears { first: i32, last: i32 },
    #[error("is empty")]
    Empty,
    #[error("has fewer than {}", items(*.0))]
    TooFew(usize),
    #[error("has more than {}", items(*.0))]
    TooMany(usize),
    #[error("has {}, not {wanted}", items(*.given))]
    NotSoMany { given: usize, wanted: usize },
    /// Something is wrong with one item of a list, counted from 0.
    #[error("{fact}")]
    Item { at: usize, fact: Box<Fact> },
    /// Something is wrong with one column of a row or one field of an object.
    #[error("{fact}")]
    Column { name: &'static str, fact: Box<Fact> },
    /// The name of an earlier item of the list.
    #[error("is the name of another: `{0}`")]
    SameName(String),
    #[error("names none of the items: `{0}`")]
    NotAnItem(String),
    /// Each waits for another, and none can be first; in no order that matters.
    #[error("wait for each other in a circle: {}", in_ticks(.0))]
    Circle(Vec<String>),
    #[error("does not go together with `{0}`")]
    NotTogether(&'static str),
    #[error("is beyond what can be reckoned")]
    Beyond,
    /// Between what it may be by itself and what the calculation can do with it.
    #[error("is outside {0}")]
    OutsideWhat(&'static str),
    /// A fact between several inputs, in whole words.
    #[error("{0}")]
    Together(&'static str),
    #[error(transparent)]
    Trend(TrendError),
    #[error(transparent)]
    Survey(SurveyError),
    #[error(transparent)]
    Chain(ChainError),
    #[error(transparent)]
    Spread(SpreadError),
}

fn in_ticks(names: &[String]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}

fn items(count: usize) -> String {
    format!("{count} {}", if count == 1 { "item" } else { "items" })
}

impl Fault {
    pub fn new(input: impl Into<String>, fact: Fact) -> Fault {
        Fault { input: input.into(), fact }
    }

    /// For `ok_or_else`: the inputs together give a number that cannot be held.
    pub fn beyond(input: &'static str) -> Fault {
        Fault::new(input, Fact::Beyond)
    }
}

impl From<InputError> for Fault {
    fn from(error: InputError) -> Fault {
        let input = error.input();
        let fact = match error {
            InputError::Zero { .. } => Fact::NotOver("0".to_owned()),
            InputError::Negative { .. } => Fact::OutsideWhat("what is not negative"),
            InputError::NotFinite { .. } => Fact::TooLarge,
            InputError::Outside { range, .. } => Fact::OutsideWhat(range),
            InputError::TooLarge { .. } => Fact::Beyond,
            InputError::Empty { .. } => Fact::Empty,
            InputError::Count { given, wanted, .. } => Fact::NotSoMany { given, wanted },
            InputError::Conflict { fact, .. } => Fact::Together(fact),
        };
        Fault::new(input, fact)
    }
}

impl Fact {
    /// The fact as a sentence about `name` (a field's name or its flag).
    pub fn of(&self, name: &str) -> String {
        match self {
            Fact::NotJson(_) | Fact::NotAnObject(_) | Fact::LineTooLong(_) => format!("the line {self}"),
            Fact::UnknownCalculation(_)
            | Fact::Stray(_)
            | Fact::TooMuch(_)
            | Fact::Together(_)
            | Fact::Trend(_)
            | Fact::Survey(_)
            | Fact::Chain(_)
            | Fact::Spread(_) => self.to_string(),
            Fact::Item { at, fact } => fact.of_part(&format!("item {at} of `{name}`")),
            Fact::Column { name: column, fact } => fact.of_part(&format!("`{column}` of `{name}`")),
            _ => format!("`{name}` {self}"),
        }
    }

    fn of_part(&self, whole: &str) -> String {
        match self {
            Fact::Item { at, fact } => fact.of_part(&format!("item {at} of {whole}")),
            Fact::Column { name, fact } => fact.of_part(&format!("`{name}` of {whole}")),
            _ => format!("{whole} {self}"),
        }
    }

    /// The fact itself, without where in a list or an object it was met.
    pub fn innermost(&self) -> &Fact {
        match self {
            Fact::Item { fact, .. } | Fact::Column { fact, .. } => fact.innermost(),
            fact => fact,
        }
    }
}
