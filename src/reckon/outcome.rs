//! What a calculation gives: named figures in their order, and whose rules they came from.

use std::borrow::Cow;

use chrono::NaiveDate;
use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::Value;

use crate::trade::{Rule, Standing, Variant};

/// One thing found. `Nothing` says that there is no value, which is never zero.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    Nothing,
    Figure(f64),
    Whole(i64),
    Word(Cow<'static, str>),
    Truth(bool),
    Date(NaiveDate),
    List(Vec<Found>),
    Group(Outcome),
}

/// Named figures in the order in which they are told.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outcome {
    fields: Vec<(Cow<'static, str>, Found)>,
    variants: Vec<(&'static Rule, &'static Variant)>,
}

/// The document behind one rule of an answer.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Authority {
    pub rule: &'static str,
    pub source: &'static str,
    pub standing: Standing,
}

impl Outcome {
    pub fn new() -> Outcome {
        Outcome::default()
    }

    /// Adds a figure.
    pub fn with(mut self, name: impl Into<Cow<'static, str>>, found: impl Into<Found>) -> Outcome {
        self.fields.push((name.into(), found.into()));
        self
    }

    /// Notes that a variant of a rule was used in its place; a name the rule does not have is no variant.
    pub fn by(mut self, rule: &'static Rule, variant: &str) -> Outcome {
        let used = rule.variants.iter().find(|known| known.name == variant);
        self.variants.extend(used.map(|used| (rule, used)));
        self
    }

    pub fn fields(&self) -> &[(Cow<'static, str>, Found)] {
        &self.fields
    }

    /// The variant that was used in place of a rule, if one was.
    pub fn variant_of(&self, rule: &Rule) -> Option<&'static Variant> {
        self.variants.iter().find(|(of, _)| of.name == rule.name).map(|(_, variant)| *variant)
    }

    /// Each rule with the document that this outcome came from.
    pub fn authorities(&self, rules: &[&'static Rule]) -> Vec<Authority> {
        let authority = |rule: &&'static Rule| match self.variant_of(rule) {
            Some(variant) => Authority { rule: rule.name, source: variant.source, standing: variant.standing },
            None => Authority { rule: rule.name, source: rule.source, standing: rule.standing },
        };
        rules.iter().map(authority).collect()
    }

    /// Whether every figure in it is a number that can be told.
    pub fn is_finite(&self) -> bool {
        self.fields.iter().all(|(_, found)| found.is_finite())
    }

    /// The object; for tests and documents.
    pub fn json(&self) -> Value {
        serde_json::to_value(self).unwrap_or(Value::Null)
    }
}

impl Found {
    fn is_finite(&self) -> bool {
        match self {
            Found::Figure(figure) => figure.is_finite(),
            Found::List(items) => items.iter().all(Found::is_finite),
            Found::Group(outcome) => outcome.is_finite(),
            _ => true,
        }
    }
}

impl Serialize for Outcome {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_map(Some(self.fields.len()))?;
        for (name, found) in &self.fields {
            object.serialize_entry(name, found)?;
        }
        object.end()
    }
}

impl Serialize for Found {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Found::Nothing => serializer.serialize_none(),
            Found::Figure(figure) => serializer.serialize_f64(*figure),
            Found::Whole(whole) => serializer.serialize_i64(*whole),
            Found::Word(word) => serializer.serialize_str(word),
            Found::Truth(truth) => serializer.serialize_bool(*truth),
            Found::Date(date) => date.serialize(serializer),
            Found::List(items) => items.serialize(serializer),
            Found::Group(outcome) => outcome.serialize(serializer),
        }
    }
}

impl From<f64> for Found {
    /// A zero has no sign.
    fn from(figure: f64) -> Found {
        Found::Figure(figure + 0.0)
    }
}

impl From<i64> for Found {
    fn from(whole: i64) -> Found {
        Found::Whole(whole)
    }
}

impl From<bool> for Found {
    fn from(truth: bool) -> Found {
        Found::Truth(truth)
    }
}

impl From<&'static str> for Found {
    fn from(word: &'static str) -> Found {
        Found::Word(word.into())
    }
}

impl From<String> for Found {
    fn from(word: String) -> Found {
        Found::Word(word.into())
    }
}

impl From<NaiveDate> for Found {
    fn from(date: NaiveDate) -> Found {
        Found::Date(date)
    }
}

impl From<Outcome> for Found {
    fn from(outcome: Outcome) -> Found {
        Found::Group(outcome)
    }
}

impl<T: Into<Found>> From<Option<T>> for Found {
    fn from(found: Option<T>) -> Found {
        found.map_or(Found::Nothing, Into::into)
    }
}

impl<T: Into<Found>> From<Vec<T>> for Found {
    fn from(items: Vec<T>) -> Found {
        Found::List(items.into_iter().map(Into::into).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::Outcome;
    use crate::trade::site;

    #[test]
    fn figures_keep_their_order_and_nothing_is_null() {
        let outcome = Outcome::new().with("z", -0.0).with("a", None::<f64>).with("m", vec!["x"]);
        assert_eq!(serde_json::to_string(&outcome).unwrap(), r#"{"z":0.0,"a":null,"m":["x"]}"#);
        assert!(outcome.is_finite());
        assert!(!Outcome::new().with("list", vec![Outcome::new().with("x", f64::NAN)]).is_finite());
    }

    #[test]
    fn a_variant_brings_its_own_source() {
        let plain = Outcome::new().authorities(&[&site::VENT]);
        let washington = Outcome::new().by(&site::VENT, "washington").authorities(&[&site::VENT]);
        assert!(plain[0].source.starts_with("IRC R408.1"));
        assert_eq!((washington[0].rule, washington[0].source), ("vent-area", "WAC 51-51-0408"));
    }
}
