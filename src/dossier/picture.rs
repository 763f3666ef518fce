//! A photograph on its way into a dossier: the file itself where it is small and carries nothing else, the same drawing without
//! what the camera wrote into it where it is small, a smaller copy otherwise.
//!
//! A camera writes where it stood into its pictures, so everything beside the picture goes unless it was asked for. Only the
//! file itself can be checked against the hash in its entry; a copy is said to be one.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};

use super::data::{Media, Picture};
use crate::ledger::hash::Hash;

/// A picture up to here goes in as it was drawn, in bytes; design figure of this program: forty of them can still be mailed.
const SMALL: usize = 384 << 10;
/// The same where what the camera wrote into it was asked for.
const SMALL_WITH_PLACE: usize = 8 << 20;
/// A larger file is not opened, in bytes.
pub const MOST_BYTES: u64 = 64 << 20;
/// The longer side of a copy, in pixels: enough for a gauge to be read on half a printed page.
const LONGEST: u32 = 1200;
/// More is not opened: no camera in the hand gives it, and it would fill the memory. In pixels.
const MOST_PIXELS: u64 = 64_000_000;
/// What opening a picture may take, in bytes.
const MOST_MEMORY: u64 = 512 << 20;
/// Quality of a copy, of 100.
const QUALITY: u8 = 78;

/// What a kept copy is called; another name whenever copies are drawn in another way.
pub const COPY: &str = "small-1";

/// A picture and the bytes that the dossier shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Made {
    pub picture: Picture,
    pub bytes: Vec<u8>,
    /// It was drawn smaller just now, which takes a while: worth keeping.
    pub drawn: bool,
}

/// What kind of picture bytes are; `None` for a letter, and for pictures that pages do not show.
pub fn media(bytes: &[u8]) -> Option<Media> {
    match image::guess_format(bytes).ok()? {
        ImageFormat::Jpeg => Some(Media::Jpeg),
        ImageFormat::Png => Some(Media::Png),
        _ => None,
    }
}

/// Makes the picture of `bytes`, whose hash is `file`; `None` where it cannot be opened or is too large to be. With
/// `keep_place` what the camera wrote into it stays in, up to 8 MiB. Where it has to be drawn smaller, the copy that `kept`
/// gives is taken if it is one.
pub fn make(file: Hash, bytes: &[u8], keep_place: bool, kept: impl FnOnce() -> Option<Vec<u8>>) -> Option<Made> {
    let media = media(bytes)?;
    let format = match media {
        Media::Jpeg => ImageFormat::Jpeg,
        Media::Png => ImageFormat::Png,
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().ok()?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS || width == 0 || height == 0 {
        return None;
    }
    let orientation = decoder.orientation().ok()?;
    let turned = |(width, height)| if orientation.to_exif() > 4 { (height, width) } else { (width, height) };
    let without_notes = match media {
        Media::Jpeg => jpeg_without_notes(bytes, orientation),
        Media::Png => plain_png(bytes).map(|()| bytes.to_vec()),
    };
    let small = if keep_place { SMALL_WITH_PLACE } else { SMALL };
    let copy = if keep_place { Some(bytes.to_vec()) } else { without_notes.clone() };
    let copy = copy.filter(|_| bytes.len() <= small);
    // What only begins like a picture is none: a JPEG was followed to its end, anything else has to open.
    let followed = media == Media::Jpeg && without_notes.is_some();
    if let (Some(copy), true) = (&copy, followed) {
        return Some(made(file, copy.clone(), media, turned((width, height))));
    }
    if copy.is_none()
        && let Some(made) = kept().and_then(|kept| as_kept(file, kept))
    {
        return Some(made);
    }
    let image = DynamicImage::from_decoder(decoder).ok()?;
    match copy {
        Some(copy) => Some(made(file, copy, media, turned((width, height)))),
        None => smaller(file, image, orientation),
    }
}

/// A copy that was drawn before: a picture as [`smaller`] draws it, and nothing beside it.
fn as_kept(file: Hash, copy: Vec<u8>) -> Option<Made> {
    let (width, height) = ImageReader::with_format(Cursor::new(&copy), ImageFormat::Jpeg).into_dimensions().ok()?;
    let whole = jpeg_without_notes(&copy, Orientation::NoTransforms)? == copy;
    (whole && width.max(height) <= LONGEST).then(|| made(file, copy, Media::Jpeg, (width, height)))
}

fn made(file: Hash, bytes: Vec<u8>, media: Media, (width, height): (u32, u32)) -> Made {
    Made { picture: Picture { file, shown: Hash::of(&bytes), media, width, height }, bytes, drawn: false }
}

fn smaller(file: Hash, mut image: DynamicImage, orientation: Orientation) -> Option<Made> {
    if image.width().max(image.height()) > LONGEST {
        image = image.thumbnail(LONGEST, LONGEST);
    }
    image.apply_orientation(orientation);
    let rgb = image.into_rgb8();
    let mut copy = Vec::new();
    JpegEncoder::new_with_quality(&mut copy, QUALITY).encode_image(&rgb).ok()?;
    Some(Made { drawn: true, ..made(file, copy, Media::Jpeg, rgb.dimensions()) })
}

/// The same drawing, with nothing but what is needed to draw it and which way up it is: no notes, no smaller picture, and
/// nothing behind the end (ITU-T T.81, annex B; read). `None` where it is not followed to its end.
fn jpeg_without_notes(bytes: &[u8], orientation: Orientation) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(bytes.len());
    out.extend_from_slice(bytes.get(..2)?);
    if orientation != Orientation::NoTransforms {
        out.extend_from_slice(&way_up(orientation));
    }
    let (mut at, mut drawn) = (2, false);
    loop {
        let marker = *bytes.get(at + 1).filter(|_| bytes.get(at) == Some(&0xff))?;
        match marker {
            0xff => {
                at += 1;
                continue;
            }
            0xd9 if drawn => {
                out.extend_from_slice(&[0xff, 0xd9]);
                return Some(out);
            }
            // The frame, its tables, colours; what applications wrote, and comments.
            0xc0..=0xc2 | 0xc4 | 0xdb | 0xdd | 0xda | 0xe0..=0xef | 0xfe => {}
            _ => return None,
        }
        let length = usize::from(u16::from_be_bytes([*bytes.get(at + 2)?, *bytes.get(at + 3)?]));
        let segment = bytes.get(at..at + 2 + length).filter(|_| length >= 2)?;
        at += segment.len();
        let draws = match marker {
            // The format's own header, where it holds no smaller picture.
            0xe0 => length == 16 && segment[4..].starts_with(b"JFIF\0"),
            // How colours are coded.
            0xee => segment[4..].starts_with(b"Adobe"),
            0xe1..=0xef | 0xfe => false,
            _ => true,
        };
        if draws {
            out.extend_from_slice(segment);
        }
        if marker == 0xda {
            drawn = true;
            // The drawing itself: 0xff in it is followed by 0, or by a number that counts restarts.
            let begin = at;
            while bytes.get(at)? != &0xff || matches!(bytes.get(at + 1)?, 0 | 0xd0..=0xd7) {
                at += 1;
            }
            out.extend_from_slice(&bytes[begin..at]);
        }
    }
}

/// A segment of EXIF that says which way up the picture is, and nothing else: one directory of one value, tag 0x0112.
fn way_up(orientation: Orientation) -> [u8; 36] {
    let mut segment = *b"\xff\xe1\0\x22Exif\0\0MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\0\0\0\0\0\0\0";
    segment[29] = orientation.to_exif();
    segment
}

/// Only chunks that say how to draw it, and nothing behind the last (PNG, third edition, clause 11; read).
fn plain_png(bytes: &[u8]) -> Option<()> {
    const DRAWS: [&[u8; 4]; 11] =
        [b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"sBIT", b"bKGD", b"pHYs"];
    let mut at = 8;
    loop {
        let length = u32::from_be_bytes(bytes.get(at..at + 4)?.try_into().ok()?) as usize;
        let kind: &[u8; 4] = bytes.get(at + 4..at + 8)?.try_into().ok()?;
        if !DRAWS.contains(&kind) {
            return None;
        }
        at = at.checked_add(length)?.checked_add(12)?;
        if kind == b"IEND" {
            return (bytes.len() == at && length == 0).then_some(());
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use image::metadata::Orientation;
    use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, RgbImage};

    use super::{LONGEST, Media, jpeg_without_notes, make, plain_png};
    use crate::ledger::hash::Hash;

    fn drawn(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
        let image = RgbImage::from_fn(width, height, |x, y| image::Rgb([x as u8, y as u8, 90]));
        let mut bytes = Cursor::new(Vec::new());
        DynamicImage::from(image).write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    }

    /// A JPEG with an APP1 segment of EXIF behind its start: an orientation (6: turned right) and a place.
    fn with_exif(jpeg: &[u8]) -> Vec<u8> {
        let tiff = b"Exif\0\0MM\0*\0\0\0\x08\0\x02\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\x88\x25\0\x04\0\0\0\x01\0\0\0\x26\0\0\0\0SECRETPLACE";
        let length = (tiff.len() as u16 + 2).to_be_bytes();
        [&jpeg[..2], &[0xff, 0xe1], &length, tiff, &jpeg[2..]].concat()
    }

    #[test]
    fn a_small_plain_file_goes_in_as_it_is() {
        for (format, media) in [(ImageFormat::Jpeg, Media::Jpeg), (ImageFormat::Png, Media::Png)] {
            let bytes = drawn(40, 30, format);
            let made = make(Hash::of(&bytes), &bytes, false, || None).unwrap();
            assert_eq!((made.picture.shown, &made.bytes), (Hash::of(&bytes), &bytes));
            assert_eq!((made.picture.media, made.picture.width, made.picture.height), (media, 40, 30));
        }
    }

    #[test]
    fn what_the_camera_wrote_stays_out_unless_asked_for() {
        let bytes = with_exif(&drawn(40, 30, ImageFormat::Jpeg));
        let made = make(Hash::of(&bytes), &bytes, false, || None).unwrap();
        assert!(!made.bytes.windows(6).any(|w| w == b"SECRET"));
        assert_ne!(made.picture.shown, made.picture.file);
        // Turned as the camera says: what was 40 wide is 40 high.
        assert_eq!((made.picture.width, made.picture.height), (30, 40));
        // The same drawing, and the same way up.
        let opened = |bytes: &[u8]| {
            let reader = ImageReader::with_format(Cursor::new(bytes), ImageFormat::Jpeg);
            let mut decoder = reader.into_decoder().unwrap();
            (decoder.orientation().unwrap(), DynamicImage::from_decoder(decoder).unwrap())
        };
        assert_eq!(opened(&made.bytes), opened(&bytes));
        assert_eq!(opened(&made.bytes).0, Orientation::Rotate90);
        let kept = make(Hash::of(&bytes), &bytes, true, || None).unwrap();
        assert_eq!((kept.bytes, kept.picture.width), (bytes, 30));
    }

    #[test]
    fn a_note_in_a_picture_or_behind_it_is_left_out() {
        let jpeg = drawn(40, 30, ImageFormat::Jpeg);
        let without = |bytes: &[u8]| jpeg_without_notes(bytes, Orientation::NoTransforms);
        assert_eq!(without(&jpeg).as_ref(), Some(&jpeg));
        let comment = [&jpeg[..2], &[0xff, 0xfe, 0, 5, b'h', b'e', b'y'], &jpeg[2..]].concat();
        assert_eq!(without(&comment).as_ref(), Some(&jpeg));
        assert_eq!(without(&with_exif(&jpeg)).as_ref(), Some(&jpeg));
        // A second picture may lie behind the end.
        assert_eq!(without(&[&jpeg[..], b"behind"].concat()).as_ref(), Some(&jpeg));
        for cut in 0..jpeg.len() {
            assert_eq!(without(&jpeg[..cut]), None, "{cut}");
        }
        let png = drawn(40, 30, ImageFormat::Png);
        assert!(plain_png(&png).is_some());
        assert!(plain_png(&[&png[..], b"behind"].concat()).is_none());
        let text = [&png[..33], &[0, 0, 0, 1], b"tEXt", b"x", &[0, 0, 0, 0], &png[33..]].concat();
        assert!(plain_png(&text).is_none());
    }

    #[test]
    fn a_large_picture_is_made_smaller_and_a_huge_one_is_not_opened() {
        // Grain, which takes room.
        let image = RgbImage::from_fn(2400, 1200, |x, y| image::Rgb([((x * 31) ^ (y * 57)) as u8, (x * y) as u8, 90]));
        let mut bytes = Cursor::new(Vec::new());
        DynamicImage::from(image).write_to(&mut bytes, ImageFormat::Jpeg).unwrap();
        let bytes = bytes.into_inner();
        let made = make(Hash::of(&bytes), &bytes, false, || None).unwrap();
        assert_eq!((made.picture.width, made.picture.height), (LONGEST, LONGEST / 2));
        assert!(made.drawn);
        // A copy that was kept is shown as it is; what is no copy is not.
        let kept = |copy: &[u8]| make(Hash::of(&bytes), &bytes, false, || Some(copy.to_vec())).unwrap();
        assert_eq!(kept(&made.bytes), super::Made { drawn: false, ..made.clone() });
        for other in [&bytes[..], &with_exif(&made.bytes), &made.bytes[..made.bytes.len() - 2], b""] {
            assert_eq!(kept(other), made);
        }
        // A small one needs none.
        let small = drawn(40, 30, ImageFormat::Jpeg);
        assert_eq!(make(Hash::of(&small), &small, false, || panic!("a copy")).unwrap().bytes, small);
        // 20,000 by 15,000 pixels are 300 million: the header alone says so.
        let mut huge = drawn(40, 30, ImageFormat::Png);
        huge[16..24].copy_from_slice(&[0, 0, 0x4e, 0x20, 0, 0, 0x3a, 0x98]);
        let crc = crc(&huge[12..29]);
        huge[29..33].copy_from_slice(&crc.to_be_bytes());
        assert_eq!(make(Hash::of(&huge), &huge, false, || None), None);
    }

    #[test]
    fn what_only_begins_like_a_picture_is_none() {
        let jpeg = drawn(40, 30, ImageFormat::Png);
        assert_eq!(make(Hash::START, &jpeg[..60], false, || None), None);
        assert_eq!(make(Hash::START, b"%PDF-1.7", false, || None), None);
        assert_eq!(make(Hash::START, b"", false, || None), None);
    }

    /// CRC-32 of PNG's chunks, bit by bit as its annex D has it.
    fn crc(bytes: &[u8]) -> u32 {
        let step = |c: u32, _| if c & 1 == 1 { 0xedb8_8320 ^ (c >> 1) } else { c >> 1 };
        !bytes.iter().fold(!0, |c: u32, b| (0..8).fold(c ^ u32::from(*b), step))
    }
}
