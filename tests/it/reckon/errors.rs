//! What is said of every sort of line that cannot be answered: what, which input, what to do.

use serde_json::Value;

use super::lines;

/// The line, the input that is named, what is said and what to try.
const REFUSALS: &[(&str, &str, &str, &str)] = &[
    (
        "nothing",
        "line",
        "the line is not JSON: expected ident at line 1 column 2",
        r#"write one object a line, as in `{"reckon":"step-height","step":"3/8 in"}`"#,
    ),
    (
        "[]",
        "line",
        "the line is not an object, but a list",
        r#"write one object a line, as in `{"reckon":"step-height","step":"3/8 in"}`"#,
    ),
    (
        "7",
        "line",
        "the line is not an object, but a number",
        r#"write one object a line, as in `{"reckon":"step-height","step":"3/8 in"}`"#,
    ),
    (r#"{"id":1}"#, "reckon", "`reckon` is missing", "`stemwall reckon` lists all calculations"),
    (
        r#"{"reckon":5}"#,
        "reckon",
        "`reckon` is a number, not the name of a calculation",
        "give the name of a calculation; `stemwall reckon` lists all calculations",
    ),
    (
        r#"{"reckon":"step-heigt"}"#,
        "reckon",
        "`step-heigt` is not a calculation",
        "did you mean `step-height`? `stemwall reckon` lists all calculations",
    ),
    (
        r#"{"reckon":"step-height"}"#,
        "step",
        "`step` is missing",
        "add it: length, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`",
    ),
    (
        r#"{"reckon":"step-height","step":null}"#,
        "step",
        "`step` is null",
        "give a length with its unit, or leave it out where it may be left out",
    ),
    (
        r#"{"reckon":"step-height","step":3}"#,
        "step",
        "`step` is a number, not a length with its unit",
        "give a length with its unit; `stemwall reckon step-height --help` tells what it takes",
    ),
    (
        r#"{"reckon":"step-height","step":"3"}"#,
        "step",
        "`step` is not a quantity of length",
        "the unit is missing; add a unit: `3 mm` or `3 in`",
    ),
    (
        r#"{"reckon":"step-height","step":"3 furlongs"}"#,
        "step",
        "`step` is not a quantity of length",
        "`furlongs` is not a known unit; write a length with one of µm, mil, mm, cm, in, ft, yd, m, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`",
    ),
    (
        r#"{"reckon":"step-height","step":"-1 in"}"#,
        "step",
        "`step` is not a quantity of length",
        "the quantity is negative; write a length without a minus sign, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`",
    ),
    (
        r#"{"reckon":"step-height","step":"1e9 m"}"#,
        "step",
        "`step` is outside 0 m to 1000 m",
        "look at the unit and the decimal point",
    ),
    (
        r#"{"reckon":"step-height","step":"1 in","stop":1}"#,
        "stop",
        "`stop` is not an input of `step-height`",
        "did you mean `step`? `step-height` takes step",
    ),
    (
        r#"{"reckon":"step-height","step":"1 in","step":"2 in"}"#,
        "step",
        "`step` is given twice",
        "leave one of the two out",
    ),
    (r#"{"reckon":"crack-category","widths":[]}"#, "widths", "`widths` is empty", "give at least one more"),
    (
        r#"{"reckon":"crack-category","widths":"1 mm"}"#,
        "widths",
        "`widths` is text, not a list",
        "give a list; `stemwall reckon crack-category --help` tells what it takes",
    ),
    (
        r#"{"reckon":"crack-category","widths":["1 mm","x"]}"#,
        "widths",
        "item 1 of `widths` is not a quantity of length",
        "there is no number; write a number and its unit, such as `3/16 in`, `4.8 mm`, `2 ft 3 in`",
    ),
    (
        r#"{"reckon":"crack-guide","width":"1 mm","exposure":"sea-water"}"#,
        "exposure",
        "`exposure` is none of its words: `sea-water`",
        "did you mean `seawater`? one of dry-air, moist-or-soil, deicing, seawater, water-retaining",
    ),
    (
        r#"{"reckon":"efflorescence","face_pct":101,"powdering":true}"#,
        "face_pct",
        "`face_pct` is outside 0 to 100 %",
        "look at the unit and the decimal point",
    ),
    (
        r#"{"reckon":"efflorescence","face_pct":1,"powdering":"yes"}"#,
        "powdering",
        "`powdering` is text, not true or false",
        "give true or false; `stemwall reckon efflorescence --help` tells what it takes",
    ),
    (
        r#"{"reckon":"efflorescence","face_pct":NaN,"powdering":true}"#,
        "face_pct",
        "`face_pct` is not finite, or too large a number",
        "look at the unit and the decimal point",
    ),
    (
        r#"{"reckon":"level-profile","length":"0 m","heights":["1 mm","2 mm","3 mm"]}"#,
        "length",
        "`length` is not over 0 m",
        "look at the unit and the decimal point",
    ),
    (
        r#"{"reckon":"level-profile","length":"1 m","heights":["1 mm","2 mm"]}"#,
        "heights",
        "`heights` has fewer than 3 items",
        "give at least one more",
    ),
    (
        r#"{"reckon":"level-profile","length":"1 m","heights":["1 mm","2 mm","3 mm","4 mm"]}"#,
        "heights",
        "`heights` has more than 3 items",
        "give fewer",
    ),
    (
        r#"{"reckon":"trend","readings":[["2026-02-30","1 mm"]],"resolution":"1 mm"}"#,
        "readings",
        "`date` of item 0 of `readings` is not a date: `2026-02-30`",
        "write year, month and day: `2026-03-01`",
    ),
    (
        r#"{"reckon":"trend","readings":[["2026-02-03"]],"resolution":"1 mm"}"#,
        "readings",
        "item 0 of `readings` has 1 item, not 2",
        "give as many as are asked for; `stemwall reckon trend --help` tells what it takes",
    ),
    (
        r#"{"reckon":"trend","readings":[["2026-02-03","1 mm"],["2026-02-01","1 mm"]],"resolution":"1 mm"}"#,
        "readings",
        "reading 1 is dated before the one ahead of it",
        "put the readings in order of their dates",
    ),
    (
        r#"{"reckon":"level-survey","points":[["0 m","0 m","1 mm"],["2 m","2 m","3 mm"],["4 m","4 m","2 mm"]]}"#,
        "points",
        "all points lie on one line",
        "read at least one more point, off the line of the others; `level-profile` takes three heights on a line",
    ),
    (
        r#"{"reckon":"level-survey","points":[["0 m","0 m","1 mm"],["2 m","2 m","3 mm"],["4 m","0 m","2 mm"]],"profiles":[[0,1,1.5]]}"#,
        "profiles",
        "item 2 of item 0 of `profiles` is not a whole number",
        "leave out what stands behind the point",
    ),
    (
        r#"{"reckon":"level-survey","points":[["0 m","0 m","1 mm"],["2 m","2 m","3 mm"],["4 m","0 m","2 mm"]],"profiles":[[0,1,3]]}"#,
        "profiles",
        "profile 0 names point 3, and there is none",
        "points are counted from 0, in the order of the list",
    ),
    (
        r#"{"reckon":"quantity","text":"1450","kind":"money"}"#,
        "text",
        "`text` is not an amount of money",
        "the currency is missing; add the currency: `1450 USD`",
    ),
    (
        r#"{"reckon":"present-value","discount":-0.999999,"years":10000}"#,
        "discount",
        "`discount` is beyond what can be reckoned",
        "look at the unit and the decimal point",
    ),
];

#[test]
fn every_refusal_of_a_line_says_what_which_input_and_what_to_do() {
    let text: String = REFUSALS.iter().map(|refusal| format!("{}\n", refusal.0)).collect();
    let (code, answers) = lines(text);
    assert_eq!((code, answers.len()), (1, REFUSALS.len()), "one line is no JSON");
    for ((line, input, what, attempt), answer) in REFUSALS.iter().zip(&answers) {
        let of = |key: &str| answer["error"].get(key).and_then(Value::as_str).unwrap_or_default();
        assert_eq!((of("input"), of("what"), of("try")), (*input, *what, *attempt), "{line}");
        assert_eq!(answer.get("result"), None, "{line}");
        // Lower case, no final period.
        assert!(!what.starts_with(char::is_uppercase) && !what.ends_with('.'), "{what}");
        assert!(!attempt.starts_with(char::is_uppercase) && !attempt.ends_with('.'), "{attempt}");
    }
}
