//! The kinds of entry document themselves, and what the schema says is what is stored.

use serde_json::Value;

use crate::world::World;

#[test]
fn every_kind_and_every_field_says_what_it_is_for() {
    let world = World::empty();
    let kinds = world.run(&["entry", "kinds", "--json"]).json();
    let kinds = kinds.as_array().unwrap();
    assert_eq!(kinds.len(), 23);
    let mut silent = Vec::new();
    for kind in kinds {
        if kind["says"].as_str().unwrap().is_empty() {
            silent.push(kind["kind"].to_string());
        }
        assert!(!kind["fields"].as_array().unwrap().is_empty(), "{kind}");
    }
    assert!(silent.is_empty(), "{silent:?}");
}

#[test]
fn the_schema_has_every_kind_and_every_stored_fact_fits_its_own() {
    let world = World::empty();
    world.run(&["demo", "--into", "demo"]).ok();
    std::fs::rename(world.path("demo/houses.stemwall"), world.ledger()).unwrap();
    let schema = world.run(&["entry", "schema"]).json();
    let connection = rusqlite::Connection::open(world.ledger()).unwrap();
    let sql = "SELECT json_extract(envelope, '$.kind'), json_extract(body, '$.fact'), body \
               FROM entries JOIN bodies USING (chain, seq)";
    let mut statement = connection.prepare(sql).unwrap();
    let read = |r: &rusqlite::Row| Ok((r.get::<_, String>(0)?, r.get::<_, String>(1)?, r.get::<_, String>(2)?));
    let rows: Vec<(String, String, String)> = statement.query_map([], read).unwrap().map(Result::unwrap).collect();
    assert!(rows.len() > 100, "{} entries in the demo", rows.len());
    for (kind, fact, body) in rows {
        let of = &schema["$defs"][&kind];
        assert!(of.is_object(), "{kind} is not in the schema");
        let fact: Value = serde_json::from_str(&fact).unwrap();
        let properties = of["properties"].as_object().unwrap();
        for field in fact.as_object().unwrap().keys() {
            assert!(properties.contains_key(field), "{kind} stores `{field}`, which the schema does not have");
        }
        for required in of["required"].as_array().into_iter().flatten() {
            assert!(fact.get(required.as_str().unwrap()).is_some(), "{kind} lacks {required}: {fact}");
        }
        let body: Value = serde_json::from_str(&body).unwrap();
        for field in body.as_object().unwrap().keys() {
            assert!(schema["properties"].get(field).is_some(), "a body stores `{field}`");
        }
    }
    let envelope = &schema["$defs"]["envelope"]["properties"]["kind"]["enum"];
    assert_eq!(envelope.as_array().map(Vec::len), Some(23));
}

#[test]
fn an_unknown_field_or_kind_in_a_body_is_refused() {
    use stemwall::ledger::kind::{Fact, KindError};
    let good = r#"{"about":"","text":"seen"}"#;
    assert!(Fact::read("note-added", 1, good).is_ok());
    let unknown = r#"{"about":"","text":"seen","more":1}"#;
    assert!(matches!(Fact::read("note-added", 1, unknown), Err(KindError::NotThisKind { kind: "note-added", .. })));
    assert!(matches!(Fact::read("note-added", 2, good), Err(KindError::NewerVersion { version: 2, known: 1, .. })));
    assert_eq!(Fact::read("note-sung", 1, good), Err(KindError::UnknownKind("note-sung".into())));
    // What was typed and what is stored have to agree.
    let reading = |mm: &str| format!(r#"{{"finding":1,"measured":{{"width":{{"typed":"3/16 in","mm":"{mm}"}}}}}}"#);
    assert!(Fact::read("reading-added", 1, &reading("4.7625")).is_ok());
    assert!(Fact::read("reading-added", 1, &reading("4.8")).is_err());
}
