//! Words from outside on a page: data, never markup, and nothing in them is unseen.

/// Control characters, marks that turn the direction of a line, and code points that are no characters, as escapes;
/// line breaks and tabs as spaces. Letters that are read from right to left are left as they are.
pub fn seen(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\n' | '\r' | '\t' => out.push(' '),
            c if c.is_control() || turns(c) || no_character(c) => out.push_str(&format!("\\u{{{:x}}}", u32::from(c))),
            c => out.push(c),
        }
    }
    out
}

fn turns(c: char) -> bool {
    matches!(c, '\u{061c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}')
}

fn no_character(c: char) -> bool {
    ('\u{fdd0}'..='\u{fdef}').contains(&c) || u32::from(c) & 0xfffe == 0xfffe
}

#[cfg(test)]
mod tests {
    use super::seen;

    #[test]
    fn what_would_not_be_seen_is_written_out() {
        assert_eq!(seen("a\u{202e}b\u{0}c\nd\u{fdd0}\u{1ffff}"), "a\\u{202e}b\\u{0}c d\\u{fdd0}\\u{1ffff}");
        assert_eq!(seen("שלום é 🏠"), "שלום é 🏠");
    }
}
