//! Calculations by themselves, through the binary: every row of the table, and every sort of bad input.

mod any;
mod errors;
mod laws;
mod plan;
mod published;
mod values;

use std::io::Write;
use std::process::{Command, Stdio};

use serde_json::{Value, json};
use stemwall::reckon::{ALL, Input, Kind, Need};
use stemwall::trade::rules;

use crate::world::World;

/// Runs a line through a shell, as a person would.
fn shell(command: &str) -> (i32, String, String) {
    let binary = std::path::Path::new(env!("CARGO_BIN_EXE_stemwall"));
    let path = format!("{}:/usr/bin:/bin", binary.parent().unwrap().display());
    let output = Command::new("sh")
        .args(["-c", command])
        .env_clear()
        .env("PATH", path)
        .env("NO_COLOR", "1")
        .stdin(Stdio::null())
        .output()
        .expect("sh runs");
    let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().unwrap_or(-1), text(output.stdout), text(output.stderr))
}

/// Sends lines; gives the exit code and the answers.
fn lines(input: impl AsRef<[u8]>) -> (i32, Vec<Value>) {
    let mut child = World::empty()
        .command()
        .args(["reckon", "--lines"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let mut stdin = child.stdin.take().unwrap();
    let bytes = input.as_ref().to_vec();
    let writer = std::thread::spawn(move || stdin.write_all(&bytes));
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap().unwrap();
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let answers = text.lines().map(|line| serde_json::from_str(line).unwrap_or_else(|e| panic!("{e}: {line}")));
    (output.status.code().unwrap(), answers.collect())
}

fn answer(line: &Value) -> Value {
    let (code, mut answers) = lines(format!("{line}\n"));
    assert_eq!((code, answers.len()), (0, 1), "{line}");
    answers.remove(0)
}

#[test]
fn every_calculation_has_source_standing_results_and_an_example_that_runs() {
    for calculation in ALL {
        let name = calculation.name;
        assert!(!calculation.rules.is_empty() && !calculation.results.is_empty(), "{name}");
        for rule in calculation.rules {
            assert!(rules::ALL.contains(rule), "{name}: {} is in no table", rule.name);
        }
        let command = format!("stemwall reckon {name} {}", calculation.example);
        let (code, stdout, stderr) = shell(&command);
        assert_eq!((code, stderr.as_str()), (0, ""), "{command}");
        for rule in calculation.rules {
            let unbroken = stdout.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(unbroken.contains(&format!("rule `{}`", rule.name)), "{command}: {stdout}");
        }
        assert!(stdout.ends_with("local codes come first.\n"), "{stdout}");
        assert!(stdout.lines().all(|line| line.chars().count() <= 100), "{stdout}");

        let (code, stdout, _) = shell(&format!("{command} --json"));
        let answer: Value = serde_json::from_str(&stdout).unwrap_or_else(|e| panic!("{command}: {e}"));
        assert_eq!((code, &answer["reckon"]), (0, &json!(name)));
        let given: Vec<_> = answer["result"].as_object().unwrap().keys().map(String::as_str).collect();
        let mut told: Vec<_> = calculation.results.iter().map(|output| output.name).collect();
        told.sort_unstable();
        assert_eq!(given, told, "{name} gives what it says it gives");
        for by in answer["rules"].as_array().unwrap() {
            let standing = by["standing"].as_str().unwrap();
            assert!(["read", "second-hand", "practice", "memory", "derived"].contains(&standing), "{by}");
            assert!(!by["source"].as_str().unwrap().is_empty(), "{by}");
        }

        let (code, help, _) = shell(&format!("stemwall reckon {name} --help"));
        let unbroken = help.replace(" \\\n   ", "");
        assert!(code == 0 && unbroken.contains(&format!("\n  {command}\n")), "{help}");
        for input in calculation.inputs {
            assert!(help.contains(&format!("  {} ", input.flag())), "{name} tells of {}", input.name);
        }
        // The example stands in one line, to be copied.
        assert!(help.lines().all(|line| line.chars().count() <= 100), "{help}");
    }
}

#[test]
fn names_are_unique_and_no_input_is_called_like_a_flag_of_every_command() {
    let mut names: Vec<_> = ALL.iter().map(|calculation| calculation.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), ALL.len());
    for calculation in ALL {
        let mut inputs: Vec<_> = calculation.inputs.iter().map(|input| input.name).collect();
        inputs.sort_unstable();
        inputs.dedup();
        assert_eq!(inputs.len(), calculation.inputs.len(), "{}", calculation.name);
        for taken in ["id", "reckon", "json", "ledger", "today", "by", "help", "lines"] {
            assert!(!inputs.contains(&taken), "{} has an input `{taken}`", calculation.name);
        }
    }
}

#[test]
fn the_list_has_a_line_for_each() {
    let said = World::empty().run(&["reckon"]).ok();
    for calculation in ALL {
        let line = said.lines().find(|line| line.starts_with(&format!("  {} ", calculation.name)));
        assert!(line.is_some_and(|line| line.ends_with(calculation.does)), "{}", calculation.name);
    }
    let listed = World::empty().run(&["reckon", "--json"]).json();
    assert_eq!(listed.as_array().unwrap().len(), ALL.len());
}

/// The line of a calculation's example, with its fields.
fn example(name: &str, example: &str) -> Value {
    let command = format!("stemwall reckon {name} {example}");
    let words = shell(&format!("printf '%s\\n' {example}"));
    let calculation = stemwall::reckon::named(name).unwrap();
    let mut line = json!({"reckon": name});
    let mut flag = None;
    for word in words.1.lines() {
        match (word.strip_prefix("--"), flag.take()) {
            (Some(next), None) => flag = Some(next.replace('-', "_")),
            (_, Some(field)) => {
                let input = calculation.inputs.iter().find(|input| input.name == field).unwrap();
                let value: Value = serde_json::from_str(&input.kind.json_of_all(&[word])).unwrap();
                match (line.get_mut(&field), value) {
                    (Some(Value::Array(items)), Value::Array(more)) => items.extend(more),
                    (_, value) => line[field] = value,
                }
            }
            (None, None) => panic!("`{command}` has `{word}` by itself"),
        }
    }
    line
}

/// What no input of this kind may be, with a word for the report.
fn bad_values(input: &Input) -> Vec<(&'static str, Value)> {
    let mut bad = vec![("null", Value::Null), ("an object", json!({"a": {}})), ("too deep", json!([[[[1]]]]))];
    match &input.kind {
        Kind::Quantity(..) | Kind::Signed(_) => {
            bad.extend([("no unit", json!("3")), ("another unit", json!("3 furlongs")), ("a bare number", json!(3))]);
            bad.extend([("NaN", json!("NaN m")), ("infinite", json!("inf ft")), ("empty", json!(""))]);
            bad.extend([("absurd", json!("1e30 km")), ("a comma", json!("1,5 mm"))]);
            for absurd in ["1e30 ft", "1e30 ft2", "1e30 gal", "1e30 d", "1e30 gpm", "1e30 pCi/L", "1e30 F", "1e30 psi"]
            {
                bad.push(("absurd", json!(absurd)));
            }
            if matches!(input.kind, Kind::Quantity(..)) {
                for negative in ["-1 ft", "-1 ft2", "-1 gal", "-1 d", "-1 gpm", "-1 pCi/L", "-500 F", "-1 psi", "-1 %"]
                {
                    bad.push(("negative", json!(negative)));
                }
            }
        }
        Kind::Number(..) | Kind::Whole { .. } => {
            bad.extend([
                ("text", json!("3")),
                ("absurd", json!(1e40)),
                ("absurd", json!(-1e40)),
                ("NaN", json!("NaN")),
            ]);
        }
        Kind::Word(_) => bad.extend([("no word", json!("nosuch")), ("empty", json!("")), ("a number", json!(1))]),
        Kind::Truth => bad.extend([("text", json!("yes")), ("a number", json!(1))]),
        Kind::List { least, most, .. } => {
            bad.extend([("text", json!("3")), ("a gap", json!([null, {}]))]);
            if *least > 0 {
                bad.push(("empty", json!([])));
            }
            if *most < 1_000_000 {
                bad.push(("too many", Value::Array(vec![json!(1); most + 1])));
            }
        }
        Kind::Money => bad.extend([("a number", json!(3)), ("negative", json!("-3 USD")), ("no currency", json!("3"))]),
        Kind::Date => bad.extend([("no date", json!("2026-02-30")), ("a number", json!(3))]),
        Kind::WallTime => bad.extend([
            ("an offset", json!("2026-03-01T09:00:00Z")),
            ("no date", json!("2026-02-30T09:00:00")),
            ("a date alone", json!("2026-03-01")),
            ("another century", json!("1800-03-01T09:00:00")),
            ("a number", json!(3)),
        ]),
        Kind::Instant => bad.extend([
            ("no offset", json!("2026-03-01T09:00:00")),
            ("no date", json!("2026-02-30T09:00:00Z")),
            ("another century", json!("2426-03-01T09:00:00Z")),
            ("a number", json!(3)),
        ]),
        Kind::Zone => bad.extend([("no place", json!("Mars/Base")), ("empty", json!("")), ("a number", json!(3))]),
        Kind::Text => bad.push(("a number", json!(3))),
        Kind::OneOrList { .. } => bad.extend([("text", json!("3")), ("empty", json!([]))]),
        Kind::Row(_) | Kind::Record(_) | Kind::OrGap(_) => {}
    }
    bad
}

#[test]
fn bad_input_of_every_sort_is_an_error_that_names_the_field() {
    let (mut sent, mut expected) = (String::new(), Vec::new());
    let mut send = |line: Value, field: &str, what: String| {
        sent.push_str(&format!("{line}\n"));
        expected.push((field.to_owned(), what));
    };
    for calculation in ALL {
        let good = example(calculation.name, calculation.example);
        let mut unknown = good.clone();
        unknown["nosuch"] = json!(1);
        send(unknown, "nosuch", format!("{} with `nosuch`", calculation.name));
        for input in calculation.inputs {
            let name = format!("{}, `{}`", calculation.name, input.name);
            if input.need == Need::Required {
                let mut missing = good.clone();
                missing.as_object_mut().unwrap().remove(input.name);
                send(missing, input.name, format!("{name} missing"));
            }
            for (what, value) in bad_values(input) {
                let mut bad = good.clone();
                bad[input.name] = value;
                send(bad, input.name, format!("{name}: {what}"));
            }
        }
    }
    let (code, answers) = lines(&sent);
    assert_eq!((code, answers.len()), (0, expected.len()));
    for (answer, (field, what)) in answers.iter().zip(&expected) {
        let error = &answer["error"];
        assert_eq!(error["input"], json!(field), "{what}: {answer}");
        assert!(answer.get("result").is_none(), "{what}: {answer}");
        for part in ["what", "try"] {
            assert!(error[part].as_str().is_some_and(|text| !text.is_empty()), "{what}: {answer}");
        }
    }
}

#[test]
fn lines_are_answered_in_order_with_their_ids_whatever_the_others_are() {
    let input = concat!(
        r#"{"id":1,"reckon":"step-height","step":"1/4 in"}"#,
        "\n",
        r#"{"id":"two","reckon":"step-height"}"#,
        "\n[1]\nnot json\n\n",
        r#"{"reckon":"nosuch","id":[3.0,123456789012345678901234567890]}"#,
        "\r\n{}\n",
        r#"{"id":null,"reckon":"step-height","step":"3/8 in"}"#,
    );
    let (code, answers) = lines(input);
    assert_eq!((code, answers.len()), (1, 8));
    let of = |n: usize, key: &str| answers[n].get(key).cloned().unwrap_or(json!("absent"));
    assert_eq!((of(0, "id"), of(0, "result")), (json!(1), json!({"finding": "vertical-allowed"})));
    assert_eq!((of(1, "id"), of(1, "error")["input"].clone()), (json!("two"), json!("step")));
    for n in [2, 3, 4] {
        assert_eq!((of(n, "id"), of(n, "error")["input"].clone()), (json!("absent"), json!("line")));
    }
    assert_eq!((of(5, "reckon"), of(5, "error")["input"].clone()), (json!("nosuch"), json!("reckon")));
    assert_eq!(of(6, "error")["input"], json!("reckon"));
    assert_eq!((of(7, "id"), of(7, "result")), (Value::Null, json!({"finding": "bevel"})));

    // Where every line is JSON the exit status is 0, errors or not.
    assert_eq!(lines("[]\n{}\n{\"reckon\":\"nosuch\"}\n").0, 0);
    assert_eq!(lines("").0, 0);
    assert_eq!(lines(b"\xff\xfe\n").0, 1);
    // An id comes back as it was written, not as a number that was read.
    let binary = shell(r#"printf '{"id":1.50e1,"reckon":"x"}' | stemwall reckon --lines"#);
    assert!(binary.1.starts_with(r#"{"id":1.50e1,"#), "{}", binary.1);
}

#[test]
fn an_answer_does_not_wait_for_the_next_line() {
    use std::io::{BufRead, BufReader};
    let mut child = World::empty()
        .command()
        .args(["reckon", "--lines"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("the binary runs");
    let mut stdin = child.stdin.take().unwrap();
    let mut stdout = BufReader::new(child.stdout.take().unwrap());
    stdin.write_all(b"{\"reckon\":\"step-height\",\"step\":\"1 in\"}\n{\"reckon\"").unwrap();
    let mut answer = String::new();
    stdout.read_line(&mut answer).unwrap();
    assert!(answer.contains("ramp"), "{answer}");
    drop(stdin);
    let code = child.wait().unwrap().code();
    assert_eq!(code, Some(1), "half a line is no JSON");
}

#[test]
fn a_name_slightly_wrong_is_guessed() {
    let error = |line| answer(&line)["error"].clone();
    let unknown = error(json!({"reckon": "step-hieght", "step": "1 in"}));
    assert!(unknown["try"].as_str().unwrap().starts_with("did you mean `step-height`?"), "{unknown}");
    let field = error(json!({"reckon": "step-height", "stpe": "1 in"}));
    assert_eq!(field["input"], json!("stpe"));
    assert!(field["try"].as_str().unwrap().starts_with("did you mean `step`?"), "{field}");
}

#[test]
fn flags_are_refused_as_everything_else_is() {
    let world = World::empty();
    let said = |args: &[&str]| world.run(&[&["reckon"], args].concat()).fails(2);
    assert_eq!(
        said(&["step-height", "--step", "3"]),
        "error: `--step` is not a quantity of length\ngiven: reckon step-height --step 3\n  \
         try: the unit is missing; add a unit: `3 mm` or `3 in`\n"
    );
    assert_eq!(
        said(&["step-hight"]),
        "error: `step-hight` is not a calculation\ngiven: reckon step-hight\n  \
         try: did you mean `step-height`? `stemwall reckon` lists all calculations\n"
    );
    assert_eq!(
        said(&["step-height", "3 in"]),
        "error: `3 in` does not stand behind a flag\ngiven: reckon step-height \"3 in\"\n  \
         try: put the name of its input before it; `stemwall reckon step-height --help` tells what it takes\n"
    );
    assert_eq!(
        said(&["step-height", "--step", "1 in", "--step", "2 in"]),
        "error: `--step` is given twice\ngiven: reckon step-height --step \"1 in\" --step \"2 in\"\n  \
         try: leave one of the two out\n"
    );
    assert_eq!(
        said(&["step-height", "--stp=1 in"]),
        "error: `--stp` is not an input of `step-height`\ngiven: reckon step-height \"--stp=1 in\"\n  \
         try: did you mean `--step`? `step-height` takes --step\n"
    );
}

#[test]
fn no_ledger_and_no_folder_is_made() {
    let world = World::empty();
    world.run(&["reckon", "step-height", "--step", "1 in"]).ok();
    let left = std::fs::read_dir(world.path("")).unwrap().count();
    assert_eq!(left, 0);
}
