//! One crack: its damage category, the rules that send it to an engineer, and when it may be filled.
//!
//! The rule in words: the category by width and number (BRE Digest 251) moves the band on walls of block, brick or stone
//! and is shown for comparison elsewhere. A crack of about 1/4 in, a crack that runs horizontally in a wall that holds
//! earth, a fast change and a full year's growth go to a licensed structural engineer whatever the wall. A crack that a
//! full year shows no trend of may be mended. A hairline with nothing else is noted. Everything else is read on.
//!
//! What is not known is not taken as *no*: a wall of unknown make is taken as masonry, and a wall with a horizontal crack as
//! one that holds earth, until somebody says otherwise.
//!
//! The width compared is the widest of the year up to the latest reading, because cracks breathe with the season and the
//! table speaks of the damage done; the last one is said beside it. Lengths are exact: 5.0 mm typed is category 2.

use chrono::NaiveDate;

use super::cautions;
use super::series::{self, Measured, Movement, Series};
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Standing, Step, Variant, Verdict, Who};
use super::words::{Answer, Exposure, Runs, Surface, Walls, Water};
use crate::quantity::Length;

#[cfg(test)]
mod tests;

/// Below this a crack is category 0: BRE Digest 251 (1995), Table 1; read.
pub const HAIRLINE_BELOW: Length = Length::mm(1, 10);
/// Upper edge of category 1, itself in it: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const CATEGORY_1_TO: Length = Length::mm(1, 1);
/// Upper edge of category 2, itself in it: BRE Digest 251, Table 1; read.
pub const CATEGORY_2_TO: Length = Length::mm(5, 1);
/// Upper edge of category 3, itself in it: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const CATEGORY_3_TO: Length = Length::mm(15, 1);
/// Upper edge of category 4, itself in it: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const CATEGORY_4_TO: Length = Length::mm(25, 1);
/// "A number of cracks" wider than this make category 3: BRE Digest 251, Table 1; second-hand (Boone 2001, Table 1).
pub const COUNTED_ABOVE: Length = Length::mm(3, 1);
/// What "a number of cracks" is taken to mean: our reading, no published source.
pub const A_NUMBER_OF_CRACKS: usize = 3;
/// What a pencil fits, "about 1/4 in": common practice, no published source.
pub const PENCIL: Length = Length::inches(1, 4);
/// ACI 224R-01, Table 4.1, moist air or soil, metric column (0.30 mm, printed beside 0.012 in); second-hand.
pub const ACI_MOIST_OR_SOIL: Length = Length::mm(30, 100);
/// Days up to the latest reading among which the widest is compared: one year of seasons (design rule of this program).
const SEASONS_DAYS: i64 = 365;

pub static CATEGORY: Rule = Rule {
    name: "crack-category",
    says: "category 0 below 0.1 mm, 1 to 1 mm, 2 to 5 mm, 3 to 15 mm or a number of cracks over 3 mm (taken as three), 4 to \
           25 mm, 5 above; 3 and 4 go to a licensed structural engineer before any repair, 5 at once",
    source: "Building Research Establishment Digest 251, Table 1 (1981, revised 1990 and 1995)",
    standing: Standing::SecondHand,
    scope: "masonry walls (block, brick, stone) of low-rise houses; a wall of unknown make is taken as one, which is a design rule \
            of this program; classes ease of repair, not structural strength",
    variants: &[],
};

pub static PENCIL_FITS: Rule = Rule {
    name: "pencil-fits",
    says: "a crack that a pencil fits, about 1/4 in, goes to a licensed structural engineer before any repair",
    source: "common practice, no published source",
    standing: Standing::Practice,
    scope: "any crack in a foundation",
    variants: &[Variant {
        name: "still-moving",
        says: "over 1/2 in, or over 1/4 in and still moving",
        source: "a trade journal",
        standing: Standing::SecondHand,
    }],
};

pub static HORIZONTAL: Rule = Rule {
    name: "horizontal-in-retaining-wall",
    says: "a crack that runs horizontally in a wall that holds earth goes to a licensed structural engineer before any repair",
    source: "GSA Historic Preservation Technical Procedures, Monitoring and Evaluating Cracks in Masonry",
    standing: Standing::Read,
    scope: "foundation walls that hold earth, or of which that is not known, which is a design rule of this program; the source \
            speaks of masonry",
    variants: &[],
};

pub static CONCRETE_WIDTH: Rule = Rule {
    name: "concrete-crack-guide",
    says: "0.30 mm (0.012 in) is the guide width in moist air or soil: a guide, not a limit, and some cracks are expected to \
           pass it",
    source: "ACI 224R-01, Table 4.1",
    standing: Standing::SecondHand,
    scope: "reinforced concrete under service load; for comparison only",
    variants: &[
        Variant {
            name: "dry-air",
            says: "0.41 mm (0.016 in) in dry air or under a protective membrane",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "deicing",
            says: "0.18 mm (0.007 in) under de-icing chemicals",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "seawater",
            says: "0.15 mm (0.006 in) in seawater and its spray, wetting and drying",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
        Variant {
            name: "water-retaining",
            says: "0.10 mm (0.004 in) where water is held",
            source: "ACI 224R-01, Table 4.1",
            standing: Standing::SecondHand,
        },
    ],
};

pub static HAIRLINE: Rule = Rule {
    name: "hairline-alone",
    says: "a crack under 0.1 mm with nothing else is noted and looked at on the next walk",
    source: "Building Research Establishment Digest 251, Table 1, category 0; that it is only noted is a design rule of this program",
    standing: Standing::Read,
    scope: "a dry crack that does not run horizontally in a wall that holds earth; the width is the Digest's for masonry",
    variants: &[],
};

pub static MAY_BE_MENDED: Rule = Rule {
    name: "crack-may-be-mended",
    says: "a crack to 5 mm, read for a full year with no trend shown, the source of any water known, not horizontal in a wall \
           that holds earth, may be filled by the owner or a contractor",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "any crack; the 5 mm is the upper edge of category 2 of Digest 251, taken over to other walls for want of a figure",
    variants: &[],
};

pub static MOVED_WHILE_LOOKED_AT: Rule = Rule {
    name: "moved-while-looked-at",
    says: "a wall or floor that moves while it is looked at is kept clear of people and goes to a licensed structural engineer today",
    source: "design rule of this program",
    standing: Standing::Practice,
    scope: "any part of a foundation",
    variants: &[],
};

/// What is recorded about one crack.
#[derive(Debug, Clone)]
pub struct Crack<'a> {
    pub surface: Option<Surface>,
    pub wall: Option<Walls>,
    pub runs: Option<Runs>,
    pub water: Option<Water>,
    /// Whether it is known where water at the crack comes from.
    pub source_known: Option<Answer>,
    pub retains: Option<Answer>,
    /// Every series not ended by a repair of this place.
    pub series: &'a [Series],
    /// Latest width of every open crack on the same wall, this one included.
    pub widths_on_wall: &'a [Length],
    /// The first day on which it moved while it was looked at.
    pub moved_on: Option<NaiveDate>,
    pub opened: NaiveDate,
    /// First day of the next reading round after the last reading (or after the opening).
    pub next_round: NaiveDate,
}

/// What decided a category.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Because {
    Width,
    Count,
}

/// Damage category 0 to 5 of a wall by all its cracks, and what decided it; `None` without widths.
///
/// Source: BRE Digest 251, Table 1; upper edges belong to the lower category.
pub fn category(widths: &[Length]) -> Option<(u8, Because)> {
    let widest = *widths.iter().max()?;
    let by_width = match widest {
        w if w < HAIRLINE_BELOW => 0,
        w if w <= CATEGORY_1_TO => 1,
        w if w <= CATEGORY_2_TO => 2,
        w if w <= CATEGORY_3_TO => 3,
        w if w <= CATEGORY_4_TO => 4,
        _ => 5,
    };
    let counted = widths.iter().filter(|w| **w > COUNTED_ABOVE).count();
    if by_width < 3 && counted >= A_NUMBER_OF_CRACKS {
        Some((3, Because::Count))
    } else {
        Some((by_width, Because::Width))
    }
}

/// The guide width of ACI 224R-01, Table 4.1, metric column (the inch column is no exact conversion); second-hand.
pub fn guide(exposure: Exposure) -> Length {
    match exposure {
        Exposure::DryAir => Length::mm(41, 100),
        Exposure::MoistOrSoil => ACI_MOIST_OR_SOIL,
        Exposure::Deicing => Length::mm(18, 100),
        Exposure::Seawater => Length::mm(15, 100),
        Exposure::WaterRetaining => Length::mm(10, 100),
    }
}

/// The guide width of the same table's column in inches; second-hand.
pub fn guide_in_inches(exposure: Exposure) -> Length {
    match exposure {
        Exposure::DryAir => Length::inches(16, 1000),
        Exposure::MoistOrSoil => Length::inches(12, 1000),
        Exposure::Deicing => Length::inches(7, 1000),
        Exposure::Seawater => Length::inches(6, 1000),
        Exposure::WaterRetaining => Length::inches(4, 1000),
    }
}

/// Whether a width passes the guide: it is over both columns, so that a width read in inches at the printed 0.012 in does not
/// (0.3048 mm, beside 0.30 mm).
pub fn is_above_guide(width: Length, exposure: Exposure) -> bool {
    width > guide(exposure) && width > guide_in_inches(exposure)
}

/// The verdict on one crack on `today`.
pub fn verdict(of: &Crack, today: NaiveDate) -> Verdict {
    let movement = series::movement(of.series, Measured::Width, of.next_round, today);
    let widest = widest(of.series, today);
    let mut fired = Vec::new();
    fired.extend(of.moved_on.map(moved));
    fired.extend(movement.moving.iter().cloned());
    fired.extend(horizontal(of));
    if let Some(width) = widest {
        fired.extend(categorised(of, &width));
        fired.extend(pencil(&width));
        fired.extend(concrete_guide(of, &width));
    }
    fired.extend(mildly(of, widest.as_ref(), &movement, &fired));

    let mut verdict = Verdict::from_fired(fired);
    verdict.not_known = not_known(of, &movement, today);
    verdict.asks(next(&verdict, of, widest.as_ref(), &movement));
    verdict.cautions = cautions_for(&verdict);
    if let Some(day) = movement.enough_on {
        verdict.may_change_on(day);
    }
    verdict
}

/// A part that moves under the eye; said alike of walls, floors and what they carry.
pub(super) fn moved(on: NaiveDate) -> Fired {
    let because = format!("it moved while it was looked at, on {}", told::day(on));
    Fired::at_once(&MOVED_WHILE_LOOKED_AT, Band::Urgent, Who::StructuralEngineer, on, because)
}

/// The width that is compared, and the last one.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Width {
    widest: Length,
    on: NaiveDate,
    last: Length,
}

impl Width {
    /// `width 8 mm (0.315 in), read 1 Jun 2025`, or `widest 9.5 mm (0.374 in), read 1 Mar 2025; last 8 mm (0.315 in)`.
    fn told(&self) -> String {
        let found = format!("{}, read {}", told::length(self.widest), told::day(self.on));
        if self.last == self.widest {
            return format!("width {found}");
        }
        format!("widest {found}; last {}", told::length(self.last))
    }
}

/// The widest reading of the year up to the latest of each width series.
///
/// A superseded series is not read any more: of it counts what lies in the year up to the latest width of any series.
fn widest(series: &[Series], today: NaiveDate) -> Option<Width> {
    let widths = || series.iter().filter(|s| s.measured == Measured::Width);
    let last_of_all = widths().filter_map(|s| s.latest(today)).max_by_key(|t| (t.on, t.value))?;
    let of_the_year = widths().filter_map(|s| {
        // A point is compared with its own last reading; one that is no longer read, with that of the gauge in its place.
        let last = if s.superseded { last_of_all } else { s.latest(today)? };
        let recent = |on: NaiveDate| on <= last.on && last.on.signed_duration_since(on).num_days() <= SEASONS_DAYS;
        let widest = s.taken.iter().filter(|t| recent(t.on)).max_by_key(|t| (t.value, t.on))?;
        Some(Width { widest: widest.value, on: widest.on, last: last.value })
    });
    of_the_year.max_by_key(|w| (w.widest, w.on))
}

fn horizontal(of: &Crack) -> Option<Fired> {
    let fires = of.runs == Some(Runs::Horizontal) && may_hold_earth(of);
    let because = match of.retains {
        Some(Answer::Yes) => "runs horizontally in a wall that holds earth",
        _ => "runs horizontally; whether the wall holds earth is not known, and it is taken that it does",
    };
    fires.then(|| before_repair(&HORIZONTAL, because.to_owned()))
}

/// An open question is no answer: only `no`, or a slab, excludes it.
fn may_hold_earth(of: &Crack) -> bool {
    of.retains != Some(Answer::No) && of.surface != Some(Surface::Slab)
}

fn categorised(of: &Crack, width: &Width) -> Option<Fired> {
    let (read, width) = (width, width.widest);
    // The count clause speaks of the cracks that are counted; a hairline beside them is no more than a hairline.
    let mut counted = vec![width];
    if width > COUNTED_ABOVE {
        let others = of.widths_on_wall.iter().filter(|w| **w > COUNTED_ABOVE).count().saturating_sub(1);
        counted.extend(std::iter::repeat_n(width, others));
    }
    let (number, because) = category(&counted)?;
    let range = match number {
        0 => "below 0.1 mm",
        1 => "0.1 to 1 mm",
        2 => "over 1 to 5 mm",
        3 => "over 5 to 15 mm",
        4 => "over 15 to 25 mm",
        _ => "over 25 mm",
    };
    let mut because = match because {
        Because::Width => {
            let by = if read.last == width { "" } else { " by the widest" };
            format!("{}: category {number} ({range}){by}", read.told())
        }
        Because::Count => format!(
            "{} cracks over {} on one wall, this one {}, are category {number} by number",
            counted.len(),
            told::length(COUNTED_ABOVE),
            read.told(),
        ),
    };
    if let Some(outside) = outside_scope(of) {
        because.push_str(&format!("; scope: masonry walls of low-rise houses, and {outside}"));
        return Some(Fired::for_comparison(&CATEGORY, because));
    }
    if is_of_unknown_make(of) {
        because.push_str("; what this wall is made of is not known, and it is taken as masonry");
    }
    Some(match number {
        5 => Fired::at_once(&CATEGORY, Band::Urgent, Who::StructuralEngineer, read.on, because),
        3 | 4 => before_repair(&CATEGORY, because),
        _ => Fired::for_comparison(&CATEGORY, because),
    })
}

/// Why the Digest does not speak of this crack; `None` when it does.
fn outside_scope(of: &Crack) -> Option<&'static str> {
    if of.surface == Some(Surface::Slab) {
        return Some("this is a slab");
    }
    match of.wall {
        Some(Walls::Block | Walls::Brick | Walls::Stone | Walls::Unknown) | None => None,
        Some(Walls::Poured) => Some("this wall is poured"),
        Some(Walls::Wood) => Some("this wall is of wood"),
    }
}

fn is_of_unknown_make(of: &Crack) -> bool {
    of.surface != Some(Surface::Slab) && matches!(of.wall, Some(Walls::Unknown) | None)
}

fn pencil(width: &Width) -> Option<Fired> {
    let because = || format!("{}: a pencil, about 1/4 in, fits", width.told());
    (width.widest >= PENCIL).then(|| before_repair(&PENCIL_FITS, because()))
}

fn concrete_guide(of: &Crack, width: &Width) -> Option<Fired> {
    let concrete = of.wall == Some(Walls::Poured) || of.surface == Some(Surface::Slab);
    let side = if is_above_guide(width.widest, Exposure::MoistOrSoil) { "above" } else { "not above" };
    let because = || {
        let width = width.told();
        format!("{width}: {side} the guide of 0.30 mm (0.012 in) in moist air or soil; a guide, not a limit")
    };
    concrete.then(|| Fired::for_comparison(&CONCRETE_WIDTH, because()))
}

fn before_repair(rule: &'static Rule, because: String) -> Fired {
    Fired::new(rule, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
}

/// What stands below a call: noted, mended, or read on. `fired` is what has been found so far.
fn mildly(of: &Crack, widest: Option<&Width>, movement: &Movement, fired: &[Fired]) -> Vec<Fired> {
    let sent_away = fired.iter().any(|f| f.band >= Some(Band::Call));
    let Some(width) = widest.filter(|_| !sent_away) else { return movement.quiet.clone() };
    let level_crack_ruled_out = ruled_out_horizontal(of);
    if width.widest < HAIRLINE_BELOW && of.water == Some(Water::Dry) && level_crack_ruled_out {
        let because = format!("{}: under 0.1 mm, dry, and nothing else is recorded of it", width.told());
        return vec![Fired::new(&HAIRLINE, Band::Note, Who::Owner, None, because)];
    }
    let mut mild = movement.quiet.clone();
    let water_explained = match of.water {
        Some(Water::Dry) => true,
        Some(Water::Damp | Water::Seeping | Water::Running) => of.source_known == Some(Answer::Yes),
        Some(Water::Unknown) | None => false,
    };
    if width.widest <= CATEGORY_2_TO && movement.no_trend_shown && water_explained && level_crack_ruled_out {
        let water = if of.water == Some(Water::Dry) { "dry" } else { "the source of the water is known" };
        let because = format!("{}: at most 5 mm, a full year shows no trend, {water}", width.told());
        mild.push(Fired::new(&MAY_BE_MENDED, Band::Mend, Who::OwnerOrContractor, None, because));
    }
    mild
}

/// Whether the answers exclude a horizontal crack in a wall that holds earth; an open question excludes nothing.
fn ruled_out_horizontal(of: &Crack) -> bool {
    !may_hold_earth(of) || matches!(of.runs, Some(Runs::Vertical | Runs::Diagonal | Runs::Stepped))
}

fn not_known(of: &Crack, movement: &Movement, today: NaiveDate) -> Vec<String> {
    let mut list = NotKnown::default();
    list.asked(of.surface.as_ref(), "whether it is in a wall or a slab");
    if of.surface != Some(Surface::Slab) {
        list.answer(of.wall, Walls::Unknown, "what the wall is made of");
        list.answer(of.retains, Answer::Unknown, "whether the wall holds earth");
    }
    list.answer(of.runs, Runs::Unknown, "which way it runs");
    list.answer(of.water, Water::Unknown, "whether water comes through");
    if matches!(of.water, Some(Water::Damp | Water::Seeping | Water::Running)) {
        list.source(of.source_known);
    }
    let read = |measured| of.series.iter().filter(|s| s.measured == measured).find_map(|s| s.latest(today));
    list.read(read(Measured::Offset), "offset across the crack");
    list.read(read(Measured::CrackLength), "length of the crack");
    let mut list = list.into_list();
    list.extend(movement.not_known.iter().cloned());
    list
}

fn next(verdict: &Verdict, of: &Crack, widest: Option<&Width>, movement: &Movement) -> Vec<Step> {
    let read_by = told::day(of.next_round);
    let since = verdict.at_once_since();
    let mut steps = match verdict.band {
        Some(Band::Urgent) => vec![
            Step::new("keep people out, and have a licensed structural engineer look today").at_once(since),
            Step::recorded_as("record what the engineer concludes", "judgement-given"),
        ],
        Some(Band::Call) => vec![judged_first().at_once(since), read_monthly("it", movement, of.opened)],
        Some(Band::Mend) => {
            let limit = movement.not_ruled_out_mm.map_or_else(|| "what is not ruled out".to_owned(), told::mm);
            vec![
                Step::recorded_as(
                    "read and photograph it before filling, since filling hides the record",
                    "reading-added",
                ),
                Step::new(format!(
                    "fill it rigidly only if the filler bears growth of {limit} a year; else use a flexible one"
                )),
                Step::recorded_as("ask for a quote, or record what was done", "quote-given"),
                Step::recorded_as(
                    format!("until it is filled: read its width again at the same mark by {read_by}"),
                    "reading-added",
                )
                .by(of.next_round),
            ]
        }
        Some(Band::Note) => vec![Step::recorded_as("measure it again at the next walk", "reading-added")],
        Some(Band::Watch) | None => {
            let read = format!("read its width again at the same mark by {read_by}");
            vec![Step::recorded_as(read, "reading-added").by(of.next_round)]
        }
    };
    steps.extend(questions(of, widest));
    steps
}

/// Said alike of cracks and of walls.
pub(super) fn judged_first() -> Step {
    let judged = "a judgement by a licensed structural engineer, before anything is done to it";
    Step::recorded_as(judged, "judgement-given")
}

/// Said alike of cracks and of walls, while an engineer is waited for.
pub(super) fn read_monthly(what: &str, movement: &Movement, opened: NaiveDate) -> Step {
    let day = movement.next_month(opened);
    let says =
        format!("until then: read {what} monthly, next by {}, and keep water away from the wall", told::day(day));
    Step::recorded_as(says, "reading-added").by(day)
}

/// Said alike of cracks and of walls.
pub(super) fn holds_earth() -> Step {
    let says = "find out whether the wall holds earth; until that is known it is taken that it does";
    Step::answered_by(says, "--retains …")
}

/// The open questions whose answer could send it to an engineer, or take it back from one.
fn questions(of: &Crack, widest: Option<&Width>) -> Vec<Step> {
    let mut steps = Vec::new();
    let wide = widest.is_some_and(|w| w.widest > CATEGORY_2_TO);
    let level = of.runs == Some(Runs::Horizontal) && of.retains != Some(Answer::No);
    if of.surface.is_none() && (level || wide && is_of_unknown_make(of)) {
        let says = "see whether it is in a wall or in a slab; until that is known it is taken as in a wall";
        steps.push(Step::answered_by(says, "--surface …"));
    }
    if level && may_hold_earth(of) && of.retains != Some(Answer::Yes) {
        steps.push(holds_earth());
    }
    if wide && is_of_unknown_make(of) {
        let says = "find out what the wall is made of; until that is known it is taken as masonry";
        steps.push(Step::answered_by(says, "--wall …"));
    }
    if matches!(of.runs, Some(Runs::Unknown) | None) && may_hold_earth(of) {
        let says = "see which way it runs; one that runs horizontally in a wall that holds earth goes to an engineer";
        steps.push(Step::answered_by(says, "--runs …"));
    }
    steps
}

fn cautions_for(verdict: &Verdict) -> Vec<&'static str> {
    match verdict.band {
        Some(Band::Urgent) => vec![cautions::KEEP_OUT, cautions::LOCAL_LAW],
        Some(Band::Call) => vec![cautions::LOCAL_LAW],
        Some(Band::Mend) => vec![cautions::EPOXY, cautions::SILICA, cautions::LEAD_PAINT, cautions::LOCAL_LAW],
        _ => vec![cautions::NOT_ALONE],
    }
}
