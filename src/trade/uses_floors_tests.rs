//! Floors that were surveyed, sheets and gauges that were looked at.

use chrono::NaiveDate;

use super::super::Use;
use super::{Picks, Seen};
use crate::quantity::{Length, Span};
use crate::trade::level;
use crate::trade::radon::gauge::{self, Levels};
use crate::trade::series::Measured;
use crate::trade::series::tests::day;
use crate::trade::sheet::verdict::Tested;
use crate::trade::sheet::{self, Face, On, Sheet};
use crate::trade::survey::points::{Points, Spot};
use crate::trade::words::FixtureKind;

/// Four corners of a floor, of which two opposite ones go as a series does.
pub(super) fn floors_and_sheets(pick: &mut Picks, seen: &mut Seen, today: NaiveDate) {
    let series = pick.series(Measured::Level);
    let places = pick.of(&[true, false]);
    let spot = |name: &str, height, at: (i128, i128)| Spot {
        name: name.to_owned(),
        height: Some(height),
        at: places.then_some([Length::feet(at.0, 1), Length::feet(at.1, 1)]),
    };
    let corners = |up: Length| {
        let flat = Length::ZERO;
        vec![spot("a", up, (0, 0)), spot("b", flat, (9, 0)), spot("c", up, (9, 9)), spot("d", flat, (0, 9))]
    };
    let taken = series.iter().take(1).flat_map(|series| &series.taken);
    let points: Vec<Points> =
        taken.map(|t| Points { on: t.on, spots: corners(t.value), resolution: t.resolution }).collect();
    let (visible_signs, next_round) = (pick.answer(), day("2026-04-01"));
    let of = level::Settlement {
        series: &[],
        surveys: &[],
        points: &points,
        apart: None,
        visible_signs,
        moved_on: None,
        next_round,
    };
    seen.add(Use::Levels, &level::verdict(&of, today));
    let put_up = Sheet {
        on: pick.of(On::ALL),
        side: Length::inches(18, 1),
        kept: Span::hours(pick.of(&[12, 30]), 1),
        sealed: true,
        sun: false,
    };
    let test = Tested { on: today, at: None, sheet: put_up, shows: sheet::read(pick.of(Face::ALL)) };
    let look = (today, pick.of(Levels::ALL));
    seen.add(Use::Fixture(FixtureKind::RadonSystem), &gauge::verdict(&[look], today).unwrap());
    seen.add(Use::Sheets, &sheet::verdict::verdict(&[test], today).unwrap());
}
