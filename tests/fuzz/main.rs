//! The bodies of the fuzz targets, on a stable compiler: every seed, and changes of seeds that are the same on every run.

use std::path::Path;
use std::time::{Duration, Instant};

#[path = "../../fuzz/bodies.rs"]
mod bodies;

/// So many changed inputs a target, or as many as fit into [`TIME`].
const ROUNDS: u32 = 30_000;
const TIME: Duration = Duration::from_secs(3);
/// No input may take longer; a debug build on a busy machine takes a thousandth of it.
const HANG: Duration = Duration::from_secs(5);
/// Longest input.
const LONGEST: usize = 4096;

/// Pieces that readers look for.
const PIECES: &[&str] = &[
    "-",
    "+",
    "0",
    "9999999999999999999999",
    "1e308",
    "1e-400",
    ".5",
    "/",
    "/0",
    " 1/2 ",
    "ft",
    "in",
    "pCi/L",
    "USD",
    "$",
    "%",
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    ":",
    ",",
    "null",
    "true",
    "NaN",
    "inf",
    "\\u0000",
    "\\ud800",
    "\n",
    "\r\n",
    "\t",
    "\0",
    "#",
    "=",
    "--width",
    "--kind",
    "finding",
    "reading 1",
    "not reached: ",
    "typed",
    "2026-02-30",
    "9999-12-31",
    "０",
    "½",
    "′",
    "\u{202e}",
    "\u{feff}",
];

struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % n.max(1)
    }

    fn change(&mut self, seeds: &[Vec<u8>]) -> Vec<u8> {
        let mut bytes = seeds[self.below(seeds.len())].clone();
        for _ in 0..=self.below(4) {
            let at = self.below(bytes.len() + 1);
            match self.below(7) {
                0 if !bytes.is_empty() => {
                    let at = at.min(bytes.len() - 1);
                    bytes[at] ^= 1 << self.below(8);
                }
                1 => bytes.truncate(at),
                2 => {
                    let end = (at + self.below(9)).min(bytes.len());
                    bytes.drain(at..end);
                }
                3 => {
                    let end = (at + self.below(40)).min(bytes.len());
                    let again = bytes[at..end].to_vec();
                    bytes.splice(at..at, again);
                }
                4 => {
                    let other = &seeds[self.below(seeds.len())];
                    bytes.truncate(at);
                    bytes.extend(&other[self.below(other.len() + 1)..]);
                }
                5 => bytes.insert(at, self.below(256) as u8),
                _ => {
                    let piece = PIECES[self.below(PIECES.len())];
                    bytes.splice(at..at, piece.bytes());
                }
            }
        }
        bytes.truncate(LONGEST);
        bytes
    }
}

fn seeds(target: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/seeds").join(target);
    let mut files: Vec<_> = std::fs::read_dir(&folder).expect("seeds").map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files.iter().map(|file| std::fs::read(file).unwrap()).collect()
}

/// Runs one input; what it was is told where it panics.
fn run(target: &str, body: fn(&[u8]), input: &[u8]) {
    let began = Instant::now();
    let panicked = std::panic::catch_unwind(|| body(input)).is_err();
    assert!(!panicked, "{target} panicked on {:?}", String::from_utf8_lossy(input));
    assert!(began.elapsed() < HANG, "{target} took {:?} for {:?}", began.elapsed(), String::from_utf8_lossy(input));
}

fn fuzz(name: &str) {
    let (name, body) = *bodies::TARGETS.iter().find(|(known, _)| *known == name).expect("a target");
    let seeds = seeds(name);
    seeds.iter().for_each(|seed| run(name, body, seed));
    let (mut dice, began) = (Dice(1), Instant::now());
    let mut rounds = 0;
    while rounds < ROUNDS && began.elapsed() < TIME {
        run(name, body, &dice.change(&seeds));
        rounds += 1;
    }
    assert!(rounds > 100, "{name}: {rounds} inputs in {:?} are too few to have tried anything", began.elapsed());
}

#[test]
fn what_is_typed_for_a_quantity() {
    fuzz("quantity");
}

#[test]
fn lines_of_calculations() {
    fuzz("reckon_lines");
}

#[test]
fn files_of_radon_tests() {
    fuzz("radon_csv");
}

#[test]
fn files_of_answers_to_a_walk() {
    fuzz("walk_answers");
}

#[test]
fn entries_made_elsewhere() {
    fuzz("entry_json");
}

#[test]
fn almanacs() {
    fuzz("almanac_toml");
}

#[test]
fn every_target_has_seeds_and_a_file_of_its_own() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz");
    let manifest = std::fs::read_to_string(folder.join("Cargo.toml")).unwrap();
    for (name, _) in bodies::TARGETS {
        assert!(!seeds(name).is_empty(), "{name}");
        assert!(folder.join(format!("fuzz_targets/{name}.rs")).exists(), "{name}");
        assert!(manifest.contains(&format!("path = \"fuzz_targets/{name}.rs\"")), "{name}");
    }
    let files = std::fs::read_dir(folder.join("fuzz_targets")).unwrap().count();
    assert_eq!(files, bodies::TARGETS.len());
}
