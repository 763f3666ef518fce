//! A floor's levels by marked points: recorded, kept with what was not reached, compared with the first survey.

use crate::errors::{refused, run};
use crate::world::World;

#[test]
fn a_survey_of_a_section_is_compared_with_its_first() {
    let world = World::with_house();
    let first = "survey add elm/main --point \"door: 0 in\" --point \"sink: -0.3 in\" --point \"hearth: -0.2 in\"";
    run(&world, &format!("{first} --with \"water level\" --on 2025-02-10"));
    let one = run(&world, "why elm/main --json");
    assert!(one.contains("1 reading over 0 days"), "one survey is no movement: {one}");
    // From a level 1 in higher: the door rose by 0, the sink by -0.4 in; the hearth was not reached.
    let second =
        "survey add elm/main --point \"door: -1 in\" --point \"sink: -1.7 in\" --point \"hearth: not reached\"";
    run(&world, &format!("{second} --with \"water level\" --on 2026-02-10"));
    let why = run(&world, "why elm/main --json");
    let said = "of 2 points surveyed on 10 Feb 2025 and on 10 Feb 2026 (365 days) `door` rose most against `sink`: by 0.400 in (10.16 mm), \
                over twice the 0.100 in (2.54 mm) the instrument tells apart";
    assert!(why.contains(said), "{why}");
    assert!(why.contains("how `hearth` moved (no height on 10 Feb 2025 or on 10 Feb 2026)"), "{why}");
    let history = run(&world, "history elm/main --json");
    assert!(
        history.contains("levels of `main`, with water level: door 0 in, sink -0.3 in, hearth -0.2 in"),
        "{history}"
    );
    assert!(history.contains("door -1 in, sink -1.7 in; not reached: hearth"), "{history}");
    // Another instrument begins anew.
    run(&world, &format!("{second} --with \"laser\" --on 2026-02-11"));
    let anew = run(&world, "why elm/main --json");
    assert!(!anew.contains("rose most"), "{anew}");
    assert!(
        anew.contains(
            "how the floor moved since the survey of 10 Feb 2026 (with another instrument, or before a repair)"
        ),
        "{anew}"
    );
}

#[test]
fn a_survey_of_a_settlement_comes_from_a_file_and_is_one_of_its_readings() {
    let world = World::with_house();
    run(&world, "finding open elm --kind settlement --place \"kitchen floor\" --in main --on 2024-01-05");
    let table = "point,east,north,height\na,0 ft,0 ft,1.68 in\nb,30 ft,0 ft,0\nc,30 ft,40 ft,1.68 in\nd,0 ft,40 ft,0\ne,15 ft,20 ft,\n";
    world.file("first.csv", table);
    let given = refused(&world, 1, "survey add elm/1 --from first.csv");
    let bare = "error: line 3: `height` is not a length\ngiven: height \"0\"\n";
    assert!(given.starts_with(bare) && given.contains("line 5: "), "{given}");
    run(&world, "survey add elm/1 --from first.csv --unit in --resolution \"0.1 in\" --on 2025-02-10");
    // Two opposite corners 1.68 in over the others leave a range of 1.68 in over the plane; the diagonal is 50 ft = 600 in, and
    // 600/1.68 = 357.1, so it is worse than 1/360.
    let why = run(&world, "why elm/1 --json");
    assert!(why.contains("is worse than 1/360"), "{why}");
    let shown = run(&world, "finding show elm/1");
    assert!(shown.contains("survey") && shown.contains("not reached: e"), "{shown}");
    run(&world, "correct elm#4 --point \"a: 0 in\" --point \"b: 0 in\" --why \"the wrong room\"");
    assert!(!run(&world, "why elm/1 --json").contains("worse than 1/360"));
    run(&world, "verify");
    run(&world, "rebuild");
    run(&world, "verify");
    let sections = "survey add elm/main --point \"a: 0 in\" --point \"b: -0.5 in\" --on 2026-02-01";
    run(&world, sections);
    assert!(run(&world, "why elm/main").starts_with("radon and levels in `main` (basement), 0 tests, 1 survey"));
    run(
        &world,
        "plastic-sheet add elm/main --surface floor --side \"18 in\" --kept \"16 h\" --wet neither --on 2026-02-02",
    );
    assert!(
        run(&world, "why elm/main")
            .starts_with("radon, levels and moisture in `main` (basement), 0 tests, 1 survey, 1 sheet")
    );
    run(&world, "dossier elm --out d.html");
    let page = std::fs::read_to_string(world.path("d.html")).unwrap();
    assert!(page.contains("levels of `main`: a 0 in, b -0.5 in") && page.contains("kept 16 h: dry on both faces"));
}

#[test]
fn what_is_no_survey_is_refused() {
    let world = World::with_crack();
    let two = "survey add elm/main --point \"a: 0 in\"";
    let rows = [
        (
            format!("{two} --point \"a: 1 in\""),
            1,
            "error: point `a` is there twice\ngiven: survey add elm/main --point \"a: 0 in\" --point \"a: 1 in\"\n  \
             try: give each point once, under a name of its own\n",
        ),
        (
            two.to_owned(),
            1,
            "error: only one point has a height, and there is nothing to compare it with\ngiven: survey add elm/main --point \"a: 0 \
             in\"\n  try: give two points or more with their heights, as in `--point \"sink: -0.3 in\"`\n",
        ),
        (
            "survey add elm/main --point \"a: not reached\"".to_owned(),
            1,
            "error: no point has a height\ngiven: survey add elm/main --point \"a: not reached\"\n  try: give two points or more with \
             their heights, as in `--point \"sink: -0.3 in\"`\n",
        ),
        (
            format!("{two} --point b"),
            2,
            "error: `b` is not a point and its height\ngiven: --point b\n  try: one of \"sink: -0.3 in\", \"sink: not reached\"\n",
        ),
        (
            "survey add elm/main".to_owned(),
            2,
            "error: --point or --from is missing\ngiven: survey add elm/main\n  try: add --point or --from\n",
        ),
        (
            "survey add elm/1 --point \"a: 0 in\" --point \"b: 0 in\"".to_owned(),
            2,
            "error: a finding of kind `crack` has no reading of `survey`\ngiven: survey add elm/1 --point \"a: 0 in\" --point \"b: 0 \
             in\"\n  try: it is read by --width, --offset, --length, --water\n",
        ),
        (
            "survey add elm --point \"a: 0 in\" --point \"b: 0 in\"".to_owned(),
            2,
            "error: `elm` is not a section or a settlement, such as `larkspur-14/main` or `larkspur-14/2`\ngiven: elm\n  try: a house \
             is `larkspur-14`, something of it `larkspur-14/main` or `larkspur-14/2`, an entry `larkspur-14#12`\n",
        ),
        (
            format!("{two} --point \"b: 11 m\""),
            1,
            "error: --point `11 m` is beyond anything a house has (more than 10 m)\ngiven: --point \"11 m\"\n  try: look at the unit \
             and the decimal point\n",
        ),
    ];
    for (line, code, said) in rows {
        assert_eq!(refused(&world, code, &line), said, "{line}");
    }
    run(&world, "finding open elm --kind settlement --place floor --in main");
    let nothing = "error: no reading is given\ngiven: reading add elm/2\n  try: give one of --level, --profile; `stemwall survey add` takes a \
                   survey by points\n";
    assert_eq!(refused(&world, 2, "reading add elm/2"), nothing);
    world.file("half.csv", "point,east,height\na,1 ft,0 in\nb,,0 in\n");
    let half = "error: of the place of point `a` only one of east and north is given\ngiven: survey add elm/main --from half.csv\n  \
                try: give both, from one corner, or neither\n";
    assert_eq!(refused(&world, 1, "survey add elm/main --from half.csv"), half);
    world.file("no.csv", "name;z\na;0 in\n");
    let no = "error: line 1: `name;z` is not a first line with `point` and `height` in it\ngiven: --from name;z\n  try: one of \
              point,height, point,east,north,height\n";
    assert_eq!(refused(&world, 1, "survey add elm/main --from no.csv"), no);
    let many: String = (0..501).map(|at| format!("p{at},0 in\n")).collect();
    world.file("many.csv", format!("point,height\n{many}"));
    let many = "error: 501 points are more than a survey has (500)\ngiven: survey add elm/main --from many.csv\n  try: record the rooms \
                as sections of their own, each with its survey\n";
    assert_eq!(refused(&world, 1, "survey add elm/main --from many.csv"), many);
}

#[test]
fn levels_and_radon_of_one_section_are_each_due_by_their_own_day() {
    let world = World::with_house();
    run(&world, "survey add elm/main --point \"a: 0 in\" --point \"b: -0.5 in\" --on 2026-02-10");
    let test = "radon add elm/main --device charcoal --result \"1.0 pCi/L\" --lasted \"72 h\" --closed yes --started 2025-02-01T10:00";
    run(&world, test);
    run(&world, "event add elm --kind works --on 2026-02-20");
    let due = world.run(&["due", "--all", "--within", "2y", "--json"]).json();
    let row = |duty: &str| {
        let found = due.as_array().unwrap().iter().find(|d| d["subject"] == "elm/main" && d["duty"] == duty).unwrap();
        (found["due_on"].as_str().unwrap().to_owned(), found["why"].as_str().unwrap().to_owned())
    };
    // The rounds of readings begin in March; works have 30 days.
    let (levels, why) = row("verdict");
    assert!(levels == "2026-03-01" && why.contains("height difference at `a over b`"), "{levels} {why}");
    let (radon, why) = row("radon-retest");
    assert!(radon == "2026-03-22" && why.contains("works on 20 Feb 2026"), "{radon} {why}");
    run(&world, "verify");
}

#[test]
fn a_repair_of_the_place_ends_what_was_surveyed_before_it() {
    let world = World::with_house();
    run(&world, "finding open elm --kind settlement --place floor --in main --on 2024-01-05");
    let survey = |height: &str, on: &str| {
        run(&world, &format!("survey add elm/1 --point \"a: 0 in\" --point \"b: {height}\" --on {on}"));
        run(&world, "why elm/1 --json")
    };
    survey("-0.1 in", "2024-02-01");
    assert!(survey("-0.6 in", "2024-06-01").contains("rose most against"));
    run(&world, "repair add elm/1 --method underpinning --on 2024-07-01 --sure");
    let mended = run(&world, "why elm/1 --json");
    assert!(!mended.contains("rose most against"), "{mended}");
    assert!(mended.contains("how the floor moved since the survey of 1 Jun 2024"), "{mended}");
    assert!(!survey("0 in", "2024-08-01").contains("rose most against"));
    assert!(survey("-0.5 in", "2024-11-01").contains("surveyed on 1 Aug 2024 and on 1 Nov 2024"));
}
