//! Canonical JSON (RFC 8785) for what entries hold: strings, whole numbers, lists and objects.
//!
//! The value is put together first and written once: members in the order of their names' UTF-16 code units, strings
//! with the shortest escapes, whole numbers up to 2⁵³ as they are. Any other number is left to the library that knows how
//! RFC 8785 has it; a test holds every byte to that library.

use serde::Serialize;
use serde_json::{Error, Number, Value};

/// Up to here every whole number is a number of its own as RFC 8785 reads them (IEEE 754 doubles).
const MOST_EXACT: u64 = 1 << 53;

/// The canonical form of `value`.
///
/// Errors: a value that JSON does not have, such as an object whose names are no strings.
pub fn canonical<T: Serialize + ?Sized>(value: &T) -> Result<String, Error> {
    let mut out = Vec::with_capacity(512);
    write(&serde_json::to_value(value)?, &mut out)?;
    Ok(String::from_utf8(out).expect("strings, digits and signs were written"))
}

fn write(value: &Value, out: &mut Vec<u8>) -> Result<(), Error> {
    match value {
        Value::Object(members) => {
            let mut members: Vec<(&String, &Value)> = members.iter().collect();
            members.sort_by(|(a, _), (b, _)| a.encode_utf16().cmp(b.encode_utf16()));
            out.push(b'{');
            for (i, (name, value)) in members.into_iter().enumerate() {
                if i > 0 {
                    out.push(b',');
                }
                serde_json::to_writer(&mut *out, name)?;
                out.push(b':');
                write(value, out)?;
            }
            out.push(b'}');
            Ok(())
        }
        Value::Array(items) => {
            out.push(b'[');
            for (i, item) in items.iter().enumerate() {
                if i > 0 {
                    out.push(b',');
                }
                write(item, out)?;
            }
            out.push(b']');
            Ok(())
        }
        Value::Number(number) if !is_exact(number) => serde_jcs::to_writer(out, number),
        plain => serde_json::to_writer(out, plain),
    }
}

fn is_exact(number: &Number) -> bool {
    number.as_i64().is_some_and(|n| n.unsigned_abs() <= MOST_EXACT)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde_json::{Number, Value, json};

    use super::canonical;

    /// Anything JSON has: every scalar value of Unicode in names and strings, numbers of every kind.
    fn any_json() -> impl Strategy<Value = Value> {
        let text = prop_oneof![any::<String>(), "[\u{0}-\u{7f}]{0,8}", "[\u{e000}-\u{10ffff}]{0,3}"];
        let leaf = prop_oneof![
            Just(Value::Null),
            any::<bool>().prop_map(Value::from),
            any::<i64>().prop_map(Value::from),
            any::<u64>().prop_map(Value::from),
            (-3i64..=3).prop_map(|n| json!((1i64 << 53) + n)),
            (-1000i64..1000).prop_map(Value::from),
            any::<f64>().prop_filter_map("finite", Number::from_f64).prop_map(Value::Number),
            text.clone().prop_map(Value::from),
        ];
        leaf.prop_recursive(4, 40, 6, move |inner| {
            prop_oneof![
                prop::collection::vec(inner.clone(), 0..5).prop_map(Value::Array),
                prop::collection::btree_map(text.clone(), inner, 0..6)
                    .prop_map(|members| Value::Object(members.into_iter().collect())),
            ]
        })
    }

    proptest! {
        #[test]
        fn every_byte_is_the_one_an_independent_library_writes(value in any_json()) {
            prop_assert_eq!(canonical(&value).unwrap(), serde_jcs::to_string(&value).unwrap());
        }
    }

    /// RFC 8785, section 3.2.3: the members of its sorting example, in the order it gives.
    #[test]
    fn members_stand_in_the_order_of_the_standards_example() {
        let value = json!({
            "\u{20ac}": "Euro Sign", "\r": "Carriage Return", "\u{fb33}": "Hebrew Letter Dalet With Dagesh",
            "1": "One", "\u{1f600}": "Emoji: Grinning Face", "\u{80}": "Control", "\u{f6}": "Latin Small Letter O With Diaeresis",
        });
        let text = canonical(&value).unwrap();
        let order = ["Carriage Return", "One", "Control", "Latin", "Euro", "Emoji", "Hebrew"];
        let places: Vec<usize> = order.iter().map(|word| text.find(word).unwrap()).collect();
        assert!(places.is_sorted(), "{text}");
        assert!(text.starts_with(r#"{"\r":"Carriage Return","1":"One","#), "{text}");
    }

    /// RFC 8785, section 3.2.2: numbers and strings of its first example.
    #[test]
    fn values_are_written_as_in_the_standards_example() {
        let value: Value = serde_json::from_str(
            r#"{"numbers":[333333333.33333329,1E30,4.50,2e-3,0.000000000000000000000000001],
                "string":"\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/","literals":[null,true,false]}"#,
        )
        .unwrap();
        let want = concat!(
            r#"{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"#,
            r#""string":"€$\u000f\nA'B\"\\\\\"/"}"#
        );
        assert_eq!(canonical(&value).unwrap(), want);
    }
}
