//! What a dossier holds, and its spellings: a JSON file, by itself or attached to a PDF, and the block inside a page of HTML.
//!
//! Each value has one spelling, so a file that was read can be written again and compared byte for byte.

use std::collections::BTreeMap;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use chrono::NaiveDate;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::DossierError;
use super::leave_out::Reason;
use super::pdf::attached::{BEGIN, attached};
use crate::ledger::hash::Hash;

/// The version of what is written here.
pub const FORMAT: u32 = 1;
/// A larger file is neither written nor read, in bytes; design figure of this program.
pub const MOST_BYTES: u64 = 1 << 30;
/// Before the block in a page, and behind it.
pub(super) const BLOCK: &str = "<script type=\"application/json\" id=\"stemwall-dossier\">";
pub(super) const BLOCK_END: &str = "</script>";
/// How a page says by what it was written.
const GENERATOR: &str = "<meta name=\"generator\" content=\"stemwall ";
/// Before a picture's bytes in a page.
const PICTURE: &str = " src=\"data:image/";

/// Everything a dossier says, but for the bytes of its pictures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Dossier {
    /// Version of this format.
    pub stemwall_dossier: u32,
    /// The program that computed the page from the entries: the same one computes the same page.
    pub written_by: String,
    /// The property's random identifier, as in every envelope.
    #[schemars(with = "String")]
    pub property: Uuid,
    /// The day that verdicts are computed for.
    #[schemars(with = "String")]
    pub as_of: NaiveDate,
    /// The page lists what happened from this day on; the entries are all here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub since: Option<NaiveDate>,
    /// The settings under which verdicts are computed, by name.
    pub settings: BTreeMap<String, String>,
    /// Pictures in the order of the entries that name them.
    pub pictures: Vec<Picture>,
    /// The whole chain.
    pub entries: Vec<Entry>,
}

/// One entry: the hashed bytes themselves, as text.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    /// Canonical JSON (RFC 8785); its SHA-256 is `hash`.
    pub envelope: String,
    /// 64 hex digits.
    #[schemars(with = "String")]
    pub hash: Hash,
    /// Canonical JSON; its SHA-256 stands in the envelope as `body`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub body: Option<String>,
    /// Why there is no body.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub left_out: Option<Reason>,
    /// What is told in place of a body that is left out; no hash proves it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub told: Option<String>,
}

/// A picture as the dossier has it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Picture {
    /// SHA-256 of the file that the entry names.
    #[schemars(with = "String")]
    pub file: Hash,
    /// SHA-256 of the bytes in the dossier: equal to `file` where it is the file itself.
    #[schemars(with = "String")]
    pub shown: Hash,
    pub media: Media,
    /// In pixels.
    pub width: u32,
    pub height: u32,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Media {
    Jpeg,
    Png,
}

impl Media {
    pub fn word(self) -> &'static str {
        match self {
            Media::Jpeg => "jpeg",
            Media::Png => "png",
        }
    }
}

/// The bytes of pictures, by their hash, in base64.
pub type Pictures = BTreeMap<Hash, String>;

/// The file a dossier is when it is written as JSON.
#[derive(Debug, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JsonFile {
    pub dossier: Dossier,
    /// The bytes of its pictures in base64, by their SHA-256.
    #[schemars(with = "BTreeMap<String, String>")]
    pub pictures: BTreeMap<String, String>,
    /// SHA-256 of `dossier` as the page has it: fixes the settings, the days and the pictures along with the entries.
    #[schemars(with = "String")]
    pub fingerprint: Hash,
}

impl Dossier {
    /// The block of a page: JSON in which nothing can end the element it stands in, and nothing has to be escaped twice.
    pub fn block(&self) -> String {
        let json = serde_json::to_string(self).expect("texts, numbers, lists and objects are JSON");
        let mut out = String::with_capacity(json.len());
        for c in json.chars() {
            // Only strings hold such characters, and there an escape says the same.
            if c == '<' || ('\u{7f}'..='\u{9f}').contains(&c) || u32::from(c) & 0xfffe == 0xfffe || is_no_character(c) {
                for unit in c.encode_utf16(&mut [0; 2]) {
                    out.push_str(&format!("\\u{unit:04x}"));
                }
            } else {
                out.push(c);
            }
        }
        out
    }

    /// What fixes all of it.
    pub fn fingerprint(&self) -> Hash {
        Hash::of(self.block().as_bytes())
    }

    /// The JSON file.
    pub fn json(&self, pictures: &Pictures) -> String {
        let pictures = pictures.iter().map(|(hash, bytes)| (hash.to_hex(), bytes.clone())).collect();
        let file = JsonFile { dossier: self.clone(), pictures, fingerprint: self.fingerprint() };
        let mut out = serde_json::to_string_pretty(&file).expect("texts, numbers, lists and objects are JSON");
        out.push('\n');
        out
    }
}

/// Code points that Unicode keeps from ever being characters, which HTML refuses.
fn is_no_character(c: char) -> bool {
    ('\u{fdd0}'..='\u{fdef}').contains(&c)
}

/// A dossier as it was read, with the pictures it has.
pub struct Read {
    pub dossier: Dossier,
    pub pictures: Pictures,
    pub form: Form,
}

/// The forms of a dossier.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    Html,
    Json,
    /// With the bytes of the JSON file that is attached to it.
    Pdf {
        attached: Vec<u8>,
    },
}

/// Reads any form. What it holds is still to be checked.
pub fn read(bytes: &[u8]) -> Result<Read, DossierError> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(DossierError::TooLarge);
    }
    if bytes.starts_with(BEGIN) {
        let attached = attached(bytes)?;
        let (dossier, pictures) = read_json(text_of(&attached)?)?;
        return Ok(Read { dossier, pictures, form: Form::Pdf { attached } });
    }
    let text = text_of(bytes)?;
    if text.starts_with('{') {
        let (dossier, pictures) = read_json(text)?;
        return Ok(Read { dossier, pictures, form: Form::Json });
    }
    let (_, after) = text.split_once(BLOCK).ok_or_else(|| {
        // It says which program wrote it, in its head, and ends before its entries.
        match text.contains(GENERATOR) {
            true => DossierError::Damaged("it was cut short".into()),
            false => DossierError::NotADossier("it holds no entries of a dossier".into()),
        }
    })?;
    let (block, _) = after.split_once(BLOCK_END).ok_or_else(|| DossierError::Damaged("it was cut short".into()))?;
    format_of(block, "/stemwall_dossier")?;
    let dossier = serde_json::from_str(block).map_err(|e| DossierError::Damaged(e.to_string()))?;
    Ok(Read { dossier, pictures: pictures_of(text), form: Form::Html })
}

fn text_of(bytes: &[u8]) -> Result<&str, DossierError> {
    std::str::from_utf8(bytes).map_err(|error| match error.error_len() {
        None => DossierError::Damaged("it ends in the middle of a letter".into()),
        Some(_) => DossierError::NotADossier("it is not text in UTF-8".into()),
    })
}

fn read_json(text: &str) -> Result<(Dossier, Pictures), DossierError> {
    format_of(text, "/dossier/stemwall_dossier")?;
    let file: JsonFile = serde_json::from_str(text).map_err(|e| DossierError::Damaged(e.to_string()))?;
    let pictures: Option<Pictures> =
        file.pictures.into_iter().map(|(hash, bytes)| Some((Hash::from_hex(&hash)?, bytes))).collect();
    let pictures = pictures.ok_or_else(|| DossierError::Damaged("the name of a picture is not a hash".into()))?;
    Ok((file.dossier, pictures))
}

/// A newer format may hold anything: its number is looked at before the rest.
fn format_of(json: &str, pointer: &str) -> Result<(), DossierError> {
    let value: serde_json::Value = serde_json::from_str(json).map_err(|e| DossierError::Damaged(e.to_string()))?;
    let found = value.pointer(pointer).and_then(serde_json::Value::as_u64).and_then(|n| u32::try_from(n).ok());
    match found {
        Some(found) if found > FORMAT => Err(DossierError::Newer { found, known: FORMAT }),
        Some(_) => Ok(()),
        None => Err(DossierError::NotADossier("it does not say which format of a dossier it is".into())),
    }
}

/// The pictures of a page, by what their bytes are.
fn pictures_of(page: &str) -> Pictures {
    let mut out = Pictures::new();
    for after in page.split(PICTURE).skip(1) {
        let bytes = after.split_once(";base64,").and_then(|(_, rest)| rest.split_once('"')).map(|(bytes, _)| bytes);
        if let Some((text, bytes)) = bytes.and_then(|text| Some((text, decoded(text)?))) {
            out.insert(Hash::of(&bytes), text.to_owned());
        }
    }
    out
}

pub(super) fn encoded(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

pub(super) fn decoded(text: &str) -> Option<Vec<u8>> {
    STANDARD.decode(text).ok()
}
