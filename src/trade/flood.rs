//! What a flood of a depth costs a house, as a share of its value.
//!
//! The rule in words: the depth-damage rows of the Corps of Engineers give structure and contents as per cents of the
//! *structure's* value at whole feet from the first floor (-8 ft is a basement's floor); between two rows on a straight line,
//! outside them nothing. Means over floods of 1996 to 2001 with a wide scatter, without a price year: for comparing choices,
//! not for a claim. Rows above 8 ft are published and not held here.
//!
//! Source: USACE Economic Guidance Memorandum 04-01 (10 October 2003), rows as the Corps' own public programs carry them.
//!
//! ```
//! use stemwall::quantity::{Currency, Exact, Money};
//! use stemwall::trade::flood::{Building, damage};
//! let value = Money::parse("200000 USD", Currency::USD).unwrap();
//! let lost = damage(Building::OneStoreyBasement, Exact::integer(-4), value).unwrap();
//! assert_eq!(lost.structure_minor, Exact::integer(1_040_000));
//! ```

use super::input::InputError;
use super::verdict::{Rule, Standing};
use super::words::words;
use crate::quantity::{Exact, Money, Share};

pub static FLOOD_DAMAGE: Rule = Rule {
    name: "flood-damage",
    says: "structure and contents are lost as per cents of the structure's value by the depth from the first floor, on straight lines \
           between whole feet, and nothing is said outside -8 to 8 ft (without a basement -2 to 8 ft)",
    source: "USACE Economic Guidance Memorandum 04-01 (10 October 2003), as its public programs carry it",
    standing: Standing::SecondHand,
    scope: "one-family houses in fresh-water floods of 1996 to 2001; means with a wide scatter, no price year",
    variants: &[],
};

words! {
    /// The houses that rows are held for.
    Building {
        OneStoreyBasement = "one-storey-basement",
        /// Two storeys and more.
        TwoStoreyBasement = "two-storey-basement",
        /// Without a basement.
        OneStorey = "one-storey",
    }
}

/// Tenths of a per cent of the structure's value, structure and contents, from the lowest row up in steps of a foot.
type Rows = &'static [(i128, i128)];

#[rustfmt::skip]
const ONE_STOREY_BASEMENT: Rows = &[
    (0, 1), (7, 8), (8, 21), (24, 37), (52, 57), (90, 80), (138, 105), (194, 132),
    (255, 160), (320, 189), (387, 218), (455, 247), (522, 274), (586, 300), (645, 324), (698, 345), (742, 363),
];
#[rustfmt::skip]
const TWO_STOREY_BASEMENT: Rows = &[
    (17, 0), (17, 10), (19, 23), (29, 37), (47, 52), (72, 68), (102, 84), (139, 101),
    (179, 119), (223, 138), (270, 157), (319, 177), (369, 198), (419, 220), (469, 243), (518, 267), (564, 291),
];
#[rustfmt::skip]
const ONE_STOREY: Rows = &[
    (0, 0), (25, 24),
    (134, 81), (233, 133), (321, 179), (401, 220), (471, 257), (532, 288), (586, 315), (632, 338), (672, 357),
];

impl Building {
    /// Depth of the lowest row, ft, and the rows.
    fn rows(self) -> (i128, Rows) {
        match self {
            Building::OneStoreyBasement => (-8, ONE_STOREY_BASEMENT),
            Building::TwoStoreyBasement => (-8, TWO_STOREY_BASEMENT),
            Building::OneStorey => (-2, ONE_STOREY),
        }
    }
}

/// What is lost, exactly as the rows give it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Damage {
    /// Of the structure's value, both.
    pub structure: Share,
    pub contents: Share,
    /// In minor units of the value's currency.
    pub structure_minor: Exact,
    pub contents_minor: Exact,
}

/// Damage at a depth in feet from the first floor. Errors name `depth_ft` or `value`.
///
/// Source: [`FLOOD_DAMAGE`].
pub fn damage(building: Building, depth_ft: Exact, value: Money) -> Result<Damage, InputError> {
    let (lowest, rows) = building.rows();
    let outside = || match building {
        Building::OneStorey => InputError::Outside { input: "depth_ft", range: "the rows, -2 to 8 ft" },
        _ => InputError::Outside { input: "depth_ft", range: "the rows, -8 to 8 ft" },
    };
    let above = depth_ft.checked_sub(Exact::integer(lowest)).filter(|a| !a.is_negative()).ok_or_else(outside)?;
    let row = usize::try_from(above.numerator() / above.denominator()).map_err(|_| outside())?;
    let from = *rows.get(row).ok_or_else(outside)?;
    let part = Exact::ratio(above.numerator() % above.denominator(), above.denominator()).ok_or_else(outside)?;
    let to = match rows.get(row + 1) {
        Some(to) => *to,
        None if part.is_zero() => from,
        None => return Err(outside()),
    };
    let structure = between(from.0, to.0, part).ok_or_else(outside)?;
    let contents = between(from.1, to.1, part).ok_or_else(outside)?;
    let of_value = |share: Share| {
        let minor = Exact::integer(value.minor.into()).checked_mul(share.exact())?;
        minor.checked_div(Exact::integer(100))
    };
    let too_large = InputError::TooLarge { input: "value" };
    Ok(Damage {
        structure,
        contents,
        structure_minor: of_value(structure).ok_or(too_large.clone())?,
        contents_minor: of_value(contents).ok_or(too_large)?,
    })
}

/// Between two rows in tenths of a per cent.
fn between(from: i128, to: i128, part: Exact) -> Option<Share> {
    let tenths = Exact::integer(to - from).checked_mul(part)?.checked_add(Exact::integer(from))?;
    Share::from_exact(tenths.checked_div(Exact::integer(10))?)
}

#[cfg(test)]
mod tests {
    use super::{Building, Damage, damage};
    use crate::quantity::{Currency, Exact, Money, Share};

    const VALUE: Money = Money { minor: 20_000_000, currency: Currency::USD };

    fn at(building: Building, depth: &str) -> Result<Damage, &'static str> {
        damage(building, Exact::from_decimal_str(depth).unwrap(), VALUE).map_err(|e| e.input())
    }

    #[test]
    fn rows_are_given_back() {
        // EGM 04-01, % of the structure's value.
        let one = Building::OneStoreyBasement;
        let two = Building::TwoStoreyBasement;
        let none = Building::OneStorey;
        let cases = [
            (one, "-8", 0, 1),
            (one, "-4", 52, 57),
            (one, "0", 255, 160),
            (one, "4", 522, 274),
            (one, "8", 742, 363),
            (two, "-8", 17, 0),
            (two, "-1", 139, 101),
            (two, "2", 270, 157),
            (two, "8", 564, 291),
            (none, "-2", 0, 0),
            (none, "-1", 25, 24),
            (none, "1", 233, 133),
            (none, "8", 672, 357),
        ];
        for (building, depth, structure, contents) in cases {
            let got = at(building, depth).unwrap();
            let want = (Share::percent(structure, 10), Share::percent(contents, 10));
            assert_eq!((got.structure, got.contents), want, "{building} {depth} ft");
        }
        // 5.2 % and 5.7 % of 200,000 USD: 10,400 and 11,400.
        let four_down = at(one, "-4").unwrap();
        assert_eq!(
            (four_down.structure_minor, four_down.contents_minor),
            (Exact::integer(1_040_000), Exact::integer(1_140_000))
        );
    }

    #[test]
    fn between_rows_the_line_is_straight() {
        // -6.5 ft: (0.7 + 0.8) / 2 = 0.75 % = 1,500 USD; (0.8 + 2.1) / 2 = 1.45 % = 2,900 USD.
        let got = at(Building::OneStoreyBasement, "-6.5").unwrap();
        assert_eq!((got.structure_minor, got.contents_minor), (Exact::integer(150_000), Exact::integer(290_000)));
    }

    #[test]
    fn nothing_is_said_outside_the_rows() {
        for (building, depth) in [
            (Building::OneStoreyBasement, "-8.01"),
            (Building::OneStoreyBasement, "8.01"),
            (Building::OneStorey, "-2.01"),
            (Building::OneStorey, "9"),
            (Building::TwoStoreyBasement, "100000000000000000000000000000"),
            (Building::TwoStoreyBasement, "-100000000000000000000000000000"),
        ] {
            assert_eq!(at(building, depth).unwrap_err(), "depth_ft", "{building} {depth}");
        }
    }
}
