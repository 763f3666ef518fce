//! What can be wrong with a written quantity, as facts; and what to do about it, for whoever shows the fact.

use super::kind::QuantityKind;

/// Why a text is no quantity of the wanted kind.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    #[error("nothing is written")]
    Empty,
    #[error("there is no number")]
    NoNumber,
    /// `nan` or `inf` was written.
    #[error("the number is not finite")]
    NotFinite,
    #[error("the number is too large")]
    TooLarge,
    #[error("the fraction divides by zero")]
    ZeroDenominator,
    #[error("the unit is missing")]
    NoUnit,
    #[error("`{unit}` is not a known unit")]
    UnknownUnit { unit: String },
    #[error("`{unit}` is not a unit of {}", wanted.word())]
    WrongKind { unit: String, wanted: QuantityKind },
    #[error("the quantity is negative")]
    Negative,
    #[error("the temperature is below absolute zero")]
    BelowAbsoluteZero,
    /// A comma stands between digits; `plain` is the text without it (a point in its place where it can only be a
    /// decimal comma).
    #[error("there is a comma in the number")]
    Comma { plain: String },
    #[error("it does not read as a number and its unit")]
    Syntax,
}

impl QuantityError {
    /// What to do, for a person: `text` is what was written, `kind` what is wanted.
    ///
    /// Lower case, no final period, things to type in backticks.
    pub fn how_to_write(&self, text: &str, kind: QuantityKind) -> String {
        let text = text.trim();
        let examples = kind.examples();
        if let Some(plain) = respelt(text, kind) {
            return format!("write `{plain}`");
        }
        match self {
            QuantityError::NoUnit => {
                let choices: Vec<String> = kind.usual_units().iter().map(|unit| format!("`{text} {unit}`")).collect();
                format!("add a unit: {}", choices.join(" or "))
            }
            QuantityError::Comma { plain } => format!("write `{plain}`"),
            QuantityError::UnknownUnit { .. } | QuantityError::WrongKind { .. } => {
                format!("write {} with one of {}, such as {examples}", article(kind), kind.units().join(", "))
            }
            QuantityError::Negative => format!("write {} without a minus sign, such as {examples}", article(kind)),
            QuantityError::BelowAbsoluteZero => format!("absolute zero is -459.67 F; write it like {examples}"),
            QuantityError::ZeroDenominator => format!("write a fraction of something, such as {examples}"),
            QuantityError::TooLarge => format!("write a smaller number, such as {examples}"),
            QuantityError::Empty | QuantityError::NoNumber | QuantityError::NotFinite | QuantityError::Syntax => {
                format!("write a number and its unit, such as {examples}")
            }
        }
    }
}

/// Spellings of units that are common and not read, and what is.
const RESPELT: [(&str, &str); 12] = [
    ("sq ft", "ft2"),
    ("sq. ft.", "ft2"),
    ("square feet", "ft2"),
    ("sq in", "in2"),
    ("sq m", "m2"),
    ("cu ft", "ft3"),
    ("cu in", "in3"),
    ("deg f", "F"),
    ("degrees f", "F"),
    ("deg c", "C"),
    ("degrees c", "C"),
    ("mils", "mil"),
];

/// The same quantity with its unit as it is read here, if that is all that was in the way.
fn respelt(text: &str, kind: QuantityKind) -> Option<String> {
    let lower = text.to_ascii_lowercase();
    let candidates = RESPELT.iter().filter_map(|(found, plain)| {
        let number = text.get(..lower.strip_suffix(found)?.len())?;
        Some(format!("{} {plain}", number.trim_end()))
    });
    candidates.into_iter().find(|plain| super::parse_si(plain, kind, true).is_ok() && plain != text)
}

fn article(kind: QuantityKind) -> String {
    let word = kind.word();
    let article = if word.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    format!("{article} {word}")
}

/// The text with the comma after `before` bytes and all others taken out, if it stands between digits.
///
/// `1,200 ft2` has a comma between thousands and loses it; `0,4 mm` and `4,25 mm` can only have a decimal comma, which
/// becomes a point.
pub(super) fn comma(text: &str, before: usize) -> QuantityError {
    let is_number = |c: char| c.is_ascii_digit() || c == ',' || c == '.';
    let start = text[..before]
        .rfind(|c| !is_number(c))
        .map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
    let end = text[before..].find(|c| !is_number(c)).map_or(text.len(), |at| before + at);
    let number = &text[start..end];
    let (whole, decimals) = number.split_once('.').unwrap_or((number, ""));
    let groups: Vec<&str> = whole.split(',').collect();
    let digits_only = !groups.iter().any(|group| group.is_empty()) && !decimals.contains(['.', ',']);
    let first = groups.first().copied().unwrap_or("");
    let thousands = first.len() <= 3 && !first.starts_with('0') && groups.iter().skip(1).all(|group| group.len() == 3);
    let plain_number = match groups.len() {
        _ if !digits_only => return QuantityError::Syntax,
        _ if thousands => number.replace(',', ""),
        2 if !number.contains('.') => number.replace(',', "."),
        _ => return QuantityError::Syntax,
    };
    QuantityError::Comma { plain: format!("{}{plain_number}{}", &text[..start], &text[end..]) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn advice_says_what_to_write() {
        let comma = QuantityError::Comma { plain: "1200 ft2".to_owned() };
        assert_eq!(comma.how_to_write("1,200 ft2", QuantityKind::Area), "write `1200 ft2`");
        assert_eq!(QuantityError::NoUnit.how_to_write(" 3 ", QuantityKind::Length), "add a unit: `3 mm` or `3 in`");
        assert_eq!(QuantityError::NoUnit.how_to_write("18", QuantityKind::Share), "add a unit: `18 %`");
        let wrong = QuantityError::WrongKind { unit: "gpm".to_owned(), wanted: QuantityKind::Temperature };
        assert_eq!(wrong.to_string(), "`gpm` is not a unit of temperature");
        assert_eq!(
            wrong.how_to_write("18 gpm", QuantityKind::Temperature),
            "write a temperature with one of F, C, K, such as `72 F`, `22.5 C`"
        );
        assert_eq!(
            QuantityError::Negative.how_to_write("-3 ft2", QuantityKind::Area),
            "write an area without a minus sign, such as `1100 ft2`, `102 m2`"
        );
    }

    #[test]
    fn a_common_spelling_is_told_as_it_is_read() {
        for (typed, kind, plain) in [
            ("1200 sq ft", QuantityKind::Area, "1200 ft2"),
            ("1200 SQ FT", QuantityKind::Area, "1200 ft2"),
            ("72 deg F", QuantityKind::Temperature, "72 F"),
            ("22.5 degrees C", QuantityKind::Temperature, "22.5 C"),
            ("3 mils", QuantityKind::Length, "3 mil"),
        ] {
            let error = crate::quantity::parse_si(typed, kind, false).unwrap_err();
            assert_eq!(error.how_to_write(typed, kind), format!("write `{plain}`"));
        }
        let other = crate::quantity::parse_si("3 sq ft", QuantityKind::Length, false).unwrap_err();
        assert!(other.how_to_write("3 sq ft", QuantityKind::Length).starts_with("write a length with one of"));
    }

    #[test]
    fn what_the_advice_tells_to_type_can_be_read() {
        for kind in QuantityKind::ALL {
            for example in kind.examples().split(", ") {
                let example = example.trim_matches('`');
                assert!(crate::quantity::parse_si(example, kind, false).is_ok(), "`{example}`");
            }
            for unit in kind.units().iter().chain(kind.usual_units()) {
                assert!(crate::quantity::parse_si(&format!("300 {unit}"), kind, false).is_ok(), "`{unit}`");
            }
        }
    }
}
