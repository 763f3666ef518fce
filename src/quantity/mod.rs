//! Physical quantities and money: newtypes, what people type, and how figures are shown.
//!
//! A quantity is an [`Exact`] number of its kind's stored unit ([`Length`] mm, [`Area`] m2, [`Volume`] L, [`Span`] s,
//! [`Flow`] L/min, [`Activity`] Bq/m3, [`Temperature`] deg C, [`Pressure`] Pa, [`Share`] %), so that a limit is met by
//! exactly what was typed. [`Typed`] keeps the text beside the value. [`Money`] is whole minor units of a [`Currency`].
//!
//! Pure: no input or output, no clock. Errors are facts ([`QuantityError`], [`MoneyError`]); what to do about them is a
//! method of theirs, called by whoever shows them.
//!
//! ```
//! use stemwall::quantity::{Length, Temperature, Units};
//! assert_eq!(Length::parse("1 1/2 in"), Ok(Length::inches(3, 2)));
//! assert_eq!(Temperature::parse("40 F"), Ok(Temperature::celsius(40, 9)));
//! assert_eq!(Length::mm(60, 100).show_small(Units::Us), "0.024 in (0.60 mm)");
//! ```

mod activity;
mod area;
mod currency;
mod error;
mod exact;
mod flow;
mod kind;
mod lead;
mod length;
mod measure;
mod money;
mod pressure;
mod read;
mod scan;
mod share;
mod show;
mod span;
mod symbol;
mod temperature;
mod typed;
mod unit;
mod volume;

pub use activity::Activity;
pub use area::Area;
pub use currency::Currency;
pub use error::QuantityError;
pub use exact::Exact;
pub use flow::Flow;
pub use kind::QuantityKind;
pub use lead::leading;
pub use length::Length;
pub use measure::Measure;
pub use money::{Money, MoneyError};
pub use pressure::Pressure;
pub use read::parse_si;
pub use share::Share;
pub use show::Units;
pub use span::Span;
pub use temperature::Temperature;
pub use typed::Typed;
pub use volume::Volume;
