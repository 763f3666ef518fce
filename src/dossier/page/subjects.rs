//! Part by part: the place, its readings with a chart, photographs, repairs, and the verdict with every rule that led to it.

use std::io::Cursor;

use chrono::NaiveDate;

use super::entry;
use super::tree::{Block, Piece, Row, Text};
use crate::chart::{self, Readings};
use crate::dossier::camera::Camera;
use crate::dossier::data::{Picture, Pictures, decoded};
use crate::dossier::summary::day;
use crate::dossier::text::seen;
use crate::dossier::view::View;
use crate::ledger::entry::Attachment;
use crate::ledger::history::subjects as about;
use crate::ledger::kind::Kind;
use crate::ledger::property::{Finding, Reading};
use crate::ledger::subject::Subject;
use crate::ledger::verdicts::{Shown, verdict_of};
use crate::quantity::{Length, Units};
use crate::trade::verdict::Fired;
use crate::trade::{By, Rule, Standing, Verdict};

pub(super) fn subjects(view: &View, pictures: &Pictures) -> Vec<Block> {
    let property = &view.property;
    let mut out = vec![Block::head(3, "The house")];
    out.extend(verdict(view, &Subject::Property));
    out.extend(files(view, pictures, &Subject::Property));
    for (name, section) in &property.sections {
        out.push(Block::head(3, format!("Section {name}: {}", section.foundation.word())));
        out.extend(verdict(view, &Subject::Named(name.clone())));
        let tests = property.radon_tests.iter().filter(|t| t.test.section == *name);
        out.extend(tests.map(|t| tested(view, t.seq, t.test.started.date, &t.test.sentence())));
        let logs = property.air_logs.iter().filter(|l| l.log.section == *name);
        out.extend(logs.map(|l| tested(view, l.seq, l.on.date, &l.log.sentence())));
        let surveys = property.level_surveys.iter().filter(|s| s.survey.section.as_ref() == Some(name));
        out.extend(surveys.map(|s| tested(view, s.seq, s.on.date, &s.survey.sentence())));
        let sheets = property.sheet_tests.iter().filter(|t| t.test.section.as_ref() == Some(name));
        out.extend(sheets.map(|t| tested(view, t.seq, t.on.date, &t.test.sentence())));
        out.extend(files(view, pictures, &Subject::Named(name.clone())));
    }
    for (name, fixture) in &property.fixtures {
        out.push(Block::head(3, format!("Fixture {name}: {}", fixture.kind.word())));
        if let Some((on, why)) = &fixture.retired {
            out.push(Block::words(format!("Retired on {}: {why}", day(on.date))));
        }
        out.extend(verdict(view, &Subject::Named(name.clone())));
        let tests = property.sump_tests.iter().filter(|t| t.test.fixture == *name);
        out.extend(tests.map(|t| tested(view, t.seq, t.on.date, &t.test.sentence())));
        let looks = property.gauge_looks.iter().filter(|l| l.look.fixture == *name);
        out.extend(looks.map(|l| tested(view, l.seq, l.on.date, &l.look.sentence())));
        out.extend(files(view, pictures, &Subject::Named(name.clone())));
    }
    for (number, finding) in &property.findings {
        out.extend(of_finding(view, pictures, *number, finding));
    }
    for (number, (what, entries)) in view.gaps.findings(property) {
        out.extend(not_opened(view, number, what.as_deref(), &entries));
    }
    for (part, entries) in view.gaps.parts(property) {
        out.extend([Block::head(3, format!("{}: left out of this file", part.local())), resting(view, &entries)]);
    }
    out.extend(other_files(view, pictures));
    out
}

/// A finding that entries here speak of, and whose opening, or what that rests on, is left out.
fn not_opened(view: &View, number: u32, what: Option<&str>, entries: &[u64]) -> Vec<Block> {
    let what = what.map_or_else(|| "its opening is left out of this file".to_owned(), str::to_owned);
    let text = format!("Finding {number}: {what}").into();
    vec![Block::Head { level: 3, id: Some(format!("finding-{number}")), text }, resting(view, entries)]
}

fn resting(view: &View, entries: &[u64]) -> Block {
    let begin = "Nothing is computed of it, since what its entries rest on is left out of this file. Told here: ";
    let mut told = Text::of(begin);
    for (n, seq) in entries.iter().enumerate() {
        told = told.and((n > 0).then_some(", ")).and(entry(view, *seq));
    }
    Block::words(told.and("."))
}

/// Files of parts that the record does not have: left out, struck, or later than the day of the file.
fn other_files(view: &View, pictures: &Pictures) -> Vec<Block> {
    let shown = files_of(view, pictures, |subject| subject.is_none_or(|subject| !view.property.knows(subject)));
    if shown.is_empty() {
        return Vec::new();
    }
    let mut out = vec![
        Block::head(3, "Other files"),
        Block::words(
            "They belong to parts of the house that are left out of this file, or that were struck from its record.",
        ),
    ];
    out.extend(shown);
    out
}

/// A test or record of a part, with its day and entry.
fn tested(view: &View, seq: u64, on: NaiveDate, says: &str) -> Block {
    Block::words(Text::of(format!("{} (", day(on))).and(entry(view, seq)).and("): ").and(says))
}

fn of_finding(view: &View, pictures: &Pictures, number: u32, finding: &Finding) -> Vec<Block> {
    let subject = Subject::Finding(number);
    let walls = view.property.walls_of(finding).map_or(String::new(), |walls| format!(" ({} walls)", walls.word()));
    let head = format!("Finding {number}: {}, {}", finding.kind.word(), finding.place);
    let opened = Text::of(format!("Opened on {} by ", day(finding.opened.date)))
        .and(entry(view, finding.seq))
        .and(finding.section.as_ref().map(|section| format!(", in {section}{walls}")))
        .and(turns(finding))
        .and(".");
    let mut out =
        vec![Block::Head { level: 3, id: Some(format!("finding-{number}")), text: head.into() }, Block::words(opened)];
    out.extend(verdict(view, &subject));
    let sheets = view.property.sheet_tests.iter().filter(|t| t.test.finding == Some(number));
    out.extend(sheets.map(|t| tested(view, t.seq, t.on.date, &t.test.sentence())));
    out.extend(charts(view, number, finding));
    if !finding.readings.is_empty() {
        out.push(Block::table(
            format!("Readings of finding {number}"),
            &["read", "what", "at", "with", "by", "entry"],
            finding.readings.iter().map(|r| reading(view, r)).collect(),
        ));
    }
    for repair in view.property.repairs.iter().filter(|r| r.made.findings.contains(&number)) {
        let mut text = Text::of(format!("Repaired on {} (", day(repair.on.date)))
            .and(entry(view, repair.seq))
            .and("): ")
            .and(repair.made.sentence());
        for check in &repair.checks {
            text = text.and(format!("; looked at on {}: held {}", day(check.on.date), check.held.word()));
        }
        out.push(Block::words(text));
    }
    out.extend(files(view, pictures, &subject));
    out
}

/// Every closing, and every opening again.
fn turns(finding: &Finding) -> String {
    let mut out = String::new();
    for c in &finding.was_closed {
        let (closed, reopened) = (day(c.on.date), day(c.reopened.date));
        out.push_str(&format!("; closed on {closed}: {}; opened again on {reopened}: {}", c.why, c.reopened_why));
    }
    if let Some((on, why)) = &finding.closed {
        out.push_str(&format!("; closed on {}: {why}", day(on.date)));
    }
    out
}

fn reading(view: &View, reading: &Reading) -> Row {
    let resolution = reading.resolution.as_ref().map(|r| format!(" to {}", r.typed()));
    let moved = if reading.moved { "; it moved while it was looked at" } else { "" };
    let or_dash = |text: &Option<String>| text.as_ref().map_or_else(|| Text::of("–"), Text::of);
    Row::of(vec![
        Text::of(reading.on.to_string()),
        Text::of(format!("{}{}{moved}", reading.words(), in_its_units(view, reading))),
        or_dash(&reading.at),
        or_dash(&reading.with).and(resolution),
        or_dash(&reading.by),
        entry(view, reading.seq),
    ])
}

/// A length as the chart has it, where it was typed in the other units.
fn in_its_units(view: &View, reading: &Reading) -> String {
    let Some(length) = reading.measured.length() else { return String::new() };
    match (view.settings.units, length.typed().ends_with('m')) {
        (Units::Us, true) => format!(" ({:.3} in)", length.value().to_inches()),
        (Units::Metric, false) => format!(" ({:.2} mm)", length.value().to_mm()),
        _ => String::new(),
    }
}

/// A chart a quantity and a marked point, of readings that are lengths.
fn charts(view: &View, number: u32, finding: &Finding) -> Vec<Block> {
    let mut series: Vec<Readings> = Vec::new();
    let unit = match view.settings.units {
        Units::Us => "in",
        Units::Metric => "mm",
    };
    let in_unit = |length: Length| if unit == "in" { length.to_inches() } else { length.to_mm() };
    for reading in &finding.readings {
        let Some(length) = reading.measured.length() else { continue };
        let at = reading.at.as_ref().map_or(String::new(), |at| format!(" at {at}"));
        let label = format!("{}{at}", reading.measured.quantity().replace('-', " "));
        let resolution = reading.resolution.as_ref().map(|step| in_unit(step.value()));
        let read = chart::Reading { on: reading.on.date, value: in_unit(length.value()), resolution };
        match series.iter_mut().find(|of| of.label == label) {
            Some(of) => of.read.push(read),
            None => series.push(Readings { label, read: vec![read] }),
        }
    }
    let marks: Vec<(NaiveDate, &str)> = finding.mended.iter().map(|on| (on.date, "repaired")).collect();
    series.retain(|of| of.read.iter().any(|read| read.on != of.read[0].on));
    let chart = |of: &Readings| {
        let title = seen(&format!("finding {number}: {} over time", of.label));
        let drawn = chart::readings(&title, unit, std::slice::from_ref(of), None, &marks);
        Block::Chart { drawn, under: Text::of(format!("{}, {unit}; the table has every value", of.label)) }
    };
    series.iter().map(chart).collect()
}

/// The verdict on the day of the dossier, and on whose authority.
fn verdict(view: &View, subject: &Subject) -> Vec<Block> {
    let Some(shown) = verdict_of(&view.property, subject, &view.settings, view.dossier.as_of) else {
        return Vec::new();
    };
    let finding = match subject {
        Subject::Finding(number) => view.property.findings.get(number),
        _ => None,
    };
    if let Some(finding) = finding.filter(|f| f.closed.is_some()) {
        return closed(finding, &shown);
    }
    let computed = shown.computed.as_ref().unwrap_or(&shown.verdict);
    if shown.verdict.band.is_none() && computed.because.is_empty() && shown.verdict.not_known.is_empty() {
        return Vec::new();
    }
    let part = if view.gaps.weigh() { ", by the part of the record that is in this file" } else { "" };
    let begin = format!("Asked for as of {}{part}: ", day(view.dossier.as_of));
    let mut out = vec![Block::words(Text::of(begin).and(asked(view, &shown.verdict)).and("."))];
    if let Some(j) = &shown.held_by {
        let (on, says) = (day(j.on), &j.says);
        out.push(Block::words(format!("Held by a judgement of {} ({}) on {on}: “{says}”", j.from, j.licence)));
    }
    if let Some(why) = &shown.not_held {
        out.push(Block::words(format!("A judgement that no longer holds: {why}.")));
    }
    out.extend(rules("Because", &computed.because));
    out.extend(rules("For comparison only", &computed.comparison));
    if !shown.verdict.not_known.is_empty() {
        out.push(Block::words(format!("Not known: {}.", shown.verdict.not_known.join("; "))));
    }
    if !shown.verdict.cautions.is_empty() {
        out.push(Block::words(format!("Caution: {}.", shown.verdict.cautions.join("; "))));
    }
    out
}

/// Of a closed finding nothing is asked: what its readings gave is told, and nobody is sent for by it.
fn closed(finding: &Finding, shown: &Shown) -> Vec<Block> {
    let nothing = "It is closed, by the entry above: nothing is asked for.";
    let computed = shown.computed.as_ref().unwrap_or(&shown.verdict);
    match computed.band.filter(|_| !finding.readings.is_empty()) {
        Some(band) => {
            let before = Text::of(format!("{nothing} The readings from before it was closed, by themselves: "));
            let mut out = vec![Block::words(before.and(Piece::band(band.word())).and("."))];
            out.extend(rules("Because", &computed.because));
            out
        }
        None => vec![Block::words(nothing)],
    }
}

fn asked(view: &View, verdict: &Verdict) -> Text {
    let Some(band) = verdict.band else { return Text::of("not known") };
    let overdue = |on: NaiveDate| if on < view.dossier.as_of { ", overdue" } else { "" };
    let by = match &verdict.by {
        None => String::new(),
        Some(By::AtOnce) => ", at once".into(),
        Some(By::Date(on)) => format!(", by {}{}", day(*on), overdue(*on)),
        Some(By::Before(what)) => format!(", before {what}"),
    };
    Text::of(Piece::band(band.word())).and(format!(", {}{by}", verdict.who.map_or("", |who| who.words())))
}

fn rules(title: &str, fired: &[Fired]) -> Vec<Block> {
    if fired.is_empty() {
        return Vec::new();
    }
    let rule = |one: &Fired| {
        let scope = if one.band.is_none() { format!("; scope: {}", one.rule.scope) } else { String::new() };
        let band = one.band.map_or(String::new(), |band| format!("{}: ", band.word()));
        Text::of(format!("{band}{} ", one.because)).and(Piece::source(format!(
            "({}; rule {}{scope})",
            authority(one.rule),
            one.rule.name
        )))
    };
    vec![Block::words(format!("{title}:")), Block::List(fired.iter().map(rule).collect())]
}

fn authority(rule: &Rule) -> String {
    match rule.standing {
        Standing::Practice => rule.source.to_owned(),
        other => format!("{}, {}", rule.source, other.words()),
    }
}

/// Photographs, and other files by name, size and hash.
fn files(view: &View, pictures: &Pictures, subject: &Subject) -> Vec<Block> {
    files_of(view, pictures, |of| of == Some(subject))
}

fn files_of(view: &View, pictures: &Pictures, wanted: impl Fn(Option<&Subject>) -> bool) -> Vec<Block> {
    let mut files: Vec<(u64, String, &Attachment)> = Vec::new();
    for one in &view.entries {
        let Some(body) = one.body.as_ref().filter(|_| one.envelope.on.date <= view.dossier.as_of) else { continue };
        if body.attachments().is_empty() {
            continue;
        }
        if wanted(about(&view.entries, one.seq()).first()) {
            let on = one.envelope.on.to_string();
            // A correction names again what the entry before it named.
            for file in body.attachments() {
                if !files.iter().any(|(.., other)| other.sha256 == file.sha256) {
                    files.push((one.seq(), on.clone(), file));
                }
            }
        }
    }
    let block = |(seq, on, file): &(u64, String, &Attachment)| match view
        .dossier
        .pictures
        .iter()
        .find(|p| p.file == file.sha256)
    {
        Some(picture) => photograph(view, pictures, picture, *seq, on, file),
        None => Block::words(
            Text::of(format!("File {}, {} bytes, of ", file.name, file.bytes))
                .and(entry(view, *seq))
                .and(". SHA-256 ")
                .and(Piece::code(file.sha256))
                .and(not_shown(&file.name)),
        ),
    };
    files.iter().map(block).collect()
}

/// Why a file that is called a picture is not shown as one.
fn not_shown(name: &str) -> Option<&'static str> {
    let (_, ending) = name.rsplit_once('.')?;
    match ending.to_ascii_lowercase().as_str() {
        "jpg" | "jpeg" | "png" => Some(
            ". It is not shown: it does not open as a picture, or has more than 64 million pixels, or is larger than 64 MiB",
        ),
        "webp" | "gif" | "tif" | "tiff" | "heic" | "heif" | "avif" | "bmp" => {
            Some(". It is not shown: only JPEG and PNG are")
        }
        _ => None,
    }
}

fn photograph(view: &View, pictures: &Pictures, picture: &Picture, seq: u64, on: &str, file: &Attachment) -> Block {
    let itself = picture.file == picture.shown;
    // Only of a file that is here as it is, and so has a hash that proves it.
    let bytes = pictures.get(&picture.shown).filter(|_| itself).and_then(|text| decoded(text));
    let place = bytes.and_then(|bytes| Camera::of(&mut Cursor::new(bytes)).place);
    let what = match itself {
        true => "The file itself.".to_owned(),
        false => format!(
            "A copy without what the camera wrote, which the chain does not prove; the file has {} bytes.",
            file.bytes
        ),
    };
    let under = Text::of(format!("{}, {on}, ", file.name))
        .and(entry(view, seq))
        .and(". ")
        .and(file.taken.map(|taken| format!("Taken on {taken} by the clock of its camera. ")))
        .and(place.map(|place| format!("Taken at {place}, by its camera. ")))
        .and(format!("{what} SHA-256 of the file "))
        .and(Piece::code(file.sha256));
    Block::Photograph { alt: format!("Photograph {}, {on}", file.name), of: picture.clone(), under }
}
