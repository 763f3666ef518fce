//! A build that writes no PDF.

use super::KEPT;
use crate::world::World;

#[test]
fn a_build_that_writes_no_pdf_says_that_it_did_not_compare() {
    let world = World::empty();
    world.file("dossier.pdf", KEPT);
    let outcome = world.run(&["verify", "dossier.pdf"]);
    assert_eq!(outcome.code, 1);
    assert!(
        outcome.stdout.contains("11 entries, each what its hash says and in its place; what is shown was not compared"),
        "{}",
        outcome.stdout
    );
    assert_eq!(
        outcome.stderr,
        "error: what the PDF shows was not compared with its entries: this build of the program writes no PDF\n\
         given: dossier.pdf\n  try: go by the entries alone, which are whole; a stemwall built with `cargo build --release \
         --features pdf` compares\n"
    );
    let json = world.run(&["verify", "dossier.pdf", "--json"]);
    let value: serde_json::Value = serde_json::from_str(&json.stdout).unwrap();
    assert_eq!((value["shown_is_compared"].as_bool(), json.code), (Some(false), 1));
}

#[test]
fn it_says_how_one_that_does_is_built() {
    let world = World::with_house();
    assert_eq!(
        world.run(&["dossier", "elm", "--out", "d.pdf"]).fails(1),
        "error: this build of the program writes no PDF\ngiven: d.pdf\n  try: write `.html` and print that to PDF from a \
         browser: it is made for Letter and A4; a stemwall that writes PDF is built with `cargo build --release --features pdf`\n"
    );
    assert!(!world.path("d.pdf").exists());
}
