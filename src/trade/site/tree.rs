//! A tree near the foundation: whether it stands inside the zone that its kind is counted with.
//!
//! The rule in words: the zone is the *mature* height times 1.25, 0.75 or 0.5 by water demand. A species of the printed
//! list brings both with it; a tree already taller than its list says counts as tall as it is. Of any other tree the
//! height given is all there is: inside the zone of that height it is inside, but outside it nothing is said of what it
//! grows to. A tree inside its zone is looked at each spring.

use chrono::NaiveDate;

use super::{noted, share_of, watched};
use crate::quantity::{Exact, Length};
use crate::trade::cautions;
use crate::trade::told::{self, NotKnown};
use crate::trade::verdict::{Band, By, Fired, Rule, Standing, Step, Verdict};
use crate::trade::words::{Answer, Demand};

pub static TREE: Rule = Rule {
    name: "tree-zone",
    says: "a tree nearer than 1.25 (high), 0.75 (moderate) or 0.5 (low water demand) times its mature height is looked at each spring",
    source: "NHBC Standards chapter 4.2 (2006), Table 3b for the zones, Table 12 for demand and mature height by species",
    standing: Standing::Read,
    scope: "shrinkable clay, which the source has one assume where the soil was not tested; written for new houses",
    variants: &[],
};

/// A species of the list: its name, how much water it asks for, its mature height in metres.
type Listed = (&'static str, Demand, i128);

/// Water demand and mature height by species: NHBC Standards chapter 4.2 (2006), Table 12; read.
const MATURE: &[Listed] = &[
    ("english elm", Demand::High, 24),
    ("wych elm", Demand::High, 18),
    ("eucalyptus", Demand::High, 18),
    ("hawthorn", Demand::High, 10),
    ("english oak", Demand::High, 20),
    ("holm oak", Demand::High, 16),
    ("red oak", Demand::High, 24),
    ("turkey oak", Demand::High, 24),
    ("hybrid black poplar", Demand::High, 28),
    ("lombardy poplar", Demand::High, 25),
    ("white poplar", Demand::High, 15),
    ("crack willow", Demand::High, 24),
    ("weeping willow", Demand::High, 16),
    ("white willow", Demand::High, 24),
    ("lawson cypress", Demand::High, 18),
    ("leyland cypress", Demand::High, 20),
    ("false acacia", Demand::Moderate, 18),
    ("alder", Demand::Moderate, 18),
    ("apple", Demand::Moderate, 10),
    ("ash", Demand::Moderate, 23),
    ("beech", Demand::Moderate, 20),
    ("wild cherry", Demand::Moderate, 17),
    ("horse chestnut", Demand::Moderate, 20),
    ("sweet chestnut", Demand::Moderate, 24),
    ("lime", Demand::Moderate, 22),
    ("norway maple", Demand::Moderate, 18),
    ("pear", Demand::Moderate, 12),
    ("plane", Demand::Moderate, 26),
    ("plum", Demand::Moderate, 10),
    ("sycamore", Demand::Moderate, 22),
    ("walnut", Demand::Moderate, 18),
    ("cedar", Demand::Moderate, 20),
    ("pine", Demand::Moderate, 20),
    ("spruce", Demand::Moderate, 18),
    ("yew", Demand::Moderate, 12),
    ("birch", Demand::Low, 14),
    ("elder", Demand::Low, 10),
    ("hazel", Demand::Low, 8),
    ("holly", Demand::Low, 12),
    ("honey locust", Demand::Low, 14),
    ("hornbeam", Demand::Low, 17),
    ("laburnum", Demand::Low, 12),
    ("magnolia", Demand::Low, 9),
    ("tulip tree", Demand::Low, 20),
];

/// A tree near the foundation.
#[derive(Debug, Clone)]
pub struct Tree<'a> {
    pub species: Option<&'a str>,
    pub demand: Option<Demand>,
    /// The height it has, or will have: which of the two is not recorded.
    pub height: Option<Length>,
    /// From the middle of the trunk to the nearest face of the foundation.
    pub distance: Option<Length>,
    /// `Unknown` or not asked counts as shrinkable, as the source itself has it.
    pub shrinkable_clay: Option<Answer>,
    pub next_spring: NaiveDate,
}

/// The species that a name stands for: itself, or of a bare `oak` the one of the oaks that grows tallest.
fn listed(species: &str) -> Option<&'static Listed> {
    let typed = species.trim().to_lowercase();
    let of_the_kind = |(name, ..): &&Listed| name.rsplit(' ').next() == Some(typed.as_str());
    let exactly = MATURE.iter().find(|(name, ..)| *name == typed);
    exactly.or_else(|| MATURE.iter().filter(of_the_kind).max_by_key(|(.., height)| *height))
}

/// The zone in which a tree counts: its mature height times 1.25, 0.75 or 0.5 by water demand (NHBC 4.2 Table 3b, read).
pub fn tree_zone(height: Length, demand: Demand) -> Option<Length> {
    share_of(
        height,
        match demand {
            Demand::High => Exact::new(125, 100),
            Demand::Moderate => Exact::new(75, 100),
            Demand::Low => Exact::new(50, 100),
        },
    )
}

/// The zone of a tree, and what it is reckoned from.
struct Zone {
    to: Length,
    /// Whether the height is that of the list or more: then the tree is not counted with less than it grows to.
    is_of_mature_height: bool,
    by: String,
}

/// The wider of the zones that the list and the answers give; `None` where neither gives one.
fn zone(of: &Tree) -> Option<Zone> {
    let species = of.species.and_then(listed);
    let mature = species.map(|(.., metres)| Length::m(*metres, 1));
    let height = mature.max(of.height)?;
    // Where the answer and the list differ, the one that asks for more water counts.
    let demand = [species.map(|(_, demand, _)| *demand), of.demand].into_iter().flatten().min()?;
    let by = match species.filter(|_| mature == Some(height)) {
        Some((name, ..)) => format!("the mature height {} listed for {name}", told::length(height)),
        None => format!("the height given, {}", told::length(height)),
    };
    Some(Zone {
        to: tree_zone(height, demand)?,
        is_of_mature_height: species.is_some(),
        by: format!("{by}, {demand} water demand"),
    })
}

/// The verdict on a tree near the foundation.
pub fn tree(of: &Tree) -> Verdict {
    let zone = zone(of);
    let mut verdict = Verdict::from_fired(compared(of, zone.as_ref()));
    let mut list = NotKnown::default();
    list.asked(of.species, "which species it is");
    let species = of.species.and_then(listed);
    list.asked(of.demand.as_ref().or(species.map(|(_, demand, _)| demand)), "how much water it asks for");
    if species.is_none() {
        list.read(of.height.as_ref(), "height of the tree");
        if let Some(named) = of.species {
            list.say(format!("what height it grows to (`{}` is not in the printed list)", named.trim()));
        }
    }
    list.read(of.distance.as_ref(), "distance of the trunk from the foundation");
    list.answer(of.shrinkable_clay, Answer::Unknown, "whether the soil is shrinkable clay");
    verdict.not_known = list.into_list();
    verdict.next = vec![Step::recorded_as(
        "look each spring at the walls and walks near it; ask an arborist before cutting",
        "note-added",
    )];
    if verdict.band == Some(Band::Watch) && !matches!(of.shrinkable_clay, Some(Answer::Yes | Answer::No)) {
        let says = "find out whether the soil is shrinkable clay; until that is known it is taken that it is";
        verdict.next.push(Step::answered_by(says, "--clay …"));
    }
    verdict.cautions = vec![cautions::LOCAL_LAW];
    if verdict.band == Some(Band::Watch) {
        verdict.ask_by(of.next_spring);
    }
    verdict
}

fn compared(of: &Tree, zone: Option<&Zone>) -> Vec<Fired> {
    let by = Some(By::Date(of.next_spring));
    let Some((zone, distance)) = zone.zip(of.distance) else {
        return vec![watched(&TREE, by, "whether it stands inside its zone is not known".to_owned())];
    };
    let inside = distance < zone.to;
    let side = if inside { "inside" } else { "not inside" };
    let because =
        format!("{} away, {side} its zone of {} by {}", told::length(distance), told::length(zone.to), zone.by);
    match of.shrinkable_clay {
        Some(Answer::No) => vec![
            Fired::for_comparison(&TREE, format!("{because}; the soil is recorded as no shrinkable clay")),
            noted(&TREE, "the zones are for shrinkable clay, which this soil is recorded not to be".to_owned()),
        ],
        _ if inside => vec![watched(&TREE, by, because)],
        _ if zone.is_of_mature_height => vec![noted(&TREE, because)],
        _ => vec![watched(
            &TREE,
            by,
            format!("{because}; what height it grows to is not known, and that is what counts"),
        )],
    }
}
