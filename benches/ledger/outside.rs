//! What leaves the ledger and comes in elsewhere: a million entries.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::measure::Figure;
use crate::{made, shrink, stemwall};

/// What the commands may have of memory, code and libraries included.
const MEMORY: u64 = 256 << 20;

/// A million entries of 1,000 properties out as JSON Lines and in again, each in 256 MiB of address space.
pub fn export(folder: &Path) -> Vec<Figure> {
    let asked = 1_000_000 / shrink();
    let (_, readings) = made::batch_of_readings(folder, 1_000 / shrink().min(10), asked);
    let (from, to, file) = (folder.join("readings.stemwall"), folder.join("in.stemwall"), folder.join("out.jsonl"));
    let out = timed(&from, &["export", "json", "--out", file.to_str().expect("UTF-8")]);
    let lines = std::io::BufRead::lines(std::io::BufReader::new(std::fs::File::open(&file).expect("the export")))
        .count() as u64;
    assert!(lines > readings, "every reading, and what it is of");
    run(stemwall(&to).arg("init"));
    let taken = timed(&to, &["import", "json", file.to_str().expect("UTF-8")]);
    assert_eq!(seals(&to), seals(&from), "the same seals");
    let rate = |time: Duration| lines as f64 / time.as_secs_f64();
    let megabytes = std::fs::metadata(&file).expect("the export").len() >> 20;
    vec![
        Figure::at_least("export json, entries a second in 256 MiB", rate(out), 100_000.0)
            .beside(format!("{out:.2?}"), format!("{lines} entries, {megabytes} MiB")),
        Figure::at_least("import json, entries a second in 256 MiB", rate(taken), 30_000.0)
            .beside(format!("{taken:.2?}"), format!("{lines} entries")),
    ]
}

fn timed(ledger: &Path, args: &[&str]) -> Duration {
    let of = stemwall(ledger);
    let mut limited = Command::new("prlimit");
    limited.arg(format!("--as={MEMORY}")).arg(of.get_program()).args(of.get_args()).args(args);
    let start = Instant::now();
    run(&mut limited);
    start.elapsed()
}

pub fn run(command: &mut Command) -> String {
    let output = command.output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn seals(ledger: &Path) -> Vec<(String, Vec<u8>)> {
    let connection = rusqlite::Connection::open(ledger).expect("the ledger");
    let mut statement =
        connection.prepare("SELECT property, head FROM chains WHERE chain > 0 ORDER BY property").expect("sql");
    let rows = statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).expect("rows");
    rows.map(|r| r.expect("a row")).collect()
}
