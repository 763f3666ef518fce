//! Usual days of the last and the first freeze by climate zone, for a place whose own days were not given.
//!
//! Medians over the places of each zone of the days by which half the years have had their last freeze of spring and
//! their first of autumn (32 F). Within a zone they lie weeks apart, most of all in 2 and 3, so a place's own days win.
//! Zone 1 has no days: a freeze is rare there.
//!
//! Source: computed from the US climate normals 1981-2010 of NOAA NCEI (50 % dates of 5,398 stations, public domain), each
//! ZIP area joined to its nearest station and to its climate zone of the International Energy Conservation Code (areas as
//! before 2021). Standing: derived. Scope: the United States; nothing of it is taken south of the equator.
//!
//! ```
//! use stemwall::calendar::climate::ClimateZone;
//! let minneapolis = ClimateZone::parse("6A").unwrap();
//! assert_eq!((minneapolis.last_freeze(), minneapolis.first_freeze()), (Some((5, 8)), Some((10, 1))));
//! ```

use std::fmt;

use super::windows::MonthDay;

/// Whose figures the days are, for screens.
pub const SOURCE: &str =
    "median of the places of that climate zone, computed from the US climate normals 1981-2010 (NOAA NCEI)";

/// Its standing: arithmetic from published figures.
pub const STANDING: &str = "derived";

/// A climate zone of the International Energy Conservation Code, `5A`: 1 to 8 from hot to cold, and how moist where it is
/// known (A moist, B dry, C marine).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClimateZone {
    number: u8,
    moisture: Option<char>,
}

/// Median days of the last and the first freeze in zones 2 to 8.
const FREEZES: [(u8, MonthDay, MonthDay); 7] = [
    (2, (2, 19), (12, 6)),
    (3, (3, 25), (11, 11)),
    (4, (4, 13), (10, 25)),
    (5, (4, 27), (10, 13)),
    (6, (5, 8), (10, 1)),
    (7, (5, 17), (9, 25)),
    (8, (5, 20), (9, 7)),
];

impl ClimateZone {
    /// Reads `5`, `5A`, `5a`.
    pub fn parse(text: &str) -> Option<ClimateZone> {
        let mut letters = text.trim().chars();
        let number = letters.next()?.to_digit(10).and_then(|n| u8::try_from(n).ok()).filter(|n| (1..=8).contains(n))?;
        let moisture = letters.next().map(|letter| letter.to_ascii_uppercase());
        let known = moisture.is_none_or(|letter| ('A'..='C').contains(&letter));
        (known && letters.next().is_none()).then_some(ClimateZone { number, moisture })
    }

    /// Usual day of the last freeze in spring; `None` where it is too rare to have one.
    pub fn last_freeze(self) -> Option<MonthDay> {
        self.row().map(|(_, last, _)| last)
    }

    /// Usual day of the first freeze in autumn; `None` where it is too rare to have one.
    pub fn first_freeze(self) -> Option<MonthDay> {
        self.row().map(|(_, _, first)| first)
    }

    fn row(self) -> Option<(u8, MonthDay, MonthDay)> {
        FREEZES.into_iter().find(|(number, ..)| *number == self.number)
    }
}

impl fmt::Display for ClimateZone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.number)?;
        self.moisture.map_or(Ok(()), |letter| write!(f, "{letter}"))
    }
}

#[cfg(test)]
mod tests {
    use super::ClimateZone;

    #[test]
    fn a_zone_is_a_number_and_perhaps_a_letter() {
        for (typed, reads) in [("5A", Some("5A")), ("4c", Some("4C")), (" 8 ", Some("8")), ("1", Some("1"))] {
            assert_eq!(ClimateZone::parse(typed).map(|zone| zone.to_string()).as_deref(), reads, "{typed}");
        }
        for bad in ["", "0", "9", "5D", "A5", "5AA", "55", "5-A"] {
            assert_eq!(ClimateZone::parse(bad), None, "{bad}");
        }
    }

    /// Stations of the same normals, one a zone, as they stand in the published files: their 50 % days lie within the
    /// middle 80 % of their zone's places, which is what the median stands for.
    #[test]
    fn days_of_stations_lie_round_the_median_of_their_zone() {
        let day = |(month, day): (u32, u32)| i64::from(month * 30 + day);
        for (station, zone, last, first, within) in [
            ("Dallas-Ft Worth", "3A", (3, 8), (11, 25), 40),
            ("Nashville", "4A", (4, 6), (11, 2), 20),
            ("Chicago O'Hare", "5A", (4, 22), (10, 19), 15),
            ("Boston Logan", "5A", (4, 6), (11, 8), 30),
            ("Minneapolis/St Paul", "6A", (4, 25), (10, 10), 15),
            ("Anchorage", "7", (5, 7), (9, 27), 15),
        ] {
            let zone = ClimateZone::parse(zone).unwrap();
            let off = |usual: Option<(u32, u32)>, own| (day(usual.unwrap()) - day(own)).abs();
            assert!(off(zone.last_freeze(), last) <= within && off(zone.first_freeze(), first) <= within, "{station}");
        }
    }

    #[test]
    fn the_colder_the_zone_the_longer_its_freezes() {
        let zones = ["2", "3", "4", "5", "6", "7", "8"].map(|text| ClimateZone::parse(text).unwrap());
        assert!(zones.is_sorted_by_key(|zone| zone.last_freeze()));
        assert!(zones.iter().rev().is_sorted_by_key(|zone| zone.first_freeze()));
        let hot = ClimateZone::parse("1A").unwrap();
        assert_eq!((hot.last_freeze(), hot.first_freeze()), (None, None));
    }
}
