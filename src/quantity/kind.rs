//! The kinds of quantities there are, their words, and how people write them.

use super::exact::Exact;
use super::unit::UNITS;

/// What a quantity measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum QuantityKind {
    Length,
    Area,
    Volume,
    Span,
    Flow,
    Activity,
    Temperature,
    Pressure,
    Share,
}

impl QuantityKind {
    pub const ALL: [QuantityKind; 9] = [
        QuantityKind::Length,
        QuantityKind::Area,
        QuantityKind::Volume,
        QuantityKind::Span,
        QuantityKind::Flow,
        QuantityKind::Activity,
        QuantityKind::Temperature,
        QuantityKind::Pressure,
        QuantityKind::Share,
    ];

    /// The kind's name for people and on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            QuantityKind::Length => "length",
            QuantityKind::Area => "area",
            QuantityKind::Volume => "volume",
            QuantityKind::Span => "time",
            QuantityKind::Flow => "flow",
            QuantityKind::Activity => "activity",
            QuantityKind::Temperature => "temperature",
            QuantityKind::Pressure => "pressure",
            QuantityKind::Share => "ratio",
        }
    }

    pub fn from_word(word: &str) -> Option<QuantityKind> {
        QuantityKind::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// The name under which a stored quantity of this kind keeps its value: its unit.
    pub const fn stored_key(self) -> &'static str {
        match self {
            QuantityKind::Length => "mm",
            QuantityKind::Area => "m2",
            QuantityKind::Volume => "l",
            QuantityKind::Span => "s",
            QuantityKind::Flow => "l_min",
            QuantityKind::Activity => "bq_m3",
            QuantityKind::Temperature => "c",
            QuantityKind::Pressure => "pa",
            QuantityKind::Share => "pct",
        }
    }

    /// The stored unit in words.
    pub const fn stored_unit(self) -> &'static str {
        match self {
            QuantityKind::Length => "millimetres",
            QuantityKind::Area => "square metres",
            QuantityKind::Volume => "litres",
            QuantityKind::Span => "seconds",
            QuantityKind::Flow => "litres per minute",
            QuantityKind::Activity => "becquerels per cubic metre",
            QuantityKind::Temperature => "degrees Celsius",
            QuantityKind::Pressure => "pascals",
            QuantityKind::Share => "per cent",
        }
    }

    /// How one is written, for advice: each example in backticks.
    pub const fn examples(self) -> &'static str {
        match self {
            QuantityKind::Length => "`3/16 in`, `4.8 mm`, `2 ft 3 in`",
            QuantityKind::Area => "`1100 ft2`, `102 m2`",
            QuantityKind::Volume => "`5 gal`, `750 mL`",
            QuantityKind::Span => "`48 h`, `15 s`, `1 h 30 min`",
            QuantityKind::Flow => "`18 gpm`, `68 L/min`",
            QuantityKind::Activity => "`4.2 pCi/L`, `155 Bq/m3`",
            QuantityKind::Temperature => "`72 F`, `22.5 C`",
            QuantityKind::Pressure => "`3 psi`, `20 kPa`",
            QuantityKind::Share => "`18 %`, `12.5 %`",
        }
    }

    /// The first two units somebody would reach for, for advice.
    pub(super) const fn usual_units(self) -> &'static [&'static str] {
        match self {
            QuantityKind::Length => &["mm", "in"],
            QuantityKind::Area => &["ft2", "m2"],
            QuantityKind::Volume => &["gal", "L"],
            QuantityKind::Span => &["h", "min"],
            QuantityKind::Flow => &["gpm", "L/min"],
            QuantityKind::Activity => &["pCi/L", "Bq/m3"],
            QuantityKind::Temperature => &["F", "C"],
            QuantityKind::Pressure => &["psi", "kPa"],
            QuantityKind::Share => &["%"],
        }
    }

    /// The units of this kind, by their first symbols, smallest first.
    pub fn units(self) -> Vec<&'static str> {
        UNITS.iter().filter(|unit| unit.kind == self).map(|unit| unit.symbols[0]).collect()
    }

    /// SI value = stored value × factor + offset (m, m2, m3, s, m3/s, Bq/m3, K, Pa, 1).
    pub(super) const fn to_si(self) -> (Exact, Exact) {
        match self {
            QuantityKind::Length | QuantityKind::Volume => (Exact::new(1, 1000), Exact::ZERO),
            QuantityKind::Flow => (Exact::new(1, 60_000), Exact::ZERO),
            QuantityKind::Share => (Exact::new(1, 100), Exact::ZERO),
            QuantityKind::Temperature => (Exact::ONE, Exact::new(27_315, 100)),
            QuantityKind::Area | QuantityKind::Span | QuantityKind::Activity | QuantityKind::Pressure => {
                (Exact::ONE, Exact::ZERO)
            }
        }
    }
}
