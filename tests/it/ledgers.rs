//! A ledger written by a schema that has landed opens, verifies and takes a new entry.

use std::path::Path;

use crate::world::World;

/// Schemas 3 to 6 were left within days of one another and no ledger was kept of them; what each migration changes is run on
/// the ledgers of the two before. Of every one from the seventh on there is one.
const KEPT: [i64; 2] = [1, 2];
const EVERY_ONE_FROM: i64 = 7;

#[test]
fn ledgers_of_landed_schemas_open_and_go_on() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ledgers");
    let version = |world: &World| {
        let connection = rusqlite::Connection::open(world.ledger()).unwrap();
        let newest = "SELECT max(version) FROM refinery_schema_history";
        connection.query_row(newest, [], |r| r.get::<_, i64>(0)).unwrap()
    };
    let newest = version(&World::new());
    for schema in KEPT.into_iter().chain(EVERY_ONE_FROM..=newest) {
        let path = folder.join(format!("schema-{schema}.stemwall"));
        let world = World::empty();
        std::fs::copy(&path, world.ledger()).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        assert_eq!(version(&world), schema, "{}", path.display());
        let before = world.entries().len();
        world.run(&["verify"]).ok();
        assert_eq!(version(&world), newest);
        assert!(world.run(&["status"]).ok().contains("elm"), "{}", path.display());
        world.run(&["reading", "add", "elm/1", "--width", "0.9 mm"]).ok();
        assert_eq!(world.entries().len(), before + 1);
        world.run(&["verify"]).ok();
    }
}
