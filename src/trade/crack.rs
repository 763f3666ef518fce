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
use super::choice::Choices;
use super::epoxy;
use super::pattern::{self, Pattern, Seen};
use super::repaired::{self, Filled};
use super::series::{self, Measured, Movement, Series};
use super::told::{self, NotKnown};
use super::verdict::{Band, By, Fired, Rule, Verdict, Who};
use super::wording::Wording;
use super::words::{Answer, Exposure, Runs, Surface, Walls, Water, words};
use crate::quantity::Length;

mod asked;
mod rules;
#[cfg(test)]
mod tests;

use asked::next;
pub(super) use asked::{holds_earth, judged_first, read_monthly};
use rules::SEASONS_DAYS;
pub use rules::{
    A_NUMBER_OF_CRACKS, ACI_MOIST_OR_SOIL, CATEGORY, CATEGORY_1_TO, CATEGORY_2_TO, CATEGORY_3_TO, CATEGORY_4_TO,
    CONCRETE_WIDTH, COUNTED_ABOVE, HAIRLINE, HAIRLINE_BELOW, HORIZONTAL, MAY_BE_MENDED, MOVED_WHILE_LOOKED_AT, PENCIL,
    PENCIL_FITS, WIDE_OVER, WORKMANSHIP, WORKMANSHIP_CRACK, WORKMANSHIP_FLOOR_WIDTH,
};

words! {
    /// From which width a crack goes to an engineer whatever the wall.
    PencilRule { QuarterInch = "quarter-inch", StillMoving = "still-moving" }
}

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
    /// What it looks like together with what is near it.
    pub pattern: Option<Pattern>,
    /// Every series not ended by a repair of this place.
    pub series: &'a [Series],
    /// Latest width of every other open crack on the same wall.
    pub widths_beside: &'a [Length],
    /// The first day on which it moved while it was looked at.
    pub moved_on: Option<NaiveDate>,
    pub opened: NaiveDate,
    /// First day of the next reading round after the last reading (or after the opening).
    pub next_round: NaiveDate,
    /// The last filling, where no width was read since.
    pub filled: Option<Filled>,
    pub choices: Choices,
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
    let mut movement = series::movement(of.series, Measured::Width, of.next_round, today);
    if of.filled.is_some() {
        movement.unread(Measured::Width);
    }
    let widest = widest(of.series, today);
    let mut fired = Vec::new();
    fired.extend(of.moved_on.map(moved));
    fired.extend(movement.moving.iter().cloned());
    fired.extend(horizontal(of));
    if let Some(width) = widest {
        fired.extend(categorised(of, &width));
        fired.extend(pencil(&width, of.choices.pencil, !movement.moving.is_empty() || of.moved_on.is_some()));
        fired.extend(concrete_guide(of, &width));
    }
    fired.extend(workmanship(of, widest.as_ref(), today));
    fired.extend(of.filled.as_ref().map(repaired::filled));
    fired.extend(mildly(of, widest.as_ref(), &movement, &fired));
    if fired.iter().any(|f| f.rule == &MAY_BE_MENDED) {
        fired.extend(injected(of, widest.as_ref()));
    }
    fired.extend(listed(of, today));

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
    fires.then(|| before_repair(&HORIZONTAL, because))
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
        let others = of.widths_beside.iter().filter(|w| **w > COUNTED_ABOVE).count();
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
    let (read, cracks) = (*read, counted.len());
    let found = move || match because {
        Because::Width => {
            let by = if read.last == width { "" } else { " by the widest" };
            format!("{}: category {number} ({range}){by}", read.told())
        }
        Because::Count => format!(
            "{cracks} cracks over {} on one wall, this one {}, are category {number} by number",
            told::length(COUNTED_ABOVE),
            read.told(),
        ),
    };
    if let Some(outside) = outside_scope(of) {
        let because =
            Wording::later(move || format!("{}; scope: masonry walls of low-rise houses, and {outside}", found()));
        return Some(Fired::for_comparison(&CATEGORY, because));
    }
    let taken = match is_of_unknown_make(of) {
        true => "; what this wall is made of is not known, and it is taken as masonry",
        false => "",
    };
    let because = Wording::later(move || format!("{}{taken}", found()));
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

fn pencil(width: &Width, rule: PencilRule, moving: bool) -> Option<Fired> {
    match rule {
        PencilRule::QuarterInch => {
            let width = *width;
            let because = move || format!("{}: a pencil, about 1/4 in, fits", width.told());
            (width.widest >= PENCIL).then(|| before_repair(&PENCIL_FITS, Wording::later(because)))
        }
        PencilRule::StillMoving => {
            let over = if width.widest > WIDE_OVER { "over 1/2 in" } else { "over 1/4 in and still moving" };
            let fires = width.widest > WIDE_OVER || width.widest > PENCIL && moving;
            fires.then(|| before_repair(&PENCIL_FITS, format!("{}: {over}", width.told())).by_variant(rule.word()))
        }
    }
}

/// Beyond the tolerances of warranties; within them nothing is said, which is not to say anything of the wall.
fn workmanship(of: &Crack, widest: Option<&Width>, today: NaiveDate) -> Option<Fired> {
    let offset = offset(of, today);
    let (what, width_to) = match of.surface {
        Some(Surface::Slab) => ("a basement floor", WORKMANSHIP_FLOOR_WIDTH),
        Some(Surface::Wall) | None => ("a basement wall", WORKMANSHIP),
    };
    let wide = widest.filter(|w| w.widest > width_to);
    let displaced = offset.filter(|o| o.abs() > WORKMANSHIP);
    let mut found = Vec::new();
    found.extend(wide.map(|w| format!("{} is beyond {}", w.told(), told::length(width_to))));
    found.extend(displaced.map(|o| format!("offset {} is beyond {}", told::length(o), told::length(WORKMANSHIP))));
    let because = format!("{}, the tolerance of warranties for {what}", found.join("; "));
    (!found.is_empty()).then(|| Fired::for_comparison(&WORKMANSHIP_CRACK, because))
}

fn offset(of: &Crack, today: NaiveDate) -> Option<Length> {
    let series = of.series.iter().filter(|s| s.measured == Measured::Offset);
    series.filter_map(|s| s.latest(today)).max_by_key(|taken| taken.on).map(|taken| taken.value)
}

/// What injection asks for, where the crack may be mended.
fn injected(of: &Crack, widest: Option<&Width>) -> Vec<Fired> {
    let narrow = widest.filter(|w| w.widest < epoxy::HARD_BELOW).map(|w| {
        let takes = if w.widest < epoxy::NARROWEST { "takes no injected resin" } else { "is hard to fill well" };
        Fired::for_comparison(&epoxy::WIDTH, format!("{}: a crack that narrow {takes}", w.told()))
    });
    let rule = of.choices.ports;
    let ports = Wording::later(move || format!("if it is injected: {}", epoxy::ports_told(rule, None)));
    narrow.into_iter().chain([Fired::for_comparison(&epoxy::PORTS, ports).by_variant(rule.word())]).collect()
}

/// What guides list its pattern under.
fn listed(of: &Crack, today: NaiveDate) -> Vec<Fired> {
    pattern::listed(&Seen {
        pattern: of.pattern,
        runs: of.runs,
        wall: of.wall,
        in_wall: of.surface != Some(Surface::Slab),
        bow: false,
        offset: offset(of, today).is_some_and(|offset| !offset.exact().is_zero()),
    })
}

fn concrete_guide(of: &Crack, width: &Width) -> Option<Fired> {
    let concrete = of.wall == Some(Walls::Poured) || of.surface == Some(Surface::Slab);
    let side = if is_above_guide(width.widest, Exposure::MoistOrSoil) { "above" } else { "not above" };
    let width = *width;
    let because = move || {
        let width = width.told();
        format!("{width}: {side} the guide of 0.30 mm (0.012 in) in moist air or soil; a guide, not a limit")
    };
    concrete.then(|| Fired::for_comparison(&CONCRETE_WIDTH, Wording::later(because)))
}

fn before_repair(rule: &'static Rule, because: impl Into<Wording>) -> Fired {
    Fired::new(rule, Band::Call, Who::StructuralEngineer, Some(By::Before("any repair")), because)
}

/// What stands below a call: noted, mended, or read on. `fired` is what has been found so far.
fn mildly(of: &Crack, widest: Option<&Width>, movement: &Movement, fired: &[Fired]) -> Vec<Fired> {
    let sent_away = fired.iter().any(|f| f.band >= Some(Band::Call));
    let Some(width) = widest.copied().filter(|_| !sent_away) else { return movement.quiet.clone() };
    let level_crack_ruled_out = ruled_out_horizontal(of);
    if width.widest < HAIRLINE_BELOW && of.water == Some(Water::Dry) && level_crack_ruled_out {
        let because =
            Wording::later(move || format!("{}: under 0.1 mm, dry, and nothing else is recorded of it", width.told()));
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
        let because =
            Wording::later(move || format!("{}: at most 5 mm, a full year shows no trend, {water}", width.told()));
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

fn cautions_for(verdict: &Verdict) -> Vec<&'static str> {
    match verdict.band {
        Some(Band::Urgent) => vec![cautions::KEEP_OUT, cautions::LOCAL_LAW],
        Some(Band::Call) => vec![cautions::LOCAL_LAW],
        Some(Band::Mend) => vec![cautions::EPOXY, cautions::SILICA, cautions::LEAD_PAINT, cautions::LOCAL_LAW],
        _ => vec![cautions::NOT_ALONE],
    }
}
