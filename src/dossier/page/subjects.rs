//! Part by part: the place, its readings with a chart, photographs, repairs, and the verdict with every rule that led to it.

use std::io::Cursor;

use chrono::NaiveDate;
use maud::{Markup, PreEscaped, html};

use super::{entry, table, words};
use crate::chart::{self, Readings, svg};
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
use crate::ledger::verdicts::verdict_of;
use crate::quantity::{Length, Units};
use crate::trade::verdict::Fired;
use crate::trade::{By, Rule, Standing, Verdict};

pub(super) fn subjects(view: &View, pictures: &Pictures) -> Markup {
    let property = &view.property;
    html! {
        section id="subjects" aria-labelledby="subjects-head" {
            h2 id="subjects-head" { "Part by part" }
            h3 { "The house" }
            (verdict(view, &Subject::Property))
            (files(view, pictures, &Subject::Property))
            @for (name, section) in &property.sections {
                h3 { "Section " (name) ": " (section.foundation.word()) }
                (verdict(view, &Subject::Named(name.clone())))
                (tested(view, property.radon_tests.iter().filter(|t| t.test.section == *name).map(|t| (t.seq, t.test.started.date, t.test.sentence()))))
                (tested(view, property.air_logs.iter().filter(|l| l.log.section == *name).map(|l| (l.seq, l.on.date, l.log.sentence()))))
                (files(view, pictures, &Subject::Named(name.clone())))
            }
            @for (name, fixture) in &property.fixtures {
                h3 { "Fixture " (name) ": " (fixture.kind.word()) }
                @if let Some((on, why)) = &fixture.retired { p { "Retired on " (day(on.date)) ": " (words(why)) } }
                (verdict(view, &Subject::Named(name.clone())))
                (tested(view, property.sump_tests.iter().filter(|t| t.test.fixture == *name).map(|t| (t.seq, t.on.date, t.test.sentence()))))
                (files(view, pictures, &Subject::Named(name.clone())))
            }
            @for (number, finding) in &property.findings { (of_finding(view, pictures, *number, finding)) }
        }
    }
}

/// Tests and records of a part, each with its day and entry.
fn tested(view: &View, all: impl Iterator<Item = (u64, NaiveDate, String)>) -> Markup {
    html! { @for (seq, on, says) in all { p { (day(on)) " (" (entry(view, seq)) "): " (words(says)) } } }
}

fn of_finding(view: &View, pictures: &Pictures, number: u32, finding: &Finding) -> Markup {
    let subject = Subject::Finding(number);
    let repairs: Vec<_> = view.property.repairs.iter().filter(|r| r.made.findings.contains(&number)).collect();
    let walls = view.property.walls_of(finding).map_or(String::new(), |walls| format!(" ({} walls)", walls.word()));
    html! {
        h3 id={ "finding-" (number) } { "Finding " (number) ": " (finding.kind.word()) ", " (words(&finding.place)) }
        p {
            "Opened on " (day(finding.opened.date)) " by " (entry(view, finding.seq))
            @if let Some(section) = &finding.section { ", in " (section) (walls) }
            @if let Some((on, why)) = &finding.closed { "; closed on " (day(on.date)) ": " (words(why)) }
            "."
        }
        (verdict(view, &subject))
        (charts(view, number, finding))
        @if !finding.readings.is_empty() {
            (table(&format!("Readings of finding {number}"), &["read", "what", "at", "with", "by", "entry"],
                finding.readings.iter().map(|r| reading(view, r)).collect()))
        }
        @for repair in repairs {
            p { "Repaired on " (day(repair.on.date)) " (" (entry(view, repair.seq)) "): " (words(repair.made.sentence()))
                @for check in &repair.checks { "; looked at on " (day(check.on.date)) ": held " (check.held.word()) }
            }
        }
        (files(view, pictures, &subject))
    }
}

fn reading(view: &View, reading: &Reading) -> Vec<Markup> {
    let resolution = reading.resolution.as_ref().map_or(String::new(), |r| format!(" to {}", r.typed()));
    let moved = if reading.moved { "; it moved while it was looked at" } else { "" };
    let or_dash = |text: &Option<String>| text.as_ref().map_or_else(|| words("–"), words);
    vec![
        html! { (reading.on) },
        words(format!("{}{moved}", reading.words())),
        or_dash(&reading.at),
        html! { (or_dash(&reading.with)) (words(resolution)) },
        or_dash(&reading.by),
        entry(view, reading.seq),
    ]
}

/// A chart a quantity and a marked point, of readings that are lengths.
fn charts(view: &View, number: u32, finding: &Finding) -> Markup {
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
    html! {
        @for of in &series {
            @if of.read.iter().any(|read| read.on != of.read[0].on) {
                @let title = seen(&format!("{} of finding {number} over time; the table has every value", of.label));
                @let drawn = svg::draw(&chart::readings(&title, unit, std::slice::from_ref(of), None, &marks));
                figure { (PreEscaped(drawn)) figcaption { (words(&of.label)) ", " (unit) } }
            }
        }
    }
}

/// The verdict on the day of the dossier, and on whose authority.
fn verdict(view: &View, subject: &Subject) -> Markup {
    let Some(shown) = verdict_of(&view.property, subject, &view.settings, view.dossier.as_of) else { return html! {} };
    let closed =
        matches!(subject, Subject::Finding(n) if view.property.findings.get(n).is_some_and(|f| f.closed.is_some()));
    let computed = shown.computed.as_ref().unwrap_or(&shown.verdict);
    if shown.verdict.band.is_none() && computed.because.is_empty() && shown.verdict.not_known.is_empty() {
        return html! {};
    }
    html! {
        p {
            @if closed { "Its last readings give: " } @else { "Asked for as of " (day(view.dossier.as_of)) ": " }
            (asked(&shown.verdict)) "."
        }
        @if let Some(judgement) = &shown.held_by {
            p { "Held by a judgement of " (words(&judgement.from)) " (" (words(&judgement.licence)) ") on " (day(judgement.on)) ": “" (words(&judgement.says)) "”" }
        }
        @if let Some(why) = &shown.not_held { p { "A judgement that no longer holds: " (words(why)) "." } }
        (rules("Because", &computed.because))
        (rules("For comparison only", &computed.comparison))
        @if !shown.verdict.not_known.is_empty() { p { "Not known: " (words(shown.verdict.not_known.join("; "))) "." } }
        @if !shown.verdict.cautions.is_empty() { p { "Caution: " (shown.verdict.cautions.join("; ")) "." } }
    }
}

fn asked(verdict: &Verdict) -> Markup {
    let by = match &verdict.by {
        None => String::new(),
        Some(By::AtOnce) => ", at once".into(),
        Some(By::Date(on)) => format!(", by {}", day(*on)),
        Some(By::Before(what)) => format!(", before {what}"),
    };
    html! {
        @match verdict.band {
            None => "not known",
            Some(band) => { span.band { (band.word()) } ", " (verdict.who.map_or("", |who| who.words())) (by) }
        }
    }
}

fn rules(title: &str, fired: &[Fired]) -> Markup {
    html! {
        @if !fired.is_empty() {
            p { (title) ":" }
            ul {
                @for one in fired {
                    li {
                        @if let Some(band) = one.band { (band.word()) ": " }
                        (words(&one.because)) " " span.source { "(" (authority(one.rule)) "; rule " (one.rule.name)
                            @if one.band.is_none() { "; scope: " (one.rule.scope) } ")" }
                    }
                }
            }
        }
    }
}

fn authority(rule: &Rule) -> String {
    match rule.standing {
        Standing::Practice => rule.source.to_owned(),
        other => format!("{}, {}", rule.source, other.words()),
    }
}

/// Photographs, and other files by name, size and hash.
fn files(view: &View, pictures: &Pictures, subject: &Subject) -> Markup {
    let mut files: Vec<(u64, String, &Attachment)> = Vec::new();
    for one in &view.entries {
        let Some(body) = &one.body else { continue };
        if about(&view.entries, one.seq()).first() == Some(subject) {
            let on = one.envelope.on.to_string();
            // A correction names again what the entry before it named.
            for file in body.attachments() {
                if !files.iter().any(|(.., other)| other.sha256 == file.sha256) {
                    files.push((one.seq(), on.clone(), file));
                }
            }
        }
    }
    let shown = |file: &Attachment| view.dossier.pictures.iter().find(|p| p.file == file.sha256);
    html! {
        @for (seq, on, file) in &files {
            @if let Some(picture) = shown(file) {
                (photograph(view, pictures, picture, *seq, on, file))
            } @else {
                p { "File " (words(&file.name)) ", " (file.bytes) " bytes, of " (entry(view, *seq)) ". SHA-256 " code { (file.sha256) } }
            }
        }
    }
}

fn photograph(view: &View, pictures: &Pictures, picture: &Picture, seq: u64, on: &str, file: &Attachment) -> Markup {
    let bytes = pictures.get(&picture.shown).map_or("", String::as_str);
    let itself = picture.file == picture.shown;
    // Only of a file that is here as it is, and so has a hash that proves it.
    let place = decoded(bytes).filter(|_| itself).and_then(|bytes| Camera::of(&mut Cursor::new(bytes)).place);
    html! {
        figure {
            img alt={ "Photograph " (words(&file.name)) ", " (on) } width=(picture.width) height=(picture.height)
                src={ "data:image/" (picture.media.word()) ";base64," (bytes) };
            figcaption {
                (words(&file.name)) ", " (on) ", " (entry(view, seq)) ". "
                @if let Some(taken) = file.taken { "Taken on " (taken) " by the clock of its camera. " }
                @if let Some(place) = place { "Taken at " (place) ", by its camera. " }
                @if itself { "The file itself." } @else { "A copy without what the camera wrote, which the chain does not prove; the file has " (file.bytes) " bytes." }
                " SHA-256 of the file " code { (file.sha256) }
            }
        }
    }
}
