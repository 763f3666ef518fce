//! What was typed, read as what it should be; problems are collected, not thrown.

use chrono::NaiveDate;

use super::{Circumstances, Error};
use crate::ledger::problem::Problem;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::{Currency, Exact, Length, Measure, Money, Typed};

/// The problems of one input so far.
#[derive(Default)]
pub struct Reading {
    pub problems: Vec<Problem>,
}

impl Reading {
    /// Ends the reading: the value, if nothing was wrong with any part of the input.
    pub fn done<T>(self, value: T) -> Result<T, Error> {
        if self.problems.is_empty() { Ok(value) } else { Err(Error::Typed(told_once(self.problems))) }
    }

    /// The same for a command that takes `--on`: a day that does not read is one more problem.
    pub fn done_on<T>(mut self, value: T, circumstances: &Circumstances) -> Result<T, Error> {
        if !self.problems.is_empty() {
            self.when("--on", circumstances.on.as_deref());
        }
        self.done(value)
    }

    pub fn quantity<Q: Measure>(&mut self, field: &'static str, text: Option<&str>) -> Option<Typed<Q>> {
        let text = text?;
        self.quantity_from(field, text, Typed::parse(text))
    }

    /// A length that may point either way.
    pub fn signed(&mut self, field: &'static str, text: Option<&str>) -> Option<Typed<Length>> {
        let text = text?;
        self.quantity_from(field, text, Typed::parse_signed(text))
    }

    fn quantity_from<Q: Measure>(
        &mut self,
        field: &'static str,
        text: &str,
        read: Result<Typed<Q>, crate::quantity::QuantityError>,
    ) -> Option<Typed<Q>> {
        read.map_err(|error| {
            let (typed, kind) = (text.to_owned(), Q::KIND);
            self.problems.push(Problem::NotAQuantity { field, typed, wanted: wanted(kind), kind, error });
        })
        .ok()
    }

    pub fn money(&mut self, field: &'static str, text: Option<&str>, currency: Currency) -> Option<Money> {
        let text = text?;
        Money::parse(text, currency)
            .map_err(|error| {
                self.problems.push(Problem::NotMoney { field, typed: text.to_owned(), wanted: currency, error })
            })
            .ok()
    }

    /// A decimal number above zero, bare or in one of `units`, each with how many of it make one of the first. What is bare is
    /// kept as it was typed.
    pub fn decimal(
        &mut self,
        field: &'static str,
        text: Option<&str>,
        wanted: &'static str,
        units: &[(&str, i128)],
    ) -> Option<String> {
        let text = text?.trim();
        let in_unit = |(unit, of_one): &(&str, i128)| {
            let number = text.strip_suffix(unit)?.trim_end();
            Exact::from_decimal_str(number)?.checked_div(Exact::integer(*of_one)).map(|n| n.decimal(9))
        };
        let is_number = |text: &str| {
            text.parse::<f64>().is_ok_and(|n| n.is_finite() && n > 0.0)
                && text.bytes().all(|b| b.is_ascii_digit() || b == b'.')
        };
        let number = if is_number(text) { Some(text.to_owned()) } else { units.iter().find_map(in_unit) };
        let number = number.filter(|number| is_number(number));
        if number.is_none() {
            let words: &[&str] = if field == "--viscosity" { &["0.4", "\"400 cP\""] } else { &["75"] };
            self.problems.push(Problem::NotAWord { field, typed: text.to_owned(), wanted, words });
        }
        number
    }

    pub fn word<T>(
        &mut self,
        field: &'static str,
        text: Option<&str>,
        wanted: &'static str,
        words: &'static [&'static str],
        read: fn(&str) -> Option<T>,
    ) -> Option<T> {
        let text = text?;
        let read = read(text.trim());
        if read.is_none() {
            self.problems.push(Problem::NotAWord { field, typed: text.to_owned(), wanted, words });
        }
        read
    }

    pub fn name(&mut self, text: Option<&str>) -> Option<Name> {
        let text = text?;
        // `larkspur-14/main` where `main` is asked for says the same.
        let name = text.rsplit_once('/').map_or(text, |(_, name)| name);
        Name::parse(name).map_err(|error| self.problems.push(error.into())).ok()
    }

    pub fn day(&mut self, field: &'static str, text: Option<&str>) -> Option<NaiveDate> {
        self.when(field, text).map(|when| when.date)
    }

    pub fn when(&mut self, field: &'static str, text: Option<&str>) -> Option<When> {
        let text = text?;
        When::parse(text).map_err(|error| self.problems.push(Problem::NotADate { field, error })).ok()
    }

    pub fn missing(&mut self, field: &'static str) {
        self.problems.push(Problem::Missing { field });
    }
}

/// What was typed and does not read is told, and not told to be missing as well; nor is the whole that it is a part of.
pub(super) fn told_once(mut problems: Vec<Problem>) -> Vec<Problem> {
    let typed: Vec<&'static str> = problems.iter().filter_map(Problem::does_not_read).collect();
    let timed = typed.iter().any(|field| field.starts_with("--fall") || field.starts_with("--rise"));
    let is_typed = |word: &str| typed.contains(&word) || (word == "drawdown" && timed);
    let among = |field: &str| field.split([' ', ',']).any(is_typed);
    problems.retain(|problem| !matches!(problem, Problem::Missing { field } if among(field)));
    problems
}

fn wanted(kind: crate::quantity::QuantityKind) -> &'static str {
    use crate::quantity::QuantityKind as K;
    match kind {
        K::Length => "a length",
        K::Area => "an area",
        K::Volume => "a volume",
        K::Span => "a length of time",
        K::Flow => "a flow",
        K::Activity => "a radon concentration",
        K::Temperature => "a temperature",
        K::Pressure => "a pressure",
        K::Share => "a percentage",
    }
}
