//! The README's tour does what it says, word for word.

use std::process::Command;

use crate::world::World;

const README: &str = include_str!("../../README.md");

/// The commands of the tour with the output printed under each.
fn tour() -> Vec<(String, String)> {
    let begin = README.find("<!-- tour: begin").expect("the tour begins");
    let end = README.find("<!-- tour: end").expect("the tour ends");
    let mut steps: Vec<(String, String)> = Vec::new();
    for line in README[begin..end].lines().filter_map(|l| l.strip_prefix("    ").or((l.is_empty()).then_some(""))) {
        if let Some(command) = line.strip_prefix("$ ") {
            steps.push((command.to_owned(), String::new()));
        } else if let Some((command, output)) = steps.last_mut() {
            if command.ends_with('\\') {
                command.pop();
                command.push_str(line.trim_start());
            } else {
                output.push_str(line);
                output.push('\n');
            }
        }
    }
    steps
}

/// An output without what depends on the run: when something was entered, the size of a file, seals and identifiers.
fn settled(text: &str) -> String {
    let mut out = String::new();
    for line in text.trim_end().lines() {
        let line = match line.split_once("entered on ") {
            Some((before, after)) => {
                let rest: Vec<&str> = after.splitn(4, ' ').skip(3).collect();
                format!("{before}entered on DAY {}", rest.concat())
            }
            None => line.to_owned(),
        };
        let line = without_codes(&line);
        let line =
            if line.ends_with(" bytes") { line.rsplitn(3, ' ').last().unwrap_or_default().to_owned() } else { line };
        let word = |word: &str| {
            let hash = word.len() == 64 || word.len() == 36;
            let random = hash && word.bytes().all(|b| b.is_ascii_hexdigit() || b == b'-');
            if random { "RANDOM".to_owned() } else { word.to_owned() }
        };
        let line: Vec<String> = line.trim_end().split(' ').map(word).collect();
        out.push_str(&line.join(" "));
        out.push('\n');
    }
    out
}

/// The codes of occurrences hang on a random identifier.
fn without_codes(line: &str) -> String {
    let is_code = |word: &&str| {
        let sign = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit();
        word.len() == 10 && word.bytes().enumerate().all(|(i, b)| if i == 4 { b == b'-' } else { sign(b) })
    };
    line.split_inclusive(' ').map(|word| if is_code(&word.trim_end()) { "CODE " } else { word }).collect()
}

#[test]
fn the_tour_prints_what_the_readme_says() {
    let world = World::empty();
    let binary = std::path::Path::new(env!("CARGO_BIN_EXE_stemwall"));
    let path = format!("{}:/usr/bin:/bin", binary.parent().unwrap().display());
    world.file("letter.pdf", "a letter");
    let mut wrong = Vec::new();
    for (command, said) in tour() {
        let output = Command::new("sh")
            .args(["-c", &command])
            .env_clear()
            .env("PATH", &path)
            .env("HOME", world.path(""))
            .env("NO_COLOR", "1")
            .env("STEMWALL_LEDGER", "houses.stemwall")
            .env("STEMWALL_TODAY", "2026-03-01")
            .current_dir(world.path(""))
            .output()
            .expect("sh runs");
        let text = String::from_utf8([output.stdout, output.stderr].concat()).expect("UTF-8");
        if settled(&text) != settled(&said) {
            wrong.push(format!("$ {command}\n{text}"));
        }
    }
    assert!(wrong.is_empty(), "the tour prints something else now:\n{}", wrong.join("\n"));
}

#[test]
fn the_two_commands_and_the_layout_are_printed() {
    for line in ["cargo run --release -- demo", "tests/run", "DEVELOPERS.md"] {
        assert!(README.contains(line), "{line}");
    }
}
