//! What a calculation takes: names, kinds, bounds, defaults.

use serde_json::value::Value;

use crate::quantity::QuantityKind;

/// One input of a calculation, or one column of a row.
#[derive(Debug)]
pub struct Input {
    /// As on a line, `fall_time`; the flag is `--fall-time`.
    pub name: &'static str,
    pub kind: Kind,
    pub need: Need,
    /// What it is, a phrase.
    pub says: &'static str,
}

/// Whether an input has to be given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    Required,
    Optional,
    /// Taken where nothing is given, as it would be typed.
    Default(&'static str),
}

/// What an input may be.
#[derive(Debug)]
pub enum Kind {
    Text,
    Word(&'static [&'static str]),
    /// A number and its unit, never negative but for temperatures.
    Quantity(QuantityKind, Bounds),
    /// A length with its sign; the bounds are those of its size.
    Signed(Bounds),
    /// `200000 USD`, `$12.50`.
    Money,
    /// A bare number, and the unit it stands for (none for a rate or a count).
    Number(Bounds, &'static str),
    /// A bare whole number, both ends included.
    Whole {
        least: i64,
        most: i64,
    },
    Truth,
    /// A civil date, `2026-03-01`.
    Date,
    /// What the clock of a place shows, `2026-03-01T09:00:00`.
    WallTime,
    /// A moment with its offset from UTC, `2026-03-01T09:00:00-06:00`.
    Instant,
    /// A time zone by its IANA name.
    Zone,
    List {
        of: &'static Kind,
        least: usize,
        most: usize,
    },
    /// A list of fixed columns.
    Row(&'static [Input]),
    /// An object.
    Record(&'static [Input]),
    /// `null` for a gap, else the kind.
    OrGap(&'static Kind),
    /// One by itself, or a list of at least one.
    OneOrList {
        of: &'static Kind,
        most: usize,
    },
}

/// The ends between which a value makes sense, written as they would be typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    pub least: Bound,
    /// Itself allowed; what is beyond is absurd.
    pub most: &'static str,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// This and more.
    From(&'static str),
    /// More than this.
    Over(&'static str),
}

impl Bounds {
    pub const fn from_to(least: &'static str, most: &'static str) -> Bounds {
        Bounds { least: Bound::From(least), most }
    }

    pub const fn over_to(least: &'static str, most: &'static str) -> Bounds {
        Bounds { least: Bound::Over(least), most }
    }
}

impl Input {
    /// One that has to be given.
    pub const fn new(name: &'static str, kind: Kind, says: &'static str) -> Input {
        Input { name, kind, need: Need::Required, says }
    }

    /// One that may be left out.
    pub const fn optional(name: &'static str, kind: Kind, says: &'static str) -> Input {
        Input { name, kind, need: Need::Optional, says }
    }

    /// One that is `default` (as it would be typed) where it is left out.
    pub const fn or(name: &'static str, kind: Kind, default: &'static str, says: &'static str) -> Input {
        Input { name, kind, need: Need::Default(default), says }
    }

    /// `--fall-time`.
    pub fn flag(&self) -> String {
        flag(self.name)
    }
}

/// The flag of an input's name: `fall_time` is `--fall-time`.
pub fn flag(name: &str) -> String {
    format!("--{}", name.replace('_', "-"))
}

impl Kind {
    /// What is wanted, with its article.
    pub fn wanted(&self) -> String {
        match self {
            Kind::Text => "text".to_owned(),
            Kind::Word(_) => "one of its words".to_owned(),
            Kind::Quantity(QuantityKind::Area, _) => "an area with its unit".to_owned(),
            Kind::Quantity(QuantityKind::Activity, _) => "an activity with its unit".to_owned(),
            Kind::Quantity(kind, _) => format!("a {} with its unit", kind.word()),
            Kind::Signed(_) => "a length with its unit".to_owned(),
            Kind::Money => "an amount of money".to_owned(),
            Kind::Number(..) => "a bare number".to_owned(),
            Kind::Whole { .. } => "a bare whole number".to_owned(),
            Kind::Truth => "true or false".to_owned(),
            Kind::Date => "a date".to_owned(),
            Kind::WallTime => "a date and time without an offset".to_owned(),
            Kind::Instant => "a date and time with its offset".to_owned(),
            Kind::Zone => "a time zone".to_owned(),
            Kind::List { .. } => "a list".to_owned(),
            Kind::Row(columns) => format!("a list of {}", names(columns)),
            Kind::Record(columns) => format!("an object of {}", names(columns)),
            Kind::OrGap(kind) => format!("null or {}", kind.wanted()),
            Kind::OneOrList { of, .. } => format!("{} or a list of them", of.wanted()),
        }
    }

    /// The same for help: with examples, words, ends.
    pub fn described(&self) -> String {
        match self {
            Kind::Text | Kind::Truth => self.wanted(),
            Kind::Word(words) => format!("one of {}", words.join(", ")),
            Kind::Quantity(kind, _) => format!("{}, such as {}", kind.word(), kind.examples()),
            Kind::Signed(_) => "length, may be negative, such as `3/16 in`, `-4.8 mm`".to_owned(),
            Kind::Money => "money, such as `200000 USD`, `$12.50`".to_owned(),
            Kind::Number(bounds, unit) => format!("bare number{}, {}", in_unit(unit), bounds.described()),
            Kind::Whole { least, most } => format!("bare whole number, {least} to {most}"),
            Kind::Date => "date, such as `2026-03-01`".to_owned(),
            Kind::WallTime => "date and time of the place, such as `2026-03-01T09:00:00`".to_owned(),
            Kind::Instant => "date and time with its offset, such as `2026-03-01T00:00:00-06:00`".to_owned(),
            Kind::Zone => "time zone, such as `America/Chicago`".to_owned(),
            Kind::List { of, .. } => format!("list of: {}", of.described()),
            Kind::Row(columns) | Kind::Record(columns) => {
                let parts = columns.iter().map(|column| {
                    // Examples of each column would bury what the columns are.
                    let is = match column.kind {
                        Kind::Quantity(..) | Kind::Signed(_) => column.kind.wanted(),
                        _ => column.kind.described(),
                    };
                    match column.says {
                        "" => format!("{} ({is})", column.name),
                        says => format!("{} ({says}: {is})", column.name),
                    }
                });
                let parts = parts.collect::<Vec<_>>().join(", ");
                if matches!(self, Kind::Row(_)) { format!("[{parts}]") } else { format!("{{{parts}}}") }
            }
            Kind::OrGap(kind) => format!("null for a gap, or {}", kind.described()),
            Kind::OneOrList { of, .. } => format!("{}, or a list of them", of.described()),
        }
    }

    /// The JSON that stands on a line for what was typed behind a flag. What does not read as this kind stays text, and
    /// is refused as such where it is read.
    pub fn json_of(&self, typed: &str) -> String {
        let text = || Value::from(typed).to_string();
        let is_json = || serde_json::from_str::<serde::de::IgnoredAny>(typed).is_ok();
        let trimmed = typed.trim();
        match self {
            Kind::Text | Kind::Word(_) | Kind::Quantity(..) | Kind::Signed(_) | Kind::Money | Kind::Date => text(),
            Kind::WallTime | Kind::Instant | Kind::Zone => text(),
            // `50 %` is what is meant by 50 where percent are asked for.
            Kind::Number(_, unit) if !unit.is_empty() && trimmed.ends_with(unit) => {
                trimmed.strip_suffix(unit).and_then(|number| plain_number(number.trim_end())).unwrap_or_else(text)
            }
            Kind::Number(..) | Kind::Whole { .. } => plain_number(trimmed).unwrap_or_else(text),
            Kind::Truth if matches!(trimmed, "true" | "yes") => "true".to_owned(),
            Kind::Truth if matches!(trimmed, "false" | "no") => "false".to_owned(),
            Kind::OrGap(_) if trimmed == "null" => "null".to_owned(),
            Kind::OrGap(kind) => kind.json_of(typed),
            Kind::OneOrList { .. } if typed.trim_start().starts_with('[') && is_json() => typed.to_owned(),
            Kind::OneOrList { of, .. } => of.json_of(typed),
            Kind::List { .. } | Kind::Row(_) | Kind::Record(_) if is_json() => typed.to_owned(),
            Kind::Truth | Kind::List { .. } | Kind::Row(_) | Kind::Record(_) => text(),
        }
    }

    pub fn is_list(&self) -> bool {
        matches!(self, Kind::List { .. })
    }

    /// The JSON of a list for what was typed behind its flag, once or several times: each an item, or all of it as JSON.
    pub fn json_of_all(&self, typed: &[&str]) -> String {
        let Kind::List { of, .. } = self else {
            return typed.first().map_or("null".to_owned(), |one| self.json_of(one));
        };
        if let [one] = typed {
            let compact: String = one.chars().filter(|c| !c.is_whitespace()).take(2).collect();
            let whole = match of {
                Kind::Row(_) | Kind::List { .. } => compact == "[[" || compact == "[]",
                _ => compact.starts_with('['),
            };
            if whole {
                return self.json_of(one);
            }
        }
        let items: Vec<String> = typed.iter().map(|one| of.json_of(one)).collect();
        format!("[{}]", items.join(","))
    }
}

/// A number as JSON has it, where a person wrote `.5`, `5.` or `+5`.
fn plain_number(text: &str) -> Option<String> {
    let (sign, digits) = match text.strip_prefix(['+', '-']) {
        Some(digits) => (if text.starts_with('-') { "-" } else { "" }, digits),
        None => ("", text),
    };
    let starts_well = digits.starts_with(|c: char| c.is_ascii_digit() || c == '.');
    let spelled = if digits.starts_with('.') { format!("{sign}0{digits}") } else { format!("{sign}{digits}") };
    let spelled = spelled.strip_suffix('.').unwrap_or(&spelled).to_owned();
    (starts_well && serde_json::from_str::<serde::de::IgnoredAny>(&spelled).is_ok()).then_some(spelled)
}

impl Bounds {
    /// `0 to 100`, `over 0, to 100`.
    pub fn described(&self) -> String {
        match self.least {
            Bound::From(least) => format!("{least} to {}", self.most),
            Bound::Over(least) => format!("over {least}, to {}", self.most),
        }
    }
}

fn in_unit(unit: &str) -> String {
    if unit.is_empty() { String::new() } else { format!(" in {unit}") }
}

fn names(columns: &[Input]) -> String {
    columns.iter().map(|column| column.name).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::{Bounds, Kind};

    const NUMBER: Kind = Kind::Number(Bounds::from_to("0", "1"), "");

    #[test]
    fn what_is_typed_behind_a_flag_stands_on_the_line_as_its_kind() {
        let numbers = Kind::List { of: &NUMBER, least: 1, most: 9 };
        let pairs = Kind::List { of: &Kind::Row(&[]), least: 1, most: 9 };
        for (kind, typed, json) in [
            (&NUMBER, vec!["50"], "50"),
            (&NUMBER, vec!["-.5"], "-0.5"),
            (&NUMBER, vec!["+5."], "5"),
            (&NUMBER, vec!["1e3"], "1e3"),
            (&NUMBER, vec!["nan"], "\"nan\""),
            (&NUMBER, vec!["true"], "\"true\""),
            (&Kind::Truth, vec!["yes"], "true"),
            (&Kind::Date, vec!["2026-03-01"], "\"2026-03-01\""),
            (&numbers, vec!["1", "2"], "[1,2]"),
            (&numbers, vec!["[1, 2]"], "[1, 2]"),
            (&numbers, vec!["[1, 2"], "\"[1, 2\""),
            (&pairs, vec!["[1,2]"], "[[1,2]]"),
            (&pairs, vec!["[ [1,2] ]"], "[ [1,2] ]"),
        ] {
            assert_eq!(kind.json_of_all(&typed), json, "{typed:?}");
        }
    }
}
