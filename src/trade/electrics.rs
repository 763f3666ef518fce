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
#[derive(Debug, Clone, Default)]
pub struct Electrics {
    /// What it is.
    pub named: Option<Equipment>,
    /// Water is at it; so too where nobody said that it was dry when last looked at.
    pub wet: bool,
    /// The day it was opened.
    pub opened: NaiveDate,
}

/// The verdict on water near electrics on the day it is asked for.
pub fn verdict(of: &Electrics) -> Verdict {
    let fired = match of.named.map(in_words) {
        Some(near) if of.wet => {
            let because = format!("water at {near}");
            Fired::at_once(&WATER_AT_ELECTRICS, Band::Urgent, Who::UtilityOrElectrician, of.opened, because)
        }
        Some(near) => {
            let because = format!("{near}, dry when last looked at; what is wrong with it is not described");
            Fired::at_once(&ELECTRICS, Band::Call, Who::Electrician, of.opened, because)
        }
        None => {
            let because = "what the water is near was not asked";
            Fired::at_once(&ELECTRICS, Band::Call, Who::Electrician, of.opened, because)
        }
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    if of.named.is_none() {
        verdict.not_known = vec!["what the water is near (not asked)".to_owned()];
    }
    let mut next = vec![
        Step::new("do not step in; have the utility or a licensed electrician make the place dead first").by(of.opened),
        Step::recorded_as("record what the electrician concludes", "judgement-given"),
    ];
    if of.named.is_none() {
        next.push(Step::answered_by("say what the water is near, without stepping in", "--equipment …"));
    }
    verdict.asks(next);
    verdict.cautions = vec![cautions::WATER_AND_ELECTRICITY, cautions::LOCAL_LAW];
    verdict
}

fn in_words(equipment: Equipment) -> &'static str {
    match equipment {
        Equipment::Equipment => "electrical equipment",
        Equipment::Cord => "a cord",
        Equipment::Panel => "the panel",
    }
}

#[cfg(test)]
mod tests {
    use super::{Electrics, verdict};
    use crate::trade::rules::tests::worded;
    use crate::trade::verdict::{Band, Who};
    use crate::trade::words::Equipment;

    #[test]
    fn water_at_electrics_is_urgent() {
        for near in Equipment::ALL {
            let verdict = worded(verdict(&Electrics { named: Some(*near), wet: true, ..Electrics::default() }));
            assert_eq!((verdict.band, verdict.who), (Some(Band::Urgent), Some(Who::UtilityOrElectrician)), "{near}");
            assert!(verdict.next[0].says.starts_with("do not step in"));
        }
        let dry = Electrics { named: Some(Equipment::Panel), ..Electrics::default() };
        let dry = worded(verdict(&dry));
        assert_eq!((dry.band, dry.not_known.len()), (Some(Band::Call), 0), "what was answered is not asked for");
        let vague = worded(verdict(&Electrics::default()));
        assert_eq!((vague.band, vague.who, vague.not_known.len()), (Some(Band::Call), Some(Who::Electrician), 1));
    }
}
