//! Everything that is shown from outside: through the binary, through the library, and with other people's tools.

mod fold;
mod import;
mod kill;
mod layers;
mod readme;
mod reference;
mod store;
mod world;
