//! Line numbers of a file as an editor counts them.

/// Counts lines as an editor does. The csv reader's own count is short after CR LF and after
/// empty lines: it notes where a record is before it has stepped over the line ends in front.
pub struct Lines<'a> {
    bytes: &'a [u8],
    counted: usize,
    line: usize,
}

impl<'a> Lines<'a> {
    /// At the beginning.
    pub fn of(bytes: &'a [u8]) -> Self {
        Lines {
            bytes,
            counted: 0,
            line: 1,
        }
    }

    /// The line, from 1, of the record that the reader found at `byte`; ask in ascending order.
    pub fn at(&mut self, byte: u64) -> usize {
        let mut start = usize::try_from(byte)
            .unwrap_or(usize::MAX)
            .min(self.bytes.len());
        while matches!(self.bytes.get(start), Some(b'\r' | b'\n')) {
            start += 1;
        }
        while self.counted < start {
            let next = self.bytes.get(self.counted + 1);
            match self.bytes[self.counted] {
                b'\n' => self.line += 1,
                b'\r' if next != Some(&b'\n') => self.line += 1,
                _ => {}
            }
            self.counted += 1;
        }
        self.line
    }
}
