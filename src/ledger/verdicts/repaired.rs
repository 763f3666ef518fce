//! From what is recorded of the repairs of a finding to the inputs of their rules.

use chrono::NaiveDate;

use crate::ledger::duties::{held_on, last_repair};
use crate::ledger::property::{Finding, Property};
use crate::ledger::readings::until;
use crate::trade::words::{Answer, FindingKind};
use crate::trade::{Verdict, repaired};

/// What follows where the last repair did not hold; `None` while it is not known to have failed.
pub(super) fn of_repair(property: &Property, number: u32, finding: &Finding, today: NaiveDate) -> Option<Verdict> {
    let repair = last_repair(property, number, today)?;
    let (_, seen) = held_on(repair, today).filter(|(held, _)| *held == Answer::No)?;
    let of_crack = finding.kind == FindingKind::Crack;
    Some(repaired::not_held(repair.made.method, of_crack, repair.on.date, seen))
}

/// When the last repair of a finding was looked at last: that is a look at the place.
pub(super) fn looked_at_repair(property: &Property, number: u32, today: NaiveDate) -> Option<NaiveDate> {
    let repair = last_repair(property, number, today)?;
    held_on(repair, today).map(|(_, on)| on)
}

/// The filling of a crack of which no width was read since, unless it did not hold.
pub(super) fn filled(
    property: &Property,
    number: u32,
    finding: &Finding,
    today: NaiveDate,
) -> Option<repaired::Filled> {
    let repair = last_repair(property, number, today).filter(|r| r.made.method.fills())?;
    let read = until(finding, today).any(|r| r.on > repair.on && r.measured.quantity() == "width");
    let held = held_on(repair, today);
    (!read && held.is_none_or(|(held, _)| held == Answer::Yes)).then(|| repaired::Filled {
        method: repair.made.method,
        on: repair.on.date,
        held_on: held.map(|(_, on)| on),
    })
}
