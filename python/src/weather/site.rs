//! `Site`.

use crate::gate::{compute, number, number_or_none};
use crate::record;
use dibble::weather::Site;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyType};
use serde_json::json;

/// Where the weather was measured. Two numbers are enough; the rest narrows the assumptions.
///
/// Parameters
/// ----------
/// latitude_deg : float
///     -90 to 90, north positive.
/// elevation_m : float
///     Above sea level, -450 to 6000 m.
/// longitude_deg : float, optional
///     -180 to 180, east positive; hourly radiation needs it.
/// wind_height_m : float, optional
///     Height of the wind sensor, m; 10 m is assumed without it.
/// utc_offset_h : float, optional
///     Local standard time minus UTC, h; hourly radiation needs it.
/// coastal : bool
///     Near a large body of water? (kRs 0.19 instead of 0.16 in FAO-56 Eq. 50)
/// arid : bool
///     In a dry place, where a missing dew point lies below the lowest temperature? (FAO-56 p. 58)
///
/// Examples
/// --------
/// >>> from dibble.weather import Site
/// >>> Site(45.2, 290, wind_height_m=3)
/// Site(45.2, 290.0, wind_height_m=3.0)
#[pyclass(name = "Site", module = "dibble.weather", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PySite(pub Site);

#[pymethods]
impl PySite {
    #[new]
    #[pyo3(signature = (latitude_deg, elevation_m, *, longitude_deg = None, wind_height_m = None, utc_offset_h = None, coastal = false, arid = false))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        py: Python<'_>,
        latitude_deg: &Bound<'_, PyAny>,
        elevation_m: &Bound<'_, PyAny>,
        longitude_deg: Option<&Bound<'_, PyAny>>,
        wind_height_m: Option<&Bound<'_, PyAny>>,
        utc_offset_h: Option<&Bound<'_, PyAny>>,
        coastal: bool,
        arid: bool,
    ) -> PyResult<Self> {
        let (latitude, elevation) = (number("latitude_deg", latitude_deg)?, number("elevation_m", elevation_m)?);
        let longitude = number_or_none("longitude_deg", longitude_deg)?;
        let height = number_or_none("wind_height_m", wind_height_m)?;
        let offset = number_or_none("utc_offset_h", utc_offset_h)?;
        compute(py, "Site", || {
            let mut site = Site::new(latitude, elevation)?.with_coastal(coastal).with_arid(arid);
            if let Some(longitude) = longitude {
                site = site.with_longitude(longitude)?;
            }
            if let Some(height) = height {
                site = site.with_wind_height(height)?;
            }
            match offset {
                Some(offset) => site.with_utc_offset(offset),
                None => Ok(site),
            }
        })
        .map(Self)
    }

    /// Latitude, degrees, north positive.
    #[getter]
    fn latitude_deg(&self) -> f64 {
        self.0.latitude_deg()
    }
    /// Elevation above sea level, m.
    #[getter]
    fn elevation_m(&self) -> f64 {
        self.0.elevation_m()
    }
    /// Longitude, degrees, east positive.
    #[getter]
    fn longitude_deg(&self) -> Option<f64> {
        self.0.longitude_deg()
    }
    /// Height of the wind sensor, m.
    #[getter]
    fn wind_height_m(&self) -> Option<f64> {
        self.0.wind_height_m()
    }
    /// Local standard time minus UTC, h.
    #[getter]
    fn utc_offset_h(&self) -> Option<f64> {
        self.0.utc_offset_h()
    }
    /// Near a large body of water?
    #[getter]
    fn coastal(&self) -> bool {
        self.0.coastal()
    }
    /// In a dry place?
    #[getter]
    fn arid(&self) -> bool {
        self.0.arid()
    }

    /// The site as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "site", &self.0)
    }
    /// A site from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        record::from_json(py, "site", text).map(Self)
    }
    /// The site as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        record::to_dict(py, "site", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        record::from_bytes(py, "site", data).map(Self)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "site", &self.0)?,)))
    }
    fn __repr__(&self) -> String {
        let mut given = json!(self.0);
        if let Some(entries) = given.as_object_mut() {
            entries.retain(|key, value| !matches!(key.as_str(), "latitude_deg" | "elevation_m") && *value != false);
        }
        let rest = record::arguments(&given);
        let comma = if rest.is_empty() { "" } else { ", " };
        format!("Site({:?}, {:?}{comma}{rest})", self.0.latitude_deg(), self.0.elevation_m())
    }
    fn _repr_html_(&self) -> String {
        let rows = [("latitude", self.0.latitude_deg().to_string(), "deg"), ("elevation", self.0.elevation_m().to_string(), "m")];
        record::html("Site", &rows)
    }
}
