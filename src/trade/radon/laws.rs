//! What holds of every history of tests, whatever it is.

use chrono::{Days, NaiveDate};
use proptest::collection::vec;
use proptest::prelude::{Just, Strategy, any, prop_assert, prop_assert_eq, prop_assume, prop_oneof, proptest};

use super::flow::{Against, against};
use super::tests::{day, section, short};
use super::{ACTION, AtOnceRule, RadonTest, RetestRule, SectionRadon, reported, verdict};
use crate::quantity::{Activity, Exact, Span};
use crate::trade::choice::Choices;
use crate::trade::rules::tests::worded;
use crate::trade::verdict::Band;

const TODAY: &str = "2030-01-01";

/// A test that ended so many days after the start of 2020: tenths of pCi/L, days it lasted (one is too short), a place.
fn test(on: u64, tenths: i128, lasted: i128, place: Option<&str>) -> RadonTest {
    let end = day("2020-01-01") + Days::new(on);
    let started_on = end.checked_sub_days(Days::new(u64::try_from(lasted).unwrap()));
    RadonTest {
        result: Activity::from_exact(Exact::new(tenths * 37, 10)).unwrap(),
        started: None,
        ended: None,
        started_on,
        lasted: Some(Span::days(lasted, 1)),
        on: end,
        place: place.map(str::to_owned),
        ..short("1.0 pCi/L")
    }
}

fn any_test() -> impl Strategy<Value = RadonTest> {
    let lasted = prop_oneof![Just(1), Just(3), Just(91)];
    let place = prop_oneof![Just(None), Just(Some("den")), Just(Some("office"))];
    (0_u64..3000, 0_i128..120, lasted, place).prop_map(|(on, tenths, lasted, place)| test(on, tenths, lasted, place))
}

fn days() -> impl Strategy<Value = Vec<NaiveDate>> {
    vec((0_u64..3000).prop_map(|on| day("2020-01-01") + Days::new(on)), 0..3)
}

fn of<'a>(tests: &'a [RadonTest], starts: &'a [NaiveDate], stops: &'a [NaiveDate], older: bool) -> SectionRadon<'a> {
    let (radon_at_once, radon_retest) = match older {
        true => (AtOnceRule::FromTen, RetestRule::FiveYears),
        false => (AtOnceRule::OverEight, RetestRule::TwoYears),
    };
    let choices = Choices { radon_at_once, radon_retest, ..Choices::default() };
    SectionRadon { system: !starts.is_empty(), starts, stops, choices, ..section(tests) }
}

proptest! {
    #[test]
    fn a_test_that_does_not_count_never_lowers_the_band(
        mut tests in vec(any_test(), 0..8), starts in days(), stops in days(), older in any::<bool>(),
        on in 0_u64..3000, tenths in 0_i128..120,
    ) {
        let before = verdict(&of(&tests, &starts, &stops, older), day(TODAY)).band;
        tests.push(test(on, tenths, 1, Some("den")));
        let after = worded(verdict(&of(&tests, &starts, &stops, older), day(TODAY))).band;
        prop_assert!(after >= before, "{before:?} became {after:?}");
    }

    #[test]
    fn the_order_of_recording_does_not_matter(tests in vec(any_test(), 0..8), starts in days(), stops in days()) {
        // Tests of one day and place have no order but that in which they were recorded.
        let mut days: Vec<_> = tests.iter().map(|t| t.on).collect();
        days.sort_unstable();
        days.dedup();
        prop_assume!(days.len() == tests.len());
        let mut turned = tests.clone();
        turned.reverse();
        let [one, other] = [&tests, &turned].map(|tests| verdict(&of(tests, &starts, &stops, false), day(TODAY)));
        prop_assert_eq!(one, other);
    }

    #[test]
    fn nothing_calls_but_a_test_of_this_series_at_the_action_level(
        tests in vec(any_test(), 0..8), starts in days(), stops in days(),
    ) {
        let found = worded(verdict(&of(&tests, &starts, &stops, false), day(TODAY)));
        let changed = starts.iter().chain(&stops).max().copied();
        let is_of_series = |t: &&RadonTest| changed.is_none_or(|day| against(t, day) == Against::After);
        // A system out of use leaves what was decided before it.
        let stands_again = starts.is_empty() && !stops.is_empty();
        let valid = tests.iter().filter(|t| t.problems().is_empty()).filter(|t| stands_again || is_of_series(t));
        let high = valid.clone().any(|t| reported(t.result) >= ACTION);
        prop_assert!(high || found.band != Some(Band::Call));
        prop_assert!(valid.count() > 0 || found.band < Some(Band::Call));
        prop_assert!(!found.next.is_empty());
        prop_assert!(found.changes_on.is_none_or(|on| on > day(TODAY)));
        prop_assert!(found.band.is_none() || found.due_on.is_some());
    }
}
