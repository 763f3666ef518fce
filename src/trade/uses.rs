//! Where each rule is used: the verdicts that may fire it, and the commands that say it. The calculations that stand on it name
//! it themselves.
//!
//! A test holds the table to the program: it makes many subjects of every kind, and what fires of them is what stands here.

use super::verdict::Rule;
use super::words::{FindingKind, FixtureKind};
use super::{
    air, air_log, called, concrete, crack, electrics, epoxy, event, judgement, level, moisture, occurrence, other,
    pattern, planning, radon, repaired, series, sheet, signs,
};
use super::{site, sump, survey, timber, trend, waiting, wall};

/// A place that a rule is used in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Use {
    /// The verdict on a finding of that kind.
    Finding(FindingKind),
    /// The verdict on radon in a section.
    Section,
    /// The verdict on a section whose levels were surveyed.
    Levels,
    /// What sheets that were put up add to the verdict on a section or a damp place.
    Sheets,
    /// The verdict on the house as a whole.
    Property,
    /// The verdict on a fixture of that kind.
    Fixture(FixtureKind),
    /// A finding that a professional has judged.
    Judged,
    /// A finding that goes to somebody licensed, where no rule of its kind names a day.
    Called,
    /// A finding whose last repair did not hold.
    Repaired,
    /// What a command says beside its receipt: `repair add`.
    Said(&'static str),
    /// A duty of the almanac, by its code.
    Duty(&'static str),
}

impl Use {
    /// `finding: crack`, `duty: pump-test-spring`.
    pub fn told(self) -> String {
        match self {
            Use::Finding(kind) => format!("finding: {kind}"),
            Use::Section => "section: radon".to_owned(),
            Use::Levels => "section: levels".to_owned(),
            Use::Sheets => "section, damp or efflorescence: plastic sheet".to_owned(),
            Use::Property => "property".to_owned(),
            Use::Fixture(kind) => format!("fixture: {kind}"),
            Use::Judged => "finding with a judgement".to_owned(),
            Use::Repaired => "finding whose repair did not hold".to_owned(),
            Use::Called => "finding that calls somebody without a day".to_owned(),
            Use::Said(command) => format!("command: {command}"),
            Use::Duty(code) => format!("duty: {code}"),
        }
    }
}

const CRACK: Use = Use::Finding(FindingKind::Crack);
const BOW: Use = Use::Finding(FindingKind::Bow);
const SETTLEMENT: Use = Use::Finding(FindingKind::Settlement);
const BINDING: Use = Use::Finding(FindingKind::Binding);
const BEARING: Use = Use::Finding(FindingKind::Bearing);
const SPALL: Use = Use::Finding(FindingKind::Spall);
const BOLT: Use = Use::Finding(FindingKind::Bolt);
const PUMP: Use = Use::Fixture(FixtureKind::SumpPump);
const GUTTER: Use = Use::Fixture(FixtureKind::Gutter);
const DOWNSPOUT: Use = Use::Fixture(FixtureKind::Downspout);
const DRAIN: Use = Use::Fixture(FixtureKind::Drain);
const BACKUP: Use = Use::Fixture(FixtureKind::BackupPump);
const DAMP: Use = Use::Finding(FindingKind::Damp);
const ROT: Use = Use::Finding(FindingKind::Rot);
const WALKWAY: Use = Use::Finding(FindingKind::Walkway);
const DEFER: Use = Use::Said("defer");
const RISK: Use = Use::Said("risk");
const PLAN: Use = Use::Said("plan");

/// The uses of every rule but those of calculations alone.
pub static USES: &[(&Rule, &[Use])] = &[
    (&crack::CATEGORY, &[CRACK]),
    (&crack::PENCIL_FITS, &[CRACK]),
    (&crack::HORIZONTAL, &[CRACK]),
    (&crack::CONCRETE_WIDTH, &[CRACK]),
    (&crack::HAIRLINE, &[CRACK]),
    (&crack::MAY_BE_MENDED, &[CRACK]),
    (&crack::MOVED_WHILE_LOOKED_AT, &[CRACK, BOW, SETTLEMENT, BEARING]),
    (&crack::WORKMANSHIP_CRACK, &[CRACK]),
    (&pattern::HORIZONTAL_LISTED, &[CRACK, BOW]),
    (&pattern::VERTICAL_LISTED, &[CRACK]),
    (&pattern::PIER_LISTED, &[CRACK]),
    (&pattern::PAIR_LISTED, &[CRACK]),
    (&pattern::MIDDLE_AND_ENDS_LISTED, &[CRACK]),
    (&pattern::DOMED_FLOOR_LISTED, &[CRACK]),
    (&pattern::MID_HEIGHT_LISTED, &[CRACK]),
    (&pattern::STEPPED_LISTED, &[CRACK]),
    (&pattern::TAPERED_LISTED, &[CRACK]),
    (&pattern::MIDDLE_THIRD_LISTED, &[CRACK]),
    (&pattern::OPENING_LISTED, &[CRACK]),
    (&pattern::OFFSET_LISTED, &[CRACK]),
    (&series::FAST_CHANGE, &[CRACK, BOW, SETTLEMENT, Use::Levels]),
    (&series::TREND_GROWING, &[CRACK, BOW, SETTLEMENT, Use::Levels]),
    (&series::TREND_NOT_ENOUGH, &[CRACK, BOW, SETTLEMENT, Use::Levels]),
    (&series::TREND_NOT_SHOWN, &[CRACK, BOW, SETTLEMENT, Use::Levels]),
    (&trend::STATISTICS, &[CRACK, BOW, SETTLEMENT, Use::Levels]),
    (&series::TREND_CLOSING, &[CRACK, BOW]),
    (&wall::BOW, &[BOW]),
    (&wall::OUT_OF_PLUMB, &[BOW]),
    (&wall::BOW_FIGURES, &[BOW]),
    (&level::DEFLECTION, &[SETTLEMENT, Use::Levels]),
    (&level::ANGULAR, &[SETTLEMENT]),
    (&survey::COMPARED, &[SETTLEMENT, Use::Levels]),
    (&sheet::SHEET, &[Use::Sheets]),
    (&radon::gauge::GAUGE, &[Use::Fixture(FixtureKind::RadonSystem)]),
    (&moisture::DAMP, &[DAMP]),
    (&moisture::STANDING_WATER, &[DAMP]),
    (&moisture::WOOD_MOISTURE, &[DAMP, ROT]),
    (&moisture::AIR_HUMIDITY, &[DAMP, Use::Section]),
    (&moisture::SURFACE_HUMIDITY, &[DAMP, Use::Section]),
    (&moisture::EFFLORESCENCE, &[Use::Finding(FindingKind::Efflorescence)]),
    (&moisture::MOULD_AREA, &[Use::Finding(FindingKind::Mould)]),
    (&timber::LOSING_SUPPORT, &[BEARING]),
    (&timber::BEARING, &[BEARING]),
    (&timber::ROT, &[DAMP, ROT]),
    (&timber::ROT_ELSEWHERE, &[DAMP, ROT]),
    (&timber::DECAY_TEMPERATURE, &[DAMP]),
    (&timber::FIBRE_SATURATION, &[DAMP, ROT]),
    (&timber::INSECTS, &[Use::Finding(FindingKind::Insects)]),
    (&concrete::STEEL_SHOWS, &[SPALL, BOLT]),
    (&concrete::SPALL_SIZE, &[SPALL]),
    (&concrete::BOLT, &[BOLT]),
    (&concrete::BOLT_COVER_RULE, &[BOLT]),
    (&site::GRADE, &[Use::Finding(FindingKind::Grade)]),
    (&site::DRAINAGE, &[Use::Finding(FindingKind::Drainage)]),
    (&site::DISCHARGE, &[Use::Finding(FindingKind::Drainage), PUMP, BACKUP, GUTTER, DOWNSPOUT, DRAIN]),
    (&site::STEP, &[WALKWAY]),
    (&site::STEP_MENDED, &[WALKWAY]),
    (&site::WALKWAY_MOVED, &[WALKWAY]),
    (&site::TREE, &[Use::Finding(FindingKind::Tree), Use::Fixture(FixtureKind::Tree)]),
    (&site::VENT, &[Use::Finding(FindingKind::Vent)]),
    (&site::CLEARANCE, &[Use::Finding(FindingKind::Clearance)]),
    (&electrics::WATER_AT_ELECTRICS, &[Use::Finding(FindingKind::Electrics)]),
    (&electrics::ELECTRICS, &[Use::Finding(FindingKind::Electrics)]),
    (&other::BINDING, &[BINDING]),
    (&other::OTHER, &[Use::Finding(FindingKind::Other)]),
    (&repaired::NOT_HELD, &[Use::Repaired]),
    (&repaired::FILLED, &[CRACK]),
    (&event::EVENT_SINCE_LOOK, &[Use::Property]),
    (&signs::SEVERAL_SIGNS, &[CRACK, SETTLEMENT, BINDING, WALKWAY]),
    (&radon::FOLLOW_UP, &[Use::Section]),
    (&radon::LONG_TEST, &[Use::Section]),
    (&radon::TWO_SHORT, &[Use::Section]),
    (&radon::AFTER_SYSTEM, &[Use::Section, Use::Duty("radon-test-after-system")]),
    (&radon::CONSIDER_BAND, &[Use::Section]),
    (&radon::BELOW_TWO, &[Use::Section]),
    (&radon::RETEST, &[Use::Section]),
    (&radon::RETEST_ON_CHANGE, &[Use::Section]),
    (&radon::CHANGE_WINDOW, &[Use::Section]),
    (&radon::SALE, &[Use::Section]),
    (&radon::PASSIVE, &[Use::Section]),
    (&radon::INVALID_HIGH, &[Use::Section]),
    (&radon::DURATION, &[Use::Section]),
    (&radon::CLOSED_HOUSE, &[Use::Section]),
    (&radon::ROOM, &[Use::Section]),
    (&radon::PLACEMENT, &[Use::Section]),
    (&radon::CONDITIONS, &[Use::Section]),
    (&radon::DETECTION, &[Use::Section]),
    (&radon::pair::CONTROL, &[Use::Section]),
    (&radon::pair::STRADDLE, &[Use::Section]),
    (&radon::locations::LOCATIONS, &[Use::Section]),
    (&radon::monitor::MONITOR, &[Use::Section, Use::Said("radon import-hours")]),
    (&radon::monitor::MONITOR_SIGNS, &[Use::Said("radon import-hours")]),
    (&judgement::JUDGEMENT, &[Use::Judged]),
    (&called::ASKED_WITHIN, &[Use::Called, Use::Section]),
    (&sump::POUR_TEST, &[PUMP, BACKUP, Use::Duty("pump-test-spring")]),
    (&sump::WEAK, &[PUMP, BACKUP]),
    (&sump::LIFE, &[PUMP, BACKUP]),
    (&sump::rising::WATER_RISING, &[PUMP, BACKUP]),
    (&sump::again::KEEPS_UP_ONLY, &[PUMP, BACKUP]),
    (&sump::signs::CHECK_VALVE, &[PUMP, BACKUP]),
    (&sump::backup::BATTERY_LIFE, &[PUMP, BACKUP]),
    (&sump::battery::BATTERY, &[PUMP, BACKUP]),
    (&sump::cycle::OVERFLOW, &[PUMP, BACKUP]),
    (&air::AT_SURFACE, &[Use::Section]),
    (&air_log::MOULD_LIMIT, &[Use::Section]),
    (&air_log::WOOD_SETTLES, &[Use::Section]),
    (&occurrence::FREEZE_DATES, &[Use::Said("property show")]),
    (&epoxy::CLASS, &[Use::Said("repair add")]),
    (&epoxy::WIDTH, &[CRACK, Use::Said("repair add")]),
    (&epoxy::PORTS, &[CRACK, Use::Said("repair add")]),
    (&epoxy::quantity::QUANTITY, &[Use::Said("repair add")]),
    (&epoxy::filling::BEFORE_FILLING, &[Use::Said("repair add")]),
    (&waiting::LADDER, &[DEFER, RISK, PLAN]),
    (&waiting::COST_OF_WAITING, &[DEFER, RISK, PLAN]),
    (&waiting::SPREAD_OF_WAITING, &[DEFER]),
    (&waiting::PRICE_RANGE, &[DEFER]),
    (&waiting::PRICE_INDEX, &[DEFER]),
    (&waiting::WATER_LOSS, &[DEFER]),
    (&waiting::LAW_OF_FIVES, &[DEFER]),
    (&waiting::TWO_TO_FOUR, &[DEFER]),
    (&waiting::MAINTENANCE_SHARE, &[RISK]),
    (&planning::YEARLY_PLAN, &[PLAN]),
    (&planning::DEADLINE, &[PLAN]),
    (&planning::SOURCE_FIRST, &[PLAN]),
    (&planning::SHARED_VISIT, &[PLAN]),
    (&planning::RADON_PRICE, &[PLAN]),
];

/// The verdicts, commands and duties that use a rule; none for a rule of calculations alone.
pub fn of(rule: &Rule) -> &'static [Use] {
    USES.iter().find(|(used, _)| used.name == rule.name).map_or(&[], |(_, uses)| uses)
}

#[cfg(test)]
#[path = "uses_tests.rs"]
mod tests;
