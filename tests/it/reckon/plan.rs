//! `stemwall reckon plan`: what it answers, and what it refuses.

use serde_json::{Value, json};

use super::lines;

fn answer(fields: Value) -> Value {
    let mut line = fields;
    line["reckon"] = json!("plan");
    let (code, mut answers) = lines(format!("{line}\n"));
    assert_eq!((code, answers.len()), (0, 1));
    answers.remove(0)
}

fn item(id: &str, spend: [f64; 2], loss: [f64; 3]) -> Value {
    json!({"id": id, "spend": spend, "loss": loss})
}

/// By hand: both in the first year cost 850 of 500. The gutter first loses 450 + 450 with the crack in the second year; the
/// crack first would have to wait for the gutter.
#[test]
fn the_plan_is_told_with_its_proof() {
    let mut crack = item("crack", [400.0, 420.0], [400.0, 450.0, 500.0]);
    crack["after"] = json!(["gutter"]);
    let gutter = item("gutter", [450.0, 470.0], [450.0, 600.0, 800.0]);
    let answer = answer(json!({"budgets": [500, 800], "items": [gutter, crack]}));
    let wanted = json!({"chosen": {"gutter": 0, "crack": 1}, "loss": 900.0, "spent": [450.0, 420.0], "bound": 900.0,
        "optimal": true});
    assert_eq!(answer["result"], wanted);
}

/// Cents and fractions of them add up to what they are: 0.1 + 0.2 is no more than 0.3.
#[test]
fn a_budget_is_met_to_the_last_decimal() {
    let items = [item("a", [0.1, 9.0], [0.0, 1.0, 1.0]), item("b", [0.2, 9.0], [0.0, 1.0, 1.0])];
    let met = answer(json!({"budgets": [0.3, 0], "items": items}));
    assert_eq!(met["result"]["chosen"], json!({"a": 0, "b": 0}));
    let short = answer(json!({"budgets": [0.299999, 0], "items": items}));
    assert_eq!(short["result"]["loss"], json!(1.0));
}

#[test]
fn what_cannot_be_planned_names_the_item() {
    let one = || item("a", [1.0, 1.0], [0.0, 1.0, 2.0]);
    let with = |key: &str, value: Value| {
        let mut item = one();
        item[key] = value;
        item
    };
    for (items, what, attempt) in [
        (json!([one(), one()]), "`id` of item 1 of `items` is the name of another: `a`", "give each a name of its own"),
        (
            json!([with("after", json!(["b"]))]),
            "`after` of item 0 of `items` names none of the items: `b`",
            "name an item of the list by its `id`",
        ),
        (
            json!([with("after", json!(["a"]))]),
            "`items` wait for each other in a circle: `a`",
            "let one of them wait for none of the others",
        ),
        (
            json!([with("spend", json!([1]))]),
            "`spend` of item 0 of `items` has 1 item, not 2",
            "give as many as are asked for; `stemwall reckon plan --help` tells what it takes",
        ),
        (
            json!([with("loss", json!([1, 2]))]),
            "`loss` of item 0 of `items` has 2 items, not 3",
            "give as many as are asked for; `stemwall reckon plan --help` tells what it takes",
        ),
        (
            json!([with("loss", json!([1, -2, 3]))]),
            "item 1 of `loss` of item 0 of `items` is outside 0 to 1000000000000",
            "look at the unit and the decimal point",
        ),
        (json!([]), "`items` is empty", "give at least one more"),
    ] {
        let error = answer(json!({"budgets": [1, 1], "items": items}));
        assert_eq!(error["error"], json!({"what": what, "input": "items", "try": attempt}));
    }
    let mut circle = [one(), item("b", [1.0, 1.0], [0.0, 1.0, 2.0])];
    circle[0]["after"] = json!(["b"]);
    circle[1]["after"] = json!(["a"]);
    let error = answer(json!({"budgets": [1, 1], "items": circle}));
    assert_eq!(error["error"]["what"], "`items` wait for each other in a circle: `a`, `b`");
    let most = item("a", [1e12, 1e12], [1e12, 1e12, 1e12]);
    let many: Vec<Value> = (0..600)
        .map(|at| with("id", json!(format!("i{at}"))))
        .map(|mut item| {
            item["spend"] = most["spend"].clone();
            item["loss"] = most["loss"].clone();
            item
        })
        .collect();
    let error = answer(json!({"budgets": [1, 1], "items": many}));
    assert_eq!(error["error"]["what"], "`items` is beyond what can be reckoned");
}
