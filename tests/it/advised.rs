//! What a verdict advises can be done: every command on its screen is taken once its gaps are filled in.

use std::collections::BTreeSet;

use crate::world::World;

/// What a person would put for each gap of an advised command.
const FILLED: &[(&str, &str)] = &[
    ("--amount …", "--amount $1450"),
    ("--from …", "--from Moonbrook"),
    ("--licence …", "--licence 123"),
    ("--says …", "--says 'leave it as it is'"),
    ("--why …", "--why 'so it is'"),
    ("--device …", "--device charcoal"),
    ("--result …", "--result '1.2 pCi/L'"),
    ("--started …", "--started 2026-02-20T10:00"),
    ("--started-times …", "--started-times 2"),
    ("--installed …", "--installed 2026-02-20"),
    ("--surface …", "--surface wall"),
    ("--signs …", "--signs powder"),
    ("--demand …", "--demand low"),
    ("--runs …", "--runs vertical"),
    ("--water …", "--water dry"),
    ("--member …", "--member sill"),
    ("--support …", "--support full"),
    ("--equipment …", "--equipment cord"),
    ("--kind …", "--kind storm"),
];

/// The commands on a screen, one a line.
fn advised(screen: &str) -> BTreeSet<String> {
    let lines = screen.lines().map(str::trim).filter(|line| line.starts_with("stemwall ") && line.contains('…'));
    lines.map(|line| line.trim_start_matches("stemwall ").to_owned()).collect()
}

fn filled(command: &str) -> String {
    let mut line = command
        .replace("finding open", "finding open --place wall")
        .replace("fixture add elm/…", "fixture add elm/fan");
    for (gap, given) in FILLED {
        line = line.replace(gap, given);
    }
    let open = line.starts_with("finding open");
    let line = if open { line.replace("--kind storm", "--kind other") } else { line };
    match line.strip_suffix(" …") {
        // A quantity that its finding does not have is refused for that, by name; each here has the first that it takes.
        Some(read) if read.starts_with("reading add") => format!("{read} --gap-filled"),
        Some(other) => format!("{other} 'looked at it'"),
        None => line.replace('…', "yes"),
    }
}

/// Runs an advised command as it was filled in; of a reading, with the first quantity that its finding takes.
fn taken(world: &World, line: &str) -> Result<(), String> {
    let quantities =
        ["--width '1 mm'", "--bow '1 mm'", "--moisture '12 %'", "--level '1 mm'", "--step '1 mm'", "--area '1 ft2'"];
    let more = [
        "--clearance '1 in'",
        "--distance '9 ft'",
        "--fall '3 in' --over '10 ft'",
        "--depth '1 mm'",
        "--face-share '5 %'",
        "--edge-distance '1 in'",
        "--free-area '1 ft2'",
    ];
    let gaps: Vec<&str> =
        if line.contains("--gap-filled") { quantities.into_iter().chain(more).collect() } else { vec![""] };
    let mut said = String::new();
    for gap in gaps {
        let line = line.replace("--gap-filled", gap);
        let mut words: Vec<String> = Vec::new();
        for (i, part) in line.split(['\'', '"']).enumerate() {
            match i % 2 {
                1 => words.push(part.to_owned()),
                _ => words.extend(part.split_whitespace().map(str::to_owned)),
            }
        }
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        let outcome = world.run(&words);
        if outcome.code == 0 {
            return Ok(());
        }
        said = format!("{line}\n{}", outcome.stderr);
    }
    Err(said)
}

/// A house on which as many rules as can be ask for something.
fn house() -> World {
    let world = World::with_house();
    for line in [
        "section add elm/under --foundation crawl-space",
        "fixture add elm/pump --kind sump-pump --in main --pit '18 in' --installed 2001-05-01",
        "fixture add elm/oak --kind tree",
        "finding open elm --kind crack --place south --in main",
        "finding open elm --kind crack --place north --in main --runs horizontal",
        "finding open elm --kind bow --place west --in main",
        "finding open elm --kind settlement --place hall",
        "finding open elm --kind binding --place door",
        "finding open elm --kind bearing --place post --in under",
        "finding open elm --kind spall --place east --steel-shows yes",
        "finding open elm --kind bolt --place sill --rust yes",
        "finding open elm --kind damp --place corner --in main",
        "finding open elm --kind efflorescence --place corner",
        "finding open elm --kind rot --place joist --in under --probe-sinks yes",
        "finding open elm --kind insects --place rim",
        "finding open elm --kind insects --place joist --signs mud-tubes",
        "finding open elm --kind mould --place joist --in under",
        "finding open elm --kind grade --place back",
        "finding open elm --kind drainage --place gutter",
        "finding open elm --kind walkway --place front",
        "finding open elm --kind tree --place lawn",
        "finding open elm --kind vent --place side",
        "finding open elm --kind clearance --place girder --in under",
        "finding open elm --kind electrics --place panel --in main",
        "finding open elm --kind other --place roof",
        "radon add elm/main --device charcoal --result '6 pCi/L' --started 2026-01-02T10:00 --lasted '72 h' --closed yes",
        "radon add elm/main --device charcoal --result '6 pCi/L' --started 2026-01-10T10:00 --lasted '72 h' --closed yes",
        "radon add elm/under --device charcoal --result '9 pCi/L' --started 2026-01-10T10:00 --lasted '72 h' --closed yes",
        "sump test elm/pump --poured --started-times 2",
        "event add elm --kind flood",
    ] {
        taken(&world, line).unwrap_or_else(|said| panic!("{said}"));
    }
    world
}

#[test]
fn every_command_that_a_verdict_advises_is_taken() {
    let mut asked = 0;
    let mut refused = Vec::new();
    let subjects = (1..=22).map(|n| format!("elm/{n}"));
    for subject in subjects.chain(["elm", "elm/main", "elm/under", "elm/pump", "elm/oak"].map(str::to_owned)) {
        // A house of its own for each subject, so that what is tried on one does not answer another.
        let world = house();
        for command in advised(&world.run(&["why", &subject]).ok()) {
            asked += 1;
            refused.extend(taken(&world, &filled(&command)).err());
        }
    }
    assert!(refused.is_empty(), "{}", refused.join("\n"));
    assert!(asked > 40, "only {asked} commands were advised");
}

#[test]
fn a_price_may_be_for_a_section_or_a_fixture_and_not_for_a_whole_house() {
    let world = World::with_house();
    world.run(&["fixture", "add", "elm/pump", "--kind", "sump-pump", "--in", "main"]).ok();
    let quote =
        |subjects: &[&'static str]| [&["quote", "add"][..], subjects, &["--amount", "$5", "--from", "A"]].concat();
    let said = world.run(&quote(&["elm/main", "elm/pump"])).ok();
    assert!(said.starts_with("recorded elm#4: quotation for `main` and `pump`: $5 from A\n"), "{said}");
    let said = world.refused(2, &quote(&["elm"]));
    assert!(
        said.starts_with("error: `elm` is not a finding, a section or a fixture, such as `larkspur-14/2`\n"),
        "{said}"
    );
}
