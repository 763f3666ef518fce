//! The vocabulary of entries, and the fold from entries to a property as it stands. Pure: no clock, no SQL, no files.

pub mod air;
pub mod canonical;
pub mod duties;
pub mod duty_change;
pub mod entry;
pub mod fold;
mod gathered;
pub mod hash;
pub mod history;
pub mod kind;
pub mod occurrence_code;
mod order;
pub mod outlook;
pub mod problem;
pub mod property;
pub mod readings;
pub mod repairs;
pub mod settings;
pub mod subject;
pub mod verdicts;
pub mod waiting;
pub mod when;
