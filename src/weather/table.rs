//! Text to a table: the delimiter found out, headings understood, every row with as many cells as the heading.

use super::CsvOptions;
use super::header::{self, Heading, Meaning};
use super::problems::collected;
use crate::error::{Error, Result};
use csv::{ReaderBuilder, StringRecord, Trim};

/// A table whose headings were understood.
pub(super) struct Table {
    name: Option<String>,
    /// Columns that mean something: position and heading, with its text.
    headings: Vec<(usize, Heading, String)>,
    /// Headings that mean nothing here.
    pub unread: Vec<String>,
    lines: Vec<u64>,
    rows: Vec<StringRecord>,
    /// Rows of other length than the heading; they are left out of `rows`.
    pub problems: Vec<Error>,
}

const EXPECTED: &str = "Expected is a text table with a heading line, like: date, tmin (C), tmax (C), rain (mm).";

impl Table {
    /// Splits `text` into rows.
    ///
    /// # Errors
    /// Binary or empty text, no heading, no row, two columns of one meaning.
    pub fn read(text: &str, options: &CsvOptions) -> Result<Self> {
        let named = |error: Error| named(error, options.name.as_deref());
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        if text.contains('\0') {
            return Err(named(Error::unreadable("weather table", text, "it is a binary file", EXPECTED)));
        }
        let mut lines = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
        let Some(heading) = lines.next() else {
            return Err(named(Error::unreadable("weather table", "", "it is empty", EXPECTED)));
        };
        let Some(delimiter) = delimiter(heading, lines.next().unwrap_or(heading)) else {
            return Err(named(Error::unreadable("weather table", heading, "no comma, semicolon, tab or | parts its first line", EXPECTED)));
        };

        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter)
            .has_headers(false)
            .flexible(true)
            .comment(Some(b'#'))
            .trim(Trim::All)
            .from_reader(text.as_bytes());
        let mut table = Table {
            name: options.name.clone(),
            headings: Vec::new(),
            unread: Vec::new(),
            lines: Vec::new(),
            rows: Vec::new(),
            problems: Vec::new(),
        };
        let mut width = None;
        for record in reader.records() {
            let record = record.map_err(|e| named(Error::unreadable("weather table", "", e.to_string(), EXPECTED)))?;
            let line = record.position().map_or(0, csv::Position::line);
            match width {
                None => {
                    width = Some(record.len());
                    table.head(&record)?;
                }
                Some(width) if record.len() == width => {
                    table.lines.push(line);
                    table.rows.push(record);
                }
                Some(_) if record.iter().all(str::is_empty) => {}
                Some(width) => {
                    let error = Error::inconsistent(
                        format!("it has {} cells and the heading has {width}", record.len()),
                        "Give each row one cell for each heading; leave a missing one empty.",
                    );
                    table.problems.push(error.at(table.at_line(line)));
                }
            }
        }
        if table.rows.is_empty() && table.problems.is_empty() {
            return Err(named(Error::unreadable("weather table", heading, "it has no row below the heading", EXPECTED)));
        }
        Ok(table)
    }

    fn head(&mut self, record: &StringRecord) -> Result<()> {
        let mut problems = Vec::new();
        for (position, text) in record.iter().enumerate() {
            let Some(heading) = header::read(text) else {
                self.unread.push(text.chars().take(60).collect());
                continue;
            };
            match self.headings.iter().find(|(_, other, _)| other.meaning == heading.meaning) {
                Some((_, _, other)) => problems.push(Error::inconsistent(
                    format!("the columns \"{other}\" and \"{text}\" mean the same"),
                    "Keep one of them, or rename the other.",
                )),
                None => self.headings.push((position, heading, text.to_string())),
            }
        }
        collected(problems).map_or(Ok(()), |error| Err(self.named(error)))
    }

    /// The error with the name of the file, if it has one.
    pub fn named(&self, error: Error) -> Error {
        named(error, self.name.as_deref())
    }

    /// "line 7"
    pub fn line(&self, row: usize) -> String {
        format!("line {}", self.lines.get(row).copied().unwrap_or(0))
    }

    fn at_line(&self, line: u64) -> String {
        self.name.as_ref().map_or_else(|| format!("line {line}"), |name| format!("{name}, line {line}"))
    }

    /// "weather.csv, line 7"
    pub fn place(&self, row: usize) -> String {
        self.at_line(self.lines.get(row).copied().unwrap_or(0))
    }

    /// The heading of a meaning with its position and text.
    pub fn heading(&self, meaning: Meaning) -> Option<(usize, &Heading, &str)> {
        self.headings.iter().find(|(_, heading, _)| heading.meaning == meaning).map(|(at, heading, text)| (*at, heading, text.as_str()))
    }

    /// All meanings, in the order of columns.
    pub fn meanings(&self) -> impl Iterator<Item = Meaning> + '_ {
        self.headings.iter().map(|(_, heading, _)| heading.meaning)
    }

    /// The cells of a column, top to bottom.
    pub fn cells(&self, position: usize) -> impl Iterator<Item = &str> {
        self.rows.iter().map(move |row| row.get(position).unwrap_or(""))
    }
}

/// The error with the name of its file.
pub(super) fn named(error: Error, name: Option<&str>) -> Error {
    match name {
        Some(name) => error.at(name),
        None => error,
    }
}

/// The delimiter that parts the first two lines alike; a comma may be a decimal mark, so it is tried last.
fn delimiter(heading: &str, second: &str) -> Option<u8> {
    let count = |line: &str, delimiter: u8| {
        let mut quoted = false;
        line.bytes()
            .filter(|&b| {
                quoted ^= b == b'"';
                !quoted && b == delimiter
            })
            .count()
    };
    let present: Vec<u8> = [b'\t', b';', b'|', b','].into_iter().filter(|&d| count(heading, d) > 0).collect();
    present.iter().copied().find(|&d| count(heading, d) == count(second, d)).or(present.first().copied())
}
