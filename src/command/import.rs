//! `import radon`: a survey's file becomes properties, sections and tests, every row kept.
//!
//! A row is the same row when the file comes again by three things: the file's label, the row's text, and which of its
//! equals it is. From them its entry's id is made, so that a second run adds nothing and twins stay two.

use std::collections::{BTreeMap, HashMap};
use std::path::PathBuf;

use chrono::{Datelike, NaiveDate, NaiveDateTime, NaiveTime};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::{Context, Error};
use crate::ledger::entry::Remarks;
use crate::ledger::fold::Draft;
use crate::ledger::kind::Fact;
use crate::ledger::kind::property_added::PropertyAdded;
use crate::ledger::kind::radon_tested::{Origin, RadonTested};
use crate::ledger::kind::section_added::SectionAdded;
use crate::ledger::subject::Name;
use crate::ledger::when::When;
use crate::quantity::Typed;
use crate::store::{Addressed, Store, Target};
use crate::trade::words::{Device, Foundation};

/// Properties written in one transaction, where rows may be refused one by one.
const AT_A_TIME: usize = 500;

#[derive(Debug, Clone, clap::Args)]
pub struct Radon {
    /// A CSV file with a row a test
    pub file: PathBuf,
    /// Which column holds what: property=idnum,result=activity,started=startdt,started-time=starttm,ended=stopdt,
    /// ended-time=stoptm,section=floor
    #[arg(long, value_name = "FIELD=COLUMN,…")]
    pub columns: String,
    /// How dates are written, such as %m%d%y
    #[arg(long, value_name = "FORMAT", default_value = "%Y-%m-%d")]
    pub dates: String,
    /// How times of day are written, such as %H%M
    #[arg(long, value_name = "FORMAT", default_value = "%H:%M")]
    pub times: String,
    /// Time zone of the houses
    #[arg(long, default_value = "UTC")]
    pub zone: String,
    /// charcoal, alpha-track, electret, monitor or other
    #[arg(long, default_value = "other")]
    pub device: String,
    /// What the file is called in the ledger [default: its name]
    #[arg(long, value_name = "TEXT")]
    pub label: Option<String>,
    /// What a property's key begins with, before its number in the file
    #[arg(long, value_name = "TEXT", default_value = "home-")]
    pub prefix: String,
    /// Read and check everything, write nothing
    #[arg(long)]
    pub dry_run: bool,
    /// If one row is refused, write none
    #[arg(long)]
    pub all_or_nothing: bool,
}

/// What became of a file.
#[derive(Debug, Default, serde::Serialize)]
pub struct Imported {
    pub rows: usize,
    pub tests: usize,
    pub properties: usize,
    pub sections: usize,
    /// Rows that were here already.
    pub already: usize,
    pub refused: Vec<RowRefused>,
}

/// A row that did not go in.
#[derive(Debug, Clone, serde::Serialize)]
pub struct RowRefused {
    pub line: u64,
    pub why: String,
    pub given: String,
    pub advice: String,
}

const FIELDS: [&str; 7] = ["property", "result", "started", "started-time", "ended", "ended-time", "section"];

/// Where each field stands in the file.
struct Columns {
    of: BTreeMap<&'static str, usize>,
    names: BTreeMap<&'static str, String>,
}

/// A row as read, on its way to its property.
struct Row {
    line: u64,
    id: Uuid,
    key: Name,
    section: Name,
    test: RadonTested,
}

pub fn radon(context: &Context, store: &mut Store, asked: &Radon) -> Result<Imported, Error> {
    let device = Device::from_word(&asked.device).ok_or_else(|| Error::Import {
        what: format!("`{}` is not a device", asked.device),
        given: format!("--device {}", asked.device),
        advice: format!("one of {}", Device::WORDS.join(", ")),
    })?;
    if asked.zone.parse::<chrono_tz::Tz>().is_err() {
        let problem = crate::ledger::problem::Problem::UnknownZone { zone: asked.zone.clone() };
        return Err(Error::Typed(vec![problem]));
    }
    let bytes = std::fs::read(&asked.file).map_err(|e| {
        let error =
            if e.kind() == std::io::ErrorKind::NotFound { "there is no such file".into() } else { e.to_string() };
        crate::store::StoreError::File { path: asked.file.clone(), error }
    })?;
    let text = utf8(&bytes, asked)?;
    let label = asked.label.clone().unwrap_or_else(|| {
        asked.file.file_name().map_or_else(|| "file".into(), |name| name.to_string_lossy().into_owned())
    });
    let mut imported = Imported::default();
    let rows = read(text, asked, device, &label, &mut imported)?;
    if asked.all_or_nothing && !imported.refused.is_empty() {
        return Ok(Imported { tests: 0, ..imported });
    }
    write(context, store, asked, &label, rows, &mut imported)?;
    Ok(imported)
}

fn utf8<'a>(bytes: &'a [u8], asked: &Radon) -> Result<&'a str, Error> {
    let given = asked.file.display().to_string();
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        let what = "the file is in UTF-16, not UTF-8 (line 1)".to_owned();
        return Err(Error::Import { what, given, advice: "save it as `CSV UTF-8` and import that".into() });
    }
    let bytes = bytes.strip_prefix(&[0xef, 0xbb, 0xbf]).unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].iter().filter(|b| **b == b'\n').count() + 1;
        let what = format!("the file is not in UTF-8 (line {line})");
        Error::Import { what, given, advice: "save it as `CSV UTF-8` and import that".into() }
    })
}

fn read(text: &str, asked: &Radon, device: Device, label: &str, imported: &mut Imported) -> Result<Vec<Row>, Error> {
    let mut csv = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let header = csv.headers().cloned().map_err(|error| Error::Import {
        what: format!("the file is not CSV: {error}"),
        given: asked.file.display().to_string(),
        advice: "a header line with the names of the columns, then a line a test".into(),
    })?;
    let columns = columns(&asked.columns, &header, asked)?;
    let width = header.len();
    let mut seen: HashMap<String, u64> = HashMap::new();
    let mut rows = Vec::new();
    for record in csv.records() {
        imported.rows += 1;
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = error.position().map_or(0, csv::Position::line);
                let advice = "mend the quotes in this line".to_owned();
                imported.refused.push(RowRefused { line, why: error.to_string(), given: String::new(), advice });
                continue;
            }
        };
        let line = record.position().map_or(0, csv::Position::line);
        let whole = record.iter().collect::<Vec<_>>().join(",");
        let ordinal = seen.entry(whole.clone()).and_modify(|n| *n += 1).or_insert(0);
        let id = named(&["row", label, &whole, &ordinal.to_string()]);
        if record.len() != width {
            imported.refused.push(RowRefused {
                line,
                why: format!("it has {} fields, the header has {width}", record.len()),
                given: whole,
                advice: "quote a field that has a comma in it".into(),
            });
            continue;
        }
        match row(&record, &columns, asked, device, Origin { label: label.to_owned(), line }) {
            Ok((key, section, test)) => rows.push(Row { line, id, key, section, test }),
            Err((why, given, advice)) => imported.refused.push(RowRefused { line, why, given, advice }),
        }
    }
    Ok(rows)
}

fn columns(typed: &str, header: &csv::StringRecord, asked: &Radon) -> Result<Columns, Error> {
    let mut columns = Columns { of: BTreeMap::new(), names: BTreeMap::new() };
    let wrong = |what: String, advice: String| Error::Import { what, given: format!("--columns {typed}"), advice };
    for pair in typed.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let Some((field, name)) = pair.split_once('=') else {
            return Err(wrong(format!("`{pair}` does not say which column holds what"), "write `field=column`".into()));
        };
        let Some(field) = FIELDS.iter().find(|f| **f == field.trim()) else {
            return Err(wrong(
                format!("`{field}` is not a field of a radon test"),
                format!("one of {}", FIELDS.join(", ")),
            ));
        };
        let Some(at) = header.iter().position(|column| column == name.trim()) else {
            let there: Vec<&str> = header.iter().collect();
            let what = format!("there is no column `{}` in `{}`", name.trim(), asked.file.display());
            return Err(wrong(what, format!("its columns are {}", there.join(", "))));
        };
        columns.of.insert(field, at);
        columns.names.insert(field, name.trim().to_owned());
    }
    for field in ["property", "result", "started"] {
        if !columns.of.contains_key(field) {
            return Err(wrong(format!("no column is given for `{field}`"), format!("add `{field}=` and a column")));
        }
    }
    Ok(columns)
}

/// What is wrong, with what, and what to do.
type Wrong = (String, String, String);

fn row(
    record: &csv::StringRecord,
    columns: &Columns,
    asked: &Radon,
    device: Device,
    origin: Origin,
) -> Result<(Name, Name, RadonTested), Wrong> {
    let field = |name: &str| columns.of.get(name).and_then(|at| record.get(*at)).filter(|text| !text.is_empty());
    let column = |name: &str| columns.names.get(name).cloned().unwrap_or_default();
    let missing =
        |name: &str| (format!("column `{}` is empty", column(name)), String::new(), format!("a row needs its {name}"));
    let number = field("property").ok_or_else(|| missing("property"))?;
    let key = format!("{}{}", asked.prefix, number.to_lowercase().replace([' ', '_', '/'], "-"));
    let key = Name::parse(&key)
        .map_err(|e| (e.to_string(), format!("{} {number}", column("property")), "give another `--prefix`".into()))?;
    let section = match field("section") {
        Some(text) => format!("floor-{}", text.to_lowercase().replace([' ', '_', '/'], "-")),
        None => "floor-unknown".to_owned(),
    };
    let section =
        Name::parse(&section).map_err(|e| (e.to_string(), section.clone(), "letters, digits, hyphens".into()))?;

    let typed = field("result").ok_or_else(|| missing("result"))?;
    let below = typed.starts_with('<');
    let bare = typed.trim_start_matches('<').trim();
    let plain =
        !bare.is_empty() && bare.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'e' | b'E' | b'-' | b'+'));
    let with_unit = if plain { format!("{bare} pCi/L") } else { bare.to_owned() };
    let result = Typed::parse(&with_unit).map_err(|error| {
        use crate::quantity::QuantityKind;
        let advice = error.how_to_write(&with_unit, QuantityKind::Activity);
        ("the result is not a radon concentration".to_owned(), format!("{} {typed}", column("result")), advice)
    })?;

    let moment = |day: &str, time: &str| -> Result<Option<When>, Wrong> {
        let Some(date) = field(day) else { return Ok(None) };
        let wrong = |what: &str, text: &str, flag: &str, format: &str| {
            let advice = format!("`{flag} {format}` says how they are written");
            (
                format!("`{text}` is not a {what}"),
                format!("{} {text}", column(if what == "date" { day } else { time })),
                advice,
            )
        };
        let date = NaiveDate::parse_from_str(date, &asked.dates)
            .ok()
            .filter(|d| (1800..2200).contains(&d.year()))
            .ok_or_else(|| wrong("date", date, "--dates", &asked.dates))?;
        match field(time) {
            None => Ok(Some(When::day(date))),
            Some(text) => {
                let read = NaiveTime::parse_from_str(text, &asked.times)
                    .map_err(|_| wrong("time of day", text, "--times", &asked.times))?;
                Ok(Some(When::at(NaiveDateTime::new(date, read))))
            }
        }
    };
    let started = moment("started", "started-time")?.ok_or_else(|| missing("started"))?;
    let ended = moment("ended", "ended-time")?;
    let test = RadonTested {
        section: section.clone(),
        device,
        result,
        below,
        started,
        ended: Some(ended.unwrap_or(started)),
        lasted: None,
        closed: None,
        room: None,
        level: None,
        placed_by: None,
        lab: None,
        beside: None,
        origin: Some(origin),
    };
    Ok((key, section, test))
}

/// An identifier that the same words always give.
fn named(words: &[&str]) -> Uuid {
    let mut hasher = Sha256::new();
    for word in words {
        hasher.update((word.len() as u64).to_be_bytes());
        hasher.update(word.as_bytes());
    }
    let digest: [u8; 32] = hasher.finalize().into();
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    Uuid::new_v8(bytes)
}

/// Drafts of one property, each with the line it comes from.
#[derive(Default)]
struct Batch {
    drafts: Vec<Addressed>,
    lines: Vec<Option<u64>>,
}

fn write(
    context: &Context,
    store: &mut Store,
    asked: &Radon,
    label: &str,
    rows: Vec<Row>,
    imported: &mut Imported,
) -> Result<(), Error> {
    let today = context.today_at(None);
    let mut of: BTreeMap<Name, Vec<Row>> = BTreeMap::new();
    for row in rows {
        of.entry(row.key.clone()).or_default().push(row);
    }
    let remarks = Remarks { by: context.by.clone(), ..Remarks::default() };
    let mut batch = Batch::default();
    let mut batches = Vec::new();
    for (n, (key, rows)) in of.into_iter().enumerate() {
        property(store, asked, label, &key, rows, When::day(today), &remarks, &mut batch)?;
        if !asked.all_or_nothing && n % AT_A_TIME == AT_A_TIME - 1 {
            batches.push(std::mem::take(&mut batch));
        }
    }
    batches.push(batch);
    for batch in batches {
        if asked.dry_run {
            imported.tests += batch.lines.iter().flatten().count();
            continue;
        }
        record(context, store, asked, batch, today, imported)?;
    }
    Ok(())
}

#[allow(clippy::too_many_arguments)] // what a property's drafts are made of
fn property(
    store: &mut Store,
    asked: &Radon,
    label: &str,
    key: &Name,
    rows: Vec<Row>,
    on: When,
    remarks: &Remarks,
    batch: &mut Batch,
) -> Result<(), Error> {
    let known = store.property_id(key.as_str())?;
    let id = known.unwrap_or_else(|| named(&["property", label, key.as_str()]));
    let target = if known.is_some() { Target::Known(id) } else { Target::New(id) };
    let mut add = |draft_id: Uuid, on: When, fact: Fact, line: Option<u64>| {
        let draft = Draft { id: draft_id, on, remarks: remarks.clone(), fact };
        batch.drafts.push(Addressed { property: target, draft });
        batch.lines.push(line);
    };
    let mut sections: Vec<Name> = match known {
        Some(id) => store.folded(id)?.property.sections.keys().cloned().collect(),
        None => {
            let name = format!("{} of {label}", key.as_str());
            let zone = asked.zone.clone();
            let (built, last_freeze, first_freeze, value) = (None, None, None, None);
            let added = PropertyAdded { key: key.clone(), name, zone, built, last_freeze, first_freeze, value };
            add(named(&["property-added", label, key.as_str()]), on, added.into(), None);
            Vec::new()
        }
    };
    for row in rows {
        if !sections.contains(&row.section) {
            let name = row.section.clone();
            let added = SectionAdded { name, foundation: Foundation::Unknown, walls: None, area: None, place: None };
            add(named(&["section-added", label, key.as_str(), row.section.as_str()]), on, added.into(), None);
            sections.push(row.section.clone());
        }
        add(row.id, row.test.started, row.test.into(), Some(row.line));
    }
    Ok(())
}

fn record(
    context: &Context,
    store: &mut Store,
    asked: &Radon,
    batch: Batch,
    today: NaiveDate,
    imported: &mut Imported,
) -> Result<(), Error> {
    let Batch { drafts, lines } = batch;
    let answers = if asked.all_or_nothing {
        match store.append(drafts, context.now, today) {
            Ok(receipts) => receipts.into_iter().map(Ok).collect(),
            Err(crate::store::AppendError::Store(error)) => return Err(error.into()),
            Err(crate::store::AppendError::Refused(refusals)) => {
                for refusal in refusals {
                    let line = lines.get(refusal.index).copied().flatten().unwrap_or(0);
                    imported.refused.push(refused(line, &refusal.problem));
                }
                return Ok(());
            }
        }
    } else {
        store.append_each(drafts, context.now, today)?
    };
    for (answer, line) in answers.into_iter().zip(lines) {
        match answer {
            Ok(receipt) if receipt.already => imported.already += usize::from(line.is_some()),
            Ok(receipt) => match receipt.kind {
                "property-added" => imported.properties += 1,
                "section-added" => imported.sections += 1,
                _ => imported.tests += 1,
            },
            Err(refusals) => {
                imported.refused.extend(refusals.iter().map(|r| refused(line.unwrap_or(0), &r.problem)));
            }
        }
    }
    Ok(())
}

fn refused(line: u64, problem: &crate::ledger::problem::Problem) -> RowRefused {
    RowRefused {
        line,
        why: problem.to_string(),
        given: String::new(),
        advice: "set the row right and import again".into(),
    }
}
