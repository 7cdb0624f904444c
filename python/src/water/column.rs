//! `Column` and `Watering`.

use super::{PyReading, PyRefill};
use crate::gate::{self, compute, instances, number, number_or_none};
use crate::soil::{PyProfile, PySoil};
use crate::stand::PyCropDays;
use crate::weather::PyDaily;
use crate::{error, record, table};
use dibble::soil::Profile;
use dibble::stand::CropDays;
use dibble::water::{Column, Reading, Refill, Watering};
use dibble::weather::Daily;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDate, PyType};
use std::sync::Arc;

type Any<'py> = Bound<'py, PyAny>;

/// Water given on a day, in the morning.
///
/// Parameters
/// ----------
/// date : datetime.date or str
///     The day.
/// depth_mm : float
///     Depth that reaches the ground, mm.
/// rate_mm_h : float, optional
///     Rate at which it falls, mm/h. With it the soil's intake decides how much enters and how much runs off; without
///     it all enters (pulses, drip, bucket).
///
/// Examples
/// --------
/// >>> from dibble.water import Watering
/// >>> Watering("2026-07-14", 12.7, rate_mm_h=19)
/// Watering("2026-07-14", 12.7, rate_mm_h=19.0)
#[pyclass(name = "Watering", module = "dibble.water", frozen, eq)]
#[derive(PartialEq, Clone)]
pub struct PyWatering(pub Watering);

#[pymethods]
impl PyWatering {
    #[new]
    #[pyo3(signature = (date, depth_mm, *, rate_mm_h = None))]
    fn new(date: &Any<'_>, depth_mm: &Any<'_>, rate_mm_h: Option<&Any<'_>>) -> PyResult<Self> {
        let watering = Watering {
            date: gate::day("date", date)?,
            depth_mm: number("depth_mm", depth_mm)?,
            rate_mm_h: number_or_none("rate_mm_h", rate_mm_h)?,
        };
        Self::checked(date.py(), watering)
    }

    /// The day.
    #[getter]
    fn date<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDate>> {
        table::date(py, self.0.date)
    }
    /// Depth that reaches the ground, mm.
    #[getter]
    fn depth_mm(&self) -> f64 {
        self.0.depth_mm
    }
    /// Rate at which it falls, mm/h.
    #[getter]
    fn rate_mm_h(&self) -> Option<f64> {
        self.0.rate_mm_h
    }

    /// The watering as JSON.
    fn to_json(&self, py: Python<'_>) -> PyResult<String> {
        record::to_json(py, "watering", &self.0)
    }
    /// A watering from `to_json`.
    #[staticmethod]
    fn from_json(py: Python<'_>, text: &str) -> PyResult<Self> {
        Self::checked(py, record::from_json(py, "watering", text)?)
    }
    /// The watering as a dict.
    fn to_dict<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        record::to_dict(py, "watering", &self.0)
    }
    #[staticmethod]
    fn _from_bytes(py: Python<'_>, data: &[u8]) -> PyResult<Self> {
        Self::checked(py, record::from_bytes(py, "watering", data)?)
    }
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Any<'py>, (Bound<'py, PyBytes>,))> {
        Ok((PyType::new::<Self>(py).getattr("_from_bytes")?, (record::to_bytes(py, "watering", &self.0)?,)))
    }
    fn __repr__(&self) -> String {
        let rate = self.0.rate_mm_h.map(|rate| format!(", rate_mm_h={rate:?}")).unwrap_or_default();
        format!("Watering(\"{}\", {:?}{rate})", self.0.date, self.0.depth_mm)
    }
}

impl PyWatering {
    fn checked(py: Python<'_>, watering: Watering) -> PyResult<Self> {
        compute(py, "Watering", || watering.check())?;
        Ok(Self(watering))
    }
}

/// One column of the ledger: a tree, a block or an ensemble member. `run` carries many at once and checks them.
///
/// Parameters
/// ----------
/// name : str
///     What results call it.
/// weather : Daily
///     Complete days.
/// crop : CropDays
///     Coefficients, exposed ground and roots for the same days.
/// soil : Soil or Profile
///     From the surface down.
/// curve_number : float, optional
///     For rain, 1 to 100; without it all rain enters.
/// start, subsoil_start : float
///     Share of the available water at the start, in the root zone and below it, 0 to 1; field capacity.
/// ignored_rain_share : float
///     Rain below this share of the day's ETo is caught by leaves and litter; 0.2 (FAO-56 p. 170).
/// wetted_fraction : float
///     Fraction of the surface that irrigation wets; FAO-56 form only.
/// evaporable_depth_m : float
///     Depth from which water evaporates, m; 0.10 to 0.15 (FAO-56 p. 144).
/// readily_evaporable_mm : float, optional
///     REW, mm; the soil's own if not given.
/// p_factor : float, optional
///     Multiplies the stress onset p for the soil; by its texture if not given (FAO-56 p. 167).
/// intake_mm_h : float, optional
///     Measured intake of the surface, mm/h; estimated from the soil if not given.
/// slope_pct : float
///     Slope, %.
/// waterings, readings : sequence of Watering, of Reading
///     In any order.
/// refill : Refill, optional
///     Waters by itself when due.
///
/// Examples
/// --------
/// >>> from dibble.soil import Soil
/// >>> from dibble.stand import CropDays
/// >>> from dibble.water import Column, run
/// >>> from dibble.weather import Site, Weather
/// >>> days = {"date": ["2026-07-01", "2026-07-02"], "tmin_c": [12.0, 14.5], "tmax_c": [26.0, 29.0], "rain_mm": [0.0, 0.0]}
/// >>> daily = Weather.from_table(days).complete(Site(45.2, 290))
/// >>> crop = CropDays(kcb=[0.6, 0.6], kc_max=1.2, exposed=0.5, root_depth_m=0.2, p=0.5)
/// >>> soils = {"sand": Soil.from_texture("sand"), "loam": Soil.from_texture("silt loam")}
/// >>> season = run([Column(name, daily, crop, soil) for name, soil in soils.items()])
/// >>> season.daily["depletion_mm"][-1].round(1).tolist()  # sand and loam, on the last evening
/// [8.6, 12.4]
#[pyclass(name = "Column", module = "dibble.water", frozen)]
pub struct PyColumn(pub Owned);

/// A column that owns what it runs on.
#[derive(Clone)]
pub struct Owned {
    name: String,
    pub weather: Arc<Daily>,
    crop: Arc<CropDays>,
    profile: Arc<Profile>,
    curve_number: Option<f64>,
    start: f64,
    subsoil_start: f64,
    ignored_rain_share: f64,
    wetted_fraction: f64,
    evaporable_depth_m: f64,
    readily_evaporable_mm: Option<f64>,
    p_factor: f64,
    intake_mm_h: Option<f64>,
    slope_pct: f64,
    waterings: Vec<Watering>,
    refill: Option<Refill>,
    readings: Vec<Reading>,
}

impl Owned {
    pub fn column(&self) -> Column<'_> {
        Column {
            name: self.name.clone(),
            weather: &self.weather,
            crop: &self.crop,
            profile: &self.profile,
            curve_number: self.curve_number,
            start: self.start,
            subsoil_start: self.subsoil_start,
            ignored_rain_share: self.ignored_rain_share,
            wetted_fraction: self.wetted_fraction,
            evaporable_depth_m: self.evaporable_depth_m,
            readily_evaporable_mm: self.readily_evaporable_mm,
            p_factor: self.p_factor,
            intake_mm_h: self.intake_mm_h,
            slope_pct: self.slope_pct,
            waterings: self.waterings.clone(),
            refill: self.refill,
            readings: self.readings.clone(),
        }
    }
}

#[pymethods]
impl PyColumn {
    #[new]
    #[pyo3(signature = (name, weather, crop, soil, *, curve_number = None, start = None, subsoil_start = None, ignored_rain_share = None, wetted_fraction = None, evaporable_depth_m = None, readily_evaporable_mm = None, p_factor = None, intake_mm_h = None, slope_pct = None, waterings = None, refill = None, readings = None))]
    #[allow(clippy::too_many_arguments)] // keyword-only in Python
    fn new(
        name: String,
        weather: &Bound<'_, PyDaily>,
        crop: &Bound<'_, PyCropDays>,
        soil: &Any<'_>,
        curve_number: Option<&Any<'_>>,
        start: Option<&Any<'_>>,
        subsoil_start: Option<&Any<'_>>,
        ignored_rain_share: Option<&Any<'_>>,
        wetted_fraction: Option<&Any<'_>>,
        evaporable_depth_m: Option<&Any<'_>>,
        readily_evaporable_mm: Option<&Any<'_>>,
        p_factor: Option<&Any<'_>>,
        intake_mm_h: Option<&Any<'_>>,
        slope_pct: Option<&Any<'_>>,
        waterings: Option<&Any<'_>>,
        refill: Option<&Bound<'_, PyRefill>>,
        readings: Option<&Any<'_>>,
    ) -> PyResult<Self> {
        let (weather, crop, profile) = (Arc::clone(&weather.get().days), Arc::clone(&crop.get().0), profile_of(soil)?);
        let usual = Column::new(name.clone(), &weather, &crop, &profile);
        let owned = Owned {
            curve_number: number_or_none("curve_number", curve_number)?,
            start: number_or_none("start", start)?.unwrap_or(usual.start),
            subsoil_start: number_or_none("subsoil_start", subsoil_start)?.unwrap_or(usual.subsoil_start),
            ignored_rain_share: number_or_none("ignored_rain_share", ignored_rain_share)?.unwrap_or(usual.ignored_rain_share),
            wetted_fraction: number_or_none("wetted_fraction", wetted_fraction)?.unwrap_or(usual.wetted_fraction),
            evaporable_depth_m: number_or_none("evaporable_depth_m", evaporable_depth_m)?.unwrap_or(usual.evaporable_depth_m),
            readily_evaporable_mm: number_or_none("readily_evaporable_mm", readily_evaporable_mm)?,
            p_factor: number_or_none("p_factor", p_factor)?.unwrap_or(usual.p_factor),
            intake_mm_h: number_or_none("intake_mm_h", intake_mm_h)?,
            slope_pct: number_or_none("slope_pct", slope_pct)?.unwrap_or(usual.slope_pct),
            waterings: waterings.map_or_else(|| Ok(Vec::new()), waterings_of)?,
            refill: refill.map(|rule| rule.get().0),
            readings: readings.map_or_else(|| Ok(Vec::new()), readings_of)?,
            name,
            weather: Arc::clone(&weather),
            crop: Arc::clone(&crop),
            profile: Arc::clone(&profile),
        };
        Ok(Self(owned))
    }

    /// What results call it.
    #[getter]
    fn name(&self) -> &str {
        &self.0.name
    }
    fn __repr__(&self) -> String {
        format!("<Column \"{}\" of {} days from {}>", self.0.name, self.0.weather.len(), self.0.weather.first())
    }
}

/// A soil all the way down, or a profile.
pub fn profile_of(soil: &Any<'_>) -> PyResult<Arc<Profile>> {
    if let Ok(one) = soil.cast::<PySoil>() {
        return Ok(Arc::new(Profile::uniform(one.get().0)));
    }
    if let Ok(layers) = soil.cast::<PyProfile>() {
        return Ok(Arc::new(layers.get().0.clone()));
    }
    let message = format!("soil is of class {}: a Soil or a Profile is needed. Make one with dibble.soil.", soil.get_type().name()?);
    Err(error::wrong_kind(soil.py(), "soil", &message))
}

pub fn waterings_of(given: &Any<'_>) -> PyResult<Vec<Watering>> {
    let mut waterings: Vec<Watering> = instances::<PyWatering>("waterings", given)?.iter().map(|w| w.get().0).collect();
    waterings.sort_by_key(|w| w.date);
    Ok(waterings)
}

pub fn readings_of(given: &Any<'_>) -> PyResult<Vec<Reading>> {
    let mut readings: Vec<Reading> = instances::<PyReading>("readings", given)?.iter().map(|r| r.get().0).collect();
    readings.sort_by_key(|r| r.date);
    Ok(readings)
}
