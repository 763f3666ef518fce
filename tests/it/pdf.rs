//! A dossier as a PDF: whole by other people's readers, saying what the page says, and found out where it was touched. What is
//! attached is read by every build; the rest needs one with the feature `pdf`.

use std::process::Command;

use stemwall::dossier::DossierError;
use stemwall::dossier::proof::check;

use crate::world::World;

#[cfg(feature = "pdf")]
mod read;
#[cfg(feature = "pdf")]
mod with;
#[cfg(not(feature = "pdf"))]
mod without;

/// Written by this program, built with the feature `pdf`, of an invented house.
const KEPT: &[u8] = include_bytes!("../data/dossier.pdf");

#[test]
fn what_is_attached_is_read_by_every_build() {
    let proof = match check(KEPT, None) {
        // A build that writes PDF compares, and only the program that wrote it gives the same bytes.
        Err(DossierError::ShowsInPdf { .. } | DossierError::OtherProgram { .. }) if cfg!(feature = "pdf") => return,
        proof => proof.unwrap(),
    };
    assert_eq!((proof.key.as_str(), proof.entries, proof.left_out), ("elm", 11, 3));
    assert_eq!(proof.compared, cfg!(feature = "pdf"));
    let wrong = check(KEPT, Some(stemwall::ledger::hash::Hash::of(b"another")));
    assert!(matches!(wrong, Err(DossierError::NotTheSeal { .. })), "{wrong:?}");
}

/// The script reads it with nothing but Python's own library, and so with nothing of ours.
#[test]
fn reference_python_checks_what_is_attached() {
    let world = World::empty();
    let file = world.file("dossier.pdf", KEPT);
    let script = concat!(env!("CARGO_MANIFEST_DIR"), "/tools/check_dossier.py");
    let output = Command::new("python3").args([script, &file]).output().unwrap();
    let said = String::from_utf8([output.stdout, output.stderr].concat()).unwrap();
    let seal = check(KEPT, None).map_or(String::new(), |proof| proof.seal.to_hex());
    assert!(output.status.success() && said.starts_with("11 entries, seal ") && said.contains(&seal), "{said}");
}

/// Bytes of any kind: nothing that only looks like one is taken for one, and nothing ends the program.
#[test]
fn any_bytes_are_refused_with_a_reason() {
    let refused = |bytes: &[u8]| check(bytes, None).map(|proof| proof.entries).unwrap_err();
    for cut in (0..KEPT.len()).step_by(97) {
        let why = refused(&KEPT[..cut]);
        assert!(matches!(why, DossierError::NotADossier(_)), "{cut}: {why}");
    }
    // What is attached is whole up to the last few bytes, which say where things are; what is shown is not.
    for cut in KEPT.len() - 100..KEPT.len() {
        let compared = check(&KEPT[..cut], None).is_ok_and(|proof| proof.compared);
        assert!(!compared, "{cut}");
    }
}

/// What the typesetter refuses, no dossier that is known brings about; its words are said all the same.
#[test]
fn a_refusal_of_the_typesetter_is_said_with_its_reason() {
    let refused = DossierError::PdfRefused { why: "a reason".into() };
    assert_eq!((refused.to_string().as_str(), refused.is_damage()), ("the PDF cannot be laid out: a reason", false));
}
