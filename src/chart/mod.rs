//! Pictures: what waiting costs, the stages it passes through, what it hangs on, a finding's readings.
//!
//! Every picture is a [`Picture`]; one function draws each as SVG ([`svg::draw`]) and one in letters ([`letters::draw`]), so that
//! every output shows the same, by attributes alone, so that it stands in a page that allows no styles and no scripts. Drawn by hand rather than with a library: four kinds of marks need no more than this, the file
//! carries `<title>` and `<desc>` for who cannot see it, and the marks differ in lightness, dash and label, so that nothing hangs
//! on colour (slate, blue, ochre, violet). Pure: figures in, text out.
//!
//! ```
//! use chrono::NaiveDate;
//! use stemwall::chart::{Reading, Readings, readings, svg};
//!
//! let on = |month| NaiveDate::from_ymd_opt(2025, month, 1).unwrap();
//! let read = |month, value| Reading { on: on(month), value, resolution: Some(0.1) };
//! let series = Readings { label: "at mark A".to_owned(), read: vec![read(1, 0.8), read(7, 1.1)] };
//! let picture = readings("width of crack 2", "mm", &[series], Some((1.0, "category 2")), &[]);
//! let svg = svg::draw(&picture);
//! assert!(svg.starts_with("<svg") && svg.contains(">width of crack 2</title>"));
//! ```

mod axis;
pub mod letters;
pub mod picture;
pub mod pictures;
pub mod svg;
#[cfg(test)]
mod tests;

pub use picture::{Across, Layer, Picture};
pub use pictures::{Reading, Readings, occupancy, plan, readings, sensitivity, waiting};
