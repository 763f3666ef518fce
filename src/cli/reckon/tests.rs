//! Rounding for people; and whatever stands on a line, the answer is one line of JSON.

use proptest::prelude::{Just, Strategy, any, prop_assert, prop_assert_eq, prop_oneof, proptest};
use proptest::sample::select;
use serde_json::Value;

use super::{is_in_us_units, one, rounded, write_answer};
use crate::reckon::{self, ALL, Input, Kind};

#[test]
fn people_are_shown_four_figures() {
    for (figure, text) in [
        (0.0, "0"),
        (1.0, "1"),
        (0.1237849, "0.1238"),
        (9.2437, "9.244"),
        (0.00123456, "0.001235"),
        (99.999, "100"),
        (1234.5678, "1235"),
        (-12.5, "-12.5"),
        (1e-7, "1.000e-7"),
        (2e12, "2.000e12"),
    ] {
        assert_eq!(rounded(figure), text);
    }
}

fn screen(line: &[&str]) -> String {
    let words: Vec<String> = line.iter().map(|&word| word.to_owned()).collect();
    let mut out = Vec::new();
    one(&words, false, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

#[test]
fn who_typed_inches_is_shown_inches_too() {
    // Texas example: 0, -1.6, -1.2 in over 30 ft deflect -1 in = -25.4 mm.
    let heights = ["--heights", "0 in", "--heights", "-1.6 in", "--heights", "-1.2 in"];
    let us = screen(&[&["level-profile", "--length", "30 ft"], &heights[..]].concat());
    assert!(us.contains("-25.4 (-1 in)"), "{us}");
    // 72 F is 22.22 C, which is 295.37 K.
    let warm = screen(&["quantity", "--text", "72 F", "--kind", "temperature"]);
    assert!(warm.contains("295.4 (72.0 F)"), "{warm}");
    assert!(!screen(&["quantity", "--text", "22.5 C", "--kind", "temperature"]).contains(" F)"));
    let dew = screen(&["dew-point", "--air", "75 F", "--humidity", "60"]);
    assert!(!dew.contains(" F)"), "it has a line of its own in Fahrenheit: {dew}");
    let mixed = screen(&[&["level-profile", "--length", "9 m"], &heights[..]].concat());
    assert!(mixed.contains("-25.4") && !mixed.contains("(-1 in)"), "{mixed}");
    let words = |words: &[&str]| words.iter().map(|&w| w.to_owned()).collect::<Vec<_>>();
    for (typed, us) in
        [("1/16in", true), ("[\"2024-01-01\",\"2 in\"]", true), ("3 mm", false), ("72 F", true), ("4 pCi/L", false)]
    {
        assert_eq!(is_in_us_units(&words(&["--x", typed])), us, "{typed}");
    }
}

#[test]
fn people_read_names_without_points_and_what_is_reported_with_its_place() {
    // MAH-2019: the mean of 3.8 and 4.1 is 3.95, reported as 4.0.
    let radon = screen(&["radon-average", "--results", "3.8 pCi/L", "--results", "4.1 pCi/L"]);
    assert!(radon.contains(" 4.0 "), "{radon}");
    let trend = screen(&[
        "trend",
        "--resolution",
        "0.1 mm",
        "--readings",
        r#"[["2024-01-01","2 mm"],["2024-06-01","2 mm"],["2024-12-01","3 mm"]]"#,
    ]);
    assert!(trend.contains("line ci_low") && !trend.contains("line.ci_low"), "{trend}");
}

/// A JSON number or text as somebody might send it.
fn leaf() -> impl Strategy<Value = String> {
    let numbers = [
        "0",
        "-0",
        "1",
        "-1",
        "0.05",
        "1e-400",
        "1e999",
        "-1e999",
        "1e38",
        "99999999999999999999999999999999999999999",
    ];
    let units =
        ["mm", "in", "ft", "m", "F", "C", "pCi/L", "gpm", "ft2", "gal", "s", "h", "%", "USD", "psi", "furlong", ""];
    let texts =
        ["NaN mm", "inf", "", "2026-02-30", "2024-01-01", "2025-06-30", "-", "1/0 in", "½ in", "\\ud800", "a\\u0000b"];
    prop_oneof![
        Just("null".to_owned()),
        any::<bool>().prop_map(|truth| truth.to_string()),
        select(numbers.to_vec()).prop_map(str::to_owned),
        any::<f64>().prop_map(|number| Value::from(number).to_string()),
        (-20.0..400.0).prop_map(|number: f64| number.to_string()),
        (any::<i64>(), select(units.to_vec())).prop_map(|(number, unit)| format!("\"{number} {unit}\"")),
        ((0..400, 0..99), select(units.to_vec())).prop_map(|((a, b), unit)| format!("\"{a}.{b} {unit}\"")),
        select(texts.to_vec()).prop_map(|text| format!("\"{text}\"")),
        any::<String>().prop_map(|text| Value::from(text).to_string()),
    ]
}

fn json() -> impl Strategy<Value = String> {
    leaf().prop_recursive(3, 24, 6, |inner| {
        prop_oneof![
            proptest::collection::vec(inner.clone(), 0..6).prop_map(|items| format!("[{}]", items.join(","))),
            proptest::collection::vec((select(&["x", "area", "foundation"][..]), inner), 0..4).prop_map(|fields| {
                let fields: Vec<String> = fields.iter().map(|(name, value)| format!("\"{name}\":{value}")).collect();
                format!("{{{}}}", fields.join(","))
            }),
        ]
    })
}

/// Something of the kind that is wanted, good or nearly so.
fn of_kind(kind: &Kind, number: &str, unit: &str) -> String {
    match kind {
        Kind::Word(words) => format!("\"{}\"", words[number.len() % words.len()]),
        Kind::Quantity(kind, _) => format!("\"{number} {}\"", kind.units()[number.len() % kind.units().len()]),
        Kind::Signed(_) => format!("\"-{number} {unit}\""),
        Kind::Money => format!("\"${number}\""),
        Kind::Number(..) => number.to_owned(),
        Kind::Whole { .. } => number.split('.').next().unwrap_or_default().to_owned(),
        Kind::Truth => "true".to_owned(),
        Kind::Date => format!("\"20{:02}-01-0{}\"", number.len(), 1 + number.len() % 8),
        Kind::WallTime => format!("\"20{:02}-01-01T0{}:00:00\"", number.len(), number.len() % 10),
        Kind::Instant => format!("\"20{:02}-01-01T00:00:00Z\"", number.len()),
        Kind::Zone => ["\"UTC\"", "\"America/Chicago\"", "\"nowhere\""][number.len() % 3].to_owned(),
        Kind::Text => format!("\"{number} {unit}\""),
        Kind::OrGap(kind) | Kind::OneOrList { of: kind, .. } => of_kind(kind, number, unit),
        Kind::List { of, least, .. } => {
            let items = (0..(*least).max(4)).map(|at| of_kind(of, &format!("{}{number}", at + 1), unit));
            format!("[{}]", items.collect::<Vec<_>>().join(","))
        }
        Kind::Row(columns) => {
            let columns = columns.iter().map(|column| of_kind(&column.kind, number, unit));
            format!("[{}]", columns.collect::<Vec<_>>().join(","))
        }
        Kind::Record(columns) => {
            let columns =
                columns.iter().map(|column| format!("\"{}\":{}", column.name, of_kind(&column.kind, number, unit)));
            format!("{{{}}}", columns.collect::<Vec<_>>().join(","))
        }
    }
}

/// The answer as it is printed, read back.
fn printed(line: &[u8]) -> Value {
    let mut out = Vec::new();
    write_answer(&reckon::answer(line), &mut out).unwrap();
    let text = std::str::from_utf8(&out).unwrap();
    let (answer, rest) = text.split_at(text.len() - 1);
    assert!(rest == "\n" && !answer.contains('\n'), "{text}");
    let answer: Value = serde_json::from_str(answer).unwrap_or_else(|e| panic!("{e}: {text}"));
    let error = &answer["error"];
    assert_ne!(answer.get("result").is_some(), error.is_object(), "{text}");
    assert!(
        error.is_null()
            || ["what", "input", "try"].iter().all(|part| error[*part].as_str().is_some_and(|t| !t.is_empty()))
    );
    answer
}

proptest! {
    #[test]
    fn any_bytes_are_answered(bytes in any::<Vec<u8>>()) {
        printed(&bytes);
    }

    #[test]
    fn any_json_is_answered(line in json()) {
        printed(line.as_bytes());
    }

    /// Each calculation with whatever in its fields: a field that was not its kind is named.
    #[test]
    fn any_fields_are_answered(at in 0..ALL.len(), values in proptest::collection::vec(json(), 12), id in any::<u64>()) {
        let calculation = ALL[at];
        let fields = calculation.inputs.iter().zip(&values).map(|(input, value)| format!(",\"{}\":{value}", input.name));
        let line = format!("{{\"id\":{id},\"reckon\":\"{}\"{}}}", calculation.name, fields.collect::<String>());
        let answer = printed(line.as_bytes());
        prop_assert_eq!(&answer["id"], &Value::from(id));
        let input = answer["error"]["input"].as_str();
        prop_assert!(input.is_none_or(|input| calculation.inputs.iter().any(|known| known.name == input)), "{}", answer);
    }

    /// The same with values of the right kinds and any size, one of them replaced.
    #[test]
    fn any_sizes_are_answered(
        at in 0..ALL.len(),
        numbers in proptest::collection::vec((0..30_u32, 0..1000_u32), 12),
        unit in select(&["mm", "in", "ft", "m"][..]),
        wrong in proptest::option::of((0..12_usize, json())),
    ) {
        let calculation = ALL[at];
        let field = |(at, (input, (power, digits))): (usize, (&Input, &(u32, u32)))| {
            let number = format!("{digits}{}.{power}", "0".repeat(*power as usize / 3));
            let value = match &wrong {
                Some((n, json)) if *n == at => json.clone(),
                _ => of_kind(&input.kind, &number, unit),
            };
            format!(",\"{}\":{value}", input.name)
        };
        let fields: String = calculation.inputs.iter().zip(&numbers).enumerate().map(field).collect();
        printed(format!("{{\"reckon\":\"{}\"{fields}}}", calculation.name).as_bytes());
    }
}
