//! A house changes hands: the new owner's ledger holds it alone and goes on, the old one ends.

use crate::dossier::on_one_line;
use crate::world::World;

fn other(world: &World, args: &[&str]) -> crate::world::Outcome {
    let path = world.path("elm.stemwall");
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_stemwall"));
    command
        .env_clear()
        .env("NO_COLOR", "1")
        .current_dir(world.path(""))
        .arg("--ledger")
        .arg(path)
        .args(["--today", "2026-03-02"]);
    crate::world::finish(command, args, &world.path(""))
}

fn handed() -> World {
    let world = World::with_crack();
    world.file("wall.txt", "a plan");
    world.run(&["property", "add", "oak", "--name", "Oak Street"]).ok();
    world.run(&["setting", "change", "radon-retest-years", "5"]).ok();
    world.run(&["attach", "elm/1", "wall.txt"]).ok();
    world.run(&["note", "add", "elm", "quarrel with the neighbour", "--private"]).ok();
    world.run(&["property", "hand-over", "elm", "--out", "elm.stemwall", "--to", "A. Reed"]).ok();
    world
}

#[test]
fn the_new_owner_has_that_house_alone_and_carries_on() {
    let world = handed();
    assert!(
        other(&world, &["verify"]).ok().starts_with("1 property, 8 entries, 1 with the body gone, 1 file: every hash")
    );
    let note = other(&world, &["note", "add", "elm", "moved in"]).ok();
    assert!(note.starts_with("recorded elm#7: "), "{note}");
    assert_eq!(other(&world, &["setting", "list", "--json"]).json()["radon-retest-years"], 5);
    assert!(!std::fs::read(world.path("elm.stemwall")).unwrap().windows(7).any(|w| w == b"quarrel"), "marked private");
    let history = on_one_line(&other(&world, &["history", "elm"]).ok());
    let here = on_one_line(&world.run(&["history", "elm"]).ok());
    let (_, seal) = here.split_once("handed over to A. Reed: entries 1 to 5, seal ").unwrap();
    let taken = format!(
        "2026-03-01 elm#6 taken over by A. Reed: entries 1 to 5 come from another ledger, seal {}",
        &seal[..64]
    );
    assert!(history.contains(&taken) && history.contains("moved in"), "{history}");
    other(&world, &["dossier", "elm", "--out", "theirs.html"]).ok();
    assert!(std::fs::read_to_string(world.path("theirs.html")).unwrap().contains("taken over by A. Reed"));
    world.run(&["verify", "theirs.html", "--seal", &seal[..64]]).ok();
    assert!(other(&world, &["verify"]).ok().contains("every hash, link, file and computed row agrees"));
}

#[test]
fn here_the_chain_has_ended() {
    let world = handed();
    let said = world.refused(1, &["note", "add", "elm", "one more"]);
    assert_eq!(
        said,
        "error: property `elm` was handed over on 2026-03-01\ngiven: note add elm \"one more\"\n  try: its record goes on in the \
         ledger that it was handed over to\n"
    );
    let history = on_one_line(&world.run(&["history", "elm"]).ok());
    assert!(history.contains("handed over to A. Reed: entries 1 to 5, seal "));
    assert!(!world.run(&["status"]).ok().contains("elm"), "it asks for nothing any more");
    world.refused(1, &["property", "hand-over", "elm", "--out", "again.stemwall"]);
    assert!(!world.path("again.stemwall").exists());
    world.run(&["verify"]).ok();
    // A law may ask for it at any time.
    world.run(&["entry", "erase", "elm#5", "--why", "asked for"]).ok();
}

#[test]
fn a_refused_hand_over_leaves_nothing() {
    let world = World::with_crack();
    world.refused(2, &["property", "hand-over", "elm", "--out", "elm.stemwall", "--to", " "]);
    assert!(!world.path("elm.stemwall").exists() && !world.path("elm.stemwall.files").exists());
    world.file("there.stemwall", "mine");
    let said = world.refused(2, &["property", "hand-over", "elm", "--out", "elm.stemwall"]);
    assert_eq!(said, "error: --to is missing\ngiven: property hand-over elm --out elm.stemwall\n  try: add --to\n");
    assert!(!world.path("elm.stemwall").exists());
    let said = world.refused(1, &["property", "hand-over", "elm", "--out", "there.stemwall", "--to", "A. Reed"]);
    assert!(
        said.starts_with("error: `DIR/there.stemwall` exists already")
            || said.starts_with("error: `there.stemwall` exists already")
    );
    assert_eq!(std::fs::read_to_string(world.path("there.stemwall")).unwrap(), "mine");
}

#[test]
fn a_house_is_taken_over_into_a_ledger_that_has_others() {
    let (world, mine) = (handed(), World::new());
    mine.run(&["property", "add", "ash", "--name", "Ash Street"]).ok();
    let file = world.path("elm.stemwall");
    let said = mine.run(&["property", "take-over", file.to_str().unwrap()]).ok();
    assert!(said.starts_with("elm goes on here: 6 entries, seal "), "{said}");
    mine.run(&["note", "add", "elm", "moved in"]).ok();
    assert!(mine.run(&["verify"]).ok().starts_with("2 properties, "));
    // A stranger's file: one with more in it than a ledger has is not even read.
    rusqlite::Connection::open(&file).unwrap().execute_batch("CREATE TABLE more (x)").unwrap();
    let said = mine.refused(1, &["property", "take-over", file.to_str().unwrap()]);
    assert!(said.contains("is not as a ledger is made: table `more` is not ours"), "{said}");
}

#[test]
fn what_is_private_goes_along_where_it_is_asked_for() {
    let world = World::with_crack();
    world.run(&["note", "add", "elm", "quarrel with the neighbour", "--private"]).ok();
    let said =
        world.run(&["property", "hand-over", "elm", "--out", "elm.stemwall", "--with-private", "--to", "A. Reed"]).ok();
    assert!(!said.contains("stayed here") && said.contains("everything else went along, costs too"), "{said}");
    assert!(other(&world, &["history", "elm"]).ok().contains("quarrel"));
}
