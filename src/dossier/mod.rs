//! The history of one property for a reader outside: what is written, and how a reader checks it without a ledger.
//!
//! A dossier is its entries, as hashed bytes, and a page that shows nothing but what they give. The page is computed from
//! the entries alone, so whoever has the file can compute it again and compare every byte: true entries under a doctored
//! text are found. What the chain cannot prove is said to be unproved: copies of pictures, entries told
//! without their costs, and everything after the last seal that somebody else holds.
//!
//! Nothing here reads a clock, a ledger or a file.

pub mod camera;
pub mod data;
mod error;
pub mod gaps;
pub mod leave_out;
mod page;
pub mod pdf;
pub mod picture;
pub mod proof;
pub mod schema;
pub mod summary;
mod text;
pub mod view;
pub mod write;

pub use error::DossierError;
