//! The dossier of a house of ten years: 600 entries, 40 photographs, whole process.

use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use crate::measure::{Figure, median};
use crate::outside::run;
use crate::{made, stemwall};

const PHOTOGRAPHS: u32 = 40;
const ROUNDS: usize = 7;

/// As a page of HTML, at two sizes of photograph; of the larger also where no smaller copies of them are kept, as in a ledger that
/// comes from a backup.
pub fn html(folder: &Path) -> Vec<Figure> {
    let small = House::made(folder, 1_632, 1_224);
    let large = House::made(folder, 4_000, 3_000);
    let of = |what, house: &House, time: Duration, limit| {
        Figure::at_most(what, time.as_secs_f64(), limit).beside(format!("{time:.2?}"), house.size())
    };
    let mut figures = vec![
        of("dossier of 600 entries, 40 photographs of 2 megapixels, s", &small, small.written("html", ROUNDS), 0.3),
        of("dossier of 600 entries, 40 photographs of 12 megapixels, s", &large, large.written("html", ROUNDS), 0.3),
    ];
    let dropped = large.drop_copies();
    assert_eq!(dropped, PHOTOGRAPHS as usize, "each has a copy");
    let first = large.written("html", 1);
    figures.push(of("the same the first time after a restore, s", &large, first, 0.3));
    figures
}

/// As a PDF, where the program writes any.
pub fn pdf(folder: &Path) -> Vec<Figure> {
    let house = House::made(folder, 4_000, 3_000);
    let try_out = folder.join("try.pdf");
    let said = stemwall(&house.ledger).arg("dossier").arg("--out").arg(&try_out).output().expect("it runs");
    if String::from_utf8_lossy(&said.stderr).contains("writes no PDF") {
        println!("pdf: skipped, because the program was built without the feature pdf");
        return Vec::new();
    }
    let time = house.written("pdf", 3);
    vec![
        Figure::at_most("PDF of 600 entries, 40 photographs of 12 megapixels, s", time.as_secs_f64(), 2.0)
            .beside(format!("{time:.2?}"), house.size()),
    ]
}

/// A ledger of one house, its photographs attached as people attach them.
struct House {
    ledger: PathBuf,
    width: u32,
    bytes: usize,
}

impl House {
    fn made(folder: &Path, width: u32, height: u32) -> House {
        let ledger = folder.join(format!("dossier-{width}.stemwall"));
        let mut house = House { ledger, width, bytes: 0 };
        if house.ledger.exists() {
            house.bytes = photograph(0, width, height).len();
            return house;
        }
        made::house_of_ten_years(&house.ledger, 600 - PHOTOGRAPHS as usize);
        for number in 0..PHOTOGRAPHS {
            let bytes = photograph(number, width, height);
            house.bytes = bytes.len();
            let path = folder.join("photograph.jpg");
            std::fs::write(&path, bytes).expect("a file");
            let (finding, day) = (number % 12 + 1, format!("2025-{:02}-{:02}", number / 28 + 1, number % 28 + 1));
            let mut add = stemwall(&house.ledger);
            add.args(["reading", "add", &format!("house-0/{finding}"), "--width", "0.6 mm", "--on", &day, "--sure"]);
            run(add.arg("--photo").arg(path));
        }
        house
    }

    fn size(&self) -> String {
        format!("{} KiB a photograph", self.bytes >> 10)
    }

    /// The median time of writing it in a form; each one is checked.
    fn written(&self, form: &str, rounds: usize) -> Duration {
        let mut times = Vec::new();
        for round in 0..rounds {
            let folder = self.ledger.parent().expect("a folder");
            let path = folder.join(format!("dossier-{}-{rounds}-{round}.{form}", self.width));
            let path = path.to_str().expect("UTF-8");
            let start = Instant::now();
            let said = run(stemwall(&self.ledger).args(["dossier", "--out", path]));
            times.push(start.elapsed());
            assert!(said.contains("600 entries, 40 pictures"), "{said}");
            let checked = run(Command::new(stemwall(&self.ledger).get_program()).args(["verify", path]));
            assert!(checked.contains("what is shown is what they give"), "{checked}");
        }
        median(times)
    }

    /// Takes the kept copies away: what is in the folder of files beside what entries name, by the ending of its name.
    fn drop_copies(&self) -> usize {
        let mut files = self.ledger.as_os_str().to_owned();
        files.push(".files");
        let folders = std::fs::read_dir(files).expect("the files").flatten();
        let all = folders.flat_map(|folder| std::fs::read_dir(folder.path()).into_iter().flatten().flatten());
        let copies: Vec<PathBuf> = all.map(|file| file.path()).filter(|path| path.extension().is_some()).collect();
        copies.iter().for_each(|copy| std::fs::remove_file(copy).expect("a copy"));
        copies.len()
    }
}

/// A picture with edges, slopes and grain, as a camera's has.
fn photograph(number: u32, width: u32, height: u32) -> Vec<u8> {
    let mut chance = u64::from(number) + 1;
    let image = image::RgbImage::from_fn(width, height, |x, y| {
        chance = chance.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let grain = (chance >> 61) as u32;
        let edge = if (x / 97 + y / 61 + number).is_multiple_of(3) { 60 } else { 0 };
        let level = 90 + edge + x * 60 / width + grain;
        image::Rgb([level as u8, (level - y * 30 / height) as u8, (level / 2 + 40) as u8])
    });
    let mut bytes = Cursor::new(Vec::new());
    let encoder = image::codecs::jpeg::JpegEncoder::new_with_quality(&mut bytes, 88);
    image.write_with_encoder(encoder).expect("a picture");
    bytes.into_inner()
}
