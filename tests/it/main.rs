//! Everything that is shown from outside: through the binary, through the library, and with other people's tools.

mod advised;
mod defer;
mod disk;
mod due;
mod errors;
mod fold;
mod history;
mod hours;
mod import;
mod kill;
mod kinds;
mod layers;
mod ledgers;
mod outlook;
mod readme;
mod reckon;
mod reference;
mod screens;
mod sql;
mod store;
mod walks;
mod world;
