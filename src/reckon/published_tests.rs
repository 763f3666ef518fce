//! Rows of radon, water, air, wood and epoxy against published figures, through the line that a program sends.

use serde_json::{Value, json};

use super::answer;

/// A line, a field of its result, what it is by the source, how near.
type Case = (&'static str, &'static str, Value, f64, &'static str);

fn check(cases: &[Case]) {
    for (line, field, want, within, source) in cases {
        let outcome = answer(line.as_bytes()).outcome.unwrap_or_else(|fault| panic!("{line}: {fault}"));
        let got = &outcome.json()[field];
        match (got.as_f64(), want.as_f64()) {
            (Some(got), Some(want)) => assert!((got - want).abs() <= *within, "{source}: {line}: {got}, not {want}"),
            _ => assert_eq!(got, want, "{source}: {line}"),
        }
    }
}

#[test]
fn radon() {
    check(&[
        (
            r#"{"reckon":"radon-average","results":["3.8 pCi/L","4.1 pCi/L"]}"#,
            "reported_pci_l",
            json!(4.0),
            0.0,
            "MAH-2019 8.5.2 b",
        ),
        (
            r#"{"reckon":"radon-average","results":["3.8 pCi/L","4.1 pCi/L"]}"#,
            "range",
            json!("action"),
            0.0,
            "MAH-2019 7.1",
        ),
        (
            r#"{"reckon":"radon-average","results":["0 pCi/L"]}"#,
            "geometric_mean_pci_l",
            json!(null),
            0.0,
            "no logarithm of 0",
        ),
        (
            r#"{"reckon":"radon-average","results":["2 pCi/L","6 pCi/L"],"hours":[48,144]}"#,
            "average_pci_l",
            json!(5.0),
            1e-12,
            "(2 × 48 + 6 × 144) / 192",
        ),
        (
            r#"{"reckon":"radon-pair","first":"8 pCi/L","second":"10.7 pCi/L"}"#,
            "rpd_pct",
            json!(28.877),
            5e-4,
            "MS-QA-2019 Table 7.1",
        ),
        (
            r#"{"reckon":"radon-pair","first":"8 pCi/L","second":"10.7 pCi/L"}"#,
            "control",
            json!("warning"),
            0.0,
            "MS-QA-2019 Table 7.1",
        ),
        (
            r#"{"reckon":"radon-pair","first":"3.2 pCi/L","second":"6.4 pCi/L"}"#,
            "average_accepted",
            json!(false),
            0.0,
            "MW-RN-2020 Table 8.5.1",
        ),
        (
            r#"{"reckon":"radon-risk","level":"4 pCi/L","group":"current"}"#,
            "lifetime_risk",
            json!(0.062),
            5e-4,
            "EPA 402-R-03-003",
        ),
        (
            r#"{"reckon":"radon-risk","level":"4 pCi/L","group":"current","chart":"chart-1992"}"#,
            "lifetime_risk",
            json!(0.029),
            1e-12,
            "EPA, A Citizen's Guide to Radon (1992)",
        ),
        (
            r#"{"reckon":"radon-risk","level":"20 pCi/L","group":"never"}"#,
            "lifetime_risk",
            json!(0.036),
            5e-4,
            "EPA 402-R-03-003",
        ),
        (r#"{"reckon":"radon-decay","elapsed":"3.8235 d"}"#, "remaining", json!(0.5), 1e-12, "ICRP 107"),
        (r#"{"reckon":"radon-decay","elapsed":"3.8235 d"}"#, "count_factor", json!(null), 0.0, "no counting time"),
        (
            r#"{"reckon":"radon-odds","result":"4 pCi/L"}"#,
            "probability",
            json!(0.5),
            1e-12,
            "the median of a log-normal",
        ),
        (
            r#"{"reckon":"radon-locations","areas":[{"foundation":"basement","area":"2000 ft2"},{"foundation":"slab","area":"2001 ft2"}]}"#,
            "locations",
            json!(3),
            0.0,
            "32 IAC 422.130",
        ),
        (r#"{"reckon":"radon-monitor","hourly":[1,2,3,4,5,null,7]}"#, "mean_pci_l", json!(6.0), 1e-12, "(5 + 7) / 2"),
        (r#"{"reckon":"radon-monitor","hourly":[1,2,3,4,5,null,7]}"#, "valid", json!(false), 0.0, "under 48 h, a gap"),
        (r#"{"reckon":"radon-monitor","hourly":[1,2],"discard":4}"#, "mean_pci_l", json!(null), 0.0, "no hour is left"),
        (
            r#"{"reckon":"radon-reduction","level":"20 pCi/L","target":"2 pCi/L"}"#,
            "reduction_pct",
            json!(90.0),
            1e-12,
            "1 - 2/20",
        ),
    ]);
}

#[test]
fn pits_and_pumps() {
    check(&[
        (
            r#"{"reckon":"pit","side_a":"18 in","side_b":"18 in","displaced":"93 in2"}"#,
            "gal_per_in",
            json!(1.0),
            1e-12,
            "(324 - 93) / 231",
        ),
        (
            r#"{"reckon":"sump-rate","diameter":"18 in","fall":"8 in","fall_time":"15 s","rise":"2 in","rise_time":"60 s"}"#,
            "pump_gpm",
            json!(37.454),
            1e-3,
            "34 in/min × 1.10160",
        ),
        (
            r#"{"reckon":"sump-cycle","diameter":"18 in","switch_range":"6 in","pump":"30 gpm","inflow":"0 gpm"}"#,
            "cycle_min",
            json!(null),
            0.0,
            "no inflow",
        ),
        (
            r#"{"reckon":"sump-cycle","diameter":"18 in","switch_range":"6 in","pump":"30 gpm","inflow":"10 gpm"}"#,
            "starts_per_hour",
            json!(60.52),
            0.01,
            "MIL-HDBK-1005/9A",
        ),
        (r#"{"reckon":"sump-need","floor":"1500 ft2","soil":"sand"}"#, "gpm", json!(21.0), 1e-12, "Illinois Extension"),
        (
            r#"{"reckon":"overflow","diameter":"24 in","freeboard":"12 in","inflow":"3 gpm"}"#,
            "minutes",
            json!(7.83),
            5e-3,
            "12 × 1.9584 / 3",
        ),
        (
            r#"{"reckon":"battery","capacity_ah":75,"draw_a":10,"depth":0.5,"peukert":1.2}"#,
            "hours",
            json!(3.082),
            5e-4,
            "Peukert",
        ),
        (
            r#"{"reckon":"pump-head","lift":"0 ft","pipe":"2","length":"100 ft","flow":"40 gpm"}"#,
            "friction_ft_per_100",
            json!(2.62),
            0.05,
            "77 Ill. Adm. Code 906",
        ),
        (
            r#"{"reckon":"pump-head","lift":"8 ft","inside":"1.61 in","length":"28 ft","equivalent":"25.46 ft","flow":"30 gpm"}"#,
            "velocity_ft_s",
            json!(4.73),
            5e-3,
            "0.4085 Q / d^2",
        ),
    ]);
}

#[test]
fn water_air_and_wood() {
    check(&[
        (
            r#"{"reckon":"runoff","area":"1500 ft2","intensity_in_h":3.2}"#,
            "gpm",
            json!(49.87),
            5e-3,
            "IPC 2018 Appendix B",
        ),
        (r#"{"reckon":"roof-volume","area":"1000 ft2","rain":"1 in"}"#, "gal", json!(623.377), 1e-3, "144,000 / 231"),
        (
            r#"{"reckon":"grade","fall":"4 in","run":"10 ft","surface":"soil"}"#,
            "short_in",
            json!(2.0),
            1e-12,
            "IRC R401.3: 6 in in 10 ft",
        ),
        (
            r#"{"reckon":"grade","fall":"-1 in","run":"20 ft","surface":"paved"}"#,
            "short_in",
            json!(3.4),
            1e-12,
            "2 % of 10 ft and 1 in",
        ),
        (
            r#"{"reckon":"grade","fall":"9 in","run":"20 ft","surface":"soil"}"#,
            "short_in",
            json!(0.0),
            0.0,
            "IRC R401.3",
        ),
        (r#"{"reckon":"vent-area","floor":"1200 ft2"}"#, "ft2", json!(8.0), 1e-12, "IRC R408.1: 1/150"),
        (
            r#"{"reckon":"vent-area","floor":"1500 ft2","retarder":true,"rule":"washington"}"#,
            "in2",
            json!(144.0),
            1e-9,
            "1/1500",
        ),
        (r#"{"reckon":"saturation","temperature":"25 C"}"#, "pressure_pa", json!(3169.7), 0.95, "ASHRAE 2017, Table 3"),
        (r#"{"reckon":"dew-point","air":"75 F","humidity":60}"#, "f", json!(60.19), 0.011, "psychrolib, CoolProp"),
        (r#"{"reckon":"dew-point","air":"75 F","humidity":0}"#, "c", json!(null), 0.0, "no vapour"),
        (
            r#"{"reckon":"surface-humidity","air":"85 F","humidity":60,"surface":"68 F"}"#,
            "condenses",
            json!(true),
            0.0,
            "psychrolib: 105.5 %",
        ),
        (
            r#"{"reckon":"wood-moisture","temperature":"70 F","humidity":50}"#,
            "moisture_pct",
            json!(9.2),
            0.1,
            "Wood Handbook Table 4-2",
        ),
        (
            r#"{"reckon":"mould-growth","temperature":"20 C","humidity":97}"#,
            "weeks_to_1",
            json!(1.484),
            1e-3,
            "Hukka and Viitanen",
        ),
        (r#"{"reckon":"mould-growth","temperature":"20 C","humidity":50}"#, "max_index", json!(0.0), 0.0, "no growth"),
        (
            r#"{"reckon":"mould-index","hourly":[[20,30]],"class":"resistant"}"#,
            "first_1_day",
            json!(null),
            0.0,
            "no growth",
        ),
        (
            r#"{"reckon":"flood-damage","building":"one-storey-basement","depth_ft":-6.5,"value":"200000 USD"}"#,
            "structure",
            json!(1500.0),
            1e-9,
            "EGM 04-01, 0.75 %",
        ),
        (
            r#"{"reckon":"flood-damage","building":"one-storey-basement","depth_ft":-4,"value":"200000 USD"}"#,
            "contents",
            json!(11_400.0),
            1e-9,
            "EGM 04-01, 5.7 %",
        ),
    ]);
}

#[test]
fn a_sheet_that_nobody_looked_at_has_no_value_in_any_field_of_what_was_seen() {
    let line = br#"{"reckon":"plastic-sheet","on":"floor","side":"18 in","kept":"17 h","sealed":true,"sun":false}"#;
    let found = answer(line).outcome.unwrap().json();
    let nothing: Vec<_> = ["counts", "problems", "shows"].iter().map(|field| found.get(field)).collect();
    assert_eq!(nothing, [Some(&Value::Null); 3], "{found}");
    assert_eq!(found["says"], "not looked at yet");
}

#[test]
fn epoxy() {
    check(&[
        (r#"{"reckon":"epoxy-class","surface":"40 F"}"#, "class", json!("B"), 0.0, "ASTM C881; Caltrans 95-1.02C"),
        (r#"{"reckon":"epoxy-class","surface":"60 F"}"#, "class", json!("B"), 0.0, "ASTM C881; Caltrans 95-1.02C"),
        (r#"{"reckon":"epoxy-class","surface":"60 F"}"#, "grade", json!(null), 0.0, "no viscosity"),
        (
            r#"{"reckon":"epoxy-class","surface":"39.9 F","viscosity":2.0}"#,
            "grade",
            json!(1),
            0.0,
            "ASTM C881-15 Table 1",
        ),
        (
            r#"{"reckon":"epoxy-quantity","width":"1/16 in","depth":"8 in","length":"96 in","waste_pct":25}"#,
            "order_gal",
            json!(0.259_740),
            1e-6,
            "60 / 231",
        ),
        (
            r#"{"reckon":"epoxy-quantity","width":"1/16 in","depth":"8 in","length":"96 in","waste_pct":25}"#,
            "net_ml",
            json!(786.579),
            1e-3,
            "48 × 16.387064",
        ),
    ]);
}

#[test]
fn what_a_calculation_alone_can_refuse_names_its_input() {
    for (line, input) in [
        (r#"{"reckon":"radon-risk","level":"20.1 pCi/L","group":"never"}"#, "level"),
        (r#"{"reckon":"radon-average","results":["2 pCi/L"],"hours":[1,2]}"#, "hours"),
        (r#"{"reckon":"radon-average","results":["2 pCi/L"],"hours":[0]}"#, "hours"),
        (r#"{"reckon":"radon-locations","areas":[{"foundation":"pier","area":"0 ft2"}]}"#, "areas"),
        (r#"{"reckon":"pit"}"#, "diameter"),
        (r#"{"reckon":"pit","side_a":"1 in"}"#, "side_b"),
        (r#"{"reckon":"pit","side_b":"1 in"}"#, "side_a"),
        (r#"{"reckon":"pit","diameter":"1 in","side_b":"1 in"}"#, "side_b"),
        (r#"{"reckon":"pit","diameter":"12 in","displaced":"1 ft2"}"#, "displaced"),
        (r#"{"reckon":"sump-cycle","diameter":"18 in","switch_range":"6 in","pump":"3 gpm","inflow":"3 gpm"}"#, "pump"),
        (r#"{"reckon":"pump-head","lift":"8 ft","length":"1 ft","flow":"1 gpm"}"#, "pipe"),
        (r#"{"reckon":"pump-head","lift":"8 ft","length":"1 ft","flow":"1 gpm","pipe":"2","inside":"2 in"}"#, "inside"),
        (r#"{"reckon":"flood-damage","building":"one-storey","depth_ft":-3,"value":"1 USD"}"#, "depth_ft"),
        (r#"{"reckon":"mould-index","hourly":[[20,101]],"class":"medium"}"#, "hourly"),
        (r#"{"reckon":"epoxy-class","surface":"50 F","type":"VI"}"#, "type"),
        (r#"{"reckon":"epoxy-quantity","width":"1 mm","depth":"1 mm","length":"1 mm"}"#, "waste_pct"),
    ] {
        let fault = answer(line.as_bytes()).outcome.expect_err(line);
        assert_eq!(fault.input, input, "{line}: {fault}");
    }
}
