//! What leaves the ledger and comes in elsewhere: a million entries, and the dossier of a house of ten years.

use std::io::Cursor;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::measure::{Figure, median};
use crate::{made, shrink, stemwall};

/// What the commands may have of memory, code and libraries included.
const MEMORY: u64 = 256 << 20;

/// A million entries of 1,000 properties out as JSON Lines and in again, each in 256 MiB of address space.
pub fn export(folder: &Path) -> Vec<Figure> {
    let asked = 1_000_000 / shrink();
    let (_, readings) = made::batch_of_readings(folder, 1_000 / shrink().min(10), asked);
    let (from, to, file) = (folder.join("readings.stemwall"), folder.join("in.stemwall"), folder.join("out.jsonl"));
    let out = timed(&from, &["export", "json", "--out", file.to_str().expect("UTF-8")]);
    let lines = std::io::BufRead::lines(std::io::BufReader::new(std::fs::File::open(&file).expect("the export")))
        .count() as u64;
    assert!(lines > readings, "every reading, and what it is of");
    run(stemwall(&to).arg("init"));
    let taken = timed(&to, &["import", "json", file.to_str().expect("UTF-8")]);
    assert_eq!(seals(&to), seals(&from), "the same seals");
    let rate = |time: Duration| lines as f64 / time.as_secs_f64();
    let megabytes = std::fs::metadata(&file).expect("the export").len() >> 20;
    vec![
        Figure::at_least("export json, entries a second in 256 MiB", rate(out), 100_000.0)
            .beside(format!("{out:.2?}"), format!("{lines} entries, {megabytes} MiB")),
        Figure::at_least("import json, entries a second in 256 MiB", rate(taken), 30_000.0)
            .beside(format!("{taken:.2?}"), format!("{lines} entries")),
    ]
}

/// The dossier in HTML of a house with 600 entries and 40 photographs, whole process, at two sizes of photograph.
pub fn dossier(folder: &Path) -> Vec<Figure> {
    let sizes = [("of 2 megapixels", 1_632, 1_224), ("of 12 megapixels", 4_000, 3_000)];
    sizes
        .into_iter()
        .map(|(name, width, height)| {
            let ledger = folder.join(format!("dossier-{width}.stemwall"));
            let bytes =
                made::house_of_ten_years(&ledger, &(0..40).map(|n| photograph(n, width, height)).collect::<Vec<_>>());
            let mut times = Vec::new();
            for round in 0..7 {
                let page = folder.join(format!("dossier-{width}-{round}.html"));
                let page = page.to_str().expect("UTF-8");
                let start = Instant::now();
                let said = run(stemwall(&ledger).args(["dossier", "--out", page]));
                times.push(start.elapsed());
                assert!(said.contains("600 entries, 40 pictures"), "{said}");
                let checked = run(Command::new(stemwall(&ledger).get_program()).args(["verify", page]));
                assert!(checked.contains("what is shown is what they give"), "{checked}");
            }
            let time = median(times);
            let what = if width > 2_000 {
                "dossier of 600 entries and 40 photographs of 12 megapixels, s"
            } else {
                "dossier of 600 entries and 40 photographs of 2 megapixels, s"
            };
            Figure::at_most(what, time.as_secs_f64(), 0.3)
                .beside(format!("{time:.2?}"), format!("{} KiB a photograph {name}", bytes >> 10))
        })
        .collect()
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

fn timed(ledger: &Path, args: &[&str]) -> Duration {
    let of = stemwall(ledger);
    let mut limited = Command::new("prlimit");
    limited.arg(format!("--as={MEMORY}")).arg(of.get_program()).args(of.get_args()).args(args);
    let start = Instant::now();
    run(&mut limited);
    start.elapsed()
}

fn run(command: &mut Command) -> String {
    let output = command.output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn seals(ledger: &Path) -> Vec<(String, Vec<u8>)> {
    let connection = rusqlite::Connection::open(ledger).expect("the ledger");
    let mut statement =
        connection.prepare("SELECT property, head FROM chains WHERE chain > 0 ORDER BY property").expect("sql");
    let rows = statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).expect("rows");
    rows.map(|r| r.expect("a row")).collect()
}
