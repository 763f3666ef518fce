//! A walk in the terminal and from a file, its sheet, and what it satisfies.

use std::io::Write;
use std::process::Stdio;

use crate::world::World;

/// Runs a command with `typed` on its standard input and gives what it printed.
fn typing(world: &World, args: &[&str], typed: &str) -> String {
    let mut child = world.command().args(args).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().unwrap();
    child.stdin.take().unwrap().write_all(typed.as_bytes()).unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap()
}

fn points(world: &World) -> Vec<(String, String)> {
    let history = world.run(&["history", "elm", "--json"]).json();
    let says = history.as_array().unwrap().iter().map(|l| (l["kind"].clone(), l["says"].clone()));
    let points = says.filter(|(kind, _)| kind == "point-walked");
    points
        .map(|(_, says)| says.as_str().unwrap().split_once(": ").map(|(a, b)| (a.into(), b.into())).unwrap())
        .collect()
}

#[test]
fn a_walk_stops_and_goes_on_where_it_was() {
    let world = World::with_crack();
    let said = typing(&world, &["walk", "start", "elm", "--season", "spring"], "n\nx\nno ladder\nq\n");
    assert!(said.contains("elm · spring walk begins (entry elm#4) · 9 stops"), "{said}");
    assert!(said.contains("7 stops are left for later: `stemwall walk start elm` goes on"), "{said}");
    let said = typing(&world, &["walk", "start", "elm"], "z\nf\nbow\neast wall\n--retains yes --bow '20 mm'\nq\n");
    assert!(
        said.contains("elm · spring walk goes on (entry elm#4)") && said.contains("`z` is not one of the keys"),
        "{said}"
    );
    assert!(said.contains("finding 2 opened: bow, east wall"), "{said}");
    let seen = [
        ("ground-and-grade", "nothing seen"),
        ("gutters-and-downspouts", "not reached: no ladder"),
        ("walls-outside", "finding 2"),
    ];
    assert_eq!(points(&world), seen.map(|(point, ended)| (point.to_owned(), ended.to_owned())));
    world.run(&["verify"]).ok();
}

#[test]
fn a_walk_broken_off_in_another_season_is_left_as_it_is() {
    let world = World::with_crack();
    let start = |on: &str| typing(&world, &["walk", "start", "elm", "--season", "spring", "--on", on], "n\nq\n");
    start("2025-04-10");
    // 91 days after 10 April is 10 July.
    assert!(start("2025-07-10").contains("spring walk goes on (entry elm#4), begun 10 Apr 2025"));
    let said = start("2025-07-11");
    assert!(said.contains("spring walk begins (entry elm#7) · 9 stops"), "{said}");
    assert!(said.contains("the walk begun on 10 Apr 2025 was broken off and is left as it is"), "{said}");
    assert!(start("2026-02-20").contains("spring walk begins"));
}

#[test]
fn a_slip_in_an_answer_is_said_and_asked_again() {
    let world = World::with_crack();
    // A finding with a field of another kind is refused, nothing of it is kept, and the stop comes again.
    let typed = "f\ndamp\ncorner\n--runs vertical\nn\nq\n";
    let said = typing(&world, &["walk", "start", "elm", "--season", "spring"], typed);
    assert!(said.contains("error: a finding of kind `damp` has no `--runs`"), "{said}");
    assert_eq!(points(&world), [("ground-and-grade".to_owned(), "nothing seen".to_owned())]);
    assert_eq!(world.run(&["finding", "list", "--json"]).json().as_array().map(Vec::len), Some(1));
}

const REST: &str = "ground-and-grade: nothing seen\ngutters-and-downspouts: nothing seen\nwalls-outside: nothing seen\n\
                    trees-and-roots: nothing seen\ndoors-and-windows: nothing seen\n\
                    main/floor-below-ground: nothing seen\nmain/beams-and-posts: nothing seen\n1: reading --width '0.9 mm'\n";

/// The duties due within a year, as `subject duty due_on`.
fn due(world: &World) -> Vec<String> {
    let due = world.run(&["due", "--within", "1y", "--json"]).json();
    let said = |d: &serde_json::Value| {
        let text = |field: &str| d[field].as_str().unwrap().to_owned();
        format!("{} {} {}", text("subject"), text("duty"), text("due_on"))
    };
    due.as_array().unwrap().iter().map(said).collect()
}

#[test]
fn a_file_of_answers_goes_in_whole_and_not_reached_satisfies_nothing() {
    let world = World::with_crack();
    let wrong = world.file(
        "wrong.txt",
        format!("{REST}main/walls-below-ground: finding --kind damp --place corner --runs vertical\n"),
    );
    // The walk does not even begin.
    let said = world.refused(1, &["walk", "start", "elm", "--season", "spring", "--from", &wrong]);
    assert!(said.starts_with("error: line 9: a finding of kind `damp` has no `--runs`"), "{said}");
    assert_eq!(said.matches("error: ").count(), 1, "{said}");

    // Spring 1 March to 31 May where no freeze date is given.
    let spring = ["elm walk-outside-spring 2026-05-31", "elm/main walk-below-spring 2026-05-31"];
    assert!(spring.iter().all(|s| due(&world).contains(&(*s).to_owned())), "{:?}", due(&world));
    let file = world.file("answers.txt", format!("# by torch\n{REST}main/walls-below-ground: not reached, shelving\n"));
    let said = world.run(&["walk", "start", "elm", "--season", "spring", "--from", &file]).ok();
    assert!(said.contains("nothing seen at 7, findings at 1, not reached 1"), "{said}");
    let due = due(&world);
    assert!(!due.contains(&spring[0].to_owned()) && due.contains(&spring[1].to_owned()), "{due:?}");
    let shown = world.run(&["finding", "show", "elm/1", "--json"]).json();
    assert_eq!(shown["readings"][0]["width_mm"], 0.9);
    world.run(&["verify"]).ok();
}

#[test]
fn the_sheet_shows_last_time_beside_each_point_and_is_one_page_without_scripts() {
    let world = World::with_house();
    world.run(&["section", "add", "elm/under", "--foundation", "crawl-space"]).ok();
    let open = ["finding", "open", "elm", "--kind", "crack", "--place", "<b>south</b> & east", "--in", "main"];
    world.run(&open).ok();
    typing(&world, &["walk", "start", "elm", "--season", "autumn"], "x\nlocked <gate>\nq\n");
    let sheet = world.run(&["walk", "sheet", "elm", "--season", "spring"]).ok();
    for text in [
        "elm, Elm Street: spring walk",
        "main (basement)",
        "under (crawl-space)",
        "Caution: do not go alone",
        "Last time: not reached on 1 Mar 2026: locked &lt;gate&gt;",
        "crack, &lt;b&gt;south&lt;/b&gt; &amp; east",
        "main/floor-below-ground",
        "Reading: ____________",
    ] {
        assert!(sheet.contains(text), "{text}: {sheet}");
    }
    assert!(!sheet.contains("<script") && !sheet.contains("http"), "{sheet}");
    let out = world.path("sheet.html");
    let out = out.to_str().unwrap();
    world.run(&["walk", "sheet", "elm", "--out", out]).ok();
    let said = world.run(&["walk", "sheet", "elm", "--out", out]).fails(1);
    assert!(said.starts_with("error: `DIR/sheet.html` exists already"), "{said}");
}

#[test]
fn a_spring_walk_of_each_house_of_the_demo_is_done_with_one_key() {
    let world = World::empty();
    world.run(&["demo", "--into", "demo"]).ok();
    std::fs::rename(world.path("demo/houses.stemwall"), world.ledger()).unwrap();
    std::fs::rename(world.path("demo/houses.stemwall.files"), world.path("houses.stemwall.files")).unwrap();
    for key in ["larkspur-14", "tannery-3", "heron-22", "chapel-9"] {
        let said = typing(&world, &["walk", "start", key, "--season", "spring"], &"n\n".repeat(40));
        assert!(said.contains(&format!("spring walk of {key}")) && said.contains("not reached 0"), "{said}");
    }
    let due = world.run(&["due", "--json"]).json();
    let walks = due.as_array().unwrap().iter().filter(|d| d["duty"].as_str().unwrap().ends_with("-spring"));
    let walks: Vec<_> = walks.filter(|d| d["duty"].as_str().unwrap().starts_with("walk-")).collect();
    assert!(walks.is_empty(), "{walks:?}");
    world.run(&["verify"]).ok();
}

#[test]
fn what_a_walk_looks_at_is_not_asked_for_a_second_time() {
    let world = World::with_house();
    world
        .run(&["fixture", "add", "elm/fan", "--kind", "radon-system", "--in", "main", "--installed", "2024-05-01"])
        .ok();
    let gauge = |world: &World| {
        let due = world.run(&["due", "--within", "1y", "--json"]).json();
        let own = due.as_array().unwrap().iter().find(|d| d["duty"] == "radon-gauge-look").cloned().unwrap();
        (own["due_on"].as_str().unwrap().to_owned(), own["why"].as_str().unwrap().to_owned())
    };
    assert!(gauge(&world).1.starts_with("never yet"));
    let walk = |answer: &str| {
        let file = world.file(&format!("{}.txt", answer.len()), format!("fan/radon-gauge: {answer}\n"));
        world.run(&["walk", "start", "elm", "--season", "spring", "--from", &file]).ok();
    };
    walk("not reached, locked");
    assert!(gauge(&world).1.starts_with("never yet"));
    walk("nothing seen");
    // 1 March and a month.
    let (due_on, why) = gauge(&world);
    assert!(due_on == "2026-04-01" && why.starts_with("last 1 Mar 2026"), "{due_on} {why}");
    world.run(&["verify"]).ok();
}

#[test]
fn a_finding_is_asked_for_question_by_question_and_a_reading_of_one_of_those_that_are_open() {
    let world = World::with_crack();
    // Kind 1, a crack: surface, wall, runs, pattern, water, source, retains, steel, rust, width, offset, length.
    let crack = "f\nnonsense\n1\nby the stair\n1\neast\n2\n\n1\n\nyes\n2\n2\n0,8\n0.8 mm\n\n\n";
    let said = typing(&world, &["walk", "start", "elm", "--season", "spring"], &format!("{crack}q\n"));
    assert!(said.contains("1 crack, 2 bow") && said.contains("`nonsense` is not a kind of finding"), "{said}");
    assert!(said.contains("which way does it run? 1 vertical, 2 horizontal"), "{said}");
    let opened = "finding 2 opened: crack, by the stair (surface wall, wall east, runs horizontal, water dry, source known unknown, \
                  retains yes, steel shows no, rust no, pattern unknown)";
    assert!(said.contains(opened) && said.contains("width 0.8 mm"), "{said}");
    // At the wall below ground the open findings of the section are listed; a number that is none is asked for again.
    let said = typing(&world, &["walk", "start", "elm"], "n\nn\nn\nn\nr\n9\n1\n0.9 mm\n\n\nq\n");
    assert!(said.contains("  1  crack, south wall") && said.contains("`9` is no open finding of this house"), "{said}");
    assert!(said.contains(": width 0.9 mm"), "{said}");
    world.run(&["verify"]).ok();
}

#[test]
fn a_wrong_flag_loses_neither_kind_nor_place() {
    let world = World::with_crack();
    let typed = "f\ndamp\ncorner\n--runs vertical\nf\n--water damp\nq\n";
    let said = typing(&world, &["walk", "start", "elm", "--season", "spring"], typed);
    assert!(
        said.contains("a finding of kind `damp` has no `--runs`") && said.contains("again: damp, corner"),
        "{said}"
    );
    assert!(said.contains("finding 2 opened: damp, corner (water damp)"), "{said}");
}

#[test]
fn a_file_of_answers_may_be_capitalised_and_every_slip_in_it_is_said() {
    let world = World::with_crack();
    let wrong = "ground-and-grade: Nothing seen\nwalls-outside: not reached\nground-and-grade: nothing seen\nattic: nothing seen\n";
    let wrong = world.file("wrong.txt", wrong);
    let said = world.refused(1, &["walk", "start", "elm", "--season", "Spring", "--from", &wrong]);
    for part in [
        "error: line 2: it does not say why it was not reached\ngiven: walls-outside: not reached\n  try: write `not reached, locked`\n",
        "error: line 3: `ground-and-grade` was answered in line 1\n",
        "error: line 4: `attic` is no stop of this walk\n",
    ] {
        assert!(said.contains(part), "{part}\n{said}");
    }
    assert_eq!(said.matches("error: ").count(), 3, "{said}");
    let right = world.file("right.txt", "ground-and-grade: Nothing seen\ndoors-and-windows: Not reached, locked\n");
    let said = world.run(&["walk", "start", "elm", "--season", "fall", "--from", &right]).ok();
    assert!(said.contains("elm · autumn walk begins"), "{said}");
}

#[test]
fn a_program_is_told_the_stops_and_how_the_walk_stands_after_its_answers() {
    let world = World::with_crack();
    let before = world.entries();
    let asked = world.run(&["walk", "start", "elm", "--season", "spring", "--json"]).json();
    assert_eq!(world.entries(), before, "nothing is recorded where nothing is answered");
    assert!(asked["walk"].is_null() && asked["resumed"] == false && asked["property"] == "elm");
    let stops = asked["stops"].as_array().unwrap();
    assert_eq!(asked["left"], stops.len());
    let of = |walk: &serde_json::Value, name: &str| {
        walk["stops"].as_array().unwrap().iter().find(|s| s["stop"] == name).cloned().unwrap()
    };
    let floor = of(&asked, "main/floor-below-ground");
    assert_eq!((&floor["subject"], &floor["ended"]), (&"elm/main".into(), &serde_json::Value::Null));
    assert!(floor["last_time"].is_string() && floor["cautions"].is_array() && floor["look"].is_string());
    assert_eq!(of(&asked, "1")["subject"], "elm/1");
    let answers =
        "main/floor-below-ground: nothing seen\n1: reading --width '0.8 mm'\ndoors-and-windows: not reached, locked\n";
    world.file("answers.txt", answers);
    let line = ["walk", "start", "elm", "--season", "spring", "--from", "answers.txt", "--json"];
    let taken = world.run(&line).json();
    assert_eq!(taken["walk"], "elm#4");
    assert_eq!(taken["left"], stops.len() - 3);
    for (stop, ended) in
        [("main/floor-below-ground", "nothing-seen"), ("1", "finding"), ("doors-and-windows", "not-reached")]
    {
        assert_eq!(of(&taken, stop)["ended"], ended, "{stop}");
    }
    let again = world.run(&["walk", "start", "elm", "--json"]).json();
    assert_eq!((&again["resumed"], &again["walk"]), (&true.into(), &"elm#4".into()));
    assert_eq!(of(&again, "doors-and-windows")["ended"], "not-reached");
}
