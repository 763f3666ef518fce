//! Text in cells that a spreadsheet opens: what would be taken for a formula gets an apostrophe in front, and loses it when
//! it is read again.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-`, `@` (or their full-width forms), a tab or a carriage return for
//! something to compute. An apostrophe of one's own is doubled, so that every text comes back as it was. Numbers are not
//! texts and stay as they are.

use std::borrow::Cow;

const SIGNS: [char; 10] = ['=', '+', '-', '@', '\t', '\r', '＝', '＋', '－', '＠'];
const GUARD: char = '\'';

/// The text as it is written into a cell.
pub fn guarded(text: &str) -> Cow<'_, str> {
    if begins(text) { Cow::Owned(format!("{GUARD}{text}")) } else { Cow::Borrowed(text) }
}

/// The text of a cell that may have been guarded.
pub fn unguarded(cell: &str) -> &str {
    cell.strip_prefix(GUARD).filter(|rest| begins(rest)).unwrap_or(cell)
}

fn begins(text: &str) -> bool {
    text.starts_with(SIGNS) || text.starts_with(GUARD)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert, prop_assert_eq, prop_oneof, proptest};

    use super::{guarded, unguarded};

    proptest! {
        #[test]
        fn every_text_comes_back(text in prop_oneof![any::<String>(), "['=+@\t\r-]{0,3}[a-z\",\n]{0,4}"]) {
            let written = guarded(&text);
            prop_assert_eq!(unguarded(&written), text.as_str());
            let first = written.chars().next();
            prop_assert!(!matches!(first, Some('=' | '+' | '-' | '@' | '\t' | '\r' | '＝')), "{written}");
        }
    }

    #[test]
    fn what_a_spreadsheet_would_compute_it_shows() {
        assert_eq!(guarded("=cmd|' /C calc'!A0"), "'=cmd|' /C calc'!A0");
        assert_eq!(guarded("two = 1 + 1"), "two = 1 + 1");
        assert_eq!(guarded("'tis"), "''tis");
    }
}
