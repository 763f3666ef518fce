//! `entry`: one recorded fact, its kinds, and their schema.

use serde_json::{Map, Value, json};
use uuid::Uuid;

use super::place::unknown_property;
use super::{Context, Error};
use crate::dossier::camera::Place;
use crate::ledger::fold::{Fate, Recorded, fates};
use crate::ledger::kind::{Home, KINDS};
use crate::ledger::subject::Address;
use crate::store::Store;

/// An entry with what became of it.
pub struct Shown {
    pub key: String,
    pub entry: Recorded,
    pub fate: Fate,
    /// Its fact as the ledger stores it; `None` where the body is absent.
    pub fact: Option<Value>,
    /// Where each of its files says that it was taken.
    pub places: Vec<Option<Place>>,
}

pub fn show(context: &Context, store: &mut Store, typed: &str) -> Result<Shown, Error> {
    let Address::Entry { key, seq } = Address::parse(typed)? else {
        return Err(Error::NotThat { given: typed.to_owned(), wanted: "an entry, such as `larkspur-14#12`" });
    };
    let (_, mut entries) = find(context, store, &key, seq, typed)?;
    let fate = fates(&entries).get(&seq).copied().unwrap_or(Fate::Lives);
    let entry = entries.swap_remove(usize::try_from(seq - 1).unwrap_or_default());
    let fact = entry.body.as_ref().and_then(|b| serde_json::to_value(&b.fact).ok());
    let files = entry.body.iter().flat_map(|b| b.attachments());
    let places = files.map(|file| super::photograph::place(store, file)).collect();
    Ok(Shown { key, entry, fate, fact, places })
}

/// The chain of a property, which has an entry `seq`.
pub(super) fn find(
    context: &Context,
    store: &mut Store,
    key: &str,
    seq: u64,
    typed: &str,
) -> Result<(Uuid, Vec<Recorded>), Error> {
    let id = match key {
        "" => Some(context.property(store, None)?.id),
        key => store.property_id(key)?,
    };
    let Some(id) = id else { return Err(unknown_property(store, key.to_owned())?) };
    let entries = store.entries(id)?;
    if seq > entries.len() as u64 {
        return Err(Error::UnknownEntry { entry: typed.to_owned(), length: entries.len() as u64 });
    }
    Ok((id, entries))
}

/// One JSON Schema for all kinds: envelope, body, and the fact of each kind under `$defs`.
pub fn schema() -> Value {
    let mut defs = Map::new();
    let mut facts = Vec::new();
    for row in KINDS {
        let mut schema = (row.schema)().to_value();
        if let Some(object) = schema.as_object_mut() {
            object.remove("$schema");
            // Definitions of a kind's own move to the one place they are looked for.
            if let Some(Value::Object(own)) = object.remove("$defs") {
                defs.extend(own);
            }
        }
        defs.insert(row.name.to_owned(), schema);
        facts.push(json!({"$ref": format!("#/$defs/{}", row.name)}));
    }
    defs.insert("envelope".into(), envelope());
    let remarks = schemars::schema_for!(crate::ledger::entry::Remarks).to_value();
    let mut body = Map::new();
    if let Some(properties) = remarks.get("properties").and_then(Value::as_object) {
        body.extend(properties.clone());
    }
    if let Some(Value::Object(own)) = remarks.get("$defs") {
        defs.extend(own.clone());
    }
    body.insert("v".into(), json!({"type": "integer", "description": "Version of the fact's shape."}));
    body.insert("salt".into(), json!({"type": "string", "pattern": "^[0-9a-f]{32}$"}));
    body.insert("fact".into(), json!({"oneOf": facts}));
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A body of an entry; envelopes are under $defs/envelope",
        "type": "object",
        "properties": body,
        "required": ["v", "salt", "fact"],
        "additionalProperties": false,
        "$defs": defs,
    })
}

fn envelope() -> Value {
    let hash = json!({"type": "string", "pattern": "^[0-9a-f]{64}$"});
    let kinds: Vec<&str> = KINDS.iter().map(|k| k.name).collect();
    json!({
        "type": "object",
        "description": "Canonical JSON (RFC 8785); its SHA-256 is the entry's hash.",
        "properties": {
            "v": {"const": crate::ledger::entry::ENVELOPE_VERSION},
            "property": {"type": "string", "format": "uuid"},
            "seq": {"type": "integer", "minimum": 1},
            "prev": hash,
            "id": {"type": "string", "format": "uuid"},
            "kind": {"enum": kinds},
            "on": {"type": "string", "description": "When it happened: 2026-03-01 or 2026-03-01T10:00, in the property's zone."},
            "recorded": {"type": "string", "format": "date-time", "description": "When it was entered, UTC."},
            "body": {"type": "string", "pattern": "^[0-9a-f]{64}$", "description": "SHA-256 of the body's bytes."},
        },
        "required": ["v", "property", "seq", "prev", "id", "kind", "on", "recorded", "body"],
        "additionalProperties": false,
    })
}

/// A kind of entry as it documents itself.
#[derive(serde::Serialize)]
pub struct KindShown {
    pub kind: &'static str,
    pub home: Home,
    pub version: u32,
    pub says: String,
    pub fields: Vec<FieldShown>,
}

#[derive(serde::Serialize)]
pub struct FieldShown {
    pub field: String,
    pub required: bool,
    pub says: String,
}

/// Every kind with its fields, from the code.
pub fn kinds() -> Vec<KindShown> {
    KINDS
        .iter()
        .map(|row| {
            let schema = (row.schema)().to_value();
            let required = schema.get("required").and_then(Value::as_array).cloned().unwrap_or_default();
            let field = |(name, of): (&String, &Value)| FieldShown {
                field: name.clone(),
                required: required.iter().any(|r| r == name),
                says: description(of),
            };
            let properties = schema.get("properties").and_then(Value::as_object);
            KindShown {
                kind: row.name,
                home: row.home,
                version: row.version,
                says: description(&schema),
                fields: properties.map(|p| p.iter().map(field).collect()).unwrap_or_default(),
            }
        })
        .collect()
}

fn description(of: &Value) -> String {
    let text = of.get("description").and_then(Value::as_str).unwrap_or_default();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
