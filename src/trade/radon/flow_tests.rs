//! Several tests of one section: which are decided together, what ends a series, what is asked for next.

use chrono::{Days, NaiveDate};

use super::tests::{at, day, on, section, short};
use super::{AtOnceRule, RadonTest, SectionRadon};
use crate::quantity::Span;
use crate::trade::choice::Choices;
use crate::trade::verdict::{Band, By, Verdict, Who};
use crate::trade::words::{EventKind, Level};

/// A closed charcoal test of three days that ended on that day.
pub(super) fn ended(on: &str, result: &str) -> RadonTest {
    let end = at(&format!("{on}T10:00:00"));
    RadonTest {
        started: end.checked_sub_days(Days::new(3)),
        ended: Some(end),
        on: day(on),
        place: Some("den".to_owned()),
        ..short(result)
    }
}

/// A test of 91 days that ended on that day.
fn long(on: &str, result: &str) -> RadonTest {
    let end = at(&format!("{on}T10:00:00"));
    RadonTest { started: end.checked_sub_days(Days::new(91)), ..ended(on, result) }
}

pub(super) fn in_place(place: &str, test: RadonTest) -> RadonTest {
    RadonTest { place: Some(place.to_owned()), ..test }
}

pub(super) fn judged(tests: &[RadonTest], today: &str) -> Verdict {
    on(&section(tests), today)
}

/// Band, rule that decided, and the day something is asked for.
pub(super) fn of(verdict: &Verdict) -> (Option<Band>, Option<&str>, Option<NaiveDate>) {
    (verdict.band, verdict.because.first().map(|f| f.rule.name), verdict.due_on)
}

pub(super) fn with_system<'a>(tests: &'a [RadonTest], starts: &'a [NaiveDate]) -> SectionRadon<'a> {
    SectionRadon { system: true, starts, ..section(tests) }
}

#[test]
fn two_short_tests_of_one_place_are_decided_by_their_plain_mean() {
    // Citizen's Guide: decide on the average, 4 or more: mend. MAH-2019 8.5.2 b: 3.95 is reported as 4.0. Means by hand.
    let called = |first: &str, second: &str| {
        let tests = [ended("2025-01-10", first), ended("2025-02-05", second)];
        let verdict = judged(&tests, "2025-02-06");
        (verdict.band == Some(Band::Call), verdict.who == Some(Who::RadonProfessional), verdict.due_on)
    };
    let retest = Some(day("2027-02-05"));
    let quote = Some(day("2025-03-07")); // 30 days after 5 Feb: called-within
    assert_eq!(called("4.2 pCi/L", "3.8 pCi/L"), (true, true, quote)); // 4.0
    assert_eq!(called("4.2 pCi/L", "3.7 pCi/L"), (true, true, quote)); // 3.95
    assert_eq!(called("4.2 pCi/L", "3.6 pCi/L"), (false, false, retest)); // 3.9
    assert_eq!(called("9.0 pCi/L", "1.0 pCi/L"), (true, true, quote)); // 5.0
    assert_eq!(called("3.8 pCi/L", "4.2 pCi/L"), (true, true, quote)); // in either order, within the month
    assert_eq!(called("148 Bq/m3", "144.3 Bq/m3"), (true, true, quote)); // 4.0 and 3.9 pCi/L
    let tests = [ended("2025-01-10", "4.2 pCi/L"), ended("2025-02-05", "3.6 pCi/L")];
    let low = judged(&tests, "2025-02-06");
    assert_eq!(of(&low), (Some(Band::Watch), Some("radon-two-to-four"), retest));
    assert_eq!(
        low.because[0].because,
        "test of 10 Jan 2025 in `den`: 4.2 pCi/L (155 Bq/m3) and test of 5 Feb 2025 in `den`: 3.6 pCi/L (133 Bq/m3): mean \
         3.9 pCi/L (144 Bq/m3): 2 to below 4 pCi/L; test again in the heating season, by 5 Feb 2027"
    );
}

#[test]
fn a_high_short_test_waits_for_its_follow_up_however_late() {
    let first = ended("2025-01-10", "5.0 pCi/L");
    assert_eq!(
        of(&judged(std::slice::from_ref(&first), "2026-01-01")),
        (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-02-10")))
    );
    let late = [first, ended("2026-01-10", "5.0 pCi/L")];
    assert_eq!(
        of(&judged(&late, "2026-01-11")),
        (Some(Band::Call), Some("radon-two-short-tests"), Some(day("2026-02-09")))
    );
}

#[test]
fn a_low_test_of_long_ago_is_not_averaged_with_a_high_one() {
    // A month from its end is 10 Feb 2025: a test that starts on that day is decided with it, one a day later is not.
    let low = ended("2025-01-10", "3.0 pCi/L");
    let with = [low.clone(), ended("2025-02-13", "5.0 pCi/L")];
    assert_eq!(
        of(&judged(&with, "2025-03-01")),
        (Some(Band::Call), Some("radon-two-short-tests"), Some(day("2025-03-15")))
    );
    let after = [low.clone(), ended("2025-02-14", "5.0 pCi/L")];
    assert_eq!(
        of(&judged(&after, "2025-03-01")),
        (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-03-14")))
    );
    // The low one is not weighed in when the follow-up comes: 5.0 and 3.2 are 4.1.
    let three = [low, ended("2025-02-14", "5.0 pCi/L"), ended("2025-03-10", "3.2 pCi/L")];
    assert_eq!(judged(&three, "2025-03-11").band, Some(Band::Call));
}

#[test]
fn what_two_short_tests_decided_is_not_undone_by_a_third() {
    let tests = [ended("2025-01-10", "5.0 pCi/L"), ended("2025-02-05", "4.0 pCi/L"), ended("2025-03-05", "0.5 pCi/L")];
    assert_eq!(judged(&tests, "2025-03-06").band, Some(Band::Call));
}

#[test]
fn a_long_test_stands_alone() {
    // Citizen's Guide: a long test at 4 or more: mend. Never averaged with a short one: 9.0 and 3.9 would be 6.5.
    let high = ended("2025-01-10", "7.0 pCi/L");
    let cases = [
        (vec![high.clone(), long("2025-06-10", "3.9 pCi/L")], Some(Band::Watch), "radon-two-to-four"),
        (vec![high.clone(), long("2025-06-10", "4.0 pCi/L")], Some(Band::Call), "radon-long-test"),
        (vec![long("2025-01-05", "4.0 pCi/L"), ended("2025-01-10", "0.5 pCi/L")], Some(Band::Call), "radon-long-test"),
        (vec![long("2025-01-05", "4.0 pCi/L"), long("2025-06-10", "1.0 pCi/L")], Some(Band::Call), "radon-long-test"),
        (vec![long("2025-01-05", "1.0 pCi/L"), ended("2025-01-10", "7.0 pCi/L")], Some(Band::Watch), "radon-follow-up"),
        // A better figure of the year than the two short ones: 4.1 by their mean.
        (
            vec![ended("2025-01-10", "4.2 pCi/L"), ended("2025-02-05", "4.0 pCi/L"), long("2025-07-01", "1.5 pCi/L")],
            Some(Band::Note),
            "radon-below-two",
        ),
    ];
    for (tests, band, rule) in cases {
        let verdict = judged(&tests, "2025-07-02");
        assert_eq!((verdict.band, verdict.because[0].rule.name), (band, rule), "{tests:?}");
    }
}

#[test]
fn different_places_are_never_mixed() {
    // 7.0 and 0.5 would be 3.75.
    let tests =
        [in_place("den", ended("2025-01-10", "7.0 pCi/L")), in_place("office", ended("2025-01-20", "0.5 pCi/L"))];
    let verdict = judged(&tests, "2025-01-21");
    assert_eq!(of(&verdict), (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-02-10"))));
    // Case and outer spaces do not make another place.
    let tests = [in_place("Den ", ended("2025-01-10", "7.0 pCi/L")), in_place("den", ended("2025-01-20", "2.0 pCi/L"))];
    assert_eq!(judged(&tests, "2025-01-21").band, Some(Band::Call));
    // The worst place decides, and the sooner day is asked for.
    let tests = [
        in_place("den", ended("2025-01-10", "3.0 pCi/L")),
        in_place("office", ended("2025-01-10", "9.0 pCi/L")),
        in_place("attic", ended("2025-01-10", "5.0 pCi/L")),
    ];
    let verdict = judged(&tests, "2025-01-21");
    assert_eq!((verdict.by.clone(), verdict.due_on), (Some(By::AtOnce), Some(day("2025-01-10"))));
}

#[test]
fn tests_without_a_room_are_taken_as_of_one_place_and_that_is_said() {
    let nowhere = |test: RadonTest| RadonTest { place: None, ..test };
    let tests = [nowhere(ended("2025-01-10", "5.0 pCi/L")), nowhere(ended("2025-02-01", "4.0 pCi/L"))];
    let verdict = judged(&tests, "2025-02-02");
    assert_eq!(verdict.band, Some(Band::Call));
    assert!(verdict.not_known.iter().any(|text| text.contains("stood in one place")), "{:?}", verdict.not_known);
    let one = [tests[0].clone(), ended("2025-02-01", "4.0 pCi/L")];
    assert_eq!(judged(&one, "2025-02-02").band, Some(Band::Watch), "a room and none are not one place");
}

#[test]
fn the_first_high_test_hurries_by_either_document() {
    // Citizen's Guide: over 8 a second short test at once. EPA 402-R-93-003: from 10. The follow-up then decides by the mean.
    let tests = |result: &str| [ended("2025-01-10", result)];
    let at_once = |result: &str, protocol_1993| {
        let tests = tests(result);
        let radon_at_once = if protocol_1993 { AtOnceRule::FromTen } else { AtOnceRule::OverEight };
        let choices = Choices { radon_at_once, ..Choices::default() };
        let verdict = on(&SectionRadon { choices, ..section(&tests) }, "2025-01-11");
        (verdict.by == Some(By::AtOnce), verdict.next[0].says.contains("not a long one"))
    };
    for (result, guide, protocol) in
        [("8.0 pCi/L", false, false), ("8.1 pCi/L", true, false), ("9.9 pCi/L", true, false), ("10 pCi/L", true, true)]
    {
        assert_eq!(at_once(result, false), (guide, guide), "{result}");
        assert_eq!(at_once(result, true), (protocol, protocol), "{result}");
    }
}

#[test]
fn a_pair_side_by_side_that_straddles_the_action_level_is_tested_again() {
    // MW-RN-2020 Table 8.5.1: one under 4, the other 4 or more and at least twice the lower. Means 3.45 and 3.9.
    let pair = |low: &str, high: &str| judged(&[ended("2025-01-10", low), ended("2025-01-10", high)], "2025-01-11");
    let apart = pair("2.3 pCi/L", "4.6 pCi/L");
    assert_eq!(of(&apart), (Some(Band::Watch), Some("radon-pair-straddles"), Some(day("2025-02-10"))));
    let near = pair("3.3 pCi/L", "4.5 pCi/L");
    assert_eq!(of(&near), (Some(Band::Watch), Some("radon-two-to-four"), Some(day("2027-01-10"))));
    // One after the other is the flow's own case: the mean decides.
    let tests = [ended("2025-01-10", "4.6 pCi/L"), ended("2025-01-20", "2.3 pCi/L")];
    assert_eq!(judged(&tests, "2025-01-21").because[0].rule.name, "radon-two-to-four");
    // A mean of 4 or more calls, however far apart.
    assert_eq!(pair("1.0 pCi/L", "7.0 pCi/L").band, Some(Band::Call));
}

#[test]
fn an_invalid_test_decides_nothing_and_a_high_one_hurries() {
    let brief = |on: &str, result: &str| RadonTest { lasted: Some(Span::hours(24, 1)), ..ended(on, result) };
    // It does not lower: 5.0 and an invalid 1.0 would be 3.0.
    let tests = [ended("2025-01-10", "5.0 pCi/L"), brief("2025-01-20", "1.0 pCi/L")];
    assert_eq!(
        of(&judged(&tests, "2025-01-21")),
        (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-02-10")))
    );
    let decided = [tests[0].clone(), ended("2025-01-15", "5.0 pCi/L"), brief("2025-01-20", "1.0 pCi/L")];
    assert_eq!(judged(&decided, "2025-01-21").band, Some(Band::Call));
    // It does not raise to a call either: 5.0 and an invalid 9.0.
    let tests = [ended("2025-01-10", "5.0 pCi/L"), brief("2025-01-20", "9.0 pCi/L")];
    let verdict = judged(&tests, "2025-01-21");
    assert_eq!((verdict.band, verdict.by.clone()), (Some(Band::Watch), Some(By::AtOnce)));
    assert_eq!(verdict.because[0].rule.name, "radon-invalid-high");
    // Once a valid test answers it, it is only told.
    let tests = [brief("2025-01-05", "9.0 pCi/L"), ended("2025-01-20", "1.0 pCi/L")];
    let verdict = judged(&tests, "2025-01-21");
    assert_eq!(of(&verdict), (Some(Band::Note), Some("radon-below-two"), Some(day("2027-01-20"))));
}

#[test]
fn a_system_starts_another_series() {
    // MAH-2019 7.3.2: from 24 h; 30 days (second-hand). Before: 9.0 and 7.0, decided.
    let before = [ended("2025-01-10", "9.0 pCi/L"), ended("2025-01-20", "7.0 pCi/L")];
    let starts = [day("2025-03-01")];
    assert_eq!(on(&with_system(&before, &starts), "2025-02-28").band, Some(Band::Call));
    assert_eq!(on(&with_system(&before, &starts), "2025-02-28").changes_on, Some(day("2025-03-01")));
    let waiting = on(&with_system(&before, &starts), "2025-03-01");
    assert_eq!(of(&waiting), (Some(Band::Watch), Some("radon-after-system"), Some(day("2025-03-31"))));
    assert_eq!(waiting.comparison[0].rule.name, "radon-two-short-tests");
    assert!(waiting.next[0].says.contains("from 24 hours to 30 days"), "{:?}", waiting.next);

    let after = |on_day: &str, result: &str| {
        let tests = [before[0].clone(), before[1].clone(), ended(on_day, result)];
        on(&with_system(&tests, &starts), "2025-06-01")
    };
    // It started on 1 March: no. On the 2nd: 24 hours may not have passed. On the 3rd: yes. On 1 April: late, but it counts.
    let (same, next, third, late) = (
        after("2025-03-04", "1.0 pCi/L"),
        after("2025-03-05", "1.0 pCi/L"),
        after("2025-03-06", "1.0 pCi/L"),
        after("2025-04-04", "1.0 pCi/L"),
    );
    assert_eq!(of(&same).1, Some("radon-after-system"));
    assert!(
        same.not_known.iter().any(|text| text.contains("under 24 hours after the radon system")),
        "{:?}",
        same.not_known
    );
    assert!(next.not_known.iter().any(|text| text.contains("whether 24 hours had passed")), "{:?}", next.not_known);
    for (verdict, due) in [(&next, "2027-03-05"), (&third, "2027-03-06"), (&late, "2027-04-04")] {
        assert_eq!(of(verdict), (Some(Band::Note), Some("radon-below-two"), Some(day(due))));
    }
    assert!(!third.not_known.iter().any(|text| text.contains("24 hours") || text.contains("30 days")));
    assert!(late.not_known.iter().any(|text| text.contains("first 30 days of the system")), "{:?}", late.not_known);
    // High after the start: followed up like any first short test, not averaged with what was before.
    assert_eq!(
        of(&after("2025-03-10", "4.0 pCi/L")),
        (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-04-10")))
    );
    // A test that ran across the start is of neither series.
    assert_eq!(of(&after("2025-03-02", "0.5 pCi/L")).1, Some("radon-after-system"));
}

#[test]
fn a_changed_or_stopped_system_breaks_the_series_again() {
    let tests = [ended("2025-03-10", "1.0 pCi/L")];
    let starts = [day("2025-03-01"), day("2025-08-01")];
    assert_eq!(on(&with_system(&tests, &starts), "2025-07-31").band, Some(Band::Note));
    let changed = on(&with_system(&tests, &starts), "2025-08-01");
    assert_eq!(of(&changed), (Some(Band::Watch), Some("radon-after-system"), Some(day("2025-08-31"))));
    let stops = [day("2025-09-01")];
    let stopped = on(&SectionRadon { system: false, stops: &stops, ..with_system(&tests, &starts) }, "2025-09-02");
    assert_eq!(of(&stopped), (Some(Band::Watch), Some("radon-retest-on-change"), Some(day("2025-09-01"))));
    let unknown = on(&SectionRadon { starts: &[], ..with_system(&tests, &[]) }, "2025-09-02");
    assert!(unknown.not_known.iter().any(|text| text.starts_with("when the radon system started")));
}

#[test]
fn only_the_last_place_tested_ages() {
    let tests =
        [in_place("den", ended("2020-01-10", "3.0 pCi/L")), in_place("office", ended("2025-01-10", "1.0 pCi/L"))];
    let verdict = judged(&tests, "2025-02-01");
    assert_eq!(of(&verdict), (Some(Band::Watch), Some("radon-two-to-four"), Some(day("2027-01-10"))));
    let aged = judged(&tests, "2027-01-11");
    assert!(aged.because.iter().any(|f| f.rule.name == "radon-retest-interval"));
}

#[test]
fn a_change_to_the_house_asks_again_after_two_tests_as_well() {
    let tests = [ended("2025-01-10", "4.2 pCi/L"), ended("2025-02-05", "3.0 pCi/L")];
    let events = [(EventKind::Heating, day("2025-05-01"))];
    let verdict = on(&SectionRadon { events: &events, ..section(&tests) }, "2025-06-01");
    assert!(verdict.because.iter().any(|f| f.rule.name == "radon-retest-on-change"));
    // 30 days after 1 May.
    assert_eq!(verdict.due_on, Some(day("2025-05-31")));
    // Not in the heating season: it is asked for since May.
    assert_eq!(verdict.next[0].says, "test again, since the house has changed: house closed from 12 hours before");
}

#[test]
fn the_order_in_which_tests_were_recorded_does_not_matter() {
    let mut tests = vec![
        ended("2025-01-10", "5.0 pCi/L"),
        ended("2025-02-05", "2.0 pCi/L"),
        ended("2025-06-05", "6.0 pCi/L"),
        in_place("office", ended("2025-03-05", "3.0 pCi/L")),
    ];
    let forward = judged(&tests, "2025-07-01");
    tests.reverse();
    assert_eq!(judged(&tests, "2025-07-01"), forward);
}

#[test]
fn a_price_offered_since_the_decision_moves_on_to_the_work() {
    let tests = [ended("2025-01-10", "5.0 pCi/L"), ended("2025-01-20", "5.0 pCi/L")];
    let next = |quotes: &[NaiveDate]| {
        let verdict = on(&SectionRadon { quotes, ..section(&tests) }, "2025-02-10");
        (verdict.next[0].records, verdict.due_on)
    };
    // 20 Jan + 30 days is 19 Feb, 1 Feb + 30 days is 3 Mar; the 19 Jan came before it was decided, the 11 Feb is to come.
    assert_eq!(next(&[]), (Some("quote-given"), Some(day("2025-02-19"))));
    assert_eq!(next(&[day("2025-01-19"), day("2025-02-11")]), (Some("quote-given"), Some(day("2025-02-19"))));
    assert_eq!(next(&[day("2025-02-01")]), (Some("fixture-added"), Some(day("2025-03-03"))));
}

#[test]
fn a_low_test_on_another_level_tells_nothing_of_the_lowest() {
    // MAH-2019 7.1 and the Citizen's Guide are for the lowest level that is or could be lived in.
    let attic =
        |on: &str, result: &str| RadonTest { level: Some(Level::Other), ..in_place("attic", ended(on, result)) };
    let alone = judged(&[attic("2025-01-10", "1.0 pCi/L")], "2025-02-01");
    assert_eq!(of(&alone), (None, None, None));
    assert_eq!(alone.next[0].says, "test the lowest level that is or could be lived in now, 48 hours or longer");
    assert_eq!(alone.not_known, ["radon on the lowest level (only another level was tested)"]);
    assert_eq!(alone.comparison[0].rule.name, "radon-below-two");
    // It neither lowers nor answers nor renews what the lowest level said: 5.0 and 1.0 would be 3.0 without a room.
    let nowhere = |test: RadonTest| RadonTest { place: None, ..test };
    let tests = [nowhere(ended("2025-01-10", "5.0 pCi/L")), nowhere(attic("2025-01-20", "1.0 pCi/L"))];
    assert_eq!(
        of(&judged(&tests, "2025-02-01")),
        (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-02-10")))
    );
    let tests = [ended("2022-01-10", "1.0 pCi/L"), attic("2024-12-20", "1.0 pCi/L")];
    let aged = judged(&tests, "2025-02-01");
    assert!(aged.because.iter().any(|f| f.rule.name == "radon-retest-interval"), "{:?}", aged.because);
    let brief = RadonTest { lasted: Some(Span::hours(24, 1)), ..ended("2025-01-05", "9.0 pCi/L") };
    let tests = [brief, attic("2025-01-20", "1.0 pCi/L")];
    assert_eq!(of(&judged(&tests, "2025-02-01")).1, Some("radon-invalid-high"));
    // A high one asks for its follow-up all the same.
    let high = judged(&[attic("2025-01-10", "5.0 pCi/L")], "2025-02-01");
    assert_eq!(of(&high), (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-02-10"))));
}

#[test]
fn tests_of_different_years_are_not_averaged_below_four() {
    // radon-two-short-tests: the second as the follow-up of a high one, beside it, or within a month.
    let apart = [ended("2019-01-10", "5.0 pCi/L"), ended("2026-09-10", "2.4 pCi/L")]; // mean 3.7
    let verdict = judged(&apart, "2026-09-11");
    assert_eq!(of(&verdict), (Some(Band::Watch), Some("radon-follow-up"), Some(day("2026-10-10"))));
    assert!(verdict.because[0].because.contains("over a month apart, so they are not averaged"));
    assert!(verdict.next[0].says.starts_with("test again in the same place: "), "{:?}", verdict.next);
    // The louder outcome stands: 9.0 and 1.0 are 5.0.
    let loud = [ended("2019-01-10", "9.0 pCi/L"), ended("2026-09-10", "1.0 pCi/L")];
    assert_eq!(judged(&loud, "2026-09-11").band, Some(Band::Call));
    // The third within a month is decided with the second: 2.4 and 3.0 are 2.7, 2.4 and 5.6 are 4.0, 2.4 and 5.0 are 3.7 with
    // a high one that waits. Later it is held against the first: 5.0 and 2.0 are 3.5, 5.0 and 3.0 are 4.0.
    let third = |on_day: &str, result: &str| {
        let tests = [apart[0].clone(), apart[1].clone(), ended(on_day, result)];
        let verdict = judged(&tests, "2026-12-20");
        (verdict.band.unwrap(), verdict.because[0].rule.name)
    };
    assert_eq!(third("2026-10-05", "3.0 pCi/L"), (Band::Watch, "radon-two-to-four"));
    assert_eq!(third("2026-10-05", "5.6 pCi/L"), (Band::Call, "radon-two-short-tests"));
    assert_eq!(third("2026-10-05", "5.0 pCi/L"), (Band::Watch, "radon-follow-up"));
    assert_eq!(third("2026-12-05", "2.0 pCi/L"), (Band::Watch, "radon-follow-up"));
    assert_eq!(third("2026-12-05", "3.0 pCi/L"), (Band::Call, "radon-two-short-tests"));
    // The follow-up within a month, by its start: 10 Feb decides, 11 Feb does not.
    let follow_up = |on_day: &str| {
        let verdict = judged(&[ended("2025-01-10", "5.0 pCi/L"), ended(on_day, "2.0 pCi/L")], "2025-03-01");
        verdict.because[0].rule.name
    };
    assert_eq!((follow_up("2025-02-13"), follow_up("2025-02-14")), ("radon-two-to-four", "radon-follow-up"));
}

#[test]
fn a_high_test_after_a_low_one_asks_for_its_own_follow_up() {
    // 0.4 and 5.0 are 2.7: the high one is not lowered by the one before it.
    let tests = [ended("2025-01-10", "0.4 pCi/L"), ended("2025-02-05", "5.0 pCi/L")];
    assert_eq!(
        of(&judged(&tests, "2025-02-06")),
        (Some(Band::Watch), Some("radon-follow-up"), Some(day("2025-03-05")))
    );
    // Side by side the mean decides, whichever was recorded first.
    let beside = [ended("2025-01-10", "3.0 pCi/L"), ended("2025-01-10", "4.4 pCi/L")];
    assert_eq!(judged(&beside, "2025-02-06").because[0].rule.name, "radon-two-to-four");
}
