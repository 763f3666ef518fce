//! What units mean: said once, for whoever asks on whose authority a quantity was converted.

use super::verdict::{Rule, Standing};

pub static UNITS: Rule = Rule {
    name: "units",
    says: "the inch is 25.4 mm, the US gallon 231 in3, the pound 0.45359237 kg, standard gravity 9.80665 m/s2 and the curie \
           3.7 x 10^10 Bq, all by definition; numbers are taken as they are written, exactly",
    source: "NIST Special Publication 811, appendix B",
    standing: Standing::Memory,
    scope: "units this program reads; checked against an independent library of units",
    variants: &[],
};
