use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use proptest::prelude::{ProptestConfig, any, proptest};

use super::verdict::MOULD_FROM;
use super::{AirLogs, Logged, Margin, Month, Recorder, Row, RowError, SPEAKS_DAYS, Summary, verdict};
use crate::quantity::{Exact, Share, Temperature};
use crate::trade::mould::Class;
use crate::trade::radon::reference_tests::{cell, rows_of};
use crate::trade::rules::tests::worded;
use crate::trade::{Band, Verdict};

fn start() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 1, 1).unwrap().and_hms_opt(0, 0, 0).unwrap()
}

fn row(air: &str, humidity: &str) -> Row {
    Row { air: Temperature::parse(air).unwrap(), humidity: Share::parse(humidity).unwrap(), surface: None }
}

fn hourly(rows: impl Iterator<Item = Option<Row>>, below: Option<Exact>) -> Summary {
    let mut recorder = Recorder::new(below);
    for (hour, row) in rows.enumerate() {
        recorder.take(start() + TimeDelta::hours(hour as i64), row).unwrap();
    }
    recorder.done().unwrap()
}

fn steady(air: &str, humidity: &str, hours: usize) -> Summary {
    hourly(std::iter::repeat_n(Some(row(air, humidity)), hours), None)
}

#[track_caller]
fn near(got: f64, want: f64, within: f64) {
    assert!((got - want).abs() <= within, "{got} is not {want}");
}

#[test]
fn steady_air_comes_to_what_the_equations_print() {
    // Wood at 20 C: 50 % 9.271, 75 % 14.451, 85 % 18.002 (fact sheet quoting FPL-GTR-282).
    for (humidity, wood) in [("50 %", 9.271), ("75 %", 14.451), ("85 %", 18.002)] {
        let of = steady("20 C", humidity, 720);
        near(of.wood.to_percent(), wood, 6e-4);
        near(of.worst.unwrap().wood.to_percent(), wood, 6e-4);
        assert_eq!(of.worst.unwrap().humidity, Share::parse(humidity).unwrap());
    }
    // The mould equations in steps of an hour in Python, apart from this program: 20 C, 97 %.
    let of = steady("20 C", "97 %", 84 * 24);
    let [(_, very), (_, sensitive), ..] = of.mould;
    near(very.first_1_day.unwrap(), 10.42, 5e-3);
    near(very.first_3_day.unwrap(), 20.83, 5e-3);
    near(very.index, 5.504, 1e-3);
    near(sensitive.first_1_day.unwrap(), 18.0, 5e-2);
    assert_eq!((of.hours, of.missing, of.humid), (84 * 24, 0, 84 * 24));
}

#[test]
fn rows_of_an_hour_are_averaged_and_a_missing_hour_is_not_filled() {
    let mut recorder = Recorder::new(None);
    let at = |minutes| start() + TimeDelta::minutes(minutes);
    // 00:10 and 00:40 at 40 and 60 %: 50; 01:00 empty; nothing from 02:00; 03:05 at 70 %. Mean (50 + 70) / 2.
    for (minutes, given) in [(10, Some("40 %")), (40, Some("60 %")), (60, None), (185, Some("70 %"))] {
        recorder.take(at(minutes), given.map(|h| row("10 C", h))).unwrap();
    }
    let of = recorder.done().unwrap();
    assert_eq!((of.from, of.to), (at(0), at(240)));
    assert_eq!((of.hours, of.missing, of.gaps, of.longest_gap), (2, 2, 1, 2));
    assert_eq!(of.humidity.mean, Share::percent(60, 1));
    assert_eq!((of.humidity.least, of.humidity.most), (Share::percent(50, 1), Share::percent(70, 1)));
    assert_eq!((of.worst, of.humid), (None, 0));
}

#[test]
fn what_was_typed_meets_the_limit_whatever_the_sums() {
    // 79.9 and 80.1 in turns are 80 on the mean, exactly; 41 F is 5 C.
    let turns = |more: &'static str| {
        move |hour: usize| Some(if hour.is_multiple_of(2) { row("41 F", "79.9 %") } else { row("41 F", more) })
    };
    let of = hourly((0..720).map(turns("80.1 %")), None).worst.unwrap();
    assert_eq!(of.humidity, Share::percent(80, 1));
    assert_eq!(of.temperature, Temperature::celsius(5, 1));
    assert!(hourly((0..720).map(turns("80.1001 %")), None).worst.unwrap().humidity > Share::percent(80, 1));
}

#[test]
fn thirty_days_are_720_hours_with_a_tenth_missing_at_most() {
    let holes = |missing: usize| move |hour: usize| (hour >= missing).then(|| row("20 C", "90 %"));
    assert_eq!(steady("20 C", "90 %", 719).worst, None);
    assert!(steady("20 C", "90 %", 720).worst.is_some());
    // Of 720 hours 72 are a tenth.
    assert!(hourly((0..720).map(holes(72)), None).worst.is_some());
    assert_eq!(hourly((0..720).map(holes(73)), None).worst, None);
    // The highest of the windows: 30 dry days, then 30 damp ones, then 10 dry ones.
    let seasons = |hour: usize| Some(row("20 C", if (720..1440).contains(&hour) { "85 %" } else { "40 %" }));
    let worst = hourly((0..1680).map(seasons), None).worst.unwrap();
    assert_eq!((worst.from, worst.to), (start() + TimeDelta::hours(720), start() + TimeDelta::hours(1440)));
    assert_eq!(worst.humidity, Share::percent(85, 1));
}

#[test]
fn a_colder_surface_is_damper_and_may_be_below_the_dew_point() {
    // psychrolib 2.5.0: at 75 F and 60 % the dew point is 60.19 F and a surface at 65 F has 84.40 %; at 85 F and 60 % it is
    // 69.56 F, and 105.50 % at 68 F.
    let at = |air: &str, surface: &str| {
        let row = Row { surface: Some(Temperature::parse(surface).unwrap()), ..row(air, "60 %") };
        hourly(std::iter::repeat_n(Some(row), 720), None)
    };
    let of = at("75 F", "65 F");
    near(of.worst.unwrap().humidity.to_percent(), 84.40, 0.011);
    let margin = of.margin.unwrap();
    near(margin.least_k * 1.8, 65.0 - 60.19, 0.011);
    assert_eq!(margin.condensing, 0);
    let of = at("85 F", "68 F");
    // No more than saturated.
    assert_eq!(of.worst.unwrap().humidity, Share::percent(100, 1));
    near(of.margin.unwrap().least_k * 1.8, 68.0 - 69.56, 0.011);
    assert_eq!(of.margin.unwrap().condensing, 720);
    // 10 F below 75 F is 65 F.
    let below = hourly(std::iter::repeat_n(Some(row("75 F", "60 %")), 720), Some(Exact::new(50, 9)));
    near(below.worst.unwrap().humidity.to_percent(), 84.40, 0.011);
    assert_eq!(steady("75 F", "60 %", 720).margin, None);
}

#[test]
fn reference_air_and_wood_hour_by_hour() {
    // Rows computed by psychrolib and numpy; see `tests/reference/README.md`. Figures here are kept to a millionth.
    let rows = rows_of(include_str!("../../../tests/reference/moisture.csv"));
    assert_eq!(rows.len(), 140);
    let mut told = 0;
    for of in &rows {
        let celsius = |name: &str| Temperature::parse(&format!("{} C", of[name])).unwrap();
        let humidity = Share::parse(&format!("{} %", of["rh_pct"])).unwrap();
        let row = Row { air: celsius("air_c"), humidity, surface: Some(celsius("surface_c")) };
        let mut recorder = Recorder::new(None);
        if recorder.take(start(), Some(row)).is_err() {
            continue;
        }
        told += 1;
        let got = recorder.done().unwrap();
        near(got.wood.to_percent(), cell(of, "emc_air_pct").unwrap(), 1e-6);
        let margin = got.margin.unwrap();
        let dew = cell(of, "dew_point_c").unwrap();
        // The library goes over to ice at the triple point, 0.01 C, and not at 0 C.
        near(margin.least_k, cell(of, "surface_c").unwrap() - dew, if dew.abs() < 0.02 { 1e-3 } else { 2e-5 });
        assert_eq!(margin.condensing == 1, of["condenses"] == "true", "{}", of["id"]);
    }
    assert!(told > 130, "{told}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn the_highest_month_is_that_of_all_months(made in proptest::collection::vec((0_u16..1000, any::<bool>()), 720..1100)) {
        // A hole in one of eight hours.
        let humid: Vec<Option<u16>> = made.iter().map(|(h, keep)| (*keep || h % 4 > 0).then_some(*h)).collect();
        let rows = humid.iter().map(|h| h.map(|h| row("15 C", &format!("{}.{} %", h / 10, h % 10))));
        let got = hourly(rows, None).worst.map(|w| w.humidity.to_percent());
        let windows = humid.windows(720).filter_map(|window| {
            let there: Vec<f64> = window.iter().flatten().map(|h| f64::from(*h) / 10.0).collect();
            (there.len() >= 648).then(|| there.iter().sum::<f64>() / there.len() as f64)
        });
        match (got, windows.reduce(f64::max)) {
            (Some(got), Some(want)) => near(got, want, 1e-6),
            (got, want) => assert_eq!(got, want),
        }
    }
}

#[test]
fn rows_that_cannot_be_are_named() {
    let mut recorder = Recorder::new(None);
    recorder.take(start(), Some(row("20 C", "50 %"))).unwrap();
    let before = start() - TimeDelta::minutes(1);
    assert_eq!(recorder.take(before, None), Err(RowError::ClockFell { at: before, before: start() }));
    assert_eq!(recorder.take(start(), Some(row("80.1 C", "50 %"))), Err(RowError::Temperature));
    assert_eq!(recorder.take(start(), Some(row("20 C", "100.1 %"))), Err(RowError::Humidity));
    let far = start() + TimeDelta::hours(super::MOST_HOURS);
    assert_eq!(recorder.take(far, None), Err(RowError::TooLong { most: super::MOST_HOURS }));
    assert_eq!(recorder.done().unwrap().hours, 1, "errors leave the record as it was");
    assert_eq!(Recorder::new(None).done(), None);
}

const CALM: &str = "70 %";

/// A record of 40 days, 1 January to 10 February 2026, of which nothing asks for anything.
fn calm() -> Logged<'static> {
    let share = |text| Share::parse(text).unwrap();
    Logged {
        at: None,
        from: start(),
        to: start() + TimeDelta::days(40),
        hours: 960,
        missing: 0,
        humidity: share("60 %"),
        worst: Some(Month {
            from: start(),
            to: start() + TimeDelta::days(30),
            humidity: share(CALM),
            temperature: Temperature::celsius(10, 1),
            wood: share("14 %"),
        }),
        class: Some(Class::Sensitive),
        index: 0.5,
        peak: 2.99,
        wood: share("13 %"),
        surface: Some("taken as 6 F below the air"),
        margin: Some(Margin { least_k: 0.1, at: start(), condensing: 0 }),
    }
}

fn on(log: &Logged, today: &str) -> Verdict {
    worded(verdict(&AirLogs { logs: std::slice::from_ref(log), crawl_space: false }, today.parse().unwrap()))
}

fn banded(log: &Logged) -> Vec<&'static str> {
    let verdict = on(log, "2026-02-20");
    verdict.because.iter().filter(|f| f.band == Some(Band::Watch)).map(|f| f.rule.name).collect()
}

#[test]
fn each_limit_is_met_by_what_is_over_it() {
    assert_eq!(banded(&calm()), Vec::<&str>::new());
    assert_eq!(on(&calm(), "2026-02-20").band, Some(Band::Note));
    let month = |humidity: &str, celsius: i128, wood: &str| Logged {
        worst: Some(Month {
            humidity: Share::parse(humidity).unwrap(),
            temperature: Temperature::celsius(celsius, 10),
            wood: Share::parse(wood).unwrap(),
            ..calm().worst.unwrap()
        }),
        ..calm()
    };
    // ASHRAE 160-2009: over 80 %, from 5 to 40 C. Clemson CL-100 J: 20 % and more.
    assert_eq!(banded(&month("80 %", 100, "19.9 %")), Vec::<&str>::new());
    assert_eq!(banded(&month("80.1 %", 50, "14 %")), ["surface-humidity-30-days"]);
    assert_eq!(banded(&month("80.1 %", 400, "14 %")), ["surface-humidity-30-days"]);
    for outside in [49, 401] {
        assert_eq!(banded(&month("80.1 %", outside, "14 %")), Vec::<&str>::new());
        let shown = on(&month("80.1 %", outside, "14 %"), "2026-02-20").comparison;
        assert_eq!(shown.iter().map(|f| f.rule.name).collect::<Vec<_>>(), ["surface-humidity-30-days"]);
    }
    assert_eq!(banded(&month("70 %", 100, "20 %")), ["wood-settles-damp"]);
    // What is reckoned from air calls nobody, however high.
    assert_eq!(on(&month("70 %", 100, "29 %"), "2026-02-20").band, Some(Band::Watch));
    // EPA: over 60 %; ASHRAE 160-2016: below 3; condensing at all.
    assert_eq!(banded(&Logged { humidity: Share::percent(601, 10), ..calm() }), ["air-humidity"]);
    assert_eq!(banded(&Logged { peak: MOULD_FROM, ..calm() }), ["mould-index-limit"]);
    let wet = Margin { least_k: -0.1, at: start(), condensing: 1 };
    assert_eq!(banded(&Logged { margin: Some(wet), ..calm() }), ["humidity-at-surface"]);
}

#[test]
fn under_thirty_days_is_not_enough_yet_and_says_when() {
    let short = Logged { to: start() + TimeDelta::days(12), hours: 12 * 24, worst: None, ..calm() };
    let verdict = on(&short, "2026-01-14");
    assert_eq!(verdict.band, Some(Band::Watch));
    // 1 January and 30 days.
    assert!(verdict.because[0].because.contains("288 hours of 720; enough on 31 Jan 2026"), "{verdict:?}");
    assert_eq!(verdict.due_on, Some("2026-01-31".parse().unwrap()));
    // Long enough, with holes: no day makes it enough.
    let holes = Logged { hours: 500, missing: 460, worst: None, ..calm() };
    let verdict = on(&holes, "2026-02-20");
    assert!(verdict.because[0].because.contains("460 of 960 hours are missing"), "{verdict:?}");
}

#[test]
fn a_record_speaks_for_ninety_days_after_its_end() {
    // It ends on 10 February; 90 days later is 11 May.
    assert_eq!(SPEAKS_DAYS, 90);
    let damp = Logged { humidity: Share::percent(85, 1), ..calm() };
    let speaking = on(&damp, "2026-05-11");
    assert_eq!(speaking.band, Some(Band::Watch));
    assert_eq!(speaking.changes_on, Some("2026-05-12".parse().unwrap()));
    let silent = on(&damp, "2026-05-12");
    assert_eq!((silent.band, silent.due_on, silent.changes_on), (None, None, None));
    assert_eq!(silent.not_known, ["the air there now (logged 1 Jan 2026 to 10 Feb 2026)"]);
    assert_eq!(silent.comparison.len(), speaking.because.len());
    assert!(silent.comparison.iter().all(|f| f.because.ends_with("it says nothing of now")));
    // Damp is read again 30 days after the record, calm air before the record is too old.
    assert_eq!(speaking.due_on, Some("2026-03-12".parse().unwrap()));
    assert_eq!(on(&calm(), "2026-02-20").due_on, Some("2026-05-11".parse().unwrap()));
}

#[test]
fn what_is_not_known_is_said_and_a_crawl_space_has_its_cautions() {
    let bare = Logged { class: None, surface: None, margin: None, missing: 3, at: Some("north"), ..calm() };
    let of = AirLogs { logs: &[bare], crawl_space: true };
    let verdict = verdict(&of, "2026-02-20".parse().unwrap());
    let said = verdict.not_known.join("; ");
    for what in ["coldest surface at north", "sensitive the material at north", "3 missing hours"] {
        assert!(said.contains(what), "{what}: {said}");
    }
    assert!(verdict.because.iter().any(|f| f.because.contains("the most sensitive materials (no class given)")));
    assert!(verdict.cautions.iter().any(|c| c.contains("confined space")));
    let _ = worded(verdict);
}

#[test]
fn a_mean_is_told_to_a_tenth_and_never_as_the_limit_it_passed() {
    // 84.286 to one decimal is 84.3; 80.04 would be 80.0, which is the limit.
    for (measured, told) in [("84.286 %", "mean 84.3 %"), ("80.04 %", "mean 80.04 %"), ("79.96 %", "mean 79.96 %")] {
        let month = Month { humidity: Share::parse(measured).unwrap(), ..calm().worst.unwrap() };
        let verdict = on(&Logged { worst: Some(month), ..calm() }, "2026-02-20");
        assert!(verdict.because.iter().any(|fired| fired.because.contains(told)), "{verdict:?}");
    }
}
