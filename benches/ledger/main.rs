//! The ledger's figures, each beside a named reference measured in the same run; every bench asserts its answer.

mod dossiers;
mod made;
mod measure;
mod occurrences;
mod outside;
mod reminders;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use measure::{Figure, median, ratio};

const TODAY: &str = "2026-03-01";

/// What the large ledgers are divided by: 1, or 100 for a trial of the script.
fn shrink() -> u64 {
    if std::env::var("STEMWALL_BENCH").is_ok_and(|v| v == "small") { 100 } else { 1 }
}

/// A name, and what measures it in a folder of its own.
type Bench = (&'static str, fn(&Path) -> Vec<Figure>);

fn main() {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|a| !a.starts_with("--")).collect();
    let benches: [Bench; 11] = [
        ("occurrences", occurrences::rules),
        ("status", status_of_the_demo),
        ("append", single_appends),
        ("readings", batch_of_readings),
        ("survey", the_surveys_shape),
        ("large", a_large_ledger),
        ("export", outside::export),
        ("tables", outside::tables),
        ("dossier", dossiers::html),
        ("pdf", dossiers::pdf),
        ("reminders", reminders::idle),
    ];
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, bench) in benches {
        if wanted.is_empty() || wanted.iter().any(|w| w == name) {
            for figure in bench(folder.path()) {
                println!("{figure}");
            }
        }
    }
}

fn stemwall(ledger: &Path) -> Command {
    let binary = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/release/stemwall");
    let binary = std::env::var_os("CARGO_TARGET_DIR").map_or(binary, |t| PathBuf::from(t).join("release/stemwall"));
    let mut command = Command::new(binary);
    command.arg("--ledger").arg(ledger).args(["--today", TODAY]);
    command
}

fn shell(ledger: &Path, sql: &str) -> Command {
    let mut command = Command::new("sqlite3");
    command.arg(ledger).arg(sql);
    command
}

/// What a command says in 100 MiB of address space, code and libraries included: stricter than the resident size asked
/// for. Not timed: the program that sets the limit has to be started too.
fn said_in_100_mib(command: &Command) -> String {
    let mut limited = Command::new("prlimit");
    limited.arg("--as=104857600").arg(command.get_program()).args(command.get_args());
    let output = limited.output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

/// Wall time of whole processes, taken in turns so that both see the same machine; the output of the last run of each.
fn in_turns(
    rounds: usize,
    one: &dyn Fn() -> Command,
    other: &dyn Fn() -> Command,
) -> (Duration, Duration, [String; 2]) {
    let run = |command: &mut Command| {
        let start = Instant::now();
        let output = command.output().expect("it runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        (start.elapsed(), String::from_utf8(output.stdout).expect("UTF-8"))
    };
    let (mut ones, mut others, mut said) = (Vec::new(), Vec::new(), [String::new(), String::new()]);
    for _ in 0..rounds {
        let (time, out) = run(&mut one());
        ones.push(time);
        said[0] = out;
        let (time, out) = run(&mut other());
        others.push(time);
        said[1] = out;
    }
    (median(ones), median(others), said)
}

const STATUS_ROWS: &str = "SELECT p.key, p.name, o.foundations, o.worst, o.open_findings, o.next_due_on, o.not_known \
                           FROM overview o JOIN properties p USING (chain) WHERE o.archived = 0 \
                           ORDER BY o.worst DESC, o.key";

fn status_of_the_demo(folder: &Path) -> Vec<Figure> {
    let demo = folder.join("demo");
    let mut made = stemwall(Path::new("unused"));
    let output = made.arg("demo").arg("--into").arg(&demo).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let ledger = demo.join("houses.stemwall");
    let ours = || {
        let mut c = stemwall(&ledger);
        c.arg("status");
        c
    };
    let (time, reference, said) = in_turns(60, &ours, &|| shell(&ledger, STATUS_ROWS));
    assert_eq!(said[1].lines().count(), 4, "the shell reads four houses");
    assert!(said[1].lines().all(|l| said[0].contains(l.split('|').next().unwrap())), "status shows the same four");
    vec![
        Figure::at_most("status of the demo, whole process", ratio(time, reference), 2.0)
            .beside(format!("{time:.2?}"), format!("sqlite3 shell {reference:.2?}")),
    ]
}

fn single_appends(folder: &Path) -> Vec<Figure> {
    [10, 600, 10_000].into_iter().map(|size| made::single_appends(folder, size)).collect()
}

fn batch_of_readings(folder: &Path) -> Vec<Figure> {
    let entries = 1_000_000 / shrink();
    let (time, counted) = made::batch_of_readings(folder, 1_000 / shrink().min(10), entries);
    assert_eq!(counted, entries, "every reading is in the projection");
    let rate = entries as f64 / time.as_secs_f64();
    vec![
        Figure::at_least("batch of readings onto 1,000 properties, entries a second", rate, 50_000.0)
            .beside(format!("{time:.2?}"), format!("{entries} entries")),
    ]
}

fn the_surveys_shape(folder: &Path) -> Vec<Figure> {
    let properties = 333_334 / shrink();
    let (time, counted) = made::survey(folder, properties);
    assert_eq!(counted, properties, "every test is in the projection");
    let rate = (properties * 3) as f64 / time.as_secs_f64();
    vec![
        Figure::at_least("property, section and radon test each, entries a second", rate, 30_000.0)
            .beside(format!("{time:.2?}"), format!("{} entries", properties * 3)),
    ]
}

/// 100,000 properties and 2,000,000 entries.
fn a_large_ledger(folder: &Path) -> Vec<Figure> {
    let properties = 100_000 / shrink();
    let large = folder.join("large.stemwall");
    let small = folder.join("small.stemwall");
    made::ledger_of(&large, properties);
    made::ledger_of(&small, 1);
    let mut figures = Vec::new();

    let first_screen = format!("{STATUS_ROWS} LIMIT 25");
    let ours = || {
        let mut c = stemwall(&large);
        c.args(["status", "--limit", "25"]);
        c
    };
    let (time, reference, said) = in_turns(30, &ours, &|| shell(&large, &first_screen));
    assert!(said[1].lines().all(|l| said[0].contains(l.split('|').next().unwrap())), "the same first screen");
    assert_eq!(said_in_100_mib(&ours()), said[0]);
    figures.push(
        Figure::at_most("status --limit 25 of 100,000 properties, in 100 MiB", ratio(time, reference), 2.0)
            .beside(format!("{time:.2?}"), format!("sqlite3 shell {reference:.2?}")),
    );

    // The rows that have the duties, in the order of the indexes: what goes to a licensed person comes first. The whole list by
    // the view, which has one a line.
    let subjects = "SELECT p.key, o.subject, o.first_due_on, o.duties FROM outlook o JOIN properties p USING (chain)";
    let called = format!(
        "{subjects} WHERE o.called_on <= '2026-03-31' ORDER BY o.band DESC, o.called_on, o.chain, o.subject LIMIT 25"
    );
    let others = format!(
        "{subjects} WHERE o.first_due_on <= '2026-03-31' AND o.called_on IS NULL \
         ORDER BY o.first_due_on, o.chain, o.subject LIMIT 25"
    );
    let due_rows = "SELECT * FROM duties WHERE due_on <= '2026-03-31' ORDER BY due_on";
    let due = |more: &'static [&'static str]| {
        let mut c = stemwall(&large);
        c.args(["due", "--within", "30d"]).args(more);
        c
    };
    let first = format!("SELECT * FROM (SELECT * FROM ({called}) UNION ALL SELECT * FROM ({others})) LIMIT 25");
    let (time, reference, said) = in_turns(30, &|| due(&["--limit", "25"]), &|| shell(&large, &first));
    assert!(said[1].lines().all(|l| said[0].contains(l.split('|').next().unwrap())), "the same first screen");
    assert_eq!(said_in_100_mib(&due(&["--limit", "25"])), said[0]);
    figures.push(
        Figure::at_most("due --within 30d --limit 25 of 100,000 properties, in 100 MiB", ratio(time, reference), 2.0)
            .beside(format!("{time:.2?}"), format!("sqlite3 shell {reference:.2?}")),
    );
    let duties = made::count_at(&large, "SELECT count(*) FROM duties");
    let a_house = duties as f64 / properties as f64;
    assert!((14.0..=16.0).contains(&a_house), "{a_house} duties a house");
    let (time, reference, said) = in_turns(3, &|| due(&["--json"]), &|| shell(&large, due_rows));
    let listed: serde_json::Value = serde_json::from_str(&said[0]).expect("JSON");
    assert_eq!(listed.as_array().map(Vec::len), Some(said[1].lines().count()), "the whole list");
    assert!(said_in_100_mib(&due(&["--json"])) == said[0], "the same list");
    let lines = said[1].lines().count();
    figures.push(
        Figure::at_most(
            "due --within 30d --json of 100,000 properties, the whole list, in 100 MiB",
            ratio(time, reference),
            2.0,
        )
        .beside(format!("{lines} of {duties} duties, {time:.2?}"), format!("sqlite3 shell {reference:.2?}")),
    );

    let show = |ledger: &Path| {
        let mut c = stemwall(ledger);
        c.args(["property", "show", "house-0"]);
        c
    };
    let (time, reference, said) = in_turns(40, &|| show(&large), &|| show(&small));
    let house = |said: &str| said.lines().filter(|l| !l.contains("seal")).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(house(&said[0]), house(&said[1]), "the same house, up to its seal");
    figures.push(
        Figure::at_most("property show among 100,000", ratio(time, reference), 1.5)
            .beside(format!("{time:.2?}"), format!("among one {reference:.2?}")),
    );

    let add = |ledger: &Path| {
        let mut c = stemwall(ledger);
        c.args(["reading", "add", "house-0/1", "--width", "0.9 mm", "--on", "2026-02-28", "--sure"]);
        c
    };
    let (time, reference, _) = in_turns(40, &|| add(&large), &|| add(&small));
    figures.push(
        Figure::at_most("one append among 100,000", ratio(time, reference), 1.5)
            .beside(format!("{time:.2?}"), format!("among one {reference:.2?}")),
    );

    let verify = || {
        let mut c = stemwall(&large);
        c.arg("verify");
        c
    };
    let sum = || {
        let mut c = Command::new("sha256sum");
        c.arg(&large);
        c
    };
    let (time, reference, _) = in_turns(1, &verify, &sum);
    let bytes = std::fs::metadata(&large).expect("the ledger").len();
    figures.push(
        Figure::at_most("verify of 2,000,000 entries", ratio(time, reference), 10.0)
            .beside(format!("{time:.2?}"), format!("sha256sum of {} MiB {reference:.2?}", bytes >> 20)),
    );
    figures
}
