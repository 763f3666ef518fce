//! What is left out of a dossier is not said to have never been, and what hangs on it neither alarms nor breaks the file.

use crate::dossier::PICTURE;
use crate::export::demo;
use crate::world::World;

/// The words of a page in HTML, up to the order of happening, with its spaces made one.
fn words(world: &World, name: &str, args: &[&str]) -> String {
    world.run(&[&["dossier"], args, &["--out", name]].concat()).ok();
    assert!(world.run(&["verify", name]).ok().contains("what is shown is what they give"), "{args:?}");
    let page = std::fs::read_to_string(world.path(name)).unwrap();
    let (page, _) = page.split_once("<section id=\"happened\"").unwrap();
    let mut out = String::new();
    let mut inside = false;
    for c in page.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                out.push(' ');
            }
            c if !inside => out.push(c),
            _ => {}
        }
    }
    out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_picture_of_a_part_that_is_left_out_is_shown_among_other_files() {
    let world = World::with_crack();
    world.file("a.png", PICTURE);
    world
        .run(&["finding", "open", "elm", "--kind", "damp", "--place", "corner", "--on", "2024-01-05", "--private"])
        .ok();
    world.run(&["reading", "add", "elm/2", "--moisture", "20 %", "--on", "2024-02-01", "--photo", "a.png"]).ok();
    let said = words(&world, "a.html", &["elm"]);
    assert!(said.contains("Finding 2: its opening is left out of this file"), "{said}");
    assert!(said.contains("Other files They belong to parts of the house that are left out"), "{said}");
    assert!(said.contains("a.png, 2024-02-01, elm#5 ."), "{said}");
    assert!(!said.contains("corner"), "it is private");
    // With it, the picture stands with its finding.
    let said = words(&world, "b.html", &["elm", "--private"]);
    assert!(said.contains("Finding 2: damp, corner") && !said.contains("Other files"), "{said}");
}

#[test]
fn a_picture_of_a_later_day_is_not_shown_yet() {
    let world = World::with_crack();
    world.file("a.png", PICTURE);
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01", "--photo", "a.png"]).ok();
    let said = words(&world, "a.html", &["elm", "--today", "2024-01-31"]);
    assert!(!said.contains("a.png"), "{said}");
    assert!(words(&world, "b.html", &["elm", "--today", "2024-02-01"]).contains("a.png, 2024-02-01"));
}

#[test]
fn what_is_left_out_is_not_said_to_have_never_been() {
    let world = demo();
    let said = words(&world, "whole.html", &["larkspur-14"]);
    assert!(!said.contains("by part of the record") && said.contains("Not told at all: 1 note, 1 quote."), "{said}");

    let said = words(&world, "a.html", &["larkspur-14", "--leave-out", "62"]);
    assert!(!said.contains("No judgement is recorded"), "{said}");
    let gap = "Nothing of it can be told in this file: 1 entry is left out or rests on what is left out.";
    assert!(said.contains(&format!("Judgements of licensed people {gap}")), "{said}");
    assert!(said.contains("call , by part of the record"), "{said}");

    // The section and the pump: the tests of both are in the file, and rest on them.
    let said = words(&world, "b.html", &["larkspur-14", "--leave-out", "2", "3"]);
    for false_now in ["No section", "never tested", "No test of a sump pump", "no section is recorded"] {
        assert!(!said.contains(false_now), "{false_now}: {said}");
    }
    assert!(said.contains(&format!("Radon {gap}")), "{said}");
    assert!(said.contains("Not told at all: 1 fixture, 1 note, 1 quote, 1 section."), "{said}");
    assert!(said.contains("main: left out of this file Nothing is computed of it"), "{said}");

    let said = words(&world, "c.html", &["larkspur-14", "--leave-out", "13"]);
    assert!(said.contains("2 – its opening is left out of this file"), "{said}");
    assert!(said.contains("Finding 2: its opening is left out of this file Nothing is computed of it"), "{said}");
    assert!(said.contains("What is computed here rests on part of the record"), "{said}");
}

#[test]
fn readings_marked_private_leave_a_mark_at_the_verdict_that_rests_on_the_others() {
    let world = World::with_crack();
    for (on, width) in [("2024-02-01", "1 mm"), ("2025-02-01", "9 mm")] {
        world.run(&["reading", "add", "elm/1", "--width", width, "--on", on, "--private"]).ok();
    }
    let said = words(&world, "a.html", &["elm"]);
    assert!(said.contains("no reading of it in this file; open"), "{said}");
    assert!(said.contains(", by the part of the record that is in this file:"), "{said}");
    assert!(said.contains("Not told at all: 2 readings."), "{said}");
    let said = words(&world, "b.html", &["elm", "--private"]);
    assert!(said.contains("2 readings from 1 Feb 2024 (width 1 mm) to 1 Feb 2025 (width 9 mm)"), "{said}");
    assert!(!said.contains("part of the record"), "{said}");
}

#[test]
fn a_closed_finding_sends_for_nobody_and_every_closing_is_told() {
    let world = World::with_crack();
    let open = ["finding", "open", "elm", "--kind", "electrics", "--place", "panel", "--on", "2024-01-05"];
    world.run(&open).ok();
    world.run(&["finding", "close", "elm/2", "--why", "moved up", "--on", "2024-03-01"]).ok();
    world.run(&["finding", "reopen", "elm/2", "--why", "wet again", "--on", "2024-06-01"]).ok();
    world.run(&["finding", "close", "elm/2", "--why", "dry", "--on", "2024-07-01"]).ok();
    let said = words(&world, "a.html", &["elm"]);
    let (_, of) = said.split_once("Finding 2: electrics").unwrap();
    assert!(of.contains("It is closed, by the entry above: nothing is asked for.") && !of.contains("urgent"), "{of}");
    let turns = "closed on 1 Mar 2024: moved up; opened again on 1 Jun 2024: wet again; closed on 1 Jul 2024: dry";
    assert_eq!(said.matches(turns).count(), 2, "in the summary and in its part: {said}");
    assert!(crate::dossier::on_one_line(&world.run(&["disclosure", "elm"]).ok()).contains(turns));
}

#[test]
fn a_corrected_reading_names_its_correction() {
    let world = World::with_crack();
    world.run(&["reading", "add", "elm/1", "--width", "8 mm", "--on", "2024-02-01"]).ok();
    world.run(&["correct", "elm#4", "--width", "0.8 mm", "--why", "misread", "--sure"]).ok();
    let said = words(&world, "a.html", &["elm"]);
    // 0.8 / 25.4 = 0.0315.
    assert!(said.contains("width 0.8 mm (0.031 in) – – – elm#4 , as corrected by elm#5"), "{said}");
}

#[test]
fn what_was_never_done_or_read_is_listed() {
    let world = demo();
    let said = words(&world, "a.html", &["larkspur-14"]);
    assert!(said.contains("clear the window well (never yet, due since 28 Sep 2025)"), "{said}");
    assert!(said.contains("finding 2, crack: offset across the crack (never read)"), "{said}");
    // Finding 3 was sealed: its moisture is to be read again, which is not the same as never.
    assert!(!said.contains("finding 3, damp: moisture"), "{said}");
}

#[test]
fn what_is_asked_of_the_command_is_taken_as_it_is_meant() {
    let world = World::with_crack();
    let schema = world.run(&["dossier", "--schema"]).ok();
    let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_stemwall"));
    command.env_clear().env("STEMWALL_LEDGER", world.ledger()).current_dir(world.path(""));
    assert_eq!(crate::world::finish(command, &["dossier", "--schema"], &world.path("")).ok(), schema);
    world.run(&["dossier", "elm", "--schema"]).fails(2);
    world.run(&["dossier", "elm", "--out", "A.HTML"]).ok();
    world.run(&["verify", "A.HTML"]).ok();
    let page = std::fs::read_to_string(world.path("A.HTML")).unwrap();
    world.file("cut.html", &page[..page.len() / 4]);
    let said = world.run(&["verify", "cut.html"]).fails(3);
    assert!(said.contains("it was cut short"), "{said}");
    let said = world.run(&["verify", "A.HTML", "--seal", "xyz"]).fails(2);
    assert!(said.contains("  try: copy all 64 from where it was kept; `stemwall seal KEY` prints one"), "{said}");
    std::fs::create_dir(world.path("folder")).unwrap();
    let said = world.run(&["verify", "folder"]).fails(1);
    assert!(said.contains("it is a folder"), "{said}");
}

#[test]
fn a_disclosure_keeps_what_is_private_and_amounts_back_and_says_so() {
    let world = World::with_crack();
    world
        .run(&["finding", "open", "elm", "--kind", "damp", "--place", "corner", "--on", "2024-01-05", "--private"])
        .ok();
    let repair = ["repair", "add", "elm/1", "--method", "patch", "--cost", "350 USD", "--on", "2025-03-01"];
    world.run(&repair).ok();
    let said = crate::dossier::on_one_line(&world.run(&["disclosure", "elm"]).ok());
    assert!(!said.contains("corner") && !said.contains("350"), "{said}");
    assert!(
        said.contains("Left out of this list: 1 finding; amounts of money in 1 entry. The law may ask for it"),
        "{said}"
    );
    let said = crate::dossier::on_one_line(&world.run(&["disclosure", "elm", "--private", "--costs"]).ok());
    assert!(said.contains("corner") && said.contains("350") && !said.contains("Left out"), "{said}");
}

#[test]
fn a_picture_that_cannot_be_shown_says_why() {
    let world = World::with_crack();
    for name in ["a.webp", "b.png", "c.pdf"] {
        world.file(name, format!("not a picture: {name}"));
        world.run(&["attach", "elm/1", name]).ok();
    }
    let said = words(&world, "a.html", &["elm"]);
    assert_eq!(said.matches("It is not shown: only JPEG and PNG are").count(), 1, "{said}");
    assert_eq!(said.matches("It is not shown: it does not open as a picture").count(), 1, "{said}");
}
