//! Timber and what carries it: bearing, rot, insects.
//!
//! The rule in words: a post, beam, girder, column or sill that is losing its support is urgent; a joist or another member is
//! for a licensed structural engineer to look at. A member that bears load and is rotten (a probe sinks in, or wood at 28 %
//! moisture or more) goes to the engineer. Signs of insects go to a licensed pest professional.
//!
//! No published depth was found at which a probe "sinks in": any depth recorded counts.

use chrono::NaiveDate;

use super::cautions;
use super::crack;
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict, Who};
use super::words::{Answer, InsectSign, Member, Support};
use crate::quantity::{Length, Share, Temperature, Units};

#[cfg(test)]
mod tests;

/// Decay fungi active from here: Clemson Extension, Wood Infestation Report CL-100, section J; second-hand.
pub const WOOD_DECAY: Share = Share::percent(28, 1);

pub static LOSING_SUPPORT: Rule = Rule {
    name: "losing-support",
    says: "a post, beam, girder, column or sill that is losing its support goes to a licensed structural engineer today, and \
           people are kept out",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "members that carry a house",
    variants: &[],
};

pub static BEARING: Rule = Rule {
    name: "bearing-short",
    says: "another member that does not rest fully on what carries it goes to a licensed structural engineer; while it is not \
           known what carries it, look at once",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "joists, joist ends, framing",
    variants: &[],
};

pub static ROT: Rule = Rule {
    name: "load-bearing-rot",
    says: "a member that bears load and is rotten (a probe sinks in, or wood at 28 % moisture or more) goes to a licensed \
           structural engineer before any repair; while it is not known whether it bears load it is watched",
    source: "Clemson Extension, Wood Infestation Report CL-100, section J, for 28 %; that a probe sinks in is common practice",
    standing: Standing::SecondHand,
    scope: "wood in a house, read with a meter corrected for species and temperature",
    variants: &[],
};

pub static ROT_ELSEWHERE: Rule = Rule {
    name: "rot-not-bearing",
    says: "rot in wood that bears no load is mended, the source of the water first; rot not yet probed or read is watched",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "wood recorded as bearing no load",
    variants: &[],
};

pub static INSECTS: Rule = Rule {
    name: "wood-insects",
    says: "mud tubes, wings, galleries or coarse sawdust are signs of termites or carpenter ants and go to a licensed pest \
           professional; so does powder at small holes",
    source: "Virginia Tech, Signs of Subterranean Termite Infestation; University of Kentucky; University of Massachusetts",
    standing: Standing::Read,
    scope: "wood in and under a house; a sign does not name the insect",
    variants: &[],
};

/// Temperatures of decay, deg C: slow outside the first two, at rest about the others. Wood Handbook, chapter 14; read.
pub const DECAY_SLOW_BELOW: Temperature = Temperature::celsius(10, 1);
pub const DECAY_SLOW_ABOVE: Temperature = Temperature::celsius(35, 1);
pub const DECAY_CEASES_BELOW: Temperature = Temperature::celsius(2, 1);
pub const DECAY_CEASES_ABOVE: Temperature = Temperature::celsius(38, 1);
/// Moisture at which the walls of wood cells are full, on average: Wood Handbook, chapter 4; read.
pub const FIBRE_SATURATION_AT: Share = Share::percent(30, 1);

pub static DECAY_TEMPERATURE: Rule = Rule {
    name: "decay-temperature",
    says: "decay is slow below 10 C (50 F) and above 35 C (95 F), and ceases at about 2 C (35 F) and 38 C (100 F); it goes on when the \
           wood is warm again",
    source: "USDA Forest Products Laboratory, Wood Handbook, chapter 14 (edition of the copy not established)",
    standing: Standing::Read,
    scope: "wood wet enough to decay, on the day it was read; for comparison only, a cold day lowers no band",
    variants: &[],
};

pub static FIBRE_SATURATION: Rule = Rule {
    name: "fibre-saturation",
    says: "fibre saturation averages about 30 % moisture and varies by several points; serious decay is reported above it",
    source: "USDA Forest Products Laboratory, Wood Handbook, chapter 4; Rowell and Ibach 2000",
    standing: Standing::Read,
    scope: "wood in general; for comparison only, 20 % and 28 % are the figures that count",
    variants: &[],
};

/// Raised moisture of wood beside the average at which its fibres are saturated.
pub(super) fn beside_saturation(moisture: Option<Share>) -> Option<Fired> {
    let moisture = moisture.filter(|m| *m >= super::moisture::WOOD_RAISED)?;
    let side = if moisture > FIBRE_SATURATION_AT { "above" } else { "not above" };
    let because = format!("wood at {}: {side} the about 30 % of fibre saturation", told::share(moisture));
    Some(Fired::for_comparison(&FIBRE_SATURATION, because))
}

/// What the temperature of the day says of decay in wood that is damp enough for it.
pub(super) fn beside_temperature(moisture: Option<Share>, air: Option<Temperature>) -> Option<Fired> {
    moisture.filter(|m| *m >= super::moisture::WOOD_RAISED)?;
    let air = air?;
    let said = match air {
        t if t <= DECAY_CEASES_BELOW => "decay ceases at about 2 C (35 F), and goes on when it is warmer",
        t if t < DECAY_SLOW_BELOW => "decay is slow below 10 C (50 F)",
        t if t <= DECAY_SLOW_ABOVE => "between 10 C (50 F) and 35 C (95 F), where decay is not slow",
        t if t < DECAY_CEASES_ABOVE => "decay is slow above 35 C (95 F)",
        _ => "decay ceases at about 38 C (100 F), and goes on when it is cooler",
    };
    let shown = format!("{} ({})", air.show(Units::Metric), air.show(Units::Us));
    Some(Fired::for_comparison(&DECAY_TEMPERATURE, format!("air at {shown} when it was last read: {said}")))
}

/// What is recorded about one bearing.
#[derive(Debug, Clone, Default)]
pub struct Bearing {
    pub member: Option<Member>,
    /// What carries it now.
    pub support: Option<Support>,
    /// The first day on which it moved while it was looked at.
    pub moved_on: Option<NaiveDate>,
    pub opened: NaiveDate,
}

/// What is recorded about one rotten member. Readings are the latest of each.
#[derive(Debug, Clone, Default)]
pub struct Rot {
    pub member: Option<Member>,
    pub bears_load: Option<Answer>,
    pub moisture: Option<Share>,
    /// Whether a probe sank in, where its depth was not measured.
    pub probe_sinks: Option<Answer>,
    /// Depth a probe went in; any depth above zero counts as sinking in.
    pub probe_depth: Option<Length>,
}

/// What is recorded about insects at one place.
#[derive(Debug, Clone, Default)]
pub struct Insects<'a> {
    pub signs: &'a [InsectSign],
}

/// The verdict on one bearing.
pub fn bearing(of: &Bearing) -> Verdict {
    let member = of.member.map_or("a member that is not named", Member::word);
    // A member that is not named may be a post.
    let carries = !matches!(
        of.member,
        Some(
            Member::Joist
                | Member::JoistEnd
                | Member::Framing
                | Member::Siding
                | Member::SidingOverSlab
                | Member::Other
        )
    );
    let support = match of.support {
        Some(Support::Partial | Support::None) => {
            let held = if of.support == Some(Support::None) { "rests on nothing" } else { "is only partly supported" };
            let because = format!("{member} {held}");
            if carries {
                Fired::at_once(&LOSING_SUPPORT, Band::Urgent, Who::StructuralEngineer, of.opened, because)
            } else {
                Fired::new(&BEARING, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
            }
        }
        Some(Support::Full) => {
            Fired::new(&BEARING, Band::Watch, Who::Owner, None, format!("{member} is recorded as fully supported now"))
        }
        Some(Support::Unknown) | None => {
            let because = format!("what {member} rests on is not known");
            Fired::at_once(&BEARING, Band::Watch, Who::Owner, of.opened, because)
        }
    };
    let mut fired = Vec::new();
    fired.extend(of.moved_on.map(crack::moved));
    fired.push(support);

    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.asked(of.member.as_ref(), "which member it is");
    list.answer(of.support, Support::Unknown, "what carries it now");
    verdict.not_known = list.into_list();
    let since = verdict.at_once_since();
    let mut next = match verdict.band {
        Some(Band::Urgent) => vec![
            Step::new("keep people out, and have a licensed structural engineer look today").at_once(since),
            Step::recorded_as("record what the engineer concludes", "judgement-given"),
        ],
        Some(Band::Call) => vec![Step::recorded_as(
            "a judgement by a licensed structural engineer, before any repair",
            "judgement-given",
        )],
        _ => vec![Step::recorded_as("look again at what carries it, and record it", "note-added").at_once(since)],
    };
    if matches!(of.support, Some(Support::Unknown) | None) {
        next.push(Step::answered_by("see what it rests on, and answer that", "--support …").at_once(since));
    }
    verdict.asks(next);
    verdict.cautions = match verdict.band {
        Some(Band::Urgent) => vec![cautions::KEEP_OUT, cautions::LOCAL_LAW],
        _ => vec![cautions::CRAWL_SPACE, cautions::NOT_ALONE, cautions::LOCAL_LAW],
    };
    verdict
}

/// Whether a member may bear load while nobody has said so: only cladding and what is named as something else may not.
fn may_bear(member: Option<Member>) -> bool {
    !matches!(member, Some(Member::Siding | Member::SidingOverSlab | Member::Other))
}

/// Decay in a member that bears load, with what was found.
pub(super) fn decayed(because: String) -> Fired {
    Fired::new(&ROT, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
}

/// The verdict on one rotten member.
pub fn rot(of: &Rot) -> Verdict {
    let sinks = match of.probe_depth {
        Some(depth) => (depth > Length::ZERO).then(|| format!("a probe sinks in {}", told::length(depth))),
        None => (of.probe_sinks == Some(Answer::Yes)).then(|| "a probe sinks in, how far was not measured".to_owned()),
    };
    let wet = of.moisture.filter(|m| *m >= WOOD_DECAY);
    let mut found = Vec::new();
    found.extend(sinks);
    found.extend(wet.map(|m| format!("wood at {}, 28 % or more", told::share(m))));
    let fired = if found.is_empty() {
        let because = "reported as rotten; neither probe nor moisture meter shows it so far";
        Fired::new(&ROT_ELSEWHERE, Band::Watch, Who::Owner, None, because)
    } else {
        let found = found.join("; ");
        match of.bears_load {
            Some(Answer::Yes) => decayed(format!("bears load; {found}")),
            Some(Answer::No) => {
                Fired::new(&ROT_ELSEWHERE, Band::Mend, Who::OwnerOrContractor, None, format!("bears no load; {found}"))
            }
            Some(Answer::Unknown) | None if may_bear(of.member) => {
                decayed(format!("{found}; whether it bears load is not known, and it is taken that it does"))
            }
            Some(Answer::Unknown) | None => {
                let because = format!("{found}; whether it bears load is not known");
                Fired::new(&ROT_ELSEWHERE, Band::Watch, Who::Owner, None, because)
            }
        }
    };
    let raised = of.moisture.filter(|m| (super::moisture::WOOD_RAISED..WOOD_DECAY).contains(m));
    let raised = raised.map(|m| {
        let because = format!("wood at {}, raised from 20 %", told::share(m));
        Fired::new(&super::moisture::WOOD_MOISTURE, Band::Watch, Who::Owner, None, because)
    });

    let saturation = beside_saturation(of.moisture);
    let mut verdict = Verdict::from_fired(raised.into_iter().chain([fired]).chain(saturation).collect());
    let mut list = NotKnown::default();
    list.asked(of.member.as_ref(), "which member it is");
    list.answer(of.bears_load, Answer::Unknown, "whether it bears load");
    list.read(of.moisture.as_ref(), "moisture of the wood");
    list.read(of.probe_depth.as_ref(), "how far a probe goes in");
    verdict.not_known = list.into_list();
    let next = rot_next(&verdict, of);
    verdict.asks(next);
    verdict.cautions = vec![cautions::CRAWL_SPACE, cautions::NOT_ALONE, cautions::LOCAL_LAW];
    verdict
}

fn rot_next(verdict: &Verdict, of: &Rot) -> Vec<Step> {
    let open = !matches!(of.bears_load, Some(Answer::Yes | Answer::No));
    let bears = || {
        Step::answered_by(
            "find out whether it bears load; until that is known it is taken that it does",
            "--bears-load …",
        )
    };
    match verdict.band {
        Some(Band::Call) => {
            let judged = Step::recorded_as(
                "a judgement by a licensed structural engineer, before any repair",
                "judgement-given",
            );
            let mut steps = vec![judged, Step::new("until then: keep water away from it")];
            steps.extend(open.then(bears));
            steps
        }
        Some(Band::Mend) => vec![Step::recorded_as(
            "mend the source of the water, then the wood, and close the finding",
            "finding-closed",
        )],
        _ if open => vec![Step::recorded_as("read its moisture and probe it", "reading-added"), bears()],
        _ => vec![Step::recorded_as("read its moisture and probe it", "reading-added")],
    }
}

/// The verdict on insects at one place.
pub fn insects(of: &Insects) -> Verdict {
    let fired = if of.signs.is_empty() {
        Fired::new(&INSECTS, Band::Watch, Who::Owner, None, "insects without a recorded sign")
    } else {
        let signs: Vec<_> = of.signs.iter().map(|s| described(*s)).collect();
        Fired::new(&INSECTS, Band::Call, Who::PestProfessional, None, format!("seen: {}", signs.join("; ")))
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    if of.signs.is_empty() {
        verdict.not_known = vec!["which signs of insects there are (not asked)".to_owned()];
        verdict.next = vec![Step::answered_by("look for mud tubes, wings, galleries, sawdust and powder", "--signs …")];
    } else {
        verdict.next = vec![
            Step::recorded_as("a judgement by a licensed pest professional", "judgement-given"),
            Step::new("until then: leave tubes and sawdust as they are, so that they can be seen"),
        ];
    }
    verdict.cautions = vec![cautions::CRAWL_SPACE, cautions::NOT_ALONE, cautions::LOCAL_LAW];
    verdict
}

/// A sign, and which insects published guides list it under; the sign does not name the insect.
fn described(sign: InsectSign) -> &'static str {
    match sign {
        InsectSign::MudTubes => "mud tubes (guides list them among the signs of subterranean termites)",
        InsectSign::Wings => "wings on sills (guides list them among the signs of swarming termites)",
        InsectSign::Powder => "powder at small holes (guides list it among the signs of powderpost beetles)",
        InsectSign::Galleries => "galleries (guides list them among the signs of termites and carpenter ants)",
        InsectSign::CoarseSawdust => "coarse sawdust (guides list it among the signs of carpenter ants)",
    }
}
