//! Photographs: when they were taken goes with them, where stays in the ledger unless it is asked for.

use std::io::Cursor;

use base64::Engine;
use exif::experimental::Writer;
use exif::{Field, In, Rational, Tag, Value};
use stemwall::dossier::data::read;

use crate::world::World;

/// What a camera with a receiver writes: 44 + 58/60 + 40.8/3600 = 44.978 north, 93 + 15/60 + 54/3600 = 93.265 west.
fn written_by_camera() -> Vec<u8> {
    let field = |tag, value| Field { tag, ifd_num: In::PRIMARY, value };
    let text = |tag, text: &str| field(tag, Value::Ascii(vec![text.into()]));
    let angle = |tag, parts: [(u32, u32); 3]| {
        field(tag, Value::Rational(parts.map(|(num, denom)| Rational { num, denom }).to_vec()))
    };
    let fields = [
        text(Tag::Make, "SECRETMAKER"),
        text(Tag::DateTimeOriginal, "2025:05:03 10:11:12"),
        text(Tag::GPSLatitudeRef, "N"),
        angle(Tag::GPSLatitude, [(44, 1), (58, 1), (4080, 100)]),
        text(Tag::GPSLongitudeRef, "W"),
        angle(Tag::GPSLongitude, [(93, 1), (15, 1), (54, 1)]),
    ];
    let mut writer = Writer::new();
    fields.iter().for_each(|field| writer.push_field(field));
    let mut tiff = Cursor::new(Vec::new());
    writer.write(&mut tiff, false).unwrap();
    tiff.into_inner()
}

/// A JPEG with what the camera wrote in a segment behind its start.
fn photograph() -> Vec<u8> {
    let mut jpeg = Cursor::new(Vec::new());
    let image = image::RgbImage::from_fn(40, 30, |x, y| image::Rgb([x as u8, y as u8, 90]));
    image::DynamicImage::from(image).write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
    let jpeg = jpeg.into_inner();
    let exif = [b"Exif\0\0", &written_by_camera()[..]].concat();
    let length = (exif.len() as u16 + 2).to_be_bytes();
    [&jpeg[..2], &[0xff, 0xe1], &length[..], &exif, &jpeg[2..]].concat()
}

fn house() -> World {
    let world = World::with_crack();
    world.file("wall.jpg", photograph());
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2025-05-03", "--photo", "wall.jpg"]).ok();
    world
}

#[test]
fn an_entry_says_when_and_where_its_photograph_was_taken() {
    let world = house();
    let said = world.run(&["entry", "show", "elm#4"]).ok();
    assert!(said.contains("          taken 2025-05-03T10:11 at 44.97800 N, 93.26500 W, by its camera\n"), "{said}");
    let shown = world.run(&["entry", "show", "elm#4", "--json"]).json();
    assert_eq!(shown["remarks"]["photos"][0]["taken"], "2025-05-03T10:11");
    assert_eq!(shown["places"][0]["file"], "wall.jpg");
    assert!((shown["places"][0]["latitude"].as_f64().unwrap() - 44.978).abs() < 1e-9);
    assert!((shown["places"][0]["longitude"].as_f64().unwrap() + 93.265).abs() < 1e-9);
    // The place is in the file, and in no entry.
    world.run(&["export", "json", "--out", "e.jsonl"]).ok();
    let entries = std::fs::read_to_string(world.path("e.jsonl")).unwrap();
    assert!(entries.contains("2025-05-03T10:11") && !entries.contains("44.97"), "{entries}");
}

#[test]
fn a_dossier_shows_no_place_unless_it_is_asked_for() {
    let world = house();
    for name in ["d.html", "d.json"] {
        world.run(&["dossier", "elm", "--out", name]).ok();
        world.run(&["verify", name]).ok();
        let bytes = std::fs::read(world.path(name)).unwrap();
        let pictures = read(&bytes).ok().unwrap().pictures;
        assert_eq!(pictures.len(), 1);
        for picture in pictures.values() {
            let picture = base64::engine::general_purpose::STANDARD.decode(picture).unwrap();
            for secret in [&b"Exif"[..], b"SECRET"] {
                assert!(!picture.windows(secret.len()).any(|w| w == secret), "{name}");
            }
        }
        let text = String::from_utf8(bytes).unwrap();
        assert!(!text.contains("44.97") && text.contains("2025-05-03T10:11"), "{name}");
    }
    let page = std::fs::read_to_string(world.path("d.html")).unwrap();
    assert!(
        page.contains("Taken on 2025-05-03T10:11 by the clock of its camera. A copy without what the camera wrote,"),
        "{page}"
    );
    world.run(&["dossier", "elm", "--out", "k.html", "--keep-location"]).ok();
    world.run(&["verify", "k.html"]).ok();
    let page = std::fs::read_to_string(world.path("k.html")).unwrap();
    assert!(page.contains("Taken at 44.97800 N, 93.26500 W, by its camera. The file itself."), "{page}");
    // A place that the picture does not give is found.
    world.file("k.html", page.replace("44.97800 N", "44.97900 N"));
    assert!(world.run(&["verify", "k.html"]).fails(3).contains("does not show what its entries give"));
}

/// A picture of grain, which takes more room than goes into a dossier as it is.
fn large_photograph() -> Vec<u8> {
    let mut jpeg = Cursor::new(Vec::new());
    let image =
        image::RgbImage::from_fn(1_600, 1_200, |x, y| image::Rgb([((x * 31) ^ (y * 57)) as u8, (x * y) as u8, 90]));
    image::DynamicImage::from(image).write_to(&mut jpeg, image::ImageFormat::Jpeg).unwrap();
    jpeg.into_inner()
}

/// The files of a ledger, by name, each with its length.
fn files(world: &World) -> Vec<(String, u64)> {
    files_of(world, "houses.stemwall.files")
}

fn files_of(world: &World, folder: &str) -> Vec<(String, u64)> {
    let folders = std::fs::read_dir(world.path(folder)).unwrap().map(Result::unwrap);
    let all = folders.flat_map(|folder| std::fs::read_dir(folder.path()).into_iter().flatten().map(Result::unwrap));
    let mut all: Vec<_> = all.map(|f| (f.file_name().into_string().unwrap(), f.metadata().unwrap().len())).collect();
    all.sort();
    all
}

/// A smaller copy is drawn when a photograph is attached; dossiers show it, are the same without it, and it goes with its file.
#[test]
fn a_smaller_copy_is_kept_and_nothing_hangs_on_it() {
    let world = World::with_crack();
    world.file("wall.jpg", large_photograph());
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2025-05-03", "--photo", "wall.jpg"]).ok();
    let there = files(&world);
    let [(name, bytes), (copy, smaller)] = &there[..] else { panic!("{there:?}") };
    assert!(*copy == format!("{name}.small-1") && smaller < bytes && *bytes > 384 << 10, "{there:?}");
    let copy = world.path("houses.stemwall.files").join(&name[..2]).join(copy);
    let kept = std::fs::read(&copy).unwrap();
    let written = |name: &str| {
        world.run(&["dossier", "elm", "--out", name]).ok();
        world.run(&["verify", name]).ok();
        std::fs::read(world.path(name)).unwrap()
    };
    let page = written("with.html");
    let shown = base64::engine::general_purpose::STANDARD.encode(&kept[..kept.len() - 32]);
    assert!(String::from_utf8_lossy(&page).contains(&shown), "the copy is what is shown");
    std::fs::remove_file(&copy).unwrap();
    assert!(written("without.html") == page && std::fs::read(&copy).unwrap() == kept, "drawn again, and kept");
    std::fs::write(&copy, b"something else").unwrap();
    assert!(written("changed.html") == page && std::fs::read(&copy).unwrap() == kept, "drawn again, and kept");
    world.run(&["verify"]).ok();
    world.run(&["property", "hand-over", "elm", "--out", "theirs.stemwall", "--to", "A. Reed"]).ok();
    assert_eq!(files_of(&world, "theirs.stemwall.files"), there, "it goes along");
    world.run(&["entry", "erase", "elm#4", "--why", "asked for"]).ok();
    assert_eq!(files(&world), []);
}
