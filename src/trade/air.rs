//! Moist air: saturation pressure, dew point, and the humidity at a colder surface.
//!
//! Saturation by the equations of the ASHRAE Handbook: over water from 0 C on, over ice below. The dew point (below 0 C the
//! frost point) is where the air's vapour pressure is the saturation pressure. The same vapour at a surface of another
//! temperature makes a humidity there of the air's times the quotient of saturation pressures; from 100 % on water condenses.
//!
//! Temperatures from -100 to 200 C. Source: ASHRAE Handbook - Fundamentals 2017, chapter 1, equations 5 and 6 (coefficients from
//! memory, held to its Table 3).
//!
//! ```
//! use stemwall::quantity::{Share, Temperature};
//! use stemwall::trade::air::dew_point;
//! let dew = dew_point(Temperature::fahrenheit(75, 1), Share::percent(60, 1)).unwrap().unwrap();
//! assert_eq!(format!("{:.1}", dew.to_fahrenheit()), "60.2");
//! ```

use super::input::InputError;
use super::verdict::{Rule, Standing, Variant};
use crate::quantity::{Pressure, Share, Temperature};

/// Lowest and highest temperature of the equations: ASHRAE Handbook - Fundamentals 2017, chapter 1; read.
pub const FROM: Temperature = Temperature::celsius(-100, 1);
pub const TO: Temperature = Temperature::celsius(200, 1);
const KELVIN: f64 = 273.15;
const SATURATED: Share = Share::percent(100, 1);

pub static SATURATION: Rule = Rule {
    name: "saturation-pressure",
    says: "saturation pressure over water from 0 C on, over ice below, by the Handbook's equations 5 and 6",
    source: "ASHRAE Handbook - Fundamentals 2017, chapter 1",
    standing: Standing::Memory,
    scope: "-100 to 200 C; the coefficients were held to the printed Table 3 within 0.03 %",
    variants: &[Variant {
        name: "wmo-magnus",
        says: "6.112 exp(17.62 t / (243.12 + t)) hPa, over water only",
        source: "WMO-No. 8, Annex 4.B",
        standing: Standing::SecondHand,
    }],
};

pub static DEW_POINT: Rule = Rule {
    name: "dew-point",
    says: "the dew point, below 0 C the frost point, is where the air's vapour pressure is the saturation pressure",
    source: "ASHRAE Handbook - Fundamentals 2017, chapter 1; the inversion is arithmetic",
    standing: Standing::Derived,
    scope: "air at the pressure of houses",
    variants: &[],
};

pub static AT_SURFACE: Rule = Rule {
    name: "humidity-at-surface",
    says: "humidity at a surface is the air's times saturation at the air over saturation at the surface; from 100 % on it condenses",
    source: "ASHRAE Handbook - Fundamentals 2017, chapter 1; the quotient is arithmetic",
    standing: Standing::Derived,
    scope: "air that is mixed, and a surface whose own temperature was read",
    variants: &[],
};

/// Saturation pressure. Errors name `temperature`.
///
/// Source: [`SATURATION`].
pub fn saturation(temperature: Temperature) -> Result<Pressure, InputError> {
    let pa = saturation_pa("temperature", temperature)?;
    Pressure::nearest(pa).ok_or(InputError::TooLarge { input: "temperature" })
}

/// Dew point, or frost point below 0 C; `None` where the air holds less vapour than -100 C has. Errors name `air` or `humidity`.
///
/// Source: [`DEW_POINT`].
pub fn dew_point(air: Temperature, humidity: Share) -> Result<Option<Temperature>, InputError> {
    let vapour = vapour_pa(air, humidity)?;
    if vapour < over_ice(FROM.to_celsius()) {
        return Ok(None);
    }
    // The two equations do not quite meet at 0 C; a pressure between them is the dew point 0.
    let celsius = match vapour {
        v if v >= over_water(0.0) => solve(over_water, v, 0.0, TO.to_celsius()),
        v if v < over_ice(0.0) => solve(over_ice, v, FROM.to_celsius(), 0.0),
        _ => 0.0,
    };
    Ok(Temperature::nearest(celsius))
}

/// Humidity at a surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtSurface {
    /// Not capped: above 100 % where it condenses.
    pub humidity: Share,
    pub condenses: bool,
}

/// Humidity that the air's vapour makes at a surface. Errors name `air`, `humidity` or `surface`.
///
/// Source: [`AT_SURFACE`].
pub fn surface_humidity(air: Temperature, humidity: Share, surface: Temperature) -> Result<AtSurface, InputError> {
    let vapour = vapour_pa(air, humidity)?;
    let at = saturation_pa("surface", surface)?;
    // A surface as warm as the air has the air's humidity to the last digit.
    let humidity = match air == surface {
        true => humidity,
        false => Share::nearest(100.0 * vapour / at).ok_or(InputError::TooLarge { input: "humidity" })?,
    };
    Ok(AtSurface { humidity, condenses: humidity >= SATURATED })
}

/// `humidity` if it is at most 100 %.
pub(super) fn relative(humidity: Share) -> Result<f64, InputError> {
    if humidity > SATURATED {
        return Err(InputError::Outside { input: "humidity", range: "0 to 100 %" });
    }
    Ok(humidity.to_percent())
}

fn vapour_pa(air: Temperature, humidity: Share) -> Result<f64, InputError> {
    let share = relative(humidity)? / 100.0;
    Ok(share * saturation_pa("air", air)?)
}

fn saturation_pa(input: &'static str, temperature: Temperature) -> Result<f64, InputError> {
    if temperature < FROM || temperature > TO {
        return Err(InputError::Outside { input, range: "-100 to 200 C (-148 to 392 F)" });
    }
    let celsius = temperature.to_celsius();
    Ok(if celsius < 0.0 { over_ice(celsius) } else { over_water(celsius) })
}

/// Equation 6, Pa.
fn over_water(celsius: f64) -> f64 {
    let t = celsius + KELVIN;
    let polynomial = 1.391_499_3 + t * (-4.864_023_9e-2 + t * (4.176_476_8e-5 - t * 1.445_209_3e-8));
    (-5.800_220_6e3 / t + polynomial + 6.545_967_3 * t.ln()).exp()
}

/// Equation 5, Pa.
fn over_ice(celsius: f64) -> f64 {
    let t = celsius + KELVIN;
    let polynomial =
        6.392_524_7 + t * (-9.677_843e-3 + t * (6.221_570_1e-7 + t * (2.074_782_5e-9 - t * 9.484_024e-13)));
    (-5.674_535_9e3 / t + polynomial + 4.163_501_9 * t.ln()).exp()
}

/// The temperature at which a rising function has a value that it has between `low` and `high`, by halving.
fn solve(pressure: fn(f64) -> f64, value: f64, mut low: f64, mut high: f64) -> f64 {
    // 300 K halved 60 times is far below what a double can tell apart.
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if pressure(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::{dew_point, saturation, surface_humidity};
    use crate::quantity::{Pressure, Share, Temperature};

    fn t(text: &str) -> Temperature {
        Temperature::parse(text).unwrap()
    }

    #[test]
    fn saturation_is_that_of_the_printed_table() {
        // ASHRAE Handbook - Fundamentals 2017, chapter 1, Table 3.
        let table = [("-20 C", 103.24), ("5 C", 872.6), ("25 C", 3169.7)];
        let psi = [("23 F", 0.058_268), ("41 F", 0.126_56), ("77 F", 0.459_73), ("212 F", 14.7094)];
        let in_pa = psi.map(|(text, psi)| (text, psi * Pressure::parse("1 psi").unwrap().to_pa()));
        for (text, pa) in table.into_iter().chain(in_pa) {
            let got = saturation(t(text)).unwrap().to_pa();
            assert!((got / pa - 1.0).abs() < 3e-4, "{text}: {got}, printed {pa}");
        }
        for outside in ["-100.1 C", "200.1 C"] {
            assert_eq!(saturation(t(outside)).unwrap_err().input(), "temperature");
        }
    }

    #[test]
    fn dew_points_are_those_of_two_libraries() {
        // psychrolib 2.5.0 and CoolProp 8.0.0, F.
        let cases = [
            ("70 F", 50, 50.53),
            ("75 F", 60, 60.19),
            ("80 F", 60, 64.88),
            ("80 F", 70, 69.34),
            ("85 F", 60, 69.56),
            ("68 F", 60, 53.61),
            ("60 F", 80, 53.82),
            ("90 F", 70, 78.89),
        ];
        for (air, humidity, want) in cases {
            let got = dew_point(t(air), Share::percent(humidity, 1)).unwrap().unwrap().to_fahrenheit();
            assert!((got - want).abs() < 0.011, "{air} {humidity} %: {got}");
        }
    }

    #[test]
    fn saturated_air_has_its_own_dew_point_and_dry_air_none() {
        for air in ["-40 C", "-0.001 C", "0 C", "0.001 C", "35 C"] {
            let dew = dew_point(t(air), Share::percent(100, 1)).unwrap().unwrap();
            assert!((dew.to_celsius() - t(air).to_celsius()).abs() < 1e-6, "{air}: {dew:?}");
        }
        assert_eq!(dew_point(t("20 C"), Share::ZERO), Ok(None));
        assert_eq!(dew_point(t("20 C"), Share::percent(1001, 10)).unwrap_err().input(), "humidity");
        assert_eq!(dew_point(t("201 C"), Share::percent(50, 1)).unwrap_err().input(), "air");
    }

    #[test]
    fn a_colder_surface_is_damper() {
        // psychrolib 2.5.0, %.
        let cases = [
            ("70 F", 50, "55 F", 84.84, false),
            ("75 F", 60, "65 F", 84.40, false),
            ("80 F", 60, "65 F", 99.57, false),
            ("80 F", 70, "70 F", 97.76, false),
            ("85 F", 60, "68 F", 105.50, true),
        ];
        for (air, humidity, surface, want, condenses) in cases {
            let got = surface_humidity(t(air), Share::percent(humidity, 1), t(surface)).unwrap();
            assert!((got.humidity.to_percent() - want).abs() < 0.011, "{air} {surface}: {got:?}");
            assert_eq!(got.condenses, condenses, "{air} {surface}");
        }
        let same = surface_humidity(t("21.3 C"), Share::percent(100, 1), t("21.3 C")).unwrap();
        assert!(same.condenses && same.humidity == Share::percent(100, 1));
        assert_eq!(surface_humidity(t("20 C"), Share::ZERO, t("-101 C")).unwrap_err().input(), "surface");
    }
}
