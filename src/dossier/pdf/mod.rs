//! The dossier as a PDF for archives: PDF/A-3b, tagged for who hears it read (PDF/UA-1), with the JSON file attached as it is
//! written by itself.
//!
//! It is laid out by the library typst from one fixed template and values; no text is ever read as markup. The same
//! dossier gives the same bytes: the date is the dossier's, its identifier the dossier's fingerprint. typst takes minutes to build, so it
//! is behind the cargo feature `pdf`; what is attached is read without it, so that a chain can be checked anywhere.

pub(super) mod attached;
#[cfg(feature = "pdf")]
mod inks;
#[cfg(feature = "pdf")]
mod letters;
#[cfg(feature = "pdf")]
mod values;
#[cfg(feature = "pdf")]
mod write;

#[cfg(feature = "pdf")]
pub(super) use write::pdf;

/// This build of the program lays out a PDF, and so can compare one.
pub const WRITES: bool = cfg!(feature = "pdf");

/// Refuses: nothing here lays out a page.
#[cfg(not(feature = "pdf"))]
pub(super) fn pdf(_: &super::view::View, _: &super::data::Pictures) -> Result<Vec<u8>, super::DossierError> {
    Err(super::DossierError::NoPdf)
}
