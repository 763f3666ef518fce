//! The moisture that wood settles at in air of a temperature and humidity.
//!
//! 1800/W [K h / (1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2) / (1 + K1 K h + K1 K2 K^2 h^2)], h the relative humidity as a fraction,
//! W, K, K1, K2 quadratics of the temperature in C. Per cent of the dry mass. The figures are for trends to 0.1 point: they lie
//! midway between wetting and drying, and species differ.
//!
//! Source: USDA Wood Handbook, FPL-GTR-282 (2021), chapter 4, equation 4-5, as a fact sheet quotes it; Table 4-2 as reprinted.
//!
//! ```
//! use stemwall::quantity::{Share, Temperature};
//! use stemwall::trade::wood::moisture;
//! let settled = moisture(Temperature::fahrenheit(70, 1), Share::percent(50, 1)).unwrap();
//! assert_eq!(format!("{:.1}", settled.to_percent()), "9.2");
//! ```

use super::air::relative;
use super::input::InputError;
use super::verdict::{Rule, Standing};
use crate::quantity::{Share, Temperature};

/// Temperatures reckoned with: somewhat below the table's 30 F, for crawl spaces in winter (design rule of this program, no
/// published source), to its 270 F.
pub const FROM: Temperature = Temperature::celsius(-40, 1);
pub const TO: Temperature = Temperature::fahrenheit(270, 1);

pub static WOOD_EMC: Rule = Rule {
    name: "wood-emc",
    says: "wood settles at the equilibrium moisture content of equation 4-5, by temperature and relative humidity",
    source: "USDA Wood Handbook, FPL-GTR-282 (2021), chapter 4, equation 4-5 and Table 4-2",
    standing: Standing::SecondHand,
    scope: "wood in general, midway between wetting and drying; the table spans 30 to 270 F and 5 to 95 %",
    variants: &[],
};

/// Equilibrium moisture content of wood. Errors name `temperature` or `humidity`.
///
/// Source: [`WOOD_EMC`].
pub fn moisture(temperature: Temperature, humidity: Share) -> Result<Share, InputError> {
    if temperature < FROM || temperature > TO {
        return Err(InputError::Outside { input: "temperature", range: "-40 to 132 C (-40 to 270 F)" });
    }
    let h = relative(humidity)? / 100.0;
    let t = temperature.to_celsius();
    let quadratic = |a: f64, b: f64, c: f64| a + t * (b + t * c);
    let w = quadratic(349.0, 1.29, 0.0135);
    let kh = h * quadratic(0.805, 0.000_736, -0.000_002_73);
    let k1 = quadratic(6.27, -0.009_38, -0.000_303);
    let k2 = quadratic(1.91, 0.0407, -0.000_293);
    let (one, two) = (k1 * kh, k1 * k2 * kh * kh);
    let percent = 1800.0 / w * (kh / (1.0 - kh) + (one + 2.0 * two) / (1.0 + one + two));
    Share::nearest(percent).ok_or(InputError::Outside { input: "temperature", range: "what the equation holds for" })
}

#[cfg(test)]
mod tests {
    use super::moisture;
    use crate::quantity::{Share, Temperature};
    use crate::trade::air::{dew_point, saturation, surface_humidity};
    use crate::trade::radon::reference_tests::{cell, near, rows_of};

    #[test]
    fn the_printed_table_is_given_back() {
        // Wood Handbook Table 4-2, %: humidity, then 30, 50, 60, 70, 80, 90 F. The last cell of the last row is not printed.
        let table: [(i128, [f64; 6]); 11] = [
            (20, [4.6, 4.6, 4.6, 4.5, 4.4, 4.3]),
            (25, [5.5, 5.5, 5.4, 5.4, 5.3, 5.1]),
            (30, [6.3, 6.3, 6.2, 6.2, 6.1, 5.9]),
            (40, [7.9, 7.9, 7.8, 7.7, 7.6, 7.4]),
            (50, [9.5, 9.5, 9.4, 9.2, 9.1, 8.9]),
            (60, [11.3, 11.2, 11.1, 11.0, 10.8, 10.5]),
            (70, [13.5, 13.4, 13.3, 13.1, 12.9, 12.6]),
            (75, [14.9, 14.8, 14.6, 14.4, 14.2, 13.9]),
            (80, [16.5, 16.4, 16.2, 16.0, 15.7, 15.4]),
            (85, [18.5, 18.4, 18.2, 17.9, 17.7, 17.3]),
            (90, [21.0, 20.9, 20.7, 20.5, 20.2, f64::NAN]),
        ];
        for (humidity, cells) in table {
            for (fahrenheit, printed) in [30, 50, 60, 70, 80, 90].into_iter().zip(cells).filter(|(_, p)| !p.is_nan()) {
                let got = moisture(Temperature::fahrenheit(fahrenheit, 1), Share::percent(humidity, 1)).unwrap();
                assert!((got.to_percent() - printed).abs() < 0.1, "{fahrenheit} F {humidity} %: {got:?}");
            }
        }
    }

    #[test]
    fn dry_air_dries_wood_and_no_humidity_breaks_it() {
        let at = |celsius, percent| moisture(Temperature::celsius(celsius, 1), Share::percent(percent, 1));
        assert_eq!(at(20, 0), Ok(Share::ZERO));
        assert!((at(20, 65).unwrap().to_percent() - 11.996).abs() < 5e-4, "fact sheet quoting FPL-GTR-282");
        assert_eq!(at(20, 101).unwrap_err().input(), "humidity");
        assert_eq!(at(-41, 50).unwrap_err().input(), "temperature");
        assert_eq!(at(133, 50).unwrap_err().input(), "temperature");
        for celsius in -40..=132 {
            let full = at(celsius, 100).unwrap().to_percent();
            assert!((5.0..40.0).contains(&full), "{celsius} C: {full}");
        }
    }

    #[test]
    fn reference_air_and_wood() {
        // Rows computed by psychrolib and numpy; see `tests/reference/README.md`.
        let rows = rows_of(include_str!("../../tests/reference/moisture.csv"));
        assert_eq!(rows.len(), 140);
        for row in &rows {
            let id = row["id"].as_str();
            let [air, surface] =
                ["air_c", "surface_c"].map(|name| Temperature::parse(&format!("{} C", row[name])).unwrap());
            let humidity = Share::parse(&format!("{} %", row["rh_pct"])).unwrap();
            near(id, "saturation", Some(saturation(air).unwrap().to_pa()), cell(row, "sat_pressure_pa"), 1e-6);
            let dew = dew_point(air, humidity).unwrap().map(Temperature::to_celsius);
            let off = (dew.unwrap() - cell(row, "dew_point_c").unwrap()).abs();
            // The library goes over to ice at the triple point, 0.01 C, and not at 0 C.
            let allowed = if dew.unwrap().abs() < 0.02 { 1e-3 } else { 1e-5 };
            assert!(off < allowed, "{id} dew point is {off} off");
            let at = surface_humidity(air, humidity, surface).unwrap();
            near(id, "at the surface", Some(at.humidity.to_percent()), cell(row, "surface_rh_pct"), 1e-6);
            assert_eq!(at.condenses, row["condenses"] == "true", "{id}");
            near(id, "wood", Some(moisture(air, humidity).unwrap().to_percent()), cell(row, "emc_air_pct"), 1e-9);
        }
    }
}
