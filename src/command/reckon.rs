//! Calculations by flags, and line by line.

use std::io::{BufRead, BufReader, Read};

use serde_json::value::RawValue;

use crate::reckon::{self, Answer, Calculation, Fact, Fault, Outcome};

/// The longest line that is read; a longer one is passed over and answered as such.
pub const MOST_MIB: usize = 8;
const MOST_BYTES: usize = MOST_MIB << 20;

/// Runs a calculation on flags: `--step "3/8 in"`, `--step="3/8 in"`, a list's flag several times or with a JSON value.
pub fn flags(calculation: &'static Calculation, words: &[String]) -> Result<Outcome, Fault> {
    let mut given: Vec<(String, Vec<&str>)> = Vec::new();
    let mut words = words.iter().map(String::as_str).peekable();
    while let Some(word) = words.next() {
        let Some(flag) = word.strip_prefix("--") else {
            return Err(Fault::new("line", Fact::Stray(word.to_owned())));
        };
        let (name, value) = match flag.split_once('=') {
            Some((name, value)) => (name, Some(value)),
            None => (flag, words.next_if(|next| !next.starts_with("--"))),
        };
        let name = name.replace('-', "_");
        let value = value.unwrap_or("true");
        match given.iter_mut().find(|(known, _)| *known == name) {
            Some((_, values)) => values.push(value),
            None => given.push((name, vec![value])),
        }
    }
    let fields: Vec<(String, Box<RawValue>)> =
        given.into_iter().flat_map(|(name, values)| field(calculation, name, &values)).collect();
    let fields: Vec<_> = fields.iter().map(|(name, raw)| (name.as_str().into(), &**raw)).collect();
    reckon::run(calculation, &fields)
}

/// The field of a flag; a flag given twice where one value is wanted stays twice, and is refused where it is read.
fn field(calculation: &Calculation, name: String, values: &[&str]) -> Vec<(String, Box<RawValue>)> {
    let json = match calculation.inputs.iter().find(|input| input.name == name) {
        None => vec!["null".to_owned()],
        Some(input) if input.kind.is_list() => vec![input.kind.json_of_all(values)],
        Some(input) => values.iter().map(|value| input.kind.json_of(value)).collect(),
    };
    let raw = |json| RawValue::from_string(json).unwrap_or_else(|_| RawValue::NULL.to_owned());
    json.into_iter().map(|json| (name.clone(), raw(json))).collect()
}

/// Reads lines of any length without holding more than [`MOST_MIB`] of one.
pub struct Lines<R> {
    reader: BufReader<R>,
    line: Vec<u8>,
    first: bool,
}

impl<R: Read> Lines<R> {
    pub fn new(reader: R) -> Lines<R> {
        Lines { reader: BufReader::with_capacity(1 << 16, reader), line: Vec::new(), first: true }
    }

    /// Whether the next line has to be waited for, so that answers must not be held back.
    pub fn waits(&self) -> bool {
        !self.reader.buffer().contains(&b'\n')
    }

    /// The answer to the next line; `None` at the end.
    pub fn next_answer(&mut self) -> std::io::Result<Option<Answer>> {
        const BYTE_ORDER_MARK: &[u8] = b"\xef\xbb\xbf";
        let Some(whole) = self.read_line()? else { return Ok(None) };
        if !whole {
            return Ok(Some(Answer::refused(false, Fault::new("line", Fact::LineTooLong(MOST_MIB)))));
        }
        let line = match self.line.strip_prefix(BYTE_ORDER_MARK) {
            Some(line) if self.first => line,
            _ => &self.line,
        };
        self.first = false;
        Ok(Some(reckon::answer(line)))
    }

    /// Reads up to the next line break; false if the line was too long to be kept, `None` at the end.
    fn read_line(&mut self) -> std::io::Result<Option<bool>> {
        self.line.clear();
        self.line.shrink_to(1 << 16);
        let (mut any, mut whole) = (false, true);
        loop {
            let read = match self.reader.fill_buf() {
                Ok(read) => read,
                Err(error) if error.kind() == std::io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if read.is_empty() {
                return Ok(any.then_some(whole));
            }
            any = true;
            let end = read.iter().position(|byte| *byte == b'\n');
            let part = &read[..end.unwrap_or(read.len())];
            whole = whole && self.line.len() + part.len() <= MOST_BYTES;
            if whole {
                self.line.extend_from_slice(part);
            }
            let used = end.map_or(read.len(), |end| end + 1);
            self.reader.consume(used);
            if end.is_some() {
                return Ok(Some(whole));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Lines, MOST_BYTES};

    #[test]
    fn a_line_beyond_the_limit_is_answered_and_the_next_one_read() {
        let mut text = vec![b' '; MOST_BYTES + 1];
        text.extend_from_slice(b"\n{\"reckon\":\"step-height\",\"step\":\"1 in\"}\n");
        text.extend_from_slice(&vec![b' '; MOST_BYTES - 2]);
        text.extend_from_slice(b"[]\n");
        let mut lines = Lines::new(&text[..]);
        let said =
            |lines: &mut Lines<_>| lines.next_answer().unwrap().map(|answer| answer.outcome.map_err(|f| f.to_string()));
        assert_eq!(said(&mut lines).unwrap().unwrap_err(), "the line is longer than 8 MiB");
        assert!(said(&mut lines).unwrap().is_ok());
        assert_eq!(said(&mut lines).unwrap().unwrap_err(), "the line is not an object, but a list");
        assert!(said(&mut lines).is_none());
    }

    #[test]
    fn the_last_line_needs_no_break_and_an_empty_one_is_answered() {
        let mut lines = Lines::new(&b"\xef\xbb\xbf{}\r\n\n{}"[..]);
        let readable: Vec<bool> = std::iter::from_fn(|| lines.next_answer().unwrap()).map(|a| a.readable).collect();
        assert_eq!(readable, [true, false, true]);
    }
}
