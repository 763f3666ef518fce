//! The rows of a table, house by house, in the order of the file within each: a house's rows are tried on its history together.
//!
//! A table of any size goes through: rows wait in files without a name beside the ledger, some houses in each, and only one of
//! these is in memory at a time. A small table waits in memory.

use std::collections::{BTreeMap, HashMap};
use std::fs::File;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::{self, BufWriter, Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::Path;

/// A table up to here waits in memory, and each part of a larger one is about so large, in bytes.
const PART: u64 = 4 << 20;
/// No more parts: each is an open file.
const MOST_PARTS: u64 = 256;
/// Rows of one house that are taken at once.
const AT_ONCE: usize = 20_000;

/// A row that reads as one.
pub(super) struct Line {
    pub line: u64,
    /// As it stands in the file, as far as it reads.
    pub text: String,
    /// What makes it the same row when the file comes again: its cells.
    pub same: String,
    /// Which of its equals it is, counted from 0.
    pub ordinal: u64,
    pub cells: csv::StringRecord,
}

/// Rows on their way.
pub(super) struct ByHouse {
    parts: Vec<Part>,
}

enum Part {
    Memory(Vec<u8>),
    Disk(BufWriter<File>),
}

/// A row as it waits, a line of JSON: the house, the number of its line, its cells.
type Waiting = (String, u64, Vec<String>);

/// Takes rows of a house, the first of it if that is true.
pub(super) type Take<'a, E> = dyn FnMut(&str, bool, Vec<Line>) -> Result<(), E> + 'a;

impl ByHouse {
    /// For a table of about so many bytes; `None` where nobody knows. Rows that do not fit in memory wait in `folder`.
    pub fn new(folder: &Path, bytes: Option<u64>) -> io::Result<ByHouse> {
        let parts = match bytes {
            Some(bytes) if bytes <= PART => vec![Part::Memory(Vec::new())],
            bytes => {
                let parts = bytes.map_or(MOST_PARTS, |bytes| bytes.div_ceil(PART).min(MOST_PARTS));
                let file = |_| tempfile::tempfile_in(folder).map(|file| Part::Disk(BufWriter::new(file)));
                (0..parts).map(file).collect::<io::Result<_>>()?
            }
        };
        Ok(ByHouse { parts })
    }

    pub fn put(&mut self, house: &str, line: u64, cells: &csv::StringRecord) -> io::Result<()> {
        let mut hasher = DefaultHasher::new();
        house.hash(&mut hasher);
        let part = usize::try_from(hasher.finish() % self.parts.len() as u64).unwrap_or(0);
        let waiting = (house, line, cells.iter().collect::<Vec<_>>());
        let out: &mut dyn Write = match &mut self.parts[part] {
            Part::Memory(bytes) => bytes,
            Part::Disk(file) => file,
        };
        serde_json::to_writer(&mut *out, &waiting)?;
        out.write_all(b"\n")
    }

    /// Hands out the rows of each house, many at once. `failed` tells of a file that cannot be
    /// read again.
    pub fn each<E>(self, failed: &dyn Fn(io::Error) -> E, take: &mut Take<E>) -> Result<(), E> {
        for part in self.parts {
            let bytes = part.bytes().map_err(failed)?;
            for (house, rows) in houses(&bytes).map_err(failed)? {
                let mut equals = HashMap::new();
                for (n, rows) in rows.chunks(AT_ONCE).enumerate() {
                    let lines = rows.iter().map(|row| line(&bytes[row.clone()], &mut equals));
                    take(&house, n == 0, lines.collect::<io::Result<_>>().map_err(failed)?)?;
                }
            }
        }
        Ok(())
    }
}

impl Part {
    fn bytes(self) -> io::Result<Vec<u8>> {
        match self {
            Part::Memory(bytes) => Ok(bytes),
            Part::Disk(file) => {
                let mut file = file.into_inner().map_err(io::IntoInnerError::into_error)?;
                file.seek(SeekFrom::Start(0))?;
                let mut bytes = Vec::new();
                file.read_to_end(&mut bytes)?;
                Ok(bytes)
            }
        }
    }
}

/// Where the rows of each house stand, in order.
fn houses(bytes: &[u8]) -> io::Result<BTreeMap<String, Vec<Range<usize>>>> {
    let mut houses: BTreeMap<String, Vec<Range<usize>>> = BTreeMap::new();
    let mut at = 0;
    for row in bytes.split_inclusive(|byte| *byte == b'\n') {
        let (house, ..) = serde_json::from_slice::<(String, u64, serde::de::IgnoredAny)>(row)?;
        houses.entry(house).or_default().push(at..at + row.len());
        at += row.len();
    }
    Ok(houses)
}

fn line(row: &[u8], equals: &mut HashMap<String, u64>) -> io::Result<Line> {
    let (_, line, cells): Waiting = serde_json::from_slice(row)?;
    let text = cells.join(",");
    // A comma in a cell is not one between two.
    let same = if cells.iter().any(|cell| cell.contains(',')) { cells.join("\u{1f}") } else { text.clone() };
    let ordinal = *equals.entry(same.clone()).and_modify(|n| *n += 1).or_insert(0);
    Ok(Line { line, text, same, ordinal, cells: cells.into() })
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use super::{ByHouse, Line, PART};

    /// However many parts there are, each house has its rows in the order of the file, and equals are counted.
    #[test]
    fn rows_come_out_house_by_house_in_their_order() {
        let folder = tempfile::tempdir().unwrap();
        for bytes in [Some(0), Some(3 * PART), None] {
            let mut rows = ByHouse::new(folder.path(), bytes).unwrap();
            for line in 0..1_000_u64 {
                let house = format!("house-{}", line % 7);
                let cells = csv::StringRecord::from(vec![house.as_str(), "a \"b\",\nc", &(line % 2).to_string()]);
                rows.put(&house, line, &cells).unwrap();
            }
            let mut out: BTreeMap<String, Vec<Line>> = BTreeMap::new();
            let mut take = |house: &str, first, lines: Vec<Line>| -> Result<(), std::io::Error> {
                assert!(first && out.insert(house.to_owned(), lines).is_none());
                Ok(())
            };
            rows.each(&|error| error, &mut take).unwrap();
            assert_eq!((out.len(), out.values().map(Vec::len).sum::<usize>()), (7, 1_000));
            let of = &out["house-3"];
            // 3, 10, 17, 24 …: odd and even in turns, so every second one is the equal of the one before last.
            let first: Vec<_> = of.iter().take(4).map(|l| (l.line, &l.cells[2], l.ordinal)).collect();
            assert_eq!(first, [(3, "1", 0), (10, "0", 0), (17, "1", 1), (24, "0", 1)]);
            assert_eq!(of[0].text, "house-3,a \"b\",\nc,1");
        }
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 0, "nothing is left");
    }

    #[test]
    fn a_comma_in_a_cell_is_not_one_between_two() {
        let mut rows = ByHouse::new(std::path::Path::new("."), Some(0)).unwrap();
        for cells in [["elm", "1,2", "3"], ["elm", "1", "2,3"], ["elm", "1", "2,3"]] {
            rows.put("elm", 1, &csv::StringRecord::from(cells.to_vec())).unwrap();
        }
        let mut ordinals = Vec::new();
        let mut take = |_: &str, _, lines: Vec<Line>| -> Result<(), std::io::Error> {
            ordinals.extend(lines.iter().map(|line| line.ordinal));
            Ok(())
        };
        rows.each(&|error| error, &mut take).unwrap();
        assert_eq!(ordinals, [0, 0, 1]);
    }
}
