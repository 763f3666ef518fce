//! Tensile strain of a wall and the damage that was seen at it.
//!
//! The rule in words: category 0 below 0.05 %, 1 below 0.075 %, 2 below 0.15 %, 3 below 0.3 %, 4 from there. The published
//! ranges share their edges; the lower edge belongs to its category here, because the last row says "0.3 and more".
//!
//! ```
//! use stemwall::quantity::Exact;
//! assert_eq!(stemwall::trade::strain::category(Exact::new(10, 100)), 2);
//! ```

use super::verdict::{Rule, Standing};
use crate::quantity::Exact;

/// Lower edges of categories 1 to 4, per cent: Boscardin and Cording 1989; read.
pub const FROM_PCT: [Exact; 4] = [Exact::new(5, 100), Exact::new(75, 1000), Exact::new(15, 100), Exact::new(3, 10)];

pub static STRAIN: Rule = Rule {
    name: "strain-category",
    says: "category 0 (negligible) below 0.05 % of tensile strain, 1 below 0.075 %, 2 below 0.15 %, 3 below 0.3 %, 4 (severe to \
           very severe) from 0.3 %",
    source: "Boscardin and Cording 1989, Building response to excavation-induced settlement, ASCE Journal of Geotechnical \
             Engineering 115(1)",
    standing: Standing::Read,
    scope: "brick-bearing and small frame buildings beside an excavation; the published ranges share their edges",
    variants: &[],
};

/// Category 0 to 4 by limiting tensile strain in per cent, lower edges included. Source: Boscardin and Cording 1989.
pub fn category(strain_pct: Exact) -> u8 {
    FROM_PCT.iter().map(|edge| u8::from(strain_pct >= *edge)).sum()
}

#[cfg(test)]
mod tests {
    use super::category;
    use crate::quantity::Exact;

    #[test]
    fn edges_belong_to_the_category_they_begin() {
        // Boscardin and Cording 1989, the table of limiting tensile strain.
        for (pct, expected) in [
            ("0", 0),
            ("0.0499", 0),
            ("0.05", 1),
            ("0.0749", 1),
            ("0.075", 2),
            ("0.10", 2),
            ("0.15", 3),
            ("0.2999", 3),
            ("0.3", 4),
            ("5", 4),
        ] {
            assert_eq!(category(Exact::from_decimal_str(pct).unwrap()), expected, "{pct} %");
        }
    }
}
