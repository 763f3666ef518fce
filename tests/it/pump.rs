//! What is told of a pump beside its pour test: its check valve, its outlet, its battery.

use crate::world::World;

fn why(world: &World) -> String {
    world.run(&["why", "elm/pump"]).ok().split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_pump_is_judged_by_its_valve_its_outlet_and_its_battery_too() {
    let world = World::with_house();
    let add = ["fixture", "add", "elm/pump", "--kind", "sump-pump", "--pit", "18 in", "--distance", "4 ft"];
    world.run(&[&add[..], &["--battery", "75", "--draw", "10", "--installed", "2020-05-01"]].concat()).ok();
    let test = ["sump", "test", "elm/pump", "--poured", "--started-times", "2"];
    let said = world.refused(2, &[&test[..], &["--runs-back", "much"]].concat());
    assert_eq!(said, "error: `much` is not an answer\ngiven: --runs-back much\n  try: one of yes, no, unknown\n");
    let said = world.run(&[&test[..], &["--runs-back", "yes", "--short-cycles", "no"]].concat()).ok();
    assert!(said.contains("switched on and off 2 times, runs back yes, short cycles no"), "{said}");
    let why = why(&world);
    for part in [
        // Asked are 10 ft; 10 ft of 1-1/2 in pipe hold 1.058 gal, the pit 1.1016 gal an inch.
        "mend: its outlet is 4 ft (1.2 m) from the wall, asked are 10 ft (3 m)",
        "watch: on 1 Mar 2026 water ran back into the pit after it stopped; 10 ft of 1-1/2 in pipe running back raise this pit by 0.96 in",
        "watch: its battery was put in 1 May 2020, past 5 years since 1 May 2025",
        "half of 75 Ah runs a pump of 10 A for 3.8 h on end without loss, 2.8 h with that of flooded lead-acid",
    ] {
        assert!(why.contains(part), "{part}\n{why}");
    }
    world.run(&["verify"]).ok();
}
