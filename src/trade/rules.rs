//! Every rule of the program that a verdict can show, in one table.

use super::verdict::Rule;
use super::{
    air, air_log, called, concrete, crack, earth, electrics, epoxy, event, flood, judgement, level, life_cycle,
    moisture, mould, occurrence, other, pattern, planning, radon, repaired, runoff, series, sheet, signs, site, strain,
    sump, survey, timber, trend, units, waiting, wall, wood,
};

/// All of them, by subject.
pub static ALL: &[&Rule] = &[
    &called::ASKED_WITHIN,
    &crack::CATEGORY,
    &crack::PENCIL_FITS,
    &crack::HORIZONTAL,
    &crack::CONCRETE_WIDTH,
    &crack::HAIRLINE,
    &crack::MAY_BE_MENDED,
    &crack::MOVED_WHILE_LOOKED_AT,
    &crack::WORKMANSHIP_CRACK,
    &pattern::HORIZONTAL_LISTED,
    &pattern::VERTICAL_LISTED,
    &pattern::PIER_LISTED,
    &pattern::PAIR_LISTED,
    &pattern::MIDDLE_AND_ENDS_LISTED,
    &pattern::DOMED_FLOOR_LISTED,
    &pattern::MID_HEIGHT_LISTED,
    &pattern::STEPPED_LISTED,
    &pattern::TAPERED_LISTED,
    &pattern::MIDDLE_THIRD_LISTED,
    &pattern::OPENING_LISTED,
    &pattern::OFFSET_LISTED,
    &series::FAST_CHANGE,
    &series::TREND_GROWING,
    &series::TREND_NOT_ENOUGH,
    &series::TREND_NOT_SHOWN,
    &series::TREND_CLOSING,
    &trend::STATE,
    &trend::STATISTICS,
    &wall::BOW,
    &wall::OUT_OF_PLUMB,
    &wall::BOW_FIGURES,
    &level::DEFLECTION,
    &level::ANGULAR,
    &survey::LEVEL_SURVEY,
    &survey::COMPARED,
    &moisture::DAMP,
    &moisture::STANDING_WATER,
    &moisture::WOOD_MOISTURE,
    &moisture::AIR_HUMIDITY,
    &moisture::SURFACE_HUMIDITY,
    &moisture::EFFLORESCENCE,
    &sheet::SHEET,
    &moisture::MOULD_AREA,
    &timber::LOSING_SUPPORT,
    &timber::BEARING,
    &timber::ROT,
    &timber::ROT_ELSEWHERE,
    &timber::INSECTS,
    &timber::DECAY_TEMPERATURE,
    &timber::FIBRE_SATURATION,
    &concrete::STEEL_SHOWS,
    &concrete::SPALL_SIZE,
    &concrete::BOLT,
    &concrete::BOLT_COVER_RULE,
    &site::GRADE,
    &site::DRAINAGE,
    &site::DISCHARGE,
    &site::STEP,
    &site::STEP_MENDED,
    &site::WALKWAY_MOVED,
    &site::TREE,
    &site::VENT,
    &site::CLEARANCE,
    &electrics::WATER_AT_ELECTRICS,
    &electrics::ELECTRICS,
    &other::BINDING,
    &other::OTHER,
    &repaired::NOT_HELD,
    &repaired::FILLED,
    &event::EVENT_SINCE_LOOK,
    &signs::SEVERAL_SIGNS,
    &radon::FOLLOW_UP,
    &radon::LONG_TEST,
    &radon::TWO_SHORT,
    &radon::AFTER_SYSTEM,
    &radon::CONSIDER_BAND,
    &radon::BELOW_TWO,
    &radon::RETEST,
    &radon::RETEST_ON_CHANGE,
    &radon::CHANGE_WINDOW,
    &radon::SALE,
    &radon::DURATION,
    &radon::CLOSED_HOUSE,
    &radon::ROOM,
    &radon::PLACEMENT,
    &radon::CONDITIONS,
    &radon::DETECTION,
    &radon::PASSIVE,
    &radon::INVALID_HIGH,
    &judgement::JUDGEMENT,
    // the arithmetic of radon, water, air, wood and epoxy
    &radon::average::AVERAGE,
    &radon::pair::CONTROL,
    &radon::pair::STRADDLE,
    &radon::risk::RISK,
    &radon::gauge::GAUGE,
    &radon::decay::DECAY,
    &radon::odds::ODDS,
    &radon::locations::LOCATIONS,
    &radon::monitor::MONITOR,
    &radon::monitor::MONITOR_SIGNS,
    &radon::reduction::REDUCTION,
    &strain::STRAIN,
    &concrete::BOLT_SPACING,
    &earth::LATERAL,
    &occurrence::RECURRENCE,
    &occurrence::CRON,
    &occurrence::FREEZE_DATES,
    &life_cycle::PRESENT_VALUE,
    &life_cycle::SERVICE_LIFE,
    &planning::YEARLY_PLAN,
    &planning::DEADLINE,
    &planning::SOURCE_FIRST,
    &planning::SHARED_VISIT,
    &planning::RADON_PRICE,
    &units::UNITS,
    &sump::POUR_TEST,
    &sump::WEAK,
    &sump::LIFE,
    &sump::rising::WATER_RISING,
    &sump::again::KEEPS_UP_ONLY,
    &sump::pit::PIT,
    &sump::drawdown::RATES,
    &sump::cycle::CYCLE,
    &sump::fittings::FITTINGS,
    &sump::cycle::NEED,
    &sump::cycle::OVERFLOW,
    &sump::battery::BATTERY,
    &sump::backup::BATTERY_LIFE,
    &sump::signs::CHECK_VALVE,
    &sump::head::HEAD,
    &runoff::RUNOFF,
    &air::SATURATION,
    &air::DEW_POINT,
    &air::AT_SURFACE,
    &wood::WOOD_EMC,
    &mould::MOULD_GROWTH,
    &mould::MOULD_INDEX,
    &air_log::MOULD_LIMIT,
    &air_log::WOOD_SETTLES,
    &flood::FLOOD_DAMAGE,
    &epoxy::CLASS,
    &epoxy::WIDTH,
    &epoxy::PORTS,
    &epoxy::quantity::QUANTITY,
    &epoxy::filling::BEFORE_FILLING,
    // what waiting costs
    &waiting::COST_OF_WAITING,
    &waiting::SPREAD_OF_WAITING,
    &waiting::PRICE_RANGE,
    &waiting::PRICE_INDEX,
    &waiting::WATER_LOSS,
    &waiting::MAINTENANCE_SHARE,
    &waiting::LAW_OF_FIVES,
    &waiting::TWO_TO_FOUR,
    &waiting::LADDER,
];

/// The rule of that name.
pub fn named(name: &str) -> Option<&'static Rule> {
    ALL.iter().copied().find(|rule| rule.name == name)
}

#[cfg(test)]
pub(super) mod tests {
    use std::collections::BTreeSet;

    use super::ALL;
    use crate::trade::cautions;
    use crate::trade::verdict::{By, Rule, Standing, Verdict};

    /// Words that would say more than a comparison can.
    const NEVER: [&str; 16] = [
        "safe",
        "safely",
        "safety",
        "unsafe",
        "sound",
        "unsound",
        "fine",
        "ok",
        "okay",
        "good",
        "healthy",
        "harmless",
        "dormant",
        "certifies",
        "defect-free",
        "acceptable",
    ];
    /// Phrases that would state a cause as fact.
    const NO_CAUSE: [&str; 6] =
        ["caused by", "the cause is", "because of", "due to", "results from", "comes from settlement"];

    pub fn assert_wording(text: &str) {
        let lower = text.to_lowercase();
        for word in lower.split(|c: char| !c.is_alphanumeric() && c != '-') {
            assert!(!NEVER.contains(&word), "`{word}` in `{text}`");
        }
        for phrase in NO_CAUSE {
            assert!(!lower.contains(phrase), "`{phrase}` in `{text}`");
        }
    }

    /// The verdict itself, once all its words have been read and it has passed what holds for every verdict.
    pub fn worded(verdict: Verdict) -> Verdict {
        let fired = || verdict.because.iter().chain(&verdict.comparison);
        fired().for_each(|f| assert_wording(&f.because));
        fired().for_each(|f| assert!(ALL.contains(&f.rule), "{} is in no table", f.rule.name));
        verdict.not_known.iter().for_each(|text| assert_wording(text));
        verdict.next.iter().for_each(|step| assert_wording(&step.says));
        verdict.cautions.iter().for_each(|text| assert_wording(text));
        let kinds = [
            "reading-added",
            "level-surveyed",
            "sheet-tested",
            "gauge-looked",
            "judgement-given",
            "radon-tested",
            "sump-tested",
            "air-logged",
            "finding-closed",
            "quote-given",
            "note-added",
            "event-happened",
            "entry-corrected",
            "finding-opened",
            "fixture-added",
            "repair-made",
            "repair-checked",
        ];
        assert!(verdict.next.iter().all(|s| s.records.is_none_or(|kind| kinds.contains(&kind))), "{:?}", verdict.next);
        assert_eq!(verdict.band, verdict.because.iter().filter_map(|f| f.band).max());
        assert_eq!(verdict.due_on, verdict.next.iter().filter_map(|step| step.by).min(), "{:?}", verdict.next);
        // What is asked for at once is asked for since a day, and a step has it.
        for fired in verdict.because.iter().filter(|f| f.by == Some(By::AtOnce)) {
            assert!(fired.since.is_some() && verdict.due_on <= fired.since, "{fired:?}: {:?}", verdict.next);
        }
        verdict
    }

    fn texts(rule: &Rule) -> Vec<&'static str> {
        let variants = rule.variants.iter().flat_map(|v| [v.name, v.says, v.source]);
        [rule.says, rule.source, rule.scope].into_iter().chain(variants).collect()
    }

    #[test]
    fn every_rule_has_source_and_scope() {
        for rule in ALL {
            assert!(texts(rule).iter().all(|text| !text.trim().is_empty()), "{}", rule.name);
        }
    }

    #[test]
    fn names_are_unique_and_kebab_case() {
        let names: BTreeSet<_> = ALL.iter().map(|rule| rule.name).collect();
        assert_eq!(names.len(), ALL.len());
        for rule in ALL {
            let variants: BTreeSet<_> = rule.variants.iter().map(|v| v.name).collect();
            assert_eq!(variants.len(), rule.variants.len(), "{}", rule.name);
            for name in variants.into_iter().chain([rule.name]) {
                let plain = name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
                assert!(plain && !name.starts_with('-') && !name.ends_with('-'), "{name}");
            }
        }
    }

    #[test]
    fn rules_of_our_own_and_of_practice_say_so() {
        for rule in ALL {
            let says_so =
                rule.source.contains("design rule of this program") || rule.source.contains("no published source");
            if rule.standing == Standing::Practice {
                assert!(says_so, "{}: {}", rule.name, rule.source);
            }
            if rule.source.starts_with("design rule of this program") || rule.source.contains("no published source") {
                assert_eq!(rule.standing, Standing::Practice, "{}", rule.name);
            }
        }
    }

    #[test]
    fn no_rule_says_more_than_it_may() {
        ALL.iter().flat_map(|rule| texts(rule)).for_each(assert_wording);
        let every_caution = [
            cautions::CRAWL_SPACE,
            cautions::NOT_ALONE,
            cautions::WATER_AND_ELECTRICITY,
            cautions::MOULD_DRYING,
            cautions::MOULD_WORK,
            cautions::LEAD_PAINT,
            cautions::ASBESTOS,
            cautions::EPOXY,
            cautions::SILICA,
            cautions::DROPPINGS,
            cautions::LADDER,
            cautions::KEEP_OUT,
            cautions::LOCAL_LAW,
        ];
        every_caution.into_iter().for_each(assert_wording);
    }

    #[test]
    #[should_panic(expected = "`safe` in")]
    fn the_scan_for_words_finds_one() {
        assert_wording("The wall is Safe.");
    }

    #[test]
    fn every_static_rule_of_the_layer_is_in_the_table() {
        let files = [
            include_str!("called.rs"),
            include_str!("concrete.rs"),
            include_str!("crack.rs"),
            include_str!("crack/rules.rs"),
            include_str!("earth.rs"),
            include_str!("electrics.rs"),
            include_str!("event.rs"),
            include_str!("judgement.rs"),
            include_str!("level.rs"),
            include_str!("life_cycle.rs"),
            include_str!("planning.rs"),
            include_str!("moisture.rs"),
            include_str!("moisture/standing.rs"),
            include_str!("occurrence.rs"),
            include_str!("other.rs"),
            include_str!("pattern.rs"),
            include_str!("radon.rs"),
            include_str!("series.rs"),
            include_str!("sheet.rs"),
            include_str!("signs.rs"),
            include_str!("site.rs"),
            include_str!("site/crawl.rs"),
            include_str!("site/tree.rs"),
            include_str!("strain.rs"),
            include_str!("survey.rs"),
            include_str!("timber.rs"),
            include_str!("trend.rs"),
            include_str!("units.rs"),
            include_str!("wall.rs"),
            include_str!("waiting.rs"),
            // the arithmetic of radon, water, air, wood and epoxy
            include_str!("radon/average.rs"),
            include_str!("radon/pair.rs"),
            include_str!("radon/risk.rs"),
            include_str!("radon/gauge.rs"),
            include_str!("radon/decay.rs"),
            include_str!("radon/odds.rs"),
            include_str!("radon/locations.rs"),
            include_str!("radon/monitor.rs"),
            include_str!("radon/reduction.rs"),
            include_str!("radon/valid.rs"),
            include_str!("sump.rs"),
            include_str!("sump/pit.rs"),
            include_str!("sump/drawdown.rs"),
            include_str!("sump/cycle.rs"),
            include_str!("sump/battery.rs"),
            include_str!("sump/backup.rs"),
            include_str!("sump/signs.rs"),
            include_str!("sump/again.rs"),
            include_str!("sump/rising.rs"),
            include_str!("sump/head.rs"),
            include_str!("sump/fittings.rs"),
            include_str!("runoff.rs"),
            include_str!("repaired.rs"),
            include_str!("air.rs"),
            include_str!("air_log/verdict.rs"),
            include_str!("wood.rs"),
            include_str!("mould.rs"),
            include_str!("flood.rs"),
            include_str!("epoxy.rs"),
            include_str!("epoxy/quantity.rs"),
            include_str!("epoxy/filling.rs"),
        ];
        let count =
            |file: &&str| file.matches(": Rule = Rule {").count() + file.matches(": Rule =\n    listing!(").count();
        let listings = |file: &&str| file.matches(": Rule = listing!(").count();
        let declared: usize = files.iter().map(|file| count(file) + listings(file)).sum();
        assert_eq!(declared, ALL.len());
        assert!(super::named("crack-category").is_some() && super::named("no-such-rule").is_none());
    }
}
