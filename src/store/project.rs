//! From a property as it stands to the rows that any SQLite client reads.
//!
//! A row depends on the state alone, so the rows of one entry, of one subject and of the whole property come from the
//! same functions, and `verify` compares what is stored with what they give.

use std::ops::Range;

use chrono::NaiveDate;
use rusqlite::types::Value;

use crate::ledger::duties::Due;
use crate::ledger::entry::Body;
use crate::ledger::fold::{Fate, Recorded, fates};
use crate::ledger::kind::Fact;
use crate::ledger::kind::repair_made::RepairMade;
use crate::ledger::outlook::{Outlook, OutlookRow};
use crate::ledger::property::{Finding, Fixture, Property, RadonTest, Reading, Repair, Section, SumpTest, Walk};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::verdicts::radon_test;
use crate::ledger::when::When;
use crate::quantity::{Length, Typed};
use crate::trade::words::{Answer, Outcome};
use crate::trade::{Band, Who};

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
    SUMP_TESTS = "sump_test_rows",
    REPAIRS = "repair_rows",
    WALKS = "walk_rows",
    JUDGEMENTS = "judgement_rows",
    QUOTES = "quote_rows",
    EVENTS = "event_rows",
    NOTES = "note_rows",
    FILES = "file_rows",
    OUTLOOK = "outlook",
    DUTIES = "duty_rows",
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
pub(super) fn last_row(chain: i64, property: &Property, seq: u64, fact: &Fact) -> Option<Row> {
    match fact {
        Fact::SumpTested(_) => {
            return property.sump_tests.iter().rfind(|t| t.seq == seq).map(|t| sump_test_row(chain, t));
        }
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

fn property_row(chain: i64, p: &Property) -> Row {
    let row = vec![
        number(chain),
        text(&p.key),
        text(&p.name),
        maybe(p.zone.map(|z| z.name())),
        p.built.map_or(Value::Null, number),
        month_day(p.last_freeze),
        month_day(p.first_freeze),
        p.value.map_or(Value::Null, |v| number(v.minor)),
        maybe(p.value.map(|v| v.currency)),
        maybe(p.added),
        maybe(p.archived.as_ref().map(|(on, _)| on)),
        maybe(p.archived.as_ref().map(|(_, why)| why)),
    ];
    (&PROPERTIES, row)
}

fn section_row(chain: i64, name: &Name, s: &Section) -> Row {
    let row = vec![
        number(chain),
        text(name.as_str()),
        text(s.foundation.word()),
        maybe(s.walls),
        real(s.area.as_ref().map(|a| a.value().to_m2())),
        maybe(s.place.as_ref()),
    ];
    (&SECTIONS, row)
}

fn fixture_row(chain: i64, name: &Name, f: &Fixture) -> Row {
    let row = vec![
        number(chain),
        text(name.as_str()),
        text(f.kind.word()),
        maybe(f.section.as_ref()),
        maybe(f.fitted.place.as_ref()),
        maybe(f.since),
        number(f.replaced),
        maybe(f.retired.as_ref().map(|(on, _)| on)),
        maybe(f.retired.as_ref().map(|(_, why)| why)),
        mm(f.fitted.pit.as_ref()),
        real(f.fitted.rated.as_ref().map(|r| r.value().to_l_min())),
        mm(f.fitted.height.as_ref()),
        mm(f.fitted.distance.as_ref()),
        maybe(f.fitted.demand),
        maybe(f.fitted.what.as_ref()),
    ];
    (&FIXTURES, row)
}

fn finding_row(chain: i64, n: u32, f: &Finding) -> Row {
    let answers: Vec<String> =
        f.particulars.answered().into_iter().map(|(field, value)| format!("{field} {value}")).collect();
    let last = f.readings.last();
    let row = vec![
        number(chain),
        number(n),
        text(f.kind.word()),
        text(&f.place),
        maybe(f.section.as_ref()),
        text(f.opened.to_string()),
        maybe(f.closed.as_ref().map(|(on, _)| on)),
        maybe(f.closed.as_ref().map(|(_, why)| why)),
        text(answers.join(" ")),
        count(f.readings.len() as u64),
        maybe(last.map(|r| r.on)),
        maybe(last.map(Reading::words)),
    ];
    (&FINDINGS, row)
}

fn reading_row(chain: i64, finding: u32, r: &Reading) -> Row {
    let (value, unit) = r.measured.stored();
    let row = vec![
        number(chain),
        count(r.seq),
        number(finding),
        text(r.on.to_string()),
        text(r.measured.quantity()),
        text(r.measured.words()),
        real(value),
        maybe(unit),
        mm(r.over.as_ref()),
        mm(r.resolution.as_ref()),
        maybe(r.with.as_ref()),
        maybe(r.at.as_ref()),
        number(r.moved),
        maybe(r.by.as_ref()),
    ];
    (&READINGS, row)
}

fn radon_row(chain: i64, property: &Property, t: &RadonTest) -> Row {
    let test = &t.test;
    let read = radon_test(property, t);
    let problems: Vec<String> = read.problems().iter().map(ToString::to_string).collect();
    // Elapsed hours, daylight saving taken out; negative where the record says that it ended first.
    let hours = match (read.started, read.ended) {
        (Some(started), Some(ended)) => Some((ended - started).num_minutes() as f64 / 60.0),
        _ => test.lasted.as_ref().map(|l| l.value().to_hours()),
    };
    let row = vec![
        number(chain),
        count(t.seq),
        text(test.section.as_str()),
        text(test.device.word()),
        text(test.result.typed()),
        number(test.below),
        real(Some(test.result.value().to_pci_l())),
        real(Some(test.result.value().to_bq_m3())),
        text(test.started.to_string()),
        maybe(test.end()),
        real(hours),
        maybe(test.closed),
        maybe(test.room.as_ref()),
        maybe(test.level),
        maybe(test.placed_by.as_ref()),
        maybe(test.lab.as_ref()),
        test.beside.map_or(Value::Null, count),
        number(problems.is_empty()),
        if problems.is_empty() { Value::Null } else { text(problems.join("; ")) },
        maybe(test.origin.as_ref().map(|o| &o.label)),
        test.origin.as_ref().map_or(Value::Null, |o| count(o.line)),
    ];
    (&RADON_TESTS, row)
}

fn about(findings: &[u32]) -> Value {
    text(findings.iter().map(u32::to_string).collect::<Vec<_>>().join(","))
}

fn judgement_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let j = property.judgements.get(index)?;
    let row = vec![
        number(chain),
        count(j.seq),
        text(j.on.to_string()),
        about(&j.about),
        text(&j.from),
        text(&j.licence),
        text(&j.says),
        maybe(j.until),
        maybe(j.file.as_ref().map(|f| &f.name)),
    ];
    Some((&JUDGEMENTS, row))
}

fn sump_test_row(chain: i64, t: &SumpTest) -> Row {
    let row = vec![
        number(chain),
        count(t.seq),
        text(t.test.fixture.as_str()),
        text(t.on.to_string()),
        number(t.test.poured),
        t.test.started_times.map_or(Value::Null, number),
        maybe(t.test.failed.as_ref()),
        mm(t.test.fall.as_ref()),
        real(t.test.fall_time.as_ref().map(|s| s.value().to_seconds())),
        mm(t.test.rise.as_ref()),
        real(t.test.rise_time.as_ref().map(|s| s.value().to_seconds())),
    ];
    (&SUMP_TESTS, row)
}

fn repair_row(chain: i64, r: &Repair) -> Row {
    let RepairMade { method, width, depth, length, waste, surface, .. } = &r.made;
    let last = r.checks.iter().rfind(|c| c.held != Answer::Unknown);
    let row = vec![
        number(chain),
        count(r.seq),
        text(r.on.to_string()),
        about(&r.made.findings),
        text(method.word()),
        mm(width.as_ref()),
        mm(depth.as_ref()),
        mm(length.as_ref()),
        real(waste.as_ref().map(|w| w.value().to_percent())),
        real(surface.as_ref().map(|t| t.value().to_celsius())),
        maybe(r.made.class),
        maybe(r.made.viscosity_pa_s.as_ref()),
        r.made.ports.map_or(Value::Null, number),
        maybe(r.made.batch.as_ref()),
        r.made.cost.map_or(Value::Null, |c| number(c.minor)),
        maybe(r.made.cost.map(|c| c.currency)),
        maybe(r.made.who.as_ref()),
        maybe(last.map(|c| c.held).or(r.made.held)),
        maybe(last.map(|c| c.on)),
    ];
    (&REPAIRS, row)
}

fn walk_row(chain: i64, w: &Walk) -> Row {
    let ended = |outcome| count(w.points.iter().filter(|p| p.outcome == outcome).count() as u64);
    let row = vec![
        number(chain),
        count(w.seq),
        text(w.season.word()),
        text(w.on.to_string()),
        maybe(w.ended),
        ended(Outcome::NothingSeen),
        ended(Outcome::Finding),
        ended(Outcome::NotReached),
    ];
    (&WALKS, row)
}

/// The duties of one subject.
pub(super) fn duty_rows<'a>(chain: i64, subject: &'a Subject, row: &'a OutlookRow) -> impl Iterator<Item = Row> + 'a {
    row.duties.iter().map(move |due| duty_row(chain, subject, due))
}

pub(super) fn duty_row(chain: i64, subject: &Subject, due: &Due) -> Row {
    let row = vec![
        number(chain),
        text(subject.local()),
        text(&due.code),
        text(&due.title),
        text(due.opens_on.to_string()),
        text(due.due_on.to_string()),
        text(&due.why),
    ];
    (&DUTIES, row)
}

fn quote_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let q = property.quotes.get(index)?;
    let row = vec![
        number(chain),
        count(q.seq),
        text(q.on.to_string()),
        about(&q.about),
        number(q.amount.minor),
        text(q.amount.currency.to_string()),
        text(&q.from),
    ];
    Some((&QUOTES, row))
}

fn event_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let e = property.events.get(index)?;
    Some((&EVENTS, vec![number(chain), count(e.seq), text(e.on.to_string()), text(e.kind.word())]))
}

fn note_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let n = property.notes.get(index)?;
    let row = vec![number(chain), count(n.seq), text(n.on.to_string()), text(n.about.local()), text(&n.text)];
    Some((&NOTES, row))
}

fn file_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let f = property.files.get(index)?;
    let row = vec![
        number(chain),
        count(f.seq),
        text(f.on.to_string()),
        text(f.about.local()),
        text(&f.file.name),
        text(f.file.sha256.to_hex()),
        count(f.file.bytes),
    ];
    Some((&FILES, row))
}

pub(super) fn outlook_row(chain: i64, subject: &Subject, row: &OutlookRow) -> Row {
    let row = vec![
        number(chain),
        text(subject.local()),
        row.band.map_or(Value::Null, |b| number(b.courses())),
        maybe(row.who),
        maybe(row.due_on),
        maybe(row.asks.as_ref()),
        maybe(row.changes_on),
        maybe(row.not_known.as_ref()),
    ];
    (&OUTLOOK, row)
}

/// What goes to a licensed person: findings, radon of sections; not what the owner has to look at first.
pub(super) fn called(outlook: &Outlook) -> u64 {
    outlook.of_band(Band::Call).filter(|row| row.who != Some(Who::Owner.words())).count() as u64
}

pub(super) fn overview_row(chain: i64, property: &Property, outlook: &Outlook, as_of: NaiveDate) -> Row {
    let o = outlook.overview(property);
    let (due_on, due_subject, due_asks) = match o.next_due {
        Some((on, subject, asks)) => (text(on.to_string()), text(subject.local()), text(asks)),
        None => (Value::Null, Value::Null, Value::Null),
    };
    let row = vec![
        number(chain),
        text(&property.key),
        number(property.archived.is_some()),
        text(o.foundations),
        number(o.worst.map_or(0, Band::courses)),
        maybe(o.worst_subject.map(|s| s.local())),
        maybe(o.who),
        number(o.open_findings),
        count(called(outlook)),
        due_on,
        due_subject,
        due_asks,
        text(o.not_known.join("\n")),
        maybe(o.changes_on),
        text(as_of.to_string()),
    ];
    (&OVERVIEW, row)
}

/// Where the day, the subject and the words of what is due next stand in a row of the overview.
const DUE: Range<usize> = 9..12;

/// In what two overview rows of one property differ.
pub(super) enum Difference<'a> {
    None,
    /// Only in what is due next, which changes with every round of readings; given are the new values.
    Due(&'a [Value]),
    More,
}

pub(super) fn overview_difference<'a>(was: &[Value], now: &'a [Value]) -> Difference<'a> {
    match (was[..DUE.start] == now[..DUE.start] && was[DUE.end..] == now[DUE.end..], was[DUE] == now[DUE]) {
        (true, true) => Difference::None,
        (true, false) => Difference::Due(&now[DUE]),
        _ => Difference::More,
    }
}

/// What people wrote in one entry, for `find`; `None` where they wrote nothing.
pub(super) fn text_row(chain: i64, seq: u64, on: When, kind: &str, body: &Body) -> Option<Row> {
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
