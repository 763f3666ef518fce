//! The crawl space: free vent area, and wood over soil.
//!
//! Areas and lengths are exact: 8 ft2 under 1200 ft2 of floor is enough, 18 in under a joist is enough.

use super::{before_wet_season, noted, steps, watched};
use crate::quantity::{Area, Exact, Length};
use crate::trade::cautions;
use crate::trade::told::{self, NotKnown};
use crate::trade::verdict::{Band, Fired, Rule, Standing, Step, Variant, Verdict};
use crate::trade::words::{Answer, Member, words};

/// Free vent area as a share of the floor: IRC R408.1; second-hand.
pub const VENT_SHARE: Exact = Exact::new(1, 150);
/// The same with a Class I vapour retarder on the ground: IRC R408.1 and WAC 51-51-0408; read.
pub const VENT_SHARE_RETARDER: Exact = Exact::new(1, 1500);
/// The same by Washington's amendment: WAC 51-51-0408; read.
pub const VENT_SHARE_WASHINGTON: Exact = Exact::new(1, 300);

pub static VENT: Rule = Rule {
    name: "vent-area",
    says: "free vent area at least 1/150 of the floor, 1/1500 with a Class I vapour retarder on the ground; none blocked or missing",
    source: "IRC R408.1 (numbering moves between editions)",
    standing: Standing::SecondHand,
    scope: "vented crawl spaces",
    variants: &[Variant {
        name: "washington",
        says: "1/300 of the floor, and a 6-mil ground cover is asked for",
        source: "WAC 51-51-0408",
        standing: Standing::Read,
    }],
};

pub static CLEARANCE: Rule = Rule {
    name: "wood-clearance",
    says: "over soil, joists 18 in, girders 12 in, columns 8 in, framing and sills on a wall 8 in, siding 6 in; siding over a slab \
           2 in; nearer only as durable or treated wood",
    source: "IRC R317.1 (R304 in the 2024 edition, from memory)",
    standing: Standing::Read,
    scope: "wood in and on a house; written for new houses, local code comes first",
    variants: &[],
};

/// Vents of one crawl space.
#[derive(Debug, Clone, Default)]
pub struct Vent {
    pub blocked: Option<Answer>,
    pub missing: Option<Answer>,
    /// Free area of all vents together.
    pub free_area: Option<Area>,
    pub floor_area: Option<Area>,
    /// A Class I vapour retarder on the ground.
    pub retarder: Option<Answer>,
    pub rule: VentRule,
}

words! {
    /// Whose share of the floor is used for vents.
    VentRule { Irc = "irc", Washington = "washington" }
}

#[expect(clippy::derivable_impls, reason = "the enum is made by `words!`, whose variants take no attribute")]
impl Default for VentRule {
    fn default() -> VentRule {
        VentRule::Irc
    }
}

/// Wood over soil.
#[derive(Debug, Clone, Default)]
pub struct Clearance {
    pub member: Option<Member>,
    pub clearance: Option<Length>,
    /// Naturally durable or preservative-treated wood.
    pub protected: Option<Answer>,
}

/// Free vent area asked for under `floor`; `None` if it does not fit.
pub fn vent_needed(floor: Area, retarder: bool, rule: VentRule) -> Option<Area> {
    let share = match (retarder, rule) {
        (true, _) => VENT_SHARE_RETARDER,
        (false, VentRule::Irc) => VENT_SHARE,
        (false, VentRule::Washington) => VENT_SHARE_WASHINGTON,
    };
    Area::from_exact(floor.exact().checked_mul(share)?)
}

/// The verdict on the vents of one crawl space.
pub fn vent(of: &Vent) -> Verdict {
    let mut fired = Vec::new();
    let states = [(of.blocked, "blocked"), (of.missing, "missing")];
    fired.extend(
        states
            .iter()
            .filter(|(a, _)| *a == Some(Answer::Yes))
            .map(|(_, word)| before_wet_season(&VENT, format!("a vent is {word}"))),
    );
    let variant = if of.rule == VentRule::Washington { of.rule.word() } else { "" };
    fired.push(vent_area(of).by_variant(variant));
    let mut verdict = Verdict::from_fired(fired);
    let mut list = NotKnown::default();
    list.answer(of.blocked, Answer::Unknown, "whether a vent is blocked");
    list.answer(of.missing, Answer::Unknown, "whether a vent is missing");
    list.read(of.free_area.as_ref(), "free area of the vents");
    list.read(of.floor_area.as_ref(), "area of the floor above");
    list.answer(of.retarder, Answer::Unknown, "whether a Class I vapour retarder lies on the ground");
    verdict.not_known = list.into_list();
    verdict.next = steps(&verdict, "clear or add vents");
    if verdict.band > Some(Band::Note) && !matches!(of.retarder, Some(Answer::Yes | Answer::No)) {
        let says =
            "see whether a Class I vapour retarder lies on the ground: with one 1/1500 of the floor is asked for";
        verdict.next.push(Step::answered_by(says, "--retarder …"));
    }
    verdict.cautions = vec![cautions::CRAWL_SPACE, cautions::NOT_ALONE, cautions::LOCAL_LAW];
    verdict
}

fn vent_area(of: &Vent) -> Fired {
    let (Some(free), Some(floor)) = (of.free_area, of.floor_area) else {
        return watched(&VENT, None, "free area and floor area are not both read".to_owned());
    };
    let (Some(bare), Some(covered)) = (vent_needed(floor, false, of.rule), vent_needed(floor, true, of.rule)) else {
        return watched(&VENT, None, "the areas are beyond what can be reckoned".to_owned());
    };
    let because = |needed: Area| {
        let side = if free < needed { "short" } else { "enough" };
        format!("free area {} under {}, asked is {}: {side}", told::area(free), told::area(floor), told::area(needed))
    };
    match of.retarder {
        Some(Answer::Yes) if free < covered => before_wet_season(&VENT, because(covered)),
        Some(Answer::Yes) => noted(&VENT, because(covered)),
        Some(Answer::No) if free < bare => before_wet_season(&VENT, because(bare)),
        Some(Answer::No) => noted(&VENT, because(bare)),
        _ if free < covered => before_wet_season(&VENT, because(covered)),
        _ if free < bare => {
            watched(&VENT, None, format!("{}, unless a Class I retarder lies on the ground", because(bare)))
        }
        _ => noted(&VENT, because(bare)),
    }
}

/// Clearance over soil (over a slab for siding there) from which a member needs no protection; `None` for a member the
/// source does not name. IRC R317.1; read.
pub fn clearance_needed(member: Member) -> Option<Length> {
    match member {
        Member::Joist | Member::JoistEnd => Some(Length::inches(18, 1)),
        Member::Girder | Member::Beam => Some(Length::inches(12, 1)),
        Member::Column | Member::Post | Member::Framing | Member::Sill => Some(Length::inches(8, 1)),
        Member::Siding => Some(Length::inches(6, 1)),
        Member::SidingOverSlab => Some(Length::inches(2, 1)),
        Member::Other => None,
    }
}

/// The verdict on wood over soil.
pub fn clearance(of: &Clearance) -> Verdict {
    let needed = of.member.and_then(clearance_needed);
    let fired = match (of.member, needed, of.clearance) {
        (Some(member), Some(needed), Some(found)) => {
            let because = format!("{member} {} above, asked are {}", told::length(found), told::length(needed));
            match of.protected {
                _ if found >= needed => noted(&CLEARANCE, because),
                Some(Answer::Yes) => noted(&CLEARANCE, format!("{because}; it is recorded as durable or treated wood")),
                _ => before_wet_season(&CLEARANCE, because),
            }
        }
        (Some(_), None, _) => watched(&CLEARANCE, None, "the source gives no clearance for this member".to_owned()),
        _ => watched(&CLEARANCE, None, "member and clearance are not both recorded".to_owned()),
    };
    let mut verdict = Verdict::from_fired(vec![fired]);
    let mut list = NotKnown::default();
    list.asked(of.member.as_ref(), "which member it is");
    list.read(of.clearance.as_ref(), "clearance above the ground");
    list.answer(of.protected, Answer::Unknown, "whether it is durable or treated wood");
    verdict.not_known = list.into_list();
    verdict.next = steps(&verdict, "take the soil away under it, or have it replaced in treated wood");
    if verdict.band == Some(Band::Mend) && !matches!(of.protected, Some(Answer::Yes | Answer::No)) {
        let says = "see whether it is durable or treated wood, which may stand nearer";
        verdict.next.push(Step::answered_by(says, "--treated …"));
    }
    verdict.cautions = vec![cautions::CRAWL_SPACE, cautions::NOT_ALONE, cautions::LOCAL_LAW];
    verdict
}
