//! The demo: four invented houses over six years, as chains to be adopted into an empty ledger.
//!
//! `demo-data/scenario.json` tells what happened by *years ago* and day of the year, so that seasons stay seasons: year 0
//! is the calendar year of today, `{"years_ago": 2, "month_day": "06-05", "time": "10:00"}` is 5 June two years before. What
//! has not happened yet, or was not yet entered two days ago, is left out: the story is told in order on any day, and no
//! entry is dated ahead of any clock. Entries stand in the order of the day they were entered (`entered_days_later`, else the
//! day itself), within a day in the order told.
//!
//! Inside a fact, objects of one key stand for what only the chain knows: `{"typed": "3/16 in"}` is a quantity with its
//! stored value, `{"entry_of": "label"}` the number of the entry so labelled, `{"attached": "plan.png"}` a file of
//! `demo-data/`; an object with `years_ago` is a date. Property, entries and salts have new random identifiers each time.

use std::collections::BTreeMap;

use chrono::{DateTime, Datelike, Days, NaiveDate, NaiveTime, TimeDelta, Utc};
use serde::Deserialize;
use serde_json::{Map, Value};
use uuid::Uuid;

use crate::ledger::entry::{Attachment, Body, ENVELOPE_VERSION, EntryError, Envelope, RawEntry, Remarks};
use crate::ledger::hash::Hash;
use crate::ledger::kind::{Fact, KINDS};
use crate::ledger::when::{When, WhenError};
use crate::quantity::{Activity, Area, Flow, Length, Measure, Pressure, Share, Span, Temperature, Typed, Volume};

/// Years in which the story can have been lived: the newest house was built in 1996 and bought four years ago.
const YEARS: std::ops::RangeInclusive<i32> = 2000..=2190;

/// Days after which a moment told in UTC has passed on every clock and in every zone.
const PASSED_EVERYWHERE_DAYS: u64 = 2;

/// Hour of the day, UTC, at which the first entry of a day is entered: late afternoon where the houses stand.
const ENTERED_AT_HOUR: u32 = 23;

const SCENARIO: &str = include_str!("../demo-data/scenario.json");

macro_rules! files {
    ($($name:literal),+ $(,)?) => { &[$(($name, include_bytes!(concat!("../demo-data/", $name)))),+] };
}

/// Pictures and letters, drawn by `demo-data/make_pictures.py`.
static FILES: &[(&str, &[u8])] = files![
    "crack-bed-joint.png",
    "crack-north.png",
    "crack-slab.png",
    "crack-south-early.png",
    "crack-south-late.png",
    "crack-stepped.png",
    "damp-corner-again.png",
    "damp-corner.png",
    "damp-joists.png",
    "downspout.png",
    "letter-chapel-9.pdf",
    "letter-larkspur-14.pdf",
    "plan-larkspur.png",
    "post-shims.png",
    "pump-pit.png",
    "vent-blocked.png",
    "walk-step.png",
];

/// The history of one invented house.
#[derive(Debug, Clone)]
pub struct DemoChain {
    pub key: String,
    /// In chain order; the first is `property-added`.
    pub entries: Vec<RawEntry>,
    /// Every file its entries name, each once.
    pub files: Vec<DemoFile>,
}

/// A file that goes into the ledger's folder before the entries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DemoFile {
    pub name: &'static str,
    pub bytes: &'static [u8],
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Scenario {
    properties: Vec<House>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct House {
    key: String,
    entries: Vec<Told>,
}

/// One entry as the scenario tells it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Told {
    kind: String,
    when: Ago,
    #[serde(default)]
    entered_days_later: u64,
    by: Option<String>,
    note: Option<String>,
    #[serde(default)]
    photos: Vec<String>,
    #[serde(default)]
    private: bool,
    /// What later entries call it by.
    label: Option<String>,
    fact: Value,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
struct Ago {
    years_ago: i32,
    month_day: String,
    time: Option<String>,
}

/// Why the scenario cannot be told.
#[derive(Debug, thiserror::Error)]
enum DemoError {
    #[error("it does not read: {0}")]
    Json(#[from] serde_json::Error),
    #[error(transparent)]
    When(#[from] WhenError),
    #[error("`{0}` is no quantity")]
    NoQuantity(String),
    #[error("no entry before is labelled `{0}`")]
    NoLabel(String),
    #[error("there is no file `{0}`")]
    NoFile(String),
    #[error(transparent)]
    Entry(#[from] EntryError),
}

/// The chains of the four houses as they stand on `today`; none in years in which the story cannot have been lived.
pub fn chains(today: NaiveDate) -> Vec<DemoChain> {
    if !YEARS.contains(&today.year()) {
        return Vec::new();
    }
    told(today).expect("the scenario is part of the program, and a test tells it on every day of the year")
}

fn told(today: NaiveDate) -> Result<Vec<DemoChain>, DemoError> {
    let scenario: Scenario = serde_json::from_str(SCENARIO)?;
    scenario.properties.iter().map(|house| chain(house, today)).collect()
}

fn chain(house: &House, today: NaiveDate) -> Result<DemoChain, DemoError> {
    let mut telling = Telling { today, labels: BTreeMap::new(), files: Vec::new() };
    let property = Uuid::new_v4();
    let mut entries: Vec<RawEntry> = Vec::new();
    let mut last: Option<DateTime<Utc>> = None;
    for (on, entered, told) in telling.happened(house)? {
        let seq = entries.len() as u64 + 1;
        let at = NaiveTime::from_hms_opt(ENTERED_AT_HOUR, 0, 0).expect("a time of day");
        let first_of_day = entered.and_time(at).and_utc();
        let recorded = last.map_or(first_of_day, |last| first_of_day.max(last + TimeDelta::minutes(1)));
        let envelope = Envelope {
            v: ENVELOPE_VERSION,
            property,
            seq,
            prev: entries.last().map_or(Hash::START, |e| e.hash),
            id: Uuid::new_v4(),
            kind: told.kind.clone(),
            on,
            recorded,
            body: Hash::START,
        };
        entries.push(envelope.seal(telling.body(told)?.seal()));
        telling.labels.extend(told.label.clone().map(|label| (label, seq)));
        last = Some(recorded);
    }
    Ok(DemoChain { key: house.key.clone(), entries, files: telling.files })
}

/// What is known while a chain is told.
struct Telling {
    today: NaiveDate,
    /// Numbers of the labelled entries told so far.
    labels: BTreeMap<String, u64>,
    files: Vec<DemoFile>,
}

impl Telling {
    /// What happened and was entered by now, in the order it was entered.
    fn happened<'a>(&self, house: &'a House) -> Result<Vec<(When, NaiveDate, &'a Told)>, DemoError> {
        let mut all = Vec::with_capacity(house.entries.len());
        for told in &house.entries {
            let on = self.when(&told.when)?;
            let Some(entered) = on.date.checked_add_days(Days::new(told.entered_days_later)) else { continue };
            if self.today.signed_duration_since(entered) >= TimeDelta::days(PASSED_EVERYWHERE_DAYS as i64) {
                all.push((on, entered, told));
            }
        }
        all.sort_by_key(|(_, entered, _)| *entered);
        Ok(all)
    }

    fn when(&self, ago: &Ago) -> Result<When, WhenError> {
        let day = format!("{:04}-{}", self.today.year() - ago.years_ago, ago.month_day);
        When::parse(&ago.time.as_ref().map_or(day.clone(), |time| format!("{day}T{time}")))
    }

    fn body(&mut self, told: &Told) -> Result<Body, DemoError> {
        let fact = self.filled(&told.fact)?;
        let photos = told.photos.iter().map(|name| self.attachment(name)).collect::<Result<_, _>>()?;
        let remarks = Remarks { by: told.by.clone(), note: told.note.clone(), photos, private: told.private };
        // The scenario is written in the present version of every kind.
        let version = KINDS.iter().find(|row| row.name == told.kind).map_or(ENVELOPE_VERSION, |row| row.version);
        let fact = Fact::read(&told.kind, version, &fact.to_string()).map_err(EntryError::from)?;
        Ok(Body { remarks, fact })
    }

    /// The same with every stand-in replaced by what it stands for.
    fn filled(&mut self, value: &Value) -> Result<Value, DemoError> {
        match value {
            Value::Object(fields) if fields.contains_key("years_ago") => {
                Ok(self.when(&Ago::deserialize(value)?)?.to_string().into())
            }
            Value::Object(fields) => match sole_text(fields) {
                Some(("typed", text)) => quantity(text),
                Some(("entry_of", label)) => {
                    self.labels.get(label).map(|seq| (*seq).into()).ok_or_else(|| DemoError::NoLabel(label.to_owned()))
                }
                Some(("attached", name)) => Ok(serde_json::to_value(self.attachment(name)?)?),
                _ => {
                    let fields = fields.iter().map(|(name, value)| Ok((name.clone(), self.filled(value)?)));
                    Ok(Value::Object(fields.collect::<Result<Map<_, _>, DemoError>>()?))
                }
            },
            Value::Array(items) => items.iter().map(|item| self.filled(item)).collect(),
            plain => Ok(plain.clone()),
        }
    }

    fn attachment(&mut self, name: &str) -> Result<Attachment, DemoError> {
        let (name, bytes) =
            *FILES.iter().find(|(known, _)| *known == name).ok_or_else(|| DemoError::NoFile(name.to_owned()))?;
        let file = DemoFile { name, bytes };
        if !self.files.contains(&file) {
            self.files.push(file);
        }
        Ok(Attachment { sha256: Hash::of(bytes), name: name.to_owned(), bytes: bytes.len() as u64, taken: None })
    }
}

/// The one field of an object of one field, if it is a text.
fn sole_text(fields: &Map<String, Value>) -> Option<(&str, &str)> {
    let (name, value) = fields.iter().next().filter(|_| fields.len() == 1)?;
    Some((name, value.as_str()?))
}

/// The stored form of a quantity; a unit belongs to one kind only, so the kind follows from the text.
fn quantity(text: &str) -> Result<Value, DemoError> {
    let length = Typed::<Length>::parse_signed(text).ok().map(serde_json::to_value);
    let stored = length
        .or_else(|| stored::<Share>(text))
        .or_else(|| stored::<Area>(text))
        .or_else(|| stored::<Activity>(text))
        .or_else(|| stored::<Flow>(text))
        .or_else(|| stored::<Span>(text))
        .or_else(|| stored::<Temperature>(text))
        .or_else(|| stored::<Volume>(text))
        .or_else(|| stored::<Pressure>(text));
    Ok(stored.ok_or_else(|| DemoError::NoQuantity(text.to_owned()))??)
}

fn stored<Q: Measure>(text: &str) -> Option<serde_json::Result<Value>> {
    Typed::<Q>::parse(text).ok().map(serde_json::to_value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ledger::fold::{Recorded, fold};
    use crate::ledger::property::Property;
    use crate::ledger::settings::Settings;
    use crate::ledger::subject::Subject;
    use crate::ledger::verdicts::verdict_of;
    use crate::trade::{Band, Verdict};

    fn days() -> Vec<NaiveDate> {
        let days = ["2026-11-25", "2027-01-01", "2027-07-01", "2027-12-31", "2028-02-29"];
        days.iter().map(|day| day.parse().unwrap()).collect()
    }

    fn every_day(years: std::ops::RangeInclusive<i32>) -> impl Iterator<Item = NaiveDate> {
        let first = NaiveDate::from_ymd_opt(*years.start(), 1, 1).unwrap();
        first.iter_days().take_while(move |day| years.contains(&day.year()))
    }

    fn recorded(chain: &DemoChain) -> Vec<Recorded> {
        chain.entries.iter().map(|raw| Recorded::read(raw).unwrap()).collect()
    }

    /// The four houses as they stand, by key.
    fn houses(today: NaiveDate) -> BTreeMap<String, Property> {
        chains(today).iter().map(|c| (c.key.clone(), fold(Uuid::nil(), &recorded(c)).property)).collect()
    }

    fn verdict(property: &Property, subject: &str, today: NaiveDate) -> Verdict {
        let subject = Subject::parse(subject).unwrap();
        verdict_of(property, &subject, &Settings::default(), today).unwrap().verdict
    }

    fn fired(verdict: &Verdict) -> Vec<&'static str> {
        verdict.because.iter().map(|f| f.rule.name).collect()
    }

    #[test]
    fn the_story_is_told_on_every_day_of_the_year() {
        // Which entries are told hangs on the day of the year; whether a day exists, on the kind of year.
        let last_of_a_common_year = NaiveDate::from_ymd_opt(2027, 12, 31).unwrap();
        for today in every_day(2028..=2028).chain([last_of_a_common_year]) {
            let told = told(today).unwrap_or_else(|error| panic!("{today}: {error}"));
            let entries: usize = told.iter().map(|c| c.entries.len()).sum();
            assert!((150..=360).contains(&entries), "{today}: {entries}");
        }
    }

    #[test]
    fn every_entry_reads_as_its_kind_and_links_to_the_one_before() {
        for today in days() {
            for chain in chains(today) {
                let mut prev = Hash::START;
                for (place, entry) in recorded(&chain).iter().enumerate() {
                    let envelope = &entry.envelope;
                    assert_eq!((envelope.seq, envelope.prev), (place as u64 + 1, prev), "{} {today}", chain.key);
                    assert_eq!(envelope.kind, entry.body.as_ref().unwrap().fact.kind());
                    assert_eq!(place == 0, envelope.kind == "property-added");
                    prev = entry.hash;
                }
            }
        }
    }

    #[test]
    fn what_cannot_be_told_says_why() {
        let said =
            [DemoError::NoQuantity, DemoError::NoLabel, DemoError::NoFile].map(|why| why("x".into()).to_string());
        assert_eq!(said, ["`x` is no quantity", "no entry before is labelled `x`", "there is no file `x`"]);
    }

    #[test]
    fn nothing_is_dated_or_entered_ahead_of_a_clock_and_nothing_entered_before_it_happened() {
        // The crack readings of 6 June are among the entries: the day itself and the day after must not tell them yet.
        let around_an_entry = ["2027-06-06", "2027-06-07", "2027-06-08"].map(|day| day.parse().unwrap());
        for today in days().into_iter().chain(around_an_entry) {
            for chain in chains(today) {
                let folded = fold(Uuid::nil(), &recorded(&chain));
                let zone = folded.property.zone.unwrap();
                // The earliest moment at which a clock anywhere shows the day: UTC+14.
                let day_begins = today.and_time(NaiveTime::MIN).and_utc() - TimeDelta::hours(14);
                let mut before = DateTime::<Utc>::MIN_UTC;
                for entry in recorded(&chain) {
                    let (on, recorded) = (entry.envelope.on, entry.envelope.recorded);
                    assert!(on.date <= today && recorded <= day_begins, "{} {on} {recorded} {today}", chain.key);
                    assert!(
                        on.moment() <= recorded.with_timezone(&zone).naive_local(),
                        "{} {on} {recorded}",
                        chain.key
                    );
                    assert!(before <= recorded, "{} {recorded}", chain.key);
                    before = recorded;
                }
            }
        }
    }

    #[test]
    fn every_chain_folds_without_a_problem() {
        let ends = every_day(*YEARS.start()..=*YEARS.start()).chain(every_day(*YEARS.end()..=*YEARS.end())).step_by(90);
        for today in days().into_iter().chain(ends) {
            for chain in chains(today) {
                assert_eq!(fold(Uuid::nil(), &recorded(&chain)).unplaced, [], "{} {today}", chain.key);
            }
        }
    }

    #[test]
    fn years_before_the_story_have_no_chains() {
        for today in [NaiveDate::MIN, NaiveDate::MAX, NaiveDate::from_ymd_opt(YEARS.start() - 1, 12, 31).unwrap()] {
            assert!(chains(today).is_empty(), "{today}");
        }
    }

    #[test]
    fn every_file_is_used_and_stands_with_the_chain_that_names_it() {
        let mut used: Vec<&str> = Vec::new();
        for chain in chains("2027-12-31".parse().unwrap()) {
            let bodies: String = chain.entries.iter().filter_map(|e| e.body.as_deref()).collect();
            for file in &chain.files {
                assert!(bodies.contains(&Hash::of(file.bytes).to_hex()), "{}", file.name);
                assert!(file.bytes.len() < 6 * 1024, "{}", file.name);
                assert!(file.bytes.starts_with(b"\x89PNG") || file.bytes.starts_with(b"%PDF"), "{}", file.name);
                used.push(file.name);
            }
            assert_eq!(bodies.matches("\"sha256\"").count() > 0, !chain.files.is_empty(), "{}", chain.key);
        }
        used.sort_unstable();
        assert_eq!(used, FILES.iter().map(|(name, _)| *name).collect::<Vec<_>>());
    }

    /// What each house is there to show holds whatever day the demo is made on.
    #[test]
    fn each_house_shows_what_it_is_there_for_in_every_season() {
        for today in days().into_iter().chain(every_day(2027..=2027).step_by(13)) {
            let houses = houses(today);
            let [larkspur, tannery, heron, chapel] =
                ["larkspur-14", "tannery-3", "heron-22", "chapel-9"].map(|key| &houses[key]);
            let growing = verdict(larkspur, "2", today);
            assert_eq!(growing.band, Some(Band::Call), "{today}");
            assert!(fired(&growing).contains(&"trend-growing"), "{today}");
            let breathing = fired(&verdict(larkspur, "1", today));
            assert!(breathing.contains(&"trend-not-shown") && !breathing.contains(&"trend-growing"), "{today}");
            let reopened = &larkspur.findings[&3];
            assert!(reopened.closed.is_none() && reopened.readings.len() > 2, "{today}");
            assert!(tannery.findings[&1].closed.is_some(), "{today}");
            assert!(fired(&verdict(tannery, "5", today)).contains(&"trend-not-enough"), "{today}");
            assert_eq!(verdict(heron, "slab", today).band, None, "{today}");
            for looked_over_after in [tannery, chapel] {
                assert_eq!(verdict(looked_over_after, "", today).band, None, "{today}");
            }
            assert_eq!(fired(&verdict(chapel, "hall", today)), ["radon-follow-up"], "{today}");
            assert_eq!(fired(&verdict(chapel, "1", today)), ["judgement-holds"], "{today}");
        }
    }
}
