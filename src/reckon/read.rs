//! From the fields of a line to inputs, as the table says; the first thing that is wrong is told, with the field's name.
//!
//! Numbers are taken from the line's own text, so that 0.1 is a tenth and a number with forty digits is not cut to fit.

use std::borrow::Cow;

use chrono::{DateTime, Datelike, NaiveDate, NaiveDateTime, Utc};
use serde::de::{Deserializer, SeqAccess, Visitor};
use serde_json::value::RawValue;

use super::calculation::Calculation;
use super::fault::{Fact, Fault};
use super::input::{Bound, Bounds, Input, Kind, Need};
use super::inputs::{Inputs, Number, Value};
use crate::quantity::{
    Activity, Area, Currency, Exact, Flow, Length, Measure, Money, Pressure, QuantityError, QuantityKind, Share, Span,
    Temperature, Volume,
};

/// A name and its value, as they stand on the line.
pub type Field<'a> = (Cow<'a, str>, &'a RawValue);

/// Reads the inputs of a calculation from the fields of a line, `id` and `reckon` taken out.
pub fn read(calculation: &'static Calculation, fields: &[Field]) -> Result<Inputs, Fault> {
    for (at, (name, _)) in fields.iter().enumerate() {
        if !calculation.inputs.iter().any(|input| input.name == name) {
            let takes = calculation.inputs.iter().map(|input| input.name).collect();
            return Err(Fault::new(name.clone(), Fact::UnknownInput { of: calculation.name, takes }));
        }
        if fields[..at].iter().any(|(earlier, _)| earlier == name) {
            return Err(Fault::new(name.clone(), Fact::Twice));
        }
    }
    let find = |name: &str| fields.iter().find(|(given, _)| given == name).map(|(_, raw)| raw.get());
    inputs(calculation.inputs, find).map_err(|(input, fact)| Fault::new(input, fact))
}

/// Reads each of `wanted` from its JSON text.
fn inputs<'a>(
    wanted: &'static [Input],
    find: impl Fn(&str) -> Option<&'a str>,
) -> Result<Inputs, (&'static str, Fact)> {
    let mut read = Vec::with_capacity(wanted.len());
    for input in wanted {
        let value = match (find(input.name), input.need) {
            (Some(json), _) => value(&input.kind, json),
            (None, Need::Default(typed)) => value(&input.kind, &input.kind.json_of_all(&[typed])),
            (None, Need::Optional) => continue,
            (None, Need::Required) => Err(Fact::Missing { wanted: input.kind.described() }),
        };
        read.push((input.name, value.map_err(|fact| (input.name, fact))?));
    }
    Ok(Inputs(read))
}

/// Reads one value; `json` is one JSON value without space around it.
fn value(kind: &'static Kind, json: &str) -> Result<Value, Fact> {
    let got = what(json);
    if let Kind::OrGap(kind) = kind {
        return if json == "null" { Ok(Value::Gap) } else { value(kind, json) };
    }
    if json == "null" {
        return Err(Fact::Null { wanted: kind.wanted() });
    }
    let other = || Fact::OtherKind { got, wanted: kind.wanted() };
    let text = || {
        let text = || serde_json::from_str::<String>(json).map_err(|_| Fact::NotJson("half a character".into()));
        if got == "text" { text() } else { Err(other()) }
    };
    let number = || if got == "a number" { number(json) } else { Err(other()) };
    match kind {
        Kind::Text => text().map(Value::Text),
        Kind::Word(words) => word(words, text()?),
        Kind::Quantity(kind, bounds) => quantity(*kind, false, bounds, &text()?).map(Value::Quantity),
        Kind::Signed(bounds) => quantity(QuantityKind::Length, true, bounds, &text()?).map(Value::Quantity),
        Kind::Money => {
            let typed = text()?;
            let not_money = |error| Fact::NotMoney { typed: typed.clone(), wanted: Currency::USD, error };
            Money::parse_any(&typed, Currency::USD).map(Value::Money).map_err(not_money)
        }
        Kind::Number(bounds, unit) => {
            let number = number()?;
            let bound = |text: &str| Exact::from_decimal_str(text);
            within(number.exact, bounds, unit, bound)?;
            Ok(Value::Number(number))
        }
        Kind::Whole { least, most } => whole(number()?, *least, *most),
        Kind::Truth if got == "true or false" => Ok(Value::Truth(json == "true")),
        Kind::Truth => Err(other()),
        Kind::Date => {
            let typed = text()?;
            date(&typed).map(Value::Date).ok_or(Fact::NotADate { typed })
        }
        Kind::OneOrList { of, most } if got == "a list" => list(of, 1, *most, json),
        Kind::OneOrList { of, .. } => value(of, json),
        Kind::WallTime => {
            let typed = text()?;
            within_years(wall_time(&typed).ok_or(Fact::NotAWallTime { typed })?, WALL_YEARS).map(Value::WallTime)
        }
        Kind::Instant => {
            let typed = text()?;
            let instant = DateTime::parse_from_rfc3339(typed.trim()).map_err(|_| Fact::NotAnInstant { typed })?;
            let wall = within_years(instant.naive_utc(), INSTANT_YEARS)?;
            Ok(Value::Instant(DateTime::from_naive_utc_and_offset(wall, Utc)))
        }
        Kind::Zone => {
            let typed = text()?;
            typed.trim().parse().map(Value::Zone).map_err(|_| Fact::NotAZone { typed })
        }
        Kind::List { of, least, most } if got == "a list" => list(of, *least, *most, json),
        Kind::Row(columns) if got == "a list" => row(columns, json),
        Kind::Record(columns) if got == "an object" => record(columns, json),
        Kind::List { .. } | Kind::Row(_) | Kind::Record(_) | Kind::OrGap(_) => Err(other()),
    }
}

/// What a JSON value is, by its first character.
pub(super) fn what(json: &str) -> &'static str {
    match json.bytes().next() {
        Some(b'"') => "text",
        Some(b'{') => "an object",
        Some(b'[') => "a list",
        Some(b't' | b'f') => "true or false",
        Some(b'n') => "null",
        _ => "a number",
    }
}

fn word(words: &'static [&'static str], typed: String) -> Result<Value, Fact> {
    let known = words.iter().find(|word| **word == typed.trim());
    known.map(|word| Value::Word(word)).ok_or(Fact::NotAWord { typed, words })
}

fn number(json: &str) -> Result<Number, Fact> {
    let near: f64 = json.parse().map_err(|_| Fact::TooLarge)?;
    let exact = Exact::from_decimal_str(json).or_else(|| Exact::nearest(near)).ok_or(Fact::TooLarge)?;
    Ok(Number { exact: if exact.is_zero() { beside_zero(near) } else { exact }, near })
}

/// For a number that is too small to be held exactly: it keeps its side of zero.
fn beside_zero(near: f64) -> Exact {
    const LEAST: i128 = 10_i128.pow(37);
    match near {
        near if near > 0.0 => Exact::new(1, LEAST),
        near if near < 0.0 => Exact::new(-1, LEAST),
        _ => Exact::ZERO,
    }
}

fn whole(number: Number, least: i64, most: i64) -> Result<Value, Fact> {
    if number.exact.denominator() != 1 {
        return Err(Fact::NotWhole);
    }
    let outside = || Fact::Outside { least: least.to_string(), most: most.to_string() };
    let whole = i64::try_from(number.exact.numerator()).map_err(|_| outside())?;
    if (least..=most).contains(&whole) { Ok(Value::Whole(whole)) } else { Err(outside()) }
}

/// In the stored unit; a signed one is bounded by its size.
fn quantity(kind: QuantityKind, signed: bool, bounds: &Bounds, typed: &str) -> Result<Exact, Fact> {
    let not_one = |error| Fact::NotAQuantity { typed: typed.to_owned(), kind, error };
    let exact = stored(kind, signed, typed).map_err(not_one)?;
    let bound = |text: &str| stored(kind, true, text).ok();
    within(if signed { exact.abs() } else { exact }, bounds, "", bound)?;
    Ok(exact)
}

fn stored(kind: QuantityKind, signed: bool, typed: &str) -> Result<Exact, QuantityError> {
    fn of<Q: Measure>(typed: &str) -> Result<Exact, QuantityError> {
        Q::parse(typed).map(Q::exact)
    }
    match kind {
        QuantityKind::Length if signed => Length::parse_signed(typed).map(Length::exact),
        QuantityKind::Length => of::<Length>(typed),
        QuantityKind::Area => of::<Area>(typed),
        QuantityKind::Volume => of::<Volume>(typed),
        QuantityKind::Span => of::<Span>(typed),
        QuantityKind::Flow => of::<Flow>(typed),
        QuantityKind::Activity => of::<Activity>(typed),
        QuantityKind::Temperature => of::<Temperature>(typed),
        QuantityKind::Pressure => of::<Pressure>(typed),
        QuantityKind::Share => of::<Share>(typed),
    }
}

fn within(exact: Exact, bounds: &Bounds, unit: &str, read: impl Fn(&str) -> Option<Exact>) -> Result<(), Fact> {
    let told = |bound: &str| if unit.is_empty() { bound.to_owned() } else { format!("{bound} {unit}") };
    let (least, included) = match bounds.least {
        Bound::From(least) => (least, true),
        Bound::Over(least) => (least, false),
    };
    let above = read(least).is_some_and(|end| exact > end || (included && exact == end));
    let below = read(bounds.most).is_some_and(|end| exact <= end);
    match (above, below) {
        (true, true) => Ok(()),
        (false, true) if !included => Err(Fact::NotOver(told(least))),
        _ => Err(Fact::Outside { least: least.to_owned(), most: told(bounds.most) }),
    }
}

/// Year of four digits, month, day; nothing else.
fn date(typed: &str) -> Option<NaiveDate> {
    let typed = typed.trim();
    let plain = typed.len() == 10 && typed.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    plain.then(|| NaiveDate::parse_from_str(typed, "%Y-%m-%d").ok()).flatten()
}

/// Years that a wall time may lie in; zones are known for them.
const WALL_YEARS: (i32, i32) = (1900, 2100);
/// The same for instants, up to the first moment of the last.
const INSTANT_YEARS: (i32, i32) = (1970, 2100);

/// Date and time with or without seconds, and without an offset.
fn wall_time(typed: &str) -> Option<NaiveDateTime> {
    let typed = typed.trim();
    let formats = ["%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"];
    let plain = typed.bytes().all(|byte| byte.is_ascii_digit() || b"-:T ".contains(&byte)) && typed.len() >= 16;
    plain.then(|| formats.iter().find_map(|format| NaiveDateTime::parse_from_str(typed, format).ok())).flatten()
}

fn within_years(wall: NaiveDateTime, (first, last): (i32, i32)) -> Result<NaiveDateTime, Fact> {
    let end = NaiveDate::from_ymd_opt(last, 1, 1).unwrap_or(NaiveDate::MAX).into();
    let outside = || Fact::OutsideYears { first, last };
    if wall.year() >= first && wall <= end { Ok(wall) } else { Err(outside()) }
}

fn list(of: &'static Kind, least: usize, most: usize, json: &str) -> Result<Value, Fact> {
    let items = items(json, most)?;
    if items.is_empty() && least > 0 {
        return Err(Fact::Empty);
    }
    if items.len() < least {
        return Err(Fact::TooFew(least));
    }
    let item =
        |(at, raw): (usize, &&RawValue)| value(of, raw.get()).map_err(|fact| Fact::Item { at, fact: Box::new(fact) });
    items.iter().enumerate().map(item).collect::<Result<_, _>>().map(Value::List)
}

fn row(columns: &'static [Input], json: &str) -> Result<Value, Fact> {
    // A few more than wanted are counted, so that the refusal can say how many there are.
    let items = items(json, columns.len() + 100).map_err(|_| Fact::TooMany(columns.len()))?;
    if items.len() != columns.len() {
        return Err(Fact::NotSoMany { given: items.len(), wanted: columns.len() });
    }
    let find =
        |name: &str| columns.iter().position(|c| c.name == name).and_then(|at| items.get(at)).map(|raw| raw.get());
    inputs(columns, find).map(Value::Fields).map_err(in_column)
}

fn record(columns: &'static [Input], json: &str) -> Result<Value, Fact> {
    let fields = fields(json).map_err(|error| Fact::NotJson(error.to_string()))?;
    for (at, (name, _)) in fields.iter().enumerate() {
        let Some(column) = columns.iter().find(|column| column.name == name) else {
            let wanted = Kind::Record(columns).wanted();
            return Err(Fact::OtherKind { got: "an object with other fields", wanted });
        };
        if fields[..at].iter().any(|(earlier, _)| earlier == name) {
            return Err(in_column((column.name, Fact::Twice)));
        }
    }
    let find = |name: &str| fields.iter().find(|(given, _)| given == name).map(|(_, raw)| raw.get());
    inputs(columns, find).map(Value::Fields).map_err(in_column)
}

fn in_column((name, fact): (&'static str, Fact)) -> Fact {
    Fact::Column { name, fact: Box::new(fact) }
}

/// The items of a JSON list, at most `most`; the rest is passed over without being kept.
fn items(json: &str, most: usize) -> Result<Vec<&RawValue>, Fact> {
    struct Items(usize);
    impl<'de> Visitor<'de> for Items {
        type Value = (Vec<&'de RawValue>, bool);

        fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            f.write_str("a list")
        }

        fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Self::Value, A::Error> {
            let mut items = Vec::new();
            while let Some(item) = list.next_element()? {
                if items.len() == self.0 {
                    while list.next_element::<serde::de::IgnoredAny>()?.is_some() {}
                    return Ok((items, true));
                }
                items.push(item);
            }
            Ok((items, false))
        }
    }
    let mut json = serde_json::Deserializer::from_str(json);
    let (items, more) = json.deserialize_seq(Items(most)).map_err(|error| Fact::NotJson(error.to_string()))?;
    if more { Err(Fact::TooMany(most)) } else { Ok(items) }
}

/// The fields of a JSON object in their order, doubled names kept.
pub(super) fn fields(json: &str) -> Result<Vec<Field<'_>>, serde_json::Error> {
    struct Fields;
    impl<'de> Visitor<'de> for Fields {
        type Value = Vec<Field<'de>>;

        fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
            f.write_str("an object")
        }

        fn visit_map<A: serde::de::MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
            let mut fields = Vec::new();
            while let Some(name) = map.next_key::<Name<'de>>()? {
                fields.push((name.0, map.next_value()?));
            }
            Ok(fields)
        }
    }
    serde_json::Deserializer::from_str(json).deserialize_map(Fields)
}

/// A name, borrowed from the line where it holds no escapes.
#[derive(serde::Deserialize)]
struct Name<'a>(#[serde(borrow)] Cow<'a, str>);

#[cfg(test)]
pub(super) mod tests {
    use super::super::input::{Bounds, Input, Kind};
    use super::{Fact, value};
    use crate::quantity::QuantityKind;

    /// Whether what was typed reads as the kind.
    pub fn reads(kind: &'static Kind, typed: &str) -> bool {
        value(kind, &kind.json_of_all(&[typed])).is_ok()
    }

    const PERCENT: Kind = Kind::Number(Bounds::from_to("0", "100"), "%");
    const WIDTH: Kind = Kind::Quantity(QuantityKind::Length, Bounds::over_to("0 mm", "1 m"));
    const HEIGHT: Kind = Kind::Signed(Bounds::from_to("0 m", "1 m"));
    const PAIR: Kind = Kind::Row(&[Input::new("a", PERCENT, ""), Input::new("b", WIDTH, "")]);

    #[test]
    fn a_number_may_be_typed_with_the_unit_that_it_stands_for() {
        for (typed, json) in
            [("50 %", "50"), ("12%", "12"), ("50", "50"), (".5 %", "0.5"), ("% 5", "\"% 5\""), ("5 F", "\"5 F\"")]
        {
            assert_eq!(PERCENT.json_of(typed), json, "{typed}");
        }
    }

    #[test]
    fn limits_are_met_by_what_was_written() {
        for (kind, json, reads) in [
            (&PERCENT, "100", true),
            (&PERCENT, "1e2", true),
            (&PERCENT, "100.00000000000000000000000001", false),
            (&PERCENT, "-0", true),
            (&PERCENT, "-1e-400", true),
            (&PERCENT, "1e-60", true),
            (&PERCENT, "-1e-60", false),
            (&PERCENT, "-0.00000000000000000000000001", false),
            (&WIDTH, "\"1 m\"", true),
            (&WIDTH, "\"1000.0000000000000000001 mm\"", false),
            (&WIDTH, "\"0 mm\"", false),
            (&HEIGHT, "\"-1 m\"", true),
            (&HEIGHT, "\"-1.01 m\"", false),
        ] {
            assert_eq!(value(kind, json).is_ok(), reads, "{json}");
        }
    }

    #[test]
    fn what_is_wrong_inside_a_list_says_where() {
        let text = |kind, json| value(kind, json).unwrap_err().of("pairs");
        const PAIRS: Kind = Kind::List { of: &PAIR, least: 1, most: 2 };
        assert_eq!(text(&PAIRS, "[]"), "`pairs` is empty");
        assert_eq!(text(&PAIRS, "[[1,\"1 mm\"],[1]]"), "item 1 of `pairs` has 1 item, not 2");
        assert_eq!(text(&PAIRS, "[[1,\"1 mm\"],[1,2,3,4]]"), "item 1 of `pairs` has 4 items, not 2");
        assert_eq!(text(&PAIRS, "[[101,\"1 mm\"]]"), "`a` of item 0 of `pairs` is outside 0 to 100 %");
        assert_eq!(text(&PAIRS, "[[1,\"0 mm\"]]"), "`b` of item 0 of `pairs` is not over 0 mm");
        assert_eq!(text(&PAIRS, "[1,2,3]"), "`pairs` has more than 2 items");
        assert_eq!(text(&PAIRS, "[null]"), "item 0 of `pairs` is null");
        assert_eq!(value(&PAIRS, "{}"), Err(Fact::OtherKind { got: "an object", wanted: "a list".to_owned() }));
    }
}
