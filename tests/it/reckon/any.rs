//! Whatever stands on a line, the answer is one line of JSON that holds a result or an error, and the next line is answered.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Value, json};
use stemwall::reckon::{ALL, Calculation, Input, Kind};

use super::{example, lines};

/// Numbers as they are typed and as nobody types them.
fn number() -> impl Strategy<Value = Value> {
    let odd = [0.0, -0.0, 1.0, -1.0, 1e-320, 1e300, -1e300, 1e18, 0.1, 100.0, 365.25, 1e-9];
    prop_oneof![
        select(odd.to_vec()).prop_map(|x| json!(x)),
        (-1000i64..1000).prop_map(|n| json!(n)),
        any::<f64>().prop_filter("JSON has no such number", |x| x.is_finite()).prop_map(|x| json!(x)),
        (0.0..100.0f64).prop_map(|x| json!(x)),
        any::<u64>().prop_map(|n| json!(n)),
    ]
}

/// Quantities in every unit, and what only looks like one.
fn quantity() -> impl Strategy<Value = Value> {
    let units = [
        "mm", "in", "ft", "m", "ft2", "m2", "gal", "L", "s", "h", "d", "gpm", "pCi/L", "F", "C", "psi", "%", "USD", "",
    ];
    let number = prop_oneof![
        (0u32..1000).prop_map(|n| n.to_string()),
        (0.0..1000.0f64).prop_map(|x| format!("{x:.3}")),
        (1u32..20, 1u32..20).prop_map(|(a, b)| format!("{a}/{b}")),
        (0u32..9, 1u32..9).prop_map(|(a, b)| format!("{a} {b}/16")),
        any::<f64>().prop_map(|x| format!("{x}")),
        any::<f64>().prop_map(|x| format!("{x:e}")),
        "[0-9]{1,60}",
        "0\\.0{1,60}[1-9]",
    ];
    (number, select(units.to_vec()), prop::bool::ANY)
        .prop_map(|(number, unit, space)| json!(format!("{number}{}{unit}", if space { " " } else { "" })))
}

fn date() -> impl Strategy<Value = Value> {
    (-1i32..10_002, 0u32..14, 0u32..33).prop_map(|(y, m, d)| json!(format!("{y:04}-{m:02}-{d:02}")))
}

fn wall_time() -> impl Strategy<Value = String> {
    (1960i32..2110, 0u32..14, 0u32..33, 0u32..25, 0u32..61)
        .prop_map(|(y, m, d, h, min)| format!("{y:04}-{m:02}-{d:02}T{h:02}:{min:02}:00"))
}

/// Cron text and recurrence text, and what only looks like it.
fn rule() -> impl Strategy<Value = String> {
    let field = "(\\*|[0-9]{1,2}(-[0-9]{1,2})?)(/[0-9]{1,2})?(,[0-9]{1,2}){0,2}";
    let frequency = select(vec!["YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY", "MINUTELY", "SECONDLY"]);
    let part = "(INTERVAL|COUNT|BYMONTH|BYMONTHDAY|BYHOUR|BYSECOND|BYSETPOS|BYWEEKNO|BYYEARDAY)=-?[0-9]{1,5}|BYDAY=-?[0-5]?(MO|SU)";
    prop_oneof![
        vec(field, 5..=5).prop_map(|fields| fields.join(" ")),
        (frequency, vec(part, 0..4))
            .prop_map(|(often, parts)| [vec![format!("FREQ={often}")], parts].concat().join(";")),
        (select(vec!["@daily", "FREQ=DAILY", "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30", "FREQ=", ";", "RRULE:FREQ=DAILY"]))
            .prop_map(str::to_owned),
    ]
}

/// Anything that JSON can hold.
fn anything() -> impl Strategy<Value = Value> {
    let leaf = prop_oneof![
        Just(Value::Null),
        any::<bool>().prop_map(Value::from),
        number(),
        quantity(),
        date(),
        any::<String>().prop_map(Value::from),
        "[ -~]{0,12}".prop_map(Value::from),
    ];
    leaf.prop_recursive(3, 24, 6, |inner| {
        prop_oneof![
            vec(inner.clone(), 0..6).prop_map(Value::from),
            vec(("[a-z]{1,8}", inner), 0..4).prop_map(|fields| Value::Object(fields.into_iter().collect())),
        ]
    })
}

/// What an input of this kind could be.
fn likely(kind: &'static Kind) -> BoxedStrategy<Value> {
    match kind {
        Kind::Word(words) => select(words.to_vec()).prop_map(Value::from).boxed(),
        Kind::Quantity(..) | Kind::Signed(_) | Kind::Money => quantity().boxed(),
        Kind::Number(..) | Kind::Whole { .. } => number().boxed(),
        Kind::Truth => any::<bool>().prop_map(Value::from).boxed(),
        Kind::Date => date().boxed(),
        Kind::WallTime => wall_time().prop_map(Value::from).boxed(),
        Kind::Instant => (wall_time(), select(vec!["Z", "+00:00", "-05:00", "+14:00", "", "-99:99"]))
            .prop_map(|(wall, offset)| json!(format!("{wall}{offset}")))
            .boxed(),
        Kind::Zone => select(vec!["UTC", "America/Chicago", "Pacific/Apia", "Mars/Base"]).prop_map(Value::from).boxed(),
        Kind::List { of, .. } => vec(likely(of), 0..9).prop_map(Value::from).boxed(),
        Kind::OneOrList { of, .. } => prop_oneof![likely(of), vec(likely(of), 0..9).prop_map(Value::from)].boxed(),
        Kind::Row(columns) => {
            columns.iter().map(|column| likely(&column.kind)).collect::<Vec<_>>().prop_map(Value::from).boxed()
        }
        Kind::Record(columns) => {
            let fields: Vec<_> =
                columns.iter().map(|column| (Just(column.name.to_owned()), likely(&column.kind))).collect();
            fields.prop_map(|fields| Value::Object(fields.into_iter().collect())).boxed()
        }
        Kind::OrGap(kind) => prop_oneof![Just(Value::Null), likely(kind)].boxed(),
        Kind::Text => {
            prop_oneof![quantity(), rule().prop_map(Value::from), any::<String>().prop_map(Value::from)].boxed()
        }
    }
}

/// The example of a calculation with some of its fields replaced.
fn changed(calculation: &'static Calculation) -> BoxedStrategy<String> {
    let good = example(calculation.name, calculation.example);
    let field = |input: &'static Input| {
        let value = prop_oneof![6 => likely(&input.kind), 1 => anything()];
        prop::option::of((Just(input.name), value))
    };
    let fields: Vec<_> = calculation.inputs.iter().map(field).collect();
    fields
        .prop_map(move |fields| {
            let mut line = good.clone();
            fields.into_iter().flatten().for_each(|(name, value)| line[name] = value);
            line.to_string()
        })
        .boxed()
}

/// One line of a file: an altered example, any JSON, or any bytes.
fn line() -> impl Strategy<Value = Vec<u8>> {
    let examples = proptest::strategy::Union::new(ALL.iter().map(|calculation| changed(calculation)));
    let cut = (anything(), any::<prop::sample::Index>()).prop_map(|(value, at)| {
        let text = json!({"reckon": value}).to_string().into_bytes();
        text[..at.index(text.len())].to_vec()
    });
    prop_oneof![
        20 => examples.prop_map(String::into_bytes),
        2 => anything().prop_map(|value| value.to_string().into_bytes()),
        2 => cut,
        1 => vec(any::<u8>().prop_filter("a line break ends the line", |byte| *byte != b'\n'), 0..80),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_line_whatever_is_left_without_an_answer_in_json(input in vec(line(), 200)) {
        let mut text = input.join(&b'\n');
        text.push(b'\n');
        // `lines` fails on anything that is not JSON and on whatever a panic would say.
        let (code, answers) = lines(&text);
        prop_assert!(code == 0 || code == 1);
        prop_assert_eq!(answers.len(), input.len());
        // Neither all refused nor all taken, or little would have been tried.
        let results = answers.iter().filter(|answer| answer.get("result").is_some()).count();
        prop_assert!(results > 5 && results < 195, "{} results", results);
        for (answer, line) in answers.iter().zip(&input) {
            let line = String::from_utf8_lossy(line);
            let is_result = answer.get("result").is_some_and(Value::is_object);
            let is_error = answer["error"]["what"].is_string() && answer["error"]["input"].is_string();
            prop_assert!(is_result != is_error, "{}: {}", line, answer);
        }
    }
}
