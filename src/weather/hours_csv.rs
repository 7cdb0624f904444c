//! Hour records from a text table.

use super::csv::{CsvOptions, Reading, require};
use super::header::Meaning;
use super::hours::{HourColumns, HourOptions, Stamp};
use super::table::Table;
use super::unit::Span;
use super::{Quantity, Site, Weather, dates};
use crate::error::{Error, Result};

impl Weather {
    /// Day records from a text table of hour records, read as [`Weather::parse_csv`] reads days and summed as
    /// [`Weather::from_hours`] does.
    ///
    /// Times stand in the date column (`2026-07-14 06:00`) or in a column `time` or `hour`. A heading like `hour ending`, or
    /// a 24th hour in the table, goes before `hours.stamp`. Radiation in W/m2 is the mean of the hour.
    ///
    /// # Errors
    /// As both.
    ///
    /// ```
    /// use dibble::weather::{CsvOptions, HourOptions, Site, Weather};
    /// let rows: String = (0..24).map(|h| format!("2026-07-01 {h:02}:00,{},0.1\n", 10 + h % 12)).collect();
    /// let text = format!("date and time,temp (C),rain (mm)\n{rows}");
    /// let site = Site::new(45.2, 290.0)?;
    /// let weather = Weather::parse_hours_csv(&text, &site, &CsvOptions::default(), &HourOptions::default())?;
    /// assert_eq!((weather.columns().tmin_c[0], weather.columns().tmax_c[0]), (10.0, 21.0));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn parse_hours_csv(text: &str, site: &Site, options: &CsvOptions, hours: &HourOptions) -> Result<Self> {
        let table = Table::read(text, options)?;
        require(&table, &[(Meaning::Date, "date"), (Meaning::Air, "temp (C)")])?;
        let (columns, stamp, notes) = hour_rows(&table, options, hours.stamp)?;
        let hours = HourOptions { stamp, ..*hours };
        let mut weather = Self::from_hour_rows(columns, site, &hours, |row| table.line(row)).map_err(|error| table.named(error))?;
        weather.notes.extend(notes);
        Ok(match options.forecast_from {
            Some(date) => weather.with_forecast_from(date),
            None => weather,
        })
    }

    /// As [`Weather::parse_hours_csv`], from a file.
    ///
    /// # Errors
    /// As there, and a file that cannot be read.
    #[cfg(feature = "io")]
    pub fn read_hours_csv(path: impl AsRef<std::path::Path>, site: &Site, options: &CsvOptions, hours: &HourOptions) -> Result<Self> {
        let (bytes, options) = super::csv::file(path.as_ref(), options)?;
        Self::parse_hours_csv(super::csv::decoded(&bytes, &options)?, site, &options, hours)
    }
}

impl HourColumns {
    /// Hour records from a text table, read as [`Weather::parse_hours_csv`] reads them, hour by hour: times name the beginning of
    /// each hour, whichever end the table names. Only dates and hours are needed; every hour stands once.
    ///
    /// # Errors
    /// As there.
    ///
    /// ```
    /// use dibble::weather::{CsvOptions, HourColumns, Stamp};
    /// let text = "date,hour ending,wind (mph)\n2026-07-14,1:00,2\n2026-07-14,24:00,10\n";
    /// let hours = HourColumns::parse_csv(text, &CsvOptions::default(), Stamp::Start)?;
    /// assert_eq!((hours.hours, hours.wind_m_s[1]), (vec![0, 23], 4.4704));
    /// # Ok::<(), dibble::Error>(())
    /// ```
    pub fn parse_csv(text: &str, options: &CsvOptions, stamp: Stamp) -> Result<Self> {
        let table = Table::read(text, options)?;
        require(&table, &[(Meaning::Date, "date")])?;
        let (columns, stamp, _) = hour_rows(&table, options, stamp)?;
        columns.by_start_at(stamp, |row| table.line(row)).map_err(|error| table.named(error))
    }

    /// As [`HourColumns::parse_csv`], from a file.
    ///
    /// # Errors
    /// As there, and a file that cannot be read.
    #[cfg(feature = "io")]
    pub fn read_csv(path: impl AsRef<std::path::Path>, options: &CsvOptions, stamp: Stamp) -> Result<Self> {
        let (bytes, options) = super::csv::file(path.as_ref(), options)?;
        Self::parse_csv(super::csv::decoded(&bytes, &options)?, &options, stamp)
    }
}

/// The table's hours as they stand, which end of the hour they name, and notes on what was not read.
fn hour_rows(table: &Table, options: &CsvOptions, usual: Stamp) -> Result<(HourColumns, Stamp, Vec<String>)> {
    let mut reading = Reading::new(table, options, Span::Hour)?;
    let mut columns = HourColumns { forecast: reading.forecast(), ..HourColumns::default() };
    let stamp = reading.hours(&mut columns, usual);
    for what in table.meanings() {
        match what {
            Meaning::Air => columns.t_c = reading.numbers(what, Quantity::Tmin),
            Meaning::Day(Quantity::Dew) => columns.dew_c = reading.numbers(what, Quantity::Dew),
            Meaning::Day(Quantity::VaporPressure) => columns.vapor_pressure_kpa = reading.numbers(what, Quantity::VaporPressure),
            Meaning::Day(Quantity::RhMean) => columns.rh_pct = reading.numbers(what, Quantity::RhMean),
            Meaning::Day(Quantity::Wind) => columns.wind_m_s = reading.numbers(what, Quantity::Wind),
            Meaning::Day(Quantity::Solar) => columns.solar_mj_m2 = reading.numbers(what, Quantity::Solar),
            Meaning::Day(Quantity::Rain) => columns.rain_mm = reading.numbers(what, Quantity::Rain),
            Meaning::Day(other) => reading.notes.push(format!("{other} is not used in hour records")),
            Meaning::Date | Meaning::Time | Meaning::Forecast => {}
        }
    }
    columns.wind_height_m = table.heading(Meaning::Day(Quantity::Wind)).and_then(|(_, heading, _)| heading.height_m);
    Ok((columns, stamp, reading.finish()?))
}

impl Reading<'_> {
    /// Fills dates and hours; returns which end of the hour the times name.
    fn hours(&mut self, columns: &mut HourColumns, usual: Stamp) -> Stamp {
        let table = self.table();
        let Some((at, date_heading, _)) = table.heading(Meaning::Date) else { return usual };
        let time_column = table.heading(Meaning::Time);
        let times: Vec<&str> = time_column.map_or(Vec::new(), |(at, ..)| table.cells(at).collect());
        let mut days = Vec::new();
        for (row, cell) in table.cells(at).enumerate() {
            let (day, behind) = dates::split_time(cell);
            let time = times.get(row).copied().unwrap_or(behind);
            days.push(day);
            let refuse = |why: &str| Error::unreadable("time", time, why, "Give one record for each full hour, like 06:00.");
            match dates::time_h(time) {
                Err(error) => self.problem(error, row),
                Ok(_) if time_column.is_some() && !matches!(dates::time_h(behind), Ok(0.0) | Err(_)) => {
                    self.problem(refuse("the date column carries another time"), row);
                }
                Ok(hour) if hour.fract() != 0.0 => self.problem(refuse("it is not a full hour"), row),
                Ok(hour) => columns.hours.push(hour as u32),
            }
        }
        let day_first = self.day_first().or(date_heading.day_first);
        columns.dates = self.read_dates(&days, day_first);
        match time_column.map_or(date_heading, |(_, heading, _)| heading).hour_ends {
            Some(true) => Stamp::End,
            Some(false) => Stamp::Start,
            None if columns.hours.contains(&24) => Stamp::End,
            None => usual,
        }
    }
}
