//! Two tests side by side; results below a limit; rules beside tests that do not count; a system taken out of use.

use super::flow_tests::{ended, in_place, judged, of, with_system};
use super::tests::{alone, day, on, short};
use super::{Placed, RadonTest, Room, SectionRadon};
use crate::quantity::{Length, Span, Temperature};
use crate::trade::Verdict;
use crate::trade::verdict::Band;
use crate::trade::words::{Answer, Device};

fn pair(one: &str, other: &str) -> Verdict {
    judged(&[ended("2025-01-10", one), ended("2025-01-10", other)], "2025-01-11")
}

fn compared(verdict: &Verdict, rule: &str) -> Vec<String> {
    verdict.comparison.iter().filter(|f| f.rule.name == rule).map(|f| f.because.to_string()).collect()
}

#[test]
fn a_pair_out_of_control_asks_for_a_look_into_the_devices() {
    // MS-QA-2019 Table 7.1. 4.0 and 8.0: 4 / 6 = 66.67 %, out from 36 %. 8 and 10.7: 2.7 / 9.35 = 28.877 %, a warning from 28 %.
    let asks = |verdict: &Verdict| verdict.next.iter().any(|step| step.says.contains("the pair is out of control"));
    let out = pair("4.0 pCi/L", "8.0 pCi/L");
    assert_eq!(out.band, Some(Band::Call));
    let [because] = &compared(&out, "radon-pair-control")[..] else { panic!("{:?}", out.comparison) };
    assert!(because.ends_with("side by side: 66.67 % of their mean apart, limit 36 %: out of control, so the two devices are to be looked into"));
    assert!(asks(&out), "{:?}", out.next);
    let warned = pair("8 pCi/L", "10.7 pCi/L");
    assert!(compared(&warned, "radon-pair-control")[0].contains("28.88 % of their mean apart, limit 28 %: a warning"));
    assert!(!asks(&warned));
    // 4.2 and 5.5: 26.8 %. 2.1 and 3.6: 52.63 %, a warning from 50 %. 0.5 and 1.6: 1.1 pCi/L apart, over 1.
    assert_eq!(compared(&pair("4.2 pCi/L", "5.5 pCi/L"), "radon-pair-control"), [""; 0]);
    assert!(compared(&pair("2.1 pCi/L", "3.6 pCi/L"), "radon-pair-control")[0].contains("limit 50 %: a warning"));
    assert!(compared(&pair("0.5 pCi/L", "1.6 pCi/L"), "radon-pair-control")[0].contains("more than 1 pCi/L apart"));
    // One after the other they are no pair, and of a limit no difference is known.
    let after = judged(&[ended("2025-01-10", "4.0 pCi/L"), ended("2025-01-20", "8.0 pCi/L")], "2025-01-21");
    assert_eq!(compared(&after, "radon-pair-control"), [""; 0]);
    let below = RadonTest { below: true, ..ended("2025-01-10", "0.4 pCi/L") };
    assert_eq!(
        compared(&judged(&[below, ended("2025-01-10", "2.0 pCi/L")], "2025-01-11"), "radon-pair-control"),
        [""; 0]
    );
}

#[test]
fn a_pair_whose_mean_is_not_accepted_is_tested_again_though_it_calls() {
    // 3.1 and 6.4 lie astride 4 and 6.4 / 3.1 is 2.065: not accepted (MW-RN-2020 Table 8.5.1). Their mean, 4.75, calls.
    let verdict = pair("3.1 pCi/L", "6.4 pCi/L");
    assert_eq!(verdict.band, Some(Band::Call));
    let straddles = verdict.because.iter().find(|f| f.rule.name == "radon-pair-straddles").unwrap();
    assert!(straddles.because.ends_with("one is at least twice the other, so the mean is not accepted: test again"));
    let again = verdict.next.iter().find(|step| step.says.contains("the mean of the pair is not accepted")).unwrap();
    assert_eq!((again.records, again.by), (Some("radon-tested"), Some(day("2025-02-10"))));
    // Once the place was tested again it is not asked for any more; the call stays.
    let tests = [ended("2025-01-10", "3.1 pCi/L"), ended("2025-01-10", "6.4 pCi/L"), ended("2025-02-01", "3.0 pCi/L")];
    let later = judged(&tests, "2025-02-02");
    assert_eq!(later.band, Some(Band::Call));
    assert!(later.because.iter().all(|f| f.rule.name != "radon-pair-straddles"));
}

#[test]
fn a_test_recorded_beside_another_stood_in_its_place() {
    let nowhere = |entry, beside, result: &str| RadonTest {
        place: None,
        entry: Some(entry),
        beside,
        ..ended("2025-01-10", result)
    };
    let said = |beside| {
        let verdict = judged(&[nowhere(3, None, "4.4 pCi/L"), nowhere(4, beside, "4.0 pCi/L")], "2025-01-11");
        verdict.not_known.iter().any(|text| text.starts_with("whether both tests of 10 Jan 2025 stood in one place"))
    };
    assert_eq!((said(None), said(Some(3))), (true, false));
}

#[test]
fn a_limit_from_four_on_is_no_answer() {
    let below = |on: &str, result: &str| RadonTest { below: true, ..ended(on, result) };
    // Below 4.5 may be 4.2 or 0.2: it decides nothing, and another test is asked for within a month, not at once.
    for limit in ["4.5 pCi/L", "12 pCi/L"] {
        let verdict = judged(&[below("2025-01-10", limit)], "2025-01-11");
        assert_eq!(of(&verdict), (Some(Band::Watch), Some("radon-invalid-high"), Some(day("2025-02-10"))), "{limit}");
        assert!(verdict.because[0].because.contains("but it may be high"), "{:?}", verdict.because);
        assert_eq!(compared(&verdict, "radon-test-detection").len(), 1);
    }
    // 3.9 is reported 3.9: under the action level whatever it is.
    assert_eq!(judged(&[below("2025-01-10", "3.9 pCi/L")], "2025-01-11").because[0].rule.name, "radon-two-to-four");
    // A mean with a limit in it is at most the figure: (5.0 + 0.4) / 2 = 2.7.
    let verdict = judged(&[ended("2025-01-10", "5.0 pCi/L"), below("2025-02-01", "0.4 pCi/L")], "2025-02-02");
    assert!(verdict.because[0].because.contains("mean at most 2.7 pCi/L"), "{:?}", verdict.because);
}

#[test]
fn each_reason_why_a_test_does_not_count_has_its_rule() {
    let cases = [
        (RadonTest { lasted: Some(Span::hours(47, 1)), ..short("1 pCi/L") }, "radon-test-duration"),
        (RadonTest { closed: Some(Answer::No), ..short("1 pCi/L") }, "radon-closed-house"),
        (RadonTest { room: Some(Room::Kitchen), ..short("1 pCi/L") }, "radon-test-room"),
        (RadonTest { room: Some(Room::Nook), device: Some(Device::Other), ..short("1 pCi/L") }, "radon-test-room"),
        (
            // Illinois 32 IAC 422.130: 7 ft from a sump.
            RadonTest {
                placed: Placed { from_sump: Some(Length::feet(6, 1)), ..Placed::default() },
                ..short("1 pCi/L")
            },
            "radon-test-placement",
        ),
        (
            RadonTest { gap: Some(Answer::Yes), device: Some(Device::Monitor), ..short("1 pCi/L") },
            "radon-monitor-record",
        ),
        (
            // Three days are 72 h; with 30 left out 42 are counted, under the 46 of MAH-2019, 6.1.2.
            RadonTest { left_out: Some(30), device: Some(Device::Monitor), ..short("1 pCi/L") },
            "radon-monitor-record",
        ),
    ];
    for (test, rule) in cases {
        let verdict = alone(test);
        let [because] = &compared(&verdict, rule)[..] else { panic!("{rule}: {:?}", verdict.comparison) };
        assert!(because.contains(" does not count: "), "{because}");
    }
    let counted = RadonTest { left_out: Some(26), device: Some(Device::Monitor), ..short("1 pCi/L") }; // 46 h
    assert_eq!(alone(counted).band, Some(Band::Note));
    // MALB-2014 Table 4-A: 65 to 80 F. It counts, and is told.
    let cold = RadonTest { temperature: Some(Temperature::fahrenheit(64, 1)), ..short("1 pCi/L") };
    let verdict = alone(cold);
    assert_eq!(verdict.band, Some(Band::Note));
    assert_eq!(compared(&verdict, "radon-test-conditions").len(), 1);
}

#[test]
fn what_was_decided_stands_again_when_the_system_is_out_of_use() {
    // 8.0 by two tests, a system, low under it, then out of use and not tested since.
    let tests = [ended("2025-01-10", "8.0 pCi/L"), ended("2025-01-20", "8.0 pCi/L"), ended("2025-03-10", "0.5 pCi/L")];
    let (starts, stops) = ([day("2025-03-01")], [day("2025-09-01")]);
    let retired = |tests: &[RadonTest], today: &str| {
        on(&SectionRadon { system: false, stops: &stops, ..with_system(tests, &starts) }, today)
    };
    let verdict = retired(&tests, "2025-09-02");
    // The test is asked for from the day it stopped; who is called within 30 days of it.
    assert_eq!(of(&verdict), (Some(Band::Call), Some("radon-two-short-tests"), Some(day("2025-09-01"))));
    assert_eq!(verdict.next[0].by, Some(day("2025-10-01")));
    assert!(verdict.next.iter().any(|s| s.records == Some("radon-tested") && s.by == Some(day("2025-09-01"))));
    // A test since decides by itself, another system in use leaves it a comparison, and a low past stays a watch.
    let mut tested = tests.to_vec();
    tested.push(ended("2025-09-20", "1.0 pCi/L"));
    assert_eq!(retired(&tested, "2025-09-21").band, Some(Band::Note));
    let kept = on(&SectionRadon { stops: &stops, ..with_system(&tests, &starts) }, "2025-09-02");
    assert_eq!(kept.band, Some(Band::Watch));
    assert_eq!(retired(&tests[2..], "2025-09-02").band, Some(Band::Watch));
    // What was decided before an earlier system is of another series.
    let twice = [day("2024-02-01"), day("2025-03-01")];
    let old = [
        in_place("den", ended("2024-01-10", "8.0 pCi/L")),
        ended("2024-01-20", "8.0 pCi/L"),
        ended("2025-01-20", "1.0 pCi/L"),
    ];
    let verdict = on(&SectionRadon { system: false, stops: &stops, ..with_system(&old, &twice) }, "2025-09-02");
    assert_eq!(verdict.band, Some(Band::Watch));
}
