//! Day records from a text table.

use super::cells::{self, Decimal};
use super::header::Meaning;
use super::problems::collected;
use super::quantity::{DayColumns, Quantity};
use super::table::{Table, named};
use super::unit::Span;
use super::{Weather, dates};
use crate::date::Date;
use crate::error::{Error, Result};
use crate::units::System;

/// What a weather table does not say by itself. The default says nothing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CsvOptions {
    /// How to call the table in messages, for example the name of its file.
    pub name: Option<String>,
    /// Units of columns whose heading names none: SI (degrees Celsius, mm, m/s, MJ/m2) or US (degrees Fahrenheit, in, mph).
    pub units: Option<System>,
    /// Does the day stand before the month in dates like 3/4/2026?
    pub day_first: Option<bool>,
    /// Days from here on are a forecast.
    pub forecast_from: Option<Date>,
}

impl Weather {
    /// Day records from a text table with a heading line.
    ///
    /// The delimiter is a comma, semicolon, tab or `|`; decimals take a point or a comma; headings are trade words with a unit
    /// (`Tmax (F)`, `rain_in`, `wind mph`, `Rs [MJ/m2]`); dates are ISO, or day and month in the one order that fits the whole
    /// column. Columns that mean nothing here are left out and listed in [`Weather::notes`].
    ///
    /// # Errors
    /// Faults of structure, all of them with their lines: no date or temperature column, dates that cannot be read, come
    /// twice or carry a time zone, cells that are not numbers, mixed units, rows of other length, an empty or binary file.
    /// A value that cannot be true is no error: it is set aside and listed.
    ///
    /// ```
    /// use dibble::weather::{CsvOptions, Weather};
    /// let text = "Date;Tmin (F);Tmax (F);Rain (in)\n2026-07-01;50;77;0,25\n2026-07-02;59;86;0,00\n";
    /// let weather = Weather::parse_csv(text, &CsvOptions::default())?;
    /// assert_eq!(weather.columns().tmax_c, [25.0, 30.0]);
    /// assert_eq!(weather.columns().rain_mm, [6.35, 0.0]);
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn parse_csv(text: &str, options: &CsvOptions) -> Result<Self> {
        let table = Table::read(text, options)?;
        require(
            &table,
            &[(Meaning::Date, "date"), (Meaning::Day(Quantity::Tmin), "tmin (C)"), (Meaning::Day(Quantity::Tmax), "tmax (C)")],
        )?;
        let mut reading = Reading::new(&table, options, Span::Day)?;
        let mut columns = DayColumns { dates: reading.dates(), forecast: reading.forecast(), ..DayColumns::default() };
        for what in table.meanings() {
            match what {
                Meaning::Day(quantity) => *columns.get_mut(quantity) = reading.numbers(what, quantity),
                Meaning::Air => reading.notes.push("mean temperature is not used: the methods take the mean of lowest and highest".into()),
                Meaning::Time => reading.notes.push("the time column is not used in day records".into()),
                Meaning::Date | Meaning::Forecast => {}
            }
        }
        columns.wind_height_m = table.heading(Meaning::Day(Quantity::Wind)).and_then(|(_, heading, _)| heading.height_m);
        let notes = reading.finish()?;
        let mut weather = Self::from_rows(columns, |row| table.line(row)).map_err(|error| table.named(error))?;
        weather.notes = notes;
        Ok(match options.forecast_from {
            Some(date) => weather.with_forecast_from(date),
            None => weather,
        })
    }

    /// As [`Weather::parse_csv`], from bytes as they stand in a file.
    ///
    /// # Errors
    /// As there, and bytes that are not UTF-8 text.
    pub fn parse_csv_bytes(bytes: &[u8], options: &CsvOptions) -> Result<Self> {
        Self::parse_csv(decoded(bytes, options)?, options)
    }

    /// As [`Weather::parse_csv`], from a file.
    ///
    /// # Errors
    /// As there, and a file that cannot be read.
    #[cfg(feature = "io")]
    pub fn read_csv(path: impl AsRef<std::path::Path>, options: &CsvOptions) -> Result<Self> {
        let (bytes, options) = file(path.as_ref(), options)?;
        Self::parse_csv_bytes(&bytes, &options)
    }
}

/// The bytes of a file, and options with its name.
#[cfg(feature = "io")]
pub(super) fn file(path: &std::path::Path, options: &CsvOptions) -> Result<(Vec<u8>, CsvOptions)> {
    let shown = path.display().to_string();
    let bytes = std::fs::read(path).map_err(|e| Error::file("cannot read", &shown, e.to_string(), "Check the path."))?;
    let name = path.file_name().map_or(shown, |name| name.to_string_lossy().into_owned());
    Ok((bytes, CsvOptions { name: options.name.clone().or(Some(name)), ..options.clone() }))
}

/// The text of a file's bytes.
pub(super) fn decoded<'b>(bytes: &'b [u8], options: &CsvOptions) -> Result<&'b str> {
    let refuse = |why: &str, hint: &str| {
        let error = Error::unreadable("weather table", &String::from_utf8_lossy(bytes.get(..80).unwrap_or(bytes)), why, hint);
        Err(named(error, options.name.as_deref()))
    };
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return refuse("it is UTF-16 text", "Save it as CSV with UTF-8 encoding.");
    }
    match std::str::from_utf8(bytes) {
        Ok(text) => Ok(text),
        Err(_) if bytes.contains(&0) => refuse("it is a binary file", "Save it as CSV text."),
        Err(_) => refuse("it is not UTF-8 text", "Save it as CSV with UTF-8 encoding."),
    }
}

/// Every column that must be there, or one error that names all that are not and shows the headings.
pub(super) fn require(table: &Table, needed: &[(Meaning, &str)]) -> Result<()> {
    let missing: Vec<&str> = needed.iter().filter(|(meaning, _)| table.heading(*meaning).is_none()).map(|(_, name)| *name).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let unread = if table.unread.is_empty() { String::new() } else { format!(" Not understood: \"{}\".", table.unread.join("\", \"")) };
    let error = Error::missing(format!("column {}", missing.join(" and column ")), format!("Name it so in the heading.{unread}"));
    Err(table.named(error))
}

/// Reads columns and collects what is wrong with them.
pub(super) struct Reading<'t> {
    table: &'t Table,
    units: Option<System>,
    day_first: Option<bool>,
    decimal: Decimal,
    span: Span,
    problems: Vec<Error>,
    pub notes: Vec<String>,
}

impl<'t> Reading<'t> {
    pub fn new(table: &'t Table, options: &CsvOptions, span: Span) -> Result<Self> {
        let value_columns = table.meanings().filter(|m| matches!(m, Meaning::Air | Meaning::Day(_)));
        let cells = value_columns.filter_map(|m| table.heading(m)).flat_map(|(at, ..)| (0..).zip(table.cells(at)));
        let decimal = cells::decimal(cells, |row| table.place(row))?;
        let notes = if table.unread.is_empty() { Vec::new() } else { vec![format!("columns not read: {}", table.unread.join(", "))] };
        let (units, day_first, problems) = (options.units, options.day_first, table.problems.clone());
        Ok(Self { table, units, day_first, decimal, span, problems, notes })
    }

    pub fn table(&self) -> &'t Table {
        self.table
    }

    pub fn day_first(&self) -> Option<bool> {
        self.day_first
    }

    /// The notes, or all problems as one error.
    pub fn finish(self) -> Result<Vec<String>> {
        collected(self.problems).map_or(Ok(self.notes), Err)
    }

    fn dates(&mut self) -> Vec<Date> {
        let Some((at, heading, _)) = self.table.heading(Meaning::Date) else { return Vec::new() };
        let mut days = Vec::new();
        let before = self.problems.len();
        for (row, cell) in self.table.cells(at).enumerate() {
            let (day, time) = dates::split_time(cell);
            days.push(day);
            let why = match dates::time_h(if time.is_empty() { "0" } else { time }) {
                Ok(0.0) => continue,
                _ if dates::has_zone(time) => "it carries a time zone, and a day here is local standard time",
                _ => "it carries a time, and this is a table of days",
            };
            let hint = "Write it as 2026-07-14; read hour records as such.";
            self.problems.push(Error::unreadable("date", cell, why, hint).at(self.table.place(row)));
        }
        if self.problems.len() > before {
            return Vec::new();
        }
        self.read_dates(&days, self.day_first.or(heading.day_first))
    }

    pub fn read_dates(&mut self, days: &[&str], day_first: Option<bool>) -> Vec<Date> {
        dates::column(days, day_first, |row| self.table.place(row)).unwrap_or_else(|problems| {
            self.problems.extend(problems);
            Vec::new()
        })
    }

    pub fn problem(&mut self, error: Error, row: usize) {
        self.problems.push(error.at(self.table.place(row)));
    }

    pub fn forecast(&mut self) -> Vec<bool> {
        let Some((at, _, _)) = self.table.heading(Meaning::Forecast) else { return Vec::new() };
        let mut marks = Vec::new();
        for (row, cell) in self.table.cells(at).enumerate() {
            marks.push(match cell.to_lowercase().as_str() {
                "1" | "yes" | "y" | "true" | "x" | "forecast" => true,
                "" | "0" | "no" | "n" | "false" | "observed" | "measured" => false,
                _ => {
                    self.problem(Error::unreadable("forecast mark", cell, "it is neither yes nor no", "Write yes or no."), row);
                    false
                }
            });
        }
        marks
    }

    /// The numbers of a column in the quantity's own unit; NaN where missing.
    pub fn numbers(&mut self, meaning: Meaning, quantity: Quantity) -> Vec<f64> {
        let Some((at, heading, title)) = self.table.heading(meaning) else { return Vec::new() };
        let mut values = Vec::new();
        let mut unit: Option<(&str, usize)> = heading.unit.as_deref().map(|unit| (unit, usize::MAX));
        let mut bare: Option<usize> = None;
        let mut traces = 0_usize;
        for (row, cell) in self.table.cells(at).enumerate() {
            if quantity == Quantity::Rain && (cell.eq_ignore_ascii_case("t") || cell.eq_ignore_ascii_case("trace")) {
                traces += 1;
                values.push(0.0);
                continue;
            }
            let number = cells::number(cell, self.decimal).filter(|(_, unit)| unit.is_empty() || quantity.unit_named(unit).is_some());
            let Some((value, cell_unit)) = number else {
                let hint = "Write a plain number, and leave a missing one empty.";
                self.problem(Error::unreadable(format!("number in column \"{title}\""), cell, "it is not a number", hint), row);
                continue;
            };
            values.push(value);
            let cell_unit = quantity.unit_named(cell_unit).unwrap_or(cell_unit);
            match unit {
                _ if cell_unit.is_empty() => bare = if value.is_nan() { bare } else { bare.or(Some(row)) },
                None => unit = Some((cell_unit, row)),
                Some((known, _)) if known == cell_unit => {}
                Some((known, since)) => {
                    let since = if since == usize::MAX { "the heading".to_string() } else { self.table.place(since) };
                    let what = format!("units are mixed in column \"{title}\": \"{cell}\" here, {known} in {since}");
                    self.problem(Error::inconsistent(what, "Write one unit, in the heading."), row);
                }
            }
        }
        if let (Some((known, since @ 0..usize::MAX)), Some(row)) = (unit, bare) {
            let what = format!("units are mixed in column \"{title}\": none here, {known} in {}", self.table.place(since));
            self.problem(Error::inconsistent(what, "Write one unit, in the heading."), row);
        }
        if traces > 0 {
            self.notes.push(format!("trace of rain (T) read as 0 in {traces} row{}", if traces == 1 { "" } else { "s" }));
        }
        if let Err(error) = quantity.to_own_unit(title, unit.map(|(unit, _)| unit), self.units, self.span, &mut values) {
            self.problems.push(self.table.named(error));
        }
        values
    }
}
