//! Water that stands or runs where a damp place was recorded.
//!
//! The rule in words: water that stands or runs in a house is excessive moisture, whatever its source; nobody steps into it while
//! it may touch anything electric, and it is let out or pumped at once. How deep it stood is told, until a later reading says
//! that there is none, or that the place is dry or only damp.

use chrono::NaiveDate;

use crate::quantity::Length;
use crate::trade::told;
use crate::trade::verdict::{Band, Fired, Rule, Standing, Step, Who};
use crate::trade::words::Water;

pub static STANDING_WATER: Rule = Rule {
    name: "standing-water",
    says: "water that stands or runs in a house is excessive moisture: it is let out or pumped at once, electrics seen to first, and \
           its source is looked for",
    source: "Clemson Extension, Wood Infestation Report CL-100, section J, for standing water; that it is mended at once is a design \
             rule of this program",
    standing: Standing::SecondHand,
    scope: "basements, crawl spaces and floors; water at electrical equipment is a finding of its own",
    variants: &[],
};

/// The latest readings of water at a place, each with its day.
pub(super) fn standing(depth: Option<(Length, NaiveDate)>, water: Option<(Water, NaiveDate)>) -> Option<Fired> {
    let drier = |since: NaiveDate| {
        water.is_some_and(|(water, on)| matches!(water, Water::Dry | Water::Damp | Water::Seeping) && on > since)
    };
    let deep = depth.filter(|(depth, on)| !depth.exact().is_zero() && !drier(*on));
    // Somebody who measures no water later saw that none runs.
    let emptied = |since: NaiveDate| depth.is_some_and(|(depth, on)| depth.exact().is_zero() && on > since);
    let runs = water.filter(|(water, on)| *water == Water::Running && !emptied(*on));
    let mut says = Vec::new();
    says.extend(deep.map(|(depth, on)| format!("water stood {} deep, read {}", told::length(depth), told::day(on))));
    says.extend(runs.map(|(_, on)| format!("water was running, read {}", told::day(on))));
    let since = deep.map(|(_, on)| on).max(runs.map(|(_, on)| on))?;
    Some(Fired::at_once(&STANDING_WATER, Band::Mend, Who::OwnerOrPlumber, since, says.join("; ")))
}

/// What is done about it, before the source is looked for.
pub(super) fn let_out(since: Option<NaiveDate>) -> Step {
    Step::new(
        "keep out of it until the electricity there is known to be off; then let it out or have it pumped, and look what lets it in",
    )
    .at_once(since)
}
