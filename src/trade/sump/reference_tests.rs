//! Pits, rates, cycles and heads against rows computed with numpy and wntr; see `tests/reference/README.md`.

use super::cycle::{cycle, overflow};
use super::head::head;
use super::{Drawdown, Opening, Pit, rates};
use crate::quantity::{Area, Exact, Flow, Length, Span};
use crate::trade::radon::reference_tests::{Row, cell, near, rows_of};

fn exact(row: &Row, name: &str) -> Exact {
    Exact::from_decimal_str(&row[name]).unwrap()
}

fn length(row: &Row, name: &str, unit: &str) -> Length {
    Length::parse(&format!("{} {unit}", row[name])).unwrap()
}

fn seconds(row: &Row, name: &str) -> Span {
    Span::from_exact(exact(row, name)).unwrap()
}

fn flow(row: &Row, name: &str) -> Flow {
    Flow::parse(&format!("{} gpm", row[name])).unwrap()
}

fn pit(row: &Row) -> Pit {
    let opening = match row["shape"].as_str() {
        "round" => Opening::Round { diameter: length(row, "diameter_in", "in") },
        _ => Opening::Square { side_a: length(row, "length_in", "in"), side_b: length(row, "width_in", "in") },
    };
    Pit { opening, displaced: Some(Area::parse(&format!("{} in2", row["displaced_in2"])).unwrap()) }
}

#[test]
fn reference_sumps() {
    let rows = rows_of(include_str!("../../../tests/reference/sump.csv"));
    assert_eq!(rows.len(), 70);
    let mut with_cycle = 0;
    for row in &rows {
        let (id, pit) = (row["id"].as_str(), pit(row));
        near(id, "gallons an inch", Some(pit.gallons_per_inch().unwrap()), cell(row, "gal_per_in"), 1e-9);
        let test = Drawdown {
            fall: length(row, "drop_in", "in"),
            fall_time: seconds(row, "drop_s"),
            rise: length(row, "rise_in", "in"),
            rise_time: seconds(row, "rise_s"),
        };
        let got = rates(&pit, &test).unwrap();
        near(id, "inflow", Some(got.inflow.to_gpm()), cell(row, "inflow_gpm"), 1e-9);
        near(id, "net", Some(got.net.to_gpm()), cell(row, "net_drop_gpm"), 1e-9);
        near(id, "pump", Some(got.pump.to_gpm()), cell(row, "pump_gpm"), 1e-9);
        near(id, "pump, metric", Some(got.pump.to_l_min()), cell(row, "pump_l_min"), 1e-9);

        let (inflow, pump) = (flow(row, "inflow_gpm"), flow(row, "pump_gpm"));
        let dry = overflow(&pit, length(row, "freeboard_in", "in"), inflow).unwrap();
        near(id, "overflow", dry.map(Span::to_minutes), cell(row, "minutes_to_overflow"), 1e-9);
        if pump > inflow {
            with_cycle += 1;
            let got = cycle(&pit, length(row, "switch_range_in", "in"), pump, inflow).unwrap();
            near(id, "cycle", got.cycle.map(Span::to_seconds), cell(row, "cycle_s"), 1e-9);
            near(id, "starts", Some(got.starts_per_hour), cell(row, "starts_per_h"), 1e-9);
            near(
                id,
                "share on",
                Some(got.on_fraction).filter(|on| *on > 0.0),
                cell(row, "capacity_ratio").map(|r| 1.0 / r),
                1e-9,
            );
        }
        let got = head(
            length(row, "static_ft", "ft"),
            length(row, "pipe_id_in", "in"),
            length(row, "pipe_len_ft", "ft"),
            length(row, "fittings_eq_ft", "ft"),
            pump,
            cell(row, "hw_c").unwrap(),
        )
        .unwrap();
        near(id, "friction", Some(got.friction.to_feet()), cell(row, "friction_ft"), 3e-3);
        near(id, "total head", Some(got.total.to_feet()), cell(row, "tdh_ft"), 3e-3);
        near(id, "velocity", Some(got.velocity_m_s / 0.3048), cell(row, "velocity_ft_s"), 1e-6);
    }
    assert!(with_cycle > 60, "only {with_cycle} rows have a cycle");
}
