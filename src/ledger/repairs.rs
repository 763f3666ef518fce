//! What is known of a crack that is about to be filled, and what a recorded repair took.

use chrono::NaiveDate;

use super::kind::repair_made::RepairMade;
use super::property::{Finding, Property};
use super::readings::{length, series, until, wetness};
use super::settings::Settings;
use super::subject::Subject;
use super::verdicts::verdict_of;
use crate::quantity::Length;
use crate::trade::epoxy::{self, Filling, Quantity};
use crate::trade::series::Measured;
use crate::trade::trend;
use crate::trade::words::{Answer, FindingKind};
use crate::trade::{Band, Who};

/// A crack as its record has it before it is filled; `None` for what is no crack.
pub fn filling(
    property: &Property,
    number: u32,
    made: &RepairMade,
    settings: &Settings,
    today: NaiveDate,
) -> Option<Filling> {
    let finding = property.findings.get(&number).filter(|f| f.kind == FindingKind::Crack)?;
    let widths = series(finding);
    let longest = widths.iter().filter(|s| s.measured == Measured::Width).max_by_key(|s| s.points(today).len());
    let growth = longest.and_then(|s| trend::growth(&s.points(today), s.resolution().mm).ok());
    let p = &finding.particulars;
    let rusts = if p.steel_shows == Some(Answer::Yes) { p.steel_shows } else { p.rust.or(p.steel_shows) };
    let width = made.width.as_ref().map(|width| width.value());
    let read_on = until(finding, today).rfind(|r| r.measured.quantity() == "width").map(|r| r.on.date);
    Some(Filling {
        method: made.method,
        called: called(property, number, settings, today),
        width: width.or(length(finding, "width", today)),
        // A width that is given with the repair was read for it.
        read_on: width.map(|_| today).or(read_on),
        photographed: photographed(property, number, finding),
        trend: growth.as_ref().map(|g| g.state),
        not_ruled_out: growth.and_then(|g| g.not_ruled_out()).and_then(Length::nearest),
        moved_while_looked_at: until(finding, today).any(|r| r.moved),
        water: wetness(finding, today),
        water_source_known: p.source_known == Some(Answer::Yes),
        steel_rusts: rusts,
    })
}

/// Why the verdict sends it to a licensed structural engineer, if it does.
fn called(property: &Property, number: u32, settings: &Settings, today: NaiveDate) -> Option<String> {
    let shown = verdict_of(property, &Subject::Finding(number), settings, today)?.verdict;
    let called = shown.band >= Some(Band::Call) && shown.who == Some(Who::StructuralEngineer);
    shown.because.into_iter().next().filter(|_| called).map(|fired| fired.because.to_string())
}

/// A picture belongs to the finding or to one of its entries.
fn photographed(property: &Property, number: u32, finding: &Finding) -> bool {
    let about = Subject::Finding(number);
    finding.photographed || property.files.iter().any(|f| f.about == about)
}

/// How much resin a repair took, where its width, depth, length and waste are known.
pub fn resin(made: &RepairMade) -> Option<Quantity> {
    let [width, depth, length] = [&made.width, &made.depth, &made.length].map(|l| l.as_ref().map(|l| l.value()));
    epoxy::quantity(width?, depth?, length?, made.waste.as_ref()?.value()).ok()
}
