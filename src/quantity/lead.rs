//! Which of two units comes first where a text gives both: `9.5 mm (0.374 in)` or `0.374 in (9.5 mm)`.
//!
//! Verdicts give both systems side by side, whatever the ledger shows, so that a figure can be held against its source;
//! the ledger's choice leads. Only a whole pair of one kind is turned round: a number and a unit, then another in
//! parentheses. Everything else in a text stays as it is.

use super::show::Units;

/// Units as verdicts write them, metric and US, by kind.
const PAIRS: [(&[&str], &[&str]); 4] = [
    (&["mm", "cm", "m"], &["in", "ft"]),
    (&["cm2", "m2"], &["in2", "ft2"]),
    (&["L", "L/min"], &["gal", "gpm"]),
    (&["Bq/m3"], &["pCi/L"]),
];

/// The text with the chosen system first in every pair.
pub fn leading(units: Units, text: String) -> String {
    if !text.contains(" (") {
        return text;
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_str();
    while let Some(open) = rest.find(" (") {
        let (before, behind) = (&rest[..open], &rest[open + 2..]);
        let turned = behind.find(')').and_then(|close| {
            let (start, first) = last_quantity(before)?;
            let second = whole_quantity(&behind[..close])?;
            is_pair(units, first.1, second.1).then_some((start, close))
        });
        match turned {
            Some((start, close)) => {
                out.push_str(&before[..start]);
                out.push_str(&format!("{} ({})", &behind[..close], &before[start..]));
                rest = &behind[close + 1..];
            }
            None => {
                out.push_str(&rest[..open + 2]);
                rest = behind;
            }
        }
    }
    out.push_str(rest);
    out
}

/// Both are of one kind, and the second is of the system that should lead.
fn is_pair(units: Units, first: &str, second: &str) -> bool {
    PAIRS.iter().any(|(metric, us)| match units {
        Units::Metric => us.contains(&first) && metric.contains(&second),
        Units::Us => metric.contains(&first) && us.contains(&second),
    })
}

/// The number and unit that a text ends with, and where they begin.
fn last_quantity(text: &str) -> Option<(usize, (&str, &str))> {
    let unit_at = text.rfind(' ')? + 1;
    let number_at = text[..unit_at - 1].rfind([' ', '(', '<']).map_or(0, |at| at + 1);
    let quantity = whole_quantity(&text[number_at..])?;
    Some((number_at, quantity))
}

fn whole_quantity(text: &str) -> Option<(&str, &str)> {
    let (number, unit) = text.split_once(' ')?;
    let digits = number.strip_prefix('-').unwrap_or(number);
    let is_number = digits.starts_with(|c: char| c.is_ascii_digit()) && digits.parse::<f64>().is_ok();
    (is_number && !unit.contains(' ')).then_some((number, unit))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::{any, prop_assert_eq, proptest};

    use super::{Units, leading};

    #[test]
    fn the_chosen_system_leads_and_all_else_stays() {
        let rows = [
            (
                "width 9.5 mm (0.374 in) is category 3 (5 to 15 mm)",
                "width 0.374 in (9.5 mm) is category 3 (5 to 15 mm)",
            ),
            ("test: <0.4 pCi/L (15 Bq/m3)", "test: <0.4 pCi/L (15 Bq/m3)"),
            ("a (0.30 mm (0.012 in)) b", "a (0.012 in (0.30 mm)) b"),
            ("no change (3 in), 4 mm", "no change (3 in), 4 mm"),
            ("rises -0.10 mm (-0.004 in).", "rises -0.004 in (-0.10 mm)."),
            ("ä 1 m (3 ft)", "ä 3 ft (1 m)"),
        ];
        for (text, us) in rows {
            assert_eq!(leading(Units::Us, text.into()), us);
        }
        assert_eq!(leading(Units::Metric, "test: <0.4 pCi/L (15 Bq/m3)".into()), "test: <15 Bq/m3 (0.4 pCi/L)");
        assert_eq!(leading(Units::Metric, "12.5 ft2 (1.161 m2) of mould".into()), "1.161 m2 (12.5 ft2) of mould");
    }

    proptest! {
        #[test]
        fn turned_twice_it_is_the_same(text in any::<String>(), value in 0_u32..9999, other in 0_u32..9999) {
            let text = format!("{text} {value} mm ({other} in) {text}");
            let us = leading(Units::Us, text.clone());
            prop_assert_eq!(leading(Units::Us, us.clone()), us.clone());
            prop_assert_eq!(leading(Units::Metric, us), leading(Units::Metric, text));
        }
    }
}
