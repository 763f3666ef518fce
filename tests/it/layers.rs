//! The layers point one way, and what belongs to one layer stays in it.

use std::path::{Path, PathBuf};

fn sources(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            out.extend(sources(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out
}

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Lines of code, comments left out.
fn code(path: &Path) -> Vec<String> {
    let text = std::fs::read_to_string(path).unwrap();
    text.lines().filter(|l| !l.trim_start().starts_with("//")).map(str::to_owned).collect()
}

#[test]
fn imports_point_to_the_right_and_down_only() {
    // Which layers a layer may name; the order is that of the design.
    let allowed: &[(&str, &[&str])] = &[
        ("quantity", &[]),
        ("calendar", &["quantity"]),
        ("trade", &["quantity", "calendar"]),
        ("deferral", &["quantity", "calendar", "trade"]),
        ("reckon", &["quantity", "calendar", "trade", "deferral"]),
        ("ledger", &["quantity", "calendar", "trade", "deferral"]),
        ("store", &["quantity", "calendar", "trade", "deferral", "ledger"]),
        ("chart", &["quantity", "calendar", "trade", "deferral"]),
        ("dossier", &["quantity", "calendar", "trade", "deferral", "ledger", "chart"]),
        (
            "command",
            &[
                "quantity", "calendar", "trade", "deferral", "reckon", "ledger", "store", "chart", "demo", "dossier",
                "remind",
            ],
        ),
        ("remind", &["quantity", "calendar"]),
    ];
    let layers = [
        "quantity", "calendar", "trade", "deferral", "reckon", "ledger", "store", "chart", "dossier", "command", "cli",
        "demo", "remind",
    ];
    let mut wrong = Vec::new();
    for (layer, may) in allowed {
        for path in sources(&src().join(layer)) {
            for line in code(&path) {
                for other in layers.iter().filter(|other| *other != layer && !may.contains(other)) {
                    if line.contains(&format!("crate::{other}::")) || line.contains(&format!("crate::{other};")) {
                        wrong.push(format!("{}: {line}", path.display()));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_pure_core_reads_no_clock_and_no_file() {
    let mut wrong = Vec::new();
    for layer in ["quantity", "calendar", "trade", "deferral", "reckon", "ledger", "chart", "dossier"] {
        for path in sources(&src().join(layer)) {
            for line in code(&path) {
                for outside in ["Utc::now", "Local::now", "SystemTime", "std::fs", "std::env", "rusqlite", "println!"] {
                    if line.contains(outside) && !path.ends_with("tests.rs") {
                        wrong.push(format!("{}: {line}", path.display()));
                    }
                }
            }
        }
    }
    // What of the reminders says what goes out when.
    for file in ["calls", "laws", "moments", "notice", "plan", "unit"] {
        for line in code(&src().join("remind").join(file).with_extension("rs")) {
            for outside in ["Utc::now", "Local::now", "SystemTime", "std::fs", "std::env", "Command", "println!"] {
                if line.contains(outside) {
                    wrong.push(format!("remind/{file}.rs: {line}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn sql_stands_in_its_own_files() {
    let mut wrong = Vec::new();
    for path in sources(&src()) {
        let text = code(&path).join("\n");
        // Tests beside the code tamper with the database on purpose.
        let product = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in product.lines() {
            let says = |word: &str| line.contains(&format!("\"{word} ")) || line.contains(&format!("\"{word}\n"));
            if ["SELECT", "INSERT", "UPDATE", "DELETE", "CREATE", "DROP"].iter().any(|w| says(w))
                && !path.components().any(|c| c.as_os_str() == "tests")
                && !path.ends_with("tests.rs")
                // What SQLite's own tables of statistics look like: compared with, never run.
                && !line.contains("sqlite_stat1")
            {
                wrong.push(format!("{}: {line}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn nothing_unwraps_and_nothing_is_left_open() {
    let mut wrong = Vec::new();
    for path in sources(&src()) {
        if path.file_name().is_some_and(|n| n == "tests.rs" || n.to_string_lossy().ends_with("_tests.rs"))
            || path.ends_with("laws.rs")
        {
            continue;
        }
        let text = code(&path).join("\n");
        let product = text.split("#[cfg(test)]").next().unwrap_or_default();
        for line in product.lines() {
            for open in [".unwrap()", "todo!(", "unimplemented!(", "dbg!("] {
                if line.contains(open) {
                    wrong.push(format!("{}: {line}", path.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn only_the_command_line_exits() {
    let mut wrong = Vec::new();
    for path in sources(&src()) {
        let in_cli = path.strip_prefix(src()).unwrap().starts_with("cli") || path.ends_with("main.rs");
        wrong.extend(code(&path).iter().filter(|l| !in_cli && l.contains("process::exit")).map(|l| l.to_owned()));
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
