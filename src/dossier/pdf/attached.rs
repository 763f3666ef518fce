//! What is attached to a PDF that this program wrote, read without laying anything out.
//!
//! Not a reader of PDF at large: only the one spelling that is written is known, so little can go wrong. The table at the end says
//! where each object begins (ISO 32000-1, 7.5.4); exactly one of them has to be an attached file (7.11.4), deflated or plain.
//! Objects are found by the table alone, so words inside a photograph are never taken for one.

use std::io::Read;

use flate2::read::ZlibDecoder;

use crate::dossier::DossierError;
use crate::dossier::data::MOST_BYTES;

/// What a PDF begins with.
pub const BEGIN: &[u8] = b"%PDF-";
/// The dictionary before an attached file is no longer, in bytes.
const LONGEST: usize = 1024;
/// The words at the very end are no longer, in bytes.
const LAST: usize = 64;

/// The bytes of the file that is attached.
///
/// Errors: there is none, or more than one, or it cannot be unpacked, or it is larger than a dossier may be.
pub fn attached(pdf: &[u8]) -> Result<Vec<u8>, DossierError> {
    let none = || DossierError::NotADossier("no entries of a dossier are attached to it".into());
    let objects = objects(pdf).ok_or_else(none)?;
    let mut found = objects.into_iter().filter_map(|(number, at)| Some((dictionary(pdf, number, at)?, at)));
    let (dictionary, at) = found.next().ok_or_else(none)?;
    if found.next().is_some() {
        return Err(DossierError::Damaged("more than one file is attached to it".into()));
    }
    let cut = || DossierError::Damaged("what is attached to it was cut short".into());
    let stream = stream(pdf, dictionary, at).ok_or_else(cut)?;
    if !dictionary.contains("/FlateDecode") {
        return Ok(stream.to_vec());
    }
    let mut out = Vec::new();
    let unpacked = ZlibDecoder::new(stream).take(MOST_BYTES + 1).read_to_end(&mut out);
    unpacked.map_err(|_| DossierError::Damaged("what is attached to it cannot be unpacked".into()))?;
    if out.len() as u64 > MOST_BYTES { Err(DossierError::TooLarge) } else { Ok(out) }
}

/// Number and place of each object.
fn objects(pdf: &[u8]) -> Option<Vec<(u64, usize)>> {
    let end = pdf.get(pdf.len().saturating_sub(LAST)..)?;
    let end = end.get(find(end, b"startxref\n")? + b"startxref\n".len()..)?;
    let at: usize = std::str::from_utf8(end).ok()?.split('\n').next()?.parse().ok()?;
    let head = pdf.get(at..)?.strip_prefix(b"xref\n0 ")?;
    let line = find(head.get(..LAST.min(head.len()))?, b"\n")?;
    let count: usize = std::str::from_utf8(&head[..line]).ok()?.parse().ok()?;
    let table = &head[line + 1..];
    // Each line has twenty bytes: ten digits, a space, five digits, a space, a letter, the end of the line.
    let table = table.get(..count.checked_mul(20)?)?;
    let mut out = Vec::new();
    for (number, line) in (0..).zip(table.chunks_exact(20)) {
        if line[17] == b'n' {
            out.push((number, std::str::from_utf8(&line[..10]).ok()?.parse().ok()?));
        }
    }
    Some(out)
}

/// What is said before an attached file; `None` of any other object.
fn dictionary(pdf: &[u8], number: u64, at: usize) -> Option<&str> {
    let begin = pdf.get(at..at.checked_add(LONGEST)?.min(pdf.len()))?;
    let begin = begin.get(..find(begin, b"stream")?)?;
    let begin = std::str::from_utf8(begin).ok()?.strip_prefix(&format!("{number} 0 obj"))?;
    begin.contains("/EmbeddedFile").then_some(begin)
}

/// The bytes behind a dictionary, as many as it says.
fn stream<'a>(pdf: &'a [u8], dictionary: &str, at: usize) -> Option<&'a [u8]> {
    let (_, length) = dictionary.split_once("/Length ")?;
    let length: usize = length.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()?;
    let rest = pdf.get(at..)?;
    let begin = at + find(rest, b"stream\n")? + b"stream\n".len();
    let end = begin.checked_add(length)?;
    pdf.get(end..)?.starts_with(b"\nendstream").then(|| &pdf[begin..end])
}

fn find(bytes: &[u8], word: &[u8]) -> Option<usize> {
    bytes.windows(word.len()).position(|window| window == word)
}

#[cfg(test)]
mod tests {
    use std::io::Write;

    use flate2::Compression;
    use flate2::write::ZlibEncoder;
    use proptest::prelude::*;

    use super::attached;

    /// A file of these objects, spelled as a PDF is.
    fn pdf(objects: &[Vec<u8>]) -> Vec<u8> {
        let mut out = b"%PDF-1.7\n".to_vec();
        let mut table = format!("xref\n0 {}\n0000000000 65535 f\r\n", objects.len() + 1);
        for (number, object) in (1..).zip(objects) {
            table.push_str(&format!("{:010} 00000 n\r\n", out.len()));
            out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
            out.extend_from_slice(object);
            out.extend_from_slice(b"\nendobj\n\n");
        }
        let at = out.len();
        out.extend_from_slice(table.as_bytes());
        out.extend_from_slice(format!("trailer\n<<>>\nstartxref\n{at}\n%%EOF").as_bytes());
        out
    }

    fn stream(of: &str, length: usize, bytes: &[u8]) -> Vec<u8> {
        [format!("<</Length {length}{of}>>\nstream\n").as_bytes(), bytes, b"\nendstream"].concat()
    }

    fn deflated(bytes: &[u8]) -> Vec<u8> {
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(bytes).unwrap();
        encoder.finish().unwrap()
    }

    fn said(objects: &[Vec<u8>]) -> Result<Vec<u8>, String> {
        attached(&pdf(objects)).map_err(|e| e.to_string())
    }

    #[test]
    fn the_one_file_is_taken_out() {
        let packed = deflated(b"{}");
        let file = stream("/Type/EmbeddedFile/Filter/FlateDecode", packed.len(), &packed);
        let plain = stream("/Type/EmbeddedFile", 2, b"{}");
        // A photograph may hold any words.
        let words = [&b"9 0 obj\n"[..], &plain].concat();
        let photograph = stream("/Type/XObject", words.len(), &words);
        assert_eq!(said(&[b"<</Type/Catalog>>".to_vec(), photograph, file.clone()]), Ok(b"{}".to_vec()));
        assert_eq!(said(std::slice::from_ref(&plain)), Ok(b"{}".to_vec()));
        let none = Err("the file is not a dossier: no entries of a dossier are attached to it".to_owned());
        assert_eq!(said(&[]), none);
        assert_eq!(said(&[b"<</Type/Catalog>>".to_vec(), stream("/Type/XObject", 2, b"{}")]), none);
        let damaged = |why: &str| Err(format!("the dossier is damaged: {why}"));
        assert_eq!(said(&[file, plain]), damaged("more than one file is attached to it"));
        let short = stream("/Type/EmbeddedFile", 3, b"{}");
        assert_eq!(said(&[short]), damaged("what is attached to it was cut short"));
        let long = stream("/Type/EmbeddedFile", usize::MAX, b"{}");
        assert_eq!(said(&[long]), damaged("what is attached to it was cut short"));
        let other = stream("/Type/EmbeddedFile/Filter/FlateDecode", 2, b"{}");
        assert_eq!(said(&[other]), damaged("what is attached to it cannot be unpacked"));
    }

    #[test]
    fn a_table_that_is_none_is_refused() {
        for bytes in [
            &b""[..],
            b"%PDF-",
            b"%PDF-1.7\nstartxref\n",
            b"%PDF-1.7\nstartxref\n99999999999999999999\n%%EOF",
            b"%PDF-1.7\nstartxref\n18446744073709551615\n%%EOF",
            b"%PDF-1.7\nxref\n0 18446744073709551615\nstartxref\n9\n%%EOF",
            b"%PDF-1.7\nxref\n0 1\n0000000000 65535 n\r\nstartxref\n9\n%%EOF",
            b"%PDF-1.7\nxref\n0 1\nxxxxxxxxxx 65535 n\r\nstartxref\n9\n%%EOF",
        ] {
            assert!(attached(bytes).is_err(), "{bytes:?}");
        }
    }

    proptest! {
        /// Nothing that is changed ends the program.
        #[test]
        fn any_change_is_read_or_refused(changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..8)) {
            let packed = deflated(b"{\"a\": 1}");
            let file = stream("/Type/EmbeddedFile/Filter/FlateDecode", packed.len(), &packed);
            let mut bytes = pdf(&[b"<</Type/Catalog>>".to_vec(), file]);
            for (at, to) in changes {
                let at = at.index(bytes.len());
                bytes[at] = to;
            }
            let _ = attached(&bytes);
        }

        #[test]
        fn any_bytes_are_read_or_refused(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
            let _ = attached(&[b"%PDF-1.7\nxref\n0 2\n", &bytes[..], b"startxref\n9\n%%EOF"].concat());
        }
    }
}
