//! Every question the store asks: each prepares, and the hot ones are answered from the index they name.

use std::path::{Path, PathBuf};

use rusqlite::Connection;

use crate::world::World;

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/store/sql");
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    files.sort();
    files
}

fn text(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/store/sql").join(format!("{name}.sql"));
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn every_file_prepares_and_says_who_asks() {
    let world = World::new();
    let connection = Connection::open(world.ledger()).unwrap();
    let files = files();
    assert!(files.len() > 50, "the folder of questions was not found");
    for file in files {
        let sql = std::fs::read_to_string(&file).unwrap();
        assert!(sql.starts_with("-- "), "{} has no head", file.display());
        // What goes with every entry stands before the question that reads a table of entries.
        let sql = match file.file_stem().and_then(|name| name.to_str()) {
            Some("export_said") => format!("{sql}SELECT * FROM said"),
            Some(name) if name.starts_with("export_") && (sql.contains("JOIN said") || sql.contains("\n, ")) => {
                text("export_said") + &sql
            }
            _ => sql,
        };
        if let Err(error) = connection.prepare(&sql) {
            panic!("{}: {error}", file.display());
        }
    }
}

#[test]
fn every_file_is_asked() {
    let mut source = String::new();
    for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/store")).unwrap() {
        let path = entry.unwrap().path();
        if path.is_file() {
            source.push_str(&std::fs::read_to_string(path).unwrap());
        }
    }
    for file in files() {
        let name = file.file_stem().unwrap().to_str().unwrap().to_owned();
        let by_table = ["replace_", "clear_", "of_chain_"]
            .iter()
            .any(|verb| name.strip_prefix(verb).is_some_and(|table| source.contains(&format!("\"{table}\""))));
        assert!(by_table || source.contains(&format!("sql/{name}.sql")), "nobody asks {name}");
    }
}

#[test]
fn hot_questions_are_answered_from_an_index() {
    let world = World::new();
    let connection = Connection::open(world.ledger()).unwrap();
    let plan = |name: &str| {
        let mut statement = connection.prepare(&format!("EXPLAIN QUERY PLAN {}", text(name))).unwrap();
        for parameter in 1..=statement.parameter_count() {
            statement.raw_bind_parameter(parameter, 1).unwrap();
        }
        let mut rows = statement.raw_query();
        let mut lines = Vec::new();
        while let Some(row) = rows.next().unwrap() {
            lines.push(row.get::<_, String>(3).unwrap());
        }
        lines.join("; ")
    };
    for (name, uses) in [
        ("status", "INDEX overview_in_order (archived=?)"),
        ("chain_by_property", "INDEX sqlite_autoindex_chains_1 (property=?)"),
        ("property_by_key", "INDEX sqlite_autoindex_properties_1 (key=?)"),
        ("entry_by_id", "INDEX entries_by_id (id=?)"),
        ("entries_of_chain", "SEARCH e USING PRIMARY KEY (chain=?)"),
        ("entries_of_chain", "SEARCH b USING PRIMARY KEY (chain=? AND seq=?)"),
        ("stale", "INDEX overview_changes (changes_on<?)"),
        ("stale", "INDEX overview_as_of (as_of>?)"),
        ("due", "INDEX outlook_in_order (first_due_on<?)"),
        ("due_called", "INDEX outlook_called (band>?)"),
        ("duties_of", "SEARCH o USING PRIMARY KEY (chain=? AND subject=?)"),
    ] {
        let plan = plan(name);
        assert!(plan.contains(uses), "{name}: {plan}");
        // A union sorts its few rows to find equals; nothing else sorts, and nothing reads a table from end to end.
        let sorts = plan.contains("TEMP B-TREE FOR ORDER BY") && !plan.contains("MERGE (UNION)");
        // A list in a row is read from end to end; a table never is.
        let scans = plan.replace("SCAN d VIRTUAL TABLE INDEX 1:", "").contains("SCAN");
        assert!(!scans && !sorts, "{name}: {plan}");
    }
}
