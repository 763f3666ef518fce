//! What a camera wrote into a photograph (EXIF): when it was taken, by the clock of the camera, and where it stood.
//!
//! The time is kept with the entry. The place stays in the file: an entry is hashed, and what is in it goes wherever its
//! dossier goes; a file can be shown without.

use std::fmt;
use std::io::{BufRead, Seek};

use chrono::{NaiveDate, NaiveDateTime};
use exif::{Exif, In, Tag, Value};

/// A larger file is not looked into, in bytes: no camera writes it, and some formats are read as a whole.
pub const MOST_BYTES: u64 = 64 << 20;

/// What a photograph says of itself; nothing proves it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Camera {
    /// Civil time, of the clock in the camera.
    pub taken: Option<NaiveDateTime>,
    pub place: Option<Place>,
}

/// Degrees north and east.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    pub latitude: f64,
    pub longitude: f64,
}

impl Camera {
    /// Reads it from a photograph of up to [`MOST_BYTES`]; what is not there, or does not read, is not known.
    pub fn of(file: &mut (impl BufRead + Seek)) -> Camera {
        let Ok(exif) = exif::Reader::new().read_from_container(file) else { return Camera::default() };
        Camera { taken: taken(&exif), place: place(&exif) }
    }
}

fn taken(exif: &Exif) -> Option<NaiveDateTime> {
    let Value::Ascii(texts) = &exif.get_field(Tag::DateTimeOriginal, In::PRIMARY)?.value else { return None };
    let taken = exif::DateTime::from_ascii(texts.first()?).ok()?;
    let day = NaiveDate::from_ymd_opt(taken.year.into(), taken.month.into(), taken.day.into())?;
    // A camera whose clock was never set.
    let day = (1800..2200).contains(&taken.year).then_some(day)?;
    day.and_hms_opt(taken.hour.into(), taken.minute.into(), taken.second.into())
}

fn place(exif: &Exif) -> Option<Place> {
    let latitude = degrees(exif, Tag::GPSLatitude, Tag::GPSLatitudeRef, [b'N', b'S'])?;
    let longitude = degrees(exif, Tag::GPSLongitude, Tag::GPSLongitudeRef, [b'E', b'W'])?;
    (latitude.abs() <= 90.0 && longitude.abs() <= 180.0).then_some(Place { latitude, longitude })
}

/// Degrees, minutes and seconds, each a ratio; the second letter turns the sign (EXIF 2.32, GPS attributes).
fn degrees(exif: &Exif, angle: Tag, side: Tag, [plus, minus]: [u8; 2]) -> Option<f64> {
    let Value::Rational(parts) = &exif.get_field(angle, In::PRIMARY)?.value else { return None };
    let Value::Ascii(side) = &exif.get_field(side, In::PRIMARY)?.value else { return None };
    let sign = match side.first()?.first()? {
        letter if *letter == plus => 1.0,
        letter if *letter == minus => -1.0,
        _ => return None,
    };
    let [degrees, minutes, seconds] = parts.as_slice() else { return None };
    let angle = degrees.to_f64() + minutes.to_f64() / 60.0 + seconds.to_f64() / 3600.0;
    // A ratio over 0 is how a camera says that it does not know.
    angle.is_finite().then_some(sign * angle)
}

impl fmt::Display for Place {
    /// `44.97800 N, 93.26500 W`: five decimals are about a metre.
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        let side = |angle: f64, plus, minus| if angle < 0.0 { minus } else { plus };
        let (north, east) = (side(self.latitude, "N", "S"), side(self.longitude, "E", "W"));
        write!(f, "{:.5} {north}, {:.5} {east}", self.latitude.abs(), self.longitude.abs())
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use chrono::NaiveDate;
    use exif::experimental::Writer;
    use exif::{Field, In, Rational, Tag, Value};

    use super::Camera;

    fn field(tag: Tag, value: Value) -> Field {
        Field { tag, ifd_num: In::PRIMARY, value }
    }

    fn text(tag: Tag, text: &str) -> Field {
        field(tag, Value::Ascii(vec![text.into()]))
    }

    fn angle(tag: Tag, parts: [(u32, u32); 3]) -> Field {
        field(tag, Value::Rational(parts.map(|(num, denom)| Rational { num, denom }).to_vec()))
    }

    fn of(fields: &[Field]) -> Camera {
        let mut writer = Writer::new();
        fields.iter().for_each(|field| writer.push_field(field));
        let mut tiff = Cursor::new(Vec::new());
        writer.write(&mut tiff, false).unwrap();
        Camera::of(&mut Cursor::new(tiff.into_inner()))
    }

    #[test]
    fn the_time_and_the_place_are_read() {
        let camera = of(&[
            text(Tag::DateTimeOriginal, "2025:05:03 10:11:12"),
            text(Tag::GPSLatitudeRef, "N"),
            angle(Tag::GPSLatitude, [(44, 1), (58, 1), (4080, 100)]),
            text(Tag::GPSLongitudeRef, "W"),
            angle(Tag::GPSLongitude, [(93, 1), (15, 1), (54, 1)]),
        ]);
        assert_eq!(camera.taken, NaiveDate::from_ymd_opt(2025, 5, 3).unwrap().and_hms_opt(10, 11, 12));
        // 44 + 58/60 + 40.8/3600 = 44.978; 93 + 15/60 + 54/3600 = 93.265.
        assert_eq!(camera.place.unwrap().to_string(), "44.97800 N, 93.26500 W");
    }

    #[test]
    fn what_a_camera_does_not_know_is_not_known() {
        for taken in ["0000:00:00 00:00:00", "    :  :     :  :  ", "2025:02:30 10:00:00", "yesterday", ""] {
            assert_eq!(of(&[text(Tag::DateTimeOriginal, taken)]).taken, None, "{taken}");
        }
        let east = [text(Tag::GPSLongitudeRef, "E"), angle(Tag::GPSLongitude, [(10, 1), (0, 1), (0, 1)])];
        let north = |side: &str, parts| {
            let north = [text(Tag::GPSLatitudeRef, side), angle(Tag::GPSLatitude, parts)];
            of(&[&east[..], &north[..]].concat()).place.map(|place| place.to_string())
        };
        assert_eq!(north("N", [(50, 1), (30, 1), (0, 1)]), Some("50.50000 N, 10.00000 E".into()));
        assert_eq!(north("N", [(0, 0), (0, 0), (0, 0)]), None);
        assert_eq!(north("N", [(91, 1), (0, 1), (0, 1)]), None);
        assert_eq!(north("?", [(50, 1), (0, 1), (0, 1)]), None);
        assert_eq!(of(&east), Camera::default());
        assert_eq!(Camera::of(&mut Cursor::new(b"\xff\xd8\xff\xe1\0\x08Exif\0\0")), Camera::default());
    }

    /// A directory that names itself as the next one, and one that claims four thousand million values.
    #[test]
    fn a_directory_without_end_ends() {
        let own = b"MM\0*\0\0\0\x08\0\x01\x87\x69\0\x04\0\0\0\x01\0\0\0\x08\0\0\0\x08";
        assert_eq!(Camera::of(&mut Cursor::new(own)), Camera::default());
        let many = b"MM\0*\0\0\0\x08\0\x01\x90\x03\0\x02\xff\xff\xff\xff\0\0\0\x08\0\0\0\0";
        assert_eq!(Camera::of(&mut Cursor::new(many)), Camera::default());
    }
}
