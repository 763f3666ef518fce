//! Which letters a PDF can show, and where a long word may be broken.
//!
//! An archived PDF carries its fonts and may hold no letter that they lack (ISO 19005-3, 6.2.11.4.1). Libertinus Serif (SIL Open
//! Font License 1.1) and DejaVu Sans Mono (Bitstream Vera's licence) have Latin, Greek, Cyrillic and Hebrew; anything else, such
//! as Chinese or pictures of faces, is shown by its number, `\u{4e2d}`. The JSON file that is attached has the letter itself.

use std::sync::LazyLock;

use typst::foundations::Bytes;
use typst::text::{Coverage, Font, FontStyle, FontWeight};
use unicode_segmentation::UnicodeSegmentation;

/// The families in the order in which a letter is looked for.
pub const FAMILIES: [&str; 2] = ["Libertinus Serif", "DejaVu Sans Mono"];

/// The faces that the template uses.
pub static FONTS: LazyLock<Vec<Font>> = LazyLock::new(|| {
    let of = |data: &'static [u8]| Font::new(Bytes::new(data), 0);
    typst_assets::fonts().filter_map(of).filter(is_used).collect()
});

fn is_used(font: &Font) -> bool {
    let info = font.info();
    let plain = info.variant.style == FontStyle::Normal && info.variant.weight == FontWeight::REGULAR;
    let bold = info.variant.style == FontStyle::Normal && info.variant.weight == FontWeight::BOLD;
    let italic = info.variant.style == FontStyle::Italic && info.variant.weight == FontWeight::REGULAR;
    match FAMILIES.iter().position(|family| *family == info.family) {
        Some(0) => plain || bold || italic,
        Some(1) => plain,
        _ => false,
    }
}

/// What every face of a family has, one a family.
static COVERED: LazyLock<Vec<Vec<Coverage>>> = LazyLock::new(|| {
    let faces = |family: &&str| {
        FONTS.iter().filter(|f| f.info().family == **family).map(|f| f.info().coverage.clone()).collect()
    };
    FAMILIES.iter().map(faces).collect()
});

/// Text in which each letter with its marks can be shown, by one family; numbers in place of the others.
pub fn shown(text: &str) -> String {
    if text.is_ascii() {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    for cluster in text.graphemes(true) {
        if is_shown(cluster) {
            out.push_str(cluster);
        } else {
            cluster.chars().for_each(|c| out.extend(c.escape_unicode()));
        }
    }
    out
}

fn is_shown(cluster: &str) -> bool {
    let has = |faces: &Vec<Coverage>| cluster.chars().all(|c| faces.iter().all(|face| face.contains(c.into())));
    // Private letters mean what a font says, and are refused in an archive.
    !cluster.chars().any(is_private) && COVERED.iter().any(has)
}

fn is_private(c: char) -> bool {
    matches!(c, '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..)
}

/// A word up to here is never broken, in letters.
pub const WORD: usize = 18;
/// A longer one may be broken after each so many.
const PART: usize = 6;

/// The pieces of a text between which a line may be broken, besides at its spaces: long words, such as hashes and names of
/// files, would run over the edge of a table's cell.
pub fn parts(text: &str) -> Vec<&str> {
    let mut out = Vec::new();
    let (mut begin, mut word) = (0, 0);
    for (at, cluster) in text.grapheme_indices(true) {
        if cluster.starts_with(char::is_whitespace) {
            word = 0;
            continue;
        }
        word += 1;
        if word > WORD {
            out.push(&text[begin..at]);
            begin = at;
            word = WORD - PART + 1;
        }
    }
    out.push(&text[begin..]);
    out
}

#[cfg(test)]
mod tests {
    use super::{FONTS, parts, shown};

    #[test]
    fn the_faces_are_there() {
        assert_eq!(FONTS.len(), 4, "regular, bold and italic of one, regular of the other");
    }

    #[test]
    fn what_no_font_has_is_shown_by_its_number() {
        for (text, wanted) in [
            ("3/16 in", "3/16 in"),
            ("Größe “naïve” – 5 °C ≤ ½", "Größe “naïve” – 5 °C ≤ ½"),
            ("стена τοίχος", "стена τοίχος"),
            // U+4E2D, U+1F600; a letter of a private area.
            ("中 😀", "\\u{4e2d} \\u{1f600}"),
            ("a\u{e000}", "a\\u{e000}"),
        ] {
            assert_eq!(shown(text), wanted);
        }
    }

    #[test]
    fn a_long_word_may_be_broken_and_loses_nothing() {
        for (text, wanted) in [
            ("", vec![""]),
            ("no word is long in this one", vec!["no word is long in this one"]),
            // 18 letters, then one more.
            ("abcdefghijklmnopqr", vec!["abcdefghijklmnopqr"]),
            ("abcdefghijklmnopqrs", vec!["abcdefghijklmnopqr", "s"]),
            ("see 0123456789abcdefghijklmn it", vec!["see 0123456789abcdefgh", "ijklmn it"]),
        ] {
            assert_eq!(parts(text), wanted);
            assert_eq!(parts(text).concat(), text);
        }
    }
}
