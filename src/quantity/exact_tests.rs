use proptest::prelude::{ProptestConfig, any, prop_assert, prop_assert_eq, proptest};

use super::*;

#[test]
fn decimals_are_exact_or_rounded_half_up() {
    // Hand arithmetic: number, places, text.
    let rows = [
        (Exact::new(1, 8), 12, "0.125"),
        (Exact::new(1, 8), 2, "0.13"),
        (Exact::new(-1, 8), 2, "-0.13"),
        (Exact::new(1, 3), 12, "0.333333333333"),
        (Exact::new(2, 3), 3, "0.667"),
        (Exact::new(1999, 1000), 2, "2"),
        (Exact::new(99_995, 1000), 2, "100"),
        (Exact::new(-1, 1000), 2, "0"),
        (Exact::new(5, 10), 0, "1"),
        (Exact::new(49, 100), 0, "0"),
        (Exact::integer(1200), 0, "1200"),
        (Exact::ZERO, 5, "0"),
        (Exact::MAX, 3, "170141183460469231731687303715884105727"),
    ];
    for (number, places, text) in rows {
        assert_eq!(number.decimal(places), text, "{number:?} to {places}");
    }
}

#[test]
fn digits_are_right_when_ten_times_the_rest_does_not_fit() {
    // (10^38 - 1) / 10^38 = 0.99…9, 38 nines; and 1 / i128::MAX = 5.877…e-39, which rounds up in the 38th place.
    let nines = Exact::new(TENS[38] - 1, TENS[38]);
    assert_eq!(nines.decimal(38), format!("0.{}", "9".repeat(38)));
    assert_eq!(nines.decimal(37), "1");
    assert_eq!(Exact::new(1, i128::MAX).decimal(38), format!("0.{}1", "0".repeat(37)));
}

#[test]
fn what_does_not_fit_is_none_and_never_a_panic() {
    assert_eq!(Exact::ratio(1, 0), None);
    assert_eq!(Exact::ratio(i128::MIN, 1), None);
    assert_eq!(Exact::ratio(1, i128::MIN), None);
    assert_eq!(Exact::MAX.checked_add(Exact::ONE), None);
    assert_eq!(Exact::MAX.negated().checked_sub(Exact::ONE), None, "i128::MIN has no negative");
    assert_eq!(Exact::MAX.checked_mul(Exact::integer(2)), None);
    assert_eq!(Exact::ONE.checked_div(Exact::ZERO), None);
    assert_eq!(Exact::integer(i128::MIN), Exact::MAX.negated());
    for text in ["", "-", ".", "1e3", "1,5", " 1", "+1", "1.2.3", "٣", "999999999999999999999999999999999999999"] {
        assert_eq!(Exact::from_decimal_str(text), None, "{text}");
    }
}

#[test]
fn arithmetic_at_the_ends_of_the_range_never_panics() {
    let ends = [
        i128::MIN,
        i128::MIN + 1,
        i128::MIN + 2,
        -TENS[38],
        -3,
        -2,
        -1,
        0,
        1,
        2,
        3,
        TENS[38],
        i128::MAX - 1,
        i128::MAX,
    ];
    let numbers: Vec<Exact> =
        ends.iter().flat_map(|num| ends.iter().filter_map(|den| Exact::ratio(*num, *den))).collect();
    for left in &numbers {
        for right in &numbers {
            let sum = left.checked_add(*right);
            assert_eq!(sum, right.checked_add(*left));
            assert_eq!(left.checked_sub(right.negated()), sum);
            assert_eq!(left.checked_mul(*right), right.checked_mul(*left));
            let back = left.checked_div(*right).and_then(|quotient| quotient.checked_mul(*right));
            assert!(back.is_none_or(|back| back == *left), "{left:?} / {right:?} × {right:?} is {back:?}");
            assert!(!right.is_zero() || back.is_none());
            assert_eq!(left.cmp(right), right.cmp(left).reverse());
            assert!(left.in_units_of(Exact::new(127, 5)) <= Exact::MAX);
        }
        assert!(left.round_half_up(2).to_f64().is_finite() && !left.decimal(12).is_empty());
    }
}

#[test]
fn comparison_is_exact_where_doubles_cannot_tell() {
    let (small, large) = (Exact::new(TENS[38] - 1, TENS[38]), Exact::new(TENS[37] * 9 + 1, TENS[37] * 9));
    assert_eq!(small.to_f64(), large.to_f64());
    assert!(small < large && small < Exact::ONE && large > Exact::ONE);
    assert!(Exact::new(-1, 3) < Exact::new(-1, 4));
}

#[test]
fn the_nearest_number_to_a_computed_one_is_its_shortest_decimal() {
    assert_eq!(Exact::nearest(0.1), Some(Exact::new(1, 10)));
    assert_eq!(Exact::nearest(-2.5e3), Some(Exact::integer(-2500)));
    assert_eq!(Exact::nearest(1e-30), Some(Exact::new(1, TENS[30])));
    assert_eq!(Exact::nearest(1e-300), Some(Exact::ZERO));
    assert_eq!(Exact::nearest(-0.0), Some(Exact::ZERO));
    assert_eq!((Exact::nearest(1e39), Exact::nearest(f64::NAN), Exact::nearest(f64::INFINITY)), (None, None, None));
}

#[test]
fn rounding_takes_a_half_away_from_zero() {
    assert_eq!(Exact::new(395, 100).round_half_up(1), Exact::integer(4));
    assert_eq!(Exact::new(3949, 1000).round_half_up(1), Exact::new(39, 10));
    assert_eq!(Exact::new(-25, 10).round_half_up(0), Exact::integer(-3));
    assert_eq!(Exact::new(1, 3).round_half_up(u32::MAX).decimal(5), "0.33333");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn a_decimal_reads_back_as_itself(number in any::<i64>(), places in 0_usize..19) {
        let exact = Exact::new(i128::from(number), TENS[places]);
        prop_assert_eq!(Exact::from_decimal_str(&exact.decimal(38)), Some(exact));
    }

    #[test]
    fn rounding_moves_a_number_by_at_most_half_a_place(num in any::<i64>(), den in 1_i64.., places in 0_u32..8) {
        let exact = Exact::new(num.into(), den.into());
        let moved = exact.checked_sub(exact.round_half_up(places)).unwrap().abs();
        prop_assert!(moved <= Exact::new(1, 2 * TENS[places as usize]), "{moved:?}");
    }

    #[test]
    fn order_is_that_of_the_difference(a in any::<i64>(), b in 1_i64.., c in any::<i64>(), d in 1_i64..) {
        let (left, right) = (Exact::new(a.into(), b.into()), Exact::new(c.into(), d.into()));
        let difference = i128::from(a) * i128::from(d) - i128::from(c) * i128::from(b);
        prop_assert_eq!(left.cmp(&right), difference.cmp(&0));
        prop_assert_eq!(left == right, difference == 0);
    }

    #[test]
    fn arithmetic_never_panics(a in any::<i128>(), b in any::<i128>(), c in any::<i128>(), d in any::<i128>()) {
        if let (Some(left), Some(right)) = (Exact::ratio(a, b), Exact::ratio(c, d)) {
            let results = [left.checked_add(right), left.checked_sub(right), left.checked_mul(right), left.checked_div(right)];
            for result in results.into_iter().flatten() {
                prop_assert!(result.denominator() > 0 && result.to_f64().is_finite());
            }
            prop_assert_eq!(left.cmp(&right), right.cmp(&left).reverse());
        }
    }
}
