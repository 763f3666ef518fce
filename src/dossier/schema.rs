//! The JSON Schema of a dossier, from the types that write it; envelopes and bodies are described by `entry schema`.

use serde_json::{Value, json};

use super::data::JsonFile;

/// JSON Schema 2020-12 of the JSON file; the block in a page is its `dossier`.
pub fn schema() -> Value {
    let mut schema = schemars::schema_for!(JsonFile).to_value();
    schema["title"] = json!("A dossier of a property");
    schema["description"] = json!(
        "Entries as they were hashed, each with its hash. `envelope` and `body` are texts of canonical JSON (RFC 8785), described by \
         `stemwall entry schema`; SHA-256 of `envelope` is `hash`, that of `body` stands in the envelope, and each envelope names the \
         hash of the one before as `prev` (the first: 64 zeros)."
    );
    schema
}
