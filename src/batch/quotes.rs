//! Quotes of CSV text that swallow rows: bytes are watched on their way to the reader of rows, to which a quote that is
//! never closed is one long cell.

use std::io::{self, Read};

/// Rows that are held back in doubt.
const HELD: usize = 1000;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum At {
    Begin,
    Plain,
    Quoted,
    /// Behind a quote inside quotes: the end of the cell, or half of a quote that is meant.
    Quote,
}

/// The row that is passing through.
#[derive(Debug, Clone, Copy, Default)]
struct Row {
    /// Marks between cells, outside quotes and inside.
    outside: usize,
    inside: usize,
    /// Line in which its first cell over several lines opens.
    long: Option<u64>,
    /// Does something stand behind the closing quote of such a cell?
    torn: bool,
}

/// A reader that watches the quotes of what passes through.
pub(super) struct Quotes<R> {
    text: R,
    mark: u8,
    at: At,
    line: u64,
    /// Line of the last quote that opened.
    open: u64,
    row: Row,
    /// Marks of the last row in which there are some.
    marks: usize,
    /// Rows with a cell over several lines, until a row behind them tells how many marks there should be.
    doubted: Vec<(u64, Row)>,
    stray: Option<u64>,
}

impl<R: Read> Quotes<R> {
    /// Watches text whose cells are parted by `mark`.
    pub fn new(text: R, mark: u8) -> Self {
        Self { text, mark, at: At::Begin, line: 1, open: 1, row: Row::default(), marks: 0, doubted: Vec::new(), stray: None }
    }

    /// Line of the first quote that swallows rows, among those that were read.
    pub fn stray(&self) -> Option<u64> {
        self.stray
    }

    fn watch(&mut self, byte: u8) {
        let (mark, ends) = (byte == self.mark, matches!(byte, b'\n' | b'\r'));
        self.at = match (self.at, byte) {
            (At::Begin, b'"') => {
                self.open = self.line;
                At::Quoted
            }
            (At::Quoted, b'"') => At::Quote,
            (At::Quote, b'"') => At::Quoted,
            (At::Quoted, _) => {
                self.row.inside += usize::from(mark);
                At::Quoted
            }
            (at, _) => {
                if at == At::Quote && self.line > self.open {
                    self.row.long = self.row.long.or(Some(self.open));
                    self.row.torn |= !mark && !ends;
                }
                self.row.outside += usize::from(mark);
                if mark || ends { At::Begin } else { At::Plain }
            }
        };
        if ends && self.at == At::Begin {
            self.end();
        }
        self.line += u64::from(byte == b'\n');
    }

    /// At the end of a row.
    fn end(&mut self) {
        let row = std::mem::take(&mut self.row);
        match row.long {
            Some(line) => {
                self.doubted.push((line, row));
                if self.doubted.len() >= HELD {
                    self.judge(0);
                }
            }
            None if row.outside > 1 => {
                self.judge(row.outside);
                self.marks = row.outside;
            }
            None => {}
        }
    }

    /// A cell with a line break, or another row inside the quotes? The rows before and behind tell, `next` being the marks of
    /// the latter: two rows in one have twice as many.
    fn judge(&mut self, next: usize) {
        let marks = self.marks.max(next);
        // where no row tells, most marks of the row are inside the quotes
        let two = |r: &Row| if marks > 0 { r.outside + r.inside >= 2 * marks } else { r.inside > r.outside };
        let first = self.doubted.iter().find(|(_, row)| row.torn || two(row)).map(|(line, _)| *line);
        self.stray = self.stray.or(first);
        self.doubted.clear();
    }
}

impl<R: Read> Read for Quotes<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let read = self.text.read(buffer)?;
        buffer.iter().take(read).for_each(|b| self.watch(*b));
        if read == 0 && !buffer.is_empty() {
            if self.at == At::Quoted {
                self.stray = self.stray.or(Some(self.open));
            } else {
                self.watch(b'\n');
                self.judge(0);
            }
        }
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_that_swallow_rows_are_told_from_cells_with_a_line_break() {
        for (text, line) in [
            ("a,b,c,d\n\"x\ny\",1,2,3\n\"z, \"\"z\"\"\",1,2,3\n1,2,3,\"low, again\nand so on\"\n", None),
            ("a,\"b\nppm, dry\",c,d\n0-6\",1,2,3\n", None),
            ("lab,2027,sheet\na,\"b\nppm\",c,d,e,f\n1,2,3,4,5,6\n\"A\n1\",2,3,4,5,6\n", None),
            ("title\na,b,c\nx,\"y,2\nz,1,2\n", Some(3)),   // to the end
            ("a,b,c\nx,\"y,2\nz,\"q\",2\n", Some(2)),      // up to the next quote
            ("a,b,c\nx,\"y,2\nz,q\",2\n", Some(2)),        // closed, with a row inside
            ("a,b,c\n1,2,3\nx,y,\"2\nz\",q,2\n", Some(3)), // few marks inside, many behind
            ("a,b,c\r\nx,y,\"2", Some(2)),
            ("\"a,b,c\nx,y,2\nz\",1,2", Some(1)),
        ] {
            let mut quotes = Quotes::new(text.as_bytes(), b',');
            io::copy(&mut quotes, &mut io::sink()).unwrap();
            assert_eq!(quotes.stray(), line, "{text}");
        }
    }
}
