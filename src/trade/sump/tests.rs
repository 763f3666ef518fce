//! Verdicts on pumps.

use chrono::NaiveDate;

use super::{Drawdown, Pit, Pump, PumpTest, verdict};
use crate::quantity::{Length, Span};
use crate::trade::rules::tests::worded;
use crate::trade::series::tests::day;
use crate::trade::verdict::{Band, By, Verdict, Who};
use crate::trade::words::Answer;

fn poured(on: &str, switched: u32) -> PumpTest<'static> {
    PumpTest {
        on: day(on),
        poured: true,
        switched: Some(switched),
        failed: None,
        drawdown: None,
        runs_back: None,
        short_cycles: None,
        water_rising: None,
    }
}

fn failed(on: &str, words: &'static str) -> PumpTest<'static> {
    PumpTest { switched: None, failed: Some(words), ..poured(on, 0) }
}

/// A fall over 15 s, a rise of 2 in over a minute.
fn fell(on: &str, fall: &str) -> PumpTest<'static> {
    let drawdown = Drawdown {
        fall: Length::parse(fall).unwrap(),
        fall_time: Span::seconds(15, 1),
        rise: Length::inches(2, 1),
        rise_time: Span::minutes(1, 1),
    };
    PumpTest { drawdown: Some(drawdown), ..poured(on, 2) }
}

fn on(today: &str, installed: Option<&str>, tests: &[PumpTest]) -> Verdict {
    let pit = Some(Pit::round(Length::inches(18, 1)));
    worded(verdict(&Pump { pit, installed: installed.map(day), tests, ..Pump::default() }, day(today)))
}

fn rules(verdict: &Verdict) -> Vec<&str> {
    verdict.because.iter().map(|f| f.rule.name).collect()
}

#[test]
fn a_pump_has_to_switch_on_and_off_twice() {
    // NDSU Extension: on and off at least twice.
    for (times, band) in [(0, Band::Mend), (1, Band::Mend), (2, Band::Note), (7, Band::Note)] {
        let verdict = on("2025-03-10", Some("2020-01-01"), &[poured("2025-03-01", times)]);
        assert_eq!((verdict.band, rules(&verdict)), (Some(band), vec!["sump-pour-test"]), "{times}");
    }
    let mend = on("2025-03-10", Some("2020-01-01"), &[failed("2025-03-01", "the float stuck")]);
    assert_eq!((mend.band, mend.who, mend.by.clone()), (Some(Band::Mend), Some(Who::OwnerOrPlumber), Some(By::AtOnce)));
    assert_eq!(mend.due_on, Some(day("2025-03-01")));
    assert_eq!(mend.because[0].because, "the test of 1 Mar 2025 failed: the float stuck");
    assert!(mend.next[0].says.ends_with("go to a licensed electrician"), "{:?}", mend.next);
    assert!(mend.cautions[0].starts_with("never step into water"));
}

#[test]
fn only_a_later_test_that_watched_the_switch_lifts_a_failure() {
    let band = |tests: &[PumpTest]| on("2025-05-01", Some("2020-01-01"), tests).band;
    assert_eq!(band(&[failed("2025-03-01", "hums"), poured("2025-03-02", 2)]), Some(Band::Note));
    assert_eq!(band(&[poured("2025-03-02", 2), failed("2025-03-03", "hums")]), Some(Band::Mend));
    let only_timed = PumpTest { switched: None, poured: false, ..fell("2025-03-04", "8 in") };
    assert_eq!(band(&[failed("2025-03-01", "hums"), only_timed]), Some(Band::Mend));
    // A test still to come counts for nothing.
    assert_eq!(band(&[failed("2025-03-01", "hums"), poured("2025-06-01", 2)]), Some(Band::Mend));
}

#[test]
fn a_pump_that_lifts_a_fifth_less_than_at_first_is_watched() {
    // First 8 in in 15 s and 2 in a minute: 34 in/min; 80 % are 27.2 in/min, so a fall of 25.2 in/min, 6.3 in in 15 s.
    for (fall, band) in [("6.31 in", Band::Note), ("6.3 in", Band::Watch), ("0 in", Band::Watch)] {
        let tests = [fell("2024-03-01", "8 in"), fell("2024-09-01", "9 in"), fell("2025-03-01", fall)];
        let verdict = on("2025-03-10", Some("2020-01-01"), &tests);
        assert_eq!(verdict.band, Some(band), "{fall}");
    }
    // 25.2 + 2 = 27.2 in/min against 34: 1.1016 x 27.2 = 29.96 gpm against 37.45.
    let verdict = on("2025-03-10", Some("2020-01-01"), &[fell("2024-03-01", "8 in"), fell("2025-03-01", "6.3 in")]);
    let told = &verdict.because[0].because;
    assert!(told.starts_with("on 1 Mar 2025 it lifts 20.0 % less than when first measured on 1 Mar 2024"), "{told}");
    assert!(told.contains("30 gpm") && told.contains("37 gpm"), "{told}");
    assert_eq!(rules(&verdict), ["sump-rate-lost", "sump-pour-test"]);
    // Without a pit the levels alone still compare.
    let tests = [fell("2024-03-01", "8 in"), fell("2025-03-01", "6.3 in")];
    let no_pit = worded(verdict_of(&Pump { tests: &tests, ..Pump::default() }));
    assert_eq!(no_pit.because[0].because, "on 1 Mar 2025 it lifts 20.0 % less than when first measured on 1 Mar 2024");
}

fn verdict_of(pump: &Pump) -> Verdict {
    verdict(pump, day("2025-03-10"))
}

#[test]
fn a_new_pump_is_not_held_to_the_rates_or_failures_of_the_old_one() {
    let tests = [fell("2019-03-01", "8 in"), failed("2019-06-01", "hums"), fell("2025-03-01", "5 in")];
    assert_eq!(on("2025-03-10", Some("2020-01-01"), &tests).band, Some(Band::Note));
    let only_old = on("2025-03-10", Some("2020-01-01"), &tests[..2]);
    assert_eq!((only_old.band, only_old.not_known[0].as_str()), (None, "the pump (never tested)"));
}

#[test]
fn a_pump_past_its_published_life_is_watched() {
    // NAHB: 10 years.
    let tests = [poured("2025-01-01", 2)];
    let last = on("2025-03-10", Some("2015-03-10"), &tests);
    assert_eq!((last.band, last.changes_on), (Some(Band::Note), Some(day("2025-03-11"))));
    let past = on("2025-03-11", Some("2015-03-10"), &tests);
    assert_eq!((past.band, past.who, rules(&past)[0]), (Some(Band::Watch), Some(Who::Owner), "sump-pump-life"));
    let unknown = on("2025-03-11", None, &tests);
    assert_eq!(unknown.band, Some(Band::Note));
    assert!(unknown.not_known.contains(&"when the pump was installed".to_owned()));
}

#[test]
fn a_pump_never_tested_has_no_band_whatever_its_age() {
    for (installed, shown) in [(None, 0), (Some("2024-01-01"), 0), (Some("2000-01-01"), 1)] {
        let never = on("2025-03-11", installed, &[]);
        assert_eq!((never.band, never.because.len(), never.comparison.len()), (None, 0, shown), "{installed:?}");
        assert_eq!(never.not_known[0], "the pump (never tested)");
        assert_eq!(never.next[0].records, Some("sump-tested"));
    }
}

#[test]
fn a_test_is_asked_for_again_a_year_on_and_says_when_it_is_old() {
    // Grant County, Oregon: once a year.
    let tests = [poured("2025-01-01", 2)];
    let young = on("2026-01-01", Some("2020-01-01"), &tests);
    assert_eq!((young.due_on, young.changes_on), (Some(day("2026-01-01")), Some(day("2026-01-02"))));
    assert!(!young.not_known.iter().any(|text| text.contains("last tested")));
    let old = on("2026-01-02", Some("2020-01-01"), &tests);
    assert_eq!(old.not_known[0], "how the pump runs now (last tested 1 Jan 2025)");
}

#[test]
fn no_date_and_no_number_breaks_it() {
    let extreme = Drawdown {
        fall: Length::parse("0.00000000000000000000001 mm").unwrap(),
        fall_time: Span::parse("99999999999999999999 d").unwrap(),
        rise: Length::mm(i128::MAX / 1000, 1),
        rise_time: Span::ZERO,
    };
    let tests = [PumpTest { drawdown: Some(extreme), ..poured("2025-01-01", u32::MAX) }];
    for today in [NaiveDate::MIN, day("2025-01-01"), NaiveDate::MAX] {
        let pump = Pump {
            pit: Some(Pit::round(Length::ZERO)),
            installed: Some(NaiveDate::MIN),
            tests: &tests,
            ..Pump::default()
        };
        worded(verdict(&pump, today));
        worded(verdict(&Pump { installed: Some(NaiveDate::MAX), ..pump }, today));
    }
}

#[test]
fn signs_at_the_check_valve_are_watched_until_a_test_says_no() {
    let with = |on: &str, runs_back, short_cycles| PumpTest { runs_back, short_cycles, ..poured(on, 2) };
    let told = |tests: &[PumpTest]| {
        let verdict = on("2025-05-01", Some("2020-01-01"), tests);
        (verdict.band, verdict.because[0].because.clone())
    };
    let (band, because) = told(&[with("2025-03-01", Some(Answer::Yes), Some(Answer::Yes))]);
    assert_eq!(band, Some(Band::Watch));
    // 10 ft of 1-1/2 in schedule 40 hold 1.058 gal, an 18-in pit 1.1016 gal an inch: 0.96 in.
    let want = "on 1 Mar 2025 water ran back into the pit after it stopped, and starts followed one another quickly; 10 ft of \
                1-1/2 in pipe running back raise this pit by 0.96 in";
    assert_eq!(because, want);
    let seen = with("2025-03-01", None, Some(Answer::Yes));
    assert_eq!(told(std::slice::from_ref(&seen)).0, Some(Band::Watch));
    assert_eq!(told(&[seen, with("2025-04-01", Some(Answer::No), Some(Answer::No))]).0, Some(Band::Note));
    assert_eq!(told(&[with("2025-03-01", Some(Answer::Unknown), None)]).0, Some(Band::Note));
}

#[test]
fn an_outlet_nearer_than_the_published_distance_is_mended() {
    // University of Nebraska-Lincoln: at least 10 ft.
    let tests = [poured("2025-03-01", 2)];
    let at = |feet: &str| {
        let outlet = Some(Length::parse(feet).unwrap());
        worded(verdict(
            &Pump { outlet, installed: Some(day("2020-01-01")), tests: &tests, ..Pump::default() },
            day("2025-05-01"),
        ))
    };
    assert_eq!(rules(&at("9.9 ft")), ["discharge-distance", "sump-pour-test"]);
    assert_eq!(at("9.9 ft").band, Some(Band::Mend));
    assert_eq!((rules(&at("10 ft")), at("10 ft").comparison.len()), (vec!["sump-pour-test"], 1));
    // A pump that was never tested has no band, wherever its outlet is.
    let never = Pump { outlet: Some(Length::feet(3, 1)), ..Pump::default() };
    assert_eq!(worded(verdict(&never, day("2025-05-01"))).band, None);
}

#[test]
fn what_is_asked_for_follows_from_the_rule_that_asks() {
    // Each step answers what its rule says: the valve is looked at, the outlet led away; neither asks for a new pump.
    let steps = |of: &Pump| -> Vec<String> {
        worded(verdict(of, day("2025-05-01"))).next.iter().map(|step| step.says.clone()).collect()
    };
    let valve = [PumpTest { runs_back: Some(Answer::Yes), ..poured("2025-03-01", 2) }];
    let pump = Pump { installed: Some(day("2020-01-01")), tests: &valve, ..Pump::default() };
    let asked = steps(&pump);
    assert!(asked[0].starts_with("look at its check valve") && asked[1].starts_with("test it again"), "{asked:?}");
    assert_eq!(asked.len(), 2);
    let well = [poured("2025-03-01", 2)];
    let near = Pump { outlet: Some(Length::feet(3, 1)), tests: &well, ..pump.clone() };
    assert!(steps(&near)[0].starts_with("lead its water out farther"), "{:?}", steps(&near));
    // 1 March 2025 and a year: an outlet too near is no failed test, which is tried again at once.
    assert_eq!(verdict(&near, day("2025-05-01")).due_on, Some(day("2026-03-01")));
    // A valve that is looked at: tested again when the wet season begins, taken as 1 October.
    assert_eq!(verdict(&pump, day("2025-05-01")).due_on, Some(day("2025-10-01")));
    let stuck = [failed("2025-03-01", "hums")];
    assert!(steps(&Pump { tests: &stuck, ..near })[0].starts_with("unplug it"));
    // Put in 15 years before: past the published life.
    let old = Pump { installed: Some(day("2010-01-01")), tests: &well, ..Pump::default() };
    assert!(steps(&old).iter().any(|step| step.starts_with("plan a new one")), "{:?}", steps(&old));
}

#[test]
fn what_a_pump_lost_over_the_years_is_told_before_it_is_weak() {
    // 8 in and then 7.2 in in 15 s with 2 in a minute coming in: 34 and 30.8 in a minute, 9.4 % less; over 2 years 4.7 % each.
    let tests = [fell("2022-03-01", "8 in"), fell("2024-03-01", "7.2 in")];
    let verdict = on("2024-04-01", Some("2020-01-01"), &tests);
    assert_eq!(verdict.band, Some(Band::Note));
    let said = &verdict.comparison[0].because;
    assert!(said.starts_with("it lifts 9.4 % less than when first measured on 1 Mar 2022, 4.7 % a year"), "{said}");
    // 1.1016 gal an inch: 37.45 and 33.93 gpm.
    let each = "it lifted 37 gpm (142 L/min) on 1 Mar 2022, 34 gpm (128 L/min) on 1 Mar 2024";
    assert_eq!(verdict.comparison[1].because, each);
    // Within a year nothing is said of years.
    let soon = [fell("2023-06-01", "8 in"), fell("2024-03-01", "7.2 in")];
    let soon = on("2024-04-01", Some("2020-01-01"), &soon).comparison;
    assert!(soon.len() == 1 && !soon[0].because.contains("a year"), "{soon:?}");
    // 34, 30 and 26 in a minute on 1 March of three years, 365.25 days each but for a quarter of one: 4 of 34 a year, 11.8 %.
    let three = [fell("2021-03-01", "8 in"), fell("2022-03-01", "7 in"), fell("2023-03-01", "6 in")];
    let three = on("2023-04-01", Some("2020-01-01"), &three);
    let line = three.comparison.iter().find(|f| f.because.starts_with("it lifted")).unwrap();
    assert!(
        line.because.ends_with("by a line through all of them 11.8 % of the first less a year"),
        "{}",
        line.because
    );
}

#[test]
fn a_pump_that_is_watched_is_tested_a_month_later_while_it_is_wet() {
    // Taken from 1 October to 31 March.
    let weak = [fell("2024-03-01", "8 in"), fell("2025-11-12", "5 in")];
    let verdict = on("2025-11-20", Some("2020-01-01"), &weak);
    assert_eq!((rules(&verdict)[0], verdict.due_on), ("sump-rate-lost", Some(day("2025-12-12"))));
    assert_eq!(verdict.asked_first().unwrap().says, "test it monthly in the wet season");
    let dry = on("2025-05-20", Some("2020-01-01"), &[fell("2024-03-01", "8 in"), fell("2025-05-12", "5 in")]);
    assert_eq!(dry.due_on, Some(day("2025-10-01")));
    // Past its life since 10 January 2026 and tested before: counted from then.
    let old = on("2026-01-20", Some("2016-01-10"), &[poured("2025-11-02", 2)]);
    assert_eq!((rules(&old)[0], old.due_on), ("sump-pump-life", Some(day("2026-02-10"))));
}

#[test]
fn a_pump_under_which_the_water_only_stands_is_watched() {
    let standing = on("2025-11-20", Some("2020-01-01"), &[fell("2025-11-12", "0 in")]);
    assert_eq!((standing.band, rules(&standing)[0]), (Some(Band::Watch), "sump-only-keeps-up"));
    assert_eq!(standing.due_on, Some(day("2025-12-12")));
    assert_eq!(on("2025-11-20", Some("2020-01-01"), &[fell("2025-11-12", "1/8 in")]).band, Some(Band::Note));
}

#[test]
fn water_that_rises_while_the_pump_does_not_run_is_urgent_until_a_test_says_otherwise() {
    let rising = |on: &str, answer| PumpTest { water_rising: Some(answer), ..failed(on, "does not run") };
    let urgent = on("2025-03-02", Some("2020-01-01"), &[rising("2025-03-01", Answer::Yes)]);
    assert_eq!((urgent.band, urgent.who), (Some(Band::Urgent), Some(Who::UtilityOrElectrician)));
    assert_eq!((rules(&urgent)[0], urgent.due_on), ("sump-water-rising", Some(day("2025-03-01"))));
    assert!(
        urgent.next[0].says.starts_with("keep out of the water") && urgent.next[0].by.is_some(),
        "{:?}",
        urgent.next
    );
    assert!(urgent.cautions[0].starts_with("never step into water"));
    let band = |later: PumpTest<'static>| {
        on("2025-03-09", Some("2020-01-01"), &[rising("2025-03-01", Answer::Yes), later]).band
    };
    assert_eq!(band(poured("2025-03-03", 2)), Some(Band::Note));
    assert_eq!(band(rising("2025-03-03", Answer::No)), Some(Band::Mend));
    // What was not said, or not known, ends nothing.
    assert_eq!(band(failed("2025-03-03", "hums")), Some(Band::Urgent));
    assert_eq!(band(rising("2025-03-03", Answer::Unknown)), Some(Band::Urgent));
    assert_eq!(band(poured("2025-03-03", 1)), Some(Band::Urgent));
}
