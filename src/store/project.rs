//! From a property as it stands to the rows that any SQLite client reads.
//!
//! A row depends on the state alone, so the rows of one entry, of one subject and of the whole property come from the
//! same functions, and `verify` compares what is stored with what they give.

use rusqlite::types::Value;

use facts::{
    air_log_row, event_row, file_row, finding_row, fixture_row, judgement_row, note_row, property_row, quote_row,
    radon_row, reading_row, repair_row, section_row, sump_test_row, walk_row,
};
pub(super) use gathered::{Difference, called, duties_in, outlook_row, overview_difference, overview_row};

use crate::ledger::entry::Body;
use crate::ledger::fold::{Fate, Joined, Recorded, fates};
use crate::ledger::kind::Fact;
use crate::ledger::property::Property;
use crate::ledger::subject::Subject;
use crate::ledger::when::When;
use crate::quantity::{Length, Typed};

mod facts;
mod gathered;

/// The SQL of one projected table.
pub(super) struct Table {
    pub name: &'static str,
    pub replace: &'static str,
    pub clear: &'static str,
    pub of_chain: &'static str,
}

macro_rules! tables {
    ($($constant:ident = $name:literal,)+) => {
        $(pub(super) static $constant: Table = Table {
            name: $name,
            replace: include_str!(concat!("sql/replace_", $name, ".sql")),
            clear: include_str!(concat!("sql/clear_", $name, ".sql")),
            of_chain: include_str!(concat!("sql/of_chain_", $name, ".sql")),
        };)+
        /// Every projected table, the property first: the others refer to it.
        pub(super) static TABLES: &[&Table] = &[$(&$constant),+];
    };
}

tables! {
    PROPERTIES = "properties",
    SECTIONS = "section_rows",
    FIXTURES = "fixture_rows",
    FINDINGS = "finding_rows",
    READINGS = "reading_rows",
    RADON_TESTS = "radon_test_rows",
    AIR_LOGS = "air_log_rows",
    SUMP_TESTS = "sump_test_rows",
    REPAIRS = "repair_rows",
    WALKS = "walk_rows",
    JUDGEMENTS = "judgement_rows",
    QUOTES = "quote_rows",
    EVENTS = "event_rows",
    NOTES = "note_rows",
    FILES = "file_rows",
    OUTLOOK = "outlook",
    OVERVIEW = "overview",
    TEXTS = "texts",
}

/// A row on its way into a table; the chain comes first in every one.
pub(super) type Row = (&'static Table, Vec<Value>);

fn text(value: impl Into<String>) -> Value {
    Value::Text(value.into())
}

fn maybe<T: ToString>(value: Option<T>) -> Value {
    value.map_or(Value::Null, |v| Value::Text(v.to_string()))
}

fn number<T: Into<i64>>(value: T) -> Value {
    Value::Integer(value.into())
}

fn count(value: u64) -> Value {
    Value::Integer(i64::try_from(value).unwrap_or(i64::MAX))
}

fn real(value: Option<f64>) -> Value {
    value.map_or(Value::Null, Value::Real)
}

fn mm(length: Option<&Typed<Length>>) -> Value {
    real(length.map(|l| l.value().to_mm()))
}

fn month_day(day: Option<(u32, u32)>) -> Value {
    maybe(day.map(|(month, day)| format!("{month:02}-{day:02}")))
}

/// All rows of a property but those of its outlook and texts.
pub(super) fn rows(chain: i64, property: &Property) -> Vec<Row> {
    if !property.exists() {
        return Vec::new();
    }
    let mut out = vec![property_row(chain, property)];
    out.extend(property.sections.iter().map(|(name, s)| section_row(chain, name, s)));
    out.extend(property.fixtures.iter().map(|(name, f)| fixture_row(chain, name, f)));
    for (n, finding) in &property.findings {
        out.push(finding_row(chain, *n, finding));
        out.extend(finding.readings.iter().map(|r| reading_row(chain, *n, r)));
    }
    out.extend(property.radon_tests.iter().map(|t| radon_row(chain, property, t)));
    out.extend(property.air_logs.iter().map(|l| air_log_row(chain, l)));
    out.extend(property.sump_tests.iter().map(|t| sump_test_row(chain, t)));
    out.extend(property.repairs.iter().map(|r| repair_row(chain, r)));
    out.extend(property.walks.iter().map(|w| walk_row(chain, w)));
    out.extend((0..property.judgements.len()).filter_map(|i| judgement_row(chain, property, i)));
    out.extend((0..property.quotes.len()).filter_map(|i| quote_row(chain, property, i)));
    out.extend((0..property.events.len()).filter_map(|i| event_row(chain, property, i)));
    out.extend((0..property.notes.len()).filter_map(|i| note_row(chain, property, i)));
    out.extend((0..property.files.len()).filter_map(|i| file_row(chain, property, i)));
    out
}

/// The rows of the subjects an entry touched.
pub(super) fn subject_row(chain: i64, property: &Property, subject: &Subject) -> Option<Row> {
    match subject {
        Subject::Property => property.exists().then(|| property_row(chain, property)),
        Subject::Finding(n) => property.findings.get(n).map(|f| finding_row(chain, *n, f)),
        Subject::Named(name) => match (property.sections.get(name), property.fixtures.get(name)) {
            (Some(section), _) => Some(section_row(chain, name, section)),
            (_, Some(fixture)) => Some(fixture_row(chain, name, fixture)),
            _ => None,
        },
    }
}

/// The row of the fact itself, where the entry that came last has one.
fn last_row(chain: i64, property: &Property, seq: u64, fact: &Fact) -> Option<Row> {
    match fact {
        Fact::SumpTested(_) => {
            return property.sump_tests.iter().rfind(|t| t.seq == seq).map(|t| sump_test_row(chain, t));
        }
        Fact::AirLogged(_) => return property.air_logs.iter().rfind(|l| l.seq == seq).map(|l| air_log_row(chain, l)),
        Fact::RepairMade(_) => return property.repairs.iter().rfind(|r| r.seq == seq).map(|r| repair_row(chain, r)),
        // These tell more of what an earlier entry began.
        Fact::RepairChecked(f) => {
            return property.repairs.iter().find(|r| r.seq == f.repair).map(|r| repair_row(chain, r));
        }
        Fact::WalkBegun(_) => return property.walks.iter().rfind(|w| w.seq == seq).map(|w| walk_row(chain, w)),
        Fact::PointWalked(f) => return property.walks.iter().find(|w| w.seq == f.walk).map(|w| walk_row(chain, w)),
        Fact::WalkEnded(f) => return property.walks.iter().find(|w| w.seq == f.walk).map(|w| walk_row(chain, w)),
        _ => {}
    }
    let subjects = fact.about();
    let reading = subjects.iter().find_map(|s| match s {
        Subject::Finding(n) => {
            let reading = property.findings.get(n)?.readings.last().filter(|r| r.seq == seq)?;
            Some(reading_row(chain, *n, reading))
        }
        _ => None,
    });
    let last = |len: usize| len.checked_sub(1);
    reading
        .or_else(|| property.radon_tests.last().filter(|t| t.seq == seq).map(|t| radon_row(chain, property, t)))
        .or_else(|| {
            let i = last(property.judgements.len()).filter(|i| property.judgements[*i].seq == seq)?;
            judgement_row(chain, property, i)
        })
        .or_else(|| {
            let i = last(property.quotes.len()).filter(|i| property.quotes[*i].seq == seq)?;
            quote_row(chain, property, i)
        })
        .or_else(|| {
            let i = last(property.events.len()).filter(|i| property.events[*i].seq == seq)?;
            event_row(chain, property, i)
        })
        .or_else(|| {
            let i = last(property.notes.len()).filter(|i| property.notes[*i].seq == seq)?;
            note_row(chain, property, i)
        })
        .or_else(|| {
            let i = last(property.files.len()).filter(|i| property.files[*i].seq == seq)?;
            file_row(chain, property, i)
        })
}

/// The rows that are an entry's own, once it came last and joined.
pub(super) fn rows_of_entry(chain: i64, property: &Property, joined: &Joined) -> Vec<Row> {
    let own = last_row(chain, property, joined.seq, &joined.body.fact);
    own.into_iter().chain(text_row(chain, joined.seq, joined.on, joined.kind, &joined.body)).collect()
}

/// What people wrote in one entry, for `find`; `None` where they wrote nothing.
fn text_row(chain: i64, seq: u64, on: When, kind: &str, body: &Body) -> Option<Row> {
    let wrote = match &body.fact {
        Fact::ReadingAdded(_) | Fact::RadonTested(_) | Fact::EventHappened(_) | Fact::QuoteGiven(_) => None,
        fact => Some(fact.sentence()),
    };
    let words = [wrote, body.remarks.note.clone()].into_iter().flatten().collect::<Vec<_>>().join("\n");
    if words.is_empty() {
        return None;
    }
    let subject = body.fact.about().first().map_or(String::new(), Subject::local);
    Some((&TEXTS, vec![number(chain), count(seq), text(subject), text(on.to_string()), text(kind), text(words)]))
}

/// What people wrote in the entries of a chain that count.
pub(super) fn text_rows(chain: i64, entries: &[Recorded]) -> Vec<Row> {
    let fates = fates(entries);
    let lives = |e: &&Recorded| fates.get(&e.seq()) == Some(&Fate::Lives);
    let row = |e: &Recorded| text_row(chain, e.seq(), e.envelope.on, &e.envelope.kind, e.body.as_ref()?);
    entries.iter().filter(lives).filter_map(row).collect()
}
