//! A photograph in four inks, as printers have it, in the colours of a screen: an archived PDF can hold inks only beside a
//! description of the press, which such files lack (ISO 19005-3, 6.2.4.3). What is attached holds the bytes as they are.

use std::borrow::Cow;
use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};

/// Of 100.
const QUALITY: u8 = 90;

/// The bytes themselves, but of a JPEG in four inks: that in three colours, the right way up.
pub fn in_colours(bytes: &[u8]) -> Cow<'_, [u8]> {
    match inks(bytes) {
        Some(4) => turned(bytes).map_or(Cow::Borrowed(bytes), Cow::Owned),
        _ => Cow::Borrowed(bytes),
    }
}

fn turned(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut decoder = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg).into_decoder().ok()?;
    let orientation = decoder.orientation().ok()?;
    let mut image = DynamicImage::from_decoder(decoder).ok()?;
    image.apply_orientation(orientation);
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, QUALITY).encode_image(&image.into_rgb8()).ok()?;
    Some(out)
}

/// How many components the frame of a JPEG has (ITU-T T.81, B.2.2); `None` of anything else.
fn inks(bytes: &[u8]) -> Option<u8> {
    if !bytes.starts_with(&[0xff, 0xd8]) {
        return None;
    }
    let mut at = 2;
    loop {
        match bytes.get(at..at + 2)? {
            [0xff, 0xff] => at += 1,
            // A frame; among its numbers stand tables (c4), an extension (c8) and conditions (cc).
            [0xff, marker @ 0xc0..=0xcf] if !matches!(marker, 0xc4 | 0xc8 | 0xcc) => return bytes.get(at + 9).copied(),
            [0xff, _] => at += 2 + usize::from(u16::from_be_bytes([*bytes.get(at + 2)?, *bytes.get(at + 3)?])),
            _ => return None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{in_colours, inks};

    /// Up to its frame: a comment of one letter, then 8 bits, 1 line, 1 column, and so many components.
    fn begun(components: u8) -> Vec<u8> {
        let frame = [0xff, 0xc0, 0, 20, 8, 0, 1, 0, 1, components];
        [&[0xff, 0xd8, 0xff, 0xfe, 0, 3, b'a', 0xff][..], &frame].concat()
    }

    #[test]
    fn inks_are_counted_in_the_frame() {
        for components in [1, 3, 4] {
            assert_eq!(inks(&begun(components)), Some(components));
        }
        for cut in 0..begun(4).len() {
            assert_eq!(inks(&begun(4)[..cut]), None, "{cut}");
        }
        assert_eq!(inks(b"\x89PNG"), None);
        assert_eq!(in_colours(&begun(4)), begun(4), "what does not open stays as it is");
    }
}
