//! From the page to the bytes of a PDF.

use typst::diag::{FileError, FileResult, SourceDiagnostic};
use typst::ecow::EcoVec;
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use super::letters::FONTS;
use super::values::{Values, values};
use crate::dossier::DossierError;
use crate::dossier::data::Pictures;
use crate::dossier::page::tree;
use crate::dossier::view::View;
use crate::dossier::write::program;

const TEMPLATE: &str = include_str!("page.typ");
const MAIN: &str = "/page.typ";
/// What the template reads.
const PAGE: &str = "/page.json";
/// What is attached.
const DOSSIER: &str = "/dossier.json";

/// Lays it out; the same dossier gives the same bytes.
pub fn pdf(view: &View, pictures: &Pictures) -> Result<Vec<u8>, DossierError> {
    let refused = |why: EcoVec<SourceDiagnostic>| {
        let why = why.first().map_or(String::new(), |one| one.message.to_string());
        DossierError::PdfRefused { why }
    };
    let standards = PdfStandards::new(&[PdfStandard::A_3b, PdfStandard::Ua_1])
        .map_err(|why| DossierError::PdfRefused { why: why.message().to_string() })?;
    let options = PdfOptions {
        ident: Smart::Custom(view.dossier.fingerprint().to_hex()),
        creator: Smart::Custom(Some(program())),
        standards,
        ..PdfOptions::default()
    };
    let world = Files::of(view, pictures)?;
    let document = typst::compile::<PagedDocument>(&world).output.map_err(refused);
    let pdf = document.and_then(|document| typst_pdf::pdf(&document, &options).map_err(refused));
    // What it remembers of this one is of no use to the next.
    typst::comemo::evict(0);
    pdf
}

/// The files that the template may read: there are no others, and no clock.
struct Files {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    main: Source,
    files: Vec<(FileId, Bytes)>,
}

impl Files {
    fn of(view: &View, pictures: &Pictures) -> Result<Files, DossierError> {
        let Values { mut page, files } = values(&tree(view, pictures), pictures);
        let as_of = view.dossier.as_of;
        page["as_of"] = as_of.to_string().into();
        let mut all = vec![
            (id(PAGE)?, Bytes::from_string(page.to_string())),
            (id(DOSSIER)?, Bytes::from_string(view.dossier.json(pictures))),
        ];
        for (name, bytes) in files {
            all.push((id(&name)?, Bytes::new(bytes)));
        }
        Ok(Files {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(FontBook::from_fonts(FONTS.iter())),
            main: Source::new(id(MAIN)?, TEMPLATE.to_owned()),
            files: all,
        })
    }
}

fn id(path: &str) -> Result<FileId, DossierError> {
    let path = VirtualPath::new(path).map_err(|_| DossierError::PdfRefused { why: format!("`{path}` is no path") })?;
    Ok(FileId::new(RootedPath::new(VirtualRoot::Project, path)))
}

impl World for Files {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() { Ok(self.main.clone()) } else { Err(FileError::NotSource) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let found = self.files.iter().find(|(of, _)| *of == id);
        found.map(|(_, bytes)| bytes.clone()).ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}
