//! `due --ics`: what is due as a calendar, for whatever shows one.
//!
//! A thing to do keeps its `UID` as long as the house, its part and the duty are the same, so a calendar that takes the file
//! again moves it and does not double it; the name is a hash, since a calendar is often read by others. A visit to a house is
//! one event: on the earliest day by which something is due there, today where that has gone by, and no sooner than they can
//! be told who have to be. Its stamp is when the house's last entry was entered. The code in its text acknowledges a thing.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{ErrorKind, Read, Write};
use std::path::Path;

use chrono::NaiveTime;
use sha2::{Digest as _, Sha256};
use uuid::Uuid;

use super::duty::{DueFields, Visit};
use super::{Context, Error, duty};
use crate::calendar::almanac::{ALMANAC, Rule};
use crate::calendar::icalendar::{About, ToDo, Visit as Event, calendar};
use crate::ledger::property::Property;
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

/// What is told beside what is to be done where and by when.
#[derive(Debug, Clone, Copy)]
pub struct Told {
    /// The reasons, which may hold words that people typed.
    pub why: bool,
    /// The names of whom to tell of a visit.
    pub names: bool,
    /// What the house is called.
    pub house: bool,
}

/// A house and what is due there.
struct House {
    id: Uuid,
    changed: chrono::DateTime<chrono::Utc>,
    property: Property,
    visit: Visit,
    told: Told,
}

/// What falls due within a time: things to do, and a visit to each house; or the visits alone.
pub fn due(context: &Context, store: &mut Store, fields: &DueFields, told: Told) -> Result<DueCalendar, Error> {
    let visits = duty::visits(context, store, fields)?;
    of_visits(store, fields, visits, told)
}

/// The same of some houses.
pub fn due_at(
    context: &Context,
    store: &mut Store,
    fields: &DueFields,
    keys: &[String],
    told: Told,
) -> Result<DueCalendar, Error> {
    let mut visits = Vec::new();
    for key in keys {
        let fields = DueFields { key: Some(key.clone()), ..fields.clone() };
        visits.extend(duty::visits(context, store, &fields)?);
    }
    of_visits(store, fields, visits, told)
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

fn of_visits(store: &mut Store, fields: &DueFields, visits: Vec<Visit>, told: Told) -> Result<DueCalendar, Error> {
    let houses = houses(store, visits, told)?;
    let mut to_dos: Vec<ToDo> = Vec::new();
    if !fields.visits {
        let mut taken = BTreeSet::new();
        to_dos.extend(houses.iter().flat_map(|house| house.visit.rows.iter().map(|row| to_do(house, row))));
        to_dos.sort_by(|a, b| (a.due, &a.about.uid).cmp(&(b.due, &b.about.uid)));
        for to_do in &mut to_dos {
            // Should one part have a duty twice, each still has a name of its own.
            if !taken.insert(to_do.about.uid.clone()) {
                to_do.about.uid = format!("{}.{}", to_do.about.uid, to_do.due);
            }
        }
    }
    let events: Vec<Event> = houses.iter().map(event).collect();
    let text = calendar(&to_dos, &events);
    Ok(DueCalendar { text, to_dos: to_dos.len() as u64, visits: events.len() as u64 })
}

/// The houses of visits, by their keys.
fn houses(store: &mut Store, visits: Vec<Visit>, told: Told) -> Result<Vec<House>, Error> {
    let by_key: BTreeMap<String, Visit> = visits.into_iter().map(|visit| (visit.first().key.clone(), visit)).collect();
    let mut houses = Vec::new();
    for (key, visit) in by_key {
        let Some(id) = store.property_id(&key)? else { continue };
        let Some(changed) = store.last_recorded(id)? else { continue };
        houses.push(House { id, changed, property: store.property_on(id, visit.today)?, visit, told });
    }
    Ok(houses)
}

fn to_do(house: &House, row: &DueRow) -> ToDo {
    let why = Some(row.why.as_str()).filter(|why| house.told.why && !why.is_empty()).map(str::to_owned);
    let code = duty::code_of(row);
    let acknowledged = format!("code {code}: stemwall done {code} (it says how, where another entry records it)");
    let cautions = duty::cautions_of_row(row).into_iter().map(|caution| format!("Caution: {caution}"));
    let lines: Vec<String> = why.into_iter().chain([acknowledged]).chain(cautions).collect();
    // Several warranties of one place stand side by side, each on its own day.
    let one_off = ALMANAC.duty(&row.duty).is_some_and(|duty| matches!(duty.rule, Rule::Warranty { .. }));
    let day = if one_off { row.occurs_on.to_string() } else { String::new() };
    ToDo {
        about: About {
            uid: uid(house.id, &[&row.subject, &row.duty, &day]),
            changed: house.changed,
            summary: format!("{}: {}", duty::place_of(row), row.title),
            description: lines.join("\n"),
            place: house.place(),
        },
        opens: row.opens_on,
        due: row.due_on,
    }
}

fn event(house: &House) -> Event {
    let visit = &house.visit;
    let thing = |row: &DueRow| {
        format!("{}: {}, by {} (code {})", duty::place_of(row), row.title, row.due_on, duty::code_of(row))
    };
    let things = counted(visit.rows.len());
    let tell = visit.notice().map(|notice| {
        let who = visit.first().tell.as_deref().filter(|_| house.told.names).unwrap_or("them");
        let says = format!("tell {who} by {}, for a visit on {}", notice.tell_by, notice.visit_on);
        (visit.first().notice_days.unwrap_or(0), says)
    });
    let told = tell.iter().map(|(_, says)| says.clone());
    let cautions = visit.cautions().into_iter().map(|caution| format!("Caution: {caution}"));
    let lines: Vec<String> = told.chain(visit.rows.iter().map(thing)).chain(cautions).collect();
    Event {
        about: About {
            uid: uid(house.id, &["visit"]),
            changed: house.changed,
            summary: format!("{}: visit, {things}", house.property.key),
            description: lines.join("\n"),
            place: house.place(),
        },
        begins: visit.on().and_time(NaiveTime::from_hms_opt(BEGINS.0, BEGINS.1, 0).expect("a time of day")),
        zone: house.property.zone.unwrap_or(chrono_tz::Tz::UTC),
        minutes: visit.minutes().max(LEAST_MINUTES),
        tell,
    }
}

impl House {
    fn place(&self) -> String {
        if self.told.house { self.property.name.clone() } else { String::new() }
    }
}

/// The name of a component: SHA-256 over the house and what it is there, so that nobody learns from it by what the ledger
/// knows the house.
fn uid(house: Uuid, parts: &[&str]) -> String {
    let mut hash = Sha256::new().chain_update(b"stemwall calendar\0").chain_update(house.as_bytes());
    for part in parts {
        hash.update([0]);
        hash.update(part.as_bytes());
    }
    hash.finalize().iter().take(16).map(|byte| format!("{byte:02x}")).collect()
}

fn counted(things: usize) -> String {
    format!("{things} {}", if things == 1 { "thing" } else { "things" })
}
