//! Seasons run: a stand's, and many columns at once.

use super::PyRefill;
use super::column::{PyColumn, profile_of, readings_of, waterings_of};
use super::season::PySeason;
use crate::control::long;
use crate::error;
use crate::gate::{self, choice, compute, instances, number_or_none};
use crate::stand::PyStand;
use crate::weather::{PyDaily, PySite, PyWeather};
use dibble::Error;
use dibble::water::{self, Record, RunOptions, StandRun, Winter};
use dibble::weather::{Daily, Gaps};
use pyo3::prelude::*;
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// A season of a stand; `dibble/water.py` says what the arguments mean.
#[pyfunction]
#[pyo3(signature = (weather, site, soil, stand, refill, readings, waterings, *, form, beside, first, winter, start, subsoil_start, curve_number, slope_pct, intake_mm_h, gaps, record, progress))]
#[allow(clippy::too_many_arguments)] // keyword-only in Python
fn run_stand(
    py: Python<'_>,
    weather: &Any<'_>,
    site: Option<&Bound<'_, PySite>>,
    soil: &Any<'_>,
    stand: &Bound<'_, PyStand>,
    refill: Option<&Bound<'_, PyRefill>>,
    readings: &Any<'_>,
    waterings: &Any<'_>,
    form: &str,
    beside: bool,
    first: Option<&Any<'_>>,
    winter: &str,
    start: Option<&Any<'_>>,
    subsoil_start: Option<&Any<'_>>,
    curve_number: Option<&Any<'_>>,
    slope_pct: Option<&Any<'_>>,
    intake_mm_h: Option<&Any<'_>>,
    gaps: &str,
    record: &Any<'_>,
    progress: Option<&Any<'_>>,
) -> PyResult<PySeason> {
    let (daily, kind) = complete(weather, site, gaps)?;
    let profile = profile_of(soil)?;
    let stand = stand.get().0.clone();
    let first = first.map(|day| gate::day("first", day)).transpose()?;
    let winter: Winter = choice(py, winter)?;
    let start = number_or_none("start", start)?;
    let subsoil_start = number_or_none("subsoil_start", subsoil_start)?;
    let curve_number = number_or_none("curve_number", curve_number)?;
    let slope_pct = number_or_none("slope_pct", slope_pct)?.unwrap_or(0.0);
    let intake_mm_h = number_or_none("intake_mm_h", intake_mm_h)?;
    let (waterings, readings) = (waterings_of(waterings)?, readings_of(readings)?);
    let refill = refill.map(|rule| rule.get().0);
    let options = RunOptions { form: choice(py, form)?, record: record_of(record)?, n_threads: Some(1) };
    let season = long(py, "run_season", progress, move |control| {
        let given = StandRun {
            from: first,
            winter,
            start,
            subsoil_start,
            curve_number,
            slope_pct,
            intake_mm_h,
            waterings,
            refill,
            readings,
            beside,
            ..StandRun::new(&daily, &stand, &profile)
        };
        water::run_stand(&given, &options, control)
    })?;
    PySeason::new(py, season, kind)
}

/// Many columns through the same days; `dibble/water.py` says what the arguments mean.
#[pyfunction]
#[pyo3(signature = (columns, *, form, record, n_threads, progress))]
fn run_columns(
    py: Python<'_>,
    columns: &Any<'_>,
    form: &str,
    record: &Any<'_>,
    n_threads: Option<usize>,
    progress: Option<&Any<'_>>,
) -> PyResult<PySeason> {
    let owned: Vec<_> = instances::<PyColumn>("columns", columns)?.iter().map(|column| column.get().0.clone()).collect();
    let options = RunOptions { form: choice(py, form)?, record: record_of(record)?, n_threads };
    let season = long(py, "run", progress, move |control| {
        let columns: Vec<_> = owned.iter().map(|column| column.column()).collect();
        water::run(&columns, &options, control)
    })?;
    PySeason::new(py, season, None)
}

/// Records completed with their site, or days that are complete already; and the kind of table they came in.
fn complete(weather: &Any<'_>, site: Option<&Bound<'_, PySite>>, gaps: &str) -> PyResult<(Arc<Daily>, Option<String>)> {
    let py = weather.py();
    let gaps: Gaps = choice(py, gaps)?;
    if let Ok(daily) = weather.cast::<PyDaily>() {
        let daily = daily.get();
        return match site.filter(|site| site.get().0 != *daily.days.site()) {
            None => Ok((Arc::clone(&daily.days), daily.kind.clone())),
            Some(_) => {
                let refusal = Error::inconsistent("site is not the one that the days were made complete with", "Leave the site out.");
                Err(error::raise(py, &refusal))
            }
        };
    }
    let Ok(records) = weather.cast::<PyWeather>() else {
        let class = weather.get_type().name()?;
        let message =
            format!("weather is of class {class}: a Weather or a Daily is needed. Read one with Weather.read_csv or Weather.from_table.");
        return Err(error::wrong_kind(py, "weather", &message));
    };
    let Some(site) = site else {
        return Err(error::raise(py, &Error::missing("site", "Give Site(latitude_deg, elevation_m) with the weather.")));
    };
    let (records, site) = (records.get(), site.get().0);
    let daily = compute(py, "run_season", || records.records.complete(&site, &gaps))?;
    Ok((Arc::new(daily), records.kind.clone()))
}

/// "all", "totals", or names of series.
fn record_of(record: &Any<'_>) -> PyResult<Record> {
    let py = record.py();
    match record.extract::<String>().as_deref() {
        Ok("all") => Ok(Record::All),
        Ok("totals") => Ok(Record::Totals),
        Ok(other) => Ok(Record::Chosen(vec![choice(py, other)?])),
        Err(_) => {
            let names: Vec<String> = record.extract()?;
            Ok(Record::Chosen(names.iter().map(|name| choice(py, name)).collect::<PyResult<_>>()?))
        }
    }
}

/// Adds the functions to `_dibble`.
pub fn register(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add_function(wrap_pyfunction!(run_stand, module)?)?;
    module.add_function(wrap_pyfunction!(run_columns, module)?)
}
