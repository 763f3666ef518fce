//! The U-tube gauge of a radon system: whether its fan draws.
//!
//! The rule in words: unequal levels show suction, equal levels none, for want of power, fan, or by ice or a blockage. The gauge does not
//! show radon: only a test does. What equal levels show is read; that they are seen to at once is common practice, with no published
//! source.

use chrono::NaiveDate;

use crate::trade::cautions;
use crate::trade::told;
use crate::trade::verdict::{Band, Fired, Rule, Standing, Step, Verdict, Who};
use crate::trade::words::words;

pub static GAUGE: Rule = Rule {
    name: "radon-gauge",
    says: "equal levels in the U-tube of a radon system show no suction: its power, fan and pipe are looked at, at once; unequal levels \
           show suction, and neither shows radon",
    source: "Michigan EGLE notice for what the levels show; that it is seen to at once is common practice, no published source",
    standing: Standing::Practice,
    scope: "radon systems with a fan and a U-tube gauge; how much the levels differ is compared with the mark left by whoever put it in",
    variants: &[],
};

words! {
    /// The levels in a U-tube.
    Levels { Unequal = "unequal", Equal = "equal" }
}

/// The verdict on a radon system by the looks at its gauge, in order; `None` while nobody looked up to `today`.
pub fn verdict(looks: &[(NaiveDate, Levels)], today: NaiveDate) -> Option<Verdict> {
    let (on, levels) = *looks.iter().rev().find(|(on, _)| *on <= today)?;
    let day = told::day(on);
    let fired = match levels {
        Levels::Equal => {
            let because = format!("the levels of its gauge were equal on {day}: no suction was shown");
            Fired::at_once(&GAUGE, Band::Mend, Who::Owner, on, because)
        }
        Levels::Unequal => {
            let because = format!(
                "the levels of its gauge were unequal on {day}: suction was shown, which says nothing of radon"
            );
            Fired::for_comparison(&GAUGE, because)
        }
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    if levels == Levels::Equal {
        let since = verdict.at_once_since();
        verdict.asks(vec![
            Step::recorded_as(
                "look for its power, its fan, ice at the outlet and blockages, then at the gauge again",
                "gauge-looked",
            )
            .at_once(since),
            Step::new(
                "a radon professional, licensed or certified where the state has it, mends what the owner cannot",
            ),
            Step::new("once it draws again, test the radon: 24 hours after at the soonest, within 30 days"),
        ]);
        verdict.cautions = vec![cautions::LADDER, cautions::LOCAL_LAW];
    }
    Some(verdict)
}

#[cfg(test)]
mod tests {
    use super::{Levels, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::series::tests::day;
    use crate::trade::verdict::{Band, Who};

    #[test]
    fn equal_levels_are_seen_to_at_once_and_unequal_ones_say_nothing_of_radon() {
        let judged = |looks: &[(&str, Levels)]| {
            let looks: Vec<_> = looks.iter().map(|(on, levels)| (day(on), *levels)).collect();
            verdict(&looks, day("2026-03-01")).map(worded)
        };
        let equal = judged(&[("2026-01-05", Levels::Unequal), ("2026-02-05", Levels::Equal)]).unwrap();
        assert_eq!(
            (equal.band, equal.who, equal.due_on),
            (Some(Band::Mend), Some(Who::Owner), Some(day("2026-02-05")))
        );
        let mended = judged(&[("2026-02-05", Levels::Equal), ("2026-02-06", Levels::Unequal)]).unwrap();
        assert_eq!((mended.band, mended.due_on), (None, None));
        assert!(mended.comparison[0].because.contains("says nothing of radon"));
        assert_eq!(judged(&[]), None);
        assert_eq!(judged(&[("2026-03-02", Levels::Equal)]), None, "of tomorrow");
    }
}
