//! Inputs that have been read: each by its name, as the type its kind says.
//!
//! A name or a type that the table does not have gives [`Fact::Missing`], so that a slip in a row is a refusal and never a
//! panic; the test that runs every example finds it.

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use chrono_tz::Tz;

use super::fault::{Fact, Fault};
use crate::quantity::{Exact, Measure, Money};

/// A bare number: exactly as written where that fits, and the nearest double.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    pub exact: Exact,
    pub near: f64,
}

/// One value that was read.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Value {
    Text(String),
    Word(&'static str),
    /// In the stored unit of its kind.
    Quantity(Exact),
    Money(Money),
    Number(Number),
    Whole(i64),
    Truth(bool),
    Date(NaiveDate),
    WallTime(NaiveDateTime),
    Instant(DateTime<Utc>),
    Zone(Tz),
    List(Vec<Value>),
    Fields(Inputs),
    Gap,
}

/// Values by name, in the order of the table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Inputs(pub(super) Vec<(&'static str, Value)>);

impl Inputs {
    fn find(&self, name: &str) -> Option<&Value> {
        self.0.iter().find(|(known, _)| *known == name).map(|(_, value)| value)
    }

    fn wanted<'a, T>(&'a self, name: &'static str, take: impl Fn(&'a Value) -> Option<T>) -> Result<T, Fault> {
        let missing = || Fault::new(name, Fact::Missing { wanted: "a value".to_owned() });
        self.find(name).and_then(take).ok_or_else(missing)
    }

    /// Whether a value was given or stands by default.
    pub fn has(&self, name: &str) -> bool {
        self.find(name).is_some()
    }

    pub fn quantity<Q: Measure>(&self, name: &'static str) -> Result<Q, Fault> {
        self.wanted(name, Value::quantity)
    }

    /// An optional one.
    pub fn quantity_if_given<Q: Measure>(&self, name: &'static str) -> Option<Q> {
        self.find(name).and_then(Value::quantity)
    }

    pub fn quantities<Q: Measure>(&self, name: &'static str) -> Result<Vec<Q>, Fault> {
        self.wanted(name, |value| value.list()?.iter().map(Value::quantity).collect())
    }

    pub fn number(&self, name: &'static str) -> Result<Number, Fault> {
        self.wanted(name, Value::number)
    }

    pub fn number_if_given(&self, name: &'static str) -> Option<Number> {
        self.find(name).and_then(Value::number)
    }

    pub fn numbers(&self, name: &'static str) -> Result<Vec<Number>, Fault> {
        self.wanted(name, |value| value.list()?.iter().map(Value::number).collect())
    }

    pub fn lists_of_numbers(&self, name: &'static str) -> Result<Vec<Vec<Number>>, Fault> {
        let row = |value: &Value| value.list()?.iter().map(Value::number).collect();
        self.wanted(name, |value| value.list()?.iter().map(row).collect())
    }

    /// A list of numbers in which `None` is a gap.
    pub fn numbers_with_gaps(&self, name: &'static str) -> Result<Vec<Option<Number>>, Fault> {
        let item = |value: &Value| match value {
            Value::Gap => Some(None),
            value => value.number().map(Some),
        };
        self.wanted(name, |value| value.list()?.iter().map(item).collect())
    }

    pub fn whole(&self, name: &'static str) -> Result<i64, Fault> {
        self.wanted(name, Value::whole)
    }

    pub fn wholes(&self, name: &'static str) -> Result<Vec<i64>, Fault> {
        self.wanted(name, |value| value.list()?.iter().map(Value::whole).collect())
    }

    /// Lists of whole numbers; none if it was left out.
    pub fn lists_of_wholes(&self, name: &'static str) -> Result<Vec<Vec<i64>>, Fault> {
        if !self.has(name) {
            return Ok(Vec::new());
        }
        let row = |value: &Value| value.list()?.iter().map(Value::whole).collect();
        self.wanted(name, |value| value.list()?.iter().map(row).collect())
    }

    pub fn truth(&self, name: &'static str) -> Result<bool, Fault> {
        self.wanted(name, |value| if let Value::Truth(truth) = value { Some(*truth) } else { None })
    }

    pub fn text(&self, name: &'static str) -> Result<&str, Fault> {
        self.wanted(name, |value| match value {
            Value::Text(text) => Some(text.as_str()),
            Value::Word(word) => Some(*word),
            _ => None,
        })
    }

    pub fn texts(&self, name: &'static str) -> Result<Vec<String>, Fault> {
        let item = |value: &Value| if let Value::Text(text) = value { Some(text.clone()) } else { None };
        self.wanted(name, |value| value.list()?.iter().map(item).collect())
    }

    /// A word as the value it stands for: `of.word("demand", Demand::from_word)`.
    pub fn word<T>(&self, name: &'static str, means: impl Fn(&str) -> Option<T>) -> Result<T, Fault> {
        self.wanted(name, |value| if let Value::Word(word) = value { means(word) } else { None })
    }

    pub fn date(&self, name: &'static str) -> Result<NaiveDate, Fault> {
        self.wanted(name, |value| if let Value::Date(date) = value { Some(*date) } else { None })
    }

    pub fn instant(&self, name: &'static str) -> Result<DateTime<Utc>, Fault> {
        self.wanted(name, |value| if let Value::Instant(instant) = value { Some(*instant) } else { None })
    }

    pub fn zone(&self, name: &'static str) -> Result<Tz, Fault> {
        self.wanted(name, |value| if let Value::Zone(zone) = value { Some(*zone) } else { None })
    }

    /// An optional one.
    pub fn wall_time_if_given(&self, name: &'static str) -> Option<NaiveDateTime> {
        self.find(name).and_then(|value| if let Value::WallTime(wall) = value { Some(*wall) } else { None })
    }

    pub fn money(&self, name: &'static str) -> Result<Money, Fault> {
        self.wanted(name, |value| if let Value::Money(money) = value { Some(*money) } else { None })
    }

    /// The rows or objects of a list, each read by the same accessors.
    pub fn rows(&self, name: &'static str) -> Result<Vec<&Inputs>, Fault> {
        self.wanted(name, |value| value.list()?.iter().map(Value::fields).collect())
    }
}

impl Value {
    fn quantity<Q: Measure>(&self) -> Option<Q> {
        if let Value::Quantity(exact) = self { Q::from_exact(*exact) } else { None }
    }

    fn number(&self) -> Option<Number> {
        if let Value::Number(number) = self { Some(*number) } else { None }
    }

    fn whole(&self) -> Option<i64> {
        if let Value::Whole(whole) = self { Some(*whole) } else { None }
    }

    fn fields(&self) -> Option<&Inputs> {
        if let Value::Fields(fields) = self { Some(fields) } else { None }
    }

    fn list(&self) -> Option<&[Value]> {
        if let Value::List(items) = self { Some(items) } else { None }
    }
}
