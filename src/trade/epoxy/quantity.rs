//! How much resin a crack takes.
//!
//! The rule in words: width × depth × length, and what is lost on top. There is no published figure for the loss, so it is
//! asked for and never assumed: 10 to 25 % is common practice, more for block with hollow cores. The width is the mean over the
//! depth, not the widest at the surface.
//!
//! Source: geometry (derived).
//!
//! ```
//! use stemwall::quantity::{Length, Share};
//! use stemwall::trade::epoxy::quantity;
//! let [width, depth, length] = ["1/16 in", "8 in", "96 in"].map(|text| Length::parse(text).unwrap());
//! let resin = quantity(width, depth, length, Share::percent(10, 1)).unwrap();
//! assert_eq!(format!("{:.5}", resin.order.to_gal()), "0.22857");
//! ```

use crate::quantity::{Exact, Length, Share, Volume};
use crate::trade::input::{InputError, above_zero};
use crate::trade::verdict::{Rule, Standing};

/// mm3 in the stored unit of a volume, a litre.
const MM3_PER_LITRE: Exact = Exact::integer(1_000_000);
const HUNDRED: Exact = Exact::integer(100);

pub static QUANTITY: Rule = Rule {
    name: "epoxy-quantity",
    says: "mean width times depth times length, and the loss that is given on top; no published figure for the loss was found, 10 to \
           25 % is common practice, more for block with hollow cores",
    source: "geometry",
    standing: Standing::Derived,
    scope: "one crack of about even width; the mean over its depth, not the widest at the surface",
    variants: &[],
};

/// Resin for one crack.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quantity {
    /// What the crack holds.
    pub net: Volume,
    /// With what is lost.
    pub order: Volume,
}

/// Resin for a crack of that mean width, depth and length, `waste` lost on top. Errors name `width`, `depth`, `length`.
///
/// Exact wherever it fits. Source: [`QUANTITY`].
pub fn quantity(width: Length, depth: Length, length: Length, waste: Share) -> Result<Quantity, InputError> {
    let mut litres_f64 = 1.0 / MM3_PER_LITRE.to_f64();
    for (name, side) in [("width", width), ("depth", depth), ("length", length)] {
        litres_f64 *= above_zero(name, side.exact(), side.to_mm())?;
    }
    let litres = width
        .exact()
        .checked_mul(depth.exact())
        .and_then(|area| area.checked_mul(length.exact()))
        .and_then(|mm3| mm3.checked_div(MM3_PER_LITRE));
    let more = waste.exact().checked_div(HUNDRED).and_then(|share| share.checked_add(Exact::ONE));
    let net = volume(litres, litres_f64)?;
    let order = volume(litres.zip(more).and_then(|(l, m)| l.checked_mul(m)), litres_f64 * (1.0 + waste.to_fraction()))?;
    Ok(Quantity { net, order })
}

fn volume(exact: Option<Exact>, near: f64) -> Result<Volume, InputError> {
    exact.and_then(Volume::from_exact).or_else(|| Volume::nearest(near)).ok_or(InputError::TooLarge { input: "length" })
}

#[cfg(test)]
mod tests {
    use super::quantity;
    use crate::quantity::{Length, Share, Volume};
    use crate::trade::input::InputError;

    #[test]
    fn resin_is_width_times_depth_times_length_and_what_is_lost() {
        // By hand: 1/16 x 8 x 96 in is 48 in3; 231 in3 are a gallon, 1 in3 is 0.016387064 L.
        let cases = [
            ("1/16 in", "8 in", "96 in", 10, 52.8),
            ("1/16 in", "8 in", "96 in", 25, 60.0),
            ("0.020 in", "8 in", "96 in", 25, 19.2),
            ("1/8 in", "10 in", "120 in", 25, 187.5),
            ("1/8 in", "10 in", "120 in", 0, 150.0),
        ];
        for (width, depth, length, waste, cubic_inches) in cases {
            let [w, d, l] = [width, depth, length].map(|text| Length::parse(text).unwrap());
            let got = quantity(w, d, l, Share::percent(waste, 1)).unwrap();
            assert!((got.order.to_gal() - cubic_inches / 231.0).abs() < 1e-12, "{width} {waste} %");
            assert!((got.order.to_l() - cubic_inches * 0.016_387_064).abs() < 1e-12, "{width} {waste} %");
        }
        let litre = quantity(Length::mm(1, 1), Length::m(1, 1), Length::m(1, 1), Share::percent(50, 1)).unwrap();
        assert_eq!((litre.net, litre.order), (Volume::l(1, 1), Volume::l(3, 2)));
    }

    #[test]
    fn a_side_that_holds_nothing_is_named() {
        let (one, none) = (Length::mm(1, 1), Share::percent(0, 1));
        assert_eq!(quantity(Length::ZERO, one, one, none), Err(InputError::Zero { input: "width" }));
        assert_eq!(quantity(one, Length::mm(-1, 1), one, none), Err(InputError::Negative { input: "depth" }));
        let huge = Length::mm(i128::MAX / 4, 1);
        assert_eq!(quantity(huge, huge, huge, none), Err(InputError::TooLarge { input: "length" }));
    }
}
