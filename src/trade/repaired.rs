//! What a repair leaves to be asked: whether a filled crack stays closed, and what follows where it did not hold.
//!
//! The rule in words: a crack that was filled is looked at 30 days, 6 months and a year after, and its width is read again only
//! where it opens. What did not hold is not done again until it was looked for why: the owner or a contractor mends it another
//! way; a crack filled rigidly that opens again has moved since, and goes to a licensed structural engineer before any repair.
//!
//! No published source gives a band for either; both are design rules of this program.

use chrono::{Days, NaiveDate};

use super::cautions;
use super::crack::judged_first;
use super::epoxy::LOOK_AGAIN_DAYS;
use super::told;
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict, Who};
use super::words::Method;

/// Days after it was seen that a repair did not hold, by which it is mended another way: design rule of this program.
const AGAIN_WITHIN_DAYS: u64 = 30;

pub static NOT_HELD: Rule = Rule {
    name: "repair-not-held",
    says: "a repair that did not hold is not done again the same way: it is looked for why first; a crack filled rigidly that opens \
           again goes to a licensed structural engineer before any repair",
    source: "design rule of this program, no published source",
    standing: Standing::Practice,
    scope: "the last repair of an open finding, by the last look that could tell",
    variants: &[],
};

pub static FILLED: Rule = Rule {
    name: "filled-crack",
    says: "a filled crack is looked at 30 days, 6 months and a year after, for what opens again moves; its width is read where it opens",
    source: "design rule of this program, no published source",
    standing: Standing::Practice,
    scope: "cracks filled since they were last read",
    variants: &[],
};

/// The last filling of a crack that was not read since.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Filled {
    pub method: Method,
    pub on: NaiveDate,
    /// When it was last found to hold.
    pub held_on: Option<NaiveDate>,
}

/// What is told of a filled crack in place of a width that was never read.
///
/// Source: [`FILLED`].
pub(super) fn filled(of: &Filled) -> Fired {
    let [_, _, year] = LOOK_AGAIN_DAYS;
    let over = of.on.checked_add_days(Days::new(year)).unwrap_or(of.on);
    let held = of.held_on.map_or_else(
        || "not looked at since".to_owned(),
        |day| format!("it held when it was looked at on {}", told::day(day)),
    );
    let because = format!("filled on {} ({}); {held}", told::day(of.on), of.method);
    if of.held_on.is_some_and(|day| day >= over) {
        return Fired::new(&FILLED, Band::Note, Who::Owner, None, because);
    }
    Fired::new(&FILLED, Band::Watch, Who::Owner, Some(By::Date(over)), because)
}

/// What is asked for of a filled crack: no width at a mark that is filled.
pub(super) fn look_at_filling() -> Step {
    let says =
        "look whether the filling stays closed, 30 days, 6 months and a year after; read a width only where it opens";
    Step::recorded_as(says, "repair-checked")
}

/// The verdict on a repair that did not hold, by what was seen on `seen`.
///
/// Source: [`NOT_HELD`].
pub fn not_held(method: Method, of_crack: bool, on: NaiveDate, seen: NaiveDate) -> Verdict {
    let day = told::day;
    let seen_on = if seen == on { "it was recorded".to_owned() } else { format!("it was looked at on {}", day(seen)) };
    let because = format!("the repair of {} ({method}) did not hold when {seen_on}", day(on));
    let rigid = of_crack && method == Method::EpoxyInjection;
    let before = Some(By::Before("any repair"));
    let fired = if rigid {
        let because = format!("{because}; it was filled rigidly, so what opened again has moved since");
        Fired::new(&NOT_HELD, Band::Call, Who::StructuralEngineer, before, because)
    } else {
        Fired::new(&NOT_HELD, Band::Mend, Who::OwnerOrContractor, before, because)
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    verdict.cautions = vec![cautions::LOCAL_LAW];
    verdict.asks(if rigid {
        vec![judged_first()]
    } else {
        let by = seen.checked_add_days(Days::new(AGAIN_WITHIN_DAYS)).unwrap_or(seen);
        let why = "look why it did not hold before it is done again: where water comes from, and whether it moves";
        vec![Step::new(why), Step::recorded_as("mend it another way, and record that", "repair-made").by(by)]
    });
    verdict
}

#[cfg(test)]
mod tests {
    use super::{Filled, filled, not_held};
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::verdict::{Band, Who};
    use crate::trade::words::Method;

    #[test]
    fn what_did_not_hold_is_mended_another_way_and_a_rigid_filling_goes_to_an_engineer() {
        let (on, seen) = (day("2025-11-20"), day("2026-01-17"));
        let paint = worded(not_held(Method::Sealing, false, on, seen));
        assert_eq!((paint.band, paint.who), (Some(Band::Mend), Some(Who::OwnerOrContractor)));
        let says = "the repair of 20 Nov 2025 (sealing) did not hold when it was looked at on 17 Jan 2026";
        assert_eq!(paint.because[0].because, says);
        // 17 January and 30 days.
        assert_eq!(paint.due_on, Some(day("2026-02-16")));
        assert!(paint.next[0].says.starts_with("look why it did not hold before it is done again"));
        assert_eq!(paint.next[1].records, Some("repair-made"));
        let rigid = worded(not_held(Method::EpoxyInjection, true, on, seen));
        assert_eq!((rigid.band, rigid.who), (Some(Band::Call), Some(Who::StructuralEngineer)));
        // A grout stays flexible; and epoxy elsewhere than in a crack says nothing of movement.
        assert_eq!(worded(not_held(Method::PolyurethaneInjection, true, on, seen)).band, Some(Band::Mend));
        assert_eq!(worded(not_held(Method::EpoxyInjection, false, on, seen)).band, Some(Band::Mend));
    }

    #[test]
    fn a_filling_is_watched_until_it_held_for_a_year() {
        let of = |held_on: Option<&str>| {
            filled(&Filled { method: Method::EpoxyInjection, on: day("2025-03-01"), held_on: held_on.map(day) })
        };
        assert_eq!(of(None).band, Some(Band::Watch));
        assert!(of(None).because.ends_with("not looked at since"));
        // 365 days after 1 March 2025 is 1 March 2026.
        assert_eq!(of(Some("2026-02-28")).band, Some(Band::Watch));
        assert_eq!(of(Some("2026-03-01")).band, Some(Band::Note));
    }
}
