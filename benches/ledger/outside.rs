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

/// A million readings of 1,000 houses in a table, the houses by turns, into a ledger that has their cracks, and all of it out again
/// as tables, each in 256 MiB of address space.
pub fn tables(folder: &Path) -> Vec<Figure> {
    let (houses, each) = (1_000 / shrink().min(10), 1_000 / shrink().min(10));
    let rows = houses * each;
    let (ledger, table) = (folder.join("tables.stemwall"), folder.join("table.csv"));
    let file = table.to_str().expect("UTF-8");
    run(stemwall(&ledger).arg("init"));
    let import = |kind: &'static str, columns: &'static str| {
        ["import", "csv", file, "--kind", kind, "--columns", columns].map(str::to_owned)
    };
    let all = |row: &dyn Fn(u64) -> String| (0..houses).map(row).collect::<String>();
    let write = |text: String| std::fs::write(&table, text).expect("a table");
    write("house,name\n".to_owned() + &all(&|house| format!("house-{house},House {house}\n")));
    run(stemwall(&ledger).args(import("properties", "property=house,name=name")));
    write("house,what,where,on\n".to_owned() + &all(&|house| format!("house-{house},crack,wall,2010-01-01\n")));
    run(stemwall(&ledger).args(import("findings", "property=house,kind=what,place=where,on=on")));
    let first = chrono::NaiveDate::from_ymd_opt(2010, 1, 5).expect("a date");
    let mut text = "house,no,on,width\n".to_owned();
    for round in 0..each {
        let day = first + chrono::Days::new(round * 5);
        text += &all(&|house| format!("house-{house},1,{day},0.{} mm\n", 5 + (round * 7 + house) % 4));
    }
    let megabytes = text.len() >> 20;
    write(text);
    let args = import("readings", "property=house,finding=no,on=on,width=width");
    let (taken, said) = timed_in(&ledger, &args.each_ref().map(String::as_str));
    assert!(said.starts_with(&format!("{rows} rows: {rows} entries went in")), "{said}");
    let out = folder.join("tables");
    let (written, said) = timed_in(&ledger, &["export", "csv", "--out", out.to_str().expect("UTF-8")]);
    assert!(said.contains(&format!("{rows} readings")), "{said}");
    let lines = |name: &str| {
        let file = std::fs::File::open(out.join(name)).expect("a table");
        std::io::BufRead::lines(std::io::BufReader::new(file)).count() as u64 - 1
    };
    assert_eq!(
        (lines("readings.csv"), lines("entries.csv")),
        (rows, rows + 2 * houses),
        "every reading, and every entry"
    );
    let rate = |rows: u64, time: Duration| rows as f64 / time.as_secs_f64();
    vec![
        Figure::at_least("import csv, entries a second in 256 MiB", rate(rows, taken), 30_000.0)
            .beside(format!("{taken:.2?}"), format!("{rows} rows, {megabytes} MiB")),
        Figure::at_least("export csv, rows a second in 256 MiB", rate(2 * rows + 4 * houses, written), 100_000.0)
            .beside(format!("{written:.2?}"), format!("{} rows of tables", 2 * rows + 4 * houses)),
    ]
}

fn timed(ledger: &Path, args: &[&str]) -> Duration {
    timed_in(ledger, args).0
}

/// How long a command takes in 256 MiB of address space, and what it says.
fn timed_in(ledger: &Path, args: &[&str]) -> (Duration, String) {
    let of = stemwall(ledger);
    let mut limited = Command::new("prlimit");
    limited.arg(format!("--as={MEMORY}")).arg(of.get_program()).args(of.get_args()).args(args);
    let start = Instant::now();
    let said = run(&mut limited);
    (start.elapsed(), said)
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
