//! Everything that is shown from outside: through the binary, through the library, and with other people's tools.

mod fold;
mod layers;
mod store;
mod world;
