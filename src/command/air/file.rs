//! A logger's CSV file, read as a stream: which columns, how written, and every row that cannot be one.
//!
//! The memory it takes is that of one row, and a row has a limit. Columns are found by name: the ones asked for, else the one
//! column whose name can be meant. Fields are parted by what the header line has most of: commas, semicolons or tabs; where it
//! is not the comma, a comma stands for the decimal point. The text is UTF-8; a header in an older encoding is read byte by byte.

use std::cell::Cell;
use std::io::{Cursor, Read};
use std::rc::Rc;

use chrono::NaiveDateTime;
use csv::ByteRecord;

use crate::ledger::kind::air_logged::{AirLogged, ReadAs, SurfaceBy};
use crate::quantity::{Exact, Share, Temperature};
use crate::trade::air_log::{Row, RowError, Scale};

/// How many rows that are wrong are named.
const MOST_NAMED: usize = 20;
/// Bytes of the longest row, thousands of columns included; beyond it a quotation mark was never closed, or it is no table.
pub(super) const LONGEST_ROW: usize = 1 << 20;
/// Names of columns that are named back.
const MOST_COLUMNS: usize = 12;
/// How times are written unless it is said: the year first, so that day and month cannot be mixed up.
const TIMES: [&str; 6] = [
    "%Y-%m-%d %H:%M",
    "%Y-%m-%d %H:%M:%S%.f",
    "%Y-%m-%dT%H:%M",
    "%Y-%m-%dT%H:%M:%S%.f",
    "%Y/%m/%d %H:%M",
    "%Y/%m/%d %H:%M:%S%.f",
];
const FAHRENHEIT_STEP: Exact = Exact::new(5, 9);
const FREEZING: Exact = Exact::integer(-32);

/// Why a logger's file cannot be taken. `line` counts from 1, the header line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FileError {
    #[error("the file `{file}` cannot be read: {error}")]
    Unreadable { file: String, error: String },
    #[error("`{file}` is not text in UTF-8: {found}")]
    NotText { file: String, found: &'static str },
    #[error("there is no column `{column}` in `{file}`")]
    NoColumn { flag: &'static str, column: String, file: String, header: Vec<String> },
    #[error("which column of `{file}` holds the {what}?")]
    WhichColumn { flag: &'static str, what: &'static str, file: String, header: Vec<String> },
    #[error("two columns of `{file}` are called `{column}`")]
    TwoColumns { column: String, file: String },
    #[error("the unit of `{column}` is not said in `{file}`")]
    NoUnit { column: String, file: String },
    #[error("units are mixed in `{file}`: {one} by {by}, {other} in line {line}")]
    MixedUnits { file: String, one: Scale, by: String, other: Scale, line: u64 },
    #[error("`{file}` line {line}: the row is longer than a megabyte")]
    RowTooLong { file: String, line: u64 },
    #[error("`{file}` line {line}: the row has {fields} fields, and column `{column}` is not among them")]
    ShortRow { file: String, line: u64, fields: usize, column: String },
    #[error("`{file}` line {line}: `{typed}` is not a time")]
    NotATime { file: String, line: u64, typed: String, format: Option<String> },
    #[error("`{file}` line {line}: `{typed}` is not a temperature")]
    NotATemperature { file: String, line: u64, typed: String },
    #[error("`{file}` line {line}: `{typed}` is not a humidity in per cent")]
    NotAHumidity { file: String, line: u64, typed: String },
    #[error("`{file}` line {line}: {error}")]
    Row { file: String, line: u64, error: RowError },
    #[error("`{file}` has no hour with a temperature and a humidity in it")]
    Empty { file: String },
    #[error("`{file}` was changed while it was read")]
    Changed { file: String },
}

/// How a file is asked to be read.
#[derive(Debug, Clone, Copy, Default)]
pub struct Wanted<'a> {
    pub time: Option<&'a str>,
    pub temperature: Option<&'a str>,
    pub humidity: Option<&'a str>,
    /// Read only where it is named.
    pub surface: Option<&'a str>,
    pub times: Option<&'a str>,
    pub unit: Option<Scale>,
}

/// How a file was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Layout {
    pub read_as: ReadAs,
    pub surface: Option<String>,
}

impl Layout {
    /// How the files of a record were read.
    pub fn of(log: &AirLogged) -> Layout {
        let surface = match &log.surface {
            Some(SurfaceBy::Column(name)) => Some(name.clone()),
            _ => None,
        };
        Layout { read_as: log.read_as.clone(), surface }
    }

    /// The same asked of another file.
    pub fn wanted(&self) -> Wanted<'_> {
        let ReadAs { time, temperature, humidity, times, unit } = &self.read_as;
        Wanted {
            time: Some(time),
            temperature: Some(temperature),
            humidity: Some(humidity),
            surface: self.surface.as_deref(),
            times: Some(times),
            unit: Scale::from_word(unit),
        }
    }
}

/// Reads every row of a file and hands it on, `None` where one of its figures is empty.
///
/// Errors: every row that is wrong, up to twenty; what cannot be read at all ends it at once.
pub fn rows(
    source: &mut dyn Read,
    file: &str,
    wanted: &Wanted,
    take: &mut dyn FnMut(NaiveDateTime, Option<Row>) -> Result<(), RowError>,
) -> Result<Layout, Vec<FileError>> {
    let head = first_line(source, file).map_err(|error| vec![error])?;
    let delimiter = delimiter(&head);
    let left = Rc::new(Cell::new(LONGEST_ROW));
    let bounded = Bounded { inner: Cursor::new(head).chain(source), left: Rc::clone(&left) };
    let mut csv = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(delimiter)
        .trim(csv::Trim::All)
        .buffer_capacity(1 << 16)
        .from_reader(bounded);
    let broken = |error: &csv::Error, line: u64| match left.get() {
        0 => FileError::RowTooLong { file: file.to_owned(), line },
        _ => FileError::Unreadable { file: file.to_owned(), error: error.to_string() },
    };
    let header: Vec<String> = csv.byte_headers().map_err(|e| vec![broken(&e, 1)])?.iter().map(name).collect();
    let columns = Columns::find(&header, file, wanted)?;
    let mut cells = Cells { file, columns, decimal_comma: delimiter != b',', times: wanted.times.map(str::to_owned) };

    let (mut wrong, mut row) = (Vec::new(), ByteRecord::new());
    loop {
        left.set(LONGEST_ROW);
        let line = csv.position().line();
        match csv.read_byte_record(&mut row) {
            Ok(false) => break,
            Ok(true) => {
                let line = row.position().map_or(line, csv::Position::line);
                let taken = cells.read(&row, line).and_then(|(at, row)| {
                    take(at, row).map_err(|error| FileError::Row { file: file.to_owned(), line, error })
                });
                wrong.extend(taken.err());
            }
            Err(error) => {
                wrong.push(broken(&error, line));
                break;
            }
        }
        if wrong.len() >= MOST_NAMED {
            break;
        }
    }
    if !wrong.is_empty() {
        return Err(wrong);
    }
    cells.layout(wanted, &header)
}

/// A time that is written with the year first, in four digits, and how it is written.
pub fn year_first(typed: &str) -> Option<(NaiveDateTime, &'static str)> {
    let year = typed.bytes().take_while(u8::is_ascii_digit).count();
    let parse = |format: &&'static str| Some((NaiveDateTime::parse_from_str(typed, format).ok()?, *format));
    TIMES.iter().filter(|_| year == 4).find_map(parse)
}

/// The header line with its line break; the rest of the source is left unread.
fn first_line(source: &mut dyn Read, file: &str) -> Result<Vec<u8>, FileError> {
    let mut head = Vec::new();
    let mut chunk = [0; 4096];
    while head.len() < LONGEST_ROW && !head.contains(&b'\n') {
        match source.read(&mut chunk) {
            Ok(0) => break,
            Ok(read) => head.extend_from_slice(&chunk[..read]),
            Err(error) if error.kind() == std::io::ErrorKind::Interrupted => {}
            Err(error) => {
                return Err(FileError::Unreadable { file: file.to_owned(), error: super::unread(&error) });
            }
        }
    }
    let not_text = |found| FileError::NotText { file: file.to_owned(), found };
    match &head[..] {
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => Err(not_text("it is written in UTF-16")),
        head if line_of(head).contains(&0) => Err(not_text("there are zero bytes in it")),
        _ => Ok(head),
    }
}

/// Without what was read beyond it.
fn line_of(head: &[u8]) -> &[u8] {
    head.split(|byte| *byte == b'\n').next().unwrap_or_default()
}

fn delimiter(head: &[u8]) -> u8 {
    let line = line_of(head);
    let count = |delimiter: u8| {
        let mut quoted = false;
        line.iter()
            .filter(|byte| {
                quoted ^= **byte == b'"';
                !quoted && **byte == delimiter
            })
            .count()
    };
    // The last of equals wins.
    [b'\t', b';', b','].into_iter().max_by_key(|delimiter| count(*delimiter)).unwrap_or(b',')
}

/// Gives no more than a row's worth between two rows.
struct Bounded<R> {
    inner: R,
    left: Rc<Cell<usize>>,
}

impl<R: Read> Read for Bounded<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let left = self.left.get();
        if left == 0 {
            return Err(std::io::Error::other("a row is longer than a megabyte"));
        }
        let most = buffer.len().min(left);
        let read = self.inner.read(&mut buffer[..most])?;
        self.left.set(left - read);
        Ok(read)
    }
}

/// A column's name; where it is not UTF-8 its bytes are those of an older encoding.
fn name(bytes: &[u8]) -> String {
    match std::str::from_utf8(bytes) {
        Ok(text) => text.trim().to_owned(),
        Err(_) => bytes.iter().map(|byte| char::from(*byte)).collect::<String>().trim().to_owned(),
    }
}

/// Where the figures stand in a row.
struct Columns {
    time: usize,
    temperature: usize,
    humidity: usize,
    surface: Option<usize>,
    /// Of the temperatures, where flag or header says it.
    unit: Option<(Scale, String)>,
    names: [String; 4],
}

impl Columns {
    fn find(header: &[String], file: &str, wanted: &Wanted) -> Result<Columns, Vec<FileError>> {
        let words = |parts: &'static [&'static str], not: Option<&'static str>| {
            move |name: &str| {
                let name = name.to_lowercase();
                parts.iter().any(|part| name.contains(part)) && !not.is_some_and(|not| name.contains(not))
            }
        };
        let find = |flag, what, asked: Option<&str>, meant: &dyn Fn(&str) -> bool| match asked {
            Some(asked) => named(header, file, flag, asked),
            None => guessed(header, file, flag, what, meant),
        };
        let time = find("--time", "time", wanted.time, &words(&["time", "date"], None));
        let temperature = find("--temperature", "temperature", wanted.temperature, &words(&["temp"], Some("dew")));
        let humidity = find("--humidity", "relative humidity", wanted.humidity, &|name| {
            let name = name.to_lowercase();
            name.contains("hum") || name.split(|c: char| !c.is_alphanumeric()).any(|word| word == "rh")
        });
        let surface = wanted.surface.map(|asked| named(header, file, "--surface", asked)).transpose();
        match (time, temperature, humidity, surface) {
            (Ok(time), Ok(temperature), Ok(humidity), Ok(surface)) => {
                let named = |at: usize| header.get(at).cloned().unwrap_or_default();
                let names = [named(time), named(temperature), named(humidity), surface.map_or_else(String::new, named)];
                let unit = unit_of(file, wanted, [&names[1], &names[3]]).map_err(|error| vec![error])?;
                Ok(Columns { time, temperature, humidity, surface, unit, names })
            }
            (time, temperature, humidity, surface) => {
                let errors = [time.err(), temperature.err(), humidity.err(), surface.err()];
                Err(errors.into_iter().flatten().collect())
            }
        }
    }
}

fn named(header: &[String], file: &str, flag: &'static str, asked: &str) -> Result<usize, FileError> {
    let mut at = header.iter().enumerate().filter(|(_, name)| *name == asked).map(|(at, _)| at);
    match (at.next(), at.next()) {
        (Some(at), None) => Ok(at),
        (Some(_), Some(_)) => Err(FileError::TwoColumns { column: asked.to_owned(), file: file.to_owned() }),
        _ => {
            let (column, file, header) = (asked.to_owned(), file.to_owned(), shown(header));
            Err(FileError::NoColumn { flag, column, file, header })
        }
    }
}

fn guessed(
    header: &[String],
    file: &str,
    flag: &'static str,
    what: &'static str,
    meant: &dyn Fn(&str) -> bool,
) -> Result<usize, FileError> {
    let mut at = header.iter().enumerate().filter(|(_, name)| meant(name)).map(|(at, _)| at);
    match (at.next(), at.next()) {
        (Some(at), None) => Ok(at),
        _ => Err(FileError::WhichColumn { flag, what, file: file.to_owned(), header: shown(header) }),
    }
}

/// The names of the columns, so many as can be read.
fn shown(header: &[String]) -> Vec<String> {
    let mut names: Vec<String> = header.iter().take(MOST_COLUMNS).cloned().collect();
    if header.len() > MOST_COLUMNS {
        names.push(format!("and {} more", header.len() - MOST_COLUMNS));
    }
    names
}

/// The unit by flag and by the names of the columns. Errors where they differ.
fn unit_of(file: &str, wanted: &Wanted, names: [&str; 2]) -> Result<Option<(Scale, String)>, FileError> {
    let by_flag = wanted.unit.map(|unit| (unit, "--unit".to_owned()));
    let by_names = names.into_iter().filter_map(|name| Some((unit_in(name)?, format!("column `{name}`"))));
    let mut unit: Option<(Scale, String)> = None;
    for (other, by) in by_flag.into_iter().chain(by_names) {
        match &unit {
            Some((one, first)) if *one != other => {
                let (file, one, by) = (file.to_owned(), *one, first.clone());
                return Err(FileError::MixedUnits { file, one, by, other, line: 1 });
            }
            Some(_) => {}
            None => unit = Some((other, by)),
        }
    }
    Ok(unit)
}

/// The unit that a column's name says: `Temp (°F)`, `temperature_c`.
fn unit_in(name: &str) -> Option<Scale> {
    let name = name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphanumeric());
    words.find_map(|word| match word {
        "f" | "degf" | "fahrenheit" => Some(Scale::Fahrenheit),
        "c" | "degc" | "celsius" => Some(Scale::Celsius),
        _ => None,
    })
}

/// Reads the cells of rows.
struct Cells<'a> {
    file: &'a str,
    columns: Columns,
    decimal_comma: bool,
    times: Option<String>,
}

impl Cells<'_> {
    fn read(&mut self, row: &ByteRecord, line: u64) -> Result<(NaiveDateTime, Option<Row>), FileError> {
        let Columns { time, temperature, humidity, surface, .. } = self.columns;
        let (time, temperature) = (self.cell(row, line, time, 0)?, self.cell(row, line, temperature, 1)?);
        let humidity = self.cell(row, line, humidity, 2)?;
        let surface = surface.map(|at| self.cell(row, line, at, 3)).transpose()?;
        let at = self.time(time, line)?;
        let air = self.temperature(temperature, line)?;
        let humidity = self.humidity(humidity, line)?;
        let (has_surface, surface) =
            (surface.is_some(), surface.map(|text| self.temperature(text, line)).transpose()?.flatten());
        let whole = air.zip(humidity).filter(|_| !has_surface || surface.is_some());
        Ok((at, whole.map(|(air, humidity)| Row { air, humidity, surface })))
    }

    fn cell<'r>(&self, row: &'r ByteRecord, line: u64, at: usize, which: usize) -> Result<&'r str, FileError> {
        let bytes = row.get(at).ok_or_else(|| FileError::ShortRow {
            file: self.file.to_owned(),
            line,
            fields: row.len(),
            column: self.columns.names[which].clone(),
        })?;
        let text = std::str::from_utf8(bytes).ok().filter(|text| !text.contains('\0'));
        text.ok_or_else(|| FileError::NotText { file: self.file.to_owned(), found: "a row has other bytes in it" })
    }

    fn time(&mut self, typed: &str, line: u64) -> Result<NaiveDateTime, FileError> {
        let parse = |format: &str| NaiveDateTime::parse_from_str(typed, format).ok();
        let found = match &self.times {
            Some(format) => parse(format),
            None => {
                let found = year_first(typed);
                self.times = found.map(|(_, format)| format.to_owned());
                found.map(|(at, _)| at)
            }
        };
        found.ok_or_else(|| FileError::NotATime {
            file: self.file.to_owned(),
            line,
            typed: typed.to_owned(),
            format: self.times.clone(),
        })
    }

    /// `None`: the cell is empty.
    fn temperature(&mut self, typed: &str, line: u64) -> Result<Option<Temperature>, FileError> {
        if is_empty(typed) {
            return Ok(None);
        }
        let wrong = || FileError::NotATemperature { file: self.file.to_owned(), line, typed: typed.to_owned() };
        let number = typed.trim_end_matches(['F', 'C', 'f', 'c', '°', ' ']);
        let own = unit_in(&typed[number.len()..]);
        let exact = self.number(number).ok_or_else(wrong)?;
        let unit = match (&self.columns.unit, own) {
            (Some((one, by)), Some(other)) if *one != other => {
                let (file, one, by) = (self.file.to_owned(), *one, by.clone());
                return Err(FileError::MixedUnits { file, one, by, other, line });
            }
            (Some((unit, _)), _) => *unit,
            (None, Some(unit)) => {
                self.columns.unit = Some((unit, format!("line {line}")));
                unit
            }
            (None, None) => {
                let (column, file) = (self.columns.names[1].clone(), self.file.to_owned());
                return Err(FileError::NoUnit { column, file });
            }
        };
        let celsius = match unit {
            Scale::Celsius => Some(exact),
            Scale::Fahrenheit => exact.checked_add(FREEZING).and_then(|above| above.checked_mul(FAHRENHEIT_STEP)),
        };
        celsius.and_then(Temperature::from_exact).map(Some).ok_or_else(wrong)
    }

    fn humidity(&self, typed: &str, line: u64) -> Result<Option<Share>, FileError> {
        if is_empty(typed) {
            return Ok(None);
        }
        let number = typed.trim_end_matches(['%', ' ']);
        let share = self.number(number).and_then(Share::from_exact);
        let wrong = || FileError::NotAHumidity { file: self.file.to_owned(), line, typed: typed.to_owned() };
        share.map(Some).ok_or_else(wrong)
    }

    fn number(&self, text: &str) -> Option<Exact> {
        let text = text.strip_prefix('+').unwrap_or(text);
        if self.decimal_comma && text.contains(',') && !text.contains('.') {
            return Exact::from_decimal_str(&text.replacen(',', ".", 1));
        }
        Exact::from_decimal_str(text)
    }

    /// How the file was read. A file of which nothing said the unit, or how times are written, has no row.
    fn layout(self, wanted: &Wanted, header: &[String]) -> Result<Layout, Vec<FileError>> {
        let empty = || vec![FileError::Empty { file: self.file.to_owned() }];
        let name = |at: usize| header.get(at).cloned().unwrap_or_default();
        let unit = self.columns.unit.as_ref().map(|(unit, _)| *unit).ok_or_else(empty)?;
        Ok(Layout {
            read_as: ReadAs {
                time: name(self.columns.time),
                temperature: name(self.columns.temperature),
                humidity: name(self.columns.humidity),
                times: self.times.clone().ok_or_else(empty)?,
                unit: unit.word().to_owned(),
            },
            surface: wanted.surface.map(str::to_owned),
        })
    }
}

/// A cell without a figure: nothing, or what loggers write for a sensor that gave none.
fn is_empty(typed: &str) -> bool {
    typed.is_empty() || typed.eq_ignore_ascii_case("nan")
}
