//! A build that writes PDF.

use stemwall::dossier::DossierError;
use stemwall::dossier::data::{Pictures, read};
use stemwall::dossier::proof::{check, check_by};
use stemwall::dossier::view::View;
use stemwall::dossier::write::pdf;

use crate::dossier::house;
use crate::world::World;

pub fn written(world: &World, name: &str, more: &[&str]) -> Vec<u8> {
    world.run(&[&["dossier", "elm", "--out", name], more].concat()).ok();
    std::fs::read(world.path(name)).unwrap()
}

#[test]
fn the_same_ledger_gives_the_same_bytes() {
    let world = house();
    let (one, other) = (written(&world, "a.pdf", &[]), written(&world, "b.pdf", &[]));
    assert!(one == other);
    let proof = check(&one, None).unwrap();
    assert!(proof.compared && proof.entries == 11);
}

/// Changes of one byte, each at a place and to a value taken by chance: every one is found.
#[test]
fn a_change_of_any_single_byte_is_found() {
    const CHANGES: u64 = 10_000;
    let world = World::with_crack();
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01"]).ok();
    let whole = written(&world, "d.pdf", &[]);
    check(&whole, None).unwrap();
    let of = read(&whole).ok().unwrap();
    let once = pdf(&of.dossier, &of.pictures).unwrap();
    let threads = 4;
    std::thread::scope(|scope| {
        for thread in 0..threads {
            let (whole, of, once) = (&whole, &of, &once);
            scope.spawn(move || {
                // The same dossier is laid out once, any other anew.
                let mut laid_out =
                    |view: &View, pictures: &Pictures| match *view.dossier == of.dossier && *pictures == of.pictures {
                        true => Ok(once.clone()),
                        false => pdf(view.dossier, pictures),
                    };
                assert!(check_by(whole, None, &mut laid_out).is_ok());
                // A multiplier and an increment after Knuth's MMIX.
                let mut chance = thread + 1_u64;
                let mut next = |below: u64| {
                    chance = chance.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    (chance >> 33) % below
                };
                let mut changed = whole.clone();
                for _ in 0..CHANGES / threads {
                    let at = next(whole.len() as u64) as usize;
                    changed[at] ^= 1 + next(255) as u8;
                    let found = check_by(&changed, None, &mut laid_out);
                    assert!(found.is_err(), "byte {at} is {:?}", changed[at] as char);
                    changed[at] = whole[at];
                }
            });
        }
    });
    assert!(check(&[&whole[..], b"\n"].concat(), None).is_err(), "more than it has");
}

#[test]
fn a_doctored_text_over_true_entries_is_found() {
    let world = house();
    let whole = written(&world, "d.pdf", &[]);
    // The title that readers show, in the dictionary of facts about the file.
    let at = whole.windows(10).position(|w| w == b"Elm Street").unwrap();
    let doctored = [&whole[..at], b"Oak Street", &whole[at + 10..]].concat();
    assert_eq!(check(&doctored, None), Err(DossierError::ShowsInPdf { at: at + 1 }));
    world.file("doctored.pdf", doctored);
    assert_eq!(
        world.run(&["verify", "doctored.pdf"]).fails(3),
        format!(
            "error: byte {} of the PDF is not what its entries give\ngiven: doctored.pdf\n  try: its entries are whole, but what it \
             shows was changed: do not rely on it; `stemwall dossier` writes what they give\n",
            at + 1
        )
    );
}

/// Every letter up to the signs of Chinese, alone and in heaps by chance: shown or numbered, none stops the writing.
#[test]
fn any_letters_can_be_written() {
    let world = World::with_crack();
    let letters: Vec<char> = ('\u{a0}'..'\u{3000}').collect();
    let mut chance = 7_u64;
    let mut next = |below: usize| {
        chance = chance.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (chance >> 33) as usize % below
    };
    for part in letters.chunks(1_000) {
        let apart: String = part.iter().flat_map(|c| [*c, ' ']).collect();
        let heap: String = part.iter().map(|_| part[next(part.len())]).collect();
        for note in [apart, heap] {
            world.run(&["note", "add", "elm/1", &note]).ok();
        }
    }
    let heap: String = (0..1_000).map(|_| letters[next(letters.len())]).collect();
    world.run(&["note", "add", "elm/1", &heap]).ok();
    assert!(check(&written(&world, "d.pdf", &[]), None).is_ok());
}
