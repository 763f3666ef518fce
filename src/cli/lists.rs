//! Tables for people, and the same for programs.

use std::io::Write;

use serde_json::{Value, json};
use tabled::builder::Builder;
use tabled::settings::Style;
use tabled::settings::object::Columns;
use tabled::settings::width::Width;
use tabled::settings::{Modify, Padding};

use super::failure::Failure;
use super::output::line;
use super::verdict::date;
use super::words::{counted, courses, plain, sourced, wrapped};
use crate::calendar::climate;
use crate::command::entry::{self, KindShown};
use crate::command::export::Out;
use crate::command::hand_over::Handed;
use crate::command::history::Line;
use crate::command::import_entries::Imported as Entries;
use crate::command::status::PropertyShown;
use crate::command::why::RuleShown;
use crate::ledger::fold::Fate;
use crate::ledger::kind::Fact;
use crate::ledger::property::{Finding, Property};
use crate::ledger::settings::{SettingShown, Settings};
use crate::store::{BackupReport, FindingRow, Hit, Receipt, Report, StatusRow};

/// What a line may hold.
const LINE: usize = 100;
/// The least the last column is broken to.
const NARROWEST: usize = 20;

/// A table without lines, two spaces between columns; the last column is broken to fit the line.
fn table(head: &[&str], rows: Vec<Vec<String>>, out: &mut dyn Write) -> Result<(), Failure> {
    let width = |column: usize| {
        let cells = rows.iter().filter_map(|row| row.get(column)).map(|cell| cell.chars().count());
        cells.chain(head.get(column).map(|h| h.chars().count())).max().unwrap_or(0)
    };
    let last = head.len().saturating_sub(1);
    let before: usize = (0..last).map(|column| width(column) + 2).sum();
    let mut builder = Builder::default();
    builder.push_record(head.iter().copied());
    for row in rows {
        builder.push_record(row);
    }
    let mut table = builder.build();
    table.with(Style::empty()).with(Padding::new(0, 2, 0, 0));
    let room = LINE.saturating_sub(before).max(NARROWEST);
    table.with(Modify::new(Columns::one(last)).with(Width::wrap(room).keep_words(true)));
    for text in table.to_string().lines() {
        line(out, format_args!("{}", text.trim_end()))?;
    }
    Ok(())
}

pub fn properties(rows: &[StatusRow], out: &mut dyn Write) -> Result<(), Failure> {
    let row = |r: &StatusRow| {
        let worst = r.worst.map_or("not known", |b| b.word());
        vec![plain(&r.key), worst.into(), r.open_findings.to_string(), r.foundations.clone(), plain(&r.name)]
    };
    table(&["property", "worst", "open", "foundation", "name"], rows.iter().map(row).collect(), out)
}

pub fn findings(rows: &[FindingRow], out: &mut dyn Write) -> Result<(), Failure> {
    if rows.is_empty() {
        return line(out, format_args!("no findings"));
    }
    let row = |r: &FindingRow| {
        let state = match (&r.closed, r.band) {
            (Some(on), _) => format!("closed {}", on.split('T').next().unwrap_or(on)),
            (None, Some(band)) => format!("{} {}", courses(Some(band)), band.word()),
            (None, None) => "not known".into(),
        };
        let place = match &r.section {
            Some(section) => format!("{} of `{section}`", r.place),
            None => r.place.clone(),
        };
        let read = match (&r.last_read_on, &r.last_read) {
            (Some(on), Some(read)) => format!("{}: {read}", on.split('T').next().unwrap_or(on)),
            _ => "never".into(),
        };
        vec![format!("{}/{}", plain(&r.key), r.number), r.kind.clone(), state, plain(&read), plain(&place)]
    };
    table(&["finding", "kind", "state", "last read", "place"], rows.iter().map(row).collect(), out)
}

pub fn finding_json(r: &FindingRow) -> Value {
    json!({
        "finding": format!("{}/{}", r.key, r.number), "property": r.key, "number": r.number, "kind": r.kind,
        "place": r.place, "section": r.section, "opened": r.opened, "closed": r.closed, "band": r.band,
        "readings": r.readings, "last_read_on": r.last_read_on, "last_read": r.last_read,
    })
}

/// The readings of a finding, newest last.
pub fn readings(finding: &Finding, out: &mut dyn Write) -> Result<(), Failure> {
    if finding.readings.is_empty() {
        return line(out, format_args!("no readings yet"));
    }
    let row = |r: &crate::ledger::property::Reading| {
        let over = r.over.as_ref().map_or(String::new(), |o| format!(" over {}", o.typed()));
        vec![
            r.on.to_string(),
            r.measured.quantity().replace('-', " "),
            format!("{}{over}", r.measured.words()),
            r.at.as_deref().map(plain).unwrap_or_default(),
            r.with.as_deref().map(plain).unwrap_or_default(),
            r.by.as_deref().map(plain).unwrap_or_default(),
        ]
    };
    table(&["on", "quantity", "reading", "at", "with", "by"], finding.readings.iter().map(row).collect(), out)
}

pub fn finding_shown_json(property: &Property, number: u32, finding: &Finding) -> Value {
    let readings: Vec<Value> = finding
        .readings
        .iter()
        .map(|r| {
            let (value, unit) = r.measured.stored();
            let mut reading = json!({
                "entry": format!("{}#{}", property.key, r.seq), "on": r.on, "quantity": r.measured.quantity(),
                "typed": r.measured.words(), "at": r.at, "with": r.with, "by": r.by,
            });
            if let (Some(object), Some(value), Some(unit)) = (reading.as_object_mut(), value, unit) {
                object.insert(format!("{}_{unit}", r.measured.quantity().replace('-', "_")), json!(value));
                if unit == "mm" {
                    object.insert(format!("{}_in", r.measured.quantity().replace('-', "_")), json!(value / 25.4));
                }
            }
            reading
        })
        .collect();
    json!({
        "finding": format!("{}/{number}", property.key), "kind": finding.kind, "place": finding.place,
        "section": finding.section, "opened": finding.opened,
        "closed": finding.closed.as_ref().map(|(on, why)| json!({"on": on, "why": why})),
        "particulars": finding.particulars, "readings": readings,
    })
}

/// Houses that are no longer looked after here: named, since their keys are still taken.
pub fn archived(keys: &[String], out: &mut dyn Write) -> Result<(), Failure> {
    let houses = counted(keys.len() as u64, "house", "houses");
    line(out, format_args!("{}", wrapped(&format!("and {houses} archived: {}", keys.join(", ")), 98, "  ")))
}

pub fn property(shown: &PropertyShown, out: &mut dyn Write) -> Result<(), Failure> {
    let p = &shown.property;
    let built = p.built.map_or(String::new(), |y| format!(", built {y}"));
    line(out, format_args!("{}: {}{built}", p.key, plain(&p.name)))?;
    let value = p.value.map_or(String::new(), |value| format!(", replacing it would cost {}", value.show()));
    let zone = p.zone.map_or("UTC", |zone| zone.name());
    line(out, format_args!("time zone {zone}{value}"))?;
    if let Some((on, why)) = &p.archived {
        line(out, format_args!("archived on {on}: {}", plain(why)))?;
    }
    if let Some(text) = usual_year(p) {
        line(out, format_args!("{}", wrapped(&text, 96, "  ")))?;
    }
    let band = |subject: &crate::ledger::subject::Subject| {
        let found = shown.bands.iter().find(|(s, _)| s == subject);
        found.map_or("", |(_, band)| band.unwrap_or("not known")).to_owned()
    };
    let mut rows = Vec::new();
    for (name, s) in &p.sections {
        let mut what = vec![s.foundation.word().to_owned()];
        what.extend(s.walls.map(|w| format!("{w} walls")));
        what.extend(s.area.as_ref().map(|a| a.typed().to_owned()));
        what.extend(s.place.clone());
        let subject = crate::ledger::subject::Subject::Named(name.clone());
        rows.push(vec![
            subject.of(&p.key),
            "section".into(),
            format!("radon: {}", band(&subject)),
            plain(&what.join(", ")),
        ]);
    }
    for (name, f) in &p.fixtures {
        let mut what = vec![f.kind.word().to_owned()];
        what.extend(f.fitted.place.clone());
        what.extend(f.since.map(|d| format!("since {}", date(d))));
        what.extend(f.retired.as_ref().map(|(on, why)| format!("retired {on}: {why}")));
        rows.push(vec![format!("{}/{name}", p.key), "fixture".into(), String::new(), plain(&what.join(", "))]);
    }
    for (n, f) in &p.findings {
        let subject = crate::ledger::subject::Subject::Finding(*n);
        let state = if f.closed.is_some() { "closed".to_owned() } else { band(&subject) };
        rows.push(vec![subject.of(&p.key), "finding".into(), state, plain(&format!("{}, {}", f.kind, f.place))]);
    }
    if rows.is_empty() {
        line(
            out,
            format_args!("nothing of it yet; `stemwall section add {}/NAME --foundation KIND` adds a section", p.key),
        )?;
    } else {
        table(&["subject", "", "state", "what"], rows, out)?;
    }
    line(out, format_args!("{}, seal {}", counted(shown.entries, "entry", "entries"), shown.seal))
}

/// The usual days of its year, and which of them are the defaults of a climate zone.
fn usual_year(p: &Property) -> Option<String> {
    let (year, mut parts) = (p.year(), Vec::new());
    let mut any_default = false;
    for (what, given, usual) in [
        ("last freeze", p.last_freeze, year.last_freeze),
        ("first freeze", p.first_freeze, year.first_freeze),
        ("wet season from", p.wet_season, year.wet_season),
    ] {
        let Some((month, day)) = usual else { continue };
        let default = if given.is_none() { " (default)" } else { "" };
        any_default |= given.is_none();
        parts.push(format!("{what} {month:02}-{day:02}{default}"));
    }
    if let Some(zone) = p.climate_zone {
        parts.insert(0, format!("climate zone {zone}"));
        if p.defaults().is_none() {
            parts.push("no default freeze dates south of the equator".to_owned());
        }
    }
    let source =
        if any_default { format!("; default: {}, {}", climate::SOURCE, climate::STANDING) } else { String::new() };
    (!parts.is_empty()).then(|| format!("{}{source}", parts.join(", ")))
}

pub fn property_json(shown: &PropertyShown) -> Value {
    let p = &shown.property;
    let sections: Vec<Value> = p
        .sections
        .iter()
        .map(|(name, s)| {
            json!({"name": name, "foundation": s.foundation, "walls": s.walls, "place": s.place,
                   "area_m2": s.area.as_ref().map(|a| a.value().to_m2()), "area_ft2": s.area.as_ref().map(|a| a.value().to_ft2())})
        })
        .collect();
    let fixtures: Vec<Value> = p
        .fixtures
        .iter()
        .map(|(name, f)| {
            json!({"name": name, "kind": f.kind, "in": f.section, "since": f.since, "place": f.fitted.place,
                   "retired": f.retired.as_ref().map(|(on, why)| json!({"on": on, "why": why}))})
        })
        .collect();
    let findings: Vec<Value> = p
        .findings
        .iter()
        .map(|(n, f)| {
            json!({"number": n, "kind": f.kind, "place": f.place, "opened": f.opened, "closed": f.closed.as_ref().map(|c| c.0)})
        })
        .collect();
    let freeze = |day: Option<(u32, u32)>| day.map(|(m, d)| format!("{m:02}-{d:02}"));
    let usual = p.year();
    let taken = (usual.last_freeze, usual.first_freeze) != (p.last_freeze, p.first_freeze);
    json!({
        "property": p.key, "name": p.name, "built": p.built, "zone": p.zone.map(|z| z.name()),
        "last_freeze": freeze(p.last_freeze), "first_freeze": freeze(p.first_freeze),
        "climate_zone": p.climate_zone.map(|zone| zone.to_string()), "wet_season": freeze(p.wet_season),
        "usual_last_freeze": freeze(usual.last_freeze), "usual_first_freeze": freeze(usual.first_freeze),
        "freeze_defaults": taken.then(|| json!({"source": climate::SOURCE, "standing": climate::STANDING})), "value": p.value,
        "archived": p.archived.as_ref().map(|(on, why)| json!({"on": on, "why": why})),
        "sections": sections, "fixtures": fixtures, "findings": findings,
        "entries": shown.entries, "seal": shown.seal,
    })
}

pub fn history(lines: &[Line], out: &mut dyn Write) -> Result<(), Failure> {
    for one in lines {
        let says = one.says.as_deref().map_or("its body was erased".into(), plain);
        let mut marks = Vec::new();
        marks.extend(one.by.as_deref().map(|by| format!("by {}", plain(by))));
        marks.extend(one.entered_on.map(|day| format!("entered on {}", date(day))));
        marks.extend(one.corrected_by.as_ref().map(|by| format!("corrected by {by}")));
        marks.extend(one.erased_by.as_ref().map(|by| format!("erased by {by}")));
        marks.extend(one.struck_by.as_ref().map(|by| format!("struck by {by}")));
        marks.extend(one.private.then(|| "private".to_owned()));
        marks.extend((!one.files.is_empty()).then(|| format!("with {}", plain(&one.files.join(", ")))));
        let when = one.on.to_string().replace('T', " ");
        line(out, format_args!("{when:<16}  {:<18}  {}", one.entry, wrapped(&says, 62, &" ".repeat(38))))?;
        if !marks.is_empty() {
            line(out, format_args!("{:38}{}", "", wrapped(&marks.join(" · "), 62, &" ".repeat(38))))?;
        }
        if let Some(note) = &one.note {
            line(out, format_args!("{:38}“{}”", "", wrapped(&plain(note), 60, &" ".repeat(38))))?;
        }
    }
    Ok(())
}

pub fn rules(all: &[RuleShown], out: &mut dyn Write) -> Result<(), Failure> {
    for RuleShown { rule, setting, input, used_by } in all {
        line(out, format_args!("{}", rule.name))?;
        line(out, format_args!("  {}", wrapped(rule.says, 94, "  ")))?;
        let source = format!("source: {}", sourced(rule.source, rule.standing));
        line(out, format_args!("  {}", wrapped(&source, 94, "  ")))?;
        line(out, format_args!("  {}", wrapped(&format!("scope: {}", rule.scope), 94, "  ")))?;
        for variant in rule.variants {
            let source = sourced(variant.source, variant.standing);
            let text = format!("variant {}: {} · {source}", variant.name, variant.says);
            line(out, format_args!("  {}", wrapped(&text, 94, "  ")))?;
        }
        if let Some(setting) = setting {
            line(out, format_args!("  chosen by: `stemwall setting change {setting} …`"))?;
        }
        if let Some(input) = input {
            line(out, format_args!("  chosen by: `stemwall reckon {input} …`"))?;
        }
        let used = format!("used by: {}", used_by.join(", "));
        line(out, format_args!("  {}", wrapped(&used, 94, "  ")))?;
    }
    line(out, format_args!("{}", counted(all.len() as u64, "rule", "rules")))
}

pub fn kinds(all: &[KindShown], out: &mut dyn Write) -> Result<(), Failure> {
    for kind in all {
        let says = format!("{} (version {}): {}", kind.kind, kind.version, kind.says);
        line(out, format_args!("{}", wrapped(&says, 94, "    ")))?;
        for field in &kind.fields {
            let must = if field.required { "" } else { " (may be left out)" };
            let says = wrapped(&format!("{}{must}", field.says), 70, &" ".repeat(22));
            line(out, format_args!("  {:<18}  {says}", field.field))?;
        }
    }
    Ok(())
}

pub fn entry(shown: &entry::Shown, out: &mut dyn Write) -> Result<(), Failure> {
    let envelope = &shown.entry.envelope;
    line(out, format_args!("{}#{}  {}", shown.key, envelope.seq, envelope.kind))?;
    match shown.entry.body.as_ref().map(|body| &body.fact) {
        Some(Fact::EntryCorrected(c)) => line(out, format_args!("happened  {}, by this correction", c.on))?,
        _ => line(out, format_args!("happened  {}", envelope.on))?,
    }
    line(out, format_args!("entered   {}", envelope.recorded.to_rfc3339_opts(chrono::SecondsFormat::Secs, true)))?;
    match shown.fate {
        Fate::Lives => {}
        Fate::CorrectedBy(by) => line(out, format_args!("corrected by {}#{by}", shown.key))?,
        Fate::StruckBy(by) => line(out, format_args!("struck by {}#{by}", shown.key))?,
        Fate::Absent => line(out, format_args!("its body was erased"))?,
    }
    if let Some(body) = &shown.entry.body {
        line(out, format_args!("says      {}", wrapped(&plain(&body.fact.sentence()), 84, "          ")))?;
        if let Some(by) = &body.remarks.by {
            line(out, format_args!("by        {}", plain(by)))?;
        }
        if let Some(note) = &body.remarks.note {
            line(out, format_args!("note      {}", wrapped(&plain(note), 84, "          ")))?;
        }
        for (file, place) in body.attachments().into_iter().zip(&shown.places) {
            line(out, format_args!("file      {} ({} bytes, sha256 {})", plain(&file.name), file.bytes, file.sha256))?;
            match (file.taken, place) {
                (None, None) => {}
                (Some(taken), None) => line(out, format_args!("          taken {taken}, by its camera"))?,
                (None, Some(place)) => line(out, format_args!("          taken at {place}, by its camera"))?,
                (Some(taken), Some(at)) => line(out, format_args!("          taken {taken} at {at}, by its camera"))?,
            }
        }
    }
    line(out, format_args!("id        {}", envelope.id))?;
    line(out, format_args!("previous  {}", envelope.prev))?;
    line(out, format_args!("hash      {}", shown.entry.hash))
}

pub fn entry_json(shown: &entry::Shown) -> Value {
    let (corrected, struck) = match shown.fate {
        Fate::CorrectedBy(by) => (Some(by), None),
        Fate::StruckBy(by) => (None, Some(by)),
        _ => (None, None),
    };
    let files = shown.entry.body.iter().flat_map(|b| b.attachments());
    let places = files.zip(&shown.places).filter_map(|(file, place)| {
        place.map(|p| json!({"file": file.name, "latitude": p.latitude, "longitude": p.longitude}))
    });
    json!({
        "entry": format!("{}#{}", shown.key, shown.entry.seq()),
        "envelope": shown.entry.envelope,
        "hash": shown.entry.hash,
        "remarks": shown.entry.body.as_ref().map(|b| &b.remarks),
        "fact": shown.fact,
        "places": places.collect::<Vec<_>>(),
        "corrected_by": corrected,
        "struck_by": struck,
    })
}

pub fn hits(hits: &[Hit], out: &mut dyn Write) -> Result<(), Failure> {
    if hits.is_empty() {
        return line(out, format_args!("nothing found"));
    }
    let row = |h: &Hit| vec![h.on.clone(), format!("{}#{}", h.key, h.seq), plain(&about(h)), plain(&h.text)];
    table(&["on", "entry", "about", "text"], hits.iter().map(row).collect(), out)
}

fn about(hit: &Hit) -> String {
    if hit.subject.is_empty() { hit.key.clone() } else { format!("{}/{}", hit.key, hit.subject) }
}

pub fn hit_json(h: &Hit) -> Value {
    json!({"entry": format!("{}#{}", h.key, h.seq), "property": h.key, "about": about(h), "on": h.on, "kind": h.kind, "text": h.text})
}

pub fn settings(settings: &Settings, out: &mut dyn Write) -> Result<(), Failure> {
    let row = |s: SettingShown| vec![s.name.to_owned(), s.value, s.says];
    table(&["setting", "value", "what it is"], settings.shown().into_iter().map(row).collect(), out)
}

/// A number as a number, all else as its words.
pub fn setting_value(text: &str) -> Value {
    text.parse::<u32>().map_or_else(|_| Value::from(text), Value::from)
}

pub fn handed_over(path: &std::path::Path, handed: &Handed, out: &mut dyn Write) -> Result<(), Failure> {
    line(out, format_args!("wrote {}, the ledger in which {} goes on", path.display(), handed.key))?;
    report(&handed.report, out)?;
    if handed.kept_back > 0 {
        let entries = counted(handed.kept_back as u64, "entry", "entries");
        line(out, format_args!("the words of {entries} stayed here: marked private, or told again of one that is"))?;
    }
    line(out, format_args!("everything else went along, costs too"))?;
    super::recorded::entries(&handed.recorded, out)?;
    line(out, format_args!("the new owner: stemwall --ledger {} status", path.display()))
}

pub fn exported(path: &std::path::Path, exported: &Out, as_json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    if as_json {
        let counted: serde_json::Map<String, Value> =
            exported.counted.iter().map(|(what, n)| (what.replace(' ', "_"), json!(n))).collect();
        let value = json!({"out": path.display().to_string(), "rows": counted, "files": exported.files});
        return line(out, format_args!("{value:#}"));
    }
    let counted: Vec<String> =
        exported.counted.iter().filter(|(_, n)| *n > 0).map(|(of, n)| counted(*n, &one_of(of), of)).collect();
    let files = match exported.files {
        0 => String::new(),
        n => format!(", {} in {}.files", counted_files(n), path.display()),
    };
    let text = format!("wrote {}: {}{files}", path.display(), counted.join(", "));
    line(out, format_args!("{}", wrapped(&plain(&text), LINE, "  ")))
}

/// One of what a table is called by: `properties`, `radon tests`.
fn one_of(many: &str) -> String {
    match many.strip_suffix("ies") {
        Some(stem) => format!("{stem}y"),
        None => many.strip_suffix('s').unwrap_or(many).to_owned(),
    }
}

fn counted_files(n: u64) -> String {
    counted(n, "file", "files")
}

pub fn imported_entries(imported: &Entries, as_json: bool, out: &mut dyn Write) -> Result<(), Failure> {
    let Entries { properties, entries, already } = imported;
    if as_json {
        let value = json!({"properties": properties, "entries": entries, "already": already});
        return line(out, format_args!("{value:#}"));
    }
    let new = format!("{}, {}", counted(*properties, "property", "properties"), counted(*entries, "entry", "entries"));
    let here = if *already > 0 { format!("; {already} were here already") } else { String::new() };
    line(out, format_args!("took in {new}{here}"))
}

pub fn taken_over(taken: &[Receipt], out: &mut dyn Write) -> Result<(), Failure> {
    for receipt in taken {
        let Receipt { key, seq, .. } = receipt;
        let entries = counted(*seq, "entry", "entries");
        let says = if receipt.already { "was here already" } else { "goes on here" };
        line(out, format_args!("{key} {says}: {entries}, seal {}", receipt.hash))?;
    }
    Ok(())
}

pub fn report(report: &Report, out: &mut dyn Write) -> Result<(), Failure> {
    for bad in &report.bad {
        line(out, format_args!("{}: {}", plain(&bad.what), plain(&bad.why)))?;
    }
    let absent = if report.absent == 0 { String::new() } else { format!(", {} with the body gone", report.absent) };
    let (properties, entries) =
        (counted(report.properties, "property", "properties"), counted(report.entries, "entry", "entries"));
    let files = counted(report.files, "file", "files");
    let outcome = if report.bad.is_empty() { "every hash, link, file and computed row agrees" } else { "not whole" };
    line(out, format_args!("{properties}, {entries}{absent}, {files}: {outcome}"))?;
    if report.bad.is_empty() {
        line(
            out,
            format_args!(
                "This shows order and wholeness up to a seal that somebody else holds; dates and names are as entered."
            ),
        )?;
    }
    Ok(())
}

pub fn backup(file: &std::path::Path, report: &BackupReport, out: &mut dyn Write) -> Result<(), Failure> {
    let properties = counted(report.properties, "property", "properties");
    let (entries, files) = (counted(report.entries, "entry", "entries"), counted(report.files, "file", "files"));
    line(out, format_args!("wrote {}: {properties}, {entries}, {files}, {} bytes", file.display(), report.bytes))
}
