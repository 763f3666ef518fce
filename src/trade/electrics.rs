//! Water near electrical equipment.
//!
//! The rule in words: water at electrical equipment, a cord or a panel is urgent: nobody steps in, and the utility or a
//! licensed electrician comes first. A finding of this kind whose water is not described goes to an electrician.

use chrono::NaiveDate;

use super::cautions;
use super::verdict::{Band, Fired, Rule, Standing, Step, Verdict, Who};
use super::words::Equipment;

pub static WATER_AT_ELECTRICS: Rule = Rule {
    name: "water-at-electrics",
    says: "where water is at electrical equipment, a cord or a panel nobody steps in, and the utility or a licensed electrician \
           comes first",
    source: "Ontario Ministry of Labour and University of Illinois Extension, on flooded basements",
    standing: Standing::Read,
    scope: "any water that may touch outlets, cords, equipment or panels",
    variants: &[],
};

pub static ELECTRICS: Rule = Rule {
    name: "electrics-not-described",
    says: "an electrical finding that is not described goes to a licensed electrician",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "electrics of a foundation, crawl space or basement",
    variants: &[],
};

/// What is recorded about one place where water is near electrics.
#[derive(Debug, Clone)]
pub struct Electrics {
    /// What the water is near.
    pub water_near: Option<Equipment>,
    /// The day it was seen.
    pub seen: NaiveDate,
}

/// The verdict on water near electrics on the day it is asked for.
pub fn verdict(of: &Electrics) -> Verdict {
    let fired = match of.water_near {
        Some(near) => {
            let near = match near {
                Equipment::Equipment => "electrical equipment",
                Equipment::Cord => "a cord",
                Equipment::Panel => "the panel",
            };
            let because = format!("water at {near}");
            Fired::at_once(&WATER_AT_ELECTRICS, Band::Urgent, Who::UtilityOrElectrician, of.seen, because)
        }
        None => {
            let because = "what the water is near is not recorded";
            Fired::at_once(&ELECTRICS, Band::Call, Who::Electrician, of.seen, because)
        }
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    if of.water_near.is_none() {
        verdict.not_known = vec!["what the water is near (not asked)".to_owned()];
    }
    verdict.asks(vec![
        Step::new("do not step in; have the utility or a licensed electrician make the place dead first").by(of.seen),
        Step::recorded_as("record what the electrician concludes", "judgement-given"),
    ]);
    verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY, cautions::LOCAL_LAW];
    verdict
}

#[cfg(test)]
mod tests {
    use chrono::NaiveDate;

    use super::{Electrics, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::verdict::{Band, Who};
    use crate::trade::words::Equipment;

    fn day() -> NaiveDate {
        "2026-01-03".parse().unwrap()
    }

    #[test]
    fn water_at_electrics_is_urgent() {
        for near in Equipment::ALL {
            let verdict = worded(verdict(&Electrics { water_near: Some(*near), seen: day() }));
            assert_eq!((verdict.band, verdict.who), (Some(Band::Urgent), Some(Who::UtilityOrElectrician)), "{near}");
            assert!(verdict.next[0].says.starts_with("do not step in"));
            assert_eq!(verdict.due_on, Some(day()), "the day it was seen");
        }
        let vague = worded(verdict(&Electrics { water_near: None, seen: day() }));
        assert_eq!((vague.band, vague.who, vague.not_known.len()), (Some(Band::Call), Some(Who::Electrician), 1));
    }
}
