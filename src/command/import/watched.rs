//! The bytes of a table on their way to its reader: they have to be UTF-8, close every quote and end every line, and lines are
//! counted as people count them. What is kept of them in memory does not grow with the file.

use std::collections::VecDeque;
use std::io::{self, Chain, Cursor, Read};

/// The longest line, and the longest text between two quotes, in bytes; design figure of this program.
pub(super) const LONGEST: u64 = 16 << 20;

const MARK: [u8; 3] = [0xef, 0xbb, 0xbf];

/// Why no more is read.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Fault {
    Utf16,
    NotUtf8 {
        line: u64,
    },
    /// Opened on this line, and never closed.
    OpenQuote {
        line: u64,
    },
    LongLine {
        line: u64,
    },
}

pub(super) struct Watched<R> {
    from: Chain<Cursor<Vec<u8>>, R>,
    pub fault: Option<Fault>,
    /// Bytes that went by.
    at: u64,
    line: u64,
    line_began: u64,
    /// Where lines begin that are not blank, each with its number, until the reader has come so far.
    begins: VecDeque<(u64, u64)>,
    /// The last byte ended a line.
    ended: bool,
    quote: Quote,
    /// A cell may begin here.
    cell_begins: bool,
    /// The beginning of a letter whose end has not come yet.
    letter: Vec<u8>,
}

/// Where a byte stands by RFC 4180: a quote is one only where a cell begins.
#[derive(Clone, Copy, PartialEq)]
enum Quote {
    Outside,
    Inside {
        line: u64,
        began: u64,
    },
    /// Behind a quote inside: another one makes it a letter.
    Maybe {
        line: u64,
        began: u64,
    },
}

impl<R: Read> Watched<R> {
    pub fn new(mut from: R) -> io::Result<Watched<R>> {
        let mut head = Vec::with_capacity(MARK.len());
        from.by_ref().take(MARK.len() as u64).read_to_end(&mut head)?;
        let fault = (head.starts_with(&[0xff, 0xfe]) || head.starts_with(&[0xfe, 0xff])).then_some(Fault::Utf16);
        if head == MARK {
            head.clear();
        }
        Ok(Watched {
            from: Cursor::new(head).chain(from),
            fault,
            at: 0,
            line: 1,
            line_began: 0,
            begins: VecDeque::new(),
            ended: true,
            quote: Quote::Outside,
            cell_begins: true,
            letter: Vec::new(),
        })
    }

    /// The line of a record that begins at a byte, or behind blank lines there; records come in order.
    pub fn line_of(&mut self, byte: u64) -> u64 {
        while self.begins.get(1).is_some_and(|_| self.begins[0].0 < byte) {
            self.begins.pop_front();
        }
        self.begins.front().map_or(self.line, |(_, line)| *line)
    }

    fn watch(&mut self, bytes: &[u8]) -> Result<(), Fault> {
        self.is_text(bytes)?;
        for byte in bytes {
            if self.ended && !matches!(byte, b'\r' | b'\n') {
                self.begins.push_back((self.at, self.line));
                self.ended = false;
            }
            self.quote = match (self.quote, byte) {
                (Quote::Outside, b'"') if self.cell_begins => Quote::Inside { line: self.line, began: self.at },
                (Quote::Inside { line, began }, b'"') => Quote::Maybe { line, began },
                (Quote::Maybe { line, began }, b'"') => Quote::Inside { line, began },
                (Quote::Maybe { .. }, _) => Quote::Outside,
                (same, _) => same,
            };
            self.cell_begins = self.quote == Quote::Outside && matches!(byte, b',' | b'\n' | b'\r');
            self.at += 1;
            self.ended |= matches!(byte, b'\r' | b'\n');
            if *byte == b'\n' {
                (self.line, self.line_began) = (self.line + 1, self.at);
            }
            match self.quote {
                Quote::Inside { line, began } if self.at - began > LONGEST => return Err(Fault::OpenQuote { line }),
                Quote::Outside if self.at - self.line_began > LONGEST => {
                    return Err(Fault::LongLine { line: self.line });
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Errors: bytes that are no letter, wherever a letter was broken in two.
    fn is_text(&mut self, mut bytes: &[u8]) -> Result<(), Fault> {
        while let (false, [first, rest @ ..]) = (self.letter.is_empty(), bytes) {
            self.letter.push(*first);
            bytes = rest;
            match std::str::from_utf8(&self.letter) {
                Ok(_) => self.letter.clear(),
                Err(error) if error.error_len().is_none() => {}
                Err(_) => return Err(Fault::NotUtf8 { line: self.line }),
            }
        }
        let Err(error) = std::str::from_utf8(bytes) else { return Ok(()) };
        let (text, rest) = bytes.split_at(error.valid_up_to());
        if error.error_len().is_none() {
            self.letter.extend_from_slice(rest);
            return Ok(());
        }
        Err(Fault::NotUtf8 { line: self.line + text.iter().filter(|b| **b == b'\n').count() as u64 })
    }

    fn end(&self) -> Result<(), Fault> {
        match self.quote {
            Quote::Inside { line, .. } => Err(Fault::OpenQuote { line }),
            _ if !self.letter.is_empty() => Err(Fault::NotUtf8 { line: self.line }),
            _ => Ok(()),
        }
    }
}

impl<R: Read> Read for Watched<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.fault.is_none() {
            let read = self.from.read(buffer)?;
            let bytes = buffer.get(..read).unwrap_or_default();
            let seen = if bytes.is_empty() { self.end() } else { self.watch(bytes) };
            match seen {
                Ok(()) => return Ok(read),
                Err(fault) => self.fault = Some(fault),
            }
        }
        Err(io::Error::other("the table cannot be read on"))
    }
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use proptest::prelude::{any, prop, prop_assert_eq, proptest};

    use super::{Fault, LONGEST, Watched};

    /// Hands out so many bytes at once.
    struct Bits<'a>(&'a [u8], usize);

    impl Read for Bits<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
            let most = self.1.min(buffer.len());
            self.0.read(&mut buffer[..most])
        }
    }

    fn watched(bytes: &[u8], at_once: usize) -> (Vec<u8>, Option<Fault>) {
        let mut watched = Watched::new(Bits(bytes, at_once)).unwrap();
        let mut out = Vec::new();
        let _ = watched.read_to_end(&mut out);
        (out, watched.fault)
    }

    #[test]
    fn what_no_table_has_is_found_with_its_line() {
        let cases: [(&[u8], Option<Fault>); 9] = [
            (b"a,b\n1,\"2\n3\"\n", None),
            (b"a,b\n1,\"2\"\"\n", Some(Fault::OpenQuote { line: 2 })),
            (b"a\n\n\"2\n3", Some(Fault::OpenQuote { line: 3 })),
            (b"a,5\" wide\n", None),
            (b"\xef\xbb\xbfa\r\n\xc3\xa4", None),
            (b"a\n\xc3", Some(Fault::NotUtf8 { line: 2 })),
            (b"a\nb\n\xc3(", Some(Fault::NotUtf8 { line: 3 })),
            (b"\xff\xfea\0", Some(Fault::Utf16)),
            (b"", None),
        ];
        for (bytes, fault) in cases {
            for at_once in 1..8 {
                assert_eq!(watched(bytes, at_once).1, fault, "{bytes:?}, {at_once} at once");
            }
        }
        let long = vec![b'x'; LONGEST as usize + 1];
        assert_eq!(watched(&long, 1 << 16).1, Some(Fault::LongLine { line: 1 }));
        assert_eq!(watched(&[b"\"", &long[..]].concat(), 1 << 16).1, Some(Fault::OpenQuote { line: 1 }));
        let lines = [&long[1..], b"\n", &long[1..], b"\n"].concat();
        assert_eq!(watched(&lines, 1 << 16), (lines, None));
    }

    proptest! {
        /// Text goes by as it is, however it is handed out; anything else is a fault.
        #[test]
        fn text_goes_by_unchanged(bytes in prop::collection::vec(any::<u8>(), 0..60), at_once in 1..9_usize) {
            let plain = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(&bytes);
            let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
            let text = std::str::from_utf8(plain).is_ok() && !utf16;
            let (out, fault) = watched(&bytes, at_once);
            prop_assert_eq!(matches!(fault, None | Some(Fault::OpenQuote { .. })), text, "{:?}", fault);
            if fault.is_none() {
                prop_assert_eq!(out, plain);
            }
        }
    }
}
