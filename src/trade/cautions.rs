//! Cautions that stand beside the task that needs them.
//!
//! Sources are named with each; the words are this program's own. A caution informs and moves no band.

/// 29 CFR 1926.1202 and the OSHA fact sheet on residential crawl spaces (read, second-hand).
pub const CRAWL_SPACE: &str = "a crawl space is a confined space until it has been looked at as one: know the way out, \
     look for gas, standing water and animals first, and stop if the air seems bad";
/// General practice, from memory.
pub const NOT_ALONE: &str = "do not go alone, and tell somebody when you expect to be back";
/// Ontario Ministry of Labour and University of Illinois Extension (read).
pub const WATER_AND_ELECTRICITY: &str = "never step into water that may touch an outlet, a cord or equipment, and never \
     stand in water to reach the panel: have the utility cut the power";
/// EPA 402-K-02-003 (read).
pub const MOULD_DRYING: &str = "mend the moisture first; wet materials dried within 24 to 48 hours seldom grow mould";
/// EPA 402-K-02-003 (from memory).
pub const MOULD_WORK: &str = "wear an N-95 respirator, gloves and goggles when working on mould";
/// EPA, lead renovation rule: 6 ft2 inside a room, 20 ft2 outside (read).
pub const LEAD_PAINT: &str = "take paint from before 1978 to hold lead: a certified renovator is asked for above 6 ft2 in a \
     room or 20 ft2 outside";
/// EPA (from memory).
pub const ASBESTOS: &str = "do not disturb old pipe lagging, vermiculite or floor tile: a trained person samples them";
/// CPWR 2008; Kanerva's Occupational Dermatology (read).
pub const EPOXY: &str = "epoxy resin and hardener irritate and sensitise the skin: wear laminated or thick nitrile gloves, \
     for ordinary rubber lets them through";
/// 29 CFR 1926.1153, 50 micrograms per cubic metre over 8 hours (from memory).
pub const SILICA: &str = "grinding or drilling concrete makes silica dust: keep it wet and wear a respirator";
/// NPS Preservation Brief 47 (read).
pub const DROPPINGS: &str =
    "droppings of rodents and birds can carry serious illness: leave large amounts to a licensed contractor";
/// General practice, from memory.
pub const LADDER: &str = "set a ladder on firm ground and have somebody hold it";
/// Design rule of this program: nobody stays under what is losing its support.
pub const KEEP_OUT: &str = "keep people out of the part of the house that rests on it";
/// Design 4.5: said wherever a verdict leads to work.
pub const LOCAL_LAW: &str = "local codes and licensed practice come first";

/// The cautions that data can name.
pub static NAMED: &[(&str, &str)] = &[
    ("crawl-space", CRAWL_SPACE),
    ("not-alone", NOT_ALONE),
    ("water-and-electricity", WATER_AND_ELECTRICITY),
    ("droppings", DROPPINGS),
    ("ladder", LADDER),
];

/// A caution by its name in the data.
pub fn named(name: &str) -> Option<&'static str> {
    NAMED.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
}
