use std::io::Read;

use chrono::NaiveDate;
use proptest::prelude::{ProptestConfig, any, proptest};

use super::file::{FileError, LONGEST_ROW, Layout, Wanted, rows, year_first};
use crate::trade::air_log::{Recorder, Scale, Summary};

/// Gives its bytes in pieces of the sizes given, in turn.
struct Pieces<'a> {
    bytes: &'a [u8],
    sizes: std::iter::Cycle<std::slice::Iter<'a, usize>>,
}

impl Read for Pieces<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let size = *self.sizes.next().unwrap_or(&1);
        let most = size.min(buffer.len()).min(self.bytes.len());
        buffer[..most].copy_from_slice(&self.bytes[..most]);
        self.bytes = &self.bytes[most..];
        Ok(most)
    }
}

fn in_pieces(bytes: &[u8], sizes: &[usize], wanted: &Wanted) -> Result<(Option<Summary>, Layout), Vec<FileError>> {
    let mut recorder = Recorder::new(None);
    let mut source = Pieces { bytes, sizes: sizes.iter().cycle() };
    let layout = rows(&mut source, "log.csv", wanted, &mut |at, row| recorder.take(at, row))?;
    Ok((recorder.done(), layout))
}

fn whole(text: &str, wanted: &Wanted) -> Result<(Option<Summary>, Layout), Vec<FileError>> {
    in_pieces(text.as_bytes(), &[usize::MAX], wanted)
}

/// A row each quarter of an hour from 1 March 2026, with a hole and a gap here and there.
fn log(rows: &[(i16, u16, u8)]) -> String {
    let start = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap().and_hms_opt(0, 0, 0).unwrap();
    let mut at = start;
    let mut out = String::from("Date Time,Temp (°C),RH %\n");
    for (t, h, skip) in rows {
        let tenths = |n: i64| format!("{}{}.{}", if n < 0 { "-" } else { "" }, n.abs() / 10, n.abs() % 10);
        let (t, h) = (i64::from(t % 400), i64::from(h % 1001));
        let cells = if skip % 11 == 0 { ",".to_owned() } else { format!("{},{}", tenths(t), tenths(h)) };
        out.push_str(&format!("{},{cells}\n", at.format("%Y-%m-%d %H:%M")));
        at += chrono::TimeDelta::minutes(15 * (1 + i64::from(skip % 7)));
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn a_file_in_any_pieces_gives_the_same_record(
        made in proptest::collection::vec((any::<i16>(), any::<u16>(), any::<u8>()), 1..400),
        sizes in proptest::collection::vec(1_usize..5000, 1..20),
    ) {
        let text = log(&made);
        assert_eq!(in_pieces(text.as_bytes(), &sizes, &Wanted::default()), whole(&text, &Wanted::default()));
    }

    #[test]
    fn no_bytes_break_the_reader(
        bytes in proptest::collection::vec(any::<u8>(), 0..600),
        sizes in proptest::collection::vec(1_usize..99, 1..5),
        head in any::<bool>(),
    ) {
        let head = if head { "time,temp_f,rh\n".as_bytes() } else { &[] };
        let bytes = [head, &bytes].concat();
        let read = |sizes: &[usize]| in_pieces(&bytes, sizes, &Wanted::default());
        assert_eq!(read(&sizes), read(&[usize::MAX]));
    }
}

#[test]
fn columns_are_found_by_what_their_names_can_mean() {
    // 68 F is 20 C, 50 F is 10 C.
    let cases = [
        ("Time,Temperature (F),Humidity\n2026-03-01 10:00,68,65\n", Scale::Fahrenheit),
        ("when date;temp_c;r.h.;RH\n2026/03/01 10:00;20,0;x;65,0\n", Scale::Celsius),
        (
            "\u{feff}\"Date, time\",\"Temp, degC\",\"Humidity, %\",Dew point temp\n2026-03-01T10:00:00,\"20\",65 %,9\n",
            Scale::Celsius,
        ),
        ("time\ttemp\thum\n2026-03-01 10:00:00.500\t68 °F\t65\n", Scale::Fahrenheit),
    ];
    for (text, scale) in cases {
        let (summary, layout) = whole(text, &Wanted::default()).unwrap_or_else(|e| panic!("{text}: {e:?}"));
        let summary = summary.unwrap();
        assert_eq!(layout.read_as.unit, scale.word(), "{text}");
        assert_eq!(summary.temperature.mean.to_celsius(), 20.0, "{text}");
        assert_eq!(summary.humidity.mean.to_percent(), 65.0, "{text}");
    }
    // A header in an older encoding: the degree sign is one byte.
    let old = b"time,temp \xb0F,rh\n2026-03-01 10:00,50,40\n";
    let (summary, layout) = in_pieces(old, &[7], &Wanted::default()).unwrap();
    assert_eq!(layout.read_as.temperature, "temp °F");
    assert_eq!(summary.unwrap().temperature.mean.to_celsius(), 10.0);
}

#[test]
fn thousands_of_columns_are_read_and_a_row_without_end_is_not() {
    let many: String = (0..5000).map(|i| format!(",c{i}")).collect();
    let empty = ",".repeat(5000);
    let text = format!("time,temp_c,rh{many}\n2026-03-01 10:00,20,65{empty}\n");
    assert!(whole(&text, &Wanted::default()).unwrap().0.is_some());
    let without_end =
        format!("time,temp_c,rh\n2026-03-01 10:00,20,65\n2026-03-01 11:00,\"20,65{}", ",".repeat(2 * LONGEST_ROW));
    let error = whole(&without_end, &Wanted::default()).unwrap_err();
    assert_eq!(error, [FileError::RowTooLong { file: "log.csv".into(), line: 3 }]);
    let no_break = "x".repeat(2 * LONGEST_ROW);
    assert_eq!(
        whole(&no_break, &Wanted::default()).unwrap_err(),
        [FileError::RowTooLong { file: "log.csv".into(), line: 1 }]
    );
}

#[test]
fn a_time_without_its_year_in_four_digits_is_no_time() {
    // `2/3/26` would be the year 2 by its first figure, and two days by which way it is read.
    for typed in ["2/3/26 10:00", "26/3/2 10:00", "02-03-2026 10:00", "2026-02-30 10:00", ""] {
        assert_eq!(year_first(typed), None, "{typed}");
    }
    let (at, _) = year_first("2026/3/2 10:00:30.5").unwrap();
    assert_eq!(at.to_string(), "2026-03-02 10:00:30.500");
}
