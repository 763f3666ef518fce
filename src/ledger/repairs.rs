//! What is known of a crack that is about to be filled, and what a recorded repair took.

use chrono::NaiveDate;

use super::kind::repair_made::RepairMade;
use super::property::{Finding, Property};
use super::readings::{length, series, until, wetness};
use crate::quantity::Length;
use crate::trade::epoxy::{self, Filling, Quantity};
use crate::trade::series::Measured;
use crate::trade::trend;
use crate::trade::words::{Answer, FindingKind};

/// A crack as its record has it before it is filled; `None` for what is no crack.
pub fn filling(property: &Property, number: u32, today: NaiveDate) -> Option<Filling> {
    let finding = property.findings.get(&number).filter(|f| f.kind == FindingKind::Crack)?;
    let widths = series(finding);
    let longest = widths.iter().filter(|s| s.measured == Measured::Width).max_by_key(|s| s.points(today).len());
    let growth = longest.and_then(|s| trend::growth(&s.points(today), s.resolution().mm).ok());
    let p = &finding.particulars;
    let rusts = if p.steel_shows == Some(Answer::Yes) { p.steel_shows } else { p.rust.or(p.steel_shows) };
    Some(Filling {
        width: length(finding, "width", today),
        read_on: until(finding, today).rfind(|r| r.measured.quantity() == "width").map(|r| r.on.date),
        photographed: photographed(property, number, finding),
        trend: growth.as_ref().map(|g| g.state),
        not_ruled_out: growth.and_then(|g| g.not_ruled_out()).and_then(Length::nearest),
        moved_while_looked_at: until(finding, today).any(|r| r.moved),
        water: wetness(finding, today),
        water_source_known: p.source_known == Some(Answer::Yes),
        steel_rusts: rusts,
    })
}

/// A picture belongs to the finding or to one of its entries.
fn photographed(property: &Property, number: u32, finding: &Finding) -> bool {
    let about = super::subject::Subject::Finding(number);
    finding.photographed || property.files.iter().any(|f| f.about == about)
}

/// How much resin a repair took, where its width, depth, length and waste are known.
pub fn resin(made: &RepairMade) -> Option<Quantity> {
    let [width, depth, length] = [&made.width, &made.depth, &made.length].map(|l| l.as_ref().map(|l| l.value()));
    epoxy::quantity(width?, depth?, length?, made.waste.as_ref()?.value()).ok()
}
