//! Water that rises while the pump does not run.
//!
//! The rule in words: water rising in the pit while the pump does not run is urgent: nobody steps into it, and the utility or a
//! licensed electrician comes first. A later test that says no, or in which the pump switches on and off as asked, ends that.
//!
//! Source: Ontario Ministry of Labour and University of Illinois Extension for water and electricity; that it is urgent is a
//! design rule of this program.

use super::{PumpTest, SWITCHES};
use crate::trade::told;
use crate::trade::verdict::{Band, Fired, Rule, Standing, Who};
use crate::trade::words::Answer;

pub static WATER_RISING: Rule = Rule {
    name: "sump-water-rising",
    says: "water that rises while the pump does not run: do not step into it; the utility or a licensed electrician comes first",
    source: "Ontario Ministry of Labour; University of Illinois Extension, for water and electricity; that it is urgent is a design rule \
             of this program",
    standing: Standing::Read,
    scope: "pits with a pump, until a later test in which the water did not rise or the pump switched on and off twice",
    variants: &[],
};

/// The latest test that tells whether water rises unpumped, if it says so.
pub(super) fn water_rising(tests: &[&PumpTest]) -> Option<Fired> {
    let runs = |t: &PumpTest| t.failed.is_none() && t.switched.is_some_and(|times| times >= SWITCHES);
    let told = |t: &PumpTest| t.water_rising.filter(|a| *a != Answer::Unknown).or(runs(t).then_some(Answer::No));
    let latest = tests.iter().rev().find(|t| told(t).is_some())?;
    let because = format!("on {} the water was rising while the pump did not run", told::day(latest.on));
    (told(latest) == Some(Answer::Yes))
        .then(|| Fired::at_once(&WATER_RISING, Band::Urgent, Who::UtilityOrElectrician, latest.on, because))
}
