//! The rows of what was recorded: one function a table.

use rusqlite::types::Value;

use super::{
    AIR_LOGS, EVENTS, FILES, FINDINGS, FIXTURES, JUDGEMENTS, NOTES, PROPERTIES, QUOTES, RADON_TESTS, READINGS, REPAIRS,
    Row, SECTIONS, SUMP_TESTS, WALKS, count, maybe, mm, month_day, number, real, text,
};
use crate::ledger::kind::air_logged::Figure;
use crate::ledger::kind::repair_made::RepairMade;
use crate::ledger::property::{
    AirLog, Finding, Fixture, Property, RadonTest, Reading, Repair, Section, SumpTest, Walk,
};
use crate::ledger::subject::{Name, Subject};
use crate::ledger::verdicts::radon_test;
use crate::trade::words::{Answer, Outcome};

pub(super) fn property_row(chain: i64, p: &Property) -> Row {
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
        p.notice_days.map_or(Value::Null, number),
        maybe(p.tell.as_ref()),
    ];
    (&PROPERTIES, row)
}

pub(super) fn section_row(chain: i64, name: &Name, s: &Section) -> Row {
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

pub(super) fn fixture_row(chain: i64, name: &Name, f: &Fixture) -> Row {
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

pub(super) fn finding_row(chain: i64, n: u32, f: &Finding) -> Row {
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

pub(super) fn reading_row(chain: i64, finding: u32, r: &Reading) -> Row {
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

pub(super) fn radon_row(chain: i64, property: &Property, t: &RadonTest) -> Row {
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

pub(super) fn judgement_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
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

pub(super) fn sump_test_row(chain: i64, t: &SumpTest) -> Row {
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

pub(super) fn air_log_row(chain: i64, l: &AirLog) -> Row {
    let log = &l.log;
    let figure = |figure: Figure| Value::Real(figure.to_f64());
    let maybe_figure = |figure: Option<Figure>| real(figure.map(Figure::to_f64));
    let (worst, mould) = (log.worst_30_days, log.mould_of_class());
    let files: Vec<&str> = log.files.iter().map(|file| file.name.as_str()).collect();
    let (t, h) = (log.temperature_c, log.humidity_pct);
    let row = vec![
        number(chain),
        count(l.seq),
        text(log.section.as_str()),
        maybe(log.at.as_ref()),
        text(log.from.to_string()),
        text(log.to.to_string()),
        count(log.hours),
        count(log.missing),
        count(log.longest_gap),
        figure(t.mean),
        figure(t.least),
        figure(t.most),
        figure(h.mean),
        figure(h.least),
        figure(h.most),
        count(log.humid_hours),
        maybe(worst.map(|w| w.from)),
        maybe_figure(worst.map(|w| w.humidity_pct)),
        maybe_figure(worst.map(|w| w.temperature_c)),
        maybe_figure(worst.map(|w| w.wood_pct)),
        maybe(log.class),
        maybe_figure(mould.map(|m| m.index)),
        maybe_figure(mould.map(|m| m.peak)),
        figure(log.wood_pct),
        maybe_figure(log.margin.map(|m| m.least_k)),
        log.margin.map_or(Value::Null, |m| count(m.condensing_hours)),
        text(files.join(", ")),
    ];
    (&AIR_LOGS, row)
}

pub(super) fn repair_row(chain: i64, r: &Repair) -> Row {
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

pub(super) fn walk_row(chain: i64, w: &Walk) -> Row {
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

pub(super) fn quote_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let q = property.quotes.get(index)?;
    let row = vec![
        number(chain),
        count(q.seq),
        text(q.on.to_string()),
        text(q.about.iter().map(Subject::local).collect::<Vec<_>>().join(",")),
        number(q.amount.minor),
        text(q.amount.currency.to_string()),
        text(&q.from),
    ];
    Some((&QUOTES, row))
}

pub(super) fn event_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let e = property.events.get(index)?;
    Some((&EVENTS, vec![number(chain), count(e.seq), text(e.on.to_string()), text(e.kind.word())]))
}

pub(super) fn note_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
    let n = property.notes.get(index)?;
    let row = vec![number(chain), count(n.seq), text(n.on.to_string()), text(n.about.local()), text(&n.text)];
    Some((&NOTES, row))
}

pub(super) fn file_row(chain: i64, property: &Property, index: usize) -> Option<Row> {
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
