//! The units people write, as one table: symbols, kind, and the exact way to the kind's stored unit.
//!
//! Stored units: mm, m2, L, s, L/min, Bq/m3, deg C, Pa, %. Gallons are US gallons of 231 cubic inches; `mil` is a
//! thousandth of an inch.
//!
//! Source: the inch is 25.4 mm, the pound 0.45359237 kg, the curie 3.7 × 10^10 Bq, standard gravity 9.80665 m/s2 and the
//! US gallon 231 in3, all by definition (NIST Special Publication 811, appendix B; quoted from memory, and checked against
//! an independent unit library by the reference rows).

use super::exact::Exact;
use super::kind::QuantityKind;
use super::kind::QuantityKind::{Activity, Area, Flow, Length, Pressure, Share, Span, Volume};

/// A unit: stored value = written value × `factor` + `offset`.
#[derive(Debug)]
pub(super) struct Unit {
    pub symbols: &'static [&'static str],
    pub kind: QuantityKind,
    pub factor: Exact,
    pub offset: Exact,
}

impl Unit {
    /// The unit a person meant by `symbol` (plain: no typographic forms).
    ///
    /// Exactly as listed, or else without regard to case when only one unit fits.
    pub fn find(symbol: &str) -> Option<&'static Unit> {
        let exact = UNITS.iter().find(|unit| unit.symbols.contains(&symbol));
        exact.or_else(|| {
            let mut folded =
                UNITS.iter().filter(|unit| unit.symbols.iter().any(|known| known.eq_ignore_ascii_case(symbol)));
            let first = folded.next();
            if folded.next().is_some() { None } else { first }
        })
    }

    pub fn is(&self, symbol: &str) -> bool {
        self.symbols[0] == symbol
    }
}

const fn unit(kind: QuantityKind, symbols: &'static [&'static str], num: i128, den: i128) -> Unit {
    Unit { symbols, kind, factor: Exact::new(num, den), offset: Exact::ZERO }
}

const fn degree(symbols: &'static [&'static str], factor: Exact, offset: Exact) -> Unit {
    Unit { symbols, kind: QuantityKind::Temperature, factor, offset }
}

pub(super) static UNITS: [Unit; 43] = [
    unit(Length, &["µm", "um"], 1, 1000),
    unit(Length, &["mil", "thou"], 254, 10_000),
    unit(Length, &["mm"], 1, 1),
    unit(Length, &["cm"], 10, 1),
    unit(Length, &["in", "\"", "inch", "inches"], 254, 10),
    unit(Length, &["ft", "'", "foot", "feet"], 3048, 10),
    unit(Length, &["yd", "yard", "yards"], 9144, 10),
    unit(Length, &["m"], 1000, 1),
    unit(Area, &["mm2"], 1, 1_000_000),
    unit(Area, &["cm2"], 1, 10_000),
    unit(Area, &["in2", "sqin"], 64_516, 100_000_000),
    unit(Area, &["ft2", "sqft"], 9_290_304, 100_000_000),
    unit(Area, &["m2"], 1, 1),
    unit(Volume, &["mL"], 1, 1000),
    unit(Volume, &["in3"], 16_387_064, 1_000_000_000),
    unit(Volume, &["L"], 1, 1),
    unit(Volume, &["gal", "gallon", "gallons"], 3_785_411_784, 1_000_000_000),
    unit(Volume, &["ft3"], 28_316_846_592, 1_000_000_000),
    unit(Volume, &["m3"], 1000, 1),
    unit(Span, &["s", "sec", "second", "seconds"], 1, 1),
    unit(Span, &["min", "mins", "minute", "minutes"], 60, 1),
    unit(Span, &["h", "hr", "hrs", "hour", "hours"], 3600, 1),
    unit(Span, &["d", "day", "days"], 86_400, 1),
    unit(Flow, &["gph", "gal/h"], 3_785_411_784, 60_000_000_000),
    unit(Flow, &["L/min"], 1, 1),
    unit(Flow, &["gpm", "gal/min"], 3_785_411_784, 1_000_000_000),
    unit(Flow, &["m3/h"], 1000, 60),
    unit(Flow, &["cfm", "ft3/min"], 28_316_846_592, 1_000_000_000),
    unit(Flow, &["L/s"], 60, 1),
    unit(Flow, &["m3/s"], 60_000, 1),
    unit(Activity, &["pCi/m3"], 37, 1000),
    unit(Activity, &["Bq/m3"], 1, 1),
    unit(Activity, &["pCi/L"], 37, 1),
    unit(Activity, &["Bq/L"], 1000, 1),
    unit(Activity, &["kBq/m3"], 1000, 1),
    unit(Activity, &["nCi/L"], 37_000, 1),
    degree(&["F", "°F"], Exact::new(5, 9), Exact::new(-160, 9)),
    degree(&["C", "°C"], Exact::ONE, Exact::ZERO),
    degree(&["K"], Exact::ONE, Exact::new(-27_315, 100)),
    unit(Pressure, &["Pa"], 1, 1),
    unit(Pressure, &["kPa"], 1000, 1),
    // pound force / square inch = 0.45359237 kg × 9.80665 m/s2 / 0.00064516 m2
    unit(Pressure, &["psi"], 44_482_216_152_605, 6_451_600_000),
    unit(Share, &["%"], 1, 1),
];
