//! Words on a screen: nothing from outside may move the cursor or turn the line round.

use std::fmt::Write as _;
use std::io::{BufRead, IsTerminal, Write};

use anstyle::{AnsiColor, Color, RgbColor, Style};

use crate::trade::{Band, Standing};

/// Text from outside as it may stand on a terminal: control and direction characters as escapes, line breaks as spaces.
pub fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\t' => out.push(' '),
            c if c.is_control() || is_direction(c) => {
                let _ = write!(out, "\\u{{{:x}}}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out
}

/// Marks that turn the direction of what follows, or are not seen at all.
fn is_direction(c: char) -> bool {
    matches!(c, '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

/// `1 finding`, `2 findings`.
pub fn counted(n: u64, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// One to five courses of a wall, stacked as they would be laid; no courses where no band is known.
pub fn courses(band: Option<Band>) -> &'static str {
    match band {
        None => " ",
        Some(Band::Note) => "▁",
        Some(Band::Watch) => "▂",
        Some(Band::Mend) => "▄",
        Some(Band::Call) => "▆",
        Some(Band::Urgent) => "█",
    }
}

/// Slate, blue, ochre, violet, inverse.
pub fn style(band: Option<Band>) -> Style {
    let rgb = |r, g, b| Style::new().fg_color(Some(Color::Rgb(RgbColor(r, g, b))));
    match band {
        None => Style::new(),
        Some(Band::Note) => rgb(0x8a, 0x96, 0xa3),
        Some(Band::Watch) => Style::new().fg_color(Some(AnsiColor::Blue.into())),
        Some(Band::Mend) => rgb(0xb8, 0x86, 0x2b),
        Some(Band::Call) => Style::new().fg_color(Some(AnsiColor::Magenta.into())).bold(),
        Some(Band::Urgent) => Style::new().invert().bold(),
    }
}

/// A band's word in its colour.
pub fn coloured(band: Option<Band>, text: &str) -> String {
    let style = style(band);
    format!("{style}{text}{style:#}")
}

/// At most `room` characters, the last a sign that there is more.
pub fn cut(text: &str, room: usize) -> String {
    if text.chars().count() <= room { text.to_owned() } else { text.chars().take(room - 1).chain(['…']).collect() }
}

/// Breaks text into lines of at most `width` characters, each behind `indent`.
pub fn wrapped(text: &str, width: usize, indent: &str) -> String {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("there is always a line");
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(word.to_owned());
        } else {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
    }
    lines.join(&format!("\n{indent}"))
}

/// Whether a person can be asked.
pub fn somebody_watches() -> bool {
    std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
}

/// Asks a question to be answered with yes or no; anything but a yes is a no.
pub fn ask(question: &str) -> bool {
    eprint!("{question} [y/N] ");
    let _ = std::io::stderr().flush();
    let mut answer = String::new();
    let read = std::io::stdin().lock().read_line(&mut answer);
    read.is_ok() && matches!(answer.trim().to_lowercase().as_str(), "y" | "yes")
}

/// A source with its standing; where the source says by itself that there is none to read, once.
pub fn sourced(source: &str, standing: Standing) -> String {
    let own = source.starts_with("design rule of this program") && standing == Standing::Practice;
    if own || source.ends_with(standing.words()) {
        source.to_owned()
    } else {
        format!("{source} · {}", standing.words())
    }
}

#[cfg(test)]
mod tests {
    use super::{courses, plain, wrapped};
    use crate::trade::Band;

    #[test]
    fn nothing_from_outside_moves_the_cursor_or_turns_the_line() {
        assert_eq!(plain("a\u{1b}[2Jb"), "a\\u{1b}[2Jb");
        assert_eq!(plain("safe\u{202e}cod.exe"), "safe\\u{202e}cod.exe");
        assert_eq!(plain("two\nlines\tand é"), "two lines and é");
        assert_eq!(plain("\u{7f}\u{9b}"), "\\u{7f}\\u{9b}");
    }

    #[test]
    fn every_band_has_courses_of_its_own() {
        let mut drawn: Vec<&str> = Band::ALL.iter().map(|b| courses(Some(*b))).chain([courses(None)]).collect();
        drawn.sort_unstable();
        drawn.dedup();
        assert_eq!(drawn.len(), 6);
    }

    #[test]
    fn long_lines_are_broken_between_words() {
        assert_eq!(wrapped("one two three", 7, "  "), "one two\n  three");
        assert_eq!(wrapped("", 7, "  "), "");
    }
}
