//! Canonical JSON (RFC 8785) for what entries hold: strings, whole numbers, lists and objects.
//!
//! Everything is written once, straight down; where the members of an object were not written in the order of their
//! names, their bytes are put in order when it ends. What entries do not hold (names that are not plain ASCII, or stand
//! twice; numbers with a fraction, or beyond 2⁵³) is left to the library that knows how RFC 8785 has it, and a test holds
//! every byte to that library.
//!
//! ```
//! use stemwall::ledger::canonical::canonical;
//! let value = serde_json::json!({"typed": "3/16 in", "mm": "4.7625", "finding": 7});
//! assert_eq!(canonical(&value).unwrap(), r#"{"finding":7,"mm":"4.7625","typed":"3/16 in"}"#);
//! ```

use std::fmt::Display;
use std::io::{self, Write};

use serde::Serialize;
use serde_json::Error;
use serde_json::ser::{CharEscape, Formatter, Serializer};

/// Up to here every whole number is a number of its own as RFC 8785 reads them (IEEE 754 doubles).
const MOST_EXACT: u64 = 1 << 53;
/// Bytes set aside for a body; most are shorter.
const USUAL: usize = 512;

/// The canonical form of `value`.
///
/// Errors: a value that JSON does not have, such as an object whose names are no strings.
pub fn canonical<T: Serialize + ?Sized>(value: &T) -> Result<String, Error> {
    let mut written = Written { out: Vec::with_capacity(USUAL), ..Written::default() };
    // Nothing goes through the writer: what is under way has to be looked at again, and a writer cannot be.
    value.serialize(&mut Serializer::with_formatter(io::sink(), InOrder(&mut written)))?;
    if written.beyond {
        return serde_jcs::to_string(value);
    }
    Ok(String::from_utf8(written.out).expect("whole strings, digits and signs were written, and members moved whole"))
}

/// What was written so far.
#[derive(Default)]
struct Written {
    out: Vec<u8>,
    /// Members of the objects under way, the innermost object's last.
    members: Vec<Member>,
    /// For each object under way, where its members begin, in `members` and in `out`.
    objects: Vec<(usize, usize)>,
    in_name: bool,
    /// Something was met that only the library writes.
    beyond: bool,
    sorted: Vec<u8>,
}

/// Where a member lies in what was written: its name without the quotes, and the whole.
#[derive(Clone, Copy)]
struct Member {
    name: (usize, usize),
    end: usize,
}

impl Written {
    fn put(&mut self, bytes: &[u8]) {
        self.out.extend_from_slice(bytes);
    }

    fn whole(&mut self, number: impl Display, exact: bool) -> io::Result<()> {
        self.beyond |= !exact;
        write!(self.out, "{number}")
    }

    /// Puts the members of the object that ends in the order of their names, which are ASCII: bytes stand in the order
    /// of UTF-16 code units.
    fn end_object(&mut self) {
        let Some((first, start)) = self.objects.pop() else { return };
        let members = &mut self.members[first..];
        let out = &self.out;
        let name = |m: &Member| &out[m.name.0..m.name.1];
        if !members.is_sorted_by(|a, b| name(a) < name(b)) {
            members.sort_by(|a, b| name(a).cmp(name(b)));
            self.beyond |= members.windows(2).any(|pair| name(&pair[0]) == name(&pair[1]));
            self.sorted.clear();
            for (i, member) in members.iter().enumerate() {
                if i > 0 {
                    self.sorted.push(b',');
                }
                self.sorted.extend_from_slice(&out[member.name.0 - 1..member.end]);
            }
            self.out.truncate(start);
            self.out.extend_from_slice(&self.sorted);
        }
        self.members.truncate(first);
        self.out.push(b'}');
    }
}

/// Writes into what it borrows; the writer it is handed stays empty.
struct InOrder<'a>(&'a mut Written);

/// A method of [`Formatter`] for each width of whole numbers.
macro_rules! whole_numbers {
    ($($method:ident: $number:ty;)+) => {
        $(fn $method<W: Write + ?Sized>(&mut self, _: &mut W, value: $number) -> io::Result<()> {
            self.0.whole(value, i64::try_from(value).is_ok_and(|n| n.unsigned_abs() <= MOST_EXACT))
        })+
    };
}

/// The methods of [`Formatter`] whose values are left to the library.
macro_rules! beyond {
    ($($method:ident: $value:ty;)+) => {
        $(fn $method<W: Write + ?Sized>(&mut self, _: &mut W, _: $value) -> io::Result<()> {
            self.0.beyond = true;
            Ok(())
        })+
    };
}

/// The methods of [`Formatter`] that write the same bytes each time.
macro_rules! always {
    ($($method:ident: $bytes:literal;)+) => {
        $(fn $method<W: Write + ?Sized>(&mut self, _: &mut W) -> io::Result<()> {
            self.0.put($bytes);
            Ok(())
        })+
    };
}

impl Formatter for InOrder<'_> {
    whole_numbers! {
        write_i8: i8; write_i16: i16; write_i32: i32; write_i64: i64; write_i128: i128;
        write_u8: u8; write_u16: u16; write_u32: u32; write_u64: u64; write_u128: u128;
    }

    beyond! { write_f32: f32; write_f64: f64; write_number_str: &str; write_raw_fragment: &str; }

    always! { write_null: b"null"; begin_string: b"\""; end_string: b"\""; begin_array: b"["; end_array: b"]"; }

    fn write_bool<W: Write + ?Sized>(&mut self, _: &mut W, value: bool) -> io::Result<()> {
        self.0.put(if value { b"true" } else { b"false" });
        Ok(())
    }

    fn write_string_fragment<W: Write + ?Sized>(&mut self, _: &mut W, fragment: &str) -> io::Result<()> {
        self.0.beyond |= self.0.in_name && !fragment.is_ascii();
        self.0.put(fragment.as_bytes());
        Ok(())
    }

    fn write_char_escape<W: Write + ?Sized>(&mut self, _: &mut W, escape: CharEscape) -> io::Result<()> {
        let out = &mut self.0.out;
        self.0.beyond |= self.0.in_name;
        match escape {
            CharEscape::Quote => out.extend_from_slice(b"\\\""),
            CharEscape::ReverseSolidus => out.extend_from_slice(b"\\\\"),
            CharEscape::Solidus => out.push(b'/'),
            CharEscape::Backspace => out.extend_from_slice(b"\\b"),
            CharEscape::FormFeed => out.extend_from_slice(b"\\f"),
            CharEscape::LineFeed => out.extend_from_slice(b"\\n"),
            CharEscape::CarriageReturn => out.extend_from_slice(b"\\r"),
            CharEscape::Tab => out.extend_from_slice(b"\\t"),
            CharEscape::AsciiControl(control) => write!(out, "\\u{control:04x}")?,
        }
        Ok(())
    }

    fn begin_array_value<W: Write + ?Sized>(&mut self, _: &mut W, first: bool) -> io::Result<()> {
        if !first {
            self.0.out.push(b',');
        }
        Ok(())
    }

    fn begin_object<W: Write + ?Sized>(&mut self, _: &mut W) -> io::Result<()> {
        self.0.out.push(b'{');
        self.0.objects.push((self.0.members.len(), self.0.out.len()));
        Ok(())
    }

    fn begin_object_key<W: Write + ?Sized>(&mut self, _: &mut W, first: bool) -> io::Result<()> {
        if !first {
            self.0.out.push(b',');
        }
        let after_quote = self.0.out.len() + 1;
        self.0.members.push(Member { name: (after_quote, after_quote), end: after_quote });
        self.0.in_name = true;
        Ok(())
    }

    fn end_object_key<W: Write + ?Sized>(&mut self, _: &mut W) -> io::Result<()> {
        self.0.in_name = false;
        let at_quote = self.0.out.len() - 1;
        if let Some(member) = self.0.members.last_mut() {
            member.name.1 = at_quote;
        }
        Ok(())
    }

    always! { begin_object_value: b":"; }

    fn end_object_value<W: Write + ?Sized>(&mut self, _: &mut W) -> io::Result<()> {
        let end = self.0.out.len();
        if let Some(member) = self.0.members.last_mut() {
            member.end = end;
        }
        Ok(())
    }

    fn end_object<W: Write + ?Sized>(&mut self, _: &mut W) -> io::Result<()> {
        self.0.end_object();
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;
    use serde::{Serialize, Serializer};
    use serde_json::{Number, Value, json};

    use super::canonical;

    /// JSON whose members are written in the order they stand here, whatever their names.
    #[derive(Debug, Clone)]
    enum AsItStands {
        Leaf(Value),
        List(Vec<AsItStands>),
        Object(Vec<(String, AsItStands)>),
    }

    impl Serialize for AsItStands {
        fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
            match self {
                AsItStands::Leaf(value) => value.serialize(serializer),
                AsItStands::List(items) => items.serialize(serializer),
                AsItStands::Object(members) => {
                    serializer.collect_map(members.iter().map(|(name, value)| (name, value)))
                }
            }
        }
    }

    /// Anything JSON has: every scalar value of Unicode in names and strings, numbers of every kind.
    fn any_json() -> impl Strategy<Value = AsItStands> {
        let text = prop_oneof![any::<String>(), "[\u{0}-\u{7f}]{0,8}", "[\u{e000}-\u{10ffff}]{0,3}"];
        // Mostly names as entries have them, few enough that some stand twice.
        let name = prop_oneof![4 => "[a-d_]{1,2}", 1 => text.clone()];
        let leaf = prop_oneof![
            4 => Just(Value::Null),
            4 => any::<bool>().prop_map(Value::from),
            4 => (-1000i64..1000).prop_map(Value::from),
            4 => text.prop_map(Value::from),
            1 => any::<i64>().prop_map(Value::from),
            1 => any::<u64>().prop_map(Value::from),
            1 => (-3i64..=3).prop_map(|n| json!((1i64 << 53) + n)),
            1 => any::<f64>().prop_filter_map("finite", Number::from_f64).prop_map(Value::Number),
        ];
        leaf.prop_map(AsItStands::Leaf).prop_recursive(4, 40, 6, move |inner| {
            prop_oneof![
                1 => prop::collection::vec(inner.clone(), 0..5).prop_map(AsItStands::List),
                3 => prop::collection::vec((name.clone(), inner), 0..7).prop_map(AsItStands::Object),
            ]
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2_000))]

        #[test]
        fn every_byte_is_the_one_an_independent_library_writes(value in any_json()) {
            prop_assert_eq!(canonical(&value).unwrap(), serde_jcs::to_string(&value).unwrap());
        }
    }

    #[test]
    fn plain_members_are_put_in_order_without_the_library() {
        let member = |name: &str, value| (name.to_owned(), value);
        let leaf = |n: i64| AsItStands::Leaf(json!(n));
        let inner = AsItStands::Object(vec![member("b", leaf(1)), member("", leaf(2)), member("aa", leaf(3))]);
        let value = AsItStands::Object(vec![
            member("z", AsItStands::List(vec![inner, leaf(-4)])),
            member("a", AsItStands::Object(Vec::new())),
            member("B", AsItStands::Leaf(json!("\"q\u{1}"))),
        ]);
        let want = r#"{"B":"\"q\u0001","a":{},"z":[{"":2,"aa":3,"b":1},-4]}"#;
        assert_eq!(canonical(&value).unwrap(), want);
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
