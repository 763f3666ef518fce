//! The check values of the published documents, each with its source, and what known traps would give in their place.

use serde_json::{Value, json};

use super::{answer, lines};

const RADON: &str = include_str!("../../data/published/radon.jsonl");
const STRUCTURE: &str = include_str!("../../data/published/structure.jsonl");
const WATER: &str = include_str!("../../data/published/water.jsonl");
const COST: &str = include_str!("../../data/published/cost.jsonl");

/// A figure of a result by its path: `profiles.0.one_in`.
fn at<'a>(result: &'a Value, path: &str) -> &'a Value {
    path.split('.').fold(result, |value, step| match step.parse::<usize>() {
        Ok(place) => &value[place],
        Err(_) => &value[step],
    })
}

/// Whether what was found is what the row says: a figure within so much, or the same word.
fn meets(found: &Value, said: &Value) -> bool {
    match said.as_array() {
        Some(pair) => {
            let [want, within] = [&pair[0], &pair[1]].map(|n| n.as_f64().expect("a figure and how near"));
            found.as_f64().is_some_and(|got| (got - want).abs() <= within)
        }
        None => found == said,
    }
}

fn check(file: &str, least: usize) {
    let rows: Vec<Value> = file.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    assert!(rows.len() >= least, "{} rows", rows.len());
    let text: String = rows.iter().map(|row| format!("{}\n", row["line"])).collect();
    let (code, answers) = lines(text);
    assert_eq!((code, answers.len()), (0, rows.len()));
    let mut wrong = Vec::new();
    for (row, answer) in rows.iter().zip(&answers) {
        let each = |key: &str| row[key].as_object().cloned().unwrap_or_default();
        let off = each("is").into_iter().filter(|(path, said)| !meets(at(&answer["result"], path), said));
        let trapped = each("is_not").into_iter().filter(|(path, said)| {
            let found = at(&answer["result"], path);
            found.is_null() || meets(found, said)
        });
        for (path, said) in off.chain(trapped) {
            wrong.push(format!("{}: {path} against {said}: {} gave {answer}", row["source"], row["line"]));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn radon_meets_its_documents() {
    check(RADON, 138);
}

#[test]
fn structure_meets_its_documents() {
    check(STRUCTURE, 115);
}

#[test]
fn water_air_and_wood_meet_their_documents() {
    check(WATER, 211);
}

#[test]
fn money_over_time_meets_its_documents() {
    check(COST, 31);
}

#[test]
fn a_mould_index_runs_as_the_printed_equations_do() {
    // Hukka and Viitanen 1999 with the classes of 2007, worked in hourly steps: M = 1 comes at t_m x 7 days.
    for (celsius, humidity, class, first_1, first_3, end) in [
        (20, 97, "very-sensitive", 10.42, Some(20.83), Some(5.504)),
        (20, 90, "very-sensitive", 29.46, Some(59.54), Some(3.919)),
        (20, 97, "sensitive", 18.0, Some(72.0), None),
    ] {
        let hourly = vec![json!([celsius, humidity]); 84 * 24];
        let said = answer(&json!({"reckon": "mould-index", "hourly": hourly, "class": class}));
        let near = |field: &str, want: f64, within: f64| {
            let got = said["result"][field].as_f64().unwrap();
            assert!((got - want).abs() <= within, "{class}, {celsius} C, {humidity} %: {field} is {got}, not {want}");
        };
        near("first_1_day", first_1, 0.05);
        first_3.into_iter().for_each(|day| near("first_3_day", day, 0.05));
        end.into_iter().for_each(|index| near("index", index, 1e-3));
    }
}

fn factors(discount: f64, years: u32) -> Value {
    answer(&json!({"reckon": "present-value", "discount": discount, "years": years}))["result"].clone()
}

fn factor(discount: f64, years: u32, name: &str) -> f64 {
    factors(discount, years)[name].as_f64().unwrap()
}

#[test]
fn the_worked_costs_of_handbooks_are_met_by_the_factors() {
    // NIST Handbook 135 (1995), Table 5-2, unrounded: 103,000 + 12,000 SPV(12) - 3,500 SPV(20) + 302,600 + 7,000 UPV(20).
    let total = 103_000.0 + 12_000.0 * factor(0.03, 12, "spv") - 3_500.0 * factor(0.03, 20, "spv")
        + 302_600.0
        + 7_000.0 * factor(0.03, 20, "upv");
    assert!((total - 516_221.02).abs() <= 0.01, "{total}");
    // With its factors as printed, to the dollar: SPV 0.701 and 0.554, UPV 14.88; those are ours rounded.
    let printed = |years, name, places: i32| {
        let scale = 10_f64.powi(places);
        (factor(0.03, years, name) * scale).round() / scale
    };
    let rounded = 103_000.0 + 12_000.0 * printed(12, "spv", 3) - 3_500.0 * printed(20, "spv", 3)
        + 302_600.0
        + 7_000.0 * printed(20, "upv", 2);
    assert!((rounded - 516_233.0).abs() < 0.5, "{rounded}");

    // 1,000 every third year, 3 %, 50 years: the help page of an engineering economics package, 8,174.547.
    let every_third: f64 = (3..50).step_by(3).map(|year| 1000.0 * factor(0.03, year, "spv")).sum();
    assert!((every_third - 8_174.547).abs() <= 0.001, "{every_third}");

    // USDA-NRCS, December 2010, access road: 14.60 over 10 years at 3.9 % and 5 % upkeep is 2.52 a year.
    let yearly = 14.60 * factor(0.039, 10, "capital_recovery") + 14.60 * 0.05;
    assert!((yearly - 2.52).abs() <= 0.005, "{yearly}");
}
