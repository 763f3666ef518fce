//! A unit's symbol with its typographic forms made plain: `m³` and `m^3` to `m3`, `℃` to `°C`, `″` to `"`, `μ` to `µ`.

/// A plain symbol, kept in place: symbols are short, and reading one should not cost an allocation.
pub(super) struct Symbol {
    bytes: [u8; Symbol::ROOM],
    len: usize,
}

impl Symbol {
    /// More than the longest symbol of the table needs.
    const ROOM: usize = 16;

    /// The plain form of `written`, `None` if it is longer than any unit's.
    pub fn plain(written: &str) -> Option<Symbol> {
        let mut symbol = Symbol { bytes: [0; Symbol::ROOM], len: 0 };
        let mut ahead = written.chars().peekable();
        while let Some(c) = ahead.next() {
            match c {
                '^' if matches!(ahead.peek(), Some('2' | '3')) => {}
                '²' => symbol.push('2')?,
                '³' => symbol.push('3')?,
                '℃' => symbol.push('°').and_then(|()| symbol.push('C'))?,
                '℉' => symbol.push('°').and_then(|()| symbol.push('F'))?,
                'μ' => symbol.push('µ')?,
                '⁄' => symbol.push('/')?,
                '′' | '’' => symbol.push('\'')?,
                '″' | '”' => symbol.push('"')?,
                _ => symbol.push(c)?,
            }
        }
        Some(symbol)
    }

    fn push(&mut self, c: char) -> Option<()> {
        let room = self.bytes.get_mut(self.len..self.len + c.len_utf8())?;
        self.len += c.encode_utf8(room).len();
        Some(())
    }

    pub fn as_str(&self) -> &str {
        std::str::from_utf8(&self.bytes[..self.len]).expect("only whole characters are pushed")
    }
}
