//! Stemwall: a ledger of house foundations. See `README.md` for what it does and `DEVELOPERS.md` for how.

pub mod calendar;
pub mod chart;
pub mod cli;
pub mod command;
pub mod deferral;
pub mod demo;
pub mod dossier;
pub mod ledger;
pub mod quantity;
pub mod reckon;
pub mod remind;
pub mod store;
pub mod trade;
