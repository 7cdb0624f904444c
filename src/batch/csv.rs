//! Rows out of CSV text as they come, and answers into CSV.

use super::quotes::Quotes;
use super::{Batch, BatchOptions, FIELDS, Field, RowResult, cell, layout::Layout};
use crate::error::{Error, Result};
use crate::fertility::Tables;
use std::io::{BufRead, BufReader, Read, Write};

/// Rows of a chunk: enough to keep the threads busy, few enough to hold.
const CHUNK: usize = 1024;
/// Lines among which the heading must stand.
const PREAMBLE: usize = 30;

/// A CSV table of soil tests, answered chunk by chunk.
///
/// Comma, semicolon, tab or `|` parts the cells, whichever the heading has most of. Lines of words before the heading are
/// passed over, and the log says so. It iterates over answered chunks; after the last, [`CsvRows::batch`] has the summary,
/// the log and the letters.
///
/// ```
/// use dibble::batch::{BatchOptions, CsvRows};
/// let text = "Sample;Date;pH (water);K (element) ppm M3\nA;12.10.2026;5,7;61,5\n";
/// let mut rows = CsvRows::new(text.as_bytes(), "lab.csv", BatchOptions::new(dibble::Date::new(2027, 4, 1)?))?;
/// let first = rows.next().and_then(Result::ok).and_then(|chunk| chunk.into_iter().next());
/// assert_eq!(first.and_then(|row| row.input).and_then(|i| i.test.input().ph), Some(5.7));
/// # Ok::<(), dibble::Error>(())
/// ```
pub struct CsvRows<R> {
    reader: Rows<R>,
    name: String,
    batch: Batch,
    rows: u64,
    done: bool,
}

/// Reader of rows whose quotes are watched.
type Rows<R> = ::csv::Reader<Quotes<BufReader<R>>>;

impl<R: Read> CsvRows<R> {
    /// Reads the heading; `name` is what messages call the text.
    ///
    /// # Errors
    /// An empty text, a text that is not UTF-8, no heading with a measurement in the first 30 lines, unknown tables.
    pub fn new(text: R, name: &str, options: BatchOptions) -> Result<Self> {
        Self::with_tables(text, name, options, Tables::shipped()?)
    }

    /// As [`CsvRows::new`], with tables of your own beside the shipped ones.
    ///
    /// # Errors
    /// As there.
    pub fn with_tables(text: R, name: &str, options: BatchOptions, tables: Tables) -> Result<Self> {
        super::check(&options, &tables)?;
        let mut text = BufReader::with_capacity(1 << 16, text);
        let start = text.fill_buf().map_err(|e| Error::file("cannot read", name, e.to_string(), "Check the file."))?;
        if start.starts_with(&[0xff, 0xfe]) || start.starts_with(&[0xfe, 0xff]) || start.contains(&0) {
            let hint = "Save it as CSV text with UTF-8 encoding.";
            return Err(Error::unreadable("soil tests", "binary or UTF-16 data", "it is not UTF-8 text", hint).at(name));
        }
        let delimiter = delimiter(start);
        let mut reader =
            ::csv::ReaderBuilder::new().delimiter(delimiter).has_headers(false).flexible(true).from_reader(Quotes::new(text, delimiter));
        let (heading, line, before) = heading(&mut reader, name, &options)?;
        let mut batch = Batch::with_tables(&heading, line, options, tables).map_err(|e| e.at(format!("{name}, line {line}")))?;
        for (line, words) in before {
            batch.report.note("before_heading", line, &format!("Before the heading, not read: \"{words}\"."));
        }
        Ok(Self { reader, name: name.into(), batch, rows: 0, done: false })
    }

    /// The batch that reads the rows: its summary, log and letters.
    pub fn batch(&self) -> &Batch {
        &self.batch
    }

    fn chunk(&mut self) -> Result<Vec<RowResult>> {
        let (mut rows, mut lines) = (Vec::with_capacity(CHUNK), Vec::with_capacity(CHUNK));
        let mut record = ::csv::StringRecord::new();
        while rows.len() < CHUNK {
            if !self.reader.read_record(&mut record).map_err(|e| refused(&e, &self.name))? {
                self.done = true;
                break;
            }
            lines.push(record.position().map_or(0, ::csv::Position::line));
            rows.push(record.iter().map(String::from).collect::<Vec<String>>());
        }
        quotes(&self.reader, &self.name)?;
        self.rows += rows.len() as u64;
        if self.done && self.rows == 0 {
            return Err(Error::missing("a row under the heading", "Give a file with at least one sample.").at(self.name.clone()));
        }
        self.batch.feed_lines(&rows, &lines).map_err(|e| e.at(self.name.clone()))
    }
}

#[cfg(feature = "io")]
impl CsvRows<std::fs::File> {
    /// Opens a CSV file.
    ///
    /// # Errors
    /// A file that cannot be read, and all that [`CsvRows::new`] refuses.
    pub fn open(path: impl AsRef<std::path::Path>, options: BatchOptions) -> Result<Self> {
        let path = path.as_ref();
        let shown = path.display().to_string();
        let file = std::fs::File::open(path).map_err(|e| Error::file("cannot read", &shown, e.to_string(), "Check the path."))?;
        let name = path.file_name().map_or(shown, |n| n.to_string_lossy().into_owned());
        Self::new(file, &name, options)
    }
}

impl<R: Read> Iterator for CsvRows<R> {
    type Item = Result<Vec<RowResult>>;

    fn next(&mut self) -> Option<Self::Item> {
        if self.done {
            return None;
        }
        match self.chunk() {
            Ok(rows) if rows.is_empty() => None,
            Ok(rows) => Some(Ok(rows)),
            Err(error) => {
                self.done = true;
                Some(Err(error))
            }
        }
    }
}

fn refused(error: &::csv::Error, name: &str) -> Error {
    let place = error.position().map_or(name.to_string(), |p| format!("{name}, line {}", p.line()));
    Error::unreadable("soil tests", "this row", error.to_string(), "Save the file as CSV text with UTF-8 encoding.").at(place)
}

/// Refuses text in which a quote swallows the rows behind it.
fn quotes<R: Read>(reader: &Rows<R>, name: &str) -> Result<()> {
    let hint = "The rows behind it would be lost: close the quote, or take it out.";
    let stray = |line| Error::inconsistent("a quote opens here and does not close in its row", hint).at(format!("{name}, line {line}"));
    reader.get_ref().stray().map_or(Ok(()), |line| Err(stray(line)))
}

/// The mark that parts cells: the one that the first line with any has most of, outside quotes.
fn delimiter(start: &[u8]) -> u8 {
    let count = |line: &[u8], mark: u8| {
        let mut quoted = false;
        line.iter()
            .filter(|b| {
                quoted ^= **b == b'"';
                !quoted && **b == mark
            })
            .count()
    };
    let best = |line: &[u8]| b",;\t|".iter().map(|m| (count(line, *m), *m)).max_by_key(|(n, m)| (*n, *m == b',')).filter(|(n, _)| *n >= 2);
    start.split(|b| *b == b'\n').take(PREAMBLE).filter_map(best).max_by_key(|(n, _)| *n).map_or(b',', |(_, mark)| mark)
}

type Found = (Vec<String>, u64, Vec<(u64, String)>);

/// The heading, its line, and what stood before it: the first row that is a table's heading, or the first row with a
/// declared column.
fn heading<R: Read>(reader: &mut Rows<R>, name: &str, options: &BatchOptions) -> Result<Found> {
    let mut before = Vec::new();
    let mut record = ::csv::StringRecord::new();
    for _ in 0..PREAMBLE {
        if !reader.read_record(&mut record).map_err(|e| refused(&e, name))? {
            break;
        }
        let row: Vec<String> = record.iter().map(String::from).collect();
        let line = record.position().map_or(0, ::csv::Position::line);
        let declared = row.iter().any(|c| options.columns.keys().any(|k| crate::words::same(k, cell::clean(c))));
        if declared || Layout::is_first(&row, options, line) {
            return Ok((row, line, before));
        }
        before.push((line, row.join(" ").trim().to_string()));
    }
    quotes(reader, name)?;
    let shown = before.iter().map(|(_, w)| w.as_str()).find(|w| !w.is_empty()).unwrap_or("").to_string();
    if shown.is_empty() {
        return Err(Error::missing("the table", "The file is empty: give a heading and rows of soil tests.").at(name));
    }
    let why = format!("none of the first {} lines is a heading with a sample's name and a measurement", before.len());
    Err(Error::unreadable("soil tests", &shown, why, "Declare what the columns mean (columns), or check that this is a lab's table.")
        .at(name))
}

/// Writes the names of the answer's columns.
///
/// # Errors
/// What the writer refuses.
pub fn write_heading(out: &mut impl Write) -> Result<()> {
    line(out, FIELDS.iter().map(|(name, _)| (*name).to_string()))
}

/// Writes answered rows.
///
/// # Errors
/// What the writer refuses.
pub fn write_rows(out: &mut impl Write, rows: &[RowResult]) -> Result<()> {
    rows.iter().try_for_each(|row| {
        line(
            out,
            row.fields().into_iter().map(|field| match field {
                Field::Text(text) => text,
                Field::Number(value) => value.to_string(),
                Field::None => String::new(),
            }),
        )
    })
}

fn line(out: &mut impl Write, cells: impl Iterator<Item = String>) -> Result<()> {
    let mut writer = ::csv::WriterBuilder::new().from_writer(Vec::new());
    let failed = |e: String| Error::file("cannot write", "the answers", e, "Check that there is room.");
    writer.write_record(cells).map_err(|e| failed(e.to_string()))?;
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    out.write_all(&bytes).map_err(|e| failed(e.to_string()))
}
