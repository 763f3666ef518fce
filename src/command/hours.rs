//! `radon import-hours`: the file of a continuous monitor, attached, summarised and checked.
//!
//! The file is read as a stream, a row at a time; what is kept in memory is one mean an hour ([`gathered`]). Rows of one hour
//! are averaged; an hour without a row is missing. A clock that falls is refused, but where the clocks of the house are put
//! back: what came twice cannot be told apart. Rows farther apart than an hour are no hourly record.

use std::fs::File;
use std::io::BufReader;
use std::mem::discriminant;
use std::path::{Path, PathBuf};

use chrono::NaiveDateTime;
use chrono_tz::Tz;

use super::air::file::year_first;
use super::typed::Reading;
use super::{Circumstances, Context, Error, Recorded, radon};
use crate::ledger::fold::Draft;
use crate::ledger::kind::file_attached::FileAttached;
use crate::ledger::kind::radon_tested::RadonTested;
use crate::ledger::property::RadonTest;
use crate::ledger::when::When;
use crate::quantity::{Activity, Typed};
use crate::store::{Addressed, Store, Target};
use crate::trade::radon::monitor::{DISCARD, LEFT_OUT_EXTENDED, MOST_HOURS, Record, record_by};
use crate::trade::words::Device;

mod gathered;

use gathered::{Gathered, Hours};

/// How many rows that are wrong are named.
const MOST_NAMED: usize = 20;
/// How many things that stand out are kept in words.
const MOST_OBSERVED: usize = 10;

#[derive(Debug, Clone, Default, clap::Args)]
pub struct Fields {
    /// A CSV file with a row an hour, or finer
    pub file: PathBuf,
    /// The column that holds the time [default: the one column with `time` or `date` in its name]
    #[arg(long, value_name = "COLUMN")]
    pub time: Option<String>,
    /// The column that holds the level [default: the one column with `radon`, `pCi` or `Bq` in its name]
    #[arg(long, value_name = "COLUMN")]
    pub level: Option<String>,
    /// How times are written [default: year first, as in 2026-03-01 10:00]
    #[arg(long, value_name = "FORMAT")]
    pub times: Option<String>,
    /// The unit of bare numbers [default: the one in the column's name, else pCi/L]
    #[arg(long)]
    pub unit: Option<String>,
    /// Hours left out at the start: 4, 12 or more for a house closed late, 24 or more after a fan start, 0 where the monitor
    /// left them out itself
    #[arg(long, value_name = "N", default_value_t = DISCARD)]
    pub discard: usize,
    /// Whether the house was closed as the test asks: yes, no or unknown
    #[arg(long, value_name = "ANSWER")]
    pub closed: Option<String>,
    /// The room, such as "den"
    #[arg(long, value_name = "TEXT")]
    pub room: Option<String>,
    /// The level of the house: lowest or other (`--level` names the column here)
    #[arg(long, value_name = "LEVEL")]
    pub storey: Option<String>,
    #[arg(long, value_name = "TEXT")]
    pub placed_by: Option<String>,
    #[command(flatten)]
    pub placement: radon::Placement,
}

/// Why a monitor's file cannot be taken.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum HoursError {
    #[error("there is no column `{column}` in `{}`", .path.display())]
    NoColumn { flag: &'static str, column: String, path: PathBuf, header: Vec<String> },
    #[error("which column of `{}` holds the {what}?", .path.display())]
    WhichColumn { flag: &'static str, what: &'static str, path: PathBuf, header: Vec<String> },
    #[error("line {line}: {error}")]
    NotCsv { line: u64, error: String },
    #[error("line {line}: `{typed}` is not a time")]
    NotATime { line: u64, typed: String, format: Option<String> },
    #[error("line {line}: `{typed}` is not a radon concentration")]
    NotALevel { line: u64, typed: String, unit: String },
    #[error("line {line}: {at} is before {before} of the line above")]
    ClockFell { line: u64, at: NaiveDateTime, before: NaiveDateTime },
    #[error("the rows of the file are {minutes} minutes apart and more")]
    Coarse { path: PathBuf, minutes: i64 },
    #[error("the columns of `{}` are kept apart by {separator}", .path.display())]
    Separator { path: PathBuf, separator: &'static str },
    #[error("{hours} hours are left out at the start of no record")]
    Discard { hours: usize },
    #[error("the file has no hour in it")]
    Empty { path: PathBuf },
    #[error("the file is of more than {most} hours")]
    TooLong { path: PathBuf, most: usize },
}

/// What became of a file.
pub struct Imported {
    pub recorded: Recorded,
    pub record: Record,
    pub hours: usize,
}

pub fn import(
    context: &Context,
    store: &mut Store,
    typed: &str,
    fields: &Fields,
    c: &Circumstances,
) -> Result<Imported, Error> {
    let (place, section) = context.section(store, typed)?;
    if !(fields.discard == 0 || fields.discard == DISCARD || fields.discard >= LEFT_OUT_EXTENDED) {
        return Err(Error::Hours(vec![HoursError::Discard { hours: fields.discard }]));
    }
    let zone = store.folded(place.id)?.property.zone;
    let Hours { first, hourly } = read_file(fields, zone).map_err(Error::Hours)?;
    let weighed = record_by(&hourly, fields.discard, store.settings().choices.radon_monitor);
    let weighed = weighed.map_err(|_| Error::Hours(vec![HoursError::Empty { path: fields.file.clone() }]))?;
    let Some(mean) = weighed.mean else {
        return Err(Error::Hours(vec![HoursError::Empty { path: fields.file.clone() }]));
    };
    let (ended, is_twice) = gathered::end(first, hourly.len(), zone);
    let missing = hourly.iter().skip(fields.discard).filter(|hour| hour.is_none()).count();
    // The other words of a radon test are read as `radon add` reads them.
    let mut read = Reading::default();
    let as_typed = radon::Fields {
        device: Some(Device::Monitor.word().to_owned()),
        result: Some(format!("{} pCi/L", mean.exact_pci_l().decimal(2))),
        started: Some(When::at(first).to_string()),
        // A time that comes twice that day says no length.
        ended: (!is_twice).then(|| When::at(ended).to_string()),
        lasted: is_twice.then(|| format!("{} h", hourly.len())),
        closed: fields.closed.clone(),
        room: fields.room.clone(),
        level: fields.storey.clone(),
        placed_by: fields.placed_by.clone(),
        placement: fields.placement.clone(),
        ..radon::Fields::default()
    };
    let tested = as_typed.tested(None, section.clone(), &mut read);
    let tested = read.done_on(tested, c)?.expect("a test that does not read is a problem");
    let tested = RadonTested {
        missing_hours: Some(u32::try_from(missing).unwrap_or(u32::MAX)),
        observed: observed(&weighed),
        left_out: Some(u32::try_from(fields.discard).unwrap_or(u32::MAX)),
        ..tested
    };

    let folded = store.folded(place.id)?;
    let is_there = |there: &&RadonTest| {
        let of = |t: &RadonTested| (t.section.clone(), t.device, t.started, t.end(), t.result.value(), t.room.clone());
        of(&there.test) == of(&tested)
    };
    if let Some(there) = folded.property.radon_tests.iter().find(is_there) {
        let said = format!("was recorded before as {}#{}: nothing was added", place.key, there.seq);
        let recorded = Recorded { receipts: Vec::new(), sentences: Vec::new(), beside: vec![said] };
        return Ok(Imported { recorded, record: weighed, hours: hourly.len() });
    }
    let (seq, property) = (folded.length + 1, folded.property.clone());
    let mut files = Vec::new();
    let remarks = context.remarks(store, c, &mut files)?;
    let file = match store.put_file(&fields.file) {
        Ok(file) => file,
        Err(error) => {
            store.drop_unused(&files);
            return Err(error.into());
        }
    };
    files.push(file.clone());
    let on = tested.started;
    let attached = FileAttached { about: section.to_string(), entry: Some(seq), file };
    let drafts = vec![
        Addressed { property: Target::Known(place.id), draft: Draft::new(on, remarks.clone(), tested) },
        Addressed { property: Target::Known(place.id), draft: Draft::new(on, remarks, attached) },
    ];
    let today = context.today_at(Some(&property));
    // Where the test itself is refused, that the file has no entry to hang on says nothing more.
    let of_the_test = |error| match error {
        Error::Refused(refused) if refused.iter().any(|r| r.index == 0) => {
            Error::Refused(refused.into_iter().filter(|r| r.index == 0).collect())
        }
        other => other,
    };
    let recorded = context.append(store, drafts, today, &files).map_err(of_the_test)?;
    Ok(Imported { recorded, record: weighed, hours: hourly.len() })
}

/// What stands out, in words; the first of many.
fn observed(record: &Record) -> Vec<String> {
    let mut says: Vec<String> = record.signs.iter().take(MOST_OBSERVED).map(ToString::to_string).collect();
    let more = record.signs.len().saturating_sub(MOST_OBSERVED);
    says.extend((more > 0).then(|| format!("observed: {more} more of the kind")));
    says
}

/// Reads the hours of a file, a row at a time.
fn read_file(fields: &Fields, zone: Option<Tz>) -> Result<Hours, Vec<HoursError>> {
    let path = &fields.file;
    let file = File::open(path).map_err(|e| vec![HoursError::NotCsv { line: 1, error: unreadable(path, &e) }])?;
    let mut csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(BufReader::new(file));
    let header = csv.headers().map_err(|e| vec![HoursError::NotCsv { line: 1, error: e.to_string() }])?.clone();
    let apart =
        [(";", "semicolons"), ("\t", "tabs")].into_iter().find(|(of, _)| header.len() == 1 && header[0].contains(of));
    if let Some((_, separator)) = apart {
        return Err(vec![HoursError::Separator { path: path.clone(), separator }]);
    }
    let names = || header.iter().map(str::to_owned).collect();
    let find = |flag: &'static str, what: &'static str, wanted: Option<&str>, parts: &[&str]| {
        let meant = |name: &str| match wanted {
            Some(wanted) => name == wanted,
            None => parts.iter().any(|part| name.to_lowercase().contains(part)),
        };
        let mut at = header.iter().enumerate().filter(|(_, name)| meant(name)).map(|(at, _)| at);
        match (at.next(), at.next(), wanted) {
            (Some(at), None, _) | (Some(at), _, Some(_)) => Ok(at),
            (_, _, Some(wanted)) => {
                Err(HoursError::NoColumn { flag, column: wanted.to_owned(), path: path.clone(), header: names() })
            }
            (_, _, None) => Err(HoursError::WhichColumn { flag, what, path: path.clone(), header: names() }),
        }
    };
    let time = find("--time", "time", fields.time.as_deref(), &["time", "date"]);
    let level = find("--level", "radon level", fields.level.as_deref(), &["radon", "pci", "bq"]);
    let (time, level) = match (time, level) {
        (Ok(time), Ok(level)) => (time, level),
        (time, level) => return Err([time.err(), level.err()].into_iter().flatten().collect()),
    };
    let in_bq = header.get(level).is_some_and(|name| name.to_lowercase().contains("bq"));
    let by_name = if in_bq { "Bq/m3" } else { "pCi/L" };
    let written = Written { times: fields.times.as_deref(), unit: fields.unit.as_deref().unwrap_or(by_name) };
    let mut gathered = Gathered::new(zone);
    // The first of each sort: a column that is written otherwise is one cause, however many rows it has.
    let mut wrong: Vec<HoursError> = Vec::new();
    let mut count = 0;
    let mut note = |error: HoursError, wrong: &mut Vec<HoursError>| {
        count += 1;
        if wrong.iter().all(|known| discriminant(known) != discriminant(&error)) {
            wrong.push(error);
        }
        count >= MOST_NAMED
    };
    let mut row = csv::StringRecord::new();
    loop {
        let line = csv.position().line();
        match csv.read_record(&mut row) {
            Ok(false) => break,
            Ok(true) => {
                let line = row.position().map_or(line, csv::Position::line);
                let cell = |at: usize| row.get(at).unwrap_or_default();
                let taken = written.row(line, cell(time), cell(level)).and_then(|(at, level)| {
                    gathered
                        .take(line, at, level)
                        .map_err(|_| HoursError::TooLong { path: path.clone(), most: MOST_HOURS })
                });
                if taken.is_err_and(|error| note(error, &mut wrong)) {
                    break;
                }
            }
            Err(error) => {
                if note(HoursError::NotCsv { line, error: error.to_string() }, &mut wrong) {
                    break;
                }
            }
        }
    }
    let coarse = gathered.coarse_minutes();
    let hours = gathered.done();
    if let Err(Some(fell)) = &hours {
        wrong.push(fell.clone());
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    if let Some(minutes) = coarse {
        return Err(vec![HoursError::Coarse { path: path.clone(), minutes }]);
    }
    hours.map_err(|_| vec![HoursError::Empty { path: path.clone() }])
}

fn unreadable(path: &Path, error: &std::io::Error) -> String {
    match error.kind() {
        std::io::ErrorKind::NotFound => format!("there is no file `{}`", path.display()),
        _ => error.to_string(),
    }
}

/// How the figures of a file are written.
struct Written<'a> {
    /// `None`: the year first.
    times: Option<&'a str>,
    unit: &'a str,
}

impl Written<'_> {
    fn time(&self, line: u64, typed: &str) -> Result<NaiveDateTime, HoursError> {
        let read = |format: &str| NaiveDateTime::parse_from_str(typed, format).ok();
        let at = match self.times {
            Some(format) => read(format),
            None => year_first(typed).map(|(at, _)| at),
        };
        let format = self.times.map(str::to_owned);
        at.ok_or_else(|| HoursError::NotATime { line, typed: typed.to_owned(), format })
    }

    /// A row's time and level; an empty cell is an hour the monitor has no figure for.
    fn row(&self, line: u64, time: &str, level: &str) -> Result<(NaiveDateTime, Option<Activity>), HoursError> {
        let at = self.time(line, time)?;
        Ok((at, if level.is_empty() { None } else { Some(activity(line, level, self.unit)?) }))
    }
}

fn activity(line: u64, typed: &str, unit: &str) -> Result<Activity, HoursError> {
    let bare = typed.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    let text = if bare { format!("{typed} {unit}") } else { typed.to_owned() };
    let read = Typed::<Activity>::parse(&text).map(|level| level.value());
    read.map_err(|_| HoursError::NotALevel { line, typed: typed.to_owned(), unit: unit.to_owned() })
}
