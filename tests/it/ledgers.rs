//! A ledger written by each schema that has landed opens, verifies and takes a new entry.

use std::path::Path;

use crate::world::World;

#[test]
fn ledgers_of_every_landed_schema_open_and_go_on() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ledgers");
    let mut opened = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_none_or(|e| e != "stemwall") {
            continue;
        }
        let world = World::empty();
        std::fs::copy(&path, world.ledger()).unwrap();
        let before = world.entries().len();
        world.run(&["verify"]).ok();
        assert!(world.run(&["status"]).ok().contains("elm"), "{}", path.display());
        world.run(&["reading", "add", "elm/1", "--width", "0.9 mm"]).ok();
        assert_eq!(world.entries().len(), before + 1);
        world.run(&["verify"]).ok();
        opened += 1;
    }
    assert!(opened > 0, "there is no ledger in tests/ledgers");
}
