//! The figures of calculations: lines a second beside CPython, a year of mould, a long trend. Every bench asserts its answer.

#[path = "../ledger/measure.rs"]
#[allow(dead_code)]
mod measure;

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use chrono::{Days, NaiveDate};
use measure::Figure;
use serde_json::Value;
use stemwall::quantity::{Share, Temperature};
use stemwall::trade::mould::{self, Class};
use stemwall::trade::trend::{self, Point, State};

/// Lines that the program answers, and that CPython does.
const LINES: usize = 400_000;
/// A shared machine disturbs: the least of so many runs is taken.
const RUNS: usize = 5;
const HOURS: usize = 8760;
const READINGS: usize = 200;

type Bench = (&'static str, fn() -> Vec<Figure>);

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let benches: [Bench; 3] = [("lines", lines_a_second), ("mould", a_year_of_mould), ("trend", a_long_trend)];
    for (name, bench) in benches {
        if wanted.is_empty() || wanted.iter().any(|w| w == name) {
            bench().iter().for_each(|figure| println!("{figure}"));
        }
    }
}

/// The same four calculations over and over, each with other inputs.
fn input(count: usize) -> String {
    let mut text = String::with_capacity(count * 80);
    for n in 0..count {
        // From 2 C on: at 0 C itself psychrolib takes the equation over ice, we that over water.
        let (c, h) = (n % 350 + 20, n / 7 % 99 + 1);
        let line = match n % 4 {
            0 => format!(r#"{{"id":{n},"reckon":"saturation","temperature":"{}.{} C"}}"#, c / 10, c % 10),
            1 => format!(r#"{{"id":{n},"reckon":"wood-moisture","temperature":"{} F","humidity":{h}}}"#, 32 + c / 5),
            2 => format!(
                r#"{{"id":{n},"reckon":"surface-humidity","air":"{} C","humidity":{h},"surface":"{} C"}}"#,
                c / 10,
                c / 20
            ),
            _ => format!(
                r#"{{"id":{n},"reckon":"radon-average","results":["{}.{} pCi/L","{}.5 pCi/L"]}}"#,
                h / 10,
                h % 10,
                c / 10
            ),
        };
        text.push_str(&line);
        text.push('\n');
    }
    text
}

/// User time and answers of a program that reads the lines.
fn timed(program: &Path, arguments: &[&str], input: &Path) -> (Duration, Vec<Value>) {
    let answers = tempfile::NamedTempFile::new().expect("a temporary file");
    // The shell tells the user time of the program alone.
    let script = r#"TIMEFORMAT=%3U; out=$1; in=$2; shift 2; time "$@" <"$in" >"$out""#;
    let mut command = Command::new("bash");
    command.args(["-c", script, "bash"]).arg(answers.path()).arg(input).arg(program).args(arguments);
    let output = command.stdin(Stdio::null()).output().expect("bash runs");
    let said = String::from_utf8_lossy(&output.stderr);
    let seconds: f64 = said.trim().parse().unwrap_or_else(|_| panic!("{}: {said}", program.display()));
    let text = std::fs::read_to_string(answers.path()).expect("answers");
    let parsed = text.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    (Duration::from_secs_f64(seconds), parsed)
}

fn figures_of(answer: &Value) -> Vec<f64> {
    let result = &answer["result"];
    ["pressure_pa", "moisture_pct", "humidity_pct", "average_pci_l"].iter().filter_map(|f| result[f].as_f64()).collect()
}

fn lines_a_second() -> Vec<Figure> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let path = folder.path().join("lines");
    std::fs::File::create(&path).and_then(|mut f| f.write_all(input(LINES).as_bytes())).expect("written");
    let target = std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target"), PathBuf::from);
    let binary = target.join("release/stemwall");
    let mut best: Option<(Duration, Vec<Value>)> = None;
    for _ in 0..RUNS {
        let run = timed(&binary, &["reckon", "--lines"], &path);
        if best.as_ref().is_none_or(|(least, _)| run.0 < *least) {
            best = Some(run);
        }
    }
    let (ours, answers) = best.expect("a run");
    assert_eq!(answers.len(), LINES);
    // Line 580 asks for 25.0 C (580 % 350 + 20 tenths): by ASHRAE 2017, Table 3, that is 3169.7 Pa.
    let at_25 = figures_of(&answers[580]);
    assert!((at_25[0] - 3169.7).abs() < 0.95, "{}", answers[580]);
    let a_second = |time: Duration| LINES as f64 / time.as_secs_f64();
    let rate = Figure::at_least("calculations a second by `reckon --lines`, of user time", a_second(ours), 200_000.0);

    let Some(python) = std::env::var_os("STEMWALL_BENCH_PYTHON") else {
        println!("skipped  the ratio to CPython: STEMWALL_BENCH_PYTHON names no interpreter with psychrolib and NumPy");
        return vec![rate.beside(format!("{ours:.0?}"), "no reference".to_owned())];
    };
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/reckon/lines.py");
    let (theirs, expected) = timed(Path::new(&python), &[script.to_str().expect("a path in UTF-8")], &path);
    assert_eq!(expected.len(), LINES);
    for (our, their) in answers.iter().zip(&expected) {
        assert_eq!(our["id"], their["id"]);
        let (our_figures, their_figures) = (figures_of(our), figures_of(their));
        assert_eq!(our_figures.len(), 1, "{our}");
        let (a, b) = (our_figures[0], their_figures[0]);
        assert!((a - b).abs() <= 1e-6 * a.abs().max(1.0), "{our} beside {their}");
    }
    let said =
        (format!("{:.0} a second", a_second(ours)), format!("CPython, psychrolib and NumPy: {:.0}", a_second(theirs)));
    let times = Figure::at_least("times as many as CPython", theirs.as_secs_f64() / ours.as_secs_f64(), 1.0);
    vec![rate.beside(said.0.clone(), said.1.clone()), times.beside(said.0, said.1)]
}

/// The least time of many runs, in milliseconds, and the answer.
fn least<T>(runs: usize, mut run: impl FnMut() -> T) -> (f64, T) {
    let mut best: Option<(Duration, T)> = None;
    for _ in 0..runs {
        let began = Instant::now();
        let answer = run();
        let took = began.elapsed();
        if best.as_ref().is_none_or(|(least, _)| took < *least) {
            best = Some((took, answer));
        }
    }
    let (took, answer) = best.expect("a run");
    (took.as_secs_f64() * 1000.0, answer)
}

fn a_year_of_mould() -> Vec<Figure> {
    // Damp half of each day and dry the other: growth, pauses and decline all have their turn.
    let hour = |n: usize| {
        let damp = (n / 12).is_multiple_of(2);
        let (tenths, humidity) = (150 + (n % 100) as i128, if damp { 97 } else { 70 });
        (Temperature::celsius(tenths, 10), Share::percent(humidity, 1))
    };
    let hourly: Vec<_> = (0..HOURS).map(hour).collect();
    let (ms, index) = least(20, || mould::index(&hourly, Class::VerySensitive).expect("an index"));
    assert!(index.peak > 1.0 && index.peak < 6.0 && index.first_1_day.is_some(), "{index:?}");
    let steady = vec![(Temperature::celsius(20, 1), Share::percent(97, 1)); HOURS];
    let steady = mould::index(&steady, Class::VerySensitive).expect("an index");
    // Hukka and Viitanen 1999: at 20 C and 97 % the index tends to 5.504.
    assert!((steady.index - 5.504).abs() < 1e-3, "{steady:?}");
    vec![
        Figure::at_most("milliseconds for the mould index of a year of hours", ms, 2.0)
            .beside(format!("{ms:.3} ms"), "no reference".to_owned()),
    ]
}

fn a_long_trend() -> Vec<Figure> {
    // 0.6 mm a year beneath a season of 0.3 mm, read every nine days, to a hundredth of a millimetre.
    let first = NaiveDate::from_ymd_opt(2020, 1, 1).expect("a day");
    let reading = |n: usize| {
        let years = n as f64 * 9.0 / 365.25;
        let mm = 2.0 + 0.6 * years + 0.3 * (std::f64::consts::TAU * years).cos();
        Point { on: first + Days::new(n as u64 * 9), mm: (mm * 100.0).round() / 100.0 }
    };
    let points: Vec<Point> = (0..READINGS).map(reading).collect();
    let (ms, found) = least(50, || trend::trend(&points, 0.1, Some(6.0)).expect("a trend"));
    let slope = found.growth.slope().expect("a slope");
    assert!(found.growth.state == State::Growing && (slope - 0.6).abs() < 0.01, "{slope}");
    vec![
        Figure::at_most("milliseconds for everything in the trend of 200 readings", ms, 1.0)
            .beside(format!("{ms:.3} ms"), "no reference".to_owned()),
    ]
}
