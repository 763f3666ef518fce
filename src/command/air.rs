//! `air import-hours`: the files of a temperature and humidity logger, attached, summarised and compared.
//!
//! Files of one logger that are given together are one record, in the order given. They are read as streams and checked before
//! anything is kept; what is recorded is what the record comes to, and how to read its hours again. A record that is there
//! already adds nothing.

use std::fs::File;
use std::io::Read;
use std::path::{Path, PathBuf};

use chrono::TimeDelta;
use sha2::{Digest, Sha256};

use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded};
use crate::ledger::entry::Attachment;
use crate::ledger::fold::Draft;
use crate::ledger::hash::Hash;
use crate::ledger::kind::air_logged::{AirLogged, SurfaceBy};
use crate::ledger::problem::Problem;
use crate::ledger::property::AirLog;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::Exact;
use crate::store::{Addressed, Store, Target};
use crate::trade::air_log::{Recorder, Scale, Summary};
use crate::trade::mould::Class;

pub mod file;
#[cfg(test)]
mod file_tests;

use file::{FileError, Layout, Wanted, rows};

const FAHRENHEIT_STEP: Exact = Exact::new(5, 9);
/// No surface in a house is further below its air: design rule of this program, no published source.
const MOST_BELOW: Exact = Exact::integer(40);

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// CSV files of one logger, in the order of their hours, with a row an hour or finer
    #[arg(required = true, value_name = "FILE")]
    pub files: Vec<PathBuf>,
    /// The column that holds the time [default: the one column with `time` or `date` in its name]
    #[arg(long, value_name = "COLUMN")]
    pub time: Option<String>,
    /// The column of the air's temperature [default: the one column with `temp` in its name]
    #[arg(long, value_name = "COLUMN")]
    pub temperature: Option<String>,
    /// The column of relative humidity [default: the one column with `hum` or `rh` in its name]
    #[arg(long, value_name = "COLUMN")]
    pub humidity: Option<String>,
    /// The column of a probe on the coldest surface
    #[arg(long, value_name = "COLUMN", conflicts_with = "surface_below")]
    pub surface: Option<String>,
    /// How much colder than the air the coldest surface is taken to be, such as "6 F"
    #[arg(long, value_name = "DEGREES")]
    pub surface_below: Option<String>,
    /// How times are written [default: year first, as in 2026-03-01 10:00]
    #[arg(long, value_name = "FORMAT")]
    pub times: Option<String>,
    /// The unit of bare temperatures, F or C [default: the one in the column's name]
    #[arg(long, value_name = "UNIT")]
    pub unit: Option<String>,
    #[command(flatten)]
    pub said: Said,
}

// What is said beside a record; it can be corrected later.
#[derive(Debug, Clone, Default, clap::Args)]
pub struct Said {
    /// Where in the section the logger was, such as "north joists"
    #[arg(long, value_name = "PLACE")]
    pub at: Option<String>,
    /// How much the material there lets mould grow: very-sensitive (pine sapwood), sensitive, medium or resistant
    #[arg(long, value_name = "CLASS")]
    pub class: Option<String>,
}

impl Said {
    /// The record with what was said laid over it.
    pub fn over(&self, log: AirLogged, read: &mut Reading) -> AirLogged {
        let class = read.word("--class", self.class.as_deref(), "a class of material", Class::WORDS, Class::from_word);
        AirLogged { at: self.at.clone().or(log.at), class: class.or(log.class), ..log }
    }
}

/// What became of the files.
pub struct Imported {
    pub recorded: Recorded,
    pub summary: Summary,
}

pub fn import(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Imported, Error> {
    let (place, section) = context.section(store, typed)?;
    let mut read = Reading::default();
    let below = fields.surface_below.as_deref().and_then(|text| degrees_below(text, &mut read));
    let unit = read.word("--unit", fields.unit.as_deref(), "a unit of temperature", Scale::WORDS, Scale::from_word);
    if let Some(class) = &fields.said.class {
        read.word("--class", Some(class), "a class of material", Class::WORDS, Class::from_word);
    }
    let (below, unit) = read.done_on((below, unit), c)?;
    let wanted = Wanted {
        time: fields.time.as_deref(),
        temperature: fields.temperature.as_deref(),
        humidity: fields.humidity.as_deref(),
        surface: fields.surface.as_deref(),
        times: fields.times.as_deref(),
        unit,
    };
    let Streamed { summary, layout, hashes } = stream(&fields.files, &wanted, below).map_err(Error::AirFile)?;

    let property = store.folded(place.id)?.property.clone();
    let same = |log: &&AirLog| {
        let theirs = log.log.files.iter().map(|file| file.sha256);
        let there = fields.said.at.is_none() || log.log.at == fields.said.at;
        log.log.section == section && there && theirs.eq(hashes.iter().copied())
    };
    if let Some(there) = property.air_logs.iter().find(same) {
        let said = format!("was recorded before as {}#{}: nothing was added", place.key, there.seq);
        let recorded = Recorded { receipts: Vec::new(), sentences: Vec::new(), beside: vec![said] };
        return Ok(Imported { recorded, summary });
    }
    let mut files = Vec::new();
    let remarks = context.remarks(store, c, &mut files)?;
    let logs = match keep(store, &fields.files, &hashes) {
        Ok(logs) => logs,
        Err(error) => {
            store.drop_unused(&files);
            return Err(error);
        }
    };
    files.extend(logs.iter().cloned());
    let log = logged(section, &summary, layout, logs, fields);
    let log = fields.said.over(log, &mut Reading::default());
    let overlaps: Vec<String> = property
        .air_logs
        .iter()
        .filter(|other| other.log.overlaps(&log))
        .map(|other| {
            let (from, to) = (other.log.from, other.log.to);
            format!("it overlaps {}#{} ({from} to {to}); the record that ends last is compared", place.key, other.seq)
        })
        .collect();
    // It was all there to be read at the end of its last hour.
    let on = When::at(summary.to - TimeDelta::minutes(1));
    let draft = Draft::new(on, remarks, log);
    let today = context.today_at(Some(&property));
    let drafts = vec![Addressed { property: Target::Known(place.id), draft }];
    let mut recorded = context.append(store, drafts, today, &files)?;
    recorded.beside.extend(overlaps);
    Ok(Imported { recorded, summary })
}

fn logged(section: Name, summary: &Summary, layout: Layout, files: Vec<Attachment>, fields: &Fields) -> AirLogged {
    let column = layout.surface.map(SurfaceBy::Column);
    let surface = column.or(fields.surface_below.clone().map(|text| SurfaceBy::Below(text.trim().to_owned())));
    AirLogged { surface, ..AirLogged::of(section, summary, layout.read_as, files) }
}

/// The files as one record, without keeping any of them.
struct Streamed {
    summary: Summary,
    layout: Layout,
    /// Of each file.
    hashes: Vec<Hash>,
}

fn stream(files: &[PathBuf], wanted: &Wanted, below: Option<Exact>) -> Result<Streamed, Vec<FileError>> {
    let mut recorder = Recorder::new(below);
    let (mut hashes, mut layout): (Vec<Hash>, Option<Layout>) = (Vec::new(), None);
    for path in files {
        let name = path.display().to_string();
        let mut hashing = open(path)?;
        let take = &mut |at, row| recorder.take(at, row);
        // The first file says how the others are read.
        let found = match &layout {
            None => rows(&mut hashing, &name, wanted, take)?,
            Some(layout) => rows(&mut hashing, &name, &layout.wanted(), take)?,
        };
        layout.get_or_insert(found);
        hashes.push(Hash::from_bytes(hashing.hasher.finalize().into()));
    }
    let empty = || vec![FileError::Empty { file: files.first().map_or_else(String::new, |f| f.display().to_string()) }];
    let summary = recorder.done().ok_or_else(empty)?;
    Ok(Streamed { summary, layout: layout.ok_or_else(empty)?, hashes })
}

/// What the hours of a recorded log come to, read again from its files.
///
/// Errors: a file is gone, or no longer reads as it did.
pub fn again(store: &Store, log: &AirLogged) -> Result<Option<Summary>, Vec<FileError>> {
    let below = match &log.surface {
        Some(SurfaceBy::Below(text)) => degrees_below(text, &mut Reading::default()),
        _ => None,
    };
    let mut recorder = Recorder::new(below);
    let layout = Layout::of(log);
    for file in &log.files {
        let mut hashing = open(&store.file_path(file.sha256))?;
        rows(&mut hashing, &file.name, &layout.wanted(), &mut |at, row| recorder.take(at, row))?;
    }
    Ok(recorder.done())
}

/// Copies the files in. Errors: a file is not the one that was read.
fn keep(store: &Store, paths: &[PathBuf], hashes: &[Hash]) -> Result<Vec<Attachment>, Error> {
    let mut kept: Vec<Attachment> = Vec::new();
    for (path, hash) in paths.iter().zip(hashes) {
        let put = store.put_file(path).map_err(Error::from).and_then(|file| {
            kept.push(file.clone());
            let changed = || Error::AirFile(vec![FileError::Changed { file: path.display().to_string() }]);
            if file.sha256 == *hash { Ok(()) } else { Err(changed()) }
        });
        if let Err(error) = put {
            store.drop_unused(&kept);
            return Err(error);
        }
    }
    Ok(kept)
}

fn open(path: &Path) -> Result<Hashing, Vec<FileError>> {
    let unreadable =
        |error: std::io::Error| vec![FileError::Unreadable { file: path.display().to_string(), error: unread(&error) }];
    let file = File::open(path).map_err(unreadable)?;
    Ok(Hashing { file, hasher: Sha256::new() })
}

fn unread(error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_owned(),
        std::io::ErrorKind::IsADirectory => "it is not a file".to_owned(),
        _ => error.to_string(),
    }
}

/// A file whose hash is known once it was read to its end.
struct Hashing {
    file: File,
    hasher: Sha256,
}

impl Read for Hashing {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let read = self.file.read(buffer)?;
        self.hasher.update(&buffer[..read]);
        Ok(read)
    }
}

/// `6 F`, `3.5 C` or `3 K` of difference, in kelvin.
fn degrees_below(text: &str, read: &mut Reading) -> Option<Exact> {
    let number = text.trim().trim_end_matches(|c: char| c.is_alphabetic() || c == '°').trim_end();
    let unit = text.trim()[number.len()..].trim().trim_start_matches('°');
    let degrees = Exact::from_decimal_str(number).filter(|n| !n.is_negative());
    let kelvin = degrees.and_then(|n| match unit {
        "F" | "f" => n.checked_mul(FAHRENHEIT_STEP),
        "C" | "c" | "K" | "k" => Some(n),
        _ => None,
    });
    let kelvin = kelvin.filter(|kelvin| *kelvin <= MOST_BELOW);
    if kelvin.is_none() {
        let wanted = "a difference of temperature up to 40 K (72 F)";
        read.problems.push(Problem::NotAWord {
            field: "--surface-below",
            typed: text.to_owned(),
            wanted,
            words: &["`6 F`", "`3.5 C`"],
        });
    }
    kelvin
}
