//! What holds of every input of a calculation, whatever it is.

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::select;
use serde_json::{Value, json};
use stemwall::reckon;

/// The result of a line, in process.
fn result(line: &Value) -> Value {
    let answer = reckon::answer(line.to_string().as_bytes());
    answer.outcome.unwrap_or_else(|fault| panic!("{line}: {fault}")).json()
}

fn figure(line: &Value, field: &str) -> f64 {
    result(line)[field].as_f64().unwrap_or_else(|| panic!("{line}: no `{field}`"))
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * (1.0 + a.abs().max(b.abs()))
}

fn mm(hundredths: &[u32]) -> Vec<String> {
    hundredths.iter().map(|n| format!("{}.{:02} mm", n / 100, n % 100)).collect()
}

/// A cloud of levels in mm on a grid of whole metres, never all on one line.
fn levels() -> impl Strategy<Value = Vec<(i32, i32, i32)>> {
    let corners = Just(vec![(0, 0, 0), (12, 0, 0), (0, 9, 0)]);
    (corners, vec((0_i32..12, 0_i32..9, -40_i32..40), 0..9), vec(-40_i32..40, 3)).prop_map(
        |(corners, more, heights)| {
            let corners = corners.into_iter().zip(heights).map(|((x, y, _), z)| (x, y, z));
            corners.chain(more).collect()
        },
    )
}

fn survey(points: &[(i32, i32, i32)]) -> Value {
    let points: Vec<Value> =
        points.iter().map(|(x, y, z)| json!([format!("{x} m"), format!("{y} m"), format!("{z} mm")])).collect();
    result(&json!({"reckon": "level-survey", "points": points, "profiles": [[0, 1, 2]]}))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_wider_crack_or_one_more_never_lowers_the_category(
        widths in vec(0_u32..3000, 1..6), more in 0_u32..3000, which in any::<prop::sample::Index>(), by in 0_u32..500,
    ) {
        let category = |widths: &[u32]| figure(&json!({"reckon": "crack-category", "widths": mm(widths)}), "category");
        let before = category(&widths);
        let mut wider = widths.clone();
        wider[which.index(widths.len())] += by;
        prop_assert!(category(&wider) >= before);
        let mut one_more = widths.clone();
        one_more.push(more);
        prop_assert!(category(&one_more) >= before);
        one_more.reverse();
        prop_assert_eq!(category(&one_more), category(&[&widths[..], &[more]].concat()), "their order says nothing");
    }

    #[test]
    fn more_strain_never_lowers_the_category(a in 0_u32..500, b in 0_u32..500) {
        let category = |n: u32| figure(&json!({"reckon": "strain-category", "strain_pct": f64::from(n) / 1000.0}), "category");
        prop_assert!(category(a.min(b)) <= category(a.max(b)));
    }

    #[test]
    fn one_quantity_in_two_units_is_one_quantity(sixteenths in 1_u32..4000, tenths in 1_u32..4000) {
        let si = |text: String, kind: &str| figure(&json!({"reckon": "quantity", "text": text, "kind": kind}), "si");
        // A sixteenth of an inch is 1.5875 mm; a tenth of a gallon an hour a sixtieth of that a minute; 37 Bq/m3 are 1 pCi/L.
        let ten_thousandths = u64::from(sixteenths) * 15_875;
        let as_mm = format!("{}.{:04} mm", ten_thousandths / 10_000, ten_thousandths % 10_000);
        prop_assert_eq!(si(format!("{sixteenths}/16 in"), "length"), si(as_mm, "length"));
        prop_assert_eq!(si(format!("{sixteenths}/12 ft"), "length"), si(format!("{sixteenths} in"), "length"));
        prop_assert_eq!(si(format!("{} gph", 60 * tenths), "flow"), si(format!("{tenths} gpm"), "flow"));
        prop_assert_eq!(si(format!("{} Bq/m3", 37 * tenths), "activity"), si(format!("{tenths} pCi/L"), "activity"));
        prop_assert_eq!(si(format!("{} F", 32 + 9 * tenths), "temperature"), si(format!("{} C", 5 * tenths), "temperature"));
        prop_assert_eq!(si(format!("{tenths} ft2"), "area"), si(format!("{} in2", 144 * tenths), "area"));
        prop_assert_eq!(si(format!("{tenths} gal"), "volume"), si(format!("{} in3", 231 * tenths), "volume"));
    }

    #[test]
    fn a_mirrored_floor_has_the_mirrored_survey(points in levels()) {
        let plain = survey(&points);
        let upside_down = survey(&points.iter().map(|(x, y, z)| (*x, *y, -z)).collect::<Vec<_>>());
        let east_for_west = survey(&points.iter().map(|(x, y, z)| (12 - x, *y, *z)).collect::<Vec<_>>());
        let raised = survey(&points.iter().map(|(x, y, z)| (*x, *y, z + 17)).collect::<Vec<_>>());
        for field in ["tilt_pct", "max_abs_residual_mm", "residual_range_mm", "deflection_ratio"] {
            for other in [&upside_down, &east_for_west, &raised] {
                prop_assert!(near(plain[field].as_f64().unwrap(), other[field].as_f64().unwrap()), "{}", field);
            }
        }
        let pairs = plain["residuals_mm"].as_array().unwrap().iter().zip(upside_down["residuals_mm"].as_array().unwrap());
        for (a, b) in pairs {
            prop_assert!(near(a.as_f64().unwrap(), -b.as_f64().unwrap()));
        }
        // Where it is next to level the direction hangs on the last figure.
        if plain["tilt_pct"].as_f64().unwrap() > 1e-6 {
            let downhill = |survey: &Value| survey["downhill_deg"].as_f64().unwrap();
            let apart = |a: f64, b: f64| { let d = (a - b).rem_euclid(360.0); d.min(360.0 - d) };
            prop_assert!(apart(downhill(&upside_down), downhill(&plain) + 180.0) < 1e-4);
            prop_assert!(apart(downhill(&east_for_west), -downhill(&plain)) < 1e-4);
            prop_assert!(apart(downhill(&raised), downhill(&plain)) < 1e-4);
        }
    }

    #[test]
    fn a_trend_is_unmoved_by_shifting_all_its_dates(
        steps in vec((1_i64..80, 0_u32..300), 3..12), days in 1_i64..9000, resolution in select(vec!["0.1 mm", "0.5 mm"]),
    ) {
        let first = chrono::NaiveDate::from_ymd_opt(2001, 5, 17).unwrap();
        let trend = |shift: i64| {
            let mut on = first + chrono::TimeDelta::days(shift);
            let mut readings = Vec::new();
            for (step, hundredths) in &steps {
                readings.push(json!([on.to_string(), mm(&[*hundredths])[0]]));
                on += chrono::TimeDelta::days(*step);
            }
            result(&json!({"reckon": "trend", "readings": readings, "resolution": resolution}))
        };
        let (plain, shifted) = (trend(0), trend(days));
        for field in ["state", "line", "theil_sen", "mann_kendall", "seasonal", "in_one_year", "line_in_one_year"] {
            prop_assert_eq!(&plain[field], &shifted[field], "{}", field);
        }
        let enough = |said: &Value| said["enough_on"].as_str().map(|on| on.parse::<chrono::NaiveDate>().unwrap());
        prop_assert_eq!(enough(&plain).map(|on| on + chrono::TimeDelta::days(days)), enough(&shifted));
    }

    #[test]
    fn more_waste_never_orders_less_resin(
        (width, depth, length) in (1_u32..500, 1_u32..5000, 1_u32..9000), a in 0_u32..200, b in 0_u32..200,
    ) {
        let order = |waste: u32| result(&json!({"reckon": "epoxy-quantity", "width": format!("{width} mm"),
            "depth": format!("{depth} mm"), "length": format!("{length} mm"), "waste_pct": waste}));
        let of = |waste: u32, field: &str| order(waste)[field].as_f64().unwrap();
        prop_assert!(of(a.min(b), "order_ml") <= of(a.max(b), "order_ml"));
        prop_assert!(of(a, "order_ml") >= of(a, "net_ml"));
        prop_assert_eq!(of(0, "order_ml"), of(0, "net_ml"));
        prop_assert_eq!(of(a, "net_ml"), of(b, "net_ml"), "what the crack holds does not hang on the waste");
    }

    #[test]
    fn a_mean_of_tests_lies_among_them_in_whatever_order(mut tenths in vec(0_u32..400, 1..8)) {
        let average = |tenths: &[u32]| {
            let results: Vec<String> = tenths.iter().map(|n| format!("{}.{} pCi/L", n / 10, n % 10)).collect();
            figure(&json!({"reckon": "radon-average", "results": results}), "average_pci_l")
        };
        let mean = average(&tenths);
        tenths.sort_unstable();
        prop_assert_eq!(mean, average(&tenths));
        let (least, most) = (f64::from(tenths[0]) / 10.0, f64::from(tenths[tenths.len() - 1]) / 10.0);
        prop_assert!(least - 1e-12 <= mean && mean <= most + 1e-12);
    }

    #[test]
    fn a_pair_is_the_same_from_either_side(a in 0_u32..400, b in 0_u32..400) {
        let pair = |a: u32, b: u32| result(&json!({"reckon": "radon-pair", "first": format!("{a} Bq/m3"), "second": format!("{b} Bq/m3")}));
        prop_assert_eq!(pair(a, b), pair(b, a));
        prop_assert!(pair(a, b)["rpd_pct"].as_f64().is_none_or(|rpd| (0.0..=200.0).contains(&rpd)));
    }

    #[test]
    fn what_grows_with_its_input_grows(a in 0_u32..1000, b in 0_u32..1000) {
        let (low, high) = (f64::from(a.min(b)), f64::from(a.max(b)));
        type Line = fn(f64) -> Value;
        let rising: [(Line, &str); 9] = [
            (|n| json!({"reckon": "radon-risk", "level": format!("{} pCi/L", n / 50.0), "group": "current"}), "lifetime_risk"),
            (|n| json!({"reckon": "radon-odds", "result": format!("{} pCi/L", n / 50.0 + 0.1)}), "probability"),
            (|n| json!({"reckon": "saturation", "temperature": format!("{} C", n / 10.0 - 30.0)}), "pressure_pa"),
            (|n| json!({"reckon": "wood-moisture", "temperature": "70 F", "humidity": n / 10.0}), "moisture_pct"),
            (|n| json!({"reckon": "flood-damage", "building": "one-storey-basement", "depth_ft": n / 62.5 - 8.0, "value": "100000 USD"}), "structure_pct"),
            (|n| json!({"reckon": "bolt-count", "plate": format!("{} in", n + 1.0)}), "least"),
            (|n| json!({"reckon": "lateral-load", "fluid_pcf": 62.4, "height": format!("{} in", n / 5.0)}), "resultant_lb_ft"),
            (|n| json!({"reckon": "mould-growth", "temperature": "20 C", "humidity": n / 10.0}), "max_index"),
            (|n| json!({"reckon": "vent-area", "floor": format!("{} ft2", n + 1.0)}), "ft2"),
        ];
        for (line, field) in rising {
            prop_assert!(figure(&line(low), field) <= figure(&line(high), field) + 1e-12, "{}", line(low));
        }
        let falling: [(Line, &str); 3] = [
            (|n| json!({"reckon": "radon-decay", "elapsed": format!("{n} h")}), "remaining"),
            (|n| json!({"reckon": "present-value", "discount": 0.03, "years": n.floor()}), "spv"),
            (|n| json!({"reckon": "service-life", "shape": 1.5, "scale": 20, "age": n / 20.0, "within": 1}), "survival"),
        ];
        for (line, field) in falling {
            prop_assert!(figure(&line(low), field) + 1e-12 >= figure(&line(high), field), "{}", line(low));
        }
    }

    #[test]
    fn air_meets_its_dew_point_where_it_is_saturated(tenths in -200_i32..400, humidity in 1_u32..=100) {
        let air = format!("{} C", f64::from(tenths) / 10.0);
        let dew = figure(&json!({"reckon": "dew-point", "air": air, "humidity": humidity}), "c");
        prop_assert!(dew <= f64::from(tenths) / 10.0 + 1e-6);
        let surface = json!({"reckon": "surface-humidity", "air": air, "humidity": humidity, "surface": format!("{dew} C")});
        prop_assert!((figure(&surface, "humidity_pct") - 100.0).abs() < 1e-4, "{}", result(&surface));
    }

    #[test]
    fn a_pump_lifts_the_fall_and_the_inflow(fall in 1_u32..100, fall_time in 1_u32..200, rise in 0_u32..100, rise_time in 1_u32..200) {
        let said = result(&json!({"reckon": "sump-rate", "diameter": "18 in", "fall": format!("{fall} mm"), "fall_time": format!("{fall_time} s"),
            "rise": format!("{rise} mm"), "rise_time": format!("{rise_time} s")}));
        let of = |field: &str| said[field].as_f64().unwrap();
        prop_assert!(near(of("pump_gpm"), of("net_gpm") + of("inflow_gpm")));
        prop_assert!(near(of("on_fraction") * of("pump_gpm"), of("inflow_gpm")) && of("on_fraction") < 1.0);
    }

    #[test]
    fn money_of_each_year_is_money_of_today(rate in 0_u32..200, years in 1_u32..60, escalation in 0_u32..200) {
        let said = result(&json!({"reckon": "present-value", "discount": f64::from(rate) / 1000.0, "years": years,
            "escalation": f64::from(escalation) / 1000.0}));
        let of = |field: &str| said[field].as_f64().unwrap();
        prop_assert!(near(of("upv") * of("capital_recovery"), 1.0));
        // Year by year: the sum of what each payment is worth today.
        let (d, e) = (1.0 + f64::from(rate) / 1000.0, 1.0 + f64::from(escalation) / 1000.0);
        let sum: f64 = (1..=years).map(|year| (e / d).powi(i32::try_from(year).unwrap())).sum();
        prop_assert!(near(of("upv_escalating"), sum), "{} beside {}", of("upv_escalating"), sum);
    }
}
