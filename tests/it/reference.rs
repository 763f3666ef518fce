//! The ledger as other people's tools read it: a Python script without our code, and the `sqlite3` shell.

use std::process::Command;

use crate::world::World;

fn python(world: &World) -> (bool, String) {
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/check_chain.py");
    let output = Command::new("python3").arg(script).arg(world.ledger()).output().expect("python3 runs");
    let text = [output.stdout, output.stderr].concat();
    (output.status.success(), String::from_utf8(text).expect("UTF-8"))
}

#[test]
fn reference_python_agrees_with_every_hash_of_the_demo() {
    let world = World::empty();
    world.run(&["demo", "--into", "demo"]).ok();
    let ledger = world.path("demo/houses.stemwall");
    std::fs::rename(ledger, world.ledger()).unwrap();
    let (agrees, said) = python(&world);
    assert!(agrees, "{said}");
    // The ledger's own chain and four houses.
    assert_eq!(said.lines().count(), 5, "{said}");
}

#[test]
fn reference_python_finds_a_changed_body() {
    let world = World::with_crack();
    assert!(python(&world).0);
    // Only somebody who takes the guards away first can change an entry at all.
    world
        .sql(
            "DROP TRIGGER bodies_no_update; \
             UPDATE bodies SET body = replace(body, 'south wall', 'north wall') WHERE chain = 1 AND seq = 3;",
        )
        .unwrap();
    let (agrees, said) = python(&world);
    assert!(!agrees && said.contains("entry 3"), "{said}");
}

#[test]
fn reference_shell_reads_the_tables_by_their_units() {
    let world = World::with_crack();
    world.run(&["reading", "add", "elm/1", "--width", "3/16 in", "--on", "2024-02-01"]).ok();
    let sql = "SELECT property, finding, quantity, typed, value, unit FROM readings";
    let output = Command::new("sqlite3").arg("-readonly").arg(world.ledger()).arg(sql).output().expect("sqlite3 runs");
    assert_eq!(String::from_utf8_lossy(&output.stdout), "elm|1|width|3/16 in|4.7625|mm\n");
}
