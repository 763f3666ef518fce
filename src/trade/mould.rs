//! When mould can grow on wood and how far: the index of Hukka and Viitanen.
//!
//! The rule in words: mould grows between 0 and 50 C from a critical humidity on, -0.00267 T^3 + 0.160 T^2 - 3.13 T + 100 to 20 C
//! and 80 % above, never less than the material's least. Steady conditions reach index 1 (seen under a microscope) after
//! exp(-0.68 ln T - 13.9 ln RH + 0.14 W - 0.33 SQ + 66.02) weeks and index 3 (first seen by eye) after exp(-0.74 ln T - 12.72 ln RH +
//! 0.06 W + 61.50); W is 0 for pine and 1 for spruce, SQ 0 for a resawn and 1 for a kiln-dried surface. No index goes above A + B x
//! - C x^2, x = (RHcrit - RH) / (RHcrit - 100). An hourly record moves the index on; without growth it falls back slowly.
//!
//! RH in per cent, T in C, index 0 to 6. A model of laboratory wood: it says nothing of what grows in a house, or of health.
//!
//! Source: Hukka and Viitanen, Wood Sci. Technol. 33:475 (1999); Viitanen and Ojanen (2007), Ojanen et al. (2010) for the
//! classes; equations and constants as two public programs give them.
//!
//! ```
//! use stemwall::quantity::{Share, Temperature};
//! use stemwall::trade::mould::{Species, growth};
//! let grown = growth(Temperature::celsius(20, 1), Share::percent(97, 1), Species::Pine, 0.0).unwrap();
//! assert_eq!(format!("{:.3}", grown.weeks_to_1.unwrap()), "1.484");
//! ```

use super::air::relative;
use super::input::{InputError, not_negative};
use super::verdict::{Rule, Standing};
use super::words::words;
use crate::quantity::{Share, Temperature};

/// Longest record reckoned with, hours: more than a hundred years.
pub const MOST_HOURS: usize = 1_000_000;
const HOURS_PER_WEEK: f64 = 168.0;

pub static MOULD_GROWTH: Rule = Rule {
    name: "mould-growth",
    says: "steady air grows mould on pine or spruce from a critical humidity on: weeks to index 1 and 3, and the most it reaches",
    source: "Hukka and Viitanen, Wood Sci. Technol. 33:475 (1999), as public programs give it",
    standing: Standing::SecondHand,
    scope: "pine and spruce sapwood in steady air, 0 to 50 C; a model, not a finding",
    variants: &[],
};

pub static MOULD_INDEX: Rule = Rule {
    name: "mould-index",
    says: "an hourly record moves an index from 0 to 6: growth by the class of the material, and without it 0.032 a day less for 6 hours, \
           nothing to 24 hours, then 0.016 a day less",
    source: "Hukka and Viitanen (1999); Viitanen and Ojanen (2007), Ojanen et al. (2010), as public programs give them",
    standing: Standing::SecondHand,
    scope: "the surface of a material of one of the four classes, with its own temperature and humidity",
    variants: &[],
};

words! {
    /// The wood of the model.
    Species { Pine = "pine", Spruce = "spruce" }
}

words! {
    /// How much a material lets mould grow.
    Class { VerySensitive = "very-sensitive", Sensitive = "sensitive", Medium = "medium", Resistant = "resistant" }
}

/// The constants of a class.
struct Constants {
    /// Speed below index 1, and from it on.
    speed: (f64, f64),
    /// A, B, C of the most it reaches.
    most: (f64, f64, f64),
    least_humidity: f64,
}

impl Class {
    fn constants(self) -> Constants {
        let (speed, most, least_humidity) = match self {
            Class::VerySensitive => ((1.0, 2.0), (1.0, 7.0, 2.0), 80.0),
            Class::Sensitive => ((0.578, 0.386), (0.3, 6.0, 1.0), 80.0),
            Class::Medium => ((0.072, 0.097), (0.0, 5.0, 1.5), 85.0),
            Class::Resistant => ((0.033, 0.014), (0.0, 3.0, 1.0), 85.0),
        };
        Constants { speed, most, least_humidity }
    }
}

/// What steady air leads to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Growth {
    /// Per cent; above 100 where it is too cold for any growth.
    pub critical_humidity_pct: f64,
    /// Weeks to index 1 and 3; `None` without growth, or where that is never reached.
    pub weeks_to_1: Option<f64>,
    pub weeks_to_3: Option<f64>,
    /// 0 without growth.
    pub max_index: f64,
}

/// Growth in steady air. `surface_quality` is 0 (resawn) to 1 (kiln-dried). Errors name the input.
///
/// Source: [`MOULD_GROWTH`].
pub fn growth(
    temperature: Temperature,
    humidity: Share,
    species: Species,
    surface_quality: f64,
) -> Result<Growth, InputError> {
    let rh = relative(humidity)?;
    let quality = not_negative("surface_quality", surface_quality)?;
    if quality > 1.0 {
        return Err(InputError::Outside { input: "surface_quality", range: "0 to 1" });
    }
    let t = temperature.to_celsius();
    let original = Class::VerySensitive.constants();
    let critical = critical(t, &original);
    if !grows(t, rh, critical) {
        return Ok(Growth { critical_humidity_pct: critical, weeks_to_1: None, weeks_to_3: None, max_index: 0.0 });
    }
    let wood = if species == Species::Spruce { 1.0 } else { 0.0 };
    let max_index = most(rh, critical, &original);
    let to_3 = (-0.74 * t.ln() - 12.72 * rh.ln() + 0.06 * wood + 61.50).exp();
    let reached = |index: f64, weeks: f64| (index <= max_index).then_some(weeks);
    Ok(Growth {
        critical_humidity_pct: critical,
        weeks_to_1: reached(1.0, weeks_to_1(t, rh, wood, quality)),
        weeks_to_3: reached(3.0, to_3),
        max_index,
    })
}

/// Where an hourly record leads, from index 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Index {
    /// At the end.
    pub index: f64,
    pub peak: f64,
    /// Days from the start to the end of the first hour that reaches 1, and 3; `None` if none does.
    pub first_1_day: Option<f64>,
    pub first_3_day: Option<f64>,
}

/// The index over hours of temperature and humidity at a surface. Errors name `hourly`.
///
/// Source: [`MOULD_INDEX`].
pub fn index(hourly: &[(Temperature, Share)], class: Class) -> Result<Index, InputError> {
    match hourly.len() {
        0 => return Err(InputError::Empty { input: "hourly" }),
        n if n > MOST_HOURS => return Err(InputError::TooLarge { input: "hourly" }),
        _ => {}
    }
    let mut run = Run::of(class);
    for (temperature, humidity) in hourly {
        run.hour(*temperature, *humidity).map_err(|_| InputError::Outside { input: "hourly", range: "0 to 100 %" })?;
    }
    Ok(run.index())
}

/// The index as a record moves it on, an hour at a time.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    class: Class,
    found: Index,
    hours: u64,
    hours_without: u32,
}

impl Run {
    /// At index 0, before the first hour.
    pub fn of(class: Class) -> Run {
        let found = Index { index: 0.0, peak: 0.0, first_1_day: None, first_3_day: None };
        Run { class, found, hours: 0, hours_without: 0 }
    }

    /// One hour at a surface. Errors name `humidity`.
    ///
    /// Source: [`MOULD_INDEX`].
    pub fn hour(&mut self, temperature: Temperature, humidity: Share) -> Result<(), InputError> {
        let rh = relative(humidity)?;
        let t = temperature.to_celsius();
        let constants = self.class.constants();
        let critical = critical(t, &constants);
        let found = &mut self.found;
        let change = if grows(t, rh, critical) {
            self.hours_without = 0;
            grown(found.index, most(rh, critical, &constants), weeks_to_1(t, rh, 0.0, 0.0), &constants)
        } else {
            self.hours_without = self.hours_without.saturating_add(1);
            -fallen(self.hours_without)
        };
        found.index = (found.index + change).max(0.0);
        found.peak = found.peak.max(found.index);
        self.hours += 1;
        let day = self.hours as f64 / 24.0;
        for (stage, first) in [(1.0, &mut found.first_1_day), (3.0, &mut found.first_3_day)] {
            if first.is_none() && found.index >= stage {
                *first = Some(day);
            }
        }
        Ok(())
    }

    /// An hour of which nothing is known: the index stays where it is, and the days go on.
    pub fn unknown_hour(&mut self) {
        self.hours += 1;
    }

    pub fn index(&self) -> Index {
        self.found
    }
}

/// Critical humidity, per cent.
fn critical(t: f64, constants: &Constants) -> f64 {
    let cubic = if t <= 20.0 { 100.0 + t * (-3.13 + t * (0.160 - t * 0.002_67)) } else { 80.0 };
    cubic.max(constants.least_humidity)
}

fn grows(t: f64, rh: f64, critical: f64) -> bool {
    t > 0.0 && t < 50.0 && rh >= critical
}

/// The most that the index reaches; never below 0.
fn most(rh: f64, critical: f64, constants: &Constants) -> f64 {
    let x = (critical - rh) / (critical - 100.0);
    let (a, b, c) = constants.most;
    (a + b * x - c * x * x).max(0.0)
}

fn weeks_to_1(t: f64, rh: f64, wood: f64, quality: f64) -> f64 {
    (-0.68 * t.ln() - 13.9 * rh.ln() + 0.14 * wood - 0.33 * quality + 66.02).exp()
}

/// Growth in one hour.
fn grown(index: f64, most: f64, weeks_to_1: f64, constants: &Constants) -> f64 {
    let (below, from) = constants.speed;
    let speed = if index < 1.0 { below } else { from };
    let damping = (1.0 - (2.3 * (index - most)).exp()).max(0.0);
    speed * damping / (weeks_to_1 * HOURS_PER_WEEK)
}

/// Decline in one hour, the n-th without growth.
fn fallen(hours_without: u32) -> f64 {
    match hours_without {
        0..=6 => 0.032 / 24.0,
        7..=24 => 0.0,
        _ => 0.016 / 24.0,
    }
}

#[cfg(test)]
mod tests {
    use super::{Class, Species, growth, index};
    use crate::quantity::{Share, Temperature};

    fn air(celsius: i128, percent: i128) -> (Temperature, Share) {
        (Temperature::celsius(celsius, 1), Share::percent(percent, 1))
    }

    #[track_caller]
    fn near(got: f64, want: f64, within: f64) {
        assert!((got - want).abs() <= within, "{got} is not {want}");
    }

    #[test]
    fn steady_air_follows_the_printed_equations() {
        // T, RH, weeks to 1 on pine, spruce, kiln-dried pine, weeks to 3 on pine, most; computed in Python, apart from this program.
        let rows = [
            (5, 97, 3.808, 4.380, 2.738, 8.320, 5.124),
            (10, 97, 2.377, 2.734, 1.709, 4.982, 5.443),
            (15, 95, 2.410, 2.772, 1.733, 4.810, 5.123),
            (20, 90, 4.202, 4.833, 3.021, 7.734, 3.995),
            (20, 97, 1.484, 1.706, 1.067, 2.983, 5.504),
        ];
        for (celsius, percent, pine, spruce, dried, to_3, most) in rows {
            let (t, rh) = air(celsius, percent);
            let of = |species, quality| growth(t, rh, species, quality).unwrap();
            near(of(Species::Pine, 0.0).weeks_to_1.unwrap(), pine, 6e-4);
            near(of(Species::Spruce, 0.0).weeks_to_1.unwrap(), spruce, 6e-4);
            near(of(Species::Pine, 1.0).weeks_to_1.unwrap(), dried, 6e-4);
            near(of(Species::Pine, 0.0).weeks_to_3.unwrap(), to_3, 6e-4);
            near(of(Species::Pine, 0.0).max_index, most, 6e-4);
        }
        // At 20 C and 85 % the most is 2.616: index 3 is never reached.
        let (t, rh) = air(20, 85);
        let slow = growth(t, rh, Species::Pine, 0.0).unwrap();
        near(slow.weeks_to_1.unwrap(), 9.300, 6e-4);
        near(slow.max_index, 2.616, 6e-4);
        assert_eq!(slow.weeks_to_3, None);
    }

    #[test]
    fn the_critical_humidity_rises_in_the_cold() {
        // -0.00267 T^3 + 0.160 T^2 - 3.13 T + 100: 97.027 at 1 C, 82.030 at 10, 80.039 at 15, 80.040 at 20; 80 above.
        for (celsius, critical) in [(1, 97.027), (10, 82.030), (15, 80.039), (20, 80.040), (25, 80.0)] {
            let (t, rh) = air(celsius, 50);
            let none = growth(t, rh, Species::Pine, 0.0).unwrap();
            near(none.critical_humidity_pct, critical, 6e-4);
            assert_eq!((none.weeks_to_1, none.weeks_to_3, none.max_index), (None, None, 0.0));
        }
    }

    #[test]
    fn nothing_grows_in_frost_heat_or_dry_air() {
        for (celsius, percent, grows) in [
            (0, 100, false),
            (1, 98, true),
            (50, 100, false),
            (49, 100, true),
            (25, 80, true),
            (25, 79, false),
            (-5, 100, false),
        ] {
            let (t, rh) = air(celsius, percent);
            assert_eq!(
                growth(t, rh, Species::Pine, 0.0).unwrap().weeks_to_1.is_some(),
                grows,
                "{celsius} C {percent} %"
            );
            assert_eq!(index(&[(t, rh)], Class::VerySensitive).unwrap().index > 0.0, grows, "{celsius} C");
        }
    }

    #[test]
    fn an_hourly_record_moves_the_index_on() {
        // The equations in steps of an hour in Python, apart from this program: days to 1 and 3, index after 84 days.
        let run = |celsius, percent, class| index(&vec![air(celsius, percent); 84 * 24], class).unwrap();
        let very = run(20, 97, Class::VerySensitive);
        near(very.first_1_day.unwrap(), 10.42, 5e-3);
        near(very.first_3_day.unwrap(), 20.83, 5e-3);
        near(very.index, 5.504, 1e-3);
        let damp = run(20, 90, Class::VerySensitive);
        near(damp.first_1_day.unwrap(), 29.46, 5e-3);
        near(damp.first_3_day.unwrap(), 59.54, 5e-3);
        near(damp.index, 3.919, 1e-3);
        let sensitive = run(20, 97, Class::Sensitive);
        near(sensitive.first_1_day.unwrap(), 18.0, 5e-2);
        near(sensitive.first_3_day.unwrap(), 72.0, 5e-2);
        assert_eq!(run(20, 97, Class::Resistant).first_1_day, None);
    }

    #[test]
    fn without_growth_the_index_falls_back_in_three_steps() {
        // -0.032 a day to 6 h, nothing to 24 h, -0.016 a day after: 0.008, 0.008, 0.024, 0.472 after 6, 24, 48, 720 h.
        let grown = vec![air(20, 97); 84 * 24];
        let peak = index(&grown, Class::VerySensitive).unwrap().index;
        for (hours, lost) in [(6, 0.008), (24, 0.008), (48, 0.024), (720, 0.472)] {
            let dried: Vec<_> = grown.iter().copied().chain(vec![air(20, 30); hours]).collect();
            let after = index(&dried, Class::VerySensitive).unwrap();
            near(peak - after.index, lost, 1e-9);
            assert_eq!(after.peak, peak);
        }
        assert_eq!(index(&[air(20, 30); 100], Class::VerySensitive).unwrap().index, 0.0, "never below 0");
    }

    #[test]
    fn records_and_surfaces_that_cannot_be_are_named() {
        let (t, rh) = air(20, 50);
        assert_eq!(growth(t, Share::percent(101, 1), Species::Pine, 0.0).unwrap_err().input(), "humidity");
        assert_eq!(growth(t, rh, Species::Pine, 1.5).unwrap_err().input(), "surface_quality");
        assert_eq!(growth(t, rh, Species::Pine, f64::NAN).unwrap_err().input(), "surface_quality");
        assert_eq!(index(&[], Class::Medium).unwrap_err().input(), "hourly");
        assert_eq!(index(&[(t, Share::percent(101, 1))], Class::Medium).unwrap_err().input(), "hourly");
    }
}
