//! A quantity together with the text it was read from, as entries keep it.
//!
//! Stored as an object of two strings, what was typed and the value in the kind's stored unit with at most 12 decimals:
//! `{"typed":"3/16 in","mm":"4.7625"}`. Reading it back reads the text again and refuses a value that differs, so that
//! neither can be changed without the other.
//!
//! ```
//! use stemwall::quantity::{Length, Typed};
//! let width = Typed::<Length>::parse(" 3/16 in ").unwrap();
//! assert_eq!(width.typed(), "3/16 in");
//! assert_eq!(serde_json::to_string(&width).unwrap(), r#"{"typed":"3/16 in","mm":"4.7625"}"#);
//! ```

use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{DeserializeSeed, Deserializer, Error, MapAccess, Visitor};
use serde::ser::{SerializeStruct, Serializer};
use serde::{Deserialize, Serialize};

use super::error::QuantityError;
use super::length::Length;
use super::measure::Measure;

/// Decimals of a stored value: a millionth of a micrometre, a billionth of a becquerel.
const STORED_PLACES: u32 = 12;

/// What somebody typed and the quantity it means.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Typed<Q> {
    typed: String,
    value: Q,
}

impl<Q: Measure> Typed<Q> {
    const FIELDS: &'static [&'static str] = &["typed", Q::KIND.stored_key()];

    /// Reads a number and its unit. The text is kept without the space around it.
    pub fn parse(text: &str) -> Result<Typed<Q>, QuantityError> {
        let text = text.trim();
        Ok(Typed { value: Q::parse(text)?, typed: text.to_owned() })
    }

    /// The text as typed, without the space around it.
    pub fn typed(&self) -> &str {
        &self.typed
    }

    pub fn value(&self) -> Q {
        self.value
    }

    fn stored(&self) -> String {
        self.value.exact().decimal(STORED_PLACES)
    }
}

impl Typed<Length> {
    /// Reads a length with a minus sign if there is one.
    pub fn parse_signed(text: &str) -> Result<Typed<Length>, QuantityError> {
        let text = text.trim();
        Ok(Typed { value: Length::parse_signed(text)?, typed: text.to_owned() })
    }
}

impl<Q> fmt::Display for Typed<Q> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.typed)
    }
}

impl<Q: Measure> Serialize for Typed<Q> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_struct("Typed", 2)?;
        object.serialize_field("typed", &self.typed)?;
        object.serialize_field(Q::KIND.stored_key(), &self.stored())?;
        object.end()
    }
}

impl<'de, Q: Measure> Deserialize<'de> for Typed<Q> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Typed<Q>, D::Error> {
        deserializer.deserialize_struct("Typed", Typed::<Q>::FIELDS, TypedVisitor(PhantomData))
    }
}

struct TypedVisitor<Q>(PhantomData<Q>);

impl<'de, Q: Measure> Visitor<'de> for TypedVisitor<Q> {
    type Value = Typed<Q>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "an object with `typed` and `{}`", Q::KIND.stored_key())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Typed<Q>, A::Error> {
        let (mut typed, mut stored): (Option<String>, Option<String>) = (None, None);
        while let Some(field) = map.next_key_seed(FieldSeed::<Q>(PhantomData))? {
            let (slot, name) = match field {
                Field::Typed => (&mut typed, "typed"),
                Field::Stored => (&mut stored, Q::KIND.stored_key()),
            };
            if slot.replace(map.next_value()?).is_some() {
                return Err(A::Error::duplicate_field(name));
            }
        }
        let typed = typed.ok_or_else(|| A::Error::missing_field("typed"))?;
        let stored = stored.ok_or_else(|| A::Error::missing_field(Q::KIND.stored_key()))?;
        accept(typed, &stored)
    }
}

fn accept<Q: Measure, E: Error>(typed: String, stored: &str) -> Result<Typed<Q>, E> {
    let value = Q::parse_stored(&typed).map_err(|fact| E::custom(format_args!("`{typed}`: {fact}")))?;
    let typed = if typed.trim().len() == typed.len() { typed } else { typed.trim().to_owned() };
    let accepted = Typed { typed, value };
    let meant = accepted.stored();
    if meant != stored {
        let (typed, key) = (&accepted.typed, Q::KIND.stored_key());
        return Err(E::custom(format_args!("`{typed}` is `{meant}` in `{key}`, but `{stored}` is stored")));
    }
    Ok(accepted)
}

enum Field {
    Typed,
    Stored,
}

struct FieldSeed<Q>(PhantomData<Q>);

impl<'de, Q: Measure> DeserializeSeed<'de> for FieldSeed<Q> {
    type Value = Field;

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Field, D::Error> {
        deserializer.deserialize_identifier(self)
    }
}

impl<Q: Measure> Visitor<'_> for FieldSeed<Q> {
    type Value = Field;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`typed` or `{}`", Q::KIND.stored_key())
    }

    fn visit_str<E: Error>(self, name: &str) -> Result<Field, E> {
        match name {
            "typed" => Ok(Field::Typed),
            _ if name == Q::KIND.stored_key() => Ok(Field::Stored),
            _ => Err(E::unknown_field(name, Typed::<Q>::FIELDS)),
        }
    }
}

impl<Q: Measure> JsonSchema for Typed<Q> {
    fn schema_name() -> Cow<'static, str> {
        format!("typed-{}", Q::KIND.word()).into()
    }

    fn schema_id() -> Cow<'static, str> {
        format!("{}::Typed<{}>", module_path!(), Q::KIND.word()).into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        let (key, unit, word) = (Q::KIND.stored_key(), Q::KIND.stored_unit(), Q::KIND.word());
        json_schema!({
            "type": "object",
            "description": format!("a quantity ({word}) as typed, and its value"),
            "properties": {
                "typed": {
                    "type": "string",
                    "description": format!("the number and its unit as typed, such as {}", Q::KIND.examples()),
                },
                (key): {
                    "type": "string",
                    "description": format!("the value in {unit}, a plain decimal with at most {STORED_PLACES} places"),
                    "pattern": r"^-?[0-9]+(\.[0-9]{1,12})?$",
                },
            },
            "required": ["typed", key],
            "additionalProperties": false,
        })
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{ProptestConfig, any, prop_assert_eq, proptest};

    use super::super::{Activity, Area, Flow, Pressure, Share, Span, Temperature, Volume};
    use super::*;

    fn json<Q: Measure>(text: &str) -> String {
        let typed = Typed::<Q>::parse(text).unwrap();
        let json = serde_json::to_string(&typed).unwrap();
        assert_eq!(serde_json::from_str::<Typed<Q>>(&json).unwrap(), typed);
        json
    }

    #[test]
    fn each_kind_is_stored_in_its_unit() {
        // Hand arithmetic; a third is rounded to twelve places.
        assert_eq!(json::<Length>("3/16 in"), r#"{"typed":"3/16 in","mm":"4.7625"}"#);
        assert_eq!(json::<Area>("1100 ft2"), r#"{"typed":"1100 ft2","m2":"102.193344"}"#);
        assert_eq!(json::<Volume>("5 gal"), r#"{"typed":"5 gal","l":"18.92705892"}"#);
        assert_eq!(json::<Span>("1 h 30 min"), r#"{"typed":"1 h 30 min","s":"5400"}"#);
        assert_eq!(json::<Flow>("18 gpm"), r#"{"typed":"18 gpm","l_min":"68.137412112"}"#);
        assert_eq!(json::<Activity>("4.2 pCi/L"), r#"{"typed":"4.2 pCi/L","bq_m3":"155.4"}"#);
        assert_eq!(json::<Temperature>("72 F"), r#"{"typed":"72 F","c":"22.222222222222"}"#);
        assert_eq!(json::<Temperature>("-4 °F"), r#"{"typed":"-4 °F","c":"-20"}"#);
        assert_eq!(json::<Pressure>("20 kPa"), r#"{"typed":"20 kPa","pa":"20000"}"#);
        assert_eq!(json::<Share>("12.5 %"), r#"{"typed":"12.5 %","pct":"12.5"}"#);
    }

    #[test]
    fn a_signed_length_reads_back() {
        let below = Typed::parse_signed(" -1/4 in").unwrap();
        let json = serde_json::to_string(&below).unwrap();
        assert_eq!(json, r#"{"typed":"-1/4 in","mm":"-6.35"}"#);
        assert_eq!(serde_json::from_str::<Typed<Length>>(&json).unwrap(), below);
        assert_eq!(Typed::<Length>::parse("-1/4 in"), Err(QuantityError::Negative));
    }

    #[test]
    fn the_order_of_the_fields_does_not_matter() {
        let canonical = r#"{"mm":"4.7625","typed":"3/16 in"}"#;
        assert_eq!(serde_json::from_str::<Typed<Length>>(canonical).unwrap(), Typed::parse("3/16 in").unwrap());
        let value = serde_json::from_str::<serde_json::Value>(canonical).unwrap();
        assert_eq!(serde_json::from_value::<Typed<Length>>(value).unwrap(), Typed::parse("3/16 in").unwrap());
    }

    #[test]
    fn what_was_changed_or_is_incomplete_is_refused() {
        let rows = [
            (r#"{"typed":"3/16 in","mm":"4.8"}"#, "`3/16 in` is `4.7625` in `mm`, but `4.8` is stored"),
            (r#"{"typed":"3/16 in","mm":"4.76250"}"#, "but `4.76250` is stored"),
            (r#"{"typed":"3/16 in"}"#, "missing field `mm`"),
            (r#"{"mm":"4.7625"}"#, "missing field `typed`"),
            (r#"{"typed":"3/16 in","mm":"4.7625","in":"1"}"#, "unknown field `in`"),
            (r#"{"typed":"3/16 in","typed":"3/16 in","mm":"4.7625"}"#, "duplicate field `typed`"),
            (r#"{"typed":"3 gpm","mm":"3"}"#, "`gpm` is not a unit of length"),
            (r#"{"typed":"3 mm","mm":3}"#, "invalid type"),
            (r#""3 mm""#, "expected an object with `typed` and `mm`"),
        ];
        for (json, expected) in rows {
            let error = serde_json::from_str::<Typed<Length>>(json).unwrap_err().to_string();
            assert!(error.contains(expected), "{json}: {error}");
        }
        assert!(serde_json::from_str::<Typed<Area>>(r#"{"typed":"-3 m2","m2":"-3"}"#).is_err());
    }

    #[test]
    fn the_schema_describes_both_strings_and_no_more() {
        let schema = schemars::schema_for!(Typed<Length>);
        let schema = schema.as_value();
        assert_eq!(schema["type"], "object");
        assert_eq!(schema["required"], serde_json::json!(["typed", "mm"]));
        assert_eq!(schema["additionalProperties"], false);
        for field in ["typed", "mm"] {
            assert_eq!(schema["properties"][field]["type"], "string");
            assert!(schema["properties"][field]["description"].is_string());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(300))]

        #[test]
        fn what_is_stored_reads_back_as_the_same(whole in any::<u32>(), num in 0_u32..100_000, den in 1_u32..100_000) {
            for unit in ["in", "mm", "ft", "µm", "yd"] {
                let typed = Typed::<Length>::parse(&format!("{whole} {num}/{den} {unit}")).unwrap();
                let json = serde_json::to_string(&typed).unwrap();
                prop_assert_eq!(serde_json::from_str::<Typed<Length>>(&json).unwrap(), typed);
            }
            let typed = Typed::<Temperature>::parse(&format!("{whole}.{num} F")).unwrap();
            let json = serde_json::to_string(&typed).unwrap();
            prop_assert_eq!(serde_json::from_str::<Typed<Temperature>>(&json).unwrap(), typed);
        }

        #[test]
        fn no_bytes_make_reading_panic(json in any::<String>(), typed in any::<String>(), stored in any::<String>()) {
            let _ = serde_json::from_str::<Typed<Length>>(&json);
            let object = serde_json::json!({"typed": typed, "mm": stored});
            let _ = serde_json::from_value::<Typed<Length>>(object);
        }
    }
}
