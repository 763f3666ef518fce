//! Computed figures for people: the ledger's choice of units, and digits that say no more than is known.

use serde::{Deserialize, Serialize};

use super::exact::Exact;

/// Which units figures are shown in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Units {
    /// Inches, feet, US gallons, degrees Fahrenheit, picocuries per litre.
    Us,
    /// Millimetres, metres, litres, degrees Celsius, becquerels per cubic metre.
    Metric,
}

impl Units {
    pub const ALL: [Units; 2] = [Units::Us, Units::Metric];

    pub const fn word(self) -> &'static str {
        match self {
            Units::Us => "us",
            Units::Metric => "metric",
        }
    }

    pub fn from_word(word: &str) -> Option<Units> {
        Units::ALL.into_iter().find(|units| units.word() == word)
    }
}

/// Decimals beyond which nothing is shown, however small the number.
const MOST_PLACES: u32 = 12;

/// With exactly `places` decimals, or as many as a small number needs so as not to read as zero.
pub(super) fn fixed(value: Exact, places: u32) -> String {
    let places = enough_places(value, places);
    let mut text = value.decimal(places);
    let shown = text.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    if places > 0 && shown == 0 {
        text.push('.');
    }
    text.extend(std::iter::repeat_n('0', places as usize - shown));
    text
}

/// With at most `places` decimals and no trailing zeros, or as many as a small number needs so as not to read as zero.
pub(super) fn trimmed(value: Exact, places: u32) -> String {
    value.decimal(enough_places(value, places))
}

/// About two figures, but never less than the whole number: none behind the point from 10 up, one from 1, two below.
pub(super) fn rough(value: Exact) -> String {
    let size = value.abs();
    let places = match () {
        () if size >= Exact::integer(10) => 0,
        () if size >= Exact::ONE => 1,
        () => 2,
    };
    trimmed(value, places)
}

fn enough_places(value: Exact, places: u32) -> u32 {
    let reads_as_zero = |places: u32| value.decimal(places) == "0";
    if value.is_zero() || !reads_as_zero(places) {
        return places;
    }
    (places + 1..=MOST_PLACES).find(|places| !reads_as_zero(*places)).unwrap_or(places)
}

#[cfg(test)]
mod tests {
    use super::super::{Activity, Area, Flow, Length, Pressure, Share, Span, Temperature, Volume};
    use super::Units::{Metric, Us};
    use super::*;

    #[test]
    fn figures_say_no_more_than_is_known() {
        // Hand arithmetic: 18 gpm is 68.137 L/min, 4.2 pCi/L is 155.4 Bq/m3, 1100 ft2 is 102.19 m2, 72 F is 22.22 C.
        let rows = [
            (Length::mm(60, 100).show_small(Metric), "0.60 mm"),
            (Length::mm(60, 100).show_small(Us), "0.024 in (0.60 mm)"),
            (Length::mm(-1, 10).show_small(Us), "-0.004 in (-0.10 mm)"),
            (Length::mm(125, 10).show_small(Us), "0.49 in (12.5 mm)"),
            (Length::mm(4, 1000).show_small(Us), "0.0002 in (0.004 mm)"),
            (Length::ZERO.show_small(Metric), "0.00 mm"),
            (Length::feet(4, 1).show(Us), "4 ft"),
            (Length::feet(4, 1).show(Metric), "1.2 m"),
            (Length::inches(18, 1).show(Us), "18 in"),
            (Length::mm(450, 1).show(Metric), "45 cm"),
            (Length::inches(3, 16).show(Metric), "4.8 mm"),
            (Length::feet(-4, 1).show(Us), "-4 ft"),
            (Area::ft2(1100, 1).show(Us), "1100 ft2"),
            (Area::ft2(1100, 1).show(Metric), "102 m2"),
            (Volume::gal(5, 1).show(Us), "5 gal"),
            (Volume::gal(5, 1).show(Metric), "19 L"),
            (Flow::gpm(18, 1).show(Us), "18 gpm"),
            (Flow::gpm(18, 1).show(Metric), "68 L/min"),
            (Flow::gpm(125, 100).show(Us), "1.3 gpm"),
            (Activity::pci_l(42, 10).show(Us), "4.2 pCi/L"),
            (Activity::pci_l(42, 10).show(Metric), "155 Bq/m3"),
            (Activity::pci_l(395, 100).show(Us), "4.0 pCi/L"),
            (Activity::pci_l(4, 100).show(Us), "0.04 pCi/L"),
            (Temperature::fahrenheit(72, 1).show(Us), "72 F"),
            (Temperature::fahrenheit(72, 1).show(Metric), "22.2 C"),
            (Temperature::celsius(-1, 1000).show(Metric), "-0.001 C"),
            (Pressure::psi(3, 1).show(Us), "3 psi"),
            (Pressure::psi(3, 1).show(Metric), "21 kPa"),
            (Pressure::pa(850, 1).show(Metric), "850 Pa"),
            (Share::percent(18, 1).show(Us), "18 %"),
            (Share::percent(25, 2).show(Metric), "12.5 %"),
            (Share::percent(1, 30).show(Metric), "0.03 %"),
            (Span::seconds(25, 2).show(Us), "12.5 s"),
            (Span::seconds(5999, 100).show(Us), "1 min"),
            (Span::seconds(78, 1).show(Us), "1 min 18 s"),
            (Span::seconds(36_000 - 4, 10).show(Us), "1 h"),
            (Span::minutes(90, 1).show(Us), "1 h 30 min"),
            (Span::hours(48, 1).show(Us), "48 h"),
            (Span::hours(51, 1).show(Us), "2 days 3 h"),
            (Span::days(91, 1).show(Metric), "91 days"),
        ];
        for (shown, expected) in rows {
            assert_eq!(shown, expected);
        }
    }

    #[test]
    fn absurd_sizes_are_shown_without_panic() {
        let most = Exact::MAX;
        let least = Exact::new(1, i128::MAX);
        for exact in [most, least, Exact::new(i128::MAX, i128::MAX - 1), Exact::new(i128::MAX - 1, i128::MAX)] {
            for units in Units::ALL {
                let shown = [
                    Length::from_exact(exact).map(|length| length.show(units)),
                    Length::from_exact(exact.negated()).map(|length| length.show_small(units)),
                    Area::from_exact(exact).map(|area| area.show(units)),
                    Volume::from_exact(exact).map(|volume| volume.show(units)),
                    Span::from_exact(exact).map(|span| span.show(units)),
                    Flow::from_exact(exact).map(|flow| flow.show(units)),
                    Activity::from_exact(exact).map(|activity| activity.show(units)),
                    Temperature::from_exact(exact).map(|temperature| temperature.show(units)),
                    Pressure::from_exact(exact).map(|pressure| pressure.show(units)),
                    Share::from_exact(exact).map(|share| share.show(units)),
                ];
                for text in shown {
                    assert!(
                        text.expect("both sizes are in range").starts_with(|c: char| c == '-' || c.is_ascii_digit())
                    );
                }
            }
        }
        assert_eq!(Area::from_exact(Exact::new(-1, 2)), None);
        assert_eq!(Temperature::from_exact(Exact::integer(-274)), None);
        assert_eq!(Length::mean(&[]), None);
    }

    #[test]
    fn units_are_stored_as_their_words() {
        for units in Units::ALL {
            assert_eq!(Units::from_word(units.word()), Some(units));
            assert_eq!(serde_json::to_string(&units).unwrap(), format!("\"{}\"", units.word()));
        }
    }
}
