//! `due --ics`: what is due as a calendar, for whatever shows one.
//!
//! A thing to do keeps its `UID` as long as the house, its part and the duty are the same, so a calendar that takes the file
//! again moves it and does not double it. A visit to a house is one event: on the earliest day by which something is due
//! there, today where that has gone by. Its stamp is when the house's last entry was entered.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{ErrorKind, Read, Write};
use std::path::Path;

use chrono::{NaiveDate, NaiveTime};
use uuid::Uuid;

use super::duty::DueFields;
use super::{Context, Error, duty};
use crate::calendar::almanac::ALMANAC;
use crate::calendar::icalendar::{About, ToDo, Visit, calendar};
use crate::ledger::duties::almanac_name;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::store::{DueRow, Store, StoreError};

/// When a visit begins, and the least it takes: design rules of this program.
const BEGINS: (u32, u32) = (9, 0);
const LEAST_MINUTES: u32 = 30;
/// How every calendar begins.
const HEAD: &[u8] = b"BEGIN:VCALENDAR";

/// A calendar and how much is in it.
pub struct DueCalendar {
    pub text: String,
    pub to_dos: u64,
    pub visits: u64,
}

/// What a row's house is.
struct House {
    id: Uuid,
    changed: chrono::DateTime<chrono::Utc>,
    property: Property,
    rows: Vec<DueRow>,
}

/// What falls due within a time: things to do, and a visit to each house; or the visits alone.
pub fn due(context: &Context, store: &mut Store, fields: &DueFields) -> Result<DueCalendar, Error> {
    let mut rows = Vec::new();
    duty::due(context, store, fields, &mut |row| {
        rows.push(row);
        Ok(())
    })?;
    of_rows(context, store, fields, rows)
}

/// The same of some houses.
pub fn due_at(context: &Context, store: &mut Store, fields: &DueFields, keys: &[String]) -> Result<DueCalendar, Error> {
    let mut rows = Vec::new();
    for key in keys {
        let fields = DueFields { key: Some(key.clone()), ..fields.clone() };
        duty::due(context, store, &fields, &mut |row| {
            rows.push(row);
            Ok(())
        })?;
    }
    of_rows(context, store, fields, rows)
}

/// Writes a calendar. A file is replaced as a whole, and only where a calendar stood before: a feed is written again and
/// again.
pub fn put(calendar: &DueCalendar, to: &Path) -> Result<(), Error> {
    let refused = |error: std::io::Error| StoreError::Io { path: to.to_owned(), error: error.to_string() };
    match starts_with_head(to) {
        Ok(true) => {}
        Ok(false) => return Err(Error::NotACalendar { path: to.to_owned() }),
        Err(error) if error.kind() == ErrorKind::NotFound => {}
        Err(error) => return Err(refused(error).into()),
    }
    let folder = to.parent().filter(|folder| *folder != Path::new("")).unwrap_or(Path::new("."));
    if !folder.is_dir() {
        return Err(StoreError::NoFolder { path: folder.to_owned() }.into());
    }
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(refused)?;
    file.write_all(calendar.text.as_bytes()).map_err(refused)?;
    file.persist(to).map_err(|error| refused(error.error))?;
    Ok(())
}

fn starts_with_head(path: &Path) -> std::io::Result<bool> {
    let mut head = Vec::new();
    std::fs::File::open(path)?.take(HEAD.len() as u64).read_to_end(&mut head)?;
    Ok(head.is_empty() || head == HEAD)
}

fn of_rows(context: &Context, store: &mut Store, fields: &DueFields, rows: Vec<DueRow>) -> Result<DueCalendar, Error> {
    let today = context.today_at(None);
    let houses = by_house(store, rows, today)?;
    let mut to_dos: Vec<ToDo> = Vec::new();
    if !fields.visits {
        let mut taken = BTreeSet::new();
        to_dos.extend(houses.iter().flat_map(|house| house.rows.iter().map(|row| to_do(house, row))));
        to_dos.sort_by(|a, b| (a.due, &a.about.uid).cmp(&(b.due, &b.about.uid)));
        for to_do in &mut to_dos {
            // Should one part have a duty twice, each still has a name of its own.
            if !taken.insert(to_do.about.uid.clone()) {
                to_do.about.uid = format!("{}.{}", to_do.about.uid, to_do.due);
            }
        }
    }
    let visits: Vec<Visit> = houses.iter().filter_map(|house| visit(house, today)).collect();
    let text = calendar(&to_dos, &visits);
    Ok(DueCalendar { text, to_dos: to_dos.len() as u64, visits: visits.len() as u64 })
}

fn by_house(store: &mut Store, rows: Vec<DueRow>, today: NaiveDate) -> Result<Vec<House>, Error> {
    let mut by_key: BTreeMap<String, Vec<DueRow>> = BTreeMap::new();
    for row in rows {
        by_key.entry(row.key.clone()).or_default().push(row);
    }
    let mut houses = Vec::new();
    for (key, rows) in by_key {
        let Some(id) = store.property_id(&key)? else { continue };
        let Some(changed) = store.last_recorded(id)? else { continue };
        houses.push(House { id, changed, property: store.property_on(id, today)?, rows });
    }
    Ok(houses)
}

fn to_do(house: &House, row: &DueRow) -> ToDo {
    let cautions = cautions(house, row).into_iter().map(|caution| format!("\nCaution: {caution}"));
    ToDo {
        about: About {
            uid: [house.id.to_string().as_str(), &row.subject, &row.duty].join("."),
            changed: house.changed,
            summary: format!("{}: {}", place(row), row.title),
            description: std::iter::once(row.why.clone()).chain(cautions).collect(),
            place: house.property.name.clone(),
        },
        opens: row.opens_on,
        due: row.due_on,
    }
}

fn visit(house: &House, today: NaiveDate) -> Option<Visit> {
    let day = house.rows.iter().map(|row| row.due_on).min()?.max(today);
    let minutes: u32 = house.rows.iter().filter_map(|row| minutes(&row.duty)).sum();
    let things: Vec<String> =
        house.rows.iter().map(|row| format!("{}: {}, by {}", place(row), row.title, row.due_on)).collect();
    let mut all: Vec<&str> = Vec::new();
    for caution in house.rows.iter().flat_map(|row| cautions(house, row)) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    let cautions = all.into_iter().map(|caution| format!("\nCaution: {caution}"));
    Some(Visit {
        about: About {
            uid: format!("{}.visit", house.id),
            changed: house.changed,
            summary: format!("{}: visit, {}", house.property.key, counted(things.len())),
            description: std::iter::once(things.join("\n")).chain(cautions).collect(),
            place: house.property.name.clone(),
        },
        begins: day.and_time(NaiveTime::from_hms_opt(BEGINS.0, BEGINS.1, 0).expect("a time of day")),
        zone: house.property.zone.unwrap_or(chrono_tz::Tz::UTC),
        minutes: minutes.max(LEAST_MINUTES),
    })
}

fn place(row: &DueRow) -> String {
    if row.subject.is_empty() { row.key.clone() } else { format!("{}/{}", row.key, row.subject) }
}

fn counted(things: usize) -> String {
    format!("{things} {}", if things == 1 { "thing" } else { "things" })
}

fn minutes(code: &str) -> Option<u32> {
    ALMANAC.duties.iter().find(|duty| duty.code == code).map(|duty| duty.minutes)
}

/// What the almanac says to beware of where the thing is done.
fn cautions(house: &House, row: &DueRow) -> Vec<&'static str> {
    let Some(name) = Subject::parse(&row.subject).ok().and_then(|subject| almanac_name(&house.property, &subject))
    else {
        return Vec::new();
    };
    let here = ALMANAC.points.iter().filter(|point| point.of.contains(&name));
    let mut all: Vec<&str> = Vec::new();
    for caution in here.flat_map(|point| &point.cautions) {
        if !all.contains(&caution.as_str()) {
            all.push(caution);
        }
    }
    all
}
