//! Why a dossier cannot be made, or cannot be trusted. Facts only; what to do about them is said at the edge.

use crate::ledger::hash::Hash;

#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DossierError {
    #[error("the file is not a dossier: {0}")]
    NotADossier(String),
    #[error("the dossier is of format {found}, newer than this program reads ({known})")]
    Newer { found: u32, known: u32 },
    #[error("a dossier has at most 1 GiB, and this is more")]
    TooLarge,
    #[error("the dossier is damaged: {0}")]
    Damaged(String),
    #[error("entry {seq} of the dossier is damaged: {why}")]
    Entry { seq: u64, why: String },
    /// Its entries are whole, and what is seen is not what they give.
    #[error("line {line} of the dossier does not show what its entries give")]
    Shows { line: usize, found: String, wanted: String },
    /// Its entries are whole, and laid out again they give other bytes.
    #[error("byte {at} of the PDF is not what its entries give")]
    ShowsInPdf { at: usize },
    #[error("this build of the program writes no PDF")]
    NoPdf,
    /// What it is made of is not at fault: the typesetter gives its reason.
    #[error("the PDF cannot be laid out: {why}")]
    PdfRefused { why: String },
    /// Its entries are whole; whether it shows them only the program that wrote it can compute again.
    #[error(
        "the dossier was written by `{by}`, and this is `{this}`: its {entries} entries are whole, what it shows cannot be compared"
    )]
    OtherProgram { by: String, this: String, entries: u64 },
    #[error("the picture `{name}` of the dossier is missing or has been changed")]
    Picture { name: String },
    #[error("no entry of the dossier has the seal {seal}")]
    NotTheSeal { seal: Hash },
    #[error("entry {seq} says that a seal was given, and it is not the seal of entry {entries}")]
    SealNotOfChain { seq: u64, entries: u64 },
    #[error("entry {seq} cannot be left out: it says which house this is")]
    CannotLeaveOut { seq: u64 },
}

impl DossierError {
    /// The file is damaged, doctored or too new, as against: it is something else.
    pub fn is_damage(&self) -> bool {
        !matches!(
            self,
            DossierError::NotADossier(_)
                | DossierError::OtherProgram { .. }
                | DossierError::NotTheSeal { .. }
                | DossierError::TooLarge
                | DossierError::NoPdf
                | DossierError::PdfRefused { .. }
                | DossierError::CannotLeaveOut { .. }
        )
    }
}
