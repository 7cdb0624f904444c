//! `Weather`.

use super::daily::PyDaily;
use super::report::PyGapReport;
use super::site::PySite;
use crate::gate::{self, choice, column, compute};
use crate::{error, record, table};
use dibble::Error;
use dibble::et::HourlyForm;
use dibble::units::System;
use dibble::weather::{CsvOptions, DayColumns, Gaps, HourColumns, HourOptions, Quantity, Reference, Stamp, Weather};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyDict, PyType};
use std::path::PathBuf;
use std::sync::Arc;

/// Checked day records from the first to the last day, without a break.
///
/// Read them with `read_csv` or `from_table`. A value that cannot be true is set aside, counts as missing and is listed
/// in `gap_report`; `complete` fills what published methods can fill.
///
/// Examples
/// --------
/// >>> from dibble.weather import Site, Weather
/// >>> weather = Weather.from_table(
/// ...     {"date": ["2026-07-01", "2026-07-02"], "tmin_c": [12.0, 14.5], "tmax_c": [26.0, 29.0], "rain_mm": [0.0, 6.4]}
/// ... )
/// >>> len(weather), weather.column("rain_mm").tolist()
/// (2, [0.0, 6.4])
/// >>> weather.complete(Site(45.2, 290)).eto_mm.round(1).tolist()
/// [4.9, 5.4]
#[pyclass(name = "Weather", module = "dibble.weather", frozen, eq)]
pub struct PyWeather {
    pub records: Arc<Weather>,
    /// The kind of dataframe that the records came in.
    pub kind: Option<String>,
}

impl PartialEq for PyWeather {
    fn eq(&self, other: &Self) -> bool {
        self.records == other.records
    }
}

impl PyWeather {
    fn same_kind(&self, records: Weather) -> Self {
        Self { records: Arc::new(records), kind: self.kind.clone() }
    }
}

impl From<Weather> for PyWeather {
    fn from(records: Weather) -> Self {
        Self { records: Arc::new(records), kind: None }
    }
}

#[pymethods]
impl PyWeather {
    /// Records from a dataframe of any kind (pandas, polars, pyarrow, duckdb and others), or from a mapping of columns.
    ///
    /// Columns are named as in dibble (`date`, `tmin_c`, `tmax_c`, `rain_mm`, `dew_c`, `vapor_pressure_kpa`,
    /// `rh_max_pct`, `rh_min_pct`, `rh_mean_pct`, `wind_m_s`, `solar_mj_m2`, `sunshine_h`, `eto_mm`, `forecast`) or by
    /// trade words with their unit ("Max temp (F)"). The day, the lowest and the highest temperature are needed; a
    /// pandas index of dates serves as the day. Missing is null or NaN. Other columns are not read, and the gap report
    /// says so.
    ///
    /// Parameters
    /// ----------
    /// table : dataframe or mapping
    ///     One row for each day, in any order.
    /// units : {"si", "us"}, optional
    ///     Units of columns whose heading names none.
    /// wind_height_m : float, optional
    ///     Height of the wind sensor, where it differs from the site's.
    /// forecast_from : datetime.date or str, optional
    ///     Days from here on are a forecast.
    ///
    /// Raises
    /// ------
    /// MissingError, UnreadableError, InconsistentError, SeveralError, DibbleTypeError
    ///     A column that is needed and not there, dates that cannot be read, come twice or carry a time or a time zone,
    ///     columns that are not numbers.
    #[staticmethod]
    #[pyo3(signature = (table, *, units = None, wind_height_m = None, forecast_from = None))]
    fn from_table(
        table: &Bound<'_, PyAny>,
        units: Option<&str>,
        wind_height_m: Option<&Bound<'_, PyAny>>,
        forecast_from: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let py = table.py();
        let options = options(py, units, None, forecast_from)?;
        let parts = table::parts(table, false)?;
        let mut given =
            DayColumns { dates: table::dates(py, &parts.dates)?, forecast: parts.forecast.unwrap_or_default(), ..DayColumns::default() };
        for (heading, values) in parts.numbers {
            let heading: String = heading.extract()?;
            let values = column(&heading, &values)?;
            given.insert(&heading, values, options.units).map_err(|problem| error::raise(py, &problem))?;
        }
        if let Some(height) = gate::number_or_none("wind_height_m", wind_height_m)? {
            given.wind_height_m = Some(height);
        }
        let records = compute(py, "Weather.from_table", || Ok(noted(Weather::from_columns(given)?, &parts.unread, &options)))?;
        Ok(Self { records: Arc::new(records), kind: parts.kind })
    }

    /// Records from a dataframe of hours, made into days.
    ///
    /// Columns as for `from_table`, with `t_c` for the hour's temperature and `rh_pct` or "RH (%)" for its humidity. The
    /// hour stands in the date column (datetimes without a zone) or in a column `time` of hours.
    ///
    /// Parameters
    /// ----------
    /// table : dataframe or mapping
    ///     One row for each hour, in any order, in local standard time.
    /// site : Site
    ///     Where it was measured.
    /// units : {"si", "us"}, optional
    ///     Units of columns whose heading names none.
    /// stamp : {"start", "end"}
    ///     Which end of the hour its time names.
    /// least_hours : int
    ///     Hours that a day must have for its extremes and means; sums need all 24.
    /// reference : {"fao56", "short", "tall"}, optional
    ///     Sum reference evapotranspiration hour by hour in this form into `eto_mm`.
    #[staticmethod]
    #[pyo3(signature = (table, site, *, units = None, stamp = "start", least_hours = 24, reference = None))]
    fn from_hours_table(
        table: &Bound<'_, PyAny>,
        site: &Bound<'_, PySite>,
        units: Option<&str>,
        stamp: &str,
        least_hours: u32,
        reference: Option<&str>,
    ) -> PyResult<Self> {
        let py = table.py();
        let (options, hours) = (options(py, units, None, None)?, hour_options(py, stamp, least_hours, reference)?);
        let (given, unread, kind) = hour_columns(table, options.units)?;
        let site = site.get().0;
        let records = compute(py, "Weather.from_hours_table", || Ok(noted(Weather::from_hours(given, &site, &hours)?, &unread, &options)))?;
        Ok(Self { records: Arc::new(records), kind })
    }

    /// Records from a text file with a heading line.
    ///
    /// The delimiter is a comma, semicolon, tab or `|`; decimals take a point or a comma; headings are trade words with
    /// a unit (`Tmax (F)`, `rain_in`, `Rs [MJ/m2]`); dates are ISO, or day and month in the one order that fits.
    ///
    /// Parameters
    /// ----------
    /// path : str or os.PathLike
    ///     The file.
    /// units : {"si", "us"}, optional
    ///     Units of columns whose heading names none.
    /// day_first : bool, optional
    ///     Does the day stand before the month in dates like 3/4/2026?
    /// forecast_from : datetime.date or str, optional
    ///     Days from here on are a forecast.
    ///
    /// Raises
    /// ------
    /// FileError, MissingError, UnreadableError, InconsistentError, SeveralError
    ///     A file that cannot be read, and faults of structure, all of them with their lines.
    #[staticmethod]
    #[pyo3(signature = (path, *, units = None, day_first = None, forecast_from = None))]
    fn read_csv(
        py: Python<'_>,
        path: PathBuf,
        units: Option<&str>,
        day_first: Option<bool>,
        forecast_from: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let options = options(py, units, day_first, forecast_from)?;
        compute(py, "Weather.read_csv", || Weather::read_csv(&path, &options)).map(Self::from)
    }

    /// Day records from a text file of hour records, read as `read_csv` reads days; options as for `from_hours_table`.
    #[staticmethod]
    #[pyo3(signature = (path, site, *, units = None, day_first = None, forecast_from = None, stamp = "start", least_hours = 24, reference = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn read_hours_csv(
        py: Python<'_>,
        path: PathBuf,
        site: &Bound<'_, PySite>,
        units: Option<&str>,
        day_first: Option<bool>,
        forecast_from: Option<&Bound<'_, PyAny>>,
        stamp: &str,
        least_hours: u32,
        reference: Option<&str>,
    ) -> PyResult<Self> {
        let options = options(py, units, day_first, forecast_from)?;
        let hours = hour_options(py, stamp, least_hours, reference)?;
        let site = site.get().0;
        compute(py, "Weather.read_hours_csv", || Weather::read_hours_csv(&path, &site, &options, &hours)).map(Self::from)
    }

    /// As `read_csv`, from text.
    #[staticmethod]
    #[pyo3(signature = (text, *, units = None, day_first = None, forecast_from = None))]
    fn parse_csv(
        py: Python<'_>,
        text: &str,
        units: Option<&str>,
        day_first: Option<bool>,
        forecast_from: Option<&Bound<'_, PyAny>>,
    ) -> PyResult<Self> {
        let options = options(py, units, day_first, forecast_from)?;
        compute(py, "Weather.parse_csv", || Weather::parse_csv(text, &options)).map(Self::from)
    }

    /// The same records with days from a date on marked as forecast.
    fn with_forecast_from(&self, date: &Bound<'_, PyAny>) -> PyResult<Self> {
        Ok(self.same_kind((*self.records).clone().with_forecast_from(gate::day("date", date)?)))
    }

    /// The same records with the rain of a block's own gauge over the station's; NaN is a day that was not read.
    #[pyo3(signature = (dates, rain_mm))]
    fn with_block_rain(&self, py: Python<'_>, dates: &Bound<'_, PyAny>, rain_mm: &Bound<'_, PyAny>) -> PyResult<Self> {
        let dates = gate::items("dates", dates, "days")?.iter().map(|day| gate::day("dates", day)).collect::<PyResult<Vec<_>>>()?;
        let rain = column("rain_mm", rain_mm)?;
        let records = compute(py, "Weather.with_block_rain", || (*self.records).clone().with_block_rain(&dates, &rain))?;
        Ok(self.same_kind(records))
    }

    /// Complete days for the water ledger: gaps filled by published methods, and reference evapotranspiration.
    ///
    /// Parameters
    /// ----------
    /// site : Site
    ///     Where the weather was measured.
    /// gaps : {"refuse", "zero", "mean"}
    ///     Missing rain and missing days: refuse them, or fill the days and take rain as none or as the mean of the
    ///     days around.
    /// reference : {"penman_monteith", "temperature", "given"}
    ///     Source of reference evapotranspiration: FAO-56 Eq. 6, Eq. 52, or the records' own `eto_mm`.
    /// temperature_gap_days : int
    ///     Longest gap in a temperature column that is interpolated.
    ///
    /// Raises
    /// ------
    /// MissingError, SeveralError
    ///     What is missing and may not be filled, with its days.
    #[pyo3(signature = (site, gaps = "refuse", *, reference = "penman_monteith", temperature_gap_days = 3))]
    fn complete(
        &self,
        py: Python<'_>,
        site: &Bound<'_, PySite>,
        gaps: &str,
        reference: &str,
        temperature_gap_days: usize,
    ) -> PyResult<PyDaily> {
        let reference: Reference = choice(py, reference)?;
        let gaps = Gaps { reference, temperature_gap_days, ..choice::<Gaps>(py, gaps)? };
        let site = site.get().0;
        let daily = compute(py, "Weather.complete", || self.records.complete(&site, &gaps))?;
        Ok(PyDaily::new(daily, self.kind.clone()))
    }

    /// What the records hold and lack, before anything is filled.
    fn gap_report(&self) -> PyGapReport {
        PyGapReport(Arc::new(self.records.gap_report()))
    }

    /// The first day.
    #[getter]
    fn first<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.records.first())
    }
    /// The last day.
    #[getter]
    fn last<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.records.last())
    }
    /// Names of the columns that were measured.
    #[getter]
    fn columns(&self) -> Vec<&'static str> {
        self.records.columns().measured().map(Quantity::name).collect()
    }
    /// A measured column, one value for each day, NaN where it is missing; read-only.
    fn column<'py>(&self, py: Python<'py>, name: &str) -> PyResult<Bound<'py, PyArray1<f64>>> {
        let what: Quantity = choice(py, name)?;
        let values = self.records.columns().get(what);
        if values.is_empty() {
            return Err(error::raise(py, &Error::unknown("measured column", name, &self.columns())));
        }
        table::array(py, values)
    }
    /// The records as a table: in the kind of dataframe that came in, else `into` "pandas", "polars", "pyarrow" or "dict".
    #[pyo3(signature = (into = None))]
    fn to_table<'py>(&self, py: Python<'py>, into: Option<&str>) -> PyResult<Bound<'py, PyAny>> {
        let columns = PyDict::new(py);
        columns.set_item("date", table::days(py, self.records.first(), self.records.len()))?;
        for what in self.records.columns().measured() {
            columns.set_item(what.name(), table::array(py, self.records.columns().get(what))?)?;
        }
        columns.set_item("forecast", PyArray1::from_slice(py, &self.records.columns().forecast))?;
        table::build(columns, into, self.kind.as_deref())
    }

    /// The records as JSON; a missing value is null.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "weather", &*self.records)
    }
    /// Records from `to_json`, the same bit for bit.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json::<Weather>(py, "weather", text).map(Self::from)
    }
    /// The records as plain dicts and lists.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "weather", &*self.records)
    }
    #[staticmethod]
    #[pyo3(signature = (data, kind = None))]
    fn _from_bytes(py: Python<'_>, data: &[u8], kind: Option<String>) -> PyResult<Self> {
        Ok(Self { records: Arc::new(record::from_bytes(py, "weather", data)?), kind })
    }
    #[allow(clippy::type_complexity)] // the shape that pickle asks for
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Bound<'py, PyBytes>, Option<String>))> {
        let bytes = record::to_bytes(py, "weather", &*self.records)?;
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (bytes, self.kind.clone())))
    }
    fn __len__(&self) -> usize {
        self.records.len()
    }
    fn __repr__(&self) -> String {
        let records = &self.records;
        format!("<Weather of {} days, {} to {}: {}>", records.len(), records.first(), records.last(), self.columns().join(", "))
    }
    fn _repr_html_(&self) -> String {
        record::pre(&self.records.gap_report().to_string())
    }
}

/// Hours of a dataframe or a mapping, headings that were not read, and the kind of dataframe.
pub fn hour_columns(table: &Bound<'_, PyAny>, units: Option<System>) -> PyResult<(HourColumns, Vec<String>, Option<String>)> {
    let py = table.py();
    let parts = table::parts(table, true)?;
    let mut given = HourColumns {
        dates: table::dates(py, &parts.dates)?,
        hours: parts.hours,
        forecast: parts.forecast.unwrap_or_default(),
        ..HourColumns::default()
    };
    let mut unread = parts.unread;
    for (heading, values) in parts.numbers {
        let heading: String = heading.extract()?;
        let values = column(&heading, &values)?;
        if !given.insert(&heading, values, units).map_err(|problem| error::raise(py, &problem))? {
            unread.push(heading);
        }
    }
    Ok((given, unread, parts.kind))
}

/// How a text file is read.
pub fn options(
    py: Python<'_>,
    units: Option<&str>,
    day_first: Option<bool>,
    forecast_from: Option<&Bound<'_, PyAny>>,
) -> PyResult<CsvOptions> {
    let units: Option<System> = units.map(|text| choice(py, text)).transpose()?;
    let forecast_from = forecast_from.map(|day| gate::day("forecast_from", day)).transpose()?;
    Ok(CsvOptions { name: None, units, day_first, forecast_from })
}

fn hour_options(py: Python<'_>, stamp: &str, least_hours: u32, reference: Option<&str>) -> PyResult<HourOptions> {
    let stamp: Stamp = choice(py, stamp)?;
    let reference: Option<HourlyForm> = reference.map(|form| choice(py, form)).transpose()?;
    Ok(HourOptions { stamp, least_hours, reference })
}

/// The records with a note on what was not read, and with forecast days marked.
fn noted(records: Weather, unread: &[String], options: &CsvOptions) -> Weather {
    let records = if unread.is_empty() { records } else { records.with_note(format!("columns not read: {}", unread.join(", "))) };
    match options.forecast_from {
        Some(date) => records.with_forecast_from(date),
        None => records,
    }
}
